#![doc = include_str!("about.md")]

mod report;
mod solve;
pub mod words;

use crate::calc::draft::{Path, RowAt};
use crate::calc::error::FieldError;
use crate::calc::quantity::Quantity;
use crate::calc::read::{self, Reader, Reading};
use crate::calc::report::{Refusal, Report};
use crate::calc::schema::{self, Cell, Key, Kind, LEVELS, Place, Schema, Table};
use crate::calc::sheet::{Calc, Group, Meta};
use crate::formulas::{source, uncertainty};
use crate::text::{Arg, Msg, common_words, say};
use crate::units::{Level, PlusMinus, count_to_f64};
use solve::{Answer, Impossible, Inputs, Lapse, Named, Source};

/// What do these add up to, and which one matters?
#[derive(Debug)]
pub struct Tally;

static NAME: &Cell = &CELLS[0];
static LEVEL: &Cell = &CELLS[1];
static EACH: &Cell = &CELLS[2];
static RUN: &Cell = &CELLS[3];
static PM: &Cell = &CELLS[4];
static NEAR: &Cell = &CELLS[5];
static EAR: &Cell = &CELLS[6];
static BACK: &Cell = &FIELDS[0];
static WANT: &Cell = &FIELDS[1];
static SOURCE: &Table = &TABLES[0];

const MOST_ALIKE: u32 = 100;
const HALF_WIDTH: Kind = Kind::Number { quantity: Quantity::Gain, min: 0.0, max: 20.0, step: 0.1 };
const DISTANCE: Kind = Kind::Number { quantity: Quantity::Distance, min: 0.01, max: 100.0, step: 0.1 };

const fn cell(key: Key, label: Msg, help: Msg, kind: Kind, default: &'static str, place: Place) -> Cell {
    Cell { key, was: &[], label, help, kind, default, place, when: None }
}

static CELLS: [Cell; 7] = [
    cell("name", words::NAME, words::NAME_HELP, Kind::Text { max: 60 }, "", Place::Front),
    cell("level", words::LEVEL, words::LEVEL_HELP, LEVELS, "", Place::Front),
    cell("each", words::EACH, words::EACH_HELP, Kind::Count { min: 1, max: MOST_ALIKE }, "1", Place::Front),
    cell("run", words::RUN, words::RUN_HELP, Kind::Switch, "1", Place::More),
    cell("pm", words::PM, words::PM_HELP, HALF_WIDTH, "0.5", Place::More),
    cell("near", words::NEAR, words::NEAR_HELP, DISTANCE, "", Place::More),
    cell("ear", words::EAR, words::EAR_HELP, DISTANCE, "", Place::More),
];

static FIELDS: [Cell; 2] = [
    cell("back", words::BACK, words::BACK_HELP, LEVELS, "", Place::More),
    cell("want", words::WANT, words::WANT_HELP, LEVELS, "", Place::More),
];

static TABLES: [Table; 1] = [Table {
    key: "source",
    was: &[],
    label: words::SOURCES,
    row: words::SOURCE,
    help: words::SOURCES_HELP,
    start_rows: 3,
    max_rows: 40,
    cells: &CELLS,
    per: None,
    paste: true,
    place: Place::Front,
}];

impl Calc for Tally {
    const META: Meta = Meta {
        id: "tally",
        group: Group::Find,
        title: words::TITLE,
        hint: words::HINT,
        empty: words::EMPTY,
        version: 1,
        changes: &[],
        limits: &[words::LIMIT_PLACE, words::LIMIT_STEADY, words::LIMIT_TONE, words::LIMIT_METER],
        cautions: &[words::CARE_FANS, words::CARE_MOTORS, words::CARE_LAW],
        sources: &[
            &source::ISO_1996_1,
            &source::ENERGY_BALANCE,
            &source::GUM,
            &source::GUM_REPEATED,
            &source::FREE_FIELD,
            &source::ISO_532_1,
            &source::DBA_AS_PHON,
            &source::NOTICEABLE,
        ],
        example: "#/tally/v1/title=Library.engraver.before.the.change/machine=gantry.engraver/at=1/back=31/source=supply.fan~level=38.6/source=cabinet.fan~level=41.1~each=2/source=tool.fan~level=41/source=axes~level=39.5",
        words: words::WORDS,
    };
    const SCHEMA: Schema = Schema { fields: &FIELDS, tables: &TABLES };
    type Inputs = Inputs;
    type Answer = Answer;
    type Impossible = Impossible;

