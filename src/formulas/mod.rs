//! What the standards and handbooks say, as plain functions: no pages, no text, no links.
//!
//! [`FORMULAS`] lists them all. Each is checked against numbers from outside in `tests/native/standards/`.

pub mod active_set;
pub mod chance;
pub mod compare;
pub mod credit;
mod error;
pub mod fans;
pub mod levels;
pub mod loudness;
pub mod motion;
pub mod nnls;
pub mod partition;
pub mod power;
mod registry;
pub mod separation;
pub mod series;
pub mod source;
pub mod uncertainty;

pub use error::FormulaError;
pub use registry::FORMULAS;
pub use source::{Formula, How, SOURCES, Source};
