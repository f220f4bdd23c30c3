//! A motor maker's glossary: a step of an unloaded motor is within 5 % of a full step, and this does not add up.

use super::case::{Case, Evidence, or_nan, sweep};
use lessdin::formulas::motion::step_error;

pub(super) static CASES: &[Case] = &[Case {
    formula: "motion.step_error",
    at: "5 % of a full step: degrees, and millimetres of a 0.2 mm full step",
    evidence: Evidence::Read,
    tolerance: 1e-12,
    why: "exact",
    compute: |x| or_nan(step_error(x[0])),
    rows: &[(&[1.8], 0.09), (&[0.9], 0.045), (&[0.2], 0.010)],
}];

#[test]
fn step_accuracy() {
    sweep(CASES);
}
