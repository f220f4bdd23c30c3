//! Energy sums, averages, background removal, shares and ceilings, distance, sound power.

use std::f64::consts::PI;

use super::error::{FormulaError, finite, positive, within};
use super::uncertainty;
use crate::units::{Energy, Gain, Level, ONE_SIDED_95, PlusMinus, PowerLevel, count_to_f64};

/// Readings are typed to 0.1 or 0.01 dB; a difference this close to a limit is at the limit.
const AT_LIMIT_DB: f64 = 1e-9;

/// Adds energies relative to the loudest, so that no finite level is too large or too small.
fn weighted_energy(parts: &[(f64, f64)]) -> Result<f64, FormulaError> {
    for &(level, weight) in parts {
        finite("the level", level)?;
        within("the weight", weight, 0.0, 1e12)?;
    }
    let counted = || parts.iter().filter(|(_, weight)| *weight > 0.0);
    let top = counted().map(|(level, _)| *level).fold(f64::NEG_INFINITY, f64::max);
    if top == f64::NEG_INFINITY {
        return Err(FormulaError::Empty);
    }
    let sum: f64 = counted().map(|(level, weight)| weight * 10_f64.powf((level - top) / 10.0)).sum();
    Ok(top + 10.0 * sum.log10())
}

/// The level of several sources together.
///
/// `L = 10·lg Σ 10^(Li/10)`
///
/// | name     | meaning                              | unit | valid              |
/// |----------|--------------------------------------|------|--------------------|
/// | `levels` | each source alone, at the same place | dB   | finite, one or more |
///
/// The sources are independent of each other and the levels share reference, weighting and band.
///
/// # Errors
///
/// [`FormulaError::Empty`] without levels, [`FormulaError::NotFinite`] when a level is not a number.
///
/// # Source
///
/// ISO 1996-1 and ISO 80000-8, from memory.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::energy_sum, units::Level};
///
/// let both = energy_sum(&[Level(40.0), Level(40.0)]).unwrap();
/// assert!((both.0 - 43.0103).abs() < 1e-4);
///
/// assert!(energy_sum(&[]).is_err());
/// ```
pub fn energy_sum(levels: &[Level]) -> Result<Level, FormulaError> {
    let parts: Vec<_> = levels.iter().map(|level| (level.0, 1.0)).collect();
    weighted_energy(&parts).map(Level)
}

/// The level of several rows together, each row so many sources alike.
///
/// `L = 10·lg Σ ni·10^(Li/10)`
///
/// | name   | meaning                            | unit    | valid                            |
/// |--------|------------------------------------|---------|----------------------------------|
/// | `rows` | level of one source, and how many  | dB, 1   | finite; not all counts zero      |
///
/// # Errors
///
/// [`FormulaError::Empty`] when nothing is counted, [`FormulaError::NotFinite`] when a level is not a number.
///
/// # Source
///
/// ISO 1996-1 and ISO 80000-8, from memory.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::energy_sum_counted, units::Level};
///
/// let total = energy_sum_counted(&[(Level(40.0), 2), (Level(30.0), 0)]).unwrap();
/// assert!((total.0 - 43.0103).abs() < 1e-4);
///
/// assert!(energy_sum_counted(&[(Level(40.0), 0)]).is_err());
/// ```
pub fn energy_sum_counted(rows: &[(Level, u32)]) -> Result<Level, FormulaError> {
    let parts: Vec<_> = rows.iter().map(|(level, count)| (level.0, f64::from(*count))).collect();
    weighted_energy(&parts).map(Level)
}

/// The energy mean of several readings of the same thing.
///
/// `L = 10·lg[(1/n)·Σ 10^(Li/10)]`
///
/// | name     | meaning  | unit | valid               |
/// |----------|----------|------|---------------------|
/// | `levels` | readings | dB   | finite, one or more |
///
/// # Errors
///
/// [`FormulaError::Empty`] without levels, [`FormulaError::NotFinite`] when a level is not a number.
///
/// # Source
///
/// ISO 1996-1, from memory; worked examples in ISO 11200:2014 Annex B.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::energy_mean, units::Level};
///
/// let mean = energy_mean(&[Level(40.0), Level(60.0)]).unwrap();
/// assert!((mean.0 - 57.0329).abs() < 1e-4); // not 50
///
/// assert!(energy_mean(&[Level(f64::NAN)]).is_err());
/// ```
pub fn energy_mean(levels: &[Level]) -> Result<Level, FormulaError> {
    let sum = energy_sum(levels)?;
    Ok(sum - Gain(10.0 * count_to_f64(levels.len()).log10()))
}

