//! The arithmetic of the sheet.

use crate::calc::draft::Draft;
use crate::formulas::fans::{self, CUSTOMARY_DISTANCES, DIAMETER_COEFFICIENT};
use crate::formulas::levels::{self, Radiation};
use crate::formulas::loudness::{self, Comparison, Noticeable, Spectrum};
use crate::formulas::{FormulaError, uncertainty};
use crate::units::{Gain, Level, PlusMinus, PowerLevel, Weighting};

/// Half the width of the 95 % interval of the installed penalty, dB. Our judgement.
pub(super) const PENALTY_HALF: f64 = 3.0;
/// Below this ceiling even silence is not worth the money, dB. Our judgement.
pub(super) const LOW_CEILING: f64 = 1.5;
/// Below this share of the air needed, a fan is weaker rather than quieter. Data sheets are good to about 10 %.
pub(super) const ENOUGH_AIR: f64 = 0.9;
/// Two drops as close as this are practically the same, dB.
pub(super) const SAME_DROP: f64 = 0.5;
/// A change of level below what the page shows, dB.
const NOTHING: f64 = 0.05;

/// What a row is called: what was typed, and its place for when nothing was.
#[derive(Clone, Debug, PartialEq)]
pub struct Name {
    /// As typed; may be empty.
    pub typed: String,
    /// From 1.
    pub number: usize,
}

/// How loud a fan is said to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rating {
    /// Measured at the ear, as it runs.
    Ear(PlusMinus<Level>),
    /// Guessed at the ear, as it runs.
    Guess(PlusMinus<Level>),
    /// Sound pressure of a data sheet, at full speed.
    Sheet {
        /// The rating.
        level: PlusMinus<Level>,
        /// Its distance, m; `None` when the data sheet does not say.
        at: Option<f64>,
        /// How much louder it is once built in.
        extra: Gain,
    },
    /// Sound power of a data sheet, at full speed.
    Power {
        /// The rating.
        power: PlusMinus<PowerLevel>,
        /// How much louder it is once built in.
        extra: Gain,
    },
}

impl Rating {
    fn lacks_distance(&self) -> bool {
        matches!(self, Self::Sheet { at: None, .. })
    }
}

/// A fan of the machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Fan {
    /// Its name.
    pub name: Name,
    /// How loud one of them is.
    pub rating: Rating,
    /// How many alike.
    pub each: u32,
    /// Its speed now as a share of the rated speed.
    pub run: f64,
    /// Diameter, mm.
    pub size: Option<f64>,
    /// Air of one at the rated speed, m³/h.
    pub air: Option<f64>,
}

/// Anything else that sounds.
#[derive(Clone, Debug, PartialEq)]
pub struct Other {
    /// Its name.
    pub name: Name,
    /// Level of one at the ear.
    pub level: PlusMinus<Level>,
    /// How many alike.
    pub each: u32,
}

/// What is known of a replacement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Offer {
    /// A rating.
    Rated(Rating),
    /// Like the fan it replaces, at another speed or of another size.
    Same,
    /// No level yet.
    Unrated,
}

/// A replacement on offer.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Its name.
    pub name: Name,
    /// Which fan it replaces: a place in [`Inputs::fans`].
    pub fan: usize,
    /// What is known of it.
    pub offer: Offer,
    /// How many.
    pub each: u32,
    /// Its speed as a share of the rated speed; for [`Offer::Same`] of the speed of the replaced fan now.
    pub run: f64,
    /// Diameter, mm.
    pub size: Option<f64>,
    /// Air of one at the rated speed, m³/h.
    pub air: Option<f64>,
    /// Price of one.
    pub price: Option<f64>,
}

/// The laws as the person has set them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Laws {
    /// dB for a tenfold speed, 50 to 60.
    pub speed: f64,
    /// dB for a tenfold diameter.
    pub size: f64,
    /// 95 % half width of a change worked out by the laws, dB.
    pub half_width: f64,
}

/// What a note has to say about a row that was left out or read with care.
#[derive(Clone, Debug, PartialEq)]
pub enum Left {
    /// A fan without a level.
    Fan(Name),
    /// Something else without a level.
    Other(Name),
    /// A replacement for a fan that is not there or has no level.
    NoFan(Name),
    /// The two speeds of a fan are too far apart to be one fan.
    Speeds(Name),
    /// A rating so small that it is likely meant in bel.
    Bel(Name),
    /// Size known for one of the two only: the size law was not used.
    Size(Name),
}

/// What the sheet works with.
#[derive(Clone, Debug, PartialEq)]
pub struct Inputs {
    /// The fans.
    pub fans: Vec<Fan>,
    /// The other sources.
    pub others: Vec<Other>,
    /// The replacements.
    pub choices: Vec<Choice>,
    /// From the machine to the listener, m.
    pub ear: f64,
    /// The room with the machine off.
    pub back: Option<PlusMinus<Level>>,
    /// The air needed, m³/h.
    pub need: Option<f64>,
    /// The laws.
    pub laws: Laws,
    /// How much is to be gained.
    pub goal: Gain,
    /// Where fans stand, for sound power.
    pub stand: Radiation,
    /// The weighting of every level.
    pub weighting: Weighting,
    /// What to say about single rows.
    pub left: Vec<Left>,
    /// The conditions, for handing over.
    pub header: Draft,
}

/// A fan as it sounds now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FanNow {
    /// One at the ear.
    pub one: PlusMinus<Level>,
    /// All alike together.
    pub together: PlusMinus<Level>,
    /// Everything else with the room; `None` when there is nothing else.
    pub rest: Option<PlusMinus<Level>>,
    /// The most that can be gained there; `None` when there is nothing else.
    pub ceiling: Option<PlusMinus<Gain>>,
    /// The most the replacement may be, all together at the ear, to gain the goal; `None` when it cannot be done.
    pub allowed: Option<Level>,
    /// Air moved now by all alike, m³/h.
    pub air: Option<f64>,
}

