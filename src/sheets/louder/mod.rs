#![doc = include_str!("about.md")]

mod report;
mod solve;
pub mod words;

use crate::calc::draft::Draft;
use crate::calc::quantity::Quantity;
use crate::calc::read::Reader;
use crate::calc::report::{Refusal, Report};
use crate::calc::schema::{Cell, Choice, Key, Kind, LEVELS, Place, Schema};
use crate::calc::sheet::{Calc, Group, Meta};
use crate::formulas::loudness::Spectrum;
use crate::formulas::source;
use crate::sheets::reading::{Measured, USUAL_PM, measured};
use crate::text::Msg;
use crate::units::{Gain, Weighting};
pub use solve::{Answer, Impossible};

/// How much louder is that, really?
#[derive(Debug)]
pub struct Louder;

/// What is compared.
#[derive(Clone, Debug, PartialEq)]
pub enum Question {
    /// Two levels.
    Levels(Measured, Measured),
    /// A level and a change of it; without a level, from a stand-in.
    ByChange(Option<Measured>, Gain),
    /// A change of level, and where it ends.
    UpTo(Gain, Measured),
    /// A level, and so many times as loud; without a level, from a stand-in.
    Wish(Option<Measured>, f64),
}

/// What the sheet works with.
#[derive(Clone, Debug, PartialEq)]
pub struct Inputs {
    /// What is compared.
    pub question: Question,
    /// On which ground dB(A) is turned into loudness.
    pub spectrum: Spectrum,
    /// The weighting of the levels.
    pub weighting: Weighting,
    /// Something typed that is not used, since the other fields already say it: its label.
    pub unused: Option<Msg>,
    /// The conditions, for handing over.
    pub header: Draft,
}

static BEFORE: &Cell = &FIELDS[0];
static AFTER: &Cell = &FIELDS[1];
static CHANGE: &Cell = &FIELDS[2];
static WISH: &Cell = &FIELDS[3];
static KIND: &Cell = &FIELDS[4];
static PM: &Cell = &FIELDS[5];

static FIELDS: [Cell; 6] = [
    cell("before", words::BEFORE, words::BEFORE_HELP, LEVELS, "", Place::Front),
    cell("after", words::AFTER, words::AFTER_HELP, LEVELS, "", Place::Front),
    cell("diff", words::CHANGE, words::CHANGE_HELP, gain(-100.0, 100.0, 1.0), "", Place::Front),
    cell("wish", words::WISH, words::WISH_HELP, Kind::Choice(&WISHES), "none", Place::Front),
    cell("kind", words::KIND, words::KIND_HELP, Kind::Choice(&KINDS), "phon", Place::More),
    cell("pm", words::PM, words::PM_HELP, gain(0.1, 20.0, 0.1), "0.5", Place::More),
];

static WISHES: [Choice; 8] = [
    Choice { key: "none", label: words::WISH_NONE },
    Choice { key: "bitless", label: words::WISH_QUARTER_OFF },
    Choice { key: "third", label: words::WISH_THIRD_OFF },
    Choice { key: "half", label: words::WISH_HALF },
    Choice { key: "athird", label: words::WISH_A_THIRD },
    Choice { key: "quarter", label: words::WISH_A_QUARTER },
    Choice { key: "tenth", label: words::WISH_A_TENTH },
    Choice { key: "twice", label: words::WISH_TWICE },
];

static KINDS: [Choice; 2] = [Choice { key: "phon", label: words::KIND_PHON }, Choice { key: "fan", label: words::KIND_FAN }];

const fn cell(key: Key, label: Msg, help: Msg, kind: Kind, default: &'static str, place: Place) -> Cell {
    Cell { key, was: &[], label, help, kind, default, place, when: None }
}

const fn gain(min: f64, max: f64, step: f64) -> Kind {
    Kind::Number { quantity: Quantity::Gain, min, max, step }
}

/// So many times as loud, by the key of the wish.
fn wished(key: &str) -> Option<f64> {
    Some(match key {
        "bitless" => 0.75,
        "third" => 2.0 / 3.0,
        "half" => 0.5,
        "athird" => 1.0 / 3.0,
        "quarter" => 0.25,
        "tenth" => 0.1,
        "twice" => 2.0,
        _ => return None,
    })
}

fn question(reader: &mut Reader<'_>, before: Option<Measured>, after: Option<Measured>) -> Option<(Question, Option<Msg>)> {
    let change = reader.number(None, CHANGE).map(Gain);
    let wish = wished(reader.choice(None, WISH));
    let unused_wish = wish.map(|_| WISH.label);
    // A level that is there but wrong must not be stood in for.
    let wrong = reader.is_wrong(None, BEFORE);
    Some(match (before, after, change, wish) {
        (Some(before), Some(after), change, _) => (Question::Levels(before, after), change.map(|_| CHANGE.label).or(unused_wish)),
        (None, Some(after), Some(change), _) if !wrong => (Question::UpTo(change, after), unused_wish),
        (before, None, Some(change), _) if !wrong => (Question::ByChange(before, change), unused_wish),
        (before, None, None, Some(wish)) if !wrong => (Question::Wish(before, wish), None),
        (before, after, _, _) => {
            for (cell, found) in [(BEFORE, before), (AFTER, after)] {
                if found.is_none() {
                    reader.need(None, cell);
                }
            }
            return None;
        }
    })
}

impl Calc for Louder {
    const META: Meta = Meta {
        id: "louder",
        group: Group::Find,
        title: words::QUESTION,
        hint: words::HINT,
        empty: words::EMPTY,
        version: 1,
        changes: &[],
        limits: &[words::LIMIT_ESTIMATE, words::LIMIT_PHON, words::LIMIT_SAME, words::LIMIT_TONE, words::LIMIT_WORDS, words::LIMIT_TRADE],
        cautions: &[words::CARE_COOLING, words::CARE_HEARING],
        sources: &[
            &source::ISO_532_1,
            &source::DBA_AS_PHON,
            &source::SMALL_FAN,
            &source::NOTICEABLE,
            &source::ISO_1996_1,
            &source::ENERGY_BALANCE,
            &source::FREE_FIELD,
            &source::FAN_SOUND,
            &source::GUM,
            &source::GUM_REPEATED,
            &source::GUM_RESOLUTION,
        ],
        example: "#/louder/v1/machine=gantry.engraver/meter=beside.the.engraver/at=1/before=47.5/after=44.8",
        refines: false,
        words: words::WORDS,
    };
    const SCHEMA: Schema = Schema { fields: &FIELDS, tables: &[] };
    type Inputs = Inputs;
    type Answer = Answer;
    type Impossible = Impossible;

    fn read(reader: &mut Reader<'_>) -> Option<Inputs> {
        let stated = reader.number(None, PM).unwrap_or(USUAL_PM);
        let before = measured(reader, BEFORE, stated);
        let after = measured(reader, AFTER, stated);
        let spectrum = if reader.choice(None, KIND) == "fan" { Spectrum::SmallFan } else { Spectrum::AsPhon };
        let (question, unused) = question(reader, before, after)?;
        let header = reader.hand_over(Self::META.id);
        Some(Inputs { question, spectrum, weighting: reader.weighting(), unused, header })
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
