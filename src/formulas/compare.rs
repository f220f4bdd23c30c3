//! Whether one state of a machine is quieter than another: differences with intervals, several phases at once, and how many
//! runs it takes.
//!
//! A run says how sure its own mean is, from its scatter in time. It does not say how runs differ from each other: the meter is
//! put back a little aside, the room is another one on another day. Where there are two runs or more of each kind, their own
//! scatter tells, and the wider of the two intervals is used. Where there are not, the interval is a hint.

use std::f64::consts::FRAC_PI_4;

use super::error::{FormulaError, finite, positive, within};
use super::series::{self, FEWEST_EFFECTIVE, Summary};
use super::uncertainty::{ln_gamma, standard_deviation, student_t, student_t_outside};
use super::{levels, uncertainty};
use crate::units::{Gain, Level, PlusMinus, count_to_f64, sort_few, within as limited};

/// What may go wrong in five of a hundred cases: of all tests and intervals here.
pub const RISK: f64 = 0.05;

/// More degrees of freedom make no difference.
const MOST_FREEDOM: f64 = 1e6;

/// The level of one phase in one run, and how sure that is from this run alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The level, dB.
    pub level: Level,
    /// Its standard error, dB.
    pub standard: f64,
    /// Degrees of freedom of that error; below 1 when the run says nothing of it.
    pub dof: f64,
    /// Too few readings for that error to be relied on.
    pub few: bool,
}

impl Estimate {
    /// What a summary of a log says.
    pub fn of(summary: &Summary) -> Self {
        Self { level: summary.leq, standard: summary.standard_error_db, dof: summary.dof, few: summary.too_few() }
    }

    /// A bare level: nothing is known of how sure it is.
    pub const fn bare(level: Level) -> Self {
        Self { level, standard: 0.0, dof: 0.0, few: true }
    }

    /// The same without a background; whether that may be shown is for [`levels::grade`] to say.
    ///
    /// # Errors
    ///
    /// As [`uncertainty::background_removed`].
    pub fn without_background(self, background: PlusMinus<Level>) -> Result<Self, FormulaError> {
        let own = uncertainty::background_removed(PlusMinus::from_standard(self.level, self.standard), PlusMinus::exact(background.value))?;
        let whole = uncertainty::background_removed(PlusMinus::from_standard(self.level, self.standard), background)?;
        let (part, all) = (own.standard().powi(2), whole.standard().powi(2));
        // The background's own error is taken as known.
        let dof = if self.dof >= 1.0 && part > 0.0 { (self.dof * (all / part).powi(2)).min(MOST_FREEDOM) } else { self.dof };
        Ok(Self { level: whole.value, standard: whole.standard(), dof, few: self.few })
    }
}

/// Where an interval comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// From the scatter in time within single runs; how runs differ is not known.
    Within,
    /// From how runs differ, the wider one.
    Between,
    /// From the scatter within the runs although there are several, as that is the wider one.
    WithinWider,
}

/// A difference of two levels and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// After minus before, dB: negative is quieter.
    pub by: Gain,
    /// Standard error, dB.
    pub standard: f64,
    /// Degrees of freedom for Student's t; zero when there is no telling.
    pub dof: f64,
    /// Where the standard error comes from.
    pub basis: Basis,
    /// At least one side has one run only.
    pub hint: bool,
    /// Too few readings to say anything, and no further runs to make up for it.
    pub few: bool,
}

impl Difference {
    /// Half the 95 % interval, dB, or `None` when there is no telling.
    pub fn half_width(&self) -> Option<f64> {
        if self.dof < 1.0 {
            return None;
        }
        student_t(1.0 - RISK, self.dof.min(MOST_FREEDOM)).ok().map(|t| t * self.standard)
    }

    /// The difference with its ±, or `None` when there is no telling.
    pub fn plus_minus(&self) -> Option<PlusMinus<Gain>> {
        self.half_width().map(|half| PlusMinus::new(self.by, half))
    }

    /// The difference is at least so large, dB: the end of the 95 % interval nearer to zero; `None` when the interval holds zero.
    pub fn at_least(&self) -> Option<f64> {
        self.half_width().map(|half| self.by.0.abs() - half).filter(|least| *least > 0.0)
    }
}

