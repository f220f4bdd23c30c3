//! An assumed small fan, its loudness by ISO 532-1 as worked out by the library `MoSQITo` 1.2.1. `small_fan.py` beside this
//! file gives the rows.

use super::case::{Case, Evidence, or_nan, sweep};
use lessdin::formulas::loudness::{Spectrum, level_for_ratio, level_from_phon, loudness_level, ratio};
use lessdin::units::{Level, Phon};

const MOSQITO: Evidence = Evidence::Library { name: "MoSQITo", version: "1.2.1" };

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "loudness.loudness_level",
        at: "the spectrum as it stands: 46.01 dB(A), 5.364 sone, 64.23 phon",
        evidence: MOSQITO,
        tolerance: 0.02,
        why: "the library rounds loudness to 0.001 sone; a straight line between points 2 dB apart",
        compute: |x| or_nan(loudness_level(Level(x[0]), Spectrum::SmallFan).map(|p| p.0)),
        rows: &[(&[46.01], 64.23)],
    },
    Case {
        formula: "loudness.loudness_level",
        at: "levels between the points of the table",
        evidence: MOSQITO,
        tolerance: 0.12,
        why: "the library rounds loudness to 0.001 sone, 0.07 phon at 17 dB(A); straight lines between points",
        compute: |x| or_nan(loudness_level(Level(x[0]), Spectrum::SmallFan).map(|p| p.0)),
        rows: BETWEEN,
    },
    Case {
        formula: "loudness.loudness_level",
        at: "dB(A) taken as phon",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "the same number",
        compute: |x| or_nan(loudness_level(Level(x[0]), Spectrum::AsPhon).map(|p| p.0)),
        rows: &[(&[31.0], 31.0), (&[-1.0], f64::NAN)],
    },
    Case {
        formula: "loudness.level_from_phon",
        at: "points of the table, turned round",
        evidence: MOSQITO,
        tolerance: 0.005,
        why: "phon given to 3 decimals",
        compute: |x| or_nan(level_from_phon(Phon(x[0]), Spectrum::SmallFan).map(|l| l.0)),
        rows: &[(&[21.536], 20.0), (&[41.44], 30.0), (&[56.911], 40.0), (&[5.0], f64::NAN)],
    },
    Case {
        formula: "loudness.ratio",
        at: "loudness at 40, 30 and 20 dB(A): 3.229, 1.105 and 0.170 sone",
        evidence: MOSQITO,
        tolerance: 0.003,
        why: "the library rounds loudness to 0.001 sone",
        compute: |x| or_nan(ratio(Level(x[0]), Level(x[1]), Spectrum::SmallFan).map(|c| c.times)),
        rows: &[(&[40.0, 30.0], 0.3422), (&[30.0, 20.0], 0.1538), (&[30.0, 40.0], 2.9222)],
    },
    Case {
        formula: "loudness.level_for_ratio",
        at: "loudness at 40 and 30 dB(A)",
        evidence: MOSQITO,
        tolerance: 0.02,
        why: "the library rounds loudness to 0.001 sone",
        compute: |x| or_nan(level_for_ratio(Level(x[0]), x[1], Spectrum::SmallFan).map(|c| c.to.0)),
        rows: &[(&[40.0, 0.3422], 30.0), (&[30.0, 0.1538], 20.0)],
    },
];

/// Odd levels, which the table in the code does not hold.
const BETWEEN: super::case::Rows = &[
    (&[17.0], 14.448),
    (&[23.0], 27.797),
    (&[29.0], 39.526),
    (&[35.0], 49.87),
    (&[41.0], 58.201),
    (&[47.0], 65.353),
    (&[53.0], 71.809),
    (&[59.0], 77.781),
    (&[65.0], 83.434),
    (&[71.0], 88.904),
    (&[77.0], 94.306),
    (&[83.0], 99.598),
    (&[89.0], 104.795),
];

#[test]
fn small_fan() {
    sweep(CASES);
}
