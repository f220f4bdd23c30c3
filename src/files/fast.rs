//! The quick way for rows that look like the row before.
//!
//! Almost every row of a log differs from the one before it in its minutes, its seconds and its level only. Once a row has
//! been read the long way, its shape is kept: all bytes up to the level, with the digits of minutes and seconds left open, and
//! what follows the level. A row of that shape is read by comparing a few words; any other row goes the long way. Both ways
//! give the same result.

use super::clock::{RawClock, SECOND};

/// The longest beginning of a row that is compared, bytes.
const HEAD: usize = 32;
/// How many bytes must follow, so that a row can be compared without looking where it ends.
const AHEAD: usize = HEAD + 32;

/// The shape of a row.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shape {
    words: [u64; HEAD / 8],
    masks: [u64; HEAD / 8],
    /// Where the digits of the minutes begin, and those of a fraction.
    minutes: usize,
    fraction: (usize, usize),
    /// Where the level begins.
    level: usize,
    decimal: u8,
    separator: u8,
    /// What follows the level: a unit, a quote.
    after: [u8; 8],
    after_long: usize,
    /// The ticks of the hour.
    pub(super) base: i64,
    pub(super) day: i32,
}

/// A row read the quick way.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    pub(super) tick: i64,
    pub(super) tenths: i16,
    /// The row's length with the end of its line.
    pub(super) long: usize,
}

/// A digit's value; 10 or more when it is none.
const fn digit(byte: u8) -> u8 {
    byte.wrapping_sub(b'0')
}

/// Seconds of an hour, from minutes and seconds with a sign between.
#[inline]
fn seconds_of(digits: [u8; 5]) -> Option<i64> {
    let [tens, ones, _, second_tens, second_ones] = digits.map(digit);
    let sound = tens <= 5 && ones <= 9 && second_tens <= 5 && second_ones <= 9;
    sound.then(|| i64::from(tens) * 600 + i64::from(ones) * 60 + i64::from(second_tens) * 10 + i64::from(second_ones))
}

/// A level of one to three digits and one more, in tenths, and its length. Nothing for what may be no level after all.
#[inline]
fn tenths_of(bytes: [u8; 5], decimal: u8) -> Option<(i16, usize)> {
    let [first, second, third, fourth, fifth] = bytes;
    let (hundreds, tens, ones, tenths, long) = if third == decimal {
        (b'0', first, second, fourth, 4)
    } else if fourth == decimal {
        (first, second, third, fifth, 5)
    } else if second == decimal {
        (b'0', b'0', first, third, 3)
    } else {
        return None;
    };
    let [hundreds, tens, ones, tenths] = [hundreds, tens, ones, tenths].map(digit);
    if hundreds >= 2 || tens.max(ones).max(tenths) >= 10 {
        return None;
    }
    let value = i16::from(hundreds) * 1000 + i16::from(tens) * 100 + i16::from(ones) * 10 + i16::from(tenths);
    (value > 0).then_some((value, long))
}

