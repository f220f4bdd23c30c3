//! Where a series of levels changes: the exact optimal partition into stretches of steady mean and spread.
//!
//! A stretch from sample `s` to just before `e` costs `(e − s)·ln(v + f)`, with the variance `v` of its samples (divisor
//! `e − s`) and a floor `f`; each change costs a penalty. Of all partitions whose stretches are long enough, the cheapest is
//! found, not an approximation to it.
//!
//! *How it stays fast.* Going through the series, a start of the last stretch is forgotten as soon as it is certain never to be
//! wanted again. Since `n·ln(v + f)` is the least over `μ` and `τ` of `Σ [((x − μ)² + f)/τ + ln τ − 1]`, each start `s` has a
//! function `q_s` of `μ` and `τ`, to which every further sample adds the same. A start whose function lies, wherever one looks,
//! above that of another start or above that of a change made just now will do so for ever. Whether that is so is found from
//! below: `q_s + λ·(q_s − q_r)` has its least value in closed form for every `λ ≥ 0`, and wherever `q_s ≤ q_r` it is no more
//! than `q_s`. A change made just now can be used only when the shortest stretch has gone by, so the start is kept until then.
//! Nearly all logarithms are saved by `ln v ≥ ln w + 1 − w/v`, with the variance `w` at which the last one was taken.

use super::error::{FormulaError, within};
use super::levels;
use crate::units::{Level, count_to_f64, within as limited};

/// What a partition is to be like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// The fewest samples of a stretch; zero counts as one.
    pub shortest: usize,
    /// What each change costs, 0 to 1e9.
    pub penalty: f64,
    /// Added to each variance, 1e-9 to 1000 dB²: the least that a display and a meter's own noise make.
    pub floor: f64,
}

/// The cheapest partition of a series.
#[derive(Clone, Debug, PartialEq)]
pub struct Partition {
    /// The first sample of each stretch but the first, rising.
    pub changes: Vec<usize>,
    /// The costs of all stretches and the penalties of all changes.
    pub cost: f64,
}

/// Sums over samples: from the first to some place, or between two places.
#[derive(Clone, Copy)]
struct Sums {
    count: f64,
    level: f64,
    square: f64,
}

impl Sums {
    /// These without so many times the others.
    fn without(self, times: f64, other: Self) -> Self {
        Self {
            count: self.count - times * other.count,
            level: self.level - times * other.level,
            square: self.square - times * other.square,
        }
    }

    /// The variance plus the floor, times the count squared.
    fn spread(self, floor: f64) -> f64 {
        (self.count * self.square - self.level * self.level).max(0.0) + floor * self.count * self.count
    }
}

/// The place where a function of `μ` and `τ` is least, and the function there.
#[derive(Clone, Copy)]
struct Least {
    mean: f64,
    variance: f64,
    log: f64,
    value: f64,
}

impl Least {
    /// Of a stretch of samples.
    fn of(sums: Sums, floor: f64) -> Self {
        let variance = sums.spread(floor) / (sums.count * sums.count);
        let log = variance.ln();
        Self { mean: sums.level / sums.count, variance, log, value: sums.count * log }
    }

    /// Of a stretch with some samples taken away; `None` when too little is left for a sure answer.
    fn of_remainder(sums: Sums, floor: f64) -> Option<Self> {
        let mean = sums.level / sums.count;
        let variance = sums.square / sums.count - mean * mean + floor;
        (variance >= 0.5 * floor).then(|| {
            let log = variance.ln();
            Self { mean, variance, log, value: sums.count * log }
        })
    }

    /// What other samples add to a function at this place.
    fn of_others(&self, sums: Sums, floor: f64) -> f64 {
        let around = sums.square - 2.0 * self.mean * sums.level + sums.count * (self.mean * self.mean + floor);
        around / self.variance + sums.count * (self.log - 1.0)
    }
}

/// A possible start of the last stretch.
#[derive(Clone, Copy)]
struct Start {
    at: usize,
    /// Over all samples before it.
    sums: Sums,
    /// Least cost of all before it, with a penalty for starting here.
    before: f64,
    /// The variance when its logarithm was last taken, and that logarithm plus one.
    seen: f64,
    seen_log: f64,
    /// When to try again whether it can be forgotten.
    try_at: usize,
    /// From when on it is not wanted.
    over_from: usize,
}

