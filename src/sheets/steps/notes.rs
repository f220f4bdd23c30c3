//! What to know: doubts first.

use super::report::{View, entry, kilohertz, name, steps, travel};
use super::solve::{self, Along, AxisAnswer, Fit, Lead, Setting, Who};
use super::words;
use crate::calc::quantity::Quantity;
use crate::calc::report::Note;
use crate::formulas::motion::Drive;
use crate::text::{Arg, Said, say};

pub(super) fn notes(view: &View<'_>) -> Vec<Note> {
    let mut notes = Vec::new();
    let left_out = view.inputs.left_out.iter();
    notes.extend(left_out.map(|(axis, field)| Note::doubt(say(words::NOTE_LEFT_OUT).with("axis", name(axis)).with("field", *field))));
    notes.extend(view.inputs.half_pairs.iter().map(|axis| Note::doubt(say(words::NOTE_HALF_PAIR).with("axis", name(axis)))));
    over(view, &mut notes);
    for (axis, _, places) in view.alike() {
        doubts(view, axis, places, &mut notes);
    }
    for (place, _, axis) in view.axes() {
        typed(view, place, axis, &mut notes);
    }
    fill_in(view, &mut notes);
    notes.push(Note::plain(words::NOTE_SMOOTH));
    if view.inputs.crossed {
        notes.push(Note::plain(words::NOTE_CROSSED));
    }
    if view.answer.rates.is_empty() {
        notes.push(Note::plain(words::NOTE_NO_SPEED));
    } else if view.inputs.limit.is_none() {
        notes.push(Note::plain(words::NOTE_NO_LIMIT));
    }
    motor(view, &mut notes);
    notes
}

fn over(view: &View<'_>, notes: &mut Vec<Note>) {
    for rate in view.answer.rates.iter().filter(|rate| rate.who != Who::All && rate.room.is_some_and(|room| room < 0.0)) {
        let names_twin = |place: usize| view.answer.alike.iter().any(|places| places.iter().skip(1).any(|other| *other == place));
        if matches!(rate.who, Who::Axis(place) if names_twin(place)) {
            continue;
        }
        let said = say(words::NOTE_OVER)
            .with("who", view.who(rate.who))
            .with("rate", kilohertz(rate.after))
            .with("limit", view.limit())
            .with("speed", view.speed_at_limit(rate));
        notes.push(Note::doubt(said));
    }
}

fn doubts(view: &View<'_>, axis: &AxisAnswer, places: &[usize], notes: &mut Vec<Note>) {
    let about = |msg| say(msg).with("axis", view.names(places));
    let mut unusual = |set: Setting| {
        if let Some(nearest) = set.unusual {
            let count = |count: u32| Arg::Number(Quantity::Count, f64::from(count));
            let nearest = match nearest.above {
                Some(above) => say(words::ONE_OR_OTHER).with("one", count(nearest.below)).with("other", count(above)).into(),
                None => count(nearest.below),
            };
            notes.push(Note::doubt(about(words::NOTE_UNUSUAL).with("count", count(set.microsteps)).with("nearest", nearest)));
        }
    };
    if let Some(before) = axis.before.filter(|before| before.microsteps != axis.after.microsteps) {
        unusual(before);
    }
    unusual(axis.after);
    let Some(typed) = places.first().and_then(|place| view.inputs.axes.get(*place)) else { return };
    if !axis.full_steps.is_integer() {
        notes.push(Note::doubt(about(words::NOTE_ANGLE).num("angle", Quantity::Angle, solve::decimal(typed.step_angle))));
    }
    if let Drive::Screw { pitch, starts } = typed.drive {
        let size = |value: f64| travel(Along::Millimetres, value);
        let pitch = solve::decimal(pitch);
        let counted: Arg = match starts {
            1 => words::START_ONE.into(),
            _ => say(words::STARTS_COUNTED).num("number", Quantity::Count, f64::from(starts)).into(),
        };
        let with_lead = |said: Said, lead: f64| said.with("pitch", size(pitch)).with("starts", counted.clone()).with("lead", size(lead));
        notes.push(Note::plain(with_lead(about(words::NOTE_LEAD), axis.per_turn.value())));
        match axis.lead {
            Lead::Plain => {}
            Lead::OneStart if axis.fit == Fit::Same => {}
            Lead::OneStart => notes.push(Note::plain(with_lead(about(words::NOTE_ONE_START), 4.0 * pitch))),
            Lead::PitchIsLead => notes.push(Note::doubt(with_lead(about(words::NOTE_PITCH_IS_LEAD), axis.per_turn.value()))),
        }
    }
    if let Some((_, landing)) = axis.landing.filter(|(_, landing)| !landing.on_full_step) {
        let msg = match landing.full_steps {
            None => words::NOTE_PI,
            Some(_) if landing.on_microstep => words::NOTE_INCREMENT,
            Some(_) => words::NOTE_INCREMENT_ROUNDED,
        };
        notes.push(Note::plain(about(msg)));
    }
}

