//! Lines into cells, and cells into numbers and levels.

use super::wanted::Separator;
use crate::units::Weighting;

/// A cell: where its text stands in the line, quotes and outer blanks left away.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Cell {
    pub(super) start: usize,
    pub(super) end: usize,
}

impl Cell {
    /// The cell's text.
    pub(super) fn of(self, line: &[u8]) -> &[u8] {
        line.get(self.start..self.end).unwrap_or_default()
    }
}

/// Splits a line; what `cells` held before is dropped.
#[inline(never)]
pub(super) fn split(line: &[u8], separator: Separator, cells: &mut Vec<Cell>) {
    cells.clear();
    if let Some(byte) = separator.byte() {
        split_at(line, byte, cells);
    } else {
        tokens(line, cells);
        join(line, cells);
    }
}

/// Cells between separators. A cell that begins with a quote ends with the next single one; doubled quotes stay in it.
fn split_at(line: &[u8], separator: u8, cells: &mut Vec<Cell>) {
    let mut at = 0;
    loop {
        let rest = line.get(at..).unwrap_or_default();
        let blanks = rest.iter().position(|byte| *byte != b' ').unwrap_or(0);
        let (cell, end) = if rest.get(blanks) == Some(&b'"') {
            let start = at + blanks + 1;
            let close = closing(line, start);
            let after = line.get(close..).unwrap_or_default().iter().position(|byte| *byte == separator);
            (trimmed(line, start, close), after.map(|place| close + place))
        } else {
            let place = rest.iter().position(|byte| *byte == separator).map(|place| at + place);
            (trimmed(line, at, place.unwrap_or(line.len())), place)
        };
        cells.push(cell);
        match end {
            Some(end) => at = end + 1,
            None => return,
        }
    }
}

/// Where the quote stands that closes a cell beginning at `start`, or the end of the line.
fn closing(line: &[u8], start: usize) -> usize {
    let mut at = start;
    while let Some(byte) = line.get(at) {
        if *byte == b'"' {
            if line.get(at + 1) != Some(&b'"') {
                return at;
            }
            at += 1;
        }
        at += 1;
    }
    line.len()
}

fn trimmed(line: &[u8], start: usize, end: usize) -> Cell {
    let (mut start, mut end) = (start, end);
    let blank = |at: usize| line.get(at).is_some_and(|byte| matches!(byte, b' ' | b'\t'));
    while start < end && blank(start) {
        start += 1;
    }
    while end > start && blank(end - 1) {
        end -= 1;
    }
    Cell { start, end }
}

/// Runs of what is not blank. Quotes keep blanks together.
fn tokens(line: &[u8], cells: &mut Vec<Cell>) {
    let mut at = 0;
    while at < line.len() {
        match line.get(at) {
            Some(b' ' | b'\t') => at += 1,
            Some(b'"') => {
                let close = closing(line, at + 1);
                cells.push(trimmed(line, at + 1, close));
                at = close + 1;
            }
            _ => {
                let rest = line.get(at..).unwrap_or_default();
                let long = rest.iter().position(|byte| matches!(byte, b' ' | b'\t')).unwrap_or(rest.len());
                cells.push(Cell { start: at, end: at + long });
                at += long;
            }
        }
    }
}

/// Puts together what blanks have torn apart: a number and its unit, a clock and its half of the day, a date with a month's name,
/// a name and its unit in brackets.
fn join(line: &[u8], cells: &mut Vec<Cell>) {
    let mut kept = 0;
    let mut at = 0;
    while let Some(&cell) = cells.get(at) {
        let mut whole = cell;
        let used = belonging(line, cells.get(at..).unwrap_or_default());
        if let Some(last) = cells.get(at + used - 1) {
            whole.end = last.end;
        }
        at += used;
        if let Some(place) = cells.get_mut(kept) {
            *place = whole;
        }
        kept += 1;
    }
    cells.truncate(kept);
}

