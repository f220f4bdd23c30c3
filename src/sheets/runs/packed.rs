//! What a link carries of a log: the figures of each phase and a small sketch of the curve, as text that chat and mail
//! programs leave alone.
//!
//! A cell of the table of phases holds either levels typed by hand or [`cell`]'s text: `a`, a check digit, fixed groups of
//! digits to base 36, then counts joined by hyphens, then for each stretch of the phase its two ends. Levels are kept to 0.0001 dB
//! (the energy mean) and 0.01 dB, so that differences and intervals come out of a link as they went in, to 0.01 dB.

use crate::formulas::series::Summary;
use crate::units::{Level, count_to_f64, within};

/// The figures of one phase in one run, and where in the log they are from.
#[derive(Clone, Debug, PartialEq)]
pub struct Packed {
    /// The figures.
    pub summary: Summary,
    /// The stretches they are from: start and end, s from the start of the log. A phase may come more than once.
    pub stretches: Vec<(f64, f64)>,
}

/// How many stretches of one phase are kept of one run.
pub const MOST_STRETCHES: usize = 8;
/// The most characters a cell takes.
pub const CELL_MAX: u16 = 240;
/// The most characters a sketch takes.
pub const SKETCH_MAX: u16 = 120;

/// What the text of a cell begins with. Another way of writing it will begin with another letter.
const MARK: char = 'a';
/// The lowest level that can be written, dB.
const FLOOR: f64 = -50.0;
/// Parts of a second in which stretches are written.
const PARTS: f64 = 10.0;
/// The most that a number of variable length may be: seven digits to base 36.
const MOST: f64 = 78_364_164_095.0;

const DIGITS: &[u8; 62] = b"0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ";

fn digit(value: u64) -> char {
    usize::try_from(value).ok().and_then(|at| DIGITS.get(at)).map_or('0', |byte| char::from(*byte))
}

fn value_of(c: char) -> Option<u64> {
    let at = DIGITS.iter().position(|byte| char::from(*byte) == c)?;
    u64::try_from(at).ok()
}

/// A number that is not negative, as a whole number of `1/parts`.
fn whole(value: f64, parts: f64) -> u64 {
    let scaled = (value * parts).round();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and in range, just made so")]
    let whole = if scaled.is_finite() { within(scaled, 0.0, MOST) as u64 } else { 0 };
    whole
}

#[expect(clippy::cast_precision_loss, reason = "never more than seven digits to base 36")]
fn parts(value: u64, parts: f64) -> f64 {
    value as f64 / parts
}

/// The last `width` digits of a number, or as many as it takes.
fn put(out: &mut String, value: u64, base: u64, width: Option<usize>) {
    let mut digits = Vec::new();
    let mut rest = value;
    while rest > 0 || digits.len() < width.unwrap_or(1) {
        digits.push(digit(rest % base));
        rest /= base;
        if Some(digits.len()) == width {
            break;
        }
    }
    out.extend(digits.iter().rev());
}

fn number(text: &str, base: u64) -> Option<u64> {
    if text.is_empty() || text.len() > 7 {
        return None;
    }
    text.chars().try_fold(0_u64, |sum, c| Some(sum * base + value_of(c).filter(|value| *value < base)?))
}

/// Takes `width` characters off the front.
fn take<'a>(text: &mut &'a str, width: usize) -> Option<&'a str> {
    let (front, rest) = (text.get(..width)?, text.get(width..)?);
    *text = rest;
    Some(front)
}

/// A phase's figures and where they are from, as the text of a cell. Stretches beyond [`MOST_STRETCHES`] are left out.
pub fn cell(summary: &Summary, stretches: &[(f64, f64)]) -> String {
    let mut out = String::new();
    put(&mut out, whole(summary.leq.0 - FLOOR, 1e4), 36, Some(5));
    let levels = [summary.l10.0, summary.l50.0, summary.l90.0, summary.max.0, summary.min.0, summary.mean_db];
    for level in levels {
        put(&mut out, whole(level - FLOOR, 100.0), 36, Some(3));
    }
    put(&mut out, whole(summary.missing, 1000.0), 36, Some(2));
    let counts = [
        (f64::from(summary.count), 1.0),
        (summary.step_s, 1000.0),
        (summary.standard_error_db, 1e5),
        (summary.effective_count, 10.0),
        (summary.dof, 1000.0),
    ];
    for (value, scale) in counts {
        out.push('-');
        put(&mut out, whole(value, scale), 36, None);
    }
    for (from, to) in stretches.iter().take(MOST_STRETCHES) {
        out.push(' ');
        put(&mut out, whole(*from, PARTS), 36, None);
        out.push('-');
        put(&mut out, whole(*to, PARTS), 36, None);
    }
    format!("{MARK}{}{out}", check(&out))
}

