//! The drop, the level alone, and how much of it may be said.

use super::Inputs;
use crate::formulas::FormulaError;
use crate::formulas::levels::{self, Finding, Grade};
use crate::formulas::loudness::{self, Comparison, Noticeable, Spectrum};
use crate::formulas::uncertainty;
use crate::sheets::reading::{Ground, Used, all_whole, used};
use crate::units::{Gain, Level, ONE_SIDED_95, PlusMinus, Weighting};

/// The shift of the meter whose effect on the reading is worked out, m.
pub(super) const SHIFT: f64 = 0.05;
/// Cheap meters cannot read below some level up to this one, dB.
const METER_FLOOR: Level = Level(35.0);
/// From here on hearing is worth a word, dB(A).
const HEARING: Level = Level(80.0);

/// Why a level alone is only a bound although the readings are far enough apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// The ± of the drop reaches nothing at all: only a bound is given.
    Nothing,
    /// The ± of the drop reaches below 3 dB: the value stands, with a doubt.
    BelowThree,
    /// Neither.
    Clear,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// With the part running.
    pub on: Used,
    /// With the part stopped, first reading.
    pub off: Used,
    /// With the part stopped, second reading.
    pub again: Option<Used>,
    /// What is taken as the level without the part.
    pub without: PlusMinus<Level>,
    /// The most that any replacement can gain.
    pub drop: PlusMinus<Gain>,
    /// The most that the drop and its ± leave open.
    pub most: Gain,
    /// The level alone.
    pub level: Finding,
    /// How good it is.
    pub grade: Grade,
    /// What was taken off the reading with the part running.
    pub correction: Option<Gain>,
    /// The one-sided limit, where a bound is given.
    pub limit: Option<Level>,
    /// What the ± of the drop reaches.
    pub reach: Reach,
    /// How much quieter it would sound without the part; dB(A) taken as phon.
    pub loudness: Option<Comparison>,
    /// Whether the drop would be noticed.
    pub noticed: Noticeable,
    /// The lower of the readings is near the floor of cheap meters.
    pub near_floor: Option<Level>,
    /// The reading is high enough for a word on hearing.
    pub loud: bool,
    /// Both readings are whole numbers, and the ± was widened for it.
    pub whole: bool,
    /// What a shift of the meter by 5 cm towards the machine changes.
    pub shift: Option<Gain>,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// Louder with the part stopped, by more than the ± allows.
    LouderWithout {
        /// With minus without: negative.
        drop: PlusMinus<Gain>,
    },
    /// A formula has no value here.
    Formula(FormulaError),
}

impl From<FormulaError> for Impossible {
    fn from(error: FormulaError) -> Self {
        Self::Formula(error)
    }
}

