//! How sure a result is: propagation, repeated readings, 95 % half widths.
//!
//! Every half width here is a 95 % figure. Inside, the standard uncertainty is the half width over 1.96
//! ([`crate::units::COVERAGE_95`]). Inputs are taken as independent unless a function says otherwise. An error that is
//! the same in all readings, such as that of a meter never calibrated, is no part of these half widths: it cancels in
//! every difference and shifts every level alike.

use std::f64::consts::{LN_10, PI};

use super::error::{FormulaError, finite, half_width, within};
use super::levels;
use crate::units::{COVERAGE_95, Gain, Level, PlusMinus, count_to_f64};

/// Lets levels through whose values and half widths are of use.
pub(super) fn check(parts: &[PlusMinus<Level>]) -> Result<(), FormulaError> {
    for part in parts {
        finite("the level", part.value.0)?;
        half_width(part.half_width)?;
    }
    Ok(())
}

/// Several half widths of one and the same value, together.
///
/// `h = √(Σ hi²)`
///
/// | name          | meaning                    | unit              | valid   |
/// |---------------|----------------------------|-------------------|---------|
/// | `half_widths` | independent contributions  | one and the same  | 0 to 1e6 |
///
/// Works for standard uncertainties as well. None at all make zero.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// JCGM 100 (GUM), 5.1.2, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::combine;
///
/// assert!((combine(&[0.3, 0.4]).unwrap() - 0.5).abs() < 1e-12);
///
/// assert!(combine(&[-0.3]).is_err());
/// ```
pub fn combine(half_widths: &[f64]) -> Result<f64, FormulaError> {
    let mut sum = 0.0;
    for &part in half_widths {
        sum += half_width(part)?.powi(2);
    }
    Ok(sum.sqrt())
}

/// The 95 % half width that the step of a display brings in by itself.
///
/// `h = 1.96·d/√12`
///
/// | name   | meaning             | unit | valid    |
/// |--------|---------------------|------|----------|
/// | `step` | display step, d     | any  | 0 to 1e6 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// JCGM 100 (GUM), F.2.2.1, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::resolution;
///
/// assert!((resolution(1.0).unwrap() - 0.5658).abs() < 1e-4);
///
/// assert!(resolution(-1.0).is_err());
/// ```
pub fn resolution(step: f64) -> Result<f64, FormulaError> {
    Ok(COVERAGE_95 * half_width(step)? / 12_f64.sqrt())
}

/// The level of several rows together, with its ±; each row so many sources alike.
///
/// `c_i = ni·10^(Li/10) / Σ`, `u² = Σ (c_i·u_i)²`
///
/// | name   | meaning                                | unit  | valid                          |
/// |--------|----------------------------------------|-------|--------------------------------|
/// | `rows` | level of one with its ±, and how many  | dB, 1 | finite; not all counts zero    |
///
/// The sources of one row share one reading, so they share its error; rows are independent.
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// JCGM 100 (GUM), 5.1.2, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::sum;
/// use lessdin::units::{Level, PlusMinus};
///
/// let row = (PlusMinus::new(Level(50.0), 1.0), 1);
/// let both = sum(&[row, row]).unwrap();
/// assert!((both.value.0 - 53.0103).abs() < 1e-4);
/// assert!((both.half_width - 0.70711).abs() < 1e-5);
///
/// assert!(sum(&[]).is_err());
/// ```
pub fn sum(rows: &[(PlusMinus<Level>, u32)]) -> Result<PlusMinus<Level>, FormulaError> {
    let levels: Vec<_> = rows.iter().map(|(row, _)| *row).collect();
    check(&levels)?;
    let counted: Vec<_> = rows.iter().map(|(row, count)| (row.value, *count)).collect();
    let total = levels::energy_sum_counted(&counted)?;
    let parts: Vec<_> =
        rows.iter().map(|(row, count)| f64::from(*count) * 10_f64.powf((row.value - total).0 / 10.0) * row.half_width).collect();
    Ok(PlusMinus::new(total, combine(&parts)?))
}

