//! The levels of each phase and run, what the room leaves of them, the typical job, and what changed.

use super::{Entry, Inputs, Name, Phase, Run, Set};
use crate::formulas::compare::{self, CERTAIN, Judged, Stat, Verdict};
use crate::formulas::levels::{self, Grade};
use crate::formulas::loudness::{self, Comparison as Loudness, Noticeable, Spectrum};
use crate::formulas::series::Summary;
use crate::formulas::{FormulaError, uncertainty};
use crate::sheets::reading::{Ground, Measured, USUAL_PM, Used, WHOLE_STEP, all_whole, used};
use crate::units::{Gain, Level, PlusMinus, Weighting, count_to_f64, within};

/// The step of a display that shows tenths, dB.
const TENTH: f64 = 0.1;
/// Fewer eye readings than this say too little of their scatter.
const FEWEST_READINGS: usize = 3;
/// What averages over whole logs must be off to be worth a word, dB.
const MISLED: f64 = 0.3;
/// How much longer a recording must be before its maximum is worth a word, times.
const LONGER: f64 = 1.2;
/// How far the plain mean must be off to be worth a word, dB.
const PLAIN: f64 = 0.05;

/// What one run says of one phase.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// As recorded or read, the room included.
    pub raw: Stat,
    /// What is compared: without the room where that can be taken away.
    pub used: Stat,
    /// How far the room is below: how good the level without it is. `None` without a reading of the room.
    pub grade: Option<Grade>,
    /// Everything a log says; `None` for levels read by eye.
    pub summary: Option<Summary>,
    /// How long it was recorded, s.
    pub lasted: Option<f64>,
}

/// What became of the room in a phase.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Room {
    /// Taken away in every run.
    Taken,
    /// No run has a reading of it.
    Unknown,
    /// Some runs have none, so it is left in all of them.
    Partly,
    /// Too close to the sound to be taken away.
    Hides,
}

/// A phase that counts.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// Its place among the inputs.
    pub phase: usize,
    /// By run.
    pub seen: Vec<Option<Seen>>,
    /// What became of the room.
    pub room: Room,
    /// How long it lasts in a typical job, s: as typed, or as recorded on average.
    pub lasts: Option<f64>,
}

/// What was compared: a phase by its place among those that count, or the typical job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// A phase.
    Phase(usize),
    /// The typical job.
    Job,
}

/// One line of a comparison.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// What was compared.
    pub what: What,
    /// The change.
    pub judged: Judged,
    /// The verdict.
    pub verdict: Verdict,
    /// By how much the room itself changed, where it could not be taken away and may be what changed.
    pub room: Option<Gain>,
}

/// One set of runs against another.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// From these runs.
    pub from: Vec<usize>,
    /// To these.
    pub to: Vec<usize>,
    /// The state it leads to.
    pub set: Set,
    /// The phases that both have.
    pub phases: Vec<Line>,
    /// The typical job, when there is more than one phase and it is known how long each lasts.
    pub job: Option<Line>,
    /// Phases that some of these runs lack: no part of the job.
    pub partial: Vec<usize>,
}

impl Comparison {
    /// The line the answer leads with: the job, else the loudest phase; of those for which there are readings enough.
    pub fn lead(&self) -> Option<&Line> {
        let louder = |one: &&Line, other: &&Line| one.judged.before.0.total_cmp(&other.judged.before.0);
        let enough = |line: &&Line| line.verdict != Verdict::TooFew;
        let shown = self.job.as_ref().filter(enough).or_else(|| self.phases.iter().filter(enough).max_by(louder));
        shown.or(self.job.as_ref()).or_else(|| self.phases.iter().max_by(louder))
    }

    /// The line of a phase.
    pub fn of(&self, place: usize) -> Option<&Line> {
        self.phases.iter().find(|line| line.what == What::Phase(place))
    }
}

/// The mean decibel of a phase beside its energy mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plain {
    /// The phase, by its place among those that count.
    pub place: usize,
    /// The run.
    pub run: usize,
    /// The mean of the decibels, wrong.
    pub mean: f64,
    /// The energy mean.
    pub energy: Level,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The phases that count.
    pub phases: Vec<Counted>,
    /// The runs that count, by their places among the inputs: a log that is there twice counts once.
    pub runs: Vec<usize>,
    /// Runs left out since their log is there already.
    pub twice: Vec<usize>,
    /// The room of each run.
    pub rooms: Vec<Option<Used>>,
    /// The level of the typical job in each run.
    pub jobs: Vec<Option<Stat>>,
    /// The share of each phase in the energy of the typical job, over all runs that count, and its level.
    pub shares: Vec<Option<(f64, Level)>>,
    /// The comparisons, the leading one first. None when all runs show the same state.
    pub comparisons: Vec<Comparison>,
    /// Before and after the change was taken back, by phase: whether anything drifted.
    pub drift: Option<Comparison>,
    /// What averages over everything recorded would have said, where that misleads.
    pub misled: Option<Gain>,
    /// Phases whose maximum grew although their level did not, recorded longer.
    pub grown: Vec<usize>,
    /// The plain mean once, and why it is wrong.
    pub plain: Option<Plain>,
    /// Loudness of the leading line.
    pub loudness: Option<Loudness>,
    /// Whether the leading change would be noticed.
    pub noticed: Option<Noticeable>,
    /// Cells that could not be read: phase and run.
    pub unread: Vec<(usize, usize)>,
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Impossible {
    /// The same log stands for two states.
    SameLog {
        /// One run.
        first: usize,
        /// The other.
        second: usize,
    },
    /// Every phase with a level is left out.
    AllLeftOut,
    /// Nothing in the cells can be read.
    NothingRead,
    /// No phase has a level in both states.
    NothingInCommon,
    /// Levels of different weighting.
    Mixed(Weighting, Weighting),
    /// A formula has no value here.
    Formula(FormulaError),
}

impl From<FormulaError> for Impossible {
    fn from(error: FormulaError) -> Self {
        Self::Formula(error)
    }
}

