//! ISO 3745:2012, 10.5: a budget of uncertainties.

use super::case::{Case, Evidence, TENTH, or_nan, sweep};
use lessdin::formulas::uncertainty::combine;

pub(super) static CASES: &[Case] = &[Case {
    formula: "uncertainty.combine",
    at: "10.5, expanded with k = 2",
    evidence: Evidence::Read,
    tolerance: TENTH.0,
    why: TENTH.1,
    compute: |x| 2.0 * or_nan(combine(x)),
    rows: &[(&[0.5, 2.0], 4.1)],
}];

#[test]
fn iso_3745() {
    sweep(CASES);
}
