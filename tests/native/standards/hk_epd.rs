//! Hong Kong Environmental Protection Department, Technical Memorandum, Table 4: summation of noise levels.

use super::case::{Case, Evidence, levels, or_nan, sweep};
use lessdin::formulas::levels::energy_sum;

pub(super) static CASES: &[Case] = &[Case {
    formula: "levels.energy_sum",
    at: "Table 4: what to add to the higher level",
    evidence: Evidence::Read,
    tolerance: 0.25,
    why: "the table is rounded to half decibels",
    compute: |x| or_nan(energy_sum(&levels(&[60.0, 60.0 - x[0]])).map(|l| l.0 - 60.0)),
    rows: &[
        (&[0.0], 3.0),
        (&[0.5], 3.0),
        (&[1.0], 2.5),
        (&[1.5], 2.5),
        (&[2.0], 2.0),
        (&[3.0], 2.0),
        (&[3.5], 1.5),
        (&[4.5], 1.5),
        (&[5.0], 1.0),
        (&[7.0], 1.0),
        (&[7.5], 0.5),
        (&[12.0], 0.5),
        (&[13.0], 0.0),
    ],
}];

#[test]
fn hk_epd() {
    sweep(CASES);
}
