//! Whether one set of runs is quieter than another: the change, its interval, and the verdict.
//!
//! A run says how sure its own mean is, from its scatter in time. It does not say how runs differ from each other: the meter is
//! put back a little aside, the room is another one on another day. Where there are two runs or more of each kind, their own
//! scatter tells, and the wider of the two intervals is used. Where there are not, the interval is a hint.

use super::error::{FormulaError, finite, positive, within};
use super::series::Summary;
use super::uncertainty::{standard_deviation, student_t, student_t_outside};
use super::{levels, uncertainty};
use crate::units::{Gain, Level, PlusMinus, count_to_f64, sort_few, within as limited};

/// What is held against chance, in every test and interval here: 5 in 100.
pub const RISK: f64 = 0.05;

/// Degrees of freedom of what is taken as known. More make no difference.
pub const CERTAIN: f64 = 1e6;

/// The largest multiple of a standard error that is looked at.
const FARTHEST: f64 = 1e6;

/// What one run says of one phase: a level and how sure it is by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stat {
    /// The level that is compared.
    pub level: Level,
    /// Its standard error from this run alone, dB.
    pub error: f64,
    /// The degrees of freedom of that error; below 1 when the run says nothing of it.
    pub dof: f64,
    /// Too few readings for that error to be relied on.
    pub few: bool,
    /// The standard error that the step of the display brings in, and whatever else no run can tell of, dB.
    pub step: f64,
}

impl Stat {
    /// What a summary of a log says.
    pub fn of(summary: &Summary) -> Self {
        Self { level: summary.leq, error: summary.standard_error_db, dof: summary.dof, few: summary.too_few(), step: 0.0 }
    }

    /// A bare level: nothing is known of how sure it is.
    pub const fn bare(level: Level) -> Self {
        Self { level, error: 0.0, dof: 0.0, few: true, step: 0.0 }
    }
}

/// Which rule gave the interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// The scatter within single runs: nothing is known of how runs differ.
    Within,
    /// The scatter from run to run, the wider one.
    Between,
    /// The scatter within the runs, although there are several, as it is the wider one.
    WithinWider,
}

/// A change and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judged {
    /// The level of the first set, the energy mean of its runs.
    pub before: Level,
    /// The level of the second set.
    pub after: Level,
    /// Second less first: negative is quieter.
    pub change: Gain,
    /// The interval, when there is one.
    pub spread: Option<Spread>,
    /// Too few readings, and no second run to make up for it.
    pub few: bool,
    /// At least one side has one run only.
    pub hint: bool,
}

/// The scatter of a change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Its standard error, dB.
    pub error: f64,
    /// Degrees of freedom.
    pub dof: f64,
    /// Half the width of the 95 % interval, dB.
    pub half: f64,
    /// The chance of such a change or a larger one, either way, where there is none.
    pub p: f64,
    /// Which rule gave it.
    pub rule: Rule,
}

/// The verdict on a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Yes, quieter.
    Quieter,
    /// No, louder.
    Louder,
    /// Same within the margin.
    Same,
    /// Cannot tell yet.
    CannotTell,
    /// Too few readings.
    TooFew,
}

/// The degrees of freedom of a sum of variances, each with its own.
///
/// `ν = (Σ v)²/Σ (v²/ν_i)`
///
/// | name    | meaning                             | unit | valid                                |
/// |---------|-------------------------------------|------|--------------------------------------|
/// | `parts` | variance and its degrees of freedom | any  | variance 0 to 1e12, freedom 0 to 1e9 |
///
/// The formula of Welch and Satterthwaite. A freedom of zero marks a variance that is taken as known. From 1 to
/// [`CERTAIN`]; when all variances are zero, the freedom of all together.
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// JCGM 100 (GUM), G.4.1, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::compare::freedom;
///
/// assert!((freedom(&[(1.0, 4.0), (1.0, 4.0)]).unwrap() - 8.0).abs() < 1e-12);
///
/// assert!(freedom(&[(-1.0, 4.0)]).is_err());
/// ```
pub fn freedom(parts: &[(f64, f64)]) -> Result<f64, FormulaError> {
    if parts.is_empty() {
        return Err(FormulaError::Empty);
    }
    let (mut sum, mut all) = (0.0, 0.0);
    for &(variance, own) in parts {
        sum += within("the variance", variance, 0.0, 1e12)?;
        all += within("the degrees of freedom", own, 0.0, 1e9)?;
    }
    if sum <= 0.0 {
        return Ok(limited(all, 1.0, CERTAIN));
    }
    let by: f64 = parts.iter().filter(|(_, own)| *own > 0.0).map(|(variance, own)| (variance / sum).powi(2) / own).sum();
    Ok(if by > 0.0 { limited(1.0 / by, 1.0, CERTAIN) } else { CERTAIN })
}

