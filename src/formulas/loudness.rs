//! How loud a level sounds: sone and phon, ratios of loudness, words for a change.
//!
//! A meter shows dB(A), not phon. What is made of it here is an estimate, and [`Spectrum`] says on which ground.

use super::error::{FormulaError, finite, half_width, within};
use crate::units::{Gain, Level, Phon, PlusMinus, Sone};

/// Where the sone rule and the relation for quiet sounds meet: 1 sone.
const JOIN_PHON: f64 = 40.0;

/// From here to [`JOIN_PHON`] a straight line closes the gap of 0.0005 sone that the printed relation leaves.
const BRIDGE_PHON: f64 = 39.0;

/// The loudest that the relations are used for.
const MOST_PHON: f64 = 120.0;

/// How far an estimated ratio of loudness may be off, as a share of it (95 % half width). Common practice, no source.
pub const RATIO_HALF_WIDTH: f64 = 0.2;

/// Readings at a limit belong above it, whatever their last digit does.
const AT_LIMIT_DB: f64 = 1e-9;

/// ISO 532-1 below 1 sone, forwards: `(LN/40)^(1/0.35) − 0.0005`.
fn quiet_sone(phon: f64) -> f64 {
    ((phon / JOIN_PHON).powf(1.0 / 0.35) - 0.0005).max(0.0)
}

/// Loudness from loudness level.
///
/// `N = 2^((LN − 40)/10)` from 40 phon; below, `N = (LN/40)^(1/0.35) − 0.0005`
///
/// | name   | meaning             | unit | valid    |
/// |--------|---------------------|------|----------|
/// | `phon` | loudness level, LN  | phon | 0 to 120 |
///
/// Below 2.8 phon there is nothing to hear: 0 sone.
///
/// DIFFERENCE: the printed relation for quiet sounds comes to 0.9995 sone at 40 phon, so that the two do not meet. From
/// 39 to 40 phon a straight line joins them; it is nowhere further than 0.0007 sone from the printed relation, and
/// 40 phon is 1 sone exactly.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// ISO 532-1:2017, turned round; read second-hand.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::loudness::sone, units::Phon};
///
/// assert!((sone(Phon(50.0)).unwrap().0 - 2.0).abs() < 1e-12);
/// assert!((sone(Phon(30.0)).unwrap().0 - 0.4391).abs() < 5e-5);
///
/// assert!(sone(Phon(-1.0)).is_err());
/// ```
pub fn sone(phon: Phon) -> Result<Sone, FormulaError> {
    let level = within("the loudness level", phon.0, 0.0, MOST_PHON)?;
    Ok(Sone(if level >= JOIN_PHON {
        2_f64.powf((level - JOIN_PHON) / 10.0)
    } else if level > BRIDGE_PHON {
        let start = quiet_sone(BRIDGE_PHON);
        start + (1.0 - start) * (level - BRIDGE_PHON) / (JOIN_PHON - BRIDGE_PHON)
    } else {
        quiet_sone(level)
    }))
}

/// Loudness level from loudness: [`sone`] turned round.
///
/// `LN = 40 + 10·lg N/lg 2` from 1 sone; below, `LN = 40·(N + 0.0005)^0.35`
///
/// | name   | meaning     | unit | valid    |
/// |--------|-------------|------|----------|
/// | `sone` | loudness, N | sone | 0 to 256 |
///
/// No loudness at all comes to 2.8 phon, the threshold of this relation.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// ISO 532-1:2017, read second-hand. The join at 1 sone is closed as in [`sone`].
///
/// # Example
///
/// ```
/// use lessdin::{formulas::loudness::phon, units::Sone};
///
/// assert!((phon(Sone(4.0)).unwrap().0 - 60.0).abs() < 1e-9);
/// assert!((phon(Sone(0.25)).unwrap().0 - 24.6401).abs() < 1e-4);
///
/// assert!(phon(Sone(-1.0)).is_err());
/// ```
pub fn phon(sone: Sone) -> Result<Phon, FormulaError> {
    let loudness = within("the loudness", sone.0, 0.0, 256.0)?;
    let start = quiet_sone(BRIDGE_PHON);
    Ok(Phon(if loudness >= 1.0 {
        JOIN_PHON + 10.0 * loudness.log2()
    } else if loudness > start {
        BRIDGE_PHON + (JOIN_PHON - BRIDGE_PHON) * (loudness - start) / (1.0 - start)
    } else {
        JOIN_PHON * (loudness + 0.0005).powf(0.35)
    }))
}

