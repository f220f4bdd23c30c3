//! The one place where text becomes a number and a number becomes text.

use super::decimal;
use super::error::Problem;
use super::quantity::{Precision, Quantity, Unit};
use crate::text::{Arg, Said, Style, common_words as words, say};
use crate::units::Weighting;

/// Narrow no-break space, between a number and its unit.
const UNIT_SPACE: char = '\u{202f}';
/// Thin space, between groups of three digits.
const GROUP_SPACE: char = '\u{2009}';
/// The true minus sign.
const MINUS: char = '\u{2212}';

/// A number as typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Typed {
    /// The value in the unit that was typed.
    pub value: f64,
    /// The unit that was typed; `None` when none was.
    pub unit: Option<&'static Unit>,
    /// The value in the base unit of the quantity.
    pub base: f64,
    /// What to say when the text could have been read otherwise.
    pub read_as: Option<ReadAs>,
    /// Whether a decimal sign was typed: `41.0` says that the meter shows tenths, `41` leaves it open.
    pub marked: bool,
}

/// How an unclear comma was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadAs {
    /// `1,234`: the comma was taken as a decimal sign.
    Decimal,
    /// `1.234,5` or `1,234.5`: the last sign is the decimal sign, the others are groups.
    Groups,
}

impl Typed {
    /// The weighting named by the unit, as in `41 dB(C)`.
    pub fn weighting(&self) -> Option<Weighting> {
        match self.unit?.id {
            "dBA" => Some(Weighting::A),
            "dBC" => Some(Weighting::C),
            "dBZ" => Some(Weighting::Z),
            _ => None,
        }
    }

    /// What to say beside the field, if anything.
    pub fn remark(&self, quantity: Quantity) -> Option<Said> {
        let msg = match self.read_as? {
            ReadAs::Decimal => words::READ_DECIMAL,
            ReadAs::Groups => words::READ_GROUPS,
        };
        let value =
            Arg::Typed(format!("{}{}", decimal::shortest(self.value), suffix(self.unit.map_or(quantity.symbol(), |unit| unit.symbol))));
        Some(say(msg).with("value", value))
    }

    /// How a link writes it: shortest exact digits, a point, the unit's id if one was typed and it is not the base unit.
    pub fn canonical(&self, quantity: Quantity) -> String {
        let base_id = quantity.units().first().map_or("", |unit| unit.id);
        let unit = self.unit.map_or("", |unit| unit.id);
        format!("{}{}", decimal::shortest(self.value), if unit == base_id { "" } else { unit })
    }
}

/// No real value here is larger; up to here every digit can be written.
const MOST: f64 = 1e15;
/// What is smaller is taken for nothing: no link could write it.
const LEAST: f64 = 1e-12;

/// Reads a number: decimal comma or point, any space or thin space between groups, a true minus, `1e-3`, a unit after it.
///
/// # Errors
///
/// [`Problem::Missing`] for nothing but blanks, [`Problem::NotANumber`] for text, `NaN` and `inf`,
/// [`Problem::NotFinite`] for what no real value reaches, [`Problem::UnknownUnit`] for a number with a unit of another quantity.
pub fn parse(text: &str, quantity: Quantity) -> Result<Typed, Problem> {
    let trimmed = text.trim();
    if trimmed.is_empty() {
        return Err(Problem::Missing);
    }
    let not_a_number = || Problem::NotANumber { found: shorten(trimmed) };
    let (digits, tail) = split_unit(trimmed);
    let (plain, read_as) = plain_digits(digits).ok_or_else(not_a_number)?;
    let value = decimal::read(&plain).ok_or_else(not_a_number)?;
    if value.abs() > MOST {
        return Err(Problem::NotFinite { found: shorten(trimmed) });
    }
    let value = if value.abs() < LEAST { 0.0 } else { value };
    let unit = if tail.is_empty() { None } else { Some(find_unit(tail, quantity)?) };
    // A bare number is in the base unit; a bare 60 of a share is 60 %.
    let base = unit.or(quantity.units().first()).map_or(value, |unit| unit.to_base(value));
    if base.abs() > MOST {
        return Err(Problem::NotFinite { found: shorten(trimmed) });
    }
    Ok(Typed { value, unit, base, read_as, marked: plain.contains('.') })
}

