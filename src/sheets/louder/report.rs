//! The words of the answer.

use super::solve::{Answer, Heard, Impossible, Other, Rung};
use super::{AFTER, BEFORE, Inputs, WISH, words};
use crate::calc::draft::Path;
use crate::calc::number;
use crate::calc::picture::{Axis, Picture, Role, Series, Shape};
use crate::calc::quantity::Quantity;
use crate::calc::read;
use crate::calc::report::{Amount, Column, Filled, Grid, GridRow, HandOver, Note, Refusal, Report, Step, Value};
use crate::filled;
use crate::formulas::loudness::{self, Noticeable, Relation, Spectrum};
use crate::formulas::source;
use crate::sheets::reading::Ground;
use crate::text::{Arg, Msg, Said, Text, say};
use crate::units::Weighting;

fn level_quantity(inputs: &Inputs, answer: &Answer) -> Quantity {
    Quantity::Level(if answer.stand_in { Weighting::A } else { inputs.weighting })
}

/// A factor in loudness as people say it.
fn times_words(times: f64) -> Said {
    let near = |value: f64| (times / value - 1.0).abs() <= 0.04;
    let plain = [
        (2.0, words::TIMES_TWICE),
        (0.75, words::TIMES_QUARTER_OFF),
        (2.0 / 3.0, words::TIMES_THIRD_OFF),
        (0.5, words::TIMES_HALF),
        (1.0 / 3.0, words::TIMES_A_THIRD),
        (0.25, words::TIMES_A_QUARTER),
    ];
    if (times - 1.0).abs() < 0.005 {
        return say(words::TIMES_SAME);
    }
    match plain.into_iter().find(|(value, _)| near(*value)) {
        Some((_, msg)) => say(msg),
        None => say(words::TIMES).num("times", Quantity::Ratio, times),
    }
}

fn wish_words(times: f64) -> Msg {
    let wishes = [
        (2.0, words::WISH_TWICE),
        (0.75, words::WISH_QUARTER_OFF),
        (2.0 / 3.0, words::WISH_THIRD_OFF),
        (0.5, words::WISH_HALF),
        (1.0 / 3.0, words::WISH_A_THIRD),
        (0.25, words::WISH_A_QUARTER),
    ];
    wishes.into_iter().find(|(value, _)| (times - value).abs() < 1e-9).map_or(words::WISH_A_TENTH, |(_, msg)| msg)
}

fn sentence(noticed: Noticeable) -> Msg {
    match noticed {
        Noticeable::NotShown => words::SENTENCE_NOT_SHOWN,
        Noticeable::No => words::SENTENCE_NO,
        Noticeable::SideBySide => words::SENTENCE_SIDE,
        Noticeable::Just => words::SENTENCE_JUST,
        Noticeable::Clearly => words::SENTENCE_CLEAR,
        Noticeable::TwiceOrHalf => words::SENTENCE_TWICE,
    }
}

fn heard_as(noticed: Noticeable) -> Msg {
    match noticed {
        Noticeable::NotShown | Noticeable::No => words::HEARD_NO,
        Noticeable::SideBySide => words::HEARD_SIDE,
        Noticeable::Just => words::HEARD_JUST,
        Noticeable::Clearly => words::HEARD_CLEAR,
        Noticeable::TwiceOrHalf => words::HEARD_TWICE,
    }
}

fn with_pm(value: f64, half_width: f64, quantity: Quantity) -> Arg {
    if half_width > 0.0 { Arg::PlusMinus(quantity, value, half_width) } else { Arg::Number(quantity, value) }
}

pub(super) fn report(inputs: &Inputs, answer: &Answer) -> Report {
    let mut report = Report::new(headline(inputs, answer));
    report.support = support(inputs, answer);
    report.values = values(inputs, answer);
    report.tables = vec![ladder(inputs, answer), mistakes(inputs, answer)];
    report.pictures = picture(inputs, answer).into_iter().collect();
    report.notes = notes(inputs, answer);
    report.working = working(inputs, answer);
    report.hand_over = hand_over(inputs, answer);
    report
}