/// The factor in loudness by the sone rule alone: ten decibels, twice as loud.
///
/// `2^(ΔL/10)`
///
/// | name     | meaning           | unit | valid        |
/// |----------|-------------------|------|--------------|
/// | `change` | change of level   | dB   | −200 to 200  |
///
/// Holds from about 40 phon and for an unchanged kind of sound. Quiet fans are below that: use [`ratio`].
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// ISO 532-1:2017, branch from 1 sone; read second-hand.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::loudness::sone_rule, units::Gain};
///
/// assert!((sone_rule(Gain(-3.0)).unwrap() - 0.8123).abs() < 5e-5);
///
/// assert!(sone_rule(Gain(f64::NAN)).is_err());
/// ```
pub fn sone_rule(change: Gain) -> Result<f64, FormulaError> {
    Ok(2_f64.powf(within("the change", change.0, -200.0, 200.0)? / 10.0))
}

/// On which ground a level in dB(A) is turned into a loudness level.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Spectrum {
    /// dB(A) taken as phon. True for a 1 kHz tone only; the usual shortcut.
    #[default]
    AsPhon,
    /// The broad hum of a small fan, by an assumed spectrum: [`SMALL_FAN`].
    SmallFan,
}

/// The lowest level of [`SMALL_FAN`], dB(A).
const SMALL_FAN_FROM: f64 = 16.0;

/// The step of [`SMALL_FAN`], dB.
const SMALL_FAN_STEP: f64 = 2.0;

/// Loudness level of an assumed small fan, phon, at 16, 18, … 90 dB(A). An estimate, not a property of any one fan.
///
/// Third-octave levels from 25 Hz to 12.5 kHz of 38 39 40 41 42 42 43 44 43 42 41 40 40 39 38 37 36 35 34 33 31 29 27 25
/// 22 19 16 12 dB, moved up or down as a whole; loudness by ISO 532-1, free field, as worked out by the library
/// `MoSQITo` 1.2.1. The script is `tests/native/standards/small_fan.py`.
pub const SMALL_FAN: [f64; 38] = [
    11.925, 16.845, 21.536, 25.763, 29.806, 33.732, 37.624, 41.440, 45.008, 48.311, 51.368, 54.238, 56.911, 59.460, 61.897, 64.225, 66.459,
    68.637, 70.778, 72.826, 74.847, 76.811, 78.745, 80.635, 82.502, 84.363, 86.194, 88.001, 89.800, 91.599, 93.423, 95.220, 96.985, 98.731,
    100.464, 102.209, 103.933, 105.659,
];

/// The pairs of neighbours in [`SMALL_FAN`]: level and loudness level at the lower end, loudness level at the upper.
fn small_fan_steps() -> impl Iterator<Item = (f64, f64, f64)> {
    let lower = SMALL_FAN.iter().scan(SMALL_FAN_FROM, |level, phon| {
        let at = *level;
        *level += SMALL_FAN_STEP;
        Some((at, *phon))
    });
    lower.zip(SMALL_FAN.iter().skip(1)).map(|((level, low), high)| (level, low, *high))
}

/// The levels for which a loudness is worked out, dB(A): least and most.
///
/// | spectrum | from | to  |
/// |----------|------|-----|
/// | as phon  | 3    | 120 |
/// | small fan| 16   | 90  |
pub const fn loudness_range(spectrum: Spectrum) -> (Level, Level) {
    match spectrum {
        Spectrum::AsPhon => (Level(3.0), Level(MOST_PHON)),
        Spectrum::SmallFan => (Level(SMALL_FAN_FROM), Level(90.0)),
    }
}

