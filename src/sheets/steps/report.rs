//! The words of the answer.

use super::solve::{self, Along, Answer, AxisAnswer, Entry, Fit, Guess, Impossible, Rate, Who};
use super::{Inputs, Name, notes, tables, words, working};
use crate::calc::draft::Path;
use crate::calc::quantity::Quantity;
use crate::calc::report::{Amount, Refusal, Report, Value};
use crate::formulas::FormulaError;
use crate::formulas::motion::{Exact, Measure};
use crate::text::{Arg, Msg, Said, say};

const NEW_IDS: [&str; 6] = ["new1", "new2", "new3", "new4", "new5", "new6"];

/// Inputs and answer side by side, with the small phrases that all parts of the report share.
pub(super) struct View<'a> {
    pub(super) inputs: &'a Inputs,
    pub(super) answer: &'a Answer,
}

pub(super) fn name(name: &Name) -> Arg {
    if name.typed.is_empty() {
        say(words::AXIS_NUMBER).num("number", Quantity::Count, crate::units::count_to_f64(name.ordinal)).into()
    } else {
        Arg::Typed(name.typed.clone())
    }
}

pub(super) fn steps(along: Along) -> Quantity {
    match along {
        Along::Millimetres => Quantity::StepsPerMillimetre,
        Along::Degrees => Quantity::StepsPerDegree,
    }
}

/// A small travel: µm, or degrees.
pub(super) fn fine(along: Along, value: f64) -> (Quantity, f64) {
    match along {
        Along::Millimetres => (Quantity::Travel, value * 1000.0),
        Along::Degrees => (Quantity::Angle, value),
    }
}

/// A travel with every digit it has, mm or degrees.
pub(super) fn travel(along: Along, value: f64) -> Arg {
    let msg = match along {
        Along::Millimetres => words::IN_MM,
        Along::Degrees => words::IN_DEGREES,
    };
    say(msg).num("number", Quantity::Plain, value).into()
}

/// A value rounded to so many digits, for what is known no better.
pub(super) fn about(value: f64, digits: f64) -> f64 {
    if value <= 0.0 {
        return value;
    }
    let places = 10_f64.powf(digits - 1.0 - value.log10().floor());
    (value * places).round() / places
}

/// A speed: mm/s, or turns a minute.
pub(super) fn speed(along: Along, value: f64) -> (Quantity, f64) {
    match along {
        Along::Millimetres => (Quantity::Speed, value),
        Along::Degrees => (Quantity::Rotation, value / 6.0),
    }
}

pub(super) fn number((quantity, value): (Quantity, f64)) -> Arg {
    Arg::Number(quantity, value)
}

pub(super) fn kilohertz(rate: f64) -> Arg {
    Arg::Number(Quantity::StepRate, rate / 1000.0)
}

/// A ± rounded to two digits, and its value to the same place.
pub(super) fn earned(value: f64, half_width: f64) -> (f64, f64) {
    if half_width <= 0.0 {
        return (value, half_width);
    }
    let places = 10_f64.powf(1.0 - half_width.log10().floor());
    ((value * places).round() / places, (half_width * places).round() / places)
}

pub(super) fn entry(along: Along, entry: Entry) -> Arg {
    match entry {
        Entry::Exact(measure) => Arg::Number(steps(along), measure.value()),
        Entry::Measured(found) => {
            let (value, half_width) = earned(found.value, found.half_width);
            Arg::PlusMinus(steps(along), value, half_width)
        }
    }
}

/// An exact number as people write fractions: the top, and what is below the line. `None` for more digits than anyone reads.
pub(super) fn fraction(measure: Measure) -> Option<String> {
    let top = i64::try_from(*measure.fraction.numer()).ok()?.to_string();
    let bottom = i64::try_from(*measure.fraction.denom()).ok()?;
    let below = if bottom == 1 { String::new() } else { bottom.to_string() };
    Some(match (measure.pi, bottom) {
        (0, 1) => top,
        (0, _) => top + "/" + &below,
        (1, 1) => top + "·π",
        (1, _) => top + "·π/" + &below,
        (_, 1) => top + "/π",
        _ => top + "/(" + &below + "·π)",
    })
}

/// A fraction, where it is short enough to write.
pub(super) fn fraction_arg(measure: Measure) -> Arg {
    fraction(measure).map_or(Arg::Nothing, Arg::Typed)
}

