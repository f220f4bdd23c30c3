//! A sheet that uses every part of the contract: every kind of cell, a row that points to another, columns that follow
//! another table, a choice that decides which fields apply, every kind of picture. It stands in no menu.

use lessdin::calc::draft::{Draft, Path, RowAt};
use lessdin::calc::picture::{Axis, Bar, Part, Picture, Role, Series, Shape};
use lessdin::calc::quantity::Quantity;
use lessdin::calc::read::{self, Reader, Reading};
use lessdin::calc::report::{Amount, Column, Grid, GridRow, HandOver, Note, Refusal, Report, Step, Value};
use lessdin::calc::schema::{Cell, Choice, Kind, LEVELS, Per, Place, Schema, Table};
use lessdin::calc::sheet::{Calc, Group, Meta};
use lessdin::filled;
use lessdin::formulas::{levels, source};
use lessdin::text::{Arg, say};
use lessdin::units::{Level, Weighting};

mod words {
    lessdin::words! { "sample";
        TITLE = "Does every part work?";
        HINT = "A sheet for the tests";
        EMPTY = "Type a level.";
        LABEL = "Label";
        HELP = "Help.";
        ONE = "one";
        TWO = "two";
        ROW = "item";
        LOUD = "{part} with {count} more: {total}, {share} of it from the first";
        AXIS = "Level";
        NOTE = "{items} were left out";
        LINKS = "{name} points to {target}";
        QUIET = "Nothing is louder than {level}";
        AGAIN = "Once more";
    }
}

/// The sheet.
pub(crate) struct Sample;

/// Its inputs.
pub(crate) struct Inputs {
    on: Reading,
    far: f64,
    size: Option<f64>,
    room: bool,
    part: String,
    items: Vec<(String, Level, u32)>,
    links: Vec<(String, Option<String>)>,
    amounts: f64,
    left_out: Vec<String>,
    header: Draft,
}

