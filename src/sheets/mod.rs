//! One folder per calculation, and the only list of them.

pub mod alone;
pub mod louder;
pub mod reading;
pub mod steps;
pub mod swap;
pub mod tally;

use crate::calc::link::{self, Opened};
use crate::calc::sheet::Sheet;

/// Every sheet, in menu order.
pub static SHEETS: &[&dyn Sheet] = &[
    &tally::Tally, //
    &alone::Alone,
    &louder::Louder,
    &swap::Swap,
    &steps::Steps,
];

/// The sheet with this id.
pub fn find(id: &str) -> Option<&'static dyn Sheet> {
    SHEETS.iter().copied().find(|sheet| sheet.meta().id == id)
}

/// Opens a link.
pub fn open(link: &str) -> Opened {
    link::open(link, |id| find(id).map(|sheet| (sheet.meta().version, sheet.schema())))
}
