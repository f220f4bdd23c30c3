//! ISO 11200:2014, Annex B: worked examples of energy means, background correction and uncertainty.

use super::case::{Case, Evidence, TENTH, levels, or_nan, sweep};
use lessdin::formulas::levels::{background_correction, energy_mean, k1_engineering, remove_background};
use lessdin::formulas::uncertainty::{combine, standard_deviation};
use lessdin::units::{Gain, Level};

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "levels.energy_mean",
        at: "Annex B, Examples 2 and 3",
        evidence: Evidence::Read,
        tolerance: TENTH.0,
        why: TENTH.1,
        compute: |x| or_nan(energy_mean(&levels(x)).map(|l| l.0)),
        rows: &[(&[77.5, 76.0, 77.2, 77.7, 75.9], 76.9), (&[80.5, 81.0, 76.0, 75.0, 74.0, 72.0], 77.7)],
    },
    Case {
        formula: "levels.background_correction",
        at: "Annex B, Example 3",
        evidence: Evidence::Read,
        tolerance: TENTH.0,
        why: TENTH.1,
        compute: |x| or_nan(background_correction(Gain(x[0] - x[1])).map(|k| k.0)),
        rows: &[(&[79.0, 70.0], 0.6)],
    },
    Case {
        formula: "levels.k1_engineering",
        at: "Annex B, Example 3",
        evidence: Evidence::Read,
        tolerance: TENTH.0,
        why: TENTH.1,
        compute: |x| or_nan(k1_engineering(Gain(x[0] - x[1])).map(|k| k.k1.0)),
        rows: &[(&[79.0, 70.0], 0.6)],
    },
    Case {
        formula: "levels.remove_background",
        at: "Annex B, Example 3",
        evidence: Evidence::Read,
        tolerance: TENTH.0,
        why: TENTH.1,
        compute: |x| or_nan(remove_background(Level(x[0]), Level(x[1])).map(|l| l.0)),
        rows: &[(&[79.0, 70.0], 78.4)],
    },
    Case {
        formula: "uncertainty.combine",
        at: "Annex B, Example 2",
        evidence: Evidence::Read,
        tolerance: TENTH.0,
        why: TENTH.1,
        compute: |x| or_nan(combine(x)),
        rows: &[(&[1.5, 1.0], 1.8)],
    },
    Case {
        formula: "uncertainty.combine",
        at: "Annex B, Example 2, expanded with k = 1.6",
        evidence: Evidence::Read,
        tolerance: TENTH.0,
        why: TENTH.1,
        compute: |x| 1.6 * or_nan(combine(x)),
        rows: &[(&[1.5, 1.0], 2.9)],
    },
    Case {
        formula: "uncertainty.standard_deviation",
        at: "Table B.3, divisor n − 1 (Table B.1 prints the one with divisor n and is left out)",
        evidence: Evidence::Read,
        tolerance: TENTH.0,
        why: TENTH.1,
        compute: |x| or_nan(standard_deviation(x)),
        rows: &[(&[79.0, 80.2, 82.9], 2.0)],
    },
];

#[test]
fn iso_11200() {
    sweep(CASES);
}
