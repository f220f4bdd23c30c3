#![doc = include_str!("about.md")]

mod draws;
mod report;
mod solve;
pub mod words;

use crate::calc::draft::{RowAt, RowId};
use crate::calc::quantity::Quantity;
use crate::calc::read::{self, Reader, Reading};
use crate::calc::report::{Refusal, Report};
use crate::calc::schema::{self, Cell, DISTANCE, Key, Kind, LEVELS, Place, Schema, Table};
use crate::calc::sheet::{Calc, Group, Meta, Refine, Work};
use crate::formulas::fans::INSTALLED_PENALTY;
use crate::formulas::levels::Radiation;
use crate::formulas::{source, uncertainty};
use crate::sheets::reading::{FINE_PM, USUAL_PM, WHOLE_STEP};
use crate::text::Msg;
use crate::units::{Gain, Level, PlusMinus, PowerLevel};
pub use solve::{
    Answer, Case, Choice, Fan, FanNow, Impossible, Inputs, Laws, Left, Loudest, Machine, Name, Offer, Other, Parts, Rating, Trial, Verdict,
};

/// Is a quieter fan worth it?
#[derive(Debug)]
pub struct Swap;

/// The ± of a data sheet's rating while nothing else is stated, dB. Our judgement.
const RATING_PM: f64 = 2.0;
/// The same for a guess, dB. Our judgement.
const GUESS_PM: f64 = 8.0;
/// A rating below this is likely meant in bel, dB.
const BEL: f64 = 10.0;
/// The least and the most that two speeds of one fan may be apart.
const SPEEDS: std::ops::RangeInclusive<f64> = 0.05..=2.0;

static EAR: &Cell = &FIELDS[0];
static BACK: &Cell = &FIELDS[1];
static NEED: &Cell = &FIELDS[2];
static BACK_PM: &Cell = &FIELDS[3];
static GOAL: &Cell = &FIELDS[4];
static STAND: &Cell = &FIELDS[5];
static LAW: &Cell = &FIELDS[6];
static SIZE_LAW: &Cell = &FIELDS[7];
static LAW_PM: &Cell = &FIELDS[8];

const DISTANCE_KIND: Kind = Kind::Number { quantity: Quantity::Distance, min: 0.05, max: 100.0, step: 0.1 };
const GAIN_KIND: Kind = Kind::Number { quantity: Quantity::Gain, min: 0.1, max: 20.0, step: 0.5 };
const FLOW_KIND: Kind = Kind::Number { quantity: Quantity::Flow, min: 0.1, max: 10_000.0, step: 1.0 };
const SIZE_KIND: Kind = Kind::Number { quantity: Quantity::Size, min: 10.0, max: 500.0, step: 10.0 };
const EXTRA_KIND: Kind = Kind::Number { quantity: Quantity::Gain, min: INSTALLED_PENALTY.1, max: INSTALLED_PENALTY.2, step: 1.0 };
const SHARE_KIND: Kind = Kind::Number { quantity: Quantity::Share, min: 0.05, max: 1.5, step: 5.0 };
const ROTATION_KIND: Kind = Kind::Number { quantity: Quantity::Rotation, min: 50.0, max: 60_000.0, step: 100.0 };
const POWER_KIND: Kind = Kind::Number { quantity: Quantity::SoundPower, min: 0.0, max: 150.0, step: 1.0 };
const PRICE_KIND: Kind = Kind::Number { quantity: Quantity::Money, min: 0.0, max: 1e6, step: 1.0 };
const EACH_KIND: Kind = Kind::Count { min: 1, max: 99 };