/// The equivalent level of stretches of time, each with its own level.
///
/// `Leq = 10·lg[(1/T)·Σ ti·10^(Li/10)]` with `T = Σ ti`
///
/// | name         | meaning                          | unit  | valid                             |
/// |--------------|----------------------------------|-------|-----------------------------------|
/// | `stretches`  | level and how long it lasted     | dB, s | finite; times 0 to 1e12, one above 0 |
///
/// Any unit of time will do, as long as it is the same throughout.
///
/// # Errors
///
/// [`FormulaError::Empty`] when no time passes, [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`] for a
/// level that is no number or a time out of range.
///
/// # Source
///
/// ISO 1996-1, from memory.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::time_mean, units::Level};
///
/// let hour = time_mean(&[(Level(60.0), 300.0), (Level(40.0), 3300.0)]).unwrap();
/// assert!((hour.0 - 49.6614).abs() < 1e-4);
///
/// assert!(time_mean(&[(Level(60.0), -1.0)]).is_err());
/// ```
pub fn time_mean(stretches: &[(Level, f64)]) -> Result<Level, FormulaError> {
    let parts: Vec<_> = stretches.iter().map(|(level, time)| (level.0, *time)).collect();
    let sum = weighted_energy(&parts)?;
    let total: f64 = parts.iter().map(|(_, time)| time).sum();
    Ok(Level(sum - 10.0 * total.log10()))
}

/// The exposure level: all the sound of an event squeezed into one second.
///
/// `LE = Leq + 10·lg(T / 1 s)`
///
/// | name        | meaning                   | unit | valid        |
/// |-------------|---------------------------|------|--------------|
/// | `equivalent`| equivalent level          | dB   | finite       |
/// | `seconds`   | how long                  | s    | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// ISO 1996-1, from memory.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::exposure_level, units::Level};
///
/// assert!((exposure_level(Level(60.0), 120.0).unwrap().0 - 80.7918).abs() < 1e-4);
///
/// assert!(exposure_level(Level(60.0), 0.0).is_err());
/// ```
pub fn exposure_level(equivalent: Level, seconds: f64) -> Result<Level, FormulaError> {
    finite("the level", equivalent.0)?;
    positive("the time", seconds)?;
    Ok(equivalent + Gain(10.0 * seconds.log10()))
}

/// What `count` sources alike make over one of them.
///
/// `ΔL = 10·lg n`
///
/// | name    | meaning  | unit | valid      |
/// |---------|----------|------|------------|
/// | `count` | how many | 1    | 1 or more  |
///
/// # Errors
///
/// [`FormulaError::Empty`] for none.
///
/// # Source
///
/// Follows from the energy sum.
///
/// # Example
///
/// ```
/// use lessdin::formulas::levels::count_gain;
///
/// assert!((count_gain(3).unwrap().0 - 4.7712).abs() < 1e-4);
///
/// assert!(count_gain(0).is_err());
/// ```
pub fn count_gain(count: u32) -> Result<Gain, FormulaError> {
    if count == 0 {
        return Err(FormulaError::Empty);
    }
    Ok(Gain(10.0 * f64::from(count).log10()))
}

/// The background correction, by the formula alone.
///
/// `K1 = −10·lg(1 − 10^(−d/10))`, to be taken off the level with the source on
///
/// | name         | meaning                               | unit | valid             |
/// |--------------|---------------------------------------|------|-------------------|
/// | `difference` | level with the source on minus off, d | dB   | finite, above 0   |
///
/// Below 6 dB it is no longer engineering grade, below 3 dB it is not to be used: see [`k1_engineering`],
/// [`k1_survey`] and [`alone`].
///
/// # Errors
///
/// [`FormulaError::NotAboveBackground`] at or below zero, [`FormulaError::NotFinite`].
///
/// # Source
///
/// ISO 3744:2010, 8.2.3, Eq. (16), read second-hand.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::background_correction, units::Gain};
///
/// assert!((background_correction(Gain(6.0)).unwrap().0 - 1.2563).abs() < 1e-4);
///
/// assert!(background_correction(Gain(0.0)).is_err());
/// ```
pub fn background_correction(difference: Gain) -> Result<Gain, FormulaError> {
    finite("the difference", difference.0)?;
    if difference.0 <= 0.0 {
        return Err(FormulaError::NotAboveBackground { difference_db: difference.0 });
    }
    // 1 − 10^(−d/10) without loss of digits for small d.
    let rest = -(-difference.0 * std::f64::consts::LN_10 / 10.0).exp_m1();
    Ok(Gain(-10.0 * rest.log10()))
}

/// A background correction as a standard allows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correction {
    /// What to take off the level with the source on.
    pub k1: Gain,
    /// True when the two readings are too close: the corrected level is then only an upper bound.
    pub bound: bool,
}

fn limited(difference: Gain, floor: f64, top: f64, cap: f64) -> Result<Correction, FormulaError> {
    finite("the difference", difference.0)?;
    let (k1, bound) = if difference.0 > top + AT_LIMIT_DB {
        (Gain(0.0), false)
    } else if difference.0 >= floor - AT_LIMIT_DB {
        (background_correction(difference)?, false)
    } else {
        (Gain(cap), true)
    };
    Ok(Correction { k1, bound })
}

