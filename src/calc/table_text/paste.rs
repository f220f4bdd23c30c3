//! From a pasted list or a copied range of cells to rows.
//!
//! What arrives is either a grid (cells parted by tabs, bars, semicolons or commas, one row a line) or a list (one source
//! a line, or parted by `;` or commas, its words in any order). Nothing is dropped but headings, numbering and rules: a line
//! that makes no sense becomes a row with that line as its name, and a cell that is no number stays what it was, so that
//! its field says what is wrong.

use crate::calc::draft::{Draft, RowAt};
use crate::calc::number;
use crate::calc::quantity::Quantity;
use crate::calc::schema::{Cell, Key, Kind, Table};
use crate::text::{Style, say};
use crate::units::Weighting;

/// Below this a bare whole number is more likely a number in a name than a level, dB.
const LIKELY_FROM: f64 = 15.0;
/// Above this likewise.
const LIKELY_TO: f64 = 140.0;
/// Several readings of one thing are not farther apart than this, dB.
const READINGS_WITHIN: f64 = 10.0;
/// A number of sources alike is hardly larger.
const LIKELY_COUNT: f64 = 100.0;

/// A line longer than this, in bytes, is no source: it is kept as it is.
const LONGEST: usize = 500;

/// Reads a pasted list or spreadsheet range into rows of cells, ready for [`Draft::add_filled`].
///
/// One source per line, or separated by `;`. In each, in any order: a name, a level or several readings of it, a count as
/// `x2`, `2x`, `2 ×` or `2 pcs`. Cells of a spreadsheet come separated by tabs, with or without a heading. What cannot be
/// read is kept: a line as a name, a cell as it is.
pub fn rows_from_text(text: &str, table: &Table) -> Vec<Vec<(Key, String)>> {
    let text = tidy_lines(text);
    let found = match grid(&text) {
        Some(records) => from_grid(&records, table),
        None => from_list(&text),
    };
    found.into_iter().map(|found| found.cells(table)).filter(|cells| !cells.is_empty()).collect()
}

/// Line ends of one kind, and nothing that is not seen.
pub(super) fn tidy_lines(text: &str) -> String {
    let text = text.replace("\r\n", "\n").replace(['\r', '\u{2028}', '\u{2029}', '\u{b}'], "\n");
    text.chars().filter(|c| !matches!(c, '\0' | '\u{feff}' | '\u{200b}')).collect()
}

/// Puts pasted rows into the draft: empty rows first, then new ones, as many as fit. How many were put.
pub fn put_rows(draft: &mut Draft, table: &Table, rows: &[Vec<(Key, String)>]) -> usize {
    let rows_now = draft.rows(table.key).iter().map(|row| RowAt { table: table.key, row: *row });
    let empty: Vec<_> = rows_now.filter(|at| draft.row_is_empty(*at)).collect();
    for at in empty {
        draft.remove_row(at);
    }
    let room = room(draft, table);
    for row in rows.iter().take(room) {
        draft.add_filled(table.key, row);
    }
    rows.len().min(room)
}

/// How many pasted rows fit: empty ones make way.
pub fn room(draft: &Draft, table: &Table) -> usize {
    let rows = draft.rows(table.key).iter().map(|row| RowAt { table: table.key, row: *row });
    table.max_rows.saturating_sub(rows.filter(|at| !draft.row_is_empty(*at)).count())
}

/// A row as found.
#[derive(Clone, Debug, Default, PartialEq)]
struct Found {
    name: String,
    level: String,
    count: String,
    /// Cells of columns whose heading named them.
    more: Vec<(Key, String)>,
}

impl Found {
    fn cells(self, table: &Table) -> Vec<(Key, String)> {
        let is_total = TOTALS.contains(&fold(&self.name).as_str()) && !self.level.is_empty();
        let mut cells = Vec::new();
        for (cell, text) in [(name_cell(table), self.name), (level_cell(table), self.level), (count_cell(table), self.count)] {
            if let Some(cell) = cell.filter(|_| !text.is_empty()) {
                cells.push((cell.key, text));
            }
        }
        cells.extend(self.more);
        // A total is no source of its own: it is kept, but switched off.
        if let Some(run) = table.cell("run").filter(|_| is_total) {
            cells.push((run.key, "0".to_owned()));
        }
        cells
    }
}

/// What the last line of a spreadsheet is often called.
const TOTALS: [&str; 6] = ["total", "sum", "together", "average", "mean", "all together"];

pub(super) fn name_cell(table: &Table) -> Option<&'static Cell> {
    table.cells.iter().find(|cell| matches!(cell.kind, Kind::Text { .. }))
}

pub(super) fn level_cell(table: &Table) -> Option<&'static Cell> {
    table.cells.iter().find(|cell| matches!(cell.kind, Kind::Levels { .. }))
}

fn count_cell(table: &Table) -> Option<&'static Cell> {
    table.cells.iter().find(|cell| matches!(cell.kind, Kind::Count { .. }))
}

/// Lower case, without a unit in brackets and without marks at the ends.
fn fold(text: &str) -> String {
    let plain = text.split(['[', '(']).next().filter(|plain| !plain.trim().is_empty()).unwrap_or(text);
    plain.trim().trim_end_matches([':', '.']).trim().to_ascii_lowercase()
}

// ---- Grids ----

/// The cells, when the text is a grid.
fn grid(text: &str) -> Option<Vec<Vec<String>>> {
    for separator in ['\t', '|', ';', ','] {
        let mut records = records(text, separator);
        if separator == '|' {
            records = records.into_iter().map(without_ends).filter(|record| !record.iter().all(|cell| is_rule(cell))).collect();
        }
        records.retain(|record| record.iter().any(|cell| !cell.is_empty()));
        if is_grid(&records, separator) {
            return Some(records);
        }
    }
    None
}

