//! Quantities that are easy to mix up, as types that cannot be mixed up.
//!
//! The mistake this trade makes most is to add or average decibels. Here that does not compile:
//!
//! ```compile_fail
//! use lessdin::units::Level;
//! let wrong = Level(40.0) + Level(40.0);
//! ```
//!
//! Levels add as energy, through [`crate::formulas::levels::energy_sum`]. What does make sense is:
//!
//! ```
//! use lessdin::units::{Gain, Level};
//! let drop: Gain = Level(46.1) - Level(44.9);
//! assert!((drop.0 - 1.2).abs() < 1e-9);
//! let louder: Level = Level(40.0) + Gain(3.0);
//! assert!((louder.0 - 43.0).abs() < 1e-9);
//! ```

use std::ops::{Add, Neg, Sub};

/// A sound pressure level, dB re 20 µPa. Finite; the weighting is kept beside it, not in it.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Level(pub f64);

/// A sound power level, dB re 1 pW. What a machine gives off in all, wherever one stands; never a [`Level`].
///
/// It turns into a sound pressure level at a distance through
/// [`crate::formulas::levels::power_to_pressure`].
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct PowerLevel(pub f64);

/// A loudness level, phon: the level of a 1 kHz tone that sounds as loud.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Phon(pub f64);

/// A loudness, sone: twice as many sone sound twice as loud. Not negative.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Sone(pub f64);

/// A difference of two levels, dB.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Gain(pub f64);

/// Sound energy relative to the reference of the level it came from: 10^(L/10). Not negative.
///
/// Energies add, which is the point of them.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Energy(pub f64);

impl Level {
    /// The energy of this level.
    pub fn to_energy(self) -> Energy {
        Energy(10_f64.powf(self.0 / 10.0))
    }
}

impl PowerLevel {
    /// A sound power declared in bel, as some data sheets do: 4.1 B is 41 dB.
    pub fn from_bel(bel: f64) -> Self {
        Self(10.0 * bel)
    }

    /// The same in bel.
    pub fn to_bel(self) -> f64 {
        self.0 / 10.0
    }
}

impl Energy {
    /// No sound at all.
    pub const NONE: Self = Self(0.0);

    /// The level of this energy, or `None` when there is none (the level of nothing is not a number).
    pub fn to_level(self) -> Option<Level> {
        (self.0 > 0.0 && self.0.is_finite()).then(|| Level(10.0 * self.0.log10()))
    }
}

impl Sub for Level {
    type Output = Gain;
    fn sub(self, other: Self) -> Gain {
        Gain(self.0 - other.0)
    }
}

impl Add<Gain> for Level {
    type Output = Self;
    fn add(self, gain: Gain) -> Self {
        Self(self.0 + gain.0)
    }
}

impl Sub<Gain> for Level {
    type Output = Self;
    fn sub(self, gain: Gain) -> Self {
        Self(self.0 - gain.0)
    }
}

impl Add for Gain {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Gain {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Gain {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Add for Energy {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl std::ops::Mul<f64> for Energy {
    type Output = Self;
    /// So many times this energy; `times` is not negative.
    fn mul(self, times: f64) -> Self {
        Self(self.0 * times)
    }
}

impl Add<Gain> for PowerLevel {
    type Output = Self;
    fn add(self, gain: Gain) -> Self {
        Self(self.0 + gain.0)
    }
}

impl std::iter::Sum for Energy {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::NONE, Add::add)
    }
}

/// The frequency weighting of a level.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weighting {
    /// A, the usual one for machines.
    #[default]
    A,
    /// C, nearly flat.
    C,
    /// Z, flat.
    Z,
}

impl Weighting {
    /// Its letter.
    pub const fn letter(self) -> char {
        match self {
            Self::A => 'A',
            Self::C => 'C',
            Self::Z => 'Z',
        }
    }

    /// The weighting with this letter, upper or lower case.
    pub fn of_letter(letter: &str) -> Option<Self> {
        [Self::A, Self::C, Self::Z]
            .into_iter()
            .find(|weighting| letter.chars().eq([weighting.letter()]) || letter.chars().eq([weighting.letter().to_ascii_lowercase()]))
    }
}

/// A value with its uncertainty. The half width is a 95 % figure, like every ± on the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlusMinus<T> {
    /// The value.
    pub value: T,
    /// Half the width of the 95 % interval, in the unit of the value (dB for a level). Not negative.
    pub half_width: f64,
}

impl<T> PlusMinus<T> {
    /// A value with its 95 % half width.
    pub const fn new(value: T, half_width: f64) -> Self {
        Self { value, half_width }
    }

    /// A value taken as exact.
    pub const fn exact(value: T) -> Self {
        Self::new(value, 0.0)
    }

    /// A value with its standard uncertainty; the half width is [`COVERAGE_95`] times as much.
    pub fn from_standard(value: T, standard: f64) -> Self {
        Self::new(value, COVERAGE_95 * standard)
    }

    /// The standard uncertainty, in the unit of the half width.
    pub fn standard(&self) -> f64 {
        self.half_width / COVERAGE_95
    }
}

/// The 95 % half width over the standard uncertainty: 1.96, the two-sided 95 % point of the normal distribution
/// (1.959964), rounded as everyone rounds it.
pub const COVERAGE_95: f64 = 1.96;

/// The one-sided 95 % point of the normal distribution (1.644854), rounded as everyone rounds it.
pub const ONE_SIDED_95: f64 = 1.645;

/// Sorts a handful of things, equal ones left in their order. The library's sorts are made for millions and weigh more than
/// a sheet; here are forty at most.
pub fn sort_few<T>(items: &mut [T], order: impl Fn(&T, &T) -> std::cmp::Ordering) {
    for end in 1..items.len() {
        let mut at = end;
        while let Some([before, after]) = at.checked_sub(1).and_then(|from| items.get_mut(from..=at)) {
            if order(before, after) != std::cmp::Ordering::Greater {
                break;
            }
            std::mem::swap(before, after);
            at -= 1;
        }
    }
}

/// The value, or the end of the range it lies beyond. `f64::clamp` would bring the text of floats into the page, for the words
/// of its panic.
///
/// ```
/// # use lessdin::units::within;
/// assert_eq!([within(-1.0, 0.0, 5.0), within(3.0, 0.0, 5.0), within(9.0, 0.0, 5.0)], [0.0, 3.0, 5.0]);
/// ```
pub fn within(value: f64, from: f64, to: f64) -> f64 {
    if value < from {
        from
    } else if value > to {
        to
    } else {
        value
    }
}

/// A count as a number for arithmetic. Exact up to 2^53.
#[expect(clippy::cast_precision_loss, reason = "counts here are far below 2^53")]
pub const fn count_to_f64(count: usize) -> f64 {
    count as f64
}