/// The difference of two levels, with its ±.
///
/// `d = with − without`, `u² = u_w² + u_o²`
///
/// | name      | meaning          | unit | valid                  |
/// |-----------|------------------|------|------------------------|
/// | `with`    | one level        | dB   | finite, half width ≥ 0 |
/// | `without` | the other        | dB   | finite, half width ≥ 0 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// JCGM 100 (GUM), 5.1.2, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::drop;
/// use lessdin::units::{Level, PlusMinus};
///
/// let gained = drop(PlusMinus::new(Level(46.1), 0.3), PlusMinus::new(Level(44.9), 0.4)).unwrap();
/// assert!((gained.value.0 - 1.2).abs() < 1e-9);
/// assert!((gained.half_width - 0.5).abs() < 1e-9);
///
/// assert!(drop(PlusMinus::new(Level(46.1), -0.3), PlusMinus::exact(Level(44.9))).is_err());
/// ```
pub fn drop(with: PlusMinus<Level>, without: PlusMinus<Level>) -> Result<PlusMinus<Gain>, FormulaError> {
    check(&[with, without])?;
    Ok(PlusMinus::new(with.value - without.value, combine(&[with.half_width, without.half_width])?))
}

/// The level of a source alone, with its ±, by the formula alone.
///
/// With `q = 10^(−d/10)` and `d = with − without`: `c_w = 1/(1 − q)`, `c_o = −q/(1 − q)`,
/// `u² = (c_w·u_w)² + (c_o·u_o)²`
///
/// | name      | meaning                      | unit | valid                   |
/// |-----------|------------------------------|------|-------------------------|
/// | `with`    | source and background, its ± | dB   | finite, above `without` |
/// | `without` | same place, source off, its ±| dB   | finite                  |
///
/// Whether the answer may be shown is for [`levels::alone`] to say.
///
/// # Errors
///
/// [`FormulaError::NotAboveBackground`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// JCGM 100 (GUM), 5.1.2, from memory, applied to the background correction.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::background_removed;
/// use lessdin::units::{Level, PlusMinus};
///
/// let at = |level| PlusMinus::new(Level(level), 0.5);
/// let fan = background_removed(at(46.0), at(40.0)).unwrap();
/// assert!((fan.half_width - 0.6885).abs() < 1e-4);
///
/// assert!(background_removed(at(40.0), at(40.0)).is_err());
/// ```
pub fn background_removed(with: PlusMinus<Level>, without: PlusMinus<Level>) -> Result<PlusMinus<Level>, FormulaError> {
    check(&[with, without])?;
    let value = levels::remove_background(with.value, without.value)?;
    let q = 10_f64.powf((without.value - with.value).0 / 10.0);
    let spread = with.half_width.hypot(q * without.half_width) / (1.0 - q);
    Ok(PlusMinus::new(value, finite("the half width", spread)?))
}

/// The share of a part in the whole, with its ±.
///
/// `s = Ep/(Ep + Er)`, `u(s) = s·(1 − s)·(ln 10/10)·√(u_p² + u_r²)`
///
/// | name   | meaning                           | unit | valid                  |
/// |--------|-----------------------------------|------|------------------------|
/// | `part` | one source, its ±                 | dB   | finite, half width ≥ 0 |
/// | `rest` | all the others together, their ±  | dB   | finite, half width ≥ 0 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// JCGM 100 (GUM), 5.1.2, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::share;
/// use lessdin::units::{Level, PlusMinus};
///
/// let half = share(PlusMinus::new(Level(40.0), 1.0), PlusMinus::exact(Level(40.0))).unwrap();
/// assert!((half.value - 0.5).abs() < 1e-12);
/// assert!((half.half_width - 0.057_565).abs() < 1e-6);
///
/// assert!(share(PlusMinus::exact(Level(f64::NAN)), PlusMinus::exact(Level(40.0))).is_err());
/// ```
pub fn share(part: PlusMinus<Level>, rest: PlusMinus<Level>) -> Result<PlusMinus<f64>, FormulaError> {
    let difference = drop(part, rest)?;
    let share = 1.0 / (1.0 + 10_f64.powf(-difference.value.0 / 10.0));
    Ok(PlusMinus::new(share, share * (1.0 - share) * LN_10 / 10.0 * difference.half_width))
}

/// The most that can be gained by silencing a part, with its ±.
///
/// `C = 10·lg(1 + Ep/Er)`, `u(C) = s·√(u_p² + u_r²)` with the share `s = Ep/(Ep + Er)`
///
/// | name   | meaning                                           | unit | valid                  |
/// |--------|---------------------------------------------------|------|------------------------|
/// | `part` | the source, or several together, its ±            | dB   | finite, half width ≥ 0 |
/// | `rest` | everything else, the background included, its ±   | dB   | finite, half width ≥ 0 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// JCGM 100 (GUM), 5.1.2, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::ceiling;
/// use lessdin::units::{Level, PlusMinus};
///
/// let most = ceiling(PlusMinus::new(Level(40.0), 1.0), PlusMinus::exact(Level(40.0))).unwrap();
/// assert!((most.value.0 - 3.0103).abs() < 1e-4);
/// assert!((most.half_width - 0.5).abs() < 1e-12);
///
/// assert!(ceiling(PlusMinus::exact(Level(f64::NAN)), PlusMinus::exact(Level(40.0))).is_err());
/// ```
pub fn ceiling(part: PlusMinus<Level>, rest: PlusMinus<Level>) -> Result<PlusMinus<Gain>, FormulaError> {
    let difference = drop(part, rest)?;
    let share = share(part, rest)?.value;
    Ok(PlusMinus::new(levels::ceiling(part.value, rest.value)?, share * difference.half_width))
}

