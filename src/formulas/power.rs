//! How many runs it takes, and how long to record: how often the test of [`super::compare`] shows a change that is there.

use std::f64::consts::FRAC_PI_4;

use super::compare::RISK;
use super::error::{FormulaError, positive, within};
use super::series::{self, FEWEST_EFFECTIVE};
use super::uncertainty::{ln_gamma, student_t, student_t_outside};
use crate::units::{Gain, count_to_f64, within as limited};

/// Which test is planned for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Test {
    /// Welch's: each set has a spread of its own. It is what [`super::compare::judge`] does.
    Welch,
    /// Student's: both sets share one spread, which is then better known.
    Shared,
}

/// The most runs of each kind that are planned.
pub const MOST_RUNS: usize = 100;

/// Places and weights of the Gauss-Legendre rule of twelve points, mirrored at zero.
const POINTS: [(f64, f64); 6] = [
    (0.125_233_408_511_468_9, 0.249_147_045_813_402_77),
    (0.367_831_498_998_180_2, 0.233_492_536_538_354_8),
    (0.587_317_954_286_617_4, 0.203_167_426_723_065_92),
    (0.769_902_674_194_304_7, 0.160_078_328_543_346_22),
    (0.904_117_256_370_474_9, 0.106_939_325_995_318_43),
    (0.981_560_634_246_719_2, 0.047_175_336_386_511_83),
];

/// So far from the even split is looked at, times `1/√(n − 2)`: beyond, less than 2e-9 of the weight is left.
const REACH: f64 = 3.0;

/// Incomplete beta functions below this are left out,
const NOTHING: f64 = 1e-14;

/// and those beyond so many.
const MOST_TERMS: usize = 10_000;

/// A test of two sets of equally many runs.
///
/// With equal true spreads the statistic is a noncentral t of `2n − 2` degrees of freedom and does not depend on how the two
/// sample variances split their sum; the split, a beta distribution of `(n − 1)/2` twice, alone decides the limit that Welch's
/// test takes. So the chance is the mean over the split of a noncentral t beyond its limit.
#[derive(Clone, Debug)]
pub struct Plan {
    runs: f64,
    /// For 0, 1, 2 …: the mean over the splits of I(x; k + 1/2, ν/2), with the limit of t as `x = t²/(ν + t²)`.
    inside: Vec<f64>,
}

impl Plan {
    /// The test of so many runs of each kind, 2 to 100.
    ///
    /// # Errors
    ///
    /// [`FormulaError::TooFew`] or [`FormulaError::OutOfRange`].
    pub fn new(runs: usize, test: Test) -> Result<Self, FormulaError> {
        if runs < 2 {
            return Err(FormulaError::TooFew { found: runs, needed: 2 });
        }
        let count = within("the number of runs", count_to_f64(runs), 2.0, count_to_f64(MOST_RUNS))?;
        let freedom = 2.0 * count - 2.0;
        let half = freedom / 2.0;
        let beta = ln_gamma(0.5) + ln_gamma(half) - ln_gamma(half + 0.5);
        let mut inside: Vec<f64> = Vec::new();
        let mut add = |weight: f64, own: f64| -> Result<(), FormulaError> {
            let limit = student_t(1.0 - RISK, own)?;
            let rest = freedom / (freedom + limit * limit);
            let x = 1.0 - rest;
            let mut one = 1.0 - student_t_outside(limit, freedom)?;
            let mut fall = 2.0 * (0.5 * x.ln() + half * rest.ln() - beta).exp();
            let mut order = 0;
            while one > NOTHING && order < MOST_TERMS {
                match inside.get_mut(order) {
                    Some(sum) => *sum += weight * one,
                    None => inside.push(weight * one),
                }
                let now = count_to_f64(order);
                one -= fall;
                fall *= x * (now + count - 0.5) / (now + 1.5);
                order += 1;
            }
            Ok(())
        };
        if test == Test::Shared {
            add(1.0, freedom)?;
            return Ok(Self { runs: count, inside });
        }
        // The split is sin², seen from the even one; far from it nothing is left when there are many runs.
        let reach = if runs > 2 { FRAC_PI_4.min(REACH / (count - 2.0).sqrt()) } else { FRAC_PI_4 };
        let mut whole = 0.0;
        for (place, gauss) in POINTS {
            for side in [-place, place] {
                let (sine, cosine) = (FRAC_PI_4 - reach * f64::midpoint(1.0, side)).sin_cos();
                let weight = gauss * (2.0 * sine * cosine).powf(count - 2.0);
                add(weight, (count - 1.0) / (sine.powi(4) + cosine.powi(4)))?;
                whole += weight;
            }
        }
        for one in &mut inside {
            *one /= whole;
        }
        Ok(Self { runs: count, inside })
    }

