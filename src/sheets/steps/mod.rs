#![doc = include_str!("about.md")]

mod notes;
mod report;
mod solve;
mod tables;
pub mod words;
mod working;

use crate::calc::draft::RowAt;
use crate::calc::quantity::Quantity;
use crate::calc::read::{self, Reader};
use crate::calc::report::{Refusal, Report};
use crate::calc::schema::{Cell, Choice, Key, Kind, Place, Schema, Table};
use crate::calc::sheet::{Calc, Group, Meta};
use crate::formulas::motion::{self, Drive, Exact, GearPair};
use crate::formulas::source;
use crate::text::Msg;
pub use solve::{
    Along, Answer, Axis, AxisAnswer, Current, Entry, Fit, Guess, Impossible, Lead, MotorData, Neighbours, Rate, Setting, Trial, Verdict,
    Who,
};

/// What are my steps per mm, and how fine is one step?
#[derive(Debug)]
pub struct Steps;

/// What the sheet works with.
#[derive(Clone, Debug, PartialEq)]
pub struct Inputs {
    /// The axes.
    pub axes: Vec<Axis>,
    /// What each is called, for the words only.
    pub names: Vec<Name>,
    /// Rows that could not be used, for the words only.
    pub left_out: Vec<(Name, Msg)>,
    /// Gear pairs that lack one of their two numbers, for the words only.
    pub half_pairs: Vec<Name>,
    /// Steps a second that the controller makes for one motor at most.
    pub limit: Option<f64>,
    /// Steps a second that it makes for all motors together at most.
    pub total: Option<f64>,
    /// Top speed along a path, mm/s.
    pub path: Option<f64>,
    /// Whether both motors of crossed belts move the first two axes.
    pub crossed: bool,
    /// Friction over holding torque.
    pub friction: f64,
    /// The motor's data.
    pub motor: MotorData,
}

/// What an axis is called.
#[derive(Clone, Debug, PartialEq)]
pub struct Name {
    /// As typed; may be empty.
    pub typed: String,
    /// The place of its row, from 1.
    pub ordinal: usize,
}

const SCREWED: &[Key] = &["screw"];
const TOOTHED: &[Key] = &["belt", "rack"];
const PITCHED: &[Key] = &["belt", "screw"];
const RACKED: &[Key] = &["rack"];
const ROLLED: &[Key] = &["roller"];
const TURNED: &[Key] = &["table"];
const PER_TURN: &[Key] = &["turn"];
const STRAIGHT: &[Key] = &["belt", "screw", "rack", "roller", "turn"];

const fn cell(key: Key, label: Msg, help: Msg, kind: Kind, place: Place) -> Cell {
    Cell { key, was: &[], label, help, kind, default: "", place, when: None }
}

/// A column that shows only for these drives.
#[expect(clippy::needless_pass_by_value, reason = "its fields move into the new one")]
const fn only(drives: &'static [Key], cell: Cell) -> Cell {
    Cell { when: Some(("drive", drives)), ..cell }
}

#[expect(clippy::needless_pass_by_value, reason = "its fields move into the new one")]
const fn with_default(default: &'static str, cell: Cell) -> Cell {
    Cell { default, ..cell }
}

const fn number(quantity: Quantity, min: f64, max: f64, step: f64) -> Kind {
    Kind::Number { quantity, min, max, step }
}

const MICROSTEPS: Kind = Kind::Count { min: 1, max: 4096 };
const TEETH: Kind = Kind::Count { min: 1, max: 2000 };
const LENGTH: Kind = number(Quantity::Size, 0.001, 10_000.0, 0.1);
const DRIVES: Kind = Kind::Choice(&[
    Choice { key: "belt", label: words::BELT },
    Choice { key: "screw", label: words::SCREW },
    Choice { key: "rack", label: words::RACK },
    Choice { key: "roller", label: words::ROLLER },
    Choice { key: "table", label: words::TURNTABLE },
    Choice { key: "turn", label: words::PER_TURN },
]);

