//! Non-negative least squares over and over, of systems that differ little: the same rows drawn again and again, or with
//! other errors.
//!
//! Each system is summed up as its normal equations, as small as the number of unknowns squared, and solved by Cholesky's
//! method on those unknowns that are free. The free ones of the last system are where the next one starts, so that most
//! systems take one solution. What is found is exact: the conditions of the least are checked each time.

use super::error::{FormulaError, finite, within};
use crate::units::count_to_f64;

/// A pivot counts as nothing when this little of its diagonal is left.
const DEPENDENT: f64 = 1e-12;
/// A gain counts as none below this share of the terms it is the sum of.
const ROUNDING: f64 = 1e-11;

/// The most unknowns of a system.
const MOST: usize = 100;

/// Where an element of the lower triangle is.
const fn place(row: usize, column: usize) -> usize {
    row * (row + 1) / 2 + column
}

/// The lower triangle of a row's product with itself, as [`ActiveSet::add`] takes it.
pub(crate) fn products(row: &[f64]) -> Vec<f64> {
    row.iter().enumerate().flat_map(|(at, a)| row.iter().take(at + 1).map(move |b| a * b)).collect()
}

/// A system of normal equations being summed up and solved, and the free unknowns of the last solution.
#[derive(Clone, Debug)]
pub struct ActiveSet {
    width: usize,
    /// The lower triangle of `AᵀA`, row by row.
    triangle: Vec<f64>,
    /// Aᵀb.
    right: Vec<f64>,
    /// The free unknowns, in rising order; the first `free_count` count.
    free: Vec<usize>,
    free_count: usize,
    /// Not to be freed before something is gained.
    blocked: Vec<bool>,
    values: Vec<f64>,
    wanted: Vec<f64>,
    /// The Cholesky factor, a row of `width` for each free unknown, one over its diagonal in place of that.
    factor: Vec<f64>,
}

#[expect(clippy::indexing_slicing, reason = "every index is below the width, and every buffer was made for the width")]
impl ActiveSet {
    /// Room for systems of so many unknowns; all of them free at first.
    pub fn new(width: usize) -> Self {
        Self {
            width,
            triangle: vec![0.0; place(width, 0)],
            right: vec![0.0; width],
            free: (0..width).collect(),
            free_count: width,
            blocked: vec![false; width],
            values: vec![0.0; width],
            wanted: vec![0.0; width],
            factor: vec![0.0; width * width],
        }
    }

    /// Begins another system.
    pub fn clear(&mut self) {
        self.triangle.fill(0.0);
        self.right.fill(0.0);
    }

    /// Adds a row: so many times its `products`, and so many times the row itself to the right-hand side.
    pub fn add(&mut self, products: &[f64], times: f64, row: &[f64], target_times: f64) {
        for (sum, product) in self.triangle.iter_mut().zip(products) {
            *sum += times * product;
        }
        for (sum, value) in self.right.iter_mut().zip(row) {
            *sum += target_times * value;
        }
    }

    /// The values, none below zero, that solve the system in the sense of least squares. Where unknowns depend on each
    /// other, the first of them has the value of all.
    pub fn solve(&mut self) -> &[f64] {
        self.blocked.fill(false);
        self.start();
        // Every round but a blocked one gains something, so that no set of free unknowns comes twice; the bound is for rounding.
        for _ in 0..10 * self.width {
            let Some(fresh) = self.most_gaining() else { break };
            self.release(fresh);
            self.settle(fresh);
        }
        &self.values
    }

    /// The solution on the free unknowns of the last system, less those that would fall below zero.
    fn start(&mut self) {
        loop {
            if let Some(at) = self.factorise() {
                self.blocked[self.free[at]] = true;
                self.hold(at);
                continue;
            }
            self.substitute();
            let before = self.free_count;
            for at in (0..before).rev() {
                if self.wanted[at] <= 0.0 {
                    self.hold(at);
                }
            }
            if self.free_count == before {
                break;
            }
        }
        self.values.fill(0.0);
        for at in 0..self.free_count {
            self.values[self.free[at]] = self.wanted[at];
        }
    }

