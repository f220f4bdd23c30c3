//! Whether a series of levels looks like a meter that was set wrongly.

use super::log::{Counts, Levels};
use super::timeline::share;
use super::understood::Question;

/// How few rows say nothing about the meter's settings.
const FEW: usize = 20;
/// How many rows are looked at for two series that take turns.
const LOOKED_AT: usize = 4000;

/// Adds what a person should look at. `whole` says that there are whole decibels only.
pub(super) fn ask(levels: &Levels, counts: Option<&Counts>, whole: bool, questions: &mut Vec<Question>) {
    let rows = levels.len();
    if whole && rows >= 5 {
        questions.push(Question::WholeNumbers);
    }
    if rows < FEW {
        return;
    }
    let rising = || levels.iter(0..rows).zip(levels.iter(1..rows)).all(|(before, after)| after >= before);
    let edges = counts.map_or_else(|| edges_of(levels, rows, whole), |counts| edges_by(counts, whole));
    let spread = edges.highest - edges.lowest;
    if spread >= 1.0 && rising() {
        questions.push(Question::NeverFalls);
        return;
    }
    // An edge of the range holds many readings, the next step beside it few.
    if spread >= 10.0 * step(whole) {
        let stands_out = |at: usize, near: usize| at >= 5 && at * 50 >= rows && at > 3 * near;
        if stands_out(edges.at_lowest, edges.near_lowest) {
            questions.push(Question::Floor(edges.lowest, share(edges.at_lowest, rows)));
        }
        if stands_out(edges.at_highest, edges.near_highest) {
            questions.push(Question::Ceiling(edges.highest, share(edges.at_highest, rows)));
        }
    }
    if let Some(apart) = alternating(levels, rows.min(LOOKED_AT)) {
        questions.push(Question::Alternating(apart));
    }
}

/// The step between two levels, dB.
const fn step(whole: bool) -> f32 {
    if whole { 1.0 } else { 0.1 }
}

/// How many readings stand at the ends of what was met, and one step inside.
#[derive(Clone, Copy)]
struct Edges {
    lowest: f32,
    highest: f32,
    at_lowest: usize,
    at_highest: usize,
    near_lowest: usize,
    near_highest: usize,
}

fn edges_by(counts: &Counts, whole: bool) -> Edges {
    let (low, high) = counts.ends();
    #[expect(clippy::cast_possible_truncation, reason = "levels of at most 200 dB")]
    let level = |place: usize| counts.level(place) as f32;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "one and a half steps of a display: 1 to 150")]
    let near = (1.5 * f64::from(step(whole)) * counts.per_db) as usize;
    Edges {
        lowest: level(low),
        highest: level(high),
        at_lowest: counts.between(low, low),
        at_highest: counts.between(high, high),
        near_lowest: counts.between(low + 1, low + near),
        near_highest: high.checked_sub(1).map_or(0, |below| counts.between(high.saturating_sub(near), below)),
    }
}

fn edges_of(levels: &Levels, rows: usize, whole: bool) -> Edges {
    let all = || levels.iter(0..rows);
    let (lowest, highest) = (all().fold(f32::INFINITY, f32::min), all().fold(f32::NEG_INFINITY, f32::max));
    let reach = 1.5 * step(whole);
    Edges {
        lowest,
        highest,
        at_lowest: all().filter(|level| *level <= lowest).count(),
        at_highest: all().filter(|level| *level >= highest).count(),
        near_lowest: all().filter(|level| *level > lowest && *level < lowest + reach).count(),
        near_highest: all().filter(|level| *level < highest && *level > highest - reach).count(),
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