/// The background correction of the engineering grade.
///
/// Above 15 dB none; from 6 to 15 dB, both included, [`background_correction`]; below 6 dB 1.3 dB and only an upper
/// bound.
///
/// | name         | meaning                            | unit | valid  |
/// |--------------|------------------------------------|------|--------|
/// | `difference` | level with the source on minus off | dB   | finite |
///
/// # Errors
///
/// [`FormulaError::NotFinite`].
///
/// # Source
///
/// ISO 3744:2010, 8.2.3, Eq. (16), read second-hand.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::k1_engineering, units::Gain};
///
/// assert!((k1_engineering(Gain(9.0)).unwrap().k1.0 - 0.58435).abs() < 1e-5);
/// assert!(k1_engineering(Gain(5.9)).unwrap().bound);
///
/// assert!(k1_engineering(Gain(f64::NAN)).is_err());
/// ```
pub fn k1_engineering(difference: Gain) -> Result<Correction, FormulaError> {
    limited(difference, 6.0, 15.0, 1.3)
}

/// The background correction of the survey grade.
///
/// Above 10 dB none; from 3 to 10 dB, both included, [`background_correction`]; below 3 dB 3.0 dB and only an upper
/// bound.
///
/// | name         | meaning                            | unit | valid  |
/// |--------------|------------------------------------|------|--------|
/// | `difference` | level with the source on minus off | dB   | finite |
///
/// # Errors
///
/// [`FormulaError::NotFinite`].
///
/// # Source
///
/// ISO 3746:2010, 8.3.3, read second-hand.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::k1_survey, units::Gain};
///
/// assert!((k1_survey(Gain(3.0)).unwrap().k1.0 - 3.0206).abs() < 1e-4);
/// assert!(k1_survey(Gain(2.9)).unwrap().bound);
///
/// assert!(k1_survey(Gain(f64::INFINITY)).is_err());
/// ```
pub fn k1_survey(difference: Gain) -> Result<Correction, FormulaError> {
    limited(difference, 3.0, 10.0, 3.0)
}

/// The level of a source alone, given the level with it on and with it off.
///
/// `source = 10·lg(10^(with/10) − 10^(without/10))`
///
/// | name      | meaning                 | unit | valid                   |
/// |-----------|-------------------------|------|-------------------------|
/// | `with`    | source and background   | dB   | finite, above `without` |
/// | `without` | same place, source off  | dB   | finite                  |
///
/// The plain algebra, at any distance from the background. Whether the answer may be shown is for [`alone`] to say.
///
/// # Errors
///
/// [`FormulaError::NotAboveBackground`] when `with` is not above `without`, [`FormulaError::NotFinite`].
///
/// # Source
///
/// ISO 3744:2010, 8.2.3, Eq. (16), read second-hand.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::remove_background, units::Level};
///
/// let source = remove_background(Level(60.0), Level(54.0)).unwrap();
/// assert!((source.0 - 58.7437).abs() < 1e-4);
///
/// assert!(remove_background(Level(60.0), Level(60.0)).is_err());
/// ```
pub fn remove_background(with: Level, without: Level) -> Result<Level, FormulaError> {
    finite("the level with the source on", with.0)?;
    finite("the level with the source off", without.0)?;
    Ok(with - background_correction(with - without)?)
}

/// How good a level alone is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grade {
    /// The readings are 6 dB and more apart.
    Solid,
    /// From 3 dB to below 6 dB apart.
    Rough,
    /// Apart, but by less than 3 dB: only a bound.
    AtMost,
    /// Not apart, or the wrong way round.
    Nothing,
}

/// What can be said about a level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Finding {
    /// A value with its ±.
    Value(PlusMinus<Level>),
    /// No louder than this; the level itself is not known.
    AtMost(Level),
    /// Nothing can be said.
    Unknown,
}

/// What a pair of readings with and without a source tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alone {
    /// With minus without: the most that any treatment of this source can gain here.
    pub drop: PlusMinus<Gain>,
    /// How good the answer is.
    pub grade: Grade,
    /// The level of the source alone.
    pub level: Finding,
    /// What was taken off the reading with the source on; `None` for [`Grade::Nothing`].
    pub correction: Option<Gain>,
}

/// How good a pair of readings is for finding the source alone.
///
/// Solid from 6 dB apart, rough from 3 dB, only a bound above 0 dB, nothing at or below 0 dB.
///
/// | name   | meaning                            | unit | valid  |
/// |--------|------------------------------------|------|--------|
/// | `drop` | level with the source on minus off | dB   | finite |
///
/// # Errors
///
/// [`FormulaError::NotFinite`].
///
/// # Source
///
/// The limits are those of ISO 3744:2010, 8.2.3 (6 dB, engineering) and ISO 3746:2010, 8.3.3 (3 dB, survey), read
/// second-hand; both ends belong to the better grade.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::{Grade, grade}, units::Gain};
///
/// assert_eq!(grade(Gain(6.0)), Ok(Grade::Solid));
/// assert_eq!(grade(Gain(-1.0)), Ok(Grade::Nothing));
///
/// assert!(grade(Gain(f64::NAN)).is_err());
/// ```
pub fn grade(drop: Gain) -> Result<Grade, FormulaError> {
    finite("the difference", drop.0)?;
    Ok(match drop.0 {
        d if d >= 6.0 - AT_LIMIT_DB => Grade::Solid,
        d if d >= 3.0 - AT_LIMIT_DB => Grade::Rough,
        d if d > AT_LIMIT_DB => Grade::AtMost,
        _ => Grade::Nothing,
    })
}