/// The machine as it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// The distance taken for fans whose data sheet gives none, m; `None` when every one does.
    pub assumed: Option<f64>,
    /// Each fan.
    pub fans: Vec<FanNow>,
    /// Everything without the room.
    pub alone: PlusMinus<Level>,
    /// Everything with the room, as the meter shows it.
    pub meter: PlusMinus<Level>,
}

/// A replacement tried, with one reading of the data sheets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Case {
    /// Which [`Machine`].
    pub machine: usize,
    /// The distance taken for the replacement's rating, m; `None` when its data sheet gives one or none is needed.
    pub assumed: Option<f64>,
    /// One replacement at the ear.
    pub one: PlusMinus<Level>,
    /// All replacements together.
    pub together: PlusMinus<Level>,
    /// The machine after, without the room.
    pub alone: PlusMinus<Level>,
    /// After, as the meter will show it.
    pub meter: PlusMinus<Level>,
    /// The drop of the machine alone.
    pub alone_drop: PlusMinus<Gain>,
    /// The drop as the meter will show it.
    pub drop: PlusMinus<Gain>,
    /// What makes up the ± of that drop.
    pub parts: Parts,
}

/// What makes up the ± of a drop, dB.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parts {
    /// From everything that stays.
    pub rest: f64,
    /// From the old fan.
    pub old: f64,
    /// From the new one.
    pub new: f64,
}

/// What to say about a replacement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// A change one would notice.
    Worth,
    /// A change that shows side by side.
    Small,
    /// The verdict changes with the distance of the rating.
    Depends,
    /// Quieter because weaker.
    Weak,
    /// The drop is within its own ±.
    NotShown,
    /// Too little to hear.
    TooSmall,
    /// Even silence would gain too little.
    Ceiling,
    /// Louder than before.
    Louder,
}

/// A source of the machine after a replacement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Loudest {
    /// A fan that stayed: a place in [`Inputs::fans`].
    Fan(usize),
    /// One of the others: a place in [`Inputs::others`].
    Other(usize),
    /// The replacement.
    New,
}

/// A replacement tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// Which replacement: a place in [`Inputs::choices`].
    pub choice: usize,
    /// Each reading of the data sheets, the least gain first.
    pub cases: Vec<Case>,
    /// The verdict.
    pub verdict: Verdict,
    /// Air of the replacement, all together, m³/h.
    pub air: Option<f64>,
    /// That air over what is needed.
    pub air_share: Option<f64>,
    /// The price of all.
    pub price: Option<f64>,
    /// Money for each dB of the smallest drop; `None` when unknown or when no drop is shown.
    pub per_decibel: Option<f64>,
    /// How it sounds, at the smallest drop.
    pub loudness: Option<Comparison>,
    /// How noticeable it is, at the smallest drop.
    pub noticeable: Noticeable,
    /// What is loudest afterwards, all alike together, the room left aside.
    pub next: (Loudest, Level),
}

impl Trial {
    /// The case with the least gain. There is always one.
    pub fn careful(&self) -> Option<&Case> {
        self.cases.first()
    }

    /// The 95 % interval of the drop over every reading of the data sheets, dB.
    pub fn drop_range(&self) -> (f64, f64) {
        let ends = self.cases.iter().map(|case| (case.drop.value.0 - case.drop.half_width, case.drop.value.0 + case.drop.half_width));
        ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (from, to)| (low.min(from), high.max(to)))
    }
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The machine as it is; two when a fan's data sheet gives no distance.
    pub machines: Vec<Machine>,
    /// Every replacement with a level.
    pub trials: Vec<Trial>,
    /// The best of them: a place in `trials`.
    pub best: Option<usize>,
    /// One that gains practically as much for less money: a place in `trials`.
    pub cheaper: Option<usize>,
}

/// Why there is no answer: the numbers leave the range of a formula.
pub type Impossible = FormulaError;

/// The assumed distances when data sheets give none, else nothing to assume.
fn assumptions(lacking: bool) -> Vec<Option<f64>> {
    if lacking { vec![Some(CUSTOMARY_DISTANCES.0), Some(CUSTOMARY_DISTANCES.1)] } else { vec![None] }
}

fn changes(ratio: f64) -> bool {
    (ratio - 1.0).abs() > 1e-9
}

/// One fan at the ear, running at a share of its rated speed.
pub(super) fn at_ear(rating: &Rating, run: f64, assumed: Option<f64>, inputs: &Inputs) -> Result<PlusMinus<Level>, FormulaError> {
    let slowed = || fans::speed_gain(run, inputs.laws.speed);
    let law = if changes(run) { inputs.laws.half_width } else { 0.0 };
    Ok(match rating {
        Rating::Ear(level) | Rating::Guess(level) => *level,
        Rating::Sheet { level, at, extra } => {
            let at = at.or(assumed).unwrap_or(CUSTOMARY_DISTANCES.0);
            let value = level.value + levels::distance_gain(at, inputs.ear)? + *extra + slowed()?;
            PlusMinus::new(value, uncertainty::combine(&[level.half_width, PENALTY_HALF, law])?)
        }
        Rating::Power { power, extra } => {
            let value = levels::power_to_pressure(power.value + *extra, inputs.ear, inputs.stand)? + slowed()?;
            PlusMinus::new(value, uncertainty::combine(&[power.half_width, PENALTY_HALF, law])?)
        }
    })
}

