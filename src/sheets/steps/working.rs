//! How it was worked out, with the person's own numbers.

use super::report::{View, fine, fraction};
use super::solve::{self, Along, Axis, AxisAnswer, Who};
use super::words;
use crate::calc::number;
use crate::calc::report::{Filled, Step};
use crate::filled;
use crate::formulas::motion::{Drive, STEP_ACCURACY};
use crate::formulas::source::{self, Source};
use crate::text::{Arg, Msg, Style};

fn step(what: Msg, formula: &'static str, filled: Vec<Filled>, source: &'static Source) -> Step {
    Step { what: what.into(), formula, filled, source }
}

/// Whole numbers without decimals, others to the digits of the working.
fn n(value: f64) -> Filled {
    if value.fract() == 0.0 && value.abs() < 1e15 {
        Filled::Symbols(number::editable(value, Style::default()))
    } else {
        Filled::Number(value)
    }
}

/// One line for each group of axes that are alike, its names first.
fn lines(view: &View<'_>, of: impl Fn(&AxisAnswer, &Axis, Along) -> Option<Vec<Filled>>) -> Vec<Filled> {
    let mut out = Vec::new();
    for (axis, along, places) in view.alike() {
        let typed = places.first().and_then(|place| view.inputs.axes.get(*place));
        if let Some(line) = typed.and_then(|typed| of(axis, typed, along)) {
            if !out.is_empty() {
                out.push(Filled::NewLine);
            }
            out.push(named(&view.names(places)));
            out.extend(line);
        }
    }
    out
}

fn named(names: &Arg) -> Filled {
    Filled::Symbols(format!("{}: ", names.text(Style::default())))
}

pub(super) fn working(view: &View<'_>) -> Vec<Step> {
    let mut steps = vec![
        step(
            words::WORK_TURN,
            "belt p·z, screw p·starts, rack π·m·z, roller π·d, turntable 360°",
            lines(view, |axis, typed, _| Some(turn(axis, typed.drive))),
            &source::GEOMETRY,
        ),
        step(words::WORK_STEPS, "360°/step angle · microsteps · gear / travel", lines(view, steps_line), &source::GEOMETRY),
    ];
    let scale = lines(view, |axis, _, _| {
        let (before, old) = (axis.before?, axis.old?);
        let (from, to) = (f64::from(before.microsteps), f64::from(axis.after.microsteps));
        Some(filled![n(old.value()), " · ", n(to), "/", n(from), " = ", n(old.value() * to / from)])
    });
    steps.extend(given(words::WORK_SCALE, "new = old · microsteps after/now", scale, &source::PROPORTION));
    steps.push(step(
        words::WORK_FINE,
        "full step = travel · step angle/(360° · gear), microstep = full step/n",
        lines(view, |axis, _, along| {
            let count = f64::from(axis.after.microsteps);
            let (quantity, small) = fine(along, axis.after.fine);
            let symbol = if along == Along::Degrees { unit(along).to_owned() } else { format!(" {}", quantity.symbol()) };
            Some(filled![n(axis.full_step.value()), unit(along), ", /", n(count), " = ", n(small), symbol])
        }),
        &source::GEOMETRY,
    ));
    rates(view, &mut steps);
    hold(view, &mut steps);
    measured(view, &mut steps);
    motor(view, &mut steps);
    steps
}

fn given(what: Msg, formula: &'static str, filled: Vec<Filled>, source: &'static Source) -> Option<Step> {
    (!filled.is_empty()).then(|| step(what, formula, filled, source))
}

fn unit(along: Along) -> &'static str {
    match along {
        Along::Millimetres => " mm",
        Along::Degrees => "°",
    }
}

fn turn(axis: &AxisAnswer, drive: Drive) -> Vec<Filled> {
    let whole = |count: u32| n(f64::from(count));
    let of = |fraction| n(solve::decimal(fraction));
    let per_turn = n(axis.per_turn.value());
    match drive {
        Drive::Belt { pitch, teeth } => filled![of(pitch), " · ", whole(teeth), " = ", per_turn, " mm"],
        Drive::Screw { pitch, starts } => filled![of(pitch), " · ", whole(starts), " = ", per_turn, " mm"],
        Drive::Rack { module, teeth } => filled!["π · ", of(module), " · ", whole(teeth), " = ", per_turn, " mm"],
        Drive::Roller { diameter } => filled!["π · ", of(diameter), " = ", per_turn, " mm"],
        Drive::Turntable => filled![per_turn, "°"],
        Drive::Other { .. } => filled![per_turn, " mm"],
    }
}

