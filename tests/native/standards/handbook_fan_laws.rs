//! Fan laws. Speed and density forms of flow, pressure and power were read in a trade-journal note; diameter forms and the
//! laws of sound are from memory (AMCA 201, AMCA 303, ASHRAE), and the numbers check their arithmetic only.

use super::case::{Case, Evidence, FOUR, Rows, THREE, or_nan, sweep};
use lessdin::formulas::fans::{density_gain, diameter_gain, factors, same_flow, same_pressure, speed_gain, speed_gain_band};
use lessdin::formulas::levels::count_gain;

/// Coefficient and ratio of speeds.
const SPEED: Rows = &[
    (&[50.0, 0.5], -15.051),
    (&[50.0, 0.6], -11.092),
    (&[50.0, 0.7], -7.745),
    (&[50.0, 0.75], -6.247),
    (&[50.0, 0.8], -4.846),
    (&[50.0, 0.9], -2.288),
    (&[50.0, 1.1], 2.070),
    (&[50.0, 1.25], 4.846),
    (&[50.0, 1.5], 8.805),
    (&[50.0, 2.0], 15.051),
    (&[55.0, 0.5], -16.557),
    (&[55.0, 0.6], -12.202),
    (&[55.0, 0.7], -8.520),
    (&[55.0, 0.75], -6.872),
    (&[55.0, 0.8], -5.330),
    (&[55.0, 0.9], -2.517),
    (&[55.0, 1.1], 2.277),
    (&[55.0, 1.25], 5.330),
    (&[55.0, 1.5], 9.685),
    (&[55.0, 2.0], 16.557),
    (&[60.0, 0.5], -18.062),
    (&[60.0, 0.6], -13.311),
    (&[60.0, 0.7], -9.294),
    (&[60.0, 0.75], -7.496),
    (&[60.0, 0.8], -5.815),
    (&[60.0, 0.9], -2.745),
    (&[60.0, 1.1], 2.484),
    (&[60.0, 1.25], 5.815),
    (&[60.0, 1.5], 10.565),
    (&[60.0, 2.0], 18.062),
    (&[49.9, 2.0], f64::NAN),
    (&[60.1, 2.0], f64::NAN),
];