fn is_grid(records: &[Vec<String>], separator: char) -> bool {
    let width = records.iter().map(|record| filled_width(record)).max().unwrap_or(0);
    if width < 2 {
        return false;
    }
    if separator == '\t' {
        return true;
    }
    let titled = records.first().is_some_and(|first| !first.iter().any(|cell| is_number(cell)));
    let data = records.get(usize::from(titled)..).unwrap_or_default();
    let whole =
        |record: &&Vec<String>| record.iter().any(|cell| is_number(cell)) && record.iter().any(|cell| !is_number(cell) && !cell.is_empty());
    if data.len() < 2 && !(titled && data.len() == 1) || !data.iter().all(|record| whole(&record) && record.len() >= 2) {
        return false;
    }
    // "38,6" is one number, unless a heading or decimal points say that the comma parts cells.
    let split_decimals = separator == ','
        && data.iter().any(|record| {
            record.windows(2).any(|pair| {
                let digit = |text: Option<&String>, last: bool| {
                    let text = text.map_or("", String::as_str);
                    let c = if last { text.chars().next_back() } else { text.chars().next() };
                    c.is_some_and(|c| c.is_ascii_digit())
                };
                digit(pair.first(), true) && digit(pair.last(), false)
            })
        });
    let pointed = data.iter().flatten().any(|cell| cell.contains('.') && is_number(cell));
    let headed = titled && records.first().is_some_and(|first| data.iter().all(|record| record.len() == first.len()));
    !split_decimals || pointed || headed
}

/// How many cells up to the last one with anything in it.
fn filled_width(record: &[String]) -> usize {
    record.iter().rposition(|cell| !cell.is_empty()).map_or(0, |last| last + 1)
}

fn without_ends(mut record: Vec<String>) -> Vec<String> {
    if record.last().is_some_and(String::is_empty) {
        record.pop();
    }
    if record.first().is_some_and(String::is_empty) {
        record.remove(0);
    }
    record
}

/// Whether a text is but a line of dashes and the like.
fn is_rule(text: &str) -> bool {
    text.chars().all(|c| matches!(c, '-' | '=' | '_' | '*' | '+' | ':' | '|' | '.' | ',' | ';' | '–' | '—') || c.is_whitespace())
}

/// Lines of cells. A quoted cell may hold separators, line ends and doubled quotes.
pub(super) fn records(text: &str, separator: char) -> Vec<Vec<String>> {
    let mut records = Vec::new();
    let mut record: Vec<String> = Vec::new();
    let mut cell = String::new();
    let mut quoted = false;
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                cell.push('"');
            }
            '"' if quoted => quoted = false,
            // A quote opens a cell only where the text after it closes it again.
            '"' if cell.trim().is_empty() && closes(chars.clone(), separator) => {
                cell.clear();
                quoted = true;
            }
            c if c == separator && !quoted => record.push(tidy(&std::mem::take(&mut cell))),
            '\n' if !quoted => {
                record.push(tidy(&std::mem::take(&mut cell)));
                records.push(std::mem::take(&mut record));
            }
            c => cell.push(c),
        }
    }
    record.push(tidy(&cell));
    records.push(record);
    records
}

/// Whether an opened quote is closed just before a separator, a line end or the end.
fn closes(rest: impl Iterator<Item = char>, separator: char) -> bool {
    let mut rest = rest.take(1000).peekable();
    while let Some(c) = rest.next() {
        if c == '"' {
            match rest.peek() {
                Some('"') => {
                    rest.next();
                }
                None => return true,
                Some(next) if *next == separator || *next == '\n' => return true,
                Some(_) => return false,
            }
        }
    }
    false
}

/// Blanks folded; the apostrophe taken off that keeps a spreadsheet from running a text as a formula.
fn tidy(cell: &str) -> String {
    let folded = cell.split_whitespace().collect::<Vec<_>>().join(" ");
    match folded.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@']) => rest.to_owned(),
        _ => folded,
    }
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    Name,
    Level,
    Count,
    /// A column of the table that is none of these.
    More(Key),
    /// The number of the row, or a column with a heading that says nothing to us.
    Ignored,
}

fn from_grid(records: &[Vec<String>], table: &Table) -> Vec<Found> {
    let width = records.iter().map(|record| filled_width(record)).max().unwrap_or(0);
    let (mut roles, data) = match records.split_first() {
        Some((first, rest)) if is_heading(first, table) => {
            let named = first.iter().map(|cell| role_named(cell, table)).chain(std::iter::repeat(None));
            // A column whose heading says nothing is left out, unless a role is still open for it.
            (named.take(width).collect::<Vec<_>>(), rest)
        }
        _ => (vec![None; width], records),
    };
    let headed = data.len() < records.len();
    assign(&mut roles, data);
    let mut found = Vec::new();
    for record in data {
        let mut row = Found::default();
        let mut levels: Vec<&str> = Vec::new();
        let mut names: Vec<&str> = Vec::new();
        for (at, cell) in record.iter().enumerate().filter(|(_, cell)| !cell.is_empty()) {
            match roles.get(at).copied().flatten() {
                Some(Role::Level) => levels.push(cell),
                Some(Role::Count) => row.count = count_of(cell).unwrap_or_else(|| cell.clone()),
                Some(Role::More(key)) => row.more.push((key, cell.clone())),
                Some(Role::Ignored) => {}
                None if headed || is_number(cell) => {}
                Some(Role::Name) | None => names.push(cell),
            }
        }
        row.name = names.join(" ");
        row.level = levels.join(" ");
        found.push(row);
    }
    found.retain(|row| *row != Found::default());
    found
}

/// A first line without any number, of which at least one cell is a heading we know.
fn is_heading(record: &[String], table: &Table) -> bool {
    !record.iter().any(|cell| is_number(cell)) && record.iter().any(|cell| role_named(cell, table).is_some())
}

pub(super) fn role_named(heading: &str, table: &Table) -> Option<Role> {
    let folded = fold(heading);
    let style = Style::default();
    let own = table.cells.iter().find(|cell| cell.key == folded || fold(&say(cell.label).text(style)) == folded);
    if let Some(cell) = own {
        let same = |other: Option<&'static Cell>| other.is_some_and(|other| other.key == cell.key);
        let roles = [(name_cell(table), Role::Name), (level_cell(table), Role::Level), (count_cell(table), Role::Count)];
        return Some(roles.into_iter().find(|(own, _)| same(*own)).map_or(Role::More(cell.key), |(_, role)| role));
    }
    let is = |words: &[&str]| words.contains(&folded.as_str());
    if is(&["name", "names", "source", "sources", "part", "parts", "item", "what", "device", "component", "label", "description"]) {
        Some(Role::Name)
    } else if is(&["#", "no", "nr", "row", "index", "id"]) {
        Some(Role::Ignored)
    } else if is(&["each", "count", "qty", "quantity", "how many", "number", "pcs", "pieces", "amount", "n", "x", "×"]) {
        Some(Role::Count)
    } else if is(&["±", "+/-", "+-", "uncertainty"]) {
        table.cell("pm").map(|cell| Role::More(cell.key))
    } else {
        let level = is(&["level", "levels", "reading", "readings", "spl", "noise", "loudness", "sound level", "noise level"]);
        let decibels = heading.to_ascii_lowercase().contains("db") && !heading.chars().any(|c| c.is_ascii_digit());
        (level || decibels).then_some(Role::Level)
    }
}

