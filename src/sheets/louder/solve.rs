//! Two levels compared by ear, and the ladder of changes from the first.

use super::{Inputs, Question};
use crate::formulas::loudness::{self, Comparison, Noticeable, Relation, Spectrum};
use crate::formulas::uncertainty;
use crate::formulas::{FormulaError, levels};
use crate::sheets::reading::{Used, all_whole, used};
use crate::units::{Gain, Level, Phon, PlusMinus, Sone, Weighting, count_to_f64};

/// The changes of the ladder, dB.
pub(super) const RUNGS: [f64; 9] = [-20.0, -10.0, -6.0, -3.0, -1.0, 1.0, 3.0, 6.0, 10.0];
/// Where a change without a level is taken to start: well above 40 phon.
const STAND_IN: Level = Level(60.0);
/// Where the sone rule ends.
const JOIN: Phon = Phon(40.0);
/// How far the picture goes beyond the levels, dB.
const MARGIN: f64 = 8.0;
/// How many straight pieces a curve is drawn with.
const PIECES: usize = 48;
/// Curves that differ by less are drawn as one.
const VISIBLE: f64 = 0.05;
/// A change this close to a rung is that rung, dB.
const SAME_RUNG: f64 = 0.05;

/// Points of a curve: level, dB, and loudness, sone.
type Curve = Vec<(f64, f64)>;

/// One step of the ladder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rung {
    /// The change.
    pub change: Gain,
    /// Where it ends.
    pub level: Level,
    /// So many times as loud; `None` outside the range of the relation.
    pub times: Option<f64>,
    /// How it is noticed.
    pub noticed: Noticeable,
    /// The sound energy at the end over that at the start.
    pub energy: f64,
    /// The person's own change.
    pub own: bool,
}

/// A level with what it is taken to be for the ear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heard {
    /// The level.
    pub level: Level,
    /// Its loudness level.
    pub phon: Phon,
    /// Its loudness.
    pub sone: Sone,
}

/// What the other kind of sound would make of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Other {
    /// The factor in loudness of the change.
    Times(f64),
    /// The change that the wish would take.
    Change(Gain),
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Where it starts.
    pub before: PlusMinus<Level>,
    /// Where it ends.
    pub after: PlusMinus<Level>,
    /// The readings, with where their ± comes from.
    pub used: Vec<Used>,
    /// The change.
    pub change: PlusMinus<Gain>,
    /// The factor wished for.
    pub wish: Option<f64>,
    /// No level was stated; it starts from a stand-in.
    pub stand_in: bool,
    /// Loudness at both ends; `None` outside the range of the relation or for other weightings than A.
    pub compared: Option<Comparison>,
    /// Both ends as heard.
    pub heard: Vec<Heard>,
    /// The factors in loudness that the ± of the change leaves open.
    pub range: Option<(f64, f64)>,
    /// The same with the other kind of sound.
    pub other: Option<Other>,
    /// Whether the change would be noticed.
    pub noticed: Noticeable,
    /// The sound energy after over before.
    pub energy: f64,
    /// The change that makes it half as loud.
    pub half: Option<Comparison>,
    /// The reading at which the sone rule ends.
    pub join: Level,
    /// The energy mean of 40 and 60 dB, to set beside their middle.
    pub mean: Level,
    /// The ladder, from the largest drop to the largest rise.
    pub rungs: Vec<Rung>,
    /// Loudness against level.
    pub curve: Curve,
    /// The same if ten decibels were twice as loud everywhere; empty where that makes no difference.
    pub thumb: Curve,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// The level is outside the range in which loudness is estimated.
    Outside {
        /// The level.
        level: Level,
        /// Least and most.
        range: (Level, Level),
    },
    /// The wish ends outside the range in which loudness is estimated.
    TooFar {
        /// Where it starts.
        level: Level,
        /// The factor that would just do.
        most: f64,
        /// The level that belongs to it.
        end: Level,
    },
    /// Loudness is estimated from dB(A) only.
    OtherWeighting(Weighting),
    /// A formula has no value here.
    Formula(FormulaError),
}

