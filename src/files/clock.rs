//! Dates and times of day as loggers write them.

use super::wanted::DateOrder;

/// Ticks in a second: times are held in tenths of a millisecond.
pub(super) const SECOND: i64 = 10_000;
/// Ticks in a day.
pub(super) const DAY: i64 = 86_400 * SECOND;

/// What is known of the order of a date's three numbers from the way it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// Four digits first: year, month, day.
    YearFirst,
    /// Four digits last: day and month are to be told apart.
    YearLast,
    /// Two digits each.
    Short,
    /// A month by name.
    Named(DateOrder),
}

/// A date as it is written, its order not yet settled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct RawDate {
    pub(super) parts: [u16; 3],
    pub(super) form: Form,
    /// What stands between the numbers.
    pub(super) mark: u8,
}

impl RawDate {
    /// The day, counted from 1970-01-01, in this order; `None` when there is no such day.
    pub(super) fn day(self, order: DateOrder) -> Option<i32> {
        let order = match self.form {
            Form::YearFirst => DateOrder::YearMonthDay,
            Form::Named(order) => order,
            Form::YearLast if order == DateOrder::YearMonthDay => return None,
            Form::YearLast | Form::Short => order,
        };
        let [a, b, c] = self.parts;
        let (year, month, day) = match order {
            DateOrder::DayMonthYear => (c, b, a),
            DateOrder::MonthDayYear => (c, a, b),
            DateOrder::YearMonthDay => (a, b, c),
        };
        // Two digits: from 1980 to 2079.
        let year = if year < 80 {
            year + 2000
        } else if year < 100 {
            year + 1900
        } else {
            year
        };
        days(i32::from(year), month, day)
    }

    /// Whether the order of its numbers is open.
    pub(super) fn is_open(self) -> bool {
        matches!(self.form, Form::YearLast | Form::Short)
    }
}

/// An order in which this date exists.
pub(super) fn any_order(date: RawDate) -> DateOrder {
    let orders = [DateOrder::DayMonthYear, DateOrder::MonthDayYear, DateOrder::YearMonthDay];
    orders.into_iter().find(|order| date.day(*order).is_some()).unwrap_or(DateOrder::DayMonthYear)
}

/// Days from 1970-01-01 to a date of the Gregorian calendar; `None` when there is no such day.
pub(super) fn days(year: i32, month: u16, day: u16) -> Option<i32> {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let most = match month {
        4 | 6 | 9 | 11 => 30,
        2 => 28 + u16::from(leap),
        1..=12 => 31,
        _ => return None,
    };
    if day == 0 || day > most {
        return None;
    }
    // Years that begin in March, so that the day of a leap year comes last.
    let (month, day) = (i32::from(month), i32::from(day));
    let year = if month <= 2 { year - 1 } else { year };
    let (era, of_era) = (year.div_euclid(400), year.rem_euclid(400));
    let of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    Some(era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468)
}

/// Year, month and day of a day counted from 1970-01-01.
pub(super) fn civil(day: i32) -> (i32, u8, u8) {
    let shifted = i64::from(day) + 719_468;
    let (era, of_era) = (shifted.div_euclid(146_097), shifted.rem_euclid(146_097));
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted_month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted_month + 2) / 5 + 1;
    let month = if shifted_month < 10 { shifted_month + 3 } else { shifted_month - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    (i32::try_from(year).unwrap_or(0), u8::try_from(month).unwrap_or(1), u8::try_from(day).unwrap_or(1))
}

/// A time of day, or an elapsed time, as it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct RawClock {
    pub(super) parts: [u16; 3],
    /// Whether there are seconds.
    pub(super) three: bool,
    /// The fraction of a second, in ticks.
    pub(super) fraction: i64,
    /// How many digits of it.
    pub(super) digits: u8,
    /// Two parts and a fraction, which only minutes and seconds can have.
    pub(super) minutes: bool,
    /// Morning or afternoon, where said.
    pub(super) half: Option<bool>,
    /// Where the seconds begin and where the digits end, from the start of the cell.
    pub(super) place: (usize, usize),
}