/// A digit that a single wrong, missing or swapped character changes.
fn check(text: &str) -> char {
    // Weights and sums are taken to a prime, so that no change cancels itself.
    const PRIME: u64 = 31;
    let sum = text.chars().fold(1, |sum, c| (sum * 3 + value_of(c).unwrap_or(if c == '-' { 36 } else { 37 })) % PRIME);
    digit(sum)
}

/// The figures in a cell; `None` when it holds something else, or something damaged: figures that cannot be together.
pub fn decode(text: &str) -> Option<Packed> {
    let mut rest = text.strip_prefix(MARK)?;
    let told = take(&mut rest, 1)?.chars().next()?;
    if check(rest) != told {
        return None;
    }
    let mut words = rest.split(' ');
    let mut counts = words.next()?.split('-');
    let mut head = counts.next()?;
    let level = |digits: &str, scale: f64| Some(parts(number(digits, 36)?, scale) + FLOOR);
    let leq = level(take(&mut head, 5)?, 1e4)?;
    let mut next = || level(take(&mut head, 3)?, 100.0);
    let (l10, l50, l90, max, min, mean_db) = (next()?, next()?, next()?, next()?, next()?, next()?);
    let missing = parts(number(take(&mut head, 2)?, 36)?, 1000.0);
    if !head.is_empty() {
        return None;
    }
    let mut next = |scale: f64| Some(parts(number(counts.next()?, 36)?, scale));
    let (count, step_s, standard_error_db) = (next(1.0)?, next(1000.0)?, next(1e5)?);
    let (effective_count, dof) = (next(10.0)?, next(1000.0)?);
    if counts.next().is_some() {
        return None;
    }
    let mut stretches: Vec<(f64, f64)> = Vec::new();
    for word in words {
        let (from, to) = word.split_once('-')?;
        let (from, to) = (parts(number(from, 36)?, PARTS), parts(number(to, 36)?, PARTS));
        if to <= from || stretches.len() == MOST_STRETCHES || stretches.last().is_some_and(|last| last.1 > from) {
            return None;
        }
        stretches.push((from, to));
    }
    // What is rounded to 0.01 dB may pass its neighbour by half of that.
    let in_order = [min, l90, l50, l10, max].windows(2).all(|pair| matches!(pair, [low, high] if *low <= high + 0.011));
    let in_range = min >= FLOOR && max <= 200.0 && (min - 0.011..=max + 0.011).contains(&leq) && mean_db <= leq + 0.011;
    let counted = (1.0..=4e9).contains(&count) && step_s > 0.0 && missing <= 1.0 && effective_count <= count + 0.06 && dof < 1e7;
    if !(in_order && in_range && counted && standard_error_db <= 100.0) {
        return None;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and below 2^32, just checked")]
    let count = count as u32;
    let summary = Summary {
        leq: Level(leq),
        l10: Level(l10),
        l50: Level(l50),
        l90: Level(l90),
        max: Level(max),
        min: Level(min),
        mean_db,
        count,
        step_s,
        missing,
        standard_error_db,
        effective_count,
        dof,
    };
    Some(Packed { summary, stretches })
}

/// How many pieces a sketch has.
const BINS: usize = 80;
/// The steps of level a sketch may have, dB. The smallest that holds the curve is taken.
const STEPS: [f64; 5] = [0.1, 0.25, 0.5, 1.0, 2.0];
/// The most steps above the floor: the digits of a sketch are `1` for the floor to `Z`; `0` is a gap.
const TOP: f64 = 60.0;

/// A small sketch of a curve, for a link: the energy mean of each of eighty pieces of time. Empty when there is nothing to
/// draw.
///
/// `points` are times in s from the start of the log, not negative and rising, and levels in dB; points that are not finite
/// are left out.
pub fn sketch(points: &[(f64, f64)]) -> String {
    let good = || points.iter().copied().filter(|(at, level)| at.is_finite() && *at >= 0.0 && level.is_finite());
    let end = good().map(|(at, _)| at).fold(0.0, f64::max);
    let (low, high) = good().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (_, level)| (low.min(level), high.max(level)));
    let length = whole(end.ceil().max(1.0), 1.0).min(238_327);
    if low > high {
        return String::new();
    }
    let floor = within(low.floor(), FLOOR, 200.0);
    let scale = STEPS.iter().position(|step| (high - floor) / step <= TOP).unwrap_or(STEPS.len() - 1);
    let step = STEPS.get(scale).copied().unwrap_or(2.0);
    let mut bins = [(0.0, 0.0); BINS];
    for (at, level) in good() {
        let share = at / parts(length, 1.0) * count_to_f64(BINS);
        let place = usize::try_from(whole(share.floor().min(count_to_f64(BINS - 1)), 1.0)).unwrap_or(0);
        if let Some((energy, count)) = bins.get_mut(place) {
            *energy += 10_f64.powf((level - floor) / 10.0);
            *count += 1.0;
        }
    }
    let mut out = String::new();
    out.push(digit(u64::try_from(scale).unwrap_or(0)));
    put(&mut out, whole(floor - FLOOR, 1.0), 62, Some(2));
    put(&mut out, length, 62, Some(3));
    for (energy, count) in bins {
        let above = if count > 0.0 { 10.0 * (energy / count).log10() } else { f64::NAN };
        out.push(if above.is_finite() { digit(1 + whole(within(above / step, 0.0, TOP), 1.0)) } else { '0' });
    }
    out
}

