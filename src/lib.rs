//! Find what makes a desktop motion machine noisy, and whether a fix is worth it.
//!
//! A calculation is a link; a sheet reads it, works it out and says the answer:
//!
//! ```
//! use lessdin::calc::sheet::Outcome;
//! use lessdin::{sheets, text};
//!
//! let opened = sheets::open("#/alone/v1/on=46.1/off=44.9");
//! let sheet = sheets::find(&opened.sheet).unwrap();
//! let run = sheet.run(&opened.draft.unwrap(), None);
//! let Outcome::Answer(report) = run.outcome else { panic!("two readings are enough") };
//!
//! let sentence = report.headline.text(text::Style::default());
//! assert!(sentence.starts_with("Stopping it gained 1.2"));
//! ```
//!
//! Arrows point one way: [`units`] ← [`formulas`] ← [`calc`] and [`text`] ← [`sheets`], [`files`] ← `ui`. The core knows no browser, no
//! clock and no randomness of its own.
//!
//! | module | what it is for |
//! | --- | --- |
//! | [`units`] | quantities that cannot be mixed up: `Level + Level` does not compile |
//! | [`formulas`] | what standards and handbooks say, as plain functions, each with its source |
//! | [`text`] | every word on the page, as one table; sentences as values |
//! | [`calc`] | the contract: fields, drafts, links, reading, reports, pictures, numbers |
//! | [`files`] | logs of meters: from the bytes of a file to levels and times; beside [`sheets`] |
//! | [`sheets`] | one folder per calculation, and the list of them |
//! | `worker` | longer calculations, off the page's main thread |
//! | `logs` | level logs on this device, in a worker of their own |
//! | `ui` | the page; no arithmetic |
//! | `js` | the same sheets as a JavaScript module; no arithmetic |

pub mod calc;
pub mod files;
pub mod formulas;
pub mod sheets;
pub mod text;
pub mod units;

#[cfg(feature = "js")]
pub mod js;
#[cfg(any(feature = "logs", feature = "ui"))]
pub mod logs;
#[cfg(feature = "ui")]
pub mod ui;
#[cfg(feature = "ui")]
pub mod worker;
