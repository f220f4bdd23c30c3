//! Stepper motors and what they drive: steps per millimetre or degree, step rates, torque and heat.
//!
//! Steps per unit are kept as exact fractions ([`Exact`]), with a factor of π where a rack, roller or wheel brings one in
//! ([`Measure`]), so that seven full steps are seven and not 7.000000001.

use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

use num_traits::{CheckedDiv, CheckedMul};

use super::error::{FormulaError, finite, half_width, positive, within};
use crate::units::PlusMinus;

/// An exact fraction.
pub type Exact = num_rational::Ratio<i128>;

/// What one motor step may be off, as a share of a full step: 5 %, unloaded, not adding up over many steps.
pub const STEP_ACCURACY: f64 = 0.05;

/// The microstep counts that drivers usually have. Common practice, no source.
pub const USUAL_MICROSTEPS: [u32; 9] = [1, 2, 4, 8, 16, 32, 64, 128, 256];

/// Rates of full steps, 1/s, at which motors often run rough: the swing about a step, and mid-range. From memory; a broad
/// hint, since published ranges differ widely.
pub const ROUGH_RATES: [(f64, f64); 2] = [(100.0, 250.0), (500.0, 1500.0)];

/// The most microsteps per full step taken.
const MOST_MICROSTEPS: u32 = 65_536;

/// Whole numbers up to this are exact in a double: 2^53.
const MOST_EXACT: f64 = 9_007_199_254_740_992.0;

/// Temperature coefficient of copper at 20 °C, 1/K. From memory.
pub const COPPER_COEFFICIENT: f64 = 0.003_93;

fn times(a: Exact, b: Exact) -> Result<Exact, FormulaError> {
    a.checked_mul(&b).ok_or(FormulaError::TooLong)
}

fn over(a: Exact, b: Exact) -> Result<Exact, FormulaError> {
    a.checked_div(&b).ok_or(FormulaError::TooLong)
}

fn whole(count: u32) -> Exact {
    Exact::from_integer(i128::from(count))
}

/// The nearest floating-point number of an exact fraction, to the last digit or so.
#[expect(clippy::cast_precision_loss, reason = "rounding is what is asked for")]
fn rounded(value: Exact) -> f64 {
    *value.numer() as f64 / *value.denom() as f64
}

fn above_zero(what: &'static str, value: Exact) -> Result<Exact, FormulaError> {
    positive(what, rounded(value))?;
    Ok(value)
}

fn counted(what: &'static str, count: u32, most: u32) -> Result<Exact, FormulaError> {
    within(what, f64::from(count), 1.0, f64::from(most))?;
    Ok(whole(count))
}

/// The exact fraction of a decimal number as it was typed: 1.8 is 9/5.
///
/// | name    | meaning                                      | unit | valid                         |
/// |---------|----------------------------------------------|------|-------------------------------|
/// | `value` | a number that was read from decimal digits   | any  | −1e15 to 1e15, to 15 decimals |
///
/// Of all numbers that round to `value` the one with the fewest decimals is taken.
///
/// # Errors
///
/// [`FormulaError::NotFinite`], [`FormulaError::OutOfRange`]; [`FormulaError::TooLong`] beyond 15 decimals.
///
/// # Source
///
/// Definition of decimal notation.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Exact, exact};
///
/// assert_eq!(exact(1.8), Ok(Exact::new(9, 5)));
///
/// assert!(exact(f64::NAN).is_err());
/// ```
pub fn exact(value: f64) -> Result<Exact, FormulaError> {
    within("the number", value, -1e15, 1e15)?;
    let (mut scale, mut decimals) = (1.0, 0);
    loop {
        let digits = (value * scale).round();
        // Beyond 2^53 a double holds no more digits; up to there the one division reads back what was typed.
        if digits.abs() > MOST_EXACT {
            return Err(FormulaError::TooLong);
        }
        #[expect(clippy::float_cmp, reason = "the question is whether these digits read back as this very number")]
        if digits / scale == value {
            #[expect(clippy::cast_possible_truncation, reason = "whole and below 2^53")]
            return Ok(Exact::new(digits as i128, 10_i128.pow(decimals)));
        }
        if decimals == 15 {
            return Err(FormulaError::TooLong);
        }
        decimals += 1;
        scale *= 10.0;
    }
}

/// An exact fraction times a power of π.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measure {
    /// The fraction.
    pub fraction: Exact,
    /// The power of π: 0 for belts and screws, 1 or −1 where a circumference comes in.
    pub pi: i32,
}

impl Measure {
    /// A fraction without π.
    pub const fn plain(fraction: Exact) -> Self {
        Self { fraction, pi: 0 }
    }

    /// The value as a decimal number.
    pub fn value(&self) -> f64 {
        rounded(self.fraction) * PI.powi(self.pi)
    }

    fn times(self, by: Exact) -> Result<Self, FormulaError> {
        Ok(Self { fraction: times(self.fraction, by)?, pi: self.pi })
    }

    fn into(self, of: Exact) -> Result<Self, FormulaError> {
        Ok(Self { fraction: over(of, self.fraction)?, pi: -self.pi })
    }
}

