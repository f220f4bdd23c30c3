//! What readings with parts on and off tell about each part, with its ±, and what they leave open.
//!
//! The levels themselves are those of [`super::nnls::separate`], each reading with a ± of its own. Here stands what belongs
//! to them: how sure they are, which sums are known where single parts are not, whether the readings agree with each other,
//! and which reading would help most.

use num_traits::Zero;

use super::active_set::{ActiveSet, products};
use super::error::{FormulaError, finite, within};
use super::motion::Exact;
use super::nnls;
use crate::units::{Energy, Gain, Level, ONE_SIDED_95, PlusMinus, count_to_f64};

/// d(energy)/energy for one decibel.
const PER_DECIBEL: f64 = std::f64::consts::LN_10 / 10.0;
/// Readings that agree less often than this by chance contradict each other.
pub const CONTRADICTION: f64 = 0.05;
/// The most readings and the most parts, the background included.
const MOST_RUNS: f64 = 200.0;
const MOST_PARTS: f64 = 40.0;

/// What the readings tell.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The energy of one of each part, the background first. Where parts cannot be told apart, only sums mean anything.
    pub energies: Vec<f64>,
    /// The covariance of the energies, row by row, the widening in it. Zero for a part that depends on those before it: what
    /// [`Fit::is_known`] has its right ± all the same.
    covariance: Vec<Vec<f64>>,
    hidden: Vec<Vec<Exact>>,
    /// Each reading minus what the energies make of it.
    pub residuals: Vec<Gain>,
    /// Sum of the squares of the misfits, each over its standard uncertainty.
    pub chi_square: f64,
    /// How many readings there are beyond those that are needed.
    pub freedom: usize,
    /// The chance of such a misfit, or of a larger one, if only the ± of the readings were at work. One with nothing to spare.
    pub agreement: f64,
    /// By how much every ± was widened since the readings contradict each other; one when they do not.
    pub widened: f64,
}

fn dot(counts: &[u32], values: &[f64]) -> f64 {
    counts.iter().zip(values).map(|(count, value)| f64::from(*count) * value).sum()
}

impl Fit {
    /// Whether the readings tell the energy of these counts of parts together.
    pub fn is_known(&self, of: &[u32]) -> bool {
        let shown = |change: &Vec<Exact>| -> Exact {
            of.iter().zip(change).map(|(count, part)| *part * Exact::from_integer(i128::from(*count))).sum()
        };
        self.hidden.iter().all(|change| shown(change).is_zero())
    }

    /// The energy of these counts of parts together. Without meaning unless [`Fit::is_known`].
    pub fn energy(&self, of: &[u32]) -> f64 {
        dot(of, &self.energies)
    }

    /// The standard uncertainty of that energy.
    pub fn standard(&self, of: &[u32]) -> f64 {
        self.spread(&of.iter().map(|count| f64::from(*count)).collect::<Vec<_>>())
    }

    fn spread(&self, of: &[f64]) -> f64 {
        let rows = of.iter().zip(&self.covariance);
        rows.map(|(a, row)| a * of.iter().zip(row).map(|(b, value)| b * value).sum::<f64>()).sum::<f64>().max(0.0).sqrt()
    }

    /// The level of these counts of parts together, or `None` when nothing of them is found.
    pub fn level(&self, of: &[u32]) -> Option<PlusMinus<Level>> {
        let energy = self.energy(of);
        let level = Energy(energy).to_level()?;
        Some(PlusMinus::from_standard(level, self.standard(of) / (PER_DECIBEL * energy)))
    }

    /// The one-sided 95 % limit of that level, or `None` when it has none.
    pub fn limit(&self, of: &[u32]) -> Option<Level> {
        Energy(self.energy(of) + ONE_SIDED_95 * self.standard(of)).to_level()
    }

    /// How far the level of some parts is above that of others, with its ±; what they have in common cancels.
    pub fn apart(&self, more: &[u32], less: &[u32]) -> Option<PlusMinus<Gain>> {
        let (upper, lower) = (self.energy(more), self.energy(less));
        let gain = Energy(upper).to_level()? - Energy(lower).to_level()?;
        let weights: Vec<f64> = more.iter().zip(less).map(|(a, b)| f64::from(*a) / upper - f64::from(*b) / lower).collect();
        Some(PlusMinus::from_standard(gain, self.spread(&weights) / PER_DECIBEL))
    }

