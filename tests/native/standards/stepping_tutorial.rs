//! Stepping Motors tutorial, University of Iowa: sine and cosine currents, a torque period of four full steps, resonance.
//! Openings of the parts on physics and on microstepping were read; the values were worked out outside. The shares of
//! torque per microstep agree with a public table of coil currents.

use super::case::{Case, Evidence, HUNDREDTH, Rows, count, or_nan, sweep};
use lessdin::formulas::motion::{
    Exact, Measure, Motor, MotorSpeed, coil_currents, dead_band, exact, microstep_torque, motor_speed, resonance,
};

/// Speed and travel per turn of a 1.8° motor.
fn speed_of(x: &[f64]) -> Result<MotorSpeed, lessdin::formulas::FormulaError> {
    let motor = Motor { step_angle: Exact::new(9, 5), microsteps: 16, gear: Exact::from_integer(1) };
    motor_speed(motor, Measure::plain(exact(x[1])?), x[0])
}

const SHARES: Rows = &[
    (&[1.0], 1.0),
    (&[2.0], 0.707_107),
    (&[4.0], 0.382_683),
    (&[8.0], 0.195_090),
    (&[10.0], 0.156_434),
    (&[16.0], 0.098_017),
    (&[32.0], 0.049_068),
    (&[64.0], 0.024_541),
    (&[128.0], 0.012_272),
    (&[256.0], 0.006_136),
    (&[0.0], f64::NAN),
];

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "motion.microstep_torque",
        at: "share of the holding torque per microstep",
        evidence: Evidence::Read,
        tolerance: 6e-7,
        why: "per cent given to 4 decimals",
        compute: |x| or_nan(microstep_torque(count(x[0]))),
        rows: SHARES,
    },
    Case {
        formula: "motion.coil_currents",
        at: "first microstep of n: the same sines",
        evidence: Evidence::Read,
        tolerance: 6e-7,
        why: "per cent given to 4 decimals",
        compute: |x| or_nan(coil_currents(1, count(x[0])).map(|pair| pair.0)),
        rows: SHARES,
    },
    Case {
        formula: "motion.dead_band",
        at: "friction as a share of holding torque; in degrees of a 1.8° motor",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-6,
        why: "given to 5 decimals",
        compute: |x| 1.8 * or_nan(dead_band(x[0])),
        rows: &[
            (&[0.01], 0.011_46),
            (&[0.05], 0.057_32),
            (&[0.10], 0.114_78),
            (&[0.20], 0.230_74),
            (&[0.30], 0.349_15),
            (&[1.01], f64::NAN),
        ],
    },
    Case {
        formula: "motion.dead_band",
        at: "the same in sixteenth-steps",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-4,
        why: "given to 3 decimals",
        compute: |x| 16.0 * or_nan(dead_band(x[0])),
        rows: &[(&[0.01], 0.102), (&[0.05], 0.510), (&[0.10], 1.020), (&[0.20], 2.051), (&[0.30], 3.104)],
    },
    Case {
        formula: "motion.motor_speed",
        at: "a torque period of four full steps: electrical fundamental",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| or_nan(speed_of(x).map(|s| s.electrical)),
        rows: &[
            (&[50.0, 40.0], 62.5),
            (&[100.0, 40.0], 125.0),
            (&[200.0, 40.0], 250.0),
            (&[150.0, 32.0], 234.375),
            (&[10.0, 8.0], 62.5),
            (&[5.0, 2.0], 125.0),
        ],
    },
    Case {
        formula: "motion.motor_speed",
        at: "full steps per second",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| or_nan(speed_of(x).map(|s| s.full_steps)),
        rows: &[(&[50.0, 40.0], 250.0), (&[100.0, 40.0], 500.0), (&[150.0, 32.0], 937.5), (&[-5.0, 2.0], 500.0)],
    },
    Case {
        formula: "motion.motor_speed",
        at: "turns per minute",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| or_nan(speed_of(x).map(|s| s.rpm)),
        rows: &[(&[50.0, 40.0], 75.0), (&[100.0, 40.0], 150.0), (&[200.0, 40.0], 300.0), (&[150.0, 32.0], 281.25)],
    },
    Case {
        formula: "motion.motor_speed",
        at: "turns per second",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| or_nan(speed_of(x).map(|s| s.turns)),
        rows: &[(&[50.0, 40.0], 1.25), (&[150.0, 32.0], 4.6875), (&[5.0, 2.0], 2.5)],
    },
    Case {
        formula: "motion.resonance",
        at: "holding torque, share of current, inertia in g·cm², 1.8°",
        evidence: Evidence::ClosedForm,
        tolerance: HUNDREDTH.0,
        why: HUNDREDTH.1,
        compute: |x| or_nan(resonance(x[0], x[1], x[2] * 1e-7, 1.8)),
        rows: &[(&[0.40, 1.0, 54.0], 306.29), (&[0.45, 1.0, 68.0], 289.51), (&[0.40, 0.7, 54.0], 256.26), (&[0.45, 0.7, 68.0], 242.22)],
    },
];

#[test]
fn stepping_tutorial() {
    sweep(CASES);
}
