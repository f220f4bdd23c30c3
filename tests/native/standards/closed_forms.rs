//! Values known in closed form, worked out from the definitions outside this project. Those with many digits come from
//! `closed_forms.py` beside this file (mpmath 1.4.1, 50 digits); the others were worked out in Python in double precision.

use super::case::{Case, DOUBLE, Evidence, FOUR, Rows, THREE, count, levels, or_nan, sweep, with_half_widths};
use lessdin::formulas::FormulaError;
use lessdin::formulas::levels::{
    Radiation, SmallestSet, allowed_level, ceiling, count_gain, distance_gain, energy_mean, energy_sum, energy_sum_counted, exposure_level,
    level_of_share, power_to_pressure, pressure_to_power, remove_background, share, smallest_set, time_mean, upper_limit,
};
use lessdin::formulas::{fans, loudness, motion, uncertainty};
use lessdin::units::{Level, PlusMinus, PowerLevel};

const CLOSED: Evidence = Evidence::ClosedForm;

fn sum(x: &[f64]) -> f64 {
    or_nan(energy_sum(&levels(x)).map(|l| l.0))
}

/// Level and time, one after the other.
fn over_time(x: &[f64]) -> f64 {
    let stretches: Vec<_> = x.chunks_exact(2).map(|pair| (Level(pair[0]), pair[1])).collect();
    or_nan(time_mean(&stretches).map(|l| l.0))
}

fn radiation(x: f64) -> Radiation {
    match count(x) {
        1 => Radiation::Sphere,
        2 => Radiation::Hemisphere,
        4 => Radiation::Edge,
        _ => Radiation::Corner,
    }
}

/// Target, three sources, background.
fn set(x: &[f64]) -> Result<SmallestSet, FormulaError> {
    smallest_set(&levels(&x[1..4]), Some(Level(x[4])), Level(x[0]))
}

fn coil(x: &[f64]) -> motion::Coil {
    motion::Coil { resistance: x[0], inductance: x[1] }
}

fn fraction(x: f64) -> Result<motion::Exact, FormulaError> {
    motion::exact(x)
}

/// Increment and travel of a full step.
fn landing(x: &[f64]) -> Result<motion::Landing, FormulaError> {
    motion::landing(fraction(x[0])?, motion::Measure::plain(fraction(x[1])?), 16)
}

fn small(value: i128) -> f64 {
    f64::from(i32::try_from(value).unwrap_or(i32::MIN))
}

/// Difference of two levels, and what to add to the higher.
const ADDING: Rows = &[
    (&[0.0], 3.0103),
    (&[0.5], 2.7675),
    (&[1.0], 2.5390),
    (&[1.5], 2.3247),
    (&[2.0], 2.1244),
    (&[2.5], 1.9378),
    (&[3.0], 1.7643),
    (&[4.0], 1.4554),
    (&[5.0], 1.1933),
    (&[6.0], 0.9732),
    (&[7.0], 0.7901),
    (&[8.0], 0.6389),
    (&[9.0], 0.5150),
    (&[10.0], 0.4139),
    (&[12.0], 0.2657),
    (&[13.0], 0.2124),
    (&[15.0], 0.1352),
    (&[20.0], 0.0432),
];

