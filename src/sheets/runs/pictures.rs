//! The pictures of the answer: changes by phase, and the curves as the link sketches them.

use super::report::{called, change_arg, level_arg, verdict_said};
use super::solve::{Answer, Comparison, What};
use super::{Inputs, Line, Run, Set, words};
use crate::calc::picture::{Axis, Bar, Picture, Role, Series, Shape};
use crate::calc::quantity::Quantity;
use crate::calc::report::{Column, Grid, GridRow};
use crate::formulas::levels;
use crate::text::{Arg, say};
use crate::units::Level;

/// The most changes a caption names.
const NAMED: usize = 4;

/// What changed in each phase, with its interval.
pub(super) fn changes(inputs: &Inputs, answer: &Answer, of: &Comparison) -> Picture {
    let lines = || of.phases.iter().chain(of.job.iter());
    let bars = lines().map(|line| {
        let (change, half) = (line.judged.change.0, line.judged.spread.map(|spread| spread.half));
        Bar {
            label: called(inputs, answer, line.what),
            value: change,
            range: half.filter(|half| *half < 100.0).map(|half| (change - half, change + half)),
            bound: false,
            role: if line.what == What::Job { Role::After } else { Role::Other },
        }
    });
    let named = lines()
        .take(NAMED)
        .map(|line| say(words::ONE_CHANGE).with("what", called(inputs, answer, line.what)).with("change", change_arg(&line.judged)).into());
    let rows = lines().map(|line| GridRow {
        cells: vec![called(inputs, answer, line.what), change_arg(&line.judged), verdict_said(inputs, line.verdict)],
        lead: line.what == What::Job,
    });
    let twin = Grid {
        id: "drawn",
        title: words::TWIN_CHANGES.into(),
        columns: vec![
            Column::words(words::COLUMN_PHASE),
            Column::numbers(words::COLUMN_CHANGE, Quantity::Gain),
            Column::words(words::COLUMN_VERDICT),
        ],
        rows: rows.collect(),
    };
    Picture {
        id: "changes",
        title: say(words::PICTURE_CHANGES).with("list", Arg::List(named.collect())),
        shape: Shape::Bars { quantity: Quantity::Gain, bars: bars.collect(), lines: Vec::new() },
        twin,
    }
}

/// A stretch of a phase as it is drawn: of which run and phase, from where in its log, and where its start is put.
struct Drawn {
    run: usize,
    place: usize,
    from: f64,
    to: f64,
    at: f64,
}

/// A phase, by its place among those that count, with its start and end in the log, s.
type Stretch = (usize, f64, f64);

/// The stretches of a run by time.
fn stretches(inputs: &Inputs, answer: &Answer, run: usize) -> Vec<Stretch> {
    let mut out: Vec<Stretch> = Vec::new();
    for (place, counted) in answer.phases.iter().enumerate() {
        let entry = inputs.phases.get(counted.phase).and_then(|phase| phase.entries.get(run));
        if let Some(super::Entry::Log(packed)) = entry {
            out.extend(packed.stretches.iter().map(|(from, to)| (place, *from, *to)));
        }
    }
    crate::units::sort_few(&mut out, |one, other| one.1.total_cmp(&other.1));
    out
}

/// Where each stretch is put. Phase by phase: the run with the most stretches gives the order, each place is as wide as the
/// longest stretch there. By the clock: from the start of each log, shifted as typed; `first` is the smallest shift.
fn placed(inputs: &Inputs, answer: &Answer, runs: &[usize], first: f64) -> Vec<Drawn> {
    let all: Vec<(usize, Vec<Stretch>)> = runs.iter().map(|run| (*run, stretches(inputs, answer, *run))).collect();
    if inputs.line == Line::Clock {
        let shift = |run: usize| inputs.runs.get(run).map_or(0.0, |run| run.shift) - first;
        let drawn = all.iter().flat_map(|(run, parts)| {
            parts.iter().map(move |(place, from, to)| Drawn { run: *run, place: *place, from: *from, to: *to, at: shift(*run) + from })
        });
        return drawn.collect();
    }
    let Some((_, order)) = all.iter().reduce(|one, other| if other.1.len() > one.1.len() { other } else { one }) else { return Vec::new() };
    // A slot is a phase with how often it has come before.
    let slots: Vec<(usize, usize)> = order
        .iter()
        .enumerate()
        .map(|(at, (place, ..))| (*place, order.iter().take(at).filter(|(other, ..)| other == place).count()))
        .collect();
    let mut drawn = Vec::new();
    let mut at = 0.0;
    for (place, nth) in slots {
        let mut wide = 0.0_f64;
        for (run, parts) in &all {
            if let Some((_, from, to)) = parts.iter().filter(|(other, ..)| *other == place).nth(nth) {
                wide = wide.max(to - from);
                drawn.push(Drawn { run: *run, place, from: *from, to: *to, at });
            }
        }
        at += wide;
    }
    drawn
}