/// The standard uncertainty of a display step, dB.
fn step(size: f64) -> f64 {
    size / 12_f64.sqrt()
}

fn of_entry(entry: &Entry, whole: bool) -> Result<Option<Seen>, FormulaError> {
    let (raw, summary, lasted) = match entry {
        Entry::Empty | Entry::Unread => return Ok(None),
        Entry::Log(packed) => {
            let one = packed.summary;
            // A curve that never moves shows the step of the display, not that the level is certain.
            let flat = if one.standard_error_db > 0.0 { 0.0 } else { step(TENTH) };
            let stretches: f64 = packed.stretches.iter().map(|(from, to)| to - from).sum();
            // A gap counts for nothing.
            let lasted = if stretches > 0.0 { stretches * (1.0 - one.missing) } else { one.duration_s() };
            let few = one.too_few();
            (Stat { level: one.leq, error: one.standard_error_db, dof: one.dof, few, step: flat }, Some(one), Some(lasted))
        }
        Entry::Eye(read) => {
            let step = step(if whole { WHOLE_STEP } else { TENTH });
            let stat = match read.as_slice() {
                [only] => Stat { level: *only, error: 0.0, dof: 0.0, few: true, step },
                several => by_eye(several, whole, step)?,
            };
            (stat, None, None)
        }
    };
    Ok(Some(Seen { raw, used: raw, grade: None, summary, lasted }))
}

/// Several eye readings of one phase in one run: as on every sheet their spread counts where it gives the wider ±, else the ±
/// that is usual for a reading.
fn by_eye(several: &[Level], whole: bool, step: f64) -> Result<Stat, FormulaError> {
    let found = uncertainty::readings(several)?;
    let count = count_to_f64(found.count);
    let measured =
        Measured { level: found.mean.value, single: several.to_vec(), spread: Some(found.mean.half_width), whole, stated: USUAL_PM };
    let used = used(&measured, whole)?;
    let (error, dof, step) = match used.ground {
        Ground::Spread => (found.deviation / count.sqrt(), count - 1.0, step),
        // The step of the display is in it.
        Ground::Stated | Ground::WholeNumbers => (used.level.standard(), CERTAIN, 0.0),
    };
    Ok(Stat { level: found.mean.value, error, dof, few: found.count < FEWEST_READINGS, step })
}

/// The same without the room. DIFFERENCE: by the exact formula at every distance, above 15 dB, too, so that two levels on either side
/// of that limit stay comparable.
fn without_room(stat: Stat, room: PlusMinus<Level>) -> Result<Stat, FormulaError> {
    let level = levels::remove_background(stat.level, room.value)?;
    let q = 10_f64.powf((room.value - stat.level).0 / 10.0);
    // The room's own uncertainty counts like a step of the display: nothing in the run tells of it.
    let step = stat.step.hypot(q * room.standard()) / (1.0 - q);
    Ok(Stat { level, error: stat.error / (1.0 - q), step, ..stat })
}

fn counted(inputs: &Inputs, runs: &[usize], rooms: &[Option<Used>], phase: usize, of: &Phase) -> Result<Counted, FormulaError> {
    let mut seen: Vec<Option<Seen>> = Vec::new();
    for (run, entry) in of.entries.iter().enumerate() {
        seen.push(if runs.contains(&run) { of_entry(entry, inputs.whole)? } else { None });
    }
    let (mut known, mut clear, mut all) = (0, 0, 0);
    for (one, room) in seen.iter_mut().zip(rooms) {
        let Some(one) = one else { continue };
        all += 1;
        let Some(room) = room else { continue };
        known += 1;
        let grade = levels::grade(one.raw.level - room.level.value)?;
        one.grade = Some(grade);
        if matches!(grade, Grade::Solid | Grade::Rough) {
            clear += 1;
        }
    }
    let room = match (known, clear) {
        (0, _) => Room::Unknown,
        _ if known < all => Room::Partly,
        _ if clear < all => Room::Hides,
        _ => Room::Taken,
    };
    if room == Room::Taken {
        for (one, room) in seen.iter_mut().zip(rooms) {
            if let (Some(one), Some(room)) = (one, room) {
                one.used = without_room(one.raw, room.level)?;
            }
        }
    }
    let recorded: Vec<f64> = seen.iter().flatten().filter_map(|one| one.lasted).collect();
    let mean = recorded.iter().sum::<f64>() / count_to_f64(recorded.len().max(1));
    let lasts = of.usual.or((mean > 0.0).then_some(mean));
    Ok(Counted { phase, seen, room, lasts })
}

/// The level of a typical job in one run, from the phases at these places.
fn job(phases: &[Counted], places: &[usize], run: usize) -> Result<Option<Stat>, FormulaError> {
    let mut parts: Vec<(Stat, f64)> = Vec::new();
    for place in places {
        let Some(counted) = phases.get(*place) else { return Ok(None) };
        let (Some(seen), Some(lasts)) = (counted.seen.get(run).and_then(Option::as_ref), counted.lasts) else { return Ok(None) };
        parts.push((seen.used, lasts));
    }
    if parts.is_empty() {
        return Ok(None);
    }
    let level = levels::time_mean(&parts.iter().map(|(stat, lasts)| (stat.level, *lasts)).collect::<Vec<_>>())?;
    let total: f64 = parts.iter().map(|(_, lasts)| lasts).sum();
    let share = |stat: &Stat, lasts: f64| lasts / total * 10_f64.powf((stat.level - level).0 / 10.0);
    let pieces: Vec<(f64, f64)> = parts.iter().map(|(stat, lasts)| ((share(stat, *lasts) * stat.error).powi(2), stat.dof)).collect();
    let variance: f64 = pieces.iter().map(|(variance, _)| variance).sum();
    let by: f64 = pieces.iter().filter(|(_, dof)| *dof >= 1.0).map(|(variance, dof)| variance * variance / dof).sum();
    let known = parts.iter().all(|(stat, _)| stat.dof >= 1.0);
    let dof = if !known {
        0.0
    } else if by > 0.0 {
        within(variance * variance / by, 1.0, CERTAIN)
    } else {
        CERTAIN
    };
    // A phase with too few readings spoils the job only as far as it matters there: half of the scatter or more.
    let few = !known
        || parts.iter().zip(&pieces).any(|((stat, lasts), (one, _))| stat.few && (*one >= 0.5 * variance || share(stat, *lasts) >= 0.5));
    let step = parts.iter().map(|(stat, lasts)| (share(stat, *lasts) * stat.step).powi(2)).sum::<f64>().sqrt();
    Ok(Some(Stat { level, error: variance.sqrt(), dof, few, step }))
}

