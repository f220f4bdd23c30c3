//! Why a file cannot be used: what was found, where, and what would work.

use super::understood::Column;
use super::words;
use crate::calc::quantity::Quantity;
use crate::text::{Arg, Said, say};
use crate::units::count_to_f64;

/// What a file is that is no text, by its first bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Thing {
    /// A picture.
    Picture,
    /// A packed file.
    Packed,
    /// A spreadsheet in its own format, packed or not.
    Spreadsheet,
    /// A PDF.
    Pdf,
    /// A sound recording.
    Sound,
    /// A film.
    Film,
    /// A page of the web.
    Page,
    /// A program or some other binary file.
    Binary,
}

/// Why a file cannot be used.
#[derive(Clone, Debug, PartialEq)]
pub enum FileError {
    /// There is nothing in it.
    Empty,
    /// One line is longer than any row of a log: the line, from 1, and its first byte, from 0.
    LongLine {
        /// The line, from 1.
        line: u32,
        /// Where it begins, bytes from the start.
        byte: u64,
    },
    /// No column holds levels.
    NoLevel {
        /// The columns found.
        columns: Vec<Column>,
    },
    /// No line looks like a row of figures.
    NoRows {
        /// Lines looked at.
        lines: u32,
        /// The first line with something on it, shortened.
        first: String,
    },
    /// Rows were found, but not one level in them.
    NoUsableRow {
        /// Rows looked at.
        rows: u32,
        /// The first of their lines, from 1.
        line: u32,
    },
    /// Nothing tells the time: the person is to state the step.
    NoTime {
        /// The columns found.
        columns: Vec<Column>,
        /// The one of the level.
        level: usize,
        /// Rows found.
        rows: u32,
    },
    /// It is something else.
    NotALog(Thing),
    /// More rows than fit.
    TooManyRows {
        /// How many fit.
        most: u32,
    },
}

impl FileError {
    /// What was found and what would work, as a sentence.
    pub fn said(&self) -> Said {
        let count = |count: f64| Arg::Number(Quantity::Count, count);
        match self {
            Self::Empty => say(words::EMPTY),
            Self::LongLine { line, byte } => {
                #[expect(clippy::cast_precision_loss, reason = "a file's length, exact up to 2^53")]
                let byte = *byte as f64;
                say(words::LONG_LINE).with("line", count(f64::from(*line))).with("byte", count(byte))
            }
            Self::NoLevel { columns } => say(words::NO_LEVEL).with("columns", names(columns)),
            Self::NoRows { lines, first } => say(words::NO_ROWS).with("lines", count(f64::from(*lines))).typed("first", first.clone()),
            Self::NoUsableRow { rows, line } => {
                say(words::NO_USABLE_ROW).with("rows", count(f64::from(*rows))).with("line", count(f64::from(*line)))
            }
            Self::NoTime { columns, rows, .. } => say(words::NO_TIME).with("rows", count(f64::from(*rows))).with("columns", names(columns)),
            Self::NotALog(thing) => say(match thing {
                Thing::Picture => words::IS_PICTURE,
                Thing::Packed => words::IS_PACKED,
                Thing::Spreadsheet => words::IS_SPREADSHEET,
                Thing::Pdf => words::IS_PDF,
                Thing::Sound => words::IS_SOUND,
                Thing::Film => words::IS_FILM,
                Thing::Page => words::IS_PAGE,
                Thing::Binary => words::IS_BINARY,
            }),
            Self::TooManyRows { most } => say(words::TOO_MANY_ROWS).with("most", count(f64::from(*most))),
        }
    }
}

/// The columns by name, or by number where they have none.
fn names(columns: &[Column]) -> Arg {
    let named = |(place, column): (usize, &Column)| {
        if column.name.is_empty() {
            say(words::COLUMN).with("number", Arg::Number(Quantity::Count, count_to_f64(place + 1))).into()
        } else {
            Arg::Typed(column.name.clone())
        }
    };
    Arg::List(columns.iter().enumerate().map(named).collect())
}

/// What a file is, by its first bytes, where that is no log.
pub(super) fn thing(bytes: &[u8]) -> Option<Thing> {
    let starts = |start: &[u8]| bytes.starts_with(start);
    let holds = |part: &[u8]| bytes.get(..bytes.len().min(4096)).unwrap_or_default().windows(part.len()).any(|window| window == part);
    if starts(b"\x89PNG")
        || starts(b"\xff\xd8\xff")
        || starts(b"GIF8")
        || starts(b"II*\0")
        || starts(b"MM\0*")
        || starts(b"RIFF") && holds(b"WEBP")
    {
        return Some(Thing::Picture);
    }
    if starts(b"BM") && bytes.get(6..10) == Some(&[0; 4]) || holds(b"ftypheic") || holds(b"ftypavif") {
        return Some(Thing::Picture);
    }
    if starts(b"PK\x03\x04") {
        let sheet = holds(b"xl/") || holds(b"opendocument.spreadsheet") || holds(b"[Content_Types].xml");
        return Some(if sheet { Thing::Spreadsheet } else { Thing::Packed });
    }
    if starts(b"\xd0\xcf\x11\xe0") {
        return Some(Thing::Spreadsheet);
    }
    if starts(b"\x1f\x8b")
        || starts(b"7z\xbc\xaf")
        || starts(b"Rar!")
        || starts(b"BZh")
        || starts(b"\xfd7zXZ")
        || starts(b"\x28\xb5\x2f\xfd")
        || starts(b"PK") && bytes.get(2).is_some_and(|byte| *byte < 9)
    {
        return Some(Thing::Packed);
    }
    if starts(b"%PDF") {
        return Some(Thing::Pdf);
    }
    if starts(b"RIFF") && holds(b"WAVE")
        || starts(b"RF64")
        || starts(b"OggS")
        || starts(b"fLaC")
        || starts(b"ID3")
        || starts(b"\xff\xfb")
        || starts(b"FORM") && holds(b"AIFF")
        || holds(b"ftypM4A")
    {
        return Some(Thing::Sound);
    }
    if bytes.get(4..8) == Some(b"ftyp") || starts(b"\x1a\x45\xdf\xa3") {
        return Some(Thing::Film);
    }
    let text = bytes.trim_ascii_start();
    if [&b"<!doctype"[..], b"<html", b"<?xml", b"<svg"]
        .iter()
        .any(|start| text.get(..start.len()).is_some_and(|own| own.eq_ignore_ascii_case(start)))
    {
        return Some(Thing::Page);
    }
    None
}

/// Whether decoded text holds more control characters than a log would.
pub(super) fn is_binary(text: &[u8]) -> bool {
    let odd = text.iter().filter(|byte| **byte < 32 && !matches!(**byte, 0 | b'\t' | b'\n' | b'\r' | 0x0b | 0x0c | 0x1a)).count();
    odd * 50 > text.len()
}
