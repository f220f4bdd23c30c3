//! Draws of chance, seeded, and what many of them say: the propagation of distributions of JCGM 101.
//!
//! The same seed gives the same draws on every machine.

use rand_pcg::Pcg32;
use rand_pcg::rand_core::{Rng, SeedableRng};

use super::error::{FormulaError, finite, within};
use crate::units::{COVERAGE_95, count_to_f64};

/// A seeded source of chance.
#[derive(Clone, Debug)]
pub struct Chance {
    source: Pcg32,
    spare: Option<f64>,
}

impl Chance {
    /// A source that gives the same draws for the same seed.
    pub fn new(seed: u64) -> Self {
        Self { source: Pcg32::seed_from_u64(seed), spare: None }
    }

    /// A number from 0 to below 1, each as likely as any other.
    pub fn unit(&mut self) -> f64 {
        f64::from(self.source.next_u32()) / (f64::from(u32::MAX) + 1.0)
    }

    /// Heads or tails.
    pub fn coin(&mut self) -> bool {
        self.unit() < 0.5
    }

    /// An error that lies anywhere within plus or minus `half`, any unit.
    pub fn rectangular(&mut self, half: f64) -> f64 {
        half * (2.0 * self.unit() - 1.0)
    }

    /// A normal error whose 95 % half width is `half_width`, any unit. By the Box–Muller transform.
    pub fn normal(&mut self, half_width: f64) -> f64 {
        let standard = self.spare.take().unwrap_or_else(|| {
            let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
            let (sine, cosine) = (std::f64::consts::TAU * self.unit()).sin_cos();
            self.spare = Some(radius * sine);
            radius * cosine
        });
        half_width / COVERAGE_95 * standard
    }
}

/// Where the middle 95 % of many draws lie, and their mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// The mean of the draws.
    pub mean: f64,
    /// 2.5 % of the draws lie below.
    pub low: f64,
    /// 2.5 % of the draws lie above.
    pub high: f64,
}

/// The mean and the probabilistically symmetric 95 % interval of draws.
///
/// Sorted draws `y1 … yM`, `q = 0.95·M`: from `yr` to `y(r+q)` with `r = (M − q)/2`
///
/// | name    | meaning     | unit | valid               |
/// |---------|-------------|------|---------------------|
/// | `draws` | any order   | any  | finite, 40 or more  |
///
/// # Errors
///
/// [`FormulaError::TooFew`] below 40 draws, [`FormulaError::NotFinite`].
///
/// # Source
///
/// JCGM 101:2008 (GUM Supplement 1), 7.6 and 7.7, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::chance::interval;
///
/// let draws: Vec<f64> = (1..=1000).map(f64::from).collect();
/// let found = interval(&draws).unwrap();
/// assert!((found.mean - 500.5).abs() < 1e-9);
/// assert!((found.low - 25.0).abs() < 1e-9 && (found.high - 975.0).abs() < 1e-9);
///
/// assert!(interval(&[1.0]).is_err());
/// ```
pub fn interval(draws: &[f64]) -> Result<Interval, FormulaError> {
    const LEAST: usize = 40;
    if draws.len() < LEAST {
        return Err(FormulaError::TooFew { found: draws.len(), needed: LEAST });
    }
    for &draw in draws {
        finite("the draw", draw)?;
    }
    let mut sorted = draws.to_vec();
    sorted.sort_by(f64::total_cmp);
    let inside = draws.len() * 19 / 20;
    let below = (draws.len() - inside) / 2;
    let at = |place: usize| sorted.get(place.saturating_sub(1)).copied().ok_or(FormulaError::Empty);
    let mean = draws.iter().sum::<f64>() / count_to_f64(draws.len());
    Ok(Interval { mean, low: at(below)?, high: at(below + inside)? })
}