    /// How much more energy some parts have than others, and the standard uncertainty of that.
    pub fn surplus(&self, more: &[u32], less: &[u32]) -> (f64, f64) {
        let weights: Vec<f64> = more.iter().zip(less).map(|(a, b)| f64::from(*a) - f64::from(*b)).collect();
        (self.energy(more) - self.energy(less), self.spread(&weights))
    }

    /// The share of the energy of some parts in that of others, with its ±.
    pub fn share(&self, part: &[u32], whole: &[u32]) -> Option<PlusMinus<f64>> {
        let total = self.energy(whole);
        if total <= 0.0 {
            return None;
        }
        let share = self.energy(part) / total;
        let weights: Vec<f64> = part.iter().zip(whole).map(|(a, b)| (f64::from(*a) - share * f64::from(*b)) / total).collect();
        Some(PlusMinus::from_standard(share, self.spread(&weights)))
    }

    /// What part of the variance of these counts' energy comes from each reading.
    pub fn blame(&self, runs: &[Vec<u32>], readings: &[PlusMinus<Level>], of: &[u32]) -> Vec<f64> {
        // One standard uncertainty of reading j moves the energies by C·aⱼ·wⱼ.
        let pull = |(run, reading): (&Vec<u32>, &PlusMinus<Level>)| {
            let toward: f64 = of.iter().zip(&self.covariance).map(|(count, row)| f64::from(*count) * dot(run, row)).sum();
            (toward * weight(*reading)).powi(2)
        };
        let parts: Vec<f64> = runs.iter().zip(readings).map(pull).collect();
        let whole: f64 = parts.iter().sum();
        parts.into_iter().map(|part| if whole > 0.0 { part / whole } else { 0.0 }).collect()
    }
}

/// One over the standard uncertainty of a reading's energy.
fn weight(reading: PlusMinus<Level>) -> f64 {
    1.0 / (PER_DECIBEL * reading.standard() * reading.value.to_energy().0)
}

fn check(runs: &[Vec<u32>], readings: &[PlusMinus<Level>]) -> Result<usize, FormulaError> {
    let width = runs.first().map(Vec::len).filter(|width| *width > 0).ok_or(FormulaError::Empty)?;
    within("the number of parts", count_to_f64(width), 1.0, MOST_PARTS)?;
    let count = count_to_f64(runs.len());
    within("the number of readings", count_to_f64(readings.len()), count.min(MOST_RUNS), count)?;
    for run in runs {
        within("the length of a run", count_to_f64(run.len()), count_to_f64(width), count_to_f64(width))?;
        for count in run {
            within("how many are on", f64::from(*count), 0.0, 1000.0)?;
        }
    }
    for reading in readings {
        within("the level", finite("the level", reading.value.0)?, -100.0, 300.0)?;
        within("the half width", reading.half_width, 0.001, 100.0)?;
    }
    Ok(width)
}

