//! One folder per calculation, and the only list of them.

pub mod alone;
pub mod enough;
pub mod louder;
pub mod on_off;
pub mod reading;
pub mod runs;
pub mod steps;
pub mod swap;
pub mod tally;

use crate::calc::draft::Draft;
use crate::calc::link::{self, Mode, Opened};
use crate::calc::read;
use crate::calc::report::{HandOver, Report};
use crate::calc::schema::{Key, Schema};
use crate::calc::sheet::{Calc, Group, Refine, Sheet, Work, work as work_of};
use crate::text::Msg;

/// Every sheet, in menu order.
pub static SHEETS: &[&dyn Sheet] = &[
    &tally::Tally, //
    &alone::Alone,
    &louder::Louder,
    &on_off::OnOff,
    &swap::Swap,
    &runs::Runs,
    &enough::Enough,
    &steps::Steps,
];

/// The programs the page is built as. Each is fetched when one of its sheets is opened, so each is small.
pub mod programs {
    use super::{Sheet, alone, enough, louder, on_off, runs, steps, swap, tally};
    use crate::calc::schema::Key;

    /// The start page with its quick answer.
    pub const FIRST: Key = "first";
    /// What makes the noise, and what to change.
    pub const APP: Key = "app";
    /// Whether it worked.
    pub const CHECK: Key = "check";
    /// Steps and speeds.
    pub const MOVES: Key = "moves";

    /// What the first screen can answer by itself.
    pub static FIRST_SHEETS: &[&dyn Sheet] = &[&alone::Short];
    /// The sheets of [`APP`].
    pub static APP_SHEETS: &[&dyn Sheet] = &[&tally::Tally, &alone::Alone, &louder::Louder, &on_off::OnOff, &swap::Swap];
    /// The sheets of [`CHECK`].
    pub static CHECK_SHEETS: &[&dyn Sheet] = &[&runs::Runs, &enough::Enough];
    /// The sheets of [`MOVES`].
    pub static MOVES_SHEETS: &[&dyn Sheet] = &[&steps::Steps];
}

/// A question of the menu: what every program knows of a sheet, without carrying it.
#[derive(Debug)]
pub struct Question {
    /// The sheet's id.
    pub id: Key,
    /// The program that carries it.
    pub program: Key,
    /// The menu group.
    pub group: Group,
    /// The question.
    pub title: Msg,
    /// A few words under it.
    pub hint: Msg,
}

/// The menu, in the order of [`SHEETS`].
pub static MENU: &[Question] = &[
    question::<tally::Tally>(programs::APP), //
    question::<alone::Alone>(programs::APP),
    question::<louder::Louder>(programs::APP),
    question::<on_off::OnOff>(programs::APP),
    question::<swap::Swap>(programs::APP),
    question::<runs::Runs>(programs::CHECK),
    question::<enough::Enough>(programs::CHECK),
    question::<steps::Steps>(programs::MOVES),
];

const fn question<C: Calc>(program: Key) -> Question {
    Question { id: C::META.id, program, group: C::META.group, title: C::META.title, hint: C::META.hint }
}

/// What a link to a sheet is made of.
#[derive(Debug)]
pub struct Target {
    /// The sheet's id.
    pub id: Key,
    version: u32,
    schema: &'static Schema,
}

/// Where answers hand over to, in the order of [`SHEETS`]: fields and ranges, without the sheets themselves.
static TARGETS: &[Target] = &[
    target::<tally::Tally>(), //
    target::<alone::Alone>(),
    target::<louder::Louder>(),
    target::<on_off::OnOff>(),
    target::<swap::Swap>(),
    target::<runs::Runs>(),
    target::<enough::Enough>(),
    target::<steps::Steps>(),
];

const fn target<C: Calc>() -> Target {
    Target { id: C::META.id, version: C::META.version, schema: &C::SCHEMA }
}

impl Target {
    /// The draft as a link to this sheet, from `#` on.
    pub fn link(&self, draft: &Draft) -> String {
        link::write(self.id, self.version, self.schema, draft, Mode::Link)
    }
}

/// A sheet with a longer part: fields and ranges, and the work itself, without the sheet's words.
struct Longer {
    target: Target,
    work: fn(&Draft, u64) -> Option<Box<dyn Work>>,
}

/// The sheets with a longer part. Only the worker looks here, so that only the worker carries it, and no other sheet.
static REFINED: &[Longer] = &[Longer { target: target::<on_off::OnOff>(), work: on_off::work }, longer::<swap::Swap>()];

const fn longer<C: Refine>() -> Longer {
    Longer { target: target::<C>(), work: work_of::<C> }
}

/// The longer part for a draft of this sheet, if there is one.
pub fn work(id: &str, draft: &Draft, seed: u64) -> Option<Box<dyn Work>> {
    let longer = REFINED.iter().find(|longer| longer.target.id == id)?;
    (longer.work)(draft, seed)
}

/// The longer part of what a link asks for, if there is one.
pub fn work_of_link(link: &str, seed: u64) -> Option<Box<dyn Work>> {
    let target = |id: &str| REFINED.iter().map(|longer| &longer.target).find(|target| target.id == id);
    let opened = link::open(link, |id| target(id).map(|target| (target.version, target.schema)));
    work(&opened.sheet, &opened.draft?, seed)
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
pub fn hand_overs(report: &Report) -> impl Iterator<Item = (&'static Target, &HandOver)> {
    let target = |over: &HandOver| TARGETS.iter().find(|target| target.id == over.sheet);
    let targets = report.hand_over.iter().filter_map(move |over| Some((target(over)?, over)));
    targets.filter(|(target, over)| read::problems(target.schema, &over.draft).is_empty())
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
        assert_eq!(
            TARGETS.iter().map(|target| (target.id, target.version)).collect::<Vec<_>>(),
            SHEETS.iter().map(|sheet| (sheet.meta().id, sheet.meta().version)).collect::<Vec<_>>(),
        );
        assert!(programs::FIRST_SHEETS.iter().all(|sheet| find(sheet.meta().id).is_some()));
    }

    #[test]
    fn every_sheet_is_in_the_program_the_menu_names() {
        let programs =
            [(programs::APP, programs::APP_SHEETS), (programs::CHECK, programs::CHECK_SHEETS), (programs::MOVES, programs::MOVES_SHEETS)];
        for (program, carried) in programs {
            let named: Vec<&str> = MENU.iter().filter(|question| question.program == program).map(|question| question.id).collect();
            assert_eq!(carried.iter().map(|sheet| sheet.meta().id).collect::<Vec<_>>(), named, "the sheets of {program}");
        }
    }
}
