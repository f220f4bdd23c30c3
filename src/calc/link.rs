//! The link codec: a draft as readable text in the URL fragment, and back.
//!
//! ```text
//! #/tally/v1/off=30.5/source=supply.fan~level=38.6/source=cabinet.fan~level=41.1~each=2
//! ```
//!
//! Parts are joined by `/`; a table's row is one part, its name first, its other cells joined by `~`. In text a blank is
//! written `.`; whatever is not a letter, a digit or a single inner hyphen is percent-encoded. So a link holds nothing that
//! chat and mail programs strip, cut at, or turn into markup; it has no doubled separator; it ends in a letter or a digit.
//! Cells equal to their default are left out and the order is the schema's: one set of inputs, one link.

use super::draft::{Col, Draft, Path, RowAt};
use super::number;
use super::quantity::Quantity;
use super::read;
use super::schema::{Cell, Key, Kind, Schema, Table};
use crate::text::{Arg, Said, common_words as words, say};
use std::fmt::Write as _;

/// Links longer than this are flagged: some programs cut them.
pub const LONG_LINK: usize = 4000;
/// What is read of a link at most, in characters.
const MOST_READ: usize = 20_000;

/// What to write.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// What is sent: numbers in their canonical form, defaults and empty rows left out.
    Link,
    /// What the device keeps: every text exactly as typed, empty rows too.
    Keep,
}

/// A link as read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Opened {
    /// The id of the sheet it asks for, as written; empty for the home page.
    pub sheet: String,
    /// The draft, when the sheet is known.
    pub draft: Option<Draft>,
    /// What could not be read, and what to know.
    pub notes: Vec<Said>,
}

/// Writes a draft as a link, from `#` on.
pub fn write(sheet: &str, version: u32, schema: &Schema, draft: &Draft, mode: Mode) -> String {
    let fields = schema.all_fields().filter_map(|cell| Some((cell.key, cell_text(cell, draft, Path::field(cell.key), mode)?)));
    let fields: Vec<(Key, String)> = fields.collect();
    let tables = schema.tables.iter().map(|table| {
        let rows = draft.rows(table.key).iter();
        let mut rows: Vec<String> = rows.map(|row| row_text(table, draft, RowAt { table: table.key, row: *row }, mode)).collect();
        if mode == Mode::Link {
            rows.truncate(rows_needed(schema, table, draft, &rows));
        }
        (table.key, rows)
    });
    let tables: Vec<(Key, Vec<String>)> = tables.collect();
    let mut out = format!("#/{sheet}");
    if mode == Mode::Keep || !fields.is_empty() || tables.iter().any(|(_, rows)| !rows.is_empty()) {
        let _ = write!(out, "/v{}", if mode == Mode::Keep { draft.version.unwrap_or(version) } else { version });
    }
    let mut part = |key: &str, text: &str| out.extend(["/", key, "=", text]);
    for (key, text) in &fields {
        part(key, text);
    }
    for (key, rows) in &tables {
        for text in rows {
            part(key, if text.is_empty() && mode == Mode::Link { EMPTY_ROW } else { text });
        }
    }
    out
}

/// A row without content that stands before others, so that the third row stays the third: an encoded blank.
const EMPTY_ROW: &str = "%20";

/// How many rows of a table a link has to hold: up to the last that has content or is pointed to.
fn rows_needed(schema: &Schema, table: &Table, draft: &Draft, rows: &[String]) -> usize {
    let own = rows.iter().rposition(|text| !text.is_empty()).map(|place| place + 1);
    let cells = schema.cells(draft);
    let pointed = cells.filter_map(|(path, cell)| match (cell.kind, path.col) {
        (Kind::Row(key), _) if key == table.key => Some(read::row(draft, key, draft.get(path)).ok()?.0),
        (_, Col::Of(row)) if cell_text(cell, draft, path, Mode::Link).is_some() => draft.ordinal(RowAt { table: table.key, row }),
        _ => None,
    });
    own.into_iter().chain(pointed).max().unwrap_or(0)
}

/// Whether a row says anything: text other than blanks and defaults.
pub fn row_has_content(table: &Table, draft: &Draft, at: RowAt) -> bool {
    let own = table.cells.iter().map(|cell| (cell, Col::Fixed(cell.key)));
    let per = table.per.iter().flat_map(|per| draft.rows(per.table).iter().map(|row| (&per.cell, Col::Of(*row))));
    own.chain(per).any(|(cell, col)| cell_text(cell, draft, Path { row: Some(at), col }, Mode::Link).is_some())
}