/// Gives the columns without a known heading their roles, by what is in them.
fn assign(roles: &mut [Option<Role>], data: &[Vec<String>]) {
    let column = |at: usize| data.iter().filter_map(move |record| record.get(at)).filter(|cell| !cell.is_empty());
    let mostly = |at: usize, test: fn(&str) -> bool| column(at).filter(|cell| test(cell)).count() * 2 > column(at).count();
    let values = |at: usize| column(at).filter_map(|cell| value(cell)).collect::<Vec<f64>>();
    let open = |roles: &[Option<Role>]| (0..roles.len()).filter(|at| roles.get(*at) == Some(&None)).collect::<Vec<_>>();
    let set = |roles: &mut [Option<Role>], at: usize, role: Role| {
        if let Some(place) = roles.get_mut(at) {
            *place = Some(role);
        }
    };

    // 1, 2, 3 … in front are the numbers of the rows, when there are other numbers.
    let in_order = |at: usize| data.len() > 1 && values(at).iter().zip(1_u32..).all(|(value, wanted)| same(*value, f64::from(wanted)));
    if roles.first() == Some(&None) && values(0).len() == data.len() && in_order(0) && (1..roles.len()).any(|at| mostly(at, is_number)) {
        set(roles, 0, Role::Ignored);
    }
    if !roles.contains(&Some(Role::Name))
        && let Some(at) = open(roles).into_iter().find(|at| column(*at).count() > 0 && !mostly(*at, is_number) && !mostly(*at, is_count))
    {
        set(roles, at, Role::Name);
    }
    if !roles.contains(&Some(Role::Level)) {
        let numbers = open(roles).into_iter().filter(|at| mostly(*at, is_number));
        let middles = numbers.map(|at| (at, median(values(at))));
        if let Some((at, middle)) = middles.fold(None, |best: Option<(usize, f64)>, next| match best {
            Some(best) if best.1 >= next.1 => Some(best),
            _ => Some(next),
        }) {
            set(roles, at, Role::Level);
            // Further columns with levels as high are further readings.
            for other in open(roles).into_iter().filter(|other| mostly(*other, is_number)) {
                if (median(values(other)) - middle).abs() <= READINGS_WITHIN && middle >= LIKELY_FROM {
                    set(roles, other, Role::Level);
                }
            }
        }
    }
    if !roles.contains(&Some(Role::Count)) {
        let whole = |cell: &str| is_count(cell) || value(cell).is_some_and(|value| same(value.fract(), 0.0));
        let fits =
            |at: &usize| mostly(*at, whole) && values(*at).iter().all(|value| *value <= LIKELY_COUNT) && median(values(*at)) < LIKELY_FROM;
        if let Some(at) = open(roles).into_iter().find(fits) {
            set(roles, at, Role::Count);
        }
    }
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

fn median(mut values: Vec<f64>) -> f64 {
    crate::units::sort_few(&mut values, f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NEG_INFINITY)
}

// ---- Lists ----

fn from_list(text: &str) -> Vec<Found> {
    let lines = records(text, ';').into_iter().flatten();
    let pieces: Vec<String> = lines.map(|piece| without_bullet(&piece).to_owned()).filter(|piece| !is_rule(piece)).collect();
    let pieces = without_numbers(pieces);
    let mut found: Vec<Found> = Vec::new();
    for piece in &pieces {
        for row in from_piece(piece) {
            match found.last_mut() {
                // A name on one line and its level on the next.
                Some(last) if !last.name.is_empty() && last.level.is_empty() && row.name.is_empty() && !row.level.is_empty() => {
                    last.level = row.level;
                    if last.count.is_empty() {
                        last.count = row.count;
                    }
                }
                _ => found.push(row),
            }
        }
    }
    without_heading(&pieces, found)
}

/// The first line of a copied column is often its heading.
fn without_heading(pieces: &[String], mut found: Vec<Found>) -> Vec<Found> {
    let Some((first, rest)) = pieces.split_first() else { return found };
    let known = ["name", "level", "source", "sources", "each", "count", "db", "dba", "reading", "readings", "qty"];
    let all_known =
        first.split_whitespace().all(|word| known.contains(&fold(&word.to_ascii_lowercase()).trim_matches(','))) && !first.is_empty();
    let bare = |piece: &String| is_number(piece);
    let column = !first.chars().any(|c| c.is_ascii_digit()) && rest.len() > 1 && rest.iter().all(bare);
    let titled = column || (all_known && rest.iter().any(|piece| piece.chars().any(|c| c.is_ascii_digit())));
    if titled && let Some(row) = found.first_mut() {
        row.name.clear();
        found.retain(|row| *row != Found::default());
    }
    found
}

/// Without the dot or dash in front of a line of a list.
fn without_bullet(piece: &str) -> &str {
    let piece = piece.trim();
    let rest = piece.trim_start_matches(['•', '·', '‣', '▪', '◦', '*', '–', '—', '-']);
    if rest.len() < piece.len() && (rest.starts_with(char::is_whitespace) || piece.starts_with(['•', '·', '‣', '▪', '◦'])) {
        rest.trim_start()
    } else {
        piece
    }
}

/// Without `1.`, `2)`, `(3)` in front of each line; bare numbers only where they run on from 1.
fn without_numbers(pieces: Vec<String>) -> Vec<String> {
    let leads: Vec<Option<(u32, bool, &str)>> = pieces.iter().map(|piece| lead(piece)).collect();
    let runs_on = pieces.len() > 1
        && leads
            .iter()
            .zip(1_u32..)
            .all(|(lead, wanted)| lead.is_some_and(|(number, _, rest)| number == wanted && rest.chars().any(|c| c.is_ascii_digit())));
    let rests: Vec<Option<String>> = leads
        .into_iter()
        .map(|lead| {
            let (_, marked, rest) = lead?;
            let has_level = || rest.len() <= LONGEST && from_words(rest).is_some_and(|row| !row.level.is_empty());
            (runs_on || (marked && has_level())).then(|| rest.to_owned())
        })
        .collect();
    pieces.into_iter().zip(rests).map(|(piece, rest)| rest.unwrap_or(piece)).collect()
}

/// A number of at most two digits in front, whether a mark follows it, and what comes after.
fn lead(piece: &str) -> Option<(u32, bool, &str)> {
    let inner = piece.strip_prefix('(').unwrap_or(piece);
    let end = inner.find(|c: char| !c.is_ascii_digit()).filter(|end| (1..=2).contains(end))?;
    let (digits, rest) = inner.split_at_checked(end)?;
    let after = rest.strip_prefix([')', '.']);
    let marked = after.is_some();
    let rest = after.unwrap_or(rest);
    let bracketed = inner.len() < piece.len();
    let spaced = rest.starts_with(char::is_whitespace);
    (spaced && (marked || !bracketed)).then(|| Some((digits.parse().ok()?, marked, rest.trim_start())))?
}

/// One source, or several parted by commas.
fn from_piece(piece: &str) -> Vec<Found> {
    if piece.len() > LONGEST {
        return vec![Found { name: piece.to_owned(), ..Found::default() }];
    }
    let parts = split_commas(piece);
    if parts.len() > 1 {
        let mut rows: Vec<Found> = Vec::new();
        for part in &parts {
            let part = from_words(part).unwrap_or_else(|| Found { name: part.trim().to_owned(), ..Found::default() });
            match rows.last_mut() {
                Some(last) if part.name.is_empty() || last.level.is_empty() => {
                    join(&mut last.name, &part.name);
                    join(&mut last.level, &part.level);
                    join(&mut last.count, &part.count);
                }
                _ => rows.push(part),
            }
        }
        if rows.iter().filter(|row| !row.level.is_empty() && !row.name.is_empty()).count() > 1 {
            return rows;
        }
    }
    let row = from_words(piece).filter(|row| !row.name.is_empty() || !row.level.is_empty());
    vec![row.unwrap_or_else(|| Found { name: piece.trim().to_owned(), ..Found::default() })]
}

fn join(to: &mut String, more: &str) {
    if !to.is_empty() && !more.is_empty() {
        to.push(' ');
    }
    to.push_str(more);
}

/// At every comma that does not stand between two digits.
fn split_commas(piece: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut from = 0;
    for (at, _) in piece.match_indices(',') {
        let before = piece.get(..at).and_then(|text| text.chars().next_back());
        let after = piece.get(at + 1..).and_then(|text| text.chars().next());
        let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
        if !(digit(before) && digit(after)) {
            parts.push(piece.get(from..at).unwrap_or_default());
            from = at + 1;
        }
    }
    parts.push(piece.get(from..).unwrap_or_default());
    parts.retain(|part| !part.trim().is_empty());
    parts
}

/// A word of a list, and what it may be.
#[derive(Clone, Debug, PartialEq)]
enum Word {
    Name(String),
    Number {
        text: String,
        value: f64,
        unit: bool,
        decimal: bool,
    },
    Count(String),
    /// An `x` between blanks.
    Times(String),
}

/// Name, level and count of one source, in any order; `None` when there is no level and no count in it.
fn from_words(piece: &str) -> Option<Found> {
    let mut words = words(piece);
    counted(&mut words);
    let has_name = words.iter().any(|word| matches!(word, Word::Name(_)));
    let level = level_at(&words, has_name);
    let run = level.map(|at| readings(&words, at, has_name));
    let mut row = Found::default();
    let mut names: Vec<&str> = Vec::new();
    for (at, word) in words.iter().enumerate() {
        match word {
            Word::Number { text, .. } if run.as_ref().is_some_and(|run| run.contains(&at)) => join(&mut row.level, text),
            Word::Count(count) if row.count.is_empty() => row.count.clone_from(count),
            Word::Name(text) | Word::Number { text, .. } | Word::Times(text) | Word::Count(text) => names.push(text),
        }
    }
    row.name = names.join(" ").trim_matches([',', ':', '-', '–', '—', '=', ' ']).into();
    (!row.level.is_empty() || !row.count.is_empty()).then_some(row)
}

fn words(piece: &str) -> Vec<Word> {
    let spaced = spaced(piece);
    let tokens: Vec<&str> = spaced.split_whitespace().collect();
    let mut words = Vec::new();
    let mut at = 0;
    while let Some(token) = tokens.get(at).copied() {
        at += 1;
        let bare = token.trim_end_matches(['.', ',', ':']);
        if matches!(token, "x" | "X" | "×" | "*") {
            words.push(Word::Times(token.to_owned()));
        } else if let Some(count) = count_of(bare) {
            words.push(Word::Count(count));
        } else if let Some((count, level)) = count_and_level(bare, &spaced) {
            words.push(Word::Count(count));
            words.push(number_word(&level, false).unwrap_or(Word::Name(level)));
        } else if let Some(word) = number_word(bare, false) {
            let unit = unit_after(&tokens, at);
            if let (Word::Number { text, unit: false, .. }, Some((symbol, length))) = (&word, unit) {
                at += length;
                words.push(number_word(&format!("{text} {symbol}"), true).unwrap_or_else(|| word.clone()));
            } else if tokens.get(at).is_some_and(|next| OTHER_UNITS.contains(&next.to_ascii_lowercase().as_str())) {
                words.push(Word::Name(token.to_owned()));
            } else {
                words.push(word);
            }
        } else {
            words.push(Word::Name(token.to_owned()));
        }
    }
    words
}

/// A number before one of these is no level.
const OTHER_UNITS: [&str; 14] = ["mm", "cm", "m", "inch", "v", "w", "ma", "hz", "khz", "rpm", "%", "cfm", "m³/h", "m3/h"];
/// A whole number before one of these, or after one of the next, is a count.
const COUNT_AFTER: [&str; 7] = ["pcs", "pc", "pieces", "off", "units", "times", "alike"];
const COUNT_BEFORE: [&str; 3] = ["qty", "count", "quantity"];

/// Blanks around what parts words: `:`, `=`, `|`, `/` between numbers, brackets around a count or a level.
fn spaced(piece: &str) -> String {
    let mut out = String::with_capacity(piece.len() + 8);
    let paired = piece.matches('"').count().is_multiple_of(2);
    let mut rest = piece;
    while let Some(c) = rest.chars().next() {
        let after = rest.get(c.len_utf8()..).unwrap_or_default();
        let digit_before = out.ends_with(|c: char| c.is_ascii_digit());
        let digit_after = after.starts_with(|c: char| c.is_ascii_digit());
        match c {
            '(' if !out.trim_end().to_ascii_lowercase().ends_with("db") => {
                if let Some((inner, tail)) = after.split_once(')') {
                    let inner = inner.trim();
                    if let Some(count) = count_of(inner).or_else(|| bare_count(inner)) {
                        out.push_str(" x");
                        out.push_str(&count);
                        out.push(' ');
                        rest = tail;
                        continue;
                    }
                    if is_number(inner) {
                        out.push(' ');
                        out.push_str(inner);
                        out.push(' ');
                        rest = tail;
                        continue;
                    }
                }
                out.push(c);
            }
            '=' | '|' => out.push(' '),
            // A quote that is left alone after a digit is an inch.
            '"' if paired || !digit_before => out.push(' '),
            '/' if digit_before && digit_after => out.push(' '),
            ':' | ',' if !(digit_before && digit_after) => out.push(' '),
            c => out.push(c),
        }
        rest = after;
    }
    out
}

/// A whole number, alone or with a word for pieces.
fn bare_count(text: &str) -> Option<String> {
    let mut words = text.split_whitespace();
    let number = words.next()?;
    let fits = number.parse::<u32>().is_ok_and(|count| f64::from(count) < LIKELY_FROM);
    (fits && words.all(|word| COUNT_AFTER.contains(&word.to_ascii_lowercase().as_str()))).then(|| number.to_owned())
}

fn number_word(text: &str, unit: bool) -> Option<Word> {
    let typed = number::parse(text, Quantity::Level(Weighting::A)).ok()?;
    Some(Word::Number { text: text.to_owned(), value: typed.base, unit: unit || typed.unit.is_some(), decimal: typed.marked })
}

/// The unit of a level after a number: `dB`, `dB(A)`, `dB (A)`, and how many words it takes.
fn unit_after(tokens: &[&str], at: usize) -> Option<(String, usize)> {
    let clean = |token: &str| token.trim_end_matches(['.', ',', ':']).to_owned();
    let first = clean(tokens.get(at)?);
    let known = |symbol: &str| number::find_unit(symbol, Quantity::Level(Weighting::A)).is_ok();
    if let Some(second) = tokens.get(at + 1).map(|token| clean(token)).filter(|second| second.starts_with('(')) {
        let both = format!("{first}{second}");
        if known(&both) {
            return Some((both, 2));
        }
    }
    if known(&first) {
        return Some((first, 1));
    }
    matches!(first.to_ascii_lowercase().as_str(), "decibel" | "decibels").then(|| ("dB".to_owned(), 1))
}

/// Makes counts of the numbers beside a lone `x` or a word for pieces.
fn counted(words: &mut Vec<Word>) {
    let numbers = |words: &[Word]| words.iter().filter(|word| matches!(word, Word::Number { .. })).count();
    let whole = |word: Option<&Word>| match word {
        Some(Word::Number { text, value, unit: false, decimal: false }) if *value >= 0.0 && *value <= LIKELY_COUNT => {
            Some((*value, text.clone()))
        }
        _ => None,
    };
    let is_name =
        |word: Option<&Word>, list: &[&str]| matches!(word, Some(Word::Name(name)) if list.contains(&name.to_ascii_lowercase().as_str()));
    for at in 0..words.len() {
        let before = at.checked_sub(1).and_then(|before| whole(words.get(before)));
        let after = whole(words.get(at + 1));
        let others = numbers(words) > 1;
        let (from, to, count) = if matches!(words.get(at), Some(Word::Times(_))) {
            match (before, after) {
                (Some((value, count)), None) if others || value < LIKELY_FROM => (at - 1, at, count),
                (Some((value, count)), Some((next, _))) if value < LIKELY_FROM && value <= next => (at - 1, at, count),
                (_, Some((_, count))) if others => (at, at + 1, count),
                _ => continue,
            }
        } else if is_name(words.get(at), &COUNT_AFTER) {
            let Some((_, count)) = before.filter(|(value, _)| others || *value < LIKELY_FROM) else { continue };
            (at - 1, at, count)
        } else if is_name(words.get(at), &COUNT_BEFORE) {
            let Some((_, count)) = after.filter(|(value, _)| others || *value < LIKELY_FROM) else { continue };
            (at, at + 1, count)
        } else {
            continue;
        };
        words.splice(from..=to, [Word::Count(count)]);
        return;
    }
    // "2 cabinet fans 41.1": a small number, then a word, and another number for the level.
    let small = matches!(whole(words.first()), Some((value, _)) if (1.0..LIKELY_FROM).contains(&value));
    if small
        && matches!(words.get(1), Some(Word::Name(_)))
        && numbers(words) > 1
        && !words.iter().any(|word| matches!(word, Word::Count(_)))
        && let Some((_, count)) = whole(words.first())
    {
        words.splice(0..=0, [Word::Count(count)]);
    }
}

/// Which word is the level: one with a unit before one with a decimal sign before a likely one; among these the last.
fn level_at(words: &[Word], has_name: bool) -> Option<usize> {
    let score = |word: &Word| match word {
        Word::Number { value, unit, decimal, .. } => {
            let likely = (LIKELY_FROM..=LIKELY_TO).contains(value);
            Some(u8::from(*unit) * 4 + u8::from(*decimal) * 2 + u8::from(likely))
        }
        _ => None,
    };
    let scored = words.iter().enumerate().filter_map(|(at, word)| Some((score(word)?, at)));
    let (best, at) = scored.max()?;
    let stated = match words.get(at) {
        Some(Word::Number { value, .. }) => *value < 0.0 || *value > LIKELY_TO || same(*value, 0.0),
        _ => false,
    };
    // "axis 2" has no level; "fan 999" has one that its field will refuse.
    (best > 0 || !has_name || stated).then_some(at)
}

/// The words that are readings of the same level: the one at `at` and those beside it, when they look alike.
fn readings(words: &[Word], at: usize, has_name: bool) -> std::ops::RangeInclusive<usize> {
    let read = |at: usize| match words.get(at) {
        Some(Word::Number { value, decimal, unit, .. }) => Some((*value, *decimal, *unit)),
        _ => None,
    };
    let Some((level, decimal, unit)) = read(at) else { return at..=at };
    let near = |at: usize| read(at).is_some_and(|(value, _, _)| (value - level).abs() <= READINGS_WITHIN && value >= LIKELY_FROM);
    let mut from = at;
    while from > 0 && near(from - 1) {
        from -= 1;
    }
    let mut to = at;
    while near(to + 1) {
        to += 1;
    }
    let alike = (from..=to).all(|other| read(other).is_some_and(|(_, d, u)| d == decimal && u == unit));
    let count = to - from + 1;
    if count > 2 || (count == 2 && alike && (decimal || unit || !has_name)) { from..=to } else { at..=at }
}

/// `2x41.1` or `41.1x2` in one word; not `40x40`, and not where the piece has another number.
fn count_and_level(word: &str, piece: &str) -> Option<(String, String)> {
    let (one, other) = word.split_once(['x', '×', '*'])?;
    let elsewhere = piece.split_whitespace().any(|token| token.trim_end_matches(['.', ',', ':']) != word && is_number(token));
    let (a, b) = (value(one)?, value(other)?);
    let count = |text: &str, value: f64| value < LIKELY_FROM && text.bytes().all(|b| b.is_ascii_digit());
    if elsewhere {
        None
    } else if count(one, a) && b >= LIKELY_FROM {
        Some((one.to_owned(), other.to_owned()))
    } else if count(other, b) && a >= LIKELY_FROM {
        Some((other.to_owned(), one.to_owned()))
    } else {
        None
    }
}

/// `x2`, `2x`, `×2`, `2×`, `*2`, `2pcs`: the number, as it stands.
fn count_of(word: &str) -> Option<String> {
    let lower = word.trim().to_ascii_lowercase();
    let digits = lower
        .strip_prefix(['x', '×', '*'])
        .or_else(|| lower.strip_suffix(['x', '×']))
        .or_else(|| lower.strip_suffix("pcs"))
        .or_else(|| lower.strip_suffix("pc"))?
        .trim();
    let signless = digits.strip_prefix(['-', '−']).unwrap_or(digits);
    let fits = signless.starts_with(|c: char| c.is_ascii_digit()) && signless.len() <= 4;
    (fits && signless.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b','))).then(|| digits.to_owned())
}