/// The degrees of freedom of a sum of variances, each with its own.
///
/// `ν = (Σ v)²/Σ (v²/ν_i)`
///
/// | name    | meaning                           | unit | valid                    |
/// |---------|-----------------------------------|------|--------------------------|
/// | `parts` | variance and its degrees of freedom | any | variance 0 to 1e12, freedom 1 to 1e9 |
///
/// The formula of Welch and Satterthwaite. When all variances are zero, the freedom of all together.
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
/// assert!(freedom(&[(1.0, 0.0)]).is_err());
/// ```
pub fn freedom(parts: &[(f64, f64)]) -> Result<f64, FormulaError> {
    if parts.is_empty() {
        return Err(FormulaError::Empty);
    }
    let (mut sum, mut weighted, mut all) = (0.0, 0.0, 0.0);
    for &(variance, own) in parts {
        within("the variance", variance, 0.0, 1e12)?;
        all += within("the degrees of freedom", own, 1.0, 1e9)?;
        sum += variance;
    }
    if sum <= 0.0 {
        return Ok(all);
    }
    for (variance, own) in parts {
        weighted += (variance / sum).powi(2) / own;
    }
    Ok((1.0 / weighted).min(all))
}

/// Welch's difference of two sets of run levels.
///
/// `s² = s_b²/n_b + s_a²/n_a`, degrees of freedom by [`freedom`]
///
/// | name     | meaning                        | unit | valid               |
/// |----------|--------------------------------|------|---------------------|
/// | `before` | one level for each run         | dB   | finite, two or more |
/// | `after`  | one level for each run         | dB   | finite, two or more |
///
/// The value is the difference of the energy means; `s_b` and `s_a` are the standard deviations of the levels in dB.
///
/// # Errors
///
/// [`FormulaError::TooFew`] below two, [`FormulaError::NotFinite`].
///
/// # Source
///
/// Welch's test for two means with spreads of their own, from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::compare::welch;
/// use lessdin::units::Level;
///
/// let before = [48.2, 48.6, 47.9, 48.4, 48.8, 48.1].map(Level);
/// let after = [45.1, 45.6, 44.8, 45.9, 45.3, 45.2].map(Level);
/// let found = welch(&before, &after).unwrap();
/// assert!((found.by.0 + 3.0129).abs() < 1e-4 && (found.dof - 9.7805).abs() < 1e-4);
/// assert!((found.half_width().unwrap() - 0.4655).abs() < 1e-4);
///
/// assert!(welch(&before, &[Level(45.0)]).is_err());
/// ```
pub fn welch(before: &[Level], after: &[Level]) -> Result<Difference, FormulaError> {
    let variance = |set: &[Level]| -> Result<(f64, f64), FormulaError> {
        let values: Vec<f64> = set.iter().map(|level| level.0).collect();
        let count = count_to_f64(set.len());
        Ok((standard_deviation(&values)?.powi(2) / count, count - 1.0))
    };
    let parts = [variance(before)?, variance(after)?];
    let by = levels::energy_mean(after)? - levels::energy_mean(before)?;
    let standard = parts.iter().map(|(variance, _)| variance).sum::<f64>().sqrt();
    Ok(Difference { by, standard, dof: freedom(&parts)?, basis: Basis::Between, hint: false, few: false })
}

/// The energy mean of several runs, each as sure as it says itself: variance and degrees of freedom of each one's part.
fn mean_of(set: &[Estimate]) -> Result<(Level, Vec<(f64, f64)>), FormulaError> {
    let mean = levels::energy_mean(&set.iter().map(|run| run.level).collect::<Vec<_>>())?;
    let count = count_to_f64(set.len());
    let mut parts = Vec::with_capacity(set.len());
    for run in set {
        let share = 10_f64.powf((run.level - mean).0 / 10.0) / count;
        let standard = within("the standard error", run.standard, 0.0, 1e6)?;
        parts.push(((share * standard).powi(2), finite("the degrees of freedom", run.dof)?));
    }
    Ok((mean, parts))
}

