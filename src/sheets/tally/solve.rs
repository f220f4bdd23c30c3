//! The arithmetic: energy sums with and without each part.

use crate::calc::draft::{Draft, Path};
use crate::formulas::credit::{self, Change};
use crate::formulas::levels::{self, SmallestSet};
use crate::formulas::loudness::{self, Noticeable, Relation, Spectrum};
use crate::formulas::{FormulaError, uncertainty};
use crate::text::Arg;
use crate::units::{Gain, Level, ONE_SIDED_95, PlusMinus, Weighting};

/// Levels this close show the same tenth, dB.
const SAME: f64 = 0.05;

/// How far a meter held in the hand strays, m.
const NUDGE: f64 = 0.05;

/// The most parts whose credit is shared out: with each more it takes twice as long.
const MOST_CREDITED: usize = 12;

/// What was asked for. The last seven are for the words only.
#[derive(Clone, Debug)]
pub struct Inputs {
    pub(super) sources: Vec<Source>,
    pub(super) background: Option<PlusMinus<Level>>,
    pub(super) want: Option<Level>,
    pub(super) weighting: Weighting,
    /// The ± of a single reading, when the meter shows no tenths.
    pub(super) whole_meter: Option<f64>,
    pub(super) named: Vec<Named>,
    pub(super) lapses: Vec<(Lapse, Arg)>,
    pub(super) background_text: String,
    /// The ± of the background as typed, dB.
    pub(super) background_stated: Option<f64>,
    /// The levels were worked out together from readings with parts on and off.
    pub(super) from_readings: bool,
    pub(super) handed: Draft,
}

/// One row.
#[derive(Clone, Debug)]
pub(super) struct Source {
    /// One of them, as read. Without meaning when it is off.
    pub(super) level: PlusMinus<Level>,
    /// How many alike.
    pub(super) each: u32,
    /// The distance it was read at, and that of the ear, m.
    pub(super) moved: Option<(f64, f64)>,
    /// Whether it is on.
    pub(super) running: bool,
}

/// What a row is called, for the words.
#[derive(Clone, Debug)]
pub(super) struct Named {
    pub(super) name: Arg,
    /// Its level as typed.
    pub(super) text: String,
    /// Its ± as typed, dB.
    pub(super) stated: Option<f64>,
    /// Its switch.
    pub(super) run: Path,
}

/// What could not be used of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lapse {
    /// The count cannot be read: counted once.
    BadCount,
    /// The level cannot be read: the row is left out.
    BadLevel,
    /// The ± cannot be read: the usual one.
    BadSpread,
    /// There is no level yet: the row is left out.
    NoLevel,
    /// Only one of the two distances is known: the level is used as it is.
    OneDistance,
}

/// The answer.
#[derive(Clone, Debug)]
pub struct Answer {
    pub(super) total: PlusMinus<Level>,
    /// The parts that are on, loudest first.
    pub(super) parts: Vec<Part>,
    pub(super) background_share: Option<PlusMinus<f64>>,
    /// So many of the first parts cannot be told from the loudest.
    pub(super) tied: usize,
    /// Whether these even show the same tenth.
    pub(super) same: bool,
    /// The best pair and the best triple.
    pub(super) sets: Vec<Together>,
    pub(super) running: Vec<Running>,
    pub(super) target: Option<Target>,
    /// The source, or the background for `None`, with the largest part in the variance of the total, and that part.
    pub(super) weightiest: Option<(Option<usize>, f64)>,
    pub(super) credit: Option<Credit>,
}

/// What each of several parts earns of a drop they bring together, whatever the order.
#[derive(Clone, Debug)]
pub(super) struct Credit {
    /// How much they all come down; `None` for silence.
    pub(super) by: Option<Gain>,
    /// One for each of the first parts.
    pub(super) each: Vec<Gain>,
}

/// One row in the sum.
#[derive(Clone, Debug)]
pub(super) struct Part {
    /// Which row.
    pub(super) source: usize,
    /// How many alike.
    pub(super) each: u32,
    /// One of them at the ear.
    pub(super) one: PlusMinus<Level>,
    /// All alike together at the ear.
    pub(super) together: PlusMinus<Level>,
    pub(super) share: PlusMinus<f64>,
    /// What 5 cm make where it was read, a part of its ±; nothing when it was not moved.
    pub(super) near_change: Gain,
    /// What silence there would do; `None` when nothing else makes a sound.
    pub(super) silenced: Option<Silenced>,
}

