//! How often the 95 % interval of the difference of two logs holds the true difference.
//!
//!     cargo test intervals                                                       # a few hundred trials, in seconds
//!     LESSDIN_ROUNDS=2000 cargo test --release intervals -- --nocapture          # the table of DEVELOPERS.md

use std::f64::consts::TAU;
use std::fmt::Write as _;

use lessdin::formulas::chance::Chance;
use lessdin::formulas::compare::{Stat, judge};
use lessdin::formulas::series::{FEWEST_EFFECTIVE, Summary, summary};
use lessdin::units::count_to_f64;

/// How a made-up log wavers about its level.
struct Kind {
    name: &'static str,
    /// Correlation of neighbours of the noise, and its standard deviation in dB.
    alike: f64,
    spread: f64,
    /// Period in samples and depth in dB of a beat that goes up and down; its phase wanders a little.
    beat: Option<(f64, f64)>,
}

const fn noise(name: &'static str, alike: f64, spread: f64) -> Kind {
    Kind { name, alike, spread, beat: None }
}

impl Kind {
    /// Whether so long a log may not have an interval that is too wide either. In one of a few beats the eight slowest cosines hold
    /// part of the beat itself, and no log so short can tell a beat from a drift: intervals are too wide there, never too narrow.
    fn is_tight(&self, length: usize) -> bool {
        self.beat.is_none_or(|(period, depth)| depth < STRONG || count_to_f64(length) >= FEWEST_BEATS * period)
    }
}

/// Beats of this depth, dB, drown the noise,
const STRONG: f64 = 1.0;
/// and a log must hold so many of them.
const FEWEST_BEATS: f64 = 10.0;

const KINDS: [Kind; 9] = [
    noise("φ = 0", 0.0, 1.0),
    noise("φ = 0.37", 0.37, 1.0),
    noise("φ = 0.8", 0.8, 1.0),
    noise("φ = 0.95", 0.95, 1.0),
    noise("φ = 0.37, spread 3 dB", 0.37, 3.0),
    Kind { beat: Some((10.0, 0.5)), ..noise("beat of 10 samples, ±0.5 dB", 0.37, 0.7) },
    Kind { beat: Some((10.0, 0.5)), ..noise("beat of 10 samples, ±0.5 dB, φ = 0.8", 0.8, 0.7) },
    Kind { beat: Some((20.0, 1.0)), ..noise("beat of 20 samples, ±1 dB", 0.37, 0.7) },
    Kind { beat: Some((30.0, 1.0)), ..noise("beat of 30 samples, ±1 dB", 0.37, 0.7) },
];

const LENGTHS: [usize; 6] = [60, 120, 300, 600, 1200, 3600];

fn log(chance: &mut Chance, kind: &Kind, length: usize) -> Vec<f64> {
    let mut last = chance.normal(1.96);
    let own = (1.0 - kind.alike * kind.alike).sqrt();
    let mut phase = TAU * chance.unit();
    (0..length)
        .map(|_| {
            last = kind.alike * last + own * chance.normal(1.96);
            let beat = kind.beat.map_or(0.0, |(period, depth)| {
                phase += TAU / period + chance.normal(1.96 * 0.05);
                depth * phase.sin()
            });
            // As a meter shows it.
            ((45.0 + kind.spread * last + beat) * 10.0).round() / 10.0
        })
        .collect()
}

/// What many trials of one kind and length show.
struct Found {
    /// So many independent samples tell as much, by how far the means of the trials lie apart.
    effective: f64,
    /// The same as the summaries say, the middle one.
    said: f64,
    /// Share of the trials whose interval holds the true difference, which is zero.
    covered: f64,
    /// Share of the trials in which a summary says too few.
    few: f64,
    /// Half width, dB, the middle one.
    half: f64,
}

fn middle(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn try_out(chance: &mut Chance, kind: &Kind, length: usize, trials: usize) -> Found {
    let (mut said, mut halves) = (Vec::new(), Vec::new());
    let (mut covered, mut few) = (0, 0);
    let (mut means, mut squares, mut inside) = (0.0, 0.0, 0.0);
    for _ in 0..trials {
        let summaries: [Summary; 2] = std::array::from_fn(|_| {
            let log = log(chance, kind, length);
            let energies = log.iter().map(|level| 10_f64.powf(level / 10.0 - 4.5));
            let mean = energies.clone().sum::<f64>() / count_to_f64(length);
            means += mean;
            squares += mean * mean;
            inside += energies.map(|energy| energy * energy).sum::<f64>() / count_to_f64(length);
            summary(&log, 1.0, &[]).unwrap()
        });
        let found = judge(&[Stat::of(&summaries[0])], &[Stat::of(&summaries[1])]).unwrap();
        let half = found.spread.unwrap().half;
        covered += usize::from(found.change.0.abs() <= half);
        few += usize::from(found.few);
        halves.push(half);
        said.extend(summaries.iter().map(|summary| summary.effective_count));
    }
    let count = 2.0 * count_to_f64(trials);
    let mean = means / count;
    let share = |hits: usize| count_to_f64(hits) / count_to_f64(trials);
    Found {
        effective: ((inside / count - mean * mean) / (squares / count - mean * mean)).min(count_to_f64(length)),
        said: middle(&mut said),
        covered: share(covered),
        few: share(few),
        half: middle(&mut halves),
    }
}

#[test]
fn intervals_hold_what_they_promise() {
    let asked = std::env::var("LESSDIN_ROUNDS").ok().and_then(|rounds| rounds.parse::<usize>().ok());
    let trials = asked.unwrap_or(250).clamp(100, 10_000);
    // 93 to 97 %, and what chance does to a few trials: three standard deviations of a share of 95 %, none from 2000 trials on.
    let slack = if trials >= 2000 { 0.0 } else { 3.0 * (0.05 * 0.95 / count_to_f64(trials)).sqrt() };
    let mut table = String::from(
        "| log | samples | independent samples | as said | covered | half width, dB | says too few |\n\
         | --- | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    let mut faults = Vec::new();
    let mut held = 0;
    for (kind, seed) in KINDS.iter().zip(20_26..) {
        let mut chance = Chance::new(seed);
        for length in LENGTHS {
            if asked.is_none() && length > 1200 {
                continue;
            }
            let found = try_out(&mut chance, kind, length, trials);
            writeln!(
                table,
                "| {} | {length} | {:.1} | {:.1} | {:.1} % | {:.2} | {:.0} % |",
                kind.name,
                found.effective,
                found.said,
                100.0 * found.covered,
                found.half,
                100.0 * found.few
            )
            .unwrap();
            if found.effective >= FEWEST_EFFECTIVE && found.said >= FEWEST_EFFECTIVE {
                held += 1;
                let most = if kind.is_tight(length) { 0.97 + slack } else { 1.0 };
                if !(0.93 - slack..=most).contains(&found.covered) {
                    faults.push(format!("{}, {length} samples: {:.1} % covered", kind.name, 100.0 * found.covered));
                }
            } else if found.few < 0.5 {
                faults.push(format!("{}, {length} samples: too few, but said only in {:.0} %", kind.name, 100.0 * found.few));
            }
        }
    }
    println!("{table}");
    assert!(held >= 24, "{held} kinds and lengths were held to the limits");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
