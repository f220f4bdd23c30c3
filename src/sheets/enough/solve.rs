//! How many runs, how long a recording, and what can be shown with what there is.

use super::{Inputs, Repeats, Response};
use crate::formulas::power::{self, MOST_RUNS, Plan, Test};
use crate::formulas::series::{COSINES, FEWEST_EFFECTIVE};
use crate::formulas::{FormulaError, uncertainty};
use crate::units::count_to_f64;

/// The numbers of runs that are listed.
const LISTED: [usize; 8] = [2, 3, 4, 5, 6, 8, 10, 12];
/// Below this the spread is the step of a display that shows tenths, dB: runs that agree to the last digit shown do not agree
/// altogether.
const LEAST_SPREAD: f64 = 0.1 / 3.464_101_615_137_754_6;

/// One line of the list.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Runs of each kind.
    pub runs: usize,
    /// The change that is just significant, dB.
    pub just: f64,
    /// The change that is shown with the chance asked for, dB.
    pub smallest: f64,
    /// The chance of showing the change asked for.
    pub chance: f64,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The spread from run to run that was used, a standard deviation, dB.
    pub spread: f64,
    /// Its degrees of freedom, where it comes from runs.
    pub dof: Option<f64>,
    /// The runs agreed to the last digit, so the step of the display stands for the spread.
    pub floored: bool,
    /// Runs of each kind that are needed.
    pub needed: Row,
    /// What the runs there are can show; `None` for fewer than two, or when nothing is said of them.
    pub have: Option<Row>,
    /// The list.
    pub rows: Vec<Row>,
    /// How alike neighbouring samples are.
    pub lag: f64,
    /// So many samples tell as much as one independent sample.
    pub per_independent: f64,
    /// The shortest recording of a phase whose ± can be relied on, s.
    pub least: f64,
    /// Student’s t for the ± of one recording.
    pub t: f64,
    /// How long a phase must be recorded for the ± asked for, s, where it is known how much single samples waver.
    pub record: Option<f64>,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// Not even a hundred runs of each kind show it.
    TooSmall {
        /// What a hundred would show, dB.
        shown: f64,
        /// What ten would show, dB.
        with_ten: f64,
    },
    /// A formula has no value here.
    Formula(FormulaError),
}

impl From<FormulaError> for Impossible {
    fn from(error: FormulaError) -> Self {
        Self::Formula(error)
    }
}

/// The spread of runs: of several states pooled, with its degrees of freedom.
fn spread(repeats: &Repeats) -> Result<(f64, Option<f64>), FormulaError> {
    match repeats {
        Repeats::Typed(spread) => Ok((*spread, None)),
        Repeats::Alike(sets) => {
            let (mut squares, mut freedom) = (0.0, 0.0);
            for set in sets {
                let values: Vec<f64> = set.iter().map(|level| level.0).collect();
                let own = count_to_f64(set.len()) - 1.0;
                squares += own * uncertainty::standard_deviation(&values)?.powi(2);
                freedom += own;
            }
            Ok(((squares / freedom).sqrt(), Some(freedom)))
        }
    }
}

fn row(inputs: &Inputs, spread: f64, runs: usize) -> Result<Row, FormulaError> {
    let plan = Plan::new(runs, Test::Welch)?;
    Ok(Row {
        runs,
        just: power::just_significant(runs, spread)?.0,
        smallest: plan.smallest(inputs.chance, spread)?.0,
        chance: plan.chance(inputs.want, spread)?,
    })
}

/// How alike neighbouring samples are: as typed, else as the meter's own smoothing makes them.
fn lag(inputs: &Inputs) -> f64 {
    let smoothed = |constant: f64| (-inputs.step / constant).exp().min(0.99);
    inputs.lag.unwrap_or(match inputs.response {
        Response::Slow => smoothed(1.0),
        Response::Fast => smoothed(0.125),
        Response::Average => 0.0,
    })
}

