//! Find what makes a desktop motion machine noisy, and whether a fix is worth it.

pub mod formulas;
pub mod units;