/// Splits `12 cfm` into `12` and `cfm`. The first part is empty when the text does not begin with a number.
pub fn split_unit(text: &str) -> (&str, &str) {
    let mut end = 0;
    let mut seen_digit = false;
    let mut chars = text.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let next = at + c.len_utf8();
        if c.is_ascii_digit() {
            seen_digit = true;
            end = next;
        } else if matches!(c, 'e' | 'E') && seen_digit {
            let exponent = text.get(next..).unwrap_or_default();
            let signless = exponent.strip_prefix(['-', '+', MINUS]).unwrap_or(exponent);
            if !signless.starts_with(|c: char| c.is_ascii_digit()) {
                break;
            }
            if exponent.len() != signless.len() {
                chars.next();
            }
        } else if matches!(c, '.' | ',' | '\'' | '’') || c.is_whitespace() || (!seen_digit && matches!(c, '-' | '+' | MINUS | '–')) {
        } else {
            break;
        }
    }
    // A decimal sign may end the number while it is being typed: "46.".
    let rest = text.get(end..).unwrap_or_default();
    let dot = rest.strip_prefix(['.', ',']).map_or(end, |_| end + 1);
    let end = if seen_digit { dot } else { end };
    (text.get(..end).unwrap_or_default(), text.get(end..).unwrap_or_default().trim())
}

/// The same number with only digits, sign, point and exponent, and whether it was unclear.
fn plain_digits(digits: &str) -> Option<(String, Option<ReadAs>)> {
    let mut plain = String::with_capacity(digits.len());
    for c in digits.trim().chars() {
        match c {
            MINUS | '–' => plain.push('-'),
            c if c.is_whitespace() && matches!(plain.as_str(), "-" | "+") => {}
            c if c.is_whitespace() || matches!(c, '\'' | '’') => plain.push(' '),
            c => plain.push(c),
        }
    }
    // A space groups thousands; "4 1" is two numbers, not one.
    if plain.contains(' ') {
        let whole = plain.split(['.', ',']).next().unwrap_or_default();
        if !well_grouped(whole, ' ') || plain.matches(' ').count() != whole.matches(' ').count() {
            return None;
        }
        plain.retain(|c| c != ' ');
    }
    let points = plain.matches('.').count();
    let commas = plain.matches(',').count();
    let (mark, read_as) = match (points, commas) {
        (0 | 1, 0) => ('.', None),
        (0, 1) => (',', is_group_like(&plain).then_some(ReadAs::Decimal)),
        (_, 0 | 1) if commas == 1 && plain.rfind(',') > plain.rfind('.') => (',', Some(ReadAs::Groups)),
        (1, _) if plain.rfind('.') > plain.rfind(',') => ('.', Some(ReadAs::Groups)),
        (0, _) | (_, 0) => {
            let groups = if points == 0 { ',' } else { '.' };
            return well_grouped(&plain, groups).then(|| (plain.replace(groups, ""), Some(ReadAs::Groups)));
        }
        _ => return None,
    };
    let other = if mark == '.' { ',' } else { '.' };
    let whole = plain.split(mark).next().unwrap_or_default();
    if whole.contains(other) && !well_grouped(whole, other) {
        return None;
    }
    Some((plain.replace(other, "").replace(mark, "."), read_as))
}

/// Whether the digits around a single comma look like `1,234`.
fn is_group_like(plain: &str) -> bool {
    plain.trim_start_matches(['-', '+']).split_once(',').is_some_and(|(whole, rest)| {
        (1..=3).contains(&whole.len()) && !whole.starts_with('0') && rest.len() == 3 && rest.bytes().all(|b| b.is_ascii_digit())
    })
}

fn well_grouped(whole: &str, mark: char) -> bool {
    let mut groups = whole.trim_start_matches(['-', '+']).split(mark);
    groups.next().is_some_and(|first| (1..=3).contains(&first.len())) && groups.all(|group| group.len() == 3)
}