impl Start {
    fn new(at: usize, sums: Sums, before: f64) -> Self {
        Self { at, sums, before, seen: f64::INFINITY, seen_log: 0.0, try_at: at + 1, over_from: usize::MAX }
    }

    /// Whether the function of this start lies above that of the other, or above `limit`, wherever one looks. `own` and `least`
    /// are the sums since this start and their least.
    fn is_hidden_by(&self, other: &Self, own: Sums, least: &Least, limit: f64, floor: f64) -> bool {
        /// Steps towards the best multiplier. Whether they suffice changes the time taken, not the answer.
        const STEPS: usize = 12;
        let apart = self.sums.without(1.0, other.sums);
        let gap = self.before - other.before;
        let wanted = limit - self.before;
        let earlier = apart.count > 0.0;
        // The bound is concave in the multiplier: it lies below each of its tangents.
        let (mut low, mut value, mut slope) = (0.0, least.value, gap - least.of_others(apart, floor));
        let mut high = if earlier { own.count / apart.count } else { 1e3 };
        let mut beyond: Option<(f64, f64)> = None;
        let mut times = if earlier { 0.5 * high } else { (own.count / -apart.count).min(1.0) };
        for _ in 0..STEPS {
            if slope <= 0.0 {
                return false;
            }
            let meet = match beyond {
                Some((value_high, slope_high)) => (value_high - value + slope * low - slope_high * high) / (slope - slope_high),
                None => high,
            };
            if value + slope * (meet - low) <= wanted {
                return false;
            }
            if beyond.is_some() {
                let edge = 0.1 * (high - low);
                times = limited(meet, low + edge, high - edge);
            }
            let sums = own.without(times, apart);
            let found = if sums.count > 1e-3 * own.count { Least::of_remainder(sums, floor) } else { None };
            let Some(found) = found else {
                (high, beyond) = (times, None);
                times = f64::midpoint(low, high);
                continue;
            };
            let bound = times * gap + found.value;
            if bound > wanted {
                return true;
            }
            let rise = gap - found.of_others(apart, floor);
            if rise < 0.0 {
                (high, beyond) = (times, Some((bound, rise)));
            } else {
                (low, value, slope) = (times, bound, rise);
                times = f64::midpoint(low, high);
            }
        }
        false
    }
}

/// Goes through a series from its first sample to its last.
struct Walk {
    shortest: usize,
    floor: f64,
    /// What rounding of the sums can do to a cost: a start is forgotten only when it is worse by more.
    margin: f64,
    now: Sums,
    starts: Vec<Start>,
    spare: Vec<Start>,
    /// The best start so far.
    leader: Start,
    /// Steps of the inner loops.
    work: usize,
}

impl Walk {
    /// The cost up to here and the best start of the last stretch; of equals the first.
    fn best(&mut self, end: usize) -> f64 {
        let (now, floor) = (self.now, self.floor);
        let mut leader = self.leader;
        let mut best = leader.before + Least::of(now.without(1.0, leader.sums), floor).value;
        for start in self.starts.iter_mut().take_while(|start| start.at + self.shortest <= end) {
            self.work += 1;
            let own = now.without(1.0, start.sums);
            let ahead = start.before - best - self.margin + own.count * start.seen_log;
            if ahead * own.spread(floor) > own.count * own.count * own.count * start.seen {
                continue;
            }
            let least = Least::of(own, floor);
            (start.seen, start.seen_log) = (least.variance, least.log + 1.0);
            let cost = start.before + least.value;
            if cost < best || (cost <= best && start.at < leader.at) {
                (best, leader) = (cost, *start);
            }
        }
        self.leader = leader;
        best
    }

