//! Lists and tables as text: pasting into rows, copying and exporting results.

use super::draft::Draft;
use super::number;
use super::quantity::Quantity;
use super::report::Grid;
use super::schema::{Cell, Key, Kind, Table};
use crate::text::{Arg, Style};

/// Reads a pasted list or spreadsheet range into rows of cells, ready for [`Draft::add_filled`].
///
/// One source per line, or separated by `;`. In each, in any order: a name, a level, a count as `x2`, `2x`, `2 ×` or
/// `2 pcs`. Cells of a spreadsheet come separated by tabs. A line without a number is kept as a name when it is not a heading.
pub fn rows_from_text(text: &str, table: &Table) -> Vec<Vec<(Key, String)>> {
    let name = table.cells.iter().find(|cell| matches!(cell.kind, Kind::Text { .. }));
    let level = table.cells.iter().find(|cell| matches!(cell.kind, Kind::Levels { .. }));
    let count = table.cells.iter().find(|cell| matches!(cell.kind, Kind::Count { .. }));
    let mut rows = Vec::new();
    for line in text.split(['\n', '\r', ';']) {
        let line = line.trim().trim_end_matches(',');
        if line.is_empty() {
            continue;
        }
        let parsed = if line.contains('\t') { from_cells(line) } else { from_words(line) };
        let mut row = Vec::new();
        let mut put = |cell: Option<&Cell>, text: String| {
            if let Some(cell) = cell.filter(|_| !text.is_empty()) {
                row.push((cell.key, text));
            }
        };
        if parsed.level.is_empty() && rows.is_empty() && is_heading(line) {
            continue;
        }
        put(name, parsed.name);
        put(level, parsed.level);
        put(count, parsed.count);
        if !row.is_empty() {
            rows.push(row);
        }
    }
    rows
}

#[derive(Debug, Default)]
struct Parsed {
    name: String,
    level: String,
    count: String,
}

/// The first line of a copied range is often a heading: words, and no number at all.
fn is_heading(line: &str) -> bool {
    !line.contains(|c: char| c.is_ascii_digit())
}

fn from_cells(line: &str) -> Parsed {
    let mut parsed = Parsed::default();
    let mut names: Vec<&str> = Vec::new();
    for cell in line.split('\t').map(|cell| cell.trim().trim_matches('"')) {
        if cell.is_empty() {
        } else if let Some(count) = count_of(cell) {
            parsed.count = count;
        } else if is_level(cell) {
            if parsed.level.is_empty() {
                cell.clone_into(&mut parsed.level);
            } else if parsed.count.is_empty() && cell.parse::<u32>().is_ok() {
                cell.clone_into(&mut parsed.count);
            } else {
                names.push(cell);
            }
        } else {
            names.push(cell);
        }
    }
    parsed.name = names.join(" ");
    parsed
}

