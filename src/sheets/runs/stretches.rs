//! The phases of one log as stretches that follow each other: what a person moves, splits, joins and names.

use super::Line;
use super::draft::Logged;
use crate::calc::draft::RowId;
use crate::calc::window::{self, SHORTEST_S, Span};

/// A stretch of a log.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// The row of its phase; nothing when it is left out.
    pub phase: Option<RowId>,
    /// Where it begins, s from the start of the log.
    pub from_s: f64,
    /// Where it ends.
    pub to_s: f64,
}

/// The stretches of a run whose log lasts so long, in the order of time. What no phase claims is a stretch too, left out.
pub fn of(run: &Logged, duration_s: f64) -> Vec<Stretch> {
    let mut named: Vec<Stretch> = run
        .phases
        .iter()
        .flat_map(|(phase, stretches)| stretches.iter().map(|(from, to)| Stretch { phase: Some(*phase), from_s: *from, to_s: *to }))
        .collect();
    crate::units::sort_few(&mut named, |one, other| one.from_s.total_cmp(&other.from_s));
    let mut all: Vec<Stretch> = Vec::new();
    let mut at = 0.0;
    for stretch in named {
        if stretch.from_s > at + SHORTEST_S / 2.0 {
            all.push(Stretch { phase: None, from_s: at, to_s: stretch.from_s });
        }
        at = stretch.to_s;
        all.push(stretch);
    }
    if duration_s > at + SHORTEST_S / 2.0 {
        all.push(Stretch { phase: None, from_s: at, to_s: duration_s });
    }
    all
}

fn spans(stretches: &[Stretch]) -> Vec<Span> {
    stretches.iter().map(|stretch| Span { from: stretch.from_s, to: stretch.to_s }).collect()
}

/// How far the edge before the stretch at `place` can be moved in a log that lasts so long, s.
pub fn limits(stretches: &[Stretch], place: usize, duration_s: f64) -> Option<Span> {
    window::edge_limits(&spans(stretches), place, duration_s)
}

/// Moves the edge before the stretch at `place`, or the end of the last one, as far as its neighbours allow.
pub fn move_edge(stretches: &mut [Stretch], place: usize, to_s: f64) {
    let spans = spans(stretches);
    let Some(limits) = window::edge_limits(&spans, place, f64::MAX).filter(|_| to_s.is_finite()) else { return };
    let moved = window::with_edge(&spans, place, crate::units::within(to_s, limits.from, limits.to));
    for (stretch, span) in stretches.iter_mut().zip(moved) {
        (stretch.from_s, stretch.to_s) = (span.from, span.to);
    }
}

/// How much later the curve of a run is drawn than that of the one whose phases are shown, s. Phase by phase: so that the first
/// phase in which neither log begins starts at one moment in both, or, where there is none, so that the logs do.
pub fn later(run: &Logged, shown: &Logged, line: Line) -> f64 {
    if line == Line::Clock {
        return run.shift_s - shown.shift_s;
    }
    let start = |run: &Logged, phase: RowId| {
        let stretches = run.phases.iter().find(|(row, _)| *row == phase).map(|(_, stretches)| stretches)?;
        stretches.iter().map(|(from, _)| *from).reduce(f64::min).filter(|from| *from > SHORTEST_S)
    };
    let pairs = shown.phases.iter().filter_map(|(phase, _)| Some((start(shown, *phase)?, start(run, *phase)?)));
    pairs.reduce(|first, other| if other.0 < first.0 { other } else { first }).map_or(0.0, |(there, here)| there - here)
}

/// Splits the stretch at `place` in its middle. The new half belongs to the same phase until it is named.
pub fn split(stretches: &mut Vec<Stretch>, place: usize) {
    let Some(stretch) = stretches.get_mut(place) else { return };
    if stretch.to_s - stretch.from_s < 2.0 * SHORTEST_S {
        return;
    }
    let middle = f64::midpoint(stretch.from_s, stretch.to_s).round();
    let after = Stretch { from_s: middle, ..stretch.clone() };
    stretch.to_s = middle;
    stretches.insert(place + 1, after);
}