/// An estimate of the loudness level of a reading in dB(A).
///
/// Either the reading itself, or for a small fan a straight line between the points of [`SMALL_FAN`].
///
/// | name       | meaning                       | unit  | valid                |
/// |------------|-------------------------------|-------|----------------------|
/// | `level`    | reading                       | dB(A) | [`loudness_range`]   |
/// | `spectrum` | what kind of sound is assumed |       |                      |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Common practice for dB(A) as phon; ISO 532-1:2017 as worked out by a library for the assumed small fan.
///
/// # Example
///
/// ```
/// use lessdin::formulas::loudness::{Spectrum, loudness_level};
/// use lessdin::units::Level;
///
/// assert!((loudness_level(Level(40.0), Spectrum::SmallFan).unwrap().0 - 57.0).abs() < 0.5);
///
/// assert!(loudness_level(Level(-5.0), Spectrum::AsPhon).is_err());
/// ```
pub fn loudness_level(level: Level, spectrum: Spectrum) -> Result<Phon, FormulaError> {
    let (least, most) = loudness_range(spectrum);
    within("the level", level.0, least.0, most.0)?;
    Ok(match spectrum {
        Spectrum::AsPhon => Phon(level.0),
        Spectrum::SmallFan => small_fan_steps()
            .take_while(|(from, _, _)| *from <= level.0)
            .last()
            .map_or(Phon(level.0), |(from, low, high)| Phon(low + (high - low) * (level.0 - from) / SMALL_FAN_STEP)),
    })
}

/// The reading in dB(A) that an estimated loudness level stands for: [`loudness_level`] turned round.
///
/// | name       | meaning                       | unit | valid                                   |
/// |------------|-------------------------------|------|-----------------------------------------|
/// | `phon`     | loudness level                | phon | that of the ends of [`loudness_range`]  |
/// | `spectrum` | what kind of sound is assumed |      |                                         |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// As for [`loudness_level`].
///
/// # Example
///
/// ```
/// use lessdin::formulas::loudness::{Spectrum, level_from_phon};
/// use lessdin::units::Phon;
///
/// assert!((level_from_phon(Phon(41.44), Spectrum::SmallFan).unwrap().0 - 30.0).abs() < 1e-9);
///
/// assert!(level_from_phon(Phon(5.0), Spectrum::SmallFan).is_err());
/// ```
pub fn level_from_phon(phon: Phon, spectrum: Spectrum) -> Result<Level, FormulaError> {
    let (least, most) = loudness_range(spectrum);
    within("the loudness level", phon.0, loudness_level(least, spectrum)?.0, loudness_level(most, spectrum)?.0)?;
    Ok(match spectrum {
        Spectrum::AsPhon => Level(phon.0),
        Spectrum::SmallFan => small_fan_steps()
            .take_while(|(_, low, _)| *low <= phon.0)
            .last()
            .map_or(Level(phon.0), |(from, low, high)| Level(from + SMALL_FAN_STEP * (phon.0 - low) / (high - low))),
    })
}

/// Which relation between loudness and loudness level was used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Relation {
    /// Both ends at 40 phon or above: ten phon, twice as loud.
    SoneRule,
    /// Both ends below 40 phon: steeper.
    Quiet,
    /// One end on either side of 40 phon.
    Both,
}

fn relation(one: Phon, other: Phon) -> Relation {
    let loud = |level: Phon| level.0 >= JOIN_PHON - AT_LIMIT_DB;
    match (loud(one), loud(other)) {
        (true, true) => Relation::SoneRule,
        (false, false) => Relation::Quiet,
        _ => Relation::Both,
    }
}

/// Two levels compared by loudness. An estimate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison {
    /// Where it starts, dB(A).
    pub from: Level,
    /// Where it ends, dB(A).
    pub to: Level,
    /// Loudness at the start.
    pub from_sone: Sone,
    /// Loudness at the end.
    pub to_sone: Sone,
    /// So many times as loud at the end as at the start.
    pub times: f64,
    /// Which relation was used.
    pub relation: Relation,
}

impl Comparison {
    /// The change of level.
    pub fn change(&self) -> Gain {
        self.to - self.from
    }
}

