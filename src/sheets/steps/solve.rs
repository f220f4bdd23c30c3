//! Steps per unit before and after, and what follows from them.

use super::Inputs;
use crate::formulas::FormulaError;
use crate::formulas::motion::{self, Coil, Drive, Exact, GearPair, Landing, Measure, Motor, USUAL_MICROSTEPS};
use crate::units::PlusMinus;

/// Up to this share of the worked-out value a typed old value counts as the same, written with fewer digits.
const SAME: f64 = 1e-4;
/// Up to this share it counts as corrected by measuring. Beyond, something else is wrong.
const CORRECTED: f64 = 0.05;
/// How near a whole number a guess must come, as a share of it.
const GUESS: f64 = 0.005;
/// From this pitch on, mm, a screw with several starts is questioned: the lead may have been typed as the pitch.
const COARSE_PITCH: f64 = 4.0;
/// Pitches, mm, on which thin screws with several starts are usual.
const FINE_PITCHES: std::ops::RangeInclusive<f64> = 1.5..=2.5;
/// mH in H.
const MILLI: f64 = 1e-3;
/// g·cm² in kg·m².
const GRAM_CM2: f64 = 1e-7;

/// What one motor drives.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// How a turn becomes travel.
    pub drive: Drive,
    /// Angle of a full step, degrees.
    pub step_angle: Exact,
    /// Gear pairs between the motor and the last shaft.
    pub gears: Vec<GearPair>,
    /// Microsteps now.
    pub now: Option<u32>,
    /// Microsteps after the change.
    pub after: Option<u32>,
    /// Top speed, mm/s or °/s.
    pub speed: Option<f64>,
    /// Steps per unit set now.
    pub old: Option<Exact>,
    /// An increment in use, mm or degrees.
    pub increment: Option<Exact>,
    /// A travel asked for and measured.
    pub trial: Option<Trial>,
}

/// A travel asked for and measured with the old setting, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trial {
    /// Asked for.
    pub asked: f64,
    /// Measured.
    pub measured: f64,
    /// The ± of the ruler.
    pub ruler: f64,
}

/// What travel is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Along {
    /// Millimetres.
    Millimetres,
    /// Degrees.
    Degrees,
}

impl Axis {
    /// What its travel is counted in.
    pub fn along(&self) -> Along {
        if self.drive == Drive::Turntable { Along::Degrees } else { Along::Millimetres }
    }

    fn motor(&self, microsteps: u32) -> Result<Motor, FormulaError> {
        Ok(Motor { step_angle: self.step_angle, microsteps, gear: motion::gear_ratio(&self.gears)? })
    }
}

/// The motor's data, taken as the same on every axis.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MotorData {
    /// The driver's current setting, A.
    pub current: Option<f64>,
    /// Whether that is the root mean square, not the peak.
    pub is_rms: bool,
    /// The share of it while standing.
    pub rest: Option<f64>,
    /// Supply, V.
    pub supply: Option<f64>,
    /// Coil resistance, Ω.
    pub resistance: Option<f64>,
    /// Coil inductance, mH.
    pub inductance: Option<f64>,
    /// Holding torque, N·m.
    pub torque: Option<f64>,
    /// Inertia of the rotor, g·cm².
    pub inertia: Option<f64>,
}

/// A number of steps per unit to enter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Entry {
    /// Exact.
    Exact(Measure),
    /// Corrected by a measured travel.
    Measured(PlusMinus<f64>),
}

impl Entry {
    /// The number.
    pub fn value(&self) -> f64 {
        match self {
            Self::Exact(measure) => measure.value(),
            Self::Measured(found) => found.value,
        }
    }
}

/// One microstep setting of an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// Microsteps per full step.
    pub microsteps: u32,
    /// The counts below and above that drivers usually have, where this is none of them.
    pub unusual: Option<Neighbours>,
    /// Steps per unit from the dimensions.
    pub worked: Measure,
    /// Travel of one microstep, mm or degrees.
    pub fine: f64,
    /// Torque of one microstep over the holding torque.
    pub torque: f64,
    /// Dead band to either side, microsteps.
    pub band: f64,
}

/// The usual microstep counts on either side of an unusual one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Neighbours {
    /// The next smaller one.
    pub below: u32,
    /// The next larger one, if there is any.
    pub above: Option<u32>,
}

/// How a typed old value fits the dimensions.
#[derive(Clone, Debug, PartialEq)]
pub enum Fit {
    /// None was typed.
    Untyped,
    /// It is the same.
    Same,
    /// It is near: corrected by measuring, and kept so.
    Corrected,
    /// It does not fit.
    Off {
        /// What would make it fit.
        guesses: Vec<Guess>,
        /// The new value if the old one is right as it stands.
        instead: Measure,
    },
}

/// What would make a typed old value fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Guess {
    /// So many microsteps now.
    Microsteps(u32),
    /// So many starts.
    Starts(u32),
    /// So many teeth.
    Teeth(u32),
    /// A full step of this angle, degrees.
    StepAngle(f64),
}

/// What a measured travel says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Verdict {
    /// The old value, corrected.
    pub corrected: PlusMinus<f64>,
    /// Whether the difference is larger than the ruler's ±.
    pub shown: bool,
    /// Whether it is too large for a correction.
    pub gross: bool,
}