/// How a turn becomes travel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drive {
    /// A toothed belt on a pulley.
    Belt {
        /// Tooth pitch, mm.
        pitch: Exact,
        /// Teeth of the pulley.
        teeth: u32,
    },
    /// A screw. Its lead is pitch times starts.
    Screw {
        /// Thread pitch, mm.
        pitch: Exact,
        /// Number of starts.
        starts: u32,
    },
    /// A rack and pinion.
    Rack {
        /// Module, mm.
        module: Exact,
        /// Teeth of the pinion.
        teeth: u32,
    },
    /// A roller or feed wheel.
    Roller {
        /// Effective diameter, mm.
        diameter: Exact,
    },
    /// A turntable: the travel is in degrees, 360 to a turn.
    Turntable,
    /// Any other drive.
    Other {
        /// Travel per turn, mm or degrees.
        per_turn: Exact,
    },
}

/// What one turn of the last shaft moves, mm (degrees for a turntable).
///
/// Belt `pitch·teeth`, screw `pitch·starts` (the lead), rack `π·m·z`, roller `π·d`, turntable 360
///
/// | name       | meaning                     | unit  | valid                             |
/// |------------|-----------------------------|-------|-----------------------------------|
/// | `drive`    | see [`Drive`]               | mm, 1 | lengths 1e-12 to 1e12, teeth 1 to 10000, starts 1 to 100 |
///
/// # Errors
///
/// [`FormulaError::OutOfRange`], [`FormulaError::TooLong`].
///
/// # Source
///
/// Plain geometry.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Drive, Exact, travel_per_turn};
///
/// let belt = Drive::Belt { pitch: Exact::from_integer(2), teeth: 20 };
/// assert_eq!(travel_per_turn(belt).unwrap().fraction, Exact::from_integer(40));
///
/// assert!(travel_per_turn(Drive::Belt { pitch: Exact::from_integer(2), teeth: 0 }).is_err());
/// ```
pub fn travel_per_turn(drive: Drive) -> Result<Measure, FormulaError> {
    let (fraction, pi) = match drive {
        Drive::Belt { pitch, teeth } => (times(above_zero("the belt pitch", pitch)?, counted("the number of teeth", teeth, 10_000)?)?, 0),
        Drive::Screw { pitch, starts } => {
            (times(above_zero("the thread pitch", pitch)?, counted("the number of starts", starts, 100)?)?, 0)
        }
        Drive::Rack { module, teeth } => (times(above_zero("the module", module)?, counted("the number of teeth", teeth, 10_000)?)?, 1),
        Drive::Roller { diameter } => (above_zero("the diameter", diameter)?, 1),
        Drive::Turntable => (whole(360), 0),
        Drive::Other { per_turn } => (above_zero("the travel per turn", per_turn)?, 0),
    };
    Ok(Measure { fraction, pi })
}

/// A pair of gears or pulleys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GearPair {
    /// Teeth on the motor's side.
    pub driving: u32,
    /// Teeth on the far side.
    pub driven: u32,
}

/// Motor turns for one turn of the last shaft, through all pairs.
///
/// `G = Π (driven/driving)`
///
/// | name    | meaning         | unit | valid             |
/// |---------|-----------------|------|-------------------|
/// | `pairs` | gear pairs      | 1    | teeth 1 to 10000  |
///
/// No pairs: 1.
///
/// # Errors
///
/// [`FormulaError::OutOfRange`], [`FormulaError::TooLong`].
///
/// # Source
///
/// Plain geometry.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Exact, GearPair, gear_ratio};
///
/// let pairs = [GearPair { driving: 16, driven: 48 }, GearPair { driving: 20, driven: 30 }];
/// assert_eq!(gear_ratio(&pairs), Ok(Exact::new(9, 2)));
///
/// assert!(gear_ratio(&[GearPair { driving: 0, driven: 48 }]).is_err());
/// ```
pub fn gear_ratio(pairs: &[GearPair]) -> Result<Exact, FormulaError> {
    let mut ratio = whole(1);
    for pair in pairs {
        let driven = counted("the number of driven teeth", pair.driven, 10_000)?;
        let driving = counted("the number of driving teeth", pair.driving, 10_000)?;
        ratio = times(ratio, over(driven, driving)?)?;
    }
    Ok(ratio)
}

/// A motor with its driver's microsteps and its gears.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Motor {
    /// Angle of a full step, degrees.
    pub step_angle: Exact,
    /// Microsteps per full step.
    pub microsteps: u32,
    /// Motor turns per turn of the last shaft ([`gear_ratio`]).
    pub gear: Exact,
}

/// Full steps per motor turn.
///
/// `360/step angle`
///
/// | name         | meaning              | unit    | valid      |
/// |--------------|----------------------|---------|------------|
/// | `step_angle` | of a full step       | degrees | 0.01 to 180 |
///
/// A motor has a whole number of them; an angle that gives another is probably mistyped.
///
/// # Errors
///
/// [`FormulaError::OutOfRange`], [`FormulaError::TooLong`].
///
/// # Source
///
/// Plain geometry.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Exact, full_steps_per_turn};
///
/// assert_eq!(full_steps_per_turn(Exact::new(9, 5)), Ok(Exact::from_integer(200)));
///
/// assert!(full_steps_per_turn(Exact::from_integer(0)).is_err());
/// ```
pub fn full_steps_per_turn(step_angle: Exact) -> Result<Exact, FormulaError> {
    within("the step angle", rounded(step_angle), 0.01, 180.0)?;
    over(whole(360), step_angle)
}

fn microsteps(count: u32) -> Result<Exact, FormulaError> {
    counted("the number of microsteps", count, MOST_MICROSTEPS)
}

