//! How often the test that `runs` uses shows a change that is there: Welch's test of two sets of equally many runs.
//!
//! With equal spread on both sides the statistic follows a noncentral t of 2n − 2 degrees of freedom, whatever the split of
//! the two sample variances; the split alone decides the degrees of freedom that Welch and Satterthwaite give, and with
//! them the limit. So the chance is the mean, over the split, of a noncentral t beyond its limit: two integrals, both of
//! smooth functions.

use crate::formulas::{FormulaError, uncertainty};
use crate::units::{count_to_f64, within};

/// The most runs of each kind that are planned.
pub(super) const MOST_RUNS: usize = 100;
/// Points over the split of the variances: places and weights of the Gauss-Legendre rule of eight points.
const SPLITS: [(f64, f64); 8] = [
    (-0.960_289_856_497_536_2, 0.101_228_536_290_376_26),
    (-0.796_666_477_413_626_7, 0.222_381_034_453_374_47),
    (-0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (-0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_47),
    (0.960_289_856_497_536_2, 0.101_228_536_290_376_26),
];
/// Steps over the pooled spread; even, for Simpson's rule. With two or three runs the limit is far out, and what is summed
/// rises steeply.
const fn steps(runs: usize) -> usize {
    match runs {
        ..=2 => 120,
        3 => 60,
        _ => 32,
    }
}

/// The part of the standard normal distribution below `x`, to 7.5e-8.
///
/// Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.2.17, from memory.
fn below(x: f64) -> f64 {
    // Beyond six, what is left is less than the printed accuracy.
    if x.abs() > 6.0 {
        return if x < 0.0 { 0.0 } else { 1.0 };
    }
    let t = 1.0 / (1.0 + 0.231_641_9 * x.abs());
    let fraction = t * (0.319_381_530 + t * (-0.356_563_782 + t * (1.781_477_937 + t * (-1.821_255_978 + t * 1.330_274_429))));
    let tail = (-0.5 * x * x).exp() / std::f64::consts::TAU.sqrt() * fraction;
    if x < 0.0 { tail } else { 1.0 - tail }
}

/// Welch's test of two sets of `runs` runs each.
pub(super) struct Test {
    /// The limit of t for each split of the variances, with its weight.
    limits: Vec<(f64, f64)>,
    /// The pooled spread as a multiple of the true one, with its weight.
    spreads: Vec<(f64, f64)>,
    /// Runs of each kind.
    runs: f64,
}

impl Test {
    /// The test for two runs or more of each kind.
    ///
    /// # Errors
    ///
    /// [`FormulaError::TooFew`] below two.
    pub(super) fn new(runs: usize) -> Result<Self, FormulaError> {
        if runs < 2 {
            return Err(FormulaError::TooFew { found: runs, needed: 2 });
        }
        let n = count_to_f64(runs);
        let mut limits = Vec::new();
        for (place, weight) in SPLITS {
            let angle = f64::midpoint(1.0, place) * std::f64::consts::FRAC_PI_4;
            let (sin, cos) = angle.sin_cos();
            // The split is sin²: a beta distribution of (n − 1)/2 twice.
            let freedom = (n - 1.0) / (sin.powi(4) + cos.powi(4));
            limits.push((uncertainty::student_t(0.95, freedom)?, weight * (2.0 * sin * cos).powf(n - 2.0)));
        }
        let freedom = 2.0 * n - 2.0;
        let reach = 7.0 / (2.0 * freedom).sqrt();
        let (from, to) = ((1.0 - reach).max(0.0), 1.0 + reach);
        let mut spreads = Vec::new();
        let steps = steps(runs);
        for at in 0..=steps {
            let u = from + (to - from) * count_to_f64(at) / count_to_f64(steps);
            let simpson = if at == 0 || at == steps {
                1.0
            } else if at % 2 == 1 {
                4.0
            } else {
                2.0
            };
            let density = if u > 0.0 { ((freedom - 1.0) * u.ln() - freedom * (u * u - 1.0) / 2.0).exp() } else { 0.0 };
            spreads.push((u, simpson * density));
        }
        Ok(Self { limits, spreads, runs: n })
    }

    /// The chance that a change of so many standard errors is shown.
    fn shown(&self, change: f64) -> f64 {
        let (mut sum, mut whole) = (0.0, 0.0);
        for (limit, of_split) in &self.limits {
            for (u, of_spread) in &self.spreads {
                let weight = of_split * of_spread;
                whole += weight;
                sum += weight * (below(change - limit * u) + below(-change - limit * u));
            }
        }
        within(sum / whole, 0.0, 1.0)
    }

    /// The standard error of a difference, dB, for a spread from run to run, dB.
    fn error(&self, spread: f64) -> f64 {
        spread * (2.0 / self.runs).sqrt()
    }

    /// The chance that a change is shown; both in dB.
    pub(super) fn chance(&self, change: f64, spread: f64) -> f64 {
        self.shown((change / self.error(spread)).min(1e3))
    }

    /// The smallest change that is shown with this chance, dB.
    pub(super) fn smallest(&self, chance: f64, spread: f64) -> f64 {
        let (mut low, mut high) = (0.0, 4.0);
        while self.shown(high) < chance && high < 1e3 {
            low = high;
            high *= 2.0;
        }
        let (mut under, mut over) = (self.shown(low) - chance, self.shown(high) - chance);
        let mut found = high;
        for _ in 0..40 {
            // A straight line between the ends, kept off them so that both close in.
            let share = within(-under / (over - under), 0.05, 0.95);
            found = low + share * (high - low);
            let at = self.shown(found) - chance;
            if at < 0.0 {
                (low, under) = (found, at);
            } else {
                (high, over) = (found, at);
            }
            if high - low < 1e-5 || at.abs() < 1e-7 {
                break;
            }
        }
        found * self.error(spread)
    }

    /// The change that is just significant when both sets scatter alike, dB. A true change of that size is shown about
    /// half the time, less often with very few runs.
    ///
    /// # Errors
    ///
    /// As [`uncertainty::student_t`].
    pub(super) fn just(&self, spread: f64) -> Result<f64, FormulaError> {
        Ok(uncertainty::student_t(0.95, 2.0 * self.runs - 2.0)? * self.error(spread))
    }
}

/// The fewest runs of each kind that show a change with this chance, at least two; `None` when a hundred do not.
///
/// # Errors
///
/// As the formulas.
pub(super) fn runs_needed(change: f64, spread: f64, wanted: f64) -> Result<Option<usize>, FormulaError> {
    let enough = |runs: usize| -> Result<bool, FormulaError> { Ok(Test::new(runs)?.chance(change, spread) >= wanted) };
    if enough(2)? {
        return Ok(Some(2));
    }
    let (mut low, mut high) = (2, 4);
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

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

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
    fn the_normal_distribution_is_as_printed() {
        for (x, wanted) in [(0.0, 0.5), (1.0, 0.841_344_75), (-1.959_964, 0.025), (3.0, 0.998_650_10), (-6.0, 9.87e-10)] {
            assert_abs_diff_eq!(below(x), wanted, epsilon = 1e-7);
        }
    }

    #[test]
    fn the_chance_is_that_of_the_general_library() {
        // scipy 1.17.1: quadrature over `stats.chi` and the split, limits from `stats.t`; runs, change, chance at a spread of
        // 0.3 dB. Simulated with numpy, 400,000 pairs of sets: 0.5706, 0.7611, 0.7673 for the second, fourth and seventh.
        for (runs, change, wanted) in POWER {
            assert_abs_diff_eq!(Test::new(runs).unwrap().chance(change, 0.3), wanted, epsilon = 5e-6);
        }
    }

    #[test]
    fn the_limits_and_the_smallest_changes_are_those_of_the_library() {
        for (runs, just, smallest) in TABLE {
            let test = Test::new(runs).unwrap();
            assert_abs_diff_eq!(test.just(0.3).unwrap(), just, epsilon = 1e-4);
            assert_abs_diff_eq!(test.smallest(0.8, 0.3), smallest, epsilon = 2e-4);
        }
    }

    #[test]
    fn the_number_of_runs_is_the_first_that_suffices() {
        for change in [0.15, 0.3, 0.6, 1.0, 2.0, 5.0] {
            let runs = runs_needed(change, 0.3, 0.8).unwrap().unwrap();
            assert!(Test::new(runs).unwrap().chance(change, 0.3) >= 0.8);
            assert!(runs == 2 || Test::new(runs - 1).unwrap().chance(change, 0.3) < 0.8, "{change} dB: {runs}");
        }
        assert_eq!(runs_needed(0.1, 0.5, 0.8), Ok(None));
        assert!(Test::new(1).is_err());
    }

    #[test]
    fn more_runs_and_larger_changes_never_show_less() {
        let mut last = 0.0;
        for runs in 2..=40 {
            let chance = Test::new(runs).unwrap().chance(0.4, 0.3);
            assert!(chance > last, "{runs} runs");
            last = chance;
        }
        let test = Test::new(3).unwrap();
        // Where there is no change, the test speaks in 5 of 100 cases at most: with few runs Welch's test is careful.
        assert!(test.chance(0.0, 0.3) < 0.051 && test.chance(0.0, 0.3) > 0.03);
    }
}
