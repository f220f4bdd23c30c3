//! The two made-up logs of the engraver tell the story they are made for.

use super::{leq, log};
use lessdin::files::Log;
use lessdin::files::example::{Example, csv, phases};
use lessdin::files::understood::Question;
use lessdin::formulas::levels::energy_mean;
use lessdin::units::Level;

/// The average level of each phase of a run: parked, homing, outline, fill, parked.
fn averages(log: &Log, which: Example) -> [f64; 5] {
    let mut from = 0;
    phases(which).map(|seconds| {
        let rows: Vec<Level> = log.levels(from..from + seconds as usize).map(|level| Level(level.into())).collect();
        from += seconds as usize;
        energy_mean(&rows).unwrap().0
    })
}

#[test]
fn parked_got_louder_and_everything_else_quieter() {
    for run in 0..4 {
        let (before, after) = (log(&csv(Example::Before, run)), log(&csv(Example::After, run)));
        assert_eq!((before.len(), after.len()), (1340, 1440));
        let differences: Vec<f64> =
            averages(&before, Example::Before).iter().zip(averages(&after, Example::After)).map(|(before, after)| after - before).collect();
        for (found, told) in differences.iter().zip([1.1, -1.5, -2.0, -2.6, 1.1]) {
            assert!((found - told).abs() < if told < -1.4 && told > -1.6 { 0.9 } else { 0.3 }, "{differences:?}");
        }
        // Over everything, the second log gains from having stood parked for longer: more than any phase did.
        assert!(leq(&after) - leq(&before) < -2.75, "{} {}", leq(&after), leq(&before));
    }
}

#[test]
fn the_logs_raise_no_question_and_never_change() {
    for which in [Example::Before, Example::After] {
        let log = log(&csv(which, 0));
        assert_eq!(log.understood().questions, Vec::<Question>::new());
        assert!((log.step_s() - 1.0).abs() < 1e-9 && log.understood().gap_count == 0);
        assert_ne!(csv(which, 0), csv(which, 1));
    }
    assert!(csv(Example::Before, 0).starts_with("Time,LAeq (dB)\n2031-11-04T18:00:00,"));
    assert!(csv(Example::After, 2).starts_with("Time,LAeq (dB)\n2031-11-06T20:00:00,"));
}

#[test]
fn neighbouring_readings_are_alike_as_told() {
    let mut pairs = (0.0, 0.0);
    for run in 0..20 {
        let log = log(&csv(Example::Before, run));
        // The fill, from its own mean.
        let fill: Vec<f64> = log.levels(320..1220).map(f64::from).collect();
        let mean = fill.iter().sum::<f64>() / 900.0;
        pairs.0 += fill.windows(2).map(|pair| (pair[0] - mean) * (pair[1] - mean)).sum::<f64>();
        pairs.1 += fill.iter().map(|level| (level - mean).powi(2)).sum::<f64>();
    }
    let found = pairs.0 / pairs.1;
    // Of 18,000 readings, to 0.007 at one standard error; rounding to a tenth takes a little.
    assert!((found - 0.4).abs() < 0.03, "{found}");
}
