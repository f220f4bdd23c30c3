#![doc = include_str!("about.md")]

pub mod draft;
pub mod packed;
mod pictures;
mod report;
mod solve;
pub mod stretches;
pub mod words;

use crate::calc::draft::{Col, Draft, Path, RowAt, RowId};
use crate::calc::error::Problem;
use crate::calc::number::{self, Typed};
use crate::calc::quantity::Quantity;
use crate::calc::read::{self, Reader};
use crate::calc::report::{Refusal, Report};
use crate::calc::schema::{Cell, Choice, Key, Kind, LEVEL_MAX, LEVEL_MIN, LEVELS, Per, Place, Schema, Table, WEIGHTING};
use crate::calc::sheet::{Calc, Group, Meta};
use crate::formulas::source;
use crate::sheets::reading::{Measured, USUAL_PM, measured_at};
use crate::text::{Msg, say};
use crate::units::{Level, Weighting};
pub use packed::{Packed, cell as cell_text, decode, sketch, unsketch};
pub use solve::{Answer, Impossible};

/// Did it get quieter?
#[derive(Debug)]
pub struct Runs;

/// What a run is called: its name, or its place in the table, from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Name {
    /// As typed; may be empty.
    pub typed: String,
    /// The place in its table, from 1.
    pub number: usize,
}

/// Which state of the machine a run shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Set {
    /// As it was.
    Before,
    /// After the change.
    After,
    /// After a second change.
    Second,
    /// Once more as it was, with the change taken back: shows whether anything drifted meanwhile.
    Again,
}

/// One run.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its row.
    pub row: RowId,
    /// What it is called.
    pub name: Name,
    /// Which state of the machine it shows.
    pub set: Set,
    /// The room with the machine off.
    pub back: Option<Measured>,
    /// The hash of its log; empty for levels typed by hand.
    pub log: String,
    /// The weighting of its log, where the log names it.
    pub weighting: Option<Weighting>,
    /// How far its curve is shifted when curves are lined up by the clock, s.
    pub shift: f64,
    /// The sketch of its curve.
    pub curve: Vec<Vec<(f64, f64)>>,
}

/// What a cell of the table of phases holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// Nothing.
    Empty,
    /// The figures of a log.
    Log(Box<Packed>),
    /// Readings by eye.
    Eye(Vec<Level>),
    /// Something that is neither.
    Unread,
}

/// One phase.
#[derive(Clone, Debug, PartialEq)]
pub struct Phase {
    /// Its row.
    pub row: RowId,
    /// What it is called.
    pub name: Name,
    /// How long it usually lasts in a job, s.
    pub usual: Option<f64>,
    /// Left out.
    pub skip: bool,
    /// What is known of it, by run.
    pub entries: Vec<Entry>,
}

/// How the curves are lined up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// Phase by phase.
    Phase,
    /// By the clock.
    Clock,
}

impl Set {
    fn named(key: &str) -> Self {
        match key {
            "after" => Self::After,
            "second" => Self::Second,
            "again" => Self::Again,
            _ => Self::Before,
        }
    }
}

impl Line {
    fn named(key: &str) -> Self {
        if key == "clock" { Self::Clock } else { Self::Phase }
    }
}

/// What the sheet works with.
#[derive(Clone, Debug, PartialEq)]
pub struct Inputs {
    /// The runs.
    pub runs: Vec<Run>,
    /// The phases.
    pub phases: Vec<Phase>,
    /// How the curves are lined up.
    pub line: Line,
    /// Left out at each edge of a phase, s.
    pub guard: f64,
    /// Less than this is the same, dB.
    pub same: f64,
    /// The levels typed by hand are all in whole numbers.
    pub whole: bool,
    /// Two levels of different weighting, if there are any.
    pub mixed: Option<(Weighting, Weighting)>,
    /// The weighting of all levels.
    pub weighting: Weighting,
    /// The conditions, for handing over.
    pub header: Draft,
}

static GUARD: &Cell = &FIELDS[0];
static LINE: &Cell = &FIELDS[1];
static SAME: &Cell = &FIELDS[2];
static COLUMN: &Cell = &FIELDS[3];

