//! Find what makes a desktop motion machine noisy, and whether a fix is worth it.
//!
//! Arrows point one way: [`units`] ← [`formulas`] ← [`sheets`] ← `ui`, with [`calc`] (the contract) and [`text`] beside
//! `formulas`. The core knows no browser, no clock and no randomness of its own.
//!
//! | module | what it is for |
//! | --- | --- |
//! | [`units`] | quantities that cannot be mixed up: `Level + Level` does not compile |
//! | [`formulas`] | what standards and handbooks say, as plain functions, each with its source |
//! | [`text`] | every word on the page, as one table; sentences as values |
//! | [`calc`] | the contract: fields, drafts, links, reading, reports, pictures, numbers |
//! | [`sheets`] | one folder per calculation, and the list of them |
//! | `worker` | longer calculations, off the page's main thread |
//! | `ui` | the page; no arithmetic |

pub mod calc;
pub mod formulas;
pub mod sheets;
pub mod text;
pub mod units;

#[cfg(feature = "ui")]
pub mod ui;
#[cfg(feature = "ui")]
pub mod worker;