/// Speed and size over those of the replaced fan, and what the laws make of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ByLaw {
    /// Diameter over diameter.
    pub(super) size: f64,
    /// The change of level.
    pub(super) gain: Gain,
    /// Air over air.
    pub(super) flow: f64,
    /// The ± of the change, dB.
    pub(super) half_width: f64,
}

/// What the laws say of a fan like the old one at another speed or size.
pub(super) fn by_law(choice: &Choice, fan: &Fan, laws: &Laws) -> Result<ByLaw, FormulaError> {
    let size = match (choice.size, fan.size) {
        (Some(new), Some(old)) => new / old,
        _ => 1.0,
    };
    let by_size = fans::diameter_gain(size)?.0 * laws.size / DIAMETER_COEFFICIENT;
    let gain = fans::speed_gain(choice.run, laws.speed)? + Gain(by_size);
    let half_width = if changes(choice.run) || changes(size) { laws.half_width } else { 0.0 };
    Ok(ByLaw { size, gain, flow: fans::factors(choice.run, size, 1.0)?.flow, half_width })
}

type Row = (PlusMinus<Level>, u32);

fn rest_of(inputs: &Inputs, ones: &[PlusMinus<Level>], without: Option<usize>, room: bool) -> Vec<Row> {
    let fans = inputs.fans.iter().zip(ones).enumerate().filter(|(at, _)| Some(*at) != without);
    let fans = fans.map(|(_, (fan, one))| (*one, fan.each));
    let others = inputs.others.iter().map(|other| (other.level, other.each));
    fans.chain(others).chain(inputs.back.filter(|_| room).map(|back| (back, 1))).collect()
}

fn together(one: PlusMinus<Level>, each: u32) -> Result<PlusMinus<Level>, FormulaError> {
    Ok(PlusMinus::new(one.value + levels::count_gain(each)?, one.half_width))
}

fn machine(inputs: &Inputs, assumed: Option<f64>) -> Result<Machine, FormulaError> {
    let ones: Vec<_> = inputs.fans.iter().map(|fan| at_ear(&fan.rating, fan.run, assumed, inputs)).collect::<Result<_, _>>()?;
    let alone = uncertainty::sum(&rest_of(inputs, &ones, None, false))?;
    let meter = uncertainty::sum(&rest_of(inputs, &ones, None, true))?;
    let mut fans = Vec::new();
    for (at, (fan, one)) in inputs.fans.iter().zip(&ones).enumerate() {
        let together = together(*one, fan.each)?;
        let rest = rest_of(inputs, &ones, Some(at), true);
        let rest = if rest.is_empty() { None } else { Some(uncertainty::sum(&rest)?) };
        fans.push(FanNow {
            one: *one,
            together,
            rest,
            ceiling: rest.map(|rest| uncertainty::ceiling(together, rest)).transpose()?,
            allowed: levels::allowed_level(meter.value - inputs.goal, rest.map(|rest| rest.value))?,
            air: fan.air.map(|air| air * fan.run * f64::from(fan.each)),
        });
    }
    Ok(Machine { assumed, fans, alone, meter })
}

/// From one sum to another that shares all but one part with it.
struct Shift {
    after: PlusMinus<Level>,
    drop: PlusMinus<Gain>,
    parts: Parts,
}

/// Puts `new` in the place of `old`. First order: a part's error counts by how much its share of the whole changes, so
/// what stays loud before and after hardly counts. `by_law` is the ± of the laws when `new` rests on `old`.
fn shift(rest: &[Row], old: Row, new: Row, by_law: Option<f64>) -> Result<Shift, FormulaError> {
    let with = |row: Row| uncertainty::sum(&rest.iter().copied().chain([row]).collect::<Vec<_>>());
    let (before, after) = (with(old)?, with(new)?);
    let share = |row: Row, whole: PlusMinus<Level>| {
        together(row.0, row.1).and_then(|all| levels::share(Level(all.value.0.min(whole.value.0)), whole.value))
    };
    let mut parts = Vec::new();
    for row in rest {
        parts.push((share(*row, before)? - share(*row, after)?).abs() * row.0.half_width);
    }
    let (gone, come) = (share(old, before)?, share(new, after)?);
    let rest = uncertainty::combine(&parts)?;
    let parts = match by_law {
        // The new level rests on the old one, whose error it shares.
        Some(law) => Parts { rest, old: (gone - come).abs() * old.0.half_width, new: come * law },
        None => Parts { rest, old: gone * old.0.half_width, new: come * new.0.half_width },
    };
    let half_width = uncertainty::combine(&[parts.rest, parts.old, parts.new])?;
    Ok(Shift { after, drop: PlusMinus::new(before.value - after.value, half_width), parts })
}

fn case(inputs: &Inputs, machines: &[Machine], which: usize, choice: &Choice, assumed: Option<f64>) -> Result<Option<Case>, FormulaError> {
    let Some((now, machine)) = machines.get(which).and_then(|machine| Some((machine.fans.get(choice.fan)?, machine))) else {
        return Ok(None);
    };
    let Some(fan) = inputs.fans.get(choice.fan) else { return Ok(None) };
    let (one, law) = match &choice.offer {
        Offer::Unrated => return Ok(None),
        Offer::Rated(rating) => (at_ear(rating, choice.run, assumed, inputs)?, None),
        Offer::Same => {
            let law = by_law(choice, fan, &inputs.laws)?;
            let half = uncertainty::combine(&[now.one.half_width, law.half_width])?;
            (PlusMinus::new(now.one.value + law.gain, half), Some(law.half_width))
        }
    };
    let ones: Vec<_> = machine.fans.iter().map(|fan| fan.one).collect();
    let (old, new) = ((now.one, fan.each), (one, choice.each));
    let alone = shift(&rest_of(inputs, &ones, Some(choice.fan), false), old, new, law)?;
    let meter = shift(&rest_of(inputs, &ones, Some(choice.fan), true), old, new, law)?;
    Ok(Some(Case {
        machine: which,
        assumed,
        one,
        together: together(one, choice.each)?,
        alone: alone.after,
        meter: meter.after,
        alone_drop: alone.drop,
        drop: meter.drop,
        parts: meter.parts,
    }))
}