/// "four times the old value".
fn times_words(times: Exact) -> Arg {
    let common = match (*times.numer(), *times.denom()) {
        (2, 1) => Some(words::TWICE),
        (3, 1) => Some(words::THREE_TIMES),
        (4, 1) => Some(words::FOUR_TIMES),
        (8, 1) => Some(words::EIGHT_TIMES),
        (16, 1) => Some(words::SIXTEEN_TIMES),
        (1, 2) => Some(words::HALF),
        (1, 4) => Some(words::QUARTER),
        (1, 8) => Some(words::EIGHTH),
        (1, 16) => Some(words::SIXTEENTH),
        _ => None,
    };
    match common {
        Some(words) => words.into(),
        None => say(words::OTHER_TIMES).num("number", Quantity::Plain, solve::decimal(times)).into(),
    }
}

impl View<'_> {
    pub(super) fn name(&self, place: usize) -> Arg {
        self.inputs.names.get(place).map_or(Arg::Nothing, name)
    }

    pub(super) fn names(&self, places: &[usize]) -> Arg {
        match places {
            [only] => self.name(*only),
            _ => Arg::List(places.iter().map(|place| self.name(*place)).collect()),
        }
    }

    pub(super) fn along(&self, place: usize) -> Along {
        self.inputs.axes.get(place).map_or(Along::Millimetres, solve::Axis::along)
    }

    pub(super) fn axes(&self) -> impl Iterator<Item = (usize, Along, &AxisAnswer)> {
        self.answer.axes.iter().enumerate().map(|(place, axis)| (place, self.along(place), axis))
    }

    /// The axes whose value is the same, in order.
    pub(super) fn grouped<T: PartialEq>(&self, of: impl Fn(Along, &AxisAnswer) -> T) -> Vec<(T, Along, Vec<usize>)> {
        let mut groups: Vec<(T, Along, Vec<usize>)> = Vec::new();
        for (place, along, axis) in self.axes() {
            let value = of(along, axis);
            match groups.iter_mut().find(|(other, unit, _)| *other == value && *unit == along) {
                Some((_, _, places)) => places.push(place),
                None => groups.push((value, along, vec![place])),
            }
        }
        groups
    }

    /// The first axis of each group of axes that are alike in everything typed, and the group.
    pub(super) fn alike(&self) -> impl Iterator<Item = (&AxisAnswer, Along, &[usize])> {
        self.answer.alike.iter().filter_map(|places| {
            let first = *places.first()?;
            Some((self.answer.axes.get(first)?, self.along(first), places.as_slice()))
        })
    }

    pub(super) fn pair(&self) -> Arg {
        self.names(&[0, 1])
    }

    /// Whose rate it is, inside a sentence.
    pub(super) fn who(&self, who: Who) -> Arg {
        match who {
            Who::Axis(place) => self.name(place),
            Who::Diagonal => say(words::WHO_DIAGONAL).with("axes", self.pair()).into(),
            Who::Both => say(words::WHO_BOTH).with("axes", self.pair()).into(),
            Who::All => words::WHO_ALL.into(),
        }
    }

    /// The same at the start of a sentence.
    pub(super) fn who_first(&self, who: Who) -> Arg {
        match who {
            Who::Diagonal => say(words::DIAGONAL_CAPITAL).with("axes", self.pair()).into(),
            Who::Both => say(words::BOTH_CAPITAL).with("axes", self.pair()).into(),
            Who::All => words::ALL_CAPITAL.into(),
            Who::Axis(_) => self.who(who),
        }
    }

    /// The speed a rate goes with.
    pub(super) fn rate_speed(&self, rate: &Rate, value: f64) -> Arg {
        let along = if let Who::Axis(place) = rate.who { self.along(place) } else { Along::Millimetres };
        number(speed(along, value))
    }

    /// The speed at which a rate would be at the limit.
    pub(super) fn speed_at_limit(&self, rate: &Rate) -> Arg {
        let limit = self.inputs.limit.unwrap_or(rate.after);
        self.rate_speed(rate, rate.speed * limit / rate.after)
    }

    pub(super) fn busiest(&self) -> Option<&Rate> {
        self.answer.rates.get(self.answer.busiest?)
    }

    pub(super) fn all(&self) -> Option<&Rate> {
        self.answer.rates.iter().find(|rate| rate.who == Who::All)
    }

    pub(super) fn limit(&self) -> Arg {
        self.inputs.limit.map_or(Arg::Nothing, kilohertz)
    }

    /// "3.13 µm on X and Y and 5 µm on Z"; "3.13 µm" where that is all there is to tell.
    pub(super) fn fine_list(&self, wanted: Option<Along>) -> Arg {
        self.list(wanted, words::FINE_ALONE, words::FINE_ITEM, |along, axis| fine(along, axis.after.fine))
    }

    /// "±10 µm on X and Y and ±2 µm on Z"; "±10 µm" where that is all there is to tell.
    pub(super) fn error_list(&self, wanted: Option<Along>) -> Arg {
        self.list(wanted, words::ERROR_ALONE, words::ERROR_ITEM, |along, axis| fine(along, about(axis.error, 2.0)))
    }

    fn list(&self, wanted: Option<Along>, alone: Msg, item: Msg, of: impl Fn(Along, &AxisAnswer) -> (Quantity, f64)) -> Arg {
        let mut groups = self.grouped(of);
        groups.retain(|(_, along, _)| wanted.is_none_or(|wanted| *along == wanted));
        let msg = if groups.len() == 1 && wanted.is_none() { alone } else { item };
        let item = |(value, _, places): ((Quantity, f64), Along, Vec<usize>)| {
            say(msg).with("value", number(value)).with("axes", self.names(&places)).into()
        };
        Arg::List(groups.into_iter().map(item).collect())
    }

    fn first(&self) -> Said {
        let groups = self.grouped(|_, axis| axis.new);
        let items = groups
            .into_iter()
            .map(|(new, along, places)| say(words::ENTRY).with("value", entry(along, new)).with("axes", self.names(&places)).into());
        let list = Arg::List(items.collect());
        let one = Exact::from_integer(1);
        if self.answer.axes.iter().all(|axis| axis.old.is_none()) {
            return say(words::SET).with("list", list);
        }
        match self.answer.times {
            Some(times) if times == one => say(words::KEEP).with("list", list),
            Some(times) => say(words::ENTER_TIMES).with("list", list).with("times", times_words(times)),
            None => say(words::ENTER).with("list", list),
        }
    }

    /// The places of the axes for which this holds.
    fn which(&self, holds: impl Fn(&AxisAnswer) -> bool) -> Vec<usize> {
        self.axes().filter(|(_, _, axis)| holds(axis)).map(|(place, ..)| place).collect()
    }

    fn headline(&self) -> Said {
        let mut first = self.first();
        let doubtful = [
            (words::CHECK_MEASURED, self.which(|axis| axis.trial.is_some_and(|verdict| verdict.gross))),
            (words::CHECK_OLD, self.which(|axis| matches!(axis.fit, Fit::Off { .. }))),
        ];
        for (msg, places) in doubtful.into_iter().filter(|(_, places)| !places.is_empty()) {
            first = say(msg).with("axes", self.names(&places)).with("first", first);
        }
        let Some(rate) = self.busiest() else {
            return say(words::HEAD_PLAIN).with("first", first).with("fine", self.fine_list(None));
        };
        if let (Some(all), Some(total)) = (self.all(), self.inputs.total)
            && all.room.is_some_and(|room| room < 0.0)
            && rate.room.is_none_or(|room| room >= 0.0)
        {
            let said = say(words::HEAD_OVER_ALL).with("first", first);
            return said.with("rate", kilohertz(all.after)).with("limit", kilohertz(total));
        }
        let msg = match rate.room {
            None => words::HEAD_RATE,
            Some(room) if room >= 0.0 => words::HEAD_ROOM,
            Some(_) => words::HEAD_OVER,
        };
        say(msg)
            .with("first", first)
            .with("who", self.who(rate.who))
            .with("rate", kilohertz(rate.after))
            .with("limit", self.limit())
            .with("speed", self.speed_at_limit(rate))
    }

    fn support(&self) -> Vec<Said> {
        let mut support = Vec::new();
        if self.busiest().is_some() {
            support.push(say(words::SUPPORT_FINE).with("fine", self.fine_list(None)).with("error", self.error_list(None)));
        } else {
            support.push(say(words::SUPPORT_ERROR).with("error", self.error_list(None)));
        }
        support.extend(self.axes().filter_map(|(place, along, axis)| self.off(place, along, axis)));
        support
    }

    /// What to say when a typed old value does not fit.
    fn off(&self, place: usize, along: Along, axis: &AxisAnswer) -> Option<Said> {
        let Fit::Off { guesses, instead } = &axis.fit else { return None };
        let guess = |guess: &Guess| {
            let count = |msg, number: u32| say(msg).num("number", Quantity::Count, f64::from(number)).into();
            match *guess {
                Guess::Microsteps(number) => count(words::GUESS_MICROSTEPS, number),
                Guess::Starts(number) => count(words::GUESS_STARTS, number),
                Guess::Teeth(number) => count(words::GUESS_TEETH, number),
                Guess::StepAngle(angle) => say(words::GUESS_ANGLE).num("angle", Quantity::Angle, angle).into(),
            }
        };
        let list = Arg::List(guesses.iter().map(guess).collect());
        let guesses = match guesses.len() {
            0 => Arg::Typed(String::new()),
            1 => say(words::NOTE_OFF_GUESS).with("list", list).into(),
            _ => say(words::NOTE_OFF_GUESSES).with("list", list).into(),
        };
        let worked = axis.before.unwrap_or(axis.after).worked.value();
        Some(
            say(words::NOTE_OFF)
                .with("axis", self.name(place))
                .with("old", axis.old.map_or(Arg::Nothing, |old| entry(along, old)))
                .num("worked", steps(along), worked)
                .with("guesses", guesses)
                .num("instead", steps(along), instead.value()),
        )
    }

    fn values(&self) -> Vec<Value> {
        let mut values = Vec::new();
        for ((place, along, axis), id) in self.axes().zip(NEW_IDS) {
            let old = axis.old.map(|old| entry(along, old));
            let (amount, note) = match axis.new {
                Entry::Exact(measure) => {
                    let is_whole = measure.pi == 0 && measure.fraction.is_integer();
                    let note = match (old, fraction(measure).filter(|_| !is_whole)) {
                        (Some(old), None) => Some(say(words::WAS).with("old", old)),
                        (Some(old), Some(exact)) => Some(say(words::EXACTLY_WAS).typed("fraction", exact).with("old", old)),
                        (None, None) => None,
                        (None, Some(exact)) => Some(say(words::EXACTLY).typed("fraction", exact)),
                    };
                    (Amount::Exact(measure.value()), note)
                }
                Entry::Measured(found) => {
                    let (value, half_width) = earned(found.value, found.half_width);
                    let note = say(words::BY_MEASURING).with("old", old.unwrap_or(Arg::Nothing));
                    (Amount::PlusMinus(value, half_width), Some(note))
                }
            };
            let mut value = Value::new(id, say(words::NEW_VALUE).with("axis", self.name(place)), steps(along), amount);
            value.note = note;
            values.push(value);
        }
        if let Some(rate) = self.busiest() {
            let label = say(words::BUSIEST).with("who", self.who(rate.who));
            values.push(Value::new("rate", label, Quantity::StepRate, Amount::Exact(rate.after / 1000.0)));
            if let Some(room) = rate.room {
                values.push(Value::new("room", words::ROOM, Quantity::Share, Amount::Exact(room)));
            }
        }
        if let Some(all) = self.all() {
            values.push(Value::new("all", words::ALL_RATE, Quantity::StepRate, Amount::Exact(all.after / 1000.0)));
            if let Some(room) = all.room {
                values.push(Value::new("roomall", words::ROOM_ALL, Quantity::Share, Amount::Exact(room)));
            }
        }
        values
    }
}