/// What silence in a part, or in several, would do.
#[derive(Clone, Copy, Debug)]
pub(super) struct Silenced {
    /// The total without it.
    pub(super) left: PlusMinus<Level>,
    /// The most that can be gained.
    pub(super) gain: PlusMinus<Gain>,
    /// Whether it would be noticed.
    pub(super) heard: Noticeable,
    /// How many times as loud what is left sounds, by which relation; `None` where there is no rule for it.
    pub(super) times: Option<(f64, Relation)>,
}

/// The loudest few silenced at once.
#[derive(Clone, Copy, Debug)]
pub(super) struct Together {
    /// So many of the first parts.
    pub(super) count: usize,
    /// What it would do.
    pub(super) silenced: Silenced,
}

/// So many of several alike running.
#[derive(Clone, Copy, Debug)]
pub(super) struct Running {
    /// Which part.
    pub(super) part: usize,
    /// How many of them.
    pub(super) count: u32,
    /// Their own level together.
    pub(super) own: PlusMinus<Level>,
    /// The total.
    pub(super) total: PlusMinus<Level>,
}

/// How a wanted total can be reached.
#[derive(Clone, Debug)]
pub(super) struct Target {
    pub(super) want: Level,
    /// The total over it; negative when it is met.
    pub(super) over: Gain,
    /// Whether the ± of the total reaches across it.
    pub(super) unsure: bool,
    pub(super) reach: Reach,
    /// With one source more than needed: how many, and down by how much each.
    pub(super) spread: Option<(usize, Gain)>,
    pub(super) sure: Sure,
}

/// What it takes to keep to a wanted total 95 of 100 times, the ± of everything considered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Sure {
    /// It is kept to already.
    Met,
    /// So many of the loudest, each down by so much.
    Down(usize, Gain),
    /// What cannot be made quieter is too loud, or too little known.
    Never,
}

/// The ways to reach a wanted total.
#[derive(Clone, Debug)]
pub(super) enum Reach {
    /// The background alone is too loud.
    Never(Level),
    /// It is met already.
    Met,
    /// The sources one of which would do.
    One(Vec<Single>),
    /// It takes so many of the loudest, each down by so much.
    Several(usize, Gain),
}

/// A part that could reach the target by itself.
#[derive(Clone, Copy, Debug)]
pub(super) struct Single {
    pub(super) part: usize,
    /// The loudest each of them may be.
    pub(super) most: Level,
    /// How much it must come down.
    pub(super) by: Gain,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// Every source is switched off.
    AllOff,
    /// The levels are no use to a formula.
    Formula(FormulaError),
}

impl From<FormulaError> for Impossible {
    fn from(error: FormulaError) -> Self {
        Self::Formula(error)
    }
}

pub(super) fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
    let mut placed = Vec::new();
    for (source, row) in inputs.sources.iter().enumerate().filter(|(_, row)| row.running) {
        let (one, near_change) = at_ear(row)?;
        let alike = levels::count_gain(row.each)?;
        placed.push((source, row.each, one, PlusMinus::new(one.value + alike, one.half_width), near_change));
    }
    if placed.is_empty() {
        return Err(Impossible::AllOff);
    }
    crate::units::sort_few(&mut placed, |a, b| b.3.value.0.total_cmp(&a.3.value.0));
    let own: Vec<PlusMinus<Level>> = placed.iter().map(|part| part.3).collect();
    let room = Room { own: &own, background: inputs.background, weighting: inputs.weighting };
    let total = sum(own.iter().copied().chain(inputs.background))?.ok_or(FormulaError::Empty)?;

    let mut parts = Vec::new();
    for (at, (source, each, one, together, near_change)) in placed.into_iter().enumerate() {
        let rest = room.without(|part| part == at)?;
        let share = match rest {
            Some(rest) => uncertainty::share(together, rest)?,
            None => PlusMinus::exact(1.0),
        };
        let silenced = rest.map(|rest| room.silenced(total, together, rest)).transpose()?;
        parts.push(Part { source, each, one, together, share, near_change, silenced });
    }

    let background_share = match (inputs.background, sum(own.iter().copied())?) {
        (Some(background), Some(rest)) => Some(uncertainty::share(background, rest)?),
        _ => None,
    };
    let mut sets = Vec::new();
    for count in [2, 3] {
        if count <= own.len()
            && let Some(treated) = sum(own.iter().copied().take(count))?
            && let Some(rest) = room.without(|part| part < count)?
        {
            sets.push(Together { count, silenced: room.silenced(total, treated, rest)? });
        }
    }
    let (tied, same) = tie(&own)?;
    let mut running = Vec::new();
    for (at, part) in parts.iter().enumerate().filter(|(_, part)| part.each > 1) {
        let rest = room.without(|other| other == at)?;
        for count in steps(part.each) {
            let own = PlusMinus::new(part.one.value + levels::count_gain(count)?, part.one.half_width);
            let total = sum(std::iter::once(own).chain(rest))?.ok_or(FormulaError::Empty)?;
            running.push(Running { part: at, count, own, total });
        }
    }
    let target = inputs.want.map(|want| room.target(want, total, &parts)).transpose()?;
    let weightiest = room.weightiest(total);
    let credit = room.credit(target.as_ref())?;
    Ok(Answer { total, parts, background_share, tied, same, sets, running, target, weightiest, credit })
}

