//! A log as clean CSV: ISO dates, seconds from the start, decimal points, one row for each reading used.

use super::log::{Levels, Log};
use super::understood::Start;

/// How many rows a piece holds.
const ROWS: usize = 4096;

/// The names of the columns.
const HEAD: &str = "time,seconds,level_db,mark\n";

/// A log as CSV, in pieces: an iterator over text.
///
/// Columns: date and clock as far as they are known, seconds from the start, the level in dB as it was read, and `below` or
/// `above` where the meter's range ended.
#[derive(Clone, Debug)]
pub struct Export<'a> {
    log: &'a Log,
    row: usize,
    mark: usize,
    headed: bool,
}

impl<'a> Export<'a> {
    /// The log from its first row.
    pub const fn new(log: &'a Log) -> Self {
        Self { log, row: 0, mark: 0, headed: false }
    }
}

impl Iterator for Export<'_> {
    type Item = String;

    fn next(&mut self) -> Option<String> {
        if self.headed && self.row >= self.log.len() {
            return None;
        }
        let mut out = String::new();
        if !self.headed {
            self.headed = true;
            out.push_str(HEAD);
        }
        let end = (self.row + ROWS).min(self.log.len());
        while self.row < end {
            let at_s = self.log.at_s(self.row);
            push_when(&mut out, self.log.when(at_s), 'T');
            out.push(',');
            push_scaled(&mut out, tenths_of_ms(at_s), 4, 1);
            out.push(',');
            match &self.log.levels {
                Levels::Tenths(values) => push_scaled(&mut out, i64::from(values.get(self.row).copied().unwrap_or(0)), 1, 1),
                Levels::Hundredths(values) => push_scaled(&mut out, i64::from(values.get(self.row).copied().unwrap_or(0)), 2, 2),
                Levels::Single(values) => {
                    push_scaled(&mut out, scaled(f64::from(values.get(self.row).copied().unwrap_or(0.0)) * 1e4), 4, 1);
                }
            }
            out.push(',');
            while self.log.marks.get(self.mark).is_some_and(|mark| (mark.row + mark.count) as usize <= self.row) {
                self.mark += 1;
            }
            if let Some(mark) = self.log.marks.get(self.mark).filter(|mark| mark.row as usize <= self.row) {
                out.push_str(if mark.below { "below" } else { "above" });
            }
            out.push('\n');
            self.row += 1;
        }
        Some(out)
    }
}

fn tenths_of_ms(seconds: f64) -> i64 {
    scaled(seconds * 1e4)
}

fn scaled(value: f64) -> i64 {
    super::timeline::round(value)
}

/// 2031-04-02T19:00:00, with a fraction where there is one; without a date only the clock. `between` stands between the two.
pub(super) fn push_when(out: &mut String, when: Start, between: char) {
    if let Some((year, month, day)) = when.date() {
        push_padded(out, u64::from(year.unsigned_abs()), 4);
        out.push('-');
        push_padded(out, month.into(), 2);
        out.push('-');
        push_padded(out, day.into(), 2);
        if when.clock_s.is_some() {
            out.push(between);
        }
    }
    if let Some(clock) = when.clock_s {
        let ticks = tenths_of_ms(clock).unsigned_abs();
        let seconds = ticks / 10_000;
        push_padded(out, seconds / 3600, 2);
        out.push(':');
        push_padded(out, seconds / 60 % 60, 2);
        out.push(':');
        push_padded(out, seconds % 60, 2);
        let fraction = ticks % 10_000;
        if fraction > 0 {
            out.push('.');
            if fraction.is_multiple_of(10) { push_padded(out, fraction / 10, 3) } else { push_padded(out, fraction, 4) }
        }
    }
}

/// A whole number with `places` of its digits after the point, of which at least `least` are written.
fn push_scaled(out: &mut String, value: i64, places: u32, least: u32) {
    if value < 0 {
        out.push('-');
    }
    let (mut value, mut places) = (value.unsigned_abs(), places);
    while places > least && value % 10 == 0 {
        value /= 10;
        places -= 1;
    }
    let scale = 10_u64.pow(places);
    push_padded(out, value / scale, 1);
    if places > 0 {
        out.push('.');
        push_padded(out, value % scale, places);
    }
}

/// A whole number with zeros before it.
fn push_padded(out: &mut String, value: u64, digits: u32) {
    let mut scale = 10_u64.pow(digits.saturating_sub(1));
    while value / scale >= 10 {
        scale *= 10;
    }
    while scale > 0 {
        out.push(char::from(b'0' + u8::try_from(value / scale % 10).unwrap_or(0)));
        scale /= 10;
    }
}