/// The two-sided chance beyond so many dB.
fn beyond(apart: f64, error: f64, dof: f64) -> Result<f64, FormulaError> {
    finite("the difference", apart)?;
    student_t_outside((apart / error).abs().min(FARTHEST), dof)
}

fn spread(change: f64, error: f64, dof: f64, rule: Rule) -> Result<Spread, FormulaError> {
    let half = student_t(1.0 - RISK, dof)? * error;
    let p = if error > 0.0 { beyond(change, error, dof)? } else { 0.0 };
    Ok(Spread { error, dof, half, p, rule })
}

/// The scatter within the runs alone: the variance of the mean of each set, with its degrees of freedom.
fn inside(set: &[Stat]) -> Option<Vec<(f64, f64)>> {
    let count = count_to_f64(set.len());
    set.iter().map(|stat| (stat.dof >= 1.0).then(|| ((stat.error / count).powi(2), stat.dof.min(CERTAIN)))).collect()
}

/// The scatter from run to run: the variance of the mean of a set, with its degrees of freedom.
fn between(set: &[Stat]) -> Result<Option<(f64, f64)>, FormulaError> {
    if set.len() < 2 {
        return Ok(None);
    }
    let values: Vec<f64> = set.iter().map(|stat| stat.level.0).collect();
    let count = count_to_f64(set.len());
    Ok(Some((standard_deviation(&values)?.powi(2) / count, count - 1.0)))
}

fn step(set: &[Stat]) -> f64 {
    set.iter().map(|stat| (stat.step / count_to_f64(set.len())).powi(2)).sum()
}

/// The change from one set of runs to another, with its interval by the rule that gives the wider one.
///
/// Within runs: `u² = Σ (u_i/n)²` of both sets. From run to run: `u² = s_1²/n_1 + s_2²/n_2` with the standard deviations of the
/// run levels in dB (Welch). Either way with the step of the display, `Σ (d_i/n)²`, and degrees of freedom by [`freedom`].
///
/// | name     | meaning                                     | unit | valid                    |
/// |----------|---------------------------------------------|------|--------------------------|
/// | `first`  | what each run says                          | dB   | one or more, errors 0 to 1e6 |
/// | `second` | the same after a change                     | dB   | one or more, errors 0 to 1e6 |
///
/// With one run on one of the sides: from the scatter within the runs, marked as a hint. With two or more on each: the wider of
/// the two. Runs of a set count alike, however long they lasted. The change is that of the energy means.
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Welch's test, JCGM 100 (GUM), 5.1.2 and G.4.1, all from memory; taking the wider one: common practice, no source.
///
/// # Example
///
/// ```
/// use lessdin::formulas::compare::{Rule, Stat, judge};
/// use lessdin::units::Level;
///
/// let before = [48.2, 48.6, 47.9, 48.4, 48.8, 48.1].map(|level| Stat::bare(Level(level)));
/// let after = [45.1, 45.6, 44.8, 45.9, 45.3, 45.2].map(|level| Stat::bare(Level(level)));
/// let found = judge(&before, &after).unwrap();
/// let spread = found.spread.unwrap();
/// assert!((found.change.0 + 3.0129).abs() < 1e-4 && spread.rule == Rule::Between);
/// assert!((spread.dof - 9.7805).abs() < 1e-4 && (spread.half - 0.4655).abs() < 1e-4);
///
/// assert!(judge(&before, &[]).is_err());
/// ```
pub fn judge(first: &[Stat], second: &[Stat]) -> Result<Judged, FormulaError> {
    for stat in first.iter().chain(second) {
        within("the standard error", stat.error, 0.0, 1e6)?;
        within("the step", stat.step, 0.0, 1e6)?;
        finite("the degrees of freedom", stat.dof)?;
    }
    let mean = |set: &[Stat]| levels::energy_mean(&set.iter().map(|stat| stat.level).collect::<Vec<_>>());
    let (before, after) = (mean(first)?, mean(second)?);
    let change = after - before;
    let display = step(first) + step(second);
    let from = |parts: &[(f64, f64)], rule: Rule| {
        let mut all = parts.to_vec();
        all.push((display, 0.0));
        let error = all.iter().map(|(variance, _)| variance).sum::<f64>().sqrt();
        spread(change.0, error, freedom(&all)?, rule)
    };
    let inner = match (inside(first), inside(second)) {
        (Some(first), Some(second)) => Some(from(&[first, second].concat(), Rule::Within)?),
        _ => None,
    };
    let outer = match (between(first)?, between(second)?) {
        (Some(first), Some(second)) => Some(from(&[first, second], Rule::Between)?),
        _ => None,
    };
    let hint = outer.is_none();
    let few = hint && (inner.is_none() || first.iter().chain(second).any(|stat| stat.few));
    let spread = match (inner, outer) {
        (Some(inner), Some(outer)) if inner.half > outer.half => Some(Spread { rule: Rule::WithinWider, ..inner }),
        (_, Some(outer)) => Some(outer),
        (inner, None) => inner,
    };
    Ok(Judged { before, after, change, spread, few, hint })
}