    /// Forgets starts, given the cost up to here with a change made here.
    fn forget(&mut self, end: usize, change: f64) {
        let limit = change + self.margin;
        self.spare.clear();
        let mut following = self.starts.iter().skip(1);
        for start in &self.starts {
            let next = following.next();
            if start.over_from <= end + 1 {
                continue;
            }
            let mut start = *start;
            if start.over_from == usize::MAX && start.try_at <= end {
                self.work += 8;
                let own = self.now.without(1.0, start.sums);
                let least = Least::of(own, self.floor);
                let others = [Some(&self.leader), self.spare.last(), next];
                let over = start.before + least.value > limit
                    || others.into_iter().flatten().any(|other| start.is_hidden_by(other, own, &least, limit, self.floor));
                if over {
                    start.over_from = end + self.shortest;
                } else {
                    start.try_at = end + (end - start.at) / 8;
                }
            }
            self.spare.push(start);
        }
        std::mem::swap(&mut self.starts, &mut self.spare);
    }
}

/// The step of the display: the largest usual one of which all levels are multiples, or zero.
pub(super) fn display_step(levels: &[f64]) -> f64 {
    let fits = |step: &f64| levels.iter().all(|level| (level / step - (level / step).round()).abs() < 1e-4);
    [1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01].into_iter().find(fits).unwrap_or(0.0)
}

/// What a partition costs, each variance in two passes.
fn cost_of(levels: &[f64], changes: &[usize], rule: Rule) -> f64 {
    let mut cost = rule.penalty * count_to_f64(changes.len());
    let mut from = 0;
    for &to in changes.iter().chain([&levels.len()]) {
        let stretch = levels.get(from..to).unwrap_or_default();
        let count = count_to_f64(stretch.len());
        let mean = stretch.iter().sum::<f64>() / count;
        let variance = stretch.iter().map(|level| (level - mean).powi(2)).sum::<f64>() / count;
        cost += count * (variance + rule.floor).ln();
        from = to;
    }
    cost
}

