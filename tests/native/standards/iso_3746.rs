//! ISO 3746:2010, 8.3.3: background correction of the survey grade.

use super::case::{Case, Evidence, FIVE, or_nan, sweep};
use lessdin::formulas::levels::k1_survey;
use lessdin::units::Gain;

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "levels.k1_survey",
        at: "8.3.3: formula from 3 to 10 dB, both included; above 10 dB none; below 3 dB the printed 3.0 dB",
        evidence: Evidence::Read,
        tolerance: FIVE.0,
        why: FIVE.1,
        compute: |x| or_nan(k1_survey(Gain(x[0])).map(|k| k.k1.0)),
        rows: &[(&[3.0], 3.020_62), (&[5.0], 1.650_89), (&[10.0], 0.457_57), (&[10.1], 0.0), (&[2.99], 3.0), (&[-1.0], 3.0)],
    },
    Case {
        formula: "levels.k1_survey",
        at: "8.3.3: an upper bound (1) or not (0)",
        evidence: Evidence::Read,
        tolerance: 0.0,
        why: "yes or no",
        compute: |x| or_nan(k1_survey(Gain(x[0])).map(|k| f64::from(u8::from(k.bound)))),
        rows: &[(&[2.99], 1.0), (&[3.0], 0.0), (&[10.0], 0.0), (&[12.0], 0.0)],
    },
];

#[test]
fn iso_3746() {
    sweep(CASES);
}