/// Joins the stretch at `place` with the one after it, under the phase of the first.
pub fn join(stretches: &mut Vec<Stretch>, place: usize) {
    if place + 1 < stretches.len() {
        let after = stretches.remove(place + 1);
        if let Some(stretch) = stretches.get_mut(place) {
            stretch.to_s = after.to_s;
        }
    }
}

/// The stretches phase by phase, in the order in which each comes first.
pub fn by_phase(stretches: &[Stretch]) -> Vec<(RowId, Vec<(f64, f64)>)> {
    let mut phases: Vec<(RowId, Vec<(f64, f64)>)> = Vec::new();
    for stretch in stretches {
        let Some(phase) = stretch.phase else { continue };
        match phases.iter_mut().find(|(known, _)| *known == phase) {
            Some((_, parts)) => parts.push((stretch.from_s, stretch.to_s)),
            None => phases.push((phase, vec![(stretch.from_s, stretch.to_s)])),
        }
    }
    phases
}

/// Whom a found stretch is taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Same {
    /// The stretch at this place of the run it is compared with.
    Known(usize),
    /// A phase of its own, counted from 0. Stretches that sound alike share one.
    New(usize),
}

/// How unlike two stretches may be and still be the same phase, dB.
const ALIKE_DB: f64 = 8.0;
/// Stretches of one log nearer than this sound alike, dB; only where one lies between them.
const TWIN_DB: f64 = 1.0;