fn headline(inputs: &Inputs, answer: &Answer) -> Said {
    let quantity = level_quantity(inputs, answer);
    let change = answer.change;
    let signed = || -> Arg {
        let number = with_pm(change.value.0, change.half_width, Quantity::Gain);
        if change.value.0 > 0.0 { say(words::RUNG_UP_ONLY).with("change", number).into() } else { number }
    };
    let said = match (answer.wish, answer.compared) {
        (Some(wish), _) => {
            let msg = match (answer.stand_in, change.value.0 < 0.0) {
                (false, true) => words::HEAD_WISH_LESS,
                (false, false) => words::HEAD_WISH_MORE,
                (true, true) => words::HEAD_WISH_STAND_IN_LESS,
                (true, false) => words::HEAD_WISH_STAND_IN_MORE,
            };
            say(msg).with("wish", wish_words(wish)).num("change", Quantity::Gain, change.value.0.abs())
        }
        _ if answer.noticed == Noticeable::NotShown => say(words::HEAD_SMALL).with("change", signed()),
        (None, Some(compared)) => {
            let msg = if answer.stand_in { words::HEAD_STAND_IN } else { words::HEAD_CHANGE };
            say(msg).with("change", signed()).with("times", times_words(compared.times))
        }
        (None, None) => {
            let msg = if answer.stand_in { words::HEAD_STAND_IN_NO_LOUDNESS } else { words::HEAD_NO_LOUDNESS };
            say(msg).with("change", signed())
        }
    };
    said.num("before", quantity, answer.before.value.0)
        .num("after", quantity, answer.after.value.0)
        .num("join", quantity, answer.join.0)
        .with("noticed", sentence(answer.noticed))
}

fn support(inputs: &Inputs, answer: &Answer) -> Vec<Said> {
    let Some(compared) = answer.compared else { return Vec::new() };
    let relation = match compared.relation {
        Relation::SoneRule => words::RELATION_SONE,
        Relation::Quiet => words::RELATION_QUIET,
        Relation::Both => words::RELATION_BOTH,
    };
    let estimate = match answer.other {
        Some(Other::Times(times)) => {
            let msg = if inputs.spectrum == Spectrum::AsPhon { words::OTHER_FAN } else { words::OTHER_PHON };
            say(msg).with("times", times_words(times))
        }
        Some(Other::Change(change)) => {
            let msg = if inputs.spectrum == Spectrum::AsPhon { words::OTHER_FAN_TAKES } else { words::OTHER_PHON_TAKES };
            say(msg).num("change", Quantity::Gain, change.0.abs())
        }
        None => say(words::ESTIMATE),
    };
    vec![relation.into(), estimate]
}

fn values(inputs: &Inputs, answer: &Answer) -> Vec<Value> {
    let quantity = level_quantity(inputs, answer);
    let change = if answer.change.half_width > 0.0 {
        Amount::PlusMinus(answer.change.value.0, answer.change.half_width)
    } else {
        Amount::Exact(answer.change.value.0)
    };
    let mut values = vec![Value::new("change", words::VALUE_CHANGE, Quantity::Gain, change)];
    let times = answer.compared.map_or(Amount::Unknown, |compared| Amount::Exact(compared.times));
    let note = match answer.range {
        Some((low, high)) => {
            say(words::VALUE_LOUDNESS_RANGE).num("low", Quantity::Ratio, low.min(high)).num("high", Quantity::Ratio, high.max(low))
        }
        None => say(words::VALUE_LOUDNESS_NOTE),
    };
    values.push(Value::new("loudness", words::VALUE_LOUDNESS, Quantity::Ratio, times).noted(note));
    if let Some(other) = answer.other {
        let label = if inputs.spectrum == Spectrum::AsPhon { words::VALUE_OTHER_FAN } else { words::VALUE_OTHER_PHON };
        values.push(match other {
            Other::Times(times) => Value::new("other", label, Quantity::Ratio, Amount::Exact(times)),
            Other::Change(change) => Value::new("other", label, Quantity::Gain, Amount::Exact(change.0)),
        });
    }
    if let Some(half) = answer.half {
        let note = say(words::VALUE_HALF_NOTE).num("before", quantity, half.from.0).num("level", quantity, half.to.0);
        values.push(Value::new("half", words::VALUE_HALF, Quantity::Gain, Amount::Exact(half.change().0)).noted(note));
    }
    if inputs.weighting == Weighting::A || answer.stand_in {
        values.push(Value::new("join", words::VALUE_JOIN, quantity, Amount::Exact(answer.join.0)).noted(words::VALUE_JOIN_NOTE));
    }
    values
}