/// The curve of a sketch: times in s, levels in dB, one piece for each stretch without a gap. `None` when it is none.
pub fn unsketch(text: &str) -> Option<Vec<Vec<(f64, f64)>>> {
    let mut rest = text;
    let step = STEPS.get(usize::try_from(number(take(&mut rest, 1)?, 62)?).ok()?).copied()?;
    let floor = parts(number(take(&mut rest, 2)?, 62)?, 1.0) + FLOOR;
    let length = parts(number(take(&mut rest, 3)?, 62)?, 1.0);
    if rest.len() != BINS || length < 1.0 || floor > 200.0 {
        return None;
    }
    let mut pieces: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut open = false;
    let wide = length / count_to_f64(BINS);
    for (place, c) in rest.chars().enumerate() {
        let value = value_of(c)?;
        if value == 0 {
            open = false;
            continue;
        }
        let point = ((count_to_f64(place) + 0.5) * wide, floor + parts(value - 1, 1.0) * step);
        match pieces.last_mut().filter(|_| open) {
            Some(piece) => piece.push(point),
            None => pieces.push(vec![point]),
        }
        open = true;
    }
    (!pieces.is_empty()).then_some(pieces)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formulas::chance::Chance;
    use approx::assert_abs_diff_eq;

    fn summary(leq: f64, spread: f64, dof: f64) -> Summary {
        Summary {
            leq: Level(leq),
            l10: Level(leq + spread),
            l50: Level(leq - 0.1 * spread),
            l90: Level(leq - spread),
            max: Level(leq + 3.0 * spread),
            min: Level(leq - 2.0 * spread),
            mean_db: leq - 0.115 * spread * spread,
            count: 890,
            step_s: 1.0,
            missing: 0.012,
            standard_error_db: 0.041_237,
            effective_count: 381.24,
            dof,
        }
    }

    #[test]
    fn a_summary_comes_back_as_exactly_as_it_has_to() {
        let mut chance = Chance::new(7);
        for _ in 0..2000 {
            let leq = -10.0 + 140.0 * chance.unit();
            let spread = 3.0 * chance.unit();
            let mut one = summary(leq, spread, 1.0 + 400.0 * chance.unit() * chance.unit());
            one.standard_error_db = 2.0 * chance.unit().powi(3);
            one.missing = chance.unit();
            let from = 1e5 * chance.unit();
            let stretches = [(from, from + 20.0), (from + 60.0, from + 3600.0)];
            let text = cell(&one, &stretches);
            let back = decode(&text).unwrap_or_else(|| panic!("{text} does not come back"));
            assert_abs_diff_eq!(back.summary.leq.0, one.leq.0, epsilon = 0.000_050_1);
            assert_abs_diff_eq!(back.summary.mean_db, one.mean_db, epsilon = 0.005_001);
            for (found, wanted) in [
                (back.summary.l10, one.l10),
                (back.summary.l50, one.l50),
                (back.summary.l90, one.l90),
                (back.summary.max, one.max),
                (back.summary.min, one.min),
            ] {
                assert_abs_diff_eq!(found.0, wanted.0, epsilon = 0.005_001);
            }
            assert_abs_diff_eq!(back.summary.standard_error_db, one.standard_error_db, epsilon = 0.000_005_1);
            assert_abs_diff_eq!(back.summary.dof, one.dof, epsilon = 0.000_501);
            assert_abs_diff_eq!(back.summary.missing, one.missing, epsilon = 0.000_501);
            assert_eq!((back.summary.count, back.stretches.len()), (one.count, 2));
            for (found, wanted) in back.stretches.iter().zip(stretches) {
                assert_abs_diff_eq!(found.0, wanted.0, epsilon = 0.050_1);
                assert_abs_diff_eq!(found.1, wanted.1, epsilon = 0.050_1);
            }
            // Written once, it is written for good.
            assert_eq!(cell(&back.summary, &back.stretches), text);
        }
    }

    #[test]
    fn a_cell_of_one_stretch_is_short_and_of_safe_characters() {
        let text = cell(&summary(47.512, 1.2, 380.24), &[(60.0, 960.0)]);
        assert!(text.len() <= 60, "{text} has {} characters", text.len());
        assert!(text.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == ' '), "{text}");
        assert!(!text.contains("--") && text.ends_with(|c: char| c.is_ascii_alphanumeric()), "{text}");
        let all: Vec<(f64, f64)> = (0..20).map(|at| (f64::from(at) * 86_400.0, f64::from(at) * 86_400.0 + 40_000.0)).collect();
        let text = cell(&summary(150.0, 10.0, 99_999.0), &all);
        assert!(text.len() <= usize::from(CELL_MAX) && decode(&text).is_some(), "{text}");
    }

    #[test]
    fn nothing_known_of_the_scatter_and_the_largest_numbers_come_back() {
        let mut one = summary(41.0, 0.0, 0.0);
        one.standard_error_db = 0.0;
        one.effective_count = 0.0;
        one.count = 1;
        assert_eq!(decode(&cell(&one, &[])).map(|back| (back.summary.dof, back.stretches.len())), Some((0.0, 0)));
        let mut text = String::new();
        put(&mut text, whole(1e300, 1.0), 36, None);
        assert_eq!(number(&text, 36), Some(78_364_164_095));
    }

    #[test]
    fn what_is_no_summary_or_a_damaged_one_is_none() {
        let good = cell(&summary(47.512, 1.2, 380.24), &[(60.0, 960.0), (1000.0, 1100.0)]);
        assert!(decode(&good).is_some());
        for bad in ["", " ", "41.2", "41 42 41.5", "a", "abc", "a-1-2-3", "fill", "aaaaaaaaaaaaaaaaaaaaaaaaa", "\u{202e}a", "a🙂"] {
            assert_eq!(decode(bad), None, "{bad}");
        }
        for bad in [
            good.replace(" go-", " zzzz-"),
            good.replacen('-', "", 1),
            good.replacen('-', "--", 1),
            good.to_uppercase(),
            format!("{good} 5-1"),
            format!("{good} 1-5"),
            format!("{good}-1-1"),
            good.chars().take(20).collect(),
        ] {
            assert!(decode(&bad).is_none() || bad == good, "{bad}");
        }
        // One character changed: told by the check digit, save where the two stand for the same remainder.
        for at in 2..good.len() {
            let changed = format!("{}{}{}", &good[..at], if &good[at..=at] == "5" { "7" } else { "5" }, &good[at + 1..]);
            assert_eq!(decode(&changed), None, "{changed}");
        }
        // The loudest below the quietest.
        let mut wrong = summary(47.5, 1.0, 10.0);
        wrong.max = Level(40.0);
        assert_eq!(decode(&cell(&wrong, &[])), None);
    }

    #[test]
    fn a_sketch_keeps_time_level_and_gaps() {
        let points: Vec<(f64, f64)> =
            (0..1200).filter(|at| !(500..560).contains(at)).map(|at| (f64::from(at), if at < 300 { 39.3 } else { 47.5 })).collect();
        let text = sketch(&points);
        assert!(text.len() <= usize::from(SKETCH_MAX) && text.chars().all(|c| c.is_ascii_alphanumeric()), "{text}");
        let pieces = unsketch(&text).unwrap();
        assert_eq!(pieces.len(), 2, "the gap stays a gap");
        let all: Vec<(f64, f64)> = pieces.concat();
        assert!(all.iter().all(|(at, level)| (level - if *at < 300.0 { 39.3 } else { 47.5 }).abs() < 0.13), "{all:?}");
        assert!(all.windows(2).all(|pair| pair[0].0 < pair[1].0), "times rise");
        // Of 40 and 60 dB in turn the energy mean is 57.03 dB, not 50.
        let turns: Vec<(f64, f64)> = (0..1600).map(|at| (f64::from(at), if at % 2 == 0 { 40.0 } else { 60.0 })).collect();
        let all = unsketch(&sketch(&turns)).unwrap().concat();
        assert!(all.iter().all(|(_, level)| (level - 57.03).abs() < 0.26), "{all:?}");
    }

    #[test]
    fn a_sketch_of_little_or_nothing_is_answered() {
        assert_eq!(sketch(&[]), "");
        assert_eq!(sketch(&[(f64::NAN, 40.0), (3.0, f64::INFINITY)]), "");
        assert!(unsketch(&sketch(&[(0.0, 40.0)])).is_some());
        assert!(unsketch(&sketch(&[(0.0, -49.0), (9e9, 199.0)])).is_some());
        for bad in ["", "0", "fan", "0000000", "zzzzzzzzzz", "🙂", &"0".repeat(86), &"Z".repeat(86), &"1".repeat(85)] {
            assert_eq!(unsketch(bad), None, "{bad}");
        }
    }
}
