//! Every formula, with its source. Kept by hand, in the order of the modules.

use super::source::{self, Formula, Source};

const fn formula(id: &'static str, name: &'static str, source: &'static Source) -> Formula {
    Formula { id, name, source }
}

/// Every public formula. A test sees that none is missing and that each has an outside check.
pub static FORMULAS: &[Formula] = &[
    formula(
        "fans.blade_pass",
        "blade tone of a fan",
        &source::BLADE_PASS,
    ),
    formula(
        "fans.density_gain",
        "sound against density of the air",
        &source::FAN_SOUND,
    ),
    formula(
        "fans.diameter_gain",
        "sound against diameter",
        &source::FAN_SOUND,
    ),
    formula(
        "fans.factors",
        "flow, pressure and power of a fan",
        &source::FAN_LAWS,
    ),
    formula(
        "fans.same_flow",
        "another size at the same flow",
        &source::FAN_SOUND,
    ),
    formula(
        "fans.same_pressure",
        "another size at the same pressure",
        &source::FAN_SOUND,
    ),
    formula(
        "fans.speed_from_blade_pass",
        "speed of a fan from its blade tone",
        &source::BLADE_PASS,
    ),
    formula("fans.speed_gain", "sound against speed", &source::FAN_SOUND),
    formula(
        "fans.speed_gain_band",
        "sound against speed, with the band of the laws",
        &source::FAN_SOUND,
    ),
    formula(
        "levels.allowed_level",
        "loudest allowed level of a part",
        &source::ENERGY_BALANCE,
    ),
    formula(
        "levels.alone",
        "a source alone, or as much as may be said",
        &source::ISO_3744,
    ),
    formula(
        "levels.background_correction",
        "background correction by the formula",
        &source::ISO_3744,
    ),
    formula(
        "levels.ceiling",
        "most that silencing a part can gain",
        &source::ENERGY_BALANCE,
    ),
    formula(
        "levels.count_gain",
        "several alike over one",
        &source::ENERGY_BALANCE,
    ),
    formula(
        "levels.distance_gain",
        "level against distance",
        &source::FREE_FIELD,
    ),
    formula(
        "levels.energy_mean",
        "energy mean of levels",
        &source::ISO_1996_1,
    ),
    formula(
        "levels.energy_sum",
        "energy sum of levels",
        &source::ISO_1996_1,
    ),
    formula(
        "levels.energy_sum_counted",
        "energy sum of counted levels",
        &source::ISO_1996_1,
    ),
    formula(
        "levels.exposure_level",
        "exposure level of an event",
        &source::ISO_1996_1,
    ),
    formula(
        "levels.grade",
        "how good a pair of readings is",
        &source::ISO_3744,
    ),
    formula(
        "levels.k1_engineering",
        "background correction, engineering grade",
        &source::ISO_3744,
    ),
    formula(
        "levels.k1_survey",
        "background correction, survey grade",
        &source::ISO_3746,
    ),
    formula(
        "levels.level_of_share",
        "level of a share",
        &source::ENERGY_BALANCE,
    ),
    formula(
        "levels.power_to_pressure",
        "sound pressure from sound power",
        &source::FREE_FIELD,
    ),
    formula(
        "levels.pressure_to_power",
        "sound power from sound pressure",
        &source::FREE_FIELD,
    ),
    formula(
        "levels.remove_background",
        "a source alone, by the formula",
        &source::ISO_3744,
    ),
    formula(
        "levels.share",
        "share of the energy",
        &source::ENERGY_BALANCE,
    ),
    formula(
        "levels.smallest_set",
        "smallest set of sources for a target",
        &source::ENERGY_BALANCE,
    ),
    formula(
        "levels.time_mean",
        "equivalent level over time",
        &source::ISO_1996_1,
    ),
    formula(
        "levels.upper_limit",
        "one-sided limit of a hidden source",
        &source::UPPER_LIMIT,
    ),
    formula(
        "loudness.level_for_ratio",
        "level that sounds so many times as loud",
        &source::ISO_532_1,
    ),
    formula(
        "loudness.level_from_phon",
        "reading from loudness level",
        &source::SMALL_FAN,
    ),
    formula(
        "loudness.loudness_level",
        "loudness level from a reading",
        &source::SMALL_FAN,
    ),
    formula(
        "loudness.noticeable",
        "words for a change",
        &source::NOTICEABLE,
    ),
    formula(
        "loudness.phon",
        "loudness level from loudness",
        &source::ISO_532_1,
    ),
    formula(
        "loudness.ratio",
        "how many times as loud",
        &source::ISO_532_1,
    ),
    formula(
        "loudness.sone",
        "loudness from loudness level",
        &source::ISO_532_1,
    ),
    formula(
        "loudness.sone_rule",
        "ratio of loudness by the sone rule",
        &source::ISO_532_1,
    ),
    formula(
        "uncertainty.background_removed",
        "± of a source alone",
        &source::GUM,
    ),
    formula(
        "uncertainty.bracketed",
        "background before and after",
        &source::BRACKETING,
    ),
    formula(
        "uncertainty.ceiling",
        "± of the most that can be gained",
        &source::GUM,
    ),
    formula("uncertainty.combine", "several ± together", &source::GUM),
    formula("uncertainty.drop", "± of a difference", &source::GUM),
    formula(
        "uncertainty.readings",
        "mean and ± of eye readings",
        &source::GUM_REPEATED,
    ),
    formula(
        "uncertainty.resolution",
        "± of a display step",
        &source::GUM_RESOLUTION,
    ),
    formula("uncertainty.share", "± of a share", &source::GUM),
    formula(
        "uncertainty.standard_deviation",
        "standard deviation of a sample",
        &source::GUM_REPEATED,
    ),
    formula(
        "uncertainty.student_t",
        "two-sided point of Student's t",
        &source::STUDENT_T,
    ),
    formula(
        "uncertainty.student_t_outside",
        "two-sided p-value of Student's t",
        &source::STUDENT_T,
    ),
    formula("uncertainty.sum", "± of an energy sum", &source::GUM),
];