impl RawClock {
    /// Ticks since midnight or since the start.
    pub(super) fn ticks(self, minutes_seconds: bool) -> i64 {
        let [a, b, c] = self.parts.map(i64::from);
        if !self.three && (self.minutes || minutes_seconds) {
            return (a * 60 + b) * SECOND + self.fraction;
        }
        let hour = match self.half {
            Some(afternoon) => a % 12 + if afternoon { 12 } else { 0 },
            None => a,
        };
        (hour * 3600 + b * 60 + c) * SECOND + self.fraction
    }
}

/// Date, time or both, as one cell holds them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Stamp {
    pub(super) date: Option<RawDate>,
    pub(super) clock: Option<RawClock>,
}

/// A walk through the bytes of a cell.
struct Walk<'a> {
    whole: usize,
    rest: &'a [u8],
}

impl<'a> Walk<'a> {
    const fn new(cell: &'a [u8]) -> Self {
        Self { whole: cell.len(), rest: cell }
    }

    const fn place(&self) -> usize {
        self.whole - self.rest.len()
    }

    const fn peek(&self) -> Option<u8> {
        match self.rest {
            [first, ..] => Some(*first),
            [] => None,
        }
    }

    fn eat(&mut self, byte: u8) -> bool {
        match self.rest {
            [first, later @ ..] if *first == byte => {
                self.rest = later;
                true
            }
            _ => false,
        }
    }

    fn skip(&mut self, bytes: &[u8]) {
        while let [first, later @ ..] = self.rest
            && bytes.contains(first)
        {
            self.rest = later;
        }
    }

    /// A run of digits: its value and how many they are; `None` without any, or with more than `most`.
    fn digits(&mut self, most: u8) -> Option<(u32, u8)> {
        let (mut value, mut count) = (0_u32, 0_u8);
        while let [digit @ b'0'..=b'9', later @ ..] = self.rest {
            count += 1;
            if count > most {
                return None;
            }
            value = value * 10 + u32::from(digit - b'0');
            self.rest = later;
        }
        (count > 0).then_some((value, count))
    }

    /// A run of letters, of any alphabet.
    fn word(&mut self) -> &'a [u8] {
        let end = self.rest.iter().position(|byte| !(byte.is_ascii_alphabetic() || *byte >= 0x80)).unwrap_or(self.rest.len());
        let (word, later) = self.rest.split_at_checked(end).unwrap_or((self.rest, &[]));
        self.rest = later;
        word
    }
}

/// Reads a whole cell as date, time or both, in either order.
#[inline(never)]
pub(super) fn stamp(cell: &[u8], dotted: bool) -> Option<Stamp> {
    let mut walk = Walk::new(cell);
    let found = if dotted { None } else { date(&mut walk) };
    let stamp = if let Some(date) = found {
        walk.skip(b" T,_-");
        Stamp { date: Some(date), clock: clock(&mut walk, false) }
    } else {
        walk = Walk::new(cell);
        let clock = clock(&mut walk, dotted)?;
        walk.skip(b" ,");
        let date = if walk.rest.is_empty() { None } else { Some(date(&mut walk)?) };
        Stamp { date, clock: Some(clock) }
    };
    walk.skip(b" ");
    walk.rest.is_empty().then_some(stamp)
}

/// The first date with what follows it in some line of words.
pub(super) fn first_stamp(line: &[u8]) -> Option<Stamp> {
    let mut rest = line;
    let mut before = b' ';
    while let [first, later @ ..] = rest {
        if first.is_ascii_digit() && !before.is_ascii_alphanumeric() && !matches!(before, b'.' | b'-' | b'/' | b':') {
            let mut walk = Walk::new(rest);
            if let Some(date) = date(&mut walk)
                && !walk.peek().is_some_and(|byte| byte.is_ascii_digit())
            {
                walk.skip(b" T,_-;\t|\"");
                return Some(Stamp { date: Some(date), clock: clock(&mut walk, false) });
            }
        }
        before = *first;
        rest = later;
    }
    None
}

