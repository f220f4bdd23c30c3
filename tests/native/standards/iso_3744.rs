//! ISO 3744:2010, 8.2.3, Eq. (16): background correction of the engineering grade.

use super::case::{Case, Evidence, FIVE, FOUR, or_nan, sweep};
use lessdin::formulas::levels::{Finding, Grade, alone, background_correction, grade, k1_engineering, remove_background};
use lessdin::units::{Gain, Level, PlusMinus};

/// K1 by Eq. (16), worked out outside to five decimals.
const TABLE: super::case::Rows = &[
    (&[0.5], 9.635_74),
    (&[1.0], 6.868_25),
    (&[1.5], 5.345_37),
    (&[2.0], 4.329_23),
    (&[3.0], 3.020_62),
    (&[4.0], 2.204_81),
    (&[5.0], 1.650_89),
    (&[6.0], 1.256_28),
    (&[7.0], 0.966_53),
    (&[8.0], 0.749_40),
    (&[9.0], 0.584_35),
    (&[10.0], 0.457_57),
    (&[11.0], 0.359_45),
    (&[12.0], 0.283_05),
    (&[13.0], 0.223_31),
    (&[14.0], 0.176_43),
    (&[15.0], 0.139_55),
    (&[16.0], 0.110_48),
    (&[20.0], 0.043_65),
    (&[0.0], f64::NAN),
    (&[-1.0], f64::NAN),
];

fn by_rank(grade: Grade) -> f64 {
    match grade {
        Grade::Solid => 3.0,
        Grade::Rough => 2.0,
        Grade::AtMost => 1.0,
        Grade::Nothing => 0.0,
    }
}

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "levels.background_correction",
        at: "Eq. (16)",
        evidence: Evidence::ClosedForm,
        tolerance: FIVE.0,
        why: FIVE.1,
        compute: |x| or_nan(background_correction(Gain(x[0])).map(|k| k.0)),
        rows: TABLE,
    },
    Case {
        formula: "levels.k1_engineering",
        at: "8.2.3: formula from 6 to 15 dB, both included; above 15 dB none",
        evidence: Evidence::Read,
        tolerance: FIVE.0,
        why: FIVE.1,
        compute: |x| or_nan(k1_engineering(Gain(x[0])).map(|k| k.k1.0)),
        rows: &[(&[6.0], 1.256_28), (&[10.0], 0.457_57), (&[15.0], 0.139_55), (&[15.1], 0.0), (&[20.0], 0.0), (&[5.99], 1.3)],
    },
    Case {
        formula: "levels.k1_engineering",
        at: "8.2.3: an upper bound (1) or not (0)",
        evidence: Evidence::Read,
        tolerance: 0.0,
        why: "yes or no",
        compute: |x| or_nan(k1_engineering(Gain(x[0])).map(|k| f64::from(u8::from(k.bound)))),
        rows: &[(&[5.99], 1.0), (&[6.0], 0.0), (&[15.0], 0.0), (&[40.0], 0.0), (&[-2.0], 1.0)],
    },
    Case {
        formula: "levels.grade",
        at: "8.2.3: from 6 dB, and from 3 dB by ISO 3746, 8.3.3 (solid 3, rough 2, at most 1, nothing 0)",
        evidence: Evidence::Read,
        tolerance: 0.0,
        why: "a class",
        compute: |x| or_nan(grade(Gain(x[0])).map(by_rank)),
        rows: &[(&[16.0], 3.0), (&[6.0], 3.0), (&[5.99], 2.0), (&[3.0], 2.0), (&[2.99], 1.0), (&[0.1], 1.0), (&[0.0], 0.0), (&[-3.0], 0.0)],
    },
    Case {
        formula: "levels.remove_background",
        at: "Eq. (16)",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(remove_background(Level(x[0]), Level(x[1])).map(|l| l.0)),
        rows: &[
            (&[60.0, 54.0], 58.7437),
            (&[50.0, 47.0], 46.9794),
            (&[45.0, 44.0], 38.1317),
            (&[42.0, 40.5], 36.6546),
            (&[40.0, 40.0], f64::NAN),
            (&[40.0, 41.0], f64::NAN),
        ],
    },
    Case {
        formula: "levels.alone",
        at: "8.2.3: a value from 3 dB upwards",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| match alone(PlusMinus::exact(Level(x[0])), PlusMinus::exact(Level(x[1]))) {
            Ok(answer) => match answer.level {
                Finding::Value(level) => level.value.0,
                _ => f64::NAN,
            },
            Err(_) => f64::NAN,
        },
        rows: &[
            (&[60.0, 54.0], 58.7437),
            (&[50.0, 47.0], 46.9794),
            (&[60.0, 40.0], 60.0),
            (&[45.0, 44.0], f64::NAN),
            (&[40.0, 40.0], f64::NAN),
        ],
    },
    Case {
        formula: "levels.alone",
        at: "ISO 3746, 8.3.3: below 3 dB a bound with K1 held at its value for 3 dB",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| match alone(PlusMinus::exact(Level(x[0])), PlusMinus::exact(Level(x[1]))) {
            Ok(answer) => match answer.level {
                Finding::AtMost(level) => level.0,
                _ => f64::NAN,
            },
            Err(_) => f64::NAN,
        },
        rows: &[(&[45.0, 44.0], 41.9794), (&[45.0, 42.1], 41.9794), (&[45.0, 42.0], f64::NAN)],
    },
];

#[test]
fn iso_3744() {
    sweep(CASES);
}