impl From<FormulaError> for Impossible {
    fn from(error: FormulaError) -> Self {
        Self::Formula(error)
    }
}

/// The two ends, and which of them were read.
struct Ends {
    before: PlusMinus<Level>,
    after: PlusMinus<Level>,
    used: Vec<Used>,
    stand_in: bool,
    wish: Option<f64>,
}

/// Where a change without a level is taken to start: both ends stay where the sone rule holds, as far as there is room.
fn stand_in(change: Gain, join: Level, most: Level) -> Level {
    let start = STAND_IN.0.max(join.0 - change.0.min(0.0));
    Level(start.min(most.0 - change.0.max(0.0)))
}

fn ends(inputs: &Inputs, join: Level) -> Result<Ends, Impossible> {
    let (_, most) = loudness::loudness_range(inputs.spectrum);
    let shifted = |level: PlusMinus<Level>, by: Gain| PlusMinus::new(level.value + by, level.half_width);
    Ok(match &inputs.question {
        Question::Levels(before, after) => {
            let whole = all_whole([before, after].into_iter());
            let (before, after) = (used(before, whole)?, used(after, whole)?);
            Ends { before: before.level, after: after.level, used: vec![before, after], stand_in: false, wish: None }
        }
        Question::ByChange(Some(before), change) => {
            let before = used(before, before.whole)?;
            Ends { before: before.level, after: shifted(before.level, *change), used: vec![before], stand_in: false, wish: None }
        }
        Question::UpTo(change, after) => {
            let after = used(after, after.whole)?;
            Ends { before: shifted(after.level, -*change), after: after.level, used: vec![after], stand_in: false, wish: None }
        }
        Question::ByChange(None, change) => {
            let before = PlusMinus::exact(stand_in(*change, join, most));
            Ends { before, after: shifted(before, *change), used: Vec::new(), stand_in: true, wish: None }
        }
        Question::Wish(before, times) => {
            let (before, used, stand_in) = match before {
                Some(before) => {
                    let before = used(before, before.whole)?;
                    (before.level, vec![before], false)
                }
                None => (PlusMinus::exact(stand_in(Gain(10.0 * times.log2()), join, most)), Vec::new(), true),
            };
            let after = wished(before.value, *times, inputs)?;
            Ends { before, after: PlusMinus::new(after, before.half_width), used, stand_in, wish: Some(*times) }
        }
    })
}

/// The level at which the wish is met, or why there is none.
fn wished(before: Level, times: f64, inputs: &Inputs) -> Result<Level, Impossible> {
    if inputs.weighting != Weighting::A {
        return Err(Impossible::OtherWeighting(inputs.weighting));
    }
    let range = loudness::loudness_range(inputs.spectrum);
    if !(range.0..=range.1).contains(&before) {
        return Err(Impossible::Outside { level: before, range });
    }
    if let Ok(found) = loudness::level_for_ratio(before, times, inputs.spectrum) {
        return Ok(found.to);
    }
    let end = if times < 1.0 { range.0 } else { range.1 };
    let most = loudness::ratio(before, end, inputs.spectrum)?.times;
    Err(Impossible::TooFar { level: before, most, end })
}