/// By how much the room changed from some runs to others, where that is more than its ±.
fn room_change(rooms: &[Option<Used>], from: &[usize], to: &[usize]) -> Option<Gain> {
    let mean = |runs: &[usize]| -> Option<(f64, f64)> {
        let levels: Option<Vec<PlusMinus<Level>>> = runs.iter().map(|run| Some(rooms.get(*run)?.as_ref()?.level)).collect();
        let levels = levels.filter(|levels| !levels.is_empty())?;
        let count = count_to_f64(levels.len());
        let squares: f64 = levels.iter().map(|level| level.half_width * level.half_width).sum();
        Some((levels.iter().map(|level| level.value.0).sum::<f64>() / count, squares.sqrt() / count))
    };
    let (before, after) = (mean(from)?, mean(to)?);
    let apart = after.0 - before.0;
    (apart.abs() > before.1.hypot(after.1)).then_some(Gain(apart))
}

impl Line {
    /// Takes the verdict, unless a room that changed may stand behind the change. A room that went the other way only makes the
    /// machine's own change larger.
    fn decide(&mut self, verdict: Verdict) {
        let shown = matches!(verdict, Verdict::Quieter | Verdict::Louder);
        let change = self.judged.change.0;
        self.room = self.room.filter(|room| verdict != Verdict::TooFew && !(shown && room.0 * change < 0.0));
        self.verdict = if self.room.is_some() { Verdict::CannotTell } else { verdict };
    }
}

fn compare(
    phases: &[Counted],
    rooms: &[Option<Used>],
    from: Vec<usize>,
    to: Vec<usize>,
    set: Set,
    same: f64,
) -> Result<Comparison, FormulaError> {
    let stats = |counted: &Counted, runs: &[usize]| -> Vec<Stat> {
        runs.iter().filter_map(|run| Some(counted.seen.get(*run)?.as_ref()?.used)).collect()
    };
    let mut lines = Vec::new();
    let (mut whole, mut partial) = (Vec::new(), Vec::new());
    for (place, counted) in phases.iter().enumerate() {
        let (first, second) = (stats(counted, &from), stats(counted, &to));
        if first.is_empty() || second.is_empty() {
            if !(first.is_empty() && second.is_empty()) {
                partial.push(place);
            }
            continue;
        }
        if first.len() == from.len() && second.len() == to.len() {
            whole.push(place);
        } else {
            partial.push(place);
        }
        let judged = compare::judge(&first, &second)?;
        let room = if counted.room == Room::Hides { room_change(rooms, &from, &to) } else { None };
        lines.push(Line { what: What::Phase(place), judged, verdict: Verdict::TooFew, room });
    }
    // What is too few to be relied on is no trial: it must not cost the others their verdict.
    let chances: Vec<Option<f64>> =
        lines.iter().map(|line| line.judged.spread.filter(|_| !line.judged.few).map(|spread| spread.p)).collect();
    for (line, chance) in lines.iter_mut().zip(compare::holm(&chances)?) {
        let verdict = compare::verdict(&line.judged, chance, Gain(same))?;
        line.decide(verdict);
    }
    let of_runs = |runs: &[usize]| -> Result<Option<Vec<Stat>>, FormulaError> {
        runs.iter().map(|run| job(phases, &whole, *run)).collect::<Result<Option<Vec<_>>, _>>()
    };
    let job = match (of_runs(&from)?, of_runs(&to)?) {
        (Some(first), Some(second)) if whole.len() > 1 => {
            let judged = compare::judge(&first, &second)?;
            let verdict = compare::verdict(&judged, judged.spread.map(|spread| spread.p), Gain(same))?;
            let hides = whole.iter().any(|place| phases.get(*place).is_some_and(|counted| counted.room == Room::Hides));
            let room = if hides { room_change(rooms, &from, &to) } else { None };
            let mut line = Line { what: What::Job, judged, verdict, room };
            line.decide(verdict);
            Some(line)
        }
        _ => None,
    };
    Ok(Comparison { from, to, set, phases: lines, job, partial })
}

/// The average over everything recorded of a run, phases as they were recorded.
fn overall(phases: &[Counted], run: usize) -> Option<Level> {
    let mut parts = Vec::new();
    for counted in phases {
        let Some(seen) = counted.seen.get(run).and_then(Option::as_ref) else { continue };
        parts.push((seen.raw.level, seen.lasted?));
    }
    levels::time_mean(&parts).ok()
}

fn misled(phases: &[Counted], leading: &Comparison) -> Option<Gain> {
    let mean = |runs: &[usize]| -> Option<Level> {
        let all: Option<Vec<Level>> = runs.iter().map(|run| overall(phases, *run)).collect();
        levels::energy_mean(&all?).ok()
    };
    let honest = leading.job.as_ref()?.judged.change;
    let said = mean(&leading.to)? - mean(&leading.from)?;
    ((said - honest).0.abs() >= MISLED).then_some(said)
}

/// Whether the maximum of a phase grew, recorded longer, although its level did not.
fn has_grown(counted: &Counted, leading: &Comparison, line: &Line) -> bool {
    let most = |runs: &[usize]| -> Option<(f64, f64)> {
        let of = runs.iter().filter_map(|run| counted.seen.get(*run)?.as_ref()?.summary);
        of.map(|summary| (summary.max.0, summary.duration_s())).reduce(|one, other| (one.0.max(other.0), one.1 + other.1))
    };
    match (most(&leading.from), most(&leading.to)) {
        (Some(from), Some(to)) => to.0 > from.0 && to.1 > LONGER * from.1 && line.judged.change.0 <= 0.0,
        _ => false,
    }
}

