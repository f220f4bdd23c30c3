//! The tables and the pictures of the answer.

use super::report::{View, about, earned, entry, fine, fraction_arg, kilohertz, number, speed, steps, travel};
use super::solve::{Along, Entry, Rate, Who};
use super::{solve, words};
use crate::calc::picture::{Bar, Picture, Role, Shape};
use crate::calc::quantity::Quantity;
use crate::calc::report::{Amount, Column, Grid, GridRow};
use crate::text::{Arg, Msg, say};

fn row(cells: Vec<Arg>) -> GridRow {
    GridRow { cells, lead: false }
}

fn optional(value: Option<Arg>) -> Arg {
    value.unwrap_or(Arg::Nothing)
}

fn columns(labels: &[Msg]) -> Vec<Column> {
    labels.iter().map(|label| Column::words(*label)).collect()
}

pub(super) fn tables(view: &View<'_>) -> Vec<Grid> {
    let mut tables = vec![change(view), how_far(view)];
    tables.extend(speeds(view));
    tables.push(hold(view));
    tables.extend([landing(view), trial(view), rough(view), current(view)].into_iter().flatten());
    if view.answer.axes.iter().any(|axis| axis.before.is_some()) {
        tables.push(again());
    }
    tables
}

fn change(view: &View<'_>) -> Grid {
    // The unit stands with the name: four columns have to fit a phone.
    let bare = |entry: Entry| match entry {
        Entry::Exact(measure) => Arg::Number(Quantity::Plain, measure.value()),
        Entry::Measured(found) => {
            let (value, half_width) = earned(found.value, found.half_width);
            Arg::PlusMinus(Quantity::Plain, value, half_width)
        }
    };
    let mut rows: Vec<GridRow> = view
        .axes()
        .map(|(place, along, axis)| {
            let label = if along == Along::Millimetres { words::PER_MM } else { words::PER_DEGREE };
            let exact = match axis.new {
                Entry::Exact(measure) => fraction_arg(measure),
                Entry::Measured(_) => Arg::Nothing,
            };
            row(vec![say(label).with("axis", view.name(place)).into(), optional(axis.old.map(bare)), bare(axis.new), exact])
        })
        .collect();
    for ((before, after), _, places) in view.grouped(|_, axis| (axis.before.map(|set| set.microsteps), axis.after.microsteps)) {
        let count = |count: u32| Arg::Number(Quantity::Count, f64::from(count));
        let label = say(words::MICROSTEPS_OF).with("axes", view.names(&places));
        rows.push(row(vec![label.into(), optional(before.map(count)), count(after), Arg::Typed(after.to_string())]));
    }
    let columns = columns(&[words::AXIS, words::OLD_COLUMN, words::NEW_COLUMN, words::EXACT_COLUMN]);
    Grid { id: "change", title: words::CHANGE_TITLE.into(), columns, rows }
}

fn how_far(view: &View<'_>) -> Grid {
    let rows = view.alike().map(|(axis, along, places)| {
        row(vec![
            view.names(places),
            travel(along, axis.per_turn.value()),
            travel(along, axis.full_step.value()),
            number(fine(along, axis.after.fine)),
        ])
    });
    let columns = columns(&[words::AXIS, words::TURN_COLUMN, words::FULL_COLUMN, words::MICRO_COLUMN]);
    Grid { id: "travel", title: words::TRAVEL_TITLE.into(), columns, rows: rows.collect() }
}

fn speeds(view: &View<'_>) -> Option<Grid> {
    view.inputs.limit?;
    let rows = view.alike().map(|(axis, along, places)| {
        let wanted = places.first().and_then(|place| view.inputs.axes.get(*place)?.speed);
        let show = |value: f64| Arg::Number(Quantity::Plain, about(speed(along, value).1, 4.0));
        let label = if along == Along::Millimetres { words::IN_MM_S } else { words::IN_RPM };
        row(vec![
            say(label).with("axes", view.names(places)).into(),
            optional(wanted.map(show)),
            optional(axis.fastest_before.map(show)),
            optional(axis.fastest.map(show)),
        ])
    });
    let columns = columns(&[words::AXIS, words::WANTED_COLUMN, words::BEFORE_COLUMN, words::AFTER_COLUMN]);
    let title = say(words::SPEEDS_TITLE).with("limit", view.limit());
    Some(Grid { id: "speeds", title, columns, rows: rows.collect() })
}

