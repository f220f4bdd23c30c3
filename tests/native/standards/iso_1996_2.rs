//! ISO 1996-2, Annex G.2: a budget of uncertainties.

use super::case::{Case, Evidence, HUNDREDTH, or_nan, sweep};
use lessdin::formulas::uncertainty::combine;

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "uncertainty.combine",
        at: "Annex G.2, combined standard uncertainty",
        evidence: Evidence::Read,
        tolerance: HUNDREDTH.0,
        why: HUNDREDTH.1,
        compute: |x| or_nan(combine(x)),
        rows: &[(&[0.59, 0.3, 2.0, 0.40, 0.38], 2.18)],
    },
    Case {
        formula: "uncertainty.combine",
        at: "Annex G.2, expanded with k = 2",
        evidence: Evidence::Read,
        tolerance: HUNDREDTH.0,
        why: HUNDREDTH.1,
        compute: |x| 2.0 * or_nan(combine(x)),
        rows: &[(&[0.59, 0.3, 2.0, 0.40, 0.38], 4.36)],
    },
];

#[test]
fn iso_1996_2() {
    sweep(CASES);
}