fn plain(phases: &[Counted]) -> Option<Plain> {
    let mut worst: Option<Plain> = None;
    for (place, counted) in phases.iter().enumerate() {
        for (run, seen) in counted.seen.iter().enumerate() {
            let Some(summary) = seen.as_ref().and_then(|seen| seen.summary) else { continue };
            let off = (summary.leq.0 - summary.mean_db).abs();
            if off >= PLAIN && worst.is_none_or(|worst| off > (worst.energy.0 - worst.mean).abs()) {
                worst = Some(Plain { place, run, mean: summary.mean_db, energy: summary.leq });
            }
        }
    }
    worst
}

/// The share of each phase in the energy of the typical job over all runs, and its level there.
fn shares(phases: &[Counted]) -> Vec<Option<(f64, Level)>> {
    let level = |counted: &Counted| {
        let used: Vec<Level> = counted.seen.iter().flatten().map(|seen| seen.used.level).collect();
        levels::energy_mean(&used).ok()
    };
    let found: Vec<Option<(Level, f64)>> = phases.iter().map(|counted| Some((level(counted)?, counted.lasts?))).collect();
    let only = found.len() == 1;
    let whole: Option<Vec<(Level, f64)>> = found.iter().copied().collect();
    let total: f64 = whole.unwrap_or_default().iter().map(|(level, lasts)| level.to_energy().0 * lasts).sum();
    phases
        .iter()
        .map(|counted| {
            let level = level(counted)?;
            match counted.lasts {
                Some(lasts) if total > 0.0 => Some((level.to_energy().0 * lasts / total, level)),
                _ if only => Some((1.0, level)),
                _ => None,
            }
        })
        .collect()
}

pub(super) fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
    if let Some((one, other)) = inputs.mixed {
        return Err(Impossible::Mixed(one, other));
    }
    let (runs, twice) = once(&inputs.runs)?;
    let mut unread = Vec::new();
    for (phase, of) in inputs.phases.iter().enumerate() {
        unread.extend(of.entries.iter().enumerate().filter(|(_, entry)| **entry == Entry::Unread).map(|(run, _)| (phase, run)));
    }
    let whole = all_whole(inputs.runs.iter().filter_map(|run| run.back.as_ref()));
    let rooms: Vec<Option<Used>> =
        inputs.runs.iter().map(|run| run.back.as_ref().map(|back| used(back, whole)).transpose()).collect::<Result<_, _>>()?;
    let has_level = |phase: &Phase| phase.entries.iter().any(|entry| matches!(entry, Entry::Log(_) | Entry::Eye(_)));
    let with_levels = inputs.phases.iter().enumerate().filter(|(_, phase)| has_level(phase));
    let mut phases = Vec::new();
    for (place, of) in with_levels.clone().filter(|(_, phase)| !phase.skip) {
        let counted = counted(inputs, &runs, &rooms, place, of)?;
        if counted.seen.iter().any(Option::is_some) {
            phases.push(counted);
        }
    }
    if phases.is_empty() {
        return Err(if with_levels.count() == 0 { Impossible::NothingRead } else { Impossible::AllLeftOut });
    }
    let places: Vec<usize> = (0..phases.len()).collect();
    let jobs = (0..inputs.runs.len()).map(|run| job(&phases, &places, run)).collect::<Result<_, _>>()?;
    let has_any = |run: &usize| phases.iter().any(|counted| counted.seen.get(*run).is_some_and(Option::is_some));
    let of = |sets: &[Set]| -> Vec<usize> {
        let in_set = |run: &&usize| inputs.runs.get(**run).is_some_and(|run| sets.contains(&run.set)) && has_any(run);
        runs.iter().filter(in_set).copied().collect()
    };
    let (before, after, second, again) = (of(&[Set::Before]), of(&[Set::After]), of(&[Set::Second]), of(&[Set::Again]));
    let reference = of(&[Set::Before, Set::Again]);
    let mut comparisons = Vec::new();
    for (from, to, set) in [(&reference, &after, Set::After), (&reference, &second, Set::Second), (&after, &second, Set::Second)] {
        if !from.is_empty() && !to.is_empty() {
            comparisons.push(compare(&phases, &rooms, from.clone(), to.clone(), set, inputs.same)?);
        }
    }
    let tried = !comparisons.is_empty();
    comparisons.retain(|comparison| !comparison.phases.is_empty());
    if tried && comparisons.is_empty() {
        return Err(Impossible::NothingInCommon);
    }
    let drift = if before.is_empty() || again.is_empty() {
        None
    } else {
        Some(compare(&phases, &rooms, before, again, Set::Again, inputs.same)?).filter(|drift| !drift.phases.is_empty())
    };
    let leading = comparisons.first();
    let lead = leading.and_then(Comparison::lead).copied();
    let grown = leading.map(|leading| {
        let lines = leading.phases.iter().filter_map(|line| match line.what {
            What::Phase(place) => Some((place, phases.get(place)?, line)),
            What::Job => None,
        });
        lines.filter(|(_, counted, line)| has_grown(counted, leading, line)).map(|(place, ..)| place).collect()
    });
    let loudness = lead.filter(|_| inputs.weighting == Weighting::A);
    let loudness = loudness.and_then(|line| loudness::ratio(line.judged.before, line.judged.after, Spectrum::AsPhon).ok());
    let noticed = match lead.and_then(|line| Some((line.judged.change, line.judged.spread?.half))) {
        Some((change, half)) => Some(loudness::noticeable(PlusMinus::new(change, half.min(1e6)))?),
        None => None,
    };
    Ok(Answer {
        misled: leading.and_then(|leading| misled(&phases, leading)),
        grown: grown.unwrap_or_default(),
        plain: plain(&phases),
        shares: shares(&phases),
        runs,
        twice,
        rooms,
        jobs,
        comparisons,
        drift,
        loudness,
        noticed,
        unread,
        phases,
    })
}

