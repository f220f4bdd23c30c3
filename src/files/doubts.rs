//! Whether a series of levels looks like a meter that was set wrongly.

use super::log::Levels;
use super::timeline::share;
use super::understood::Question;

/// How few rows say nothing about the meter's settings.
const FEW: usize = 20;
/// How many rows are looked at for two series that take turns.
const LOOKED_AT: usize = 20_000;

/// Adds what a person should look at. `whole` says that there are whole decibels only.
pub(super) fn ask(levels: &Levels, whole: bool, questions: &mut Vec<Question>) {
    let rows = levels.len();
    if whole && rows >= 5 {
        questions.push(Question::WholeNumbers);
    }
    if rows < FEW {
        return;
    }
    let (mut lowest, mut highest) = (f32::INFINITY, f32::NEG_INFINITY);
    let mut falls = false;
    let mut before = f32::NEG_INFINITY;
    let (mut at_lowest, mut at_highest) = (0, 0);
    for level in levels.iter(0..rows) {
        falls |= level < before;
        before = level;
        if level < lowest {
            lowest = level;
            at_lowest = 0;
        }
        if level > highest {
            highest = level;
            at_highest = 0;
        }
        at_lowest += usize::from(level <= lowest);
        at_highest += usize::from(level >= highest);
    }
    let spread = highest - lowest;
    if !falls && spread >= 1.0 {
        questions.push(Question::NeverFalls);
        return;
    }
    // An edge of the range holds many readings, the next step beside it few.
    let step = if whole { 1.0 } else { 0.1 };
    if spread >= 10.0 * step {
        let near_low = levels.iter(0..rows).filter(|level| *level > lowest && *level < lowest + 1.5 * step).count();
        let near_high = levels.iter(0..rows).filter(|level| *level < highest && *level > highest - 1.5 * step).count();
        let stands_out = |at: usize, near: usize| at >= 5 && at * 50 >= rows && at > 3 * near;
        if stands_out(at_lowest, near_low) {
            questions.push(Question::Floor(lowest, share(at_lowest, rows)));
        }
        if stands_out(at_highest, near_high) {
            questions.push(Question::Ceiling(highest, share(at_highest, rows)));
        }
    }
    if let Some(apart) = alternating(levels, rows.min(LOOKED_AT)) {
        questions.push(Question::Alternating(apart));
    }
}

/// How far two series are apart that take turns, dB; nothing when there is one.
fn alternating(levels: &Levels, rows: usize) -> Option<f64> {
    let (mut turns, mut counted) = (0, 0);
    let (mut near, mut far) = (0.0, 0.0);
    let (mut one, mut two) = (f32::NAN, f32::NAN);
    for level in levels.iter(0..rows) {
        if !one.is_nan() {
            counted += 1;
            turns += usize::from((level - two) * (two - one) < 0.0);
            near += f64::from((level - two).abs());
            far += f64::from((level - one).abs());
        }
        (one, two) = (two, level);
    }
    let mean = near / crate::units::count_to_f64(counted.max(1));
    (counted >= FEW - 2 && turns * 10 > counted * 9 && near > 3.0 * far && mean >= 1.0).then_some(mean)
}