/// How many of these cells belong together with the first one; one or more.
fn belonging(line: &[u8], cells: &[Cell]) -> usize {
    let text = |place: usize| cells.get(place).map(|cell| cell.of(line)).unwrap_or_default();
    let (first, second, third) = (text(0), text(1), text(2));
    let digits = |text: &[u8]| text.first().is_some_and(u8::is_ascii_digit);
    let named = |text: &[u8]| text.len() >= 3 && text.iter().all(|byte| byte.is_ascii_alphabetic() || *byte >= 0x80 || *byte == b'.');
    let dated = || cells.first().is_some_and(|cell| super::clock::stamp(spaced(line, *cell, cells.get(2)), false).is_some());
    // “1 Apr 2 2031”: a row’s number before a date.
    let numbered = third.len() <= 2 && matches!(text(3).len(), 2 | 4) && text(3).iter().all(u8::is_ascii_digit);
    let day_first = digits(first) && first.len() <= 4 && named(second) && !numbered;
    if digits(third) && (day_first || named(first) && digits(second)) && dated() {
        return 3;
    }
    if matches!(first, b"<" | b">" | b"<=" | b">=") && digits(second) {
        return if is_unit(third) { 3 } else { 2 };
    }
    let clock = first.contains(&b':') && is_half(second);
    let figure = is_number(first) && is_unit(second);
    let lettered = first.first().is_some_and(|byte| byte.is_ascii_alphabetic() || *byte >= 0x80);
    let name = lettered && second.first().is_some_and(|byte| matches!(byte, b'[' | b'('));
    if clock || figure || name { 2 } else { 1 }
}

/// The text from one cell to another, blanks included.
fn spaced<'a>(line: &'a [u8], first: Cell, last: Option<&Cell>) -> &'a [u8] {
    line.get(first.start..last.map_or(first.end, |last| last.end)).unwrap_or_default()
}

fn is_half(text: &[u8]) -> bool {
    ["am", "pm", "a.m.", "p.m."].iter().any(|half| text.eq_ignore_ascii_case(half.as_bytes()))
}

fn is_number(text: &[u8]) -> bool {
    text.first().is_some_and(|byte| byte.is_ascii_digit() || matches!(byte, b'-' | b'+' | b'<' | b'>' | b'.'))
        && number(text, None).is_some()
}

/// Whether this is a unit that may stand after a number in a cell.
fn is_unit(text: &[u8]) -> bool {
    let starts = |unit: &str| text.get(..unit.len()).is_some_and(|start| start.eq_ignore_ascii_case(unit.as_bytes()));
    starts("db") && text.len() <= 6 || starts("°") && text.len() <= 4 || matches!(text, b"%" | b"s" | b"sec" | b"ms" | b"V" | b"hPa")
}

/// Which side of its number the true value lies on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Bound {
    /// Below it: under the meter's range.
    Below,
    /// Above it: over the meter's range.
    Above,
}

/// A number as it is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number<'a> {
    pub(super) negative: bool,
    /// All its digits.
    pub(super) digits: u64,
    /// How many of them stand after the decimal sign.
    pub(super) decimals: u8,
    /// The decimal sign that was met.
    pub(super) sign: Option<u8>,
    pub(super) bound: Option<Bound>,
    /// What stands after it.
    pub(super) unit: &'a [u8],
    /// Where the digits stand in the cell.
    pub(super) place: (usize, usize),
}

impl Number<'_> {
    /// The number itself.
    pub(super) fn value(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "at most eighteen digits; beyond fifteen the last ones may round")]
        let value = self.digits as f64 / 10_f64.powi(i32::from(self.decimals));
        if self.negative { -value } else { value }
    }
}

/// Reads a whole cell as a number. With a decimal sign given, the other one may group thousands; without, either will do.
#[inline(never)]
pub(super) fn number(cell: &[u8], decimal: Option<u8>) -> Option<Number<'_>> {
    let mut at = 0;
    let byte = |at: usize| cell.get(at).copied();
    // Of two signs, the last is the decimal one.
    let last = |sign: u8| cell.iter().rposition(|byte| *byte == sign);
    let decimal = decimal.or_else(|| last(b'.').zip(last(b',')).map(|(point, comma)| if point > comma { b'.' } else { b',' }));
    let mut bound = None;
    if let Some(mark @ (b'<' | b'>')) = byte(0) {
        bound = Some(if mark == b'<' { Bound::Below } else { Bound::Above });
        at += 1;
        while matches!(byte(at), Some(b' ' | b'=')) {
            at += 1;
        }
    }
    let negative = byte(at) == Some(b'-');
    if negative || byte(at) == Some(b'+') {
        at += 1;
    }
    let start = at;
    let (mut digits, mut decimals, mut count, mut sign) = (0_u64, 0_u8, 0_u8, None);
    while let Some(byte) = byte(at) {
        match byte {
            b'0'..=b'9' => {
                count += 1;
                if count > 18 {
                    return None;
                }
                digits = digits * 10 + u64::from(byte - b'0');
                decimals += u8::from(sign.is_some());
            }
            b'.' | b',' if sign.is_none() && decimal.is_none_or(|decimal| decimal == byte) => sign = Some(byte),
            b'.' | b',' if sign.is_none() && count > 0 && is_group(cell, at) => {}
            _ => break,
        }
        at += 1;
    }
    // A sign with nothing behind it, as in “41.”, ends a sentence rather than a number.
    if count == 0 || (sign.is_some() && decimals == 0) {
        return None;
    }
    let end = at;
    if let Some(b'e' | b'E') = byte(at) {
        let (shift, long) = exponent(cell.get(at + 1..).unwrap_or_default())?;
        at += 1 + long;
        let places = i32::from(decimals) - shift;
        if places >= 0 {
            decimals = u8::try_from(places).ok().filter(|places| *places <= 18)?;
        } else {
            digits = digits.checked_mul(10_u64.checked_pow(places.unsigned_abs())?)?;
            decimals = 0;
        }
    }
    while byte(at) == Some(b' ') {
        at += 1;
    }
    let unit = cell.get(at..).unwrap_or_default();
    let unit_like =
        |byte: &u8| byte.is_ascii_alphanumeric() || *byte >= 0x80 || matches!(byte, b'(' | b')' | b'%' | b'/' | b'[' | b']' | b'_');
    let sound = unit.is_empty() || unit.len() <= 9 && !unit.first().is_some_and(u8::is_ascii_digit) && unit.iter().all(unit_like);
    sound.then_some(Number { negative, digits, decimals, sign, bound, unit, place: (start, end) })
}

