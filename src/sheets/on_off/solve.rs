//! The arithmetic: what the readings tell about each part, and what would tell more.

use crate::calc::draft::{Draft, RowId};
use crate::formulas::separation::{self, CONTRADICTION, Fit, LeftOut, MOST_STATES, Offer, Search, Unresolved};
use crate::formulas::{FormulaError, uncertainty};
use crate::text::Arg;
use crate::units::{COVERAGE_95, Gain, Level, ONE_SIDED_95, PlusMinus, Weighting, sort_few};

/// A level with a wider ± than this is told as a bound, dB. Our judgement: below it lies less than half of what it may be.
pub(super) const WIDEST: f64 = 2.0;
/// Up to this ± a level is good enough to decide on, dB. Our judgement; two readings 3.5 dB apart of ± 0.5 dB give as much.
pub(super) const SOLID: f64 = 1.0;
/// What a further reading leaves of the variance, at least, when it is hardly worth taking.
pub(super) const HARDLY: f64 = 0.93;
/// Two readings left out leave misfits this close together: either may be the odd one.
const AS_GOOD: f64 = 1.0;
/// Energies this close show the same tenth of a decibel, as a share.
const SAME: f64 = 0.011;
/// So many readings can be under suspicion together; of more nothing useful can be said.
const MOST_ODD: usize = 3;

/// What was asked for.
#[derive(Clone, Debug)]
pub struct Inputs {
    pub(super) parts: Vec<Part>,
    pub(super) readings: Vec<Read>,
    /// States that are not to be suggested, the room first.
    pub(super) avoid: Vec<Vec<u32>>,
    pub(super) lapses: Vec<(Lapse, usize)>,
    pub(super) weighting: Weighting,
    /// The conditions, for handing over.
    pub(super) header: Draft,
    /// As it was typed, for handing over with a reading more.
    pub(super) draft: Draft,
    /// The rows of the parts in it.
    pub(super) columns: Vec<RowId>,
}

/// A part.
#[derive(Clone, Debug)]
pub(super) struct Part {
    pub(super) name: Arg,
    pub(super) stop: Stop,
    /// Nobody said whether it may be stopped: its name decides.
    pub(super) guessed: bool,
    pub(super) is_fan: bool,
}

/// Whether a part may be stopped to read the rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stop {
    /// At any time.
    Free,
    /// Only together with everything else: it keeps something cool.
    Keep,
    /// By its command, never by its plug.
    Motor,
}

impl Stop {
    /// What a name suggests. On the safe side: what may cool something hot, or belong to the mains, is kept running.
    pub(super) fn guess(name: &str) -> Self {
        let name = name.to_ascii_lowercase();
        let says = |words: &[&str]| words.iter().any(|word| name.contains(word));
        if says(&["supply", "power", "psu", "mains", "hot", "heat", "nozzle", "driver", "board"]) {
            Self::Keep
        } else if says(&["axis", "axes", "motor", "stepper", "spindle"]) {
            Self::Motor
        } else {
            Self::Free
        }
    }
}

/// A reading.
#[derive(Clone, Debug)]
pub(super) struct Read {
    /// Its place in the table, from 1.
    pub(super) number: usize,
    pub(super) name: String,
    /// How many of each part were on, the room first.
    pub(super) counts: Vec<u32>,
    pub(super) level: PlusMinus<Level>,
    /// Its ± is that of a meter without tenths.
    pub(super) whole_meter: bool,
}

/// What could not be used of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lapse {
    /// How many of a part were on cannot be read: the row is left out.
    BadCount,
    /// The level cannot be read: the row is left out.
    BadLevel,
    /// The ± cannot be read: the usual one.
    BadSpread,
    /// There is no level yet: the row is left out.
    NoLevel,
}

