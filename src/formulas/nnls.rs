//! Which part makes how much: sources from runs with some of them on and some off.
//!
//! Each run's energy is the sum of the energies of what was on. Energies cannot be negative, so the system is solved by
//! non-negative least squares; each run is weighted by one over its own energy, so that a decibel counts the same in a quiet
//! run and in a loud one. What cannot be told apart is found in exact fractions, without a tolerance.

use num_traits::{CheckedDiv, CheckedMul, CheckedSub, One, Zero};

use super::error::{FormulaError, finite, within};
use super::motion::Exact;
use crate::units::{Energy, Gain, Level, count_to_f64};

/// A column counts as depending on others when this little of it is left without them.
const DEPENDENT: f64 = 1e-11;

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn norm(a: &[f64]) -> f64 {
    dot(a, a).sqrt()
}

/// Takes `times` of `what` away from `from`.
fn take_away(from: &mut [f64], times: f64, what: &[f64]) {
    for (value, part) in from.iter_mut().zip(what) {
        *value -= times * part;
    }
}

/// One column made perpendicular to those before it.
struct Perpendicular {
    /// Unit vector.
    direction: Vec<f64>,
    /// How much of each earlier direction the column holds.
    earlier: Vec<f64>,
    /// How much of its own.
    own: f64,
}

/// The columns made perpendicular one after the other, or `None` when they depend on each other.
fn perpendicular(columns: &[&[f64]]) -> Option<Vec<Perpendicular>> {
    let mut basis: Vec<Perpendicular> = Vec::with_capacity(columns.len());
    for column in columns {
        let mut direction = column.to_vec();
        let mut earlier = vec![0.0; basis.len()];
        // Twice is enough to be perpendicular to the last digit.
        for _ in 0..2 {
            for (part, known) in earlier.iter_mut().zip(&basis) {
                let share = dot(&known.direction, &direction);
                take_away(&mut direction, share, &known.direction);
                *part += share;
            }
        }
        let own = norm(&direction);
        if own <= DEPENDENT * norm(column) {
            return None;
        }
        for value in &mut direction {
            *value /= own;
        }
        basis.push(Perpendicular { direction, earlier, own });
    }
    Some(basis)
}

/// So much of each column as makes these shares of the directions, from the last column back to the first.
fn back_from(basis: &[Perpendicular], mut parts: Vec<f64>) -> Option<Vec<f64>> {
    let mut solution = Vec::with_capacity(basis.len());
    for known in basis.iter().rev() {
        let value = parts.pop()? / known.own;
        take_away(&mut parts, value, &known.earlier);
        solution.push(value);
    }
    solution.reverse();
    Some(solution)
}

/// Plain least squares, or `None` when the columns depend on each other.
fn least_squares(columns: &[&[f64]], target: &[f64]) -> Option<Vec<f64>> {
    let basis = perpendicular(columns)?;
    let mut rest = target.to_vec();
    let mut parts: Vec<f64> = Vec::with_capacity(basis.len());
    for known in &basis {
        let share = dot(&known.direction, &rest);
        take_away(&mut rest, share, &known.direction);
        parts.push(share);
    }
    back_from(&basis, parts)
}

/// The inverse of `AᵀA`, row by row: the covariance of plain least squares with rows of variance one. `None` when the columns
/// depend on each other.
pub(super) fn covariance(columns: &[&[f64]]) -> Option<Vec<Vec<f64>>> {
    let basis = perpendicular(columns)?;
    let unit = |at: usize| (0..basis.len()).map(|other| if other == at { 1.0 } else { 0.0 }).collect();
    let inverse: Option<Vec<Vec<f64>>> = (0..basis.len()).map(|at| back_from(&basis, unit(at))).collect();
    let inverse = inverse?;
    let element = |a: usize, b: usize| inverse.iter().filter_map(|column| Some(column.get(a)? * column.get(b)?)).sum();
    Some((0..basis.len()).map(|a| (0..basis.len()).map(|b| element(a, b)).collect()).collect())
}

/// What is left of the target when the columns are taken so many times.
fn remainder(columns: &[Vec<f64>], times: &[f64], target: &[f64]) -> Vec<f64> {
    let mut rest = target.to_vec();
    for (column, times) in columns.iter().zip(times) {
        take_away(&mut rest, *times, column);
    }
    rest
}

/// One unknown on its way to a solution.
#[derive(Clone, Copy)]
struct Unknown {
    value: f64,
    /// Free to take any value above zero; otherwise held at zero.
    free: bool,
    /// Not to be freed before the next step that gains something.
    blocked: bool,
}

