//! The same readings thousands of times, each time with other errors: JCGM 101. How often each part is the loudest.

use super::solve::{self, Inputs};
use crate::calc::sheet::Work;
use crate::formulas::active_set::{ActiveSet, percentile, products};
use crate::formulas::chance::Chance;
use crate::formulas::separation;
use crate::units::{Level, PlusMinus, count_to_f64};

/// How many numbers are found for each of [`solve::sets`]: the energies that 2.5 % of the draws lie below and above, over that of the
/// loudest reading; how often it is the loudest.
pub(super) const FOUND: usize = 3;
/// How many draws.
pub(super) const DRAWS: usize = 8_000;
/// How many in a step: some milliseconds.
const STEP: usize = 250;

struct Row {
    /// The counts as numbers, and their products.
    counts: Vec<f64>,
    products: Vec<f64>,
    reading: PlusMinus<Level>,
}

/// The draws so far.
pub(super) struct Draws {
    chance: Chance,
    rows: Vec<Row>,
    /// The level that energies are over.
    top: Level,
    items: Vec<Vec<u32>>,
    system: ActiveSet,
    found: Vec<Vec<f64>>,
    loudest: Vec<usize>,
    done: usize,
}

/// The loudest reading: energies are taken over it, so that they are near one.
pub(super) fn top(levels: &[PlusMinus<Level>]) -> Level {
    Level(levels.iter().map(|level| level.value.0).fold(f64::NEG_INFINITY, f64::max))
}

impl Draws {
    /// Ready to draw; `None` when no part has a level.
    ///
    /// It needs what the readings tell apart, and no more of the answer: that is for the page to carry.
    pub(super) fn new(inputs: &Inputs, seed: u64) -> Option<Self> {
        let runs: Vec<Vec<u32>> = inputs.readings.iter().map(|reading| reading.counts.clone()).collect();
        let levels: Vec<PlusMinus<Level>> = inputs.readings.iter().map(|reading| reading.level).collect();
        let width = inputs.parts.len() + 1;
        let widened = separation::widening(&runs, &levels).ok()?;
        let items = solve::sets(&solve::most_on(&runs, width), &separation::unresolved(&runs).ok()?);
        let row = |(run, level): (&Vec<u32>, &PlusMinus<Level>)| {
            let counts: Vec<f64> = run.iter().map(|count| f64::from(*count)).collect();
            let reading = PlusMinus::new(level.value, level.half_width * widened);
            Row { products: products(&counts), counts, reading }
        };
        (!items.is_empty()).then(|| Self {
            chance: Chance::new(seed),
            rows: runs.iter().zip(&levels).map(row).collect(),
            top: top(&levels),
            system: ActiveSet::new(width),
            found: vec![Vec::with_capacity(DRAWS); items.len()],
            loudest: vec![0; items.len()],
            items,
            done: 0,
        })
    }

    fn draw(&mut self) {
        self.system.clear();
        for row in &self.rows {
            let drawn = Level(row.reading.value.0 - self.top.0 + self.chance.normal(row.reading.half_width));
            // Weight over the standard uncertainty: the same in decibels for each row, so a common factor is left out.
            let relative = 1.0 / (row.reading.half_width * drawn.to_energy().0);
            let weight = relative * relative;
            self.system.add(&row.products, weight, &row.counts, weight * drawn.to_energy().0);
        }
        let energies = self.system.solve();
        let mut first = (0, f64::NEG_INFINITY);
        for (at, (item, found)) in self.items.iter().zip(&mut self.found).enumerate() {
            let energy = item.iter().zip(energies).map(|(count, energy)| f64::from(*count) * energy).sum();
            found.push(energy);
            // The room is no part of the race.
            if energy > first.1 && item.first() == Some(&0) {
                first = (at, energy);
            }
        }
        if let Some(loudest) = self.loudest.get_mut(first.0) {
            *loudest += 1;
        }
    }
}

impl Work for Draws {
    fn step(&mut self) -> f64 {
        for _ in 0..STEP.min(DRAWS - self.done) {
            self.draw();
            self.done += 1;
        }
        count_to_f64(self.done) / count_to_f64(DRAWS)
    }

    fn found(&self) -> Vec<f64> {
        let one = |(found, loudest): (&Vec<f64>, &usize)| {
            let mut sorted = found.clone();
            // The same sort as for other intervals: the worker carries it once.
            sorted.sort_by(f64::total_cmp);
            [percentile(&sorted, 0.025), percentile(&sorted, 0.975), count_to_f64(*loudest) / count_to_f64(DRAWS)]
        };
        self.found.iter().zip(&self.loudest).flat_map(one).collect()
    }
}