/// What a rung takes in this trade.
fn takes(rung: &Rung) -> Said {
    let usual = [
        (-20.0, words::TAKES_DOWN_20),
        (-10.0, words::TAKES_DOWN_10),
        (-6.0, words::TAKES_DOWN_6),
        (-3.0, words::TAKES_DOWN_3),
        (-1.0, words::TAKES_DOWN_1),
        (1.0, words::TAKES_UP_1),
        (3.0, words::TAKES_UP_3),
        (6.0, words::TAKES_UP_6),
        (10.0, words::TAKES_UP_10),
    ];
    match usual.into_iter().find(|(change, _)| (change - rung.change.0).abs() < 1e-9) {
        Some((_, msg)) => say(msg),
        None if rung.change.0 < 0.0 => say(words::TAKES_OWN_DOWN).num("share", Quantity::Share, rung.energy),
        None => say(words::TAKES_OWN_UP).num("energy", Quantity::Ratio, rung.energy),
    }
}

fn ladder(inputs: &Inputs, answer: &Answer) -> Grid {
    let quantity = level_quantity(inputs, answer);
    let name = |rung: &Rung| -> Arg {
        let up = rung.change.0 > 0.0;
        let msg = match (answer.stand_in, up) {
            (false, false) => words::RUNG_DOWN,
            (false, true) => words::RUNG_UP,
            (true, true) => words::RUNG_UP_ONLY,
            (true, false) => return Arg::Number(Quantity::Gain, rung.change.0),
        };
        say(msg).num("change", Quantity::Gain, rung.change.0).num("level", quantity, rung.level.0).into()
    };
    let row = |rung: &Rung| GridRow {
        cells: vec![
            name(rung),
            rung.times.map_or(Arg::Nothing, |times| Arg::Number(Quantity::Ratio, times)),
            heard_as(rung.noticed).into(),
            takes(rung).into(),
        ],
        lead: rung.own,
    };
    let title = if answer.stand_in {
        say(words::LADDER_STAND_IN).num("join", quantity, answer.join.0)
    } else {
        say(words::LADDER).num("before", quantity, answer.before.value.0)
    };
    Grid {
        id: "ladder",
        title,
        columns: vec![
            Column::words(words::COLUMN_CHANGE),
            Column::numbers(words::COLUMN_LOUDNESS, Quantity::Ratio),
            Column::words(words::COLUMN_HEARD),
            Column::words(words::COLUMN_TAKES),
        ],
        rows: answer.rungs.iter().map(row).collect(),
    }
}

/// What is often thought, and what comes of it from here.
fn mistakes(inputs: &Inputs, answer: &Answer) -> Grid {
    let quantity = level_quantity(inputs, answer);
    let times = |change: f64| -> Arg {
        let rung = answer.rungs.iter().find(|rung| (rung.change.0 - change).abs() < 1e-9);
        rung.and_then(|rung| rung.times).map_or(Arg::Nothing, |times| times_words(times).into())
    };
    let row = |thought: Msg, fact: Said| GridRow { cells: vec![thought.into(), fact.into()], lead: false };
    let of = |thought: Msg, fact: Msg, change: f64| row(thought, say(fact).with("times", times(change)));
    let title = if answer.stand_in {
        say(words::MISTAKES_STAND_IN).num("join", quantity, answer.join.0)
    } else {
        say(words::MISTAKES).num("before", quantity, answer.before.value.0)
    };
    Grid {
        id: "mistakes",
        title,
        columns: vec![Column::words(words::COLUMN_THOUGHT), Column::words(words::COLUMN_FACT)],
        rows: vec![
            of(words::THOUGHT_3, words::FACT_3, -3.0),
            of(words::THOUGHT_6, words::FACT_6, -6.0),
            of(words::THOUGHT_10, words::FACT_10, -10.0),
            of(words::THOUGHT_TWO, words::FACT_TWO, 3.0),
            row(words::THOUGHT_MEAN, say(words::FACT_MEAN).num("mean", Quantity::Gain, answer.mean.0)),
        ],
    }
}