fn is_count(cell: &str) -> bool {
    count_of(cell).is_some()
}

pub(super) fn value(cell: &str) -> Option<f64> {
    number::parse(cell, Quantity::Level(Weighting::A)).ok().map(|typed| typed.base)
}

pub(super) fn is_number(cell: &str) -> bool {
    value(cell).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::schema::{LEVELS, Place};
    use crate::text::{Msg, Text};

    const fn cell(key: Key, label: &'static Text, kind: Kind) -> Cell {
        let label = Msg(label);
        Cell { key, was: &[], label, help: label, kind, default: "", place: Place::Front, when: None }
    }

    static CELLS: [Cell; 5] = [
        cell("name", &Text { id: "test.LABEL", en: "Name" }, Kind::Text { max: 60 }),
        cell("level", &Text { id: "test.LABEL", en: "Level" }, LEVELS),
        cell("each", &Text { id: "test.LABEL", en: "How many alike" }, Kind::Count { min: 1, max: 100 }),
        cell("run", &Text { id: "test.LABEL", en: "Running" }, Kind::Switch),
        cell(
            "near",
            &Text { id: "test.LABEL", en: "Read at" },
            Kind::Number { quantity: Quantity::Distance, min: 0.01, max: 100.0, step: 0.1 },
        ),
    ];
    static TABLE: Table = Table {
        key: "source",
        was: &[],
        label: Msg(&Text { id: "test.TABLE", en: "Sources" }),
        row: Msg(&Text { id: "test.ROW", en: "source" }),
        help: Msg(&Text { id: "test.HELP", en: "Sources." }),
        start_rows: 3,
        max_rows: 40,
        cells: &CELLS,
        per: None,
        paste: true,
        place: Place::Front,
    };

    /// `name | level | count`, further cells as `key=text`.
    fn rows(text: &str) -> Vec<String> {
        let shown = |row: Vec<(Key, String)>| {
            let get = |key: &str| row.iter().find(|(found, _)| *found == key).map_or("", |(_, text)| text.as_str());
            let mut shown = vec![get("name").to_owned(), get("level").to_owned(), get("each").to_owned()];
            let more = row.iter().filter(|(key, _)| !["name", "level", "each"].contains(key));
            shown.extend(more.map(|(key, text)| format!("{key}={text}")));
            shown.join(" | ")
        };
        rows_from_text(text, &TABLE).into_iter().map(shown).collect()
    }

    #[track_caller]
    fn reads(text: &str, wanted: &[&str]) {
        assert_eq!(rows(text), wanted, "{text:?}");
    }

    const STORY: [&str; 4] = ["supply fan | 38,6 | ", "cabinet fan | 41.1 | 2", "tool fan | 41 | ", "axes | 39.5 | "];

    #[test]
    fn the_list_of_the_story_in_every_shape() {
        for text in [
            "supply fan 38,6; cabinet fan 41.1 x2; tool fan 41; axes 39.5",
            "supply fan 38,6\ncabinet fan 41.1 x2\ntool fan 41\naxes 39.5",
            "supply fan 38,6\r\ncabinet fan 41.1 x2\r\ntool fan 41\r\naxes 39.5\r\n",
            "supply fan 38,6, cabinet fan 41.1 x2, tool fan 41, axes 39.5",
            "38,6 supply fan; x2 41.1 cabinet fan; 41 tool fan; 39.5 axes",
            "38,6 supply fan; 2x cabinet fan 41.1; 41 tool fan; 39.5 axes;",
            "supply fan: 38,6\n2 × cabinet fan: 41.1\ntool fan: 41\naxes: 39.5",
            "supply fan = 38,6; cabinet fan = 41.1 (2); tool fan = 41; axes = 39.5",
            "supply fan - 38,6; cabinet fan - 41.1 (x2); tool fan – 41; axes — 39.5",
            "1. supply fan 38,6\n2. cabinet fan 41.1 x2\n3. tool fan 41\n4. axes 39.5",
            "1) supply fan 38,6\n2) cabinet fan 41.1 2x\n3) tool fan 41\n4) axes 39.5",
            "1 supply fan 38,6\n2 cabinet fan 41.1 x2\n3 tool fan 41\n4 axes 39.5",
            "- supply fan 38,6\n- cabinet fan 41.1 2 pcs\n- tool fan 41\n- axes 39.5",
            "• supply fan 38,6\n• cabinet fan x 2 41.1\n• tool fan 41\n• axes 39.5",
            "supply fan\t38,6\ncabinet fan\t41.1\t2\ntool fan\t41\naxes\t39.5",
            "Source\tLevel\tEach\nsupply fan\t38,6\t\ncabinet fan\t41.1\t2\ntool fan\t41\t\naxes\t39.5\t",
            "Level [dB(A)]\tHow many alike\tName\n38,6\t\tsupply fan\n41.1\t2\tcabinet fan\n41\t\ttool fan\n39.5\t\taxes",
            "\"supply fan\"\t\"38,6\"\n\"cabinet fan\"\t\"41.1\"\t\"2\"\n\"tool fan\"\t41\n\"axes\"\t39.5",
            "supply fan;38,6;\ncabinet fan;41.1;2\ntool fan;41;\naxes;39.5;",
            "\"supply fan\",\"38,6\",\n\"cabinet fan\",41.1,2\n\"tool fan\",41,\naxes,39.5,",
            "| source | dB(A) | each |\n|---|---:|---|\n| supply fan | 38,6 | |\n| cabinet fan | 41.1 | 2 |\n| tool fan | 41 | |\n| axes | 39.5 | |",
            "#\tpart\tdB\tqty\n1\tsupply fan\t38,6\t\n2\tcabinet fan\t41.1\t2\n3\ttool fan\t41\t\n4\taxes\t39.5\t",
            "1\tsupply fan\t38,6\n2\tcabinet fan\t41.1\tx2\n3\ttool fan\t41\n4\taxes\t39.5",
            "\u{feff}supply fan\n38,6\ncabinet fan\n41.1 x2\ntool fan\n41\naxes\n39.5",
        ] {
            reads(text, &STORY);
        }
    }

    #[test]
    fn names_keep_their_digits() {
        for (text, row) in [
            ("axis 2 39.5", "axis 2 | 39.5 | "),
            ("39.5 axis 2", "axis 2 | 39.5 | "),
            ("axis 2: 41", "axis 2 | 41 | "),
            ("41 axis 2", "axis 2 | 41 | "),
            ("fan 80 41.5", "fan 80 | 41.5 | "),
            ("fan 40 41", "fan 40 | 41 | "),
            ("80 mm fan 38", "80 mm fan | 38 | "),
            ("fan 120mm 38", "fan 120mm | 38 | "),
            ("12 V fan 38.6 x2", "12 V fan | 38.6 | 2"),
            ("fan 40x40 35", "fan 40x40 | 35 | "),
            ("axis x 39", "axis x | 39 | "),
            ("x-axis 39.5", "x-axis | 39.5 | "),
            ("motor 1 and 2 39.5", "motor 1 and 2 | 39.5 | "),
            ("fan (left) 38.6", "fan (left) | 38.6 | "),
            ("axis 2\t39.5", "axis 2 | 39.5 | "),
            ("Lüfter Süd 38,6", "Lüfter Süd | 38,6 | "),
            ("مروحة 41.1 x2", "مروحة | 41.1 | 2"),
            ("🙂 41.1", "🙂 | 41.1 | "),
        ] {
            reads(text, &[row]);
        }
        reads("axis 1 39.5\naxis 2 38.5", &["axis 1 | 39.5 | ", "axis 2 | 38.5 | "]);
    }

    #[test]
    fn units_stay_with_their_level() {
        for (text, row) in [
            ("supply fan 38.6 dB", "supply fan | 38.6 dB | "),
            ("supply fan 38.6dB(A)", "supply fan | 38.6dB(A) | "),
            ("supply fan 38,6 dB(A)", "supply fan | 38,6 dB(A) | "),
            ("supply fan 38.6 dB (A)", "supply fan | 38.6 dB(A) | "),
            ("supply fan 38.6 dBC x2", "supply fan | 38.6 dBC | 2"),
            ("supply fan (38.6 dB)", "supply fan | 38.6 dB | "),
            ("38 dB fan 120", "fan 120 | 38 dB | "),
            ("supply fan 38.6 decibels", "supply fan | 38.6 dB | "),
            ("supply fan\t38.6 dB(A)\tx2", "supply fan | 38.6 dB(A) | 2"),
        ] {
            reads(text, &[row]);
        }
    }

    #[test]
    fn counts_in_every_spelling() {
        for text in [
            "cabinet fan 41.1 x2",
            "cabinet fan 41.1 X2",
            "cabinet fan 41.1 ×2",
            "cabinet fan 41.1 2×",
            "cabinet fan 41.1 x 2",
            "cabinet fan 41.1 2 pcs",
            "cabinet fan 41.1 2pcs",
            "cabinet fan 41.1 (2 pcs)",
            "cabinet fan 41.1, x2",
            "cabinet fan 41.1, 2 off",
            "cabinet fan 41.1 qty 2",
            "cabinet fan x2 41.1",
            "cabinet fan (2) 41.1",
            "2 x cabinet fan 41.1",
            "2 cabinet fan 41.1",
            "2 x 41.1 cabinet fan",
            "2x41.1 cabinet fan",
            "cabinet fan 41.1x2",
        ] {
            reads(text, &["cabinet fan | 41.1 | 2"]);
        }
        // What is no count is kept for its field to refuse.
        reads("a 41.1 x0; b 41.1 x-2; c 41.1 x1.5", &["a | 41.1 | 0", "b | 41.1 | -2", "c | 41.1 | 1.5"]);
        reads("a\t41.1\t0\nb\t40\t-2\nc\t40\t1.5", &["a | 41.1 | 0", "b | 40 | -2", "c | 40 | 1.5"]);
    }

    #[test]
    fn several_readings_stay_together() {
        reads("tool fan 41.2 41.0 40.8", &["tool fan | 41.2 41.0 40.8 | "]);
        reads("tool fan 41 42 41.5", &["tool fan | 41 42 41.5 | "]);
        reads("41.2 41.0 tool fan", &["tool fan | 41.2 41.0 | "]);
        reads("tool fan\t41.2\t41.0\t40.8\naxes\t39.5\t39.4\t39.6", &["tool fan | 41.2 41.0 40.8 | ", "axes | 39.5 39.4 39.6 | "]);
    }

    #[test]
    fn columns_alone() {
        reads("38.6\n41.1\n41", &[" | 38.6 | ", " | 41.1 | ", " | 41 | "]);
        reads("38,6\n41,1\n41", &[" | 38,6 | ", " | 41,1 | ", " | 41 | "]);
        reads("Level\n38.6\n41.1\n41", &[" | 38.6 | ", " | 41.1 | ", " | 41 | "]);
        reads("Pegel\n38.6\n41.1\n41", &[" | 38.6 | ", " | 41.1 | ", " | 41 | "]);
        reads("supply fan\ncabinet fan\naxis 2", &["supply fan |  | ", "cabinet fan |  | ", "axis 2 |  | "]);
    }

    #[test]
    fn what_cannot_be_read_is_kept() {
        reads("supply fan loud; tool fan 41", &["supply fan loud |  | ", "tool fan | 41 | "]);
        reads("supply fan 38.6.2", &["supply fan 38.6.2 |  | "]);
        reads("???", &["??? |  | "]);
        reads("x2", &["x2 |  | "]);
        reads("fan 1e309", &["fan 1e309 |  | "]);
        reads("fan 999; pump -20; hum 0", &["fan | 999 | ", "pump | -20 | ", "hum | 0 | "]);
        reads("supply fan\tloud\ntool fan\t41\naxes\t39.5", &["supply fan | loud | ", "tool fan | 41 | ", "axes | 39.5 | "]);
        reads("supply fan\tn/a\ntool fan\t41\naxes\t39.5", &["supply fan | n/a | ", "tool fan | 41 | ", "axes | 39.5 | "]);
        reads("Teil\tPegel\ntool fan\t41\naxes\t39.5", &["Teil | Pegel | ", "tool fan | 41 | ", "axes | 39.5 | "]);
        reads("cabinet fan x2", &["cabinet fan |  | 2"]);
    }

    #[test]
    fn rules_blanks_and_nothing_give_no_rows() {
        for text in ["", "  \n\t\n", ";;;", "----\n====", "\0", "\u{feff}"] {
            reads(text, &[]);
        }
    }

    #[test]
    fn commas_part_cells_only_where_they_can() {
        reads("supply fan,38.6\ncabinet fan,41.1", &["supply fan | 38.6 | ", "cabinet fan | 41.1 | "]);
        reads("supply fan,38.6,1\ncabinet fan,41.1,2", &["supply fan | 38.6 | 1", "cabinet fan | 41.1 | 2"]);
        reads("name,level,each\nsupply fan,38,1\ncabinet fan,41,2", &["supply fan | 38 | 1", "cabinet fan | 41 | 2"]);
        reads("supply fan,38,6\ncabinet fan,41,1", &["supply fan | 38,6 | ", "cabinet fan | 41,1 | "]);
        reads("\"supply fan\",\"38,6\"", &["supply fan | 38,6 | "]);
        reads("supply fan, by the door, 38.6", &["supply fan by the door | 38.6 | "]);
    }

    #[test]
    fn quoted_cells_hold_line_ends_tabs_and_quotes() {
        reads("\"cabinet\nfan\"\t41.1\n\"the \"\"big\"\" one\"\t39", &["cabinet fan | 41.1 | ", "the \"big\" one | 39 | "]);
        reads("19\" rack\t41.1\n\"open\t39", &["19\" rack | 41.1 | ", "\"open | 39 | "]);
    }

    #[test]
    fn a_formula_guarded_for_a_spreadsheet_comes_back_as_it_was() {
        reads("'=1+1\t41.1\n'@fan\t39", &["=1+1 | 41.1 | ", "@fan | 39 | "]);
    }

    #[test]
    fn headings_of_other_columns_are_followed() {
        reads("Name\tLevel\tRead at\tRunning\tRemark\ntool fan\t41\t0.5 m\toff\tnew", &["tool fan | 41 |  | near=0.5 m | run=off"]);
    }

    #[test]
    fn a_total_is_kept_but_switched_off() {
        reads("supply fan\t38.6\ntool fan\t41\nTotal\t43", &["supply fan | 38.6 | ", "tool fan | 41 | ", "Total | 43 |  | run=0"]);
    }

    #[test]
    fn more_rows_than_fit_are_counted() {
        let text = (1..=45).map(|n| format!("fan {n} 30.5")).collect::<Vec<_>>().join("\n");
        let rows = rows_from_text(&text, &TABLE);
        assert_eq!(rows.len(), 45);
        let mut draft = Draft::default();
        draft.ensure_rows(&TABLE);
        assert_eq!(put_rows(&mut draft, &TABLE, &rows), 40);
        assert_eq!(draft.rows("source").len(), 40);
        assert_eq!(put_rows(&mut draft, &TABLE, &rows), 0);
    }

    #[test]
    fn rows_already_filled_stay_in_front() {
        let mut draft = Draft::default();
        draft.add_filled("source", &[("name", "old".to_owned())]);
        draft.add_row("source");
        assert_eq!(put_rows(&mut draft, &TABLE, &rows_from_text("new 41", &TABLE)), 1);
        let names: Vec<String> = draft.rows("source").iter().map(|row| RowAt { table: "source", row: *row }.table_name(&draft)).collect();
        assert_eq!(names, ["old", "new"]);
    }

    /// No panic, and no line with a letter or a digit in it is lost.
    #[test]
    fn hostile_text_does_no_harm() {
        let alphabet = [
            "x", "2", "41.1", ",", ";", "\t", "\n", "\"", "'", "=", "(", ")", "dB", "(A)", "|", "-", "é", "🙂", " ", "fan", "#",
            "\u{202e}", "×", ".", "0",
        ];
        let mut state = 12_345_u32;
        for _ in 0..5_000 {
            let mut text = String::new();
            for _ in 0..(state >> 27) {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                text.push_str(alphabet[(state >> 16) as usize % alphabet.len()]);
            }
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let found = rows_from_text(&text, &TABLE);
            if !text.contains(['#', '\n', '\t', '|', ';']) && text.contains(char::is_alphanumeric) {
                assert!(!found.is_empty(), "{text:?}");
            }
        }
        assert_eq!(rows_from_text(&"fan 41.1 x2; ".repeat(8000), &TABLE).len(), 8000);
        assert!(!rows_from_text(&"\"".repeat(100_000), &TABLE).is_empty());
    }
}
