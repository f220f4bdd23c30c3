#![doc = include_str!("about.md")]

mod report;
mod solve;
pub mod words;

use crate::calc::draft::Draft;
use crate::calc::quantity::Quantity;
use crate::calc::read::Reader;
use crate::calc::report::{Refusal, Report};
use crate::calc::schema::{Cell, DISTANCE, Key, Kind, LEVELS, Place, Schema};
use crate::calc::sheet::{Calc, Group, Meta};
use crate::formulas::source;
use crate::sheets::reading::{Measured, USUAL_PM, measured};
use crate::text::Msg;
use crate::units::Weighting;
pub use solve::{Answer, Impossible};

/// How loud is it on its own?
#[derive(Debug)]
pub struct Alone;

/// What the sheet works with.
#[derive(Clone, Debug, PartialEq)]
pub struct Inputs {
    /// With the part running.
    pub on: Measured,
    /// With the part stopped.
    pub off: Measured,
    /// With the part stopped, once more, afterwards.
    pub again: Option<Measured>,
    /// The weighting of all of them.
    pub weighting: Weighting,
    /// From the machine to the meter, m.
    pub distance: Option<f64>,
    /// What the part is called; may be empty. For the words only.
    pub part: String,
    /// The conditions, for handing over.
    pub header: Draft,
}

static ON: &Cell = &FIELDS[0];
static OFF: &Cell = &FIELDS[1];
static PART: &Cell = &FIELDS[2];
static ON_PM: &Cell = &FIELDS[3];
static OFF_PM: &Cell = &FIELDS[4];
static AGAIN: &Cell = &FIELDS[5];

static FIELDS: [Cell; 6] = [
    level("on", words::ON, words::ON_HELP, Place::Front),
    level("off", words::OFF, words::OFF_HELP, Place::Front),
    cell("part", words::PART, words::PART_HELP, Kind::Text { max: 40 }, "", Place::Front),
    half_width("onpm", words::ON_PM),
    half_width("offpm", words::OFF_PM),
    level("again", words::AGAIN, words::AGAIN_HELP, Place::More),
];

const fn cell(key: Key, label: Msg, help: Msg, kind: Kind, default: &'static str, place: Place) -> Cell {
    Cell { key, was: &[], label, help, kind, default, place, when: None }
}

const fn level(key: Key, label: Msg, help: Msg, place: Place) -> Cell {
    cell(key, label, help, LEVELS, "", place)
}

const fn half_width(key: Key, label: Msg) -> Cell {
    let kind = Kind::Number { quantity: Quantity::Gain, min: 0.1, max: 20.0, step: 0.1 };
    cell(key, label, words::PM_HELP, kind, "0.5", Place::More)
}

impl Calc for Alone {
    const META: Meta = Meta {
        id: "alone",
        group: Group::Find,
        title: words::QUESTION,
        hint: words::HINT,
        empty: words::EMPTY,
        version: 1,
        changes: &[],
        limits: &[
            words::LIMIT_PLACE,
            words::LIMIT_ROOM,
            words::LIMIT_AVERAGES,
            words::LIMIT_SETTLE,
            words::LIMIT_METER,
            words::LIMIT_NOT_ADDED,
            words::LIMIT_TONE,
        ],
        cautions: &[words::CARE_MOVING, words::CARE_UNPLUG, words::CARE_MAINS, words::CARE_HOT],
        sources: &[
            &source::ISO_3744,
            &source::ISO_3746,
            &source::UPPER_LIMIT,
            &source::GUM,
            &source::GUM_REPEATED,
            &source::GUM_RESOLUTION,
            &source::BRACKETING,
            &source::ISO_532_1,
            &source::DBA_AS_PHON,
            &source::NOTICEABLE,
            &source::FREE_FIELD,
        ],
        example: "#/alone/v1/machine=gantry.engraver/meter=beside.the.engraver/at=1/on=44.3/off=31.0/part=cabinet.fans",
        refines: false,
        words: words::WORDS,
    };
    const SCHEMA: Schema = Schema { fields: &FIELDS, tables: &[] };
    type Inputs = Inputs;
    type Answer = Answer;
    type Impossible = Impossible;

    fn read(reader: &mut Reader<'_>) -> Option<Inputs> {
        let on_pm = reader.number(None, ON_PM).unwrap_or(USUAL_PM);
        let off_pm = reader.number(None, OFF_PM).unwrap_or(USUAL_PM);
        let on = measured(reader, ON, on_pm);
        let off = measured(reader, OFF, off_pm);
        let again = measured(reader, AGAIN, off_pm);
        let part = reader.text(None, PART);
        let distance = reader.number(None, DISTANCE);
        for (cell, found) in [(ON, &on), (OFF, &off)] {
            if found.is_none() {
                reader.need(None, cell);
            }
        }
        let header = reader.hand_over(Self::META.id);
        Some(Inputs { on: on?, off: off?, again, weighting: reader.weighting(), distance, part, header })
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

/// The same question in its shortest form, for the first screen: the same inputs, the same solution, and of the answer only
/// the sentence and the lines under it. What it leaves out need not arrive before an answer stands.
pub struct Short;

impl Calc for Short {
    const META: Meta = Meta { limits: &[], cautions: &[], sources: &[], words: &[], ..Alone::META };
    const SCHEMA: Schema = Alone::SCHEMA;
    type Inputs = Inputs;
    type Answer = Answer;
    type Impossible = Impossible;

    fn read(reader: &mut Reader<'_>) -> Option<Inputs> {
        Alone::read(reader)
    }

    fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
        solve::solve(inputs)
    }

    fn report(inputs: &Inputs, answer: &Answer, _refined: Option<&[f64]>) -> Report {
        report::short(inputs, answer)
    }

    fn refuse(inputs: &Inputs, impossible: &Impossible) -> Refusal {
        report::refuse(inputs, impossible)
    }
}