/// Microsteps per millimetre (per degree for a turntable).
///
/// `360/step angle × microsteps × gear / travel per turn`
///
/// | name     | meaning                          | unit                  | valid                          |
/// |----------|----------------------------------|-----------------------|--------------------------------|
/// | `motor`  | step angle, microsteps, gear     | degrees, 1, 1         | 0.01 to 180; 1 to 65536; above 0 |
/// | `travel` | of one turn of the last shaft    | mm (degrees) per turn | above 0                        |
///
/// # Errors
///
/// [`FormulaError::OutOfRange`], [`FormulaError::TooLong`].
///
/// # Source
///
/// Plain geometry.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Drive, Exact, Motor, steps_per_unit, travel_per_turn};
///
/// let motor = Motor { step_angle: Exact::new(9, 5), microsteps: 16, gear: Exact::from_integer(1) };
/// let belt = travel_per_turn(Drive::Belt { pitch: Exact::from_integer(3), teeth: 20 }).unwrap();
/// assert_eq!(steps_per_unit(motor, belt).unwrap().fraction, Exact::new(160, 3));
///
/// assert!(steps_per_unit(Motor { microsteps: 0, ..motor }, belt).is_err());
/// ```
pub fn steps_per_unit(motor: Motor, travel: Measure) -> Result<Measure, FormulaError> {
    let per_turn = times(full_steps_per_turn(motor.step_angle)?, microsteps(motor.microsteps)?)?;
    let per_turn = times(per_turn, above_zero("the gear ratio", motor.gear)?)?;
    above_zero("the travel per turn", travel.fraction)?;
    travel.into(per_turn)
}

/// Travel of one full step, mm (degrees for a turntable).
///
/// `travel per turn × step angle / (360 × gear)`
///
/// | name     | meaning                       | unit                  | valid            |
/// |----------|-------------------------------|-----------------------|------------------|
/// | `motor`  | step angle and gear           | degrees, 1            | as [`steps_per_unit`] |
/// | `travel` | of one turn of the last shaft | mm (degrees) per turn | above 0          |
///
/// A microstep is one part in [`Motor::microsteps`] of it: one over [`steps_per_unit`].
///
/// # Errors
///
/// [`FormulaError::OutOfRange`], [`FormulaError::TooLong`].
///
/// # Source
///
/// Plain geometry.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Exact, Measure, Motor, full_step_travel};
///
/// let motor = Motor { step_angle: Exact::new(9, 5), microsteps: 16, gear: Exact::from_integer(1) };
/// let step = full_step_travel(motor, Measure::plain(Exact::from_integer(40))).unwrap();
/// assert_eq!(step.fraction, Exact::new(1, 5));
///
/// assert!(full_step_travel(motor, Measure::plain(Exact::from_integer(0))).is_err());
/// ```
pub fn full_step_travel(motor: Motor, travel: Measure) -> Result<Measure, FormulaError> {
    steps_per_unit(Motor { microsteps: 1, ..motor }, travel)?.into(whole(1))
}

/// Steps per unit after a change of nothing but the microsteps.
///
/// `new = old × to/from`
///
/// | name   | meaning                   | unit     | valid      |
/// |--------|---------------------------|----------|------------|
/// | `old`  | steps per unit now        | 1/mm     | above 0    |
/// | `from` | microsteps now            | 1        | 1 to 65536 |
/// | `to`   | microsteps after          | 1        | 1 to 65536 |
///
/// # Errors
///
/// [`FormulaError::OutOfRange`], [`FormulaError::TooLong`].
///
/// # Source
///
/// Plain proportion.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Exact, rescale};
///
/// assert_eq!(rescale(Exact::from_integer(80), 16, 64), Ok(Exact::from_integer(320)));
///
/// assert!(rescale(Exact::from_integer(80), 0, 64).is_err());
/// ```
pub fn rescale(old: Exact, from: u32, to: u32) -> Result<Exact, FormulaError> {
    above_zero("the steps per unit", old)?;
    times(old, over(microsteps(to)?, microsteps(from)?)?)
}

/// Where an increment ends on the motor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Landing {
    /// The increment in full steps, when that is an exact fraction (no π in the travel).
    pub full_steps: Option<Exact>,
    /// True when it is a whole number of full steps.
    pub on_full_step: bool,
    /// True when it is a whole number of microsteps.
    pub on_microstep: bool,
    /// The nearest smaller increment that is a whole number of full steps (the same when it is one already).
    pub below: Measure,
    /// The nearest larger one (the same when it is one already).
    pub above: Measure,
}

/// Whether an increment is a whole number of full steps, and the nearest ones that are.
///
/// `n = increment / travel of a full step`
///
/// | name         | meaning                                       | unit | valid      |
/// |--------------|-----------------------------------------------|------|------------|
/// | `increment`  | wanted, such as the distance between two lines | mm   | above 0    |
/// | `full_step`  | from [`full_step_travel`]                     | mm   | above 0    |
/// | `microsteps` | per full step                                 | 1    | 1 to 65536 |
///
/// # Errors
///
/// [`FormulaError::OutOfRange`], [`FormulaError::TooLong`].
///
/// # Source
///
/// Plain proportion, in exact fractions.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Exact, Measure, exact, landing};
///
/// let step = Measure::plain(exact(0.04).unwrap());
/// assert!(landing(exact(0.2).unwrap(), step, 16).unwrap().on_full_step);
/// let quarter = landing(exact(0.25).unwrap(), step, 16).unwrap();
/// assert_eq!(quarter.full_steps, Some(Exact::new(25, 4)));
/// assert_eq!(quarter.below.fraction, Exact::new(6, 25));
///
/// assert!(landing(exact(0.0).unwrap(), step, 16).is_err());
/// ```
pub fn landing(increment: Exact, full_step: Measure, microsteps_per_step: u32) -> Result<Landing, FormulaError> {
    above_zero("the increment", increment)?;
    above_zero("the travel of a full step", full_step.fraction)?;
    let fine = microsteps(microsteps_per_step)?;
    if full_step.pi == 0 {
        let count = over(increment, full_step.fraction)?;
        return Ok(Landing {
            full_steps: Some(count),
            on_full_step: count.is_integer(),
            on_microstep: times(count, fine)?.is_integer(),
            below: full_step.times(count.floor())?,
            above: full_step.times(count.ceil())?,
        });
    }
    // With π in the travel no fraction ever lands; the neighbours are whole numbers of steps all the same.
    let count = rounded(increment) / full_step.value();
    Ok(Landing {
        full_steps: None,
        on_full_step: false,
        on_microstep: false,
        below: full_step.times(exact(count.floor())?)?,
        above: full_step.times(exact(count.ceil())?)?,
    })
}