/// The least-squares values of the free unknowns, zero for the others; `None` when they depend on each other.
fn solve_free(columns: &[Vec<f64>], unknowns: &[Unknown], target: &[f64]) -> Option<Vec<f64>> {
    let free: Vec<&[f64]> = columns.iter().zip(unknowns).filter(|(_, unknown)| unknown.free).map(|(column, _)| column.as_slice()).collect();
    let mut solved = least_squares(&free, target)?.into_iter();
    unknowns.iter().map(|unknown| if unknown.free { solved.next() } else { Some(0.0) }).collect()
}

/// A solution of [`non_negative`].
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// One value for each column, none below zero.
    pub values: Vec<f64>,
    /// Root of the sum of squares of what is left of the target.
    pub residual: f64,
}

/// Non-negative least squares: the values x, none below zero, that make `‖A·x − b‖` least.
///
/// | name      | meaning                          | unit | valid                                  |
/// |-----------|----------------------------------|------|----------------------------------------|
/// | `columns` | columns of A                     | any  | 1 to 100, of one length, finite        |
/// | `target`  | b                                | any  | 1 to 10000, finite                     |
///
/// By an active set: unknowns are freed one after the other, the one that gains most first, and any that would fall below
/// zero is held at zero again. When columns depend on each other, the values of these are not unique; see [`null_space`].
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`], [`FormulaError::OutOfRange`] when lengths differ or are too large.
///
/// # Source
///
/// Solving Least Squares Problems (1974), from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::nnls::non_negative;
///
/// let columns = [vec![1.0, 1.0, 0.0], vec![0.0, 0.0, 1.0]];
/// let solution = non_negative(&columns, &[2.0, 1.0, 1.0]).unwrap();
/// assert!((solution.values[0] - 1.5).abs() < 1e-12);
/// assert_eq!(non_negative(&columns, &[-1.0; 3]).unwrap().values, [0.0, 0.0]);
///
/// assert!(non_negative(&columns, &[1.0]).is_err());
/// ```
pub fn non_negative(columns: &[Vec<f64>], target: &[f64]) -> Result<Solution, FormulaError> {
    if columns.is_empty() || target.is_empty() {
        return Err(FormulaError::Empty);
    }
    within("the number of columns", count_to_f64(columns.len()), 1.0, 100.0)?;
    let rows = count_to_f64(target.len());
    within("the number of rows", rows, 1.0, 10_000.0)?;
    for column in columns {
        within("the length of a column", count_to_f64(column.len()), rows, rows)?;
    }
    for &value in columns.iter().flatten().chain(target) {
        finite("the value", value)?;
    }

    let mut unknowns = vec![Unknown { value: 0.0, free: false, blocked: false }; columns.len()];
    let largest = columns.iter().map(|column| norm(column)).fold(0.0, f64::max);
    let gain_limit = 10.0 * f64::EPSILON * rows.max(count_to_f64(columns.len())) * largest * norm(target);
    for _ in 0..30 * columns.len() {
        let values: Vec<f64> = unknowns.iter().map(|unknown| unknown.value).collect();
        let rest = remainder(columns, &values, target);
        let best = unknowns
            .iter_mut()
            .zip(columns)
            .filter(|(unknown, _)| !unknown.free && !unknown.blocked)
            .map(|(unknown, column)| (dot(column, &rest), unknown))
            .filter(|(gain, _)| *gain > gain_limit)
            .max_by(|(a, _), (b, _)| a.total_cmp(b));
        let Some((_, candidate)) = best else { break };
        candidate.free = true;
        candidate.blocked = true;
        if settle(columns, &mut unknowns, target) {
            for unknown in &mut unknowns {
                unknown.blocked = false;
            }
        } else {
            // Freeing it gained nothing: it stays blocked, the others go back, and the next one is tried.
            for (unknown, before) in unknowns.iter_mut().zip(&values) {
                unknown.free = *before > 0.0;
                unknown.value = *before;
            }
        }
    }
    let values: Vec<f64> = unknowns.iter().map(|unknown| unknown.value).collect();
    let residual = norm(&remainder(columns, &values, target));
    Ok(Solution { values, residual })
}