/// Several chances, each as it counts when all were tried together.
///
/// The smallest times m, the next times m − 1 and so on; none less than the one before it, none above 1.
///
/// | name      | meaning                            | unit | valid  |
/// |-----------|------------------------------------|------|--------|
/// | `chances` | p-values; `None` was not tried     | 1    | 0 to 1 |
///
/// In the order given.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Holm 1979, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::compare::holm;
///
/// let found = holm(&[Some(0.01), None, Some(0.04), Some(0.03)]).unwrap();
/// assert_eq!(found[1], None);
/// assert!((found[0].unwrap() - 0.03).abs() < 1e-12 && (found[2].unwrap() - 0.06).abs() < 1e-12);
///
/// assert!(holm(&[Some(1.5)]).is_err());
/// ```
pub fn holm(chances: &[Option<f64>]) -> Result<Vec<Option<f64>>, FormulaError> {
    let mut tried: Vec<(usize, f64)> = chances.iter().enumerate().filter_map(|(at, p)| Some((at, (*p)?))).collect();
    for (_, p) in &tried {
        within("the chance", *p, 0.0, 1.0)?;
    }
    sort_few(&mut tried, |one, other| one.1.total_cmp(&other.1));
    let mut out = vec![None; chances.len()];
    let mut least = 0.0_f64;
    for (rank, (at, p)) in tried.iter().enumerate() {
        least = least.max((p * count_to_f64(tried.len() - rank)).min(1.0));
        if let Some(slot) = out.get_mut(*at) {
            *slot = Some(least);
        }
    }
    Ok(out)
}

/// How well two one-sided tests show that a change is smaller than a margin: the larger of their p-values.
///
/// | name     | meaning                 | unit | valid         |
/// |----------|-------------------------|------|---------------|
/// | `judged` | a change with its scatter | dB |               |
/// | `margin` | what counts as the same | dB   | 1e-12 to 1e12 |
///
/// Below 0.05 the two are the same within the margin: the 90 % interval lies inside. Without any scatter known, 1.
///
/// # Errors
///
/// [`FormulaError::OutOfRange`], [`FormulaError::NotFinite`].
///
/// # Source
///
/// Two one-sided tests (Schuirmann 1987), from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::compare::{Stat, judge, same_within};
/// use lessdin::units::{Gain, Level};
///
/// let runs = |levels: [f64; 3]| levels.map(|level| Stat::bare(Level(level)));
/// let found = judge(&runs([48.0, 48.1, 48.2]), &runs([48.1, 48.2, 48.0])).unwrap();
/// assert!(same_within(&found, Gain(1.0)).unwrap() < 0.05);
///
/// assert!(same_within(&found, Gain(0.0)).is_err());
/// ```
pub fn same_within(judged: &Judged, margin: Gain) -> Result<f64, FormulaError> {
    positive("the margin", margin.0)?;
    let Some(spread) = judged.spread else { return Ok(1.0) };
    let room = margin.0 - judged.change.0.abs();
    if spread.error <= 0.0 {
        return Ok(if room > 0.0 { 0.0 } else { 1.0 });
    }
    let half = beyond(room, spread.error, spread.dof)? / 2.0;
    Ok(if room > 0.0 { half } else { 1.0 - half })
}