fn hold(view: &View<'_>) -> Grid {
    let mut rows = Vec::new();
    for (axis, along, places) in view.alike() {
        for set in axis.before.filter(|before| before.microsteps != axis.after.microsteps).into_iter().chain([axis.after]) {
            let label = say(words::MICROSTEPS_ON).num("count", Quantity::Count, f64::from(set.microsteps)).with("axes", view.names(places));
            rows.push(row(vec![
                label.into(),
                Arg::Number(Quantity::FineShare, set.torque),
                Arg::Number(Quantity::Plain, about(set.band, 3.0)),
                number(fine(along, about(axis.band, 2.0))),
            ]));
        }
    }
    let columns = columns(&[words::MICROSTEPS_COLUMN, words::TORQUE_COLUMN, words::BAND_COLUMN, words::BAND_TRAVEL_COLUMN]);
    let title = say(words::HOLD_TITLE).num("friction", Quantity::Share, view.inputs.friction);
    Grid { id: "hold", title, columns, rows }
}

fn landing(view: &View<'_>) -> Option<Grid> {
    let rows: Vec<GridRow> = view
        .alike()
        .filter_map(|(axis, along, places)| {
            let (increment, landing) = axis.landing.as_ref()?;
            let show = |value: f64| travel(along, value);
            let increment = solve::decimal(*increment);
            let count = landing.full_steps.map_or(increment / axis.full_step.value(), solve::decimal);
            let below = landing.below.value();
            let next = if landing.on_full_step {
                words::LANDS.into()
            } else if below > 0.0 {
                say(words::NEIGHBOURS).with("below", show(below)).with("above", show(landing.above.value())).into()
            } else {
                show(landing.above.value())
            };
            Some(row(vec![view.names(places), show(increment), Arg::Number(Quantity::Plain, count), next]))
        })
        .collect();
    let columns = columns(&[words::AXIS, words::INCREMENT_COLUMN, words::FULL_STEPS_COLUMN, words::NEXT_COLUMN]);
    (!rows.is_empty()).then(|| Grid { id: "landing", title: words::LANDING_TITLE.into(), columns, rows })
}

fn trial(view: &View<'_>) -> Option<Grid> {
    let rows: Vec<GridRow> = view
        .axes()
        .filter_map(|(place, along, axis)| {
            let verdict = axis.trial?;
            let (value, half_width) = earned(verdict.corrected.value, verdict.corrected.half_width);
            let words = match (verdict.shown, verdict.gross) {
                (false, _) => words::VERDICT_LEAVE,
                (true, true) => words::VERDICT_GROSS,
                (true, false) => words::VERDICT_USE,
            };
            let measured = Arg::PlusMinus(steps(along), value, half_width);
            Some(row(vec![view.name(place), optional(axis.old.map(|old| entry(along, old))), measured, words.into()]))
        })
        .collect();
    let columns = columns(&[words::AXIS, words::OLD_COLUMN, words::CORRECTED_COLUMN, words::VERDICT_COLUMN]);
    (!rows.is_empty()).then(|| Grid { id: "trial", title: words::TRIAL_TITLE.into(), columns, rows })
}

/// Only where something of the motor was typed: these are hints for those who look for them.
fn rough(view: &View<'_>) -> Option<Grid> {
    let motor = &view.inputs.motor;
    [motor.torque, motor.inertia, motor.inductance, motor.resistance].iter().flatten().next()?;
    let rows = view.alike().map(|(axis, along, places)| {
        let speed = |along: Along, value: f64| speed(along, about(value, 2.0));
        let show = |amount: Amount| match amount {
            Amount::Exact(value) => number(speed(along, value)),
            Amount::AtMost(value) => {
                let (quantity, value) = speed(along, value);
                Amount::AtMost(value).arg(quantity)
            }
            Amount::Between(from, to) => {
                let (quantity, from) = speed(along, from);
                Amount::Between(from, speed(along, to).1).arg(quantity)
            }
            Amount::PlusMinus(..) | Amount::AtLeast(_) | Amount::Unknown => Arg::Nothing,
        };
        let [low, middle] = axis.rough.map(|(from, to)| Amount::Between(from, to));
        row(vec![
            view.names(places),
            show(axis.swing.map_or(low, Amount::AtMost)),
            show(axis.mid_range.map_or(middle, Amount::Exact)),
            show(axis.coil.map_or(Amount::Unknown, Amount::Exact)),
        ])
    });
    let columns = columns(&[words::AXIS, words::SWING_COLUMN, words::MID_COLUMN, words::COIL_COLUMN]);
    Some(Grid { id: "rough", title: words::ROUGH_TITLE.into(), columns, rows: rows.collect() })
}