    /// The standard error of a difference for a spread of 1 from run to run.
    fn error(&self) -> f64 {
        (2.0 / self.runs).sqrt()
    }

    /// The chance of showing a true difference, dB, for a spread from run to run, dB. See [`chance_of_showing`].
    ///
    /// # Errors
    ///
    /// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
    pub fn chance(&self, difference: f64, spread: f64) -> Result<f64, FormulaError> {
        within("the difference", difference, -1e6, 1e6)?;
        Ok(self.shown(difference / positive("the spread", spread)?))
    }

    /// The smallest true difference shown with a chance, dB, for a spread from run to run, dB. See [`smallest_shown`].
    ///
    /// # Errors
    ///
    /// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
    pub fn smallest(&self, chance: f64, spread: f64) -> Result<Gain, FormulaError> {
        within("the chance", chance, 0.1, 0.999)?;
        positive("the spread", spread)?;
        let (mut low, mut high) = (0.0, self.error());
        while self.shown(high) < chance && high < 1e3 {
            low = high;
            high *= 2.0;
        }
        // A straight line between the ends; an end that stays where it is counts half (the rule called Illinois).
        let (mut under, mut over) = (self.shown(low) - chance, self.shown(high) - chance);
        let (mut found, mut under_last) = (high, None);
        for _ in 0..100 {
            found = high - over * (high - low) / (over - under);
            let at = self.shown(found) - chance;
            if at.abs() < 1e-11 || high - low < 1e-10 * high {
                break;
            }
            if at < 0.0 {
                (low, under, over) = (found, at, if under_last == Some(true) { over / 2.0 } else { over });
            } else {
                (high, over, under) = (found, at, if under_last == Some(false) { under / 2.0 } else { under });
            }
            under_last = Some(at < 0.0);
        }
        Ok(Gain(found * spread))
    }

    /// The chance that a difference of so many times the spread from run to run is shown.
    fn shown(&self, ratio: f64) -> f64 {
        let apart = (ratio.abs() / self.error()).min(200.0);
        let mean = apart * apart / 2.0;
        // |T| below the limit: incomplete beta functions, weighted by a Poisson distribution.
        let (mut hidden, mut log, mut order) = (0.0, -mean, 0.0);
        for inside in &self.inside {
            hidden += log.exp() * inside;
            order += 1.0;
            log += (mean / order).max(1e-300).ln();
        }
        limited(1.0 - hidden, 0.0, 1.0)
    }
}

/// The chance that a true difference is shown.
///
/// | name         | meaning                                        | unit | valid         |
/// |--------------|------------------------------------------------|------|---------------|
/// | `runs`       | of each kind                                   | 1    | 2 to 100      |
/// | `difference` | the true one, either way                       | dB   | −1e6 to 1e6   |
/// | `spread`     | standard deviation from run to run, the same before and after | dB | 1e-12 to 1e12 |
/// | `test`       | which test; 5 %, two-sided                     |      |               |
///
/// # Errors
///
/// [`FormulaError::TooFew`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Noncentral t distribution as a sum of incomplete beta functions, from memory; for Welch's test averaged over the split of the
/// variances, derived.
///
/// # Example
///
/// ```
/// use lessdin::formulas::power::{Test, chance_of_showing};
///
/// assert!((chance_of_showing(3, 0.92, 0.3, Test::Shared).unwrap() - 0.801).abs() < 0.01);
/// assert!((chance_of_showing(3, 0.92, 0.3, Test::Welch).unwrap() - 0.695).abs() < 0.001);
///
/// assert!(chance_of_showing(1, 0.92, 0.3, Test::Welch).is_err());
/// ```
pub fn chance_of_showing(runs: usize, difference: f64, spread: f64, test: Test) -> Result<f64, FormulaError> {
    Plan::new(runs, test)?.chance(difference, spread)
}