/// The answer.
#[derive(Clone, Debug)]
pub struct Answer {
    pub(super) runs: Vec<Vec<u32>>,
    pub(super) levels: Vec<PlusMinus<Level>>,
    pub(super) fit: Fit,
    /// Everything on that ever was, as many as ever were; the room first.
    pub(super) most: Vec<u32>,
    /// Whether the level of that is known, and what it is.
    pub(super) total: Option<PlusMinus<Level>>,
    /// Parts, and sums of parts where the parts are not known, loudest first. The room alone is none.
    pub(super) items: Vec<Item>,
    /// So many of the first cannot be told from the loudest.
    pub(super) tied: usize,
    /// The room by itself, when it is known.
    pub(super) room: Option<Found>,
    pub(super) groups: Vec<Unresolved>,
    pub(super) left_out: Vec<LeftOut>,
    pub(super) odd: Odd,
    /// A reading with more on that is lower than another, by place: the first is the lower one.
    pub(super) lower: Option<(usize, usize, PlusMinus<Gain>)>,
    pub(super) offers: Vec<Offer>,
    /// The reading that has most say in the ± of the loudest, by place, and its part of the variance.
    pub(super) weightiest: Option<(usize, f64)>,
}

/// A part, or parts that are only known together.
#[derive(Clone, Debug)]
pub(super) struct Item {
    /// Its place among the [`sets`].
    pub(super) set: usize,
    /// How many of each, the room first.
    pub(super) of: Vec<u32>,
    /// The columns in it.
    pub(super) columns: Vec<usize>,
    pub(super) found: Found,
    pub(super) share: Option<PlusMinus<f64>>,
    pub(super) gain: Option<MostGain>,
    /// What stays with it silent.
    pub(super) left: Option<Found>,
}

/// How loud.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Found {
    Value(PlusMinus<Level>),
    AtMost(Level),
}

impl Found {
    pub(super) fn value(self) -> Option<PlusMinus<Level>> {
        match self {
            Self::Value(level) => Some(level),
            Self::AtMost(_) => None,
        }
    }
}

/// The most that silence can gain.
#[derive(Clone, Copy, Debug)]
pub(super) enum MostGain {
    Value(PlusMinus<Gain>),
    AtMost(Gain),
}

/// Which readings do not fit, by place.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Odd {
    /// They agree, or nothing can be compared.
    None,
    /// Without this one the others agree.
    One(usize),
    /// Without any one of these they agree as well as without another.
    Several(Vec<usize>),
    /// More than one does not fit.
    Unclear,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// The levels are no use to a formula.
    Formula(FormulaError),
}

impl From<FormulaError> for Impossible {
    fn from(error: FormulaError) -> Self {
        Self::Formula(error)
    }
}

pub(super) fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
    let runs: Vec<Vec<u32>> = inputs.readings.iter().map(|reading| reading.counts.clone()).collect();
    let levels: Vec<PlusMinus<Level>> = inputs.readings.iter().map(|reading| reading.level).collect();
    let fit = separation::fit(&runs, &levels)?;
    let width = inputs.parts.len() + 1;
    let most = most_on(&runs, width);
    let known_most = fit.is_known(&most).then_some(most.as_slice());
    let total = known_most.and_then(|most| fit.level(most));
    let groups = separation::unresolved(&runs)?;

    let seen = Seen { runs: &runs, levels: &levels, fit: &fit, most: known_most };
    let mut items: Vec<Item> = sets(&most, &groups).into_iter().enumerate().map(|(set, of)| seen.item(set, of)).collect();
    sort_few(&mut items, |a, b| fit.energy(&b.of).total_cmp(&fit.energy(&a.of)));
    let room_alone = only(&most, &[0]);
    let room = fit.is_known(&room_alone).then(|| seen.found(&room_alone));

    let left_out = separation::leave_one_out(&runs, &levels, &fit)?;
    let odd = odd(&fit, &left_out)?;
    let lower = lower(&runs, &levels)?;
    let tied = tied(&fit, &items);
    let offers = offers(inputs, &runs, &levels, &fit, &most, &groups, &items)?;
    let weightiest = items.first().and_then(|item| {
        let parts = fit.blame(&runs, &levels, &item.of);
        let largest = parts.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
        Some((largest.0, *largest.1))
    });
    Ok(Answer { runs, levels, fit, most, total, items, tied, room, groups, left_out, odd, lower, offers, weightiest })
}