/// The cheapest partition of a series into stretches of steady mean and spread: exact, not approximate.
///
/// `Σ (e − s)·ln(v + f) + penalty·changes`, least
///
/// | name     | meaning                                       | unit | valid           |
/// |----------|-----------------------------------------------|------|-----------------|
/// | `levels` | in the order of time                          | dB   | −1000 to 1000, one or more |
/// | `rule`   | shortest stretch, penalty, floor              | 1, 1, dB² | see [`Rule`] |
/// | `go_on`  | asked every few milliseconds, with the share done; `false` stops | | |
///
/// A series shorter than the shortest stretch is one stretch. Of partitions that cost the same, one is found. Levels
/// in steps of a display (1, 0.5, 0.2, 0.1 dB and so on) are summed as whole numbers, hence without any rounding; of others the
/// sums are in double precision, and partitions whose costs differ by less than about `n·v·1e-15/f`, with the variance of all,
/// may be taken for equal. Time grows a little faster than the number of samples; memory is 4 bytes for each, and a few hundred starts.
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`], [`FormulaError::OutOfRange`]. `None` when stopped.
///
/// # Source
///
/// The cost is minus twice the logarithm of the likelihood of normal samples, without its constants. Going through the series
/// is dynamic programming; forgetting starts by duality follows from what is said at the top of this file.
///
/// # Example
///
/// ```
/// use lessdin::formulas::partition::{Rule, optimal};
///
/// let log = [40.0, 41.0, 40.0, 41.0, 50.0, 51.0, 50.0, 51.0];
/// let rule = Rule { shortest: 2, penalty: 3.0, floor: 1e-6 };
/// let found = optimal(&log, rule, &mut |_| true).unwrap().unwrap();
/// assert_eq!(found.changes, [4]);
///
/// assert_eq!(optimal(&log, Rule { penalty: 300.0, ..rule }, &mut |_| true).unwrap().unwrap().changes, [] as [usize; 0]);
/// assert!(optimal(&[], rule, &mut |_| true).is_err());
/// ```
pub fn optimal(levels: &[f64], rule: Rule, go_on: &mut dyn FnMut(f64) -> bool) -> Result<Option<Partition>, FormulaError> {
    /// How many samples lie between two rounds of forgetting.
    const ROUND: usize = 16;
    /// After how many steps of the inner loops to ask whether to go on: a millisecond here, some on a slow phone.
    const ASK: usize = 1 << 18;
    within("the penalty", rule.penalty, 0.0, 1e9)?;
    within("the floor", rule.floor, 1e-9, 1e3)?;
    if levels.is_empty() {
        return Err(FormulaError::Empty);
    }
    for &level in levels {
        within("the level", level, -1e3, 1e3)?;
    }
    let count = count_to_f64(levels.len());
    // In steps of the display all sums are whole numbers, hence exact.
    let display = display_step(levels);
    let unit = if display > 0.0 { display } else { 1.0 };
    let middle = levels.iter().sum::<f64>() / count / unit;
    let centre = if display > 0.0 { middle.round() } else { middle };
    let in_units = |level: f64| if display > 0.0 { (level / unit).round() - centre } else { level - centre };
    let floor = rule.floor / (unit * unit);
    let squares: f64 = levels.iter().map(|level| in_units(*level).powi(2)).sum();
    let nothing = Sums { count: 0.0, level: 0.0, square: 0.0 };
    let first = Start::new(0, nothing, -rule.penalty);
    let mut walk = Walk {
        shortest: rule.shortest.clamp(1, levels.len()),
        floor,
        margin: 1e-9 + 16.0 * f64::EPSILON * squares / floor,
        now: nothing,
        starts: vec![first],
        spare: Vec::new(),
        leader: first,
        work: 0,
    };
    let mut came_from = vec![0_u32; levels.len() + 1];
    for ((end, level), from) in (1..).zip(levels).zip(came_from.iter_mut().skip(1)) {
        let own = in_units(*level);
        walk.now = walk.now.without(-1.0, Sums { count: 1.0, level: own, square: own * own });
        if end < walk.shortest {
            continue;
        }
        let cost = walk.best(end);
        *from = u32::try_from(walk.leader.at).unwrap_or(0);
        let change = cost + rule.penalty;
        if end % ROUND == 0 {
            walk.forget(end, change);
        }
        walk.starts.push(Start::new(end, walk.now, change));
        if walk.work >= ASK {
            walk.work = 0;
            if !go_on(walk.now.count / count) {
                return Ok(None);
            }
        }
    }
    let back = |end: &usize| came_from.get(*end).map(|from| *from as usize).filter(|from| *from > 0);
    let mut changes: Vec<usize> = std::iter::successors(back(&levels.len()), back).collect();
    changes.reverse();
    let cost = cost_of(levels, &changes, rule);
    Ok(Some(Partition { changes, cost }))
}

/// The phases found in a log, and what was done to find them.
#[derive(Clone, Debug, PartialEq)]
pub struct Phases {
    /// The first sample of each phase but the first, rising. Multiples of `block`.
    pub changes: Vec<usize>,
    /// How many samples were made one before looking: 1 for logs of up to [`MOST`] samples. Edges are no finer than that.
    pub block: usize,
    /// The rule used, in blocks.
    pub rule: Rule,
    /// How many samples stand for one independent one, by what neighbours have in common. The penalty was raised by that.
    pub dependence: f64,
}

/// Longer logs are made shorter before looking for phases, so that time and memory stay bounded.
pub const MOST: usize = 40_000;

/// The least duration of a phase, s.
pub const SHORTEST_S: f64 = 10.0;

/// What neighbours have in common within short windows, the middle one of all windows; so that phases do not count.
fn dependence(levels: &[f64]) -> f64 {
    /// Samples of a window: long against the time over which a steady machine wavers, short against a phase.
    const WINDOW: usize = 40;
    /// More is not believed: slow wandering then looks like phases, and the user may join them.
    const MOST_DEPENDENCE: f64 = 10.0;
    let mut found: Vec<f64> = Vec::with_capacity(levels.len() / WINDOW + 1);
    let mut length = WINDOW;
    for window in levels.chunks(WINDOW).filter(|window| window.len() >= WINDOW.min(levels.len())) {
        length = window.len();
        let mean = window.iter().sum::<f64>() / count_to_f64(window.len());
        let squares: f64 = window.iter().map(|level| (level - mean).powi(2)).sum();
        let products: f64 = window.iter().zip(window.iter().skip(1)).map(|(one, next)| (one - mean) * (next - mean)).sum();
        if squares > 0.0 {
            found.push(products / squares);
        }
    }
    let middle = found.len() / 2;
    if found.is_empty() {
        return 1.0;
    }
    let (_, &mut middle, _) = found.select_nth_unstable_by(middle, f64::total_cmp);
    // A short window shows too little: its mean follows the samples. Kendall's correction.
    let length = count_to_f64(length);
    let share = if length > 3.0 { (middle + 1.0 / length) / (1.0 - 3.0 / length) } else { 0.0 };
    let share = limited(share, 0.0, 0.99);
    ((1.0 + share) / (1.0 - share)).min(MOST_DEPENDENCE)
}

