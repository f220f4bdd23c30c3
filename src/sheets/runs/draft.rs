//! What the page does to a draft of this sheet when a log is read, a phase moved or a log deleted. The page only wires
//! events to these.

use super::packed::{self, Packed};
use super::{
    ENTRY, GUARD, LINE, Line, MOST_PHASES, MOST_RUNS, PHASE_NAME, PHASES, RUN_CURVE, RUN_LOG, RUN_NAME, RUN_SET, RUN_SHIFT, RUN_WEIGHTING,
    RUNS, Set,
};
use crate::calc::draft::{Col, Draft, Path, RowAt, RowId};
use crate::calc::link;
use crate::calc::read;
use crate::formulas::series::Summary;
use crate::units::Weighting;

/// A run of a draft that has a log, here or elsewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Logged {
    /// Its row.
    pub run: RowId,
    /// Its name as typed.
    pub name: String,
    /// The hash of its log, as many digits as were typed; never empty.
    pub hash: String,
    /// Which state of the machine it shows.
    pub set: Set,
    /// How far its curve is shifted by the clock, s.
    pub shift_s: f64,
    /// Its phases in the order of the table, with the stretches of the log they were worked out from, s from its start.
    pub phases: Vec<(RowId, Vec<(f64, f64)>)>,
}

/// What a log tells of itself.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Told {
    /// How far its curve is to be moved, s, to lie over the others by the clock.
    pub shift_s: f64,
    /// The weighting that its column of levels names.
    pub weighting: Option<Weighting>,
}

/// What a log says of one phase between new edges.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// The row of the phase.
    pub phase: RowId,
    /// What its samples say, without the guard at each edge.
    pub summary: Summary,
    /// Its stretches, edge to edge, s from the start of the log.
    pub stretches: Vec<(f64, f64)>,
}

const fn run_at(row: RowId) -> RowAt {
    RowAt { table: "run", row }
}

const fn phase_at(row: RowId) -> RowAt {
    RowAt { table: "phase", row }
}

const fn entry(phase: RowId, run: RowId) -> Path {
    Path { row: Some(phase_at(phase)), col: Col::Of(run) }
}

fn folded(draft: &Draft, path: Path) -> String {
    read::fold(draft.get(path))
}

/// The runs that say anything: in their own row, or in a phase.
pub(super) fn runs_in_use(draft: &Draft) -> Vec<RowAt> {
    let in_a_phase = |run: RowId| draft.rows(PHASES.key).iter().any(|phase| !draft.get(entry(*phase, run)).trim().is_empty());
    let rows = draft.rows(RUNS.key).iter().map(|row| run_at(*row));
    rows.filter(|at| link::row_has_content(RUNS, draft, *at) || in_a_phase(at.row)).collect()
}

/// The runs of a draft that name a log, with their phases and edges.
pub fn logged(draft: &Draft) -> Vec<Logged> {
    let rows = draft.rows(RUNS.key).iter().map(|row| (*row, folded(draft, read::path(Some(run_at(*row)), RUN_LOG))));
    let logged = rows.filter(|(_, hash)| !hash.is_empty()).map(|(run, hash)| {
        let phases = draft.rows(PHASES.key).iter().filter_map(|phase| {
            let stretches = entry_of(draft, *phase, run)?.stretches;
            (!stretches.is_empty()).then_some((*phase, stretches))
        });
        let at = Some(run_at(run));
        Logged {
            run,
            name: folded(draft, read::path(at, RUN_NAME)),
            hash,
            set: Set::named(&folded(draft, read::path(at, RUN_SET))),
            shift_s: read::number(RUN_SHIFT, draft.get(read::path(at, RUN_SHIFT))).map_or(0.0, |typed| typed.base),
            phases: phases.collect(),
        }
    });
    logged.collect()
}

/// The figures of a phase in a run, where they are from a log.
pub fn entry_of(draft: &Draft, phase: RowId, run: RowId) -> Option<Packed> {
    packed::decode(&read::text_cut(&ENTRY.cell, draft.get(entry(phase, run))).0)
}

/// What is left out at each edge of a phase, s.
pub fn guard_s(draft: &Draft) -> f64 {
    read::number(GUARD, draft.get(read::path(None, GUARD))).map_or_else(|_| read::default_of(GUARD), |typed| typed.base)
}

/// How curves are lined up.
pub fn line(draft: &Draft) -> Line {
    Line::named(&folded(draft, read::path(None, LINE)))
}

/// A run for a log: the row that has this hash already, else the first row in which nothing was typed, else a new one.
/// `None` when there are twelve. A run that is there keeps its shift.
pub fn add_run(draft: &mut Draft, name: &str, hash: &str, log: &Told, points: &[(f64, f64)]) -> Option<RowId> {
    let known = |row: &&RowId| !hash.is_empty() && folded(draft, read::path(Some(run_at(**row)), RUN_LOG)) == hash;
    let in_use = runs_in_use(draft);
    let free = |row: &&RowId| !in_use.contains(&run_at(**row));
    let rows = draft.rows(RUNS.key);
    let found = rows.iter().find(known).or_else(|| rows.iter().find(free)).copied();
    let is_known = found.as_ref().is_some_and(|row| known(&row));
    let row = match found {
        Some(row) => row,
        None if rows.len() < MOST_RUNS => draft.add_row(RUNS.key),
        None => return None,
    };
    let at = Some(run_at(row));
    if draft.get(read::path(at, RUN_NAME)).trim().is_empty() {
        draft.set(read::path(at, RUN_NAME), read::text_cut(RUN_NAME, name).0);
    }
    draft.set(read::path(at, RUN_LOG), hash);
    draft.set(read::path(at, RUN_WEIGHTING), log.weighting.map(|weighting| weighting.letter().to_string()).unwrap_or_default());
    if !is_known {
        let shift = (log.shift_s * 10.0).round() / 10.0;
        draft.set(read::path(at, RUN_SHIFT), if shift.abs() < 0.05 { String::new() } else { link::field_text(shift) });
    }
    draft.set(read::path(at, RUN_CURVE), packed::sketch(points));
    Some(row)
}