    /// Goes from the present values to the best ones on the free unknowns, holding those that reach zero on the way.
    fn settle(&mut self, fresh: usize) {
        let mut first = true;
        loop {
            let dependent = self.factorise().is_some();
            if !dependent {
                self.substitute();
            }
            let fresh_at = (0..self.free_count).find(|at| self.free[*at] == fresh);
            let falls = first && fresh_at.is_some_and(|at| self.wanted[at] <= 0.0);
            if dependent || falls {
                self.blocked[fresh] = true;
                if let Some(at) = fresh_at {
                    self.hold(at);
                }
                self.values[fresh] = 0.0;
                return;
            }
            first = false;
            let mut step = 1.0;
            let mut stops = None;
            for at in 0..self.free_count {
                let (value, wanted) = (self.values[self.free[at]], self.wanted[at]);
                if wanted <= 0.0 {
                    let share = value / (value - wanted);
                    if stops.is_none() || share < step {
                        (step, stops) = (share, Some(at));
                    }
                }
            }
            for at in 0..self.free_count {
                let value = &mut self.values[self.free[at]];
                *value = if stops.is_none() { self.wanted[at] } else { *value + step * (self.wanted[at] - *value) };
            }
            let Some(stops) = stops else {
                self.blocked.fill(false);
                return;
            };
            for at in (0..self.free_count).rev() {
                let unknown = self.free[at];
                if at == stops || self.values[unknown] <= 0.0 {
                    self.values[unknown] = 0.0;
                    self.hold(at);
                }
            }
        }
    }

    /// The unknown at zero that gains most by rising, if any does.
    fn most_gaining(&self) -> Option<usize> {
        let (triangle, values, free) = (self.triangle.as_slice(), self.values.as_slice(), &self.free.as_slice()[..self.free_count]);
        let mut best = None;
        let mut most = 0.0;
        for (unknown, right) in self.right.iter().enumerate() {
            if values[unknown] > 0.0 || self.blocked[unknown] {
                continue;
            }
            let mut gain = *right;
            let mut size = gain.abs();
            for other in free {
                let term = triangle[if unknown < *other { place(*other, unknown) } else { place(unknown, *other) }] * values[*other];
                gain -= term;
                size += term.abs();
            }
            // In the length of the column, so that the unit of an unknown does not matter.
            let scaled = gain / triangle[place(unknown, unknown)].sqrt();
            if gain > ROUNDING * size && scaled > most {
                (most, best) = (scaled, Some(unknown));
            }
        }
        best
    }

    fn hold(&mut self, at: usize) {
        self.free.copy_within(at + 1..self.free_count, at);
        self.free_count -= 1;
    }

    fn release(&mut self, unknown: usize) {
        let at = self.free[..self.free_count].iter().position(|other| *other > unknown).unwrap_or(self.free_count);
        self.free.copy_within(at..self.free_count, at + 1);
        self.free[at] = unknown;
        self.free_count += 1;
    }

    /// Factorises the part of the free unknowns. The place of the first one that depends on those before it, if there is one.
    fn factorise(&mut self) -> Option<usize> {
        // As slices: a build for size would call a function for each element of a vector.
        let (width, triangle, free) = (self.width, self.triangle.as_slice(), &self.free.as_slice()[..self.free_count]);
        let mut rest = self.factor.as_mut_slice();
        let mut done: [&[f64]; MOST] = [&[]; MOST];
        for a in 0..free.len() {
            let row;
            (row, rest) = std::mem::take(&mut rest).split_at_mut(width);
            let row_of = place(free[a], 0);
            for b in 0..a {
                let other = done[b];
                let mut sum = triangle[row_of + free[b]];
                for k in 0..b {
                    sum -= row[k] * other[k];
                }
                row[b] = sum * other[b];
            }
            let whole = triangle[row_of + free[a]];
            let mut sum = whole;
            for value in &row[..a] {
                sum -= value * value;
            }
            if sum <= DEPENDENT * whole {
                return Some(a);
            }
            row[a] = 1.0 / sum.sqrt();
            done[a] = row;
        }
        None
    }

    /// Solves for the free unknowns with the factor.
    fn substitute(&mut self) {
        let (width, factor, right) = (self.width, self.factor.as_slice(), self.right.as_slice());
        let free = &self.free.as_slice()[..self.free_count];
        let wanted = self.wanted.as_mut_slice();
        for a in 0..free.len() {
            let row = &factor[a * width..];
            let mut sum = right[free[a]];
            for b in 0..a {
                sum -= row[b] * wanted[b];
            }
            wanted[a] = sum * row[a];
        }
        for a in (0..free.len()).rev() {
            let row = &factor[a * width..];
            let value = wanted[a] * row[a];
            wanted[a] = value;
            for b in 0..a {
                wanted[b] -= row[b] * value;
            }
        }
    }
}

/// A solution, and how it varies over drawn rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Resampled {
    /// One value for each column, from all rows, none below zero.
    pub values: Vec<f64>,
    /// Root of the sum of squares of what is left of the target.
    pub residual: f64,
    /// For each column, 2.5 % of the drawn solutions lie below.
    pub low: Vec<f64>,
    /// For each column, half of them lie below.
    pub middle: Vec<f64>,
    /// For each column, 2.5 % of them lie above.
    pub high: Vec<f64>,
}

