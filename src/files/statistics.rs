//! The usual figures of a whole log.

use super::clock::SECOND;
use super::log::{Counts, Levels, Log, Mark, PIECE, place};
use super::timeline::{Span, i64_to_f64, round};
use crate::units::{Energy, Level, count_to_f64};

/// Ticks in a minute.
const MINUTE: i64 = 60 * SECOND;
/// The energy average of the rows that begin within one minute of the clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Minute {
    /// Minutes from midnight of the first day, or from the start where no clock is known.
    pub minute: i64,
    /// The energy average; nothing when all its rows count as silent.
    pub level: Option<Level>,
    /// How many rows.
    pub rows: u32,
}

/// Figures of a whole log. Every row weighs the same: its nominal step.
#[derive(Clone, Debug, PartialEq)]
pub struct Statistics {
    /// How many rows.
    pub rows: usize,
    /// The energy average, Leq; nothing when all rows count as silent.
    pub leq: Option<Level>,
    /// The same with readings below the meter's range taken as no sound at all: the other end of what it may be.
    pub leq_silent: Option<Level>,
    /// The highest level.
    pub max: Level,
    /// The lowest level.
    pub min: Level,
    /// Exceeded 10 % of the time.
    pub l10: Level,
    /// Exceeded half of the time.
    pub l50: Level,
    /// Exceeded 90 % of the time.
    pub l90: Level,
    /// Minute by minute; minutes without rows are not there.
    pub minutes: Vec<Minute>,
}

/// The figures of a whole log.
///
/// `Leq = 10·lg (Σ 10^(Li/10) / n)`; percentiles by linear interpolation between order statistics (type 7).
///
/// # Source
///
/// ISO 1996-1 for Leq and for percentiles as levels exceeded, from memory; the interpolation is the one that numpy's
/// `percentile` does by default.
#[inline(never)]
pub fn statistics(log: &Log) -> Statistics {
    match (&log.levels, &log.counts) {
        (Levels::Tenths(values) | Levels::Hundredths(values), Some(counts)) => of_steps(log, values, counts),
        (Levels::Single(values), _) => of_singles(log, values),
        (_, None) => of_singles(log, &log.levels(0..log.len()).collect::<Vec<f32>>()),
    }
}

/// From whole steps of a decibel: the count of each gives everything but the minutes.
#[inline(never)]
fn of_steps(log: &Log, values: &[i16], counts: &Counts) -> Statistics {
    let energies: Vec<f64> = (0..counts.each.len()).map(|place| Level(counts.level(place)).to_energy().0).collect();
    let table = Table { lowest: counts.lowest, energies: &energies };
    let total: f64 = counts.each.iter().zip(&energies).map(|(count, energy)| f64::from(*count) * energy).sum();
    let at = |rank: usize| {
        let mut passed = 0;
        let place = counts.each.iter().position(|count| {
            passed += *count as usize;
            passed > rank
        });
        counts.level(place.unwrap_or(0))
    };
    let (lowest, highest) = counts.ends();
    let extremes = (counts.level(highest), counts.level(lowest));
    let below: f64 = log.marks.iter().filter(|mark| mark.below).map(|mark| table.sum(marked(values, *mark))).sum();
    put_together(log, &Sums { total, below }, extremes, at, |minutes| by_minute(log, values, |values| table.sum(values), minutes))
}

/// The energies of whole steps of a decibel.
#[derive(Clone, Copy)]
struct Table<'a> {
    lowest: i16,
    energies: &'a [f64],
}

impl Table<'_> {
    /// The energies of some rows together.
    #[inline(never)]
    fn sum(self, values: &[i16]) -> f64 {
        values.iter().map(|value| self.energies.get(place(*value, self.lowest)).copied().unwrap_or(0.0)).sum()
    }
}

/// From levels of any fineness.
fn of_singles(log: &Log, values: &[f32]) -> Statistics {
    let total: f64 = values.chunks(PIECE).map(sum_of_singles).sum();
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f32::total_cmp);
    let at = |rank: usize| sorted.get(rank).copied().map_or(0.0, f64::from);
    let extremes = (at(values.len().saturating_sub(1)), at(0));
    let below: f64 = log.marks.iter().filter(|mark| mark.below).map(|mark| sum_of_singles(marked(values, *mark))).sum();
    put_together(log, &Sums { total, below }, extremes, at, |minutes| by_minute(log, values, sum_of_singles, minutes))
}