pub(super) fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
    let (found, dof) = spread(&inputs.repeats)?;
    let floored = found < LEAST_SPREAD && dof.is_some();
    let spread = if floored { LEAST_SPREAD } else { found };
    let Some(needed) = power::runs_needed(inputs.want, spread, inputs.chance, Test::Welch)? else {
        let smallest = |runs: usize| Ok::<f64, FormulaError>(Plan::new(runs, Test::Welch)?.smallest(inputs.chance, spread)?.0);
        return Err(Impossible::TooSmall { shown: smallest(MOST_RUNS)?, with_ten: smallest(10)? });
    };
    let needed = row(inputs, spread, needed)?;
    let have = inputs.have.filter(|have| *have >= 2).map(|have| row(inputs, spread, have)).transpose()?;
    let rows = LISTED.iter().map(|runs| row(inputs, spread, *runs)).collect::<Result<_, _>>()?;
    let lag = lag(inputs);
    let per_independent = (1.0 + lag) / (1.0 - lag);
    let seconds = |independent: f64| independent * per_independent * inputs.step;
    let least = seconds(FEWEST_EFFECTIVE);
    // The figures of a log have so many degrees of freedom, however long it is.
    let t = uncertainty::student_t(0.95, count_to_f64(COSINES))?;
    let record = inputs.waver.map(|waver| seconds((t * waver / inputs.fine).powi(2).max(FEWEST_EFFECTIVE)));
    Ok(Answer { spread, dof, floored, needed, have, rows, lag, per_independent, least, t, record })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::draft::Draft;
    use crate::units::Level;
    use approx::assert_abs_diff_eq;

    fn inputs(repeats: Repeats) -> Inputs {
        Inputs {
            repeats,
            unused: false,
            want: 1.0,
            chance: 0.8,
            have: None,
            fine: 0.3,
            waver: None,
            step: 1.0,
            lag: None,
            response: Response::Slow,
            header: Draft::default(),
        }
    }

    #[test]
    fn the_spread_of_two_states_is_pooled() {
        let levels = |values: &[f64]| values.iter().copied().map(Level).collect::<Vec<_>>();
        let answer = solve(&inputs(Repeats::Alike(vec![levels(&[47.0, 47.4]), levels(&[44.0, 44.3, 44.6])]))).unwrap();
        // (0.08 + 0.18)/3 = 0.0867.
        assert_abs_diff_eq!(answer.spread, 0.294_392, epsilon = 1e-6);
        assert_eq!(answer.dof, Some(3.0));
        let same = solve(&inputs(Repeats::Alike(vec![levels(&[47.0, 47.0])]))).unwrap();
        assert!(same.floored);
        assert_abs_diff_eq!(same.spread, 0.028_868, epsilon = 1e-6);
    }

    #[test]
    fn a_slow_meter_read_every_second_takes_two_readings_for_one() {
        // φ = e^−1: (1 + φ)/(1 − φ) = 2.1640; 20 independent samples take 43.3 s.
        let answer = solve(&inputs(Repeats::Typed(0.3))).unwrap();
        assert_abs_diff_eq!(answer.lag, 0.367_879, epsilon = 1e-6);
        assert_abs_diff_eq!(answer.least, 43.279, epsilon = 1e-3);
        // (2.306·0.8/0.3)² = 37.82 independent samples: 81.8 s.
        let answer = solve(&Inputs { waver: Some(0.8), ..inputs(Repeats::Typed(0.3)) }).unwrap();
        assert_abs_diff_eq!(answer.record.unwrap(), 81.83, epsilon = 0.01);
        // Typed, φ = 0.5 and 600 samples are 200 independent ones.
        let answer = solve(&Inputs { lag: Some(0.5), ..inputs(Repeats::Typed(0.3)) }).unwrap();
        assert_abs_diff_eq!(600.0 / answer.per_independent, 200.0, epsilon = 1e-9);
    }

    #[test]
    fn what_runs_can_show_is_as_the_general_library_says() {
        // scipy 1.17.1 and numpy 2.4.6, script series_rows.py: spread 0.3 dB, chance 0.8.
        let answer = solve(&Inputs { have: Some(3), ..inputs(Repeats::Typed(0.3)) }).unwrap();
        assert_eq!((answer.needed.runs, answer.dof, answer.floored), (4, None, false));
        let have = answer.have.unwrap();
        assert_eq!(have.runs, 3);
        assert_abs_diff_eq!(have.just, 0.680_087, epsilon = 1e-6);
        assert_abs_diff_eq!(have.smallest, 1.052_2, epsilon = 1e-4);
        assert_abs_diff_eq!(have.chance, 0.761_781, epsilon = 5e-6);
        assert_eq!(answer.rows.iter().map(|row| row.runs).collect::<Vec<_>>(), LISTED);
        assert!(solve(&Inputs { have: Some(1), ..inputs(Repeats::Typed(0.3)) }).unwrap().have.is_none());
        assert!(solve(&Inputs { have: Some(2), ..inputs(Repeats::Typed(0.3)) }).unwrap().have.is_some());
        let small = solve(&Inputs { want: 0.1, ..inputs(Repeats::Typed(0.3)) });
        let Err(Impossible::TooSmall { shown, with_ten }) = small else { panic!("{small:?}") };
        assert_abs_diff_eq!(shown, 0.119_447, epsilon = 1e-6);
        assert_abs_diff_eq!(with_ten, 0.399_6, epsilon = 1e-4);
        // A typed spread is taken as it is, however small.
        assert_abs_diff_eq!(solve(&inputs(Repeats::Typed(0.01))).unwrap().spread, 0.01);
    }

    #[test]
    fn neighbours_are_as_alike_as_the_meter_makes_them() {
        let lag = |response, step| lag(&Inputs { step, response, ..inputs(Repeats::Typed(0.3)) });
        // e^(−1/0.125), e^(−0.5/1); never believed beyond 0.99.
        assert_abs_diff_eq!(lag(Response::Fast, 1.0), 0.000_335_46, epsilon = 1e-8);
        assert_abs_diff_eq!(lag(Response::Slow, 0.5), 0.606_530_66, epsilon = 1e-8);
        assert_abs_diff_eq!(lag(Response::Slow, 0.001), 0.99, epsilon = 1e-12);
        assert_abs_diff_eq!(lag(Response::Average, 0.001), 0.0);
        // 20 independent samples of half a second, and no fewer however little the sound wavers.
        let answer = |waver| solve(&Inputs { step: 0.5, response: Response::Average, waver, ..inputs(Repeats::Typed(0.3)) }).unwrap();
        assert_abs_diff_eq!(answer(None).least, 10.0, epsilon = 1e-9);
        assert_abs_diff_eq!(answer(Some(0.1)).record.unwrap(), 10.0, epsilon = 1e-9);
        assert_eq!(answer(None).record, None);
        assert_abs_diff_eq!(answer(None).t, 2.306_004, epsilon = 1e-6);
    }
}