static CELLS: [Cell; 23] = [
    cell("name", words::NAME, words::NAME_HELP, Kind::Text { max: 20 }, Place::Front),
    with_default("belt", cell("drive", words::DRIVE, words::DRIVE_HELP, DRIVES, Place::Front)),
    only(PITCHED, cell("pitch", words::PITCH, words::PITCH_HELP, number(Quantity::Size, 0.05, 100.0, 0.1), Place::Front)),
    only(SCREWED, with_default("1", cell("starts", words::STARTS, words::STARTS_HELP, Kind::Count { min: 1, max: 20 }, Place::Front))),
    only(RACKED, cell("module", words::MODULE, words::MODULE_HELP, number(Quantity::Size, 0.05, 50.0, 0.1), Place::Front)),
    only(TOOTHED, cell("teeth", words::TEETH, words::TEETH_HELP, TEETH, Place::Front)),
    only(ROLLED, cell("dia", words::DIAMETER, words::DIAMETER_HELP, number(Quantity::Size, 0.5, 2000.0, 0.1), Place::Front)),
    only(PER_TURN, cell("turn", words::TRAVEL, words::TRAVEL_HELP, LENGTH, Place::Front)),
    cell("now", words::NOW, words::NOW_HELP, MICROSTEPS, Place::Front),
    cell("after", words::AFTER, words::AFTER_HELP, MICROSTEPS, Place::Front),
    only(STRAIGHT, cell("speed", words::SPEED, words::SPEED_HELP, number(Quantity::Speed, 0.01, 100_000.0, 10.0), Place::More)),
    only(TURNED, cell("rpm", words::TURNING, words::TURNING_HELP, number(Quantity::Rotation, 0.01, 100_000.0, 1.0), Place::More)),
    with_default("1.8", cell("angle", words::ANGLE, words::ANGLE_HELP, number(Quantity::Angle, 0.01, 90.0, 0.9), Place::More)),
    cell("driving", words::DRIVING, words::DRIVING_HELP, TEETH, Place::More),
    cell("driven", words::DRIVEN, words::DRIVEN_HELP, TEETH, Place::More),
    cell("driving2", words::DRIVING_2, words::PAIR_2_HELP, TEETH, Place::More),
    cell("driven2", words::DRIVEN_2, words::PAIR_2_HELP, TEETH, Place::More),
    cell("old", words::OLD, words::OLD_HELP, number(Quantity::Plain, 0.001, 10_000_000.0, 1.0), Place::More),
    only(STRAIGHT, cell("inc", words::INCREMENT, words::INCREMENT_HELP, number(Quantity::Size, 0.0001, 1000.0, 0.05), Place::More)),
    only(TURNED, cell("incdeg", words::INCREMENT, words::INCREMENT_TURN_HELP, number(Quantity::Angle, 0.0001, 360.0, 1.0), Place::More)),
    only(STRAIGHT, cell("asked", words::ASKED, words::ASKED_HELP, number(Quantity::Size, 0.1, 10_000.0, 10.0), Place::More)),
    only(STRAIGHT, cell("got", words::MEASURED, words::MEASURED_HELP, number(Quantity::Size, 0.1, 10_000.0, 0.1), Place::More)),
    only(
        STRAIGHT,
        with_default("0.5", cell("ruler", words::RULER, words::RULER_HELP, number(Quantity::Size, 0.001, 50.0, 0.1), Place::More)),
    ),
];

static NAME: &Cell = &CELLS[0];
static DRIVE: &Cell = &CELLS[1];
static PITCH: &Cell = &CELLS[2];
static STARTS: &Cell = &CELLS[3];
static MODULE: &Cell = &CELLS[4];
static TEETH_CELL: &Cell = &CELLS[5];
static DIAMETER: &Cell = &CELLS[6];
static TRAVEL: &Cell = &CELLS[7];
static NOW: &Cell = &CELLS[8];
static AFTER: &Cell = &CELLS[9];
static SPEED: &Cell = &CELLS[10];
static RPM: &Cell = &CELLS[11];
static ANGLE: &Cell = &CELLS[12];
static PAIRS: [(&Cell, &Cell); 2] = [(&CELLS[13], &CELLS[14]), (&CELLS[15], &CELLS[16])];
static OLD: &Cell = &CELLS[17];
static INCREMENT: &Cell = &CELLS[18];
static INCREMENT_TURN: &Cell = &CELLS[19];
static ASKED: &Cell = &CELLS[20];
static MEASURED: &Cell = &CELLS[21];
static RULER: &Cell = &CELLS[22];