/// Finds the unit called `name`.
///
/// # Errors
///
/// [`Problem::UnknownUnit`] when the quantity has no unit of that name.
pub fn find_unit(name: &str, quantity: Quantity) -> Result<&'static Unit, Problem> {
    let folded: String = name.chars().filter(|c| !c.is_whitespace()).map(|c| c.to_ascii_lowercase()).collect();
    let matches = |unit: &&Unit| unit.id.eq_ignore_ascii_case(&folded) || unit.spellings.contains(&folded.as_str());
    quantity.units().iter().find(matches).ok_or_else(|| Problem::UnknownUnit { found: shorten(name), quantity })
}

/// The start of a text, for quoting it in a message.
pub(super) fn shorten(text: &str) -> String {
    const MOST: usize = 24;
    if text.chars().count() <= MOST { text.to_owned() } else { text.chars().take(MOST).chain(['…']).collect() }
}

/// Several eye readings in one field: `41 42 41,5`, `41; 42; 41.5`, `41, 42`.
///
/// # Errors
///
/// The first problem found, as in [`parse`].
pub fn parse_several(text: &str, quantity: Quantity) -> Result<Vec<Typed>, Problem> {
    let parts = split_several(text);
    if parts.is_empty() {
        return Err(Problem::Missing);
    }
    parts.into_iter().map(|part| parse(&part, quantity)).collect()
}

/// A blank, a semicolon, a line end, or a comma with a blank after it parts two readings; a unit stays with its number.
fn split_several(text: &str) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    for piece in text.split([';', '\n', '\t', '|']) {
        for word in piece.split_whitespace() {
            let word = word.trim_end_matches(',');
            let starts_number = word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | MINUS | '–' | '.' | ','));
            match parts.last_mut() {
                Some(last) if !starts_number && !word.is_empty() && last.chars().all(|c| c.is_ascii() && !c.is_ascii_alphabetic()) => {
                    last.push_str(word);
                }
                _ if word.is_empty() => {}
                _ => parts.push(word.to_owned()),
            }
        }
    }
    // Readings joined by commas alone, as links write them: "41,42,41.5" has more than one comma, or a comma and a point.
    if let [only] = parts.as_slice() {
        let commas = only.matches(',').count();
        if commas >= 2 || (commas == 1 && only.contains('.')) {
            let split: Vec<String> = only.split(',').map(str::to_owned).collect();
            if split.iter().all(|part| part.trim_start_matches(['-', MINUS]).starts_with(|c: char| c.is_ascii_digit())) {
                return split;
            }
        }
    }
    parts
}

/// A value with its unit, in the digits it has earned: `−1.2 dB`.
pub fn show(value: f64, quantity: Quantity, style: Style) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    format!("{}{}", digits(quantity.shown_value(value), quantity.precision(), style), suffix(quantity.symbol()))
}

/// A value with its unit, in the digits it takes, six after the decimal sign at most: what was typed, or may be typed.
pub fn show_as_typed(value: f64, quantity: Quantity, style: Style) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    format!("{}{}", digits(quantity.shown_value(value), Precision::Exact, style), suffix(quantity.symbol()))
}

/// A value with its ±: `1.2 ± 0.7 dB`. The ± is never shown as zero.
pub fn show_plus_minus(value: f64, half_width: f64, quantity: Quantity, style: Style) -> String {
    let is_exact = half_width == 0.0 && !matches!(quantity.precision(), Precision::Decimals(_));
    if !value.is_finite() || !half_width.is_finite() || is_exact {
        return show(value, quantity, style);
    }
    let precision = quantity.precision();
    let shown = quantity.shown_value(half_width.abs());
    let least = match precision {
        Precision::Decimals(places) => 10_f64.powi(-i32::try_from(places).unwrap_or(0)),
        Precision::Significant(_) | Precision::UpTo(_) | Precision::Exact => 0.0,
    };
    let (value, half) = (quantity.shown_value(value), shown.max(least));
    let precision = match precision {
        // Digits of the value beyond those of its ± say nothing.
        Precision::Significant(_) | Precision::UpTo(_) => Precision::Decimals(places_for(half, 2)),
        other => other,
    };
    format!("{} ± {}{}", digits(value, precision, style), digits(half, precision, style), suffix(quantity.symbol()))
}

