//! A log as it is held: compact levels, and times as stretches of equal steps.

use std::ops::Range;

use super::clock::{DAY, SECOND};
use super::timeline::{Span, at_row, i64_to_f64, round, row_at};
use super::understood::{Start, Understood};
use super::wanted::Censored;
use crate::units::{Level, within};

/// Levels one after the other, in the smallest form that holds them exactly as they were written.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Levels {
    /// Tenths of a decibel.
    Tenths(Vec<i16>),
    /// Hundredths of a decibel.
    Hundredths(Vec<i16>),
    /// Decibels.
    Single(Vec<f32>),
}

/// Tenths as a level, dB.
fn of_tenths(tenths: i16) -> f32 {
    f32::from(tenths) / 10.0
}

/// Hundredths as a level, dB.
fn of_hundredths(hundredths: i16) -> f32 {
    f32::from(hundredths) / 100.0
}

impl Levels {
    pub(super) fn len(&self) -> usize {
        match self {
            Self::Tenths(values) | Self::Hundredths(values) => values.len(),
            Self::Single(values) => values.len(),
        }
    }

    pub(super) fn get(&self, row: usize) -> Option<f32> {
        match self {
            Self::Tenths(values) => values.get(row).copied().map(of_tenths),
            Self::Hundredths(values) => values.get(row).copied().map(of_hundredths),
            Self::Single(values) => values.get(row).copied(),
        }
    }

    /// Takes a level in; what is held changes its form where that is needed.
    pub(super) fn push(&mut self, hundredths: Option<i16>, level: f32) {
        if let Self::Tenths(values) = self {
            match hundredths {
                Some(scaled) if scaled % 10 == 0 => return values.push(scaled / 10),
                Some(_) => *self = Self::Hundredths(values.iter().map(|tenths| tenths * 10).collect()),
                None => *self = Self::Single(values.iter().copied().map(of_tenths).collect()),
            }
        }
        if let Self::Hundredths(values) = self {
            match hundredths {
                Some(scaled) => return values.push(scaled),
                None => *self = Self::Single(values.iter().copied().map(of_hundredths).collect()),
            }
        }
        if let Self::Single(values) = self {
            values.push(level);
        }
    }

    /// Whether two rows have the same level.
    pub(super) fn same(&self, one: usize, other: usize) -> bool {
        let equal = |values: &[i16]| values.get(one) == values.get(other);
        match self {
            Self::Tenths(values) | Self::Hundredths(values) => equal(values),
            Self::Single(values) => values.get(one).map(|level| level.to_bits()) == values.get(other).map(|level| level.to_bits()),
        }
    }

    pub(super) fn reverse(&mut self) {
        match self {
            Self::Tenths(values) | Self::Hundredths(values) => values.reverse(),
            Self::Single(values) => values.reverse(),
        }
    }

    /// Drops rows, given in rising order.
    pub(super) fn drop_rows(&mut self, rows: &[u32]) {
        fn keep<T>(values: &mut Vec<T>, rows: &[u32]) {
            let mut rows = rows.iter().copied().peekable();
            let mut row = 0;
            values.retain(|_| {
                let drop = rows.next_if_eq(&row).is_some();
                row += 1;
                !drop
            });
        }
        match self {
            Self::Tenths(values) | Self::Hundredths(values) => keep(values, rows),
            Self::Single(values) => keep(values, rows),
        }
    }

    pub(super) fn iter(&self, rows: Range<usize>) -> Iter<'_> {
        match self {
            Self::Tenths(values) => Iter::Tenths(values.get(rows).unwrap_or_default().iter()),
            Self::Hundredths(values) => Iter::Hundredths(values.get(rows).unwrap_or_default().iter()),
            Self::Single(values) => Iter::Single(values.get(rows).unwrap_or_default().iter()),
        }
    }
}

