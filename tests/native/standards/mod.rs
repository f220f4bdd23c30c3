//! Outside checks. Where each number comes from is in README.md beside this file.

#![expect(
    clippy::approx_constant,
    clippy::indexing_slicing,
    clippy::unwrap_used,
    reason = "tables hold values as printed; a row too short or a file not found is to fail loudly"
)]

mod case;
mod closed_forms;
mod coverage;
mod gum_jcgm_100;
mod handbook_fan_laws;
mod hk_epd;
mod iso_11200;
mod iso_1996_2;
mod iso_3743_1;
mod iso_3744;
mod iso_3745;
mod iso_3746;
mod iso_532_1;
mod iso_9611;
mod jcgm_101;
mod level_series;
mod nnls_systems;
mod osha_manual;
mod partitions;
mod road_noise;
mod run_levels;
mod scipy;
mod separation;
mod small_fan;
mod step_accuracy;
mod stepping_handbook;
mod stepping_tutorial;
mod threads_and_belts;

use case::Case;

/// Every file of checks, by its name.
static FILES: &[(&str, &[Case])] = &[
    ("closed_forms", closed_forms::CASES),
    ("gum_jcgm_100", gum_jcgm_100::CASES),
    ("handbook_fan_laws", handbook_fan_laws::CASES),
    ("hk_epd", hk_epd::CASES),
    ("iso_11200", iso_11200::CASES),
    ("iso_1996_2", iso_1996_2::CASES),
    ("iso_3743_1", iso_3743_1::CASES),
    ("iso_3744", iso_3744::CASES),
    ("iso_3745", iso_3745::CASES),
    ("iso_3746", iso_3746::CASES),
    ("iso_532_1", iso_532_1::CASES),
    ("iso_9611", iso_9611::CASES),
    ("jcgm_101", jcgm_101::CASES),
    ("level_series", level_series::CASES),
    ("nnls_systems", nnls_systems::CASES),
    ("osha_manual", osha_manual::CASES),
    ("partitions", partitions::CASES),
    ("road_noise", road_noise::CASES),
    ("run_levels", run_levels::CASES),
    ("scipy", scipy::CASES),
    ("separation", separation::CASES),
    ("small_fan", small_fan::CASES),
    ("step_accuracy", step_accuracy::CASES),
    ("stepping_handbook", stepping_handbook::CASES),
    ("stepping_tutorial", stepping_tutorial::CASES),
    ("threads_and_belts", threads_and_belts::CASES),
];