/// The background from a reading before and one after, with its ±.
///
/// The energy mean; its standard uncertainty is that of the mean, and at least half the difference of the two.
///
/// | name     | meaning                             | unit | valid                  |
/// |----------|-------------------------------------|------|------------------------|
/// | `before` | without the source, before, its ±   | dB   | finite, half width ≥ 0 |
/// | `after`  | without the source, afterwards, its ± | dB | finite, half width ≥ 0 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Common practice, no source.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::bracketed;
/// use lessdin::units::{Level, PlusMinus};
///
/// let room = bracketed(PlusMinus::new(Level(38.0), 0.5), PlusMinus::new(Level(40.0), 0.5)).unwrap();
/// assert!((room.half_width - 1.96).abs() < 1e-9);
///
/// assert!(bracketed(PlusMinus::exact(Level(f64::NAN)), PlusMinus::exact(Level(40.0))).is_err());
/// ```
pub fn bracketed(before: PlusMinus<Level>, after: PlusMinus<Level>) -> Result<PlusMinus<Level>, FormulaError> {
    let both = sum(&[(before, 1), (after, 1)])?;
    let drift = (before.value - after.value).0.abs() / 2.0;
    Ok(PlusMinus::new(both.value - levels::count_gain(2)?, both.half_width.max(COVERAGE_95 * drift)))
}

/// Several eye readings of one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Readings {
    /// Their energy mean and the 95 % half width of the mean.
    pub mean: PlusMinus<Level>,
    /// The standard deviation of a single reading, dB.
    pub deviation: f64,
    /// How many.
    pub count: usize,
}

/// The energy mean of several eye readings, and its ± from their spread.
///
/// `h = t(0.975; n − 1)·s/√n` with the standard deviation `s` of the readings in dB
///
/// | name       | meaning              | unit | valid               |
/// |------------|----------------------|------|---------------------|
/// | `readings` | of one and the same  | dB   | finite, two or more |
///
/// Readings that happen to be equal give a half width of zero. The step of the display is a further contribution
/// ([`resolution`], [`combine`]) and keeps it from being shown as certain.
///
/// # Errors
///
/// [`FormulaError::TooFew`] below two, [`FormulaError::NotFinite`].
///
/// # Source
///
/// JCGM 100 (GUM), 4.2 and Annex G, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::readings;
/// use lessdin::units::Level;
///
/// let seen = readings(&[Level(41.0), Level(42.0), Level(41.5)]).unwrap();
/// assert!((seen.deviation - 0.5).abs() < 1e-9);
/// assert!((seen.mean.half_width - 1.2421).abs() < 1e-4);
///
/// assert!(readings(&[Level(41.0)]).is_err());
/// ```
pub fn readings(readings: &[Level]) -> Result<Readings, FormulaError> {
    let values: Vec<_> = readings.iter().map(|reading| reading.0).collect();
    let deviation = standard_deviation(&values)?;
    let mean = levels::energy_mean(readings)?;
    let count = count_to_f64(readings.len());
    let t = student_t(0.95, count - 1.0)?;
    Ok(Readings { mean: PlusMinus::new(mean, t * deviation / count.sqrt()), deviation, count: readings.len() })
}

/// The standard deviation of a sample, divisor n − 1.
///
/// | name     | meaning | unit | valid               |
/// |----------|---------|------|---------------------|
/// | `values` | sample  | any  | finite, two or more |
///
/// # Errors
///
/// [`FormulaError::TooFew`] below two, [`FormulaError::NotFinite`].
///
/// # Source
///
/// JCGM 100 (GUM), 4.2, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::standard_deviation;
///
/// assert!((standard_deviation(&[79.0, 80.2, 82.9]).unwrap() - 1.9975).abs() < 1e-4);
///
/// assert!(standard_deviation(&[79.0]).is_err());
/// ```
pub fn standard_deviation(values: &[f64]) -> Result<f64, FormulaError> {
    if values.len() < 2 {
        return Err(FormulaError::TooFew { found: values.len(), needed: 2 });
    }
    for &value in values {
        finite("the value", value)?;
    }
    let count = count_to_f64(values.len());
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    finite("the deviation", (squares / (count - 1.0)).sqrt())
}