/// The level of a source alone, with its ±, or as much as may be said about it.
///
/// | grade   | readings apart | the level                                                               |
/// |---------|----------------|-------------------------------------------------------------------------|
/// | solid   | 6 dB and more  | `with − K1`; above 15 dB `K1 = 0`                                       |
/// | rough   | 3 to 6 dB      | `with − K1`                                                             |
/// | at most | below 3 dB     | a bound: the larger of `with` minus 3.0206 dB and [`upper_limit`]        |
/// | nothing | 0 dB and less  | [`upper_limit`] when there is one, else unknown                         |
///
/// | name      | meaning                              | unit | valid                     |
/// |-----------|--------------------------------------|------|---------------------------|
/// | `with`    | source and background, and its ±95 % | dB   | finite, half width ≥ 0    |
/// | `without` | same place, source off, and its ±95 %| dB   | finite, half width ≥ 0    |
///
/// The two readings are taken as independent. A meter that reads high by the same amount in both makes the level high
/// by that amount and leaves the drop alone.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`] for a level or half width that is no use.
///
/// # Source
///
/// ISO 3744:2010, 8.2.3 and ISO 3746:2010, 8.3.3, read second-hand. 3.0206 dB is K1 at 3 dB, which ISO 3746 prints as
/// 3.0. The statistical limit is our own addition.
///
/// # Example
///
/// ```
/// use lessdin::formulas::levels::{Finding, Grade, alone};
/// use lessdin::units::{Level, PlusMinus};
///
/// let answer = alone(PlusMinus::new(Level(46.0), 0.5), PlusMinus::new(Level(38.0), 0.5)).unwrap();
/// assert_eq!(answer.grade, Grade::Solid);
/// let Finding::Value(level) = answer.level else { panic!() };
/// assert!((level.value.0 - 45.2506).abs() < 1e-4);
///
/// let hidden = alone(PlusMinus::exact(Level(40.0)), PlusMinus::exact(Level(41.0))).unwrap();
/// assert_eq!(hidden.level, Finding::Unknown);
///
/// assert!(alone(PlusMinus::exact(Level(f64::NAN)), PlusMinus::exact(Level(41.0))).is_err());
/// ```
pub fn alone(with: PlusMinus<Level>, without: PlusMinus<Level>) -> Result<Alone, FormulaError> {
    let drop = uncertainty::drop(with, without)?;
    let grade = grade(drop.value)?;
    let (level, correction) = match grade {
        Grade::Solid => {
            let k1 = k1_engineering(drop.value)?.k1;
            let spread = uncertainty::background_removed(with, without)?.half_width;
            (Finding::Value(PlusMinus::new(with.value - k1, spread)), Some(k1))
        }
        Grade::Rough => {
            let k1 = background_correction(drop.value)?;
            let spread = uncertainty::background_removed(with, without)?.half_width;
            (Finding::Value(PlusMinus::new(with.value - k1, spread)), Some(k1))
        }
        Grade::AtMost => {
            let frozen = background_correction(Gain(3.0))?;
            let by_rule = with.value - frozen;
            let bound = match upper_limit(with, without)? {
                Some(limit) if limit > by_rule => limit,
                _ => by_rule,
            };
            (Finding::AtMost(bound), Some(frozen))
        }
        Grade::Nothing => {
            let limit = upper_limit(with, without)?;
            (limit.map_or(Finding::Unknown, Finding::AtMost), None)
        }
    };
    Ok(Alone { drop, grade, level, correction })
}

/// The one-sided 95 % upper limit of a source that hardly shows, or `None` when even that is not above nothing.
///
/// `10·lg[Ew − Eo + 1.645·c·√((Ew·uw)² + (Eo·uo)²)]` with `c = ln 10 / 10`, energies with (w) and without (o), and
/// standard uncertainties `u` = half width / 1.96
///
/// | name      | meaning                              | unit | valid                  |
/// |-----------|--------------------------------------|------|------------------------|
/// | `with`    | source and background, and its ±95 % | dB   | finite, half width ≥ 0 |
/// | `without` | same place, source off, and its ±95 %| dB   | finite, half width ≥ 0 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: first-order propagation through the difference of energies, one-sided normal factor 1.645.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::upper_limit, units::{Level, PlusMinus}};
///
/// let (with, without) = (PlusMinus::new(Level(40.0), 0.5), PlusMinus::new(Level(40.0), 0.5));
/// let limit = upper_limit(with, without).unwrap().unwrap();
/// assert!(limit < Level(40.0));
///
/// let louder_without = PlusMinus::new(Level(45.0), 0.5);
/// assert_eq!(upper_limit(with, louder_without), Ok(None));
/// ```
pub fn upper_limit(with: PlusMinus<Level>, without: PlusMinus<Level>) -> Result<Option<Level>, FormulaError> {
    uncertainty::check(&[with, without])?;
    // Energies relative to the reading with the source on, so that no finite level is too large.
    let off = 10_f64.powf((without.value.0 - with.value.0) / 10.0);
    let spread = std::f64::consts::LN_10 / 10.0 * with.standard().hypot(off * without.standard());
    let most = Energy(1.0 - off + ONE_SIDED_95 * spread);
    Ok(most.to_level().map(|level| with.value + Gain(level.0)))
}