/// The verdict on a change.
///
/// | name     | meaning                                                   | unit | valid         |
/// |----------|-----------------------------------------------------------|------|---------------|
/// | `judged` | with its scatter                                          | dB   |               |
/// | `chance` | its p-value as it counts among all that were tried, [`holm`] | 1 | 0 to 1        |
/// | `margin` | what counts as the same                                   | dB   | 1e-12 to 1e12 |
///
/// A change that is shown but smaller than the margin is *the same*: it is shown to be less than what matters. Without a chance,
/// nothing is shown.
///
/// # Errors
///
/// As [`same_within`].
///
/// # Source
///
/// Derived: the two tests, each at 5 %.
///
/// # Example
///
/// ```
/// use lessdin::formulas::compare::{Stat, Verdict, judge, verdict};
/// use lessdin::units::{Gain, Level};
///
/// let runs = |levels: [f64; 3]| levels.map(|level| Stat::bare(Level(level)));
/// let found = judge(&runs([48.0, 48.2, 48.1]), &runs([45.5, 45.3, 45.2])).unwrap();
/// let chance = found.spread.map(|spread| spread.p);
/// assert_eq!(verdict(&found, chance, Gain(1.0)), Ok(Verdict::Quieter));
///
/// assert!(verdict(&found, chance, Gain(-1.0)).is_err());
/// ```
pub fn verdict(judged: &Judged, chance: Option<f64>, margin: Gain) -> Result<Verdict, FormulaError> {
    if judged.few || judged.spread.is_none() {
        return Ok(Verdict::TooFew);
    }
    if same_within(judged, margin)? < RISK {
        return Ok(Verdict::Same);
    }
    Ok(match chance {
        Some(p) if p < RISK && judged.change.0 < 0.0 => Verdict::Quieter,
        Some(p) if p < RISK && judged.change.0 > 0.0 => Verdict::Louder,
        _ => Verdict::CannotTell,
    })
}