static FIELDS: [Cell; 4] = [
    cell("guard", words::GUARD, words::GUARD_HELP, seconds(0.0, 600.0, 1.0), "5", Place::More),
    cell("line", words::LINE, words::LINE_HELP, Kind::Choice(&LINES), "phase", Place::More),
    cell(
        "same",
        words::SAME,
        words::SAME_HELP,
        Kind::Number { quantity: Quantity::Gain, min: 0.1, max: 10.0, step: 0.5 },
        "1",
        Place::More,
    ),
    cell("column", words::COLUMN, words::COLUMN_HELP, Kind::Text { max: 40 }, "", Place::More),
];

static LINES: [Choice; 2] = [Choice { key: "phase", label: words::LINE_PHASE }, Choice { key: "clock", label: words::LINE_CLOCK }];

static SETS: [Choice; 4] = [
    Choice { key: "before", label: words::SET_BEFORE },
    Choice { key: "after", label: words::SET_AFTER },
    Choice { key: "second", label: words::SET_SECOND },
    Choice { key: "again", label: words::SET_AGAIN },
];

/// The states of the machine a run may show.
pub fn sets() -> &'static [Choice] {
    &SETS
}

static RUN_NAME: &Cell = &RUN_CELLS[0];
static RUN_SET: &Cell = &RUN_CELLS[1];
static RUN_BACK: &Cell = &RUN_CELLS[2];
static RUN_BACK_PM: &Cell = &RUN_CELLS[3];
static RUN_LOG: &Cell = &RUN_CELLS[4];
static RUN_SHIFT: &Cell = &RUN_CELLS[5];
static RUN_CURVE: &Cell = &RUN_CELLS[6];
static RUN_WEIGHTING: &Cell = &RUN_CELLS[7];

static RUN_CELLS: [Cell; 8] = [
    cell("name", words::RUN_NAME, words::RUN_NAME_HELP, Kind::Text { max: 40 }, "", Place::Front),
    cell("set", words::RUN_SET, words::RUN_SET_HELP, Kind::Choice(&SETS), "before", Place::Front),
    cell("back", words::RUN_BACK, words::RUN_BACK_HELP, LEVELS, "", Place::Front),
    cell(
        "backpm",
        words::RUN_BACK_PM,
        words::RUN_BACK_PM_HELP,
        Kind::Number { quantity: Quantity::Gain, min: 0.1, max: 20.0, step: 0.1 },
        "0.5",
        Place::More,
    ),
    cell("log", words::RUN_LOG, words::RUN_LOG_HELP, Kind::Text { max: 16 }, "", Place::Hidden),
    cell("shift", words::RUN_SHIFT, words::RUN_SHIFT_HELP, seconds(-1e6, 1e6, 10.0), "0", Place::More),
    cell("curve", words::RUN_CURVE, words::RUN_CURVE_HELP, Kind::Text { max: packed::SKETCH_MAX }, "", Place::Hidden),
    cell("letter", words::RUN_WEIGHTING, words::RUN_WEIGHTING_HELP, Kind::Text { max: 1 }, "", Place::Hidden),
];

static PHASE_NAME: &Cell = &PHASE_CELLS[0];
static PHASE_USUAL: &Cell = &PHASE_CELLS[1];
static PHASE_SKIP: &Cell = &PHASE_CELLS[2];

static PHASE_CELLS: [Cell; 3] = [
    cell("name", words::PHASE_NAME, words::PHASE_NAME_HELP, Kind::Text { max: 40 }, "", Place::Front),
    cell("usual", words::PHASE_USUAL, words::PHASE_USUAL_HELP, seconds(0.1, 1e6, 60.0), "", Place::Front),
    cell("skip", words::PHASE_SKIP, words::PHASE_SKIP_HELP, Kind::Switch, "0", Place::More),
];

const PER_RUN: Per = Per {
    table: "run",
    cell: cell("r", words::PHASE_LEVEL, words::PHASE_LEVEL_HELP, Kind::Text { max: packed::CELL_MAX }, "", Place::Front),
};
static ENTRY: Per = PER_RUN;