/// The share of a part in a whole, by energy.
///
/// `s = 10^((part − whole)/10)`
///
/// | name    | meaning                | unit | valid                   |
/// |---------|------------------------|------|-------------------------|
/// | `part`  | one source             | dB   | finite, not above `whole` |
/// | `whole` | all sources, this one included | dB | finite            |
///
/// # Errors
///
/// [`FormulaError::NotFinite`]; [`FormulaError::OutOfRange`] when the part is above the whole.
///
/// # Source
///
/// Derived from the energy sum.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::share, units::Level};
///
/// assert!((share(Level(40.0), Level(50.0)).unwrap() - 0.1).abs() < 1e-12);
///
/// assert!(share(Level(51.0), Level(50.0)).is_err());
/// ```
pub fn share(part: Level, whole: Level) -> Result<f64, FormulaError> {
    finite("the level of the part", part.0)?;
    finite("the level of the whole", whole.0)?;
    let below = within("the part over the whole", (part - whole).0, f64::MIN, AT_LIMIT_DB)?;
    Ok(10_f64.powf(below.min(0.0) / 10.0))
}

/// The level of a share of a sound.
///
/// `L = whole + 10·lg s`
///
/// | name    | meaning              | unit | valid            |
/// |---------|----------------------|------|------------------|
/// | `whole` | the whole sound      | dB   | finite           |
/// | `share` | the part's share, s  | 1    | 1e-30 to 1       |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`]. A share of zero has no level.
///
/// # Source
///
/// Derived from the energy sum.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::level_of_share, units::Level};
///
/// assert!((level_of_share(Level(50.0), 0.1).unwrap().0 - 40.0).abs() < 1e-12);
///
/// assert!(level_of_share(Level(50.0), 0.0).is_err());
/// ```
pub fn level_of_share(whole: Level, share: f64) -> Result<Level, FormulaError> {
    finite("the level", whole.0)?;
    within("the share", share, 1e-30, 1.0)?;
    Ok(whole + Gain(10.0 * share.log10()))
}

/// The most that can be gained by silencing a part: the total before minus the total without it.
///
/// `C = 10·lg(1 + Ep/Er)`, energies of the part (p) and of the rest (r)
///
/// | name   | meaning                                             | unit | valid  |
/// |--------|-----------------------------------------------------|------|--------|
/// | `part` | the source, or several together                     | dB   | finite |
/// | `rest` | everything else, the background included            | dB   | finite |
///
/// Ceilings do not add: the ceiling of a pair is that of its energy sum, more than both singles together.
///
/// # Errors
///
/// [`FormulaError::NotFinite`]. With no rest at all there is no ceiling; do not ask.
///
/// # Source
///
/// Derived from the energy sum.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::ceiling, units::Level};
///
/// assert!((ceiling(Level(40.0), Level(40.0)).unwrap().0 - 3.0103).abs() < 1e-4);
///
/// assert!(ceiling(Level(40.0), Level(f64::NEG_INFINITY)).is_err());
/// ```
pub fn ceiling(part: Level, rest: Level) -> Result<Gain, FormulaError> {
    Ok(energy_sum(&[part, rest])? - rest)
}

/// The loudest one part may be for the total to meet a target, or `None` when the rest alone is at the target or above.
///
/// `L = 10·lg(10^(target/10) − 10^(rest/10))`
///
/// | name     | meaning                                           | unit | valid             |
/// |----------|---------------------------------------------------|------|-------------------|
/// | `target` | the total not to be exceeded                      | dB   | finite            |
/// | `rest`   | everything else; `None` when there is nothing else| dB   | finite            |
///
/// # Errors
///
/// [`FormulaError::NotFinite`].
///
/// # Source
///
/// Derived from the energy sum.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::levels::allowed_level, units::Level};
///
/// let part = allowed_level(Level(42.0), Some(Level(40.5))).unwrap().unwrap();
/// assert!((part.0 - 36.6546).abs() < 1e-4);
///
/// assert_eq!(allowed_level(Level(42.0), Some(Level(42.0))), Ok(None));
/// assert!(allowed_level(Level(f64::NAN), None).is_err());
/// ```
pub fn allowed_level(target: Level, rest: Option<Level>) -> Result<Option<Level>, FormulaError> {
    finite("the target", target.0)?;
    let Some(rest) = rest else {
        return Ok(Some(target));
    };
    finite("the level of the rest", rest.0)?;
    if rest >= target {
        return Ok(None);
    }
    remove_background(target, rest).map(Some)
}

/// What must come down for a total to meet a target.
#[derive(Clone, Debug, PartialEq)]
pub enum SmallestSet {
    /// The total meets the target as it is.
    Met,
    /// These sources must come down, all of them.
    Treat {
        /// Positions in the list, loudest first.
        which: Vec<usize>,
        /// The loudest they may be, together.
        allowed: Level,
        /// How much they must come down if each comes down by the same.
        by: Gain,
    },
    /// Even with every source silent the background is at the target or above: the background is the floor.
    Impossible {
        /// The background.
        floor: Level,
    },
}