/// The bare number for copying and for tables with the unit in the heading: no groups, no unit, a plain hyphen.
pub fn copyable(value: f64, quantity: Quantity, style: Style) -> String {
    if !value.is_finite() {
        return String::new();
    }
    digits(quantity.shown_value(value), quantity.precision(), style).replace(GROUP_SPACE, "").replace(MINUS, "-")
}

/// The number a field shows when the page itself fills it in: shortest exact digits with the person's decimal sign.
pub fn editable(value: f64, style: Style) -> String {
    decimal::shortest(value).replace('.', &style.decimal.to_string())
}

/// A level the page fills in elsewhere, as a person would type it: with its tenth and a point.
pub fn tenth(value: f64) -> String {
    decimal::fixed(value, 1)
}

/// A value for the working: four digits beyond what matters, no unit.
pub fn working(value: f64, style: Style) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    let size = value.abs();
    let places = if size >= 1e4 {
        0
    } else if size >= 0.001 || size == 0.0 {
        4
    } else {
        8
    };
    digits(value, Precision::Decimals(places), style)
}

fn suffix(symbol: &str) -> String {
    match symbol {
        "" => String::new(),
        "°" => symbol.to_owned(),
        _ => format!("{UNIT_SPACE}{symbol}"),
    }
}

fn places_for(value: f64, significant: usize) -> usize {
    if value <= 0.0 {
        return 0;
    }
    let mut places = significant.saturating_sub(1);
    let mut scale = value;
    while scale < 1.0 && places < 9 {
        scale *= 10.0;
        places += 1;
    }
    while scale >= 10.0 && places > 0 {
        scale /= 10.0;
        places -= 1;
    }
    places
}

fn without_zeros(fixed: String) -> String {
    if fixed.contains('.') { fixed.trim_end_matches('0').trim_end_matches('.').to_owned() } else { fixed }
}

