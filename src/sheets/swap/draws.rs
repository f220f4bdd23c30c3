//! The same question asked tens of thousands of times, each time with other errors: JCGM 101.

use super::solve::{self, Answer, Inputs, Offer};
use crate::calc::sheet::Work;
use crate::formulas::chance::{self, Chance};
use crate::units::{Energy, Level, PlusMinus};

/// How many numbers are found for each replacement: mean drop, its 95 % interval, chance of 1 dB, chance of 3 dB.
pub(super) const FOUND: usize = 5;
/// How many draws.
pub(super) const DRAWS: usize = 40_000;
/// How many errors are drawn in a step: some milliseconds.
const STEP: usize = 10_000;
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
        let errors = self.fans.len() + self.rest.len() + self.news.len();
        let draws = (STEP / errors.max(1)).clamp(50, 1000);
        for _ in 0..draws.min(DRAWS - self.done) {
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

#[cfg(test)]
mod tests {
    use crate::calc::link::{self, Opened};
    use crate::calc::sheet::{Calc, Sheet};
    use crate::sheets::swap::Swap;
    use approx::assert_abs_diff_eq;

    fn found(link: &str, seed: u64) -> Vec<f64> {
        let Opened { draft, .. } = link::open(link, |_| Some((1, &Swap::SCHEMA)));
        let sheet: &dyn Sheet = &Swap;
        let mut work = crate::sheets::work(sheet.meta().id, &draft.unwrap(), seed).unwrap();
        let mut last = 0.0;
        while last < 1.0 {
            let done = work.step();
            assert!(done > last);
            last = done;
        }
        work.found()
    }

    #[test]
    fn the_same_seed_finds_the_same() {
        let link = Swap::META.example;
        assert_eq!(found(link, 5).len(), 20);
        assert!(found(link, 5).iter().zip(found(link, 5)).all(|(a, b)| a.to_bits() == b.to_bits()));
        for (a, b) in found(link, 5).iter().zip(found(link, 6)) {
            assert_abs_diff_eq!(*a, b, epsilon = 0.05);
        }
    }

    /// One fan alone for another: the drop is normal with both errors in it, 10 ± √(3² + 4²), so 2.5 % lie below 5 and
    /// above 15, 0.02 % below 1 and 0.3 % below 3.
    #[test]
    fn a_normal_difference_comes_out_as_one() {
        let found = found("#/swap/v1/fan=a~level=40~pm=3/option=b~kind=ear~level=30~pm=4", 1);
        for (found, expected, off) in
            [(found[0], 10.0, 0.05), (found[1], 5.0, 0.1), (found[2], 15.0, 0.1), (found[3], 0.9998, 0.001), (found[4], 0.9970, 0.002)]
        {
            assert_abs_diff_eq!(found, expected, epsilon = off);
        }
    }

    /// The old fan slowed shares its error: alone in the room, only the ± of the law is left.
    #[test]
    fn a_shared_error_cancels() {
        let found = found("#/swap/v1/fan=a~level=40~pm=10/option=b~kind=same~run=50", 1);
        assert_abs_diff_eq!(found[0], 15.051, epsilon = 0.05);
        assert_abs_diff_eq!(found[2] - found[1], 6.0, epsilon = 0.15);
    }
}
