//! What a sheet has to say, as values. Words and digits come last.

use super::draft::{Draft, Path};
use super::picture::Picture;
use super::quantity::Quantity;
use super::schema::Key;
use crate::formulas::source::Source;
use crate::text::{Arg, Msg, Said, common_words as words, say};

/// A complete answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// One plain sentence a person can act on.
    pub headline: Said,
    /// A line or two more, smaller.
    pub support: Vec<Said>,
    /// The numbers.
    pub values: Vec<Value>,
    /// Tables of numbers.
    pub tables: Vec<Grid>,
    /// The pictures, each with its table twin.
    pub pictures: Vec<Picture>,
    /// What to know: doubts, cautions, explanations.
    pub notes: Vec<Note>,
    /// How it was worked out, with the person's own numbers.
    pub working: Vec<Step>,
    /// Where the story goes on.
    pub hand_over: Vec<HandOver>,
}

impl Report {
    /// An answer with its sentence and nothing else yet.
    pub fn new(headline: impl Into<Said>) -> Self {
        Self {
            headline: headline.into(),
            support: Vec::new(),
            values: Vec::new(),
            tables: Vec::new(),
            pictures: Vec::new(),
            notes: Vec::new(),
            working: Vec::new(),
            hand_over: Vec::new(),
        }
    }
}

/// One number of the answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// Its stable name, for links between values and for other programs.
    pub id: &'static str,
    /// What it is.
    pub label: Said,
    /// What it measures.
    pub quantity: Quantity,
    /// How much, and how sure.
    pub amount: Amount,
    /// How good it is.
    pub grade: Option<Grade>,
    /// A few words more.
    pub note: Option<Said>,
}

impl Value {
    /// A value without ±.
    pub fn new(id: &'static str, label: impl Into<Said>, quantity: Quantity, amount: Amount) -> Self {
        Self { id, label: label.into(), quantity, amount, grade: None, note: None }
    }

    /// With a grade.
    #[must_use]
    pub fn graded(mut self, grade: Grade) -> Self {
        self.grade = Some(grade);
        self
    }

    /// With a few words more.
    #[must_use]
    pub fn noted(mut self, note: impl Into<Said>) -> Self {
        self.note = Some(note.into());
        self
    }
}

/// How much, and how sure. Base units; every ± is a 95 % figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// A value that has no ±: exact, or not stated.
    Exact(f64),
    /// A value and half the width of its 95 % interval.
    PlusMinus(f64, f64),
    /// An interval.
    Between(f64, f64),
    /// Only an upper bound is known.
    AtMost(f64),
    /// Only a lower bound is known.
    AtLeast(f64),
    /// The inputs cannot support a value.
    Unknown,
}

impl Amount {
    /// A chance, 0 to 1, as its share of all cases; one worked out by draws is never certain.
    pub fn chance(share: f64) -> Self {
        if share < 0.01 {
            Self::AtMost(0.01)
        } else if share > 0.99 {
            Self::AtLeast(0.99)
        } else {
            Self::Exact(share)
        }
    }

    /// The amount as an argument of a sentence or a cell of a table.
    pub fn arg(self, quantity: Quantity) -> Arg {
        match self {
            Self::Exact(value) => Arg::Number(quantity, value),
            Self::PlusMinus(value, half) => Arg::PlusMinus(quantity, value, half),
            Self::Between(low, high) => say(words::BETWEEN).num("low", quantity, low).num("high", quantity, high).into(),
            Self::AtMost(value) => say(words::AT_MOST).num("value", quantity, value).into(),
            Self::AtLeast(value) => say(words::AT_LEAST).num("value", quantity, value).into(),
            Self::Unknown => Arg::Nothing,
        }
    }

    /// The number itself, when there is one.
    pub fn value(self) -> Option<f64> {
        match self {
            Self::Exact(value) | Self::PlusMinus(value, _) | Self::AtMost(value) | Self::AtLeast(value) => Some(value),
            Self::Between(..) | Self::Unknown => None,
        }
    }
}

