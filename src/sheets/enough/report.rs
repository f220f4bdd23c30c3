//! The words of the answer.

use super::solve::{Answer, Impossible, Row};
use super::{Inputs, Repeats, SPREAD, WANT, words};
use crate::calc::picture::{Axis, Picture, Role, Series, Shape};
use crate::calc::quantity::Quantity;
use crate::calc::read;
use crate::calc::report::{Amount, Column, Grid, GridRow, HandOver, Note, Refusal, Report, Step, Value};
use crate::filled;
use crate::formulas::series::FEWEST_EFFECTIVE;
use crate::formulas::source;
use crate::text::{Arg, Said, say};
use crate::units::count_to_f64;

/// A spread from fewer degrees of freedom than this is worth a warning.
const FEW_RUNS: f64 = 10.0;

fn count(runs: usize) -> f64 {
    count_to_f64(runs)
}

pub(super) fn report(inputs: &Inputs, answer: &Answer) -> Report {
    let mut report = Report::new(headline(inputs, answer));
    report.support = support(inputs, answer);
    report.values = values(answer);
    report.tables = vec![table(inputs, answer, "list", say(words::TABLE))];
    report.pictures = vec![picture(inputs, answer)];
    report.notes = notes(inputs, answer);
    report.working = working(inputs, answer);
    report.hand_over = vec![HandOver { sheet: "runs", label: words::TO_RUNS.into(), draft: inputs.header.clone() }];
    report
}

fn headline(inputs: &Inputs, answer: &Answer) -> Said {
    let needed = answer.needed;
    let with = |said: Said, row: Row| said.with("want", Arg::AsTyped(Quantity::Gain, inputs.want)).with("power", share(row.chance));
    match (inputs.have, answer.have) {
        (Some(_), Some(have)) if have.chance >= inputs.chance => {
            with(say(words::HEAD_ENOUGH).num("have", Quantity::Count, count(have.runs)), have)
        }
        (Some(had), Some(have)) => {
            let more = needed.runs.saturating_sub(had);
            let said = say(words::HEAD_MORE).num("more", Quantity::Count, count(more)).num("count", Quantity::Count, count(needed.runs));
            with(said.num("have", Quantity::Count, count(had)).with("now", share(have.chance)), needed)
        }
        _ => with(say(words::HEAD_NEED).num("count", Quantity::Count, count(needed.runs)), needed),
    }
}

/// A chance; nothing is certain, so never 100 %.
fn share(chance: f64) -> Arg {
    if chance > 0.99 { say(words::OVER).num("share", Quantity::Share, 0.99).into() } else { Arg::Number(Quantity::Share, chance) }
}

fn support(inputs: &Inputs, answer: &Answer) -> Vec<Said> {
    let mut said = Vec::new();
    if let Some(have) = answer.have {
        said.push(say(words::SAY_HAVE).num("have", Quantity::Count, count(have.runs)).num("smallest", Quantity::Gain, have.smallest).num(
            "chance",
            Quantity::Share,
            inputs.chance,
        ));
    }
    if inputs.have == Some(1) {
        said.push(words::SAY_ONE.into());
    }
    said.push(match answer.record {
        Some(record) => say(words::SAY_RECORD).num("time", Quantity::Duration, upwards(record)),
        None => say(words::SAY_LEAST).num("time", Quantity::Duration, upwards(answer.least)),
    });
    said
}

/// A time to record, rounded up to what one would set a clock to, s.
fn upwards(seconds: f64) -> f64 {
    let step = if seconds < 10.0 {
        1.0
    } else if seconds < 300.0 {
        5.0
    } else {
        60.0
    };
    (seconds / step - 1e-9).ceil() * step
}

fn values(answer: &Answer) -> Vec<Value> {
    let needed = answer.needed;
    let mut values = vec![
        Value::new("runs", words::VALUE_RUNS, Quantity::Count, Amount::Exact(count(needed.runs))),
        Value::new("power", words::VALUE_POWER, Quantity::Share, Amount::Exact(needed.chance.min(0.99))),
        Value::new("spread", words::VALUE_SPREAD, Quantity::Gain, Amount::Exact(answer.spread)).noted(words::VALUE_SPREAD_NOTE),
    ];
    if let Some(have) = answer.have {
        values.push(Value::new("shown", words::VALUE_HAVE, Quantity::Gain, Amount::AtLeast(have.smallest)));
    }
    let time = answer.record.unwrap_or(answer.least);
    values.push(Value::new("record", words::VALUE_RECORD, Quantity::Duration, Amount::AtLeast(upwards(time))));
    values
}

fn table(inputs: &Inputs, answer: &Answer, id: &'static str, title: Said) -> Grid {
    let mut all: Vec<Row> = answer.rows.clone();
    for more in [Some(answer.needed), answer.have].into_iter().flatten() {
        if let Err(at) = all.binary_search_by(|row| row.runs.cmp(&more.runs)) {
            all.insert(at, more);
        }
    }
    let rows = all.iter().map(|row| GridRow {
        cells: vec![
            Arg::Number(Quantity::Count, count(row.runs)),
            Arg::Number(Quantity::Gain, row.just),
            Arg::Number(Quantity::Gain, row.smallest),
            share(row.chance),
        ],
        lead: row.runs == answer.needed.runs,
    });
    let columns = vec![
        Column::numbers(words::COLUMN_RUNS, Quantity::Count),
        Column::numbers(words::COLUMN_JUST, Quantity::Gain),
        Column::numbers(say(words::COLUMN_SMALLEST).num("chance", Quantity::Share, inputs.chance), Quantity::Gain),
        Column::numbers(say(words::COLUMN_CHANCE).with("want", Arg::AsTyped(Quantity::Gain, inputs.want)), Quantity::Share),
    ];
    Grid { id, title, columns, rows: rows.collect() }
}

