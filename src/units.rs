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

/// A value with its uncertainty. The half width is a 95 % figure, like every ± on the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlusMinus<T> {
    /// The value.
    pub value: T,
    /// Half the width of the 95 % interval, in the unit of the value (dB for a level). Not negative.
    pub half_width: f64,
}

/// A count as a number for arithmetic. Exact up to 2^53.
#[expect(clippy::cast_precision_loss, reason = "counts here are far below 2^53")]
pub const fn count_to_f64(count: usize) -> f64 {
    count as f64
}