/// The energies of parts from readings with some of them on, each reading with its own ±.
///
/// `min Σ ((Σᵢ nⱼᵢ·eᵢ − Eⱼ) / (c·uⱼ·Eⱼ))²`, `e ≥ 0`, with `E = 10^(L/10)` and `c = ln 10 / 10`; covariance `(Aᵀ·W²·A)⁻¹`
///
/// | name       | meaning                                                  | unit | valid                                |
/// |------------|----------------------------------------------------------|------|--------------------------------------|
/// | `runs`     | how many of each part were on, the background first      | 1    | rows of one length, 1 to 40 columns  |
/// | `readings` | the level of each, with its ±                            | dB   | −100 to 300, ± 0.001 to 100          |
///
/// The ± comes from the readings alone, as if no energy were held at zero: that is on the safe side. Where the readings
/// contradict each other ([`CONTRADICTION`]), every ± is widened by the root of the misfit over what is to be expected.
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`], [`FormulaError::OutOfRange`]; [`FormulaError::TooLong`] from
/// [`nnls::null_space`].
///
/// # Source
///
/// Solving Least Squares Problems (1974), from memory; JCGM 100 (GUM), 5.1.2 for the covariance, from memory.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::separation::fit, units::{Level, PlusMinus}};
///
/// let reading = |level| PlusMinus::new(Level(level), 0.5);
/// let found = fit(&[vec![1, 0], vec![1, 1]], &[reading(30.0), reading(40.0)]).unwrap();
/// let fan = found.level(&[0, 1]).unwrap();
/// assert!((fan.value.0 - 39.5424).abs() < 1e-4 && (fan.half_width - 0.5583).abs() < 1e-4);
///
/// assert!(fit(&[vec![1, 0]], &[]).is_err());
/// ```
pub fn fit(runs: &[Vec<u32>], readings: &[PlusMinus<Level>]) -> Result<Fit, FormulaError> {
    let width = check(runs, readings)?;
    let hidden = nnls::null_space(runs)?;
    let weights: Vec<f64> = readings.iter().map(|reading| weight(*reading)).collect();
    let mut columns: Vec<Vec<f64>> = (0..width)
        .map(|column| runs.iter().zip(&weights).map(|(run, weight)| weight * f64::from(run.get(column).copied().unwrap_or(0))).collect())
        .collect();
    // Columns of one length: the quietest reading weighs millions of times what the loudest does.
    let lengths: Vec<f64> = columns.iter().map(|column| column.iter().map(|value| value * value).sum::<f64>().sqrt()).collect();
    for (column, length) in columns.iter_mut().zip(&lengths).filter(|(_, length)| **length > 0.0) {
        for value in column {
            *value /= length;
        }
    }
    let target: Vec<f64> = readings.iter().zip(&weights).map(|(reading, weight)| weight * reading.value.to_energy().0).collect();
    let solution = nnls::non_negative(&columns, &target)?;
    let scale = |(value, length): (&f64, &f64)| if *length > 0.0 { value / length } else { 0.0 };
    let energies: Vec<f64> = solution.values.iter().zip(&lengths).map(scale).collect();

    // A column depends on those before it when some hidden change ends with it.
    let depends = |column: usize| hidden.iter().any(|change| change.iter().rposition(|part| !part.is_zero()) == Some(column));
    let basis: Vec<usize> = (0..width).filter(|column| !depends(*column)).collect();
    let independent: Vec<&[f64]> = basis.iter().filter_map(|column| columns.get(*column)).map(Vec::as_slice).collect();
    let inner = nnls::covariance(&independent).ok_or(FormulaError::TooLong)?;

    let chi_square = solution.residual * solution.residual;
    // Those above zero do not depend on each other: the active set frees no others.
    let above_zero = energies.iter().filter(|energy| **energy > 0.0).count();
    let freedom = runs.len().saturating_sub(above_zero);
    let (agreement, widened) = agreement(chi_square, freedom)?;

    let mut covariance = vec![vec![0.0; width]; width];
    for (a, row) in basis.iter().zip(&inner) {
        for (b, value) in basis.iter().zip(row) {
            if let (Some(first), Some(second), Some(place)) =
                (lengths.get(*a), lengths.get(*b), covariance.get_mut(*a).and_then(|row| row.get_mut(*b)))
            {
                *place = value * widened * widened / (first * second);
            }
        }
    }
    let residuals = runs.iter().zip(readings).map(|(run, reading)| reading.value - level_or_least(dot(run, &energies))).collect();
    Ok(Fit { energies, covariance, hidden, residuals, chi_square, freedom, agreement, widened })
}

/// The chance of so large a misfit, and by how much every ± is widened for it.
fn agreement(chi_square: f64, freedom: usize) -> Result<(f64, f64), FormulaError> {
    let agreement = if freedom == 0 { 1.0 } else { chi_square_outside(chi_square, freedom)? };
    let widened = if agreement < CONTRADICTION { (chi_square / count_to_f64(freedom)).sqrt().max(1.0) } else { 1.0 };
    Ok((agreement, widened))
}