fn typed(view: &View<'_>, place: usize, axis: &AxisAnswer, notes: &mut Vec<Note>) {
    let about = |msg| say(msg).with("axis", view.name(place));
    let along = view.along(place);
    if axis.fit == Fit::Corrected {
        let worked = axis.before.unwrap_or(axis.after).worked.value();
        let old = axis.old.map_or(Arg::Nothing, |old| entry(along, old));
        notes.push(Note::plain(about(words::NOTE_CORRECTED).with("old", old).num("worked", steps(along), worked)));
    }
    if let Some(verdict) = axis.trial {
        notes.push(match (verdict.shown, verdict.gross) {
            (true, true) => Note::doubt(about(words::NOTE_TRIAL_GROSS)),
            (true, false) => Note::plain(about(words::NOTE_TRIAL_USE)),
            (false, _) => Note::plain(about(words::NOTE_TRIAL_LEAVE)),
        });
    }
}

/// Native against interpolated, in one line: for the busiest axis whose microsteps rise.
fn fill_in(view: &View<'_>, notes: &mut Vec<Note>) {
    let rises = |place: usize| {
        let axis = view.answer.axes.get(place)?;
        axis.before.filter(|before| before.microsteps < axis.after.microsteps)
    };
    let of_axis = view.answer.rates.iter().filter_map(|rate| match rate.who {
        Who::Axis(place) => Some((place, rate.before?, rate.after, rises(place)?)),
        Who::Diagonal | Who::Both | Who::All => None,
    });
    let count = |set: Setting| Arg::Number(Quantity::Count, f64::from(set.microsteps));
    let busiest = of_axis.reduce(|most, next| if next.2 > most.2 { next } else { most });
    if let Some((place, before, after, set)) = busiest {
        let said = say(words::NOTE_FILL_IN)
            .with("count", count(set))
            .with("rate", kilohertz(before))
            .with("axis", view.name(place))
            .with("more", kilohertz(after));
        notes.push(Note::plain(said));
    } else if let Some(set) = (0..view.answer.axes.len()).find_map(rises) {
        notes.push(Note::plain(say(words::NOTE_FILL_IN_PLAIN).with("count", count(set))));
    }
}

fn motor(view: &View<'_>, notes: &mut Vec<Note>) {
    match view.answer.coil {
        Some(Some(_)) => notes.push(Note::plain(words::NOTE_COIL)),
        Some(None) => notes.push(Note::doubt(words::NOTE_COIL_NEVER)),
        None => {}
    }
    let motor = &view.inputs.motor;
    if [motor.torque, motor.inertia, motor.inductance, motor.resistance].iter().any(Option::is_some) {
        notes.push(Note::plain(words::NOTE_ROUGH));
    }
    if view.answer.currents.is_some() {
        notes.push(Note::plain(words::NOTE_RATED));
    }
}
