//! The sheets for other programs: a JavaScript module. `cargo module` builds it into `target/module/`.
//!
//! Two functions cross the border, [`sheets`] and [`solve`]; both hand over plain objects. `lessdin.js` beside this file is
//! what other pages import: it loads the program and refuses what is not a link. `lessdin.d.ts` beside it names the types;
//! a test holds real results against it.

mod listed;
mod solved;
pub mod words;

use serde::Serialize;
use serde_wasm_bindgen::{Error, Serializer};
use wasm_bindgen::JsValue;
use wasm_bindgen::prelude::wasm_bindgen;

/// Every sheet: what it is called, what it asks for, in which units and within which limits.
///
/// # Errors
///
/// None that is known: what is listed is text and finite numbers.
#[wasm_bindgen(skip_typescript)]
pub fn sheets() -> Result<JsValue, Error> {
    plain(&listed::all())
}

/// Opens a link and works it out. Whatever the text, there is an object: what is wrong with a link is said in it.
///
/// # Errors
///
/// None that is known: what is found is text and finite numbers.
#[wasm_bindgen(skip_typescript)]
pub fn solve(link: &str) -> Result<JsValue, Error> {
    plain(&solved::solve(link))
}

/// Objects, arrays, text, numbers and null: no maps, no big integers, nothing undefined.
fn plain(value: &impl Serialize) -> Result<JsValue, Error> {
    value.serialize(&Serializer::json_compatible())
}