#[inline(never)]
fn sum_of_singles(values: &[f32]) -> f64 {
    values.iter().map(|value| Level(f64::from(*value)).to_energy().0).sum()
}

fn marked<T>(values: &[T], mark: Mark) -> &[T] {
    values.get(mark.row as usize..(mark.row + mark.count) as usize).unwrap_or_default()
}

/// Energies of all rows, and of those below the meter's range.
struct Sums {
    total: f64,
    below: f64,
}

fn put_together(
    log: &Log,
    sums: &Sums,
    extremes: (f64, f64),
    at: impl Fn(usize) -> f64,
    by_minute: impl FnOnce(&mut Vec<Minute>),
) -> Statistics {
    let rows = log.len();
    let mean = |energy: f64| Energy(energy / count_to_f64(rows)).to_level();
    let silent = mean((sums.total - sums.below).max(0.0)).filter(|_| sums.total > sums.below);
    let leq = if log.silent_rows().is_empty() { mean(sums.total) } else { silent };
    let exceeded = |share: f64| {
        let rank = (1.0 - share) * count_to_f64(rows.saturating_sub(1));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rank from 0 to the number of rows")]
        let whole = rank.floor() as usize;
        let (low, high) = (at(whole), at((whole + 1).min(rows.saturating_sub(1))));
        Level(low + (rank - rank.floor()) * (high - low))
    };
    let mut minutes = Vec::new();
    by_minute(&mut minutes);
    Statistics {
        rows,
        leq,
        leq_silent: if log.marks.iter().any(|mark| mark.below) { silent } else { leq },
        max: Level(extremes.0),
        min: Level(extremes.1),
        l10: exceeded(0.1),
        l50: exceeded(0.5),
        l90: exceeded(0.9),
        minutes,
    }
}

/// Goes through the rows minute by minute of the clock.
fn by_minute<T>(log: &Log, values: &[T], energy: impl Fn(&[T]) -> f64, out: &mut Vec<Minute>) {
    let origin = log.start.clock_s.map_or(0, |clock| round(clock * i64_to_f64(SECOND)));
    let mut silent = log.silent_rows().iter().copied().filter(|mark| mark.below).peekable();
    let mut current: Option<(i64, f64, u32)> = None;
    let mut add = |minute: i64, sum: f64, rows: u32| match &mut current {
        Some((now, total, count)) if *now == minute => {
            *total += sum;
            *count += rows;
        }
        _ => {
            if let Some(done) = current.replace((minute, sum, rows)) {
                out.push(minute_of(done));
            }
        }
    };
    for (place, span) in log.spans.iter().enumerate() {
        let end = log.spans.get(place + 1).map_or(values.len(), |next| next.row as usize);
        let mut row = span.row as usize;
        while row < end {
            let at = origin + span.at + span.step * (i64::try_from(row).unwrap_or(0) - i64::from(span.row));
            let minute = at.div_euclid(MINUTE);
            let many = rows_left(*span, at, minute).min(end - row);
            let rows = values.get(row..row + many).unwrap_or_default();
            let mut sum = energy(rows);
            // Rows that count as silent give nothing back.
            while let Some(mark) = silent.peek() {
                let (from, to) = ((mark.row as usize).max(row), ((mark.row + mark.count) as usize).min(row + many));
                if from < to {
                    sum -= energy(values.get(from..to).unwrap_or_default());
                }
                if (mark.row + mark.count) as usize > row + many {
                    break;
                }
                silent.next();
            }
            add(minute, sum, u32::try_from(many).unwrap_or(u32::MAX));
            row += many;
        }
    }
    out.extend(current.map(minute_of));
}

/// How many rows of a span begin from `at` to the end of the minute; one or more.
fn rows_left(span: Span, at: i64, minute: i64) -> usize {
    if span.step <= 0 {
        return usize::MAX / 2;
    }
    let left = (minute + 1) * MINUTE - at;
    usize::try_from((left + span.step - 1) / span.step).unwrap_or(1).max(1)
}

fn minute_of((minute, sum, rows): (i64, f64, u32)) -> Minute {
    // What is left after taking silent rows away may be no more than rounding.
    let level = Energy(sum / f64::from(rows)).to_level().filter(|level| level.0 > -60.0);
    Minute { minute, level, rows }
}