/// Steps per second at a speed.
///
/// `rate = steps per unit × speed`
///
/// | name             | meaning                      | unit       | valid         |
/// |------------------|------------------------------|------------|---------------|
/// | `steps_per_unit` | microsteps per mm or degree  | 1/mm       | 1e-12 to 1e12 |
/// | `speed`          | of the axis, either way      | mm/s       | −1e12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Plain proportion.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::step_rate;
///
/// assert!((step_rate(80.0, 100.0).unwrap() - 8000.0).abs() < 1e-9);
///
/// assert!(step_rate(0.0, 100.0).is_err());
/// ```
pub fn step_rate(steps_per_unit: f64, speed: f64) -> Result<f64, FormulaError> {
    positive("the steps per unit", steps_per_unit)?;
    within("the speed", speed, -1e12, 1e12)?;
    Ok(steps_per_unit * speed.abs())
}

/// The speed at which the step rate is at its limit.
///
/// `speed = limit / steps per unit`
///
/// | name             | meaning                          | unit | valid         |
/// |------------------|----------------------------------|------|---------------|
/// | `steps_per_unit` | microsteps per mm or degree      | 1/mm | 1e-12 to 1e12 |
/// | `limit`          | of the controller, for one motor | 1/s  | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Plain proportion.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::top_speed;
///
/// assert!((top_speed(320.0, 100_000.0).unwrap() - 312.5).abs() < 1e-9);
///
/// assert!(top_speed(320.0, 0.0).is_err());
/// ```
pub fn top_speed(steps_per_unit: f64, limit: f64) -> Result<f64, FormulaError> {
    Ok(positive("the limit", limit)? / positive("the steps per unit", steps_per_unit)?)
}

/// What is left of a limit on the step rate, as a share of it; negative when it is exceeded.
///
/// `1 − rate/limit`
///
/// | name    | meaning              | unit | valid         |
/// |---------|----------------------|------|---------------|
/// | `rate`  | steps per second     | 1/s  | 0 to 1e12     |
/// | `limit` | of the controller    | 1/s  | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Plain proportion.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::headroom;
///
/// assert!((headroom(80_000.0, 100_000.0).unwrap() - 0.2).abs() < 1e-12);
///
/// assert!(headroom(80_000.0, 0.0).is_err());
/// ```
pub fn headroom(rate: f64, limit: f64) -> Result<f64, FormulaError> {
    within("the step rate", rate, 0.0, 1e12)?;
    Ok(1.0 - rate / positive("the limit", limit)?)
}

/// The speeds of two axes on a path at 45° between them.
///
/// `speed/√2` each
///
/// | name    | meaning               | unit | valid         |
/// |---------|-----------------------|------|---------------|
/// | `speed` | along the path        | mm/s | −1e12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Plain geometry.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::diagonal;
///
/// assert!((diagonal(100.0).unwrap() - 70.7107).abs() < 1e-4);
///
/// assert!(diagonal(f64::NAN).is_err());
/// ```
pub fn diagonal(speed: f64) -> Result<f64, FormulaError> {
    Ok(within("the speed", speed, -1e12, 1e12)? / SQRT_2)
}

/// The belt speeds of two motors that move both axes of a crossed-belt machine.
///
/// `A = vx + vy`, `B = vx − vy`
///
/// | name    | meaning             | unit | valid         |
/// |---------|---------------------|------|---------------|
/// | `along` | speed of one axis   | mm/s | −1e12 to 1e12 |
/// | `cross` | speed of the other  | mm/s | −1e12 to 1e12 |
///
/// At 45° one motor does all the work, √2 times as fast as the tool moves, and the other stands.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Plain geometry.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::crossed_belts;
///
/// assert_eq!(crossed_belts(30.0, 10.0), Ok((40.0, 20.0)));
///
/// assert!(crossed_belts(30.0, f64::NAN).is_err());
/// ```
pub fn crossed_belts(along: f64, cross: f64) -> Result<(f64, f64), FormulaError> {
    within("the speed along", along, -1e12, 1e12)?;
    within("the speed across", cross, -1e12, 1e12)?;
    Ok((along + cross, along - cross))
}

/// How fast a motor turns.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MotorSpeed {
    /// Turns per second.
    pub turns: f64,
    /// Turns per minute.
    pub rpm: f64,
    /// Full steps per second: a tone.
    pub full_steps: f64,
    /// Electrical fundamental, Hz: a quarter of the full steps, and a tone too.
    pub electrical: f64,
}