/// Everything on that ever was, as many as ever were.
pub(super) fn most_on(runs: &[Vec<u32>], width: usize) -> Vec<u32> {
    (0..width).map(|part| runs.iter().filter_map(|run| run.get(part)).copied().max().unwrap_or(0)).collect()
}

/// What has a level: parts by themselves, and of parts that are not told apart the largest sum that is known.
pub(super) fn sets(most: &[u32], groups: &[Unresolved]) -> Vec<Vec<u32>> {
    let alone = |part: &usize| most.get(*part).is_some_and(|count| *count > 0) && !groups.iter().any(|group| group.parts.contains(part));
    let mut sets: Vec<Vec<u32>> = (1..most.len()).filter(alone).map(|part| only(most, &[part])).collect();
    for group in groups {
        let largest = group.sums.iter().max_by_key(|sum| sum.iter().sum::<u32>());
        sets.extend(largest.filter(|sum| sum.iter().skip(1).any(|count| *count > 0)).cloned());
    }
    sets
}

/// These columns of a state, the others off.
fn only(most: &[u32], columns: &[usize]) -> Vec<u32> {
    most.iter().enumerate().map(|(at, count)| if columns.contains(&at) { *count } else { 0 }).collect()
}

struct Seen<'a> {
    runs: &'a [Vec<u32>],
    levels: &'a [PlusMinus<Level>],
    fit: &'a Fit,
    most: Option<&'a [u32]>,
}

impl Seen<'_> {
    fn found(&self, of: &[u32]) -> Found {
        match self.fit.level(of) {
            Some(level) if level.half_width <= WIDEST => Found::Value(level),
            // A part is never louder than what it was heard in.
            _ => Found::AtMost(Level(self.fit.limit(of).map_or(f64::INFINITY, |limit| limit.0).min(self.loudest(of)))),
        }
    }

    /// The quietest reading in which all of these were on, as a one-sided limit, dB.
    fn loudest(&self, of: &[u32]) -> f64 {
        let all_on = |run: &Vec<u32>| run.iter().zip(of).all(|(on, wanted)| on >= wanted);
        let heard = self.runs.iter().zip(self.levels).filter(|(run, _)| all_on(run));
        heard.map(|(_, level)| level.value.0 + ONE_SIDED_95 * level.standard() * self.fit.widened).fold(f64::INFINITY, f64::min)
    }

    fn item(&self, set: usize, of: Vec<u32>) -> Item {
        let columns = of.iter().enumerate().filter(|(_, count)| **count > 0).map(|(at, _)| at).collect();
        let found = self.found(&of);
        let rest: Option<Vec<u32>> = self.most.map(|most| most.iter().zip(&of).map(|(all, own)| all.saturating_sub(*own)).collect());
        let (mut share, mut gain, mut left) = (None, None, None);
        if let (Some(most), Some(rest)) = (self.most, rest) {
            left = self.fit.level(&rest).map(|_| self.found(&rest));
            match found {
                Found::Value(_) => {
                    share = self.fit.share(&of, most);
                    gain = self.fit.apart(most, &rest).map(MostGain::Value);
                }
                Found::AtMost(level) => {
                    let stays = 1.0 - level.to_energy().0 / self.fit.energy(most);
                    gain = (stays > 0.0).then(|| MostGain::AtMost(Gain(-10.0 * stays.log10())));
                }
            }
        }
        Item { set, of, columns, found, share, gain, left }
    }
}

