//! ISO 3743-1:2010: the floor of the background correction, and a budget of uncertainties.

use super::case::{Case, Evidence, TENTH, or_nan, sweep};
use lessdin::formulas::levels::k1_engineering;
use lessdin::formulas::uncertainty::combine;
use lessdin::units::Gain;

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "levels.k1_engineering",
        at: "8.1.3: below 6 dB the printed 1.3 dB",
        evidence: Evidence::Read,
        tolerance: 1e-12,
        why: "a stated constant",
        compute: |x| or_nan(k1_engineering(Gain(x[0])).map(|k| k.k1.0)),
        rows: &[(&[5.9], 1.3), (&[3.0], 1.3), (&[0.0], 1.3), (&[-4.0], 1.3)],
    },
    Case {
        formula: "uncertainty.combine",
        at: "9.5, expanded with k = 2",
        evidence: Evidence::Read,
        tolerance: TENTH.0,
        why: TENTH.1,
        compute: |x| 2.0 * or_nan(combine(x)),
        rows: &[(&[1.5, 2.0], 5.0)],
    },
];

#[test]
fn iso_3743_1() {
    sweep(CASES);
}