/// The first time of day in some line of words.
pub(super) fn first_clock(line: &[u8]) -> Option<RawClock> {
    let mut rest = line;
    let mut before = b' ';
    while let [first, later @ ..] = rest {
        if first.is_ascii_digit() && !before.is_ascii_alphanumeric() && before != b':' {
            let found = clock(&mut Walk::new(rest), false);
            if found.is_some() {
                return found;
            }
        }
        before = *first;
        rest = later;
    }
    None
}

fn date(walk: &mut Walk<'_>) -> Option<RawDate> {
    if walk.peek().is_some_and(|byte| !byte.is_ascii_digit()) {
        let word = walk.word();
        if let Some(month) = month(word) {
            walk.skip(b" .-/");
            let (day, count) = walk.digits(2)?;
            walk.skip(b" .,-/");
            let (year, long) = walk.digits(4)?;
            return named([month, number(day), number(year)], DateOrder::MonthDayYear, count <= 2 && matches!(long, 2 | 4));
        }
        // A day of the week, in whatever tongue.
        if word.len() < 2 {
            return None;
        }
        walk.skip(b".");
        walk.skip(b", ");
    }
    let (a, first) = walk.digits(8)?;
    if first == 8 {
        let [year, month, day] = [a / 10_000, a / 100 % 100, a % 100].map(number);
        let sound = (1900..2100).contains(&year) && days(i32::from(year), month, day).is_some();
        return sound.then_some(RawDate { parts: [year, month, day], form: Form::YearFirst, mark: 0 });
    }
    if first > 4 || first == 3 {
        return None;
    }
    let mark = walk.peek()?;
    walk.skip(b" .-/");
    if walk.peek().is_some_and(|byte| !byte.is_ascii_digit()) {
        let month = month(walk.word())?;
        walk.skip(b" .,-/");
        let (c, last) = walk.digits(4)?;
        return if first == 4 {
            named([number(a), month, number(c)], DateOrder::YearMonthDay, last <= 2)
        } else {
            named([number(a), month, number(c)], DateOrder::DayMonthYear, matches!(last, 2 | 4))
        };
    }
    if !matches!(mark, b'.' | b'-' | b'/') {
        return None;
    }
    let (b, second) = walk.digits(2)?;
    if second > 2 || !walk.eat(mark) {
        return None;
    }
    let (c, third) = walk.digits(4)?;
    let form = match (first, third) {
        (4, 1 | 2) => Form::YearFirst,
        (1 | 2, 4) => Form::YearLast,
        (1 | 2, 2) => Form::Short,
        _ => return None,
    };
    let raw = RawDate { parts: [a, b, c].map(number), form, mark };
    let sound =
        [DateOrder::DayMonthYear, DateOrder::MonthDayYear, DateOrder::YearMonthDay].into_iter().any(|order| raw.day(order).is_some());
    sound.then_some(raw)
}

fn named(parts: [u16; 3], order: DateOrder, sound: bool) -> Option<RawDate> {
    let raw = RawDate { parts, form: Form::Named(order), mark: 0 };
    (sound && raw.day(order).is_some()).then_some(raw)
}

fn number(value: u32) -> u16 {
    u16::try_from(value).unwrap_or(u16::MAX)
}

fn clock(walk: &mut Walk<'_>, dotted: bool) -> Option<RawClock> {
    let mark = if dotted { b'.' } else { b':' };
    let (a, _) = walk.digits(3)?;
    if !walk.eat(mark) {
        return None;
    }
    let mut place = walk.place();
    let (b, second) = walk.digits(2)?;
    if second > 2 || b > 59 {
        return None;
    }
    let (mut c, mut three, mut minutes) = (0, false, false);
    if walk.eat(mark) {
        place = walk.place();
        c = walk.digits(2)?.0;
        three = true;
        if c > 60 {
            return None;
        }
    }
    let (mut fraction, mut digits) = (0, 0);
    let before = walk.rest;
    if dotted && !three {
        return None;
    }
    if walk.eat(b'.') || walk.eat(b',') || (three && walk.eat(b':')) {
        if let Some((value, count)) = walk.digits(9) {
            fraction = i64::from(value) * SECOND * 100_000 / 10_i64.pow(u32::from(count));
            // To the nearest tick.
            fraction = (fraction + 50_000) / 100_000;
            digits = count;
            minutes = !three;
        } else {
            walk.rest = before;
        }
    }
    let end = walk.place();
    let half = half(walk, a);
    zone(walk);
    Some(RawClock { parts: [a, b, c].map(number), three, fraction, digits, minutes, half, place: (place, end) })
}