#[expect(clippy::unnecessary_wraps, reason = "one shape for all lines")]
fn steps_line(axis: &AxisAnswer, typed: &Axis, _: Along) -> Option<Vec<Filled>> {
    let set = axis.after;
    let mut line = filled![
        "360/",
        n(solve::decimal(typed.step_angle)),
        " · ",
        n(f64::from(set.microsteps)),
        " · ",
        n(solve::decimal(axis.gear)),
        " / ",
        n(axis.per_turn.value()),
        " = ",
        n(set.worked.value())
    ];
    if let Some(exact) = fraction(set.worked).filter(|_| set.worked.pi != 0 || !set.worked.fraction.is_integer()) {
        line.push(Filled::Symbols(" = ".to_owned() + &exact));
    }
    Some(line)
}

fn rates(view: &View<'_>, steps: &mut Vec<Step>) {
    let rate = lines(view, |axis, typed, _| {
        let speed = typed.speed?;
        Some(filled![n(axis.new.value()), " · ", n(speed), " = ", n(axis.new.value() * speed)])
    });
    steps.extend(given(words::WORK_RATE, "rate = steps per unit · speed", rate, &source::PROPORTION));
    let per_unit = view.answer.axes.first().map_or(0.0, |axis| axis.new.value());
    let of = |who: Who| view.answer.rates.iter().find(|rate| rate.who == who);
    if let Some(rate) = of(Who::Diagonal) {
        let (what, formula, sign) = if view.inputs.crossed {
            (words::WORK_CROSSED, "steps per mm · (v/√2 + v/√2)", " · √2 · ")
        } else {
            (words::WORK_DIAGONAL, "steps per mm · v/√2", " / √2 · ")
        };
        let per_unit = if view.inputs.crossed { per_unit } else { rate.after / rate.speed * std::f64::consts::SQRT_2 };
        let filled = filled![n(per_unit), sign, n(rate.speed), " = ", n(rate.after)];
        steps.push(step(what, formula, filled, &source::GEOMETRY));
    }
    if let Some(rate) = of(Who::Both) {
        let filled = filled![n(per_unit), " · ", n(rate.after / per_unit), " = ", n(rate.after)];
        steps.push(step(words::WORK_BOTH, "steps per mm · (vx + vy)", filled, &source::GEOMETRY));
    }
    if let (Some(rate), Some(limit)) = (view.busiest(), view.inputs.limit) {
        let filled = filled!["1 − ", n(rate.after), "/", n(limit), " = ", Filled::Number(rate.room.unwrap_or_default())];
        steps.push(step(words::WORK_ROOM, "1 − rate/limit", filled, &source::PROPORTION));
    }
    if let Some(limit) = view.inputs.limit {
        let top = lines(view, |axis, _, along| {
            let per_second = if along == Along::Millimetres { " mm/s" } else { "°/s" };
            Some(filled![n(limit), "/", n(axis.new.value()), " = ", n(axis.fastest?), per_second])
        });
        steps.extend(given(words::WORK_TOP, "speed = limit/steps per unit", top, &source::PROPORTION));
    }
}

fn hold(view: &View<'_>, steps: &mut Vec<Step>) {
    let torque =
        lines(view, |axis, _, _| Some(filled!["sin(90°/", n(f64::from(axis.after.microsteps)), ") = ", Filled::Number(axis.after.torque)]));
    steps.extend(given(words::WORK_TORQUE, "sin(90°/n)", torque, &source::STEPPING_TUTORIAL));
    let band = lines(view, |axis, _, _| {
        let count = n(f64::from(axis.after.microsteps));
        Some(filled!["(2/π)·arcsin(", n(view.inputs.friction), ") · ", count, " = ", n(axis.after.band)])
    });
    steps.extend(given(words::WORK_BAND, "(2/π)·arcsin(friction) · n", band, &source::SINE_TORQUE));
    let error =
        lines(view, |axis, _, along| Some(filled![n(STEP_ACCURACY), " · ", n(axis.full_step.value()), " = ", n(axis.error), unit(along)]));
    steps.extend(given(words::WORK_ERROR, "0.05 · full step", error, &source::STEP_ACCURACY));
}

