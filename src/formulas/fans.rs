//! Fan laws, blade tones, and the units of data sheets.
//!
//! The laws compare two fans of one family at the same point of their curves. For sound they are the weakest-founded
//! figures of this program; a change worked out by them is good to about 3 dB.

use super::error::{FormulaError, positive, within};
use crate::units::{Gain, PlusMinus};

/// One cubic foot per minute, m³/s. Exact: 0.3048³ / 60.
pub const CFM: f64 = 0.304_8 * 0.304_8 * 0.304_8 / 60.0;

/// One cubic metre per hour, m³/s. Exact.
pub const CUBIC_METRE_PER_HOUR: f64 = 1.0 / 3600.0;

/// One litre per second, m³/s. Exact.
pub const LITRE_PER_SECOND: f64 = 1e-3;

/// One millimetre of water, Pa. Conventional.
pub const MILLIMETRE_OF_WATER: f64 = 9.806_65;

/// One inch of water, Pa. Conventional.
pub const INCH_OF_WATER: f64 = 25.4 * MILLIMETRE_OF_WATER;

/// One inch, m. Exact.
pub const INCH: f64 = 0.025_4;

/// Sound against speed, dB per tenfold speed: what is used when nothing is said. From memory.
pub const SPEED_COEFFICIENT: f64 = 55.0;

/// The least and the most that published speed laws give, dB per tenfold speed. From memory.
pub const SPEED_COEFFICIENT_RANGE: (f64, f64) = (50.0, 60.0);

/// Sound against diameter at the same speed, dB per tenfold diameter. From memory.
pub const DIAMETER_COEFFICIENT: f64 = 70.0;

/// Sound against density of the air, dB per tenfold density. From memory.
pub const DENSITY_COEFFICIENT: f64 = 20.0;

/// How far a change worked out by the laws may be off, 95 % half width in dB. Common practice, no source.
pub const LAW_HALF_WIDTH: f64 = 3.0;

/// What fitting in a machine adds to a free fan, dB: usual, least and most. Common practice, no source.
pub const INSTALLED_PENALTY: (f64, f64, f64) = (3.0, 0.0, 8.0);

/// The two distances that ratings without a stated one may mean, m. Common practice, no source; 10.5 dB apart.
pub const CUSTOMARY_DISTANCES: (f64, f64) = (1.0, 0.3);

/// Ratios beyond this are no longer the same fan at another speed or size.
const LEAST_RATIO: f64 = 0.02;
const MOST_RATIO: f64 = 50.0;

fn ratio(what: &'static str, value: f64) -> Result<f64, FormulaError> {
    within(what, value, LEAST_RATIO, MOST_RATIO)
}

/// Factors by which a fan's figures change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Factors {
    /// Of the air flow.
    pub flow: f64,
    /// Of the pressure.
    pub pressure: f64,
    /// Of the power drawn.
    pub power: f64,
}

/// How flow, pressure and power change with speed, diameter and density of the air.
///
/// `Q ∝ N·D³`, `p ∝ ρ·N²·D²`, `P ∝ ρ·N³·D⁵`
///
/// | name       | meaning                     | unit | valid      |
/// |------------|-----------------------------|------|------------|
/// | `speed`    | new speed over old          | 1    | 0.02 to 50 |
/// | `diameter` | new diameter over old       | 1    | 0.02 to 50 |
/// | `density`  | new density of air over old | 1    | 0.02 to 50 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Fan handbooks (AMCA 201, ASHRAE); speed and density read in a trade note, diameter from memory.
///
/// # Example
///
/// ```
/// use lessdin::formulas::fans::factors;
///
/// let slower = factors(0.5, 1.0, 1.0).unwrap();
/// assert!((slower.flow - 0.5).abs() < 1e-12);
/// assert!((slower.power - 0.125).abs() < 1e-12);
///
/// assert!(factors(0.0, 1.0, 1.0).is_err());
/// ```
pub fn factors(speed: f64, diameter: f64, density: f64) -> Result<Factors, FormulaError> {
    ratio("the ratio of speeds", speed)?;
    ratio("the ratio of diameters", diameter)?;
    ratio("the ratio of densities", density)?;
    Ok(Factors {
        flow: speed * diameter.powi(3),
        pressure: density * speed.powi(2) * diameter.powi(2),
        power: density * speed.powi(3) * diameter.powi(5),
    })
}

/// How the sound changes with speed, for a stated coefficient.
///
/// `ΔL = c·lg(N2/N1)`
///
/// | name          | meaning                              | unit | valid      |
/// |---------------|--------------------------------------|------|------------|
/// | `speed`       | new speed over old                   | 1    | 0.02 to 50 |
/// | `coefficient` | dB per tenfold speed, c              | dB   | 50 to 60   |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// From memory; no independent source was read. Small fans are said to lie between 50 and 60.
///
/// # Example
///
/// ```
/// use lessdin::formulas::fans::speed_gain;
///
/// assert!((speed_gain(0.5, 50.0).unwrap().0 + 15.0515).abs() < 1e-4);
///
/// assert!(speed_gain(0.5, 10.0).is_err());
/// ```
pub fn speed_gain(speed: f64, coefficient: f64) -> Result<Gain, FormulaError> {
    let (least, most) = SPEED_COEFFICIENT_RANGE;
    within("the coefficient", coefficient, least, most)?;
    Ok(Gain(coefficient * ratio("the ratio of speeds", speed)?.log10()))
}

