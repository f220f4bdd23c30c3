//! Every kind of dialect crossed with every other, by chance that can be had again.
//!
//! A made-up truth (levels, times, what is missing) is written in a made-up dialect; reading that must give the truth back.
//! `LESSDIN_SEED=… LESSDIN_ROUNDS=1` runs one round again; `LESSDIN_ROUNDS=100000` makes a long run.

use super::{read, times};
use crate::support::Dice;
use lessdin::files::statistics::statistics;
use lessdin::files::understood::{OrderFrom, Reason};
use lessdin::files::{DateOrder, Decimal, Encoding, Log, Reader, Separator, Wanted};
use std::fmt::Write;

/// What a file says, whatever way it is written.
#[derive(Clone, Debug)]
struct Truth {
    /// Ticks of 0.1 ms from the start and the level in hundredths, of the rows to be used.
    rows: Vec<(i64, i32)>,
    below: usize,
    missing: usize,
    gaps: usize,
    jumps: usize,
    step: f64,
    start: (i32, i64),
    dated: bool,
    clocked: bool,
}

/// How a file is written.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Time {
    IsoStamp,
    Stamp,
    DateAndClock,
    Clock,
    Elapsed,
    Serial,
    Epoch,
    MinutesSeconds,
    Nowhere,
    Numbered,
}

#[derive(Clone, Debug)]
#[expect(clippy::struct_excessive_bools, reason = "each is one thing a file has or has not")]
struct Dialect {
    separator: Separator,
    decimal: char,
    time: Time,
    order: DateOrder,
    mark: char,
    short_year: bool,
    month_name: Option<usize>,
    half_day: bool,
    fraction: (usize, char),
    encoding: Encoding,
    marked: bool,
    end: &'static str,
    quoted: bool,
    unit: usize,
    index: bool,
    others: bool,
    extra_levels: bool,
    head: usize,
    remarks: bool,
    foot: bool,
    trailing: usize,
    newest_first: bool,
    padding: bool,
    page: bool,
    last_end: bool,
}

const MONTHS: [[&str; 12]; 6] = [
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
    ["Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November", "Dezember"],
    ["janv", "févr", "mars", "avril", "mai", "juin", "juillet", "août", "sept", "oct", "nov", "déc"],
    ["ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic"],
    ["gen", "feb", "mar", "apr", "mag", "giu", "lug", "ago", "set", "ott", "nov", "dic"],
    ["jan", "fev", "mar", "abr", "mai", "jun", "jul", "ago", "set", "out", "nov", "dez"],
];

fn pick<T: Copy>(dice: &mut Dice, from: &[T]) -> T {
    from[dice.below(from.len())]
}

fn chance(dice: &mut Dice, one_in: usize) -> bool {
    dice.below(one_in) == 0
}

const SECOND: i64 = 10_000;
const DAY: i64 = 86_400 * SECOND;

fn dialect(dice: &mut Dice) -> Dialect {
    let separator = pick(dice, &Separator::ALL);
    let decimal = if separator == Separator::Comma && !chance(dice, 4) { '.' } else { pick(dice, &['.', ',']) };
    let time = pick(
        dice,
        &[
            Time::IsoStamp,
            Time::Stamp,
            Time::Stamp,
            Time::DateAndClock,
            Time::DateAndClock,
            Time::Clock,
            Time::Elapsed,
            Time::Serial,
            Time::Epoch,
            Time::MinutesSeconds,
            Time::Nowhere,
            Time::Numbered,
        ],
    );
    let order = pick(dice, &[DateOrder::DayMonthYear, DateOrder::MonthDayYear, DateOrder::YearMonthDay]);
    let fraction_sign = pick(dice, &['.', ',', ':']);
    let wide = chance(dice, 6);
    Dialect {
        separator,
        decimal,
        time,
        order,
        mark: pick(dice, &['.', '/', '-']),
        short_year: chance(dice, 4),
        month_name: chance(dice, 5).then(|| dice.below(MONTHS.len())),
        half_day: chance(dice, 4),
        fraction: (pick(dice, &[0, 0, 1, 2, 3]), fraction_sign),
        encoding: if wide {
            pick(dice, &[Encoding::Utf16Little, Encoding::Utf16Big])
        } else {
            pick(dice, &[Encoding::Utf8, Encoding::Utf8, Encoding::Windows1252])
        },
        marked: chance(dice, 2),
        end: pick(dice, &["\n", "\r\n", "\r"]),
        quoted: (separator == Separator::Comma && decimal == ',') || chance(dice, 6),
        unit: pick(dice, &[0, 1, 2, 3]),
        index: chance(dice, 4),
        others: chance(dice, 3),
        extra_levels: chance(dice, 3),
        head: pick(dice, &[0, 0, 3, 8, 30]),
        remarks: chance(dice, 5),
        foot: chance(dice, 4),
        trailing: pick(dice, &[0, 0, 1, 3]),
        newest_first: chance(dice, 8),
        padding: chance(dice, 8),
        page: chance(dice, 5),
        last_end: chance(dice, 2),
    }
}