/// Brings the free unknowns to their least-squares values, holding at zero whatever would fall below. False when that is not
/// possible, or when the unknown freed last does not rise above zero.
fn settle(columns: &[Vec<f64>], unknowns: &mut [Unknown], target: &[f64]) -> bool {
    let mut first = true;
    loop {
        let Some(wanted) = solve_free(columns, unknowns, target) else {
            return false;
        };
        let fresh_falls = unknowns.iter().zip(&wanted).any(|(unknown, wanted)| unknown.free && unknown.value <= 0.0 && *wanted <= 0.0);
        if first && fresh_falls {
            return false;
        }
        first = false;
        // How far one may go towards the wanted values before the first of them reaches zero.
        let step = unknowns
            .iter()
            .zip(&wanted)
            .filter(|(unknown, wanted)| unknown.free && **wanted <= 0.0)
            .map(|(unknown, wanted)| unknown.value / (unknown.value - wanted))
            .fold(1.0, f64::min);
        let arrived = unknowns.iter().zip(&wanted).all(|(unknown, wanted)| !unknown.free || *wanted > 0.0);
        for (unknown, wanted) in unknowns.iter_mut().zip(&wanted) {
            if arrived {
                unknown.value = *wanted;
                continue;
            }
            let reaches_zero = unknown.free && *wanted <= 0.0 && unknown.value / (unknown.value - wanted) <= step;
            unknown.value += step * (wanted - unknown.value);
            if reaches_zero || unknown.value <= 0.0 {
                unknown.value = 0.0;
                unknown.free = false;
            }
        }
        if arrived {
            return true;
        }
    }
}

/// What runs with parts on and off tell about the parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Separation {
    /// The level of one of each source, in the order of the columns; `None` for a source that is lost in the rest.
    pub levels: Vec<Option<Level>>,
    /// Each reading minus what the found levels make of it.
    pub residuals: Vec<Gain>,
    /// Root of the sum of squares of the misfits, each as a share of its run's energy.
    pub misfit: f64,
}

/// The levels of sources from runs with some of them on and some off.
///
/// `min ‖W·(A·e − b)‖`, `e ≥ 0`, with `b = 10^(L/10)` and `W = diag(1/b)`
///
/// | name       | meaning                                                  | unit | valid                          |
/// |------------|----------------------------------------------------------|------|--------------------------------|
/// | `runs`     | A: how many of each source were on, the background first | 1    | rows of one length, 1 to 100 columns |
/// | `readings` | L: the level of each run                                 | dB   | finite, within 300 dB of each other |
///
/// Where the runs cannot tell sources apart ([`identifiable`]) the split between them means nothing; only their sum does.
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::NotFinite`], [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Solving Least Squares Problems (1974), from memory; weighting derived: an equal error in decibels for each run.
///
/// # Example
///
/// ```
/// use lessdin::{formulas::nnls::separate, units::Level};
///
/// // Room alone; with the fan; with the motors.
/// let runs = [vec![1, 0, 0], vec![1, 1, 0], vec![1, 0, 1]];
/// let found = separate(&runs, &[Level(30.0), Level(40.0), Level(45.0)]).unwrap();
/// assert!((found.levels[1].unwrap().0 - 39.5424).abs() < 1e-4);
///
/// assert!(separate(&runs, &[Level(30.0)]).is_err());
/// ```
pub fn separate(runs: &[Vec<u32>], readings: &[Level]) -> Result<Separation, FormulaError> {
    let width = check_runs(runs)?;
    let rows = count_to_f64(runs.len());
    within("the number of readings", count_to_f64(readings.len()), rows, rows)?;
    for reading in readings {
        finite("the level", reading.0)?;
    }
    let top = readings.iter().map(|reading| reading.0).fold(f64::NEG_INFINITY, f64::max);
    for reading in readings {
        within("the level below the loudest", top - reading.0, 0.0, 300.0)?;
    }
    // Energies relative to the loudest run, rows weighted by one over their own energy: the target is all ones.
    let weight = |reading: &Level| 10_f64.powf((top - reading.0) / 10.0);
    let columns: Vec<Vec<f64>> = (0..width)
        .map(|column| {
            let counts = runs.iter().map(|run| run.get(column).copied().unwrap_or(0));
            counts.zip(readings).map(|(count, reading)| f64::from(count) * weight(reading)).collect()
        })
        .collect();
    let solution = non_negative(&columns, &vec![1.0; readings.len()])?;

    let to_level = |energy: f64| Energy(energy).to_level().map(|level| level + Gain(top));
    let residuals = runs
        .iter()
        .zip(readings)
        .map(|(run, reading)| {
            let energy: f64 = run.iter().zip(&solution.values).map(|(count, value)| f64::from(*count) * value).sum();
            // A run in which nothing is found at all is as far off as can be said.
            to_level(energy).map_or(Gain(300.0), |level| *reading - level)
        })
        .collect();
    Ok(Separation { levels: solution.values.iter().map(|value| to_level(*value)).collect(), residuals, misfit: solution.residual })
}