pub(super) static CASES: &[Case] = &[
    Case {
        formula: "fans.factors",
        at: "flow goes with the speed",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(factors(x[0], 1.0, 1.0).map(|f| f.flow)),
        rows: &[(&[0.5], 0.5), (&[0.7], 0.7), (&[1.25], 1.25), (&[2.0], 2.0)],
    },
    Case {
        formula: "fans.factors",
        at: "pressure goes with the square of the speed",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(factors(x[0], 1.0, 1.0).map(|f| f.pressure)),
        rows: &[(&[0.5], 0.25), (&[0.6], 0.36), (&[0.75], 0.5625), (&[0.9], 0.81), (&[1.25], 1.5625), (&[2.0], 4.0)],
    },
    Case {
        formula: "fans.factors",
        at: "power goes with the cube of the speed",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(factors(x[0], 1.0, 1.0).map(|f| f.power)),
        rows: &[(&[0.5], 0.125), (&[0.7], 0.343), (&[0.75], 0.4219), (&[1.1], 1.331), (&[1.25], 1.9531), (&[2.0], 8.0)],
    },
    Case {
        formula: "fans.factors",
        at: "pressure and power go with the density, flow does not: their sum of factors",
        evidence: Evidence::ClosedForm,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| or_nan(factors(1.0, 1.0, x[0]).map(|f| f.flow + f.pressure + f.power)),
        rows: &[(&[0.5], 2.0), (&[2.0], 5.0)],
    },
    Case {
        formula: "fans.factors",
        at: "diameter: cube for flow, square for pressure, fifth power for power, one after the other",
        evidence: Evidence::Memory,
        tolerance: 1e-12,
        why: "exact",
        compute: |x| {
            let at = factors(1.0, 2.0, 1.0);
            or_nan(at.map(|f| [f.flow, f.pressure, f.power][super::case::count(x[0]) as usize]))
        },
        rows: &[(&[0.0], 8.0), (&[1.0], 4.0), (&[2.0], 32.0)],
    },
    Case {
        formula: "fans.speed_gain",
        at: "50, 55 and 60 lg of the ratio of speeds",
        evidence: Evidence::ClosedForm,
        tolerance: THREE.0,
        why: THREE.1,
        compute: |x| or_nan(speed_gain(x[1], x[0]).map(|g| g.0)),
        rows: SPEED,
    },
    Case {
        formula: "fans.speed_gain_band",
        at: "lower and upper law: −18.062 and −15.051 dB at half speed",
        evidence: Evidence::ClosedForm,
        tolerance: THREE.0,
        why: THREE.1,
        compute: |x| or_nan(speed_gain_band(x[0]).map(|g| g.value.0 + x[1] * g.half_width)),
        rows: &[(&[0.5, -1.0], -18.062), (&[0.5, 0.0], -16.557), (&[0.5, 1.0], -15.051), (&[1.5, 1.0], 10.565), (&[1.0, 1.0], 0.0)],
    },
    Case {
        formula: "fans.diameter_gain",
        at: "70 lg of the ratio of diameters",
        evidence: Evidence::ClosedForm,
        tolerance: THREE.0,
        why: THREE.1,
        compute: |x| or_nan(diameter_gain(x[1] / x[0]).map(|g| g.0)),
        rows: &[(&[30.0, 40.0], 8.746), (&[40.0, 60.0], 12.326), (&[40.0, 80.0], 21.072)],
    },
    Case {
        formula: "fans.density_gain",
        at: "20 lg of the ratio of densities",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(density_gain(x[0]).map(|g| g.0)),
        rows: &[(&[0.5], -6.0206), (&[10.0], 20.0), (&[1.0], 0.0)],
    },
    Case {
        formula: "fans.same_flow",
        at: "−80 lg of the ratio of diameters",
        evidence: Evidence::ClosedForm,
        tolerance: THREE.0,
        why: THREE.1,
        compute: |x| or_nan(same_flow(x[0], 50.0).map(|fan| fan.gain.0)),
        rows: &[(&[1.25], -7.753), (&[1.5], -14.087), (&[2.0], -24.082)],
    },
    Case {
        formula: "fans.same_flow",
        at: "pressure falls with the fourth power of the diameter",
        evidence: Evidence::ClosedForm,
        tolerance: FOUR.0,
        why: FOUR.1,
        compute: |x| or_nan(same_flow(x[0], 50.0).map(|fan| fan.factors.pressure)),
        rows: &[(&[1.25], 0.4096), (&[1.5], 0.1975), (&[2.0], 0.0625)],
    },
    Case {
        formula: "fans.same_pressure",
        at: "20 lg of the ratio of diameters",
        evidence: Evidence::ClosedForm,
        tolerance: THREE.0,
        why: THREE.1,
        compute: |x| or_nan(same_pressure(x[0], 50.0).map(|fan| fan.gain.0)),
        rows: &[(&[1.5], 3.522)],
    },
    Case {
        formula: "fans.speed_gain",
        at: "a fan of 30 dB(A) slowed from 5000 to 3000 per minute; n fans at 1/n of the speed",
        evidence: Evidence::ClosedForm,
        tolerance: THREE.0,
        why: THREE.1,
        compute: |x| {
            let each = speed_gain(x[1], 50.0).map(|g| g.0);
            let count = count_gain(super::case::count(x[2])).map(|g| g.0);
            x[0] + or_nan(each) + or_nan(count)
        },
        rows: &[(&[30.0, 0.6, 1.0], 18.908), (&[30.0, 0.6, 2.0], 21.918), (&[0.0, 0.5, 2.0], -12.041), (&[0.0, 1.0 / 3.0, 3.0], -19.085)],
    },
];

#[test]
fn handbook_fan_laws() {
    sweep(CASES);
}
