//! What there is: the sheets and their fields.

use serde::Serialize;

use crate::calc::quantity::{Quantity, Unit};
use crate::calc::read;
use crate::calc::schema::{CONDITIONS, Cell, Key, Kind, Place, Table};
use crate::calc::sheet::Sheet;
use crate::sheets::{self, SHEETS};
use crate::text::{Language, Msg};

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Listed {
    id: &'static str,
    title: &'static str,
    version: u32,
    example: String,
    limits: Vec<&'static str>,
    cautions: Vec<&'static str>,
    fields: Vec<Field>,
    conditions: Vec<Field>,
    tables: Vec<Fillable>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Field {
    key: Key,
    label: &'static str,
    help: &'static str,
    kind: &'static str,
    quantity: Option<&'static str>,
    unit: Option<&'static str>,
    min: Option<f64>,
    max: Option<f64>,
    default: Option<Default>,
    written: Vec<Written>,
    choices: Option<Vec<Choice>>,
    row_of: Option<Key>,
    max_length: Option<u16>,
    more: bool,
    when: Option<When>,
}

#[derive(Serialize)]
#[serde(untagged)]
enum Default {
    Number(f64),
    Switch(bool),
    Text(&'static str),
}

/// A unit as links write it: SI value = number · `factor` + `offset`.
#[derive(Serialize)]
struct Written {
    id: &'static str,
    symbol: &'static str,
    factor: f64,
    offset: f64,
}

#[derive(Serialize)]
struct Choice {
    key: Key,
    label: &'static str,
}

#[derive(Serialize)]
struct When {
    key: Key,
    values: &'static [Key],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Fillable {
    key: Key,
    label: &'static str,
    row: &'static str,
    help: &'static str,
    max_rows: usize,
    fields: Vec<Field>,
    per: Option<Per>,
}

#[derive(Serialize)]
struct Per {
    table: Key,
    field: Field,
}

pub(super) fn all() -> Vec<Listed> {
    SHEETS.iter().map(|sheet| listed(*sheet)).collect()
}

fn listed(sheet: &dyn Sheet) -> Listed {
    let (meta, schema) = (sheet.meta(), sheet.schema());
    let words = |all: &[Msg]| all.iter().map(|msg| english(*msg)).collect();
    Listed {
        id: meta.id,
        title: english(meta.title),
        version: meta.version,
        example: sheets::open(meta.example).draft.map_or_else(String::new, |draft| sheet.link(&draft)),
        limits: words(meta.limits),
        cautions: words(meta.cautions),
        fields: schema.fields.iter().map(field).collect(),
        conditions: CONDITIONS.iter().map(field).collect(),
        tables: schema.tables.iter().map(rows).collect(),
    }
}

fn rows(table: &Table) -> Fillable {
    Fillable {
        key: table.key,
        label: english(table.label),
        row: english(table.row),
        help: english(table.help),
        max_rows: table.max_rows,
        fields: table.cells.iter().map(field).collect(),
        per: table.per.as_ref().map(|per| Per { table: per.table, field: field(&per.cell) }),
    }
}

fn field(cell: &Cell) -> Field {
    let quantity = cell.quantity();
    let si = quantity.map(Quantity::si);
    let in_si = |base: f64| quantity.map(|quantity| quantity.to_si(base));
    let (kind, range) = match cell.kind {
        Kind::Number { min, max, .. } => ("number", Some((min, max))),
        Kind::Levels { min, max } => ("levels", Some((min, max))),
        Kind::Count { min, max } => ("count", Some((f64::from(min), f64::from(max)))),
        Kind::Choice(_) => ("choice", None),
        Kind::Switch => ("switch", None),
        Kind::Text { .. } => ("text", None),
        Kind::Row(_) => ("row", None),
    };
    Field {
        key: cell.key,
        label: english(cell.label),
        help: english(cell.help),
        kind,
        quantity: si.map(|si| si.quantity),
        unit: si.map(|si| si.unit),
        min: range.and_then(|(min, _)| in_si(min)),
        max: range.and_then(|(_, max)| in_si(max)),
        default: default(cell),
        written: quantity.map_or_else(Vec::new, |quantity| quantity.units().iter().map(|unit| written(quantity, unit)).collect()),
        choices: match cell.kind {
            Kind::Choice(choices) => Some(choices.iter().map(|choice| Choice { key: choice.key, label: english(choice.label) }).collect()),
            _ => None,
        },
        row_of: match cell.kind {
            Kind::Row(table) => Some(table),
            _ => None,
        },
        max_length: match cell.kind {
            Kind::Text { max } => Some(max),
            _ => None,
        },
        more: cell.place == Place::More,
        when: cell.when.map(|(key, values)| When { key, values }),
    }
}

/// What holds while nothing is written.
fn default(cell: &Cell) -> Option<Default> {
    if cell.default.is_empty() {
        return None;
    }
    match cell.kind {
        Kind::Number { quantity, .. } => read::number(cell, cell.default).ok().map(|typed| Default::Number(quantity.to_si(typed.base))),
        Kind::Levels { .. } => read::readings(cell, cell.default).ok()?.first().map(|typed| Default::Number(typed.base)),
        Kind::Count { .. } => read::count(cell, cell.default).ok().map(|count| Default::Number(f64::from(count))),
        Kind::Switch => read::switch(cell.default).ok().map(Default::Switch),
        Kind::Choice(_) | Kind::Text { .. } | Kind::Row(_) => Some(Default::Text(cell.default)),
    }
}

fn written(quantity: Quantity, unit: &'static Unit) -> Written {
    Written { id: unit.id, symbol: unit.symbol, factor: quantity.to_si(unit.factor), offset: quantity.to_si(unit.offset) }
}

fn english(msg: Msg) -> &'static str {
    Language::English.text(msg)
}
