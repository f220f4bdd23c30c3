//! One folder per calculation, and the only list of them.

pub mod alone;
pub mod louder;
pub mod reading;
pub mod steps;
pub mod swap;
pub mod tally;

use crate::calc::draft::Draft;
use crate::calc::link::{self, Opened};
use crate::calc::sheet::{Sheet, Work, work as work_of};

/// Every sheet, in menu order.
pub static SHEETS: &[&dyn Sheet] = &[
    &tally::Tally, //
    &alone::Alone,
    &louder::Louder,
    &swap::Swap,
    &steps::Steps,
];

/// The longer part of a sheet, by its id.
type Longer = fn(&Draft, u64) -> Option<Box<dyn Work>>;

/// The sheets with a longer part. Only the worker looks here, so that only the worker carries it.
static REFINED: &[(&str, Longer)] = &[("swap", work_of::<swap::Swap>)];

/// The longer part for a draft of this sheet, if there is one.
pub fn work(id: &str, draft: &Draft, seed: u64) -> Option<Box<dyn Work>> {
    let (_, longer) = REFINED.iter().find(|(sheet, _)| *sheet == id)?;
    longer(draft, seed)
}

/// The sheet with this id.
pub fn find(id: &str) -> Option<&'static dyn Sheet> {
    SHEETS.iter().copied().find(|sheet| sheet.meta().id == id)
}

/// Opens a link.
pub fn open(link: &str) -> Opened {
    link::open(link, |id| find(id).map(|sheet| (sheet.meta().version, sheet.schema())))
}