fn digits(value: f64, precision: Precision, style: Style) -> String {
    let mut text = match precision {
        Precision::Decimals(places) => decimal::fixed(value, places),
        Precision::Significant(count) => decimal::fixed(value, places_for(value.abs(), count)),
        Precision::UpTo(count) => without_zeros(decimal::fixed(value, places_for(value.abs(), count))),
        Precision::Exact => without_zeros(decimal::fixed(value, 6)),
    };
    let negative = text.starts_with('-');
    if negative {
        text.remove(0);
    }
    let is_zero = text.bytes().all(|b| matches!(b, b'0' | b'.'));
    let (whole, fraction) = text.split_once('.').unwrap_or((&text, ""));
    let mut out = String::with_capacity(text.len() + 6);
    if negative && !is_zero {
        out.push(MINUS);
    }
    let lead = whole.len() % 3;
    for (at, c) in whole.chars().enumerate() {
        if whole.len() > 4 && at > 0 && at % 3 == lead {
            out.push(GROUP_SPACE);
        }
        out.push(c);
    }
    if !fraction.is_empty() {
        out.push(style.decimal);
        out.push_str(fraction);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> f64 {
        parse(text, Quantity::Level(Weighting::A)).unwrap().base
    }

    #[test]
    fn comma_point_spaces_minus_exponent_and_units_are_read() {
        for (text, value) in [
            ("46.1", 46.1),
            ("46,1", 46.1),
            (" 46,1 dB ", 46.1),
            ("46.1dB(A)", 46.1),
            ("46.", 46.0),
            ("\u{2212}3", -3.0),
            ("-3.5", -3.5),
            ("1\u{2009}234.5", 1234.5),
            ("1e-3", 0.001),
            ("1E3", 1000.0),
            ("1.234,5", 1234.5),
            ("1,234.5", 1234.5),
            ("1,234,567", 1_234_567.0),
            ("+4", 4.0),
        ] {
            assert!((read(text) - value).abs() < 1e-12, "{text}: {}", read(text));
        }
    }

    #[test]
    fn a_share_is_in_per_cent_with_and_without_its_sign() {
        for text in ["10", "10 %", "10pc"] {
            assert!((parse(text, Quantity::Share).unwrap().base - 0.1).abs() < 1e-12, "{text}");
        }
    }

    #[test]
    fn an_unclear_comma_is_answered() {
        let typed = parse("1,234", Quantity::Plain).unwrap();
        assert!((typed.base - 1.234).abs() < 1e-12);
        assert!(typed.remark(Quantity::Plain).unwrap().text(Style::default()).starts_with("read as 1.234"));
        assert_eq!(parse("41,5", Quantity::Plain).unwrap().read_as, None);
        assert_eq!(parse("0,125", Quantity::Plain).unwrap().read_as, None);
    }

    #[test]
    fn what_is_no_number_is_refused_by_name() {
        for text in ["NaN", "inf", "-inf", "loud", "1.2.3", "--4", "1,23,4", "dB", "4 1 dB x"] {
            assert!(parse(text, Quantity::Gain).is_err(), "{text}");
        }
        assert!(matches!(parse("1e309", Quantity::Gain), Err(Problem::NotFinite { .. })));
        assert!(matches!(parse("41 rpm", Quantity::Gain), Err(Problem::UnknownUnit { .. })));
        assert!(matches!(parse("  ", Quantity::Gain), Err(Problem::Missing)));
    }

    #[test]
    fn several_readings_in_one_field() {
        for text in ["41 42 41.5", "41; 42; 41,5", "41, 42, 41.5", "41 dB 42 dB 41,5 dB", "41,42,41.5", "41\n42\n41.5"] {
            let values: Vec<f64> = parse_several(text, Quantity::Gain).unwrap().iter().map(|typed| typed.base).collect();
            assert_eq!(values.len(), 3, "{text}: {values:?}");
            assert!((values[2] - 41.5).abs() < 1e-12, "{text}: {values:?}");
        }
        assert_eq!(parse_several("41,5", Quantity::Gain).unwrap().len(), 1);
    }

    #[test]
    fn numbers_are_shown_with_true_minus_thin_groups_and_no_negative_zero() {
        let style = Style::default();
        assert_eq!(show(-1.25, Quantity::Gain, style), "\u{2212}1.3\u{202f}dB");
        assert_eq!(show(-0.04, Quantity::Gain, style), "0.0\u{202f}dB");
        assert_eq!(show(54511.0, Quantity::Rotation, style), "54\u{2009}511\u{202f}rpm");
        assert_eq!(show(f64::NAN, Quantity::Gain, style), "—");
        assert_eq!(show(0.474, Quantity::Share, style), "47\u{202f}%");
        assert_eq!(show_plus_minus(1.2, 0.707, Quantity::Gain, Style { decimal: ',', ..style }), "1,2 ± 0,7\u{202f}dB");
        assert_eq!(show_plus_minus(1.2, 0.01, Quantity::Gain, style), "1.2 ± 0.1\u{202f}dB");
        assert_eq!(copyable(-1234.56, Quantity::Money, style), "-1234.56");
        assert_eq!(show(3.125, Quantity::Travel, style), "3.125\u{202f}µm");
        assert_eq!(show(100.0, Quantity::Travel, style), "100\u{202f}µm");
        assert_eq!(show(266.666_666_7, Quantity::StepsPerMillimetre, style), "266.666667\u{202f}steps/mm");
    }

    #[test]
    fn canonical_text_is_short_exact_and_keeps_the_unit() {
        let typed = parse("12,50 cfm", Quantity::Flow).unwrap();
        assert_eq!(typed.canonical(Quantity::Flow), "12.5cfm");
        let back = parse("12.5cfm", Quantity::Flow).unwrap();
        assert!((typed.base - back.base).abs() < 1e-12);
        assert_eq!(parse("-0", Quantity::Gain).unwrap().canonical(Quantity::Gain), "0");
    }
}
