//! The convention of road-noise agencies on how noticeable a change is: a state transport department's training slide and
//! county noise reports.

use super::case::{Case, Evidence, or_nan, sweep};
use lessdin::formulas::loudness::{Noticeable, noticeable};
use lessdin::units::{Gain, PlusMinus};

fn by_rank(word: Noticeable) -> f64 {
    match word {
        Noticeable::NotShown => -1.0,
        Noticeable::No => 0.0,
        Noticeable::SideBySide => 1.0,
        Noticeable::Just => 3.0,
        Noticeable::Clearly => 5.0,
        Noticeable::TwiceOrHalf => 10.0,
    }
}

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "loudness.noticeable",
        at: "1, 3, 5 and 10 dB: the largest of them that is reached",
        evidence: Evidence::Read,
        tolerance: 0.0,
        why: "a class",
        compute: |x| or_nan(noticeable(PlusMinus::exact(Gain(x[0]))).map(by_rank)),
        rows: &[
            (&[0.5], 0.0),
            (&[1.0], 1.0),
            (&[-2.9], 1.0),
            (&[3.0], 3.0),
            (&[-4.9], 3.0),
            (&[-5.0], 5.0),
            (&[9.9], 5.0),
            (&[10.0], 10.0),
            (&[-25.0], 10.0),
        ],
    },
    Case {
        formula: "loudness.noticeable",
        at: "smaller than its own ±: no change shown",
        evidence: Evidence::ClosedForm,
        tolerance: 0.0,
        why: "a class",
        compute: |x| or_nan(noticeable(PlusMinus::new(Gain(x[0]), x[1])).map(by_rank)),
        rows: &[(&[-3.0, 3.1], -1.0), (&[-3.0, 3.0], 3.0), (&[0.4, 0.5], -1.0)],
    },
];

#[test]
fn road_noise() {
    sweep(CASES);
}