static FIELDS: [Cell; 9] = [
    cell("ear", words::EAR, words::EAR_HELP, DISTANCE_KIND, "", Place::Front),
    cell("back", words::BACK, words::BACK_HELP, LEVELS, "", Place::Front),
    cell("need", words::NEED, words::NEED_HELP, FLOW_KIND, "", Place::Front),
    cell("backpm", words::BACK_PM, words::BACK_PM_HELP, GAIN_KIND, "", Place::More),
    cell("goal", words::GOAL, words::GOAL_HELP, GAIN_KIND, "3", Place::More),
    cell(
        "stand",
        words::STAND,
        words::STAND_HELP,
        Kind::Choice(&[
            schema::Choice { key: "table", label: words::STAND_TABLE },
            schema::Choice { key: "free", label: words::STAND_FREE },
            schema::Choice { key: "edge", label: words::STAND_EDGE },
            schema::Choice { key: "corner", label: words::STAND_CORNER },
        ]),
        "table",
        Place::More,
    ),
    cell("law", words::LAW, words::LAW_HELP, law_kind(50.0, 60.0), "50", Place::More),
    cell("sizelaw", words::SIZE_LAW, words::SIZE_LAW_HELP, law_kind(50.0, 80.0), "70", Place::More),
    cell("lawpm", words::LAW_PM, words::LAW_PM_HELP, GAIN_KIND, "3", Place::More),
];

const fn law_kind(min: f64, max: f64) -> Kind {
    Kind::Number { quantity: Quantity::Gain, min, max, step: 1.0 }
}

const fn cell(key: Key, label: Msg, help: Msg, kind: Kind, default: &'static str, place: Place) -> Cell {
    Cell { key, was: &[], label, help, kind, default, place, when: None }
}

const fn only(mut cell: Cell, kinds: &'static [Key]) -> Cell {
    cell.when = Some(("kind", kinds));
    cell
}

const RATED_KINDS: &[Key] = &["sheet", "power"];
const LEVEL_KINDS: &[Key] = &["ear", "sheet", "guess"];
const POWER_KINDS: &[Key] = &["power"];
const SHEET_KINDS: &[Key] = &["sheet"];
const PM_KINDS: &[Key] = &["ear", "sheet", "power", "guess"];
const SPEED_KINDS: &[Key] = &["sheet", "power", "same"];
const SAME_KINDS: &[Key] = &["same"];

static FAN_CELLS: [Cell; 13] = [
    cell("name", words::NAME, words::NAME_HELP, Kind::Text { max: 40 }, "", Place::Front),
    only(cell("level", words::LEVEL, words::LEVEL_FAN_HELP, LEVELS, "", Place::Front), LEVEL_KINDS),
    only(cell("power", words::POWER, words::POWER_HELP, POWER_KIND, "", Place::Front), POWER_KINDS),
    cell("each", words::EACH, words::EACH_FAN_HELP, EACH_KIND, "1", Place::Front),
    cell("air", words::AIR, words::AIR_HELP, FLOW_KIND, "", Place::Front),
    cell(
        "kind",
        words::KIND,
        words::KIND_FAN_HELP,
        Kind::Choice(&[
            schema::Choice { key: "ear", label: words::KIND_EAR },
            schema::Choice { key: "sheet", label: words::KIND_SHEET },
            schema::Choice { key: "power", label: words::KIND_POWER },
            schema::Choice { key: "guess", label: words::KIND_GUESS },
        ]),
        "ear",
        Place::More,
    ),
    only(cell("at", words::AT, words::AT_HELP, DISTANCE_KIND, "", Place::More), SHEET_KINDS),
    cell("pm", words::PM, words::PM_HELP, GAIN_KIND, "", Place::More),
    only(cell("extra", words::EXTRA, words::EXTRA_HELP, EXTRA_KIND, "3", Place::More), RATED_KINDS),
    cell("run", words::RUN_FAN, words::RUN_FAN_HELP, SHARE_KIND, "100", Place::More),
    cell("rpm", words::RPM, words::RPM_HELP, ROTATION_KIND, "", Place::More),
    cell("rated", words::RATED, words::RATED_HELP, ROTATION_KIND, "", Place::More),
    cell("size", words::SIZE, words::SIZE_HELP, SIZE_KIND, "", Place::More),
];

