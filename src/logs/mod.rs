//! Level logs on this device: read, kept and asked in a worker of their own, so that the page never waits for a file.
//!
//! The page asks by what it wants ([`Want`]) and what that needs, in the way of every worker (`worker`). Logs stay here; the page
//! gets numbers, lines of text and columns to draw.

#[cfg(feature = "logs")]
mod kept;
#[cfg(feature = "logs")]
pub mod server;

use crate::files::{Censored, DateOrder, Decimal, Encoding, Separator, TimeFrom, Wanted};
use crate::formulas::series::Summary;
use crate::units::Level;
use wasm_bindgen::JsCast;

/// The data base that keeps logs on the device.
pub const BASE: &str = "lessdin-logs";

/// The numbers of a message; none where it holds none.
pub fn floats(value: &wasm_bindgen::JsValue) -> Vec<f64> {
    value.dyn_ref::<js_sys::Float64Array>().map(js_sys::Float64Array::to_vec).unwrap_or_default()
}

/// What the page asks of the worker.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Want {
    /// Read a file: name, file, decimal sign.
    Read,
    /// Read a log again in another way: hash, figures of [`Wanted`], decimal sign.
    Again,
    /// Read what is kept on the device of these: hashes, decimal sign.
    Kept,
    /// Forget a log: hash.
    Forget,
    /// Find the phases of a log: hash.
    Phases,
    /// The figures of stretches: hash, guard in s, and a group, a start and an end for each.
    Figures,
    /// Lowest and highest levels for drawing: hash, from, to, columns.
    Envelope,
    /// Energy means for a sketch: hash.
    Sketch,
    /// The log as clean CSV: hash.
    Csv,
    /// A made-up log: 0 before or 1 after, which run, name, decimal sign.
    Example,
}

impl Want {
    const ALL: [Self; 10] = [
        Self::Read,
        Self::Again,
        Self::Kept,
        Self::Forget,
        Self::Phases,
        Self::Figures,
        Self::Envelope,
        Self::Sketch,
        Self::Csv,
        Self::Example,
    ];

    /// How messages write it.
    pub fn code(self) -> f64 {
        Self::ALL.iter().position(|want| *want == self).map_or(-1.0, crate::units::count_to_f64)
    }

    /// What a message wants.
    pub fn from_code(code: f64) -> Option<Self> {
        Self::ALL.into_iter().find(|want| (want.code() - code).abs() < 0.5)
    }
}

const ENCODINGS: [Encoding; 4] = [Encoding::Utf8, Encoding::Utf16Little, Encoding::Utf16Big, Encoding::Windows1252];
const DECIMALS: [Decimal; 2] = [Decimal::Point, Decimal::Comma];
const ORDERS: [DateOrder; 3] = [DateOrder::DayMonthYear, DateOrder::MonthDayYear, DateOrder::YearMonthDay];
const CENSORED: [Censored; 3] = [Censored::AtLimit, Censored::Silent, Censored::LeftOut];

/// What can be changed about how a file is read, as places in lists and numbers; −1 is “find out”.
///
/// 0 encoding · 1 separator · 2 decimal sign · 3 order of dates · 4 column of the level · 5 column of the time, −2 none ·
/// 6 column of the date · 7 step, s · 8 readings beyond the range · 9 minutes and seconds
pub type Choices = [f64; 10];

/// Nothing chosen.
pub const OPEN: Choices = [-1.0, -1.0, -1.0, -1.0, -1.0, -1.0, -1.0, -1.0, 0.0, -1.0];

#[cfg(feature = "logs")]
fn place<T: PartialEq>(list: &[T], one: &T) -> f64 {
    list.iter().position(|other| other == one).map_or(-1.0, crate::units::count_to_f64)
}

/// A place in a list, where the number is one.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to be small and not negative")]
fn index(number: f64) -> Option<usize> {
    (number > -0.5 && number < 1e6).then_some((number + 0.5) as usize)
}

fn at<T: Copy>(list: &[T], number: f64) -> Option<T> {
    list.get(index(number)?).copied()
}

/// The choices as the reader takes them.
pub fn wanted(choices: &Choices) -> Wanted {
    let [encoding, separator, decimal, order, level, clock, date, step, censored, minutes] = *choices;
    let step = (step > 0.0).then_some(step);
    let time = match index(clock) {
        Some(clock) => Some(TimeFrom::Columns { clock, date: index(date) }),
        None if clock < -1.5 => Some(TimeFrom::Step(step.unwrap_or(1.0))),
        None => None,
    };
    Wanted {
        encoding: at(&ENCODINGS, encoding),
        separator: at(&Separator::ALL, separator),
        decimal: at(&DECIMALS, decimal),
        date_order: at(&ORDERS, order),
        level: index(level),
        time,
        minutes_seconds: (minutes > -0.5).then_some(minutes > 0.5),
        step_s: step,
        censored: at(&CENSORED, censored).unwrap_or_default(),
    }
}

/// How many numbers a summary has in a message.
pub const SUMMARY: usize = 13;

/// A summary as numbers.
pub fn numbers(summary: &Summary) -> [f64; SUMMARY] {
    [
        summary.leq.0,
        summary.l10.0,
        summary.l50.0,
        summary.l90.0,
        summary.max.0,
        summary.min.0,
        summary.mean_db,
        f64::from(summary.count),
        summary.step_s,
        summary.missing,
        summary.standard_error_db,
        summary.effective_count,
        summary.dof,
    ]
}

/// A summary from its numbers; nothing when they are fewer, or there was nothing to sum up.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count that was a u32")]
pub fn summary(numbers: &[f64]) -> Option<Summary> {
    let [leq, l10, l50, l90, max, min, mean_db, count, step_s, missing, standard_error_db, effective_count, dof] =
        *numbers.first_chunk::<SUMMARY>()?;
    (count >= 1.0).then_some(Summary {
        leq: Level(leq),
        l10: Level(l10),
        l50: Level(l50),
        l90: Level(l90),
        max: Level(max),
        min: Level(min),
        mean_db,
        count: count as u32,
        step_s,
        missing,
        standard_error_db,
        effective_count,
        dof,
    })
}
