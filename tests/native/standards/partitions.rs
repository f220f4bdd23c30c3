//! Partitions: the cheapest by dynamic programming with numpy, kept in `partitions.txt` (made by `partitions.py`); sums by hand;
//! and how often the phases of made-up logs are found.

use super::case::{Case, Evidence, count, sweep};
use lessdin::formulas::chance::Chance;
use lessdin::formulas::partition::{Partition, Phases, Rule, optimal, phases};
use lessdin::units::count_to_f64;

const NUMPY: Evidence = Evidence::Library { name: "numpy", version: "2.4.6" };

fn cheapest(levels: &[f64], rule: Rule) -> Partition {
    optimal(levels, rule, &mut |_| true).unwrap().unwrap()
}

/// One line of the file: what was asked, the cost and the changes.
fn line(text: &str) -> (Vec<f64>, Rule, f64, Vec<usize>) {
    let numbers: Vec<f64> = text.split(' ').map(|number| number.parse().unwrap()).collect();
    let rule = Rule { shortest: count(numbers[0]) as usize, penalty: numbers[1], floor: numbers[2] };
    let (levels, rest) = numbers[4..].split_at(count(numbers[3]) as usize);
    (levels.to_vec(), rule, rest[0], rest[1..].iter().map(|change| count(*change) as usize).collect())
}

/// The first sample of the phase, a log with a rise of 6 dB there.
fn risen(at: usize, length: usize) -> Vec<f64> {
    (0..length).map(|index| if index < at { 40.0 } else { 46.0 } + [0.0, 0.4, -0.3, 0.2, -0.4, 0.1, -0.1][index % 7]).collect()
}

/// The log that `made` of `series_rows.py` gives.
fn made(length: f64, alike: f64) -> Vec<f64> {
    let (mut chaos, mut last) = (0.3, 0.0);
    let next = |_| {
        chaos = 3.9 * chaos * (1.0 - chaos);
        last = alike * last + (chaos - 0.5);
        ((45.0 + 2.0 * last) * 100.0_f64).round() / 100.0
    };
    (0..count(length)).map(next).collect()
}

fn found(log: &[f64], step: f64) -> Phases {
    phases(log, step, &mut |_| true).unwrap().unwrap()
}

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "partition.optimal",
        at: "cost of the series in line x of partitions.txt",
        evidence: NUMPY,
        tolerance: 1e-6,
        why: "10 digits",
        compute: |x| {
            let (levels, rule, expected, _) = line(include_str!("partitions.txt").lines().nth(count(x[0]) as usize).unwrap());
            cheapest(&levels, rule).cost - expected
        },
        rows: &[(&[0.0], 0.0), (&[20.0], 0.0), (&[40.0], 0.0), (&[60.0], 0.0), (&[79.0], 0.0)],
    },
    Case {
        formula: "partition.optimal",
        at: "two stretches of variance 0.25, floor 0.75: no logarithm left, one penalty; as one stretch 8·ln 26",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| cheapest(&[40.0, 41.0, 40.0, 41.0, 50.0, 51.0, 50.0, 51.0], Rule { shortest: 2, penalty: x[0], floor: 0.75 }).cost,
        rows: &[(&[3.0], 3.0), (&[20.0], 20.0), (&[30.0], 26.064_772_304_171_86)],
    },
    Case {
        formula: "partition.phases",
        at: "a rise of 6 dB in a log that wavers by 0.27 dB: where it is; length, place, step in s",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "the place is known",
        compute: |x| {
            let found = phases(&risen(count(x[1]) as usize, count(x[0]) as usize), x[2], &mut |_| true).unwrap().unwrap();
            if let [change] = found.changes[..] { count_to_f64(change) } else { f64::NAN }
        },
        rows: &[
            (&[200.0, 100.0, 1.0], 100.0),
            (&[200.0, 12.0, 1.0], 12.0),
            (&[200.0, 9.0, 1.0], 10.0),
            (&[3000.0, 800.0, 0.1], 800.0),
            (&[60.0, 20.0, 60.0], 20.0),
        ],
    },
    Case {
        formula: "partition.phases",
        at: "how many samples stand for one: correlations within windows of 40; length, correlation put in",
        evidence: NUMPY,
        tolerance: 1e-9,
        why: "given to 12 digits",
        compute: |x| found(&made(x[0], x[1]), 1.0).dependence,
        rows: &[
            (&[5.0, 0.9], 1.0),
            (&[25.0, 0.8], 2.360_330_785_15),
            (&[39.0, 0.9], 5.295_814_357_52),
            (&[41.0, 0.9], 5.036_318_629_49),
            (&[79.0, 0.8], 2.058_339_694_69),
            (&[85.0, 0.8], 2.138_262_947_49),
            (&[130.0, 0.8], 2.058_339_694_69),
            (&[130.0, 0.9], 3.420_110_879_42),
            (&[400.0, 0.95], 3.173_386_256_19),
        ],
    },
    Case {
        formula: "partition.phases",
        at: "the same of a few rising levels: three say nothing, four are believed up to 10; some that do not change",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| found(x, 1.0).dependence,
        rows: &[(&[40.0, 41.0, 42.0], 1.0), (&[40.0, 41.0, 42.0, 43.0], 10.0), (&[40.0, 40.0, 40.0, 40.0, 40.0], 1.0)],
    },
    Case {
        formula: "partition.phases",
        at: "the penalty 3·ln(n)·d, with n = 130 and d = 2.058 339 694 69; the floor 0.01 + a²/12 with a = 0.01 and 0.1",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-9,
        why: "given to 12 digits",
        compute: |x| {
            let rule = |log: &[f64]| found(log, 1.0).rule;
            let coarse: Vec<f64> = (0..60).map(|at| 40.0 + f64::from(at * at % 7) / 10.0).collect();
            [rule(&made(130.0, 0.8)).penalty, rule(&made(130.0, 0.8)).floor, rule(&coarse).floor][count(x[0]) as usize]
        },
        rows: &[(&[0.0], 30.057_118_123_9), (&[1.0], 0.010_008_333_333_3), (&[2.0], 0.010_833_333_333_3)],
    },
    Case {
        formula: "partition.phases",
        at: "the fewest samples that last 10 s, three at least; step in s",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "whole numbers",
        compute: |x| count_to_f64(found(&risen(100, 200), x[0]).rule.shortest),
        rows: &[(&[0.1], 100.0), (&[0.3], 34.0), (&[1.0], 10.0), (&[2.5], 4.0), (&[3.0], 4.0), (&[5.0], 3.0), (&[60.0], 3.0)],
    },
    Case {
        formula: "partition.phases",
        at: "samples made one: none up to 40,000, two beyond; and where a rise then is",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "whole numbers",
        compute: |x| {
            let found = found(&risen(20_000, count(x[0]) as usize), 1.0);
            if x[1] > 0.5 { count_to_f64(found.changes[0]) } else { count_to_f64(found.block) }
        },
        rows: &[(&[40_000.0, 0.0], 1.0), (&[40_001.0, 0.0], 2.0), (&[40_001.0, 1.0], 20_000.0)],
    },
];