/// The level of a typical job: every phase as long as it usually lasts, whatever was recorded.
///
/// `L = 10·lg(Σ T_p·10^(L_p/10)/Σ T_p)`, `u² = Σ (c_p·u_p)²` with each phase's share of the energy `c_p`
///
/// | name     | meaning                                    | unit  | valid                            |
/// |----------|--------------------------------------------|-------|----------------------------------|
/// | `phases` | level with its ±, usual duration T         | dB, s | finite; 0 to 1e12, not all zero  |
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// ISO 1996-1, from memory; JCGM 100 (GUM), 5.1.2.
///
/// # Example
///
/// ```
/// use lessdin::formulas::compare::typical_job;
/// use lessdin::units::{Level, PlusMinus};
///
/// let phases = [(PlusMinus::new(Level(60.0), 0.5), 300.0), (PlusMinus::new(Level(40.0), 0.5), 3300.0)];
/// assert!((typical_job(&phases).unwrap().value.0 - 49.6614).abs() < 1e-4);
///
/// assert!(typical_job(&[]).is_err());
/// ```
pub fn typical_job(phases: &[(PlusMinus<Level>, f64)]) -> Result<PlusMinus<Level>, FormulaError> {
    let parts: Vec<(Level, f64)> = phases.iter().map(|(level, seconds)| (level.value, *seconds)).collect();
    let mean = levels::time_mean(&parts)?;
    let whole: f64 = phases.iter().map(|(_, seconds)| seconds).sum();
    let share = |level: Level, seconds: f64| seconds / whole * 10_f64.powf((level - mean).0 / 10.0);
    let halves: Vec<f64> = phases.iter().map(|(level, seconds)| share(level.value, *seconds) * level.half_width).collect();
    Ok(PlusMinus::new(mean, uncertainty::combine(&halves)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn run(level: f64) -> Stat {
        Stat { level: Level(level), error: 0.0, dof: 0.0, few: false, step: 0.0 }
    }

    #[test]
    fn run_levels_are_compared_as_the_general_library_does() {
        // scipy 1.17.1, ttest_ind(equal_var=False): t 14.482317, dof 9.780502, p 6.2605e-8.
        let before: Vec<Stat> = [48.2, 48.6, 47.9, 48.4, 48.8, 48.1].map(run).into();
        let after: Vec<Stat> = [45.1, 45.6, 44.8, 45.9, 45.3, 45.2].map(run).into();
        let judged = judge(&before, &after).unwrap();
        let spread = judged.spread.unwrap();
        assert_abs_diff_eq!(judged.change.0, -3.012_858, epsilon = 1e-6);
        assert_abs_diff_eq!(spread.dof, 9.780_502, epsilon = 1e-6);
        assert_abs_diff_eq!(spread.half, (3.482_204 - 2.551_130) / 2.0, epsilon = 1e-6);
        assert_abs_diff_eq!(3.016_667 / spread.error, 14.482_317, epsilon = 1e-5);
        assert_eq!((spread.rule, judged.hint, judged.few), (Rule::Between, false, false));
        assert_eq!(verdict(&judged, Some(spread.p), Gain(1.0)), Ok(Verdict::Quieter));
    }

    #[test]
    fn single_runs_are_a_hint_and_bare_levels_are_too_few() {
        let log = |level, error| Stat { level: Level(level), error, dof: 300.0, few: false, step: 0.0 };
        let judged = judge(&[log(47.5, 0.3)], &[log(45.0, 0.4)]).unwrap();
        let spread = judged.spread.unwrap();
        assert!(judged.hint && !judged.few && spread.rule == Rule::Within);
        assert_abs_diff_eq!(spread.error, 0.5, epsilon = 1e-12);
        // (0.09 + 0.16)² / (0.09²/300 + 0.16²/300) = 556.4.
        assert_abs_diff_eq!(spread.dof, 556.379_8, epsilon = 1e-3);
        let bare = judge(&[run(47.5)], &[log(45.0, 0.4)]).unwrap();
        assert!(bare.few && bare.spread.is_none());
        assert_eq!(verdict(&bare, None, Gain(1.0)), Ok(Verdict::TooFew));
        let few = judge(&[Stat { few: true, ..log(47.5, 0.3) }], &[log(45.0, 0.4)]).unwrap();
        assert_eq!(verdict(&few, Some(0.001), Gain(1.0)), Ok(Verdict::TooFew));
    }

    #[test]
    fn the_wider_of_the_two_intervals_holds() {
        let log = |level, error| Stat { level: Level(level), error, dof: 300.0, few: false, step: 0.0 };
        let close = judge(&[log(47.5, 2.0), log(47.5, 2.0)], &[log(45.0, 2.0), log(45.02, 2.0)]).unwrap();
        assert_eq!(close.spread.unwrap().rule, Rule::WithinWider);
        // √(4·(2/2)²) = 2.
        assert_abs_diff_eq!(close.spread.unwrap().error, 2.0, epsilon = 1e-9);
        let wide = judge(&[log(47.0, 0.01), log(48.0, 0.01)], &[log(45.0, 0.01), log(46.0, 0.01)]).unwrap();
        assert_eq!(wide.spread.unwrap().rule, Rule::Between);
        // s²/n = 0.25 on each side; t(0.975; 2) = 4.3027.
        assert_abs_diff_eq!(wide.spread.unwrap().half, 4.3027 * 0.5_f64.sqrt(), epsilon = 1e-4);
    }

    #[test]
    fn holm_takes_the_smallest_chance_times_all_and_never_turns_the_order() {
        let adjusted = holm(&[Some(0.01), Some(0.04), None, Some(0.03), Some(0.005)]).unwrap();
        let wanted = [Some(0.03), Some(0.06), None, Some(0.06), Some(0.02)];
        for (found, wanted) in adjusted.iter().zip(wanted) {
            assert_eq!(found.is_some(), wanted.is_some());
            assert_abs_diff_eq!(found.unwrap_or(0.0), wanted.unwrap_or(0.0), epsilon = 1e-12);
        }
    }

    #[test]
    fn a_change_is_the_same_when_the_90_percent_interval_lies_inside_the_margin() {
        let log = |level, error| Stat { level: Level(level), error, dof: 1e6, few: false, step: 0.0 };
        let judged = |change: f64| judge(&[log(45.0, 0.2)], &[log(45.0 + change, 0.0)]).unwrap();
        // 1 − 1.6449·0.2 = 0.671.
        assert!(same_within(&judged(-0.66), Gain(1.0)).unwrap() < RISK);
        assert!(same_within(&judged(-0.68), Gain(1.0)).unwrap() > RISK);
        assert_eq!(verdict(&judged(0.66), Some(0.001), Gain(1.0)), Ok(Verdict::Same), "shown, but too small to matter");
        assert_eq!(verdict(&judged(0.9), Some(0.001), Gain(1.0)), Ok(Verdict::Louder));
        assert_eq!(verdict(&judged(0.9), Some(0.2), Gain(1.0)), Ok(Verdict::CannotTell));
    }
}
