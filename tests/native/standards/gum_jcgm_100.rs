//! JCGM 100:2008 (GUM): propagation of uncertainty. The published figure is Example H.1; the tables apply 5.1.2 to levels
//! and were worked out outside.

use super::case::{Case, Evidence, FIVE, FOUR, HUNDREDTH, or_nan, sweep, with_half_widths};
use lessdin::formulas::uncertainty::{background_removed, drop, student_t, sum};
use lessdin::units::{Level, PlusMinus};

fn sum_of(x: &[f64]) -> f64 {
    let rows: Vec<_> = with_half_widths(x).into_iter().map(|row| (row, 1)).collect();
    or_nan(sum(&rows).map(|total| total.half_width))
}

/// Both readings with the same half width, so far apart.
fn apart(x: &[f64], with: f64, without: f64) -> f64 {
    let pair = (PlusMinus::new(Level(60.0), with), PlusMinus::new(Level(60.0 - x[0]), without));
    or_nan(background_removed(pair.0, pair.1).map(|level| level.half_width))
}

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "uncertainty.student_t",
        at: "H.1: k for 99 % and 16 degrees of freedom",
        evidence: Evidence::Read,
        tolerance: HUNDREDTH.0,
        why: HUNDREDTH.1,
        compute: |x| or_nan(student_t(x[0], x[1])),
        rows: &[(&[0.99, 16.0], 2.92)],
    },
    Case {
        formula: "uncertainty.sum",
        at: "5.1.2 for an energy sum: levels with their uncertainties",
        evidence: Evidence::ClosedForm,
        tolerance: FIVE.0,
        why: FIVE.1,
        compute: sum_of,
        rows: &[(&[50.0, 1.0, 50.0, 1.0], 0.707_11), (&[50.0, 1.0, 44.0, 1.0], 0.824_07), (&[45.0, 0.5, 42.0, 0.5, 38.0, 0.5], 0.334_04)],
    },
    Case {
        formula: "uncertainty.sum",
        at: "5.1.2 for an energy sum: sensitivities, one part uncertain at a time",
        evidence: Evidence::ClosedForm,
        tolerance: FIVE.0,
        why: FIVE.1,
        compute: sum_of,
        rows: &[
            (&[50.0, 1.0, 44.0, 0.0], 0.799_24),
            (&[50.0, 0.0, 44.0, 1.0], 0.200_76),
            (&[45.0, 1.0, 42.0, 0.0, 38.0, 0.0], 0.587_99),
            (&[45.0, 0.0, 42.0, 1.0, 38.0, 0.0], 0.294_69),
            (&[45.0, 0.0, 42.0, 0.0, 38.0, 1.0], 0.117_32),
        ],
    },
    Case {
        formula: "uncertainty.sum",
        at: "several alike share one reading: its error is not averaged away",
        evidence: Evidence::ClosedForm,
        tolerance: FIVE.0,
        why: FIVE.1,
        compute: |x| {
            let row = PlusMinus::new(Level(x[0]), x[1]);
            or_nan(sum(&[(row, 3)]).map(|total| total.half_width))
        },
        rows: &[(&[50.0, 0.8], 0.8)],
    },
    Case {
        formula: "uncertainty.background_removed",
        at: "5.1.2 for the background correction: sensitivity to the reading with the source on",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| apart(x, 1.0, 0.0),
        rows: &[
            (&[1.0], 4.8621),
            (&[2.0], 2.7097),
            (&[3.0], 2.0048),
            (&[4.0], 1.6614),
            (&[5.0], 1.4625),
            (&[6.0], 1.3354),
            (&[8.0], 1.1883),
            (&[10.0], 1.1111),
            (&[15.0], 1.0327),
        ],
    },
    Case {
        formula: "uncertainty.background_removed",
        at: "5.1.2 for the background correction: sensitivity to the reading with the source off",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| apart(x, 0.0, 1.0),
        rows: &[
            (&[1.0], 3.8621),
            (&[2.0], 1.7097),
            (&[3.0], 1.0048),
            (&[4.0], 0.6614),
            (&[5.0], 0.4625),
            (&[6.0], 0.3354),
            (&[8.0], 0.1883),
            (&[10.0], 0.1111),
            (&[15.0], 0.0327),
        ],
    },
    Case {
        formula: "uncertainty.background_removed",
        at: "5.1.2 for the background correction: 0.5 dB on both readings",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| apart(x, 0.5, 0.5),
        rows: &[
            (&[1.0], 3.1047),
            (&[2.0], 1.6020),
            (&[3.0], 1.1212),
            (&[4.0], 0.8941),
            (&[5.0], 0.7669),
            (&[6.0], 0.6885),
            (&[8.0], 0.6016),
            (&[10.0], 0.5583),
            (&[15.0], 0.5166),
            (&[0.0], f64::NAN),
        ],
    },
    Case {
        formula: "uncertainty.drop",
        at: "5.1.2 for a difference",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-12,
        why: "exact: 3, 4, 5",
        compute: |x| {
            let levels = with_half_widths(x);
            or_nan(drop(levels[0], levels[1]).map(|d| d.half_width))
        },
        rows: &[(&[50.0, 0.3, 44.0, 0.4], 0.5), (&[44.0, 1.2, 50.0, 0.5], 1.3)],
    },
];

#[test]
fn gum_jcgm_100() {
    sweep(CASES);
}