/// The smallest true difference that is shown with a given chance.
///
/// | name     | meaning                                        | unit | valid         |
/// |----------|------------------------------------------------|------|---------------|
/// | `runs`   | of each kind                                   | 1    | 2 to 100      |
/// | `chance` | of showing it                                  | 1    | 0.1 to 0.999  |
/// | `spread` | standard deviation from run to run, the same before and after | dB | 1e-12 to 1e12 |
/// | `test`   | which test; 5 %, two-sided                     |      |               |
///
/// # Errors
///
/// [`FormulaError::TooFew`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// As [`chance_of_showing`].
///
/// # Example
///
/// ```
/// use lessdin::formulas::power::{Test, smallest_shown};
///
/// assert!((smallest_shown(3, 0.8, 0.3, Test::Welch).unwrap().0 - 1.052).abs() < 1e-3);
///
/// assert!(smallest_shown(3, 1.0, 0.3, Test::Welch).is_err());
/// ```
pub fn smallest_shown(runs: usize, chance: f64, spread: f64, test: Test) -> Result<Gain, FormulaError> {
    Plan::new(runs, test)?.smallest(chance, spread)
}

/// The smallest difference found that is just significant, when both sets scatter as usual.
///
/// `t(0.975; 2n − 2)·s·√(2/n)`
///
/// | name     | meaning                              | unit | valid         |
/// |----------|--------------------------------------|------|---------------|
/// | `runs`   | of each kind, n                      | 1    | 2 to 100      |
/// | `spread` | standard deviation from run to run   | dB   | 1e-12 to 1e12 |
///
/// A true difference of that size is shown only about half the time, with very few runs less often.
///
/// # Errors
///
/// [`FormulaError::TooFew`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Student's t for two sets that scatter alike, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::power::just_significant;
///
/// assert!((just_significant(3, 0.3).unwrap().0 - 0.68).abs() < 0.005);
///
/// assert!(just_significant(1, 0.3).is_err());
/// ```
pub fn just_significant(runs: usize, spread: f64) -> Result<Gain, FormulaError> {
    if runs < 2 {
        return Err(FormulaError::TooFew { found: runs, needed: 2 });
    }
    let count = within("the number of runs", count_to_f64(runs), 2.0, count_to_f64(MOST_RUNS))?;
    let t = student_t(1.0 - RISK, 2.0 * count - 2.0)?;
    Ok(Gain(t * positive("the spread", spread)? * (2.0 / count).sqrt()))
}

/// How many runs of each kind show a true difference with a given chance.
///
/// | name         | meaning                                  | unit | valid         |
/// |--------------|------------------------------------------|------|---------------|
/// | `difference` | the true one, either way                 | dB   | −1e6 to 1e6   |
/// | `spread`     | standard deviation from run to run, the same before and after | dB | 1e-12 to 1e12 |
/// | `chance`     | of showing it                            | 1    | 0.1 to 0.999  |
/// | `test`       | which test; 5 %, two-sided               |      |               |
///
/// At least two. `None` when a hundred are not enough.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// As [`chance_of_showing`].
///
/// # Example
///
/// ```
/// use lessdin::formulas::power::{Test, runs_needed};
///
/// assert_eq!(runs_needed(1.0, 0.3, 0.8, Test::Welch), Ok(Some(4)));
/// assert_eq!(runs_needed(0.001, 0.3, 0.8, Test::Welch), Ok(None));
///
/// assert!(runs_needed(1.0, 0.0, 0.8, Test::Welch).is_err());
/// ```
pub fn runs_needed(difference: f64, spread: f64, chance: f64, test: Test) -> Result<Option<usize>, FormulaError> {
    within("the chance", chance, 0.1, 0.999)?;
    let enough = |runs: usize| Ok(chance_of_showing(runs, difference, spread, test)? >= chance);
    let (mut low, mut high) = (1, 2);
    while !enough(high)? {
        if high >= MOST_RUNS {
            return Ok(None);
        }
        low = high;
        high = (high * 2).min(MOST_RUNS);
    }
    while high - low > 1 {
        let middle = usize::midpoint(low, high);
        if enough(middle)? { high = middle } else { low = middle }
    }
    Ok(Some(high))
}