pub(super) fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
    let whole = all_whole([Some(&inputs.on), Some(&inputs.off), inputs.again.as_ref()].into_iter().flatten());
    let on = used(&inputs.on, whole)?;
    let off = used(&inputs.off, whole)?;
    let again = inputs.again.as_ref().map(|measured| used(measured, whole)).transpose()?;
    let without = match &again {
        Some(again) => uncertainty::bracketed(off.level, again.level)?,
        None => off.level,
    };
    let found = levels::alone(on.level, without)?;
    let drop = found.drop;
    if drop.value.0 + drop.half_width < 0.0 {
        return Err(Impossible::LouderWithout { drop });
    }
    let limit = levels::upper_limit(on.level, without)?;
    // A part is never louder than all of it together.
    let all = on.level.value + Gain(ONE_SIDED_95 * on.level.standard());
    let at_most = |bound: Level| Finding::AtMost(if bound > all { all } else { bound });
    let reach = match found.grade {
        Grade::Solid | Grade::Rough if drop.half_width >= drop.value.0 => Reach::Nothing,
        Grade::Solid | Grade::Rough if drop.value.0 - drop.half_width < 3.0 => Reach::BelowThree,
        _ => Reach::Clear,
    };
    let (level, grade) = match (reach, found.level, limit) {
        (Reach::Nothing, _, Some(limit)) => (at_most(limit), Grade::AtMost),
        (_, Finding::AtMost(bound), _) => (at_most(bound), found.grade),
        (_, other, _) => (other, found.grade),
    };
    let lowest = [Some(on.level), Some(off.level), again.map(|used| used.level)].into_iter().flatten().map(|level| level.value);
    let near_floor = lowest.filter(|level| *level <= METER_FLOOR).reduce(|one, other| if other < one { other } else { one });
    let loudness = match inputs.weighting {
        Weighting::A => loudness::ratio(on.level.value, without.value, Spectrum::AsPhon).ok(),
        Weighting::C | Weighting::Z => None,
    };
    Ok(Answer {
        on,
        off,
        again,
        without,
        drop,
        most: Gain(drop.value.0 + drop.half_width),
        level,
        grade,
        correction: found.correction,
        limit: limit.filter(|_| matches!(level, Finding::AtMost(_))),
        reach,
        loudness: loudness.filter(|_| drop.value.0 > 0.0),
        noticed: loudness::noticeable(drop)?,
        near_floor,
        loud: on.level.value >= HEARING,
        whole: on.ground == Ground::WholeNumbers || off.ground == Ground::WholeNumbers,
        shift: inputs
            .distance
            .filter(|distance| *distance > 2.0 * SHIFT)
            .and_then(|distance| levels::distance_gain(distance, distance - SHIFT).ok()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::draft::Draft;
    use crate::sheets::reading::{Measured, USUAL_PM};
    use approx::assert_abs_diff_eq;

    fn one(level: f64, stated: f64) -> Measured {
        Measured { level: Level(level), single: vec![Level(level)], spread: None, whole: false, stated }
    }

    fn inputs(on: Measured, off: Measured) -> Inputs {
        Inputs { on, off, again: None, weighting: Weighting::A, distance: None, part: String::new(), header: Draft::default() }
    }

    fn value(answer: &Answer) -> PlusMinus<Level> {
        let Finding::Value(level) = answer.level else { panic!("{:?}", answer.level) };
        level
    }

    fn bound(answer: &Answer) -> Level {
        let Finding::AtMost(bound) = answer.level else { panic!("{:?}", answer.level) };
        bound
    }

    #[test]
    fn published_pairs() {
        // Background correction by the formula of ISO 3744, 8.2.3: 60 − 54 leaves 58.7437.
        let answer = solve(&inputs(one(60.0, 0.5), one(54.0, 0.5))).unwrap();
        assert_abs_diff_eq!(value(&answer).value.0, 58.7437, epsilon = 1e-4);
        assert_eq!(answer.grade, Grade::Solid);
        // ISO 11200:2014, Annex B, example 3: 79.0 over 70.0 is 78.4.
        let answer = solve(&inputs(one(79.0, 0.5), one(70.0, 0.5))).unwrap();
        assert_abs_diff_eq!(value(&answer).value.0, 78.4156, epsilon = 1e-4);
        // ± of 0.5 dB on both, 8 and 4 dB apart: 0.6016 and 0.8941.
        let answer = solve(&inputs(one(46.0, 0.5), one(38.0, 0.5))).unwrap();
        assert_abs_diff_eq!(value(&answer).half_width, 0.6016, epsilon = 1e-4);
        let answer = solve(&inputs(one(42.0, 0.5), one(38.0, 0.5))).unwrap();
        assert_abs_diff_eq!(value(&answer).half_width, 0.8941, epsilon = 1e-4);
        assert_eq!(answer.grade, Grade::Rough);
    }

    #[test]
    fn both_ends_belong_to_the_better_grade() {
        for (apart, grade) in [
            (6.0, Grade::Solid),
            (5.9, Grade::Rough),
            (3.0, Grade::Rough),
            (2.9, Grade::AtMost),
            (0.1, Grade::AtMost),
            (0.0, Grade::Nothing),
        ] {
            assert_eq!(solve(&inputs(one(40.0 + apart, 0.5), one(40.0, 0.5))).unwrap().grade, grade, "{apart}");
        }
        let far = solve(&inputs(one(60.0, 0.5), one(44.9, 0.5))).unwrap();
        assert_abs_diff_eq!(value(&far).value.0, 60.0);
    }

    #[test]
    fn a_bound_is_the_larger_of_the_rule_and_the_limit_and_never_above_the_whole() {
        // 46.1 and 44.9: by the rule 46.1 − 3.0206.
        let answer = solve(&inputs(one(46.1, 0.5), one(44.9, 0.5))).unwrap();
        let off = 10_f64.powf(-0.12);
        let u = 0.5 / 1.96 * std::f64::consts::LN_10 / 10.0;
        let limit = 46.1 + 10.0 * (1.0 - off + 1.645 * u * (1.0 + off * off).sqrt()).log10();
        assert_abs_diff_eq!(bound(&answer).0, limit.max(46.1 - 3.020_62), epsilon = 1e-4);
        let sure = solve(&inputs(one(46.1, 0.1), one(44.9, 0.1))).unwrap();
        assert_abs_diff_eq!(bound(&sure).0, 46.1 - 3.020_62, epsilon = 1e-4);
        let unsure = solve(&inputs(one(46.1, 0.5), one(45.0, 20.0))).unwrap();
        assert_abs_diff_eq!(bound(&unsure).0, 46.1 + 1.645 * 0.5 / 1.96, epsilon = 1e-9);
    }

    #[test]
    fn a_drop_that_could_be_nothing_gives_a_bound_only() {
        let answer = solve(&inputs(one(50.0, 6.0), one(45.0, 6.0))).unwrap();
        assert_eq!((answer.grade, answer.reach), (Grade::AtMost, Reach::Nothing));
        assert!(bound(&answer) > Level(48.0));
        assert_eq!(solve(&inputs(one(50.0, 1.5), one(46.5, 1.5))).unwrap().reach, Reach::BelowThree);
    }

    #[test]
    fn whole_numbers_widen_the_usual_pm_only() {
        let whole = |level, stated| Measured { whole: true, ..one(level, stated) };
        let answer = solve(&inputs(whole(46.0, USUAL_PM), whole(38.0, USUAL_PM))).unwrap();
        // √(0.3² + (1.96/√12)²)
        assert_abs_diff_eq!(answer.on.level.half_width, 0.640_4, epsilon = 1e-4);
        assert!(answer.whole);
        assert!(!solve(&inputs(whole(46.0, 1.0), whole(38.0, 1.0))).unwrap().whole);
        assert!(!solve(&inputs(one(46.1, USUAL_PM), whole(38.0, USUAL_PM))).unwrap().whole);
    }

    #[test]
    fn a_room_that_drifts_widens_the_pm() {
        let again = Some(one(40.0, 0.5));
        let answer = solve(&Inputs { again, ..inputs(one(50.0, 0.5), one(38.0, 0.5)) }).unwrap();
        assert_abs_diff_eq!(answer.without.half_width, 1.96, epsilon = 1e-9);
        assert_abs_diff_eq!(answer.without.value.0, 39.114, epsilon = 1e-3);
    }

    #[test]
    fn a_meter_that_reads_high_shifts_the_level_alone_and_not_the_drop() {
        for (on, off) in [(46.0, 38.0), (42.0, 38.0), (46.1, 44.9)] {
            let right = solve(&inputs(one(on, 0.5), one(off, 0.5))).unwrap();
            let high = solve(&inputs(one(on + 1.5, 0.5), one(off + 1.5, 0.5))).unwrap();
            assert_abs_diff_eq!(right.drop.value.0, high.drop.value.0, epsilon = 1e-9);
            let of = |answer: &Answer| match answer.level {
                Finding::Value(level) => level.value.0,
                _ => bound(answer).0,
            };
            assert_abs_diff_eq!(of(&high) - of(&right), 1.5, epsilon = 1e-9);
        }
    }

    #[test]
    fn louder_with_the_part_stopped_is_no_answer_beyond_its_pm() {
        assert!(matches!(solve(&inputs(one(40.0, 0.5), one(41.0, 0.5))), Err(Impossible::LouderWithout { .. })));
        let by_chance = solve(&inputs(one(40.0, 0.5), one(40.4, 0.5))).unwrap();
        assert_eq!(by_chance.grade, Grade::Nothing);
    }

    #[test]
    fn moving_the_meter_matters_more_when_near() {
        let at = |distance| solve(&Inputs { distance, ..inputs(one(46.0, 0.5), one(38.0, 0.5)) }).unwrap().shift;
        // 20·lg(0.5/0.45) = 0.9151 dB
        assert_abs_diff_eq!(at(Some(0.5)).unwrap().0, 0.9151, epsilon = 1e-4);
        assert_eq!(at(Some(0.05)), None);
    }

    #[test]
    fn a_near_meter_a_loud_machine_and_the_floor_of_a_meter_are_told_at_their_limits() {
        let at = |distance| solve(&Inputs { distance: Some(distance), ..inputs(one(46.0, 0.5), one(38.0, 0.5)) }).unwrap().shift;
        // 20·lg(0.12/0.07).
        assert_abs_diff_eq!(at(0.12).unwrap().0, 4.681_664, epsilon = 1e-6);
        assert_eq!((at(0.1), at(0.09)), (None, None));
        let loud = |on| solve(&inputs(one(on, 0.5), one(60.0, 0.5))).unwrap().loud;
        assert!(loud(80.0) && !loud(79.9));
        let floor =
            |off, again: f64| solve(&Inputs { again: Some(one(again, 0.5)), ..inputs(one(46.0, 0.5), one(off, 0.5)) }).unwrap().near_floor;
        assert_eq!(floor(35.0, 35.1), Some(Level(35.0)));
        assert_eq!(floor(34.0, 33.5), Some(Level(33.5)));
        assert_eq!(floor(33.5, 34.0), Some(Level(33.5)));
        assert_eq!(floor(35.1, 36.0), None);
    }

    #[test]
    fn a_drop_that_only_just_may_be_none_is_still_answered() {
        // √(0.3² + 0.4²) = 0.5.
        assert!(solve(&inputs(one(40.0, 0.3), one(40.49, 0.4))).is_ok());
        assert!(matches!(solve(&inputs(one(40.0, 0.3), one(40.51, 0.4))), Err(Impossible::LouderWithout { .. })));
        let reach = |apart: f64| solve(&inputs(one(40.0 + apart, 0.3), one(40.0, 0.4))).unwrap().reach;
        assert_eq!([reach(3.4), reach(3.6)], [Reach::BelowThree, Reach::Clear]);
        let sure = solve(&inputs(one(46.0, 0.3), one(38.0, 0.4))).unwrap();
        assert_abs_diff_eq!(sure.most.0, 8.5, epsilon = 1e-9);
        assert!(sure.limit.is_none() && sure.loudness.is_some());
        let bound = solve(&inputs(one(40.0, 0.3), one(40.2, 0.4))).unwrap();
        assert!(bound.limit.is_some() && bound.loudness.is_none(), "no drop, nothing sounds quieter");
    }
}