fn row_text(table: &Table, draft: &Draft, at: RowAt, mode: Mode) -> String {
    let mut parts: Vec<String> = Vec::new();
    for (place, cell) in table.cells.iter().enumerate() {
        let path = Path { row: Some(at), col: Col::Fixed(cell.key) };
        if let Some(text) = cell_text(cell, draft, path, mode) {
            parts.push(if place == 0 { text } else { format!("{}={text}", cell.key) });
        }
    }
    if let Some(per) = &table.per {
        for (place, row) in draft.rows(per.table).iter().enumerate() {
            let path = Path { row: Some(at), col: Col::Of(*row) };
            if let Some(text) = cell_text(&per.cell, draft, path, mode) {
                parts.push(format!("{}{}={text}", per.cell.key, place + 1));
            }
        }
    }
    parts.join("~")
}

fn cell_text(cell: &Cell, draft: &Draft, path: Path, mode: Mode) -> Option<String> {
    let raw = draft.get(path);
    let is_text = matches!(cell.kind, Kind::Text { .. });
    let text = match mode {
        Mode::Keep => encode(raw, is_text, false),
        Mode::Link if is_text => encode(&read::text_cut(cell, raw).0, true, true),
        Mode::Link => match canonical(cell, draft, raw) {
            Ok(text) if text == cell.default => return None,
            Ok(text) => encode(&text, false, true),
            Err(_) => encode(&cut_wrong(raw.trim()), false, true),
        },
    };
    (!text.is_empty()).then_some(text)
}

/// The start of a text that a field cannot read. What was cut off is marked, so that the rest is not taken for a value.
fn cut_wrong(text: &str) -> String {
    const MOST: usize = 60;
    if text.chars().count() <= MOST + 1 { text.to_owned() } else { text.chars().take(MOST).chain(['…']).collect() }
}

/// The canonical text of a cell.
///
/// # Errors
///
/// The problem the field would show.
pub fn canonical(cell: &Cell, draft: &Draft, raw: &str) -> Result<String, super::error::Problem> {
    if raw.trim().is_empty() {
        return Ok(String::new());
    }
    Ok(match cell.kind {
        Kind::Number { quantity, .. } => read::number(cell, raw)?.canonical(quantity),
        Kind::Levels { .. } => {
            let readings = read::readings(cell, raw)?;
            let level = Quantity::Level(crate::units::Weighting::A);
            let mut texts: Vec<String> = readings.iter().map(|typed| with_tenth(typed, typed.canonical(level))).collect();
            let several = texts.len() > 1;
            if let Some(first) = texts.first_mut().filter(|_| several) {
                // A point tells two readings from one with a decimal comma.
                *first = add_tenth(first);
            }
            texts.join(",")
        }
        Kind::Count { .. } => read::count(cell, raw)?.to_string(),
        Kind::Choice(_) => read::choice(cell, raw)?.to_owned(),
        Kind::Switch => String::from(if read::switch(raw)? { "1" } else { "0" }),
        Kind::Text { .. } => read::text(cell, raw)?,
        Kind::Row(table) => read::row(draft, table, raw).map(|(ordinal, _)| ordinal.to_string())?,
    })
}

/// A reading typed with a decimal sign keeps one: `41.0` says that the meter shows tenths.
fn with_tenth(typed: &number::Typed, text: String) -> String {
    if typed.marked { add_tenth(&text) } else { text }
}

fn add_tenth(text: &str) -> String {
    if text.contains('.') {
        return text.to_owned();
    }
    let (digits, unit) = text.split_at(text.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(text.len()));
    format!("{digits}.0{unit}")
}

/// Percent-encodes what is not safe everywhere. In text a blank becomes `.`; `tidy` also protects the ends.
fn encode(text: &str, is_text: bool, tidy: bool) -> String {
    let mut out = String::with_capacity(text.len());
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let inner = out.ends_with(|last: char| last.is_ascii_alphanumeric());
        let before_plain = chars.peek().is_some_and(char::is_ascii_alphanumeric);
        let safe = match c {
            c if c.is_ascii_alphanumeric() => true,
            '-' => before_plain && (inner || (!is_text && (out.is_empty() || out.ends_with(',')))),
            '.' | ',' if !is_text => inner && (before_plain || chars.peek() == Some(&'-')),
            ' ' if is_text => {
                let blank_ok = tidy && inner && chars.peek().is_some();
                if blank_ok {
                    out.push('.');
                    continue;
                }
                false
            }
            _ => false,
        };
        if safe {
            out.push(c);
        } else {
            let mut bytes = [0; 4];
            for byte in c.encode_utf8(&mut bytes).bytes() {
                let _ = write!(out, "%{byte:02X}");
            }
        }
    }
    out
}