/// The phase of this name, upper case and blanks forgiven; else the first row in which nothing was typed, else a new one.
/// `None` when there are twelve.
pub fn add_phase(draft: &mut Draft, name: &str) -> Option<RowId> {
    let wanted = read::fold(name).to_lowercase();
    let rows = draft.rows(PHASES.key);
    let called = |row: &&RowId| folded(draft, read::path(Some(phase_at(**row)), PHASE_NAME)).to_lowercase() == wanted;
    let free = |row: &&RowId| !link::row_has_content(PHASES, draft, phase_at(**row));
    let found = rows.iter().find(called).or_else(|| rows.iter().find(free)).copied();
    let row = match found {
        Some(row) => row,
        None if rows.len() < MOST_PHASES => draft.add_row(PHASES.key),
        None => return None,
    };
    let path = read::path(Some(phase_at(row)), PHASE_NAME);
    if draft.get(path).trim().is_empty() {
        draft.set(path, read::text_cut(PHASE_NAME, name).0);
    }
    Some(row)
}

/// Writes what the log of a run says for new edges: every phase given gets its figures, and every other figure that came
/// from this run's log is taken out. Levels typed by hand stay.
pub fn write(draft: &mut Draft, run: RowId, figures: &[Figures]) {
    for phase in draft.rows(PHASES.key).to_vec() {
        match figures.iter().find(|one| one.phase == phase) {
            Some(one) => draft.set(entry(phase, run), packed::cell(&one.summary, &one.stretches)),
            None if entry_of(draft, phase, run).is_some() => draft.set(entry(phase, run), ""),
            None => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Level;

    fn summary(leq: f64) -> Summary {
        Summary {
            leq: Level(leq),
            l10: Level(leq + 1.0),
            l50: Level(leq),
            l90: Level(leq - 1.0),
            max: Level(leq + 2.0),
            min: Level(leq - 2.0),
            mean_db: leq - 0.1,
            count: 890,
            step_s: 1.0,
            missing: 0.0,
            standard_error_db: 0.04,
            effective_count: 380.0,
            dof: 379.0,
        }
    }

    fn figures(phase: RowId, leq: f64, stretches: Vec<(f64, f64)>) -> Figures {
        Figures { phase, summary: summary(leq), stretches }
    }

    #[test]
    fn logs_find_their_rows_and_phases_theirs_by_name() {
        let mut draft = Draft::default();
        draft.add_row("run");
        draft.add_row("phase");
        let points = [(0.0, 40.0), (900.0, 47.0)];
        let before = add_run(&mut draft, "monday.csv", "00ff00ff00ff00ff", &Told::default(), &points).unwrap();
        let after = add_run(&mut draft, "friday.csv", "11ff00ff00ff00ff", &Told { shift_s: 12.34, weighting: Some(Weighting::Z) }, &points)
            .unwrap();
        assert_eq!(draft.rows("run"), [before, after], "the empty row is used first");
        assert_eq!(draft.get(Path::cell("run", after, "shift")), "12.3");
        assert_eq!(add_run(&mut draft, "again.csv", "00ff00ff00ff00ff", &Told { shift_s: 99.0, weighting: None }, &points), Some(before));
        assert_eq!(draft.get(Path::cell("run", before, "name")), "monday.csv", "a name given once stays");
        let fill = add_phase(&mut draft, "fill").unwrap();
        assert_eq!(add_phase(&mut draft, " Fill "), Some(fill));
        let parked = add_phase(&mut draft, "parked").unwrap();
        assert_eq!(draft.rows("phase"), [fill, parked]);

        write(&mut draft, before, &[figures(fill, 47.5, vec![(60.0, 960.0)]), figures(parked, 39.3, vec![(0.0, 60.0), (960.0, 990.0)])]);
        draft.set(entry(parked, after), "40.3");
        let runs = logged(&draft);
        assert_eq!(runs.len(), 2);
        assert_eq!(runs[0].phases, [(fill, vec![(60.0, 960.0)]), (parked, vec![(0.0, 60.0), (960.0, 990.0)])]);
        assert_eq!((runs[1].hash.as_str(), runs[1].phases.len()), ("11ff00ff00ff00ff", 0));
        // New edges without “parked”: its old figures go, what was typed stays.
        write(&mut draft, before, &[figures(fill, 47.4, vec![(70.0, 960.0)])]);
        assert!(draft.get(entry(parked, before)).is_empty());
        write(&mut draft, after, &[]);
        assert_eq!(draft.get(entry(parked, after)), "40.3");
        assert!((guard_s(&draft) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_thirteenth_log_finds_no_row() {
        let mut draft = Draft::default();
        for run in 0..12 {
            assert!(add_run(&mut draft, "run", &format!("{run:016x}"), &Told::default(), &[]).is_some());
        }
        assert_eq!(add_run(&mut draft, "run", "ffffffffffffffff", &Told::default(), &[]), None);
        for phase in 0..12 {
            assert!(add_phase(&mut draft, &format!("phase {phase}")).is_some());
        }
        assert_eq!(add_phase(&mut draft, "one more"), None);
    }
}
