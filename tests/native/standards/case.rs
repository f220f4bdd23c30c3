//! One outside check, and the sweep over a file of them.

use lessdin::formulas::FormulaError;
use lessdin::units::{Level, PlusMinus};

/// Where an expected value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Evidence {
    /// Printed in a document, or in open material that quotes it: see README.md.
    Read,
    /// Worked out by a general-purpose library.
    Library { name: &'static str, version: &'static str },
    /// Worked out from the definition, outside this project, or known in closed form.
    ClosedForm,
    /// Recalled. Does not count as an outside check by itself.
    Memory,
}

/// Rows of inputs with the expected value as printed. Where a formula must refuse, NaN is expected.
pub(super) type Rows = &'static [(&'static [f64], f64)];

/// Outside checks of one formula from one place.
pub(super) struct Case {
    /// The formula, by its id in the registry.
    pub(super) formula: &'static str,
    /// Clause, table or example.
    pub(super) at: &'static str,
    /// How the expected values are known.
    pub(super) evidence: Evidence,
    /// How far off a value may be.
    pub(super) tolerance: f64,
    /// Why that far.
    pub(super) why: &'static str,
    /// The formula, from the inputs of a row.
    pub(super) compute: fn(&[f64]) -> f64,
    /// The checks.
    pub(super) rows: Rows,
}

/// Digits of a printed value.
pub(super) const TENTH: (f64, &str) = (0.05 + 1e-9, "printed to 0.1");
pub(super) const HUNDREDTH: (f64, &str) = (0.005 + 1e-9, "printed to 0.01");
pub(super) const THREE: (f64, &str) = (5e-4 + 1e-9, "given to 3 decimals");
pub(super) const FOUR: (f64, &str) = (5e-5 + 1e-9, "given to 4 decimals");
pub(super) const FIVE: (f64, &str) = (5e-6 + 1e-9, "given to 5 decimals");
pub(super) const DOUBLE: (f64, &str) = (1e-9, "both in double precision or better");

/// The value, or NaN for a refusal.
pub(super) fn or_nan(result: Result<f64, FormulaError>) -> f64 {
    result.unwrap_or(f64::NAN)
}

pub(super) fn levels(values: &[f64]) -> Vec<Level> {
    values.iter().copied().map(Level).collect()
}

/// Level and half width, one after the other.
pub(super) fn with_half_widths(values: &[f64]) -> Vec<PlusMinus<Level>> {
    values.chunks_exact(2).map(|pair| PlusMinus::new(Level(pair[0]), pair[1])).collect()
}

/// A count given as a number.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small counts written as whole numbers")]
pub(super) fn count(value: f64) -> u32 {
    value as u32
}

/// Compares every row of every case and names all that differ.
#[track_caller]
pub(super) fn sweep(cases: &[Case]) {
    let mut wrong = Vec::new();
    for case in cases {
        assert!(!case.rows.is_empty() && !case.at.is_empty() && !case.why.is_empty(), "{} lacks rows or reasons", case.formula);
        for (inputs, expected) in case.rows {
            let found = (case.compute)(inputs);
            let agrees = if expected.is_nan() { found.is_nan() } else { (found - expected).abs() <= case.tolerance };
            if !agrees {
                wrong.push(format!("{} ({}) {inputs:?}: expected {expected}, found {found}", case.formula, case.at));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