/// By how much every ± is widened, as [`Fit::widened`], without the rest of the fit.
///
/// # Errors
///
/// As [`fit`].
pub(crate) fn widening(runs: &[Vec<u32>], readings: &[PlusMinus<Level>]) -> Result<f64, FormulaError> {
    let width = check(runs, readings)?;
    let mut system = ActiveSet::new(width);
    let rows: Vec<(Vec<f64>, f64)> = runs.iter().zip(readings).map(|(run, reading)| weighted(run, *reading)).collect();
    for (row, target) in &rows {
        system.add(&products(row), 1.0, row, *target);
    }
    let energies = system.solve();
    let misfit = |(row, target): &(Vec<f64>, f64)| (target - row.iter().zip(energies).map(|(a, x)| a * x).sum::<f64>()).powi(2);
    let above_zero = energies.iter().filter(|energy| **energy > 0.0).count();
    agreement(rows.iter().map(misfit).sum(), runs.len().saturating_sub(above_zero)).map(|(_, widened)| widened)
}

/// A row of the system and its target, both over the standard uncertainty of the reading's energy.
fn weighted(run: &[u32], reading: PlusMinus<Level>) -> (Vec<f64>, f64) {
    let weight = weight(reading);
    (run.iter().map(|count| weight * f64::from(*count)).collect(), weight * reading.value.to_energy().0)
}

/// The level of an energy; of none the least there is.
fn level_or_least(energy: f64) -> Level {
    Energy(energy).to_level().unwrap_or(Level(-100.0))
}

/// The part of the chi-square distribution beyond a value: the chance of so large a misfit, or a larger one.
///
/// `1 − P(ν/2, χ²/2)`, with `P` the regularised incomplete gamma function by its series
///
/// | name         | meaning                             | unit | valid    |
/// |--------------|-------------------------------------|------|----------|
/// | `chi_square` | sum of squares                      | 1    | 0 to 1e300 |
/// | `freedom`    | degrees of freedom                  | 1    | 1 to 200 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Definition of the distribution.
///
/// # Example
///
/// ```
/// use lessdin::formulas::separation::chi_square_outside;
///
/// // With two degrees of freedom it is e^(−χ²/2).
/// assert!((chi_square_outside(2.0, 2).unwrap() - (-1_f64).exp()).abs() < 1e-12);
///
/// assert!(chi_square_outside(1.0, 0).is_err());
/// ```
pub fn chi_square_outside(chi_square: f64, freedom: usize) -> Result<f64, FormulaError> {
    within("the sum of squares", chi_square, 0.0, 1e300)?;
    within("the degrees of freedom", count_to_f64(freedom), 1.0, 200.0)?;
    let (shape, half) = (count_to_f64(freedom) / 2.0, chi_square / 2.0);
    // Beyond, less is left than a double can tell from nothing.
    if half > shape + 60.0 + 10.0 * shape.sqrt() * 2.0 {
        return Ok(0.0);
    }
    // x^a·e^(−x)/Γ(a + 1), built up so that nothing grows out of hand: from a = 0 or 1/2 in steps of one.
    let (mut at, mut first) =
        if freedom.is_multiple_of(2) { (0.0, (-half).exp()) } else { (0.5, (-half).exp() * (half / (std::f64::consts::PI / 4.0)).sqrt()) };
    while at < shape {
        at += 1.0;
        first *= half / at;
    }
    let (mut term, mut sum, mut next) = (first, first, shape);
    while term > sum * 1e-17 {
        next += 1.0;
        term *= half / next;
        sum += term;
    }
    Ok(crate::units::within(1.0 - sum, 0.0, 1.0))
}

/// Parts that the readings do not tell apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Unresolved {
    /// The parts, by their columns.
    pub parts: Vec<usize>,
    /// What is known of them: counts of parts whose sum is. Empty for a part that was never on.
    pub sums: Vec<Vec<u32>>,
}