/// How good a value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grade {
    /// Good enough to decide on.
    Solid,
    /// Good enough for a direction.
    Rough,
    /// Only a bound.
    Bound,
    /// Nothing can be said.
    CannotTell,
}

impl Grade {
    /// The word for it.
    pub fn msg(self) -> Msg {
        match self {
            Self::Solid => words::GRADE_SOLID,
            Self::Rough => words::GRADE_ROUGH,
            Self::Bound => words::GRADE_BOUND,
            Self::CannotTell => words::GRADE_NONE,
        }
    }
}

/// A table of results, and the twin of a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Its stable name.
    pub id: &'static str,
    /// The caption.
    pub title: Said,
    /// The column headings, the first for the rows' names.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<GridRow>,
}

/// A column heading.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// The words.
    pub label: Said,
    /// What its numbers measure, for the unit in the heading of exports.
    pub quantity: Option<Quantity>,
}

impl Column {
    /// A column of words.
    pub fn words(label: impl Into<Said>) -> Self {
        Self { label: label.into(), quantity: None }
    }

    /// A column of numbers.
    pub fn numbers(label: impl Into<Said>, quantity: Quantity) -> Self {
        Self { label: label.into(), quantity: Some(quantity) }
    }
}

/// A row of results.
#[derive(Clone, Debug, PartialEq)]
pub struct GridRow {
    /// The cells, the first its name. As many as there are columns.
    pub cells: Vec<Arg>,
    /// Whether this is the row the answer is about.
    pub lead: bool,
}

/// Something to know.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// What kind of note.
    pub kind: NoteKind,
    /// The words.
    pub said: Said,
}

/// What kind of note it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteKind {
    /// An explanation.
    Plain,
    /// A reason to doubt a number or an input.
    Doubt,
    /// A safety caution.
    Care,
}

impl Note {
    /// An explanation.
    pub fn plain(said: impl Into<Said>) -> Self {
        Self { kind: NoteKind::Plain, said: said.into() }
    }

    /// A reason to doubt.
    pub fn doubt(said: impl Into<Said>) -> Self {
        Self { kind: NoteKind::Doubt, said: said.into() }
    }

    /// A safety caution.
    pub fn care(said: impl Into<Said>) -> Self {
        Self { kind: NoteKind::Care, said: said.into() }
    }
}

/// One step of the working.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What is worked out, in words.
    pub what: Said,
    /// The formula in symbols.
    pub formula: &'static str,
    /// The formula with the person's numbers, lines as [`super::number::working`] writes them. Empty when there is nothing to fill in.
    pub filled: Vec<Filled>,
    /// Where the formula is from.
    pub source: &'static Source,
}

/// A piece of a worked formula: symbols stay, numbers are written with the person's decimal sign.
#[derive(Clone, Debug, PartialEq)]
pub enum Filled {
    /// Symbols.
    Symbols(String),
    /// A number, to four digits.
    Number(f64),
    /// The end of a line.
    NewLine,
}

/// Makes the filled-in line of a [`Step`]: `filled!["10·lg(", 3.5, " + ", x, ") = ", y]`.
#[macro_export]
macro_rules! filled {
    ($($piece:expr),* $(,)?) => { vec![$($crate::calc::report::Filled::from($piece)),*] };
}

impl From<&str> for Filled {
    fn from(symbols: &str) -> Self {
        if symbols == "\n" { Self::NewLine } else { Self::Symbols(symbols.to_owned()) }
    }
}

impl From<String> for Filled {
    fn from(symbols: String) -> Self {
        Self::Symbols(symbols)
    }
}

impl From<f64> for Filled {
    fn from(value: f64) -> Self {
        Self::Number(value)
    }
}

/// A link to another sheet, filled in.
#[derive(Clone, Debug, PartialEq)]
pub struct HandOver {
    /// The id of the other sheet.
    pub sheet: Key,
    /// What the link says.
    pub label: Said,
    /// What is filled in there.
    pub draft: Draft,
}

/// Why fields that are each fine have no answer together.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// What is wrong, naming the fields, and the nearest thing that would work.
    pub said: Said,
    /// The fields.
    pub paths: Vec<Path>,
}
