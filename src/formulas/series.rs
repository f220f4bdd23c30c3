//! What one phase of a level log says: energy mean, levels exceeded, and how sure the mean is.
//!
//! Everything is worked out on energies; a gap in the log gains no weight.
//!
//! *How sure the mean is.* Neighbouring samples of a log are alike, so that a thousand of them tell less than a thousand
//! independent ones. What counts is how much the energies waver *slowly*: the density of their spectrum at frequency zero.
//! It is estimated from the eight slowest cosines that fit into the phase, each of which is one independent estimate. Since the
//! spectrum of a log falls from zero on, each is first raised by as much as the spectrum of a first-order autoregressive series
//! with the same correlation of neighbours falls up to there. Eight estimates are eight degrees of freedom for Student's t,
//! whatever the length of the log. This rule was chosen among others by how often its intervals hold what they promise: see
//! "Coverage" in DEVELOPERS.md and `tests/native/intervals.rs`.

use std::f64::consts::{LN_10, PI};

use super::error::{FormulaError, finite, positive, within};
use super::partition::display_step;
use crate::units::{Gain, Level, count_to_f64, within as limited};

/// Below this many independent samples a single log says too little about its own scatter: the intervals worked out
/// from it no longer hold what they promise. Found by trying it out, see "Coverage" in DEVELOPERS.md.
pub const FEWEST_EFFECTIVE: f64 = 20.0;

/// How many of the slowest cosines are looked at, hence degrees of freedom.
pub const COSINES: usize = 8;

/// What one phase of one log says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    /// Energy mean of the samples, dB.
    pub leq: Level,
    /// Exceeded by 10 % of the samples, dB.
    pub l10: Level,
    /// Exceeded by 50 % of the samples, dB.
    pub l50: Level,
    /// Exceeded by 90 % of the samples, dB.
    pub l90: Level,
    /// The loudest sample, dB.
    pub max: Level,
    /// The quietest sample, dB.
    pub min: Level,
    /// The arithmetic mean of the decibels, dB: only to show why it is wrong.
    pub mean_db: f64,
    /// How many samples there are.
    pub count: u32,
    /// The nominal time from one sample to the next, s.
    pub step_s: f64,
    /// The share of the phase that has no samples, from 0 to 1.
    pub missing: f64,
    /// Standard error of `leq`, dB, from the series' own scatter in time. NaN never; infinite never: a series that says nothing
    /// about its scatter has zero degrees of freedom.
    pub standard_error_db: f64,
    /// How many independent samples would tell as much about the mean; not above `count`.
    pub effective_count: f64,
    /// Degrees of freedom behind `standard_error_db`, for Student's t. Zero when there is no telling.
    pub dof: f64,
}

impl Summary {
    /// How long the samples last together, s; gaps are not counted.
    pub fn duration_s(&self) -> f64 {
        f64::from(self.count) * self.step_s
    }

    /// Whether the log is too short, for the way it wavers, to say how sure its mean is.
    pub fn too_few(&self) -> bool {
        self.dof < 1.0 || self.effective_count < FEWEST_EFFECTIVE
    }
}

/// A place where samples that follow each other in the list do not follow each other in time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Break {
    /// The place in the list of the first sample after it; 0 for a gap before the first, the number of samples for one at the end.
    pub at: usize,
    /// How many samples are missing there; 0 where two stretches of the same phase are put together.
    pub missing: u32,
}