static OTHER_CELLS: [Cell; 4] = [
    cell("name", words::NAME, words::NAME_HELP, Kind::Text { max: 40 }, "", Place::Front),
    cell("level", words::LEVEL, words::LEVEL_FAN_HELP, LEVELS, "", Place::Front),
    cell("each", words::EACH, words::EACH_FAN_HELP, EACH_KIND, "1", Place::More),
    cell("pm", words::PM, words::PM_HELP, GAIN_KIND, "", Place::More),
];

static CHOICE_CELLS: [Cell; 13] = [
    cell("name", words::NAME, words::NAME_HELP, Kind::Text { max: 40 }, "", Place::Front),
    cell("for", words::FOR, words::FOR_HELP, Kind::Row("fan"), "", Place::Front),
    cell(
        "kind",
        words::KIND,
        words::KIND_CHOICE_HELP,
        Kind::Choice(&[
            schema::Choice { key: "sheet", label: words::KIND_SHEET },
            schema::Choice { key: "power", label: words::KIND_POWER },
            schema::Choice { key: "same", label: words::KIND_SAME },
            schema::Choice { key: "ear", label: words::KIND_EAR },
            schema::Choice { key: "guess", label: words::KIND_GUESS },
        ]),
        "sheet",
        Place::Front,
    ),
    only(cell("level", words::LEVEL, words::LEVEL_CHOICE_HELP, LEVELS, "", Place::Front), LEVEL_KINDS),
    only(cell("power", words::POWER, words::POWER_HELP, POWER_KIND, "", Place::Front), POWER_KINDS),
    only(cell("at", words::AT, words::AT_HELP, DISTANCE_KIND, "", Place::Front), SHEET_KINDS),
    cell("air", words::AIR, words::AIR_HELP, FLOW_KIND, "", Place::Front),
    cell("price", words::PRICE, words::PRICE_HELP, PRICE_KIND, "", Place::Front),
    cell("each", words::EACH, words::EACH_CHOICE_HELP, EACH_KIND, "", Place::Front),
    only(cell("run", words::RUN_CHOICE, words::RUN_CHOICE_HELP, SHARE_KIND, "100", Place::Front), SPEED_KINDS),
    only(cell("size", words::SIZE, words::SIZE_HELP, SIZE_KIND, "", Place::Front), SAME_KINDS),
    only(cell("pm", words::PM, words::PM_HELP, GAIN_KIND, "", Place::More), PM_KINDS),
    only(cell("extra", words::EXTRA, words::EXTRA_HELP, EXTRA_KIND, "3", Place::More), RATED_KINDS),
];

static FANS: &Table = &TABLES[0];
static OTHERS: &Table = &TABLES[1];
static CHOICES: &Table = &TABLES[2];

static TABLES: [Table; 3] = [
    Table {
        key: "fan",
        was: &[],
        label: words::FANS,
        row: words::FAN,
        help: words::FANS_HELP,
        start_rows: 1,
        max_rows: 40,
        cells: &FAN_CELLS,
        per: None,
        paste: true,
        place: Place::Front,
    },
    Table {
        key: "other",
        was: &[],
        label: words::OTHERS,
        row: words::OTHER,
        help: words::OTHERS_HELP,
        start_rows: 1,
        max_rows: 40,
        cells: &OTHER_CELLS,
        per: None,
        paste: true,
        place: Place::Front,
    },
    Table {
        key: "option",
        was: &[],
        label: words::CHOICES,
        row: words::CHOICE,
        help: words::CHOICES_HELP,
        start_rows: 1,
        max_rows: 6,
        cells: &CHOICE_CELLS,
        per: None,
        paste: false,
        place: Place::Front,
    },
];

/// A row being read: its cells by key, and only those its choice shows.
struct Row<'a, 'd> {
    reader: &'a mut Reader<'d>,
    cells: &'static [Cell],
    at: RowAt,
    /// The ± of a measured level while nothing else is stated, dB.
    measured: f64,
}