/// The groups of parts that runs do not tell apart, and the sums of them that the runs tell.
///
/// Two parts belong together when a change that no run would show ([`nnls::null_space`]) touches both. The sums are those
/// that were on together in some run.
///
/// | name   | meaning                                               | unit | valid                                |
/// |--------|-------------------------------------------------------|------|--------------------------------------|
/// | `runs` | how many of each source were on, the background first | 1    | rows of one length, 1 to 100 columns |
///
/// # Errors
///
/// As [`nnls::null_space`].
///
/// # Source
///
/// Plain mathematics: elimination in exact fractions.
///
/// # Example
///
/// ```
/// use lessdin::formulas::separation::unresolved;
///
/// let found = unresolved(&[vec![1, 0, 0, 0], vec![1, 1, 1, 0]]).unwrap();
/// assert_eq!((found[0].parts.as_slice(), found[0].sums.as_slice()), ([1, 2].as_slice(), [vec![0, 1, 1, 0]].as_slice()));
/// assert!(found[1].parts == [3] && found[1].sums.is_empty());
///
/// assert!(unresolved(&[]).is_err());
/// ```
pub fn unresolved(runs: &[Vec<u32>]) -> Result<Vec<Unresolved>, FormulaError> {
    let hidden = nnls::null_space(runs)?;
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for change in &hidden {
        let mut parts: Vec<usize> = change.iter().enumerate().filter(|(_, part)| !part.is_zero()).map(|(at, _)| at).collect();
        groups.retain(|group| {
            let meets = group.iter().any(|part| parts.contains(part));
            if meets {
                parts.extend(group);
            }
            !meets
        });
        crate::units::sort_few(&mut parts, usize::cmp);
        parts.dedup();
        groups.push(parts);
    }
    crate::units::sort_few(&mut groups, |a, b| a.first().cmp(&b.first()));
    let sums_of = |parts: &[usize]| {
        let mut sums: Vec<Vec<u32>> = Vec::new();
        for run in runs {
            let sum: Vec<u32> = run.iter().enumerate().map(|(at, count)| if parts.contains(&at) { *count } else { 0 }).collect();
            if sum.iter().any(|count| *count > 0) && !sums.contains(&sum) {
                sums.push(sum);
            }
        }
        sums
    };
    Ok(groups.into_iter().map(|parts| Unresolved { sums: sums_of(&parts), parts }).collect())
}

/// A reading left out, and what the others say of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeftOut {
    /// What the others make of its state, with the ± of the others alone; `None` when they do not show all that is on in it.
    pub others: Option<PlusMinus<Level>>,
    /// The misfit of the others, as [`Fit::chi_square`].
    pub chi_square: f64,
}

/// Each reading left out in turn: what the others say of it, and how well they agree without it.
///
/// | name       | meaning                                             | unit | valid                      |
/// |------------|-----------------------------------------------------|------|----------------------------|
/// | `runs`     | as for [`fit`]                                      | 1    | as for [`fit`]             |
/// | `readings` | as for [`fit`]                                      | dB   | as for [`fit`]             |
/// | `whole`    | what [`fit`] finds for these                        |      |                            |
///
/// # Errors
///
/// As [`fit`].
///
/// # Source
///
/// Common statistics; the variance of the prediction by the rule for a system of which one row is taken away.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::separation::{fit, leave_one_out}, units::{Level, PlusMinus}};
///
/// let runs = [vec![1], vec![1], vec![1]];
/// let readings = [40.0, 40.0, 44.0].map(|level| PlusMinus::new(Level(level), 0.5));
/// let left = leave_one_out(&runs, &readings, &fit(&runs, &readings).unwrap()).unwrap();
/// assert!(left[2].chi_square < 1e-9 && (left[2].others.unwrap().value.0 - 40.0).abs() < 1e-9);
///
/// assert!(leave_one_out(&[vec![1]], &[], &fit(&runs, &readings).unwrap()).is_err());
/// ```
pub fn leave_one_out(runs: &[Vec<u32>], readings: &[PlusMinus<Level>], whole: &Fit) -> Result<Vec<LeftOut>, FormulaError> {
    let width = check(runs, readings)?;
    let rows: Vec<(Vec<f64>, f64)> = runs.iter().zip(readings).map(|(run, reading)| weighted(run, *reading)).collect();
    let products: Vec<Vec<f64>> = rows.iter().map(|(row, _)| products(row)).collect();
    let mut system = ActiveSet::new(width);
    let without = |left: usize| {
        system.clear();
        // Summed anew each time: taking one row away from the sum of all would leave nothing but rounding where it was the heaviest.
        for (_, ((row, target), products)) in rows.iter().zip(&products).enumerate().filter(|(at, _)| *at != left) {
            system.add(products, 1.0, row, *target);
        }
        let energies = system.solve().to_vec();
        let misfit = |(row, target): &(Vec<f64>, f64)| (target - row.iter().zip(&energies).map(|(a, x)| a * x).sum::<f64>()).powi(2);
        let chi_square = rows.iter().enumerate().filter(|(at, _)| *at != left).map(|(_, row)| misfit(row)).sum();
        let others = runs.get(left).zip(readings.get(left)).and_then(|(run, reading)| {
            let standard = whole.standard(run) / whole.widened;
            let own = (standard * weight(*reading)).powi(2);
            let energy = dot(run, &energies);
            (own < 1.0 - 1e-9 && energy > 0.0)
                .then(|| PlusMinus::from_standard(level_or_least(energy), standard / (1.0 - own).sqrt() / (PER_DECIBEL * energy)))
        });
        LeftOut { others, chi_square }
    };
    Ok((0..runs.len()).map(without).collect())
}

