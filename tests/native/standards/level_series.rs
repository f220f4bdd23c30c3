//! Logs of levels: percentiles and standard errors by numpy and scipy (`series_rows.py`), the toneburst table of IEC 61672-1,
//! closed forms for the mean of samples that are alike.

use super::case::{Case, Evidence, TENTH, count, or_nan, sweep};
use lessdin::formulas::series::{
    Break, Response, Summary, align, autocorrelation, burst, effective_count, exceeded, memory, settling, summary,
};
use lessdin::units::Gain;

const NUMPY: Evidence = Evidence::Library { name: "numpy", version: "2.4.6" };
const SCIPY: Evidence = Evidence::Library { name: "scipy", version: "1.17.1" };

const TEN: &[f64] = &[42.1, 41.8, 42.5, 47.3, 55.0, 43.0, 42.2, 41.9, 44.4, 42.0];
const WAVE: &[f64] = &[42.1, 42.6, 43.0, 42.8, 42.2, 41.9, 41.7, 42.0, 42.5, 42.9];

fn hundred() -> Vec<f64> {
    (1..=100).map(f64::from).collect()
}

/// The same with breaks, some said twice and some where there is no sample: count, correlation, places.
fn broken(x: &[f64]) -> Summary {
    let places = [&[0.0], &x[2..], &[x[0], 9999.0]].concat();
    let breaks: Vec<Break> = places.iter().flat_map(|at| [Break { at: count(*at) as usize, missing: 1 }; 2]).collect();
    summary(&log(x[0], x[1], 2.0), 1.0, &breaks).unwrap()
}

/// What `made` of the script makes a log of.
fn made(x: &[f64]) -> Summary {
    summary(&log(x[0], x[1], x[2]), 1.0, &[]).unwrap()
}

/// The log that `made` of the script gives.
fn log(length: f64, alike: f64, spread: f64) -> Vec<f64> {
    let (mut chaos, mut last) = (0.3, 0.0);
    let next = |_| {
        chaos = 3.9 * chaos * (1.0 - chaos);
        last = alike * last + (chaos - 0.5);
        ((45.0 + spread * last) * 100.0).round() / 100.0
    };
    (0..count(length)).map(next).collect()
}