/// What may be wrong with a screw's numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lead {
    /// Nothing.
    Plain,
    /// One start on a pitch where several are usual: are there really no more?
    OneStart,
    /// Several starts on a coarse pitch: is the pitch already the lead?
    PitchIsLead,
}

/// What was found for one axis.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisAnswer {
    /// Travel of one turn of the last shaft, mm or degrees.
    pub per_turn: Measure,
    /// Motor turns per turn of the last shaft.
    pub gear: Exact,
    /// Full steps per motor turn.
    pub full_steps: Exact,
    /// Travel of a full step, mm or degrees.
    pub full_step: Measure,
    /// How far the motor itself may be off, mm or degrees.
    pub error: f64,
    /// Dead band to either side, mm or degrees.
    pub band: f64,
    /// What is set now, when there is a change.
    pub before: Option<Setting>,
    /// What will be set; what is set now when nothing changes.
    pub after: Setting,
    /// Steps per unit set now, when there is a new value.
    pub old: Option<Entry>,
    /// Steps per unit to enter.
    pub new: Entry,
    /// How a typed old value fits.
    pub fit: Fit,
    /// Whether a screw's numbers are to be questioned.
    pub lead: Lead,
    /// Where the increment ends, and the increment.
    pub landing: Option<(Exact, Landing)>,
    /// What the measured travel says.
    pub trial: Option<Verdict>,
    /// Speed at the controller's limit, now.
    pub fastest_before: Option<f64>,
    /// Speed at the controller's limit, after.
    pub fastest: Option<f64>,
    /// Speed above which the coil current falls short.
    pub coil: Option<f64>,
    /// Speed at which the rotor swings at most; a load lowers it.
    pub swing: Option<f64>,
    /// Speed of mid-range roughness.
    pub mid_range: Option<f64>,
    /// Speeds of usual roughness by rule of thumb, from and to.
    pub rough: [(f64, f64); 2],
}

/// Which motor makes the steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Who {
    /// The motor of this axis, moving alone.
    Axis(usize),
    /// Each motor of the first two axes on a path at 45°; with crossed belts, the busier one.
    Diagonal,
    /// The busier motor of crossed belts while both axes go at their top speeds.
    Both,
    /// All motors together, each axis at its top speed.
    All,
}

/// A step rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    /// Whose.
    pub who: Who,
    /// The speed it goes with, mm/s or °/s.
    pub speed: f64,
    /// Now, 1/s.
    pub before: Option<f64>,
    /// After, 1/s.
    pub after: f64,
    /// What is left of the limit that applies, now.
    pub room_before: Option<f64>,
    /// What is left of the limit that applies.
    pub room: Option<f64>,
}

/// One way to read the current setting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Current {
    /// Peak, A.
    pub peak: f64,
    /// Root mean square, A.
    pub rms: f64,
    /// Heat in one motor, W.
    pub heat: Option<f64>,
    /// Heat while standing, W.
    pub rest: Option<f64>,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Axis by axis.
    pub axes: Vec<AxisAnswer>,
    /// The axes that are alike in everything typed, by place.
    pub alike: Vec<Vec<usize>>,
    /// New over old, when it is the same for every axis.
    pub times: Option<Exact>,
    /// Step rates.
    pub rates: Vec<Rate>,
    /// The place of the busiest single motor among the rates.
    pub busiest: Option<usize>,
    /// The current setting read as peak, and as root mean square.
    pub currents: Option<[Current; 2]>,
    /// The rate of full steps above which the coil current falls short; the inner `None`: it never gets there.
    pub coil: Option<Option<f64>>,
    /// The rate of full steps of mid-range roughness.
    pub mid_range: Option<f64>,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// Crossed belts need two axes that move in millimetres in the first two rows.
    CrossedAlone,
    /// Crossed belts whose two axes have different steps per millimetre.
    CrossedUnlike {
        /// Of the first.
        first: f64,
        /// Of the second.
        second: f64,
    },
    /// A formula has no value for this axis.
    Formula {
        /// Which, by place.
        axis: usize,
        /// Why.
        error: FormulaError,
    },
}

pub(super) fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
    let coil = match (inputs.motor.resistance, inputs.motor.inductance) {
        (Some(resistance), Some(inductance)) => Some(Coil { resistance, inductance: inductance * MILLI }),
        _ => None,
    };
    let whole = |error| Impossible::Formula { axis: 0, error };
    let currents = currents(&inputs.motor).map_err(whole)?;
    let peak = currents.map(|[as_peak, as_rms]| if inputs.motor.is_rms { as_rms.peak } else { as_peak.peak });
    let rise = match (coil, peak, inputs.motor.supply) {
        (Some(coil), Some(peak), Some(supply)) => Some(motion::current_limited_rate(coil, peak, supply).map_err(whole)?),
        _ => None,
    };
    let mid_range = coil.map(motion::mid_range_rate).transpose().map_err(whole)?;
    let mut axes = Vec::with_capacity(inputs.axes.len());
    for (place, axis) in inputs.axes.iter().enumerate() {
        let found = solve_axis(axis, inputs, rise.flatten(), mid_range);
        axes.push(found.map_err(|error| Impossible::Formula { axis: place, error })?);
    }
    if inputs.crossed {
        check_crossed(inputs, &axes)?;
    }
    let rates = rates(inputs, &axes).map_err(whole)?;
    let single = rates.iter().enumerate().filter(|(_, rate)| rate.who != Who::All);
    let busiest = single.reduce(|most, next| if next.1.after > most.1.after { next } else { most }).map(|(place, _)| place);
    Ok(Answer { alike: alike(&inputs.axes), times: times(&axes), rates, busiest, currents, coil: rise, mid_range, axes })
}