/// “am” or “pm”, with stops or without.
fn half(walk: &mut Walk<'_>, hour: u32) -> Option<bool> {
    let before = walk.rest;
    walk.skip(b" ");
    let letter = walk.peek().map(|byte| byte.to_ascii_lowercase());
    if let Some(letter @ (b'a' | b'p')) = letter
        && (1..=12).contains(&hour)
    {
        let [_, later @ ..] = walk.rest else { return None };
        walk.rest = later;
        walk.eat(b'.');
        if walk.eat(b'm') || walk.eat(b'M') {
            walk.eat(b'.');
        }
        if !walk.peek().is_some_and(|byte| byte.is_ascii_alphanumeric()) {
            return Some(letter == b'p');
        }
    }
    walk.rest = before;
    None
}

/// The offset from universal time. The clock on the wall is what counts here, so it is passed over.
fn zone(walk: &mut Walk<'_>) {
    let before = walk.rest;
    if walk.eat(b'Z') {
        return;
    }
    if (walk.eat(b'+') || walk.eat(b'-')) && walk.digits(4).is_some() {
        if walk.eat(b':') && walk.digits(2).is_none() {
            walk.rest = before;
        }
    } else {
        walk.rest = before;
    }
}

/// How month names begin, in lower case without accents, in the tongues loggers are sold in. Longer beginnings stand first
/// where a shorter one would take them for another month.
const MONTHS: &[(&str, u16)] = &[
    ("marras", 11),
    ("juil", 7),
    ("cervenec", 7),
    ("cvc", 7),
    ("cerven", 6),
    ("cvn", 6),
    ("jan", 1),
    ("ene", 1),
    ("gen", 1),
    ("sty", 1),
    ("led", 1),
    ("tam", 1),
    ("oca", 1),
    ("feb", 2),
    ("fev", 2),
    ("lut", 2),
    ("uno", 2),
    ("hel", 2),
    ("sub", 2),
    ("mar", 3),
    ("mrz", 3),
    ("mrt", 3),
    ("maerz", 3),
    ("maa", 3),
    ("bre", 3),
    ("apr", 4),
    ("abr", 4),
    ("avr", 4),
    ("kwi", 4),
    ("dub", 4),
    ("huh", 4),
    ("nis", 4),
    ("may", 5),
    ("mai", 5),
    ("mag", 5),
    ("mei", 5),
    ("maj", 5),
    ("kve", 5),
    ("tou", 5),
    ("jun", 6),
    ("jui", 6),
    ("giu", 6),
    ("cze", 6),
    ("kes", 6),
    ("haz", 6),
    ("jul", 7),
    ("lug", 7),
    ("lip", 7),
    ("hei", 7),
    ("tem", 7),
    ("aug", 8),
    ("ago", 8),
    ("aou", 8),
    ("sie", 8),
    ("srp", 8),
    ("elo", 8),
    ("sep", 9),
    ("set", 9),
    ("wrz", 9),
    ("zar", 9),
    ("syy", 9),
    ("eyl", 9),
    ("oct", 10),
    ("okt", 10),
    ("ott", 10),
    ("out", 10),
    ("paz", 10),
    ("rij", 10),
    ("lok", 10),
    ("eki", 10),
    ("nov", 11),
    ("lis", 11),
    ("kas", 11),
    ("dec", 12),
    ("dez", 12),
    ("dic", 12),
    ("des", 12),
    ("gru", 12),
    ("pro", 12),
    ("jou", 12),
    ("ara", 12),
];