/// How many runs one sheet takes.
pub const MOST_RUNS: usize = 12;
/// How many phases one sheet takes.
pub const MOST_PHASES: usize = 12;

static RUNS: &Table = &TABLES[0];
static PHASES: &Table = &TABLES[1];

static TABLES: [Table; 2] = [
    Table {
        key: "run",
        was: &[],
        label: words::RUNS,
        row: words::RUN,
        help: words::RUNS_HELP,
        start_rows: 2,
        max_rows: MOST_RUNS,
        cells: &RUN_CELLS,
        per: None,
        paste: false,
        place: Place::Front,
    },
    Table {
        key: "phase",
        was: &[],
        label: words::PHASES,
        row: words::PHASE,
        help: words::PHASES_HELP,
        start_rows: 1,
        max_rows: MOST_PHASES,
        cells: &PHASE_CELLS,
        per: Some(PER_RUN),
        paste: true,
        place: Place::Front,
    },
];

const fn seconds(min: f64, max: f64, step: f64) -> Kind {
    Kind::Number { quantity: Quantity::Duration, min, max, step }
}

const fn cell(key: Key, label: Msg, help: Msg, kind: Kind, default: &'static str, place: Place) -> Cell {
    Cell { key, was: &[], label, help, kind, default, place, when: None }
}

impl Calc for Runs {
    const META: Meta = Meta {
        id: "runs",
        group: Group::Check,
        title: words::QUESTION,
        hint: words::HINT,
        empty: words::EMPTY,
        version: 1,
        changes: &[],
        limits: &[words::LIMIT_SAME, words::LIMIT_STEADY, words::LIMIT_METER, words::LIMIT_RUNS, words::LIMIT_LINK],
        cautions: &[words::CARE_COOLING],
        sources: &[
            &source::ISO_1996_1,
            &source::GUM,
            &source::GUM_REPEATED,
            &source::STUDENT_T,
            &source::ISO_3744,
            &source::ISO_3746,
            &source::ISO_532_1,
            &source::DBA_AS_PHON,
            &source::NOTICEABLE,
        ],
        example: EXAMPLE,
        refines: false,
        words: words::WORDS,
    };
    const SCHEMA: Schema = Schema { fields: &FIELDS, tables: &TABLES };
    type Inputs = Inputs;
    type Answer = Answer;
    type Impossible = Impossible;