/// One of a row where the listener is, and what the hand that held the meter makes of its level.
fn at_ear(row: &Source) -> Result<(PlusMinus<Level>, Gain), FormulaError> {
    let Some((from, to)) = row.moved else { return Ok((row.level, Gain(0.0))) };
    let change = levels::distance_gain(from + NUDGE, from)?;
    let half_width = uncertainty::combine(&[row.level.half_width, change.0])?;
    Ok((PlusMinus::new(row.level.value + levels::distance_gain(from, to)?, half_width), change))
}

/// The energy sum with its ±, or `None` of nothing.
fn sum(levels: impl Iterator<Item = PlusMinus<Level>>) -> Result<Option<PlusMinus<Level>>, FormulaError> {
    let rows: Vec<_> = levels.map(|level| (level, 1)).collect();
    if rows.is_empty() { Ok(None) } else { uncertainty::sum(&rows).map(Some) }
}

/// How many of the loudest cannot be told apart, and whether they show the same tenth.
fn tie(own: &[PlusMinus<Level>]) -> Result<(usize, bool), FormulaError> {
    let Some((first, others)) = own.split_first() else { return Ok((0, false)) };
    let (mut tied, mut same) = (1, true);
    for other in others {
        let apart = uncertainty::drop(*first, *other)?;
        if apart.value.0 >= apart.half_width.max(SAME) {
            break;
        }
        tied += 1;
        same &= apart.value.0 < SAME;
    }
    Ok((tied, same))
}

/// The counts to show of several alike: all of a few, of many the first ten, every tenth and the last.
fn steps(each: u32) -> impl Iterator<Item = u32> {
    (1..=each).filter(move |count| each <= 12 || *count <= 10 || count % 10 == 0 || *count == each)
}

/// The parts and the background.
struct Room<'a> {
    own: &'a [PlusMinus<Level>],
    background: Option<PlusMinus<Level>>,
    weighting: Weighting,
}