fn role(set: Set) -> Role {
    match set {
        Set::Before | Set::Again => Role::Before,
        Set::After => Role::After,
        Set::Second => Role::Other,
    }
}

/// The curve of a run in the stretches that are drawn; the whole of it where it has none.
fn pieces(run: &Run, drawn: &[&Drawn], start: f64) -> Vec<Vec<(f64, f64)>> {
    if drawn.is_empty() {
        return run.curve.iter().map(|piece| piece.iter().map(|(at, level)| (at + start, *level)).collect()).collect();
    }
    let mut out: Vec<Vec<(f64, f64)>> = Vec::new();
    for part in drawn {
        for piece in &run.curve {
            let inside = piece.iter().filter(|(at, _)| (part.from..=part.to).contains(at));
            let moved: Vec<(f64, f64)> = inside.map(|(at, level)| (at - part.from + part.at, *level)).collect();
            if !moved.is_empty() {
                out.push(moved);
            }
        }
    }
    crate::units::sort_few(&mut out, |one, other| first_of(one).total_cmp(&first_of(other)));
    out
}

fn first_of(piece: &[(f64, f64)]) -> f64 {
    piece.first().map_or(0.0, |point| point.0)
}

/// The curves, where there are sketches.
pub(super) fn curves(inputs: &Inputs, answer: &Answer) -> Option<Picture> {
    let runs: Vec<usize> =
        answer.runs.iter().copied().filter(|run| inputs.runs.get(*run).is_some_and(|run| !run.curve.is_empty())).collect();
    if runs.is_empty() {
        return None;
    }
    let first = runs.iter().filter_map(|run| Some(inputs.runs.get(*run)?.shift)).fold(f64::INFINITY, f64::min);
    let drawn = placed(inputs, answer, &runs, first);
    let mut series: Vec<Series> = Vec::new();
    let mut told: Vec<Set> = Vec::new();
    for run in &runs {
        let Some(of) = inputs.runs.get(*run) else { continue };
        let parts: Vec<&Drawn> = drawn.iter().filter(|part| part.run == *run).collect();
        let start = if inputs.line == Line::Clock { of.shift - first } else { 0.0 };
        let mut lines = joined(pieces(of, &parts, start));
        let last = lines.pop();
        let curve = |points, label: Arg| Series { label: say(words::CURVE).with("name", label), points, role: role(of.set) };
        series.extend(lines.into_iter().map(|points| curve(points, Arg::Typed(String::new()))));
        if let Some(points) = last {
            // The curves of one state share a dash and a colour; one of them is named.
            let label = if told.contains(&of.set) { Arg::Typed(String::new()) } else { state(of.set).into() };
            told.push(of.set);
            series.push(curve(points, label));
        }
    }
    let rooms: Vec<Level> = runs.iter().filter_map(|run| Some(answer.rooms.get(*run)?.as_ref()?.level.value)).collect();
    let room = levels::energy_mean(&rooms).ok();
    let all = || series.iter().flat_map(|one| one.points.iter().copied());
    let end = all().map(|(at, _)| at).fold(1.0, f64::max);
    let heights = || all().map(|(_, level)| level).chain(room.map(|room| room.0));
    let (low, high) = heights().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), level| (low.min(level), high.max(level)));
    if low > high {
        return None;
    }
    if let Some(room) = room {
        series.push(Series { label: words::ROOM.into(), points: vec![(0.0, room.0), (end, room.0)], role: Role::Other });
    }
    let quantity = Quantity::Level(inputs.weighting);
    let shape = Shape::Curve {
        x: Axis { label: words::AXIS_TIME.into(), quantity: Quantity::Duration, from: 0.0, to: end },
        y: Axis { label: words::AXIS_LEVEL.into(), quantity, from: (low - 1.0).floor(), to: (high + 1.0).ceil() },
        series,
        points: Vec::new(),
    };
    Some(Picture { id: "curves", title: title(inputs, answer), shape, twin: twin(inputs, answer, &drawn, &runs, room) })
}