/// The level that a share of the samples exceeds.
///
/// Straight lines between the samples put in order (type 7 of Hyndman and Fan): with the samples `x1 … xn` rising, the place is
/// `1 + (n − 1)·(1 − N/100)`.
///
/// | name     | meaning                     | unit | valid              |
/// |----------|-----------------------------|------|--------------------|
/// | `levels` | samples, any order          | dB   | finite, one or more |
/// | `percent`| exceeded by so many, N      | %    | 0 to 100           |
///
/// L10 is near the top, L90 near the bottom.
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// ISO 1996-1, N percent exceedance level, from memory; the interpolation is not laid down there and is that of general-purpose
/// libraries.
///
/// # Example
///
/// ```
/// use lessdin::formulas::series::exceeded;
/// use lessdin::units::Level;
///
/// let levels: Vec<f64> = (1..=100).map(f64::from).collect();
/// assert!((exceeded(&levels, 10.0).unwrap().0 - 90.1).abs() < 1e-9);
///
/// assert!(exceeded(&[], 10.0).is_err());
/// ```
pub fn exceeded(levels: &[f64], percent: f64) -> Result<Level, FormulaError> {
    check(levels)?;
    within("the share", percent, 0.0, 100.0)?;
    nth(&mut levels.to_vec(), percent)
}

fn check(levels: &[f64]) -> Result<(), FormulaError> {
    if levels.is_empty() {
        return Err(FormulaError::Empty);
    }
    for &level in levels {
        within("the level", level, -1e3, 1e3)?;
    }
    Ok(())
}

/// The level exceeded by so many percent; the order of the samples is lost.
fn nth(levels: &mut [f64], percent: f64) -> Result<Level, FormulaError> {
    let last = levels.len() - 1;
    let place = count_to_f64(last) * (1.0 - percent / 100.0);
    // The first whole number above, found without a cast that could lose something.
    let (mut below, mut above) = (0, last + 1);
    while above - below > 1 {
        let middle = usize::midpoint(below, above);
        if count_to_f64(middle) <= place { below = middle } else { above = middle }
    }
    let (_, &mut lower, rest) = levels.select_nth_unstable_by(below, f64::total_cmp);
    let part = place - count_to_f64(below);
    let upper = rest.iter().copied().fold(f64::INFINITY, f64::min);
    let level = if part > 0.0 && upper.is_finite() { lower + part * (upper - lower) } else { lower };
    Ok(Level(finite("the level", level)?))
}

/// The correlation of a series with itself some samples later.
///
/// `r = Σ (x_t − m)·(x_(t+k) − m)/Σ (x_t − m)²`
///
/// | name     | meaning                 | unit | valid               |
/// |----------|-------------------------|------|---------------------|
/// | `values` | in the order of time    | any  | finite, two or more |
/// | `lag`    | so many samples later, k | 1   | below the number of values |
///
/// Zero for a series that does not change.
///
/// # Errors
///
/// [`FormulaError::TooFew`], [`FormulaError::NotFinite`].
///
/// # Source
///
/// Definition of the sample autocorrelation, divisor n.
///
/// # Example
///
/// ```
/// use lessdin::formulas::series::autocorrelation;
///
/// assert!((autocorrelation(&[1.0, 2.0, 3.0, 4.0], 1).unwrap() - 0.25).abs() < 1e-12);
///
/// assert!(autocorrelation(&[1.0, 2.0], 2).is_err());
/// ```
pub fn autocorrelation(values: &[f64], lag: usize) -> Result<f64, FormulaError> {
    let needed = lag.saturating_add(1).max(2);
    if values.len() < needed {
        return Err(FormulaError::TooFew { found: values.len(), needed });
    }
    for &value in values {
        finite("the value", value)?;
    }
    let mean = values.iter().sum::<f64>() / count_to_f64(values.len());
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    let products: f64 = values.iter().zip(values.iter().skip(lag)).map(|(one, later)| (one - mean) * (later - mean)).sum();
    finite("the correlation", if squares > 0.0 { products / squares } else { 0.0 })
}