impl Room<'_> {
    /// Everything but some parts, the background included.
    fn without(&self, out: impl Fn(usize) -> bool) -> Result<Option<PlusMinus<Level>>, FormulaError> {
        sum(self.own.iter().enumerate().filter(|(at, _)| !out(*at)).map(|(_, level)| *level).chain(self.background))
    }

    fn silenced(&self, total: PlusMinus<Level>, treated: PlusMinus<Level>, rest: PlusMinus<Level>) -> Result<Silenced, FormulaError> {
        let gain = uncertainty::ceiling(treated, rest)?;
        let heard = loudness::noticeable(PlusMinus::new(-gain.value, gain.half_width))?;
        let compared = loudness::ratio(total.value, rest.value, Spectrum::AsPhon).ok();
        let times = compared.filter(|_| self.weighting == Weighting::A).map(|compared| (compared.times, compared.relation));
        Ok(Silenced { left: rest, gain, heard, times })
    }

    fn target(&self, want: Level, total: PlusMinus<Level>, parts: &[Part]) -> Result<Target, FormulaError> {
        let over = total.value - want;
        let own: Vec<Level> = self.own.iter().map(|level| level.value).collect();
        let reach = match levels::smallest_set(&own, self.background.map(|level| level.value), want)? {
            SmallestSet::Met => Reach::Met,
            SmallestSet::Impossible { floor } => Reach::Never(floor),
            SmallestSet::Treat { which, by, .. } if which.len() > 1 => Reach::Several(which.len(), by),
            SmallestSet::Treat { .. } => {
                let mut singles = Vec::new();
                for (at, part) in parts.iter().enumerate() {
                    let rest = self.without(|other| other == at)?.map(|rest| rest.value);
                    if let Some(allowed) = levels::allowed_level(want, rest)? {
                        let most = allowed - levels::count_gain(part.each)?;
                        singles.push(Single { part: at, most, by: part.one.value - most });
                    }
                }
                Reach::One(singles)
            }
        };
        let needed = match &reach {
            Reach::One(_) => 1,
            Reach::Several(count, _) => *count,
            Reach::Met | Reach::Never(_) => own.len(),
        };
        let spread = if needed < own.len() { Some((needed + 1, self.down_by(needed + 1, want)?)) } else { None };
        let spread = spread.and_then(|(count, by)| Some((count, by?)));
        let sure = self.sure(want, total)?;
        Ok(Target { want, over, unsure: over.0.abs() < total.half_width, reach, spread, sure })
    }

    /// The fewest of the loudest parts, and how far they must come down, for the one-sided limit of the total to keep to the
    /// target.
    fn sure(&self, want: Level, total: PlusMinus<Level>) -> Result<Sure, FormulaError> {
        /// Beyond this a part is as good as silent, dB.
        const SILENT: f64 = 80.0;
        const HALVINGS: usize = 40;
        let keeps = |level: PlusMinus<Level>| level.value.0 + ONE_SIDED_95 * level.standard() <= want.0;
        if keeps(total) {
            return Ok(Sure::Met);
        }
        for count in 1..=self.own.len() {
            let rest = self.without(|part| part < count)?;
            if rest.is_some_and(|rest| !keeps(rest)) {
                continue;
            }
            let lowered = |by: f64| {
                let down = self.own.iter().take(count).map(move |own| PlusMinus::new(own.value - Gain(by), own.half_width));
                sum(down.chain(rest))
            };
            let (mut least, mut most) = (0.0, SILENT);
            if lowered(most)?.is_some_and(|level| !keeps(level)) {
                continue;
            }
            for _ in 0..HALVINGS {
                let middle = f64::midpoint(least, most);
                if lowered(middle)?.is_some_and(keeps) {
                    most = middle;
                } else {
                    least = middle;
                }
            }
            return Ok(Sure::Down(count, Gain(most)));
        }
        Ok(Sure::Never)
    }

    /// Which level has the largest part in the variance of the total: `(share·h)²`, over all of them.
    fn weightiest(&self, total: PlusMinus<Level>) -> Option<(Option<usize>, f64)> {
        let part = |level: &PlusMinus<Level>| (10_f64.powf((level.value - total.value).0 / 10.0) * level.half_width).powi(2);
        let own = self.own.iter().enumerate().map(|(at, level)| (Some(at), part(level)));
        let all: Vec<(Option<usize>, f64)> = own.chain(self.background.iter().map(|level| (None, part(level)))).collect();
        let whole: f64 = all.iter().map(|(_, part)| part).sum();
        let (which, most) = all.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
        (all.len() > 1 && whole > 0.0).then(|| (which, most / whole))
    }

    /// The credit for what a target takes of several parts; without one, for silence in all of them.
    fn credit(&self, target: Option<&Target>) -> Result<Option<Credit>, FormulaError> {
        let (count, by) = match target.map(|target| &target.reach) {
            Some(Reach::Several(count, by)) => (*count, Some(*by)),
            _ => (self.own.len(), None),
        };
        let rest = self.without(|part| part < count)?.map(|rest| rest.value);
        if !(2..=MOST_CREDITED).contains(&count) || (by.is_none() && rest.is_none()) {
            return Ok(None);
        }
        let changes = self.own.iter().take(count).map(|own| Change { before: own.value, after: by.map(|by| own.value - by) });
        Ok(Some(Credit { by, each: credit::shapley(&changes.collect::<Vec<_>>(), rest)? }))
    }

    /// How much the first parts must come down, all alike, for the total to reach the target.
    fn down_by(&self, count: usize, want: Level) -> Result<Option<Gain>, FormulaError> {
        let rest = self.without(|part| part < count)?.map(|rest| rest.value);
        let treated: Vec<Level> = self.own.iter().take(count).map(|level| level.value).collect();
        let allowed = levels::allowed_level(want, rest)?;
        allowed.map(|allowed| Ok(levels::energy_sum(&treated)? - allowed)).transpose()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn source(level: f64, half_width: f64, each: u32) -> Source {
        Source { level: PlusMinus::new(Level(level), half_width), each, moved: None, running: true }
    }

    fn inputs(sources: Vec<Source>, background: Option<f64>, want: Option<f64>) -> Inputs {
        Inputs {
            sources,
            background: background.map(|level| PlusMinus::new(Level(level), 0.5)),
            want: want.map(Level),
            weighting: Weighting::A,
            whole_meter: None,
            named: Vec::new(),
            lapses: Vec::new(),
            background_text: String::new(),
            background_stated: None,
            from_readings: false,
            handed: Draft::default(),
        }
    }

    fn plain(levels: &[f64]) -> Vec<Source> {
        levels.iter().map(|level| source(*level, 0.5, 1)).collect()
    }

    fn total(levels: &[f64]) -> f64 {
        solve(&inputs(plain(levels), None, None)).unwrap().total.value.0
    }

    /// OSHA Technical Manual, worked examples (85, 83 and 88; 70 and 73; 88, 86, 80 and 85), to its whole decibels; the
    /// digits after them by Python 3.11 with numpy 2.4.6.
    #[test]
    fn the_totals_of_the_osha_manual() {
        assert_abs_diff_eq!(total(&[85.0, 83.0, 88.0]), 90.5945, epsilon = 5e-5);
        assert_abs_diff_eq!(total(&[70.0, 73.0]), 74.7643, epsilon = 5e-5);
        assert_abs_diff_eq!(total(&[88.0, 86.0, 80.0, 85.0]), 91.5996, epsilon = 5e-5);
    }

    /// `10·lg n`, as a row of n and as n rows.
    #[test]
    fn n_alike_add_ten_lg_n() {
        for (each, more) in [(2, 3.0103), (3, 4.7712), (4, 6.0206), (5, 6.9897), (8, 9.0309), (10, 10.0), (40, 16.0206)] {
            let row = solve(&inputs(vec![source(40.0, 0.5, each)], None, None)).unwrap();
            assert_abs_diff_eq!(row.total.value.0, 40.0 + more, epsilon = 5e-5);
            assert_abs_diff_eq!(total(&vec![40.0; each as usize]), 40.0 + more, epsilon = 5e-5);
        }
    }

    /// The budgets of check-values 8.1, by the GUM: Python 3.11 with numpy 2.4.6. Standard uncertainties there, half
    /// widths here; both scale alike.
    #[test]
    fn the_plus_minus_of_the_total() {
        for (rows, level, spread) in [
            (vec![source(50.0, 1.0, 1), source(50.0, 1.0, 1)], 53.0103, std::f64::consts::FRAC_1_SQRT_2),
            (vec![source(50.0, 1.0, 1), source(44.0, 1.0, 1)], 50.9732, 0.82407),
            (plain(&[45.0, 42.0, 38.0]), 47.3063, 0.33404),
        ] {
            let answer = solve(&inputs(rows, None, None)).unwrap();
            assert_abs_diff_eq!(answer.total.value.0, level, epsilon = 5e-5);
            assert_abs_diff_eq!(answer.total.half_width, spread, epsilon = 5e-6);
        }
    }

    /// Half of the energy: 10·lg 2 gained, a share of one half; the ± of the gain is s·√2·h.
    #[test]
    fn two_equal_sources_can_gain_three_decibels_each() {
        let answer = solve(&inputs(plain(&[40.0, 40.0]), None, None)).unwrap();
        let silenced = answer.parts[0].silenced.unwrap();
        assert_abs_diff_eq!(silenced.gain.value.0, 3.0103, epsilon = 5e-5);
        assert_abs_diff_eq!(silenced.gain.half_width, 0.5 * 0.5 * 2_f64.sqrt(), epsilon = 1e-9);
        assert_abs_diff_eq!(answer.parts[1].share.value, 0.5, epsilon = 1e-12);
        assert_eq!((answer.tied, answer.same), (2, true));
        assert!(answer.sets.is_empty(), "nothing would be left to compare with");
    }

    #[test]
    fn shares_make_one_and_what_is_left_is_the_sum_of_the_others() {
        let answer = solve(&inputs(plain(&[38.6, 44.1, 41.0, 39.5]), Some(31.0), None)).unwrap();
        let shares: f64 = answer.parts.iter().map(|part| part.share.value).sum();
        assert_abs_diff_eq!(shares + answer.background_share.unwrap().value, 1.0, epsilon = 1e-12);
        let left = answer.parts[0].silenced.unwrap().left.value;
        assert_abs_diff_eq!(left.0, total(&[38.6, 41.0, 39.5, 31.0]), epsilon = 1e-9);
    }

    /// Every pair and every triple, the hard way.
    #[test]
    fn the_best_pair_and_triple_are_the_best_of_all() {
        let levels = [38.6, 44.1, 41.0, 39.5, 41.2, 20.0];
        let answer = solve(&inputs(plain(&levels), Some(31.0), None)).unwrap();
        for (set, size) in answer.sets.iter().zip([2, 3]) {
            let least = (0_u32..1 << levels.len())
                .filter(|chosen| chosen.count_ones() == size)
                .map(|chosen| {
                    let rest: Vec<f64> = (0..levels.len()).filter(|at| chosen & (1 << at) == 0).map(|at| levels[at]).collect();
                    total(&[rest.as_slice(), &[31.0]].concat())
                })
                .fold(f64::INFINITY, f64::min);
            assert_abs_diff_eq!(set.silenced.left.value.0, least, epsilon = 1e-9);
            let singles: f64 = answer.parts.iter().take(size as usize).map(|part| part.silenced.unwrap().gain.value.0).sum();
            assert!(set.silenced.gain.value.0 > singles, "gains do not add");
        }
    }

    #[test]
    fn so_many_of_several_alike() {
        let answer = solve(&inputs(vec![source(41.1, 0.5, 2), source(41.0, 0.5, 1)], Some(31.0), None)).unwrap();
        let [one, both] = answer.running.as_slice() else { panic!() };
        assert_abs_diff_eq!(one.own.value.0, 41.1, epsilon = 1e-9);
        assert_abs_diff_eq!(one.total.value.0, total(&[41.1, 41.0, 31.0]), epsilon = 1e-9);
        assert_abs_diff_eq!(both.own.value.0, 44.1103, epsilon = 5e-5);
        assert_abs_diff_eq!(both.total.value.0, answer.total.value.0, epsilon = 1e-9);
        let many = solve(&inputs(vec![source(41.1, 0.5, 100)], None, None)).unwrap();
        assert_eq!(
            many.running.iter().map(|row| row.count).collect::<Vec<_>>(),
            (1..=10).chain((20..=100).step_by(10)).collect::<Vec<_>>()
        );
    }

    #[test]
    fn what_must_come_down_brings_the_total_to_the_wanted_level() {
        let rows = || vec![source(38.6, 0.5, 1), source(41.1, 0.5, 2), source(41.0, 0.5, 1), source(39.5, 0.5, 1)];
        let reach = |want| solve(&inputs(rows(), Some(31.0), Some(want))).unwrap().target.unwrap();
        let Reach::One(singles) = reach(46.0).reach else { panic!() };
        assert_eq!(singles.len(), 1);
        let most = singles[0].most.0;
        assert_abs_diff_eq!(total(&[38.6, most, most, 41.0, 39.5, 31.0]), 46.0, epsilon = 1e-9);
        let target = reach(42.0);
        let Reach::Several(3, Gain(by)) = target.reach else { panic!("{:?}", target.reach) };
        assert_abs_diff_eq!(total(&[38.6, 41.1 - by, 41.1 - by, 41.0 - by, 39.5 - by, 31.0]), 42.0, epsilon = 1e-9);
        let (4, Gain(by)) = target.spread.unwrap() else { panic!() };
        assert_abs_diff_eq!(total(&[38.6 - by, 41.1 - by, 41.1 - by, 41.0 - by, 39.5 - by, 31.0]), 42.0, epsilon = 1e-9);
        assert!(matches!(reach(31.0).reach, Reach::Never(Level(31.0))));
        assert!(matches!(reach(47.5).reach, Reach::Met));
        assert!(reach(47.3).unsure && !reach(46.0).unsure);
    }

    /// One source alone: it must be below the wanted level by 1.645 u, u = h/1.96. Two of them: checked by going back.
    #[test]
    fn to_be_sure_of_a_level_takes_its_plus_minus_along() {
        let target = |rows: Vec<Source>, background, want| solve(&inputs(rows, background, Some(want))).unwrap().target.unwrap();
        let Sure::Down(1, Gain(by)) = target(vec![source(40.0, 1.0, 1)], None, 39.0).sure else { panic!() };
        assert_abs_diff_eq!(by, 1.0 + 1.645 / 1.96, epsilon = 1e-6);
        assert_eq!(target(vec![source(40.0, 1.0, 1)], None, 41.0).sure, Sure::Met);
        assert!(target(vec![source(40.0, 1.0, 1)], None, 40.5).sure != Sure::Met, "met, but not surely");
        assert_eq!(target(plain(&[40.0]), Some(36.8), 37.0).sure, Sure::Never, "the background alone is not surely below");
        let found = target(plain(&[44.0, 41.0, 30.0]), Some(31.0), 40.0);
        let Sure::Down(count, Gain(by)) = found.sure else { panic!("{:?}", found.sure) };
        let lowered = [44.0, 41.0, 30.0].iter().enumerate().map(|(at, level)| if at < count { level - by } else { *level });
        let again = solve(&inputs(plain(&lowered.collect::<Vec<_>>()), Some(31.0), None)).unwrap().total;
        assert_abs_diff_eq!(again.value.0 + 1.645 * again.standard(), 40.0, epsilon = 1e-6);
        let Reach::Several(_, Gain(plain_by)) = found.reach else { panic!("{:?}", found.reach) };
        assert!(by > plain_by);
    }

    /// Parts of the variance, (c·u)² over their sum, from check-values 8.1: 0.79924² over 0.79924² + 0.20076².
    #[test]
    fn the_level_with_the_largest_part_in_the_doubt_is_found() {
        let answer = solve(&inputs(vec![source(44.0, 1.0, 1), source(50.0, 1.0, 1)], None, None)).unwrap();
        let (which, share) = answer.weightiest.unwrap();
        assert_eq!(which, Some(0));
        assert_abs_diff_eq!(share, 0.940_65, epsilon = 5e-5);
        let room = solve(&inputs(vec![source(40.0, 0.1, 1)], Some(44.0), None)).unwrap();
        assert_eq!(room.weightiest.unwrap().0, None);
        assert!(solve(&inputs(plain(&[40.0]), None, None)).unwrap().weightiest.is_none());
    }

    #[test]
    fn the_credit_adds_up_to_the_whole_drop() {
        let silent = solve(&inputs(plain(&[38.6, 44.1, 41.0, 39.5]), Some(31.0), None)).unwrap();
        let credit = silent.credit.unwrap();
        let sum: f64 = credit.each.iter().map(|gain| gain.0).sum();
        assert_abs_diff_eq!(sum, silent.total.value.0 - 31.0, epsilon = 1e-9);
        // By every order gone through, Python 3.11.
        assert_abs_diff_eq!(credit.each[0].0, 6.228_56, epsilon = 5e-6);
        let target = solve(&inputs(plain(&[38.6, 44.1, 41.0, 39.5]), Some(31.0), Some(42.0))).unwrap();
        let sum: f64 = target.credit.unwrap().each.iter().map(|gain| gain.0).sum();
        assert_abs_diff_eq!(sum, target.total.value.0 - 42.0, epsilon = 1e-9);
        assert!(solve(&inputs(plain(&[40.0; 13]), Some(31.0), None)).unwrap().credit.is_none());
        assert!(solve(&inputs(plain(&[40.0, 41.0]), None, None)).unwrap().credit.is_none(), "nothing would be left");
    }

    /// 20·lg 2 for half the distance, and 20·lg(1.05) for 5 cm at 1 m.
    #[test]
    fn a_level_moved_to_the_ear_takes_the_doubt_about_its_distance_along() {
        let mut near = source(40.0, 0.0, 1);
        near.moved = Some((1.0, 0.5));
        let answer = solve(&inputs(vec![near], None, None)).unwrap();
        assert_abs_diff_eq!(answer.total.value.0, 46.0206, epsilon = 5e-5);
        assert_abs_diff_eq!(answer.total.half_width, 0.4238, epsilon = 5e-5);
    }

    #[test]
    fn close_rows_are_not_ranked_and_clear_ones_are() {
        let tie = |levels: &[f64]| {
            let answer = solve(&inputs(plain(levels), Some(30.0), None)).unwrap();
            (answer.tied, answer.same)
        };
        assert_eq!(tie(&[41.0, 41.0, 41.0]), (3, true));
        assert_eq!(tie(&[41.0, 40.4, 38.0]), (2, false));
        assert_eq!(tie(&[41.0, 40.2]), (1, true));
    }

    #[test]
    fn what_is_off_does_not_count_and_nothing_on_is_no_answer() {
        let mut off = source(60.0, 0.5, 1);
        off.running = false;
        let answer = solve(&inputs(vec![off.clone(), source(40.0, 0.5, 1)], None, None)).unwrap();
        assert_abs_diff_eq!(answer.total.value.0, 40.0, epsilon = 1e-12);
        assert!(answer.parts[0].silenced.is_none());
        assert_eq!(solve(&inputs(vec![off], Some(31.0), None)).unwrap_err(), Impossible::AllOff);
    }

    #[test]
    fn extremes_give_finite_numbers() {
        let levels: Vec<f64> = (0..40).map(|at| if at % 2 == 0 { -10.0 } else { 150.0 }).collect();
        let answer = solve(&inputs(plain(&levels), Some(150.0), Some(-10.0))).unwrap();
        for part in &answer.parts {
            let silenced = part.silenced.unwrap();
            for value in [part.share.value, part.share.half_width, silenced.gain.value.0, silenced.gain.half_width] {
                assert!(value.is_finite() && value >= 0.0);
            }
        }
    }

    #[test]
    fn ties_end_where_the_pm_or_half_a_tenth_ends() {
        let tied = |second: f64, half: f64| tie(&[PlusMinus::new(Level(41.0), half), PlusMinus::new(Level(second), half)]).unwrap();
        // √0.5 = 0.707 dB.
        assert_eq!([tied(40.3, 0.5), tied(40.29, 0.5)], [(2, false), (1, true)]);
        assert_eq!([tied(40.96, 0.0), tied(40.94, 0.0)], [(2, true), (1, true)]);
        assert_eq!(tie(&[]), Ok((0, false)));
    }

    #[test]
    fn all_of_twelve_alike_are_listed_and_of_more_the_first_ten_every_tenth_and_the_last() {
        assert_eq!(steps(12).collect::<Vec<_>>(), (1..=12).collect::<Vec<_>>());
        assert_eq!(steps(13).collect::<Vec<_>>(), [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 13]);
        assert_eq!(steps(31).skip(9).collect::<Vec<_>>(), [10, 20, 30, 31]);
    }

    /// 44 and 41 dB over a room of 31 to 43 dB, by Python 3.11: either alone must leave 43 with the rest.
    #[test]
    fn each_part_that_could_do_alone_says_how_far_it_must_come_down() {
        let target = |want| solve(&inputs(plain(&[44.0, 41.0]), Some(31.0), Some(want))).unwrap().target.unwrap();
        let found = target(45.0);
        let Reach::One(singles) = &found.reach else { panic!() };
        let [loud, quiet] = singles.as_slice() else { panic!("{singles:?}") };
        assert_abs_diff_eq!(loud.most.0, 42.497_998, epsilon = 1e-6);
        assert_abs_diff_eq!(loud.by.0, 44.0 - 42.497_998, epsilon = 1e-6);
        assert_abs_diff_eq!(quiet.most.0, 37.197_444, epsilon = 1e-6);
        assert_abs_diff_eq!(found.over.0, 0.906_975, epsilon = 1e-6);
        assert!(!found.unsure && target(45.7).unsure && target(46.1).unsure);
        let (2, Gain(by)) = found.spread.unwrap() else { panic!() };
        assert_abs_diff_eq!(total(&[44.0 - by, 41.0 - by, 31.0]), 45.0, epsilon = 1e-9);
        assert!(solve(&inputs(plain(&[44.0]), Some(31.0), Some(43.0))).unwrap().target.unwrap().spread.is_none(), "there is only one");
    }

    #[test]
    fn pairs_and_triples_need_as_many_parts_and_something_left() {
        let counts = |levels: &[f64], background| -> Vec<usize> {
            solve(&inputs(plain(levels), background, None)).unwrap().sets.iter().map(|set| set.count).collect()
        };
        assert_eq!(counts(&[40.0, 41.0], Some(31.0)), [2]);
        assert_eq!(counts(&[40.0, 41.0, 42.0], None), [2]);
        assert_eq!(counts(&[40.0, 41.0, 42.0], Some(31.0)), [2, 3]);
        assert_eq!(counts(&[40.0], Some(31.0)), [0; 0]);
    }

    #[test]
    fn loudness_is_told_for_a_weighting_only_and_credit_up_to_twelve() {
        let mut some = inputs(plain(&[60.0, 57.0]), Some(50.0), None);
        // From 62.0444 to 57.7901 dB, both above 40 phon: 2^(−0.425 432).
        let times = solve(&some).unwrap().parts[0].silenced.unwrap().times.unwrap();
        assert_abs_diff_eq!(times.0, 0.744_616, epsilon = 1e-6);
        assert_eq!(times.1, Relation::SoneRule);
        some.weighting = Weighting::C;
        assert!(solve(&some).unwrap().parts[0].silenced.unwrap().times.is_none());
        assert!(solve(&inputs(plain(&[40.0; 12]), Some(31.0), None)).unwrap().credit.is_some());
        assert!(solve(&inputs(plain(&[40.0]), Some(31.0), None)).unwrap().credit.is_none());
    }
}