/// How fast a motor turns at a speed of its axis, and the tones that go with it.
///
/// `turns = speed × gear / travel per turn`, `full steps = turns × 360/step angle`, `electrical = full steps/4`
///
/// | name     | meaning                       | unit                  | valid            |
/// |----------|-------------------------------|-----------------------|------------------|
/// | `motor`  | step angle and gear           | degrees, 1            | as [`steps_per_unit`] |
/// | `travel` | of one turn of the last shaft | mm (degrees) per turn | above 0          |
/// | `speed`  | of the axis, either way       | mm/s (degrees/s)      | −1e12 to 1e12    |
///
/// # Errors
///
/// [`FormulaError::NotFinite`], [`FormulaError::OutOfRange`], [`FormulaError::TooLong`].
///
/// # Source
///
/// Plain geometry; a torque period of four full steps: Stepping Motors tutorial, University of Iowa.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Exact, Measure, Motor, motor_speed};
///
/// let motor = Motor { step_angle: Exact::new(9, 5), microsteps: 16, gear: Exact::from_integer(1) };
/// let travel = Measure::plain(Exact::from_integer(40));
/// let speed = motor_speed(motor, travel, 100.0).unwrap();
/// assert!((speed.electrical - 125.0).abs() < 1e-9);
///
/// assert!(motor_speed(motor, travel, f64::NAN).is_err());
/// ```
pub fn motor_speed(motor: Motor, travel: Measure, speed: f64) -> Result<MotorSpeed, FormulaError> {
    let full_steps = step_rate(1.0 / full_step_travel(motor, travel)?.value(), speed)?;
    let turns = full_steps / rounded(full_steps_per_turn(motor.step_angle)?);
    Ok(MotorSpeed { turns, rpm: 60.0 * turns, full_steps, electrical: full_steps / 4.0 })
}

/// The tone of belt teeth meeting their pulley.
///
/// `f = speed/pitch`
///
/// | name    | meaning        | unit | valid         |
/// |---------|----------------|------|---------------|
/// | `speed` | of the belt    | mm/s | −1e12 to 1e12 |
/// | `pitch` | of its teeth   | mm   | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: one pulse for each tooth.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::belt_mesh;
///
/// assert!((belt_mesh(100.0, 2.0).unwrap() - 50.0).abs() < 1e-9);
///
/// assert!(belt_mesh(100.0, 0.0).is_err());
/// ```
pub fn belt_mesh(speed: f64, pitch: f64) -> Result<f64, FormulaError> {
    within("the speed", speed, -1e12, 1e12)?;
    Ok(speed.abs() / positive("the belt pitch", pitch)?)
}

/// The torque of one microstep of displacement, as a share of the holding torque.
///
/// `sin(90°/n)`
///
/// | name    | meaning                       | unit | valid      |
/// |---------|-------------------------------|------|------------|
/// | `count` | microsteps per full step, n   | 1    | 1 to 65536 |
///
/// Not a loss: the motor's peak torque does not depend on the number of microsteps.
///
/// # Errors
///
/// [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Stepping Motors tutorial, University of Iowa: sine and cosine currents.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::microstep_torque;
///
/// assert!((microstep_torque(16).unwrap() - 0.098_017).abs() < 1e-6);
///
/// assert!(microstep_torque(0).is_err());
/// ```
pub fn microstep_torque(count: u32) -> Result<f64, FormulaError> {
    microsteps(count)?;
    Ok((FRAC_PI_2 / f64::from(count)).sin())
}

/// The currents of the two coils at a microstep, as shares of the peak.
///
/// `sin(90°·i/n)`, `cos(90°·i/n)`
///
/// | name    | meaning                     | unit | valid            |
/// |---------|-----------------------------|------|------------------|
/// | `index` | which microstep, i          | 1    | any              |
/// | `count` | microsteps per full step, n | 1    | 1 to 65536       |
///
/// # Errors
///
/// [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Stepping Motors tutorial, University of Iowa: sine and cosine currents.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::coil_currents;
///
/// let (one, other) = coil_currents(8, 16).unwrap();
/// assert!((one - other).abs() < 1e-12);
///
/// assert!(coil_currents(8, 0).is_err());
/// ```
pub fn coil_currents(index: u32, count: u32) -> Result<(f64, f64), FormulaError> {
    microsteps(count)?;
    Ok((FRAC_PI_2 * f64::from(index) / f64::from(count)).sin_cos())
}

/// How far a motor may stand from where it was sent before it overcomes friction, in full steps, to either side.
///
/// `d = (2/π)·arcsin(f)`
///
/// | name       | meaning                                      | unit | valid  |
/// |------------|----------------------------------------------|------|--------|
/// | `friction` | friction torque over holding torque, f       | 1    | 0 to 1 |
///
/// Times the microsteps per full step gives it in microsteps, times the travel of a full step in millimetres.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Follows from a sinusoidal torque curve with a period of four full steps.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::dead_band;
///
/// // A tenth of the holding torque: one sixteenth-step.
/// assert!((16.0 * dead_band(0.1).unwrap() - 1.02).abs() < 0.001);
///
/// assert!(dead_band(1.1).is_err());
/// ```
pub fn dead_band(friction: f64) -> Result<f64, FormulaError> {
    Ok(within("the friction", friction, 0.0, 1.0)?.asin() / FRAC_PI_2)
}

