//! What a formula cannot work with, as facts. The wording is in one place, `Display`.

use std::fmt;

/// Why a formula gave no value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FormulaError {
    /// Nothing was given where at least one value is needed.
    Empty,
    /// A value is not a finite number.
    NotFinite {
        /// Which quantity.
        what: &'static str,
    },
    /// The level with the source on is not above the level with it off, so nothing can be separated.
    NotAboveBackground {
        /// With minus without, dB. Zero or negative.
        difference_db: f64,
    },
    /// A value is outside the range in which the formula holds.
    OutOfRange {
        /// Which quantity.
        what: &'static str,
        /// What was given.
        found: f64,
        /// The least allowed.
        min: f64,
        /// The most allowed.
        max: f64,
    },
    /// An exact fraction needs more digits than there is room for.
    TooLong,
    /// Fewer values than the formula needs.
    TooFew {
        /// How many were given.
        found: usize,
        /// How many are needed.
        needed: usize,
    },
}

impl fmt::Display for FormulaError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "no values given"),
            Self::NotFinite { what } => write!(f, "{what} is not a number"),
            Self::NotAboveBackground { difference_db } => {
                write!(f, "the reading with the source on is not above the one with it off (difference {difference_db} dB)")
            }
            Self::OutOfRange { what, found, min, max } => write!(f, "{what} is {found}; it must be from {min} to {max}"),
            Self::TooLong => write!(f, "the exact fraction has too many digits"),
            Self::TooFew { found, needed } => {
                write!(f, "{found} values given; at least {needed} are needed")
            }
        }
    }
}

impl std::error::Error for FormulaError {}

/// Lets `value` through when it is finite.
pub(super) fn finite(what: &'static str, value: f64) -> Result<f64, FormulaError> {
    if value.is_finite() { Ok(value) } else { Err(FormulaError::NotFinite { what }) }
}

/// Lets `value` through when it lies in `min..=max`.
pub(super) fn within(what: &'static str, value: f64, min: f64, max: f64) -> Result<f64, FormulaError> {
    finite(what, value)?;
    if (min..=max).contains(&value) { Ok(value) } else { Err(FormulaError::OutOfRange { what, found: value, min, max }) }
}

/// Lets `value` through when it is a usable size: above zero, neither absurdly small nor absurdly large.
pub(super) fn positive(what: &'static str, value: f64) -> Result<f64, FormulaError> {
    within(what, value, 1e-12, 1e12)
}

/// Lets a half width through when it is finite and not negative.
pub(super) fn half_width(value: f64) -> Result<f64, FormulaError> {
    within("the half width", value, 0.0, 1e6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_are_inclusive_and_refuse_what_is_not_a_number() {
        assert_eq!(within("x", 0.0, 0.0, 1.0), Ok(0.0));
        assert_eq!(within("x", 1.0, 0.0, 1.0), Ok(1.0));
        assert!(within("x", 1.000_001, 0.0, 1.0).is_err());
        assert_eq!(within("x", f64::NAN, 0.0, 1.0), Err(FormulaError::NotFinite { what: "x" }));
        assert!(positive("x", 0.0).is_err());
        assert!(positive("x", f64::INFINITY).is_err());
        assert!(half_width(-0.1).is_err());
    }

    #[test]
    fn messages_say_what_was_found_and_what_is_allowed() {
        assert_eq!(within("the distance", -1.0, 0.1, 9.0).unwrap_err().to_string(), "the distance is -1; it must be from 0.1 to 9");
    }
}