fn verdict(case: &Case, now: &FanNow, air_share: Option<f64>) -> Result<Verdict, FormulaError> {
    let drop = case.drop.value.0;
    let noticeable = loudness::noticeable(case.drop)?;
    let low = now.ceiling.is_some_and(|ceiling| ceiling.value.0 < LOW_CEILING);
    Ok(match noticeable {
        Noticeable::NotShown if !low => Verdict::NotShown,
        _ if drop < -NOTHING && noticeable != Noticeable::NotShown => Verdict::Louder,
        _ if low => Verdict::Ceiling,
        Noticeable::NotShown | Noticeable::No => Verdict::TooSmall,
        _ if air_share.is_some_and(|share| share < ENOUGH_AIR) => Verdict::Weak,
        Noticeable::SideBySide => Verdict::Small,
        Noticeable::Just | Noticeable::Clearly | Noticeable::TwiceOrHalf => Verdict::Worth,
    })
}

fn air(inputs: &Inputs, choice: &Choice, now: Option<f64>) -> Result<Option<f64>, FormulaError> {
    let count = f64::from(choice.each);
    Ok(match (choice.air, choice.offer, inputs.fans.get(choice.fan)) {
        (Some(air), Offer::Rated(Rating::Ear(_) | Rating::Guess(_)), _) => Some(air * count),
        (Some(air), _, _) => Some(air * choice.run * count),
        (None, Offer::Same, Some(fan)) => {
            let flow = by_law(choice, fan, &inputs.laws)?.flow;
            now.map(|now| now * flow * count / f64::from(fan.each))
        }
        (None, ..) => None,
    })
}

fn trial(inputs: &Inputs, machines: &[Machine], at: usize, choice: &Choice) -> Result<Option<Trial>, FormulaError> {
    let lacking = matches!(choice.offer, Offer::Rated(rating) if rating.lacks_distance());
    let mut cases = Vec::new();
    for which in 0..machines.len() {
        for assumed in assumptions(lacking) {
            cases.extend(case(inputs, machines, which, choice, assumed)?);
        }
    }
    crate::units::sort_few(&mut cases, |a, b| a.drop.value.0.total_cmp(&b.drop.value.0));
    let Some(careful) = cases.first().copied() else { return Ok(None) };
    let now = |case: &Case| machines.get(case.machine).and_then(|machine| machine.fans.get(choice.fan)).copied();
    let (Some(fan_now), Some(before)) = (now(&careful), machines.get(careful.machine)) else { return Ok(None) };
    let air = air(inputs, choice, fan_now.air)?;
    let air_share = match (air.zip(inputs.need.or(fan_now.air)), choice.offer, inputs.fans.get(choice.fan)) {
        (Some((air, need)), ..) => Some(air / need),
        // Of a fan like the old one the laws know the air as a share of the old air, whatever that is.
        (None, Offer::Same, Some(fan)) if inputs.need.is_none() && choice.air.is_none() => {
            Some(by_law(choice, fan, &inputs.laws)?.flow * f64::from(choice.each) / f64::from(fan.each))
        }
        _ => None,
    };
    let mut verdicts = Vec::new();
    for case in &cases {
        if let Some(now) = now(case) {
            verdicts.push(verdict(case, &now, air_share)?);
        }
    }
    let first = verdicts.first().copied().unwrap_or(Verdict::NotShown);
    let price = choice.price.map(|price| price * f64::from(choice.each));
    let drop = careful.drop;
    let shown = drop.value.0 > NOTHING && drop.value.0 >= drop.half_width;
    Ok(Some(Trial {
        choice: at,
        verdict: if verdicts.iter().all(|verdict| *verdict == first) { first } else { Verdict::Depends },
        air,
        air_share,
        price,
        per_decibel: price.filter(|_| shown).map(|price| price / drop.value.0),
        loudness: loudness::ratio(before.meter.value, careful.meter.value, Spectrum::default()).ok(),
        noticeable: loudness::noticeable(drop)?,
        next: next(inputs, before, choice, &careful)?,
        cases,
    }))
}

/// What is loudest once the replacement is in.
fn next(inputs: &Inputs, machine: &Machine, choice: &Choice, case: &Case) -> Result<(Loudest, Level), FormulaError> {
    let mut loudest = (Loudest::New, case.together.value);
    let fans = machine.fans.iter().enumerate().filter(|(at, _)| *at != choice.fan);
    let mut sources: Vec<_> = fans.map(|(at, now)| (Loudest::Fan(at), now.together.value)).collect();
    for (at, other) in inputs.others.iter().enumerate() {
        sources.push((Loudest::Other(at), together(other.level, other.each)?.value));
    }
    for source in sources {
        if source.1 > loudest.1 {
            loudest = source;
        }
    }
    Ok(loudest)
}

/// What is worth doing first: a change one hears with enough air, then what depends, then what is weak, then the rest.
fn rank(trial: &Trial) -> u8 {
    match trial.verdict {
        Verdict::Worth | Verdict::Small => 0,
        Verdict::Depends => 1,
        Verdict::Weak => 2,
        Verdict::NotShown | Verdict::TooSmall | Verdict::Ceiling | Verdict::Louder => 3,
    }
}

fn careful_drop(trial: &Trial) -> f64 {
    trial.careful().map_or(f64::NEG_INFINITY, |case| case.drop.value.0)
}