/// The share of draws that reach a limit: the chance of at least so much.
///
/// | name    | meaning         | unit | valid              |
/// |---------|-----------------|------|--------------------|
/// | `draws` | any order       | any  | one or more        |
/// | `limit` | to be reached   | any  | −1e12 to 1e12      |
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// JCGM 101:2008 (GUM Supplement 1), 7.5: the discrete representation of the distribution, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::chance::share_at_least;
///
/// assert!((share_at_least(&[0.5, 1.0, 2.0, 4.0], 1.0).unwrap() - 0.75).abs() < 1e-12);
///
/// assert!(share_at_least(&[], 1.0).is_err());
/// ```
pub fn share_at_least(draws: &[f64], limit: f64) -> Result<f64, FormulaError> {
    within("the limit", limit, -1e12, 1e12)?;
    if draws.is_empty() {
        return Err(FormulaError::Empty);
    }
    Ok(count_to_f64(draws.iter().filter(|draw| **draw >= limit).count()) / count_to_f64(draws.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_seed_gives_the_same_draws_and_another_seed_others() {
        let draws = |seed| {
            let mut chance = Chance::new(seed);
            std::iter::repeat_with(|| chance.normal(1.0)).take(20).map(f64::to_bits).collect::<Vec<_>>()
        };
        assert_eq!(draws(1), draws(1));
        assert_ne!(draws(1), draws(2));
    }

    #[test]
    fn draws_are_finite_and_within_their_bounds() {
        let mut chance = Chance::new(3);
        for _ in 0..10_000 {
            assert!((0.0..1.0).contains(&chance.unit()));
            assert!(chance.rectangular(2.0).abs() <= 2.0);
            assert!(chance.normal(1.0).is_finite());
        }
    }

    #[test]
    fn a_draw_is_so_many_parts_of_two_to_the_thirty_two() {
        let (mut chance, mut source) = (Chance::new(5), Pcg32::seed_from_u64(5));
        for _ in 0..20 {
            assert_eq!((chance.unit() * 4_294_967_296.0).to_bits(), f64::from(source.next_u32()).to_bits());
        }
    }

    #[test]
    fn draws_have_the_mean_and_the_spread_they_are_said_to_have() {
        // A rectangle of ±2 has a standard deviation of 2/√3, a normal error one of its half width over 1.96.
        let mut chance = Chance::new(6);
        let mut of = |draw: fn(&mut Chance) -> f64, spread: f64| {
            let draws: Vec<f64> = (0..20_000).map(|_| draw(&mut chance)).collect();
            let mean = draws.iter().sum::<f64>() / 20_000.0;
            let found = (draws.iter().map(|draw| draw * draw).sum::<f64>() / 20_000.0).sqrt();
            assert!(mean.abs() < 4.0 * spread / 20_000_f64.sqrt(), "{mean}");
            assert!((found / spread - 1.0).abs() < 0.02, "{found} for {spread}");
        };
        of(|chance| chance.rectangular(2.0), 2.0 / 3_f64.sqrt());
        of(|chance| chance.normal(3.0), 3.0 / 1.96);
        of(|chance| if chance.coin() { 1.0 } else { -1.0 }, 1.0);
    }

    #[test]
    fn the_interval_lies_where_the_ranks_say() {
        // Of 40 draws 38 lie inside: from the first to the 39th. Of 100: from the second to the 97th.
        for (count, low, high) in [(40, 1.0, 39.0), (100, 2.0, 97.0), (10_000, 250.0, 9750.0)] {
            let draws: Vec<f64> = (1..=count).rev().map(f64::from).collect();
            let found = interval(&draws).unwrap();
            assert!((found.low - low).abs() < 1e-12 && (found.high - high).abs() < 1e-12, "{count} {found:?}");
            assert!((found.mean - f64::midpoint(f64::from(count), 1.0)).abs() < 1e-9);
        }
        assert_eq!(interval(&[1.0; 39]), Err(FormulaError::TooFew { found: 39, needed: 40 }));
    }
}
