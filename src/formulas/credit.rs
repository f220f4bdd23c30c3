//! Who has earned how much of what several changes gain together.

use super::error::{FormulaError, finite, within};
use crate::units::{Gain, Level, count_to_f64};

/// A source before a change and after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Its level now.
    pub before: Level,
    /// Its level afterwards; `None` for silence.
    pub after: Option<Level>,
}

/// How much each of several changes contributes to the drop of the total, the same whatever the order they are made in.
///
/// Shapley value: the mean, over all orders, of what a change takes off the total when its turn comes. They sum to the drop.
///
/// | name      | meaning                                | unit | valid                   |
/// |-----------|----------------------------------------|------|-------------------------|
/// | `changes` | the sources that change                | dB   | 1 to 12, −200 to 300    |
/// | `rest`    | everything else; `None` for nothing    | dB   | −200 to 300             |
///
/// # Errors
///
/// [`FormulaError::Empty`] for no change, or when nothing at all would be left; [`FormulaError::NotFinite`],
/// [`FormulaError::OutOfRange`].
///
/// # Source
///
/// A Value for n-Person Games (1953), from memory.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::credit::{Change, shapley}, units::Level};
///
/// let silent = |level| Change { before: Level(level), after: None };
/// let credit = shapley(&[silent(40.0), silent(40.0)], Some(Level(30.0))).unwrap();
/// // Half of the drop each: 10·lg(21) / 2.
/// assert!((credit[0].0 - 6.6111).abs() < 1e-4 && (credit[1].0 - 6.6111).abs() < 1e-4);
///
/// assert!(shapley(&[silent(40.0)], None).is_err());
/// ```
pub fn shapley(changes: &[Change], rest: Option<Level>) -> Result<Vec<Gain>, FormulaError> {
    within("the number of changes", count_to_f64(changes.len()), 0.0, 12.0)?;
    if changes.is_empty() || (rest.is_none() && changes.iter().all(|change| change.after.is_none())) {
        return Err(FormulaError::Empty);
    }
    for level in changes.iter().flat_map(|change| [Some(change.before), change.after]).chain([rest]).flatten() {
        within("the level", finite("the level", level.0)?, -200.0, 300.0)?;
    }
    let energy = |level: Option<Level>| level.map_or(0.0, |level| level.to_energy().0);
    let pairs: Vec<[f64; 2]> = changes.iter().map(|change| [energy(Some(change.before)), energy(change.after)]).collect();
    // The total for every set of changes that are made: one bit for each.
    let sets = 1_usize << changes.len();
    let is_made = |set: usize, change: usize| set >> change & 1 == 1;
    let total = |set: usize| {
        let sum: f64 = pairs.iter().enumerate().map(|(at, [before, after])| if is_made(set, at) { after } else { before }).sum();
        10.0 * (sum + energy(rest)).log10()
    };
    let totals: Vec<f64> = (0..sets).map(total).collect();
    // How likely it is that exactly a set of this size came before, in a random order: 1/n over the number of such sets.
    let mut likely = vec![1.0 / count_to_f64(changes.len())];
    for size in 1..changes.len() {
        let last = likely.last().copied().unwrap_or_default();
        likely.push(last * count_to_f64(size) / count_to_f64(changes.len() - size));
    }
    let earned = |change: usize| {
        let taken = totals.iter().enumerate().filter(|(set, _)| !is_made(*set, change)).filter_map(|(set, before)| {
            let after = totals.get(set | 1 << change)?;
            let size = usize::try_from(set.count_ones()).ok()?;
            Some(likely.get(size)? * (before - after))
        });
        Gain(taken.sum())
    };
    Ok((0..changes.len()).map(earned).collect())
}