const fn cell(key: &'static str, kind: Kind, default: &'static str, when: Option<(&'static str, &'static [&'static str])>) -> Cell {
    Cell { key, was: &[], label: words::LABEL, help: words::HELP, kind, default, place: Place::Front, when }
}

const FAR: Kind = Kind::Number { quantity: Quantity::Distance, min: 0.1, max: 50.0, step: 0.1 };
const SIZE: Kind = Kind::Number { quantity: Quantity::Size, min: 20.0, max: 400.0, step: 1.0 };
const HOW: Kind = Kind::Choice(&[Choice { key: "one", label: words::ONE }, Choice { key: "two", label: words::TWO }]);

static FIELDS: [Cell; 6] = [
    cell("on", LEVELS, "", None),
    Cell { was: &["distance"], ..cell("far", FAR, "1", None) },
    cell("how", HOW, "one", None),
    cell("size", SIZE, "", Some(("how", &["two"]))),
    cell("room", Kind::Switch, "1", None),
    cell("part", Kind::Text { max: 30 }, "", None),
];

static ITEM: [Cell; 3] = [
    cell("name", Kind::Text { max: 30 }, "", None),
    cell("level", LEVELS, "", None),
    cell("each", Kind::Count { min: 1, max: 20 }, "1", None),
];

static POINT: [Cell; 2] = [cell("name", Kind::Text { max: 30 }, "", None), cell("for", Kind::Row("item"), "", None)];

static AMOUNT: [Cell; 1] = [cell("name", Kind::Text { max: 30 }, "", None)];

const AMOUNT_OF: Per =
    Per { table: "item", cell: cell("p", Kind::Number { quantity: Quantity::Gain, min: -20.0, max: 20.0, step: 0.5 }, "", None) };
static PER: Per = AMOUNT_OF;

static TABLES: [Table; 3] = [table("item", &ITEM, None, 1), table("point", &POINT, None, 0), table("amount", &AMOUNT, Some(AMOUNT_OF), 0)];

const fn table(key: &'static str, cells: &'static [Cell], per: Option<Per>, start_rows: usize) -> Table {
    Table {
        key,
        was: &[],
        label: words::LABEL,
        row: words::ROW,
        help: words::HELP,
        start_rows,
        max_rows: 12,
        cells,
        per,
        paste: true,
        place: Place::Front,
    }
}

impl Calc for Sample {
    const META: Meta = Meta {
        id: "sample",
        group: Group::Find,
        title: words::TITLE,
        hint: words::HINT,
        empty: words::EMPTY,
        version: 1,
        changes: &[],
        limits: &[],
        cautions: &[],
        sources: &[&source::ISO_1996_1],
        example: "#/sample/v1/on=44.3/far=2/item=supply.fan~level=38.6/item=cabinet.fan~level=41.1~each=2/point=a~for=2",
        refines: false,
        words: words::WORDS,
    };
    const SCHEMA: Schema = Schema { fields: &FIELDS, tables: &TABLES };
    type Inputs = Inputs;
    type Answer = Level;
    type Impossible = Level;

    fn read(reader: &mut Reader<'_>) -> Option<Inputs> {
        let [on, far, how, size, room, part] = &FIELDS;
        let on_read = reader.level(None, on);
        if on_read.is_none() {
            reader.need(None, on);
        }
        let far = reader.number(None, far).unwrap_or(1.0);
        let size = if reader.choice(None, how) == "two" { reader.number(None, size) } else { None };
        let (room, part) = (reader.switch(None, room), reader.text(None, part));
        let mut left_out = Vec::new();
        let mut items = Vec::new();
        for at in reader.rows(&TABLES[0]) {
            let [name, level, each] = &ITEM;
            let name = reader.text(Some(at), name);
            match (reader.level(Some(at), level), reader.count(Some(at), each)) {
                (Some(level), Some(each)) => items.push((name, level.level, each)),
                _ => left_out.push(name),
            }
        }
        let mut links = Vec::new();
        for at in reader.rows(&TABLES[1]) {
            let [name, target] = &POINT;
            let name = reader.text(Some(at), name);
            let target = reader.row(Some(at), target);
            links.push((name, target.map(|row| RowAt { table: "item", row }.table_name(reader.draft()))));
        }
        let mut amounts = 0.0;
        for at in reader.rows(&TABLES[2]) {
            for row in reader.draft().rows("item").to_vec() {
                amounts += reader.per(at, &PER, row).unwrap_or(0.0);
            }
        }
        let header = reader.hand_over("sample");
        Some(Inputs { on: on_read?, far, size, room, part, items, links, amounts, left_out, header })
    }

    fn solve(inputs: &Inputs) -> Result<Level, Level> {
        let parts: Vec<(Level, u32)> = inputs.items.iter().map(|(_, level, each)| (*level, *each)).collect();
        let all: Vec<(Level, u32)> = [(inputs.on.level, 1)].into_iter().chain(parts.iter().copied()).collect();
        let total = levels::energy_sum_counted(&all).map_err(|_| inputs.on.level)?;
        if parts.iter().any(|(level, _)| level.0 > 140.0) { Err(total) } else { Ok(total) }
    }

    fn report(inputs: &Inputs, total: &Level, _refined: Option<&[f64]>) -> Report {
        let level = Quantity::Level(Weighting::A);
        let share = levels::share(inputs.on.level, *total).unwrap_or(1.0);
        let finding = || {
            say(words::LOUD)
                .typed("part", &inputs.part)
                .num("count", Quantity::Count, lessdin::units::count_to_f64(inputs.items.len()))
                .pm("total", level, total.0, inputs.on.spread.unwrap_or(0.5))
                .num("share", Quantity::Share, share)
        };
        let mut report = Report::new(finding());
        report.values = vec![
            Value::new("total", words::AXIS, level, Amount::PlusMinus(total.0, 0.5)),
            Value::new("far", words::LABEL, Quantity::Distance, Amount::Exact(inputs.far)),
            Value::new("size", words::LABEL, Quantity::Size, inputs.size.map_or(Amount::Unknown, Amount::AtMost)),
            Value::new("amounts", words::LABEL, Quantity::Gain, Amount::AtLeast(inputs.amounts)),
            Value::new("room", words::LABEL, Quantity::Gain, if inputs.room { Amount::Between(-1.0, 0.0) } else { Amount::Exact(-0.0) }),
        ];
        let rows: Vec<(Arg, f64, u32)> =
            inputs.items.iter().map(|(name, level, each)| (Arg::Typed(name.clone()), level.0, *each)).collect();
        let grid = |id| Grid {
            id,
            title: finding(),
            columns: vec![Column::words(words::ROW), Column::numbers(words::AXIS, level), Column::numbers(words::LABEL, Quantity::Count)],
            rows: rows
                .iter()
                .map(|(name, level_of, each)| GridRow {
                    cells: vec![name.clone(), Arg::PlusMinus(level, *level_of, 0.5), Arg::Number(Quantity::Count, f64::from(*each))],
                    lead: false,
                })
                .collect(),
        };
        report.tables = vec![grid("items")];
        let bars = rows.iter().enumerate().map(|(at, (name, value, _))| Bar {
            label: name.clone(),
            value: *value,
            range: (at % 2 == 0).then_some((value - 1.0, value + 1.0)),
            bound: at % 3 == 0,
            role: [Role::Before, Role::After, Role::Other][at % 3],
        });
        let parts = rows.iter().enumerate().map(|(at, (name, value, each))| Part {
            label: name.clone(),
            size: Level(*value).to_energy().0 * f64::from(*each),
            lead: at == 0,
        });
        let points: Vec<(f64, f64)> = (0..=50).map(|at| (f64::from(at), f64::from(at) * total.0 / 50.0)).collect();
        let shapes = [
            ("split", Shape::Split(parts.collect())),
            ("bars", Shape::Bars { quantity: level, bars: bars.collect(), lines: vec![(words::AXIS.into(), total.0)] }),
            (
                "curve",
                Shape::Curve {
                    x: Axis { label: words::LABEL.into(), quantity: Quantity::Distance, from: 0.0, to: 50.0 },
                    y: Axis { label: words::AXIS.into(), quantity: level, from: 0.0, to: 60.0 },
                    series: vec![Series { label: words::AXIS.into(), points, role: Role::Before }],
                    points: vec![(Arg::Typed(inputs.part.clone()), inputs.far, total.0)],
                },
            ),
        ];
        report.pictures = shapes.into_iter().map(|(id, shape)| Picture { id, title: finding(), shape, twin: grid(id) }).collect();
        if !inputs.left_out.is_empty() {
            report
                .notes
                .push(Note::doubt(say(words::NOTE).with("items", Arg::List(inputs.left_out.iter().cloned().map(Arg::Typed).collect()))));
        }
        for (name, target) in &inputs.links {
            let target = target.clone().map_or(Arg::Nothing, Arg::Typed);
            report.notes.push(Note::plain(say(words::LINKS).typed("name", name).with("target", target)));
        }
        report.working = vec![Step {
            what: words::AXIS.into(),
            formula: "L = 10·lg Σ",
            filled: filled!["10·lg(", inputs.on.level.to_energy().0, " + …) = ", total.0],
            source: &source::ISO_1996_1,
        }];
        let draft = inputs.header.clone().with(Path::field("on"), lessdin::calc::link::field_text(inputs.on.level.0));
        report.hand_over = vec![HandOver { sheet: "sample", label: words::AGAIN.into(), draft }];
        report
    }

    fn refuse(_: &Inputs, total: &Level) -> Refusal {
        let said = say(words::QUIET).num("level", Quantity::Level(Weighting::A), total.0);
        Refusal { said, paths: vec![read::path(None, &FIELDS[0])] }
    }
}