/// What was found in the file's place of some fraction.
fn step_of(dice: &mut Dice, dialect: &Dialect) -> i64 {
    match dialect.time {
        Time::Elapsed => pick(dice, &[1000, 1250, 5000, SECOND, 2 * SECOND, 60 * SECOND]),
        Time::Serial => pick(dice, &[SECOND, 2 * SECOND, 60 * SECOND]),
        Time::MinutesSeconds | Time::Epoch => pick(dice, &[SECOND, 2 * SECOND, 5 * SECOND]),
        Time::Nowhere | Time::Numbered => pick(dice, &[1000, 5000, SECOND, 10 * SECOND]),
        _ => match dialect.fraction.0 {
            0 => pick(dice, &[SECOND, SECOND, 2 * SECOND, 10 * SECOND, 60 * SECOND]),
            1 => pick(dice, &[1000, 5000, SECOND]),
            2 => pick(dice, &[500, 2500, SECOND]),
            _ => pick(dice, &[1250, 1000, 100, SECOND]),
        },
    }
}

/// A row as it is to be written: ticks since 1970, hundredths; nothing for a missing level; whether below the range.
#[derive(Clone, Copy, Debug)]
struct Row {
    at: i64,
    level: Option<i32>,
    below: bool,
}

fn truth(dice: &mut Dice, dialect: &mut Dialect) -> (Truth, Vec<Row>) {
    let count = 6 + dice.below(60);
    let step = step_of(dice, dialect);
    // Over many days, so that the order of dates can be told; or within one, when it cannot.
    let day = 22_000 + i64::try_from(dice.below(3000)).unwrap();
    let of_day = if matches!(dialect.time, Time::Clock | Time::Stamp | Time::DateAndClock | Time::IsoStamp) && chance(dice, 4) {
        // Midnight in the middle.
        (DAY - step * i64::try_from(count / 2).unwrap()).rem_euclid(DAY)
    } else {
        i64::try_from(dice.below(70_000)).unwrap() * SECOND
    };
    let grid = if dialect.time == Time::Serial { of_day / (60 * SECOND) * 60 * SECOND } else { of_day };
    let started = day * DAY + grid / step.max(SECOND) * step.max(SECOND);
    let tenths = !chance(dice, 5);
    let loss = dialect.time != Time::Nowhere && chance(dice, 3);
    let (mut rows, mut written) = (Vec::new(), Vec::new());
    let (mut file, mut real) = (started, 0);
    let mut truth = Truth {
        rows: Vec::new(),
        below: 0,
        missing: 0,
        gaps: 0,
        jumps: 0,
        step: 0.0,
        start: (i32::try_from(started.div_euclid(DAY)).unwrap(), started.rem_euclid(DAY)),
        dated: false,
        clocked: false,
    };
    let timed = !matches!(dialect.time, Time::Nowhere | Time::Numbered);
    let gap_at = (timed && chance(dice, 3)).then(|| 3 + dice.below(count - 4));
    let jump_at = (timed && !dialect.newest_first && gap_at.is_none() && chance(dice, 5)).then(|| 4 + dice.below(count - 5));
    let mut before_gap = false;
    for row in 0..count {
        if row > 0 {
            let mut ahead = step;
            if gap_at == Some(row) {
                ahead = step * i64::try_from(3 + dice.below(40)).unwrap();
            }
            if jump_at == Some(row) {
                // Back by some steps: the clock was set.
                file -= step * 2;
                truth.jumps += 1;
                real += step;
            } else {
                file += ahead;
                real += ahead;
                if ahead != step {
                    before_gap = true;
                }
            }
        }
        let level = 3000 + i32::try_from(dice.below(4000)).unwrap();
        let level = if tenths { level / 10 * 10 } else { level };
        let inner = row > 2
            && row + 2 < count
            && jump_at.is_none_or(|at| at != row && at != row + 1)
            && gap_at.is_none_or(|at| at != row && at != row + 1);
        let missing = loss && inner && chance(dice, 9);
        let below = !missing && loss && chance(dice, 9);
        if missing {
            truth.missing += 1;
            before_gap = true;
        } else {
            if std::mem::take(&mut before_gap) {
                truth.gaps += 1;
            }
            rows.push((real, level));
            truth.below += usize::from(below);
        }
        written.push(Row { at: file, level: (!missing).then_some(level), below });
    }
    #[expect(clippy::cast_precision_loss, reason = "small")]
    let seconds = step as f64 / 1e4;
    truth.step = seconds;
    truth.rows = rows;
    truth.dated = matches!(dialect.time, Time::IsoStamp | Time::Stamp | Time::DateAndClock | Time::Serial | Time::Epoch);
    truth.clocked = truth.dated || dialect.time == Time::Clock;
    if !matches!(dialect.time, Time::IsoStamp | Time::Stamp | Time::DateAndClock) {
        dialect.newest_first &= matches!(dialect.time, Time::Serial | Time::Epoch);
    }
    if dialect.newest_first && truth.jumps > 0 {
        dialect.newest_first = false;
    }
    (truth, written)
}