fn picture(inputs: &Inputs, answer: &Answer) -> Picture {
    let points: Vec<(f64, f64)> = answer.rows.iter().map(|row| (count(row.runs), row.smallest)).collect();
    let high = points.iter().map(|(_, change)| *change).fold(0.0, f64::max);
    let last = points.last().map_or(12.0, |(runs, _)| *runs);
    let needed = answer.needed;
    let mut marked =
        vec![(say(words::POINT).num("count", Quantity::Count, count(needed.runs)).into(), count(needed.runs), needed.smallest)];
    if let Some(have) = answer.have.filter(|have| have.runs != needed.runs) {
        marked.push((say(words::POINT).num("count", Quantity::Count, count(have.runs)).into(), count(have.runs), have.smallest));
    }
    let shape = Shape::Curve {
        x: Axis { label: words::AXIS_RUNS.into(), quantity: Quantity::Count, from: 0.0, to: last },
        y: Axis { label: words::AXIS_CHANGE.into(), quantity: Quantity::Gain, from: 0.0, to: (high * 1.05).max(0.01) },
        series: vec![Series { label: words::AXIS_CHANGE.into(), points, role: Role::Other }],
        points: marked,
    };
    let title = say(words::PICTURE).num("count", Quantity::Count, count(needed.runs)).num("smallest", Quantity::Gain, needed.smallest);
    Picture { id: "curve", title, shape, twin: table(inputs, answer, "points", say(words::TWIN)) }
}

fn notes(inputs: &Inputs, answer: &Answer) -> Vec<Note> {
    let mut notes = Vec::new();
    if inputs.unused {
        notes.push(Note::doubt(words::NOTE_UNUSED));
    }
    if answer.floored {
        notes.push(Note::doubt(words::NOTE_FLOORED));
    }
    if let Some(dof) = answer.dof.filter(|dof| *dof < FEW_RUNS) {
        notes.push(Note::doubt(say(words::NOTE_FROM_RUNS).num("share", Quantity::Share, 1.0 / (2.0 * dof).sqrt())));
    }
    if answer.needed.runs == 2 {
        notes.push(Note::doubt(words::NOTE_TWO));
    }
    notes.push(Note::plain(words::NOTE_JUST));
    notes.push(Note::plain(words::NOTE_ORDER));
    notes
}

fn working(inputs: &Inputs, answer: &Answer) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut step = |what: Said, formula, filled, source| steps.push(Step { what, formula, filled, source });
    if let (Repeats::Alike(_), Some(dof)) = (&inputs.repeats, answer.dof) {
        step(words::WORK_SPREAD.into(), "s = √(Σ (Li − L)² / ν)", filled!["ν = ", dof, ";  s = ", answer.spread], &source::GUM_REPEATED);
    }
    let needed = answer.needed;
    let error = answer.spread * (2.0 / count(needed.runs)).sqrt();
    step(
        words::WORK_TEST.into(),
        "u = s·√(2/n);  δ = d/u;  ν = 2n − 2",
        filled![
            answer.spread,
            "·√(2/",
            count(needed.runs),
            ") = ",
            error,
            "\n",
            inputs.want,
            "/",
            error,
            " = ",
            inputs.want / error,
            "\n",
            "P = ",
            needed.chance
        ],
        &source::WELCH_POWER,
    );
    step(
        words::WORK_LAG.into(),
        "m = (1 + φ)/(1 − φ)",
        filled!["(1 + ", answer.lag, ")/(1 − ", answer.lag, ") = ", answer.per_independent],
        &source::FIRST_ORDER,
    );
    match (inputs.waver, answer.record) {
        (Some(waver), Some(record)) => step(
            words::WORK_RECORD.into(),
            "T = max((t·s/±)²; 20)·m·Δt",
            filled![
                "max((",
                answer.t,
                "·",
                waver,
                "/",
                inputs.fine,
                ")²; ",
                FEWEST_EFFECTIVE,
                ")·",
                answer.per_independent,
                "·",
                inputs.step,
                " = ",
                record
            ],
            &source::FIRST_ORDER,
        ),
        _ => step(
            words::WORK_LEAST.into(),
            "T = 20·m·Δt",
            filled![FEWEST_EFFECTIVE, "·", answer.per_independent, "·", inputs.step, " = ", answer.least],
            &source::FIRST_ORDER,
        ),
    }
    steps
}

pub(super) fn refuse(inputs: &Inputs, impossible: &Impossible) -> Refusal {
    let said = match impossible {
        Impossible::TooSmall { shown, with_ten } => say(words::REFUSE_SMALL)
            .with("want", Arg::AsTyped(Quantity::Gain, inputs.want))
            .num("shown", Quantity::Gain, *shown)
            .num("ten", Quantity::Gain, *with_ten),
        Impossible::Formula(_) => words::REFUSE_FORMULA.into(),
    };
    Refusal { said, paths: vec![read::path(None, WANT), read::path(None, SPREAD)] }
}