/// Non-negative least squares on all rows, and again on rows drawn from them with replacement.
///
/// `min ‖A·x − b‖`, `x ≥ 0`; then for each draw the same with the rows it names
///
/// | name      | meaning                                                  | unit | valid                             |
/// |-----------|----------------------------------------------------------|------|-----------------------------------|
/// | `columns` | columns of A                                             | any  | 1 to 100, of one length, finite   |
/// | `target`  | b                                                        | any  | 1 to 10000, finite                |
/// | `draws`   | rows by their number from 0, as many for each draw as b has, one draw after the other | 1 | one draw or more, each below the length of b |
///
/// Percentiles are interpolated linearly between draws in order, the smallest at 0 and the largest at 100 %. The equations
/// are solved in their normal form: columns should differ by more than a millionth of their length.
///
/// # Errors
///
/// As [`super::nnls::non_negative`]; [`FormulaError::OutOfRange`] for a row that is not there or a draw cut short.
///
/// # Source
///
/// Solving Least Squares Problems (1974), from memory; resampling of rows: common statistics.
///
/// # Example
///
/// ```
/// use lessdin::formulas::active_set::resample;
///
/// let columns = [vec![1.0, 1.0, 0.0], vec![0.0, 0.0, 1.0]];
/// let found = resample(&columns, &[2.0, 1.0, 1.0], &[0, 0, 2, 1, 1, 2]).unwrap();
/// assert!((found.values[0] - 1.5).abs() < 1e-12);
/// // Drawn values 2 and 1: half-way between lies the middle.
/// assert!((found.middle[0] - 1.5).abs() < 1e-12 && (found.high[0] - 1.975).abs() < 1e-12);
///
/// assert!(resample(&columns, &[2.0, 1.0, 1.0], &[0, 0]).is_err());
/// ```
pub fn resample(columns: &[Vec<f64>], target: &[f64], draws: &[u32]) -> Result<Resampled, FormulaError> {
    if columns.is_empty() || target.is_empty() || draws.is_empty() {
        return Err(FormulaError::Empty);
    }
    let (width, height) = (columns.len(), target.len());
    within("the number of columns", count_to_f64(width), 1.0, count_to_f64(MOST))?;
    let rows = count_to_f64(height);
    within("the number of rows", rows, 1.0, 10_000.0)?;
    for column in columns {
        within("the length of a column", count_to_f64(column.len()), rows, rows)?;
    }
    for &value in columns.iter().flatten().chain(target) {
        finite("the value", value)?;
    }
    within("the rows of the last draw", count_to_f64(draws.len() % height), 0.0, 0.0)?;
    let last = draws.iter().copied().max().unwrap_or_default();
    within("the number of a row", f64::from(last), 0.0, rows - 1.0)?;

    let row = |at: usize| columns.iter().filter_map(move |column| column.get(at).copied()).collect::<Vec<f64>>();
    let all: Vec<Row> = target.iter().enumerate().map(|(at, target)| Row::new(row(at), *target)).collect();
    let mut system = ActiveSet::new(width);
    for row in &all {
        system.add(&row.products, 1.0, &row.values, row.target);
    }
    let values = system.solve().to_vec();
    let fit = |row: &Row| row.target - row.values.iter().zip(&values).map(|(a, x)| a * x).sum::<f64>();
    let residual = all.iter().map(fit).map(|rest| rest * rest).sum::<f64>().sqrt();

    let mut found = vec![Vec::with_capacity(draws.len() / height); width];
    let mut times = vec![0_u32; height];
    for draw in draws.chunks_exact(height) {
        // A row drawn three times is added once, three times as heavy.
        times.fill(0);
        for &at in draw {
            if let Some(times) = usize::try_from(at).ok().and_then(|at| times.get_mut(at)) {
                *times += 1;
            }
        }
        system.clear();
        for (row, &times) in all.iter().zip(&times).filter(|(_, times)| **times > 0) {
            let times = f64::from(times);
            system.add(&row.products, times, &row.values, times * row.target);
        }
        for (found, value) in found.iter_mut().zip(system.solve()) {
            found.push(*value);
        }
    }
    let [mut low, mut middle, mut high] = [const { Vec::new() }; 3];
    for mut found in found {
        found.sort_unstable_by(f64::total_cmp);
        low.push(percentile(&found, 0.025));
        middle.push(percentile(&found, 0.5));
        high.push(percentile(&found, 0.975));
    }
    Ok(Resampled { values, residual, low, middle, high })
}