/// The two-sided point of Student's t: the interval from −t to t holds the given part of the distribution.
///
/// | name         | meaning             | unit | valid             |
/// |--------------|---------------------|------|-------------------|
/// | `confidence` | part inside         | 1    | 0.001 to 0.999 999 |
/// | `freedom`    | degrees of freedom  | 1    | 1 to 1e9, whole or not |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Definition of the distribution; the regularised incomplete beta function by its continued fraction.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::student_t;
///
/// assert!((student_t(0.95, 4.0).unwrap() - 2.7764).abs() < 1e-4);
///
/// assert!(student_t(0.95, 0.0).is_err());
/// ```
pub fn student_t(confidence: f64, freedom: f64) -> Result<f64, FormulaError> {
    within("the confidence", confidence, 0.001, 0.999_999)?;
    within("the degrees of freedom", freedom, 1.0, 1e9)?;
    let outside = 1.0 - confidence;
    // The part outside falls steadily with t: close in on it along its slope, by halving where that leads outside.
    let mut low = 0.0;
    let mut high = 1.0;
    while student_t_outside(high, freedom)? > outside {
        low = high;
        high *= 2.0;
    }
    let scale = (ln_gamma(f64::midpoint(freedom, 1.0)) - ln_gamma(freedom / 2.0)).exp() / (freedom * PI).sqrt();
    let mut t = f64::midpoint(low, high);
    for _ in 0..100 {
        let excess = student_t_outside(t, freedom)? - outside;
        if excess > 0.0 {
            low = t;
        } else {
            high = t;
        }
        let density = scale * (1.0 + t * t / freedom).powf(-f64::midpoint(freedom, 1.0));
        let along = t + excess / (2.0 * density);
        let next = if (low..=high).contains(&along) { along } else { f64::midpoint(low, high) };
        let moved = (next - t).abs();
        t = next;
        if moved <= 1e-15 * t {
            break;
        }
    }
    Ok(t)
}

/// The part of Student's t distribution beyond −t and t together: the two-sided p-value.
///
/// `p = I(ν/(ν + t²); ν/2, 1/2)`
///
/// | name      | meaning            | unit | valid                  |
/// |-----------|--------------------|------|------------------------|
/// | `t`       | the point          | 1    | −1e9 to 1e9            |
/// | `freedom` | degrees of freedom | 1    | 1 to 1e9, whole or not |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Definition of the distribution; the regularised incomplete beta function by its continued fraction.
///
/// # Example
///
/// ```
/// use lessdin::formulas::uncertainty::student_t_outside;
///
/// // One degree of freedom: half lies beyond ±1.
/// assert!((student_t_outside(1.0, 1.0).unwrap() - 0.5).abs() < 1e-12);
///
/// assert!(student_t_outside(f64::NAN, 1.0).is_err());
/// ```
pub fn student_t_outside(t: f64, freedom: f64) -> Result<f64, FormulaError> {
    within("t", t, -1e9, 1e9)?;
    within("the degrees of freedom", freedom, 1.0, 1e9)?;
    let square = t * t;
    // One of the two arguments is small; hand over that one, so that no digits are lost.
    let inside = square / (freedom + square);
    let outside = freedom / (freedom + square);
    Ok(incomplete_beta(freedom / 2.0, 0.5, outside, inside))
}

/// The regularised incomplete beta function I(x; a, b), given x and 1 − x.
fn incomplete_beta(a: f64, b: f64, x: f64, rest: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if rest <= 0.0 {
        return 1.0;
    }
    let front = (ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * rest.ln()).exp();
    // The fraction converges fast on one side of its centre; the other side is its mirror image.
    if x < (a + 1.0) / (a + b + 2.0) { front * beta_fraction(a, b, x) / a } else { 1.0 - front * beta_fraction(b, a, rest) / b }
}