/// How long a phase must be recorded for its own ± to be no more than wanted.
///
/// The first number of samples for which `t(0.975; 8)·s/√n_eff` is no more than wanted and `n_eff` is 20 or more, times the step;
/// `n_eff` by [`series::effective_count`].
///
/// | name     | meaning                                   | unit | valid          |
/// |----------|-------------------------------------------|------|----------------|
/// | `spread` | standard deviation of the samples         | dB   | 0 to 1e3       |
/// | `alike`  | correlation of neighbouring samples       | 1    | −0.99 to 0.999 |
/// | `step`   | from sample to sample                     | s    | 1e-12 to 1e12  |
/// | `wanted` | 95 % half width                           | dB   | 1e-3 to 1e3    |
///
/// For one level. The difference of two such recordings has about 1.3 times that half width. Eight degrees of freedom, as
/// [`series::summary`] has however long the recording.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived from the variance of the mean of a first-order autoregressive series.
///
/// # Example
///
/// ```
/// use lessdin::formulas::power::recording_time;
///
/// // (2.306·0.8/0.3)² = 37.8 independent samples, each worth 2.16 s on a Slow meter.
/// assert!((recording_time(0.8, 0.3679, 1.0, 0.3).unwrap() - 82.0).abs() < 1.5);
///
/// assert!(recording_time(0.8, 0.3679, 1.0, 0.0).is_err());
/// ```
pub fn recording_time(spread: f64, alike: f64, step: f64, wanted: f64) -> Result<f64, FormulaError> {
    within("the spread", spread, 0.0, 1e3)?;
    positive("the step", step)?;
    within("the half width", wanted, 1e-3, 1e3)?;
    let t = student_t(1.0 - RISK, count_to_f64(series::COSINES))?;
    let needed = (t * spread / wanted).powi(2).max(FEWEST_EFFECTIVE);
    let (mut low, mut high) = (1.0, 2.0);
    while series::effective_count(high, alike)? < needed {
        low = high;
        high *= 2.0;
    }
    while high - low > 1.0 {
        let middle = f64::midpoint(low, high).round();
        if series::effective_count(middle, alike)? < needed { low = middle } else { high = middle }
    }
    Ok(high * step)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn plan(runs: usize) -> Plan {
        Plan::new(runs, Test::Welch).unwrap()
    }

    const POWER: [(usize, f64, f64); 10] = [
        (2, 1.29, 0.335_275),
        (2, 2.0, 0.569_785),
        (3, 0.92, 0.695_039),
        (3, 1.0, 0.761_781),
        (4, 0.7, 0.739_710),
        (5, 0.44, 0.502_892),
        (5, 0.6, 0.766_782),
        (10, 0.4, 0.800_741),
        (30, 0.2, 0.718_258),
        (100, 0.12, 0.803_614),
    ];

    const TABLE: [(usize, f64, f64); 8] = [
        (2, 1.2908, 3.1176),
        (3, 0.6801, 1.0522),
        (4, 0.5191, 0.7541),
        (5, 0.4375, 0.6253),
        (6, 0.3859, 0.5485),
        (8, 0.3217, 0.4561),
        (10, 0.2819, 0.3996),
        (12, 0.2540, 0.3603),
    ];

    #[test]
    fn the_chance_is_that_of_the_general_library() {
        // scipy 1.17.1: quadrature over `stats.chi` and the split, limits from `stats.t`; runs, change, chance at a spread of
        // 0.3 dB. Simulated with numpy, 400,000 pairs of sets: 0.5706, 0.7611, 0.7673 for the second, fourth and seventh.
        for (runs, change, wanted) in POWER {
            assert_abs_diff_eq!(plan(runs).chance(change, 0.3).unwrap(), wanted, epsilon = 5e-6);
        }
    }

    #[test]
    fn the_limits_and_the_smallest_changes_are_those_of_the_library() {
        for (runs, just, smallest) in TABLE {
            let test = plan(runs);
            assert_abs_diff_eq!(just_significant(runs, 0.3).unwrap().0, just, epsilon = 1e-4);
            assert_abs_diff_eq!(test.smallest(0.8, 0.3).unwrap().0, smallest, epsilon = 2e-4);
        }
    }

    #[test]
    fn the_number_of_runs_is_the_first_that_suffices() {
        for change in [0.15, 0.3, 0.6, 1.0, 2.0, 5.0] {
            let runs = runs_needed(change, 0.3, 0.8, Test::Welch).unwrap().unwrap();
            assert!(plan(runs).chance(change, 0.3).unwrap() >= 0.8);
            assert!(runs == 2 || plan(runs - 1).chance(change, 0.3).unwrap() < 0.8, "{change} dB: {runs}");
        }
        assert_eq!(runs_needed(0.1, 0.5, 0.8, Test::Welch), Ok(None));
        assert!(Plan::new(1, Test::Welch).is_err());
    }

    #[test]
    fn more_runs_and_larger_changes_never_show_less() {
        let mut last = 0.0;
        for runs in 2..=40 {
            let chance = plan(runs).chance(0.4, 0.3).unwrap();
            assert!(chance > last, "{runs} runs");
            last = chance;
        }
        let test = plan(3);
        // Where there is no change, the test speaks in 5 of 100 cases at most: with few runs Welch's test is careful.
        assert!(test.chance(0.0, 0.3).unwrap() < 0.051 && test.chance(0.0, 0.3).unwrap() > 0.03);
    }
}
