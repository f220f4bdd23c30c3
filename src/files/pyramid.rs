//! Lowest and highest levels over longer and longer stretches, so that a curve of any length is drawn without losing a spike.

use super::clock::SECOND;
use super::log::{Log, row_of};
use super::timeline::{Span, i64_to_f64, round};
use crate::units::within;

/// How many rows, or blocks below, make a block.
const BLOCK: usize = 16;

/// The lowest and the highest of some levels, dB.
pub type Extent = (f32, f32);

/// Blocks of rows, blocks of blocks, and so on, each with its lowest and highest level.
#[derive(Clone, Debug)]
pub struct Pyramid {
    /// The first floor holds [`BLOCK`] rows to a block.
    floors: Vec<Vec<Extent>>,
}

impl Pyramid {
    /// Over all rows of a log.
    pub fn new(log: &Log) -> Self {
        let mut floors: Vec<Vec<Extent>> = Vec::new();
        let mut levels = log.levels(0..log.len());
        let mut floor = Vec::with_capacity(log.len() / BLOCK + 1);
        while let Some(first) = levels.next() {
            floor.push(levels.by_ref().take(BLOCK - 1).fold((first, first), |extent, level| join(extent, (level, level))));
        }
        while floor.len() > BLOCK {
            let above = floor.chunks(BLOCK).filter_map(|blocks| blocks.iter().copied().reduce(join)).collect();
            floors.push(std::mem::replace(&mut floor, above));
        }
        floors.push(floor);
        Self { floors }
    }

    /// The lowest and highest level of some rows of the same log; nothing without rows.
    pub fn extent(&self, log: &Log, rows: std::ops::Range<usize>) -> Option<Extent> {
        let (mut from, mut to) = (rows.start, rows.end.min(log.len()));
        let mut found: Option<Extent> = None;
        let mut add = |extent: Extent| found = Some(found.map_or(extent, |found| join(found, extent)));
        // Single rows up to the first block that lies inside, and after the last.
        let inner = from.next_multiple_of(BLOCK)..to / BLOCK * BLOCK;
        if inner.start >= inner.end {
            log.levels(from..to.max(from)).for_each(|level| add((level, level)));
            return found;
        }
        log.levels(from..inner.start).chain(log.levels(inner.end..to)).for_each(|level| add((level, level)));
        (from, to) = (inner.start / BLOCK, inner.end / BLOCK);
        for (place, floor) in self.floors.iter().enumerate() {
            let inner = from.next_multiple_of(BLOCK)..to / BLOCK * BLOCK;
            if inner.start >= inner.end || place + 1 == self.floors.len() {
                floor.get(from..to).unwrap_or_default().iter().copied().for_each(&mut add);
                break;
            }
            floor.get(from..inner.start).unwrap_or_default().iter().copied().for_each(&mut add);
            floor.get(inner.end..to).unwrap_or_default().iter().copied().for_each(&mut add);
            (from, to) = (inner.start / BLOCK, inner.end / BLOCK);
        }
        found
    }

    /// For each of so many columns from one moment to another, s from the start: the lowest and highest level of the rows that
    /// last into it. A row lasts one nominal step; a column that no row lasts into lies in a gap and gets nothing.
    pub fn envelope(&self, log: &Log, from_s: f64, to_s: f64, columns: usize) -> Vec<Option<Extent>> {
        if !(from_s < to_s && from_s.is_finite() && to_s.is_finite()) {
            return vec![None; columns];
        }
        let width = (to_s - from_s) / crate::units::count_to_f64(columns.max(1));
        let step = round(log.step_s() * i64_to_f64(SECOND)).max(1);
        let mut seek = Seek { spans: &log.spans, rows: row_of(log.len()), place: 0 };
        let mut starts = seek.clone();
        (0..columns)
            .map(|column| {
                let edge =
                    |place: usize| round(within(from_s + width * crate::units::count_to_f64(place), -1e9, 1e12) * i64_to_f64(SECOND));
                let (left, right) = (edge(column), edge(column + 1).max(edge(column) + 1));
                // Rows that begin before the right edge, and end after the left one.
                let first = starts.row_at(left - step + 1);
                let end = seek.row_at(right);
                self.extent(log, first as usize..end as usize)
            })
            .collect()
    }
}

fn join(one: Extent, other: Extent) -> Extent {
    (one.0.min(other.0), one.1.max(other.1))
}

/// Looks rows up by rising times.
#[derive(Clone, Debug)]
struct Seek<'a> {
    spans: &'a [Span],
    rows: u32,
    place: usize,
}

impl Seek<'_> {
    /// The first row at some tick or later. Ticks must not fall from call to call.
    fn row_at(&mut self, at: i64) -> u32 {
        if self.place == 0 {
            self.place = self.spans.partition_point(|span| span.at < at);
        }
        while self.spans.get(self.place).is_some_and(|span| span.at < at) {
            self.place += 1;
        }
        let Some(span) = self.place.checked_sub(1).and_then(|place| self.spans.get(place)) else { return 0 };
        let end = self.spans.get(self.place).map_or(self.rows, |next| next.row);
        if span.step <= 0 {
            return end;
        }
        let ahead = (at - span.at + span.step - 1) / span.step;
        u32::try_from(i64::from(span.row) + ahead).unwrap_or(u32::MAX).min(end)
    }
}
