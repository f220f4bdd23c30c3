//! One folder per calculation, and the only list of them.

pub mod alone;
pub mod louder;
pub mod reading;
pub mod steps;
pub mod swap;
pub mod tally;

use crate::calc::draft::Draft;
use crate::calc::link::{self, Opened};
use crate::calc::read;
use crate::calc::report::{HandOver, Report};
use crate::calc::schema::Schema;
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
    link::open(link, known)
}

/// Opens what the device kept of a draft, exactly as it was typed.
pub fn restore(kept: &str) -> Opened {
    link::restore(kept, known)
}

/// The sheets an answer hands over to: those there are, and that take every number filled in.
pub fn hand_overs(report: &Report) -> impl Iterator<Item = (&'static dyn Sheet, &HandOver)> {
    let targets = report.hand_over.iter().filter_map(|over| Some((find(over.sheet)?, over)));
    targets.filter(|(sheet, over)| read::problems(sheet.schema(), &over.draft).is_empty())
}

fn known(id: &str) -> Option<(u32, &'static Schema)> {
    find(id).map(|sheet| (sheet.meta().version, sheet.schema()))
}