fn date(dialect: &Dialect, day: i64) -> String {
    let (year, month, of_month) = civil(day);
    let text_year = if dialect.short_year && dialect.month_name.is_none() { format!("{:02}", year % 100) } else { format!("{year:04}") };
    let month_text = dialect.month_name.map_or_else(|| format!("{month:02}"), |tongue| MONTHS[tongue][usize::from(month) - 1].to_owned());
    let mark = if dialect.month_name.is_some() { ' ' } else { dialect.mark };
    match dialect.order {
        DateOrder::DayMonthYear => format!("{of_month:02}{mark}{month_text}{mark}{text_year}"),
        DateOrder::MonthDayYear => format!("{month_text}{mark}{of_month:02}{mark}{text_year}"),
        DateOrder::YearMonthDay => format!("{text_year}{mark}{month_text}{mark}{of_month:02}"),
    }
}

/// The date of a day, by counting: slow, and not the way it is done in the reader.
fn civil(day: i64) -> (i32, u8, u8) {
    let (mut year, mut left) = (1970, day);
    let leap = |year: i32| year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    while left >= 365 + i64::from(leap(year)) {
        left -= 365 + i64::from(leap(year));
        year += 1;
    }
    let lengths = [31, 28 + i64::from(leap(year)), 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let mut month = 0;
    while left >= lengths[month] {
        left -= lengths[month];
        month += 1;
    }
    (year, u8::try_from(month + 1).unwrap(), u8::try_from(left + 1).unwrap())
}

fn clock(dialect: &Dialect, of_day: i64) -> String {
    let seconds = of_day / SECOND;
    let (hour, minute, second) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    let half = dialect.half_day && dialect.time != Time::IsoStamp;
    let shown = if half { (hour + 11) % 12 + 1 } else { hour };
    let mut out = if half { format!("{shown}:{minute:02}:{second:02}") } else { format!("{shown:02}:{minute:02}:{second:02}") };
    let (digits, sign) = dialect.fraction;
    if digits > 0 {
        let sign = if dialect.separator == Separator::Comma && !dialect.quoted && sign == ',' { '.' } else { sign };
        let all = format!("{:04}", of_day % SECOND);
        let _ = write!(out, "{sign}{}", &all[..digits]);
    }
    if half {
        out.push_str(if hour < 12 { " AM" } else { " PM" });
    }
    out
}

/// A whole number of ten-thousandths with a decimal sign.
fn decimal(value: i64, places: usize, sign: char) -> String {
    let text = format!("{:05}", value.abs());
    let (whole, part) = text.split_at(text.len() - 4);
    let minus = if value < 0 { "-" } else { "" };
    if places == 0 { format!("{minus}{whole}") } else { format!("{minus}{whole}{sign}{}", &part[..places]) }
}

fn level_text(dialect: &Dialect, level: i32, places: usize) -> String {
    decimal(i64::from(level) * 100, places, dialect.decimal)
}

/// Writes the file.
#[expect(clippy::too_many_lines, reason = "a file from top to bottom, in one piece")]
fn write(dice: &mut Dice, dialect: &Dialect, truth: &Truth, rows: &[Row]) -> Vec<u8> {
    let places = if rows.iter().filter_map(|row| row.level).all(|level| level % 10 == 0) { 1 } else { 2 };
    let step = (truth.step * 1e4).round();
    let mut names: Vec<String> = Vec::new();
    if dialect.index || dialect.time == Time::Numbered {
        names.push(pick(dice, &["No", "Nr"]).into());
    }
    match dialect.time {
        Time::IsoStamp | Time::Stamp => names.push(pick(dice, &["Time", "Zeit", "timestamp"]).into()),
        Time::DateAndClock => names.extend([pick(dice, &["Date", "Datum"]).into(), pick(dice, &["Time", "Uhrzeit"]).into()]),
        Time::Clock => names.push("Time".into()),
        Time::Elapsed => names.push(pick(dice, &["t[s]", "elapsed", "sec"]).into()),
        Time::Serial => names.push("Stamp".into()),
        Time::Epoch => names.push("epoch".into()),
        Time::MinutesSeconds => names.push("elapsed".into()),
        Time::Nowhere | Time::Numbered => {}
    }
    let level_name = pick(dice, &["LAF", "LAeq", "LAS", "LAeq(dB)"]);
    let after = chance(dice, 2);
    let others = ["Temp", "board °C", "Batt"];
    let extra = ["LAFmax", "LCpeak"];
    if dialect.extra_levels && !after {
        names.extend(extra.map(String::from));
    }
    names.push(level_name.into());
    if dialect.extra_levels && after {
        names.extend(extra.map(String::from));
    }
    if dialect.others {
        names.push(pick(dice, &others).replace("board °C", if dialect.separator == Separator::Blanks { "Temp" } else { "board °C" }));
    }
    let join = |cells: &[String]| -> String {
        let quote = |cell: &String| if dialect.quoted && !cell.is_empty() { format!("\"{cell}\"") } else { cell.clone() };
        match dialect.separator.byte() {
            Some(byte) => {
                let mut line = cells.iter().map(quote).collect::<Vec<_>>().join(&char::from(byte).to_string());
                for _ in 0..dialect.trailing {
                    line.push(char::from(byte));
                }
                line
            }
            // Columns of fixed width.
            None => cells.iter().map(|cell| format!("{:<34}", quote(cell))).collect::<Vec<_>>().concat().trim_end().to_owned(),
        }
    };
    let mut lines: Vec<String> = Vec::new();
    for line in 0..dialect.head {
        lines.push(match line % 6 {
            0 => "Sound log".to_owned(),
            1 => join(&["Model".into(), "own make".into()]),
            2 => join(&["Serial number".into(), format!("{}", 1000 + dice.below(9000))]),
            3 => join(&["Range".into(), "30-90 dB".into()]),
            4 => String::new(),
            _ => "Response Fast, weighting A".to_owned(),
        });
    }
    if matches!(dialect.time, Time::Nowhere | Time::Numbered) {
        #[expect(clippy::cast_possible_truncation, reason = "small")]
        let millis = (step / 10.0) as i64;
        lines.push(if chance(dice, 2) {
            format!("Interval: {millis} ms")
        } else {
            format!("Intervall {} s", decimal(millis * 10, 3, '.'))
        });
    }
    // Without names, other columns could not be told from levels.
    let plain =
        !dialect.others && !dialect.extra_levels && matches!(dialect.time, Time::IsoStamp | Time::Stamp | Time::DateAndClock | Time::Clock);
    let bare = plain && !dialect.index && chance(dice, 4);
    if !bare {
        lines.push(join(&names));
        if dialect.unit == 3 && dialect.separator != Separator::Blanks {
            lines.push(join(
                &names.iter().map(|name| if name.starts_with('L') { "dB".to_owned() } else { String::new() }).collect::<Vec<_>>(),
            ));
        }
    }
    let unit = match dialect.unit {
        1 => " dB",
        2 => " dBA",
        _ => "",
    };
    let ordered: Vec<Row> = if dialect.newest_first { rows.iter().rev().copied().collect() } else { rows.to_vec() };
    let page = lines.last().cloned().unwrap_or_default();
    for (place, row) in ordered.iter().enumerate() {
        let mut cells: Vec<String> = Vec::new();
        if dialect.index || dialect.time == Time::Numbered {
            cells.push(format!("{}", place + 1));
        }
        let (day, of_day) = (row.at.div_euclid(DAY), row.at.rem_euclid(DAY));
        let elapsed = row.at - rows[0].at;
        match dialect.time {
            Time::IsoStamp => {
                let (year, month, of_month) = civil(day);
                let mut text = format!("{year:04}-{month:02}-{of_month:02}T{}", clock(dialect, of_day));
                if chance(dice, 400) {
                    text.push('Z');
                }
                cells.push(text);
            }
            Time::Stamp if dialect.separator == Separator::Blanks => cells.extend([date(dialect, day), clock(dialect, of_day)]),
            Time::Stamp => cells.push(format!("{} {}", date(dialect, day), clock(dialect, of_day))),
            Time::DateAndClock => cells.extend([date(dialect, day), clock(dialect, of_day)]),
            Time::Clock => cells.push(clock(dialect, of_day)),
            Time::Elapsed => cells.push(decimal(elapsed + 4 * SECOND, 3, dialect.decimal)),
            Time::Serial => {
                // Days since the end of 1899, to eight places.
                let fraction = (i128::from(of_day) * 100_000_000 + i128::from(DAY / 2)) / i128::from(DAY);
                cells.push(format!("{}{}{:08}", day + 25_569, dialect.decimal, fraction));
            }
            Time::Epoch => cells.push(format!("{}", row.at / SECOND)),
            Time::MinutesSeconds => cells.push(format!("{:02}:{:02}", (elapsed + SECOND) / SECOND / 60, (elapsed + SECOND) / SECOND % 60)),
            Time::Nowhere | Time::Numbered => {}
        }
        let text = match row.level {
            Some(level) => format!("{}{}{unit}", if row.below { "<" } else { "" }, level_text(dialect, level, places)),
            None => pick(dice, &["---", "999.9", "n/a"]).replace('.', &dialect.decimal.to_string()),
        };
        let peaks =
            [level_text(dialect, row.level.unwrap_or(4000) + 310, places), level_text(dialect, row.level.unwrap_or(4000) + 1890, places)];
        if dialect.extra_levels && !after {
            cells.extend(peaks.clone());
        }
        cells.push(text);
        if dialect.extra_levels && after {
            cells.extend(peaks);
        }
        if dialect.others {
            cells.push(decimal(215_000 + i64::try_from(place % 7).unwrap() * 1000, 1, dialect.decimal));
        }
        lines.push(join(&cells));
        if dialect.page && place == rows.len() / 2 && !bare {
            lines.push(page.clone());
        }
        if dialect.remarks && place == rows.len() / 3 {
            lines.push("# door opened".to_owned());
        }
    }
    if dialect.foot && dialect.separator != Separator::Blanks {
        for name in ["MAX", "AVG"] {
            let mut cells = vec![String::new(); names.len()];
            name.clone_into(&mut cells[0]);
            if names.len() > 1 {
                let place = names.iter().position(|other| other == level_name).unwrap_or(1);
                if place > 0 {
                    cells[place] = level_text(dialect, 4550, 1);
                }
            }
            lines.push(join(&cells));
        }
    }
    let mut text = lines.join(dialect.end);
    if dialect.last_end {
        text.push_str(dialect.end);
    }
    encode(&text, dialect)
}

fn encode(text: &str, dialect: &Dialect) -> Vec<u8> {
    let mut out = Vec::new();
    match dialect.encoding {
        Encoding::Utf8 => {
            if dialect.marked {
                out.extend(b"\xef\xbb\xbf");
            }
            out.extend(text.as_bytes());
        }
        Encoding::Windows1252 => out.extend(encoding_rs::WINDOWS_1252.encode(text).0.iter()),
        Encoding::Utf16Little | Encoding::Utf16Big => {
            let big = dialect.encoding == Encoding::Utf16Big;
            let bytes = |unit: u16| if big { unit.to_be_bytes() } else { unit.to_le_bytes() };
            if dialect.marked {
                out.extend(bytes(0xFEFF));
            }
            out.extend(text.encode_utf16().flat_map(bytes));
        }
    }
    if dialect.padding {
        out.extend(vec![0; 200]);
    }
    out
}

/// Holds what was read against the truth.
fn check(dialect: &Dialect, truth: &Truth, log: &Log) -> Result<(), String> {
    let understood = log.understood();
    let same = |what: &str, found: String, expected: String| {
        if found == expected { Ok(()) } else { Err(format!("{what}: {found} should be {expected}")) }
    };
    same("rows", log.len().to_string(), truth.rows.len().to_string()).map_err(|fault| format!("{fault}: {:?}", understood.skipped))?;
    for (place, (at, level)) in truth.rows.iter().enumerate() {
        let found = log.level(place).unwrap().0;
        if (found - f64::from(*level) / 100.0).abs() > 1e-5 {
            return Err(format!("row {place}: {found} should be {level} hundredths"));
        }
        #[expect(clippy::cast_precision_loss, reason = "small")]
        let expected = *at as f64 / 1e4;
        // Serial days are rounded to a thousandth of a second.
        if (log.at_s(place) - expected).abs() > if dialect.time == Time::Serial { 2e-3 } else { 1e-9 } {
            return Err(format!("row {place}: at {} s, should be {expected} s\n{:?}", log.at_s(place), times(log)));
        }
    }
    if (log.step_s() - truth.step).abs() > 1e-9 {
        return Err(format!("step {} should be {}", log.step_s(), truth.step));
    }
    same("below", understood.below.count.to_string(), truth.below.to_string())?;
    same("missing", (understood.skipped(Reason::Missing) + understood.skipped(Reason::Code)).to_string(), truth.missing.to_string())?;
    same("gaps", understood.gap_count.to_string(), truth.gaps.to_string())?;
    same("jumps", understood.jump_count.to_string(), truth.jumps.to_string())?;
    same("newest first", understood.newest_first.to_string(), dialect.newest_first.to_string())?;
    let expected = if dialect.decimal == ',' { Decimal::Comma } else { Decimal::Point };
    same("decimal", format!("{:?}", understood.decimal), format!("{expected:?}"))?;
    let lines: u32 = understood.skipped.iter().map(|skipped| skipped.count).sum();
    same("lines", (lines + understood.rows).to_string(), understood.lines.to_string())?;
    for other in &understood.skipped {
        let odd = matches!(other.reason, Reason::Time | Reason::Words | Reason::Empty | Reason::Repeated | Reason::Over | Reason::Under);
        if odd {
            return Err(format!("left out for {:?}: lines {:?}", other.reason, other.lines));
        }
    }
    if truth.clocked {
        #[expect(clippy::cast_precision_loss, reason = "small")]
        let expected = truth.start.1 as f64 / 1e4;
        let found = log.start().clock_s.ok_or("no clock")?;
        if (found - expected).abs() > 2e-3 {
            return Err(format!("starts at {found} s, should be {expected} s"));
        }
    }
    if truth.dated && log.start().day != Some(truth.start.0) {
        let dates = understood.dates.ok_or("no dates")?;
        // Only where nothing decides may another date stand, and then the right one must be offered.
        if dates.from != OrderFrom::Custom || dates.other.is_none() {
            return Err(format!("starts on day {:?}, should be {}: {dates:?}", log.start(), truth.start.0));
        }
    }
    Ok(())
}

/// Whether a dialect says anything at all: a fraction that a comma separates, for one, does not.
fn is_sound(dialect: &Dialect) -> bool {
    let text_time = matches!(dialect.time, Time::IsoStamp | Time::Stamp | Time::DateAndClock | Time::Clock);
    let comma_clock =
        text_time && dialect.fraction.0 > 0 && dialect.fraction.1 == ',' && dialect.separator == Separator::Comma && !dialect.quoted;
    let named = dialect.month_name.is_some() && matches!(dialect.time, Time::Stamp | Time::DateAndClock);
    let accents = dialect.encoding == Encoding::Windows1252 || !named || dialect.month_name.is_none_or(|tongue| tongue < MONTHS.len());
    !comma_clock && accents
}

fn seeds() -> impl Iterator<Item = u64> {
    let number = |name: &str, otherwise: u64| std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise);
    let (first, rounds) = (number("LESSDIN_SEED", 1), number("LESSDIN_ROUNDS", 4000));
    first..first + rounds
}