/// What may be read next.
#[derive(Clone, Copy, Debug)]
pub struct Search<'a> {
    /// For each part how many may be on, the background's one included.
    pub choices: &'a [Vec<u32>],
    /// States that are not wanted, those read already included.
    pub not: &'a [Vec<u32>],
    /// A state may also be everything off, whatever must run otherwise.
    pub all_off: bool,
    /// The parts whose ± is to be narrowed, by their columns.
    pub watched: &'a [usize],
    /// The ± the reading will have, dB.
    pub half_width: f64,
}

/// A reading that would help.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// How many of each part to have on, the background first.
    pub counts: Vec<u32>,
    /// Whether it shows something no reading so far does.
    pub resolves: bool,
    /// The watched part it narrows most, by its column.
    pub part: usize,
    /// The 95 % half width of that part's level before, dB; of one that is not known, without meaning.
    pub before: f64,
    /// The same afterwards.
    pub after: f64,
    /// What is left of the variance of all watched parts, as a share.
    pub left: f64,
}

/// More states than this are not gone through, so that the answer keeps up with typing.
pub const MOST_STATES: usize = 4096;
/// What is not known at all may be this many times as loud as the loudest reading.
const OPEN: f64 = 3.0;

/// The readings that would narrow the watched parts most, best first, three at most.
///
/// For each state the covariance after one more reading of it, `C − C·a·aᵀ·C·w²/(1 + w²·aᵀ·C·a)`; the least sum of the
/// variances of the watched parts, each relative to its energy, is best. What the readings leave open has a wide prior.
///
/// | name       | meaning                                 | unit | valid                        |
/// |------------|-----------------------------------------|------|------------------------------|
/// | `runs`     | as for [`fit`]                          | 1    | as for [`fit`]               |
/// | `readings` | as for [`fit`]                          | dB   | as for [`fit`]               |
/// | `whole`    | what [`fit`] finds for these            |      |                              |
/// | `search`   | which states, which parts               |      | as many choices as parts; no more than 4096 states |
///
/// # Errors
///
/// As [`fit`], and [`FormulaError::OutOfRange`] for too many states.
///
/// # Source
///
/// Design of experiments, A-optimal; the rule for one more row of a least-squares system.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::separation::{Search, fit, next_readings}, units::{Level, PlusMinus}};
///
/// // A fan that was never off: read the room alone.
/// let readings = [PlusMinus::new(Level(40.0), 0.5)];
/// let found = fit(&[vec![1, 1]], &readings).unwrap();
/// let search = Search { choices: &[vec![1], vec![0, 1]], not: &[vec![1, 1]], all_off: true, watched: &[1], half_width: 0.5 };
/// let offers = next_readings(&[vec![1, 1]], &readings, &found, &search).unwrap();
/// assert!(offers.len() == 1 && offers[0].counts == [1, 0] && offers[0].resolves);
///
/// assert!(next_readings(&[vec![1, 1]], &[], &found, &search).is_err());
/// ```
pub fn next_readings(
    runs: &[Vec<u32>],
    readings: &[PlusMinus<Level>],
    whole: &Fit,
    search: &Search<'_>,
) -> Result<Vec<Offer>, FormulaError> {
    const OFFERS: usize = 3;
    let width = check(runs, readings)?;
    within("the number of choices", count_to_f64(search.choices.len()), count_to_f64(width), count_to_f64(width))?;
    let states = search.choices.iter().fold(1.0, |states, choices| states * count_to_f64(choices.len()));
    within("the number of states", states, 0.0, count_to_f64(MOST_STATES))?;
    within("the half width", search.half_width, 0.001, 100.0)?;
    let loudest = readings.iter().map(|reading| reading.value.to_energy().0).fold(0.0, f64::max);
    let open = with_prior(runs, readings, width, OPEN * loudest);
    let scales: Vec<(usize, f64)> = search
        .watched
        .iter()
        .filter(|part| **part < width)
        .map(|part| {
            let energy = whole.energies.get(*part).copied().unwrap_or_default();
            (*part, if whole.is_known(&one(width, *part)) { energy.max(0.05 * loudest) } else { loudest })
        })
        .collect();
    let variance = |part: usize| open.get(part).and_then(|row| row.get(part)).copied().unwrap_or_default();
    let all_before: f64 = scales.iter().map(|(part, scale)| variance(*part) / (scale * scale)).sum();

    let mut offers: Vec<Offer> = Vec::new();
    let mut try_state = |counts: &[u32]| {
        if search.not.iter().any(|other| other == counts) {
            return;
        }
        let toward: Vec<f64> = open.iter().map(|row| dot(counts, row)).collect();
        let own = dot(counts, &toward);
        let expected = whole.energy(counts).max(1e-6 * loudest);
        let weight = weight(PlusMinus::new(level_or_least(expected), search.half_width)).powi(2);
        let after = |part: usize| {
            let pull = toward.get(part).copied().unwrap_or_default();
            (variance(part) - pull * pull * weight / (1.0 + weight * own)).max(0.0)
        };
        let left = scales.iter().map(|(part, scale)| after(*part) / (scale * scale)).sum::<f64>() / all_before;
        let narrowed = |(part, scale): &(usize, f64)| (variance(*part) - after(*part)) / (scale * scale);
        let Some((part, scale)) = scales.iter().max_by(|a, b| narrowed(a).total_cmp(&narrowed(b))).copied() else { return };
        let decibels = |variance: f64| PlusMinus::from_standard((), variance.sqrt() / (PER_DECIBEL * scale)).half_width;
        let (before, after) = (decibels(variance(part)), decibels(after(part)));
        let on = |counts: &[u32]| counts.iter().sum::<u32>();
        // Of two as good as each other the one with less to switch on.
        let better =
            |other: &Offer| left < other.left * (1.0 - 1e-6) || (left <= other.left * (1.0 + 1e-6) && on(counts) < on(&other.counts));
        if offers.len() < OFFERS || offers.last().is_some_and(better) {
            let at = offers.iter().position(better).unwrap_or(offers.len());
            offers.insert(at, Offer { counts: counts.to_vec(), resolves: !whole.is_known(counts), part, before, after, left });
            offers.truncate(OFFERS);
        }
    };
    let mut places = vec![0; width];
    let mut counts = vec![0; width];
    let off: Vec<u32> = one(width, 0);
    let mut seen_off = false;
    loop {
        for (count, (place, choices)) in counts.iter_mut().zip(places.iter().zip(search.choices)) {
            *count = choices.get(*place).copied().unwrap_or_default();
        }
        seen_off |= counts == off;
        try_state(&counts);
        if !advance(&mut places, search.choices) {
            break;
        }
    }
    if search.all_off && !seen_off {
        try_state(&off);
    }
    Ok(offers)
}