/// Pieces whose ends are a few samples apart as one line.
fn joined(pieces: Vec<Vec<(f64, f64)>>) -> Vec<Vec<(f64, f64)>> {
    let mut out: Vec<Vec<(f64, f64)>> = Vec::new();
    for piece in pieces {
        let step = |points: &[(f64, f64)]| match points {
            [one, other, ..] => other.0 - one.0,
            _ => 0.0,
        };
        let reach = 2.5 * step(&piece).max(out.last().map_or(0.0, |last| step(last)));
        match out.last_mut() {
            Some(last) if last.last().is_some_and(|end| first_of(&piece) - end.0 <= reach) => last.extend(piece),
            _ => out.push(piece),
        }
    }
    out.retain(|piece| piece.len() > 1);
    out
}

/// The words for a state of the machine.
pub(super) fn state(set: Set) -> crate::text::Msg {
    match set {
        Set::Before => words::SET_BEFORE,
        Set::After => words::SET_AFTER,
        Set::Second => words::SET_SECOND,
        Set::Again => words::SET_AGAIN,
    }
}

fn title(inputs: &Inputs, answer: &Answer) -> crate::text::Said {
    let quantity = Quantity::Level(inputs.weighting);
    if let Some(line) = answer.comparisons.first().and_then(Comparison::lead) {
        return say(words::PICTURE_CURVES).with("what", called(inputs, answer, line.what)).num("from", quantity, line.judged.before.0).num(
            "to",
            quantity,
            line.judged.after.0,
        );
    }
    let (what, level) = super::report::base(answer);
    say(words::PICTURE_ONE_STATE).with("what", called(inputs, answer, what)).num("level", quantity, level.0)
}

fn twin(inputs: &Inputs, answer: &Answer, drawn: &[Drawn], runs: &[usize], room: Option<Level>) -> Grid {
    let quantity = Quantity::Level(inputs.weighting);
    let mut rows: Vec<GridRow> = Vec::new();
    for run in runs {
        let Some(of) = inputs.runs.get(*run) else { continue };
        let named = |phase: Arg, from: Arg, to: Arg, level: Arg| GridRow {
            cells: vec![super::report::run_name(&of.name), phase, from, to, level],
            lead: false,
        };
        let parts: Vec<&Drawn> = drawn.iter().filter(|part| part.run == *run).collect();
        if parts.is_empty() {
            let end = of.curve.iter().flatten().map(|(at, _)| *at).fold(0.0, f64::max);
            rows.push(named(
                Arg::Nothing,
                Arg::Number(Quantity::Duration, 0.0),
                Arg::Number(Quantity::Duration, whole_seconds(end)),
                Arg::Nothing,
            ));
        }
        for part in parts {
            let seen = answer.phases.get(part.place).and_then(|counted| counted.seen.get(*run)?.as_ref());
            let time = |value: f64| Arg::Number(Quantity::Duration, whole_seconds(value));
            rows.push(named(
                called(inputs, answer, What::Phase(part.place)),
                time(part.at),
                time(part.at + part.to - part.from),
                seen.map_or(Arg::Nothing, |seen| level_arg(quantity, &seen.used)),
            ));
        }
    }
    if let Some(room) = room {
        rows.push(GridRow {
            cells: vec![words::ROOM.into(), Arg::Nothing, Arg::Nothing, Arg::Nothing, Arg::Number(quantity, room.0)],
            lead: false,
        });
    }
    let columns = vec![
        Column::words(words::COLUMN_RUN),
        Column::words(words::COLUMN_PHASE),
        Column::numbers(words::COLUMN_FROM, Quantity::Duration),
        Column::numbers(words::COLUMN_TO, Quantity::Duration),
        Column::numbers(words::COLUMN_LEQ, quantity),
    ];
    Grid { id: "curve", title: words::TWIN_CURVES.into(), columns, rows }
}

fn whole_seconds(value: f64) -> f64 {
    value.round().max(0.0)
}