#[test]
fn whatever_way_a_log_is_written_it_reads_to_what_it_says() {
    let mut failed = Vec::new();
    let mut round = 0;
    for seed in seeds() {
        let mut dice = Dice::new(seed);
        let mut dialect = dialect(&mut dice);
        if !is_sound(&dialect) {
            continue;
        }
        round += 1;
        let (truth, rows) = truth(&mut dice, &mut dialect);
        let bytes = write(&mut dice, &dialect, &truth, &rows);
        let told = match read(&bytes, &Wanted::default()) {
            Ok(log) => check(&dialect, &truth, &log).map_err(|fault| format!("{fault}\n{:?}", log.understood())).and_then(|()| {
                // In any pieces, the same.
                let mut reader = Reader::new(&Wanted::default());
                let mut rest = bytes.as_slice();
                while !rest.is_empty() {
                    let (now, later) = rest.split_at((1 + dice.below(40)).min(rest.len()));
                    reader.push(now);
                    rest = later;
                }
                if reader.finish().as_ref() == Ok(&log) { Ok(()) } else { Err("in pieces it reads to something else".to_owned()) }
            }),
            Err(error) => Err(format!("{error:?}")),
        };
        if let Err(fault) = told {
            let text = String::from_utf8_lossy(&bytes).replace('\r', "\r\n");
            failed.push(format!("LESSDIN_SEED={seed}: {fault}\n{dialect:?}\n{}\n", text.chars().take(1800).collect::<String>()));
        }
    }
    if let Some(first) = failed.first() {
        panic!(
            "{} of {round} rounds failed. {}\n{first}",
            failed.len(),
            failed.iter().map(|f| f.lines().next().unwrap_or_default()).take(40).collect::<Vec<_>>().join("\n")
        );
    }
}

#[test]
fn statistics_do_not_change_with_the_order_of_the_file() {
    for seed in 0..200 {
        let mut dice = Dice::new(seed);
        let mut dialect =
            Dialect { time: Time::IsoStamp, encoding: Encoding::Utf8, newest_first: false, page: false, ..dialect(&mut dice) };
        if !is_sound(&dialect) {
            continue;
        }
        let (truth, rows) = truth(&mut dice, &mut dialect);
        if truth.jumps > 0 {
            continue;
        }
        let there = read(&write(&mut Dice::new(seed), &dialect, &truth, &rows), &Wanted::default()).unwrap();
        dialect.newest_first = true;
        let back = read(&write(&mut Dice::new(seed), &dialect, &truth, &rows), &Wanted::default()).unwrap();
        assert_eq!(statistics(&there), statistics(&back), "{seed}");
    }
}
