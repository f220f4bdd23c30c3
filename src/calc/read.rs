//! From raw text to typed inputs. Text and paths stop at this door.

use super::draft::{Col, Draft, Path, RowAt, RowId};
use super::error::{FieldError, Problem};
use super::link;
use super::number::{self, Typed};
use super::quantity::Quantity;
use super::schema::{CONDITIONS, Cell, FROM, Key, Kind, Per, Schema, Table, WEIGHTING};
use crate::formulas::{levels, uncertainty};
use crate::text::Said;
use crate::units::{Level, Weighting, within};
use std::collections::BTreeSet;

/// A number of a field, checked against its range.
///
/// # Errors
///
/// What the field shows.
pub fn number(cell: &Cell, raw: &str) -> Result<Typed, Problem> {
    let Kind::Number { quantity, min, max, .. } = cell.kind else {
        return Err(Problem::NotANumber { found: raw.to_owned() });
    };
    let typed = number::parse(raw, quantity)?;
    in_range(typed.base, min, max, quantity)?;
    Ok(Typed { base: within(typed.base, min, max), ..typed })
}

/// How the conditions header writes a weighting; the usual one is left out.
pub const fn weighting_key(weighting: Weighting) -> Key {
    match weighting {
        Weighting::A => "",
        Weighting::C => "c",
        Weighting::Z => "z",
    }
}

/// The number of a cell's default; 0 where it has none.
pub fn default_of(cell: &Cell) -> f64 {
    number(cell, cell.default).map_or(0.0, |typed| typed.base)
}

/// How many readings one field takes.
const MOST_READINGS: usize = 60;

/// The eye readings of a level field, each checked against its range.
///
/// # Errors
///
/// What the field shows.
pub fn readings(cell: &Cell, raw: &str) -> Result<Vec<Typed>, Problem> {
    let Kind::Levels { min, max } = cell.kind else {
        return Err(Problem::NotANumber { found: raw.to_owned() });
    };
    let quantity = Quantity::Level(Weighting::A);
    let readings = number::parse_several(raw, quantity)?;
    if readings.len() > MOST_READINGS {
        return Err(Problem::TooMany { found: readings.len(), max: MOST_READINGS });
    }
    for reading in &readings {
        in_range(reading.base, min, max, quantity)?;
    }
    Ok(readings)
}

/// The ends of a range belong to it, also when they were typed in another unit.
fn in_range(value: f64, min: f64, max: f64, quantity: Quantity) -> Result<(), Problem> {
    let slack = (max - min) * 1e-12;
    if (min - slack..=max + slack).contains(&value) { Ok(()) } else { Err(Problem::OutOfRange { value, min, max, quantity }) }
}

/// A whole number of a field.
///
/// # Errors
///
/// What the field shows.
pub fn count(cell: &Cell, raw: &str) -> Result<u32, Problem> {
    let Kind::Count { min, max } = cell.kind else {
        return Err(Problem::NotANumber { found: raw.to_owned() });
    };
    let typed = number::parse(raw, Quantity::Count)?;
    let value = typed.base;
    if value.fract() == 0.0 && (f64::from(min)..=f64::from(max)).contains(&value) {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and within a u32 range, just checked")]
        return Ok(value as u32);
    }
    Err(Problem::NotWhole { found: number::shorten(raw.trim()), min, max })
}

/// One of a few, by its key; upper case is forgiven.
///
/// # Errors
///
/// What the field shows.
pub fn choice(cell: &Cell, raw: &str) -> Result<&'static str, Problem> {
    let Kind::Choice(choices) = cell.kind else {
        return Err(Problem::NotANumber { found: raw.to_owned() });
    };
    let folded = raw.trim().to_ascii_lowercase();
    choices.iter().find(|choice| choice.key == folded).map(|choice| choice.key).ok_or_else(|| Problem::UnknownChoice {
        found: number::shorten(raw.trim()),
        allowed: choices.iter().map(|choice| choice.label).collect(),
    })
}