/// The common length of the runs.
fn check_runs(runs: &[Vec<u32>]) -> Result<usize, FormulaError> {
    let width = runs.first().map(Vec::len).filter(|width| *width > 0).ok_or(FormulaError::Empty)?;
    within("the number of sources", count_to_f64(width), 1.0, 100.0)?;
    within("the number of runs", count_to_f64(runs.len()), 1.0, 10_000.0)?;
    for run in runs {
        within("the length of a run", count_to_f64(run.len()), count_to_f64(width), count_to_f64(width))?;
    }
    Ok(width)
}

/// A row of the reduced system, with the column it stands for.
struct PivotRow {
    column: usize,
    values: Vec<Exact>,
}

fn at(row: &[Exact], column: usize) -> Exact {
    row.get(column).copied().unwrap_or_else(Exact::zero)
}

/// Takes away as much of `pivot` (one in its column) as makes `row` zero there.
fn clear(row: &mut [Exact], pivot: &PivotRow) -> Result<(), FormulaError> {
    let factor = at(row, pivot.column);
    if factor.is_zero() {
        return Ok(());
    }
    for (value, part) in row.iter_mut().zip(&pivot.values) {
        *value = part.checked_mul(&factor).and_then(|part| value.checked_sub(&part)).ok_or(FormulaError::TooLong)?;
    }
    Ok(())
}

/// The changes of the sources' energies that no run would show, as exact fractions.
///
/// A basis of all x with `A·x = 0`. Empty when the runs tell everything apart; otherwise as many as there are sources more
/// than the rank of the runs. `(0, 1, −1)` says that of the second and third source only the sum is known.
///
/// | name   | meaning                                               | unit | valid                                |
/// |--------|-------------------------------------------------------|------|--------------------------------------|
/// | `runs` | how many of each source were on, the background first | 1    | rows of one length, 1 to 100 columns |
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::OutOfRange`]; [`FormulaError::TooLong`] when the fractions grow out of hand.
///
/// # Source
///
/// Plain mathematics: elimination in exact fractions.
///
/// # Example
///
/// ```
/// use lessdin::formulas::nnls::null_space;
///
/// assert!(null_space(&[vec![1, 0], vec![1, 1]]).unwrap().is_empty());
/// assert_eq!(null_space(&[vec![1, 0, 0], vec![1, 1, 1]]).unwrap().len(), 1);
///
/// assert!(null_space(&[]).is_err());
/// ```
pub fn null_space(runs: &[Vec<u32>]) -> Result<Vec<Vec<Exact>>, FormulaError> {
    let width = check_runs(runs)?;
    let mut rows: Vec<Vec<Exact>> =
        runs.iter().map(|run| run.iter().map(|count| Exact::from_integer(i128::from(*count))).collect()).collect();
    let mut pivots: Vec<PivotRow> = Vec::new();
    for column in 0..width {
        let Some(found) = rows.iter().position(|row| !at(row, column).is_zero()) else {
            continue;
        };
        let row = rows.swap_remove(found);
        let lead = at(&row, column);
        let values: Option<Vec<Exact>> = row.iter().map(|value| value.checked_div(&lead)).collect();
        let pivot = PivotRow { column, values: values.ok_or(FormulaError::TooLong)? };
        for row in &mut rows {
            clear(row, &pivot)?;
        }
        for other in &mut pivots {
            clear(&mut other.values, &pivot)?;
        }
        pivots.push(pivot);
    }
    let is_pivot = |column: usize| pivots.iter().any(|pivot| pivot.column == column);
    Ok((0..width)
        .filter(|column| !is_pivot(*column))
        .map(|free| {
            let value_of = |column: usize| {
                if column == free {
                    return Exact::one();
                }
                pivots.iter().find(|pivot| pivot.column == column).map_or_else(Exact::zero, |pivot| -at(&pivot.values, free))
            };
            (0..width).map(value_of).collect()
        })
        .collect())
}