fn solve_axis(axis: &Axis, inputs: &Inputs, rise: Option<f64>, mid_range: Option<f64>) -> Result<AxisAnswer, FormulaError> {
    let per_turn = motion::travel_per_turn(axis.drive)?;
    let first = axis.now.or(axis.after).unwrap_or(1);
    let changed = axis.now.and(axis.after);
    let motor = axis.motor(first)?;
    let full_step = motion::full_step_travel(motor, per_turn)?;
    let friction = motion::dead_band(inputs.friction)?;
    let setting = |microsteps: u32| -> Result<Setting, FormulaError> {
        let worked = motion::steps_per_unit(Motor { microsteps, ..motor }, per_turn)?;
        Ok(Setting {
            microsteps,
            unusual: unusual(microsteps),
            worked,
            fine: 1.0 / worked.value(),
            torque: motion::microstep_torque(microsteps)?,
            band: friction * f64::from(microsteps),
        })
    };
    let before = setting(first)?;
    let after = setting(changed.unwrap_or(first))?;
    let fit = fit(axis, &before, &after)?;
    let base = axis.old.map_or(before.worked, Measure::plain);
    let mut new = match fit {
        Fit::Corrected => Measure::plain(motion::rescale(base.fraction, before.microsteps, after.microsteps)?).into(),
        Fit::Untyped | Fit::Same | Fit::Off { .. } => Entry::Exact(after.worked),
    };
    let trial = axis.trial.map(|trial| verdict(base.value(), trial)).transpose()?;
    if let Some(verdict) = trial.filter(|verdict| verdict.shown && !verdict.gross) {
        let scale = f64::from(after.microsteps) / f64::from(before.microsteps);
        new = Entry::Measured(PlusMinus::new(verdict.corrected.value * scale, verdict.corrected.half_width * scale));
    }
    let same = match fit {
        Fit::Same => before.worked,
        _ => base,
    };
    let old = Entry::Exact(same);
    let has_old = changed.is_some() || axis.old.is_some() || matches!(new, Entry::Measured(_));
    let old = has_old.then_some(old);
    let at_limit = |entry: Entry| inputs.limit.map(|limit| motion::top_speed(entry.value(), limit)).transpose();
    let speed_of = |rate: f64| rate * full_step.value();
    let swing = match (inputs.motor.torque, inputs.motor.inertia) {
        (Some(torque), Some(inertia)) => Some(motion::resonance(torque, 1.0, inertia * GRAM_CM2, decimal(axis.step_angle))?),
        _ => None,
    };
    Ok(AxisAnswer {
        per_turn,
        gear: motor.gear,
        full_steps: motion::full_steps_per_turn(axis.step_angle)?,
        full_step,
        error: motion::step_error(full_step.value())?,
        band: friction * full_step.value(),
        before: changed.map(|_| before),
        after,
        fastest_before: old.map(at_limit).transpose()?.flatten(),
        fastest: at_limit(new)?,
        old,
        new,
        fit,
        lead: lead(axis.drive),
        landing: match axis.increment {
            Some(increment) => Some((increment, motion::landing(increment, full_step, after.microsteps)?)),
            None => None,
        },
        trial,
        coil: rise.map(speed_of),
        swing: swing.map(speed_of),
        mid_range: mid_range.map(speed_of),
        rough: motion::ROUGH_RATES.map(|(from, to)| (speed_of(from), speed_of(to))),
    })
}

impl From<Measure> for Entry {
    fn from(measure: Measure) -> Self {
        Self::Exact(measure)
    }
}

/// The value of an exact fraction.
pub(super) fn decimal(fraction: Exact) -> f64 {
    Measure::plain(fraction).value()
}

fn unusual(microsteps: u32) -> Option<Neighbours> {
    let below = USUAL_MICROSTEPS.into_iter().filter(|usual| *usual < microsteps).max()?;
    let above = USUAL_MICROSTEPS.into_iter().filter(|usual| *usual >= microsteps).min();
    (above != Some(microsteps)).then_some(Neighbours { below, above })
}

fn lead(drive: Drive) -> Lead {
    match drive {
        Drive::Screw { pitch, starts } if starts > 1 && decimal(pitch) >= COARSE_PITCH => Lead::PitchIsLead,
        Drive::Screw { pitch, starts: 1 } if FINE_PITCHES.contains(&decimal(pitch)) => Lead::OneStart,
        _ => Lead::Plain,
    }
}

