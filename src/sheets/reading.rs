//! How a level read by eye gets its ±, the same on every sheet that takes readings.

use crate::calc::draft::RowAt;
use crate::calc::read::{self, Reader};
use crate::calc::schema::Cell;
use crate::formulas::{FormulaError, uncertainty};
use crate::units::{Level, PlusMinus};

/// The ± of a reading while nothing else is stated, dB.
pub const USUAL_PM: f64 = 0.5;
/// The ± of a reading before the step of the display is added, dB.
pub const FINE_PM: f64 = 0.3;
/// The step of a display that shows whole numbers, dB.
pub const WHOLE_STEP: f64 = 1.0;

/// A level as read, once or several times.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The level; of several readings, their energy mean.
    pub level: Level,
    /// The single readings.
    pub single: Vec<Level>,
    /// The ± that the spread of several readings gives, dB.
    pub spread: Option<f64>,
    /// Read in whole numbers.
    pub whole: bool,
    /// The ± stated for one reading, dB.
    pub stated: f64,
}

/// Where the ± of a reading comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ground {
    /// As stated.
    Stated,
    /// A fine reading's, with the step of a display of whole numbers.
    WholeNumbers,
    /// The spread of several readings.
    Spread,
}

/// A reading with its ±.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Used {
    /// The level and its ±.
    pub level: PlusMinus<Level>,
    /// Where the ± comes from.
    pub ground: Ground,
}

/// A level field's reading, its single readings, and the ± stated for one, dB.
pub fn measured(reader: &mut Reader<'_>, cell: &'static Cell, stated: f64) -> Option<Measured> {
    measured_at(reader, None, cell, stated)
}

/// The same for a column of a table.
pub fn measured_at(reader: &mut Reader<'_>, row: Option<RowAt>, cell: &'static Cell, stated: f64) -> Option<Measured> {
    let reading = reader.level(row, cell)?;
    let typed = read::readings(cell, reader.draft().get(read::path(row, cell))).unwrap_or_default();
    let single = typed.iter().map(|typed| Level(typed.base)).collect();
    Some(Measured { level: reading.level, single, spread: reading.spread, whole: reading.whole, stated })
}

/// Whether a meter without tenths was read: it either shows them or it does not, so one reading with a tenth decides.
pub fn all_whole<'a>(mut readings: impl Iterator<Item = &'a Measured>) -> bool {
    readings.all(|measured| measured.whole)
}

/// The reading with the ± that holds for it: as stated; in whole numbers and nothing stated, that of a fine reading with
/// the step of the display; the spread of several readings where it is larger.
///
/// # Errors
///
/// A half width that is no use.
pub fn used(measured: &Measured, whole: bool) -> Result<Used, FormulaError> {
    let is_usual = (measured.stated - USUAL_PM).abs() < 1e-9;
    let (base, ground) = if whole && is_usual {
        (uncertainty::combine(&[FINE_PM, uncertainty::resolution(WHOLE_STEP)?])?, Ground::WholeNumbers)
    } else {
        (measured.stated, Ground::Stated)
    };
    let (half, ground) = match measured.spread {
        Some(spread) if spread > base => (spread, Ground::Spread),
        _ => (base, ground),
    };
    Ok(Used { level: PlusMinus::new(measured.level, half), ground })
}