fn measured(view: &View<'_>, steps: &mut Vec<Step>) {
    let trial = lines(view, |axis, typed, _| {
        let (trial, verdict, old) = (typed.trial?, axis.trial?, axis.old.unwrap_or(axis.new));
        Some(filled![
            n(old.value()),
            " · ",
            n(trial.asked),
            "/",
            n(trial.measured),
            " = ",
            n(verdict.corrected.value),
            " ± ",
            n(verdict.corrected.half_width)
        ])
    });
    steps.extend(given(words::WORK_TRIAL, "new = old · asked/measured, ± = new · ruler/measured", trial, &source::PROPORTION));
    let landing = lines(view, |axis, _, _| {
        let (increment, landing) = axis.landing?;
        let increment = solve::decimal(increment);
        let count = landing.full_steps.map_or(increment / axis.full_step.value(), solve::decimal);
        Some(filled![n(increment), "/", n(axis.full_step.value()), " = ", n(count)])
    });
    steps.extend(given(words::WORK_LANDING, "increment/full step", landing, &source::PROPORTION));
}

fn motor(view: &View<'_>, steps: &mut Vec<Step>) {
    let motor = &view.inputs.motor;
    if let Some([as_peak, as_rms]) = view.answer.currents {
        let filled =
            filled![n(as_peak.peak), "/√2 = ", n(as_peak.rms), " A", Filled::NewLine, n(as_rms.rms), " · √2 = ", n(as_rms.peak), " A"];
        steps.push(step(words::WORK_CURRENT, "RMS = peak/√2", filled, &source::SINE_CURRENT));
        if let (Some(resistance), Some(one), Some(other)) = (motor.resistance, as_peak.heat, as_rms.heat) {
            let line = |peak: f64, heat: f64| filled![n(resistance), " · ", n(peak), "² = ", n(heat)];
            let mut filled = line(as_peak.peak, one);
            filled.push(Filled::NewLine);
            filled.extend(line(as_rms.peak, other));
            steps.push(step(words::WORK_HEAT, "R · peak²; standing: · share²", filled, &source::SINE_CURRENT));
        }
        if let (Some(Some(rate)), Some(resistance), Some(inductance), Some(supply)) =
            (view.answer.coil, motor.resistance, motor.inductance, motor.supply)
        {
            let peak = if motor.is_rms { as_rms.peak } else { as_peak.peak };
            let filled = filled![
                "−(",
                n(inductance),
                " mH/",
                n(resistance),
                " Ω) · ln(1 − ",
                n(peak),
                " · ",
                n(resistance),
                "/",
                n(supply),
                ") = ",
                n(1.0 / rate),
                ": ",
                n(rate),
                " full steps/s"
            ];
            steps.push(step(words::WORK_COIL, "t = −(L/R)·ln(1 − I·R/V), full steps a second = 1/t", filled, &source::COIL));
        }
    }
    if let (Some(rate), Some(resistance), Some(inductance)) = (view.answer.mid_range, motor.resistance, motor.inductance) {
        let filled = filled!["4 · ", n(resistance), " Ω/(2π · ", n(inductance), " mH) = ", n(rate)];
        steps.push(step(words::WORK_MID, "4·R/(2π·L)", filled, &source::STEPPING_HANDBOOK));
    }
    if let (Some(torque), Some(inertia)) = (motor.torque, motor.inertia) {
        let swing = lines(view, |axis, typed, _| {
            let hertz = axis.swing? / axis.full_step.value();
            Some(filled![
                "√(",
                n(torque),
                " N·m · 90°/",
                n(solve::decimal(typed.step_angle)),
                "° / ",
                n(inertia),
                " g·cm²)/2π = ",
                n(hertz)
            ])
        });
        steps.extend(given(words::WORK_SWING, "√(T·(π/2)/S/J)/2π, S in radians", swing, &source::STEPPING_TUTORIAL));
    }
    if [motor.torque, motor.inertia, motor.inductance, motor.resistance].iter().any(Option::is_some) {
        let rough = lines(view, |axis, _, along| {
            let per_second = if along == Along::Millimetres { " mm/s" } else { "°/s" };
            let [(a, b), (c, d)] = axis.rough;
            Some(filled![n(a), " to ", n(b), ", ", n(c), " to ", n(d), per_second])
        });
        steps.extend(given(words::WORK_ROUGH, "full step · 100 to 250 a second, · 500 to 1500 a second", rough, &source::ROUGH_RATES));
    }
}
