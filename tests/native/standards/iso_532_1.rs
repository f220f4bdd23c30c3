//! ISO 532-1:2017: loudness and loudness level.
//!
//! The relation was read in an open implementation; the values were worked out from it outside.

use super::case::{Case, Evidence, FOUR, HUNDREDTH, or_nan, sweep};
use lessdin::formulas::loudness::{Spectrum, level_for_ratio, phon, ratio, sone, sone_rule};
use lessdin::units::{Gain, Level, Phon, Sone};

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "loudness.sone",
        at: "sone from phon, both branches",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(sone(Phon(x[0])).map(|s| s.0)),
        rows: &[
            (&[20.0], 0.1375),
            (&[25.0], 0.2606),
            (&[30.0], 0.4391),
            (&[35.0], 0.6823),
            (&[40.0], 1.0),
            (&[45.0], 1.4142),
            (&[50.0], 2.0),
            (&[55.0], 2.8284),
            (&[60.0], 4.0),
            (&[70.0], 8.0),
            (&[80.0], 16.0),
            (&[90.0], 32.0),
            (&[100.0], 64.0),
        ],
    },
    Case {
        formula: "loudness.phon",
        at: "phon from sone, both branches",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(phon(Sone(x[0])).map(|p| p.0)),
        rows: &[
            (&[0.1], 17.8986),
            (&[0.25], 24.6401),
            (&[0.5], 31.3943),
            (&[0.9], 38.5593),
            (&[1.0], 40.0),
            (&[2.0], 50.0),
            (&[4.0], 60.0),
            (&[10.0], 73.2193),
            (&[16.0], 80.0),
            (&[32.0], 90.0),
        ],
    },
    Case {
        formula: "loudness.phon",
        at: "just below the join at 1 sone",
        evidence: Evidence::ClosedForm,
        tolerance: 0.01,
        why: "the two printed branches are 0.007 phon apart there; a straight line joins them",
        compute: |x| or_nan(phon(Sone(x[0])).map(|p| p.0)),
        rows: &[(&[0.95], 39.295), (&[0.999_999], 40.007)],
    },
    Case {
        formula: "loudness.level_for_ratio",
        at: "half as loud from 30 phon",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(level_for_ratio(Level(x[0]), x[1], Spectrum::AsPhon).map(|c| c.to.0)),
        rows: &[(&[30.0, 0.5], 23.5469), (&[60.0, 0.5], 50.0), (&[60.0, 2.0], 70.0)],
    },
    Case {
        formula: "loudness.ratio",
        at: "from the values above",
        evidence: Evidence::ClosedForm,
        tolerance: 3e-4,
        why: "quotients of values given to 4 decimals",
        compute: |x| or_nan(ratio(Level(x[0]), Level(x[1]), Spectrum::AsPhon).map(|c| c.times)),
        rows: &[(&[60.0, 50.0], 0.5), (&[50.0, 80.0], 8.0), (&[40.0, 30.0], 0.4391), (&[30.0, 20.0], 0.3131), (&[30.0, 0.0], f64::NAN)],
    },
    Case {
        formula: "loudness.sone_rule",
        at: "branch from 1 sone",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(sone_rule(Gain(x[0]))),
        rows: &[
            (&[-10.0], 0.5),
            (&[-6.0], 0.6598),
            (&[-5.0], 0.7071),
            (&[-3.0], 0.8123),
            (&[-1.0], 0.9330),
            (&[3.0], 1.2311),
            (&[6.0], 1.5157),
        ],
    },
    Case {
        formula: "loudness.phon",
        at: "Annex B, signal 1: 83.30 sone (worked out with MoSQITo 1.2.1) is 103.80 phon",
        evidence: Evidence::Library { name: "MoSQITo", version: "1.2.1" },
        tolerance: HUNDREDTH.0,
        why: HUNDREDTH.1,
        compute: |x| or_nan(phon(Sone(x[0])).map(|p| p.0)),
        rows: &[(&[83.30], 103.80)],
    },
];

#[test]
fn iso_532_1() {
    sweep(CASES);
}
