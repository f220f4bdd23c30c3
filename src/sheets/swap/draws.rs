//! The same question asked tens of thousands of times, each time with other errors: JCGM 101.

use super::solve::{self, Answer, Inputs, Offer};
use crate::calc::sheet::Work;
use crate::formulas::chance::{self, Chance};
use crate::units::{Energy, Level, PlusMinus};

/// How many numbers are found for each replacement: mean drop, its 95 % interval, chance of 1 dB, chance of 3 dB.
pub(super) const FOUND: usize = 5;
/// How many draws.
pub(super) const DRAWS: usize = 40_000;
/// How many draws make a step: some milliseconds.
const STEP: usize = 500;
/// The changes whose chance is told, dB: heard side by side, and heard.
pub(super) const CHANCES: [f64; 2] = [1.0, 3.0];

struct Old {
    /// One entry, or two for the customary distances.
    ones: Vec<PlusMinus<Level>>,
    each: f64,
}

struct New {
    fan: usize,
    each: f64,
    level: NewLevel,
}

enum NewLevel {
    /// One entry, or two for the customary distances.
    Rated(Vec<PlusMinus<Level>>),
    /// dB over the fan it replaces, and the ± of that.
    Over(f64, f64),
}

/// The draws so far.
pub(super) struct Draws {
    chance: Chance,
    fans: Vec<Old>,
    /// Everything that stays.
    rest: Vec<(PlusMinus<Level>, f64)>,
    news: Vec<New>,
    drops: Vec<Vec<f64>>,
    done: usize,
}

impl Draws {
    /// Ready to draw; `None` when there is nothing to try.
    pub(super) fn new(inputs: &Inputs, answer: &Answer, seed: u64) -> Option<Self> {
        let fans = inputs.fans.iter().enumerate().map(|(at, fan)| Old {
            ones: answer.machines.iter().filter_map(|machine| machine.fans.get(at)).map(|now| now.one).collect(),
            each: f64::from(fan.each),
        });
        let others = inputs.others.iter().map(|other| (other.level, f64::from(other.each)));
        let news: Vec<New> = answer
            .trials
            .iter()
            .filter_map(|trial| {
                let choice = inputs.choices.get(trial.choice)?;
                let level = if choice.offer == Offer::Same {
                    let law = solve::by_law(choice, inputs.fans.get(choice.fan)?, &inputs.laws).ok()?;
                    NewLevel::Over(law.gain.0, law.half_width)
                } else {
                    let of_first = trial.cases.iter().filter(|case| case.machine == 0);
                    NewLevel::Rated(of_first.map(|case| case.one).collect())
                };
                Some(New { fan: choice.fan, each: f64::from(choice.each), level })
            })
            .collect();
        (!news.is_empty()).then(|| Self {
            chance: Chance::new(seed),
            fans: fans.collect(),
            rest: others.chain(inputs.back.map(|back| (back, 1.0))).collect(),
            drops: vec![Vec::with_capacity(DRAWS); news.len()],
            news,
            done: 0,
        })
    }

    fn draw(&mut self) {
        let chance = &mut self.chance;
        let level = |chance: &mut Chance, of: PlusMinus<Level>| Level(of.value.0 + chance.normal(of.half_width));
        // Data sheets without a distance are taken alike: all for 1 m, or all for 0.3 m.
        let near = chance.coin();
        let pick = |of: &[PlusMinus<Level>], near: bool| (if near { of.last() } else { of.first() }).copied();
        let mut ones = Vec::with_capacity(self.fans.len());
        let mut total = Energy::NONE;
        for fan in &self.fans {
            let one = pick(&fan.ones, near).map(|of| level(chance, of));
            let energy = one.map_or(Energy::NONE, Level::to_energy) * fan.each;
            total = total + energy;
            ones.push((one, energy));
        }
        for (row, each) in &self.rest {
            total = total + level(chance, *row).to_energy() * *each;
        }
        for (new, drops) in self.news.iter().zip(&mut self.drops) {
            let Some((Some(old), energy)) = ones.get(new.fan).copied() else { continue };
            let one = match &new.level {
                NewLevel::Rated(ratings) => {
                    let near = chance.coin();
                    pick(ratings, near).map(|of| level(chance, of))
                }
                NewLevel::Over(gain, half_width) => Some(Level(old.0 + gain + chance.normal(*half_width))),
            };
            let come = one.map_or(Energy::NONE, Level::to_energy) * new.each;
            // The others stay as they are in this very draw.
            let stays = (total.0 - energy.0).max(0.0);
            drops.push(10.0 * (total.0 / (stays + come.0)).log10());
        }
    }
}

impl Work for Draws {
    fn step(&mut self) -> f64 {
        for _ in 0..STEP.min(DRAWS - self.done) {
            self.draw();
            self.done += 1;
        }
        crate::units::count_to_f64(self.done) / crate::units::count_to_f64(DRAWS)
    }

    fn found(&self) -> Vec<f64> {
        let one = |drops: &Vec<f64>| {
            let middle = chance::interval(drops).ok()?;
            let [some, heard] = CHANCES.map(|limit| chance::share_at_least(drops, limit).ok());
            Some([middle.mean, middle.low, middle.high, some?, heard?])
        };
        self.drops.iter().filter_map(one).flatten().collect()
    }
}
