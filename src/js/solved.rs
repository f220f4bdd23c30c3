//! What came of a link.

use serde::Serialize;

use super::words;
use crate::calc::draft::{Col, Draft, Path};
use crate::calc::quantity::Quantity;
use crate::calc::report::{Amount, Grade, Grid, NoteKind, Report};
use crate::calc::schema::Schema;
use crate::calc::sheet::{Outcome, Sheet};
use crate::sheets;
use crate::text::{Arg, Said, Style, common_words};
use crate::units::Weighting;

#[derive(Debug, Serialize)]
pub(super) struct Solved {
    sheet: Option<&'static str>,
    outcome: &'static str,
    headline: String,
    support: Vec<String>,
    values: Vec<Value>,
    tables: Vec<Table>,
    notes: Vec<Note>,
    errors: Vec<At>,
    remarks: Vec<At>,
    missing: Vec<Address>,
    impossible: Option<Impossible>,
    link: Option<String>,
}

#[derive(Debug, Serialize)]
struct Value {
    id: &'static str,
    label: String,
    text: String,
    #[serde(flatten)]
    amount: Measured,
    grade: Option<&'static str>,
    note: Option<String>,
}

/// A number for other programs. `value` is null between two limits and where nothing is known.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Measured {
    bound: &'static str,
    value: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    #[serde(rename = "plusMinus95")]
    plus_minus_95: Option<f64>,
    quantity: &'static str,
    unit: &'static str,
    weighting: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct Table {
    id: &'static str,
    title: String,
    columns: Vec<Heading>,
    rows: Vec<Row>,
}

#[derive(Debug, Serialize)]
struct Heading {
    label: String,
    quantity: Option<&'static str>,
    unit: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct Row {
    lead: bool,
    cells: Vec<Entry>,
}

#[derive(Debug, Serialize)]
struct Entry {
    text: String,
    amount: Option<Measured>,
}

#[derive(Debug, Serialize)]
struct Note {
    kind: &'static str,
    text: String,
}

/// Something said about a field.
#[derive(Debug, Serialize)]
struct At {
    at: Address,
    text: String,
}

/// Where a field is. Rows are counted from 1, as they stand in the link.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Address {
    table: Option<&'static str>,
    row: Option<usize>,
    key: String,
}

#[derive(Debug, Serialize)]
struct Impossible {
    text: String,
    fields: Vec<Address>,
}

/// Opens a link and works it out.
pub(super) fn solve(link: &str) -> Solved {
    let opened = sheets::open(link);
    let mut notes: Vec<Note> = opened.notes.iter().map(|said| note("link", said)).collect();
    let (Some(sheet), Some(draft)) = (sheets::find(&opened.sheet), opened.draft) else {
        if notes.is_empty() {
            notes.push(note("link", &words::NO_SHEET.into()));
        }
        return nothing(notes);
    };
    run(sheet, &draft, notes)
}

/// What there is to say when no sheet was opened.
fn nothing(notes: Vec<Note>) -> Solved {
    Solved {
        sheet: None,
        outcome: "waiting",
        headline: notes.last().map_or_else(String::new, |note| note.text.clone()),
        support: Vec::new(),
        values: Vec::new(),
        tables: Vec::new(),
        notes,
        errors: Vec::new(),
        remarks: Vec::new(),
        missing: Vec::new(),
        impossible: None,
        link: None,
    }
}

fn run(sheet: &'static dyn Sheet, draft: &Draft, mut notes: Vec<Note>) -> Solved {
    let address = |path: Path| address(sheet.schema(), draft, path);
    let link = sheet.link(draft);
    notes.extend(sheet.version_notes(draft).iter().chain(&sheet.length_note(&link)).map(|said| note("link", said)));
    let run = sheet.run(draft, None);
    let errors: Vec<At> = run.errors.iter().map(|error| At { at: address(error.path), text: text(&error.problem.said()) }).collect();
    let remarks = run.remarks.iter().map(|(path, said)| At { at: address(*path), text: text(said) }).collect();
    let mut solved = Solved { sheet: Some(sheet.meta().id), errors, remarks, link: Some(link), ..nothing(notes) };
    match run.outcome {
        Outcome::Answer(report) => answer(&report, &mut solved),
        Outcome::Waiting(paths) => {
            solved.headline = text(&sheet.meta().empty.into());
            let missing = paths.into_iter().map(address).filter(|at| solved.errors.iter().all(|error| error.at != *at));
            solved.missing = missing.collect();
        }
        Outcome::Impossible(refusal) => {
            solved.outcome = "impossible";
            solved.headline = text(&refusal.said);
            let fields = refusal.paths.into_iter().map(address).collect();
            solved.impossible = Some(Impossible { text: solved.headline.clone(), fields });
        }
    }
    solved
}

fn answer(report: &Report, solved: &mut Solved) {
    solved.outcome = "answer";
    solved.headline = text(&report.headline);
    solved.support = report.support.iter().map(text).collect();
    solved.values = report
        .values
        .iter()
        .map(|value| Value {
            id: value.id,
            label: text(&value.label),
            text: value.amount.arg(value.quantity).text(Style::default()),
            amount: measured(value.quantity, value.amount),
            grade: value.grade.map(grade),
            note: value.note.as_ref().map(text),
        })
        .collect();
    let pictured = report.pictures.iter().map(|picture| &picture.twin);
    for grid in report.tables.iter().chain(pictured) {
        if solved.tables.iter().all(|table| table.id != grid.id) {
            solved.tables.push(table(grid));
        }
    }
    solved.notes.extend(report.notes.iter().map(|it| note(note_kind(it.kind), &it.said)));
}

