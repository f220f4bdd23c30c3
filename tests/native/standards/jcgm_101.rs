//! JCGM 101:2008 (GUM Supplement 1): the additive model of four inputs of unit standard uncertainty. Rectangular inputs give
//! ±3.88 at 95 %, exactly `2√3·[2 − (3/5)^(1/4)]`; Gaussian ones ±3.92. Our draws are seeded, so the checks never waver.

use super::case::{Case, Evidence, or_nan, sweep};
use lessdin::formulas::chance::{Chance, interval, share_at_least};
use lessdin::units::COVERAGE_95;

const DRAWS: usize = 200_000;

fn sums(one: fn(&mut Chance) -> f64) -> Vec<f64> {
    let mut chance = Chance::new(101);
    std::iter::repeat_with(|| (0..4).map(|_| one(&mut chance)).sum()).take(DRAWS).collect()
}

fn rectangular() -> Vec<f64> {
    sums(|chance| chance.rectangular(3_f64.sqrt()))
}

fn gaussian() -> Vec<f64> {
    sums(|chance| chance.normal(COVERAGE_95))
}

/// The low end, the mean or the high end.
fn end(draws: &[f64], which: &[f64]) -> f64 {
    or_nan(interval(draws).map(|found| {
        if which[0] < 0.0 {
            found.low
        } else if which[0] > 0.0 {
            found.high
        } else {
            found.mean
        }
    }))
}

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "chance.interval",
        at: "additive model, four rectangular inputs: ±3.88",
        evidence: Evidence::Read,
        tolerance: 0.03,
        why: "printed to 0.01; two standard errors of an end over 200 000 draws are 0.02",
        compute: |x| end(&rectangular(), x),
        rows: &[(&[-1.0], -3.88), (&[0.0], 0.0), (&[1.0], 3.88)],
    },
    Case {
        formula: "chance.interval",
        at: "additive model, four Gaussian inputs: ±3.92",
        evidence: Evidence::Read,
        tolerance: 0.04,
        why: "printed to 0.01; two standard errors of an end over 200 000 draws are 0.03",
        compute: |x| end(&gaussian(), x),
        rows: &[(&[-1.0], -3.92), (&[0.0], 0.0), (&[1.0], 3.92)],
    },
    Case {
        formula: "chance.interval",
        at: "additive model, four rectangular inputs: standard uncertainty 2.00",
        evidence: Evidence::Read,
        tolerance: 0.01,
        why: "printed to 0.01; two standard errors over 200 000 draws are 0.005",
        compute: |_| {
            let squares: Vec<f64> = rectangular().into_iter().map(|draw| draw * draw).collect();
            or_nan(interval(&squares).map(|found| found.mean.sqrt()))
        },
        rows: &[(&[], 2.0)],
    },
    Case {
        formula: "chance.interval",
        at: "7.7: the 25th and the 975th of a thousand",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| end(&(1..=1000).rev().map(f64::from).collect::<Vec<_>>(), x),
        rows: &[(&[-1.0], 25.0), (&[0.0], 500.5), (&[1.0], 975.0)],
    },
    Case {
        formula: "chance.share_at_least",
        at: "the normal distribution of u = 2: shares above its points",
        evidence: Evidence::ClosedForm,
        tolerance: 0.003,
        why: "two standard errors of a share over 200 000 draws are 0.0022",
        compute: |x| or_nan(share_at_least(&gaussian(), x[0])),
        rows: &[(&[0.0], 0.5), (&[2.0], 0.158_655), (&[3.92], 0.025)],
    },
];

#[test]
fn jcgm_101() {
    sweep(CASES);
}