/// The difference of one phase between two sets of runs, by the rule that gives the wider interval.
///
/// | name     | meaning                    | unit | valid       |
/// |----------|----------------------------|------|-------------|
/// | `before` | one estimate for each run  | dB   | one or more |
/// | `after`  | one estimate for each run  | dB   | one or more |
///
/// With one run on one of the sides: from the scatter within the runs, marked as a hint. With two or more on each: the wider of
/// that and [`welch`]. Runs of a set count alike, however long they lasted.
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// JCGM 100 (GUM), 5.1.2 and G.4.1, from memory; taking the wider one: common practice, no source.
///
/// # Example
///
/// ```
/// use lessdin::formulas::compare::{Basis, Estimate, difference};
/// use lessdin::units::Level;
///
/// let run = |level| Estimate { level: Level(level), standard: 0.1, dof: 8.0, few: false };
/// let one = difference(&[run(48.0)], &[run(45.0)]).unwrap();
/// assert!(one.hint && one.basis == Basis::Within && (one.dof - 16.0).abs() < 1e-9);
/// let two = difference(&[run(48.0), run(48.9)], &[run(45.0), run(45.8)]).unwrap();
/// assert!(!two.hint && two.basis == Basis::Between);
///
/// assert!(difference(&[], &[run(45.0)]).is_err());
/// ```
pub fn difference(before: &[Estimate], after: &[Estimate]) -> Result<Difference, FormulaError> {
    let (level_before, mut parts) = mean_of(before)?;
    let (level_after, parts_after) = mean_of(after)?;
    parts.extend(parts_after);
    let known = parts.iter().all(|(_, dof)| *dof >= 1.0);
    let within = Difference {
        by: level_after - level_before,
        standard: if known { parts.iter().map(|(variance, _)| variance).sum::<f64>().sqrt() } else { 0.0 },
        dof: if known { freedom(&parts)?.min(MOST_FREEDOM) } else { 0.0 },
        basis: Basis::Within,
        hint: before.len() < 2 || after.len() < 2,
        few: !known || before.iter().chain(after).any(|run| run.few),
    };
    if within.hint {
        return Ok(within);
    }
    let levels_of = |set: &[Estimate]| set.iter().map(|run| run.level).collect::<Vec<_>>();
    let between = welch(&levels_of(before), &levels_of(after))?;
    Ok(match (within.half_width(), between.half_width()) {
        (Some(inner), Some(outer)) if inner > outer => Difference { basis: Basis::WithinWider, few: false, ..within },
        _ => between,
    })
}

/// The chance of so large a difference, either way, where there is none: the two-sided p-value.
///
/// | name         | meaning          | unit | valid                             |
/// |--------------|------------------|------|-----------------------------------|
/// | `difference` | with its scatter | dB   | degrees of freedom of 1 and more  |
///
/// # Errors
///
/// [`FormulaError::TooFew`] when there is no telling, [`FormulaError::NotFinite`].
///
/// # Source
///
/// Student's t, by [`student_t_outside`].
///
/// # Example
///
/// ```
/// use lessdin::formulas::compare::{chance_if_none, welch};
/// use lessdin::units::Level;
///
/// let found = welch(&[48.0, 48.4].map(Level), &[48.1, 48.3].map(Level)).unwrap();
/// assert!(chance_if_none(&found).unwrap() > 0.9);
///
/// assert!(welch(&[48.0].map(Level), &[48.1].map(Level)).is_err());
/// ```
pub fn chance_if_none(difference: &Difference) -> Result<f64, FormulaError> {
    beyond(difference.by.0, difference)
}

/// The two-sided chance beyond so many dB, at the difference's scatter.
fn beyond(apart: f64, difference: &Difference) -> Result<f64, FormulaError> {
    if difference.dof < 1.0 {
        return Err(FormulaError::TooFew { found: 0, needed: 1 });
    }
    finite("the difference", apart)?;
    if apart.abs() <= 0.0 {
        return Ok(1.0);
    }
    let ratio = if difference.standard > 0.0 { limited(apart / difference.standard, -1e8, 1e8) } else { 1e8 };
    student_t_outside(ratio, difference.dof.min(MOST_FREEDOM))
}