struct Row {
    products: Vec<f64>,
    values: Vec<f64>,
    target: f64,
}

impl Row {
    fn new(values: Vec<f64>, target: f64) -> Self {
        Self { products: products(&values), values, target }
    }
}

/// The value at a share of the way through sorted ones, interpolated linearly; zero of none.
pub(crate) fn percentile(sorted: &[f64], share: f64) -> f64 {
    let way = share * count_to_f64(sorted.len().saturating_sub(1));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative, and below the length")]
    let at = way.floor() as usize;
    let value = |at: usize| sorted.get(at).or(sorted.last()).copied().unwrap_or_default();
    value(at) + (value(at + 1) - value(at)) * (way - way.floor())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formulas::chance::Chance;
    use crate::formulas::nnls::non_negative;

    fn uneven(chance: &mut Chance, off: f64) -> f64 {
        chance.unit() - off
    }

    /// The careful solver, which needs no normal equations, on hundreds of systems one after the other.
    #[test]
    fn each_system_is_solved_as_the_careful_solver_does_wherever_the_last_one_left_off() {
        for width in 1..=9 {
            let mut system = ActiveSet::new(width);
            let mut chance = Chance::new(width as u64);
            for turn in 0..200 {
                let height = width + turn % 12;
                let columns: Vec<Vec<f64>> = (0..width).map(|_| (0..height).map(|_| uneven(&mut chance, 0.3)).collect()).collect();
                let target: Vec<f64> = (0..height).map(|_| uneven(&mut chance, 0.4)).collect();
                system.clear();
                for (at, target) in target.iter().enumerate() {
                    let row: Vec<f64> = columns.iter().map(|column| column[at]).collect();
                    system.add(&products(&row), 1.0, &row, *target);
                }
                let found = system.solve().to_vec();
                let careful = non_negative(&columns, &target).unwrap();
                let largest = careful.values.iter().fold(1.0, |most: f64, value| most.max(*value));
                for (found, careful) in found.iter().zip(&careful.values) {
                    assert!((found - careful).abs() < 1e-6 * largest, "{width} {turn}: {found} and {careful}");
                }
            }
        }
    }

    #[test]
    fn unknowns_that_depend_on_each_other_and_empty_columns_are_no_panic() {
        let mut system = ActiveSet::new(4);
        for (row, target) in [([1.0, 0.0, 0.0, 0.0], 3.0), ([1.0, 1.0, 1.0, 0.0], 8.0), ([1.0, 1.0, 1.0, 0.0], 8.0)] {
            system.add(&products(&row), 1.0, &row, target);
        }
        let found = system.solve();
        assert!((found[0] - 3.0).abs() < 1e-9 && (found[1] + found[2] - 5.0).abs() < 1e-9);
        assert!(found[3].abs() < 1e-12 && found.iter().all(|value| *value >= 0.0));
        system.clear();
        assert_eq!(system.solve(), [0.0; 4]);
    }

    /// A system in other units has its solution in other units.
    #[test]
    fn the_unit_of_the_target_and_of_a_column_does_not_matter() {
        let mut chance = Chance::new(77);
        for _ in 0..40 {
            let columns: Vec<Vec<f64>> = (0..4).map(|_| (0..7).map(|_| uneven(&mut chance, 0.3)).collect()).collect();
            let target: Vec<f64> = (0..7).map(|_| uneven(&mut chance, 0.2)).collect();
            let solved = |columns: &[Vec<f64>], target: &[f64]| {
                let mut system = ActiveSet::new(4);
                for (at, target) in target.iter().enumerate() {
                    let row: Vec<f64> = columns.iter().map(|column| column[at]).collect();
                    system.add(&products(&row), 1.0, &row, *target);
                }
                (system.solve().to_vec(), non_negative(columns, target).unwrap().values)
            };
            let (own, careful) = solved(&columns, &target);
            for unit in [1e-9, 1e9] {
                let scaled: Vec<f64> = target.iter().map(|value| value * unit).collect();
                let (own_scaled, careful_scaled) = solved(&columns, &scaled);
                for (one, other) in own.iter().chain(&careful).zip(own_scaled.iter().chain(&careful_scaled)) {
                    assert!((one - other / unit).abs() < 1e-9, "{unit}: {one} and {other}");
                }
                let mut wider = columns.clone();
                wider[1].iter_mut().for_each(|value| *value *= unit);
                let (own_wider, _) = solved(&wider, &target);
                for (at, (one, other)) in own.iter().zip(&own_wider).enumerate() {
                    assert!((one - other * if at == 1 { unit } else { 1.0 }).abs() < 1e-9, "{unit}: {one} and {other}");
                }
            }
        }
    }
}