fn current(view: &View<'_>) -> Option<Grid> {
    let currents = view.answer.currents?;
    let rows = currents.into_iter().zip([words::AS_PEAK, words::AS_RMS]).zip([false, true]);
    let rows = rows.map(|((current, label), is_rms)| {
        let heat = match (current.heat, current.rest) {
            (Some(heat), Some(rest)) => say(words::HEAT_BOTH).num("heat", Quantity::Power, heat).num("rest", Quantity::Power, rest).into(),
            (Some(heat), None) => Arg::Number(Quantity::Power, heat),
            (None, _) => Arg::Nothing,
        };
        let cells = vec![label.into(), Arg::Number(Quantity::Current, current.peak), Arg::Number(Quantity::Current, current.rms), heat];
        GridRow { cells, lead: is_rms == view.inputs.motor.is_rms }
    });
    let columns = columns(&[words::READ_AS_COLUMN, words::PEAK_COLUMN, words::RMS_COLUMN, words::HEAT_COLUMN]);
    let title = say(words::CURRENT_TITLE).num("current", Quantity::Current, view.inputs.motor.current.unwrap_or_default());
    Some(Grid { id: "current", title, columns, rows: rows.collect() })
}

fn again() -> Grid {
    let rows = [
        (words::AGAIN_DIRECTION, words::AGAIN_DIRECTION_WHY),
        (words::AGAIN_TRAVEL, words::AGAIN_TRAVEL_WHY),
        (words::AGAIN_HOMING, words::AGAIN_HOMING_WHY),
        (words::AGAIN_COUNTS, words::AGAIN_COUNTS_WHY),
        (words::AGAIN_LIMITS, words::AGAIN_LIMITS_WHY),
        (words::AGAIN_CURRENT, words::AGAIN_CURRENT_WHY),
        (words::AGAIN_HEAT, words::AGAIN_HEAT_WHY),
    ];
    let rows = rows.into_iter().map(|(what, why)| row(vec![what.into(), why.into()])).collect();
    Grid { id: "again", title: words::AGAIN_TITLE.into(), columns: columns(&[words::AGAIN_WHAT, words::AGAIN_WHY]), rows }
}

pub(super) fn pictures(view: &View<'_>) -> Vec<Picture> {
    let mut pictures = Vec::new();
    pictures.extend(rates(view));
    pictures.extend([Along::Millimetres, Along::Degrees].into_iter().filter_map(|along| finest(view, along)));
    pictures
}

/// The rates to show: axes that are alike share a line.
fn shown_rates<'a>(view: &'a View<'_>) -> Vec<(Arg, &'a Rate)> {
    let label = |rate: &'a Rate| {
        let label = match rate.who {
            Who::Axis(place) => {
                let places = view.answer.alike.iter().find(|places| places.first() == Some(&place))?;
                if view.inputs.crossed && place < 2 {
                    say(words::WHO_ALONE).with("axis", view.names(places)).into()
                } else {
                    view.names(places)
                }
            }
            Who::Diagonal => say(words::WHO_DIAGONAL_AT).with("axes", view.pair()).with("speed", view.rate_speed(rate, rate.speed)).into(),
            Who::Both => say(words::WHO_BOTH_AT).with("axes", view.pair()).with("speed", view.rate_speed(rate, rate.speed)).into(),
            Who::All => view.who_first(rate.who),
        };
        Some((label, rate))
    };
    view.answer.rates.iter().filter_map(label).collect()
}

