//! scipy 1.17.1, `scipy.optimize.nnls`: the two examples of its documentation, random systems kept in `nnls_systems.txt`
//! (made by `nnls_systems.py`), and runs with parts on and off.

use super::case::{Case, DOUBLE, Evidence, Rows, count, or_nan, sweep};
use lessdin::formulas::FormulaError;
use lessdin::formulas::nnls::{Separation, always_together, identifiable, non_negative, null_space, separate};
use lessdin::units::{Energy, Level, count_to_f64};

const SCIPY: Evidence = Evidence::Library { name: "scipy", version: "1.17.1" };

/// The two columns of the documentation's example.
fn documented(target: f64, which: usize) -> f64 {
    let columns = [vec![1.0, 1.0, 0.0], vec![0.0, 0.0, 1.0]];
    let target = if target > 0.0 { [2.0, 1.0, 1.0] } else { [-1.0; 3] };
    or_nan(non_negative(&columns, &target).map(|solution| match which {
        0 | 1 => solution.values[which],
        _ => solution.residual,
    }))
}

/// Runs written as digits, one run per number; the background is the first digit.
fn runs(codes: &[u32]) -> Vec<Vec<u32>> {
    codes.iter().map(|code| code.to_string().chars().map(|digit| digit.to_digit(10).unwrap()).collect()).collect()
}

const FOUR_RUNS: &[u32] = &[1000, 1100, 1010, 1001];
const SIX_RUNS: &[u32] = &[100, 110, 101, 111, 110, 111];
const LOST: &[u32] = &[100, 110, 101, 111];
const ONE_OFF: &[u32] = &[1111, 1011, 1101, 1110, 1000];
const TOGETHER: &[u32] = &[100, 111, 111, 100];

fn solve(codes: &[u32], readings: &[f64]) -> Result<Separation, FormulaError> {
    separate(&runs(codes), &readings.iter().copied().map(Level).collect::<Vec<_>>())
}

/// A found level by its position, −1 for the misfit; NaN for a source that is lost.
fn found(codes: &[u32], readings: &[f64], which: f64) -> f64 {
    match solve(codes, readings) {
        Ok(separation) if which < 0.0 => separation.misfit,
        Ok(separation) => separation.levels[count(which) as usize].map_or(f64::NAN, |level| level.0),
        Err(_) => f64::NAN,
    }
}

const EXACT: &[f64] = &[30.0, 40.413_926_85, 43.212_384_02, 36.193_310_48];
const ROUNDED: &[f64] = &[30.0, 40.4, 43.2, 36.2];
const NOISY: &[f64] = &[32.0, 41.2, 44.6, 46.1, 40.7, 46.5];
const HIDDEN: &[f64] = &[38.0, 37.6, 45.0, 44.9];
const SWITCHED: &[f64] = &[46.5, 45.8, 45.1, 42.9, 28.0];
const PAIRED: &[f64] = &[30.0, 42.0, 42.4, 30.4];

const LEVELS: (f64, &str) = (1e-4, "given to 4 decimals");

/// Codes of the runs, and how many changes none of them would show.
const HIDDEN_CHANGES: Rows =
    &[(&[1000.0, 1100.0, 1010.0, 1001.0], 0.0), (&[100.0, 111.0, 111.0, 100.0], 1.0), (&[1111.0, 1000.0], 2.0), (&[12.0, 24.0], 1.0)];