    fn read(reader: &mut Reader<'_>) -> Option<Inputs> {
        let guard = reader.number_or_default(None, GUARD);
        let line = Line::named(reader.choice(None, LINE));
        let same = reader.number_or_default(None, SAME);
        reader.text(None, COLUMN);
        let header = reader.hand_over(Self::META.id);
        let mut weightings = Weightings::new(reader);
        let rows = draft::runs_in_use(reader.draft());
        let runs: Vec<Run> = rows.iter().map(|at| read_run(reader, *at, &mut weightings)).collect();
        let mut whole = true;
        let mut phases = Vec::new();
        for at in reader.rows(PHASES) {
            phases.push(read_phase(reader, at, &runs, &mut weightings, &mut whole));
        }
        if phases.iter().all(|phase| phase.entries.iter().all(|entry| *entry == Entry::Empty)) {
            need_a_level(reader);
            return None;
        }
        let (weighting, mixed) = (weightings.first(), weightings.mixed());
        let header = header.with(Path::field(WEIGHTING.key), read::weighting_key(weighting));
        Some(Inputs { runs, phases, line, guard, same, whole, mixed, weighting, header })
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

/// The weightings named on the sheet. A level that names none has the header's.
struct Weightings {
    header: Weighting,
    named: Vec<Weighting>,
}

impl Weightings {
    fn new(reader: &Reader<'_>) -> Self {
        Self { header: reader.weighting(), named: Vec::new() }
    }

    fn note(&mut self, weighting: Option<Weighting>) {
        let weighting = weighting.unwrap_or(self.header);
        if !self.named.contains(&weighting) {
            self.named.push(weighting);
        }
    }

    fn note_all(&mut self, typed: &[Typed]) {
        for typed in typed {
            self.note(typed.weighting());
        }
    }

    fn first(&self) -> Weighting {
        self.named.first().copied().unwrap_or(self.header)
    }

    fn mixed(&self) -> Option<(Weighting, Weighting)> {
        Some((*self.named.first()?, *self.named.get(1)?))
    }
}

fn read_run(reader: &mut Reader<'_>, at: RowAt, weightings: &mut Weightings) -> Run {
    let typed = reader.text(Some(at), RUN_NAME);
    let name = Name { typed, number: reader.draft().ordinal(at).unwrap_or_default() };
    let set = Set::named(reader.choice(Some(at), RUN_SET));
    let pm = reader.number(Some(at), RUN_BACK_PM).unwrap_or(USUAL_PM);
    let back = measured_at(reader, Some(at), RUN_BACK, pm);
    if back.is_some() {
        let typed = read::readings(RUN_BACK, reader.draft().get(read::path(Some(at), RUN_BACK))).unwrap_or_default();
        weightings.note_all(&typed);
    }
    let log = reader.text(Some(at), RUN_LOG);
    let weighting = Weighting::of_letter(&reader.text(Some(at), RUN_WEIGHTING));
    let shift = reader.number(Some(at), RUN_SHIFT).unwrap_or_default();
    let curve = reader.text(Some(at), RUN_CURVE);
    let pieces = unsketch(&curve);
    if pieces.is_none() && !curve.is_empty() {
        reader.remarks.push((read::path(Some(at), RUN_CURVE), words::NO_CURVE.into()));
    }
    Run { row: at.row, name, set, back, log, weighting, shift, curve: pieces.unwrap_or_default() }
}

fn read_phase(reader: &mut Reader<'_>, at: RowAt, runs: &[Run], weightings: &mut Weightings, whole: &mut bool) -> Phase {
    let typed = reader.text(Some(at), PHASE_NAME);
    let name = Name { typed, number: reader.draft().ordinal(at).unwrap_or_default() };
    let usual = reader.number(Some(at), PHASE_USUAL);
    let skip = reader.switch(Some(at), PHASE_SKIP);
    let mut entries = Vec::new();
    for run in runs {
        let path = Path { row: Some(at), col: Col::Of(run.row) };
        let text = read::text_cut(&ENTRY.cell, reader.draft().get(path)).0;
        let entry = if text.is_empty() {
            Entry::Empty
        } else if let Some(packed) = decode(&text) {
            weightings.note(run.weighting);
            Entry::Log(Box::new(packed))
        } else if let Some(typed) = by_eye(&text) {
            *whole &= typed.iter().all(|typed| typed.base.fract() == 0.0) && typed.last().is_some_and(|typed| !typed.marked);
            weightings.note_all(&typed);
            if let [only] = typed.as_slice()
                && let Some(said) = only.remark(Quantity::Level(weightings.header))
            {
                reader.remarks.push((path, said));
            }
            Entry::Eye(typed.iter().map(|typed| Level(typed.base)).collect())
        } else {
            reader.remarks.push((path, say(words::NO_ENTRY).typed("found", start_of(&text))));
            Entry::Unread
        };
        entries.push(entry);
    }
    Phase { row: at.row, name, usual, skip, entries }
}

/// The start of a text, for quoting it.
fn start_of(text: &str) -> String {
    const MOST: usize = 24;
    if text.chars().count() <= MOST { text.to_owned() } else { text.chars().take(MOST).chain(['…']).collect() }
}

/// Readings typed into a cell, each in range.
fn by_eye(text: &str) -> Option<Vec<Typed>> {
    const MOST: usize = 60;
    let typed: Result<Vec<Typed>, Problem> = number::parse_several(text, Quantity::Level(Weighting::A));
    let typed = typed.ok().filter(|typed| typed.len() <= MOST)?;
    typed.iter().all(|typed| (LEVEL_MIN..=LEVEL_MAX).contains(&typed.base)).then_some(typed)
}

/// Names the first cell a level could go into; where there is none yet, the name of the first phase or run.
fn need_a_level(reader: &mut Reader<'_>) {
    let draft = reader.draft();
    let (run, phase) = (draft.rows(RUNS.key).first().copied(), draft.rows(PHASES.key).first().copied());
    match (run, phase) {
        (Some(run), Some(phase)) => {
            reader.missing.push(Path { row: Some(RowAt { table: PHASES.key, row: phase }), col: Col::Of(run) });
        }
        (None, Some(phase)) => reader.need(Some(RowAt { table: PHASES.key, row: phase }), PHASE_NAME),
        (Some(run), None) => reader.need(Some(RowAt { table: RUNS.key, row: run }), RUN_NAME),
        (None, None) => {}
    }
}

/// Four logs of the library's engraver, two before its larger cabinet fan and damped mounts and two after.
const EXAMPLE: &str = "#/runs/v1/machine=gantry.engraver/meter=beside.the.engraver/at=1/run=Monday~back=31.0~log=7d1f0a3c52e96b84~curve=11p0tla\
    aBJEGFDEEEFEFHGGFIHIIHHHJHHIHGIHJIHGGHIHHGFJGHHJHEHHDaaabaaba9aaaa9aa9a9aaaaaab/run=Tuesday~back=31.2~log=15c8e2b7904a6d\
    f3~curve=11q0sd66JABAzCBCCACzEECEFDCCCEECCFDBDEFFFDDEDCEFECDGEEDCFDGDCo777676677877776667767666/run=Friday~set=after~bac\
    k=31.1~log=e04b9d7216f3a85c~curve=11r0lB565oxoopqomnnooppmpoqpqoorqooopnorppqoopoppoqpqppspqpnrropqpoprnpoprqpoqppnof666\
    /run=Saturday~set=after~back=30.9~log=926ac51f3e7d08b4~curve=11r0l266uyoppnpqnroopopopprpprqprppppoqprqqqonoppprppqrqppq\
    orppoorqnrqoqrrpqprtqtns676/phase=parked~usual=3min~r1=a80j4qn6x66vs6uo6yu6sg6vx00-hs-rs-1mq-247-5uva.0-go.9ew-e1k~r2=a2\
    0j5ia6xg6wc6uy6ze6ta6w700-fp-rs-1qv-1v9-562f.0-ci.9c4-di4~r3=a20jc106zp6yk6ww70i6w26yj00-2s-rs-4gl-bx-wap.0-go.9vk-ac8~r\
    4=ai0jcru6zy6yk6xq70s6xg6yt00-1y-rs-487-8c-mdk.0-b4.9om-a2i/phase=homing~usual=20~r1=a00l5t07or7ml7ht7pi7g27lx00-a-rs-15\
    de-17-2ja.go-m8~r2=ai0la1c7p97nf7mn7pi7lw7nq00-a-rs-fmx-17-2ja.ci-i2~r3=am0ktqz7ji7i07fy7ki7ey7ht00-a-rs-mi6-17-2ja.go-m\
    8~r4=a50kyot7lu7j97ga7nu7fs7jg00-a-rs-y73-17-2ja.b4-go/phase=outline~usual=4min~r1=ag0kqg97j47gm7du7lw78u7gk00-6e-rs-5r1\
    -re-23ab.m8-2gw~r2=a20krdi7k87gm7dj7oy7as7gs00-6e-rs-76p-re-23ab.i2-2cq~r3=aa0kbjx7e47b778j7gm74e7b600-6e-rs-68g-re-23ab\
    .m8-2gw~r4=ad0kcbq7dv7bm78u7hg76m7bi00-6e-rs-57p-re-23ab.go-2bc/phase=fill~usual=15min~r1=ak0kvxc7lm7ik7fi7oy7bw7ih00-oq\
    -rs-39m-2xy-85jh.2gw-9ew~r2=aj0kwp47lm7iu7fs7oy79o7is00-ov-rs-35f-2yk-876z.2cq-9c4~r3=a60kchu7ee7bc78u7iu74o7bi00-qe-rs-\
    30e-353-8pdr.2gw-9vk~r4=a80kd8v7eo7bw78u7lc73a7br00-q9-rs-350-34i-8nq8.2bc-9om";