fn fit(axis: &Axis, before: &Setting, after: &Setting) -> Result<Fit, FormulaError> {
    let Some(old) = axis.old else { return Ok(Fit::Untyped) };
    let ratio = decimal(old) / before.worked.value();
    let off = (ratio - 1.0).abs();
    if off <= SAME {
        return Ok(Fit::Same);
    }
    if off <= CORRECTED {
        return Ok(Fit::Corrected);
    }
    let near = |value: f64, whole: f64| (value / whole - 1.0).abs() <= GUESS;
    let mut guesses = Vec::new();
    let wanted = f64::from(before.microsteps) * ratio;
    guesses.extend(USUAL_MICROSTEPS.into_iter().filter(|usual| near(wanted, f64::from(*usual))).map(Guess::Microsteps));
    match axis.drive {
        Drive::Screw { starts, .. } => {
            guesses.extend((1..=12).filter(|other| near(f64::from(starts) / ratio, f64::from(*other))).map(Guess::Starts));
        }
        Drive::Belt { teeth, .. } | Drive::Rack { teeth, .. } => {
            guesses.extend((8..=80).filter(|other| near(f64::from(teeth) / ratio, f64::from(*other))).map(Guess::Teeth));
        }
        Drive::Roller { .. } | Drive::Turntable | Drive::Other { .. } => {}
    }
    let angle = decimal(axis.step_angle) / ratio;
    guesses.extend([0.9, 1.8].into_iter().filter(|usual| near(angle, *usual)).map(Guess::StepAngle));
    let instead = Measure::plain(motion::rescale(old, before.microsteps, after.microsteps)?);
    Ok(Fit::Off { guesses, instead })
}

fn verdict(old: f64, trial: Trial) -> Result<Verdict, FormulaError> {
    let corrected = motion::calibrated(old, trial.asked, PlusMinus::new(trial.measured, trial.ruler))?;
    let gross = (trial.asked / trial.measured - 1.0).abs() > 2.0 * CORRECTED;
    Ok(Verdict { corrected, shown: (trial.asked - trial.measured).abs() > trial.ruler, gross })
}

fn check_crossed(inputs: &Inputs, axes: &[AxisAnswer]) -> Result<(), Impossible> {
    let ([one, two, ..], [first, second, ..]) = (inputs.axes.as_slice(), axes) else { return Err(Impossible::CrossedAlone) };
    if one.along() == Along::Degrees || two.along() == Along::Degrees {
        return Err(Impossible::CrossedAlone);
    }
    let (first, second) = (first.after.worked.value(), second.after.worked.value());
    if (first / second - 1.0).abs() > SAME {
        return Err(Impossible::CrossedUnlike { first, second });
    }
    Ok(())
}

fn rates(inputs: &Inputs, axes: &[AxisAnswer]) -> Result<Vec<Rate>, FormulaError> {
    let new: Vec<f64> = axes.iter().map(|axis| axis.new.value()).collect();
    let old: Vec<f64> = axes.iter().map(|axis| axis.old.unwrap_or(axis.new).value()).collect();
    let after = rates_at(inputs, &new)?;
    let before = rates_at(inputs, &old)?;
    let has_old = |who: Who| match who {
        Who::Axis(place) => axes.get(place).is_some_and(|axis| axis.old.is_some()),
        Who::Diagonal | Who::Both => axes.iter().take(2).all(|axis| axis.old.is_some()),
        Who::All => axes.iter().any(|axis| axis.old.is_some()),
    };
    let mut rates = Vec::with_capacity(after.len());
    for ((who, speed, after), (_, _, before)) in after.into_iter().zip(before) {
        let limit = if who == Who::All { inputs.total } else { inputs.limit };
        let room = |rate: f64| limit.map(|limit| motion::headroom(rate, limit)).transpose();
        let before = has_old(who).then_some(before);
        rates.push(Rate { who, speed, before, after, room_before: before.map(room).transpose()?.flatten(), room: room(after)? });
    }
    Ok(rates)
}

/// Who makes how many steps a second, at which speed, with these steps per unit.
fn rates_at(inputs: &Inputs, steps: &[f64]) -> Result<Vec<(Who, f64, f64)>, FormulaError> {
    let mut rates = Vec::new();
    let mut all = 0.0;
    for (place, (axis, steps)) in inputs.axes.iter().zip(steps).enumerate() {
        if let Some(speed) = axis.speed {
            let rate = motion::step_rate(*steps, speed)?;
            rates.push((Who::Axis(place), speed, rate));
            all += rate;
        }
    }
    let single = rates.len();
    if let ([one, two, ..], [first, second, ..]) = (inputs.axes.as_slice(), steps)
        && let (Some(along), Some(across)) = (one.speed, two.speed)
        && one.along() == Along::Millimetres
        && two.along() == Along::Millimetres
    {
        // No faster than the slower of the two allows at 45°.
        let path = inputs.path.map_or(along.min(across), |path| path.min(along.min(across) * std::f64::consts::SQRT_2));
        let each = motion::diagonal(path)?;
        if inputs.crossed {
            let (busy, _) = motion::crossed_belts(each, each)?;
            rates.push((Who::Diagonal, path, motion::step_rate(*first, busy)?));
            let (busy, idle) = motion::crossed_belts(along, across)?;
            if inputs.path.is_none() {
                rates.push((Who::Both, along.hypot(across), motion::step_rate(*first, busy)?));
            }
            all += motion::step_rate(*first, busy)? + motion::step_rate(*first, idle)?;
            all -= motion::step_rate(*first, along)? + motion::step_rate(*second, across)?;
        } else {
            let rate = motion::step_rate(*first, each)?.max(motion::step_rate(*second, each)?);
            rates.push((Who::Diagonal, path, rate));
        }
    }
    if single > 1 {
        rates.push((Who::All, 0.0, all));
    }
    Ok(rates)
}