/// The next combination of choices; false after the last.
fn advance(places: &mut [usize], choices: &[Vec<u32>]) -> bool {
    for (place, choices) in places.iter_mut().zip(choices) {
        *place += 1;
        if *place < choices.len() {
            return true;
        }
        *place = 0;
    }
    false
}

/// A single part.
pub(crate) fn one(width: usize, part: usize) -> Vec<u32> {
    (0..width).map(|at| u32::from(at == part)).collect()
}

/// The covariance of the energies, each of them known beforehand to no better than `prior`.
fn with_prior(runs: &[Vec<u32>], readings: &[PlusMinus<Level>], width: usize, prior: f64) -> Vec<Vec<f64>> {
    // In units of the prior; readings that weigh more than this are as good as exact.
    const HEAVIEST: f64 = 1e5;
    let mut matrix: Vec<Vec<f64>> = (0..width).map(|at| one(width, at).into_iter().map(f64::from).collect()).collect();
    for (run, reading) in runs.iter().zip(readings) {
        let weight = (weight(*reading) * prior).min(HEAVIEST).powi(2);
        for (count, row) in run.iter().zip(&mut matrix) {
            for (other, value) in run.iter().zip(row) {
                *value += weight * f64::from(*count) * f64::from(*other);
            }
        }
    }
    let mut inverse = invert(matrix);
    for value in inverse.iter_mut().flatten() {
        *value *= prior * prior;
    }
    inverse
}