/// The phases of a log of any length, without anything to set.
///
/// [`optimal`] with a penalty of `3·ln(n)·d` for each change, where `n` is the number of samples and `d` how many of them stand
/// for one independent one, `(1 + r)/(1 − r)` with the correlation `r` of neighbours, at most 10; a floor of `0.01 + a²/12` dB²
/// with the step `a` of the display; and no phase below 10 s or three samples. Three parameters come with each change: where, how
/// loud, how much it wavers.
///
/// | name      | meaning                       | unit | valid           |
/// |-----------|-------------------------------|------|-----------------|
/// | `samples` | levels in the order of time   | dB   | −1000 to 1000, one or more |
/// | `step`    | from one sample to the next   | s    | 1e-3 to 1e6     |
/// | `go_on`   | as for [`optimal`]            |      |                 |
///
/// A log of more than 40,000 samples is first made shorter: as many samples as needed become one, by their energy mean. The
/// answer says how many; edges are then no finer than that, and a phase shorter than that is not found. Gaps are not known here:
/// a log is looked at as if it had none.
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`], [`FormulaError::OutOfRange`]. `None` when stopped.
///
/// # Source
///
/// Common practice, no source: a penalty of the size of the Bayesian information criterion, raised for dependent samples. How
/// often it finds what is there, and nothing where nothing is, is tried out in `tests/native/standards/partitions.rs`.
///
/// # Example
///
/// ```
/// use lessdin::formulas::partition::phases;
///
/// let wavering = |level: f64| (0..60).map(move |at| level + [0.0, 0.3, -0.2, 0.1, -0.3][at % 5]);
/// let log: Vec<f64> = wavering(38.0).chain(wavering(45.0)).chain(wavering(38.0)).collect();
/// let found = phases(&log, 1.0, &mut |_| true).unwrap().unwrap();
/// assert_eq!((found.changes, found.block), (vec![60, 120], 1));
///
/// assert!(phases(&log, 0.0, &mut |_| true).is_err());
/// ```
pub fn phases(samples: &[f64], step: f64, go_on: &mut dyn FnMut(f64) -> bool) -> Result<Option<Phases>, FormulaError> {
    within("the step", step, 1e-3, 1e6)?;
    for &level in samples {
        within("the level", level, -1e3, 1e3)?;
    }
    let block = samples.len().div_ceil(MOST).max(1);
    let mut shorter = Vec::new();
    let blocks: &[f64] = if block > 1 {
        let mut few = Vec::with_capacity(block);
        for part in samples.chunks(block) {
            few.clear();
            few.extend(part.iter().copied().map(Level));
            shorter.push(levels::energy_mean(&few)?.0);
        }
        &shorter
    } else {
        samples
    };
    let dependence = dependence(blocks);
    let display = display_step(samples);
    let span = step * count_to_f64(block);
    let mut shortest = 3;
    while count_to_f64(shortest) * span < SHORTEST_S - 1e-9 {
        shortest += 1;
    }
    let rule =
        Rule { shortest, penalty: 3.0 * count_to_f64(blocks.len()).max(2.0).ln() * dependence, floor: 0.01 + display * display / 12.0 };
    let found = optimal(blocks, rule, go_on)?;
    Ok(found.map(|found| Phases { changes: found.changes.iter().map(|at| at * block).collect(), block, rule, dependence }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formulas::chance::Chance;
    use approx::assert_abs_diff_eq;

    /// Dynamic programming over all starts, none forgotten.
    fn without_forgetting(levels: &[f64], rule: Rule) -> f64 {
        let mut least = vec![f64::INFINITY; levels.len() + 1];
        least[0] = -rule.penalty;
        for end in rule.shortest..=levels.len() {
            for start in 0..=end - rule.shortest {
                let cost = least[start] + rule.penalty + cost_of(&levels[start..end], &[], rule);
                least[end] = least[end].min(cost);
            }
        }
        least[levels.len()]
    }

    /// Every partition there is, without dynamic programming.
    fn trying_all(levels: &[f64], rule: Rule) -> f64 {
        let mut least = f64::INFINITY;
        for set in 0_u32..1 << (levels.len() - 1) {
            let changes: Vec<usize> = (1..levels.len()).filter(|at| set & (1 << (at - 1)) != 0).collect();
            let edges: Vec<usize> = [0].into_iter().chain(changes.iter().copied()).chain([levels.len()]).collect();
            if edges.windows(2).all(|edge| edge[1] - edge[0] >= rule.shortest) {
                least = least.min(cost_of(levels, &changes, rule));
            }
        }
        least
    }

    /// A short series: phases of various lengths, sounds and displays; some with constant stretches, some without any change.
    fn series(chance: &mut Chance, most: f64) -> Vec<f64> {
        let pick = |chance: &mut Chance, from: &[f64]| {
            let at = chance.unit() * count_to_f64(from.len());
            from.iter().copied().enumerate().find(|(index, _)| at < count_to_f64(index + 1)).unwrap().1
        };
        let length = 2.0 + chance.unit() * most;
        let step = pick(chance, &[0.0, 0.1, 1.0, 3.0]);
        let phi = pick(chance, &[0.0, 0.0, 0.6]);
        let mut levels = Vec::new();
        while count_to_f64(levels.len()) < length {
            let (mean, spread) = (40.0 + pick(chance, &[0.0, 0.5, 4.0, 25.0]), pick(chance, &[0.0, 0.2, 1.0, 5.0]));
            let stay = 1.0 + chance.unit() * pick(chance, &[3.0, 30.0, most]);
            let mut noise = 0.0;
            let until = (count_to_f64(levels.len()) + stay).min(length);
            while count_to_f64(levels.len()) < until {
                noise = phi * noise + chance.normal(1.96 * spread);
                let level: f64 = mean + noise;
                levels.push(if step > 0.0 { (level / step).round() * step } else { level });
            }
        }
        levels
    }

    fn rule(chance: &mut Chance) -> Rule {
        fn choose<T: Copy>(chance: &mut Chance, from: [T; 4]) -> T {
            let (low, high) = (chance.coin(), chance.coin());
            from[usize::from(low) + 2 * usize::from(high)]
        }
        let shortest = choose(chance, [1, 2, 5, 10]);
        let penalty = choose(chance, [0.0, 2.0, 15.0, 50.0]);
        let floor = choose(chance, [1e-6, 1e-6, 1e-2, 1.0]);
        Rule { shortest, penalty, floor }
    }

    #[track_caller]
    fn check(levels: &[f64], rule: Rule, expected: f64) {
        let found = optimal(levels, rule, &mut |_| true).unwrap().unwrap();
        let again = cost_of(levels, &found.changes, rule);
        let scale = 1e-6 * (1.0 + expected.abs());
        assert!((again - expected).abs() <= scale, "{rule:?} {again} instead of {expected}: {levels:?}");
        assert!((again - found.cost).abs() <= scale, "{rule:?} says {} for {again}: {levels:?}", found.cost);
        let edges: Vec<usize> = [0].into_iter().chain(found.changes).chain([levels.len()]).collect();
        assert!(edges.windows(2).all(|edge| edge[1] >= edge[0] + rule.shortest), "{rule:?} {edges:?}");
    }

    #[test]
    fn as_cheap_as_the_cheapest_of_all_partitions_there_are() {
        let mut chance = Chance::new(12);
        for _ in 0..400 {
            let levels = series(&mut chance, 10.0);
            let rule = rule(&mut chance);
            if levels.len() >= rule.shortest {
                check(&levels, rule, trying_all(&levels, rule));
            }
        }
    }

    #[test]
    fn as_cheap_as_dynamic_programming_that_forgets_nothing() {
        let mut chance = Chance::new(4);
        for _ in 0..3000 {
            let levels = series(&mut chance, 110.0);
            let rule = rule(&mut chance);
            if levels.len() >= rule.shortest {
                check(&levels, rule, without_forgetting(&levels, rule));
            }
        }
        for _ in 0..20 {
            let levels = series(&mut chance, 700.0);
            let rule = rule(&mut chance);
            if levels.len() >= rule.shortest {
                check(&levels, rule, without_forgetting(&levels, rule));
            }
        }
    }

    fn sums_of(levels: &[f64]) -> Sums {
        let square = levels.iter().map(|level| level * level).sum();
        Sums { count: count_to_f64(levels.len()), level: levels.iter().sum(), square }
    }

    /// How far the function of one start is above that of another and above a limit, where it is least so: looked for on a
    /// grid of means and variances, sample by sample, then on finer ones around the least.
    fn least_above(levels: &[f64], one: &Start, other: &Start, limit: f64, floor: f64) -> f64 {
        let function = |start: &Start, mean: f64, variance: f64| {
            let cost = |level: &f64| ((level - mean).powi(2) + floor) / variance + variance.ln() - 1.0;
            start.before + levels[start.at..].iter().map(cost).sum::<f64>()
        };
        let (mut mean, mut log) = (0.0, 0.0);
        let (mut mean_reach, mut log_reach) = (8.0, 8.0);
        let mut least = f64::INFINITY;
        for _ in 0..5 {
            let (around_mean, around_log) = (mean, log);
            for a in -8..=8 {
                for b in -8..=8 {
                    let (at, of) = (around_mean + mean_reach * f64::from(a) / 8.0, around_log + log_reach * f64::from(b) / 8.0);
                    let own = function(one, at, of.exp());
                    let above = (own - limit).max(own - function(other, at, of.exp()));
                    if above < least {
                        (least, mean, log) = (above, at, of);
                    }
                }
            }
            (mean_reach, log_reach) = (mean_reach / 5.0, log_reach / 5.0);
        }
        least
    }

    #[test]
    fn a_start_is_forgotten_only_if_it_is_above_another_one_wherever_one_looks_and_then_always() {
        let mut chance = Chance::new(31);
        let (mut clear, mut told) = ([0, 0], [0, 0]);
        for round in 0..600 {
            let (turn, floor) = (5 + round % 11, if round % 3 == 0 { 0.3 } else { 0.01 });
            let levels: Vec<f64> = (0..20).map(|at| if at < turn { 0.0 } else { 1.5 } + chance.normal(2.0)).collect();
            let (early, late) = (round % 5, 6 + round % 9);
            let between = Least::of(sums_of(&levels[early..late]), floor).value;
            let early = Start::new(early, sums_of(&levels[..early]), 0.0);
            let late = Start::new(late, sums_of(&levels[..late]), between + 8.0 + chance.normal(12.0));
            let later = usize::from(round % 2 == 0);
            let (one, other) = if later == 1 { (late, early) } else { (early, late) };
            let own = sums_of(&levels[one.at..]);
            let least = Least::of(own, floor);
            let limit = one.before + least.value + chance.normal(10.0).abs();
            let hidden = one.is_hidden_by(&other, own, &least, limit, floor);
            let above = least_above(&levels, &one, &other, limit, floor);
            assert!(!hidden || above > -1e-9, "round {round}: forgotten although {above} below");
            if above > 0.1 {
                clear[later] += 1;
                told[later] += usize::from(hidden);
            }
        }
        assert!(clear.iter().all(|clear| *clear > 20), "{clear:?}");
        assert_eq!(told, clear);
    }

    #[test]
    fn the_work_grows_little_faster_than_the_log() {
        // `go_on` is asked once in 262,144 steps. A budget of 80 steps for each sample; without forgetting it would be 10,000.
        let mut chance = Chance::new(9);
        let levels: Vec<f64> = (0..20_000).map(|at| if at / 500 % 2 == 0 { 40.0 } else { 44.0 } + chance.normal(2.0)).collect();
        let mut times = 0;
        let count = |_| {
            times += 1;
            true
        };
        let rule = Rule { shortest: 10, penalty: 50.0, floor: 1e-6 };
        assert_eq!(optimal(&levels, rule, &mut { count }).unwrap().unwrap().changes.len(), 39);
        assert!((1..=20_000 * 80 / 262_144).contains(&times), "{times}");
    }

    #[test]
    fn a_series_shorter_than_the_shortest_stretch_is_one_stretch() {
        let rule = Rule { shortest: 10, penalty: 1.0, floor: 1e-6 };
        let levels = [40.0, 41.0, 60.0];
        let found = optimal(&levels, rule, &mut |_| true).unwrap().unwrap();
        assert!(found.changes.is_empty());
        assert_abs_diff_eq!(found.cost, cost_of(&levels, &[], rule), epsilon = 1e-9);
        assert!(optimal(&[40.0], Rule { shortest: 0, ..rule }, &mut |_| true).unwrap().unwrap().changes.is_empty());
    }

    #[test]
    fn it_stops_when_told_and_says_how_far_it_is() {
        let mut chance = Chance::new(9);
        let levels: Vec<f64> = std::iter::repeat_with(|| 40.0 + chance.normal(2.0)).take(20_000).collect();
        let rule = Rule { shortest: 10, penalty: 50.0, floor: 1e-6 };
        let mut shares = Vec::new();
        optimal(&levels, rule, &mut |share| {
            shares.push(share);
            true
        })
        .unwrap()
        .unwrap();
        assert!(shares.len() > 3 && shares.windows(2).all(|pair| pair[0] < pair[1]) && shares.iter().all(|share| *share <= 1.0));
        assert_eq!(optimal(&levels, rule, &mut |_| false), Ok(None));
        assert_eq!(phases(&levels, 1.0, &mut |_| false), Ok(None));
    }

    #[test]
    fn nothing_that_is_not_a_number_comes_in() {
        let rule = Rule { shortest: 2, penalty: 3.0, floor: 1e-6 };
        for levels in [&[40.0, f64::NAN][..], &[f64::INFINITY, 40.0], &[40.0, 1e9]] {
            assert!(optimal(levels, rule, &mut |_| true).is_err());
            assert!(phases(levels, 1.0, &mut |_| true).is_err());
        }
        for bad in [Rule { penalty: f64::NAN, ..rule }, Rule { penalty: -1.0, ..rule }, Rule { floor: 0.0, ..rule }] {
            assert!(optimal(&[40.0, 41.0], bad, &mut |_| true).is_err());
        }
        assert!(phases(&[], 1.0, &mut |_| true).is_err());
    }

    #[test]
    fn the_step_of_a_display_is_seen() {
        for (levels, step) in [(&[41.0, 42.0][..], 1.0), (&[41.0, 42.5], 0.5), (&[41.3, 42.5], 0.1), (&[41.34], 0.02), (&[41.333_33], 0.0)]
        {
            assert_abs_diff_eq!(display_step(levels), step);
        }
    }

    #[test]
    fn a_long_log_is_made_shorter_and_says_so() {
        let mut chance = Chance::new(5);
        let levels: Vec<f64> = (0..100_000)
            .map(|at| if at < 50_000 { 40.0 } else { 43.0 } + chance.normal(2.0))
            .map(|level| (level * 10.0).round() / 10.0)
            .collect();
        let found = phases(&levels, 1.0, &mut |_| true).unwrap().unwrap();
        assert_eq!((found.block, found.rule.shortest), (3, 4));
        assert_eq!(found.changes.len(), 1);
        assert!(found.changes[0].abs_diff(50_000) <= 6, "{:?}", found.changes);
    }

    #[test]
    fn silence_and_one_sample_are_one_phase() {
        for levels in [&[40.0; 500][..], &[40.0]] {
            let found = phases(levels, 1.0, &mut |_| true).unwrap().unwrap();
            assert!(found.changes.is_empty());
            assert_abs_diff_eq!(found.dependence, 1.0);
        }
    }
}