/// On or off.
///
/// # Errors
///
/// What the field shows.
pub fn switch(raw: &str) -> Result<bool, Problem> {
    match raw.trim().to_ascii_lowercase().as_str() {
        "1" | "on" | "yes" | "x" => Ok(true),
        "0" | "off" | "no" => Ok(false),
        _ => Err(Problem::UnknownChoice {
            found: number::shorten(raw.trim()),
            allowed: vec![crate::text::common_words::SWITCH_ON, crate::text::common_words::SWITCH_OFF],
        }),
    }
}

/// Free text: blanks folded, control characters dropped.
///
/// # Errors
///
/// What the field shows.
pub fn text(cell: &Cell, raw: &str) -> Result<String, Problem> {
    match text_cut(cell, raw) {
        (text, None) => Ok(text),
        (_, Some(problem)) => Err(problem),
    }
}

/// The same, cut to what fits, and the problem when something was cut.
pub fn text_cut(cell: &Cell, raw: &str) -> (String, Option<Problem>) {
    let max = match cell.kind {
        Kind::Text { max } => max,
        _ => u16::MAX,
    };
    let folded = fold(raw);
    let found = folded.chars().count();
    if found <= usize::from(max) {
        return (folded, None);
    }
    let cut: String = folded.chars().take(usize::from(max)).collect();
    (cut.trim_end().to_owned(), Some(Problem::TooLong { found, max }))
}

/// Text in one line: blanks folded, control characters dropped.
pub fn fold(raw: &str) -> String {
    let clean: String = raw.chars().map(|c| if c.is_whitespace() { ' ' } else { c }).filter(|c| !c.is_control()).collect();
    clean.split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// The row of another table, by its ordinal.
///
/// # Errors
///
/// What the field shows.
pub fn row(draft: &Draft, table: &'static str, raw: &str) -> Result<(usize, RowId), Problem> {
    let ordinal: usize = raw.trim().parse().map_err(|_| Problem::NoSuchRow)?;
    draft.row_at(table, ordinal).map(|row| (ordinal, row)).ok_or(Problem::NoSuchRow)
}

/// Whether a cell applies, given what its choice says ([`Cell::when`]). `cells` are its table's columns, or the fields.
pub fn shown(draft: &Draft, row: Option<RowAt>, cells: &[Cell], cell: &Cell) -> bool {
    let Some((key, wanted)) = cell.when else { return true };
    let Some(decides) = cells.iter().find(|other| other.key == key) else { return true };
    let chosen = choice(decides, draft.get(path(row, decides))).unwrap_or(decides.default);
    wanted.contains(&chosen)
}

/// What is wrong with single cells of a draft, those that apply.
pub fn problems(schema: &Schema, draft: &Draft) -> Vec<FieldError> {
    let wrong = schema.cells(draft).filter_map(|(path, cell)| {
        let siblings = path.row.and_then(|at| schema.table(at.table)).map_or(schema.fields, |table| table.cells);
        let problem = link::canonical(cell, draft, draft.get(path)).err()?;
        shown(draft, path.row, siblings, cell).then_some(FieldError { path, problem })
    });
    wrong.collect()
}

/// A level as read by eye, once or several times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The level; of several readings, their energy mean.
    pub level: Level,
    /// How many readings.
    pub count: usize,
    /// Half the width of the 95 % interval that the spread of several readings gives, dB.
    pub spread: Option<f64>,
    /// The weighting named in the field, if any.
    pub weighting: Option<Weighting>,
    /// Whether every reading is a whole number and the last was typed without a decimal sign: the meter may show no tenths. The
    /// last decides, since a link writes the first of several with a point.
    pub whole: bool,
}

/// Reads a draft field by field, collecting every problem.
#[derive(Debug)]
pub struct Reader<'a> {
    draft: &'a Draft,
    /// What is wrong, where.
    pub errors: Vec<FieldError>,
    /// How unclear text was read, where.
    pub remarks: Vec<(Path, Said)>,
    /// What is empty and needed, where.
    pub missing: Vec<Path>,
    weighting: Weighting,
    named: Vec<(Path, Weighting)>,
}

