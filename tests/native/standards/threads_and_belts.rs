//! Drives: pitches of ISO 5296 belts from an engineering glossary, the multi-start thread designation from an engineering
//! table of ISO metric trapezoidal threads (`Tr d × lead (P pitch)`), and plain geometry worked out outside.

use super::case::{Case, Evidence, count, or_nan, sweep};
use lessdin::formulas::FormulaError;
use lessdin::formulas::motion::{
    Drive, Exact, GearPair, Motor, exact, full_step_travel, full_steps_per_turn, gear_ratio, steps_per_unit, travel_per_turn,
};

fn motor(angle: f64, microsteps: f64) -> Result<Motor, FormulaError> {
    Ok(Motor { step_angle: exact(angle)?, microsteps: count(microsteps), gear: Exact::from_integer(1) })
}

fn per_mm(motor: Motor, drive: Drive) -> Result<f64, FormulaError> {
    Ok(steps_per_unit(motor, travel_per_turn(drive)?)?.value())
}

/// Step angle, microsteps, pitch, teeth.
fn belt(x: &[f64]) -> Result<f64, FormulaError> {
    let drive = Drive::Belt { pitch: exact(x[2])?, teeth: count(x[3]) };
    per_mm(motor(x[0], x[1])?, drive)
}

/// Microsteps, pitch, starts.
fn screw(x: &[f64]) -> Result<f64, FormulaError> {
    let drive = Drive::Screw { pitch: exact(x[1])?, starts: count(x[2]) };
    per_mm(motor(1.8, x[0])?, drive)
}

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "motion.travel_per_turn",
        at: "ISO 5296 pitches MXL, XL, L, H, XH, XXH, one tooth",
        evidence: Evidence::Read,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| {
            let drive = exact(x[0]).and_then(|pitch| travel_per_turn(Drive::Belt { pitch, teeth: 1 }));
            or_nan(drive.map(|travel| travel.value()))
        },
        rows: &[(&[2.032], 2.032), (&[5.08], 5.08), (&[9.525], 9.525), (&[12.7], 12.7), (&[22.225], 22.225), (&[31.75], 31.75)],
    },
    Case {
        formula: "motion.travel_per_turn",
        at: "thread designation: Tr 8 × 8 (P2) has four starts, lead 8",
        evidence: Evidence::Read,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| {
            let drive = exact(x[0]).and_then(|pitch| travel_per_turn(Drive::Screw { pitch, starts: count(x[1]) }));
            or_nan(drive.map(|travel| travel.value()))
        },
        rows: &[(&[2.0, 4.0], 8.0), (&[2.0, 1.0], 2.0), (&[2.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "motion.travel_per_turn",
        at: "rack: module and teeth",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-7,
        why: "given to 6 decimals",
        compute: |x| {
            let drive = exact(x[0]).and_then(|module| travel_per_turn(Drive::Rack { module, teeth: count(x[1]) }));
            or_nan(drive.map(|travel| travel.value()))
        },
        rows: &[(&[1.0, 20.0], 62.831_853), (&[0.0, 20.0], f64::NAN)],
    },
    Case {
        formula: "motion.steps_per_unit",
        at: "belts: step angle, microsteps, pitch, teeth",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-7,
        why: "given to 6 decimals",
        compute: |x| or_nan(belt(x)),
        rows: &[
            (&[1.8, 16.0, 2.0, 20.0], 80.0),
            (&[1.8, 16.0, 2.0, 16.0], 100.0),
            (&[0.9, 16.0, 2.0, 20.0], 160.0),
            (&[1.8, 256.0, 2.0, 20.0], 1280.0),
            (&[1.8, 16.0, 3.0, 20.0], 53.333_333),
            (&[1.8, 16.0, 2.032, 18.0], 87.489_064),
            (&[1.8, 16.0, 5.08, 10.0], 62.992_126),
            (&[1.8, 16.0, 5.0, 15.0], 42.666_667),
            (&[1.8, 16.0, 2.0, 0.0], f64::NAN),
            (&[1.8, 0.0, 2.0, 20.0], f64::NAN),
        ],
    },
    Case {
        formula: "motion.steps_per_unit",
        at: "screws: microsteps, pitch, starts",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-7,
        why: "given to 6 decimals",
        compute: |x| or_nan(screw(x)),
        rows: &[
            (&[16.0, 2.0, 4.0], 400.0),
            (&[16.0, 2.0, 1.0], 1600.0),
            (&[16.0, 2.0, 2.0], 800.0),
            (&[16.0, 3.0, 4.0], 266.666_667),
            (&[16.0, 1.25, 1.0], 2560.0),
            (&[16.0, 1.0, 1.0], 3200.0),
            (&[8.0, 5.0, 1.0], 320.0),
            (&[4.0, 2.54, 1.0], 314.960_630),
        ],
    },
    Case {
        formula: "motion.steps_per_unit",
        at: "racks at 1.8° and 16 microsteps: module, teeth",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-7,
        why: "given to 6 decimals",
        compute: |x| {
            or_nan(motor(1.8, 16.0).and_then(|motor| {
                let module = exact(x[0])?;
                per_mm(motor, Drive::Rack { module, teeth: count(x[1]) })
            }))
        },
        rows: &[(&[1.0, 20.0], 50.929_582), (&[0.5, 20.0], 101.859_164)],
    },
    Case {
        formula: "motion.steps_per_unit",
        at: "roller of 11 mm through 3:1 at 1.8° and 16 microsteps",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-7,
        why: "given to 6 decimals",
        compute: |x| {
            or_nan(motor(1.8, 16.0).and_then(|motor| {
                let gear = gear_ratio(&[GearPair { driving: 20, driven: count(20.0 * x[1]) }])?;
                let diameter = exact(x[0])?;
                per_mm(Motor { gear, ..motor }, Drive::Roller { diameter })
            }))
        },
        rows: &[(&[11.0, 3.0], 277.797_719)],
    },
    Case {
        formula: "motion.steps_per_unit",
        at: "turntable at 1.8° and 16 microsteps: gear",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-7,
        why: "given to 6 decimals",
        compute: |x| or_nan(motor(1.8, 16.0).and_then(|motor| per_mm(Motor { gear: exact(x[0])?, ..motor }, Drive::Turntable))),
        rows: &[(&[1.0], 8.888_889), (&[6.0], 53.333_333), (&[90.0], 800.0)],
    },
    Case {
        formula: "motion.full_step_travel",
        at: "angle of a full and of a micro step at a turntable: step angle, microsteps",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| {
            or_nan(motor(x[0], x[1]).and_then(|motor| {
                let step = full_step_travel(motor, travel_per_turn(Drive::Turntable)?)?;
                Ok(step.value() / x[1])
            }))
        },
        rows: &[
            (&[1.8, 1.0], 1.8),
            (&[1.8, 2.0], 0.9),
            (&[1.8, 8.0], 0.225),
            (&[1.8, 16.0], 0.1125),
            (&[1.8, 256.0], 0.007_031_25),
            (&[0.9, 32.0], 0.028_125),
            (&[0.9, 256.0], 0.003_515_625),
        ],
    },
    Case {
        formula: "motion.full_steps_per_turn",
        at: "360° over the step angle",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| {
            or_nan(
                exact(x[0])
                    .and_then(full_steps_per_turn)
                    .map(|n| if n.is_integer() { f64::from(i32::try_from(n.to_integer()).unwrap_or(-1)) } else { f64::NAN }),
            )
        },
        rows: &[(&[1.8], 200.0), (&[0.9], 400.0), (&[7.5], 48.0), (&[0.0], f64::NAN), (&[1.7], f64::NAN)],
    },
];

#[test]
fn threads_and_belts() {
    sweep(CASES);
}