/// How the sound changes with speed by the middle of the published laws, with the band they make as its ±.
///
/// `ΔL = 55·lg(N2/N1) ± 5·|lg(N2/N1)|`
///
/// | name    | meaning            | unit | valid      |
/// |---------|--------------------|------|------------|
/// | `speed` | new speed over old | 1    | 0.02 to 50 |
///
/// The ± is that of the coefficient only. [`LAW_HALF_WIDTH`] is what to allow for the law as a whole.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// From memory; no independent source was read.
///
/// # Example
///
/// ```
/// use lessdin::formulas::fans::speed_gain_band;
///
/// let half = speed_gain_band(0.5).unwrap();
/// assert!((half.value.0 + 16.5566).abs() < 1e-4);
/// assert!((half.half_width - 1.5051).abs() < 1e-4);
///
/// assert!(speed_gain_band(-1.0).is_err());
/// ```
pub fn speed_gain_band(speed: f64) -> Result<PlusMinus<Gain>, FormulaError> {
    let (least, most) = SPEED_COEFFICIENT_RANGE;
    let value = speed_gain(speed, SPEED_COEFFICIENT)?;
    Ok(PlusMinus::new(value, (most - least) / 2.0 * speed.log10().abs()))
}

/// How the sound changes with diameter at the same speed.
///
/// `ΔL = 70·lg(D2/D1)`
///
/// | name       | meaning               | unit | valid      |
/// |------------|-----------------------|------|------------|
/// | `diameter` | new diameter over old | 1    | 0.02 to 50 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// From memory; no independent source was read.
///
/// # Example
///
/// ```
/// use lessdin::formulas::fans::diameter_gain;
///
/// assert!((diameter_gain(60.0 / 40.0).unwrap().0 - 12.326).abs() < 1e-3);
///
/// assert!(diameter_gain(0.0).is_err());
/// ```
pub fn diameter_gain(diameter: f64) -> Result<Gain, FormulaError> {
    Ok(Gain(DIAMETER_COEFFICIENT * ratio("the ratio of diameters", diameter)?.log10()))
}

/// How the sound changes with the density of the air.
///
/// `ΔL = 20·lg(ρ2/ρ1)`
///
/// | name      | meaning              | unit | valid      |
/// |-----------|----------------------|------|------------|
/// | `density` | new density over old | 1    | 0.02 to 50 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// From memory; no independent source was read.
///
/// # Example
///
/// ```
/// use lessdin::formulas::fans::density_gain;
///
/// assert!((density_gain(0.5).unwrap().0 + 6.0206).abs() < 1e-4);
///
/// assert!(density_gain(f64::NAN).is_err());
/// ```
pub fn density_gain(density: f64) -> Result<Gain, FormulaError> {
    Ok(Gain(DENSITY_COEFFICIENT * ratio("the ratio of densities", density)?.log10()))
}

/// A fan of another size, run so that something stays the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resized {
    /// New speed over old.
    pub speed: f64,
    /// Flow, pressure and power, new over old.
    pub factors: Factors,
    /// Change of sound.
    pub gain: Gain,
}

fn resized(diameter: f64, speed: f64, coefficient: f64) -> Result<Resized, FormulaError> {
    Ok(Resized { speed, factors: factors(speed, diameter, 1.0)?, gain: speed_gain(speed, coefficient)? + diameter_gain(diameter)? })
}

/// A fan of another size giving the same flow.
///
/// `N2/N1 = (D1/D2)³`, `ΔL = c·lg(N2/N1) + 70·lg(D2/D1)`; with c = 50 that is `−80·lg(D2/D1)`
///
/// | name          | meaning                   | unit | valid       |
/// |---------------|---------------------------|------|-------------|
/// | `diameter`    | new diameter over old     | 1    | 0.28 to 3.6 |
/// | `coefficient` | dB per tenfold speed, c   | dB   | 50 to 60    |
///
/// Optimistic: the pressure falls with the fourth power of the diameter, and the fan may not start at that speed.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Follows from the fan laws.
///
/// # Example
///
/// ```
/// use lessdin::formulas::fans::same_flow;
///
/// let bigger = same_flow(1.5, 50.0).unwrap();
/// assert!((bigger.gain.0 + 14.087).abs() < 1e-3);
/// assert!((bigger.factors.pressure - 0.1975).abs() < 1e-4);
///
/// assert!(same_flow(0.0, 50.0).is_err());
/// ```
pub fn same_flow(diameter: f64, coefficient: f64) -> Result<Resized, FormulaError> {
    within("the ratio of diameters", diameter, 0.28, 3.6)?;
    resized(diameter, diameter.powi(-3), coefficient)
}