static FIELDS: [Cell; 13] = [
    cell("limit", words::LIMIT, words::LIMIT_HELP, number(Quantity::StepRate, 0.1, 100_000.0, 10.0), Place::More),
    cell("total", words::TOTAL, words::TOTAL_HELP, number(Quantity::StepRate, 0.1, 1_000_000.0, 10.0), Place::More),
    cell("path", words::PATH, words::PATH_HELP, number(Quantity::Speed, 0.01, 100_000.0, 10.0), Place::More),
    with_default("0", cell("crossed", words::CROSSED, words::CROSSED_HELP, Kind::Switch, Place::More)),
    with_default("10", cell("friction", words::FRICTION, words::FRICTION_HELP, number(Quantity::Share, 0.0, 0.95, 0.05), Place::More)),
    cell("amp", words::AMP, words::AMP_HELP, number(Quantity::Current, 0.01, 50.0, 0.1), Place::More),
    with_default(
        "peak",
        cell(
            "means",
            words::MEANS,
            words::MEANS_HELP,
            Kind::Choice(&[Choice { key: "peak", label: words::MEANS_PEAK }, Choice { key: "rms", label: words::MEANS_RMS }]),
            Place::More,
        ),
    ),
    cell("rest", words::REST, words::REST_HELP, number(Quantity::Share, 0.0, 1.0, 0.1), Place::More),
    cell("volt", words::VOLT, words::VOLT_HELP, number(Quantity::Voltage, 1.0, 400.0, 1.0), Place::More),
    cell("ohm", words::OHM, words::OHM_HELP, number(Quantity::Resistance, 0.01, 1000.0, 0.1), Place::More),
    cell("mh", words::HENRY, words::HENRY_HELP, number(Quantity::Inductance, 0.01, 1000.0, 0.1), Place::More),
    cell("torque", words::TORQUE, words::TORQUE_HELP, number(Quantity::Torque, 0.001, 200.0, 0.05), Place::More),
    cell("inertia", words::INERTIA, words::INERTIA_HELP, number(Quantity::Inertia, 0.01, 1_000_000.0, 1.0), Place::More),
];

static LIMIT: &Cell = &FIELDS[0];
static TOTAL: &Cell = &FIELDS[1];
static PATH: &Cell = &FIELDS[2];
static CROSSED: &Cell = &FIELDS[3];
static FRICTION: &Cell = &FIELDS[4];
static AMP: &Cell = &FIELDS[5];
static MEANS: &Cell = &FIELDS[6];
static REST: &Cell = &FIELDS[7];
static VOLT: &Cell = &FIELDS[8];
static OHM: &Cell = &FIELDS[9];
static HENRY: &Cell = &FIELDS[10];
static TORQUE: &Cell = &FIELDS[11];
static INERTIA: &Cell = &FIELDS[12];

static TABLES: [Table; 1] = [Table {
    key: "axis",
    was: &[],
    label: words::AXES,
    row: words::AXIS_ROW,
    help: words::AXES_HELP,
    start_rows: 1,
    max_rows: 6,
    cells: &CELLS,
    per: None,
    paste: false,
    place: Place::Front,
}];
static AXES: &Table = &TABLES[0];

/// Friction over holding torque while nothing else is typed.
const USUAL_FRICTION: f64 = 0.1;
/// The ± of a ruler while nothing else is typed, mm.
const USUAL_RULER: f64 = 0.5;
/// Decimals kept of a number that was typed with more than a fraction holds.
const KEPT: f64 = 1e9;