impl Row<'_, '_> {
    fn cell(&self, key: &str) -> Option<&'static Cell> {
        let cell = self.cells.iter().find(|cell| cell.key == key)?;
        read::shown(self.reader.draft(), Some(self.at), self.cells, cell).then_some(cell)
    }

    fn number(&mut self, key: &str) -> Option<f64> {
        let cell = self.cell(key)?;
        self.reader.number(Some(self.at), cell).or_else(|| read::number(cell, cell.default).ok().map(|typed| typed.base))
    }

    fn count(&mut self, key: &str) -> Option<u32> {
        let cell = self.cell(key)?;
        self.reader.count(Some(self.at), cell).or_else(|| read::count(cell, cell.default).ok())
    }

    fn choice(&mut self, key: &str) -> &'static str {
        self.cell(key).map_or("", |cell| self.reader.choice(Some(self.at), cell))
    }

    fn name(&mut self) -> Name {
        let typed = self.cell("name").map(|cell| self.reader.text(Some(self.at), cell)).unwrap_or_default();
        Name { typed, number: self.reader.draft().ordinal(self.at).unwrap_or_default() }
    }

    /// The fan it replaces; the first one while nothing is typed.
    fn fan(&mut self) -> Option<RowId> {
        let cell = self.cell("for")?;
        if self.reader.draft().get(read::path(Some(self.at), cell)).trim().is_empty() {
            return self.reader.rows(FANS).first().map(|first| first.row);
        }
        self.reader.row(Some(self.at), cell)
    }

    /// The level with the ± typed beside it, or the one usual for its kind.
    fn level(&mut self, usual: f64) -> Option<PlusMinus<Level>> {
        let cell = self.cell("level")?;
        let typed = self.number("pm");
        let reading = self.reader.level(Some(self.at), cell)?;
        Some(PlusMinus::new(reading.level, half_width(&reading, typed, usual)))
    }

    fn rating(&mut self, kind: &str) -> Option<Rating> {
        let extra = Gain(self.number("extra").unwrap_or_default());
        Some(match kind {
            "sheet" => Rating::Sheet { level: self.level(RATING_PM)?, at: self.number("at"), extra },
            "power" => {
                let half = self.number("pm").unwrap_or(RATING_PM);
                Rating::Power { power: PlusMinus::new(PowerLevel(self.number("power")?), half), extra }
            }
            "guess" => Rating::Guess(self.level(GUESS_PM)?),
            _ => Rating::Ear(self.level(self.measured)?),
        })
    }
}

/// The ± as typed, else the larger of the usual one and that of the spread of several readings.
fn half_width(reading: &Reading, typed: Option<f64>, usual: f64) -> f64 {
    typed.unwrap_or(reading.spread.map_or(usual, |spread| spread.max(usual)))
}

/// The ± of a measured level while nothing else is stated, as on `alone`: when no reading shows a tenth, the step of a
/// display of whole numbers is in it.
fn measured_pm(reader: &Reader<'_>) -> f64 {
    // A reader of its own, so that no problem is told twice.
    let mut look = Reader::new(reader.draft());
    let mut kinds = Reader::new(reader.draft());
    let is_ear = |at: &RowAt| FANS.cell("kind").is_none_or(|kind| kinds.choice(Some(*at), kind) == "ear");
    let fans = reader.rows(FANS).into_iter().filter(is_ear);
    let rows =
        fans.chain(reader.rows(OTHERS)).filter_map(|at| Some((Some(at), if at.table == FANS.key { FANS } else { OTHERS }.cell("level")?)));
    let mut cells: Vec<_> = rows.collect();
    cells.push((None, BACK));
    if cells.into_iter().filter_map(|(at, cell)| look.level(at, cell)).any(|reading| !reading.whole) {
        return USUAL_PM;
    }
    uncertainty::resolution(WHOLE_STEP).and_then(|step| uncertainty::combine(&[FINE_PM, step])).unwrap_or(USUAL_PM)
}

/// The number of a field; the default's when it is wrong, so that the answer stays.
fn field(reader: &mut Reader<'_>, cell: &'static Cell) -> Option<f64> {
    reader.number(None, cell).or_else(|| read::number(cell, cell.default).ok().map(|typed| typed.base))
}