/// The inverse of a matrix that is at least the unit matrix, by elimination without exchanges.
fn invert(mut matrix: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let width = matrix.len();
    for (at, row) in matrix.iter_mut().enumerate() {
        row.extend(one(width, at).into_iter().map(f64::from));
    }
    for at in 0..width {
        let Some(mut pivot) = matrix.get_mut(at).map(std::mem::take) else { continue };
        let lead = pivot.get(at).copied().unwrap_or(1.0);
        for value in &mut pivot {
            *value /= lead;
        }
        for row in &mut matrix {
            let times = row.get(at).copied().unwrap_or_default();
            for (value, part) in row.iter_mut().zip(&pivot) {
                *value -= times * part;
            }
        }
        if let Some(row) = matrix.get_mut(at) {
            *row = pivot;
        }
    }
    matrix.into_iter().map(|row| row.into_iter().skip(width).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formulas::chance::Chance;

    #[test]
    fn what_is_known_of_parts_together_is_said_once_and_nothing_of_those_never_on() {
        let runs = [vec![1, 0, 0, 0], vec![1, 1, 1, 0], vec![1, 1, 1, 0], vec![1, 2, 1, 0], vec![0, 0, 0, 0]];
        assert_eq!(unresolved(&runs[..3]).unwrap()[0], Unresolved { parts: vec![1, 2], sums: vec![vec![0, 1, 1, 0]] });
        assert_eq!(unresolved(&runs).unwrap(), [Unresolved { parts: vec![3], sums: vec![] }]);
    }

    #[test]
    fn nothing_is_blamed_for_no_parts_and_a_part_that_is_not_there_is_not_watched() {
        let (runs, readings) = ([vec![1, 0], vec![1, 1]], [40.0, 45.0].map(|level| PlusMinus::new(Level(level), 0.5)));
        let found = fit(&runs, &readings).unwrap();
        assert_eq!(found.blame(&runs, &readings, &[0, 0]), [0.0, 0.0]);
        let choices = [vec![1], vec![0, 1, 2]];
        let offers = |watched: &[usize]| {
            let search = Search { choices: &choices, not: &runs, all_off: false, watched, half_width: 0.5 };
            next_readings(&runs, &readings, &found, &search).unwrap()
        };
        assert_eq!(offers(&[1]).len(), 1);
        assert_eq!(offers(&[2]), []);
        assert_eq!(offers(&[1, 2]), offers(&[1]));
    }

    #[test]
    fn everything_off_is_offered_once_though_the_choices_have_it_too_and_also_when_they_do_not() {
        let (runs, readings) = ([vec![1, 1]], [PlusMinus::new(Level(45.0), 0.5)]);
        let found = fit(&runs, &readings).unwrap();
        let offered = |choices: &[Vec<u32>], all_off| {
            let search = Search { choices, not: &runs, all_off, watched: &[1], half_width: 0.5 };
            next_readings(&runs, &readings, &found, &search).unwrap().into_iter().map(|offer| offer.counts).collect::<Vec<_>>()
        };
        assert_eq!(offered(&[vec![1], vec![0, 1]], true), [[1, 0]]);
        assert_eq!(offered(&[vec![1], vec![1]], true), [[1, 0]]);
        assert_eq!(offered(&[vec![1], vec![1]], false), [[0; 2]; 0]);
    }

    #[test]
    fn the_widening_alone_is_that_of_the_whole_fit() {
        for seed in 0..200 {
            let mut chance = Chance::new(seed);
            let runs: Vec<Vec<u32>> = (0..8).map(|_| (0..4).map(|part| u32::from(part == 0 || chance.coin())).collect()).collect();
            let readings: Vec<PlusMinus<Level>> = (0..8).map(|_| PlusMinus::new(Level(40.0 + chance.normal(3.0)), 0.5)).collect();
            let (whole, alone) = (fit(&runs, &readings).unwrap().widened, widening(&runs, &readings).unwrap());
            assert!((whole - alone).abs() < 1e-6 * whole, "seed {seed}: {whole} and {alone}");
        }
    }
}