#[test]
fn partitions_by_hand_and_by_library() {
    sweep(CASES);
}

#[test]
fn kept_series_are_parted_as_by_numpy() {
    let mut parted = 0;
    for (at, text) in include_str!("partitions.txt").lines().enumerate() {
        let (levels, rule, cost, changes) = line(text);
        let found = cheapest(&levels, rule);
        assert!((found.cost - cost).abs() < 1e-6, "line {}: {} instead of {cost}", at + 1, found.cost);
        // Where two partitions cost the same, either will do; the cost has then been compared.
        parted += usize::from(found.changes == changes);
    }
    assert!(parted >= 76, "{parted} of 80");
}

/// Noise with alike neighbours, shown to 0.1 dB.
fn noise(chance: &mut Chance, alike: f64, spread: f64, mean: f64, length: usize, into: &mut Vec<f64>) {
    let mut last = chance.normal(1.96);
    let own = (1.0 - alike * alike).sqrt();
    for _ in 0..length {
        last = alike * last + own * chance.normal(1.96);
        into.push(((mean + spread * last) * 10.0).round() / 10.0);
    }
}

#[test]
fn nothing_is_found_where_nothing_is() {
    for (seed, alike, allowed) in [(1, 0.0, 2), (2, 0.37, 2), (3, 0.8, 6)] {
        let mut chance = Chance::new(seed);
        let mut wrong = 0;
        for round in 0..100 {
            let mut log = Vec::new();
            noise(&mut chance, alike, 1.0, 44.0, if round % 2 == 0 { 600 } else { 3600 }, &mut log);
            wrong += usize::from(!phases(&log, 1.0, &mut |_| true).unwrap().unwrap().changes.is_empty());
        }
        assert!(wrong <= allowed, "{alike}: {wrong} of 100 steady logs were parted");
    }
}

#[test]
fn the_phases_of_a_job_are_found() {
    // Parked, homing, outline, fill, parked: lengths in s, levels in dB.
    let job = [(60, 38.0), (20, 54.0), (240, 47.0), (900, 49.0), (120, 38.0)];
    let truth = [60, 80, 320, 1220];
    let mut chance = Chance::new(7);
    let mut right = 0;
    for _ in 0..100 {
        let mut log = Vec::new();
        for (length, level) in job {
            noise(&mut chance, 0.4, 0.8, level, length, &mut log);
        }
        let found = phases(&log, 1.0, &mut |_| true).unwrap().unwrap();
        right +=
            usize::from(found.changes.len() == truth.len() && found.changes.iter().zip(truth).all(|(one, other)| one.abs_diff(other) <= 3));
    }
    assert!(right >= 95, "{right} of 100 jobs were parted as they were made");
}