fn picture(inputs: &Inputs, answer: &Answer) -> Option<Picture> {
    let quantity = level_quantity(inputs, answer);
    let compared = answer.compared?;
    let [before, after] = answer.heard.as_slice() else { return None };
    let (from, to) = (answer.curve.first()?.0, answer.curve.last()?.0);
    let top = answer.curve.last()?.1.max(before.sone.0).max(after.sone.0);
    let title = say(words::PICTURE)
        .with("before", with_pm(answer.before.value.0, answer.before.half_width, quantity))
        .with("after", with_pm(answer.after.value.0, answer.after.half_width, quantity))
        .num("sone", Quantity::Loudness, before.sone.0)
        .num("end", Quantity::Loudness, after.sone.0)
        .with("times", times_words(compared.times));
    let point = |heard: &Heard| (Arg::Number(quantity, heard.level.0), heard.level.0, heard.sone.0);
    let row = |label: Msg, heard: &Heard, half: f64, lead| GridRow {
        cells: vec![
            label.into(),
            with_pm(heard.level.0, half, quantity),
            Arg::Number(Quantity::Phon, heard.phon.0),
            Arg::Number(Quantity::Loudness, heard.sone.0),
        ],
        lead,
    };
    let twin = Grid {
        id: "heard",
        title: words::TWIN.into(),
        columns: vec![
            Column::words(words::COLUMN_WHAT),
            Column::numbers(words::COLUMN_LEVEL, quantity),
            Column::numbers(words::COLUMN_PHON, Quantity::Phon),
            Column::numbers(words::COLUMN_SONE, Quantity::Loudness),
        ],
        rows: vec![
            row(words::ROW_BEFORE, before, answer.before.half_width, false),
            row(words::ROW_AFTER, after, answer.after.half_width, true),
        ],
    };
    let shape = Shape::Curve {
        x: Axis { label: words::AXIS_LEVEL.into(), quantity, from, to },
        y: Axis { label: words::AXIS_LOUDNESS.into(), quantity: Quantity::Loudness, from: 0.0, to: top * 1.1 },
        series: series(answer),
        points: vec![point(before), point(after)],
    };
    Some(Picture { id: "curve", title, shape, twin })
}

/// A curve that is named by another one on top of it.
const UNNAMED: Msg = Msg(&Text { id: "louder.UNNAMED", en: "" });

/// The estimate, and the rule of thumb where it differs, named in the left part of the picture, where there is room.
fn series(answer: &Answer) -> Vec<Series> {
    let estimate = Series { label: words::CURVE.into(), points: answer.curve.clone(), role: Role::After };
    if answer.thumb.is_empty() {
        return vec![estimate];
    }
    let left = answer.thumb.iter().copied().take(answer.thumb.len() * 2 / 5).collect();
    vec![
        Series { label: UNNAMED.into(), points: answer.thumb.clone(), role: Role::Other },
        Series { label: words::CURVE_THUMB.into(), points: left, role: Role::Other },
        estimate,
    ]
}

fn notes(inputs: &Inputs, answer: &Answer) -> Vec<Note> {
    let quantity = level_quantity(inputs, answer);
    let mut notes = Vec::new();
    if answer.stand_in {
        notes.push(Note::doubt(say(words::NOTE_STAND_IN).num("level", quantity, answer.before.value.0)));
    }
    if inputs.weighting != Weighting::A && !answer.stand_in {
        notes.push(Note::doubt(words::NOTE_WEIGHTING));
    } else if answer.compared.is_none() {
        let (least, most) = loudness::loudness_range(inputs.spectrum);
        notes.push(Note::doubt(say(words::NOTE_OUTSIDE).num("least", quantity, least.0).num("most", quantity, most.0)));
    }
    if let Some(unused) = inputs.unused {
        notes.push(Note::doubt(say(words::NOTE_UNUSED).with("field", unused)));
    }
    if let Some(used) = answer.used.iter().find(|used| used.ground == Ground::WholeNumbers) {
        notes.push(Note::doubt(say(words::NOTE_WHOLE).num("half", Quantity::Gain, used.level.half_width)));
    }
    for used in answer.used.iter().filter(|used| used.ground == Ground::Spread) {
        notes.push(Note::doubt(say(words::NOTE_SPREAD).num("half", Quantity::Gain, used.level.half_width)));
    }
    if answer.compared.is_some() && !answer.stand_in {
        notes.push(Note::plain(say(words::NOTE_RUNGS).num("join", quantity, answer.join.0)));
    }
    notes
}

fn step(what: impl Into<Said>, formula: &'static str, filled: Vec<Filled>, source: &'static source::Source) -> Step {
    Step { what: what.into(), formula, filled, source }
}

const SONE: &str = "N = 2^((L − 40)/10) from 40 phon;  N = (L/40)^(1/0.35) − 0.0005 below";

