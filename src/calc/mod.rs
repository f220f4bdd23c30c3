//! The contract every sheet fulfils. No calculation lives here.
//!
//! A number's journey: key press → [`draft::Draft`] (raw text per cell) → [`read::Reader`] (typed inputs, or problems with
//! their address) → the sheet's own `solve` (plain arithmetic) → its `report` (what to say, as values) → text, last, by
//! [`crate::text`] and [`number`]. The link is the draft's projection, made and read by [`link`].
//!
//! Start with [`sheet::Calc`]: that is what a sheet implements.

pub mod decimal;
pub mod draft;
pub mod error;
pub mod link;
pub mod moment;
pub mod number;
pub mod picture;
pub mod quantity;
pub mod read;
pub mod report;
pub mod schema;
pub mod sheet;
pub mod table_text;
pub mod window;