/// How many of the first items cannot be told from the loudest.
fn tied(fit: &Fit, items: &[Item]) -> usize {
    let Some((first, others)) = items.split_first() else { return 0 };
    // By the energies: they add, so their errors are nearly normal where those of the levels are not.
    let close = |item: &&Item| {
        let (surplus, standard) = fit.surplus(&first.of, &item.of);
        item.found.value().is_some() && surplus < (COVERAGE_95 * standard).max(SAME * fit.energy(&first.of))
    };
    if first.found.value().is_none() { 1 } else { 1 + others.iter().take_while(close).count() }
}

/// Which readings do not fit: those without which the others agree.
fn odd(fit: &Fit, left_out: &[LeftOut]) -> Result<Odd, FormulaError> {
    if fit.agreement >= CONTRADICTION {
        return Ok(Odd::None);
    }
    let least = left_out.iter().map(|left| left.chi_square).fold(f64::INFINITY, f64::min);
    let near: Vec<usize> = left_out.iter().enumerate().filter(|(_, left)| left.chi_square < least + AS_GOOD).map(|(at, _)| at).collect();
    let agree = match fit.freedom.checked_sub(1) {
        Some(freedom) if freedom > 0 => separation::chi_square_outside(least, freedom)? >= CONTRADICTION,
        // With nothing to spare the others cannot but agree.
        _ => true,
    };
    Ok(match near.as_slice() {
        _ if !agree => Odd::Unclear,
        [only] => Odd::One(*only),
        several if several.len() <= MOST_ODD => Odd::Several(near),
        _ => Odd::Unclear,
    })
}

/// The pair of readings in which the one with more on is lower by most, beyond what their ± explains.
fn lower(runs: &[Vec<u32>], levels: &[PlusMinus<Level>]) -> Result<Option<(usize, usize, PlusMinus<Gain>)>, FormulaError> {
    let mut worst: Option<(usize, usize, PlusMinus<Gain>)> = None;
    for (more, (run, level)) in runs.iter().zip(levels).enumerate() {
        for (less, (other, higher)) in runs.iter().zip(levels).enumerate() {
            if run == other || !run.iter().zip(other).all(|(a, b)| a >= b) {
                continue;
            }
            let drop = uncertainty::drop(*higher, *level)?;
            if drop.value.0 > drop.half_width && worst.is_none_or(|(_, _, known)| drop.value > known.value) {
                worst = Some((more, less, drop));
            }
        }
    }
    Ok(worst)
}