/// The smallest set of sources whose coming down brings the total to a target.
///
/// The loudest sources are taken, one after the other, until the rest is below the target.
///
/// *Why that is the smallest.* A set S will do exactly when the energy left without it, `E − E(S)`, is below that of
/// the target. Among all sets of k sources the k loudest have the largest `E(S)`. So if any set of k sources will do,
/// the k loudest will; and the first k for which the k loudest will do is the least. Among equally loud sources the
/// one first in the list is taken.
///
/// | name         | meaning                                   | unit | valid  |
/// |--------------|-------------------------------------------|------|--------|
/// | `sources`    | each source that can be treated           | dB   | finite, one or more |
/// | `background` | what cannot be treated, if anything       | dB   | finite |
/// | `target`     | the total not to be exceeded              | dB   | finite |
///
/// # Errors
///
/// [`FormulaError::Empty`] without sources, [`FormulaError::NotFinite`].
///
/// # Source
///
/// Derived from the energy sum.
///
/// # Example
///
/// ```
/// use lessdin::formulas::levels::{SmallestSet, smallest_set};
/// use lessdin::units::Level;
///
/// let sources = [Level(38.0), Level(45.0), Level(41.0)];
/// let SmallestSet::Treat { which, .. } = smallest_set(&sources, None, Level(43.0)).unwrap() else { panic!() };
/// assert_eq!(which, [1]);
///
/// let floor = smallest_set(&sources, Some(Level(43.5)), Level(43.0)).unwrap();
/// assert_eq!(floor, SmallestSet::Impossible { floor: Level(43.5) });
/// assert!(smallest_set(&[], None, Level(43.0)).is_err());
/// ```
pub fn smallest_set(sources: &[Level], background: Option<Level>, target: Level) -> Result<SmallestSet, FormulaError> {
    finite("the target", target.0)?;
    energy_sum(sources)?;
    let mut order: Vec<(usize, Level)> = sources.iter().copied().enumerate().collect();
    crate::units::sort_few(&mut order, |(_, a), (_, b)| b.0.total_cmp(&a.0));
    let levels_of = |part: &[(usize, Level)]| part.iter().map(|(_, level)| *level).collect::<Vec<_>>();

    let mut all = levels_of(&order);
    all.extend(background);
    if energy_sum(&all)?.0 <= target.0 + AT_LIMIT_DB {
        return Ok(SmallestSet::Met);
    }
    for size in 1..=order.len() {
        let (treated, left) = order.split_at(size);
        let mut rest = levels_of(left);
        rest.extend(background);
        let rest = if rest.is_empty() { None } else { Some(energy_sum(&rest)?) };
        if let Some(allowed) = allowed_level(target, rest)? {
            return Ok(SmallestSet::Treat {
                which: treated.iter().map(|(index, _)| *index).collect(),
                allowed,
                by: energy_sum(&levels_of(treated))? - allowed,
            });
        }
    }
    match background {
        Some(floor) => Ok(SmallestSet::Impossible { floor }),
        None => Err(FormulaError::Empty),
    }
}

/// How a level changes with the distance from a small source in the open.
///
/// `ΔL = −20·lg(to/from)`
///
/// | name   | meaning                                 | unit | valid         |
/// |--------|-----------------------------------------|------|---------------|
/// | `from` | distance at which the level is known    | m    | 1e-12 to 1e12 |
/// | `to`   | distance at which it is wanted          | m    | 1e-12 to 1e12 |
///
/// Holds from about twice the largest dimension of the source outwards, and not in the reverberant part of a room.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: the same power through a sphere of the larger area.
///
/// # Example
///
/// ```
/// use lessdin::formulas::levels::distance_gain;
///
/// assert!((distance_gain(1.0, 2.0).unwrap().0 + 6.0206).abs() < 1e-4);
///
/// assert!(distance_gain(0.0, 2.0).is_err());
/// ```
pub fn distance_gain(from: f64, to: f64) -> Result<Gain, FormulaError> {
    positive("the first distance", from)?;
    positive("the second distance", to)?;
    Ok(Gain(-20.0 * (to / from).log10()))
}

/// Where a source stands, hence into how much of the space around it it radiates.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Radiation {
    /// Free on all sides.
    Sphere,
    /// On a floor or table.
    Hemisphere,
    /// Where a floor meets a wall.
    Edge,
    /// Where a floor meets two walls.
    Corner,
}

impl Radiation {
    /// The directivity factor Q: 1, 2, 4 or 8.
    pub const fn factor(self) -> f64 {
        match self {
            Self::Sphere => 1.0,
            Self::Hemisphere => 2.0,
            Self::Edge => 4.0,
            Self::Corner => 8.0,
        }
    }
}

