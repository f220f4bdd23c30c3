//! Which sheets and pages this program carries.
//!
//! The page is built twice from the same source. The first screen is a small program that knows `alone` and the start page, so
//! that an answer stands before the rest has arrived; the other carries everything and takes over when a sheet is opened.

use super::sheet_ref::SheetRef;
use crate::calc::link::{self, Opened};
use crate::calc::schema::Schema;
use crate::calc::sheet::Sheet;
use crate::text::Style;
use std::sync::OnceLock;
use yew::prelude::*;

/// Draws the page of a sheet.
pub(super) type Page = fn(SheetRef, &AttrValue, Style, &Callback<String>) -> Html;

/// What a program carries.
pub(super) struct Offer {
    /// The sheets it can work out.
    pub(super) sheets: &'static [&'static dyn Sheet],
    /// How it draws a sheet; `None` for the program of the first screen.
    pub(super) page: Option<Page>,
}

static OFFER: OnceLock<Offer> = OnceLock::new();

/// Sets what this program carries, once, before anything is drawn.
pub(super) fn set(offer: Offer) {
    let _ = OFFER.set(offer);
}

/// How this program draws a sheet, if it does.
pub(super) fn page() -> Option<Page> {
    OFFER.get()?.page
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