fn currents(motor: &MotorData) -> Result<Option<[Current; 2]>, FormulaError> {
    let Some(typed) = motor.current else { return Ok(None) };
    let current = |peak: f64, rms: f64| -> Result<Current, FormulaError> {
        let heat = motor.resistance.map(|resistance| motion::sine_heat(resistance, peak)).transpose()?;
        let share = motor.rest.map(motion::heat_share).transpose()?;
        Ok(Current { peak, rms, heat, rest: heat.zip(share).map(|(heat, share)| heat * share) })
    };
    Ok(Some([current(typed, motion::rms_from_peak(typed)?)?, current(motion::peak_from_rms(typed)?, typed)?]))
}

fn alike(axes: &[Axis]) -> Vec<Vec<usize>> {
    let mut groups: Vec<(&Axis, Vec<usize>)> = Vec::new();
    for (place, axis) in axes.iter().enumerate() {
        match groups.iter_mut().find(|(first, _)| *first == axis) {
            Some((_, places)) => places.push(place),
            None => groups.push((axis, vec![place])),
        }
    }
    groups.into_iter().map(|(_, places)| places).collect()
}

/// New over old where every axis changes by nothing but the same ratio of microsteps.
fn times(axes: &[AxisAnswer]) -> Option<Exact> {
    let of = |axis: &AxisAnswer| {
        let by_count = Exact::new(i128::from(axis.after.microsteps), i128::from(axis.before?.microsteps));
        let (old, new) = (axis.old?.value(), axis.new.value());
        ((new / old / decimal(by_count) - 1.0).abs() < 1e-9).then_some(by_count)
    };
    let first = of(axes.first()?)?;
    axes.iter().all(|axis| of(axis) == Some(first)).then_some(first)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    fn whole(value: i128) -> Exact {
        Exact::from_integer(value)
    }

    fn axis(drive: Drive, now: u32, after: Option<u32>) -> Axis {
        Axis {
            drive,
            step_angle: Exact::new(9, 5),
            gears: Vec::new(),
            now: Some(now),
            after,
            speed: None,
            old: None,
            increment: None,
            trial: None,
        }
    }

    fn inputs(axes: Vec<Axis>) -> Inputs {
        Inputs {
            axes,
            names: Vec::new(),
            left_out: Vec::new(),
            half_pairs: Vec::new(),
            limit: None,
            total: None,
            path: None,
            crossed: false,
            friction: 0.1,
            motor: MotorData::default(),
        }
    }

    fn belt() -> Drive {
        Drive::Belt { pitch: whole(2), teeth: 20 }
    }

    fn screw(starts: u32) -> Drive {
        Drive::Screw { pitch: whole(2), starts }
    }

    fn only(axis: Axis) -> AxisAnswer {
        solve(&inputs(vec![axis])).unwrap().axes.remove(0)
    }

    #[test]
    fn a_new_driver_multiplies_every_value() {
        let answer = solve(&inputs(vec![axis(belt(), 16, Some(64)), axis(screw(4), 16, Some(64))])).unwrap();
        let new: Vec<f64> = answer.axes.iter().map(|axis| axis.new.value()).collect();
        assert_relative_eq!(new[0], 320.0);
        assert_relative_eq!(new[1], 1600.0);
        assert_eq!(answer.times, Some(whole(4)));
    }

    #[test]
    fn a_wheel_keeps_its_pi() {
        let mut feed = axis(Drive::Roller { diameter: whole(11) }, 16, None);
        feed.gears = vec![GearPair { driving: 17, driven: 51 }];
        let Entry::Exact(new) = only(feed).new else { panic!("an exact value") };
        assert_eq!(new, Measure { fraction: Exact::new(9600, 11), pi: -1 });
        assert_abs_diff_eq!(new.value(), 277.797_719, epsilon = 1e-6);
    }

    #[test]
    fn a_pitch_taken_for_the_lead_is_found_by_the_old_value() {
        let mut wrong = axis(screw(1), 16, Some(64));
        wrong.old = Some(whole(400));
        let found = only(wrong);
        let Fit::Off { guesses, instead } = &found.fit else { panic!("it does not fit: {:?}", found.fit) };
        assert!(guesses.contains(&Guess::Starts(4)), "{guesses:?}");
        assert_eq!(instead.fraction, whole(1600));
    }

    #[test]
    fn an_old_value_corrected_by_measuring_is_carried_over_exactly() {
        let mut near = axis(belt(), 16, Some(64));
        near.old = Some(Exact::new(803, 10));
        let found = only(near);
        assert_eq!(found.fit, Fit::Corrected);
        assert_eq!(found.new, Entry::Exact(Measure::plain(Exact::new(1606, 5))));
    }

    #[test]
    fn an_old_value_with_few_digits_becomes_exact_again() {
        let mut third = axis(Drive::Belt { pitch: whole(3), teeth: 20 }, 16, Some(32));
        third.old = Some(Exact::new(5333, 100));
        let found = only(third);
        assert_eq!(found.fit, Fit::Same);
        assert_eq!(found.new, Entry::Exact(Measure::plain(Exact::new(320, 3))));
    }

    #[test]
    fn a_ruler_shows_only_what_is_larger_than_its_own_error() {
        let mut tried = axis(belt(), 16, Some(64));
        tried.trial = Some(Trial { asked: 100.0, measured: 99.8, ruler: 0.5 });
        assert_eq!(only(tried.clone()).new, Entry::Exact(Measure::plain(whole(320))));
        tried.trial = Some(Trial { asked: 100.0, measured: 99.0, ruler: 0.5 });
        let Entry::Measured(new) = only(tried).new else { panic!("a corrected value") };
        assert_abs_diff_eq!(new.value, 32_000.0 / 99.0, epsilon = 1e-9);
        assert_abs_diff_eq!(new.half_width, 32_000.0 / 99.0 * 0.5 / 99.0, epsilon = 1e-9);
    }

    #[test]
    fn seven_full_steps_are_seven() {
        let mut fine = axis(screw(4), 16, None);
        fine.increment = Some(Exact::new(7, 25));
        let (_, landing) = only(fine).landing.unwrap();
        assert_eq!(landing.full_steps, Some(whole(7)));
        assert!(landing.on_full_step);
    }

    #[test]
    fn crossed_belts_add_both_speeds_on_one_motor() {
        let mut one = axis(belt(), 16, Some(64));
        one.speed = Some(250.0);
        let mut both = inputs(vec![one.clone(), one]);
        both.crossed = true;
        both.limit = Some(100_000.0);
        let answer = solve(&both).unwrap();
        let rate = |who: Who| answer.rates.iter().find(|rate| rate.who == who).unwrap().after;
        assert_relative_eq!(rate(Who::Axis(0)), 80_000.0);
        // 80 000 · √2 at 45°; both flat out: twice. One motor then stands, so both together need no more.
        assert_relative_eq!(rate(Who::Diagonal), 113_137.085, max_relative = 1e-8);
        assert_relative_eq!(rate(Who::Both), 160_000.0);
        assert_relative_eq!(rate(Who::All), 160_000.0);
        assert_eq!(answer.busiest.and_then(|place| answer.rates.get(place)).unwrap().who, Who::Both);
    }

    #[test]
    fn crossed_belts_need_two_axes_alike() {
        let mut one = inputs(vec![axis(belt(), 16, None)]);
        one.crossed = true;
        assert_eq!(solve(&one), Err(Impossible::CrossedAlone));
        one.axes.push(axis(screw(4), 16, None));
        assert!(matches!(solve(&one), Err(Impossible::CrossedUnlike { .. })));
    }

    #[test]
    fn usual_microsteps_are_not_questioned_and_others_are() {
        assert_eq!([1, 2, 4, 8, 16, 32, 64, 128, 256].map(unusual), [None; 9]);
        assert_eq!(unusual(48), Some(Neighbours { below: 32, above: Some(64) }));
        assert_eq!(unusual(300), Some(Neighbours { below: 256, above: None }));
    }

    #[test]
    fn a_current_can_mean_two_heats() {
        let mut with = inputs(vec![axis(belt(), 16, None)]);
        with.motor = MotorData { current: Some(1.2), resistance: Some(1.5), rest: Some(0.5), ..MotorData::default() };
        let [as_peak, as_rms] = solve(&with).unwrap().currents.unwrap();
        assert_abs_diff_eq!(as_peak.heat.unwrap(), 2.16, epsilon = 1e-9);
        assert_abs_diff_eq!(as_rms.heat.unwrap(), 4.32, epsilon = 1e-9);
        assert_abs_diff_eq!(as_peak.rest.unwrap(), 0.54, epsilon = 1e-9);
        assert_abs_diff_eq!(as_peak.rms, 0.8485, epsilon = 1e-4);
    }

    #[test]
    fn speeds_to_know_follow_the_full_step() {
        let mut with = inputs(vec![axis(belt(), 16, None)]);
        with.motor = MotorData {
            current: Some(1.2),
            supply: Some(24.0),
            resistance: Some(1.5),
            inductance: Some(2.8),
            torque: Some(0.4),
            inertia: Some(54.0),
            ..MotorData::default()
        };
        let found = solve(&with).unwrap().axes.remove(0);
        // 341.05 and 306.29 full steps a second, 0.2 mm each; 1/t of the coil is 6870.
        assert_abs_diff_eq!(found.mid_range.unwrap(), 68.21, epsilon = 0.01);
        assert_abs_diff_eq!(found.swing.unwrap(), 61.258, epsilon = 0.002);
        assert_abs_diff_eq!(found.coil.unwrap(), 1374.0, epsilon = 2.0);
        with.motor.supply = Some(1.0);
        assert_eq!(solve(&with).unwrap().coil, Some(None));
    }

    #[test]
    fn a_lead_is_questioned_by_its_pitch_and_starts() {
        let asked = |pitch: (i128, i128), starts| lead(Drive::Screw { pitch: Exact::new(pitch.0, pitch.1), starts });
        for (pitch, starts, expected) in [
            ((8, 1), 1, Lead::Plain),
            ((8, 1), 2, Lead::PitchIsLead),
            ((4, 1), 4, Lead::PitchIsLead),
            ((39, 10), 4, Lead::Plain),
            ((2, 1), 1, Lead::OneStart),
            ((2, 1), 4, Lead::Plain),
            ((14, 10), 1, Lead::Plain),
            ((15, 10), 1, Lead::OneStart),
            ((25, 10), 1, Lead::OneStart),
            ((26, 10), 1, Lead::Plain),
        ] {
            assert_eq!(asked(pitch, starts), expected, "{pitch:?} {starts}");
        }
        assert_eq!(lead(Drive::Turntable), Lead::Plain);
    }

    /// 80 from the dimensions: up to a share of 0.0001 the same, up to 0.05 corrected.
    #[test]
    fn an_old_value_fits_by_how_far_it_is_off() {
        let fit = |old: (i128, i128)| only(Axis { old: Some(Exact::new(old.0, old.1)), ..axis(belt(), 16, Some(64)) }).fit;
        for same in [(80_007, 1000), (79_993, 1000)] {
            assert_eq!(fit(same), Fit::Same, "{same:?}");
        }
        for near in [(80_009, 1000), (79_991, 1000), (839, 10), (761, 10)] {
            assert_eq!(fit(near), Fit::Corrected, "{near:?}");
        }
        for off in [(841, 10), (759, 10)] {
            assert!(matches!(fit(off), Fit::Off { .. }), "{off:?}");
        }
    }

    #[test]
    fn what_would_make_an_old_value_fit_is_within_half_a_percent() {
        let guesses = |drive, old: (i128, i128)| {
            let Fit::Off { guesses, .. } = only(Axis { old: Some(Exact::new(old.0, old.1)), ..axis(drive, 16, None) }).fit else {
                panic!()
            };
            guesses
        };
        // Twice as many: 32 microsteps, half the teeth or a motor of 0.9 degrees.
        assert_eq!(guesses(belt(), (160, 1)), [Guess::Microsteps(32), Guess::Teeth(10), Guess::StepAngle(0.9)]);
        assert_eq!(guesses(belt(), (40, 1)), [Guess::Microsteps(8), Guess::Teeth(40)]);
        assert_eq!(guesses(belt(), (100, 1)), [Guess::Teeth(16)]);
        assert_eq!(guesses(belt(), (1604, 10)), [Guess::Microsteps(32), Guess::Teeth(10), Guess::StepAngle(0.9)]);
        assert_eq!(guesses(belt(), (1612, 10)), []);
        assert_eq!(
            guesses(Drive::Rack { module: whole(1), teeth: 20 }, (102, 1)),
            [Guess::Microsteps(32), Guess::Teeth(10), Guess::StepAngle(0.9)]
        );
        assert_eq!(guesses(screw(2), (1600, 1)), [Guess::Microsteps(32), Guess::Starts(1), Guess::StepAngle(0.9)]);
        assert_eq!(guesses(Drive::Other { per_turn: whole(40) }, (40, 1)), [Guess::Microsteps(8)]);
    }

    #[test]
    fn a_measured_travel_is_shown_or_gross_by_the_ruler_and_by_a_tenth() {
        let verdict = |measured: f64| verdict(80.0, Trial { asked: 100.0, measured, ruler: 0.5 }).unwrap();
        for (measured, shown, gross) in [
            (99.75, false, false),
            (100.25, false, false),
            (99.25, true, false),
            (100.75, true, false),
            (91.5, true, false),
            (90.5, true, true),
            (111.5, true, true),
        ] {
            let found = verdict(measured);
            assert_eq!((found.shown, found.gross), (shown, gross), "{measured}");
        }
        assert!(!verdict(99.5).shown, "as large as the ruler's error");
        let gross = only(Axis { trial: Some(Trial { asked: 100.0, measured: 50.0, ruler: 0.5 }), ..axis(belt(), 16, Some(64)) });
        assert_eq!(gross.new, Entry::Exact(Measure::plain(whole(320))));
    }

    #[test]
    fn rates_and_what_is_left_of_the_limits() {
        let fast = |speed, after| Axis { speed: Some(speed), ..axis(belt(), 16, after) };
        let mut two = inputs(vec![fast(250.0, Some(64)), fast(100.0, None)]);
        (two.limit, two.total) = (Some(100_000.0), Some(200_000.0));
        let answer = solve(&two).unwrap();
        let rate = |answer: &Answer, who: Who| *answer.rates.iter().find(|rate| rate.who == who).unwrap();
        // 320 and 80 steps a mm. At 45° no faster than 100 mm/s, each axis 100/√2.
        let first = rate(&answer, Who::Axis(0));
        assert_eq!((first.speed, first.before, first.after), (250.0, Some(20_000.0), 80_000.0));
        assert_abs_diff_eq!(first.room_before.unwrap(), 0.8, epsilon = 1e-12);
        assert_abs_diff_eq!(first.room.unwrap(), 0.2, epsilon = 1e-12);
        let second = rate(&answer, Who::Axis(1));
        assert_eq!((second.before, second.after, second.room_before), (None, 8_000.0, None));
        let diagonal = rate(&answer, Who::Diagonal);
        assert_eq!((diagonal.speed, diagonal.before), (100.0, None));
        assert_abs_diff_eq!(diagonal.after, 22_627.417, epsilon = 1e-3);
        let all = rate(&answer, Who::All);
        assert_eq!((all.speed, all.before, all.after), (0.0, Some(28_000.0), 88_000.0));
        assert_abs_diff_eq!(all.room.unwrap(), 0.56, epsilon = 1e-12);
        assert_eq!(answer.busiest, Some(0));
        for (path, taken) in [(120.0, 120.0), (200.0, 141.421_356)] {
            let found = rate(&solve(&Inputs { path: Some(path), ..two.clone() }).unwrap(), Who::Diagonal);
            assert_abs_diff_eq!(found.speed, taken, epsilon = 1e-6);
            assert_abs_diff_eq!(found.after, 320.0 * taken / 2_f64.sqrt(), epsilon = 1e-3);
        }
        let mut turned = two.clone();
        turned.axes[1].drive = Drive::Turntable;
        assert!(solve(&turned).unwrap().rates.iter().all(|rate| rate.who != Who::Diagonal), "degrees have no diagonal with millimetres");
        turned.axes.swap(0, 1);
        assert!(solve(&turned).unwrap().rates.iter().all(|rate| rate.who != Who::Diagonal));
        two.axes.pop();
        assert!(solve(&two).unwrap().rates.iter().all(|rate| rate.who == Who::Axis(0)), "one axis has no sum of all");
    }

    #[test]
    fn crossed_belts_with_different_speeds() {
        let fast = |speed| Axis { speed: Some(speed), ..axis(belt(), 16, None) };
        let mut both = inputs(vec![fast(250.0), fast(100.0), fast(10.0)]);
        both.crossed = true;
        let answer = solve(&both).unwrap();
        let rate = |who: Who| answer.rates.iter().find(|rate| rate.who == who).unwrap();
        // 80 steps a mm: the busier motor makes the sum of both speeds, the other one their difference.
        assert_abs_diff_eq!(rate(Who::Both).after, 80.0 * 350.0, epsilon = 1e-9);
        assert_abs_diff_eq!(rate(Who::Both).speed, 269.258_240, epsilon = 1e-6);
        assert_abs_diff_eq!(rate(Who::Diagonal).after, 80.0 * 100.0 * 2_f64.sqrt(), epsilon = 1e-9);
        assert_abs_diff_eq!(rate(Who::All).after, 80.0 * (350.0 + 150.0 + 10.0), epsilon = 1e-9);
        both.path = Some(120.0);
        assert!(solve(&both).unwrap().rates.iter().all(|rate| rate.who != Who::Both));
        both.axes[0].drive = Drive::Turntable;
        assert_eq!(solve(&both), Err(Impossible::CrossedAlone));
        both.axes.swap(0, 1);
        assert_eq!(solve(&both), Err(Impossible::CrossedAlone));
    }

    #[test]
    fn fineness_torque_and_dead_band_of_a_setting() {
        let mut with = inputs(vec![axis(belt(), 16, Some(64))]);
        with.limit = Some(100_000.0);
        let found = solve(&with).unwrap().axes.remove(0);
        let before = found.before.unwrap();
        // sin(90°/16), sin(90°/64); asin(0.1)/90° = 0.063 768 6 of a full step of 0.2 mm.
        assert_abs_diff_eq!(before.torque, 0.098_017_14, epsilon = 1e-8);
        assert_abs_diff_eq!(found.after.torque, 0.024_541_23, epsilon = 1e-8);
        assert_abs_diff_eq!(before.band, 1.020_297, epsilon = 1e-6);
        assert_abs_diff_eq!(found.after.band, 4.081_187, epsilon = 1e-6);
        assert_abs_diff_eq!(found.band, 0.012_753_7, epsilon = 1e-7);
        assert_abs_diff_eq!(found.after.fine, 1.0 / 320.0, epsilon = 1e-12);
        assert_abs_diff_eq!(found.fastest_before.unwrap(), 1250.0, epsilon = 1e-9);
        assert_abs_diff_eq!(found.fastest.unwrap(), 312.5, epsilon = 1e-9);
        for (found, expected) in found.rough.into_iter().zip([(20.0, 50.0), (100.0, 300.0)]) {
            assert_abs_diff_eq!(found.0, expected.0, epsilon = 1e-9);
            assert_abs_diff_eq!(found.1, expected.1, epsilon = 1e-9);
        }
        let unchanged = solve(&inputs(vec![axis(belt(), 16, None)])).unwrap().axes.remove(0);
        assert!(unchanged.before.is_none() && unchanged.old.is_none() && unchanged.fastest.is_none());
    }

    #[test]
    fn axes_alike_are_grouped_and_a_common_factor_is_common_to_all() {
        let (one, other) = (axis(belt(), 16, Some(64)), axis(screw(4), 16, Some(32)));
        let answer = solve(&inputs(vec![one.clone(), other, one.clone()])).unwrap();
        assert_eq!(answer.alike, [vec![0, 2], vec![1]]);
        assert_eq!(answer.times, None);
        let corrected = Axis { old: Some(Exact::new(803, 10)), ..one.clone() };
        assert_eq!(solve(&inputs(vec![one.clone(), corrected])).unwrap().times, Some(whole(4)));
        let wrong = Axis { old: Some(whole(160)), ..one };
        assert_eq!(solve(&inputs(vec![wrong])).unwrap().times, None);
    }
}
