//! What a sheet asks for, as data: every field and table named once, with its unit, range, default and words.

use super::draft::{Col, Draft, Path, RowAt};
use super::quantity::Quantity;
use crate::text::{Msg, common_words as words};
use crate::units::Weighting;

/// A permanent name of a field, table, column or choice in links: a lower-case letter, then letters and digits.
pub type Key = &'static str;

/// One field, or one column of a table.
#[derive(Debug)]
pub struct Cell {
    /// Its name in links. Never changes its meaning.
    pub key: Key,
    /// Names it had before; links with them still open.
    pub was: &'static [Key],
    /// The label.
    pub label: Msg,
    /// One line of help.
    pub help: Msg,
    /// What it takes.
    pub kind: Kind,
    /// What holds while nothing is typed; empty for nothing. Stated beside the field.
    pub default: &'static str,
    /// Where the field stands on the page.
    pub place: Place,
    /// Shown only while this choice, in the same row or among the fields, has one of these values; `None` for always.
    /// What is hidden stays in the draft; a sheet does not read it. See [`super::read::shown`].
    pub when: Option<(Key, &'static [Key])>,
}

/// Where a field stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// In view from the start.
    Front,
    /// Folded behind "More".
    More,
    /// Carried by links and written by the page itself; nothing to type in.
    Hidden,
}

/// What a cell takes.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A number in a range, base unit. `step` is what the buttons beside the field add.
    Number {
        /// What it measures.
        quantity: Quantity,
        /// Least allowed.
        min: f64,
        /// Most allowed.
        max: f64,
        /// Step of the buttons.
        step: f64,
    },
    /// A level, or several eye readings of one.
    Levels {
        /// Least allowed, dB.
        min: f64,
        /// Most allowed, dB.
        max: f64,
    },
    /// A whole number.
    Count {
        /// Least allowed.
        min: u32,
        /// Most allowed.
        max: u32,
    },
    /// One of a few.
    Choice(&'static [Choice]),
    /// On or off; `1` or `0` in links.
    Switch,
    /// Free text.
    Text {
        /// Most characters.
        max: u16,
    },
    /// A row of another table; its ordinal, from 1, in links.
    Row(Key),
}

/// One of a few.
#[derive(Debug)]
pub struct Choice {
    /// Its name in links.
    pub key: Key,
    /// Its label.
    pub label: Msg,
}

/// A table of rows.
#[derive(Debug)]
pub struct Table {
    /// Its name in links; each row is a part of its own.
    pub key: Key,
    /// Names it had before.
    pub was: &'static [Key],
    /// The heading.
    pub label: Msg,
    /// What one row is called: "source".
    pub row: Msg,
    /// One line of help.
    pub help: Msg,
    /// Empty rows shown at the start.
    pub start_rows: usize,
    /// Most rows.
    pub max_rows: usize,
    /// The columns. The first is the row's name: free text.
    pub cells: &'static [Cell],
    /// One more column for each row of another table.
    pub per: Option<Per>,
    /// Whether a pasted list fills it.
    pub paste: bool,
    /// Where it stands.
    pub place: Place,
}

/// Columns that follow the rows of another table.
#[derive(Debug)]
pub struct Per {
    /// The other table.
    pub table: Key,
    /// What each such column takes. Its key is a prefix: `p1`, `p2`.
    pub cell: Cell,
}

/// Everything a sheet asks for.
#[derive(Debug)]
pub struct Schema {
    /// Fields, in page order.
    pub fields: &'static [Cell],
    /// Tables, in page order.
    pub tables: &'static [Table],
}