/// How many independent samples tell as much about the mean as so many in which neighbours are alike.
///
/// `n_eff = n/[1 + 2·Σ (1 − k/n)·φ^k]`, k from 1 to n − 1
///
/// | name    | meaning                                          | unit | valid      |
/// |---------|--------------------------------------------------|------|------------|
/// | `count` | samples, n, a whole number                       | 1    | 1 to 1e12  |
/// | `alike` | correlation of neighbours, φ                     | 1    | −0.99 to 0.999 |
///
/// For a first-order autoregressive series, exact. For long ones nearly `n·(1 − φ)/(1 + φ)`.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: variance of the mean of a first-order autoregressive series.
///
/// # Example
///
/// ```
/// use lessdin::formulas::series::effective_count;
///
/// assert!((effective_count(600.0, 0.5).unwrap() - 200.4454).abs() < 1e-4);
///
/// assert!(effective_count(600.0, 1.0).is_err());
/// ```
pub fn effective_count(count: f64, alike: f64) -> Result<f64, FormulaError> {
    let count = within("the number of samples", count, 1.0, 1e12)?.round();
    within("the correlation", alike, -0.99, 0.999)?;
    let rest = 1.0 - alike;
    let sum = alike / rest - alike * (1.0 - alike.powf(count)) / (count * rest * rest);
    Ok(count / (1.0 + 2.0 * sum))
}

/// How sure the mean of a series of energies is.
struct Scatter {
    /// Standard error of the mean over the mean.
    relative: f64,
    effective: f64,
    dof: f64,
}

/// See the top of this file. The energies are relative to any reference; `breaks` as for [`summary`].
fn scatter(energies: &[f64], breaks: &[Break]) -> Scatter {
    /// The correlation of neighbours that is believed; beyond, the log is far too short anyway.
    const BELIEVED: (f64, f64) = (-0.5, 0.97);
    let count = count_to_f64(energies.len());
    let mean = energies.iter().sum::<f64>() / count;
    let cosines = COSINES.min(energies.len().saturating_sub(1) / 2);
    let nothing = Scatter { relative: 0.0, effective: count, dof: 0.0 };
    if cosines == 0 || mean <= 0.0 {
        return nothing;
    }
    let mut sums = [0.0; COSINES];
    let (mut squares, mut products, mut pairs) = (0.0, 0.0, 0.0);
    let mut before: Option<f64> = None;
    let mut next_break = breaks.iter().map(|gap| gap.at).filter(|at| *at > 0).peekable();
    for (at, energy) in energies.iter().enumerate() {
        let apart = energy - mean;
        squares += apart * apart;
        if next_break.next_if(|gap| *gap <= at).is_some() {
            while next_break.next_if(|gap| *gap <= at).is_some() {}
            before = None;
        }
        if let Some(before) = before {
            products += before * apart;
            pairs += 1.0;
        }
        before = Some(apart);
        // cos(j·a) from the two before it.
        let first = (PI * (count_to_f64(at) + 0.5) / count).cos();
        let (mut last, mut cosine) = (1.0, first);
        for sum in &mut sums {
            *sum += apart * cosine;
            (last, cosine) = (cosine, 2.0 * first * cosine - last);
        }
    }
    if squares <= 0.0 || pairs <= 3.0 {
        return Scatter { dof: if squares <= 0.0 { count_to_f64(cosines) } else { 0.0 }, ..nothing };
    }
    // The mean follows the samples, which makes neighbours look less alike than they are. Kendall's correction.
    let seen = products / squares * count / (pairs + 1.0);
    let alike = if count >= 10.0 { limited((count * seen + 1.0) / (count - 3.0), BELIEVED.0, BELIEVED.1) } else { 0.0 };
    let mut density = 0.0;
    for (order, sum) in (1..=cosines).zip(sums) {
        let turn = PI * count_to_f64(order) / count;
        let fall = (1.0 - 2.0 * alike * turn.cos() + alike * alike) / ((1.0 - alike) * (1.0 - alike));
        density += 2.0 / count * sum * sum * fall;
    }
    density /= count_to_f64(cosines);
    let variance = squares / (count - 1.0);
    let effective = if density > 0.0 { (count * variance / density).min(count) } else { count };
    Scatter { relative: (density / count).sqrt() / mean, effective, dof: count_to_f64(cosines) }
}

/// What rounding to the step of a display can do to a mean, as a standard uncertainty: `d/√12` for a sound that does not waver,
/// next to nothing for one that wavers by half a step and more.
fn left_by_rounding(step: f64, variance: f64) -> f64 {
    if step <= 0.0 {
        return 0.0;
    }
    let own = (variance / (step * step) - 1.0 / 12.0).max(0.0);
    step / 12_f64.sqrt() * (-2.0 * PI * PI * own).exp()
}