pub(super) fn report(inputs: &Inputs, answer: &Answer) -> Report {
    let view = View { inputs, answer };
    let mut report = Report::new(view.headline());
    report.support = view.support();
    report.values = view.values();
    report.tables = tables::tables(&view);
    report.pictures = tables::pictures(&view);
    report.notes = notes::notes(&view);
    report.working = working::working(&view);
    report
}

pub(super) fn refuse(inputs: &Inputs, impossible: &Impossible) -> Refusal {
    let named = |place: usize| inputs.names.get(place).map_or(Arg::Nothing, name);
    let crossed = vec![Path::field(super::CROSSED.key)];
    let (said, paths) = match *impossible {
        Impossible::CrossedAlone => (words::REFUSE_CROSSED_ALONE.into(), crossed),
        Impossible::CrossedUnlike { first, second } => {
            let said = say(words::REFUSE_CROSSED_UNLIKE)
                .with("first", named(0))
                .with("second", named(1))
                .num("one", Quantity::StepsPerMillimetre, first)
                .num("two", Quantity::StepsPerMillimetre, second);
            (said, crossed)
        }
        Impossible::Formula { axis, error } => {
            let msg = if error == FormulaError::TooLong { words::REFUSE_FORMULA } else { words::REFUSE_RANGE };
            (say(msg).with("axis", named(axis)), Vec::new())
        }
    };
    Refusal { said, paths }
}
