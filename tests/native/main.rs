//! Native tests. One binary; one sentence per module on what belongs there.

/// Outside checks: published numbers and general-purpose libraries against our formulas.
mod standards;