/// Levels in the order of time, dB.
#[derive(Clone, Debug)]
pub enum Iter<'a> {
    /// From tenths.
    Tenths(std::slice::Iter<'a, i16>),
    /// From hundredths.
    Hundredths(std::slice::Iter<'a, i16>),
    /// As they are.
    Single(std::slice::Iter<'a, f32>),
}

impl Iterator for Iter<'_> {
    type Item = f32;

    fn next(&mut self) -> Option<f32> {
        match self {
            Self::Tenths(values) => values.next().copied().map(of_tenths),
            Self::Hundredths(values) => values.next().copied().map(of_hundredths),
            Self::Single(values) => values.next().copied(),
        }
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        match self {
            Self::Tenths(values) | Self::Hundredths(values) => values.size_hint(),
            Self::Single(values) => values.size_hint(),
        }
    }
}

/// How often each step of a decibel occurs.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Counts {
    /// The level of the first place, in steps.
    pub(super) lowest: i16,
    /// Steps to a decibel.
    pub(super) per_db: f64,
    /// From the lowest level there can be to the highest.
    pub(super) each: Vec<u32>,
}

/// The lowest and the highest level there can be, dB: what [`super::cells::level`] lets through.
const LOWEST: i16 = -30;
const HIGHEST: i16 = 200;
/// How many rows are gone through at a time. Browsers make fast code of a function between two calls of it; one long call would
/// go at the slow code's pace.
pub(super) const PIECE: usize = 4096;

impl Counts {
    /// Counts levels that are held in whole steps; nothing for those that are not.
    pub(super) fn of(levels: &Levels) -> Option<Self> {
        let (values, steps, per_db) = match levels {
            Levels::Tenths(values) => (values, 10, 10.0),
            Levels::Hundredths(values) => (values, 100, 100.0),
            Levels::Single(_) => return None,
        };
        let lowest = LOWEST * steps;
        let places = usize::try_from((HIGHEST - LOWEST) * steps).unwrap_or(0) + 1;
        // In two tables, so that equal neighbours do not wait for each other.
        let (mut even, mut odd) = (vec![0; places], vec![0; places]);
        for piece in values.chunks(PIECE) {
            count(piece, lowest, &mut even, &mut odd);
        }
        let each = even.iter().zip(&odd).map(|(one, other)| one + other).collect();
        Some(Self { lowest, per_db, each })
    }

    /// The level of a place, dB.
    pub(super) fn level(&self, place: usize) -> f64 {
        (crate::units::count_to_f64(place) + f64::from(self.lowest)) / self.per_db
    }

    /// The places of the lowest and the highest level met.
    pub(super) fn ends(&self) -> (usize, usize) {
        let filled = |count: &u32| *count > 0;
        (self.each.iter().position(filled).unwrap_or(0), self.each.iter().rposition(filled).unwrap_or(0))
    }

    /// How many rows lie from one place to another, both included.
    pub(super) fn between(&self, from: usize, to: usize) -> usize {
        self.each.get(from..to.saturating_add(1).min(self.each.len())).unwrap_or_default().iter().map(|count| *count as usize).sum()
    }
}

/// The place of a level in a table that begins at the lowest.
pub(super) fn place(value: i16, lowest: i16) -> usize {
    usize::try_from(i32::from(value) - i32::from(lowest)).unwrap_or(0)
}

#[inline(never)]
fn count(values: &[i16], lowest: i16, even: &mut [u32], odd: &mut [u32]) {
    let (pairs, last) = values.as_chunks::<2>();
    for [one, other] in pairs {
        if let Some(count) = even.get_mut(place(*one, lowest)) {
            *count += 1;
        }
        if let Some(count) = odd.get_mut(place(*other, lowest)) {
            *count += 1;
        }
    }
    for value in last {
        if let Some(count) = even.get_mut(place(*value, lowest)) {
            *count += 1;
        }
    }
}

/// Rows one after the other that only say “below” or “above”.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Mark {
    pub(super) row: u32,
    pub(super) count: u32,
    pub(super) below: bool,
}

/// A log: a level for each row, the time of each row, and what was understood of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    pub(super) levels: Levels,
    pub(super) spans: Vec<Span>,
    pub(super) marks: Vec<Mark>,
    /// Of all levels, where they are held in whole steps.
    pub(super) counts: Option<Counts>,
    pub(super) start: Start,
    pub(super) hash: u64,
    pub(super) understood: Understood,
}