/// How far a full step of an unloaded motor may be off, to either side.
///
/// `0.05 × full step`
///
/// | name        | meaning                | unit          | valid         |
/// |-------------|------------------------|---------------|---------------|
/// | `full_step` | travel of a full step  | mm or degrees | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// A maker's glossary: ±5 % of a full step, not adding up over many steps.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::step_error;
///
/// assert!((step_error(0.2).unwrap() - 0.01).abs() < 1e-12);
///
/// assert!(step_error(0.0).is_err());
/// ```
pub fn step_error(full_step: f64) -> Result<f64, FormulaError> {
    Ok(STEP_ACCURACY * positive("the full step", full_step)?)
}

/// The coil of a motor and what drives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coil {
    /// Resistance, Ω.
    pub resistance: f64,
    /// Inductance, H.
    pub inductance: f64,
}

impl Coil {
    fn check(&self) -> Result<(), FormulaError> {
        positive("the coil resistance", self.resistance)?;
        positive("the coil inductance", self.inductance)?;
        Ok(())
    }
}

/// How long a coil's current takes to rise to its peak, s; `None` when the supply cannot bring it there at all.
///
/// `t = −(L/R)·ln(1 − I·R/V)`
///
/// | name      | meaning                    | unit | valid         |
/// |-----------|----------------------------|------|---------------|
/// | `coil`    | resistance, inductance     | Ω, H | 1e-12 to 1e12 |
/// | `current` | to be reached, I           | A    | 1e-12 to 1e12 |
/// | `supply`  | supply voltage, V          | V    | 1e-12 to 1e12 |
///
/// The voltage that the turning motor brings up against it is left out; it makes the rise slower.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: resistance and inductance in series on a constant voltage.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Coil, current_rise_time};
///
/// let coil = Coil { resistance: 1.5, inductance: 2.8e-3 };
/// let time = current_rise_time(coil, 1.2, 24.0).unwrap().unwrap();
/// assert!((time - 1.4556e-4).abs() < 1e-7);
///
/// assert_eq!(current_rise_time(coil, 16.0, 24.0), Ok(None));
/// assert!(current_rise_time(coil, -1.0, 24.0).is_err());
/// ```
pub fn current_rise_time(coil: Coil, current: f64, supply: f64) -> Result<Option<f64>, FormulaError> {
    coil.check()?;
    positive("the current", current)?;
    positive("the supply voltage", supply)?;
    let part = current * coil.resistance / supply;
    if part >= 1.0 {
        return Ok(None);
    }
    Ok(Some(-(coil.inductance / coil.resistance) * (-part).ln_1p()))
}

/// The rate of full steps from which a coil's current can no longer rise to its peak; `None` when it never can.
///
/// `1/t` with `t` of [`current_rise_time`]. About here the torque starts to fall.
///
/// | name      | meaning                    | unit | valid         |
/// |-----------|----------------------------|------|---------------|
/// | `coil`    | resistance, inductance     | Ω, H | 1e-12 to 1e12 |
/// | `current` | to be reached              | A    | 1e-12 to 1e12 |
/// | `supply`  | supply voltage             | V    | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: resistance and inductance in series on a constant voltage; one rise per full step is a rough rule.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Coil, current_limited_rate};
///
/// let coil = Coil { resistance: 1.5, inductance: 2.8e-3 };
/// let rate = current_limited_rate(coil, 1.2, 24.0).unwrap().unwrap();
/// assert!((rate - 6870.0).abs() < 10.0);
///
/// assert!(current_limited_rate(coil, 1.2, 0.0).is_err());
/// ```
pub fn current_limited_rate(coil: Coil, current: f64, supply: f64) -> Result<Option<f64>, FormulaError> {
    Ok(current_rise_time(coil, current, supply)?.map(|time| 1.0 / time))
}

/// The rate of full steps near which a motor may run rough in mid-range. A broad hint, not a limit.
///
/// `ω = R/L` electrical, hence `4·R/(2π·L)` full steps per second
///
/// | name   | meaning                | unit | valid         |
/// |--------|------------------------|------|---------------|
/// | `coil` | resistance, inductance | Ω, H | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Stepping Motors: A Guide to Theory and Practice, 4th edition, 5.5.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::{Coil, mid_range_rate};
///
/// let rate = mid_range_rate(Coil { resistance: 1.5, inductance: 2.8e-3 }).unwrap();
/// assert!((rate - 341.05).abs() < 0.01);
///
/// assert!(mid_range_rate(Coil { resistance: 0.0, inductance: 2.8e-3 }).is_err());
/// ```
pub fn mid_range_rate(coil: Coil) -> Result<f64, FormulaError> {
    coil.check()?;
    Ok(4.0 * coil.resistance / (2.0 * PI * coil.inductance))
}

/// The frequency at which the rotor swings about its step, Hz. A broad hint: any load lowers it.
///
/// `f = (1/2π)·√(k/J)` with `k = T·c·(π/2)/S`
///
/// | name       | meaning                                         | unit    | valid         |
/// |------------|-------------------------------------------------|---------|---------------|
/// | `torque`   | holding torque, T                               | N·m     | 1e-12 to 1e12 |
/// | `current`  | current over the rated one, c                   | 1       | 0.01 to 2     |
/// | `inertia`  | of the rotor and what turns with it, J          | kg·m²   | 1e-12 to 1e12 |
/// | `step_angle` | of a full step, S                             | degrees | 0.01 to 180   |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Stepping Motors tutorial, University of Iowa; the stiffness is the slope of a sinusoidal torque curve.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::resonance;
///
/// assert!((resonance(0.40, 1.0, 54e-7, 1.8).unwrap() - 306.29).abs() < 0.01);
///
/// assert!(resonance(0.40, 1.0, 0.0, 1.8).is_err());
/// ```
pub fn resonance(torque: f64, current: f64, inertia: f64, step_angle: f64) -> Result<f64, FormulaError> {
    positive("the holding torque", torque)?;
    within("the share of the rated current", current, 0.01, 2.0)?;
    positive("the inertia", inertia)?;
    let step = within("the step angle", step_angle, 0.01, 180.0)?.to_radians();
    let stiffness = torque * current * FRAC_PI_2 / step;
    Ok((stiffness / inertia).sqrt() / (2.0 * PI))
}

