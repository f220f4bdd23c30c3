//! The state of a sheet on the page: its draft with past and future, and what to say about where it came from.

use super::browser;
use super::offer;
use super::store::{self, Kept};
use super::words;
use crate::calc::draft::{Draft, History, Path};
use crate::calc::sheet::Sheet;
use crate::text::{Said, say};
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::atomic::{AtomicBool, Ordering};
use yew::Reducible;

/// A sheet as the page holds it.
#[derive(Clone)]
pub(super) struct State {
    pub(super) sheet: &'static dyn Sheet,
    pub(super) history: History,
    /// What to say about the link or the store the draft came from.
    pub(super) notes: Vec<Said>,
    /// Grows with every change: effects hang on it.
    pub(super) turn: u32,
    /// Nothing is being typed: the address can follow at once.
    pub(super) settled: bool,
    /// Which entry of the browser's history the draft belongs to.
    entry: u32,
    /// The next change makes an entry.
    fresh: bool,
    /// Where the address bar stands: the same for every copy, and nothing that is drawn.
    pub(super) address: Rc<RefCell<Address>>,
}

/// Where the address bar stands.
pub(super) struct Address {
    pub(super) link: String,
    entry: u32,
}

impl PartialEq for State {
    fn eq(&self, other: &Self) -> bool {
        self.turn == other.turn && self.settled == other.settled && std::ptr::addr_eq(self.sheet, other.sheet)
    }
}

/// What a person does to a draft.
#[derive(Clone, PartialEq)]
pub(super) enum Act {
    /// Types into a cell.
    Type(Path, String),
    /// Leaves a cell, or sets it by a button or a list.
    Commit,
    /// Sets a cell in one step.
    Set(Path, String),
    /// Changes the draft in one step.
    Edit(Edit),
    /// Opens a link: the address bar has changed.
    Open(String),
    /// Puts another draft in place of this one, with what to say about it.
    Replace(Draft, Vec<Said>),
    Undo,
    Redo,
}

/// A change of a draft, made where it is needed: the first screen's program never makes those of tables.
#[derive(Clone)]
pub(super) struct Edit(Rc<Change>);

type Change = dyn Fn(&'static dyn Sheet, &mut Draft);

impl PartialEq for Edit {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}

impl Act {
    /// Changes the draft in one step.
    pub(super) fn edit(change: impl Fn(&'static dyn Sheet, &mut Draft) + 'static) -> Self {
        Self::Edit(Edit(Rc::new(change)))
    }
}

/// No sheet has been opened since the page was loaded.
static FIRST: AtomicBool = AtomicBool::new(true);

/// Every row a sheet shows at the start.
fn with_start_rows(sheet: &dyn Sheet, mut draft: Draft) -> Draft {
    for table in sheet.schema().tables {
        draft.ensure_rows(table);
    }
    draft
}

impl State {
    /// The state for an address: the kept draft when the address is the one it left behind or names only the sheet; else
    /// the link's own draft, with the kept one a step back.
    pub(super) fn open(sheet: &'static dyn Sheet, fragment: &str) -> Self {
        let mut notes = Vec::new();
        let opened = offer::open(fragment);
        let (kept, kept_link) = match store::draft(sheet) {
            Kept::Draft(draft, link) => (*draft, link),
            Kept::Nothing => (Draft::default(), String::new()),
            Kept::Damaged(text) => {
                store::forget_draft(sheet);
                notes.push(say(words::DAMAGED).typed("text", text.chars().take(400).collect::<String>()));
                (Draft::default(), String::new())
            }
        };
        let from_link = opened.draft.filter(|draft| !draft.is_empty() || !opened.notes.is_empty());
        let mut history = History::new(with_start_rows(sheet, kept));
        // After a reload the address may be behind what was typed last, and behind what the old page still wrote while the new one
        // was asked for: then it is brought up to date, in its own entry.
        let first = FIRST.swap(false, Ordering::Relaxed);
        let reloaded = !fragment.is_empty() && (fragment == kept_link || (first && store::was_reloaded_at(&kept_link)));
        match from_link {
            Some(draft) if !reloaded => {
                let had_content = !history.now().is_empty();
                notes.extend(opened.notes);
                notes.extend(sheet.version_notes(&draft));
                let replaces = had_content && sheet.link(history.now()) != sheet.link(&draft);
                if replaces {
                    notes.push(words::REPLACED.into());
                    history.change(|now| *now = with_start_rows(sheet, draft));
                } else {
                    history = History::new(with_start_rows(sheet, draft));
                }
            }
            _ => {}
        }
        let link = if reloaded { fragment.to_owned() } else { sheet.link(history.now()) };
        let address = Rc::new(RefCell::new(Address { link, entry: 0 }));
        Self { sheet, history, notes, turn: 0, settled: true, entry: 0, fresh: true, address }
    }

    pub(super) fn draft(&self) -> &Draft {
        self.history.now()
    }
}

impl Reducible for State {
    type Action = Act;

    fn reduce(self: Rc<Self>, act: Act) -> Rc<Self> {
        let mut next = (*self).clone();
        next.settled = !matches!(act, Act::Type(..));
        if act == Act::Commit {
            next.history.commit();
            next.fresh = true;
            return Rc::new(next);
        }
        next.turn += 1;
        if next.fresh || matches!(act, Act::Set(..) | Act::Open(_)) {
            next.entry += 1;
            next.fresh = matches!(act, Act::Open(_));
        }
        match act {
            Act::Type(path, text) => next.history.type_text(path, text),
            Act::Commit => {}
            Act::Set(path, text) => next.history.change(|draft| draft.set(path, text)),
            Act::Edit(edit) => next.history.change(|draft| (edit.0)(self.sheet, draft)),
            Act::Open(fragment) => {
                let opened = offer::open(&fragment);
                let Some(draft) = opened.draft else { return self };
                next.notes = opened.notes;
                next.notes.extend(self.sheet.version_notes(&draft));
                let sheet = self.sheet;
                if sheet.link(self.draft()) != sheet.link(&draft) {
                    next.history.change(|now| *now = with_start_rows(sheet, draft));
                }
                next.address.borrow_mut().link = fragment;
            }
            Act::Replace(draft, notes) => {
                next.notes = notes;
                let sheet = self.sheet;
                next.history.change(|now| *now = with_start_rows(sheet, draft));
            }
            Act::Undo => {
                if !next.history.undo() {
                    return self;
                }
                next.notes.clear();
            }
            Act::Redo => {
                if !next.history.redo() {
                    return self;
                }
                next.notes.clear();
            }
        }
        Rc::new(next)
    }
}

/// Writes the address when everything in the draft can be read, and keeps the draft.
pub(super) fn project(state: &State, clean: bool, in_address: bool) {
    if clean {
        let now = state.sheet.link(state.draft());
        let mut address = state.address.borrow_mut();
        if now != address.link {
            if in_address {
                browser::set_fragment(&now, state.entry != address.entry);
            }
            *address = Address { link: now, entry: state.entry };
        }
    }
    keep(state);
}

/// Keeps the draft, with the link that the address bar shows.
pub(super) fn keep(state: &State) {
    store::keep_draft(state.sheet, state.draft(), &state.address.borrow().link);
}