    fn read(reader: &mut Reader<'_>) -> Option<Inputs> {
        let rows = reader.rows(SOURCE);
        let mut read: Vec<Row> = Vec::new();
        let mut lapses = Vec::new();
        for at in &rows {
            if let Some(row) = read_row(reader, *at, &mut lapses) {
                read.push(row);
            }
        }
        let background = reader.level(None, BACK);
        let want = reader.level(None, WANT).map(|reading| reading.level);
        if read.is_empty() {
            let draft = reader.draft();
            let first = draft.rows(SOURCE.key).first().map(|row| RowAt { table: SOURCE.key, row: *row });
            reader.need(rows.first().copied().or(first), LEVEL);
            return None;
        }
        // When nothing at all has tenths, the meter very likely shows none.
        let whole_meter = read.iter().filter_map(|row| row.reading).chain(background).all(|reading| reading.whole);
        let usual = if whole_meter { solve::USUAL_FINE.hypot(uncertainty::resolution(1.0).unwrap_or(0.0)) } else { solve::USUAL };
        let weighting = reader.weighting();
        let sources = read
            .iter()
            .map(|row| Source {
                level: row.reading.map_or(PlusMinus::exact(Level(0.0)), |reading| surely(&reading, row.half_width, usual, whole_meter)),
                each: row.each,
                moved: row.moved,
                running: row.reading.is_some(),
            })
            .collect();
        let named = read.into_iter().map(|row| row.named).collect();
        Some(Inputs {
            sources,
            background: background.map(|reading| surely(&reading, None, usual, whole_meter)),
            want,
            weighting,
            whole_meter: whole_meter.then_some(usual),
            named,
            lapses,
            background_text: reader.draft().get(Path::field(BACK.key)).trim().to_owned(),
            handed: reader.hand_over(Self::META.id),
        })
    }

    fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
        solve::solve(inputs)
    }

    fn report(inputs: &Inputs, answer: &Answer, _refined: Option<&[f64]>) -> Report {
        report::report(inputs, answer)
    }

    fn refuse(inputs: &Inputs, impossible: &Impossible) -> Refusal {
        report::refuse(inputs, impossible)
    }
}

/// A row as read. One that is switched off has no reading.
struct Row {
    reading: Option<Reading>,
    half_width: Option<f64>,
    each: u32,
    moved: Option<(f64, f64)>,
    named: Named,
}

fn read_row(reader: &mut Reader<'_>, at: RowAt, lapses: &mut Vec<(Lapse, Arg)>) -> Option<Row> {
    let typed = |reader: &Reader<'_>, cell: &Cell| !reader.draft().get(read::path(Some(at), cell)).trim().is_empty();
    let name = row_name(reader, at);
    let running = reader.switch(Some(at), RUN) || reader.is_wrong(Some(at), RUN);
    let reading = if running { reader.level(Some(at), LEVEL) } else { None };
    let raw = reader.draft().get(read::path(Some(at), LEVEL)).trim();
    if running && reading.is_none() {
        lapses.push((if raw.is_empty() { Lapse::NoLevel } else { Lapse::BadLevel }, name));
        return None;
    }
    // A row that is off is no part of the sum, so neither its weighting nor its number can spoil it. A slip is still marked.
    if !running
        && !raw.is_empty()
        && let Err(problem) = read::readings(LEVEL, raw)
    {
        reader.errors.push(FieldError { path: read::path(Some(at), LEVEL), problem });
    }
    let each = reader.count(Some(at), EACH);
    let pm = reader.number(Some(at), PM);
    let (near, ear) = (reader.number(Some(at), NEAR), reader.number(Some(at), EAR));
    let header = read::number(schema::DISTANCE, reader.draft().get(Path::field(schema::DISTANCE.key))).ok().map(|typed| typed.base);
    if running {
        let wrong = |cell: &Cell| reader.is_wrong(Some(at), cell);
        if wrong(EACH) {
            lapses.push((Lapse::BadCount, name.clone()));
        }
        if wrong(PM) {
            lapses.push((Lapse::BadSpread, name.clone()));
        }
        if wrong(NEAR) || wrong(EAR) || (typed(reader, NEAR) && !typed(reader, EAR)) || (typed(reader, EAR) && near.or(header).is_none()) {
            lapses.push((Lapse::OneDistance, name.clone()));
        }
    }
    let from = if typed(reader, NEAR) { near } else { header };
    Some(Row {
        reading,
        half_width: pm.filter(|_| typed(reader, PM)),
        each: each.unwrap_or(1),
        moved: from.zip(ear).filter(|(from, to)| (from - to).abs() > 1e-9),
        named: Named { name, text: raw.to_owned(), run: read::path(Some(at), RUN) },
    })
}

fn row_name(reader: &mut Reader<'_>, at: RowAt) -> Arg {
    let name = reader.text(Some(at), NAME);
    let name = if name.is_empty() { at.table_name(reader.draft()) } else { name };
    if name.is_empty() {
        let number = count_to_f64(reader.draft().ordinal(at).unwrap_or(0));
        say(common_words::ROW).num("number", Quantity::Count, number).into()
    } else {
        Arg::Typed(name)
    }
}

/// The level with its ±: the one typed, else what the spread of several readings gives, else a stated guess.
fn surely(reading: &Reading, typed: Option<f64>, usual: f64, whole_meter: bool) -> PlusMinus<Level> {
    let spread = |spread: f64| spread.hypot(uncertainty::resolution(if whole_meter { 1.0 } else { 0.1 }).unwrap_or(0.0));
    PlusMinus::new(reading.level, typed.or(reading.spread.map(spread)).unwrap_or(usual))
}
