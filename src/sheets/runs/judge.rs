//! Whether one set of runs is quieter than another: the change, its interval, and the verdict.

use crate::formulas::{FormulaError, levels, uncertainty};
use crate::units::{self, Gain, Level, count_to_f64, sort_few};

/// What is held against chance, in every test: 5 in 100.
pub(super) const RISK: f64 = 0.05;

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
    /// The standard error that the step of the display brings in, dB.
    pub step: f64,
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
    /// Second less first.
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
    /// The chance of such a change or a larger one where there is none.
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

/// Welch and Satterthwaite: the degrees of freedom of a sum of variances.
fn welch(parts: impl Iterator<Item = (f64, f64)> + Clone) -> f64 {
    let total: f64 = parts.clone().map(|(variance, _)| variance).sum();
    let by: f64 = parts.filter(|(_, dof)| *dof > 0.0).map(|(variance, dof)| variance * variance / dof).sum();
    if by > 0.0 { units::within(total * total / by, 1.0, 1e6) } else { 1e6 }
}

fn spread(change: f64, error: f64, dof: f64, rule: Rule) -> Result<Spread, FormulaError> {
    let half = uncertainty::student_t(1.0 - RISK, dof)? * error;
    let p = if error > 0.0 { uncertainty::student_t_outside((change / error).abs().min(1e6), dof)? } else { 0.0 };
    Ok(Spread { error, dof, half, p, rule })
}

/// The scatter within the runs alone: the variance of the mean of each set, with its degrees of freedom.
fn within(set: &[Stat]) -> Option<Vec<(f64, f64)>> {
    let count = count_to_f64(set.len());
    set.iter().map(|stat| (stat.dof >= 1.0).then(|| ((stat.error / count).powi(2), stat.dof))).collect()
}

/// The scatter from run to run: the variance of the mean of a set, with its degrees of freedom.
fn between(set: &[Stat]) -> Result<Option<(f64, f64)>, FormulaError> {
    if set.len() < 2 {
        return Ok(None);
    }
    let values: Vec<f64> = set.iter().map(|stat| stat.level.0).collect();
    let count = count_to_f64(set.len());
    Ok(Some((uncertainty::standard_deviation(&values)?.powi(2) / count, count - 1.0)))
}

fn step(set: &[Stat]) -> f64 {
    set.iter().map(|stat| (stat.step / count_to_f64(set.len())).powi(2)).sum()
}

/// The change from one set of runs to another, with its interval: by the scatter within single runs where one side has one
/// run only, else by the wider of that and the scatter from run to run.
///
/// # Errors
///
/// As the formulas: an empty set, or levels no formula takes.
pub(super) fn judge(first: &[Stat], second: &[Stat]) -> Result<Judged, FormulaError> {
    let mean = |set: &[Stat]| levels::energy_mean(&set.iter().map(|stat| stat.level).collect::<Vec<_>>());
    let (before, after) = (mean(first)?, mean(second)?);
    let change = after - before;
    let display = step(first) + step(second);
    let from = |parts: &[(f64, f64)], rule: Rule| {
        let error = (parts.iter().map(|(variance, _)| variance).sum::<f64>() + display).sqrt();
        let all = parts.iter().copied().chain([(display, 0.0)]);
        spread(change.0, error, welch(all), rule)
    };
    let inner = match (within(first), within(second)) {
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

/// Holm's correction: each chance as it counts when all were tried together. What is `None` was not tried.
pub(super) fn holm(chances: &[Option<f64>]) -> Vec<Option<f64>> {
    let mut tried: Vec<(usize, f64)> = chances.iter().enumerate().filter_map(|(at, p)| Some((at, (*p)?))).collect();
    sort_few(&mut tried, |one, other| one.1.total_cmp(&other.1));
    let mut out = vec![None; chances.len()];
    let mut least = 0.0_f64;
    for (rank, (at, p)) in tried.iter().enumerate() {
        least = least.max((p * count_to_f64(tried.len() - rank)).min(1.0));
        if let Some(slot) = out.get_mut(*at) {
            *slot = Some(least);
        }
    }
    out
}

/// Whether two one-sided tests both show that the change is less than the margin, dB.
pub(super) fn is_same(judged: &Judged, margin: f64) -> Result<bool, FormulaError> {
    let Some(spread) = judged.spread else { return Ok(false) };
    let room = margin - judged.change.0.abs();
    if room <= 0.0 {
        return Ok(false);
    }
    if spread.error <= 0.0 {
        return Ok(true);
    }
    Ok(uncertainty::student_t_outside((room / spread.error).min(1e6), spread.dof)? / 2.0 < RISK)
}

/// The verdict, with the chance as it counts among all that were tried.
pub(super) fn verdict(judged: &Judged, chance: Option<f64>, margin: f64) -> Result<Verdict, FormulaError> {
    if judged.few || judged.spread.is_none() {
        return Ok(Verdict::TooFew);
    }
    if is_same(judged, margin)? {
        return Ok(Verdict::Same);
    }
    Ok(match chance {
        Some(p) if p < RISK && judged.change.0 < 0.0 => Verdict::Quieter,
        Some(p) if p < RISK && judged.change.0 > 0.0 => Verdict::Louder,
        _ => Verdict::CannotTell,
    })
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
        assert_eq!(verdict(&judged, Some(spread.p), 1.0), Ok(Verdict::Quieter));
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
        assert_eq!(verdict(&bare, None, 1.0), Ok(Verdict::TooFew));
        let few = judge(&[Stat { few: true, ..log(47.5, 0.3) }], &[log(45.0, 0.4)]).unwrap();
        assert_eq!(verdict(&few, Some(0.001), 1.0), Ok(Verdict::TooFew));
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
        let adjusted = holm(&[Some(0.01), Some(0.04), None, Some(0.03), Some(0.005)]);
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
        assert_eq!(is_same(&judged(-0.66), 1.0), Ok(true));
        assert_eq!(is_same(&judged(-0.68), 1.0), Ok(false));
        assert_eq!(verdict(&judged(0.66), Some(0.001), 1.0), Ok(Verdict::Same), "shown, but too small to matter");
        assert_eq!(verdict(&judged(0.9), Some(0.001), 1.0), Ok(Verdict::Louder));
        assert_eq!(verdict(&judged(0.9), Some(0.2), 1.0), Ok(Verdict::CannotTell));
    }
}