/// The continued fraction of the incomplete beta function, evaluated from the front.
fn beta_fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let away = |value: f64| if value.abs() < TINY { TINY } else { value };
    let mut upper = 1.0;
    let mut lower = 1.0 / away(1.0 - (a + b) * x / (a + 1.0));
    let mut fraction = lower;
    for step in 1..=20_000_u32 {
        let n = f64::from(step);
        let even = n * (b - n) * x / ((a + 2.0 * n - 1.0) * (a + 2.0 * n));
        let odd = -(a + n) * (a + b + n) * x / ((a + 2.0 * n) * (a + 2.0 * n + 1.0));
        for term in [even, odd] {
            lower = 1.0 / away(1.0 + term * lower);
            upper = away(1.0 + term / upper);
            fraction *= upper * lower;
        }
        if (upper * lower - 1.0).abs() < 1e-15 {
            break;
        }
    }
    fraction
}

/// The logarithm of the gamma function for `x` of 0.5 and more: Stirling's series after stepping up to 15.
pub(super) fn ln_gamma(x: f64) -> f64 {
    let mut shifted = x;
    let mut product = 1.0;
    while shifted < 15.0 {
        product *= shifted;
        shifted += 1.0;
    }
    let inverse = 1.0 / shifted;
    let square = inverse * inverse;
    let series = inverse * (1.0 / 12.0 - square * (1.0 / 360.0 - square * (1.0 / 1260.0 - square * (1.0 / 1680.0 - square / 1188.0))));
    (shifted - 0.5) * shifted.ln() - shifted + 0.5 * (2.0 * PI).ln() + series - product.ln()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    #[test]
    fn the_gamma_function_at_halves_and_wholes() {
        assert_abs_diff_eq!(ln_gamma(0.5), PI.sqrt().ln(), epsilon = 1e-13);
        assert_abs_diff_eq!(ln_gamma(1.0), 0.0, epsilon = 1e-13);
        assert_abs_diff_eq!(ln_gamma(5.0), 24_f64.ln(), epsilon = 1e-13);
    }

    #[test]
    fn student_t_is_known_in_closed_form_for_one_and_two_degrees_of_freedom() {
        for p in [0.5_f64, 0.9, 0.95, 0.99, 0.9999] {
            let one = (PI * p / 2.0).tan();
            assert_relative_eq!(student_t(p, 1.0).unwrap(), one, max_relative = 1e-9);
            let two = p * (2.0 / (1.0 - p * p)).sqrt();
            assert_relative_eq!(student_t(p, 2.0).unwrap(), two, max_relative = 1e-9);
        }
    }

    #[test]
    fn many_degrees_of_freedom_come_to_the_normal_distribution() {
        assert_abs_diff_eq!(student_t(0.95, 1e6).unwrap(), 1.959_966, epsilon = 1e-5);
    }

    #[test]
    fn a_common_error_shifts_the_level_alone_by_itself() {
        for apart in [1.0, 3.0, 8.0] {
            let low = levels::remove_background(Level(50.0), Level(50.0 - apart)).unwrap();
            let high = levels::remove_background(Level(50.5), Level(50.5 - apart)).unwrap();
            assert_abs_diff_eq!((high - low).0, 0.5, epsilon = 1e-9);
        }
    }

    #[test]
    fn half_widths_follow_small_changes_of_the_inputs() {
        // Each half width against the slope found by a small step.
        let step = 1e-5;
        let (part, rest) = (43.0, 45.5);
        let slope = |f: &dyn Fn(f64) -> f64| (f(step) - f(-step)) / (2.0 * step);
        let by_share = slope(&|d| share(PlusMinus::exact(Level(part + d)), PlusMinus::exact(Level(rest))).unwrap().value);
        let shown = share(PlusMinus::new(Level(part), 1.0), PlusMinus::exact(Level(rest))).unwrap();
        assert_abs_diff_eq!(shown.half_width, by_share, epsilon = 1e-7);
        let by_ceiling = slope(&|d| levels::ceiling(Level(part), Level(rest + d)).unwrap().0);
        let shown = ceiling(PlusMinus::exact(Level(part)), PlusMinus::new(Level(rest), 1.0)).unwrap();
        assert_abs_diff_eq!(shown.half_width, -by_ceiling, epsilon = 1e-7);
        let by_removal = slope(&|d| levels::remove_background(Level(rest), Level(part + d)).unwrap().0);
        let shown = background_removed(PlusMinus::exact(Level(rest)), PlusMinus::new(Level(part), 1.0)).unwrap();
        assert_abs_diff_eq!(shown.half_width, -by_removal, epsilon = 1e-6);
    }

    #[test]
    fn equal_readings_have_no_spread() {
        let seen = readings(&[Level(41.0); 4]).unwrap();
        assert_abs_diff_eq!(seen.mean.value.0, 41.0, epsilon = 1e-12);
        assert_abs_diff_eq!(seen.mean.half_width, 0.0);
    }
}