/// Undoes [`encode`]. The flag tells whether anything was damaged.
fn decode(text: &str, is_text: bool) -> (String, bool) {
    let mut bytes = Vec::with_capacity(text.len());
    let mut damaged = false;
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        match byte {
            b'%' => {
                let mut ahead = rest.clone();
                let digit = |byte: Option<u8>| byte.and_then(|byte| char::from(byte).to_digit(16));
                if let (Some(high), Some(low)) = (digit(ahead.next()), digit(ahead.next())) {
                    bytes.push(u8::try_from(high * 16 + low).unwrap_or(b'?'));
                    rest = ahead;
                } else {
                    damaged = true;
                }
            }
            b'.' | b'+' if is_text => bytes.push(b' '),
            byte => bytes.push(byte),
        }
    }
    match String::from_utf8(bytes) {
        Ok(text) => (text, damaged),
        Err(error) => (String::from_utf8_lossy(error.as_bytes()).into_owned(), true),
    }
}

/// Reads a link: a whole address, or from `#` on, or from the sheet's id on. Forgives what mail and chat programs do to it:
/// line ends in the middle, brackets and full stops taken along, the whole of it percent-encoded once more.
///
/// `find` gives the version and the schema of a sheet. Nothing panics and nothing is dropped silently.
pub fn open(link: &str, find: impl Fn(&str) -> Option<(u32, &'static Schema)>) -> Opened {
    let mut opened = Opened::default();
    let mut text = fragment(link);
    if let Some((at, _)) = text.char_indices().nth(MOST_READ) {
        text.truncate(at);
        opened.notes.push(say(words::LINK_TOO_LONG).num("max", Quantity::Count, crate::units::count_to_f64(MOST_READ)));
    }
    read_all(&text, Mode::Link, find, &mut opened);
    opened
}

/// Reads what the device kept, written with [`Mode::Keep`]: every text comes back exactly, however long.
pub fn restore(kept: &str, find: impl Fn(&str) -> Option<(u32, &'static Schema)>) -> Opened {
    let mut opened = Opened::default();
    read_all(kept.trim_start_matches('#'), Mode::Keep, find, &mut opened);
    opened
}

/// The part of a link that matters, without what programs put around and into it.
fn fragment(link: &str) -> String {
    let whole = || {
        let at = link.to_ascii_lowercase().find("%23%2f")?;
        Some(decode(link.get(at..)?, false).0)
    };
    let text = match link.split_once("#/").or_else(|| link.split_once('#')) {
        Some((_, fragment)) => fragment.to_owned(),
        None => whole().unwrap_or_else(|| if link.contains("://") { String::new() } else { link.to_owned() }),
    };
    let text = if text.contains(['/', '=']) || !text.to_ascii_lowercase().contains("%2f") { text } else { decode(&text, false).0 };
    let broken = |c: char| matches!(c, '\n' | '\r' | '\t' | '\u{ad}' | '\u{200b}' | '\u{feff}');
    let text: String = text.chars().filter(|c| !broken(*c)).collect();
    let around = |c: char| c.is_whitespace() || ".,;:!?()[]{}<>\"'`*_|\\“”‘’«»…".contains(c);
    text.trim_start_matches(['#', ' ']).trim_end_matches(around).to_owned()
}

fn read_all(text: &str, mode: Mode, find: impl Fn(&str) -> Option<(u32, &'static Schema)>, opened: &mut Opened) {
    let mut parts = text.split('/').filter(|part| !part.is_empty());
    let Some(sheet) = parts.next() else { return };
    opened.sheet = decode(sheet, false).0;
    let Some((version, schema)) = find(&opened.sheet) else {
        opened.notes.push(say(words::LINK_UNKNOWN_SHEET).typed("found", shorten(&opened.sheet)));
        return;
    };
    let mut draft = Draft::default();
    for part in parts {
        read_part(part, version, schema, mode, &mut draft, &mut opened.notes);
    }
    opened.draft = Some(draft);
}

fn read_part(part: &str, version: u32, schema: &Schema, mode: Mode, draft: &mut Draft, notes: &mut Vec<Said>) {
    let unknown = |notes: &mut Vec<Said>, found: &str| notes.push(say(words::LINK_UNKNOWN_PART).typed("found", shorten(found)));
    let Some((key, value)) = part.split_once('=') else {
        match part.strip_prefix('v').and_then(|digits| digits.parse().ok()) {
            Some(made_with) if draft.version.is_none() => {
                draft.version = Some(made_with);
                if made_with > version {
                    notes.push(words::LINK_NEWER.into());
                }
            }
            _ => unknown(notes, part),
        }
        return;
    };
    if let Some(cell) = schema.field(key) {
        fill(cell, Path::field(cell.key), value, mode, draft, notes);
    } else if let Some(table) = schema.table(key) {
        if draft.rows(table.key).len() >= table.max_rows {
            let note = say(words::LINK_TOO_MANY_ROWS).num("max", Quantity::Count, crate::units::count_to_f64(table.max_rows));
            if !notes.contains(&note) {
                notes.push(note);
            }
            return;
        }
        let at = RowAt { table: table.key, row: draft.add_row(table.key) };
        for (place, text) in value.split('~').enumerate() {
            match text.split_once('=') {
                None if text.is_empty() => {}
                None if place == 0 => {
                    if let Some(cell) = table.cells.first() {
                        fill(cell, Path { row: Some(at), col: Col::Fixed(cell.key) }, text, mode, draft, notes);
                    }
                }
                None => unknown(notes, text),
                Some((key, value)) => match column(table, draft, key) {
                    Some((cell, col)) => fill(cell, Path { row: Some(at), col }, value, mode, draft, notes),
                    None => unknown(notes, text),
                },
            }
        }
    } else {
        unknown(notes, part);
    }
}

fn column(table: &'static Table, draft: &Draft, key: &str) -> Option<(&'static Cell, Col)> {
    if let Some(cell) = table.cell(key) {
        return Some((cell, Col::Fixed(cell.key)));
    }
    let per = table.per.as_ref()?;
    let ordinal: usize = key.strip_prefix(per.cell.key)?.parse().ok()?;
    Some((&per.cell, Col::Of(draft.row_at(per.table, ordinal)?)))
}

fn fill(cell: &Cell, path: Path, value: &str, mode: Mode, draft: &mut Draft, notes: &mut Vec<Said>) {
    /// More than any number, choice or list of readings takes.
    const MOST: usize = 2000;
    if !draft.get(path).is_empty() {
        notes.push(say(words::LINK_REPEATED).typed("found", cell.key));
        return;
    }
    let is_text = matches!(cell.kind, Kind::Text { .. });
    let (mut text, damaged) = decode(value, is_text);
    if damaged {
        notes.push(say(words::LINK_BAD_ENCODING).typed("found", cut(value)));
    }
    if mode == Mode::Link {
        let most = if let Kind::Text { max } = cell.kind { usize::from(max) } else { MOST };
        if let Some((at, _)) = text.char_indices().nth(most) {
            let count = |count: usize| Arg::Number(Quantity::Count, crate::units::count_to_f64(count));
            notes.push(say(words::TOO_LONG).with("found", count(text.chars().count())).with("max", count(most)));
            text.truncate(at);
        }
        if text.trim().is_empty() {
            text.clear();
        }
    }
    draft.set(path, text);
}

fn shorten(text: &str) -> String {
    cut(&decode(text, false).0)
}

fn cut(text: &str) -> String {
    const MOST: usize = 40;
    if text.chars().count() <= MOST { text.to_owned() } else { text.chars().take(MOST).chain(['…']).collect() }
}

/// The text a field shows for a value the page fills in, with its unit kept: the link's own form.
pub fn field_text(value: f64) -> String {
    number::editable(value, crate::text::Style::default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_readable_and_safe_and_comes_back() {
        for (text, link) in [
            ("supply fan", "supply.fan"),
            ("x-axis", "x-axis"),
            ("1.5 mm", "1%2E5.mm"),
            ("fan-", "fan%2D"),
            ("a--b", "a%2D-b"),
            ("<b>", "%3Cb%3E"),
            ("Lüfter", "L%C3%BCfter"),
            ("a~b=c/d", "a%7Eb%3Dc%2Fd"),
        ] {
            assert_eq!(encode(text, true, true), link);
            assert_eq!(decode(link, true), (text.to_owned(), false));
        }
    }

    #[test]
    fn what_is_kept_comes_back_exactly() {
        for text in ["", " 46,", "4 1", "\u{2212}3", "a..b", "~=/", "🙂 مروحة"] {
            for is_text in [true, false] {
                assert_eq!(decode(&encode(text, is_text, false), is_text).0, text);
            }
        }
    }

    #[test]
    fn damage_is_told_and_never_panics() {
        for text in ["%", "%4", "%zz", "%FF", "%F0%9F"] {
            assert!(decode(text, true).1, "{text}");
        }
    }

    #[test]
    fn a_reading_keeps_its_tenth_and_its_lack_of_one() {
        let cell = Cell {
            key: "on",
            was: &[],
            label: words::TITLE,
            help: words::TITLE,
            kind: super::super::schema::LEVELS,
            default: "",
            place: super::super::schema::Place::Front,
            when: None,
        };
        for (typed, link) in
            [("41", "41"), ("41,0", "41.0"), ("41.0 dB(C)", "41.0dBC"), ("41 42", "41.0,42"), ("41.0 42.0", "41.0,42.0"), ("46.", "46.0")]
        {
            assert_eq!(canonical(&cell, &Draft::default(), typed).as_deref(), Ok(link));
            assert_eq!(canonical(&cell, &Draft::default(), link).as_deref(), Ok(link));
        }
    }
}
