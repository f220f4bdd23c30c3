//! ISO 9611:1996, Eq. (9): an energy mean.

use super::case::{Case, Evidence, levels, or_nan, sweep};
use lessdin::formulas::levels::energy_mean;

pub(super) static CASES: &[Case] = &[Case {
    formula: "levels.energy_mean",
    at: "Eq. (9)",
    evidence: Evidence::Read,
    tolerance: 5e-9,
    why: "quoted to 8 decimals",
    compute: |x| or_nan(energy_mean(&levels(x)).map(|l| l.0)),
    rows: &[(&[70.0, 72.0, 74.0], 72.301_746_01)],
}];

#[test]
fn iso_9611() {
    sweep(CASES);
}