/// Everything that one phase of one log says.
///
/// | name     | meaning                              | unit | valid                       |
/// |----------|--------------------------------------|------|-----------------------------|
/// | `levels` | the samples there are, in the order of time | dB | −1000 to 1000, 1 to 4e9 of them |
/// | `step`   | nominal time from sample to sample   | s    | 1e-12 to 1e12               |
/// | `breaks` | where samples are missing, rising    |      | any                         |
///
/// Every sample has the same weight, the nominal step; what is missing has none. Samples on both sides of a break are not taken
/// for neighbours. Where a sound wavers less than the step of the display, the rounding is part of the standard error.
/// A stretch of a phase and another one further on are put together by joining their samples, with a [`Break`] between.
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// ISO 1996-1 for the levels, from memory. The standard error: cosine-weighted estimate of the long-run variance (Müller 2004;
/// Lazarus and others 2018), prewhitened by a first-order autoregression (Andrews and Monahan 1992), all from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::series::summary;
///
/// let log = [42.1, 41.8, 42.5, 47.3, 55.0, 43.0, 42.2, 41.9, 44.4, 42.0];
/// let found = summary(&log, 1.0, &[]).unwrap();
/// assert!((found.leq.0 - 47.1138).abs() < 1e-4);
/// assert!((found.l10.0 - 48.07).abs() < 1e-9);
/// assert!(found.too_few());
///
/// assert!(summary(&[], 1.0, &[]).is_err());
/// ```
pub fn summary(levels: &[f64], step: f64, breaks: &[Break]) -> Result<Summary, FormulaError> {
    check(levels)?;
    positive("the step", step)?;
    let Ok(count) = u32::try_from(levels.len()) else {
        return Err(FormulaError::OutOfRange { what: "the number of samples", found: count_to_f64(levels.len()), min: 1.0, max: 4e9 });
    };
    let number = f64::from(count);
    let max = levels.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let min = levels.iter().copied().fold(f64::INFINITY, f64::min);
    let mean_db = levels.iter().sum::<f64>() / number;
    let variance = levels.iter().map(|level| (level - mean_db).powi(2)).sum::<f64>() / (number - 1.0).max(1.0);
    let mut work: Vec<f64> = levels.iter().map(|level| (LN_10 / 10.0 * (level - max)).exp()).collect();
    let energy = work.iter().sum::<f64>() / number;
    let scatter = scatter(&work, breaks);
    work.copy_from_slice(levels);
    let absent: f64 = breaks.iter().map(|gap| f64::from(gap.missing)).sum();
    let own = 10.0 / LN_10 * scatter.relative;
    Ok(Summary {
        leq: Level(max + 10.0 * energy.log10()),
        l10: nth(&mut work, 10.0)?,
        l50: nth(&mut work, 50.0)?,
        l90: nth(&mut work, 90.0)?,
        max: Level(max),
        min: Level(min),
        mean_db,
        count,
        step_s: step,
        missing: absent / (absent + number),
        standard_error_db: finite("the standard error", own.hypot(left_by_rounding(display_step(levels), variance)))?,
        effective_count: scatter.effective,
        dof: scatter.dof,
    })
}

/// How fast a meter follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Response {
    /// 0.125 s.
    Fast,
    /// 1 s.
    Slow,
}

impl Response {
    /// The time constant, s.
    pub const fn time_constant_s(self) -> f64 {
        match self {
            Self::Fast => 0.125,
            Self::Slow => 1.0,
        }
    }
}