/// Root mean square of a sine from its peak.
///
/// `I = peak/√2`
///
/// | name   | meaning      | unit | valid         |
/// |--------|--------------|------|---------------|
/// | `peak` | peak current | A    | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Plain mathematics.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::rms_from_peak;
///
/// assert!((rms_from_peak(1.2).unwrap() - 0.8485).abs() < 1e-4);
///
/// assert!(rms_from_peak(0.0).is_err());
/// ```
pub fn rms_from_peak(peak: f64) -> Result<f64, FormulaError> {
    Ok(positive("the current", peak)? / SQRT_2)
}

/// Peak of a sine from its root mean square.
///
/// `peak = I·√2`
///
/// | name  | meaning                 | unit | valid         |
/// |-------|-------------------------|------|---------------|
/// | `rms` | root mean square        | A    | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Plain mathematics.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::peak_from_rms;
///
/// assert!((peak_from_rms(0.5).unwrap() - 0.7071).abs() < 1e-4);
///
/// assert!(peak_from_rms(-1.0).is_err());
/// ```
pub fn peak_from_rms(rms: f64) -> Result<f64, FormulaError> {
    Ok(positive("the current", rms)? * SQRT_2)
}

/// Heat in the copper of both coils, driven with sine and cosine, W. The same at every position.
///
/// `P = R·peak²`
///
/// | name         | meaning         | unit | valid         |
/// |--------------|-----------------|------|---------------|
/// | `resistance` | of one coil, R  | Ω    | 1e-12 to 1e12 |
/// | `peak`       | peak current    | A    | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: sin² + cos² = 1.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::sine_heat;
///
/// assert!((sine_heat(1.5, 1.2).unwrap() - 2.16).abs() < 1e-12);
///
/// assert!(sine_heat(0.0, 1.2).is_err());
/// ```
pub fn sine_heat(resistance: f64, peak: f64) -> Result<f64, FormulaError> {
    Ok(positive("the coil resistance", resistance)? * positive("the current", peak)?.powi(2))
}

/// Heat in the copper of both coils with the same steady current in each, W: what most motor sheets rate by.
///
/// `P = 2·R·I²`
///
/// | name         | meaning            | unit | valid         |
/// |--------------|--------------------|------|---------------|
/// | `resistance` | of one coil, R     | Ω    | 1e-12 to 1e12 |
/// | `current`    | in each coil, I    | A    | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: resistance times current squared, twice.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::both_on_heat;
///
/// assert!((both_on_heat(1.5, 1.2).unwrap() - 4.32).abs() < 1e-12);
///
/// assert!(both_on_heat(1.5, -1.2).is_err());
/// ```
pub fn both_on_heat(resistance: f64, current: f64) -> Result<f64, FormulaError> {
    Ok(2.0 * sine_heat(resistance, current)?)
}

/// Heat at a lower current, as a share of the heat at the full one.
///
/// `h²`
///
/// | name       | meaning                    | unit | valid  |
/// |------------|----------------------------|------|--------|
/// | `fraction` | current over the full, h   | 1    | 0 to 2 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: heat goes with the square of the current.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::heat_share;
///
/// assert!((heat_share(0.7).unwrap() - 0.49).abs() < 1e-12);
///
/// assert!(heat_share(-0.1).is_err());
/// ```
pub fn heat_share(fraction: f64) -> Result<f64, FormulaError> {
    Ok(within("the share of the current", fraction, 0.0, 2.0)?.powi(2))
}

/// The resistance of copper when warm.
///
/// `R = R20·[1 + 0.00393·(T − 20)]`
///
/// | name          | meaning                | unit | valid         |
/// |---------------|------------------------|------|---------------|
/// | `at_20`       | at 20 °C, R20          | Ω    | 1e-12 to 1e12 |
/// | `temperature` | of the copper, T       | °C   | −50 to 200    |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// From memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::motion::warm_resistance;
///
/// assert!((warm_resistance(1.0, 100.0).unwrap() - 1.3144).abs() < 1e-9);
///
/// assert!(warm_resistance(1.0, 1000.0).is_err());
/// ```
pub fn warm_resistance(at_20: f64, temperature: f64) -> Result<f64, FormulaError> {
    positive("the resistance", at_20)?;
    within("the temperature", temperature, -50.0, 200.0)?;
    Ok(at_20 * (1.0 + COPPER_COEFFICIENT * (temperature - 20.0)))
}

