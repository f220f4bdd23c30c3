//! Which sheets and pages this program carries.
//!
//! The page is built as several programs from the same source (see `sheets::programs`). The first screen is a small one that
//! knows `alone` and the start page, so that an answer stands before anything else has arrived; each of the others carries some of
//! the sheets, and takes over when one of them is opened.

use super::field::FieldProps;
use super::sheet_ref::SheetRef;
use super::state::State;
use super::table::Context;
use crate::calc::link::{self, Opened};
use crate::calc::quantity::Unit;
use crate::calc::schema::{Key, Schema};
use crate::calc::sheet::Sheet;
use crate::text::Style;
use std::sync::OnceLock;
use yew::prelude::*;

/// Draws what stands before the fields of a sheet.
pub(super) type Front = fn(&UseReducerHandle<State>, &Context, &AttrValue) -> Html;

/// Draws what the program of the first screen leaves to the others.
#[derive(Clone, Copy)]
pub(super) struct Whole {
    /// The page of a sheet.
    pub(super) page: fn(SheetRef, &AttrValue, Style, &Callback<String>) -> Html,
    /// A field where one of a few is picked.
    pub(super) choice: fn(&FieldProps) -> Html,
    /// A field that is on or off.
    pub(super) switch: fn(&FieldProps) -> Html,
    /// The list of units beside a field.
    pub(super) unit_list: fn(&FieldProps, &'static [Unit]) -> Html,
    /// What stands before the fields, in the program that has something there.
    pub(super) front: Option<Front>,
    /// The level, dB, of a cell that holds more than a level, in the program that has such cells.
    pub(super) packed: Option<fn(&str) -> Option<f64>>,
    /// The settings, folded or open.
    pub(super) settings: fn(bool, Style, Callback<Style>, &Callback<String>) -> Html,
}

/// What a program carries.
pub(super) struct Offer {
    /// Its name in `sheets::programs`.
    pub(super) name: Key,
    /// The sheets it can work out.
    pub(super) sheets: &'static [&'static dyn Sheet],
    /// What else it draws; `None` for the program of the first screen.
    pub(super) whole: Option<Whole>,
}

static OFFER: OnceLock<Offer> = OnceLock::new();

/// Sets what this program carries, once, before anything is drawn.
pub(super) fn set(offer: Offer) {
    let _ = OFFER.set(offer);
}

/// This program's name.
pub(super) fn name() -> Key {
    OFFER.get().map_or("", |offer| offer.name)
}

/// What this program draws beside the start page, if it is the whole one.
pub(super) fn whole() -> Option<Whole> {
    OFFER.get()?.whole
}

/// The sheet with this id, if this program carries it.
pub(super) fn find(id: &str) -> Option<&'static dyn Sheet> {
    OFFER.get()?.sheets.iter().copied().find(|sheet| sheet.meta().id == id)
}

/// Opens a link to a sheet this program carries.
pub(super) fn open(text: &str) -> Opened {
    link::open(text, known)
}

/// Opens what the device kept of a draft, exactly as it was typed.
pub(super) fn restore(kept: &str) -> Opened {
    link::restore(kept, known)
}

fn known(id: &str) -> Option<(u32, &'static Schema)> {
    find(id).map(|sheet| (sheet.meta().version, sheet.schema()))
}