/// How long a meter takes to show that a sound has stopped.
///
/// `t = ΔL·τ·ln 10/10`
///
/// | name       | meaning                          | unit | valid    |
/// |------------|----------------------------------|------|----------|
/// | `drop`     | by so much the level falls, ΔL   | dB   | 0 to 200 |
/// | `response` | time weighting, τ                |      |          |
///
/// Slow falls by 4.34 dB a second, Fast by 34.7: the edges of a phase are smeared by that, which is what guard times are for.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// IEC 61672-1:2013, time weightings F and S; the decay follows.
///
/// # Example
///
/// ```
/// use lessdin::formulas::series::{Response, settling};
/// use lessdin::units::Gain;
///
/// assert!((settling(Gain(20.0), Response::Slow).unwrap() - 4.605).abs() < 1e-3);
///
/// assert!(settling(Gain(-1.0), Response::Slow).is_err());
/// ```
pub fn settling(drop: Gain, response: Response) -> Result<f64, FormulaError> {
    Ok(within("the drop", drop.0, 0.0, 200.0)? * response.time_constant_s() * LN_10 / 10.0)
}

/// How far a meter's highest reading of a short sound stays below its level.
///
/// `L_max − L = 10·lg(1 − e^(−T/τ))`
///
/// | name       | meaning             | unit | valid        |
/// |------------|---------------------|------|--------------|
/// | `seconds`  | how long it lasts, T | s   | 1e-12 to 1e12 |
/// | `response` | time weighting, τ   |      |              |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// IEC 61672-1:2013, Table 4, reference toneburst responses.
///
/// # Example
///
/// ```
/// use lessdin::formulas::series::{Response, burst};
///
/// assert!((burst(0.2, Response::Slow).unwrap().0 + 7.42).abs() < 0.005);
///
/// assert!(burst(0.0, Response::Slow).is_err());
/// ```
pub fn burst(seconds: f64, response: Response) -> Result<Gain, FormulaError> {
    positive("the time", seconds)?;
    Ok(Gain(10.0 * (-(-seconds / response.time_constant_s()).exp_m1()).log10()))
}

/// How alike a meter's smoothing makes neighbouring samples, at least: their correlation.
///
/// `φ = e^(−Δt/τ)`
///
/// | name       | meaning                       | unit | valid         |
/// |------------|-------------------------------|------|---------------|
/// | `step`     | from sample to sample, Δt     | s    | 1e-12 to 1e12 |
/// | `response` | time weighting, τ             |      |               |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// IEC 61672-1:2013, exponential time weighting; derived for a sound that is itself without memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::series::{Response, memory};
///
/// assert!((memory(1.0, Response::Slow).unwrap() - 0.3679).abs() < 1e-4);
///
/// assert!(memory(0.0, Response::Slow).is_err());
/// ```
pub fn memory(step: f64, response: Response) -> Result<f64, FormulaError> {
    Ok((-positive("the step", step)? / response.time_constant_s()).exp())
}

/// How two series are laid over each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alignment {
    /// The other series starts so many samples after the first one; negative when it starts before.
    pub later: isize,
    /// How alike they are where they overlap, −1 to 1.
    pub correlation: f64,
}

/// The correlation where two series overlap, or `None` when that is too little or one does not change.
fn overlap(one: &[f64], other: &[f64], later: isize) -> Option<f64> {
    let skip = later.unsigned_abs();
    let (one, other) = if later >= 0 { (one.get(skip..)?, other) } else { (one, other.get(skip..)?) };
    let length = one.len().min(other.len());
    let count = count_to_f64(length);
    let (mut a, mut b, mut aa, mut bb, mut ab) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let (start_one, start_other) = (*one.first()?, *other.first()?);
    for (x, y) in one.iter().zip(other) {
        let (x, y) = (x - start_one, y - start_other);
        a += x;
        b += y;
        aa += x * x;
        bb += y * y;
        ab += x * y;
    }
    let (own, others) = (aa - a * a / count, bb - b * b / count);
    let least = 1e-9 * count;
    (own > least && others > least).then(|| (ab - a * b / count) / (own * others).sqrt())
}

/// Every second sample and the one after it, as one.
fn halved(values: &[f64]) -> Vec<f64> {
    values.chunks_exact(2).map(|pair| pair.iter().sum::<f64>() / 2.0).collect()
}