/// How many times as loud a level sounds as another. An estimate, good to about a fifth.
///
/// `N(to)/N(from)` by [`loudness_level`] and [`sone`]
///
/// | name       | meaning                       | unit  | valid              |
/// |------------|-------------------------------|-------|--------------------|
/// | `from`     | one level                     | dB(A) | [`loudness_range`] |
/// | `to`       | the other                     | dB(A) | [`loudness_range`] |
/// | `spectrum` | what kind of sound is assumed |       |                    |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// ISO 532-1:2017, read second-hand, on the ground named by the [`Spectrum`].
///
/// # Example
///
/// ```
/// use lessdin::formulas::loudness::{Relation, Spectrum, ratio};
/// use lessdin::units::Level;
///
/// let quieter = ratio(Level(60.0), Level(50.0), Spectrum::AsPhon).unwrap();
/// assert!((quieter.times - 0.5).abs() < 1e-12);
/// assert_eq!(quieter.relation, Relation::SoneRule);
///
/// assert!(ratio(Level(60.0), Level(0.0), Spectrum::AsPhon).is_err());
/// ```
pub fn ratio(from: Level, to: Level, spectrum: Spectrum) -> Result<Comparison, FormulaError> {
    let start = loudness_level(from, spectrum)?;
    let end = loudness_level(to, spectrum)?;
    let (from_sone, to_sone) = (sone(start)?, sone(end)?);
    Ok(Comparison { from, to, from_sone, to_sone, times: to_sone.0 / from_sone.0, relation: relation(start, end) })
}

/// The level at which a sound is so many times as loud: [`ratio`] turned round.
///
/// | name       | meaning                        | unit  | valid              |
/// |------------|--------------------------------|-------|--------------------|
/// | `from`     | where it starts                | dB(A) | [`loudness_range`] |
/// | `times`    | wanted, 0.5 for half as loud   | 1     | 1e-3 to 1e3        |
/// | `spectrum` | what kind of sound is assumed  |       |                    |
///
/// # Errors
///
/// [`FormulaError::NotFinite`]; [`FormulaError::OutOfRange`] also when the end would be outside [`loudness_range`].
///
/// # Source
///
/// ISO 532-1:2017, read second-hand, on the ground named by the [`Spectrum`].
///
/// # Example
///
/// ```
/// use lessdin::formulas::loudness::{Spectrum, level_for_ratio};
/// use lessdin::units::Level;
///
/// // Half as loud from 30 takes 6.45 dB, not 10.
/// let half = level_for_ratio(Level(30.0), 0.5, Spectrum::AsPhon).unwrap();
/// assert!((half.to.0 - 23.5469).abs() < 1e-4);
///
/// assert!(level_for_ratio(Level(30.0), 0.0, Spectrum::AsPhon).is_err());
/// ```
pub fn level_for_ratio(from: Level, times: f64, spectrum: Spectrum) -> Result<Comparison, FormulaError> {
    within("the wanted factor", times, 1e-3, 1e3)?;
    let start = loudness_level(from, spectrum)?;
    let wanted = Sone(sone(start)?.0 * times);
    let end = phon(wanted)?;
    let to = level_from_phon(end, spectrum)?;
    Ok(Comparison { from, to, from_sone: sone(start)?, to_sone: wanted, times, relation: relation(start, end) })
}

/// How noticeable a change of level is, for a sound that is otherwise the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Noticeable {
    /// Smaller than its ±: no change is shown at all.
    NotShown,
    /// Below 1 dB.
    No,
    /// From 1 dB: only in a direct comparison.
    SideBySide,
    /// From 3 dB: just noticeable.
    Just,
    /// From 5 dB: clearly noticeable.
    Clearly,
    /// From 10 dB: about twice or half as loud.
    TwiceOrHalf,
}

impl Noticeable {
    /// The words for the page.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NotShown => "no change shown",
            Self::No => "not noticeable",
            Self::SideBySide => "noticeable only in a direct comparison",
            Self::Just => "just noticeable",
            Self::Clearly => "clearly noticeable",
            Self::TwiceOrHalf => "about twice or half as loud",
        }
    }
}

