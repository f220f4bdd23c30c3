//! OSHA technical manual, page "Decibel notation": worked sums and the coarse table.

use super::case::{Case, Evidence, levels, or_nan, sweep};
use lessdin::formulas::levels::energy_sum;

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "levels.energy_sum",
        at: "worked example",
        evidence: Evidence::Read,
        tolerance: 0.05,
        why: "printed to 0.1 dB",
        compute: |x| or_nan(energy_sum(&levels(x)).map(|l| l.0)),
        rows: &[(&[85.0, 83.0, 88.0], 90.6)],
    },
    Case {
        formula: "levels.energy_sum",
        at: "table of differences: what to add to the higher level",
        evidence: Evidence::Read,
        tolerance: 0.5,
        why: "the table is rounded to whole decibels",
        compute: |x| or_nan(energy_sum(&levels(&[60.0, 60.0 - x[0]])).map(|l| l.0 - 60.0)),
        rows: &[
            (&[0.0], 3.0),
            (&[1.0], 3.0),
            (&[2.0], 2.0),
            (&[3.0], 2.0),
            (&[4.0], 1.0),
            (&[5.0], 1.0),
            (&[6.0], 1.0),
            (&[7.0], 1.0),
            (&[8.0], 1.0),
            (&[9.0], 1.0),
            (&[10.0], 0.0),
            (&[15.0], 0.0),
        ],
    },
    Case {
        formula: "levels.energy_sum",
        at: "worked examples solved by the table",
        evidence: Evidence::Read,
        tolerance: 0.65,
        why: "the coarse table is used pair by pair; its rounding adds up",
        compute: |x| or_nan(energy_sum(&levels(x)).map(|l| l.0)),
        rows: &[(&[70.0, 73.0], 75.0), (&[88.0, 86.0, 80.0, 85.0], 91.0)],
    },
];

#[test]
fn osha_manual() {
    sweep(CASES);
}