fn is_in_bel(rating: &Rating) -> bool {
    match rating {
        Rating::Power { power, .. } => power.value.0 < BEL,
        Rating::Sheet { level, .. } => level.value.0 < BEL,
        Rating::Ear(_) | Rating::Guess(_) => false,
    }
}

fn read_fans(reader: &mut Reader<'_>, measured: f64, left: &mut Vec<Left>) -> (Vec<RowAt>, Vec<Fan>) {
    let (mut places, mut fans) = (Vec::new(), Vec::new());
    for at in reader.rows(FANS) {
        let mut row = Row { reader, cells: &FAN_CELLS, at, measured };
        let name = row.name();
        let kind = row.choice("kind");
        let rating = row.rating(kind);
        let each = row.count("each").unwrap_or(1);
        let mut run = row.number("run").unwrap_or(1.0);
        if let (Some(now), Some(rated)) = (row.number("rpm"), row.number("rated")) {
            if SPEEDS.contains(&(now / rated)) {
                run = now / rated;
            } else {
                left.push(Left::Speeds(name.clone()));
            }
        }
        let (size, air) = (row.number("size"), row.number("air"));
        let Some(rating) = rating else {
            left.push(Left::Fan(name));
            continue;
        };
        if is_in_bel(&rating) {
            left.push(Left::Bel(name.clone()));
        }
        places.push(at);
        fans.push(Fan { name, rating, each, run, size, air });
    }
    (places, fans)
}

fn read_others(reader: &mut Reader<'_>, measured: f64, left: &mut Vec<Left>) -> Vec<Other> {
    let mut others = Vec::new();
    for at in reader.rows(OTHERS) {
        let mut row = Row { reader, cells: &OTHER_CELLS, at, measured };
        let name = row.name();
        let each = row.count("each").unwrap_or(1);
        match row.level(measured) {
            Some(level) => others.push(Other { name, level, each }),
            None => left.push(Left::Other(name)),
        }
    }
    others
}

fn read_choices(reader: &mut Reader<'_>, measured: f64, (places, fans): (&[RowAt], &[Fan]), left: &mut Vec<Left>) -> Vec<Choice> {
    let mut choices = Vec::new();
    for at in reader.rows(CHOICES) {
        let mut row = Row { reader, cells: &CHOICE_CELLS, at, measured };
        let name = row.name();
        let target = row.fan();
        let fan = places.iter().position(|place| Some(place.row) == target);
        let kind = row.choice("kind");
        let offer = if kind == "same" { Offer::Same } else { row.rating(kind).map_or(Offer::Unrated, Offer::Rated) };
        let each = row.count("each");
        let run = row.number("run").unwrap_or(1.0);
        let (size, air, price) = (row.number("size"), row.number("air"), row.number("price"));
        let Some((fan, replaced)) = fan.and_then(|at| Some((at, fans.get(at)?))) else {
            left.push(Left::NoFan(name));
            continue;
        };
        if matches!(&offer, Offer::Rated(rating) if is_in_bel(rating)) {
            left.push(Left::Bel(name.clone()));
        }
        if offer == Offer::Same && size.is_some() != replaced.size.is_some() && size.is_some() {
            left.push(Left::Size(name.clone()));
        }
        choices.push(Choice { name, fan, offer, each: each.unwrap_or(replaced.each), run, size, air, price });
    }
    choices
}

