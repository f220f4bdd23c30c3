//! Runs compared: Welch's test, two one-sided tests and chances of showing a difference by scipy (`series_rows.py`); sums by
//! hand.

use super::case::{Case, DOUBLE, Evidence, count, or_nan, sweep};
use lessdin::formulas::compare::{Judged, Rule, Spread, Stat, Verdict, freedom, holm, judge, same_within, typical_job, verdict};
use lessdin::formulas::power::{Test, chance_of_showing, just_significant, recording_time, runs_needed, smallest_shown};
use lessdin::formulas::series::{Summary, summary};
use lessdin::units::{Gain, Level, PlusMinus, count_to_f64};

const SCIPY: Evidence = Evidence::Library { name: "scipy", version: "1.17.1" };

const PAIRS: [(&[f64], &[f64]); 3] = [
    (&[48.2, 48.6, 47.9, 48.4, 48.8, 48.1], &[45.1, 45.6, 44.8, 45.9, 45.3, 45.2]),
    (&[48.2, 48.6], &[48.0, 47.1, 47.5]),
    (&[40.0, 41.0], &[40.2, 40.3]),
];

fn bare(values: &[f64]) -> Vec<Stat> {
    values.iter().map(|level| Stat::bare(Level(*level))).collect()
}

fn pair(which: f64) -> (Judged, Spread) {
    let (before, after) = PAIRS[count(which) as usize];
    let found = judge(&bare(before), &bare(after)).unwrap();
    (found, found.spread.unwrap())
}

/// A change put together from value, standard error and degrees of freedom: a log against a level that is certain.
fn apart(x: &[f64]) -> Judged {
    judge(&[log(45.0, 0.0, 1e6)], &[log(45.0 + x[0], x[1], x[2])]).unwrap()
}

fn runs(x: f64) -> usize {
    count(x) as usize
}

fn shown(x: &[f64], test: Test) -> f64 {
    or_nan(chance_of_showing(runs(x[0]), x[1], 0.3, test))
}

fn smallest(x: &[f64], test: Test) -> f64 {
    or_nan(smallest_shown(runs(x[0]), 0.8, 0.3, test).map(|gain| gain.0))
}

fn needed(x: &[f64], test: Test) -> f64 {
    or_nan(runs_needed(x[0], x[1], x[2], test).map(|runs| runs.map_or(f64::NAN, count_to_f64)))
}