impl Shape {
    /// Learns a row's shape. `clock` stands at `clock_at` in the line, the level's digits at `level`, its cell ends at `cell_end`.
    #[inline(never)]
    pub(super) fn learn(
        line: &[u8],
        clock: RawClock,
        clock_at: usize,
        level: (usize, usize),
        signs: (u8, u8),
        now: (i32, i64),
    ) -> Option<Self> {
        let (decimal, separator) = signs;
        let seconds = clock_at + clock.place.0;
        let end = clock_at + clock.place.1;
        let minutes = seconds.checked_sub(3)?;
        let digits = |from: usize, to: usize| line.get(from..to).is_some_and(|bytes| bytes.iter().all(u8::is_ascii_digit));
        let is_digit = |at: usize| digits(at, at + 1);
        let whole = clock.three && digits(minutes, minutes + 2) && !is_digit(minutes + 2) && digits(seconds, seconds + 2);
        let alone = minutes.checked_sub(1).is_none_or(|before| !is_digit(before)) && clock.digits <= 4;
        if !whole || !alone || level.0 < end || level.0 > HEAD || end > HEAD {
            return None;
        }
        let fraction = if clock.digits > 0 { (seconds + 3, end) } else { (end, end) };
        if fraction.1 - fraction.0 != usize::from(clock.digits) || (clock.digits == 0 && end != seconds + 2) {
            return None;
        }
        let mut words = [0; HEAD / 8];
        let mut masks = [0; HEAD / 8];
        for (at, byte) in line.get(..level.0)?.iter().enumerate() {
            let open =
                (minutes..minutes + 2).contains(&at) || (seconds..seconds + 2).contains(&at) || (fraction.0..fraction.1).contains(&at);
            if !open {
                let shift = 8 * (at % 8);
                *words.get_mut(at / 8)? |= u64::from(*byte) << shift;
                *masks.get_mut(at / 8)? |= 0xff << shift;
            }
        }
        let rest = line.get(level.1..)?;
        let after = rest.get(..rest.iter().position(|byte| *byte == separator).unwrap_or(rest.len()))?;
        // Where the decimal sign also separates, only quotes keep a number together.
        if decimal == separator && after.is_empty() {
            return None;
        }
        let mut kept = [0; 8];
        kept.get_mut(..after.len())?.copy_from_slice(after);
        let [_, minute, second] = clock.parts.map(i64::from);
        let base = now.1 - (minute * 60 + second) * SECOND - clock.fraction;
        Some(Self {
            words,
            masks,
            minutes,
            fraction,
            level: level.0,
            decimal,
            separator,
            after: kept,
            after_long: after.len(),
            base,
            day: now.0,
        })
    }

    /// Reads the row at the start of some bytes, if it has this shape.
    #[inline]
    pub(super) fn row(&self, bytes: &[u8]) -> Option<Row> {
        let head = bytes.first_chunk::<AHEAD>()?;
        let mut differ = 0;
        for ((word, mask), own) in self.words.iter().zip(&self.masks).zip(head.as_chunks::<8>().0) {
            differ |= (u64::from_le_bytes(*own) ^ word) & mask;
        }
        if differ != 0 {
            return None;
        }
        let seconds = seconds_of(*head.get(self.minutes..)?.first_chunk()?)?;
        let mut tick = self.base + seconds * SECOND;
        if self.fraction.0 < self.fraction.1 {
            tick += self.fraction(head)?;
        }
        let (tenths, long) = tenths_of(*head.get(self.level..)?.first_chunk()?, self.decimal)?;
        let mut end = self.level + long;
        if self.after_long > 0 {
            let after = head.get(end..end + self.after_long)?;
            if after != self.after.get(..self.after_long)? {
                return None;
            }
            end += self.after_long;
        }
        let long = match bytes.get(end)? {
            b'\n' => end + 1,
            b'\r' if bytes.get(end + 1) == Some(&b'\n') => end + 2,
            byte if *byte == self.separator => tail(bytes, end)?,
            _ => return None,
        };
        Some(Row { tick, tenths, long })
    }

    fn fraction(&self, head: &[u8]) -> Option<i64> {
        let digits = head.get(self.fraction.0..self.fraction.1)?;
        let mut value = 0;
        let mut scale = SECOND;
        for byte in digits {
            let digit = digit(*byte);
            if digit > 9 {
                return None;
            }
            scale /= 10;
            value += i64::from(digit) * scale;
        }
        Some(value)
    }
}

/// Where the line ends whose cells after the level do not matter.
fn tail(bytes: &[u8], from: usize) -> Option<usize> {
    let rest = bytes.get(from..)?;
    let rest = rest.get(..rest.len().min(super::reader::LONGEST / 2)).unwrap_or(rest);
    let end = from + rest.iter().position(|byte| matches!(byte, b'\n' | b'\r'))?;
    match (bytes.get(end), bytes.get(end + 1)) {
        (Some(b'\n'), _) => Some(end + 1),
        (Some(b'\r'), Some(b'\n')) => Some(end + 2),
        _ => None,
    }
}