/// The runs that count. A log that is there twice counts once; for two states of the machine it cannot stand.
fn once(runs: &[Run]) -> Result<(Vec<usize>, Vec<usize>), Impossible> {
    let (mut counts, mut twice): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
    for (place, run) in runs.iter().enumerate() {
        let same = |other: &&usize| !run.log.is_empty() && runs.get(**other).is_some_and(|other| other.log.eq_ignore_ascii_case(&run.log));
        match counts.iter().find(same) {
            None => counts.push(place),
            Some(first) if runs.get(*first).is_some_and(|first| first.set == run.set) => twice.push(place),
            Some(first) => return Err(Impossible::SameLog { first: *first, second: place }),
        }
    }
    Ok((counts, twice))
}

impl Answer {
    /// The name of a phase that counts, by its place among those.
    pub fn name<'a>(&self, inputs: &'a Inputs, place: usize) -> Option<&'a Name> {
        Some(&inputs.phases.get(self.phases.get(place)?.phase)?.name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::draft::Draft;
    use crate::formulas::chance::Chance;
    use crate::sheets::runs::{Packed, cell_text, decode};
    use approx::assert_abs_diff_eq;

    fn name(typed: &str) -> Name {
        Name { typed: typed.to_owned(), number: 1 }
    }

    fn run(row: u32, set: Set, back: Option<f64>) -> Run {
        let back =
            back.map(|level| Measured { level: Level(level), single: vec![Level(level)], spread: None, whole: false, stated: USUAL_PM });
        Run { row, name: name("run"), set, back, log: String::new(), weighting: None, shift: 0.0, curve: Vec::new() }
    }

    fn inputs(runs: Vec<Run>, phases: Vec<Phase>) -> Inputs {
        Inputs {
            runs,
            phases,
            line: crate::sheets::runs::Line::Phase,
            guard: 5.0,
            same: 1.0,
            whole: false,
            mixed: None,
            weighting: Weighting::A,
            header: Draft::default(),
        }
    }

    fn phase(usual: f64, entries: Vec<Entry>) -> Phase {
        Phase { row: 0, name: name("phase"), usual: Some(usual), skip: false, entries }
    }

    fn log(chance: &mut Chance, leq: f64) -> Packed {
        let spread = 0.2 + 2.0 * chance.unit();
        let effective = 3.0 + 400.0 * chance.unit();
        let summary = Summary {
            leq: Level(leq),
            l10: Level(leq + spread),
            l50: Level(leq - 0.1),
            l90: Level(leq - spread),
            max: Level(leq + 3.0 * spread),
            min: Level(leq - 3.0 * spread),
            mean_db: leq - 0.1 * spread * spread,
            count: 900,
            step_s: 1.0,
            missing: 0.0,
            standard_error_db: spread / effective.sqrt(),
            effective_count: effective,
            dof: effective - 1.0,
        };
        Packed { summary, stretches: vec![(0.0, 900.0)] }
    }

    #[test]
    fn a_change_and_its_interval_are_the_same_as_sent_to_a_hundredth() {
        let mut chance = Chance::new(3);
        for round in 0..300 {
            let room = (round % 2 == 0).then(|| 25.0 + 8.0 * chance.unit());
            let each = 1 + round % 3;
            let runs: Vec<Run> =
                (0..2 * each).map(|at| run(u32::try_from(at).unwrap(), if at < each { Set::Before } else { Set::After }, room)).collect();
            let mut made: Vec<Vec<Packed>> = Vec::new();
            for _ in 0..3 {
                let base = 37.0 + 15.0 * chance.unit();
                made.push(
                    (0..2 * each)
                        .map(|at| {
                            let drop = if at < each { 0.0 } else { 2.0 };
                            let leq = base - drop + chance.unit();
                            log(&mut chance, leq)
                        })
                        .collect(),
                );
            }
            let phases = |sent: bool| -> Vec<Phase> {
                let entry = |packed: &Packed| {
                    let packed = if sent { decode(&cell_text(&packed.summary, &packed.stretches)).unwrap() } else { packed.clone() };
                    Entry::Log(Box::new(packed))
                };
                made.iter().map(|of| phase(60.0, of.iter().map(entry).collect())).collect()
            };
            let here = solve(&inputs(runs.clone(), phases(false))).unwrap();
            let there = solve(&inputs(runs, phases(true))).unwrap();
            let lines = |answer: &Answer| -> Vec<Judged> {
                let of = &answer.comparisons[0];
                of.phases.iter().chain(&of.job).map(|line| line.judged).collect()
            };
            for (here, there) in lines(&here).into_iter().zip(lines(&there)) {
                assert_abs_diff_eq!(here.change.0, there.change.0, epsilon = 0.005);
                let (here, there) = (here.spread.unwrap(), there.spread.unwrap());
                assert_abs_diff_eq!(here.half, there.half, epsilon = 0.005);
            }
        }
    }

    #[test]
    fn the_typical_job_weighs_each_phase_by_how_long_it_usually_lasts() {
        // 60 dB for 5 min and 40 dB for 55 min: 10·lg((5·10^6 + 55·10^4)/60) = 49.6614 dB.
        let eye = |level: f64| Entry::Eye(vec![Level(level)]);
        let phases = vec![phase(300.0, vec![eye(60.0)]), phase(3300.0, vec![eye(40.0)])];
        let answer = solve(&inputs(vec![run(0, Set::Before, None)], phases)).unwrap();
        assert_abs_diff_eq!(answer.jobs[0].unwrap().level.0, 49.6614, epsilon = 1e-4);
        assert_abs_diff_eq!(answer.shares[0].unwrap().0, 0.900_900_9, epsilon = 1e-6);
    }

    #[test]
    fn the_room_widens_the_error_by_the_law_of_propagation() {
        // 8 dB apart: the error of the run counts 1.1883 times, that of the room 0.1883 times.
        let stat = Stat { level: Level(46.0), error: 0.5, dof: 100.0, few: false, step: 0.0 };
        let without = without_room(stat, PlusMinus::from_standard(Level(38.0), 0.5)).unwrap();
        assert_abs_diff_eq!(without.error, 0.5 * 1.1883, epsilon = 1e-4);
        assert_abs_diff_eq!(without.step, 0.5 * 0.1883, epsilon = 1e-4);
        assert_abs_diff_eq!(without.error.hypot(without.step), 0.6016, epsilon = 1e-4);
    }

    fn recorded(leq: f64, max: f64, seconds: u32) -> Packed {
        let quiet = Summary { max: Level(max), mean_db: leq, count: seconds, ..log(&mut Chance::new(1), leq).summary };
        Packed { summary: Summary { standard_error_db: 0.2, effective_count: 100.0, dof: 8.0, ..quiet }, stretches: vec![] }
    }

    fn logs(of: &[Packed]) -> Vec<Entry> {
        of.iter().map(|packed| Entry::Log(Box::new(packed.clone()))).collect()
    }

    fn eyes(levels: &[f64]) -> Vec<Entry> {
        levels.iter().map(|level| if *level > 0.0 { Entry::Eye(vec![Level(*level)]) } else { Entry::Empty }).collect()
    }

    fn before_and_after(rooms: [Option<f64>; 2]) -> Vec<Run> {
        vec![run(0, Set::Before, rooms[0]), run(1, Set::After, rooms[1])]
    }

    fn stat(level: f64, error: f64, dof: f64, step: f64) -> Stat {
        Stat { level: Level(level), error, dof, few: false, step }
    }

    fn alone(stat: Stat, lasts: f64) -> Counted {
        let seen = Seen { raw: stat, used: stat, grade: None, summary: None, lasted: None };
        Counted { phase: 0, seen: vec![Some(seen)], room: Room::Unknown, lasts: Some(lasts) }
    }

    #[test]
    fn eye_readings_have_the_error_of_their_spread_or_the_usual_one() {
        // Of 41, 43 and 45.5: s = 2.254 625, s/√3 = 1.301 708; energy mean 43.555 359.
        let read = |levels: &[f64], whole| of_entry(&Entry::Eye(levels.iter().copied().map(Level).collect()), whole).unwrap().unwrap().raw;
        let wide = read(&[41.0, 43.0, 45.5], false);
        assert_abs_diff_eq!(wide.level.0, 43.555_359, epsilon = 1e-6);
        assert_abs_diff_eq!(wide.error, 1.301_708, epsilon = 1e-6);
        assert_abs_diff_eq!(wide.dof, 2.0);
        assert_abs_diff_eq!(wide.step, 0.1 / 12_f64.sqrt(), epsilon = 1e-12);
        assert!(!wide.few && read(&[41.0, 46.0], false).few);
        // Two alike: the usual ± of 0.5 dB, its standard uncertainty taken as certain, the step of the display within it.
        let alike = read(&[41.0, 41.0], false);
        assert_abs_diff_eq!(alike.error, 0.5 / 1.96, epsilon = 1e-12);
        assert!(alike.dof >= CERTAIN && alike.step.abs() < 1e-12 && alike.few);
        let once = read(&[41.0], true);
        assert_abs_diff_eq!(once.step, 1.0 / 12_f64.sqrt(), epsilon = 1e-12);
        assert!(once.few && once.dof < 1.0);
    }

    #[test]
    fn a_log_lasts_as_long_as_its_stretches_and_a_flat_one_has_the_step_of_the_display() {
        let seen = |packed: Packed| of_entry(&Entry::Log(Box::new(packed)), false).unwrap().unwrap();
        let whole = seen(recorded(50.0, 55.0, 900));
        assert_eq!((whole.lasted, whole.raw.step.abs() < 1e-12), (Some(900.0), true));
        let parts = seen(Packed { stretches: vec![(10.0, 310.0), (400.0, 500.0)], ..recorded(50.0, 55.0, 900) });
        assert_eq!(parts.lasted, Some(400.0));
        let mut flat = recorded(50.0, 50.0, 900);
        flat.summary.standard_error_db = 0.0;
        assert_abs_diff_eq!(seen(flat).raw.step, 0.1 / 12_f64.sqrt(), epsilon = 1e-12);
    }

    #[test]
    fn the_room_is_taken_away_in_every_run_or_in_none() {
        let counted = |rooms: [Option<f64>; 2]| {
            let answer = solve(&inputs(before_and_after(rooms), vec![phase(60.0, eyes(&[46.0, 44.0]))])).unwrap();
            let used: Vec<f64> = answer.phases[0].seen.iter().flatten().map(|seen| seen.used.level.0).collect();
            (answer.phases[0].room, used, answer.phases[0].seen.iter().flatten().map(|seen| seen.grade).collect::<Vec<_>>())
        };
        let (room, used, grades) = counted([Some(38.0), Some(40.5)]);
        // 10·lg(10^4.6 − 10^3.8) and 10·lg(10^4.4 − 10^4.05).
        assert_eq!((room, grades), (Room::Taken, vec![Some(Grade::Solid), Some(Grade::Rough)]));
        assert_abs_diff_eq!(used[0], 45.250_596, epsilon = 1e-6);
        assert_abs_diff_eq!(used[1], 41.429_735, epsilon = 1e-6);
        let (room, used, grades) = counted([Some(38.0), Some(43.0)]);
        assert_eq!((room, used, grades), (Room::Hides, vec![46.0, 44.0], vec![Some(Grade::Solid), Some(Grade::AtMost)]));
        let (room, used, grades) = counted([Some(38.0), None]);
        assert_eq!((room, used, grades), (Room::Partly, vec![46.0, 44.0], vec![Some(Grade::Solid), None]));
        assert_eq!(counted([None, None]).0, Room::Unknown);
    }

    #[test]
    fn a_phase_lasts_as_typed_or_as_recorded_on_average() {
        let entries = logs(&[recorded(50.0, 55.0, 900), recorded(50.0, 55.0, 400)]);
        let lasts = |usual, entries| {
            let phases = vec![Phase { usual, ..phase(0.0, entries) }];
            solve(&inputs(before_and_after([None, None]), phases)).unwrap().phases[0].lasts
        };
        assert_eq!(lasts(Some(60.0), entries.clone()), Some(60.0));
        assert_eq!(lasts(None, entries), Some(650.0));
        assert_eq!(lasts(None, eyes(&[50.0, 49.0])), None);
    }

    #[test]
    fn the_error_of_a_job_is_propagated_and_its_freedom_is_of_welch_and_satterthwaite() {
        // Shares 0.476 190 and 0.523 810 of the energy; by Python 3.11.
        let both = [alone(stat(60.0, 0.3, 8.0, 0.03), 300.0), alone(stat(50.0, 0.8, 5.0, 0.1), 3300.0)];
        let found = job(&both, &[0, 1], 0).unwrap().unwrap();
        assert_abs_diff_eq!(found.level.0, 52.430_380, epsilon = 1e-6);
        assert_abs_diff_eq!(found.error, 0.442_729_1, epsilon = 1e-7);
        assert_abs_diff_eq!(found.dof, 6.177_574_6, epsilon = 1e-6);
        assert_abs_diff_eq!(found.step, 0.054_294_07, epsilon = 1e-8);
        assert!(!found.few);
        let of = |first: Stat, second: Stat| job(&[alone(first, 300.0), alone(second, 3300.0)], &[0, 1], 0).unwrap().unwrap();
        let (loud, quiet) = (stat(60.0, 0.3, 8.0, 0.0), stat(50.0, 0.8, 5.0, 0.0));
        let few = |stat: Stat| Stat { few: true, ..stat };
        // Little of the scatter and less than half of the energy: no matter. Otherwise the job has too few readings.
        assert!(!of(few(loud), quiet).few && of(loud, few(quiet)).few);
        assert!(of(loud, few(Stat { error: 0.01, ..quiet })).few, "more than half of the energy");
        assert!(of(few(Stat { error: 3.0, ..loud }), quiet).few, "more than half of the scatter");
        let unknown = of(loud, Stat { dof: 0.0, ..quiet });
        assert!(unknown.few && unknown.dof < 1.0);
        assert!(of(Stat { error: 0.0, ..loud }, Stat { error: 0.0, ..quiet }).dof >= CERTAIN);
        assert_eq!(job(&both, &[], 0), Ok(None));
        assert_eq!(job(&both, &[0], 1), Ok(None));
    }

    #[test]
    fn phases_that_some_runs_lack_are_no_part_of_the_job() {
        let runs = vec![run(0, Set::Before, None), run(1, Set::Before, None), run(2, Set::After, None)];
        let all = vec![phase(60.0, eyes(&[46.0, 46.2, 44.0])), phase(60.0, eyes(&[40.0, 0.0, 39.0])), phase(60.0, eyes(&[0.0, 0.0, 41.0]))];
        let answer = solve(&inputs(runs.clone(), all)).unwrap();
        let only = &answer.comparisons[0];
        assert_eq!((only.from.as_slice(), only.to.as_slice(), only.partial.as_slice()), (&[0, 1][..], &[2][..], &[1, 2][..]));
        assert_eq!(only.phases.iter().map(|line| line.what).collect::<Vec<_>>(), [What::Phase(0), What::Phase(1)]);
        assert!(only.job.is_none() && only.of(1).is_some() && only.of(2).is_none());
        assert_eq!(only.lead().map(|line| line.what), Some(What::Phase(0)));
        let both = vec![phase(60.0, eyes(&[40.0, 40.0, 39.0])), phase(60.0, eyes(&[46.0, 46.2, 44.0]))];
        let answer = solve(&inputs(runs, both)).unwrap();
        assert_eq!(answer.comparisons[0].lead().map(|line| line.what), Some(What::Job));
        assert!(answer.comparisons[0].partial.is_empty());
    }

    #[test]
    fn averages_over_everything_recorded_mislead_when_a_phase_was_recorded_longer() {
        let said = |seconds| {
            let loud = logs(&[recorded(60.0, 65.0, 300), recorded(60.0, 65.0, 300)]);
            let quiet = logs(&[recorded(40.0, 45.0, 300), recorded(40.0, 45.0, seconds)]);
            solve(&inputs(before_and_after([None, None]), vec![phase(60.0, loud), phase(60.0, quiet)])).unwrap().misled
        };
        // 10·lg((300·10^6 + 900·10^4)/1200) − 10·lg((300·10^6 + 300·10^4)/600).
        assert_abs_diff_eq!(said(900).unwrap().0, -2.925_141, epsilon = 1e-6);
        // 0.139 and 0.341 dB: from 0.3 on it is worth a word.
        assert_eq!(said(320), None);
        assert!(said(350).is_some());
    }

    #[test]
    fn a_maximum_has_grown_where_only_the_recording_did() {
        let grown = |before: &[Packed], after: &[Packed]| {
            let set = |at: usize| if at < before.len() { Set::Before } else { Set::After };
            let runs = (0..before.len() + after.len()).map(|at| run(u32::try_from(at).unwrap(), set(at), None)).collect();
            solve(&inputs(runs, vec![phase(60.0, logs(&[before, after].concat()))])).unwrap().grown
        };
        let before = [recorded(50.0, 55.0, 900)];
        assert_eq!(grown(&before, &[recorded(50.0, 56.0, 1100)]), [0]);
        assert_eq!(grown(&before, &[recorded(50.0, 56.0, 1060)]), [0; 0], "not much longer");
        assert_eq!(grown(&before, &[recorded(50.0, 55.0, 1100)]), [0; 0], "no higher");
        assert_eq!(grown(&before, &[recorded(50.1, 56.0, 1100)]), [0; 0], "louder, too");
        let twice = |max, seconds| [recorded(50.0, 51.0, seconds), recorded(50.0, max, seconds)];
        assert_eq!(grown(&twice(55.0, 900), &twice(56.0, 1100)), [0]);
        assert_eq!(grown(&twice(55.0, 900), &twice(56.0, 1060)), [0; 0]);
        assert_eq!(grown(&before, &twice(56.0, 600)), [0], "together");
    }

    #[test]
    fn the_plain_mean_is_shown_where_it_is_most_wrong() {
        let off = |by: f64| {
            let mut packed = recorded(50.0, 55.0, 900);
            packed.summary.mean_db = 50.0 - by;
            packed
        };
        let plain = |of: [[f64; 2]; 2]| {
            let phases = of.iter().map(|of| phase(60.0, logs(&of.map(off)))).collect();
            solve(&inputs(before_and_after([None, None]), phases)).unwrap().plain
        };
        let worst = plain([[0.2, 0.1], [0.3, 0.7]]).unwrap();
        assert_eq!((worst.place, worst.run, worst.energy), (1, 1, Level(50.0)));
        assert_abs_diff_eq!(worst.mean, 49.3, epsilon = 1e-12);
        assert_eq!(plain([[0.9, 0.1], [0.3, 0.7]]).map(|worst| (worst.place, worst.run)), Some((0, 0)));
        assert_eq!(plain([[0.04, 0.0], [0.0, 0.04]]), None);
        assert!(plain([[0.06, 0.0], [0.0, 0.0]]).is_some());
    }

    #[test]
    fn shares_need_to_know_how_long_phases_last_unless_there_is_one_only() {
        let untimed = |levels: &[f64]| Phase { usual: None, ..phase(0.0, eyes(levels)) };
        let shares = |phases: Vec<Phase>| -> Vec<Option<f64>> {
            let answer = solve(&inputs(before_and_after([None, None]), phases)).unwrap();
            answer.shares.iter().map(|share| share.map(|(share, _)| share)).collect()
        };
        assert_eq!(shares(vec![untimed(&[46.0, 44.0])]), [Some(1.0)]);
        assert_eq!(shares(vec![untimed(&[46.0, 44.0]), untimed(&[40.0, 41.0])]), [None, None]);
        assert_eq!(shares(vec![untimed(&[46.0, 44.0]), phase(60.0, eyes(&[40.0, 41.0]))]), [None, None]);
    }

    #[test]
    fn the_same_log_counts_once_and_cannot_stand_for_two_states() {
        let logged = |row, set, log: &str| Run { log: log.to_owned(), ..run(row, set, None) };
        let runs = vec![logged(0, Set::Before, "ab"), logged(1, Set::Before, "AB"), logged(2, Set::After, ""), logged(3, Set::After, "")];
        assert_eq!(once(&runs), Ok((vec![0, 2, 3], vec![1])));
        let runs = vec![logged(0, Set::Before, "cd"), logged(1, Set::Before, "ab"), logged(2, Set::After, "ab")];
        assert_eq!(once(&runs), Err(Impossible::SameLog { first: 1, second: 2 }));
    }

    #[test]
    fn every_state_is_compared_with_the_one_before_and_drift_is_seen() {
        let of = |sets: &[Set], levels: &[f64]| {
            let runs = sets.iter().enumerate().map(|(at, set)| run(u32::try_from(at).unwrap(), *set, None)).collect();
            solve(&inputs(runs, vec![phase(60.0, eyes(levels))]))
        };
        let answer = of(&[Set::Before, Set::After, Set::Second, Set::Again], &[46.0, 44.0, 43.0, 46.5]).unwrap();
        let compared: Vec<_> = answer.comparisons.iter().map(|one| (one.from.as_slice(), one.to.as_slice(), one.set)).collect();
        assert_eq!(compared, [(&[0, 3][..], &[1][..], Set::After), (&[0, 3], &[2], Set::Second), (&[1], &[2], Set::Second)]);
        let drift = answer.drift.unwrap();
        assert_eq!((drift.from, drift.to, drift.set), (vec![0], vec![3], Set::Again));
        assert_abs_diff_eq!(drift.phases[0].judged.change.0, 0.5, epsilon = 1e-9);
        assert!(of(&[Set::Before, Set::After], &[46.0, 44.0]).unwrap().drift.is_none());
        assert!(of(&[Set::Again, Set::After], &[46.0, 44.0]).unwrap().drift.is_none());
        assert!(of(&[Set::Before, Set::Before], &[46.0, 44.0]).unwrap().comparisons.is_empty());
        assert_eq!(of(&[Set::Before, Set::After], &[0.0, 0.0]), Err(Impossible::NothingRead));
    }

    #[test]
    fn cells_without_a_level_are_named_and_loudness_is_for_a_weighting_only() {
        let mut some = inputs(before_and_after([None, None]), vec![phase(60.0, eyes(&[46.0, 44.0]))]);
        some.phases.push(phase(60.0, vec![Entry::Unread, Entry::Empty]));
        some.phases.push(phase(60.0, vec![Entry::Empty, Entry::Unread]));
        let answer = solve(&some).unwrap();
        assert_eq!(answer.unread, [(1, 0), (2, 1)]);
        assert_eq!(answer.phases.iter().map(|counted| counted.phase).collect::<Vec<_>>(), [0]);
        assert!(answer.loudness.is_some() && answer.noticed.is_none(), "single readings have no interval");
        some.weighting = Weighting::C;
        assert!(solve(&some).unwrap().loudness.is_none());
        some.phases[0].skip = true;
        assert_eq!(solve(&some), Err(Impossible::AllLeftOut));
        some.phases[0].skip = false;
        some.phases[0].entries = eyes(&[46.0, 0.0]);
        some.phases.push(phase(60.0, eyes(&[0.0, 44.0])));
        assert_eq!(solve(&some), Err(Impossible::NothingInCommon));
    }
}
