//! What can be wrong with a field. Facts only; the wording is in [`Problem::said`].

use super::draft::Path;
use super::quantity::Quantity;
use crate::text::{Arg, Msg, Said, common_words as words, say};

/// A problem with its address.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldError {
    /// Where.
    pub path: Path,
    /// What.
    pub problem: Problem,
}

/// What is wrong with the text in a field. Variants sorted.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Problem {
    /// Nothing was typed where something is needed.
    Missing,
    /// Something else than a number.
    NotANumber {
        /// The text, shortened.
        found: String,
    },
    /// A number that no double holds.
    NotFinite {
        /// The text, shortened.
        found: String,
    },
    /// Not a whole number in range, where things are counted.
    NotWhole {
        /// The text.
        found: String,
        /// Least allowed.
        min: u32,
        /// Most allowed.
        max: u32,
    },
    /// A number outside its range.
    OutOfRange {
        /// The value in the base unit.
        value: f64,
        /// Least allowed, base unit.
        min: f64,
        /// Most allowed, base unit.
        max: f64,
        /// What it measures.
        quantity: Quantity,
    },
    /// A row that is not there any more.
    NoSuchRow,
    /// More characters than fit.
    TooLong {
        /// How many.
        found: usize,
        /// How many fit.
        max: u16,
    },
    /// More readings than one field takes.
    TooMany {
        /// How many.
        found: usize,
        /// How many fit.
        max: usize,
    },
    /// A choice that is not offered.
    UnknownChoice {
        /// The text.
        found: String,
        /// What is offered.
        allowed: Vec<Msg>,
    },
    /// A unit that does not belong to this field.
    UnknownUnit {
        /// The text.
        found: String,
        /// What the field measures.
        quantity: Quantity,
    },
}

impl Problem {
    /// The problem in words: what was found, what is allowed.
    pub fn said(&self) -> Said {
        let count = |value: f64| Arg::Number(Quantity::Count, value);
        match self {
            Self::Missing => words::MISSING.into(),
            Self::NoSuchRow => words::NO_SUCH_ROW.into(),
            Self::NotANumber { found } => say(words::NOT_A_NUMBER).typed("found", found),
            Self::NotFinite { found } => say(words::NOT_FINITE).typed("found", found),
            Self::NotWhole { found, min, max } => {
                say(words::NOT_WHOLE).typed("found", found).with("min", count(f64::from(*min))).with("max", count(f64::from(*max)))
            }
            Self::OutOfRange { value, min, max, quantity } => {
                let exact = |value: &f64| Arg::AsTyped(*quantity, *value);
                say(words::OUT_OF_RANGE).with("found", exact(value)).with("min", exact(min)).with("max", exact(max))
            }
            Self::TooLong { found, max } => {
                say(words::TOO_LONG).with("found", count(crate::units::count_to_f64(*found))).with("max", count(f64::from(*max)))
            }
            Self::TooMany { found, max } => {
                let arg = |readings: &usize| count(crate::units::count_to_f64(*readings));
                say(words::TOO_MANY).with("found", arg(found)).with("max", arg(max))
            }
            Self::UnknownChoice { found, allowed } => say(words::UNKNOWN_CHOICE)
                .typed("found", found)
                .with("allowed", Arg::List(allowed.iter().map(|msg| Arg::Msg(*msg)).collect())),
            Self::UnknownUnit { found, quantity } => {
                let mut symbols: Vec<&str> = quantity.units().iter().map(|unit| unit.symbol).filter(|symbol| !symbol.is_empty()).collect();
                symbols.dedup();
                let symbols = if symbols.is_empty() { vec!["—"] } else { symbols };
                say(words::UNKNOWN_UNIT)
                    .typed("found", found)
                    .with("allowed", Arg::List(symbols.into_iter().map(|symbol| Arg::Typed(symbol.to_owned())).collect()))
            }
        }
    }
}