/// A number as an exact fraction of its base unit: 0.1 in is 127/50 mm.
fn exact(reader: &mut Reader<'_>, at: RowAt, cell: &Cell) -> Option<Exact> {
    let base = reader.number(Some(at), cell)?;
    let raw = reader.draft().get(read::path(Some(at), cell)).trim();
    let typed = read::number(cell, if raw.is_empty() { cell.default } else { raw }).ok()?;
    let whole = motion::exact(typed.value).ok();
    let factor = typed.unit.map_or(Some(Exact::from_integer(1)), |unit| motion::exact(unit.factor).ok());
    match (whole, factor) {
        (Some(value), Some(factor)) => Some(value * factor),
        _ => motion::exact((base * KEPT).round() / KEPT).ok(),
    }
}

/// What a row turns out to be.
enum Row {
    Axis(Box<Axis>),
    Without(&'static Cell),
}

fn row(reader: &mut Reader<'_>, at: RowAt, half_pairs: &mut bool) -> Row {
    let here = Some(at);
    let drive = reader.choice(here, DRIVE);
    // Read everything before giving up: each problem is shown at once.
    let pitch = PITCHED.contains(&drive).then(|| exact(reader, at, PITCH));
    let starts = SCREWED.contains(&drive).then(|| reader.count(here, STARTS));
    let module = RACKED.contains(&drive).then(|| exact(reader, at, MODULE));
    let teeth = TOOTHED.contains(&drive).then(|| reader.count(here, TEETH_CELL));
    let diameter = ROLLED.contains(&drive).then(|| exact(reader, at, DIAMETER));
    let travel = (drive == "turn").then(|| exact(reader, at, TRAVEL));
    let now = reader.count(here, NOW);
    let after = reader.count(here, AFTER);
    let is_table = drive == "table";
    let speed = if is_table { reader.number(here, RPM).map(degrees_per_second) } else { reader.number(here, SPEED) };
    let step_angle = exact(reader, at, ANGLE);
    let gears = gears(reader, at, half_pairs);
    let old = exact(reader, at, OLD);
    let increment = exact(reader, at, if is_table { INCREMENT_TURN } else { INCREMENT });
    let trial = if is_table { None } else { trial(reader, at) };
    let wanting = [
        (pitch.is_some_and(|value| value.is_none()), PITCH),
        (module.is_some_and(|value| value.is_none()), MODULE),
        (teeth.is_some_and(|value| value.is_none()), TEETH_CELL),
        (starts.is_some_and(|value| value.is_none()), STARTS),
        (diameter.is_some_and(|value| value.is_none()), DIAMETER),
        (travel.is_some_and(|value| value.is_none()), TRAVEL),
        (step_angle.is_none(), ANGLE),
        (reader.is_wrong(here, NOW) || (now.is_none() && after.is_none()), NOW),
        (reader.is_wrong(here, AFTER), AFTER),
    ];
    let mut first = None;
    for (_, cell) in wanting.into_iter().filter(|(is_wanting, _)| *is_wanting) {
        reader.need(here, cell);
        first = first.or(Some(cell));
    }
    let drive = match (drive, pitch.flatten(), starts.flatten(), module.flatten(), teeth.flatten(), diameter.flatten(), travel.flatten()) {
        ("belt", Some(pitch), _, _, Some(teeth), ..) => Some(Drive::Belt { pitch, teeth }),
        ("screw", Some(pitch), Some(starts), ..) => Some(Drive::Screw { pitch, starts }),
        ("rack", _, _, Some(module), Some(teeth), ..) => Some(Drive::Rack { module, teeth }),
        ("roller", _, _, _, _, Some(diameter), _) => Some(Drive::Roller { diameter }),
        ("table", ..) => Some(Drive::Turntable),
        ("turn", .., Some(per_turn)) => Some(Drive::Other { per_turn }),
        _ => None,
    };
    match (first, drive, step_angle) {
        (None, Some(drive), Some(step_angle)) => {
            Row::Axis(Box::new(Axis { drive, step_angle, gears, now, after, speed, old, increment, trial }))
        }
        (first, ..) => Row::Without(first.unwrap_or(DRIVE)),
    }
}

/// Turns a minute in degrees a second.
fn degrees_per_second(rpm: f64) -> f64 {
    rpm * 6.0
}

fn gears(reader: &mut Reader<'_>, at: RowAt, half: &mut bool) -> Vec<GearPair> {
    let mut pairs = Vec::new();
    for (driving, driven) in PAIRS {
        match (reader.count(Some(at), driving), reader.count(Some(at), driven)) {
            (Some(driving), Some(driven)) => pairs.push(GearPair { driving, driven }),
            (None, None) => {}
            _ => *half = true,
        }
    }
    pairs
}

fn trial(reader: &mut Reader<'_>, at: RowAt) -> Option<Trial> {
    let asked = reader.number(Some(at), ASKED);
    let measured = reader.number(Some(at), MEASURED);
    let ruler = reader.number(Some(at), RULER).unwrap_or(USUAL_RULER);
    Some(Trial { asked: asked?, measured: measured?, ruler })
}

impl Calc for Steps {
    const META: Meta = Meta {
        id: "steps",
        group: Group::Movement,
        title: words::QUESTION,
        hint: words::HINT,
        empty: words::EMPTY,
        version: 1,
        changes: &[],
        limits: &[words::LIMIT_GEOMETRY, words::LIMIT_FINE, words::LIMIT_RATE, words::LIMIT_MOTOR, words::LIMIT_COIL],
        cautions: &[words::CARE_POWER, words::CARE_FIRST_MOVE, words::CARE_HEAT, words::CARE_MAINS],
        sources: &[
            &source::GEOMETRY,
            &source::PROPORTION,
            &source::STEPPING_TUTORIAL,
            &source::SINE_TORQUE,
            &source::STEP_ACCURACY,
            &source::COIL,
            &source::STEPPING_HANDBOOK,
            &source::ROUGH_RATES,
            &source::SINE_CURRENT,
        ],
        example: "#/steps/v1/machine=gantry.engraver/limit=100/axis=X~pitch=2~teeth=20~now=16~after=64~speed=250/axis=Y~pitch=2~teeth=20~now=16~after=64~speed=250/axis=Z~drive=screw~pitch=2~starts=4~now=16~after=64~speed=10",
        refines: false,
        words: words::WORDS,
    };
    const SCHEMA: Schema = Schema { fields: &FIELDS, tables: &TABLES };
    type Inputs = Inputs;
    type Answer = Answer;
    type Impossible = Impossible;