/// How many alike, and what they make over one.
const ALIKE: Rows = &[
    (&[2.0], 3.0103),
    (&[3.0], 4.7712),
    (&[4.0], 6.0206),
    (&[5.0], 6.9897),
    (&[8.0], 9.0309),
    (&[10.0], 10.0),
    (&[100.0], 20.0),
    (&[0.0], f64::NAN),
];

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "levels.energy_sum",
        at: "difference of two levels, what to add to the higher",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| sum(&[50.0, 50.0 - x[0]]) - 50.0,
        rows: ADDING,
    },
    Case {
        formula: "levels.energy_sum",
        at: "worked sums",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: sum,
        rows: &[
            (&[85.0, 83.0, 88.0], 90.5945),
            (&[70.0, 73.0], 74.7643),
            (&[88.0, 86.0, 80.0, 85.0], 91.5996),
            (&[50.0, 50.0], 53.0103),
            (&[50.0, 44.0], 50.9732),
            (&[45.0, 42.0, 38.0], 47.3063),
            (&[], f64::NAN),
        ],
    },
    Case {
        formula: "levels.remove_background",
        at: "a fan swap: with everything on, the old fan alone, the new fan: the total afterwards",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| {
            let rest = remove_background(Level(x[0]), Level(x[1]));
            or_nan(rest.and_then(|rest| energy_sum(&[rest, Level(x[2])])).map(|l| l.0))
        },
        rows: &[(&[42.0, 40.5, 32.0], 37.9335)],
    },
    Case {
        formula: "levels.energy_sum_counted",
        at: "10 lg n",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(energy_sum_counted(&[(Level(40.0), count(x[0]))]).map(|l| l.0 - 40.0)),
        rows: ALIKE,
    },
    Case {
        formula: "levels.count_gain",
        at: "10 lg n",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(count_gain(count(x[0])).map(|g| g.0)),
        rows: ALIKE,
    },
    Case {
        formula: "levels.energy_mean",
        at: "energy means",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(energy_mean(&levels(x)).map(|l| l.0)),
        rows: &[
            (&[40.0, 60.0], 57.0329),
            (&[77.5, 76.0, 77.2, 77.7, 75.9], 76.9252),
            (&[80.5, 81.0, 76.0, 75.0, 74.0, 72.0], 77.6653),
            (&[45.1, 45.6, 44.8, 45.9, 45.3, 45.2, f64::NAN], f64::NAN),
        ],
    },
    Case {
        formula: "levels.energy_mean",
        at: "a short log, and the difference of two sets of readings",
        evidence: CLOSED,
        tolerance: 5.1e-7,
        why: "given to 6 decimals",
        compute: |x| or_nan(energy_mean(&levels(x)).map(|l| l.0)),
        rows: &[(&[42.1, 42.6, 43.0, 42.8, 42.2, 41.9, 41.7, 42.0, 42.5, 42.9], 42.391_183)],
    },
    Case {
        formula: "levels.time_mean",
        at: "level and time, one after the other",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: over_time,
        rows: &[
            (&[80.0, 10.0, 90.0, 1.0], 82.5964),
            (&[60.0, 5.0, 40.0, 55.0], 49.6614),
            (&[50.0, 6.0, 35.0, 2.0], 48.7962),
            (&[50.0, 0.0], f64::NAN),
        ],
    },
    Case {
        formula: "levels.exposure_level",
        at: "level and seconds",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(exposure_level(Level(x[0]), x[1]).map(|l| l.0)),
        rows: &[(&[60.0, 120.0], 80.7918), (&[43.5, 7200.0], 82.0733), (&[60.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "levels.exposure_level",
        at: "three events of 80 dB in an hour, turned round: 49.2082 dB on average",
        evidence: CLOSED,
        tolerance: 1e-4,
        why: "given to 4 decimals, twice",
        compute: |x| {
            let hour = exposure_level(Level(x[0]), 3600.0);
            or_nan(hour.map(|l| l.0)) - or_nan(count_gain(3).map(|g| g.0))
        },
        rows: &[(&[49.2082], 80.0)],
    },
    Case {
        formula: "levels.share",
        at: "part and whole",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| or_nan(share(Level(x[0]), Level(x[1]))),
        rows: &[
            (&[44.0, 50.97], 0.200_909_281_260_873),
            (&[45.0, 47.3063], 0.587_990_081_162_401),
            (&[30.0, 30.0], 1.0),
            (&[30.1, 30.0], f64::NAN),
        ],
    },
    Case {
        formula: "levels.level_of_share",
        at: "whole and share",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| or_nan(level_of_share(Level(x[0]), x[1]).map(|l| l.0)),
        rows: &[(&[50.0, 0.1], 40.0), (&[47.3, 0.588], 44.993_773_260_761_4), (&[47.3, 0.0], f64::NAN), (&[47.3, 1.1], f64::NAN)],
    },
    Case {
        formula: "levels.ceiling",
        at: "part and rest",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| or_nan(ceiling(Level(x[0]), Level(x[1])).map(|g| g.0)),
        rows: &[(&[45.0, 41.0], 5.455_404_631_092_94), (&[30.0, 46.0], 0.107_742_255_119_571), (&[46.0, 30.0], 16.107_742_255_119_6)],
    },
    Case {
        formula: "levels.allowed_level",
        at: "target and rest",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| match allowed_level(Level(x[0]), Some(Level(x[1]))) {
            Ok(Some(level)) => level.0,
            _ => f64::NAN,
        },
        rows: &[(&[42.0, 40.5], 36.6546), (&[60.0, 54.0], 58.7437), (&[42.0, 42.0], f64::NAN), (&[42.0, 43.0], f64::NAN)],
    },
    Case {
        formula: "levels.smallest_set",
        at: "target; three sources; background: what the set may be, together",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| match set(x) {
            Ok(SmallestSet::Treat { allowed, .. }) => allowed.0,
            _ => f64::NAN,
        },
        rows: &[
            (&[44.0, 44.0, 38.0, 41.0, 33.0], 36.258_035_267_26),
            (&[40.0, 44.0, 38.0, 41.0, 33.0], 32.292_117_822_852_4),
            (&[37.0, 44.0, 38.0, 41.0, 33.0], 34.795_191_694_580_9),
            (&[33.0, 44.0, 38.0, 41.0, 33.0], f64::NAN),
            (&[60.0, 44.0, 38.0, 41.0, 33.0], f64::NAN),
        ],
    },
    Case {
        formula: "levels.smallest_set",
        at: "the same: how many must be treated (0 none, −1 impossible)",
        evidence: CLOSED,
        tolerance: 0.0,
        why: "a count",
        compute: |x| match set(x) {
            Ok(SmallestSet::Met) => 0.0,
            Ok(SmallestSet::Treat { which, .. }) => small(which.len() as i128),
            Ok(SmallestSet::Impossible { .. }) => -1.0,
            Err(_) => f64::NAN,
        },
        rows: &[
            (&[44.0, 44.0, 38.0, 41.0, 33.0], 1.0),
            (&[40.0, 44.0, 38.0, 41.0, 33.0], 2.0),
            (&[37.0, 44.0, 38.0, 41.0, 33.0], 3.0),
            (&[33.0, 44.0, 38.0, 41.0, 33.0], -1.0),
            (&[60.0, 44.0, 38.0, 41.0, 33.0], 0.0),
        ],
    },
    Case {
        formula: "levels.upper_limit",
        at: "level and half width with the source on, the same with it off",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| {
            let pair = with_half_widths(x);
            match upper_limit(pair[0], pair[1]) {
                Ok(Some(level)) => level.0,
                _ => f64::NAN,
            }
        },
        rows: &[
            (&[40.0, 0.5, 40.0, 0.5], 31.356_105_217_969_9),
            (&[45.0, 0.5, 44.5, 0.5], 38.769_098_395_975_2),
            (&[45.0, 2.0, 43.0, 1.0], 43.889_236_678_704_2),
            (&[40.0, 0.5, 41.0, 0.5], f64::NAN),
            (&[40.0, 0.5, 40.1, 0.5], 30.605_389_881_256),
        ],
    },
    Case {
        formula: "levels.distance_gain",
        at: "from 1 m",
        evidence: CLOSED,
        tolerance: THREE.0,
        why: THREE.1,
        compute: |x| or_nan(distance_gain(1.0, x[0]).map(|g| g.0)),
        rows: &[
            (&[0.25], 12.041),
            (&[0.3], 10.458),
            (&[0.5], 6.021),
            (&[0.6], 4.437),
            (&[1.5], -3.522),
            (&[2.0], -6.021),
            (&[3.0], -9.542),
            (&[4.0], -12.041),
            (&[0.0], f64::NAN),
        ],
    },
    Case {
        formula: "levels.pressure_to_power",
        at: "level at 1 m: sphere, hemisphere, edge",
        evidence: CLOSED,
        tolerance: THREE.0,
        why: THREE.1,
        compute: |x| or_nan(pressure_to_power(Level(0.0), 1.0, radiation(x[0])).map(|l| l.0)),
        rows: &[(&[1.0], 10.992), (&[2.0], 7.982), (&[4.0], 4.971)],
    },
    Case {
        formula: "levels.power_to_pressure",
        at: "power in bel and Q, at 1 m; 1 B is 10 dB",
        evidence: CLOSED,
        tolerance: THREE.0,
        why: THREE.1,
        compute: |x| or_nan(power_to_pressure(PowerLevel::from_bel(x[0]), x[2], radiation(x[1])).map(|l| l.0)),
        rows: &[
            (&[4.0, 1.0, 1.0], 29.008),
            (&[4.0, 2.0, 1.0], 32.018),
            (&[4.0, 4.0, 1.0], 35.029),
            (&[4.0, 2.0, 0.5], 38.039),
            (&[4.0, 2.0, 0.0], f64::NAN),
        ],
    },
    Case {
        formula: "loudness.ratio",
        at: "relation for quiet sounds, both ends below 39 phon",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| {
            let compared = loudness::ratio(Level(x[0]), Level(x[1]), loudness::Spectrum::AsPhon);
            or_nan(compared.map(|c| c.times))
        },
        rows: &[(&[38.0, 28.0], 0.417_560_354_280_662), (&[30.0, 20.0], 0.313_184_408_042_432), (&[25.0, 30.0], 1.684_885_254_087_81)],
    },
    Case {
        formula: "uncertainty.share",
        at: "level and half width of the part, the same of the rest",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| {
            let pair = with_half_widths(x);
            or_nan(uncertainty::share(pair[0], pair[1]).map(|s| s.half_width))
        },
        rows: &[(&[45.0, 0.5, 41.0, 0.8], 0.044_241_492_113_418), (&[30.0, 1.0, 50.0, 0.2], 0.002_301_916_737_748_16)],
    },
    Case {
        formula: "uncertainty.ceiling",
        at: "level and half width of the part, the same of the rest",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| {
            let pair = with_half_widths(x);
            or_nan(uncertainty::ceiling(pair[0], pair[1]).map(|c| c.half_width))
        },
        rows: &[(&[45.0, 0.5, 41.0, 0.8], 0.674_768_095_804_972), (&[30.0, 1.0, 50.0, 0.2], 0.010_097_068_343_748_1)],
    },
    Case {
        formula: "uncertainty.bracketed",
        at: "level and half width before, the same after",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| {
            let pair = with_half_widths(x);
            or_nan(uncertainty::bracketed(pair[0], pair[1]).map(|room| room.half_width))
        },
        rows: &[(&[38.0, 0.5, 39.0, 0.5], 0.98), (&[38.0, 0.5, 38.1, 0.7], 0.431_747_622_032_567)],
    },
    Case {
        formula: "uncertainty.resolution",
        at: "display step",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| or_nan(uncertainty::resolution(x[0])),
        rows: &[(&[1.0], 0.565_803_263_805_833), (&[0.1], 0.056_580_326_380_583_3)],
    },
    Case {
        formula: "uncertainty.combine",
        at: "root of the sum of squares",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| or_nan(uncertainty::combine(x)),
        rows: &[(&[0.3, 0.5658, 0.2], 0.670_917_014_242_447), (&[], 0.0), (&[-1.0], f64::NAN)],
    },
    Case {
        formula: "fans.blade_pass",
        at: "blades and speed per minute",
        evidence: CLOSED,
        tolerance: 5.1e-4,
        why: "given to 3 decimals",
        compute: |x| or_nan(fans::blade_pass(count(x[0]), x[1])),
        rows: &[
            (&[7.0, 3000.0], 350.0),
            (&[7.0, 1500.0], 175.0),
            (&[9.0, 1200.0], 180.0),
            (&[5.0, 6000.0], 500.0),
            (&[11.0, 5000.0], 916.667),
            (&[0.0, 5000.0], f64::NAN),
        ],
    },
    Case {
        formula: "fans.blade_pass",
        at: "beat of two fans: blades, the two speeds",
        evidence: CLOSED,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| or_nan(fans::blade_pass(count(x[0]), x[2])) - or_nan(fans::blade_pass(count(x[0]), x[1])),
        rows: &[(&[7.0, 3000.0, 3060.0], 7.0), (&[1.0, 3000.0, 3060.0], 1.0)],
    },
    Case {
        formula: "fans.speed_from_blade_pass",
        at: "blades and frequency",
        evidence: CLOSED,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| or_nan(fans::speed_from_blade_pass(count(x[0]), x[1])),
        rows: &[(&[9.0, 735.0], 4900.0), (&[7.0, 350.0], 3000.0)],
    },
    Case {
        formula: "motion.exact",
        at: "numerator of a decimal number, and its denominator",
        evidence: CLOSED,
        tolerance: 0.0,
        why: "whole numbers",
        compute: |x| match fraction(x[0]) {
            Ok(exact) if x[1] > 0.5 => small(*exact.denom()),
            Ok(exact) => small(*exact.numer()),
            Err(_) => f64::NAN,
        },
        rows: &[
            (&[1.8, 0.0], 9.0),
            (&[1.8, 1.0], 5.0),
            (&[2.032, 0.0], 254.0),
            (&[2.032, 1.0], 125.0),
            (&[-0.25, 0.0], -1.0),
            (&[-0.25, 1.0], 4.0),
            (&[f64::INFINITY, 0.0], f64::NAN),
        ],
    },
    Case {
        formula: "motion.gear_ratio",
        at: "driven over driving teeth, pair after pair",
        evidence: CLOSED,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| {
            let pairs: Vec<_> =
                x.chunks_exact(2).map(|pair| motion::GearPair { driven: count(pair[0]), driving: count(pair[1]) }).collect();
            or_nan(motion::gear_ratio(&pairs).map(|g| small(*g.numer()) / small(*g.denom())))
        },
        rows: &[(&[], 1.0), (&[60.0, 20.0], 3.0), (&[48.0, 16.0, 30.0, 20.0], 4.5), (&[60.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "motion.rescale",
        at: "steps per unit, microsteps before and after",
        evidence: CLOSED,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| {
            or_nan(fraction(x[0]).and_then(|old| {
                let new = motion::rescale(old, count(x[1]), count(x[2]))?;
                Ok(motion::Measure::plain(new).value())
            }))
        },
        rows: &[(&[80.0, 16.0, 64.0], 320.0), (&[80.0, 16.0, 256.0], 1280.0), (&[80.0, 16.0, 48.0], 240.0), (&[80.0, 16.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "motion.landing",
        at: "increment and full step: how many full steps, in hundredths",
        evidence: CLOSED,
        tolerance: 0.0,
        why: "whole numbers",
        compute: |x| match landing(x).map(|landed| landed.full_steps) {
            Ok(Some(steps)) => small((steps * 100).to_integer()),
            _ => f64::NAN,
        },
        rows: &[(&[0.2, 0.04], 500.0), (&[0.25, 0.04], 625.0), (&[0.28, 0.04], 700.0), (&[0.0, 0.04], f64::NAN)],
    },
    Case {
        formula: "motion.landing",
        at: "increment and full step: on a full step (1) or not (0)",
        evidence: CLOSED,
        tolerance: 0.0,
        why: "yes or no",
        compute: |x| or_nan(landing(x).map(|landed| f64::from(u8::from(landed.on_full_step)))),
        rows: &[(&[0.2, 0.04], 1.0), (&[0.25, 0.04], 0.0), (&[0.28, 0.04], 1.0)],
    },
    Case {
        formula: "motion.landing",
        at: "increment and full step: the nearest larger one",
        evidence: CLOSED,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| or_nan(landing(x).map(|landed| landed.above.value())),
        rows: &[(&[0.2, 0.04], 0.2), (&[0.25, 0.04], 0.28)],
    },
    Case {
        formula: "motion.step_rate",
        at: "steps per mm and speed",
        evidence: CLOSED,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| or_nan(motion::step_rate(x[0], x[1])),
        rows: &[
            (&[80.0, 50.0], 4000.0),
            (&[80.0, 100.0], 8000.0),
            (&[80.0, -200.0], 16_000.0),
            (&[100.0, 150.0], 15_000.0),
            (&[400.0, 10.0], 4000.0),
            (&[1600.0, 5.0], 8000.0),
            (&[0.0, 5.0], f64::NAN),
        ],
    },
    Case {
        formula: "motion.top_speed",
        at: "steps per mm and limit of the step rate",
        evidence: CLOSED,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| or_nan(motion::top_speed(x[0], x[1])),
        rows: &[(&[320.0, 100_000.0], 312.5), (&[80.0, 40_000.0], 500.0), (&[80.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "motion.headroom",
        at: "step rate and its limit",
        evidence: CLOSED,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| or_nan(motion::headroom(x[0], x[1])),
        rows: &[(&[80_000.0, 100_000.0], 0.2), (&[120.0, 100.0], -0.2), (&[1.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "motion.diagonal",
        at: "the side of a square from its diagonal",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(motion::diagonal(x[0])),
        rows: &[(&[100.0], 70.7107), (&[0.0], 0.0)],
    },
    Case {
        formula: "motion.crossed_belts",
        at: "sum and difference of the two speeds (one motor, then the other)",
        evidence: CLOSED,
        tolerance: 0.0,
        why: "exact",
        compute: |x| {
            let speeds = motion::crossed_belts(x[0], x[1]);
            or_nan(speeds.map(|(a, b)| if x[2] > 0.5 { b } else { a }))
        },
        rows: &[
            (&[30.0, 10.0, 0.0], 40.0),
            (&[30.0, 10.0, 1.0], 20.0),
            (&[30.0, 0.0, 0.0], 30.0),
            (&[30.0, 0.0, 1.0], 30.0),
            (&[-5.0, 5.0, 0.0], 0.0),
        ],
    },
    Case {
        formula: "motion.belt_mesh",
        at: "speed and pitch",
        evidence: CLOSED,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| or_nan(motion::belt_mesh(x[0], x[1])),
        rows: &[(&[100.0, 2.0], 50.0), (&[-90.0, 3.0], 30.0), (&[100.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "motion.coil_currents",
        at: "which microstep of how many: the sine",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| or_nan(motion::coil_currents(count(x[0]), count(x[1])).map(|pair| pair.0)),
        rows: &[(&[3.0, 16.0], 0.290_284_677_254_462), (&[8.0, 16.0], 0.707_106_781_186_548), (&[100.0, 256.0], 0.575_808_191_417_845)],
    },
    Case {
        formula: "motion.dead_band",
        at: "friction, in full steps",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| or_nan(motion::dead_band(x[0])),
        rows: &[(&[0.0], 0.0), (&[0.25], 0.160_861_246_510_332), (&[1.0], 1.0)],
    },
    Case {
        formula: "motion.current_rise_time",
        at: "resistance, inductance, current, supply",
        evidence: CLOSED,
        tolerance: 1e-13,
        why: "15 digits of times around 1e-4 s",
        compute: |x| {
            let time = motion::current_rise_time(coil(x), x[2], x[3]);
            time.ok().flatten().unwrap_or(f64::NAN)
        },
        rows: RISE,
    },
    Case {
        formula: "motion.current_limited_rate",
        at: "resistance, inductance, current, supply: one over the time",
        evidence: CLOSED,
        tolerance: 1e-9,
        why: "relative to the time above",
        compute: |x| {
            let rate = motion::current_limited_rate(coil(x), x[2], x[3]);
            rate.ok().flatten().map_or(f64::NAN, |rate| 1.0 / rate)
        },
        rows: RISE,
    },
    Case {
        formula: "motion.rms_from_peak",
        at: "peak over the root of two",
        evidence: CLOSED,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(motion::rms_from_peak(x[0])),
        rows: RMS,
    },
    Case {
        formula: "motion.peak_from_rms",
        at: "the same turned round",
        evidence: CLOSED,
        tolerance: 1e-4,
        why: "given to 4 decimals, times 1.4",
        compute: |x| or_nan(motion::peak_from_rms(x[0])),
        rows: &[(&[0.3536], 0.5), (&[0.5657], 0.8), (&[0.8485], 1.2), (&[1.4142], 2.0)],
    },
    Case {
        formula: "motion.sine_heat",
        at: "resistance and peak current",
        evidence: CLOSED,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| or_nan(motion::sine_heat(x[0], x[1])),
        rows: &[(&[1.5, 1.2], 2.16), (&[2.0, 0.5], 0.5), (&[0.0, 1.0], f64::NAN)],
    },
    Case {
        formula: "motion.both_on_heat",
        at: "resistance and current: twice the heat of one coil",
        evidence: CLOSED,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| or_nan(motion::both_on_heat(x[0], x[1])),
        rows: &[(&[1.5, 1.2], 4.32), (&[2.0, 0.5], 1.0)],
    },
    Case {
        formula: "motion.heat_share",
        at: "the square of the share",
        evidence: CLOSED,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| or_nan(motion::heat_share(x[0])),
        rows: &[(&[0.5], 0.25), (&[0.7], 0.49), (&[-0.1], f64::NAN)],
    },
    Case {
        formula: "motion.warm_resistance",
        at: "80 K above 20 °C adds 31.4 % with 0.00393 per kelvin",
        evidence: CLOSED,
        tolerance: 5.1e-4,
        why: "given to 0.1 %",
        compute: |x| or_nan(motion::warm_resistance(1.0, x[0])),
        rows: &[(&[100.0], 1.314), (&[20.0], 1.0), (&[300.0], f64::NAN)],
    },
    Case {
        formula: "motion.calibrated",
        at: "steps per mm, commanded, measured",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| or_nan(motion::calibrated(x[0], x[1], PlusMinus::exact(x[2])).map(|c| c.value)),
        rows: &[(&[80.0, 100.0, 99.1], 80.726_538_849_646_8), (&[400.0, 50.0, 50.3], 397.614_314_115_308), (&[400.0, 50.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "motion.calibrated",
        at: "steps per mm, commanded, measured, half width of the ruler: half width",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| {
            let measured = PlusMinus::new(x[2], x[3]);
            or_nan(motion::calibrated(x[0], x[1], measured).map(|c| c.half_width))
        },
        rows: &[(&[80.0, 100.0, 99.1, 0.5], 0.407_298_379_665_221), (&[400.0, 50.0, 50.3, 1.0], 7.904_857_139_469_35)],
    },
    Case {
        formula: "motion.travel_per_turn",
        at: "roller diameter",
        evidence: CLOSED,
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| or_nan(fraction(x[0]).and_then(|diameter| Ok(motion::travel_per_turn(motion::Drive::Roller { diameter })?.value()))),
        rows: &[(&[11.0], 34.557_519_189_487_7), (&[7.3], 22.933_626_371_205_5)],
    },
];

/// Resistance, inductance, current, supply; time.
const RISE: Rows = &[
    (&[1.5, 0.0028, 1.2, 24.0], 0.000_145_528_210_743_462),
    (&[2.4, 0.0038, 0.8, 12.0], 0.000_276_059_529_645_898),
    (&[1.0, 0.0015, 1.0, 24.0], 6.383_942_162_819_39e-5),
    (&[12.0, 0.0015, 2.0, 24.0], f64::NAN),
];

/// Peak and root mean square.
const RMS: Rows = &[(&[0.5], 0.3536), (&[0.8], 0.5657), (&[1.0], 0.7071), (&[1.2], 0.8485), (&[1.5], 1.0607), (&[2.0], 1.4142)];

/// Units of data sheets, from exact definitions.
#[test]
fn units_of_data_sheets() {
    let off = |found: f64, expected: f64| (found / expected - 1.0).abs();
    assert!(off(fans::CFM / fans::CUBIC_METRE_PER_HOUR, 1.699_010_796) < 1e-9);
    assert!(off(fans::CFM / fans::LITRE_PER_SECOND, 0.471_947_443_2) < 1e-9);
    assert!(off(fans::INCH_OF_WATER, 249.0889) < 1e-7);
    assert!(off(fans::MILLIMETRE_OF_WATER, 9.806_65) < 1e-12);
    assert!(off(fans::INCH, 0.025_4) < 1e-12);
}

#[test]
fn closed_forms() {
    sweep(CASES);
}