/// The sound pressure level at a distance from a source of known sound power.
///
/// `Lp = Lw + 10·lg[Q/(4π·r²)]`
///
/// | name        | meaning                    | unit | valid         |
/// |-------------|----------------------------|------|---------------|
/// | `power`     | sound power level, Lw      | dB re 1 pW | finite  |
/// | `distance`  | from the source, r         | m    | 1e-12 to 1e12 |
/// | `radiation` | Q: sphere 1, hemisphere 2, edge 4, corner 8 | 1 |  |
///
/// In the open, and with ρc taken as 400 N·s/m³ (an error of about 0.1 dB). A power in bel becomes a
/// [`PowerLevel`] through [`PowerLevel::from_bel`].
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: power over area, references 1 pW and 20 µPa.
///
/// # Example
///
/// ```
/// use lessdin::formulas::levels::{Radiation, power_to_pressure};
/// use lessdin::units::PowerLevel;
///
/// let level = power_to_pressure(PowerLevel::from_bel(4.1), 1.0, Radiation::Hemisphere).unwrap();
/// assert!((level.0 - 33.018).abs() < 1e-3);
///
/// assert!(power_to_pressure(PowerLevel(41.0), 0.0, Radiation::Sphere).is_err());
/// ```
pub fn power_to_pressure(power: PowerLevel, distance: f64, radiation: Radiation) -> Result<Level, FormulaError> {
    finite("the sound power level", power.0)?;
    positive("the distance", distance)?;
    Ok(Level(power.0 + 10.0 * (radiation.factor() / (4.0 * PI * distance * distance)).log10()))
}