    fn read(reader: &mut Reader<'_>) -> Option<Inputs> {
        let hertz = |kilohertz: f64| kilohertz * 1000.0;
        let limit = reader.number(None, LIMIT).map(hertz);
        let total = reader.number(None, TOTAL).map(hertz);
        let path = reader.number(None, PATH);
        let crossed = reader.switch(None, CROSSED);
        let friction = reader.number(None, FRICTION).unwrap_or(USUAL_FRICTION);
        let motor = MotorData {
            current: reader.number(None, AMP),
            is_rms: reader.choice(None, MEANS) == "rms",
            rest: reader.number(None, REST),
            supply: reader.number(None, VOLT),
            resistance: reader.number(None, OHM),
            inductance: reader.number(None, HENRY),
            torque: reader.number(None, TORQUE),
            inertia: reader.number(None, INERTIA),
        };
        let (mut axes, mut names, mut left_out, mut half_pairs) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for at in reader.rows(AXES) {
            let name = Name { typed: reader.text(Some(at), NAME), ordinal: reader.draft().ordinal(at).unwrap_or(0) };
            let mut half = false;
            match row(reader, at, &mut half) {
                Row::Axis(usable) => {
                    if half {
                        half_pairs.push(name.clone());
                    }
                    axes.push(*usable);
                    names.push(name);
                }
                Row::Without(cell) => left_out.push((name, cell.label)),
            }
        }
        if axes.is_empty() {
            if left_out.is_empty() {
                need_first_row(reader);
            }
            return None;
        }
        Some(Inputs { axes, names, left_out, half_pairs, limit, total, path, crossed, friction, motor })
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

/// Points to the first row's fields while nothing is typed.
fn need_first_row(reader: &mut Reader<'_>) {
    if let Some(row) = reader.draft().rows(AXES.key).first() {
        let at = RowAt { table: AXES.key, row: *row };
        for cell in [PITCH, TEETH_CELL, NOW] {
            reader.need(Some(at), cell);
        }
    }
}