fn response(slow: f64) -> Response {
    if slow > 0.5 { Response::Slow } else { Response::Fast }
}

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "series.exceeded",
        at: "numpy.percentile, linear: 1 to 100",
        evidence: NUMPY,
        tolerance: 1e-9,
        why: "10 digits",
        compute: |x| or_nan(exceeded(&hundred(), x[0]).map(|level| level.0)),
        rows: &[
            (&[10.0], 90.1),
            (&[50.0], 50.5),
            (&[90.0], 10.9),
            (&[0.0], 100.0),
            (&[100.0], 1.0),
            (&[33.0], 67.33),
            (&[101.0], f64::NAN),
        ],
    },
    Case {
        formula: "series.exceeded",
        at: "numpy.percentile, linear: ten readings",
        evidence: NUMPY,
        tolerance: 1e-9,
        why: "10 digits",
        compute: |x| or_nan(exceeded(TEN, x[0]).map(|level| level.0)),
        rows: &[(&[10.0], 48.07), (&[50.0], 42.35), (&[90.0], 41.89), (&[0.0], 55.0), (&[100.0], 41.8), (&[33.0], 43.042)],
    },
    Case {
        formula: "series.autocorrelation",
        at: "numpy: ten readings, lags 1 to 3",
        evidence: NUMPY,
        tolerance: 5.1e-7,
        why: "given to 6 decimals",
        compute: |x| or_nan(autocorrelation(WAVE, count(x[0]) as usize)),
        rows: &[(&[1.0], 0.512_819), (&[2.0], -0.204_128), (&[3.0], -0.593_536), (&[10.0], f64::NAN)],
    },
    Case {
        formula: "series.effective_count",
        at: "the sum written out",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-7,
        why: "given to 6 decimals",
        compute: |x| or_nan(effective_count(x[0], x[1])),
        rows: &[
            (&[60.0, 0.5], 20.454_545),
            (&[60.0, 0.9], 3.748_737),
            (&[100.0, 0.3679], 46.606_127),
            (&[100.0, 0.8], 11.627_907),
            (&[600.0, 0.5], 200.445_434),
            (&[600.0, 0.9], 32.085_561),
            (&[3600.0, 0.95], 92.810_083),
            (&[7.0, -0.6], 21.954_664),
            (&[1.0, 0.9], 1.0),
        ],
    },
    Case {
        formula: "series.summary",
        at: "energy mean, arithmetic mean, largest, smallest of ten readings",
        evidence: NUMPY,
        tolerance: 5.1e-5,
        why: "given to 4 decimals",
        compute: |x| {
            let found = summary(TEN, 1.0, &[]).unwrap();
            [found.leq.0, found.mean_db, found.max.0, found.min.0][count(x[0]) as usize]
        },
        rows: &[(&[0.0], 47.1138), (&[1.0], 44.22), (&[2.0], 55.0), (&[3.0], 41.8)],
    },
    Case {
        formula: "series.summary",
        at: "60 dB for 5 min and 40 dB for 55 min; the exposure level of 60 dB for 120 s",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-5,
        why: "given to 4 decimals",
        compute: |x| {
            let log: Vec<f64> = (0..count(x[0])).map(|at| if f64::from(at) < x[1] { 60.0 } else { 40.0 }).collect();
            let found = summary(&log, 2.0, &[Break { at: 3, missing: 9 }]).unwrap();
            if x[2] > 0.5 { lessdin::formulas::levels::exposure_level(found.leq, found.duration_s()).unwrap().0 } else { found.leq.0 }
        },
        rows: &[(&[1800.0, 150.0, 0.0], 49.6614), (&[60.0, 60.0, 1.0], 80.7918)],
    },
    Case {
        formula: "series.summary",
        at: "standard error by scipy's cosine transform of the energies",
        evidence: SCIPY,
        tolerance: 1e-8,
        why: "given to 9 decimals",
        compute: |x| made(x).standard_error_db,
        rows: &[
            (&[5.0, 0.5, 2.0], 0.210_660_697),
            (&[12.0, 0.5, 2.0], 0.075_380_334),
            (&[60.0, 0.0, 3.0], 0.054_100_096),
            (&[120.0, 0.8, 2.0], 0.105_524_457),
            (&[600.0, 0.95, 1.0], 0.079_659_772),
        ],
    },
    Case {
        formula: "series.summary",
        at: "independent samples, the same",
        evidence: SCIPY,
        tolerance: 1e-5,
        why: "given to 6 decimals",
        compute: |x| made(x).effective_count,
        rows: &[
            (&[5.0, 0.5, 2.0], 5.0),
            (&[12.0, 0.5, 2.0], 12.0),
            (&[60.0, 0.0, 3.0], 60.0),
            (&[120.0, 0.8, 2.0], 27.657_073),
            (&[600.0, 0.95, 1.0], 23.997_516),
        ],
    },
    Case {
        formula: "series.summary",
        at: "standard error with breaks, over which neighbours are none, the same",
        evidence: SCIPY,
        tolerance: 1e-8,
        why: "given to 9 decimals",
        compute: |x| broken(x).standard_error_db,
        rows: &[
            (&[120.0, 0.8, 30.0, 31.0, 60.0, 119.0], 0.105_597_339),
            (&[40.0, 0.6, 1.0, 20.0], 0.094_702_001),
            (&[9.0, 0.9], 0.108_538_163),
            (&[10.0, 0.9, 5.0], 0.079_187_258),
            (&[600.0, -0.9], 0.032_903_925),
            (&[300.0, 1.0], 3.764_967_564),
        ],
    },
    Case {
        formula: "series.summary",
        at: "independent samples with breaks, the same",
        evidence: SCIPY,
        tolerance: 1e-5,
        why: "given to 6 decimals",
        compute: |x| broken(x).effective_count,
        rows: &[
            (&[120.0, 0.8, 30.0, 31.0, 60.0, 119.0], 27.618_909),
            (&[40.0, 0.6, 1.0, 20.0], 26.819_198),
            (&[9.0, 0.9], 9.0),
            (&[600.0, -0.9], 600.0),
            (&[300.0, 1.0], 5.595_855),
        ],
    },
    Case {
        formula: "series.summary",
        at: "degrees of freedom: as many cosines as fit, eight at most; none with three pairs of neighbours or fewer",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "whole numbers",
        compute: |x| made(&[x[0], 0.5, x[1]]).dof,
        rows: &[
            (&[1.0, 2.0], 0.0),
            (&[2.0, 2.0], 0.0),
            (&[4.0, 2.0], 0.0),
            (&[5.0, 2.0], 2.0),
            (&[16.0, 2.0], 7.0),
            (&[17.0, 2.0], 8.0),
            (&[200.0, 2.0], 8.0),
            (&[4.0, 0.0], 1.0),
            (&[200.0, 0.0], 8.0),
        ],
    },
    Case {
        formula: "series.settling",
        at: "IEC 61672-1:2013, 5.8: decay of 34.7 dB/s (F) and 4.3 dB/s (S), as the time for so many dB",
        evidence: Evidence::Read,
        tolerance: 0.015,
        why: "rates printed to 0.1 dB/s",
        compute: |x| or_nan(settling(Gain(x[0]), response(x[1]))),
        rows: &[(&[34.7, 0.0], 1.0), (&[4.3, 1.0], 1.0), (&[0.0, 1.0], 0.0), (&[-1.0, 1.0], f64::NAN)],
    },
    Case {
        formula: "series.settling",
        at: "10·lg e/τ = 4.342 945 dB/s",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-6,
        why: "given to 6 decimals",
        compute: |x| or_nan(settling(Gain(x[0]), response(x[1]))),
        rows: &[(&[20.0, 1.0], 4.605_170), (&[20.0, 0.0], 0.575_646)],
    },
    Case {
        formula: "series.burst",
        at: "IEC 61672-1:2013, Table 4, F: duration in ms",
        evidence: Evidence::Read,
        tolerance: TENTH.0,
        why: TENTH.1,
        compute: |x| or_nan(burst(x[0] / 1000.0, Response::Fast).map(|gain| gain.0)),
        rows: &[
            (&[1000.0], 0.0),
            (&[500.0], -0.1),
            (&[200.0], -1.0),
            (&[100.0], -2.6),
            (&[50.0], -4.8),
            (&[20.0], -8.3),
            (&[10.0], -11.1),
            (&[5.0], -14.1),
            (&[2.0], -18.0),
            (&[1.0], -21.0),
            (&[0.5], -24.0),
            (&[0.25], -27.0),
        ],
    },
    Case {
        formula: "series.burst",
        at: "IEC 61672-1:2013, Table 4, S: duration in ms",
        evidence: Evidence::Read,
        tolerance: TENTH.0,
        why: TENTH.1,
        compute: |x| or_nan(burst(x[0] / 1000.0, Response::Slow).map(|gain| gain.0)),
        rows: &[
            (&[1000.0], -2.0),
            (&[500.0], -4.1),
            (&[200.0], -7.4),
            (&[100.0], -10.2),
            (&[50.0], -13.1),
            (&[20.0], -17.0),
            (&[10.0], -20.0),
            (&[5.0], -23.0),
            (&[2.0], -27.0),
        ],
    },
    Case {
        formula: "series.memory",
        at: "e^(−Δt/τ)",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-7,
        why: "given to 6 decimals",
        compute: |x| or_nan(memory(x[0], response(x[1]))),
        rows: &[(&[1.0, 1.0], 0.367_879), (&[0.125, 0.0], 0.367_879), (&[1.0, 0.0], 0.000_335), (&[0.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "series.align",
        at: "a peak cut out of a log, so many samples in: where it starts, and how alike",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-12,
        why: "known by construction",
        compute: |x| {
            let log: Vec<f64> = (0..60).map(|at: i32| 40.0 + 12.0 / (1.0 + f64::from((at - 25).pow(2)))).collect();
            let from = count(x[0]) as usize;
            let part: Vec<f64> = log[from..from + 30].iter().map(|level| level + 3.0).collect();
            let found = align(&log, &part, 60).unwrap().unwrap();
            if x[1] > 0.5 { found.correlation } else { f64::from(i32::try_from(found.later).unwrap()) }
        },
        rows: &[(&[10.0, 0.0], 10.0), (&[0.0, 0.0], 0.0), (&[22.0, 0.0], 22.0), (&[22.0, 1.0], 1.0)],
    },
];

#[test]
fn level_series() {
    sweep(CASES);
}

#[test]
fn a_normal_spread_of_levels_lifts_the_energy_mean_over_the_median() {
    // Leq = L50 + (ln 10/20)·s², on the quantiles of a normal distribution.
    for spread in [2.0_f64, 3.0, 5.0] {
        let log: Vec<f64> = (0..4_000).map(|at| 45.0 + spread * quantile((f64::from(at) + 0.5) / 4_000.0)).collect();
        let found = summary(&log, 1.0, &[]).unwrap();
        let lift = (found.leq - found.l50).0;
        assert!((lift - 0.115_129 * spread * spread).abs() < 0.02 * spread, "{spread}: {lift}");
        // Neighbours are s/(0.175·4000) apart there.
        assert!(((found.l10 - found.l90).0 - 2.5631 * spread).abs() < spread / 700.0, "{spread}");
    }
}

/// The quantile of the normal distribution by halving, on the integral of its density by Simpson's rule.
fn quantile(p: f64) -> f64 {
    let density = |x: f64| (-x * x / 2.0).exp() / std::f64::consts::TAU.sqrt();
    let below = |x: f64| {
        let step = x / 64.0;
        let odd: f64 = (0..32).map(|at| density(step * f64::from(2 * at + 1))).sum();
        let even: f64 = (1..32).map(|at| density(step * f64::from(2 * at))).sum();
        0.5 + step / 3.0 * (density(0.0) + 4.0 * odd + 2.0 * even + density(x))
    };
    let (mut low, mut high) = (-6.0, 6.0);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if below(middle) < p { low = middle } else { high = middle }
    }
    high
}