/// How well two one-sided tests show that a difference is smaller than a margin: the larger of their p-values.
///
/// | name         | meaning               | unit | valid                             |
/// |--------------|-----------------------|------|-----------------------------------|
/// | `difference` | with its scatter      | dB   | degrees of freedom of 1 and more  |
/// | `margin`     | what counts as the same | dB | 1e-12 to 1e12                     |
///
/// Below 0.05 the two are the same within the margin: the 90 % interval lies inside.
///
/// # Errors
///
/// [`FormulaError::TooFew`] when there is no telling, [`FormulaError::OutOfRange`], [`FormulaError::NotFinite`].
///
/// # Source
///
/// Two one-sided tests (Schuirmann 1987), from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::compare::{same_within, welch};
/// use lessdin::units::{Gain, Level};
///
/// let found = welch(&[48.0, 48.1, 48.2].map(Level), &[48.1, 48.2, 48.0].map(Level)).unwrap();
/// assert!(same_within(&found, Gain(1.0)).unwrap() < 0.05);
///
/// assert!(same_within(&found, Gain(0.0)).is_err());
/// ```
pub fn same_within(difference: &Difference, margin: Gain) -> Result<f64, FormulaError> {
    positive("the margin", margin.0)?;
    let room = margin.0 - difference.by.0.abs();
    let half = beyond(room, difference)? / 2.0;
    Ok(if room > 0.0 { half } else { 1.0 - half })
}

/// Several chances, each as it counts when all were tried together.
///
/// The smallest times m, the next times m − 1 and so on; none less than the one before it, none above 1.
///
/// | name      | meaning  | unit | valid  |
/// |-----------|----------|------|--------|
/// | `chances` | p-values | 1    | 0 to 1 |
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
/// let found = holm(&[0.01, 0.04, 0.03]).unwrap();
/// assert!((found[0] - 0.03).abs() < 1e-12 && (found[1] - 0.06).abs() < 1e-12 && (found[2] - 0.06).abs() < 1e-12);
///
/// assert!(holm(&[1.5]).is_err());
/// ```
pub fn holm(chances: &[f64]) -> Result<Vec<f64>, FormulaError> {
    for &chance in chances {
        within("the chance", chance, 0.0, 1.0)?;
    }
    let mut order: Vec<(usize, f64)> = chances.iter().copied().enumerate().collect();
    sort_few(&mut order, |one, other| one.1.total_cmp(&other.1));
    let mut counted = chances.to_vec();
    let mut least = 0.0_f64;
    for (rank, (at, chance)) in order.iter().enumerate() {
        least = least.max((chance * count_to_f64(chances.len() - rank)).min(1.0));
        if let Some(slot) = counted.get_mut(*at) {
            *slot = least;
        }
    }
    Ok(counted)
}

/// What may be said of a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It is quieter.
    Quieter,
    /// It is louder.
    Louder,
    /// It is the same within the margin.
    Same,
    /// There is no telling yet.
    CannotTell,
    /// There are too few readings.
    TooFew,
}

