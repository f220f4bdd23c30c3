//! Stepping Motors: A Guide to Theory and Practice, 4th edition, 5.5: roughness near R/L. The opening of 5.5 was read;
//! the values were worked out outside.

use super::case::{Case, Evidence, HUNDREDTH, or_nan, sweep};
use lessdin::formulas::motion::{Coil, mid_range_rate};

pub(super) static CASES: &[Case] = &[Case {
    formula: "motion.mid_range_rate",
    at: "5.5: resistance and inductance in mH, full steps per second",
    evidence: Evidence::ClosedForm,
    tolerance: HUNDREDTH.0,
    why: HUNDREDTH.1,
    compute: |x| or_nan(mid_range_rate(Coil { resistance: x[0], inductance: x[1] * 1e-3 })),
    rows: &[(&[1.5, 2.8], 341.05), (&[2.4, 3.8], 402.08), (&[1.0, 1.5], 424.41), (&[1.0, 0.0], f64::NAN)],
}];

#[test]
fn stepping_handbook() {
    sweep(CASES);
}