/// Whether exactly three digits follow a sign that would group thousands.
fn is_group(cell: &[u8], at: usize) -> bool {
    let digit = |ahead: usize| cell.get(at + ahead).is_some_and(u8::is_ascii_digit);
    digit(1) && digit(2) && digit(3) && !digit(4)
}

fn exponent(text: &[u8]) -> Option<(i32, usize)> {
    let signed = matches!(text.first(), Some(b'+' | b'-'));
    let digits = text.get(usize::from(signed)..)?.iter().take_while(|byte| byte.is_ascii_digit()).count();
    if !(1..=2).contains(&digits) {
        return None;
    }
    let long = digits + usize::from(signed);
    let value: i32 = std::str::from_utf8(text.get(..long)?).ok()?.parse().ok()?;
    Some((value, long))
}

/// Why a level cell holds no level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Void {
    /// Nothing in it.
    Empty,
    /// A sign for a missing value.
    Missing,
    /// “Overload”.
    Over,
    /// “Under range”.
    Under,
    /// A number no level can be, as loggers write for a fault.
    Code,
    /// Words.
    Words,
}

/// A level cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reading {
    /// Hundredths of a decibel, where that is exact.
    pub(super) hundredths: Option<i16>,
    /// The level, dB.
    pub(super) level: f32,
    /// Whether tenths were enough.
    pub(super) tenths: bool,
    pub(super) bound: Option<Bound>,
    /// The weighting in the cell's unit.
    pub(super) weighting: Option<Weighting>,
    /// Where the digits stand in the cell.
    pub(super) place: (usize, usize),
}

/// No level lies outside of this, dB. Exactly 0 is a fault code, too: no room is that quiet to a tenth.
const LEVELS: std::ops::RangeInclusive<f64> = -30.0..=200.0;

/// Reads a level cell.
#[inline(never)]
pub(super) fn level(cell: &[u8], decimal: u8) -> Result<Reading, Void> {
    if cell.is_empty() {
        return Err(Void::Empty);
    }
    let Some(number) = number(cell, Some(decimal)) else { return Err(void(cell)) };
    if !(number.unit.is_empty() || is_decibel(number.unit) || number.unit == b"%") {
        return Err(Void::Words);
    }
    let value = number.value();
    if !LEVELS.contains(&value) || number.digits == 0 || (number.digits == 9999 && number.decimals == 1) {
        return Err(Void::Code);
    }
    let scaled = match number.decimals {
        0 => number.digits.checked_mul(100),
        1 => number.digits.checked_mul(10),
        2 => Some(number.digits),
        _ => None,
    };
    let hundredths = scaled.and_then(|scaled| i16::try_from(scaled).ok()).map(|scaled| if number.negative { -scaled } else { scaled });
    #[expect(clippy::cast_possible_truncation, reason = "levels of at most 200 dB; a single holds them to 0.00001 dB")]
    let level = value as f32;
    Ok(Reading {
        hundredths,
        level,
        tenths: hundredths.is_some_and(|scaled| scaled % 10 == 0),
        bound: number.bound,
        weighting: weighting(number.unit),
        place: number.place,
    })
}

/// Whether a unit is a decibel of some kind.
pub(super) fn is_decibel(unit: &[u8]) -> bool {
    unit.get(..2).is_some_and(|start| start.eq_ignore_ascii_case(b"db"))
}