/// Lays two series of levels over each other where they are most alike, to line up two clocks.
///
/// The largest correlation of the levels where they overlap, by at least half of the shorter one. Long series are first looked at
/// coarsely, then finer and finer around the best places.
///
/// | name    | meaning                         | unit | valid                     |
/// |---------|---------------------------------|------|---------------------------|
/// | `one`   | in the order of time            | dB   | −1000 to 1000, four or more |
/// | `other` | the same step                   | dB   | −1000 to 1000, four or more |
/// | `most`  | not further apart than so many  | samples | any                    |
///
/// `None` when one of them does not change: then nothing says where it belongs. Decibels are compared here, not averaged: two
/// logs are alike when they go up and down together.
///
/// # Errors
///
/// [`FormulaError::TooFew`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Definition of the cross-correlation, each overlap with means and spreads of its own.
///
/// # Example
///
/// ```
/// use lessdin::formulas::series::align;
///
/// let one = [40.0, 40.0, 40.0, 52.0, 45.0, 41.0, 40.0];
/// let other = [40.1, 52.2, 44.8, 41.3, 40.2];
/// assert_eq!(align(&one, &other, 4).unwrap().unwrap().later, 2);
///
/// assert!(align(&one, &[], 4).is_err());
/// ```
pub fn align(one: &[f64], other: &[f64], most: usize) -> Result<Option<Alignment>, FormulaError> {
    /// Up to so many samples, every place is tried.
    const COARSE: usize = 1500;
    /// So many best places are followed.
    const FOLLOWED: usize = 4;
    for series in [one, other] {
        check(series)?;
        if series.len() < 4 {
            return Err(FormulaError::TooFew { found: series.len(), needed: 4 });
        }
    }
    let mut coarser = vec![(one.to_vec(), other.to_vec())];
    while let Some((first, second)) = coarser.last()
        && first.len().max(second.len()) > COARSE
        && first.len().min(second.len()) > 64
    {
        let next = (halved(first), halved(second));
        coarser.push(next);
    }
    let mut places: Option<Vec<isize>> = None;
    let mut best: Vec<Alignment> = Vec::new();
    for (level, (first, second)) in coarser.iter().enumerate().rev() {
        let needed = first.len().min(second.len()).div_ceil(2);
        let signed = |count: usize| isize::try_from(count).unwrap_or(isize::MAX);
        let allowed = signed(most >> level);
        let low = (signed(needed) - signed(second.len())).max(-allowed);
        let high = (signed(first.len()) - signed(needed)).min(allowed);
        let tried = places.take().unwrap_or_else(|| (low..=high).collect());
        best.clear();
        for later in tried.into_iter().filter(|later| (low..=high).contains(later)) {
            if best.iter().any(|known| known.later == later) {
                continue;
            }
            if let Some(correlation) = overlap(first, second, later) {
                let at = best.iter().take_while(|known| known.correlation >= correlation).count();
                best.insert(at, Alignment { later, correlation });
                best.truncate(FOLLOWED);
            }
        }
        places = Some(best.iter().flat_map(|found| (-3..=3).map(move |apart| 2 * found.later + apart)).collect());
    }
    Ok(best.first().copied())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formulas::chance::Chance;
    use approx::assert_abs_diff_eq;

    fn noise(chance: &mut Chance, count: usize, alike: f64, spread: f64) -> Vec<f64> {
        let mut last = chance.normal(1.96);
        let own = (1.0 - alike * alike).sqrt();
        std::iter::repeat_with(|| {
            last = alike * last + own * chance.normal(1.96);
            45.0 + spread * last
        })
        .take(count)
        .collect()
    }

    #[test]
    fn levels_exceeded_are_in_order() {
        let mut chance = Chance::new(2);
        for count in [1, 2, 3, 10, 57, 1000] {
            let log = noise(&mut chance, count, 0.4, 2.0);
            let found = summary(&log, 0.5, &[]).unwrap();
            let order = [found.min, found.l90, found.l50, found.l10, found.max];
            assert!(order.windows(2).all(|pair| pair[0].0 <= pair[1].0 + 1e-12), "{found:?}");
            assert!(found.mean_db <= found.leq.0 + 1e-12 && found.leq.0 <= found.max.0 + 1e-12);
            assert_abs_diff_eq!(
                crate::formulas::levels::exposure_level(found.leq, found.duration_s()).unwrap().0,
                found.leq.0 + 10.0 * (0.5 * f64::from(found.count)).log10(),
                epsilon = 1e-9
            );
        }
    }

    #[test]
    fn a_gap_gains_no_weight() {
        let log = noise(&mut Chance::new(3), 300, 0.4, 1.5);
        let whole = summary(&log, 1.0, &[]).unwrap();
        let gapped = summary(&log, 1.0, &[Break { at: 100, missing: 3600 }]).unwrap();
        assert_eq!((whole.leq, whole.l10, whole.count), (gapped.leq, gapped.l10, gapped.count));
        assert_abs_diff_eq!(gapped.duration_s(), 300.0);
        assert_abs_diff_eq!(gapped.missing, 3600.0 / 3900.0, epsilon = 1e-12);
        assert_abs_diff_eq!(gapped.standard_error_db, whole.standard_error_db, epsilon = 0.02);
        // Wherever breaks are said to be, nothing goes wrong.
        for at in [0, 1, 299, 300, 5000] {
            let odd = summary(&log, 1.0, &[Break { at, missing: 1 }, Break { at, missing: 0 }]).unwrap();
            assert_abs_diff_eq!(odd.leq.0, whole.leq.0);
        }
    }

    #[test]
    fn louder_by_three_decibels_is_louder_by_three_decibels_and_no_less_sure() {
        let log = noise(&mut Chance::new(5), 200, 0.6, 1.0);
        let louder: Vec<f64> = log.iter().map(|level| level + 3.0).collect();
        let (one, other) = (summary(&log, 1.0, &[]).unwrap(), summary(&louder, 1.0, &[]).unwrap());
        for (one, other) in [(one.leq, other.leq), (one.l10, other.l10), (one.l90, other.l90), (one.max, other.max)] {
            assert_abs_diff_eq!((other - one).0, 3.0, epsilon = 1e-9);
        }
        assert_abs_diff_eq!(one.standard_error_db, other.standard_error_db, epsilon = 1e-9);
        assert_abs_diff_eq!(one.effective_count, other.effective_count, epsilon = 1e-6);
    }

    #[test]
    fn few_or_equal_samples_say_so() {
        for count in 1..=6 {
            let found = summary(&noise(&mut Chance::new(8), count, 0.0, 1.0), 1.0, &[]).unwrap();
            assert!(found.too_few() && found.standard_error_db.is_finite(), "{found:?}");
        }
        // A steady sound on a display of whole decibels: it may be anywhere within the step.
        let steady = summary(&[41.0; 120], 1.0, &[]).unwrap();
        assert_abs_diff_eq!(steady.standard_error_db, 1.0 / 12_f64.sqrt(), epsilon = 1e-12);
        assert!(!steady.too_few());
        assert!(summary(&[41.0, f64::NAN], 1.0, &[]).is_err() && summary(&[41.0], 0.0, &[]).is_err());
    }

    #[test]
    fn alike_neighbours_are_worth_less() {
        let mut chance = Chance::new(11);
        for alike in [0.0, 0.37, 0.8, 0.95] {
            let many: Vec<f64> =
                (0..60).map(|_| summary(&noise(&mut chance, 3600, alike, 1.0), 1.0, &[]).unwrap().effective_count.recip()).collect();
            let mean = count_to_f64(many.len()) / many.iter().sum::<f64>();
            let expected = effective_count(3600.0, alike).unwrap();
            assert!((mean / expected - 1.0).abs() < 0.25, "{alike}: {mean} instead of {expected}");
        }
    }

    #[test]
    fn the_spread_of_rounding_fades_when_the_sound_wavers() {
        assert_abs_diff_eq!(left_by_rounding(1.0, 0.0), 0.288_675, epsilon = 1e-6);
        // d/√12·e^(−2π²·(v/d² − 1/12)), worked out outside.
        for (step, variance, expected) in [
            (1.0, 0.25 + 1.0 / 12.0, 0.002_076_117_9),
            (0.1, 0.0015, 0.007_742_848_2),
            (0.5, 0.02, 0.144_337_567_3),
            (0.5, 0.03, 0.069_992_198_4),
        ] {
            assert_abs_diff_eq!(left_by_rounding(step, variance), expected, epsilon = 1e-10);
        }
        assert_abs_diff_eq!(left_by_rounding(0.0, 0.0), 0.0);
    }

    #[test]
    fn four_samples_leave_what_rounding_does_to_their_own_spread() {
        // Variance 0.25 with divisor n − 1: e^(−2π²·(0.25 − 1/12))/√12. Four samples say nothing more.
        let found = summary(&[41.0, 41.0, 42.0, 41.0], 1.0, &[]).unwrap();
        assert_abs_diff_eq!(found.standard_error_db, 0.010_756, epsilon = 1e-6);
    }

    #[test]
    fn clocks_are_lined_up() {
        let mut chance = Chance::new(21);
        for (length, shift) in [(400, 37_isize), (400, -90), (20_000, 3_111), (20_000, -7_001), (90_000, 12)] {
            let hidden: Vec<f64> =
                (0..2 * length).map(|at| if (at / (length / 7)) % 3 == 0 { 48.0 } else { 43.0 } + chance.normal(2.0)).collect();
            let from: usize = length / 2;
            let moved = from.checked_add_signed(shift).unwrap();
            let one = &hidden[from..from + length];
            let other: Vec<f64> = hidden[moved..moved + length].iter().map(|level| level - 2.0 + chance.normal(1.0)).collect();
            let found = align(one, &other, length).unwrap().unwrap();
            assert_eq!(found.later, shift, "{length} {found:?}");
            assert!(found.correlation > 0.8);
        }
        assert_eq!(align(&[40.0; 50], &noise(&mut chance, 50, 0.0, 1.0), 10), Ok(None));
        assert!(align(&[40.0; 3], &[40.0; 50], 10).is_err());
    }

    #[test]
    fn a_correlation_takes_as_many_values_as_its_lag_and_one_more() {
        // Deviations −1/2 and 1/2; −4/3, −1/3 and 5/3.
        assert_abs_diff_eq!(autocorrelation(&[1.0, 2.0], 1).unwrap(), -0.5, epsilon = 1e-12);
        assert_abs_diff_eq!(autocorrelation(&[1.0, 2.0, 4.0], 2).unwrap(), -20.0 / 42.0, epsilon = 1e-12);
        assert_abs_diff_eq!(autocorrelation(&[3.0, 3.0], 0).unwrap(), 0.0);
        assert_eq!(autocorrelation(&[1.0], 0), Err(FormulaError::TooFew { found: 1, needed: 2 }));
    }

    #[test]
    fn where_a_log_belongs_does_not_depend_on_what_its_levels_are_counted_from() {
        let log = noise(&mut Chance::new(13), 120, 0.7, 3.0);
        let part: Vec<f64> = log[30..100].iter().enumerate().map(|(at, level)| level + if at % 3 == 0 { 1.0 } else { 0.0 }).collect();
        let found = align(&log, &part, 120).unwrap().unwrap();
        assert_eq!(found.later, 30);
        for from in [log[0], part[0], -900.0] {
            let less = |levels: &[f64]| levels.iter().map(|level| level - from).collect::<Vec<_>>();
            let again = align(&less(&log), &less(&part), 120).unwrap().unwrap();
            assert_eq!(again.later, 30);
            assert_abs_diff_eq!(again.correlation, found.correlation, epsilon = 1e-9);
        }
        assert!(align(&log, &part, 20).unwrap().unwrap().later.abs() <= 20);
        assert_eq!(align(&part, &log, 120).unwrap().unwrap().later, -30);
    }
}