pub(super) fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
    let spectrum = inputs.spectrum;
    let join = loudness::level_from_phon(JOIN, spectrum)?;
    let Ends { before, after, used, stand_in, wish } = ends(inputs, join)?;
    // Only two readings make a change that is not exact.
    let change = match inputs.question {
        Question::Levels(..) => uncertainty::drop(after, before)?,
        _ => PlusMinus::exact(after.value - before.value),
    };
    let is_a = stand_in || inputs.weighting == Weighting::A;
    let times = |to: Level, spectrum| loudness::ratio(before.value, to, spectrum).ok().filter(|_| is_a);
    // Without a level only the sone rule can be meant.
    let meant = |found: &Comparison| !stand_in || found.relation == Relation::SoneRule;
    let compared = times(after.value, spectrum).filter(meant);
    let at = |change: f64| times(before.value + Gain(change), spectrum).map(|found| found.times);
    let range =
        (change.half_width > 0.0).then(|| at(change.value.0 - change.half_width).zip(at(change.value.0 + change.half_width))).flatten();
    let other = match spectrum {
        Spectrum::AsPhon => Spectrum::SmallFan,
        Spectrum::SmallFan => Spectrum::AsPhon,
    };
    let heard = |level: Level| {
        let phon = loudness::loudness_level(level, spectrum).ok()?;
        Some(Heard { level, phon, sone: loudness::sone(phon).ok()? })
    };
    let mut rungs = Vec::with_capacity(RUNGS.len() + 1);
    for change_db in RUNGS {
        rungs.push(rung(before.value, Gain(change_db), (change.value.0 - change_db).abs() < SAME_RUNG, &at)?);
    }
    if rungs.iter().all(|rung| !rung.own) && change.value.0.abs() >= SAME_RUNG {
        rungs.push(rung(before.value, change.value, true, &at)?);
        crate::units::sort_few(&mut rungs, |one, other| one.change.0.total_cmp(&other.change.0));
    }
    let (curve, thumb) = curves(before.value, after.value, spectrum, compared);
    Ok(Answer {
        before,
        after,
        used,
        change,
        wish,
        stand_in,
        compared,
        heard: [before.value, after.value].into_iter().filter_map(|level| heard(level).filter(|_| is_a)).collect(),
        range,
        other: match wish {
            Some(wish) => loudness::level_for_ratio(before.value, wish, other).ok().map(|found| Other::Change(found.change())),
            None => times(after.value, other).filter(meant).map(|found| Other::Times(found.times)),
        },
        noticed: loudness::noticeable(change)?,
        energy: Level(change.value.0).to_energy().0,
        half: loudness::level_for_ratio(before.value, 0.5, spectrum).ok().filter(|_| is_a),
        join,
        mean: levels::energy_mean(&[Level(40.0), Level(60.0)])?,
        rungs,
        curve,
        thumb,
    })
}

fn rung(before: Level, change: Gain, own: bool, at: &impl Fn(f64) -> Option<f64>) -> Result<Rung, FormulaError> {
    Ok(Rung {
        change,
        level: before + change,
        times: at(change.0),
        noticed: loudness::noticeable(PlusMinus::exact(change))?,
        energy: Level(change.0).to_energy().0,
        own,
    })
}