/// For each source whether the runs tell its energy by itself.
///
/// A source is told when no change that the runs would not show ([`null_space`]) touches it.
///
/// | name   | meaning                                               | unit | valid                                |
/// |--------|-------------------------------------------------------|------|--------------------------------------|
/// | `runs` | how many of each source were on, the background first | 1    | rows of one length, 1 to 100 columns |
///
/// # Errors
///
/// As [`null_space`].
///
/// # Source
///
/// Plain mathematics: elimination in exact fractions.
///
/// # Example
///
/// ```
/// use lessdin::formulas::nnls::identifiable;
///
/// assert_eq!(identifiable(&[vec![1, 0, 0], vec![1, 1, 1]]).unwrap(), [true, false, false]);
///
/// assert!(identifiable(&[vec![]]).is_err());
/// ```
pub fn identifiable(runs: &[Vec<u32>]) -> Result<Vec<bool>, FormulaError> {
    let hidden = null_space(runs)?;
    let width = check_runs(runs)?;
    Ok((0..width).map(|column| hidden.iter().all(|change| at(change, column).is_zero())).collect())
}

/// Sources that were always on and off together: groups of columns that are the same in every run, by their positions.
///
/// Each group can be treated as one source. Sources that differ from all others make a group of one.
///
/// | name   | meaning                                               | unit | valid                                |
/// |--------|-------------------------------------------------------|------|--------------------------------------|
/// | `runs` | how many of each source were on, the background first | 1    | rows of one length, 1 to 100 columns |
///
/// # Errors
///
/// [`FormulaError::Empty`], [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Plain comparison.
///
/// # Example
///
/// ```
/// use lessdin::formulas::nnls::always_together;
///
/// let runs = [vec![1, 0, 0, 0], vec![1, 1, 0, 1]];
/// assert_eq!(always_together(&runs).unwrap(), [vec![0], vec![1, 3], vec![2]]);
///
/// assert!(always_together(&[]).is_err());
/// ```
pub fn always_together(runs: &[Vec<u32>]) -> Result<Vec<Vec<usize>>, FormulaError> {
    let width = check_runs(runs)?;
    let same = |a: usize, b: usize| runs.iter().all(|run| run.get(a) == run.get(b));
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for column in 0..width {
        let known = groups.iter_mut().find(|group| group.first().is_some_and(|first| same(*first, column)));
        match known {
            Some(group) => group.push(column),
            None => groups.push(vec![column]),
        }
    }
    Ok(groups)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand_core::{Rng, SeedableRng};
    use rand_pcg::Pcg64Mcg;

    fn unit(random: &mut Pcg64Mcg) -> f64 {
        f64::from(random.next_u32()) / f64::from(u32::MAX)
    }

    /// The conditions that only the solution fulfils: no value below zero, no gain left in a value held at zero, and none
    /// either way in a value above zero.
    #[test]
    fn solutions_fulfil_the_conditions_of_the_least() {
        for seed in 0..300_u16 {
            let mut random = Pcg64Mcg::seed_from_u64(u64::from(seed));
            let (rows, width) = (2 + usize::from(seed % 12), 1 + usize::from(seed % 9));
            let columns: Vec<Vec<f64>> = (0..width).map(|_| (0..rows).map(|_| unit(&mut random) - 0.3).collect()).collect();
            let target: Vec<f64> = (0..rows).map(|_| unit(&mut random) - 0.4).collect();
            let solution = non_negative(&columns, &target).unwrap();
            let rest = remainder(&columns, &solution.values, &target);
            for (column, value) in columns.iter().zip(&solution.values) {
                let gain = dot(column, &rest);
                assert!(*value >= 0.0, "seed {seed}");
                assert!(gain < 1e-9, "seed {seed}");
                assert!(*value == 0.0 || gain.abs() < 1e-9, "seed {seed}");
            }
        }
    }

    #[test]
    fn what_the_runs_would_not_show_changes_no_run() {
        for seed in 0..200 {
            let mut random = Pcg64Mcg::seed_from_u64(seed);
            let runs: Vec<Vec<u32>> = (0..4).map(|_| (0..6).map(|_| random.next_u32() % 3).collect()).collect();
            let hidden = null_space(&runs).unwrap();
            assert!(hidden.len() >= 2, "seed {seed}");
            for change in &hidden {
                for run in &runs {
                    let shown: Exact = run.iter().zip(change).map(|(count, part)| *part * Exact::from_integer(i128::from(*count))).sum();
                    assert!(shown.is_zero(), "seed {seed}");
                }
            }
        }
    }

    #[test]
    fn silence_of_all_parts_is_no_panic() {
        let found = separate(&[vec![0, 1], vec![0, 1]], &[Level(40.0), Level(40.0)]).unwrap();
        assert_eq!(found.levels[0], None);
        assert!((found.levels[1].unwrap().0 - 40.0).abs() < 1e-9);
        let nothing = separate(&[vec![0, 0]], &[Level(40.0)]).unwrap();
        assert_eq!(nothing.levels, [None, None]);
    }
}