/// How noticeable a change of level is.
///
/// Limits at 1, 3, 5 and 10 dB; smaller than its own ± it is not shown at all.
///
/// | name     | meaning                                     | unit | valid                  |
/// |----------|---------------------------------------------|------|------------------------|
/// | `change` | change of level with its ±, up or down      | dB   | finite, half width ≥ 0 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Convention of road-noise agencies, read in a training slide. A tone that comes or goes is heard without any change
/// of level.
///
/// # Example
///
/// ```
/// use lessdin::formulas::loudness::{Noticeable, noticeable};
/// use lessdin::units::{Gain, PlusMinus};
///
/// assert_eq!(noticeable(PlusMinus::exact(Gain(-3.0))), Ok(Noticeable::Just));
/// assert_eq!(noticeable(PlusMinus::new(Gain(-3.0), 3.5)), Ok(Noticeable::NotShown));
///
/// assert!(noticeable(PlusMinus::exact(Gain(f64::NAN))).is_err());
/// ```
pub fn noticeable(change: PlusMinus<Gain>) -> Result<Noticeable, FormulaError> {
    let size = finite("the change", change.value.0)?.abs() + AT_LIMIT_DB;
    let spread = half_width(change.half_width)?;
    Ok(match size {
        _ if size < spread => Noticeable::NotShown,
        ..1.0 => Noticeable::No,
        ..3.0 => Noticeable::SideBySide,
        ..5.0 => Noticeable::Just,
        ..10.0 => Noticeable::Clearly,
        _ => Noticeable::TwiceOrHalf,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn loudness_never_jumps_or_falls() {
        let mut last = sone(Phon(2.9)).unwrap().0;
        for step in 2_901..=60_000 {
            let now = sone(Phon(f64::from(step) / 1000.0)).unwrap().0;
            assert!(now > last && now - last < 4e-4, "{step}");
            last = now;
        }
    }

    #[test]
    fn the_join_stays_close_to_the_printed_relation() {
        for step in 0..=100 {
            let level = 39.0 + f64::from(step) / 100.0;
            let printed = (level / 40.0_f64).powf(1.0 / 0.35) - 0.0005;
            assert_abs_diff_eq!(sone(Phon(level)).unwrap().0, printed, epsilon = 7e-4);
        }
    }

    #[test]
    fn phon_undoes_sone() {
        for step in 30..=1200 {
            let level = Phon(f64::from(step) / 10.0);
            let back = phon(sone(level).unwrap()).unwrap();
            assert_abs_diff_eq!(back.0, level.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn the_small_fan_goes_there_and_back() {
        for step in 160..=900 {
            let level = Level(f64::from(step) / 10.0);
            let up = loudness_level(level, Spectrum::SmallFan).unwrap();
            let back = level_from_phon(up, Spectrum::SmallFan).unwrap();
            assert_abs_diff_eq!(back.0, level.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn a_wish_and_its_answer_agree() {
        for spectrum in [Spectrum::AsPhon, Spectrum::SmallFan] {
            for (from, times) in [(31.0, 0.5), (41.0, 0.5), (30.0, 3.0), (55.0, 0.25), (39.9, 1.0)] {
                let wish = level_for_ratio(Level(from), times, spectrum).unwrap();
                let back = ratio(wish.from, wish.to, spectrum).unwrap();
                assert_abs_diff_eq!(back.times, times, epsilon = 1e-9);
                assert_eq!(back.relation, wish.relation);
            }
        }
    }

    #[test]
    fn quiet_fans_fade_faster_than_the_rule() {
        let times = |from, to| 1.0 / ratio(Level(from), Level(to), Spectrum::SmallFan).unwrap().times;
        assert_abs_diff_eq!(times(40.0, 30.0), 2.9, epsilon = 0.05);
        assert_abs_diff_eq!(times(30.0, 20.0), 6.5, epsilon = 0.05);
    }

    #[test]
    fn limits_of_noticing_belong_to_the_larger_word() {
        for (change, expected) in [
            (0.0, Noticeable::No),
            (46.1 - 45.1, Noticeable::SideBySide),
            (38.3 - 41.3, Noticeable::Just),
            (-4.9, Noticeable::Just),
            (45.1 - 40.1, Noticeable::Clearly),
            (40.1 - 50.1, Noticeable::TwiceOrHalf),
        ] {
            assert_eq!(noticeable(PlusMinus::exact(Gain(change))), Ok(expected));
        }
    }
}