/// A fan of another size giving the same pressure.
///
/// `N2/N1 = D1/D2`, `ΔL = c·lg(N2/N1) + 70·lg(D2/D1)`; with c = 50 that is `20·lg(D2/D1)`
///
/// | name          | meaning                   | unit | valid      |
/// |---------------|---------------------------|------|------------|
/// | `diameter`    | new diameter over old     | 1    | 0.02 to 50 |
/// | `coefficient` | dB per tenfold speed, c   | dB   | 50 to 60   |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Follows from the fan laws.
///
/// # Example
///
/// ```
/// use lessdin::formulas::fans::same_pressure;
///
/// assert!((same_pressure(1.5, 50.0).unwrap().gain.0 - 3.5218).abs() < 1e-4);
///
/// assert!(same_pressure(1.5, 49.0).is_err());
/// ```
pub fn same_pressure(diameter: f64, coefficient: f64) -> Result<Resized, FormulaError> {
    ratio("the ratio of diameters", diameter)?;
    resized(diameter, 1.0 / diameter, coefficient)
}

/// The frequency at which blades pass a fixed point.
///
/// `f = B·N/60`
///
/// | name     | meaning          | unit   | valid         |
/// |----------|------------------|--------|---------------|
/// | `blades` | how many, B      | 1      | 1 to 100      |
/// | `rpm`    | speed, N         | 1/min  | 1e-12 to 1e12 |
///
/// Two fans beat at the difference of their frequencies.
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: one pulse for each blade in each turn.
///
/// # Example
///
/// ```
/// use lessdin::formulas::fans::blade_pass;
///
/// assert!((blade_pass(7, 3000.0).unwrap() - 350.0).abs() < 1e-9);
///
/// assert!(blade_pass(0, 3000.0).is_err());
/// ```
pub fn blade_pass(blades: u32, rpm: f64) -> Result<f64, FormulaError> {
    let blades = within("the number of blades", f64::from(blades), 1.0, 100.0)?;
    Ok(blades * positive("the speed", rpm)? / 60.0)
}

/// The speed of a fan whose blade tone was found: [`blade_pass`] turned round.
///
/// `N = 60·f/B`
///
/// | name        | meaning          | unit | valid         |
/// |-------------|------------------|------|---------------|
/// | `blades`    | how many, B      | 1    | 1 to 100      |
/// | `frequency` | of the tone, f   | Hz   | 1e-12 to 1e12 |
///
/// # Errors
///
/// [`FormulaError::NotFinite`] or [`FormulaError::OutOfRange`].
///
/// # Source
///
/// Derived: one pulse for each blade in each turn.
///
/// # Example
///
/// ```
/// use lessdin::formulas::fans::speed_from_blade_pass;
///
/// assert!((speed_from_blade_pass(9, 735.0).unwrap() - 4900.0).abs() < 1e-9);
///
/// assert!(speed_from_blade_pass(9, 0.0).is_err());
/// ```
pub fn speed_from_blade_pass(blades: u32, frequency: f64) -> Result<f64, FormulaError> {
    let blades = within("the number of blades", f64::from(blades), 1.0, 100.0)?;
    Ok(60.0 * positive("the frequency", frequency)? / blades)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn the_laws_there_and_back_change_nothing() {
        for r in [0.1, 0.3, 0.77, 1.0, 2.5, 9.0] {
            let (there, back) = (factors(r, 1.0 / r, r), factors(1.0 / r, r, 1.0 / r));
            let (there, back) = (there.unwrap(), back.unwrap());
            assert_abs_diff_eq!(there.flow * back.flow, 1.0, epsilon = 1e-12);
            assert_abs_diff_eq!(there.pressure * back.pressure, 1.0, epsilon = 1e-12);
            assert_abs_diff_eq!(there.power * back.power, 1.0, epsilon = 1e-12);
            let gain = speed_gain(r, 55.0).unwrap() + speed_gain(1.0 / r, 55.0).unwrap();
            assert_abs_diff_eq!(gain.0, 0.0, epsilon = 1e-12);
        }
    }

    #[test]
    fn the_same_flow_and_the_same_pressure_are_kept() {
        for r in [0.5, 1.0, 1.5, 3.0] {
            assert_abs_diff_eq!(same_flow(r, 55.0).unwrap().factors.flow, 1.0, epsilon = 1e-12);
            assert_abs_diff_eq!(same_pressure(r, 55.0).unwrap().factors.pressure, 1.0, epsilon = 1e-12);
        }
    }

    #[test]
    fn the_band_holds_both_ends_of_the_published_laws() {
        for r in [0.2, 0.9, 1.4, 3.0] {
            let band = speed_gain_band(r).unwrap();
            for end in [50.0, 60.0] {
                let gain = speed_gain(r, end).unwrap();
                assert_abs_diff_eq!((gain - band.value).0.abs(), band.half_width, epsilon = 1e-12);
            }
        }
    }

    #[test]
    fn speed_and_blade_tone_undo_each_other() {
        let tone = blade_pass(11, 4321.0).unwrap();
        assert_abs_diff_eq!(speed_from_blade_pass(11, tone).unwrap(), 4321.0, epsilon = 1e-9);
    }
}