/// The verdict on the difference of one phase.
///
/// | name         | meaning                                                   | unit | valid    |
/// |--------------|-----------------------------------------------------------|------|----------|
/// | `difference` | with its scatter                                          | dB   |          |
/// | `chance`     | its p-value as it counts among all phases tried, [`holm`] | 1    | 0 to 1   |
/// | `margin`     | what counts as the same                                   | dB   | 1e-12 to 1e12 |
///
/// A difference that is shown but smaller than the margin is *the same*: it is shown to be less than what matters.
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
/// use lessdin::formulas::compare::{Verdict, chance_if_none, verdict, welch};
/// use lessdin::units::{Gain, Level};
///
/// let found = welch(&[48.0, 48.2, 48.1].map(Level), &[45.5, 45.3, 45.2].map(Level)).unwrap();
/// let chance = chance_if_none(&found).unwrap();
/// assert_eq!(verdict(&found, chance, Gain(1.0)), Ok(Verdict::Quieter));
///
/// assert!(verdict(&found, chance, Gain(-1.0)).is_err());
/// ```
pub fn verdict(difference: &Difference, chance: f64, margin: Gain) -> Result<Verdict, FormulaError> {
    within("the chance", chance, 0.0, 1.0)?;
    if difference.few || difference.dof < 1.0 {
        return Ok(Verdict::TooFew);
    }
    Ok(if same_within(difference, margin)? < RISK {
        Verdict::Same
    } else if chance >= RISK {
        Verdict::CannotTell
    } else if difference.by.0 < 0.0 {
        Verdict::Quieter
    } else {
        Verdict::Louder
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

/// Which test is planned for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Test {
    /// Welch's: each set has a spread of its own. It is what [`welch`] and [`difference`] do.
    Welch,
    /// Student's: both sets share one spread, which is then better known.
    Shared,
}

/// The most runs of each kind that are planned.
pub const MOST_RUNS: usize = 1000;

/// A test of two sets of equally many runs.
///
/// With equal true spreads the statistic is a noncentral t of `2n − 2` degrees of freedom and does not depend on how the two
/// sample variances split their sum; the split, a beta distribution of `(n − 1)/2` twice, alone decides the limit that Welch's
/// test takes. So the chance is the mean over the split of a noncentral t beyond its limit.
struct Plan {
    runs: f64,
    /// For each split: its weight, and the limit of t as `x = t²/(ν + t²)` with the first incomplete beta function.
    limits: Vec<Limit>,
}

struct Limit {
    weight: f64,
    x: f64,
    /// I(x; 1/2, ν/2).
    inside: f64,
    /// By so much I(x; 3/2, ν/2) is less.
    fall: f64,
}

impl Plan {
    fn new(runs: usize, test: Test) -> Result<Self, FormulaError> {
        /// Steps over the split; even, for Simpson's rule.
        const STEPS: usize = 32;
        if runs < 2 {
            return Err(FormulaError::TooFew { found: runs, needed: 2 });
        }
        let count = within("the number of runs", count_to_f64(runs), 2.0, count_to_f64(MOST_RUNS))?;
        let freedom = 2.0 * count - 2.0;
        let half = freedom / 2.0;
        let beta = ln_gamma(0.5) + ln_gamma(half) - ln_gamma(half + 0.5);
        let limit = |weight: f64, limit: f64| -> Result<Limit, FormulaError> {
            let rest = freedom / (freedom + limit * limit);
            let fall = 2.0 * (0.5 * (1.0 - rest).ln() + half * rest.ln() - beta).exp();
            Ok(Limit { weight, x: 1.0 - rest, inside: 1.0 - student_t_outside(limit, freedom)?, fall })
        };
        let mut limits = Vec::new();
        if test == Test::Shared {
            limits.push(limit(1.0, student_t(1.0 - RISK, freedom)?)?);
            return Ok(Self { runs: count, limits });
        }
        // The split is sin², seen from the even one; far from it nothing is left when there are many runs.
        let reach = if runs > 2 { FRAC_PI_4.min(4.0 / (count - 2.0).sqrt()) } else { FRAC_PI_4 };
        let mut whole = 0.0;
        for step in 0..=STEPS {
            let simpson = match step {
                0 | STEPS => 1.0,
                _ if step % 2 == 1 => 4.0,
                _ => 2.0,
            };
            let angle = reach * count_to_f64(step) / count_to_f64(STEPS);
            let (sine, cosine) = (FRAC_PI_4 - angle).sin_cos();
            let weight = simpson * (2.0 * sine * cosine).max(0.0).powf(count - 2.0);
            let own = (count - 1.0) / (sine.powi(4) + cosine.powi(4));
            limits.push(limit(weight, student_t(1.0 - RISK, own)?)?);
            whole += weight;
        }
        for limit in &mut limits {
            limit.weight /= whole;
        }
        Ok(Self { runs: count, limits })
    }

    /// The standard error of a difference for a spread of 1 from run to run.
    fn error(&self) -> f64 {
        (2.0 / self.runs).sqrt()
    }

    /// The chance that a difference of so many times the spread from run to run is shown.
    fn shown(&self, ratio: f64) -> f64 {
        let apart = (ratio.abs() / self.error()).min(200.0);
        let mean = apart * apart / 2.0;
        // |T| below the limit: incomplete beta functions, weighted by a Poisson distribution.
        let last = mean + 12.0 * mean.sqrt() + 40.0;
        let mut hidden = 0.0;
        for limit in &self.limits {
            let (mut inside, mut fall, mut log, mut order) = (limit.inside, limit.fall, -mean, 0.0);
            let mut sum = 0.0;
            while order <= last && inside > 1e-14 {
                sum += log.exp() * inside;
                inside -= fall;
                fall *= limit.x * (order + self.runs - 0.5) / (order + 1.5);
                order += 1.0;
                log += (mean / order).max(1e-300).ln();
            }
            hidden += limit.weight * sum;
        }
        limited(1.0 - hidden, 0.0, 1.0)
    }
}

/// The chance that a true difference is shown.
///
/// | name         | meaning                                        | unit | valid         |
/// |--------------|------------------------------------------------|------|---------------|
/// | `runs`       | of each kind                                   | 1    | 2 to 1000     |
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
/// use lessdin::formulas::compare::{Test, chance_of_showing};
///
/// assert!((chance_of_showing(3, 0.92, 0.3, Test::Shared).unwrap() - 0.801).abs() < 0.01);
/// assert!((chance_of_showing(3, 0.92, 0.3, Test::Welch).unwrap() - 0.695).abs() < 0.001);
///
/// assert!(chance_of_showing(1, 0.92, 0.3, Test::Welch).is_err());
/// ```
pub fn chance_of_showing(runs: usize, difference: f64, spread: f64, test: Test) -> Result<f64, FormulaError> {
    within("the difference", difference, -1e6, 1e6)?;
    positive("the spread", spread)?;
    Ok(Plan::new(runs, test)?.shown(difference / spread))
}

/// The smallest true difference that is shown with a given chance.
///
/// | name     | meaning                                        | unit | valid         |
/// |----------|------------------------------------------------|------|---------------|
/// | `runs`   | of each kind                                   | 1    | 2 to 1000     |
/// | `chance` | of showing it                                  | 1    | 0.1 to 0.99   |
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
/// use lessdin::formulas::compare::{Test, smallest_shown};
///
/// assert!((smallest_shown(3, 0.8, 0.3, Test::Welch).unwrap().0 - 1.052).abs() < 1e-3);
///
/// assert!(smallest_shown(3, 1.0, 0.3, Test::Welch).is_err());
/// ```
pub fn smallest_shown(runs: usize, chance: f64, spread: f64, test: Test) -> Result<Gain, FormulaError> {
    within("the chance", chance, 0.1, 0.99)?;
    positive("the spread", spread)?;
    let plan = Plan::new(runs, test)?;
    let (mut low, mut high) = (0.0, plan.error());
    while plan.shown(high) < chance && high < 1e3 {
        low = high;
        high *= 2.0;
    }
    while high - low > 1e-9 * high {
        let middle = f64::midpoint(low, high);
        if plan.shown(middle) < chance { low = middle } else { high = middle }
    }
    Ok(Gain(high * spread))
}

/// The smallest difference found that is just significant, when both sets scatter as usual.
///
/// `t(0.975; 2n − 2)·s·√(2/n)`
///
/// | name     | meaning                              | unit | valid         |
/// |----------|--------------------------------------|------|---------------|
/// | `runs`   | of each kind, n                      | 1    | 2 to 1000     |
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
/// use lessdin::formulas::compare::just_significant;
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
/// | `chance`     | of showing it                            | 1    | 0.1 to 0.99   |
/// | `test`       | which test; 5 %, two-sided               |      |               |
///
/// At least two. `None` when a thousand are not enough.
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
/// use lessdin::formulas::compare::{Test, runs_needed};
///
/// assert_eq!(runs_needed(1.0, 0.3, 0.8, Test::Welch), Ok(Some(4)));
/// assert_eq!(runs_needed(0.001, 0.3, 0.8, Test::Welch), Ok(None));
///
/// assert!(runs_needed(1.0, 0.0, 0.8, Test::Welch).is_err());
/// ```
pub fn runs_needed(difference: f64, spread: f64, chance: f64, test: Test) -> Result<Option<usize>, FormulaError> {
    within("the chance", chance, 0.1, 0.99)?;
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
/// use lessdin::formulas::compare::recording_time;
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