/// Loudness around both levels: as estimated, and by the rule of thumb from the first level on.
fn curves(before: Level, after: Level, spectrum: Spectrum, compared: Option<Comparison>) -> (Curve, Curve) {
    let Some(compared) = compared else { return (Vec::new(), Vec::new()) };
    let (least, most) = loudness::loudness_range(spectrum);
    let from = (before.0.min(after.0) - MARGIN).max(least.0);
    let to = (before.0.max(after.0) + MARGIN).min(most.0);
    let along = (0..=PIECES).map(|piece| from + (to - from) * count_to_f64(piece) / count_to_f64(PIECES));
    let curve: Curve = along
        .clone()
        .filter_map(|level| {
            let phon = loudness::loudness_level(Level(level), spectrum).ok()?;
            Some((level, loudness::sone(phon).ok()?.0))
        })
        .collect();
    let thumb: Curve = along
        .filter_map(|level| {
            let times = loudness::sone_rule(Level(level) - before).ok()?;
            Some((level, compared.from_sone.0 * times))
        })
        .collect();
    let apart = curve.iter().zip(&thumb).any(|(one, other)| (one.1 - other.1).abs() > VISIBLE * one.1.max(other.1));
    (curve, if apart { thumb } else { Vec::new() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::draft::Draft;
    use crate::formulas::fans;
    use crate::sheets::reading::{Measured, USUAL_PM};
    use approx::assert_abs_diff_eq;

    fn read(level: f64) -> Measured {
        Measured { level: Level(level), single: vec![Level(level)], spread: None, whole: false, stated: USUAL_PM }
    }

    fn ask(question: Question, spectrum: Spectrum) -> Result<Answer, Impossible> {
        solve(&Inputs { question, spectrum, weighting: Weighting::A, unused: None, header: Draft::default() })
    }

    fn times(answer: &Answer) -> f64 {
        answer.compared.unwrap().times
    }

    #[test]
    fn the_sone_rule_above_forty_and_the_steeper_one_below() {
        // Table of sone against phon by ISO 532-1: 60 is 4, 50 is 2; 30 is 0.4391, 20 is 0.1375.
        let loud = ask(Question::Levels(read(60.0), read(50.0)), Spectrum::AsPhon).unwrap();
        assert_abs_diff_eq!(times(&loud), 0.5, epsilon = 1e-9);
        let quiet = ask(Question::Levels(read(30.0), read(20.0)), Spectrum::AsPhon).unwrap();
        assert_abs_diff_eq!(times(&quiet), 0.1375 / 0.4391, epsilon = 2e-4);
        assert_eq!(quiet.compared.unwrap().relation, Relation::Quiet);
        // 2^(ΔL/10) for −3, −6, +3: 0.8123, 0.6598, 1.2311.
        for (change, expected) in [(-3.0, 0.8123), (-6.0, 0.6598), (3.0, 1.2311), (-10.0, 0.5)] {
            let answer = ask(Question::ByChange(None, Gain(change)), Spectrum::AsPhon).unwrap();
            assert_abs_diff_eq!(times(&answer), expected, epsilon = 5e-5);
        }
    }

    #[test]
    fn half_as_loud_from_thirty_takes_less_than_ten() {
        // 30 → 23.5469 by ISO 532-1.
        let answer = ask(Question::Wish(Some(read(30.0)), 0.5), Spectrum::AsPhon).unwrap();
        assert_abs_diff_eq!(answer.after.value.0, 23.5469, epsilon = 1e-4);
        assert_abs_diff_eq!(answer.half.unwrap().to.0, 23.5469, epsilon = 1e-4);
    }

    #[test]
    fn small_fans_fade_faster() {
        // By ISO 532-1 for the small fan's spectrum: 40 to 30 about 2.9 times, 30 to 20 about 6.5 times.
        for (from, factor) in [(40.0, 2.9), (30.0, 6.5)] {
            let answer = ask(Question::ByChange(Some(read(from)), Gain(-10.0)), Spectrum::SmallFan).unwrap();
            assert_abs_diff_eq!(1.0 / times(&answer), factor, epsilon = 0.05);
        }
    }

    #[test]
    fn the_ladder_holds_the_persons_own_change_once_and_in_order() {
        let own = |change: f64| {
            let answer = ask(Question::ByChange(Some(read(45.0)), Gain(change)), Spectrum::AsPhon).unwrap();
            assert!(answer.rungs.is_sorted_by(|one, other| one.change < other.change));
            (answer.rungs.len(), answer.rungs.iter().filter(|rung| rung.own).count())
        };
        assert_eq!(own(-2.7), (10, 1));
        assert_eq!(own(-3.0), (9, 1));
        assert_eq!(own(0.0), (9, 0));
    }

    #[test]
    fn what_the_rungs_are_said_to_take_is_so() {
        let close = |found: f64, rung: f64| assert_abs_diff_eq!(found, rung, epsilon = 0.5);
        let fans = |left: f64, of: f64| 10.0 * (left / of).log10();
        for (found, rung) in [
            (fans(4.0, 5.0), -1.0),
            (fans(1.0, 2.0), -3.0),
            (fans(1.0, 4.0), -6.0),
            (fans(1.0, 10.0), -10.0),
            (fans(5.0, 4.0), 1.0),
            (levels::count_gain(2).unwrap().0, 3.0),
            (levels::count_gain(4).unwrap().0, 6.0),
            (levels::count_gain(10).unwrap().0, 10.0),
            (levels::distance_gain(1.0, 2.0).unwrap().0, -6.0),
            (levels::distance_gain(2.0, 1.0).unwrap().0, 6.0),
            (levels::distance_gain(1.0, 10.0).unwrap().0, -20.0),
        ] {
            close(found, rung);
        }
        let slowed = |speed: f64| fans::speed_gain_band(speed).unwrap().value.0;
        close(slowed(2.0 / 3.0), -9.7);
        assert!(slowed(0.5) > -20.0 && slowed(0.4) < -20.0);
    }

    #[test]
    fn a_change_without_a_level_keeps_to_the_sone_rule_or_says_nothing() {
        for spectrum in [Spectrum::AsPhon, Spectrum::SmallFan] {
            for change in [-100.0, -70.0, -30.0, -1.0, 0.0, 1.0, 30.0, 70.0, 100.0] {
                let answer = ask(Question::ByChange(None, Gain(change)), spectrum).unwrap();
                assert!(answer.compared.is_none_or(|found| found.relation == Relation::SoneRule), "{change}");
            }
        }
        assert!(ask(Question::ByChange(None, Gain(-70.0)), Spectrum::AsPhon).unwrap().compared.is_some());
    }

    #[test]
    fn a_wish_out_of_reach_names_what_would_do() {
        let Err(Impossible::TooFar { most, end, .. }) = ask(Question::Wish(Some(read(4.0)), 0.1), Spectrum::AsPhon) else { panic!() };
        assert!(most > 0.1 && most < 1.0);
        assert_eq!(end, Level(3.0));
        assert!(matches!(ask(Question::Wish(Some(read(130.0)), 0.5), Spectrum::AsPhon), Err(Impossible::Outside { .. })));
    }

    #[test]
    fn levels_out_of_range_still_give_the_change() {
        let answer = ask(Question::Levels(read(150.0), read(-10.0)), Spectrum::AsPhon).unwrap();
        assert_abs_diff_eq!(answer.change.value.0, -160.0);
        assert!(answer.compared.is_none() && answer.curve.is_empty());
    }

    #[test]
    fn only_two_readings_leave_a_range() {
        let answer = ask(Question::Levels(read(60.0), read(50.0)), Spectrum::AsPhon).unwrap();
        // −10 ± √0.5 dB: 2^(−1.070 711) to 2^(−0.929 289).
        let (low, high) = answer.range.unwrap();
        assert_abs_diff_eq!(low, 0.476_084, epsilon = 1e-6);
        assert_abs_diff_eq!(high, 0.525_116, epsilon = 1e-6);
        assert_abs_diff_eq!(answer.energy, 0.1, epsilon = 1e-12);
        // 10·lg((10^4 + 10^6)/2).
        assert_abs_diff_eq!(answer.mean.0, 57.032_914, epsilon = 1e-6);
        for exact in [
            Question::ByChange(Some(read(60.0)), Gain(-10.0)),
            Question::UpTo(Gain(-10.0), read(50.0)),
            Question::ByChange(None, Gain(-10.0)),
        ] {
            let answer = ask(exact, Spectrum::AsPhon).unwrap();
            assert_eq!((answer.range, answer.before.value, answer.after.value), (None, Level(60.0), Level(50.0)));
        }
    }

    #[test]
    fn a_change_without_a_level_starts_where_both_ends_keep_to_the_sone_rule() {
        for (change, start) in [(-10.0, 60.0), (-20.0, 60.0), (-30.0, 70.0), (-79.0, 119.0), (-100.0, 120.0), (10.0, 60.0), (70.0, 50.0)] {
            assert_eq!(stand_in(Gain(change), Level(40.0), Level(120.0)), Level(start), "{change}");
        }
        // Half and three times as loud: 10·log2 of that.
        for (times, after) in [(0.5, 50.0), (3.0, 75.849_625)] {
            assert_abs_diff_eq!(ask(Question::Wish(None, times), Spectrum::AsPhon).unwrap().after.value.0, after, epsilon = 1e-6);
        }
    }

    #[test]
    fn a_rung_is_the_persons_own_within_half_a_tenth() {
        let answer = |change: f64| ask(Question::ByChange(Some(read(60.0)), Gain(change)), Spectrum::AsPhon).unwrap();
        let own = |change: f64| answer(change).rungs.iter().find(|rung| rung.own).map(|rung| (rung.change.0 * 100.0).round() / 100.0);
        assert_eq!(own(-3.04), Some(-3.0));
        assert_eq!(own(-3.06), Some(-3.06));
        assert_eq!([own(0.04), own(0.06)], [None, Some(0.06)]);
        let down = answer(-3.0).rungs[1];
        assert_eq!((down.change, down.level), (Gain(-10.0), Level(50.0)));
        assert_abs_diff_eq!(down.energy, 0.1, epsilon = 1e-12);
        assert_abs_diff_eq!(down.times.unwrap(), 0.5, epsilon = 1e-12);
    }

    #[test]
    fn the_picture_goes_eight_decibels_beyond_and_shows_the_rule_of_thumb_where_it_differs() {
        let answer = |before, after| ask(Question::Levels(read(before), read(after)), Spectrum::AsPhon).unwrap();
        let loud = answer(60.0, 50.0);
        assert_eq!((loud.curve.len(), loud.curve[0].0, loud.curve[48].0), (49, 42.0, 68.0));
        // 2^0.2 and 2^2.8 sone.
        assert_abs_diff_eq!(loud.curve[0].1, 1.148_698, epsilon = 1e-6);
        assert_abs_diff_eq!(loud.curve[48].1, 6.964_405, epsilon = 1e-6);
        assert!(loud.thumb.is_empty());
        let quiet = answer(30.0, 40.0);
        assert_eq!((quiet.thumb.len(), quiet.thumb[0].0, quiet.thumb[48].0), (49, 22.0, 48.0));
        // 0.4391 sone at 30 phon, by the rule of thumb doubled every 10 dB from there.
        assert_abs_diff_eq!(quiet.thumb[48].1, 0.4391 * 2_f64.powf(1.8), epsilon = 2e-4);
        let edge = answer(5.0, 118.0);
        assert_eq!((edge.curve[0].0, edge.curve[48].0), (3.0, 120.0));
    }

    #[test]
    fn the_other_kind_of_sound_and_other_weightings() {
        // By ISO 532-1 a small fan fades from 40 to 30 dB about 2.9 times.
        let Some(Other::Times(times)) = ask(Question::Levels(read(40.0), read(30.0)), Spectrum::AsPhon).unwrap().other else { panic!() };
        assert_abs_diff_eq!(1.0 / times, 2.9, epsilon = 0.05);
        let Some(Other::Change(change)) = ask(Question::Wish(Some(read(30.0)), 0.5), Spectrum::SmallFan).unwrap().other else { panic!() };
        assert_abs_diff_eq!(change.0, 23.5469 - 30.0, epsilon = 1e-4);
        let weighted = |question| {
            solve(&Inputs { question, spectrum: Spectrum::AsPhon, weighting: Weighting::C, unused: None, header: Draft::default() })
        };
        let plain = weighted(Question::Levels(read(60.0), read(50.0))).unwrap();
        assert!(plain.compared.is_none() && plain.half.is_none() && plain.heard.is_empty() && plain.other.is_none());
        assert!(weighted(Question::ByChange(None, Gain(-10.0))).unwrap().compared.is_some());
        assert_eq!(weighted(Question::Wish(Some(read(60.0)), 0.5)), Err(Impossible::OtherWeighting(Weighting::C)));
    }

    #[test]
    fn a_wish_for_more_than_there_is_ends_at_the_top() {
        let Err(Impossible::TooFar { most, end, .. }) = ask(Question::Wish(Some(read(110.0)), 4.0), Spectrum::AsPhon) else { panic!() };
        assert_eq!(end, Level(120.0));
        assert_abs_diff_eq!(most, 2.0, epsilon = 1e-9);
    }
}