fn from_words(line: &str) -> Parsed {
    let mut parsed = Parsed::default();
    let spaced = line.replace(", ", " ").replace(['|', '='], " ").replace(": ", " ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut used = vec![false; words.len()];
    let mut mark = |at: usize| {
        if let Some(used) = used.get_mut(at) {
            *used = true;
        }
    };
    for (at, word) in words.iter().enumerate() {
        let next = words.get(at + 1).copied().unwrap_or_default();
        if let Some(count) = count_of(word) {
            parsed.count = count;
            mark(at);
        } else if matches!(*word, "x" | "×" | "X") && count_of(&format!("x{next}")).is_some() {
            parsed.count = count_of(&format!("x{next}")).unwrap_or_default();
            mark(at);
            mark(at + 1);
        } else if word.parse::<u32>().is_ok() && matches!(next, "x" | "×" | "X" | "pcs" | "pieces" | "off") {
            (*word).clone_into(&mut parsed.count);
            mark(at);
            mark(at + 1);
        }
    }
    // The level is the last number that is left and could be one: "axis 2 39.5".
    let level = words.iter().enumerate().rev().find(|(at, word)| !used.get(*at).copied().unwrap_or(true) && is_level(word));
    if let Some((at, word)) = level {
        let unit = words.get(at + 1).filter(|unit| number::find_unit(unit, Quantity::Level(crate::units::Weighting::A)).is_ok());
        parsed.level = unit.map_or_else(|| (*word).to_owned(), |unit| format!("{word} {unit}"));
        if let Some(used) = used.get_mut(at) {
            *used = true;
        }
        if let (Some(_), Some(used)) = (unit, used.get_mut(at + 1)) {
            *used = true;
        }
    }
    let rest = words.iter().zip(&used).filter(|(_, used)| !**used).map(|(word, _)| *word);
    parsed.name = rest.collect::<Vec<_>>().join(" ").trim_matches([',', ':', '-', ' ']).into();
    parsed
}

fn count_of(word: &str) -> Option<String> {
    let lower = word.to_ascii_lowercase();
    let digits = lower.strip_prefix(['x', '×']).or_else(|| lower.strip_suffix(['x', '×']))?.trim();
    let digits = digits.strip_suffix("pcs").unwrap_or(digits);
    (!digits.is_empty() && digits.len() <= 4 && digits.bytes().all(|b| b.is_ascii_digit() || b == b'.')).then(|| digits.to_owned())
}

fn is_level(word: &str) -> bool {
    number::parse(word, Quantity::Level(crate::units::Weighting::A)).is_ok()
}

/// Puts pasted rows into the draft: empty rows first, then new ones, as many as fit. How many were put.
pub fn put_rows(draft: &mut Draft, table: &Table, rows: &[Vec<(Key, String)>]) -> usize {
    let empty: Vec<_> = draft
        .rows(table.key)
        .iter()
        .map(|row| super::draft::RowAt { table: table.key, row: *row })
        .filter(|at| draft.row_is_empty(*at))
        .collect();
    for at in empty {
        draft.remove_row(at);
    }
    let room = table.max_rows.saturating_sub(draft.rows(table.key).len());
    for row in rows.iter().take(room) {
        draft.add_filled(table.key, row);
    }
    rows.len().min(room)
}

/// A table as tab-separated text, for pasting into a spreadsheet.
pub fn tsv(grid: &Grid, style: Style) -> String {
    separated(grid, '\t', style)
}

/// A table as CSV, RFC 4180: a comma, or a semicolon where the decimal sign is a comma; CR LF; the unit in the heading.
pub fn csv(grid: &Grid, style: Style) -> String {
    separated(grid, if style.decimal == ',' { ';' } else { ',' }, style)
}

fn separated(grid: &Grid, separator: char, style: Style) -> String {
    let mut out = String::new();
    let head = grid.columns.iter().map(|column| {
        let symbol = column.quantity.map_or("", Quantity::symbol);
        let label = column.label.text(style);
        if symbol.is_empty() { label } else { format!("{label} [{symbol}]") }
    });
    push_line(&mut out, head, separator);
    for row in &grid.rows {
        push_line(&mut out, row.cells.iter().map(|cell| cell_text(cell, style)), separator);
    }
    out
}

fn cell_text(cell: &Arg, style: Style) -> String {
    match cell {
        Arg::Number(quantity, value) | Arg::PlusMinus(quantity, value, _) => number::copyable(*value, *quantity, style),
        Arg::Nothing => String::new(),
        other => harmless(other.text(style)),
    }
}

/// Text that a spreadsheet would run as a formula gets an apostrophe in front.
fn harmless(text: String) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text }
}

fn push_line(out: &mut String, cells: impl Iterator<Item = String>, separator: char) {
    for (at, cell) in cells.enumerate() {
        if at > 0 {
            out.push(separator);
        }
        if separator == '\t' {
            out.push_str(&cell.replace(['\t', '\n', '\r'], " "));
        } else if cell.contains([separator, '"', '\n', '\r']) {
            out.push('"');
            out.push_str(&cell.replace('"', "\"\""));
            out.push('"');
        } else {
            out.push_str(&cell);
        }
    }
    out.push_str("\r\n");
}