impl Calc for Swap {
    const META: Meta = Meta {
        id: "swap",
        group: Group::Change,
        title: words::QUESTION,
        hint: words::HINT,
        empty: words::EMPTY,
        version: 1,
        changes: &[],
        limits: &[
            words::LIMIT_OPEN,
            words::LIMIT_METER,
            words::LIMIT_RATING,
            words::LIMIT_LAW,
            words::LIMIT_STEADY,
            words::LIMIT_AIR,
            words::LIMIT_TONE,
        ],
        cautions: &[words::CARE_AIR, words::CARE_SUPPLY, words::CARE_LOW, words::CARE_HOT, words::CARE_MOVING],
        sources: &[
            &source::ISO_1996_1,
            &source::ENERGY_BALANCE,
            &source::FREE_FIELD,
            &source::ISO_9296,
            &source::FAN_SOUND,
            &source::FAN_LAWS,
            &source::GUM,
            &source::GUM_REPEATED,
            &source::GUM_RESOLUTION,
            &source::JCGM_101,
            &source::ISO_532_1,
            &source::DBA_AS_PHON,
            &source::NOTICEABLE,
        ],
        example: "#/swap/v1/machine=gantry.engraver/meter=beside.the.engraver/at=1/back=31.0\
            /fan=cabinet.fan~level=41.1~each=2~air=24/fan=tool.fan~level=41.0~air=18\
            /other=supply.fan~level=38.6/other=axes~level=39.5\
            /option=large.slow.fan~level=27~at=1~air=58~price=19~each=1\
            /option=quiet.60.mm.fan~level=24~at=1~air=19~price=11\
            /option=quiet.tool.fan~for=2~level=28~at=1~air=17~price=12\
            /option=cabinet.fans.slowed~kind=same~price=4~run=70",
        refines: true,
        words: words::WORDS,
    };
    const SCHEMA: Schema = Schema { fields: &FIELDS, tables: &TABLES };
    type Inputs = Inputs;
    type Answer = Answer;
    type Impossible = Impossible;

    fn read(reader: &mut Reader<'_>) -> Option<Inputs> {
        let mut left = Vec::new();
        let measured = measured_pm(reader);
        let (places, fans) = read_fans(reader, measured, &mut left);
        let others = read_others(reader, measured, &mut left);
        let choices = read_choices(reader, measured, (&places, &fans), &mut left);
        let at = reader.number(None, DISTANCE);
        let ear = reader.number(None, EAR).or(at).unwrap_or(1.0).max(0.05);
        let back_pm = reader.number(None, BACK_PM);
        let back = reader.level(None, BACK).map(|reading| PlusMinus::new(reading.level, half_width(&reading, back_pm, measured)));
        let need = reader.number(None, NEED);
        let goal = Gain(field(reader, GOAL)?);
        let laws = Laws { speed: field(reader, LAW)?, size: field(reader, SIZE_LAW)?, half_width: field(reader, LAW_PM)? };
        let stand = match reader.choice(None, STAND) {
            "free" => Radiation::Sphere,
            "edge" => Radiation::Edge,
            "corner" => Radiation::Corner,
            _ => Radiation::Hemisphere,
        };
        if fans.is_empty() {
            let row = |row: &RowId| RowAt { table: FANS.key, row: *row };
            let first = reader.rows(FANS).first().copied().or(reader.draft().rows(FANS.key).first().map(row));
            let kind = FANS.cell("kind").map(|kind| Reader::new(reader.draft()).choice(first, kind));
            let is_power = first.is_some() && kind == Some("power");
            if let Some(level) = FANS.cell(if is_power { "power" } else { "level" }) {
                reader.need(first, level);
            }
            return None;
        }
        let header = reader.hand_over(Self::META.id);
        let weighting = reader.weighting();
        Some(Inputs { fans, others, choices, ear, back, need, laws, goal, stand, weighting, left, header })
    }

    fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
        solve::solve(inputs)
    }

    fn report(inputs: &Inputs, answer: &Answer, refined: Option<&[f64]>) -> Report {
        report::report(inputs, answer, refined)
    }

    fn refuse(_inputs: &Inputs, _impossible: &Impossible) -> Refusal {
        report::refuse()
    }
}

impl Refine for Swap {
    fn work(inputs: &Inputs, seed: u64) -> Option<Box<dyn Work>> {
        let answer = solve::solve(inputs).ok()?;
        Some(Box::new(draws::Draws::new(inputs, &answer, seed)?))
    }
}