fn rates(view: &View<'_>) -> Option<Picture> {
    let busiest = view.busiest()?;
    let shown = shown_rates(view);
    let mut bars = Vec::new();
    for (who, rate) in shown.iter().filter(|(_, rate)| rate.who != Who::All) {
        let bar = |msg: Msg, value: f64, role: Role| Bar {
            label: say(msg).with("who", who.clone()).into(),
            value: value / 1000.0,
            range: None,
            bound: false,
            role,
        };
        bars.extend(rate.before.map(|before| bar(words::BAR_BEFORE, before, Role::Before)));
        bars.push(bar(words::BAR_AFTER, rate.after, Role::After));
    }
    let all = match view.all() {
        Some(all) => say(words::RATES_ALL).with("rate", kilohertz(all.after)).into(),
        None => Arg::Typed(String::new()),
    };
    let msg = match busiest.room {
        None => words::RATES_PLAIN,
        Some(room) if room >= 0.0 => words::RATES_ROOM,
        Some(_) => words::RATES_OVER,
    };
    let title = say(msg)
        .with("who", view.who_first(busiest.who))
        .with("rate", kilohertz(busiest.after))
        .with("speed", view.rate_speed(busiest, busiest.speed))
        .num("room", Quantity::Share, busiest.room.unwrap_or_default().abs())
        .with("limit", view.limit())
        .with("all", all);
    let rows = shown.iter().map(|(who, rate)| GridRow {
        cells: vec![
            who.clone(),
            optional(rate.before.map(kilohertz)),
            kilohertz(rate.after),
            optional(rate.room.map(|room| Arg::Number(Quantity::Share, room))),
        ],
        lead: rate.who == busiest.who,
    });
    let columns = vec![
        Column::words(words::MOTOR_COLUMN),
        Column::numbers(words::BEFORE_COLUMN, Quantity::StepRate),
        Column::numbers(words::AFTER_COLUMN, Quantity::StepRate),
        Column::numbers(words::LEFT_COLUMN, Quantity::Share),
    ];
    let twin = Grid { id: "rates", title: words::RATES_TWIN.into(), columns, rows: rows.collect() };
    let lines = view.inputs.limit.map(|limit| (say(words::LIMIT_LINE).with("limit", kilohertz(limit)), limit / 1000.0));
    let shape = Shape::Bars { quantity: Quantity::StepRate, bars, lines: lines.into_iter().collect() };
    Some(Picture { id: "rates", title, shape, twin })
}

/// One step against what the motor itself is good to, for the axes that move in millimetres or in degrees.
fn finest(view: &View<'_>, wanted: Along) -> Option<Picture> {
    let axes: Vec<_> = view.alike().filter(|(_, along, _)| *along == wanted).collect();
    let mut bars = Vec::new();
    let mut rows = Vec::new();
    for (axis, along, places) in &axes {
        let who = view.names(places);
        let shown = |value: f64| fine(*along, value);
        let bar = |msg: Msg, value: f64, role: Role| Bar {
            label: say(msg).with("who", who.clone()).into(),
            value: shown(value).1,
            range: None,
            bound: false,
            role,
        };
        bars.extend(axis.before.map(|set| bar(words::BAR_BEFORE, set.fine, Role::Before)));
        bars.push(bar(words::BAR_AFTER, axis.after.fine, Role::After));
        bars.push(bar(words::BAR_ERROR, about(axis.error, 2.0), Role::Other));
        rows.push(row(vec![
            who.clone(),
            optional(axis.before.map(|set| number(shown(set.fine)))),
            number(shown(axis.after.fine)),
            number(shown(about(axis.error, 2.0))),
        ]));
    }
    let (first, ..) = axes.first()?;
    let (quantity, _) = fine(wanted, first.error);
    let is_below = axes.iter().all(|(axis, ..)| axis.after.fine < axis.error);
    let title = say(if is_below { words::FINE_TITLE_BELOW } else { words::FINE_TITLE })
        .with("fine", view.fine_list(Some(wanted)))
        .with("error", view.error_list(Some(wanted)));
    let columns = vec![
        Column::words(words::AXIS),
        Column::numbers(words::BEFORE_COLUMN, quantity),
        Column::numbers(words::AFTER_COLUMN, quantity),
        Column::numbers(words::ERROR_COLUMN, quantity),
    ];
    let id = if wanted == Along::Millimetres { "fine" } else { "finedeg" };
    let twin = Grid { id, title: words::FINE_TWIN.into(), columns, rows };
    Some(Picture { id, title, shape: Shape::Bars { quantity, bars, lines: Vec::new() }, twin })
}