/// Names found stretches by their levels (dB, in the order of time) after those of another run: the order is kept, and the
/// differences in level, all together, are least. What finds nobody is new. The levels of each run are taken from its own
/// loudest: a quieter machine has the same phases.
pub fn matched(found: &[f64], known: &[f64]) -> Vec<Same> {
    let loudest = |levels: &[f64]| levels.iter().copied().fold(f64::MIN, f64::max);
    let apart = |one: f64, other: f64| ((one - loudest(found)) - (other - loudest(known))).abs();
    // The least cost of the first so many of each; leaving one out costs half of what two unlike ones may differ.
    let skip = ALIKE_DB / 2.0;
    let width = known.len() + 1;
    let mut cost = vec![0.0; (found.len() + 1) * width];
    let at = |row: usize, column: usize| row * width + column;
    let get = |cost: &[f64], place: usize| cost.get(place).copied().unwrap_or(f64::MAX);
    for row in 0..=found.len() {
        for column in 0..=known.len() {
            let mut least = if row == 0 && column == 0 { 0.0 } else { f64::MAX };
            if row > 0 {
                least = least.min(get(&cost, at(row - 1, column)) + skip);
            }
            if column > 0 {
                least = least.min(get(&cost, at(row, column - 1)) + skip);
            }
            if let (Some(one), Some(other)) =
                (row.checked_sub(1).and_then(|row| found.get(row)), column.checked_sub(1).and_then(|column| known.get(column)))
            {
                least = least.min(get(&cost, at(row - 1, column - 1)) + apart(*one, *other));
            }
            if let Some(place) = cost.get_mut(at(row, column)) {
                *place = least;
            }
        }
    }
    let mut taken = vec![None; found.len()];
    let (mut row, mut column) = (found.len(), known.len());
    while row > 0 && column > 0 {
        let now = get(&cost, at(row, column));
        let pair = found.get(row - 1).zip(known.get(column - 1)).map_or(f64::MAX, |(one, other)| apart(*one, *other));
        if (get(&cost, at(row - 1, column - 1)) + pair - now).abs() < 1e-9 {
            if let Some(place) = taken.get_mut(row - 1) {
                *place = Some(column - 1);
            }
            (row, column) = (row - 1, column - 1);
        } else if (get(&cost, at(row - 1, column)) + skip - now).abs() < 1e-9 {
            row -= 1;
        } else {
            column -= 1;
        }
    }
    let mut fresh: Vec<(usize, f64)> = Vec::new();
    let mut all = Vec::new();
    for (place, (known, level)) in taken.into_iter().zip(found).enumerate() {
        all.push(if let Some(known) = known {
            Same::Known(known)
        } else if let Some(twin) = fresh.iter().position(|(last, other)| last + 1 < place && (other - level).abs() < TWIN_DB) {
            if let Some(twin) = fresh.get_mut(twin) {
                twin.0 = place;
            }
            Same::New(twin)
        } else {
            fresh.push((place, *level));
            Same::New(fresh.len() - 1)
        });
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::Set;
    use super::*;

    fn run() -> Logged {
        Logged {
            run: 1,
            name: String::new(),
            hash: "0".repeat(16),
            set: Set::Before,
            shift_s: 0.0,
            phases: vec![(3, vec![(0.0, 60.0), (980.0, 1000.0)]), (5, vec![(80.0, 980.0)])],
        }
    }

    #[test]
    fn what_no_phase_claims_is_left_out_but_there() {
        let all = of(&run(), 1100.0);
        let shape: Vec<(Option<RowId>, f64, f64)> = all.iter().map(|one| (one.phase, one.from_s, one.to_s)).collect();
        assert_eq!(
            shape,
            [(Some(3), 0.0, 60.0), (None, 60.0, 80.0), (Some(5), 80.0, 980.0), (Some(3), 980.0, 1000.0), (None, 1000.0, 1100.0)]
        );
        assert_eq!(by_phase(&all), run().phases);
    }

    #[test]
    fn an_edge_stops_at_its_neighbours() {
        let mut all = of(&run(), 1000.0);
        move_edge(&mut all, 1, 70.0);
        assert_eq!((all[0].to_s, all[1].from_s), (70.0, 70.0));
        move_edge(&mut all, 1, 500.0);
        assert_eq!((all[0].to_s, all[1].from_s), (79.0, 79.0));
        move_edge(&mut all, 0, -5.0);
        assert!(all[0].from_s.abs() < 1e-12);
        let last = all.len();
        move_edge(&mut all, last, 990.0);
        assert!((all[last - 1].to_s - 990.0).abs() < 1e-12);
        move_edge(&mut all, 1, f64::NAN);
        assert!((all[1].from_s - 79.0).abs() < 1e-12);
    }

    #[test]
    fn curves_lie_over_each_other_where_a_phase_begins_or_by_the_clock() {
        // The other log was begun 25 s later in the job, so that its first phase is cut short; the clocks say 40 s.
        let shown = run();
        let late = Logged { shift_s: 40.0, phases: vec![(3, vec![(0.0, 35.0), (955.0, 975.0)]), (5, vec![(55.0, 955.0)])], ..run() };
        assert!((later(&late, &shown, Line::Phase) - 25.0).abs() < 1e-12);
        assert!((later(&shown, &late, Line::Phase) + 25.0).abs() < 1e-12);
        assert!((later(&late, &shown, Line::Clock) - 40.0).abs() < 1e-12);
        // Only the phase in which both begin: nothing to line up by.
        let first = Logged { phases: vec![(3, vec![(0.0, 60.0)])], ..run() };
        assert!(later(&first, &shown, Line::Phase).abs() < 1e-12);
    }

    #[test]
    fn splitting_and_joining_undo_each_other() {
        let mut all = of(&run(), 1000.0);
        let before = all.clone();
        split(&mut all, 2);
        assert_eq!(all.len(), before.len() + 1);
        assert_eq!((all[2].to_s, all[3].from_s, all[3].phase), (530.0, 530.0, Some(5)));
        join(&mut all, 2);
        assert_eq!(all, before);
        join(&mut all, 99);
        split(&mut all, 99);
        assert_eq!(all, before);
    }

    #[test]
    fn the_quieter_machine_has_the_same_phases() {
        // Parked, homing, outline, fill, parked; afterwards parked is louder, everything else quieter.
        let (before, after) = ([38.4, 50.2, 44.7, 46.1, 38.4], [39.5, 48.7, 42.7, 43.5, 39.5]);
        assert_eq!(matched(&after, &before), [0, 1, 2, 3, 4].map(Same::Known));
        // A log that was begun late has no first phase.
        assert_eq!(matched(&after[1..], &before), [1, 2, 3, 4].map(Same::Known));
    }

    #[test]
    fn in_a_first_log_what_sounds_alike_is_one_phase() {
        let found = matched(&[38.4, 50.2, 44.7, 46.1, 38.5], &[]);
        assert_eq!(found, [Same::New(0), Same::New(1), Same::New(2), Same::New(3), Same::New(0)]);
        assert!(matched(&[], &[40.0]).is_empty());
    }
}