fn best(trials: &[Trial]) -> Option<usize> {
    let order = |a: &Trial, b: &Trial| {
        let money = |trial: &Trial| trial.price.unwrap_or(f64::INFINITY);
        rank(a).cmp(&rank(b)).then(careful_drop(b).total_cmp(&careful_drop(a))).then(money(a).total_cmp(&money(b)))
    };
    trials.iter().enumerate().min_by(|(_, a), (_, b)| order(a, b)).map(|(at, _)| at)
}

fn cheaper(trials: &[Trial], best: Option<usize>) -> Option<usize> {
    let lead = trials.get(best?)?;
    let price = lead.price?;
    let near = |trial: &Trial| rank(trial) == 0 && careful_drop(lead) - careful_drop(trial) < SAME_DROP;
    let costs = |trial: &Trial| trial.price.filter(|other| *other < price && near(trial));
    let found = trials.iter().enumerate().filter_map(|(at, trial)| Some((at, costs(trial)?)));
    found.min_by(|(_, a), (_, b)| a.total_cmp(b)).map(|(at, _)| at)
}

/// Before, after, and what each replacement is worth.
///
/// # Errors
///
/// [`FormulaError`] when the numbers leave the range of a formula.
pub(super) fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
    let lacking = inputs.fans.iter().any(|fan| fan.rating.lacks_distance());
    let machines: Vec<_> = assumptions(lacking).into_iter().map(|assumed| machine(inputs, assumed)).collect::<Result<_, _>>()?;
    let mut trials = Vec::new();
    for (at, choice) in inputs.choices.iter().enumerate() {
        trials.extend(trial(inputs, &machines, at, choice)?);
    }
    let best = best(&trials);
    let cheaper = cheaper(&trials, best);
    Ok(Answer { machines, trials, best, cheaper })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn name(number: usize) -> Name {
        Name { typed: String::new(), number }
    }

    fn ear(level: f64) -> Rating {
        Rating::Ear(PlusMinus::exact(Level(level)))
    }

    fn sheet(level: f64, at: Option<f64>, extra: f64) -> Rating {
        Rating::Sheet { level: PlusMinus::new(Level(level), 2.0), at, extra: Gain(extra) }
    }

    fn fan(rating: Rating) -> Fan {
        Fan { name: name(1), rating, each: 1, run: 1.0, size: None, air: None }
    }

    fn choice(offer: Offer) -> Choice {
        Choice { name: name(1), fan: 0, offer, each: 1, run: 1.0, size: None, air: None, price: None }
    }

    fn inputs(fans: Vec<Fan>, choices: Vec<Choice>) -> Inputs {
        Inputs {
            fans,
            others: Vec::new(),
            choices,
            ear: 1.0,
            back: None,
            need: None,
            laws: Laws { speed: 50.0, size: 70.0, half_width: 3.0 },
            goal: Gain(3.0),
            stand: Radiation::Hemisphere,
            weighting: Weighting::A,
            left: Vec::new(),
            header: Draft::default(),
        }
    }

    fn at(inputs: &Inputs) -> Trial {
        solve(inputs).unwrap().trials.remove(0)
    }

    /// Check values 1.2: 42.0 with a fan of 40.5 leaves 36.6546; with a fan of 32.0 it is 37.9335.
    #[test]
    fn a_fan_is_taken_out_and_another_put_in() {
        let mut inputs = inputs(vec![fan(ear(40.5))], vec![choice(Offer::Rated(ear(32.0)))]);
        inputs.others = vec![Other { name: name(1), level: PlusMinus::exact(Level(36.6546)), each: 1 }];
        let answer = solve(&inputs).unwrap();
        assert_abs_diff_eq!(answer.machines[0].meter.value.0, 42.0, epsilon = 1e-4);
        let case = answer.trials[0].cases[0];
        assert_abs_diff_eq!(case.meter.value.0, 37.9335, epsilon = 1e-4);
        assert_abs_diff_eq!(case.drop.value.0, 42.0 - 37.9335, epsilon = 2e-4);
        assert_abs_diff_eq!(answer.machines[0].fans[0].ceiling.unwrap().value.0, 42.0 - 36.6546, epsilon = 1e-4);
        assert_eq!(answer.trials[0].next, (Loudest::Other(0), Level(36.6546)));
    }

    /// Check values 4.2: from a 1 m rating to 0.5 m +6.021; 1 m against 0.3 m is worth 10.458 dB.
    #[test]
    fn a_rating_is_brought_to_the_ear_and_both_customary_distances_are_tried() {
        let mut inputs = inputs(vec![fan(ear(40.0))], vec![choice(Offer::Rated(sheet(22.0, Some(1.0), 3.0)))]);
        inputs.ear = 0.5;
        assert_abs_diff_eq!(at(&inputs).cases[0].one.value.0, 22.0 + 6.021 + 3.0, epsilon = 1e-3);
        inputs.choices = vec![choice(Offer::Rated(sheet(22.0, None, 3.0)))];
        let trial = at(&inputs);
        assert_eq!(trial.cases.len(), 2);
        assert_abs_diff_eq!((trial.cases[0].one.value - trial.cases[1].one.value).0, 10.458, epsilon = 1e-3);
        assert!(trial.cases[0].drop.value < trial.cases[1].drop.value);
    }

    /// Check values 4.2: sound power is 7.982 dB above the pressure at 1 m on a table, 10.992 free on all sides.
    #[test]
    fn sound_power_is_converted() {
        let power = Rating::Power { power: PlusMinus::new(PowerLevel::from_bel(4.1), 2.0), extra: Gain(0.0) };
        let mut inputs = inputs(vec![fan(ear(40.0))], vec![choice(Offer::Rated(power))]);
        assert_abs_diff_eq!(at(&inputs).cases[0].one.value.0, 41.0 - 7.982, epsilon = 1e-3);
        inputs.stand = Radiation::Sphere;
        assert_abs_diff_eq!(at(&inputs).cases[0].one.value.0, 41.0 - 10.992, epsilon = 1e-3);
    }

    /// Check values 4.1: 30 dB(A) at 5000 rpm is 18.908 at 3000, and two of them 21.918; the air goes with the speed.
    #[test]
    fn a_slower_fan_follows_the_speed_law() {
        let mut slow = choice(Offer::Same);
        slow.run = 0.6;
        let mut one = fan(ear(30.0));
        one.air = Some(10.0);
        let mut inputs = inputs(vec![one], vec![slow]);
        let trial = at(&inputs);
        assert_abs_diff_eq!(trial.cases[0].one.value.0, 18.908, epsilon = 1e-3);
        assert_abs_diff_eq!(trial.air_share.unwrap(), 0.6, epsilon = 1e-12);
        assert_eq!(trial.verdict, Verdict::Weak);
        inputs.choices[0].each = 2;
        let trial = at(&inputs);
        assert_abs_diff_eq!(trial.cases[0].together.value.0, 21.918, epsilon = 1e-3);
        assert_abs_diff_eq!(trial.air_share.unwrap(), 1.2, epsilon = 1e-12);
    }

    /// Check values 4.1: the same flow from a fan 1.5 times as large is 14.087 dB less.
    #[test]
    fn a_larger_slower_fan_follows_both_laws() {
        let mut large = choice(Offer::Same);
        (large.run, large.size) = (1.0 / 1.5_f64.powi(3), Some(60.0));
        let mut small = fan(ear(40.0));
        small.size = Some(40.0);
        let trial = at(&inputs(vec![small], vec![large]));
        assert_abs_diff_eq!(trial.cases[0].one.value.0, 40.0 - 14.087, epsilon = 1e-3);
        assert_abs_diff_eq!(trial.air_share.unwrap(), 1.0, epsilon = 1e-9);
    }

    #[test]
    fn a_goal_that_silence_cannot_reach_has_no_level() {
        let mut inputs = inputs(vec![fan(ear(40.0))], Vec::new());
        inputs.others = vec![Other { name: name(1), level: PlusMinus::exact(Level(40.0)), each: 1 }];
        inputs.goal = Gain(3.02);
        assert_eq!(solve(&inputs).unwrap().machines[0].fans[0].allowed, None);
        inputs.goal = Gain(3.0);
        let allowed = solve(&inputs).unwrap().machines[0].fans[0].allowed.unwrap();
        let after = levels::energy_sum(&[allowed, Level(40.0)]).unwrap();
        assert_abs_diff_eq!(after.0, 40.0 + 10.0 * 2_f64.log10() - 3.0, epsilon = 1e-9);
    }

    /// By hand: one part only, so the error of the old level counts in full, and so does that of the new.
    #[test]
    fn an_error_that_old_and_new_share_cancels() {
        let old = Rating::Ear(PlusMinus::new(Level(40.0), 2.0));
        let mut inputs = inputs(vec![fan(old)], vec![choice(Offer::Rated(Rating::Ear(PlusMinus::new(Level(30.0), 1.5))))]);
        assert_abs_diff_eq!(at(&inputs).cases[0].drop.half_width, 2.5, epsilon = 1e-9);
        inputs.choices = vec![Choice { run: 0.5, ..choice(Offer::Same) }];
        assert_abs_diff_eq!(at(&inputs).cases[0].drop.half_width, 3.0, epsilon = 1e-9);
        inputs.choices = vec![choice(Offer::Same)];
        assert_abs_diff_eq!(at(&inputs).cases[0].drop.half_width, 0.0, epsilon = 1e-9);
    }

    #[test]
    fn the_best_moves_enough_air_and_the_cheaper_one_is_named() {
        let offer = |level: f64, air: f64, price: f64| Choice {
            air: Some(air),
            price: Some(price),
            ..choice(Offer::Rated(Rating::Ear(PlusMinus::new(Level(level), 0.5))))
        };
        let mut old = fan(ear(45.0));
        old.air = Some(20.0);
        let mut inputs = inputs(vec![old], vec![offer(20.0, 8.0, 9.0), offer(30.0, 22.0, 30.0), offer(30.2, 21.0, 12.0)]);
        inputs.others = vec![Other { name: name(1), level: PlusMinus::exact(Level(35.0)), each: 1 }];
        let answer = solve(&inputs).unwrap();
        assert_eq!(answer.trials[0].verdict, Verdict::Weak);
        assert_eq!((answer.best, answer.cheaper), (Some(1), Some(2)));
    }

    fn level(level: f64, half_width: f64) -> PlusMinus<Level> {
        PlusMinus::new(Level(level), half_width)
    }

    fn read(level: f64, half_width: f64) -> Offer {
        Offer::Rated(Rating::Ear(PlusMinus::new(Level(level), half_width)))
    }

    fn with_other(level: f64, choices: Vec<Choice>, old: f64) -> Inputs {
        let mut inputs = inputs(vec![fan(Rating::Ear(PlusMinus::new(Level(old), 0.5)))], choices);
        inputs.others = vec![Other { name: name(1), level: PlusMinus::new(Level(level), 0.5), each: 1 }];
        inputs
    }

    /// 40, 40 and twice 37 dB; then 30 dB in the place of the second one. By Python 3.11, from the shares in both sums.
    #[test]
    fn a_drop_has_its_pm_from_what_stays_from_the_old_and_from_the_new() {
        let rest = [(level(40.0, 1.0), 1), (level(37.0, 2.0), 2)];
        let found = shift(&rest, (level(40.0, 0.5), 1), (level(30.0, 1.5), 1), None).unwrap();
        assert_abs_diff_eq!(found.drop.value.0, 1.547_547_8, epsilon = 1e-6);
        assert_abs_diff_eq!(found.parts.rest, 0.319_430_9, epsilon = 1e-6);
        assert_abs_diff_eq!(found.parts.old, 0.166_534_9, epsilon = 1e-6);
        assert_abs_diff_eq!(found.parts.new, 0.071_347_9, epsilon = 1e-6);
        assert_abs_diff_eq!(found.drop.half_width, 0.367_233_6, epsilon = 1e-6);
        // By the laws: the error of the old one counts by the difference of both shares, that of the laws by the new share.
        let found = shift(&rest, (level(40.0, 0.5), 1), (level(30.0, 3.1), 1), Some(3.0)).unwrap();
        assert_abs_diff_eq!(found.parts.old, 0.142_752_2, epsilon = 1e-6);
        assert_abs_diff_eq!(found.parts.new, 0.142_695_8, epsilon = 1e-6);
    }

    #[test]
    fn the_room_and_the_others_are_in_what_the_meter_shows() {
        let mut one = with_other(37.0, Vec::new(), 40.0);
        one.others[0].each = 2;
        one.back = Some(level(35.0, 0.5));
        let machine = solve(&one).unwrap().machines.remove(0);
        // 10·lg(10^4 + 2·10^3.7), and with 10^3.5 more.
        assert_abs_diff_eq!(machine.alone.value.0, 43.015_453, epsilon = 1e-6);
        assert_abs_diff_eq!(machine.meter.value.0, 43.652_262, epsilon = 1e-6);
        assert_abs_diff_eq!(machine.fans[0].rest.unwrap().value.0, 41.201_138, epsilon = 1e-6);
        assert_abs_diff_eq!(machine.fans[0].ceiling.unwrap().value.0, 43.652_262 - 41.201_138, epsilon = 1e-6);
    }

    #[test]
    fn prices_and_air_count_for_all_alike() {
        let mut pair = Choice { each: 3, price: Some(12.0), air: Some(10.0), run: 0.5, ..choice(read(20.0, 0.1)) };
        let mut one = with_other(30.0, vec![pair.clone()], 45.0);
        (one.fans[0].air, one.fans[0].each, one.fans[0].run) = (Some(20.0), 2, 0.8);
        let trial = at(&one);
        assert_eq!(trial.price, Some(36.0));
        // Read at the ear as it runs, the air is that of the reading, too.
        assert_eq!(trial.air, Some(30.0));
        // 20 · 0.8 · 2 now.
        assert_abs_diff_eq!(trial.air_share.unwrap(), 30.0 / 32.0, epsilon = 1e-12);
        assert_abs_diff_eq!(trial.per_decibel.unwrap(), 36.0 / trial.cases[0].drop.value.0, epsilon = 1e-12);
        pair.offer = Offer::Rated(sheet(20.0, Some(1.0), 0.0));
        one.choices = vec![pair.clone()];
        one.need = Some(60.0);
        assert_eq!(at(&one).air, Some(15.0));
        assert_abs_diff_eq!(at(&one).air_share.unwrap(), 0.25, epsilon = 1e-12);
        // A fan like the old one: half its speed, three in the place of two.
        one.choices = vec![Choice { air: None, offer: Offer::Same, ..pair.clone() }];
        assert_abs_diff_eq!(at(&one).air.unwrap(), 24.0, epsilon = 1e-12);
        assert_abs_diff_eq!(at(&one).air_share.unwrap(), 0.4, epsilon = 1e-12);
        (one.need, one.fans[0].air) = (None, None);
        assert_eq!(at(&one).air, None);
        assert_abs_diff_eq!(at(&one).air_share.unwrap(), 0.75, epsilon = 1e-12);
        one.need = Some(60.0);
        assert_eq!(at(&one).air_share, None);
        one.choices = vec![Choice { air: None, ..choice(read(20.0, 0.1)) }];
        assert_eq!((at(&one).air, at(&one).price, at(&one).per_decibel), (None, None, None));
    }

    #[test]
    fn money_is_counted_only_for_a_drop_that_shows() {
        let per = |new: f64, half_width| {
            at(&with_other(35.0, vec![Choice { price: Some(10.0), ..choice(read(new, half_width)) }], 45.0)).per_decibel
        };
        assert!(per(38.0, 0.5).is_some());
        assert_eq!(per(44.8, 2.0), None, "within its own ±");
        assert_eq!(per(46.0, 0.1), None, "louder");
        let mut exact = inputs(vec![fan(ear(45.0))], vec![Choice { price: Some(10.0), ..choice(Offer::Rated(ear(44.96))) }]);
        assert_eq!(at(&exact).per_decibel, None, "less than the page shows");
        exact.choices[0].offer = Offer::Rated(ear(44.9));
        assert_abs_diff_eq!(at(&exact).per_decibel.unwrap(), 100.0, epsilon = 1e-6);
    }

    #[test]
    fn verdicts_follow_the_drop_its_pm_the_ceiling_and_the_air() {
        let trial = |new: Offer, other: f64, air: Option<f64>| {
            let mut one = with_other(other, vec![Choice { air, ..choice(new) }], 45.0);
            one.fans[0].air = Some(20.0);
            at(&one).verdict
        };
        for (new, half_width, other, air, expected) in [
            (30.0, 0.5, 30.0, None, Verdict::Worth),
            (30.0, 0.5, 30.0, Some(18.1), Verdict::Worth),
            (30.0, 0.5, 30.0, Some(17.9), Verdict::Weak),
            (43.0, 0.5, 30.0, None, Verdict::Small),
            (44.3, 0.6, 30.0, None, Verdict::NotShown),
            (44.0, 6.0, 30.0, None, Verdict::NotShown),
            (47.0, 0.5, 30.0, None, Verdict::Louder),
            (30.0, 0.5, 50.0, None, Verdict::Ceiling),
            (47.0, 6.0, 50.0, None, Verdict::Ceiling),
        ] {
            assert_eq!(trial(read(new, half_width), other, air), expected, "{new} {other}");
        }
        let exact = |new: f64| at(&inputs(vec![fan(ear(45.0))], vec![choice(Offer::Rated(ear(new)))])).verdict;
        assert_eq!([44.2, 44.97, 45.03, 45.07].map(exact), [Verdict::TooSmall, Verdict::TooSmall, Verdict::TooSmall, Verdict::Louder]);
    }

    #[test]
    fn what_is_loudest_afterwards_counts_all_alike() {
        let mut one = with_other(33.0, vec![choice(read(30.0, 0.5))], 45.0);
        one.fans.push(fan(ear(32.0)));
        one.fans[1].each = 2;
        // Twice 32 dB are 35.01, above 33 once and below it three times, 37.77.
        assert_eq!(at(&one).next.0, Loudest::Fan(1));
        assert_abs_diff_eq!(at(&one).next.1.0, 35.0103, epsilon = 1e-4);
        one.others[0].each = 3;
        assert_eq!(at(&one).next.0, Loudest::Other(0));
        one.choices[0].each = 10;
        assert_eq!(at(&one).next.0, Loudest::New);
    }

    #[test]
    fn the_best_gains_most_and_of_equals_costs_least() {
        let offer = |level: f64, price: f64| Choice { price: Some(price), ..choice(read(level, 0.5)) };
        let found = |choices: Vec<Choice>| {
            let answer = solve(&with_other(35.0, choices, 45.0)).unwrap();
            (answer.best, answer.cheaper)
        };
        assert_eq!(found(vec![offer(30.0, 9.0), offer(30.0, 7.0), offer(30.0, 8.0)]), (Some(1), None));
        assert_eq!(found(vec![offer(34.0, 9.0), offer(25.0, 30.0), offer(26.0, 20.0)]), (Some(1), Some(2)));
        // 33 dB leaves 0.9 dB more than 25: not practically the same.
        assert_eq!(found(vec![offer(33.0, 9.0), offer(25.0, 30.0)]), (Some(1), None));
        assert_eq!(found(vec![offer(26.0, 9.0), offer(25.0, 30.0), offer(25.5, 8.0)]), (Some(1), Some(2)));
        assert_eq!(found(vec![offer(25.0, 30.0), offer(26.0, 30.0)]), (Some(0), None), "no cheaper");
        assert_eq!(found(Vec::new()), (None, None));
        assert_eq!(found(vec![choice(Offer::Unrated), offer(25.0, 30.0)]), (Some(0), None));
    }

    #[test]
    fn the_range_of_a_drop_holds_every_reading_of_the_data_sheets() {
        let mut one = with_other(30.0, vec![choice(Offer::Rated(sheet(35.0, None, 0.0)))], 45.0);
        one.ear = 0.5;
        let trial = at(&one);
        let (low, high) = trial.drop_range();
        let ends = |case: &Case| (case.drop.value.0 - case.drop.half_width, case.drop.value.0 + case.drop.half_width);
        assert_abs_diff_eq!(low, ends(&trial.cases[0]).0.min(ends(&trial.cases[1]).0), epsilon = 1e-12);
        assert_abs_diff_eq!(high, ends(&trial.cases[0]).1.max(ends(&trial.cases[1]).1), epsilon = 1e-12);
        assert!(low < trial.cases[0].drop.value.0 && high > trial.cases[1].drop.value.0);
        // Two readings of one fan's data sheet: two machines.
        one.fans[0].rating = sheet(45.0, None, 0.0);
        let answer = solve(&one).unwrap();
        assert_eq!(answer.machines.iter().map(|machine| machine.assumed).collect::<Vec<_>>(), [Some(1.0), Some(0.3)]);
        assert_eq!(answer.trials[0].cases.len(), 4);
    }

    #[test]
    fn ratings_widen_by_the_penalty_and_the_laws() {
        let one = inputs(vec![fan(ear(40.0))], Vec::new());
        let half = |rating: Rating, run: f64| at_ear(&rating, run, None, &one).unwrap().half_width;
        let power = Rating::Power { power: PlusMinus::new(PowerLevel(40.0), 2.0), extra: Gain(0.0) };
        // √(2² + 3²), and √(2² + 3² + 3²) when slowed.
        for rating in [sheet(30.0, Some(1.0), 0.0), power] {
            assert_abs_diff_eq!(half(rating, 1.0), 13_f64.sqrt(), epsilon = 1e-12);
            assert_abs_diff_eq!(half(rating, 0.5), 22_f64.sqrt(), epsilon = 1e-12);
        }
        // 50·lg 0.5 = −15.0515.
        assert_abs_diff_eq!(at_ear(&power, 0.5, None, &one).unwrap().value.0, 40.0 - 7.9818 - 15.0515, epsilon = 1e-4);
        assert_abs_diff_eq!(
            at_ear(&sheet(30.0, Some(2.0), 1.0), 0.5, None, &one).unwrap().value.0,
            30.0 + 6.0206 + 1.0 - 15.0515,
            epsilon = 1e-4
        );
        assert_abs_diff_eq!(half(Rating::Guess(level(40.0, 1.2)), 0.5), 1.2, epsilon = 1e-12);
    }
}