/// The weighting that a unit names: dBA, dB(C).
pub(super) fn weighting(unit: &[u8]) -> Option<Weighting> {
    let after = if is_decibel(unit) { unit.get(2..)? } else { return None };
    let letter = after.iter().find(|byte| !matches!(byte, b'(' | b'[' | b' ' | b'_' | b'-'))?;
    match letter.to_ascii_uppercase() {
        b'A' => Some(Weighting::A),
        b'C' => Some(Weighting::C),
        b'Z' => Some(Weighting::Z),
        _ => None,
    }
}

fn void(cell: &[u8]) -> Void {
    let text = cell.strip_suffix(b"dB").unwrap_or(cell).trim_ascii();
    if !text.is_empty() && text.iter().all(|byte| matches!(byte, b'-' | b'.' | b'*' | b'_' | b'?' | b' ')) {
        return Void::Missing;
    }
    let is = |words: &[&str]| words.iter().any(|word| text.eq_ignore_ascii_case(word.as_bytes()));
    if is(&["ol", "+ol", "ovl", "ovld", "over", "overload", "overrange", "over range", "hi", "inf", "+inf", "infinity"]) {
        Void::Over
    } else if is(&["ur", "udr", "under", "underrange", "under range", "lo", "-inf", "-infinity", "-ol"]) {
        Void::Under
    } else if is(&[
        "nan", "n/a", "na", "#n/a", "#num!", "#value!", "null", "none", "nil", "err", "error", "fault", "x", "missing", "invalid",
    ]) {
        Void::Missing
    } else {
        Void::Words
    }
}

/// Whether a cell is a sign for a missing value, of any kind.
pub(super) fn is_void(cell: &[u8]) -> bool {
    !cell.is_empty() && void(cell) != Void::Words
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(line: &str, separator: Separator) -> Vec<&str> {
        let mut cells = Vec::new();
        split(line.as_bytes(), separator, &mut cells);
        cells.iter().map(|cell| std::str::from_utf8(cell.of(line.as_bytes())).unwrap()).collect()
    }

    #[test]
    fn lines_fall_into_cells() {
        assert_eq!(cells("a;;b; c ;", Separator::Semicolon), ["a", "", "b", "c", ""]);
        assert_eq!(cells("\"44,1\",\"a \"\"b\"\"\",x", Separator::Comma), ["44,1", "a \"\"b\"\"", "x"]);
        assert_eq!(cells("", Separator::Tab), [""]);
        assert_eq!(cells("31/10/31  02:59:58   <30.0 dB", Separator::Blanks), ["31/10/31", "02:59:58", "<30.0 dB"]);
        assert_eq!(cells("4/2/2031 11:59:58 AM 43.2 dBA x", Separator::Blanks), ["4/2/2031", "11:59:58 AM", "43.2 dBA", "x"]);
        assert_eq!(cells(" 2 Apr 2031 19:00 41.0", Separator::Blanks), ["2 Apr 2031", "19:00", "41.0"]);
        assert_eq!(cells("Apr 2, 2031 19:00 < 41.0 dB", Separator::Blanks), ["Apr 2, 2031", "19:00", "< 41.0 dB"]);
        assert_eq!(cells("t [s]  LAF (dB)", Separator::Blanks), ["t [s]", "LAF (dB)"]);
    }

    #[test]
    fn levels_are_read_or_it_is_said_why_not() {
        let read = |cell: &str| level(cell.as_bytes(), b'.').map(|reading| (reading.hundredths, reading.bound));
        assert_eq!(read("41.2"), Ok((Some(4120), None)));
        assert_eq!(read("-3.25 dB"), Ok((Some(-325), None)));
        assert_eq!(read("41"), Ok((Some(4100), None)));
        assert_eq!(read("4.12e1"), Ok((Some(4120), None)));
        assert_eq!(read("<30.0 dB"), Ok((Some(3000), Some(Bound::Below))));
        assert_eq!(read("41.234"), Ok((None, None)));
        assert!((level(b"41.234", b'.').unwrap().level - 41.234).abs() < 1e-5);
        assert_eq!(level(b"43.2 dB(C)", b'.').unwrap().weighting, Some(Weighting::C));
        for (cell, why) in [
            ("", Void::Empty),
            ("---", Void::Missing),
            ("OL", Void::Over),
            ("-inf", Void::Under),
            ("999.9", Void::Code),
            ("0.0", Void::Code),
            ("41.2 °C", Void::Words),
            ("41,2", Void::Words),
            ("AVG", Void::Words),
            ("41.2.3", Void::Words),
        ] {
            assert_eq!(read(cell), Err(why), "{cell}");
        }
    }
}