fn month(word: &[u8]) -> Option<u16> {
    if word.len() < 3 {
        return None;
    }
    let text = std::str::from_utf8(word).ok()?;
    let folded: String = text.chars().take(9).map(fold).collect();
    MONTHS.iter().find(|(start, _)| folded.starts_with(start)).map(|(_, month)| *month)
}

/// A letter in lower case without its accent, as far as month names need it.
pub(super) const fn fold(c: char) -> char {
    match c {
        'á' | 'à' | 'â' | 'ä' | 'ã' | 'Ä' | 'ą' => 'a',
        'é' | 'è' | 'ê' | 'ë' | 'É' | 'ě' | 'ę' => 'e',
        'í' | 'ì' | 'î' | 'ï' => 'i',
        'ó' | 'ò' | 'ô' | 'ö' | 'õ' => 'o',
        'ú' | 'ù' | 'û' | 'ü' | 'ů' | 'Ú' => 'u',
        'č' | 'ç' | 'Č' => 'c',
        'ř' | 'Ř' => 'r',
        'š' | 'ş' | 'Ş' | 'ś' => 's',
        'ž' | 'ź' | 'ż' | 'Ž' => 'z',
        'ñ' | 'ń' => 'n',
        'ğ' => 'g',
        'ł' => 'l',
        _ => c.to_ascii_lowercase(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(cell: &str) -> (Option<(i32, u8, u8)>, Option<f64>) {
        let stamp = stamp(cell.as_bytes(), false).unwrap_or_default();
        let date = stamp.date.and_then(|date| date.day(DateOrder::DayMonthYear)).map(civil);
        #[expect(clippy::cast_precision_loss, reason = "ticks of some days")]
        let clock = stamp.clock.map(|clock| clock.ticks(false) as f64 / SECOND as f64);
        (date, clock)
    }

    #[test]
    fn days_go_there_and_back() {
        for (date, day) in [((1970, 1, 1), 0), ((2000, 3, 1), 11_017), ((2031, 4, 2), 22_371), ((1969, 12, 31), -1)] {
            assert_eq!(days(date.0, date.1, date.2), Some(day));
            assert_eq!(civil(day), (date.0, u8::try_from(date.1).unwrap(), u8::try_from(date.2).unwrap()));
        }
        for day in (-200_000..200_000).step_by(37) {
            let (year, month, of_month) = civil(day);
            assert_eq!(days(year, month.into(), of_month.into()), Some(day));
        }
        assert_eq!(days(2031, 2, 29), None);
        assert_eq!(days(2032, 2, 29).map(civil), Some((2032, 2, 29)));
    }

    #[test]
    fn stamps_are_read_as_loggers_write_them() {
        let day = Some((2031, 4, 2));
        assert_eq!(read("2031-04-02T19:00:01"), (day, Some(68_401.0)));
        assert_eq!(read("2031-04-02 19:00:01.25"), (day, Some(68_401.25)));
        assert_eq!(read("02.04.2031 19:00:01,250"), (day, Some(68_401.25)));
        assert_eq!(read("2/4/31 7:00:01:250 PM"), (day, Some(68_401.25)));
        assert_eq!(read("19:00 02-04-2031"), (day, Some(68_400.0)));
        assert_eq!(read("2031-04-02T19:00:01+02:00"), (day, Some(68_401.0)));
        assert_eq!(read("20310402T19:00:01Z"), (day, Some(68_401.0)));
        assert_eq!(read("Mi, 02. April 2031 19:00"), (day, Some(68_400.0)));
        assert_eq!(read("Apr 2, 2031 12:00:00 a.m."), (day, Some(0.0)));
        assert_eq!(read("2-avr-31"), (day, None));
        assert_eq!(read("2 dubna 2031"), (day, None));
        assert_eq!(read("12:30:00 PM"), (None, Some(45_000.0)));
        assert_eq!(read("1:02.5"), (None, Some(62.5)));
        for bad in ["", "41.2", "41:2x", "32.13.2031", "19:61", "2031", "19:00:00,36.2", "19:00:00 67", "AVG", "12.05"] {
            assert_eq!(read(bad), (None, None), "{bad}");
        }
    }
}