/// The sound power level of a source from the sound pressure level at a distance: [`power_to_pressure`] turned round.
///
/// `Lw = Lp − 10·lg[Q/(4π·r²)]`
///
/// | name        | meaning                    | unit | valid         |
/// |-------------|----------------------------|------|---------------|
/// | `level`     | sound pressure level, Lp   | dB   | finite        |
/// | `distance`  | from the source, r         | m    | 1e-12 to 1e12 |
/// | `radiation` | Q: sphere 1, hemisphere 2, edge 4, corner 8 | 1 |  |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: power over area, references 1 pW and 20 µPa.
///
/// # Example
///
/// ```
/// use lessdin::formulas::levels::{Radiation, pressure_to_power};
/// use lessdin::units::Level;
///
/// let power = pressure_to_power(Level(30.0), 1.0, Radiation::Sphere).unwrap();
/// assert!((power.0 - 40.992).abs() < 1e-3);
///
/// assert!(pressure_to_power(Level(30.0), -1.0, Radiation::Sphere).is_err());
/// ```
pub fn pressure_to_power(level: Level, distance: f64, radiation: Radiation) -> Result<PowerLevel, FormulaError> {
    finite("the level", level.0)?;
    let loss = power_to_pressure(PowerLevel(0.0), distance, radiation)?;
    Ok(PowerLevel(level.0 - loss.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    const LEVELS: [f64; 7] = [-20.0, 0.0, 18.3, 41.0, 41.1, 67.9, 140.0];

    #[test]
    fn a_sum_does_not_depend_on_the_order_and_is_never_below_its_loudest_part() {
        let forward: Vec<_> = LEVELS.iter().map(|l| Level(*l)).collect();
        let backward: Vec<_> = forward.iter().rev().copied().collect();
        let sum = energy_sum(&forward).unwrap();
        assert_abs_diff_eq!(sum.0, energy_sum(&backward).unwrap().0, epsilon = 1e-12);
        assert!(sum.0 >= 140.0);
    }

    #[test]
    fn huge_and_tiny_levels_do_not_overflow() {
        let sum = energy_sum(&[Level(1e6), Level(1e6), Level(-1e6)]).unwrap();
        assert_abs_diff_eq!(sum.0, 1e6 + 10.0 * 2_f64.log10(), epsilon = 1e-6);
    }

    #[test]
    fn counted_rows_are_the_same_as_written_out() {
        let counted = energy_sum_counted(&[(Level(40.0), 3), (Level(44.0), 1), (Level(90.0), 0)]);
        let written = energy_sum(&[Level(40.0), Level(44.0), Level(40.0), Level(40.0)]);
        assert_abs_diff_eq!(counted.unwrap().0, written.unwrap().0, epsilon = 1e-12);
    }

    #[test]
    fn background_removal_undoes_the_sum() {
        for source in LEVELS {
            for background in LEVELS {
                if (source - background).abs() > 60.0 {
                    continue;
                }
                let total = energy_sum(&[Level(source), Level(background)]).unwrap();
                let back = remove_background(total, Level(background)).unwrap();
                assert_abs_diff_eq!(back.0, source, epsilon = 1e-6);
            }
        }
    }

    #[test]
    fn limits_of_the_grades_belong_to_the_better_grade_even_when_the_digits_do_not_meet() {
        for (with, without, expected) in [
            (46.1, 40.1, Grade::Solid),
            (45.1, 39.1, Grade::Solid),
            (45.0, 39.1, Grade::Rough),
            (43.1, 40.1, Grade::Rough),
            (41.3, 38.3, Grade::Rough),
            (43.0, 40.1, Grade::AtMost),
            (40.2, 40.1, Grade::AtMost),
            (40.1, 40.1, Grade::Nothing),
            (40.0, 40.1, Grade::Nothing),
        ] {
            assert_eq!(grade(Level(with) - Level(without)), Ok(expected), "{with} {without}");
        }
    }

    #[test]
    fn a_bound_is_the_larger_of_the_rule_and_the_limit() {
        let bound = |with, without, half| {
            let answer = alone(PlusMinus::new(Level(with), half), PlusMinus::new(Level(without), half));
            match answer.unwrap().level {
                Finding::AtMost(bound) => bound.0,
                other => panic!("{other:?}"),
            }
        };
        // Exact readings: the limit is the plain difference, lower than the rule.
        assert_abs_diff_eq!(bound(45.0, 44.0, 0.0), 45.0 - 3.020_62, epsilon = 1e-5);
        // Poor readings: the limit is higher.
        assert!(bound(45.0, 44.0, 2.0) > 45.0 - 3.0206);
    }

    #[test]
    fn two_readings_alike_give_a_limit_only_when_they_are_uncertain() {
        let at = |half| PlusMinus::new(Level(40.0), half);
        let level = |half| alone(at(half), at(half)).unwrap().level;
        assert_eq!(level(0.0), Finding::Unknown);
        let Finding::AtMost(limit) = level(0.5) else { panic!() };
        // 1.645 · ln10/10 · √2 · 0.5/1.96 of the energy.
        let expected = 40.0 + 10.0 * (1.645 * 0.230_258_509 * 2_f64.sqrt() * 0.5 / 1.96_f64).log10();
        assert_abs_diff_eq!(limit.0, expected, epsilon = 1e-6);
    }

    #[test]
    fn above_fifteen_the_correction_vanishes() {
        let answer = alone(PlusMinus::exact(Level(60.0)), PlusMinus::exact(Level(44.9))).unwrap();
        assert_eq!(answer.level, Finding::Value(PlusMinus::exact(Level(60.0))));
        assert_eq!(answer.correction, Some(Gain(0.0)));
    }

    #[test]
    fn ceilings_do_not_add() {
        let floor = Level(30.0);
        let single = ceiling(Level(40.0), energy_sum(&[Level(40.0), floor]).unwrap()).unwrap();
        let pair = ceiling(energy_sum(&[Level(40.0), Level(40.0)]).unwrap(), floor).unwrap();
        assert!(pair.0 > 2.0 * single.0);
    }

    /// Every set of sources, the hard way.
    fn least_by_trying_all(sources: &[Level], background: Level, target: Level) -> Option<usize> {
        (0_u32..1 << sources.len())
            .filter(|set| {
                let left = sources.iter().enumerate().filter(|(i, _)| set & (1 << i) == 0).map(|(_, level)| level.to_energy());
                (left.sum::<Energy>() + background.to_energy()) < target.to_energy()
            })
            .map(|set| set.count_ones() as usize)
            .min()
    }

    #[test]
    fn the_smallest_set_is_as_small_as_trying_all_of_them() {
        let sources: Vec<_> = [38.0, 45.0, 41.0, 41.0, 30.0, 44.2].map(Level).to_vec();
        for tenth in 300..480 {
            let target = Level(f64::from(tenth) / 10.0 + 0.05);
            let expected = least_by_trying_all(&sources, Level(33.0), target);
            let found = match smallest_set(&sources, Some(Level(33.0)), target).unwrap() {
                SmallestSet::Met => Some(0),
                SmallestSet::Treat { which, allowed, by } => {
                    let treated: Vec<_> = which.iter().map(|i| sources[*i] - by).collect();
                    assert_abs_diff_eq!(energy_sum(&treated).unwrap().0, allowed.0, epsilon = 1e-9);
                    let mut after = sources.clone();
                    for i in &which {
                        after[*i] = sources[*i] - by;
                    }
                    after.push(Level(33.0));
                    assert_abs_diff_eq!(energy_sum(&after).unwrap().0, target.0, epsilon = 1e-9);
                    Some(which.len())
                }
                SmallestSet::Impossible { .. } => None,
            };
            assert_eq!(found, expected, "{target:?}");
        }
    }

    #[test]
    fn a_target_that_is_met_to_the_last_digit_is_met() {
        assert_eq!(smallest_set(&[Level(40.0)], None, Level(40.0)), Ok(SmallestSet::Met));
        // Three times 40 dB are 44.771 212 547 196 624 dB.
        assert_eq!(smallest_set(&[Level(40.0); 3], None, Level(44.771_212_547_2)), Ok(SmallestSet::Met));
        assert_ne!(smallest_set(&[Level(40.0); 3], None, Level(44.771_212)), Ok(SmallestSet::Met));
    }

    #[test]
    fn power_and_pressure_undo_each_other() {
        for radiation in [Radiation::Sphere, Radiation::Hemisphere, Radiation::Edge, Radiation::Corner] {
            let power = pressure_to_power(Level(31.7), 0.4, radiation).unwrap();
            let back = power_to_pressure(power, 0.4, radiation).unwrap();
            assert_abs_diff_eq!(back.0, 31.7, epsilon = 1e-9);
        }
    }
}