impl<'a> Reader<'a> {
    /// A reader of this draft.
    pub fn new(draft: &'a Draft) -> Self {
        let weighting = match choice(WEIGHTING, draft.get(Path::field(WEIGHTING.key))) {
            Ok("c") => Weighting::C,
            Ok("z") => Weighting::Z,
            _ => Weighting::A,
        };
        Self { draft, errors: Vec::new(), remarks: Vec::new(), missing: Vec::new(), weighting, named: Vec::new() }
    }

    /// The draft being read.
    pub fn draft(&self) -> &'a Draft {
        self.draft
    }

    /// The weighting of the sheet's levels: the one named in the fields where all that name one agree, else the header's.
    pub fn weighting(&self) -> Weighting {
        self.named.first().map_or(self.weighting, |(_, weighting)| *weighting)
    }

    /// Two cells whose levels are of different weighting, if there are any. A cell that names none has the header's.
    pub fn mixed_weighting(&self) -> Option<((Path, Weighting), (Path, Weighting))> {
        let first = *self.named.first()?;
        self.named.iter().find(|(_, weighting)| *weighting != first.1).map(|other| (first, *other))
    }

    /// The rows of a table that say anything, in order. A row with nothing but blanks and defaults says nothing.
    pub fn rows(&self, table: &Table) -> Vec<RowAt> {
        let rows = self.draft.rows(table.key).iter().map(|row| RowAt { table: table.key, row: *row });
        rows.filter(|at| link::row_has_content(table, self.draft, *at)).collect()
    }

    /// The number of a field in its base unit; the default's while it is empty. `None` when empty without default, or wrong.
    pub fn number(&mut self, row: Option<RowAt>, cell: &Cell) -> Option<f64> {
        let path = path(row, cell);
        let typed = self.take(path, cell, |raw| number(cell, raw))?;
        if let Some(said) = cell.quantity().and_then(|quantity| typed.remark(quantity)) {
            self.remarks.push((path, said));
        }
        Some(typed.base)
    }

    /// The number of a field with a default, which holds where the text is wrong too.
    pub fn number_or_default(&mut self, row: Option<RowAt>, cell: &Cell) -> f64 {
        self.number(row, cell).unwrap_or_else(|| default_of(cell))
    }

    /// The level of a field. `None` when empty or wrong.
    pub fn level(&mut self, row: Option<RowAt>, cell: &Cell) -> Option<Reading> {
        let path = path(row, cell);
        let typed = self.take(path, cell, |raw| readings(cell, raw))?;
        if let [only] = typed.as_slice()
            && let Some(said) = only.remark(Quantity::Level(self.weighting))
        {
            self.remarks.push((path, said));
        }
        let weighting = typed.iter().find_map(Typed::weighting);
        // A level that names no weighting has the header's: that, too, can disagree with one that names another.
        self.named.extend(typed.iter().map(|typed| (path, typed.weighting().unwrap_or(self.weighting))));
        let levels: Vec<Level> = typed.iter().map(|typed| Level(typed.base)).collect();
        Some(Reading {
            level: levels::energy_mean(&levels).ok()?,
            count: levels.len(),
            spread: uncertainty::readings(&levels).ok().filter(|_| levels.len() > 1).map(|of| of.mean.half_width),
            weighting,
            whole: levels.iter().all(|level| level.0.fract() == 0.0) && typed.last().is_some_and(|typed| !typed.marked),
        })
    }

    /// The whole number of a field.
    pub fn count(&mut self, row: Option<RowAt>, cell: &Cell) -> Option<u32> {
        self.take(path(row, cell), cell, |raw| count(cell, raw))
    }

    /// The choice of a field. A wrong one is reported and the default holds.
    pub fn choice(&mut self, row: Option<RowAt>, cell: &Cell) -> &'static str {
        let default = match cell.kind {
            Kind::Choice(choices) => choices.iter().find(|choice| choice.key == cell.default).map_or("", |choice| choice.key),
            _ => "",
        };
        self.take(path(row, cell), cell, |raw| choice(cell, raw)).unwrap_or(default)
    }

    /// Whether a switch is on. Wrong text is reported and the default holds.
    pub fn switch(&mut self, row: Option<RowAt>, cell: &Cell) -> bool {
        self.take(path(row, cell), cell, switch).or_else(|| switch(cell.default).ok()).unwrap_or_default()
    }

    /// The text of a field. One that is too long is reported, and as much of it is used as fits.
    pub fn text(&mut self, row: Option<RowAt>, cell: &Cell) -> String {
        let path = path(row, cell);
        let (text, problem) = text_cut(cell, self.draft.get(path));
        self.errors.extend(problem.map(|problem| FieldError { path, problem }));
        if text.is_empty() { cell.default.to_owned() } else { text }
    }

    /// The number in the column that follows a row of another table.
    pub fn per(&mut self, at: RowAt, per: &Per, of: RowId) -> Option<f64> {
        let path = Path { row: Some(at), col: Col::Of(of) };
        self.take(path, &per.cell, |raw| number(&per.cell, raw)).map(|typed| typed.base)
    }

    /// How many, in the column that follows a row of another table. The default's while it is empty; `None` when wrong.
    pub fn per_count(&mut self, at: RowAt, per: &Per, of: RowId) -> Option<u32> {
        let path = Path { row: Some(at), col: Col::Of(of) };
        self.take(path, &per.cell, |raw| count(&per.cell, raw))
    }

    /// The row another row points to.
    pub fn row(&mut self, at: Option<RowAt>, cell: &Cell) -> Option<RowId> {
        let Kind::Row(table) = cell.kind else { return None };
        let draft = self.draft;
        if draft.get(path(at, cell)).trim().is_empty() && row(draft, table, cell.default).is_err() {
            return None;
        }
        self.take(path(at, cell), cell, |raw| row(draft, table, raw)).map(|(_, row)| row)
    }

    /// The start of a draft for another sheet: the conditions header as it is here, and where the numbers come from. Read
    /// the levels first: the weighting may be named there.
    pub fn hand_over(&self, from: Key) -> Draft {
        let mut draft = Draft::default().with(Path::field(FROM.key), from);
        for cell in CONDITIONS {
            let text = self.draft.get(Path::field(cell.key));
            if link::canonical(cell, self.draft, text).is_ok() {
                draft.set(Path::field(cell.key), text);
            }
        }
        draft.with(Path::field(WEIGHTING.key), weighting_key(self.weighting()))
    }

    /// Notes the problems of cells that apply, but that the sheet had no reason to read.
    pub(super) fn check_the_rest(&mut self, schema: &Schema) {
        let known: BTreeSet<Path> = self.errors.iter().map(|error| error.path).collect();
        self.errors.extend(problems(schema, self.draft).into_iter().filter(|error| !known.contains(&error.path)));
    }

    /// Notes that the sheet cannot go on without this field, unless it already has a problem.
    pub fn need(&mut self, row: Option<RowAt>, cell: &Cell) {
        let path = path(row, cell);
        if !self.errors.iter().any(|error| error.path == path) && !self.missing.contains(&path) {
            self.missing.push(path);
        }
    }

    /// Whether this field has a problem.
    pub fn is_wrong(&self, row: Option<RowAt>, cell: &Cell) -> bool {
        let path = path(row, cell);
        self.errors.iter().any(|error| error.path == path)
    }

    fn take<T>(&mut self, path: Path, cell: &Cell, read: impl Fn(&str) -> Result<T, Problem>) -> Option<T> {
        let raw = self.draft.get(path);
        let raw = if raw.trim().is_empty() { cell.default } else { raw };
        if raw.is_empty() {
            return None;
        }
        match read(raw) {
            Ok(value) => Some(value),
            Err(problem) => {
                self.errors.push(FieldError { path, problem });
                None
            }
        }
    }
}

/// The path of a cell, in a row or not.
pub fn path(row: Option<RowAt>, cell: &Cell) -> Path {
    Path { row, col: Col::Fixed(cell.key) }
}