impl Schema {
    /// The conditions header, then the sheet's own fields.
    pub fn all_fields(&self) -> impl Iterator<Item = &'static Cell> + use<> {
        CONDITIONS.iter().chain([&FROM]).chain(self.fields.iter())
    }

    /// The field with this key, or with a key it had before.
    pub fn field(&self, key: &str) -> Option<&'static Cell> {
        self.all_fields().find(|cell| cell.key == key || cell.was.contains(&key))
    }

    /// Every cell that stands in a draft, with its address: fields, then rows.
    pub fn cells<'a>(&'a self, draft: &'a Draft) -> impl Iterator<Item = (Path, &'static Cell)> + use<'a> {
        let fields = self.all_fields().map(|cell| (Path::field(cell.key), cell));
        let rows = self.tables.iter().flat_map(move |table| {
            draft.rows(table.key).iter().flat_map(move |row| {
                let at = Some(RowAt { table: table.key, row: *row });
                let own = table.cells.iter().map(move |cell| (Path { row: at, col: Col::Fixed(cell.key) }, cell));
                let per = table
                    .per
                    .iter()
                    .flat_map(move |per| draft.rows(per.table).iter().map(move |of| (Path { row: at, col: Col::Of(*of) }, &per.cell)));
                own.chain(per)
            })
        });
        fields.chain(rows)
    }

    /// The cell at an address.
    pub fn cell_at(&self, path: Path) -> Option<&'static Cell> {
        let Some(at) = path.row else { return self.field(path.key()) };
        let table = self.table(at.table)?;
        match path.col {
            Col::Fixed(key) => table.cell(key),
            Col::Of(_) => table.per.as_ref().map(|per| &per.cell),
        }
    }

    /// Changes a draft's rows, and has whatever points to a row point to the same one afterwards. What pointed to a row that is
    /// gone says so.
    pub fn keep_pointing(&self, draft: &mut Draft, edit: impl FnOnce(&mut Draft)) {
        let pointers: Vec<(Path, RowAt)> = self
            .cells(draft)
            .filter_map(|(path, cell)| {
                let Kind::Row(table) = cell.kind else { return None };
                let (_, row) = super::read::row(draft, table, draft.get(path)).ok()?;
                Some((path, RowAt { table, row }))
            })
            .collect();
        edit(draft);
        for (path, target) in pointers {
            if path.row.is_some_and(|at| draft.ordinal(at).is_none()) {
                continue;
            }
            let points_there = super::read::row(draft, target.table, draft.get(path)).is_ok_and(|(_, row)| row == target.row);
            if !points_there {
                draft.set(path, draft.ordinal(target).map_or_else(|| "gone".to_owned(), |ordinal| ordinal.to_string()));
            }
        }
    }

    /// The table with this key, or with a key it had before.
    pub fn table(&self, key: &str) -> Option<&'static Table> {
        self.tables.iter().find(|table| table.key == key || table.was.contains(&key))
    }
}

impl Table {
    /// The column with this key, or with a key it had before.
    pub fn cell(&self, key: &str) -> Option<&'static Cell> {
        self.cells.iter().find(|cell| cell.key == key || cell.was.contains(&key))
    }
}

impl Cell {
    /// The quantity of a numeric cell.
    pub fn quantity(&self) -> Option<Quantity> {
        match self.kind {
            Kind::Number { quantity, .. } => Some(quantity),
            Kind::Levels { .. } => Some(Quantity::Level(Weighting::A)),
            Kind::Count { .. } => Some(Quantity::Count),
            Kind::Choice(_) | Kind::Switch | Kind::Text { .. } | Kind::Row(_) => None,
        }
    }
}

/// The lowest level a field takes, dB.
pub const LEVEL_MIN: f64 = -10.0;
/// The highest level a field takes, dB.
pub const LEVEL_MAX: f64 = 150.0;
/// A level field's usual kind.
pub const LEVELS: Kind = Kind::Levels { min: LEVEL_MIN, max: LEVEL_MAX };

const fn condition(key: Key, label: Msg, help: Msg, kind: Kind, default: &'static str) -> Cell {
    Cell { key, was: &[], label, help, kind, default, place: Place::More, when: None }
}

/// The title of the sheet.
pub static TITLE: &Cell = &CONDITIONS_LIST[0];
/// From the machine to the meter.
pub static DISTANCE: &Cell = &CONDITIONS_LIST[3];
/// The weighting of its levels.
pub static WEIGHTING: &Cell = &CONDITIONS_LIST[4];

static CONDITIONS_LIST: [Cell; 6] = [
    condition("title", words::TITLE, words::TITLE_HELP, Kind::Text { max: 80 }, ""),
    condition("machine", words::MACHINE, words::MACHINE_HELP, Kind::Text { max: 60 }, ""),
    condition("meter", words::POSITION, words::POSITION_HELP, Kind::Text { max: 80 }, ""),
    condition(
        "at",
        words::DISTANCE,
        words::DISTANCE_HELP,
        Kind::Number { quantity: Quantity::Distance, min: 0.01, max: 100.0, step: 0.1 },
        "",
    ),
    condition(
        "weight",
        words::WEIGHTING,
        words::WEIGHTING_HELP,
        Kind::Choice(&[
            Choice { key: "a", label: words::WEIGHTING_A },
            Choice { key: "c", label: words::WEIGHTING_C },
            Choice { key: "z", label: words::WEIGHTING_Z },
        ]),
        "a",
    ),
    condition(
        "time",
        words::TIME,
        words::TIME_HELP,
        Kind::Choice(&[
            Choice { key: "slow", label: words::TIME_SLOW },
            Choice { key: "fast", label: words::TIME_FAST },
            Choice { key: "leq", label: words::TIME_AVERAGE },
        ]),
        "slow",
    ),
];

/// The folded header every sheet has.
pub static CONDITIONS: &[Cell] = &CONDITIONS_LIST;

/// Which sheet handed the numbers over. Never drawn as a field.
pub static FROM: Cell = condition("from", words::LINK_FROM, words::LINK_FROM, Kind::Text { max: 24 }, "");