fn offers(
    inputs: &Inputs,
    runs: &[Vec<u32>],
    levels: &[PlusMinus<Level>],
    fit: &Fit,
    most: &[u32],
    groups: &[Unresolved],
    items: &[Item],
) -> Result<Vec<Offer>, FormulaError> {
    // What is not known at all first; then the two loudest.
    let mut watched: Vec<usize> = groups.iter().flat_map(|group| group.parts.iter().copied()).collect();
    if watched.is_empty() {
        watched = items.iter().take(2).flat_map(|item| item.columns.iter().copied()).collect();
    }
    let choices = |between: bool| -> Vec<Vec<u32>> {
        let parts = inputs.parts.iter().zip(most.iter().skip(1)).map(|(part, most)| {
            let most = (*most).max(1);
            match part.stop {
                Stop::Keep => vec![most],
                _ if between && most > 1 => vec![0, 1, most],
                _ => vec![0, most],
            }
        });
        std::iter::once(vec![1]).chain(parts).collect()
    };
    let states = |choices: &[Vec<u32>]| choices.iter().map(Vec::len).product::<usize>();
    let choices = Some(choices(true)).filter(|choices| states(choices) <= MOST_STATES).unwrap_or_else(|| choices(false));
    let not: Vec<Vec<u32>> = runs.iter().chain(&inputs.avoid).cloned().collect();
    let mut halves: Vec<f64> = levels.iter().map(|level| level.half_width).collect();
    sort_few(&mut halves, f64::total_cmp);
    let half_width = halves.get(halves.len() / 2).copied().unwrap_or(0.5);
    let search = Search { choices: &choices, not: &not, all_off: true, watched: &watched, half_width };
    separation::next_readings(runs, levels, fit, &search)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn readings(levels: &[f64]) -> Vec<PlusMinus<Level>> {
        levels.iter().map(|level| PlusMinus::new(Level(*level), 0.5)).collect()
    }

    fn inputs(stops: &[Stop], rows: &[(&[u32], f64, f64)]) -> Inputs {
        let part = |stop: &Stop| Part { name: Arg::Typed(String::new()), stop: *stop, guessed: false, is_fan: false };
        let read = |(at, (counts, level, half)): (usize, &(&[u32], f64, f64))| Read {
            number: at + 1,
            name: String::new(),
            counts: counts.to_vec(),
            level: PlusMinus::new(Level(*level), *half),
            whole_meter: false,
        };
        Inputs {
            parts: stops.iter().map(part).collect(),
            readings: rows.iter().enumerate().map(read).collect(),
            avoid: Vec::new(),
            lapses: Vec::new(),
            weighting: Weighting::A,
            header: Draft::default(),
            draft: Draft::default(),
            columns: Vec::new(),
        }
    }

    #[test]
    fn a_reading_with_more_on_that_is_lower_is_found_and_the_worst_of_them() {
        let runs = [vec![1, 0, 0], vec![1, 1, 0], vec![1, 1, 1], vec![1, 0, 2]];
        // √0.5 = 0.707 dB may be chance.
        assert_eq!(lower(&runs, &readings(&[40.7, 40.0, 45.0, 46.0])).unwrap(), None);
        let (more, less, drop) = lower(&runs, &readings(&[40.8, 40.0, 45.0, 46.0])).unwrap().unwrap();
        assert_eq!((more, less), (1, 0));
        assert_abs_diff_eq!(drop.value.0, 0.8, epsilon = 1e-9);
        assert_abs_diff_eq!(drop.half_width, 0.5_f64.sqrt(), epsilon = 1e-9);
        let worst = |levels| lower(&runs, &readings(levels)).unwrap().map(|(more, less, _)| (more, less));
        assert_eq!(worst(&[42.0, 40.0, 39.0, 46.0]), Some((2, 0)));
        assert_eq!(worst(&[42.0, 40.0, 41.0, 46.0]), Some((1, 0)));
        // Neither of these has all that is on in the other.
        assert_eq!(worst(&[30.0, 40.0, 45.0, 35.0]), None);
        assert_eq!(lower(&[vec![1, 1], vec![1, 1]], &readings(&[50.0, 40.0])).unwrap(), None);
    }

    #[test]
    fn the_odd_reading_is_the_one_without_which_the_others_agree() {
        let odd_of = |runs: &[Vec<u32>], levels: &[f64]| {
            let readings = readings(levels);
            let fit = separation::fit(runs, &readings).unwrap();
            odd(&fit, &separation::leave_one_out(runs, &readings, &fit).unwrap()).unwrap()
        };
        let same = |count: usize| vec![vec![1]; count];
        assert_eq!(odd_of(&same(4), &[40.0, 40.1, 39.9, 40.2]), Odd::None);
        assert_eq!(odd_of(&same(4), &[40.0, 40.1, 39.9, 45.0]), Odd::One(3));
        assert_eq!(odd_of(&same(2), &[40.0, 45.0]), Odd::Several(vec![0, 1]));
        assert_eq!(odd_of(&same(5), &[40.0, 40.1, 39.9, 45.0, 50.0]), Odd::Unclear, "more than one does not fit");
        // One reading to spare. Room and all make as much as both parts with the room: any one of the four may be wrong, if
        // the room may be as loud as that; where it would have to be below nothing, its own reading is out of suspicion.
        let three = [vec![1, 0, 0], vec![1, 1, 0], vec![1, 0, 1], vec![1, 1, 1]];
        assert_eq!(odd_of(&three, &[30.0, 50.0, 50.0, 51.0]), Odd::Unclear, "four under suspicion");
        assert_eq!(odd_of(&three, &[30.0, 40.0, 40.0, 50.0]), Odd::Several(vec![1, 2, 3]));
        assert_eq!(odd_of(&[vec![1, 0], vec![1, 1], vec![1, 1]], &[30.0, 40.0, 45.0]), Odd::Several(vec![1, 2]));
    }

    #[test]
    fn what_has_a_level_is_a_part_or_the_largest_known_sum() {
        assert_eq!(most_on(&[vec![1, 2, 0], vec![1, 0, 3]], 4), [1, 2, 3, 0]);
        assert_eq!(sets(&[1, 2, 0, 1], &[]), [vec![0, 2, 0, 0], vec![0, 0, 0, 1]]);
        let runs = [vec![1, 0, 0, 0], vec![1, 1, 2, 0], vec![1, 1, 2, 1]];
        let groups = separation::unresolved(&runs).unwrap();
        assert_eq!(sets(&[1, 1, 2, 1], &groups), [vec![0, 0, 0, 1], vec![0, 1, 2, 0]]);
        // The room alone is none.
        let groups = [Unresolved { parts: vec![0], sums: vec![vec![1, 0]] }];
        assert_eq!(sets(&[1, 1], &groups), [vec![0, 1]]);
    }

    #[test]
    fn names_say_what_may_be_stopped() {
        for (name, stop) in [
            ("Power supply", Stop::Keep),
            ("hot end fan", Stop::Keep),
            ("X axis", Stop::Motor),
            ("stepper driver", Stop::Keep),
            ("Spindle", Stop::Motor),
            ("exhaust", Stop::Free),
        ] {
            assert_eq!(Stop::guess(name), stop, "{name}");
        }
    }

    /// 40 and 50 dB as energies over a room of 30: by Python 3.11 from the sums themselves.
    #[test]
    fn a_part_has_its_share_its_gain_and_what_is_left() {
        let answer = solve(&inputs(
            &[Stop::Free, Stop::Free],
            &[(&[1, 0, 0], 30.0, 0.1), (&[1, 1, 0], 40.413_927, 0.1), (&[1, 0, 1], 50.043_214, 0.1)],
        ))
        .unwrap();
        let [loud, quiet] = answer.items.as_slice() else { panic!() };
        assert_eq!((loud.columns.as_slice(), quiet.columns.as_slice(), answer.tied), (&[2][..], &[1][..], 1));
        assert_abs_diff_eq!(loud.found.value().unwrap().value.0, 50.0, epsilon = 1e-6);
        assert_abs_diff_eq!(loud.share.unwrap().value, 100_000.0 / 111_000.0, epsilon = 1e-6);
        let Some(MostGain::Value(gain)) = loud.gain else { panic!() };
        assert_abs_diff_eq!(gain.value.0, 10.0 * (111_000.0 / 11_000.0_f64).log10(), epsilon = 1e-6);
        assert_abs_diff_eq!(loud.left.unwrap().value().unwrap().value.0, 40.413_927, epsilon = 1e-6);
        assert_abs_diff_eq!(answer.total.unwrap().value.0, 10.0 * 111_000_f64.log10(), epsilon = 1e-6);
        assert_abs_diff_eq!(answer.room.unwrap().value().unwrap().value.0, 30.0, epsilon = 1e-6);
        assert_eq!(answer.weightiest.map(|(which, _)| which), Some(2));
    }

    #[test]
    fn what_is_known_to_no_better_than_two_decibels_is_told_as_a_bound() {
        let of = |half: f64| solve(&inputs(&[Stop::Free], &[(&[1, 0], 40.0, half), (&[1, 1], 43.0, half)])).unwrap();
        // 3 dB apart the ± of the part is √(1 + q²)/(1 − q) = 2.2425 times that of the readings.
        assert!(of(0.89).items[0].found.value().is_some());
        let bound = of(0.9);
        let Found::AtMost(limit) = bound.items[0].found else { panic!() };
        // 10·lg(E·(1 + 1.645·u)), E and u of the part; the ± of the total allows more.
        let part = 10_f64.powf(4.3) - 1e4;
        let standard = 0.9 / 1.96 * std::f64::consts::LN_10 / 10.0 * 10_f64.powf(4.3).hypot(1e4);
        assert_abs_diff_eq!(limit.0, 10.0 * (part + 1.645 * standard).log10(), epsilon = 1e-6);
        let Some(MostGain::AtMost(gain)) = bound.items[0].gain else { panic!() };
        assert_abs_diff_eq!(gain.0, -10.0 * (1.0 - (part + 1.645 * standard) / 10_f64.powf(4.3)).log10(), epsilon = 1e-6);
        assert!(bound.items[0].share.is_none());
        // Nothing of it found: no louder than what it was heard in.
        let none = solve(&inputs(&[Stop::Free], &[(&[1, 0], 40.0, 5.0), (&[1, 1], 39.0, 0.5)])).unwrap();
        let Found::AtMost(limit) = none.items[0].found else { panic!() };
        assert!(limit.0 <= 39.0 + 1.645 * 0.5 / 1.96 + 1e-9);
    }

    #[test]
    fn the_first_items_are_tied_while_their_energies_may_be_equal() {
        let tied = |first: f64, second: f64, half: f64| {
            solve(&inputs(&[Stop::Free, Stop::Free], &[(&[1, 0, 0], 10.0, half), (&[1, 1, 0], first, half), (&[1, 0, 1], second, half)]))
                .unwrap()
                .tied
        };
        // √0.5 = 0.707 dB apart could be chance, to first order; 0.05 dB shows the same tenth however small the ±.
        assert_eq!([tied(45.0, 44.4, 0.5), tied(45.0, 44.2, 0.5)], [2, 1]);
        assert_eq!([tied(45.0, 44.96, 0.001), tied(45.0, 44.94, 0.001)], [2, 1]);
        let wide = solve(&inputs(&[Stop::Free, Stop::Free], &[(&[1, 0, 0], 40.0, 3.0), (&[1, 1, 0], 41.0, 3.0), (&[1, 0, 1], 41.0, 3.0)]));
        assert_eq!(wide.unwrap().tied, 1, "a bound has no rank");
    }

    #[test]
    fn offers_keep_what_must_run_and_have_the_usual_pm() {
        let keep = inputs(&[Stop::Keep, Stop::Free], &[(&[1, 1, 1], 45.0, 0.5), (&[1, 1, 0], 42.0, 0.5)]);
        let offers = solve(&keep).unwrap().offers;
        assert!(offers.iter().all(|offer| offer.counts[1] == 1 || offer.counts == [1, 0, 0]), "{offers:?}");
        assert!(offers.iter().any(|offer| offer.counts == [1, 0, 0]));
        let several = inputs(&[Stop::Free, Stop::Motor], &[(&[1, 4, 1], 45.0, 0.5), (&[1, 0, 0], 30.0, 0.5)]);
        let counts: Vec<u32> = solve(&several).unwrap().offers.iter().map(|offer| offer.counts[1]).collect();
        assert!(counts.iter().all(|count| [0, 1, 4].contains(count)), "{counts:?}");
        let mut avoided = several.clone();
        avoided.avoid = solve(&several).unwrap().offers.iter().map(|offer| offer.counts.clone()).collect();
        assert!(solve(&avoided).unwrap().offers.iter().all(|offer| !avoided.avoid.contains(&offer.counts)));
    }
}
