//! One folder per calculation, and the only list of them.

pub mod alone;
pub mod enough;
pub mod louder;
pub mod reading;
pub mod runs;
pub mod steps;
pub mod swap;
pub mod tally;

use crate::calc::draft::Draft;
use crate::calc::link::{self, Opened};
use crate::calc::read;
use crate::calc::report::{HandOver, Report};
use crate::calc::schema::{Key, Schema};
use crate::calc::sheet::{Calc, Group, Sheet, Work, work as work_of};
use crate::text::Msg;

/// Every sheet, in menu order.
pub static SHEETS: &[&dyn Sheet] = &[
    &tally::Tally, //
    &alone::Alone,
    &louder::Louder,
    &swap::Swap,
    &runs::Runs,
    &enough::Enough,
    &steps::Steps,
];

/// What the first screen can answer by itself.
pub static FIRST: &[&dyn Sheet] = &[&alone::Short];

/// A question of the menu.
#[derive(Debug)]
pub struct Question {
    /// The sheet's id.
    pub id: Key,
    /// The menu group.
    pub group: Group,
    /// The question.
    pub title: Msg,
    /// A few words under it.
    pub hint: Msg,
}

/// The menu, in the order of [`SHEETS`]: what the first screen shows of each sheet, without carrying the sheet.
pub static MENU: &[Question] = &[
    question::<tally::Tally>(), //
    question::<alone::Alone>(),
    question::<louder::Louder>(),
    question::<swap::Swap>(),
    question::<runs::Runs>(),
    question::<enough::Enough>(),
    question::<steps::Steps>(),
];

const fn question<C: Calc>() -> Question {
    Question { id: C::META.id, group: C::META.group, title: C::META.title, hint: C::META.hint }
}

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_menu_asks_what_the_sheets_answer_in_the_same_order() {
        assert_eq!(
            MENU.iter().map(|question| (question.id, question.title)).collect::<Vec<_>>(),
            SHEETS.iter().map(|sheet| (sheet.meta().id, sheet.meta().title)).collect::<Vec<_>>(),
        );
        assert!(FIRST.iter().all(|sheet| find(sheet.meta().id).is_some()));
    }
}