/// Steps per unit corrected by what was measured, with the ± of the ruler.
///
/// `new = old × commanded/measured`, `h = new × h(measured)/measured`
///
/// | name        | meaning                             | unit | valid                  |
/// |-------------|-------------------------------------|------|------------------------|
/// | `old`       | steps per unit now                  | 1/mm | 1e-12 to 1e12          |
/// | `commanded` | travel that was asked for           | mm   | 1e-12 to 1e12          |
/// | `measured`  | travel that was measured, and its ± | mm   | above 0, half width ≥ 0 |
///
/// When old and new differ by less than the ±, the ruler cannot tell them apart: leave the old value.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Plain proportion; JCGM 100 (GUM), 5.1.2 for the ±, from memory.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::motion::calibrated, units::PlusMinus};
///
/// let new = calibrated(80.0, 100.0, PlusMinus::new(99.0, 0.5)).unwrap();
/// assert!((new.value - 80.8081).abs() < 1e-4);
/// assert!((new.half_width - 0.4081).abs() < 1e-4);
///
/// assert!(calibrated(80.0, 100.0, PlusMinus::exact(0.0)).is_err());
/// ```
pub fn calibrated(old: f64, commanded: f64, measured: PlusMinus<f64>) -> Result<PlusMinus<f64>, FormulaError> {
    positive("the steps per unit", old)?;
    positive("the commanded travel", commanded)?;
    positive("the measured travel", measured.value)?;
    half_width(measured.half_width)?;
    let new = finite("the steps per unit", old * commanded / measured.value)?;
    Ok(PlusMinus::new(new, new * measured.half_width / measured.value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    fn motor(count: u32) -> Motor {
        Motor { step_angle: Exact::new(9, 5), microsteps: count, gear: whole(1) }
    }

    #[test]
    fn numbers_are_read_as_they_were_typed() {
        assert_eq!(exact(0.1), Ok(Exact::new(1, 10)));
        assert_eq!(exact(-2.032), Ok(Exact::new(-254, 125)));
        assert_eq!(exact(40.0), Ok(whole(40)));
        assert_eq!(exact(-0.5), Ok(Exact::new(-1, 2)));
        assert_eq!(exact(1e-20), Err(FormulaError::TooLong));
        assert_eq!(exact(1.0 / 3.0), Err(FormulaError::TooLong));
    }

    #[test]
    fn sevens_are_sevens() {
        // 0.28 mm in steps of 0.04 mm: 7.000000000000001 in floating point.
        let step = Measure::plain(exact(0.04).unwrap());
        let seven = landing(exact(0.28).unwrap(), step, 16).unwrap();
        assert_eq!(seven.full_steps, Some(whole(7)));
        assert!(seven.on_full_step && seven.on_microstep);
        assert_eq!(seven.below, seven.above);
    }

    #[test]
    fn an_increment_may_land_on_a_microstep_only() {
        let step = Measure::plain(exact(0.04).unwrap());
        let landed = landing(exact(0.25).unwrap(), step, 16).unwrap();
        assert!(!landed.on_full_step && landed.on_microstep);
        assert_eq!(landed.above.fraction, exact(0.28).unwrap());
        assert!(!landing(exact(0.25).unwrap(), step, 2).unwrap().on_microstep);
    }

    #[test]
    fn nothing_lands_where_pi_comes_in_but_the_neighbours_do() {
        let wheel = travel_per_turn(Drive::Roller { diameter: whole(11) }).unwrap();
        let step = full_step_travel(motor(16), wheel).unwrap();
        let landed = landing(whole(1), step, 16).unwrap();
        assert!(!landed.on_full_step && !landed.on_microstep);
        assert_eq!(landed.full_steps, None);
        assert!(landed.below.value() < 1.0 && landed.above.value() > 1.0);
        assert_abs_diff_eq!(landed.above.value() - landed.below.value(), step.value(), epsilon = 1e-12);
    }

    #[test]
    fn a_full_step_is_as_many_microsteps_as_the_driver_makes() {
        for count in [1, 2, 16, 48, 256, 300] {
            for drive in [Drive::Turntable, Drive::Rack { module: whole(1), teeth: 20 }, Drive::Screw { pitch: whole(2), starts: 4 }] {
                let travel = travel_per_turn(drive).unwrap();
                let per_unit = steps_per_unit(motor(count), travel).unwrap();
                let step = full_step_travel(motor(count), travel).unwrap();
                assert_relative_eq!(per_unit.value() * step.value(), f64::from(count), max_relative = 1e-12);
            }
        }
    }

    #[test]
    fn fractions_too_long_are_refused_and_do_not_overflow() {
        let pairs = [GearPair { driving: 9_973, driven: 9_967 }; 12];
        assert_eq!(gear_ratio(&pairs), Err(FormulaError::TooLong));
    }

    #[test]
    fn crossed_belts_keep_the_square_of_the_speed() {
        let (a, b) = crossed_belts(diagonal(100.0).unwrap(), diagonal(100.0).unwrap()).unwrap();
        assert_abs_diff_eq!(a, 100.0 * SQRT_2, epsilon = 1e-9);
        assert_abs_diff_eq!(b, 0.0);
    }

    #[test]
    fn coil_currents_always_make_the_same_heat() {
        for index in 0..64 {
            let (one, other) = coil_currents(index, 16).unwrap();
            assert_abs_diff_eq!(one.hypot(other), 1.0, epsilon = 1e-12);
        }
    }

    #[test]
    fn calibrating_with_what_was_asked_for_changes_nothing() {
        let same = calibrated(80.0, 100.0, PlusMinus::new(100.0, 1.0)).unwrap();
        assert_abs_diff_eq!(same.value, 80.0, epsilon = 1e-12);
        assert_abs_diff_eq!(same.half_width, 0.8, epsilon = 1e-12);
    }
}
