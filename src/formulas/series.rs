//! What one phase of a level log says: energy mean, levels exceeded, and how sure the mean is.
//!
//! Everything is worked out on energies; a gap in the log gains no weight.

use super::error::FormulaError;
use super::levels;
use crate::units::Level;

/// Below this many independent samples a single log says too little about its own scatter: the intervals worked out
/// from it no longer hold what they promise. Found by trying it out, see "Coverage" in DEVELOPERS.md.
pub const FEWEST_EFFECTIVE: f64 = 20.0;

/// What one phase of one log says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    /// Energy mean of the samples, dB.
    pub leq: Level,
    /// Exceeded by 10 % of the samples, dB.
    pub l10: Level,
    /// Exceeded by 50 % of the samples, dB.
    pub l50: Level,
    /// Exceeded by 90 % of the samples, dB.
    pub l90: Level,
    /// The loudest sample, dB.
    pub max: Level,
    /// The quietest sample, dB.
    pub min: Level,
    /// The arithmetic mean of the decibels, dB: only to show why it is wrong.
    pub mean_db: f64,
    /// How many samples there are.
    pub count: u32,
    /// The nominal time from one sample to the next, s.
    pub step_s: f64,
    /// The share of the phase that has no samples, from 0 to 1.
    pub missing: f64,
    /// Standard error of `leq`, dB, from the series' own scatter in time. NaN never; infinite never: a series that says nothing
    /// about its scatter has zero degrees of freedom.
    pub standard_error_db: f64,
    /// How many independent samples would tell as much about the mean; not above `count`.
    pub effective_count: f64,
    /// Degrees of freedom behind `standard_error_db`, for Student's t. Zero when there is no telling.
    pub dof: f64,
}

impl Summary {
    /// How long the samples last together, s; gaps are not counted.
    pub fn duration_s(&self) -> f64 {
        f64::from(self.count) * self.step_s
    }

    /// The exposure level of what was recorded, dB re 1 s.
    ///
    /// # Errors
    ///
    /// As [`levels::exposure_level`].
    pub fn exposure(&self) -> Result<Level, FormulaError> {
        levels::exposure_level(self.leq, self.duration_s())
    }

    /// Whether the log is too short, for the way it wavers, to say how sure its mean is.
    pub fn too_few(&self) -> bool {
        self.dof < 1.0 || self.effective_count < FEWEST_EFFECTIVE
    }
}