fn table(grid: &Grid) -> Table {
    let heading = |quantity: Option<Quantity>| quantity.filter(|quantity| *quantity != Quantity::Plain).map(Quantity::si);
    Table {
        id: grid.id,
        title: text(&grid.title),
        columns: grid
            .columns
            .iter()
            .map(|column| Heading {
                label: text(&column.label),
                quantity: heading(column.quantity).map(|si| si.quantity),
                unit: heading(column.quantity).map(|si| si.unit),
            })
            .collect(),
        rows: grid.rows.iter().map(|row| Row { lead: row.lead, cells: row.cells.iter().map(entry).collect() }).collect(),
    }
}

fn entry(arg: &Arg) -> Entry {
    let found = match arg {
        Arg::Number(quantity, value) | Arg::AsTyped(quantity, value) => Some((*quantity, Amount::Exact(*value))),
        Arg::PlusMinus(quantity, value, half) => Some((*quantity, Amount::PlusMinus(*value, *half))),
        Arg::Said(said) => bound(said),
        Arg::Typed(_) | Arg::Msg(_) | Arg::List(_) | Arg::Nothing => None,
    };
    // The unit of a bare number stands in the words beside it: for a program it is text.
    let found = found.filter(|(quantity, _)| *quantity != Quantity::Plain);
    Entry { text: arg.text(Style::default()), amount: found.map(|(quantity, amount)| measured(quantity, amount)) }
}

/// The amount that [`Amount::arg`] made this sentence of.
fn bound(said: &Said) -> Option<(Quantity, Amount)> {
    let number = |at: usize| match said.args.get(at) {
        Some((_, Arg::Number(quantity, value))) => Some((*quantity, *value)),
        _ => None,
    };
    let (quantity, value) = number(0)?;
    match said.msg {
        common_words::AT_MOST => Some((quantity, Amount::AtMost(value))),
        common_words::AT_LEAST => Some((quantity, Amount::AtLeast(value))),
        common_words::BETWEEN => Some((quantity, Amount::Between(value, number(1)?.1))),
        _ => None,
    }
}

/// The number in SI units or dB. One that is not finite is not known.
fn measured(quantity: Quantity, amount: Amount) -> Measured {
    let si = quantity.si();
    // Adding zero turns a negative zero into zero.
    let number = |base: f64| Some(quantity.to_si(base) + 0.0).filter(|value| value.is_finite());
    let mut measured = Measured {
        bound: "unknown",
        value: None,
        low: None,
        high: None,
        plus_minus_95: None,
        quantity: si.quantity,
        unit: si.unit,
        weighting: match quantity {
            Quantity::Level(Weighting::A) => Some("A"),
            Quantity::Level(Weighting::C) => Some("C"),
            Quantity::Level(Weighting::Z) => Some("Z"),
            _ => None,
        },
    };
    let bound = match amount {
        Amount::Exact(value) => {
            measured.value = number(value);
            "exact"
        }
        Amount::PlusMinus(value, half) => {
            measured.value = number(value);
            measured.plus_minus_95 = measured.value.and_then(|_| number(half));
            "exact"
        }
        Amount::AtMost(value) => {
            measured.value = number(value);
            "atMost"
        }
        Amount::AtLeast(value) => {
            measured.value = number(value);
            "atLeast"
        }
        Amount::Between(low, high) => {
            (measured.low, measured.high) = number(low).zip(number(high)).unzip();
            "between"
        }
        Amount::Unknown => "unknown",
    };
    if measured.value.or(measured.low).is_some() {
        measured.bound = bound;
    }
    measured
}

fn grade(grade: Grade) -> &'static str {
    match grade {
        Grade::Solid => "solid",
        Grade::Rough => "rough",
        Grade::Bound => "bound",
        Grade::CannotTell => "cannotTell",
    }
}

fn note_kind(kind: NoteKind) -> &'static str {
    match kind {
        NoteKind::Plain => "plain",
        NoteKind::Doubt => "doubt",
        NoteKind::Care => "care",
    }
}

fn note(kind: &'static str, said: &Said) -> Note {
    Note { kind, text: text(said) }
}

fn text(said: &Said) -> String {
    said.text(Style::default())
}

fn address(schema: &Schema, draft: &Draft, path: Path) -> Address {
    let table = path.row.map(|at| at.table);
    let key = match path.col {
        Col::Fixed(key) => key.to_owned(),
        Col::Of(row) => {
            // As links write it: the column's key and the ordinal of the row it follows.
            let per = table.and_then(|table| schema.table(table)?.per.as_ref());
            let place = per.and_then(|per| draft.rows(per.table).iter().position(|other| *other == row));
            format!("{}{}", per.map_or("", |per| per.cell.key), place.map_or(0, |place| place + 1))
        }
    };
    Address { table, row: path.row.and_then(|at| draft.ordinal(at)), key }
}
