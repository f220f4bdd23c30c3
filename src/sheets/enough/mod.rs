#![doc = include_str!("about.md")]

mod report;
mod solve;
pub mod words;

use crate::calc::draft::{Draft, Path};
use crate::calc::quantity::Quantity;
use crate::calc::read::{self, Reader};
use crate::calc::report::{Refusal, Report};
use crate::calc::schema::{CONDITIONS, Cell, Key, Kind, LEVELS, Place, Schema};
use crate::calc::sheet::{Calc, Group, Meta};
use crate::formulas::source;
use crate::text::Msg;
use crate::units::Level;
pub use solve::{Answer, Impossible};

/// How many runs do I need?
#[derive(Debug)]
pub struct Enough;

/// How a meter smooths what it shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Response {
    /// A time constant of 1 s.
    Slow,
    /// A time constant of 0.125 s.
    Fast,
    /// Averages of each step.
    Average,
}

/// Where the spread from run to run is from.
#[derive(Clone, Debug, PartialEq)]
pub enum Repeats {
    /// Typed as a standard deviation, dB.
    Typed(f64),
    /// Runs that should be alike, in one or two states of the machine.
    Alike(Vec<Vec<Level>>),
}

/// What the sheet works with.
#[derive(Clone, Debug, PartialEq)]
pub struct Inputs {
    /// The spread from run to run.
    pub repeats: Repeats,
    /// A spread was typed beside runs that say it themselves.
    pub unused: bool,
    /// The change to be shown, dB.
    pub want: f64,
    /// The chance of showing it, 0 to 1.
    pub chance: f64,
    /// Runs of each kind there are.
    pub have: Option<usize>,
    /// The ± wanted of one phase in one run, dB.
    pub fine: f64,
    /// The standard deviation of single samples, dB.
    pub waver: Option<f64>,
    /// From one sample to the next, s.
    pub step: f64,
    /// How alike neighbouring samples are, where typed.
    pub lag: Option<f64>,
    /// How the meter smooths.
    pub response: Response,
    /// The conditions, for handing over.
    pub header: Draft,
}

static SPREAD: &Cell = &FIELDS[0];
static WANT: &Cell = &FIELDS[1];
static HAVE: &Cell = &FIELDS[2];
static ALIKE: &Cell = &FIELDS[3];
static ALIKE_TOO: &Cell = &FIELDS[4];
static CHANCE: &Cell = &FIELDS[5];
static WAVER: &Cell = &FIELDS[6];
static FINE: &Cell = &FIELDS[7];
static STEP: &Cell = &FIELDS[8];
static LAG: &Cell = &FIELDS[9];

static FIELDS: [Cell; 10] = [
    cell("spread", words::SPREAD, words::SPREAD_HELP, gain(0.01, 10.0), "", Place::Front),
    cell("want", words::WANT, words::WANT_HELP, gain(0.1, 40.0), "1", Place::Front),
    cell("have", words::HAVE, words::HAVE_HELP, Kind::Count { min: 1, max: 100 }, "", Place::Front),
    cell("alike", words::ALIKE, words::ALIKE_HELP, LEVELS, "", Place::Front),
    cell("alike2", words::ALIKE_TOO, words::ALIKE_TOO_HELP, LEVELS, "", Place::More),
    cell(
        "chance",
        words::CHANCE,
        words::CHANCE_HELP,
        Kind::Number { quantity: Quantity::Share, min: 0.5, max: 0.99, step: 5.0 },
        "80",
        Place::More,
    ),
    cell("waver", words::WAVER, words::WAVER_HELP, gain(0.01, 20.0), "", Place::More),
    cell("fine", words::FINE, words::FINE_HELP, gain(0.05, 5.0), "0.3", Place::More),
    cell(
        "step",
        words::STEP,
        words::STEP_HELP,
        Kind::Number { quantity: Quantity::Duration, min: 0.01, max: 3600.0, step: 1.0 },
        "1",
        Place::More,
    ),
    cell("lag", words::LAG, words::LAG_HELP, Kind::Number { quantity: Quantity::Plain, min: 0.0, max: 0.99, step: 0.1 }, "", Place::More),
];

const fn gain(min: f64, max: f64) -> Kind {
    Kind::Number { quantity: Quantity::Gain, min, max, step: 0.1 }
}

const fn cell(key: Key, label: Msg, help: Msg, kind: Kind, default: &'static str, place: Place) -> Cell {
    Cell { key, was: &[], label, help, kind, default, place, when: None }
}

impl Calc for Enough {
    const META: Meta = Meta {
        id: "enough",
        group: Group::Check,
        title: words::QUESTION,
        hint: words::HINT,
        empty: words::EMPTY,
        version: 1,
        changes: &[],
        limits: &[words::LIMIT_TEST, words::LIMIT_SPREAD, words::LIMIT_STEADY],
        cautions: &[words::CARE_WATCH],
        sources: &[&source::STUDENT_T, &source::GUM_REPEATED, &source::WELCH_POWER, &source::FIRST_ORDER],
        example: "#/enough/v1/machine=gantry.engraver/spread=0.3/want=0.8/have=2/waver=0.8",
        refines: false,
        words: words::WORDS,
    };
    const SCHEMA: Schema = Schema { fields: &FIELDS, tables: &[] };
    type Inputs = Inputs;
    type Answer = Answer;
    type Impossible = Impossible;

    fn read(reader: &mut Reader<'_>) -> Option<Inputs> {
        let typed = reader.number(None, SPREAD);
        let want = reader.number_or_default(None, WANT);
        let have = reader.count(None, HAVE).and_then(|have| usize::try_from(have).ok());
        let alike: Vec<Vec<Level>> = [ALIKE, ALIKE_TOO].into_iter().filter_map(|cell| levels(reader, cell)).collect();
        let chance = reader.number_or_default(None, CHANCE);
        let waver = reader.number(None, WAVER);
        let fine = reader.number_or_default(None, FINE);
        let step = reader.number_or_default(None, STEP);
        let lag = reader.number(None, LAG);
        let response = match CONDITIONS.iter().find(|cell| cell.key == "time").map_or("", |cell| reader.choice(None, cell)) {
            "fast" => Response::Fast,
            "leq" => Response::Average,
            _ => Response::Slow,
        };
        let header = reader.hand_over(Self::META.id);
        let repeats = if alike.is_empty() { typed.map(Repeats::Typed) } else { Some(Repeats::Alike(alike)) };
        if repeats.is_none() {
            // Either will do: the one that was begun, else the simpler one.
            let begun = [ALIKE, ALIKE_TOO].into_iter().find(|cell| !reader.draft().get(read::path(None, cell)).trim().is_empty());
            reader.need(None, begun.unwrap_or(SPREAD));
        }
        let repeats = repeats?;
        let unused = typed.is_some() && matches!(repeats, Repeats::Alike(_));
        Some(Inputs { repeats, unused, want, chance, have, fine, waver, step, lag, response, header })
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

/// The single runs of a field, when there are two or more: one alone has no spread.
fn levels(reader: &mut Reader<'_>, cell: &'static Cell) -> Option<Vec<Level>> {
    reader.level(None, cell)?;
    let typed = read::readings(cell, reader.draft().get(Path::field(cell.key))).ok()?;
    (typed.len() > 1).then(|| typed.iter().map(|typed| Level(typed.base)).collect())
}
