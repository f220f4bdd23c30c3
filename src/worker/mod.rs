//! Longer calculations, off the page's main thread.
//!
//! The page asks with a link; the worker works in steps and answers with progress and, at the end, plain numbers. Between
//! steps it listens: a new question or a cancel ends the old one, and nothing else the worker holds is lost.

pub mod client;
pub mod server;

use serde::{Deserialize, Serialize};

/// What the page asks.
#[derive(Debug, Serialize, Deserialize)]
pub enum Ask {
    /// Work on this calculation.
    Work {
        /// Names the question in the answers.
        id: u32,
        /// The calculation, as a link.
        link: String,
        /// For the random numbers: the same link and seed give the same answer.
        seed: u32,
    },
    /// Stop working.
    Cancel,
}

/// What the worker answers.
#[derive(Debug, Serialize, Deserialize)]
pub enum Reply {
    /// The worker listens. Messages sent before this would be lost.
    Ready,
    /// So much is done.
    Progress {
        /// The question.
        id: u32,
        /// The share done, 0 to 1.
        share: f64,
    },
    /// Done.
    Done {
        /// The question.
        id: u32,
        /// What was found.
        found: Vec<f64>,
    },
}