fn working(inputs: &Inputs, answer: &Answer) -> Vec<Step> {
    let (before, after, change) = (answer.before, answer.after, answer.change);
    let mut steps = Vec::new();
    let as_phon = match inputs.spectrum {
        Spectrum::AsPhon => (words::WORK_AS_PHON, "LN = L", &source::DBA_AS_PHON),
        Spectrum::SmallFan => (words::WORK_FAN, "LN = table(L)", &source::SMALL_FAN),
    };
    if let (Some(times), Some(compared), [start, end]) = (answer.wish, answer.compared, answer.heard.as_slice()) {
        let (what, formula, source) = as_phon;
        steps.push(step(what, formula, filled![start.level.0, " → ", start.phon.0], source));
        steps.push(step(words::WORK_SONE, SONE, filled![start.phon.0, " → ", start.sone.0], &source::ISO_532_1));
        steps.push(step(
            words::WORK_WISH,
            "LN = 40 + 10·lg N/lg 2 from 1 sone;  LN = 40·(N + 0.0005)^0.35 below",
            filled![times, "·", compared.from_sone.0, " = ", compared.to_sone.0, "\n", compared.to_sone.0, " → ", end.phon.0],
            &source::ISO_532_1,
        ));
        let line = filled![end.phon.0, " → ", after.value.0, "\n", after.value.0, " − ", before.value.0, " = ", change.value.0];
        steps.push(step(words::WORK_WISH_LEVEL, formula, line, source));
    } else {
        steps.push(step(
            words::WORK_CHANGE,
            "ΔL = L2 − L1",
            filled![after.value.0, " − ", before.value.0, " = ", change.value.0],
            &source::ENERGY_BALANCE,
        ));
        if change.half_width > 0.0 {
            let line = filled!["√(", before.half_width, "² + ", after.half_width, "²) = ", change.half_width];
            steps.push(step(words::WORK_PM, "± = √(±1² + ±2²)", line, &source::GUM));
        }
        if let (Some(compared), [start, end]) = (answer.compared, answer.heard.as_slice()) {
            let (what, formula, source) = as_phon;
            let line = filled![start.level.0, " → ", start.phon.0, "\n", end.level.0, " → ", end.phon.0];
            steps.push(step(what, formula, line, source));
            let line = filled![start.phon.0, " → ", start.sone.0, "\n", end.phon.0, " → ", end.sone.0];
            steps.push(step(words::WORK_SONE, SONE, line, &source::ISO_532_1));
            let line = filled![compared.to_sone.0, "/", compared.from_sone.0, " = ", compared.times];
            steps.push(step(words::WORK_TIMES, "N2/N1", line, &source::ISO_532_1));
        }
    }
    steps.push(step(
        words::WORK_RATIOS,
        "E2/E1 = 10^(ΔL/10);  p2/p1 = 10^(ΔL/20)",
        filled!["10^(", change.value.0, "/10) = ", answer.energy, "\n", "10^(", change.value.0, "/20) = ", answer.energy.sqrt()],
        &source::ISO_1996_1,
    ));
    steps.push(step(words::WORK_NOTICED, "1, 3, 5, 10 dB", Vec::new(), &source::NOTICEABLE));
    steps.push(step(
        words::WORK_FAN_SPEED,
        "ΔL = 10·lg(n2/n1);  ΔL = −20·lg(r2/r1);  ΔL = 50…60·lg(N2/N1)",
        Vec::new(),
        &source::FAN_SOUND,
    ));
    steps
}

fn hand_over(inputs: &Inputs, answer: &Answer) -> Vec<HandOver> {
    if answer.stand_in || answer.wish.is_some() || answer.change.value.0 >= 0.0 {
        return Vec::new();
    }
    let draft = inputs
        .header
        .clone()
        .with(Path::field("on"), number::tenth(answer.before.value.0))
        .with(Path::field("off"), number::tenth(answer.after.value.0));
    vec![HandOver { sheet: "alone", label: words::TO_ALONE.into(), draft }]
}

pub(super) fn refuse(inputs: &Inputs, impossible: &Impossible) -> Refusal {
    let quantity = Quantity::Level(inputs.weighting);
    let said = match impossible {
        Impossible::Outside { level, range } => {
            say(words::REFUSE_OUTSIDE).num("level", quantity, level.0).num("least", quantity, range.0.0).num("most", quantity, range.1.0)
        }
        Impossible::TooFar { level, most, end } => {
            say(words::REFUSE_TOO_FAR).num("level", quantity, level.0).num("most", Quantity::Ratio, *most).num("end", quantity, end.0)
        }
        Impossible::OtherWeighting(weighting) => say(words::REFUSE_WEIGHTING).typed("found", Quantity::Level(*weighting).symbol()),
        Impossible::Formula(_) => words::REFUSE_FORMULA.into(),
    };
    Refusal { said, paths: [BEFORE, AFTER, WISH].map(|cell| read::path(None, cell)).to_vec() }
}