fn codes(x: &[f64]) -> Vec<Vec<u32>> {
    runs(&x.iter().map(|code| count(*code)).collect::<Vec<_>>())
}

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "nnls.non_negative",
        at: "documentation: b = 2, 1, 1 (1) and b = −1, −1, −1 (−1); first value, second value, residual",
        evidence: Evidence::Read,
        tolerance: 5.1e-9,
        why: "given to 8 decimals",
        compute: |x| documented(x[0], count(x[1]) as usize),
        rows: &[
            (&[1.0, 0.0], 1.5),
            (&[1.0, 1.0], 1.0),
            (&[1.0, 2.0], 0.707_106_78),
            (&[-1.0, 0.0], 0.0),
            (&[-1.0, 1.0], 0.0),
            (&[-1.0, 2.0], 1.732_050_81),
        ],
    },
    Case {
        formula: "nnls.separate",
        at: "each part by itself: exact readings",
        evidence: SCIPY,
        tolerance: 1e-8,
        why: "readings given to 8 decimals",
        compute: |x| found(FOUR_RUNS, EXACT, x[0]),
        rows: &[(&[0.0], 30.0), (&[1.0], 40.0), (&[2.0], 43.0), (&[3.0], 35.0), (&[-1.0], 0.0)],
    },
    Case {
        formula: "nnls.separate",
        at: "the same with readings rounded to 0.1 dB",
        evidence: SCIPY,
        tolerance: LEVELS.0,
        why: LEVELS.1,
        compute: |x| found(FOUR_RUNS, ROUNDED, x[0]),
        rows: &[(&[0.0], 30.0), (&[1.0], 39.9847), (&[2.0], 42.9870), (&[3.0], 35.0088)],
    },
    Case {
        formula: "nnls.separate",
        at: "more runs than parts, noisy readings: weighted",
        evidence: SCIPY,
        tolerance: LEVELS.0,
        why: LEVELS.1,
        compute: |x| found(SIX_RUNS, NOISY, x[0]),
        rows: &[(&[0.0], 31.9891), (&[1.0], 40.3841), (&[2.0], 44.5605)],
    },
    Case {
        formula: "nnls.separate",
        at: "the same: misfit",
        evidence: SCIPY,
        tolerance: 1.3e-6,
        why: "relative 1e-5",
        compute: |_| found(SIX_RUNS, NOISY, -1.0),
        rows: &[(&[], 0.124_071)],
    },
    Case {
        formula: "nnls.separate",
        at: "the same: reading minus fit of each run",
        evidence: SCIPY,
        tolerance: LEVELS.0,
        why: LEVELS.1,
        compute: |x| or_nan(solve(SIX_RUNS, NOISY).map(|separation| separation.residuals[count(x[0]) as usize].0)),
        rows: &[(&[0.0], 0.0109), (&[1.0], 0.2289), (&[2.0], -0.1943), (&[3.0], -0.0368), (&[4.0], -0.2711), (&[5.0], 0.3632)],
    },
    Case {
        formula: "nnls.separate",
        at: "a source lost in the background (second), and the misfit",
        evidence: SCIPY,
        tolerance: LEVELS.0,
        why: LEVELS.1,
        compute: |x| found(LOST, HIDDEN, x[0]),
        rows: &[(&[0.0], 37.7862), (&[1.0], f64::NAN), (&[2.0], 44.0223), (&[-1.0], 0.067_019_5)],
    },
    Case {
        formula: "nnls.separate",
        at: "switching off one part at a time, and the misfit",
        evidence: SCIPY,
        tolerance: LEVELS.0,
        why: LEVELS.1,
        compute: |x| found(ONE_OFF, SWITCHED, x[0]),
        rows: &[(&[0.0], 28.0), (&[1.0], 38.1980), (&[2.0], 40.8873), (&[3.0], 44.0025), (&[-1.0], 0.000_872_734)],
    },
    Case {
        formula: "nnls.separate",
        at: "two parts always on together: the background, their sum, the misfit",
        evidence: SCIPY,
        tolerance: LEVELS.0,
        why: LEVELS.1,
        compute: |x| {
            if x[0] < 0.5 {
                return found(TOGETHER, PAIRED, x[0]);
            }
            let separation = solve(TOGETHER, PAIRED).unwrap();
            let parts = separation.levels.iter().skip(1).flatten().map(|level| level.to_energy());
            parts.sum::<Energy>().to_level().map_or(f64::NAN, |level| level.0)
        },
        rows: &[(&[0.0], 30.1862), (&[1.0], 41.9032), (&[-1.0], 0.091_941)],
    },
    Case {
        formula: "nnls.null_space",
        at: "number of sources minus rank",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "a count",
        compute: |x| or_nan(null_space(&codes(x)).map(|hidden| count_to_f64(hidden.len()))),
        rows: HIDDEN_CHANGES,
    },
    Case {
        formula: "nnls.identifiable",
        at: "how many sources are known by themselves",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "a count",
        compute: |x| or_nan(identifiable(&codes(x)).map(|known| count_to_f64(known.iter().filter(|known| **known).count()))),
        rows: &[
            (&[1000.0, 1100.0, 1010.0, 1001.0], 4.0),
            (&[100.0, 111.0, 111.0, 100.0], 1.0),
            (&[1110.0, 1001.0, 1000.0], 2.0),
            (&[110.0, 101.0], 0.0),
        ],
    },
    Case {
        formula: "nnls.always_together",
        at: "how many groups",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "a count",
        compute: |x| or_nan(always_together(&codes(x)).map(|groups| count_to_f64(groups.len()))),
        rows: &[(&[100.0, 111.0, 111.0, 100.0], 2.0), (&[1000.0, 1100.0, 1010.0, 1001.0], 4.0), (&[111.0], 1.0)],
    },
];

#[test]
fn nnls_documented_and_worked_cases() {
    sweep(CASES);
}

#[test]
fn random_systems_are_solved_as_by_scipy() {
    let mut solved = 0;
    for (line, text) in include_str!("nnls_systems.txt").lines().enumerate() {
        let numbers: Vec<f64> = text.split(' ').map(|number| number.parse().unwrap()).collect();
        let (rows, width) = (count(numbers[0]) as usize, count(numbers[1]) as usize);
        let (matrix, rest) = numbers[2..].split_at(rows * width);
        let (target, rest) = rest.split_at(rows);
        let (expected, residual) = rest.split_at(width);
        let columns: Vec<Vec<f64>> = (0..width).map(|column| matrix.iter().skip(column).step_by(width).copied().collect()).collect();
        let solution = non_negative(&columns, target).unwrap();
        for (found, expected) in solution.values.iter().zip(expected) {
            assert!((found - expected).abs() <= DOUBLE.0 * expected.abs().max(1.0), "line {}", line + 1);
        }
        assert!((solution.residual - residual[0]).abs() <= DOUBLE.0, "line {}", line + 1);
        solved += 1;
    }
    assert_eq!(solved, 120);
}