fn log(level: f64, error: f64, dof: f64) -> Stat {
    Stat { level: Level(level), error, dof, few: false, step: 0.0 }
}

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "compare.judge",
        at: "scipy.stats.ttest_ind, equal_var false: degrees of freedom",
        evidence: SCIPY,
        tolerance: 1e-8,
        why: "given to 9 decimals",
        compute: |x| pair(x[0]).1.dof,
        rows: &[(&[0.0], 9.780_501_884), (&[1.0], 2.980_833_201), (&[2.0], 1.019_998)],
    },
    Case {
        formula: "compare.judge",
        at: "half of its 95 % interval",
        evidence: SCIPY,
        tolerance: 1e-7,
        why: "given to 9 decimals",
        compute: |x| pair(x[0]).1.half,
        rows: &[(&[0.0], 0.465_537_073), (&[1.0], 1.048_592_832), (&[2.0], 6.096_442_081)],
    },
    Case {
        formula: "compare.judge",
        at: "numpy: difference of the energy means",
        evidence: Evidence::Library { name: "numpy", version: "2.4.6" },
        tolerance: DOUBLE.0,
        why: DOUBLE.1,
        compute: |x| pair(x[0]).0.change.0,
        rows: &[(&[0.0], -3.012_857_618), (&[1.0], -0.855_618_395), (&[2.0], -0.278_431_137)],
    },
    Case {
        formula: "compare.judge",
        at: "scipy.stats.ttest_ind, p of t = −0.5/0.5025 with 1.02 degrees of freedom, and of t = 14.482 317 with 9.780 502",
        evidence: SCIPY,
        tolerance: 1e-6,
        why: "p to 7 digits, t to 8",
        compute: |x| apart(x).spread.map_or(f64::NAN, |spread| spread.p),
        rows: &[
            (&[0.25, 0.502_493_781, 1.019_998], 0.704_795_1),
            (&[14.482_317, 1.0, 9.780_501_884], 6.260_473e-8),
            (&[0.0, 1.0, 5.0], 1.0),
            (&[1.0, 1.0, 0.0], f64::NAN),
        ],
    },
    Case {
        formula: "compare.freedom",
        at: "G.4.1: equal parts add their freedom; one part alone keeps its own; 0.09 with 300 and 0.16 with 300",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-4,
        why: "given to 4 decimals",
        compute: |x| or_nan(freedom(&x.chunks_exact(2).map(|part| (part[0], part[1])).collect::<Vec<_>>())),
        rows: &[
            (&[1.0, 8.0, 1.0, 8.0], 16.0),
            (&[1.0, 8.0, 0.0, 3.0], 8.0),
            (&[0.09, 300.0, 0.16, 300.0], 556.3798),
            (&[0.0, 2.0, 0.0, 3.0], 5.0),
            (&[], f64::NAN),
        ],
    },
    Case {
        formula: "compare.judge",
        at: "single runs: 0.3 and 0.4 make 0.5; two runs each, alike: √(4·(2/2)²)",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-9,
        why: "exact",
        compute: |x| {
            let set = |level: f64, standard: f64| vec![log(level, standard, 8.0); runs(x[0])];
            or_nan(judge(&set(47.0, x[1]), &set(45.0, x[2])).map(|found| found.spread.unwrap().error))
        },
        rows: &[(&[1.0, 0.3, 0.4], 0.5), (&[2.0, 2.0, 2.0], 2.0), (&[0.0, 1.0, 1.0], f64::NAN)],
    },
    Case {
        formula: "compare.judge",
        at: "two runs each that differ more than they waver: s²/n = 0.25 on each side, half width t(0.975; 2) = 4.3027 times √0.5",
        evidence: SCIPY,
        tolerance: 1e-4,
        why: "given to 4 decimals",
        compute: |_| {
            let found = judge(&[log(47.0, 0.01, 8.0), log(48.0, 0.01, 8.0)], &[log(45.0, 0.01, 8.0), log(46.0, 0.01, 8.0)]);
            or_nan(found.map(|found| found.spread.unwrap().half))
        },
        rows: &[(&[], 3.0425)],
    },
    Case {
        formula: "compare.same_within",
        at: "scipy.stats.t: difference, standard error, degrees of freedom, margin",
        evidence: SCIPY,
        tolerance: 1e-9,
        why: "given to 10 decimals",
        compute: |x| or_nan(same_within(&apart(x), Gain(x[3]))),
        rows: &[
            (&[0.2, 0.3, 6.0, 1.0], 0.018_595_804_2),
            (&[-0.9, 0.2, 16.0, 1.0], 0.311_940_777_7),
            (&[-1.2, 0.3, 4.5, 1.0], 0.731_187_698_4),
            (&[0.0, 0.5, 2.0, 1.0], 0.091_751_709_5),
            (&[0.0, 0.5, 2.0, 0.0], f64::NAN),
        ],
    },
    Case {
        formula: "compare.holm",
        at: "by hand: 0.005·4, 0.01·3, 0.03·2, 0.04 held at 0.06; the place asked for comes last",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| or_nan(holm(&x[..4].iter().copied().map(Some).collect::<Vec<_>>()).map(|counted| counted[runs(x[4])].unwrap())),
        rows: &[
            (&[0.01, 0.04, 0.03, 0.005, 0.0], 0.03),
            (&[0.01, 0.04, 0.03, 0.005, 1.0], 0.06),
            (&[0.01, 0.04, 0.03, 0.005, 2.0], 0.06),
            (&[0.01, 0.04, 0.03, 0.005, 3.0], 0.02),
            (&[0.5, 0.6, 0.9, 0.7, 2.0], 1.0),
            (&[0.5, 0.6, 0.9, -0.1, 2.0], f64::NAN),
        ],
    },
    Case {
        formula: "compare.verdict",
        at: "by the rules: quieter 1, louder 2, same 3, cannot tell 4, too few 5",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "a verdict",
        compute: |x| {
            let found = apart(x);
            let chance = found.spread.map(|spread| (spread.p * x[3]).min(1.0));
            or_nan(verdict(&found, chance, Gain(1.0)).map(|verdict| match verdict {
                Verdict::Quieter => 1.0,
                Verdict::Louder => 2.0,
                Verdict::Same => 3.0,
                Verdict::CannotTell => 4.0,
                Verdict::TooFew => 5.0,
            }))
        },
        rows: &[
            (&[-2.6, 0.15, 16.0, 1.0], 1.0),
            (&[1.1, 0.15, 16.0, 1.0], 2.0),
            (&[-0.2, 0.15, 16.0, 1.0], 3.0),
            // Shown, and shown to be less than 1 dB.
            (&[-0.6, 0.15, 16.0, 1.0], 3.0),
            (&[-1.2, 0.8, 16.0, 1.0], 4.0),
            // p = 0.027 alone; tried with three others it does not count.
            (&[-1.2, 0.5, 16.0, 1.0], 1.0),
            (&[-1.2, 0.5, 16.0, 4.0], 4.0),
            (&[-2.6, 0.15, 0.0, 1.0], 5.0),
        ],
    },
    Case {
        formula: "compare.typical_job",
        at: "Leq of 60 dB for 5 min and 40 dB for 55 min; of 50 dB for 6 h and 35 dB for 2 h",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-5,
        why: "given to 4 decimals",
        compute: |x| {
            let phases: Vec<_> = x.chunks_exact(2).map(|part| (PlusMinus::exact(Level(part[0])), part[1])).collect();
            or_nan(typical_job(&phases).map(|level| level.value.0))
        },
        rows: &[(&[60.0, 300.0, 40.0, 3300.0], 49.6614), (&[50.0, 6.0, 35.0, 2.0], 48.7962), (&[50.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "compare.typical_job",
        at: "half width: equal phases of equal length √2/2 of one; the ISO 3744-like sum 50 and 44 dB, 1 dB each",
        evidence: Evidence::ClosedForm,
        tolerance: 5.1e-6,
        why: "given to 5 decimals",
        compute: |x| {
            let phases: Vec<_> = x.iter().map(|level| (PlusMinus::new(Level(*level), 1.0), 60.0)).collect();
            or_nan(typical_job(&phases).map(|level| level.half_width))
        },
        rows: &[(&[50.0, 50.0], 0.707_11), (&[50.0, 44.0], 0.824_07), (&[50.0], 1.0)],
    },
    Case {
        formula: "power.chance_of_showing",
        at: "shared spread of 0.3 dB: scipy.stats.nct; runs, difference",
        evidence: SCIPY,
        tolerance: 2e-9,
        why: "given to 9 decimals",
        compute: |x| shown(x, Test::Shared),
        rows: &[
            (&[2.0, 1.29], 0.614_294_361),
            (&[2.0, 2.0], 0.891_169_098),
            (&[3.0, 0.0], 0.05),
            (&[3.0, 0.68], 0.556_773_953),
            (&[3.0, 0.92], 0.798_985_514),
            (&[4.0, 0.7], 0.784_449_788),
            (&[5.0, 0.44], 0.531_214_973),
            (&[5.0, 0.6], 0.790_542_378),
            (&[10.0, 0.4], 0.804_913_064),
            (&[30.0, 0.2], 0.718_732_803),
            (&[100.0, 0.12], 0.803_647_504),
            (&[2.0, 6.0], 0.999_999_997),
            (&[1.0, 6.0], f64::NAN),
        ],
    },
    Case {
        formula: "power.chance_of_showing",
        at: "Welch, spread of 0.3 dB: scipy.stats.ncf averaged by scipy.integrate.quad; runs, difference",
        evidence: SCIPY,
        tolerance: 2e-7,
        why: "our rule for the average has 33 points",
        compute: |x| shown(x, Test::Welch),
        rows: &[
            (&[2.0, 1.29], 0.335_274_923),
            (&[2.0, 2.0], 0.569_784_718),
            (&[3.0, 0.0], 0.035_121_081),
            (&[3.0, 0.68], 0.452_210_298),
            (&[3.0, 0.92], 0.695_038_605),
            (&[4.0, 0.7], 0.739_709_815),
            (&[5.0, 0.44], 0.502_891_501),
            (&[5.0, 0.6], 0.766_782_315),
            (&[10.0, 0.4], 0.800_741_337),
            (&[30.0, 0.2], 0.718_257_627),
            (&[100.0, 0.12], 0.803_613_984),
            (&[2.0, 6.0], 0.981_085_621),
        ],
    },
    Case {
        formula: "power.smallest_shown",
        at: "shared spread of 0.3 dB, 80 %: root of scipy.stats.nct",
        evidence: SCIPY,
        tolerance: 2e-7,
        why: "given to 7 decimals",
        compute: |x| smallest(x, Test::Shared),
        rows: &[
            (&[2.0], 1.696_046_8),
            (&[3.0], 0.921_267_7),
            (&[4.0], 0.714_226_3),
            (&[5.0], 0.607_331_8),
            (&[8.0], 0.451_990_3),
            (&[12.0], 0.359_043_6),
        ],
    },
    Case {
        formula: "power.smallest_shown",
        at: "Welch, spread of 0.3 dB, 80 %: root of the average of scipy.stats.ncf",
        evidence: SCIPY,
        tolerance: 1e-6,
        why: "our rule for the average has 33 points",
        compute: |x| smallest(x, Test::Welch),
        rows: &[
            (&[2.0], 3.117_649_8),
            (&[3.0], 1.052_233_7),
            (&[4.0], 0.754_078_7),
            (&[5.0], 0.625_290_8),
            (&[8.0], 0.456_073_3),
            (&[12.0], 0.360_325_4),
        ],
    },
    Case {
        formula: "power.just_significant",
        at: "scipy.stats.t.ppf: runs, spread",
        evidence: SCIPY,
        tolerance: 1e-7,
        why: "given to 7 decimals",
        compute: |x| or_nan(just_significant(runs(x[0]), x[1]).map(|gain| gain.0)),
        rows: &[
            (&[2.0, 0.3], 1.290_795_8),
            (&[3.0, 0.3], 0.680_087_4),
            (&[5.0, 0.3], 0.437_533_5),
            (&[20.0, 0.3], 0.192_050_9),
            (&[1.0, 0.3], f64::NAN),
        ],
    },
    Case {
        formula: "power.runs_needed",
        at: "Welch: counted up with scipy; difference, spread, chance",
        evidence: SCIPY,
        tolerance: 0.0,
        why: "a count",
        compute: |x| needed(x, Test::Welch),
        rows: &[
            (&[1.0, 0.3, 0.8], 4.0),
            (&[0.5, 0.3, 0.8], 7.0),
            (&[0.3, 0.3, 0.9], 23.0),
            (&[2.0, 0.3, 0.8], 3.0),
            (&[0.2, 0.5, 0.8], 100.0),
            (&[0.001, 0.5, 0.8], f64::NAN),
        ],
    },
    Case {
        formula: "power.runs_needed",
        at: "shared spread: counted up with scipy; difference, spread, chance",
        evidence: SCIPY,
        tolerance: 0.0,
        why: "a count",
        compute: |x| needed(x, Test::Shared),
        rows: &[
            (&[1.0, 0.3, 0.8], 3.0),
            (&[0.5, 0.3, 0.8], 7.0),
            (&[0.3, 0.3, 0.9], 23.0),
            (&[2.0, 0.3, 0.8], 2.0),
            (&[0.2, 0.5, 0.8], 100.0),
        ],
    },
    Case {
        formula: "power.recording_time",
        at: "counted up with the sum written out: spread, correlation, step, half width",
        evidence: SCIPY,
        tolerance: 1e-9,
        why: "a count of steps",
        compute: |x| or_nan(recording_time(x[0], x[1], x[2], x[3])),
        rows: &[
            (&[0.8, 0.3679, 1.0, 0.3], 81.0),
            (&[0.1, 0.8, 0.5, 0.3], 88.0),
            (&[2.0, 0.95, 1.0, 0.5], 3299.0),
            (&[0.8, 0.3679, 1.0, 0.0], f64::NAN),
        ],
    },
];

#[test]
fn run_levels() {
    sweep(CASES);
}

fn wavering(level: f64, count: usize) -> Summary {
    let log: Vec<f64> = (0..count).map(|at| level + [0.3, -0.2, 0.5, -0.4, 0.1, -0.3, 0.2][at % 7]).collect();
    summary(&log, 1.0, &[]).unwrap()
}

#[test]
fn single_runs_are_a_hint_and_short_ones_too_few() {
    let stat = |level: f64, count: usize| Stat::of(&wavering(level, count));
    let long = judge(&[stat(48.0, 300)], &[stat(45.0, 300)]).unwrap();
    assert!(long.hint && !long.few && long.spread.unwrap().rule == Rule::Within);
    assert!(long.change.0.abs() - long.spread.unwrap().half > 2.8);
    let short = judge(&[stat(48.0, 12)], &[stat(45.0, 300)]).unwrap();
    assert!(short.few);
    assert_eq!(verdict(&short, Some(0.001), Gain(1.0)), Ok(Verdict::TooFew));
    let alone = judge(&[Stat::bare(Level(48.0))], &[stat(45.0, 300)]).unwrap();
    assert!(alone.few && alone.spread.is_none());
    assert_eq!(same_within(&alone, Gain(1.0)), Ok(1.0));
    // Two bare levels each are judged by how they differ.
    let both = judge(&bare(&[48.0, 48.2]), &bare(&[45.0, 45.1])).unwrap();
    assert!(!both.few && !both.hint && both.spread.unwrap().rule == Rule::Between);
}

#[test]
fn three_decibels_on_one_side_move_the_change_by_three_decibels() {
    let before = [log(48.0, 0.2, 8.0), log(48.4, 0.2, 8.0)];
    let after = [log(45.0, 0.2, 8.0), log(45.3, 0.2, 8.0)];
    let louder = after.map(|run| Stat { level: run.level + Gain(3.0), ..run });
    let (one, other) = (judge(&before, &after).unwrap(), judge(&before, &louder).unwrap());
    let error = |found: &Judged| found.spread.unwrap().error;
    assert!((other.change.0 - one.change.0 - 3.0).abs() < 1e-9 && (error(&other) - error(&one)).abs() < 1e-9);
    let turned = judge(&[before[1], before[0]], &after).unwrap();
    assert!((turned.change.0 - one.change.0).abs() < 1e-12 && (error(&turned) - error(&one)).abs() < 1e-12);
}
