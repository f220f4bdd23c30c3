//! Longer calculations, off the page's main thread.
//!
//! The page asks with a link; the worker works in steps and answers with progress and, at the end, plain numbers. Between
//! steps it listens: a new question or a cancel ends the old one, and nothing else the worker holds is lost.
//!
//! Three kinds of message each way, as small arrays: a general way to carry any structure weighs more than all of this.

pub mod client;
pub mod server;

use wasm_bindgen::prelude::*;

/// What the page asks.
#[derive(Debug)]
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
#[derive(Debug)]
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

/// A whole number that came as a double.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sent as a u32 by the other side of this file")]
fn whole(value: &JsValue) -> Option<u32> {
    value.as_f64().map(|value| value as u32)
}

impl Ask {
    fn to_message(&self) -> JsValue {
        match self {
            Self::Work { id, link, seed } => js_sys::Array::of3(&(*id).into(), &link.into(), &(*seed).into()).into(),
            Self::Cancel => JsValue::NULL,
        }
    }

    fn from_message(message: &JsValue) -> Option<Self> {
        if message.is_null() {
            return Some(Self::Cancel);
        }
        let parts = message.dyn_ref::<js_sys::Array>()?;
        Some(Self::Work { id: whole(&parts.get(0))?, link: parts.get(1).as_string()?, seed: whole(&parts.get(2))? })
    }
}

impl Reply {
    fn to_message(&self) -> JsValue {
        match self {
            Self::Ready => JsValue::NULL,
            Self::Progress { id, share } => js_sys::Array::of2(&(*id).into(), &(*share).into()).into(),
            Self::Done { id, found } => js_sys::Array::of2(&(*id).into(), &js_sys::Float64Array::from(found.as_slice()).into()).into(),
        }
    }

    fn from_message(message: &JsValue) -> Option<Self> {
        if message.is_null() {
            return Some(Self::Ready);
        }
        let parts = message.dyn_ref::<js_sys::Array>()?;
        let (id, what) = (whole(&parts.get(0))?, parts.get(1));
        match what.dyn_ref::<js_sys::Float64Array>() {
            Some(found) => Some(Self::Done { id, found: found.to_vec() }),
            None => Some(Self::Progress { id, share: what.as_f64()? }),
        }
    }
}