impl Log {
    /// How many rows there are; one or more.
    #[expect(clippy::len_without_is_empty, reason = "a log has one row or more")]
    pub fn len(&self) -> usize {
        self.levels.len()
    }

    /// The level of a row, counted from 0 in the order of time.
    pub fn level(&self, row: usize) -> Option<Level> {
        self.levels.get(row).map(|level| Level(f64::from(level)))
    }

    /// The levels of some rows, dB; rows that are not there are left out.
    pub fn levels(&self, rows: Range<usize>) -> Iter<'_> {
        let end = rows.end.min(self.len());
        self.levels.iter(rows.start.min(end)..end)
    }

    /// When a row was, s from the first one.
    pub fn at_s(&self, row: usize) -> f64 {
        i64_to_f64(at_row(&self.spans, row_of(row))) / i64_to_f64(SECOND)
    }

    /// The nominal time from row to row, s: the weight of every row. Above 0.
    pub fn step_s(&self) -> f64 {
        self.understood.step_s
    }

    /// From the first row to the end of the last one, s.
    pub fn duration_s(&self) -> f64 {
        self.at_s(self.len().saturating_sub(1)) + self.step_s()
    }

    /// The rows that begin in a stretch of time, s from the start, the end not included.
    pub fn rows(&self, from_s: f64, to_s: f64) -> Range<usize> {
        let ticks = |seconds: f64| round(within(seconds, -1e9, 1e12) * i64_to_f64(SECOND));
        let rows = row_of(self.len());
        let from = row_at(&self.spans, rows, ticks(from_s)) as usize;
        let to = row_at(&self.spans, rows, ticks(to_s)) as usize;
        from..to.max(from)
    }

    /// The rows among these that do not follow the one before them by about one step.
    pub fn breaks(&self, rows: Range<usize>) -> Vec<usize> {
        let limit = round(1.5 * self.step_s() * i64_to_f64(SECOND));
        let mut breaks = Vec::new();
        let mut before: Option<Span> = None;
        for &span in &self.spans {
            let row = span.row as usize;
            if let Some(before) = before
                && rows.start < row
                && row < rows.end
                && span.at - (before.at + before.step * i64::from(span.row - before.row - 1)) > limit
            {
                breaks.push(row);
            }
            if span.step > limit {
                let end =
                    self.spans.get(self.spans.partition_point(|other| other.row <= span.row)).map_or(self.len(), |next| next.row as usize);
                breaks.extend((row + 1..end).filter(|row| rows.start < *row && *row < rows.end));
            }
            before = Some(span);
        }
        breaks
    }

    /// Date and clock of the first row, as far as the file tells.
    pub fn start(&self) -> Start {
        self.start
    }

    /// Date and clock of a moment, s from the start.
    pub fn when(&self, at_s: f64) -> Start {
        let Some(clock) = self.start.clock_s else { return Start::default() };
        let whole_day = i64_to_f64(DAY / SECOND);
        let total = clock + at_s;
        let days = (total / whole_day).floor();
        #[expect(clippy::cast_possible_truncation, reason = "a cast of a float stops at the ends of its range")]
        let passed = days as i32;
        Start { day: self.start.day.map(|day| day.saturating_add(passed)), clock_s: Some(total - days * whole_day) }
    }

    /// The fingerprint of the file's bytes; see [`super::hash`].
    pub fn hash(&self) -> u64 {
        self.hash
    }

    /// What was understood of the file.
    pub fn understood(&self) -> &Understood {
        &self.understood
    }

    /// Whether a row counts as no sound at all: below the meter's range, and the person wants that so.
    pub(super) fn silent_rows(&self) -> &[Mark] {
        if self.understood.censored == Censored::Silent { &self.marks } else { &[] }
    }
}

/// A row number as it is held. Logs have fewer than 2^32 rows.
pub(super) fn row_of(row: usize) -> u32 {
    u32::try_from(row).unwrap_or(u32::MAX)
}
