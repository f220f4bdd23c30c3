//! What the device keeps: drafts exactly as typed, what was worked out last, what was saved, and the person's settings.

use super::browser;
use super::offer;
use crate::calc::draft::Draft;
use crate::calc::sheet::Sheet;
use crate::sheets;

const RECENT: &str = "lessdin.recent";
const SAVED: &str = "lessdin.saved";
/// Where this tab's address stood when a draft was last kept.
const ADDRESS: &str = "lessdin.address";
const MOST_RECENT: usize = 6;
const MOST_SAVED: usize = 100;

/// What was kept for a sheet.
pub(super) enum Kept {
    /// Nothing.
    Nothing,
    /// A draft, and the link the address bar showed for it.
    Draft(Box<Draft>, String),
    /// Something that cannot be read: its text.
    Damaged(String),
}

fn draft_key(sheet: &dyn Sheet) -> String {
    format!("lessdin.draft.{}", sheet.meta().id)
}

/// The draft kept for a sheet.
pub(super) fn draft(sheet: &dyn Sheet) -> Kept {
    let Some(text) = browser::kept(&draft_key(sheet)) else { return Kept::Nothing };
    let (link, raw) = text.split_once('\n').unwrap_or(("", &text));
    let opened = offer::restore(raw);
    match opened.draft {
        Some(draft) if opened.sheet == sheet.meta().id && opened.notes.is_empty() => Kept::Draft(Box::new(draft), link.to_owned()),
        _ => Kept::Damaged(text),
    }
}

/// Keeps a draft as typed, with the link the address bar shows for it.
pub(super) fn keep_draft(sheet: &dyn Sheet, draft: &Draft, link: &str) -> bool {
    browser::keep_in_tab(ADDRESS, link);
    browser::keep(&draft_key(sheet), &format!("{link}\n{}", sheet.keep(draft)))
}

/// Whether this tab was reloaded with the draft in it that was kept under this link.
pub(super) fn was_reloaded_at(link: &str) -> bool {
    browser::is_reload() && browser::kept_in_tab(ADDRESS).as_deref() == Some(link)
}

/// Sets damaged text aside, so that the next visit does not meet it again.
pub(super) fn forget_draft(sheet: &dyn Sheet) {
    browser::forget(&draft_key(sheet));
}

/// A line of a list kept on this device.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Entry {
    /// The link.
    pub(super) link: String,
    /// What it answered.
    pub(super) headline: String,
    /// When, as the device wrote it.
    pub(super) date: String,
}

/// The sheet a link asks for, when it is one of the menu's.
fn sheet_of(link: &str) -> Option<&'static str> {
    let id = link.strip_prefix("#/")?.split('/').next()?;
    sheets::MENU.iter().map(|question| question.id).find(|known| *known == id)
}

fn entries(key: &str) -> Vec<Entry> {
    let text = browser::kept(key).unwrap_or_default();
    let entry = |line: &str| {
        let mut parts = line.splitn(3, '\t');
        let (link, date, headline) = (parts.next()?, parts.next()?, parts.next()?);
        sheet_of(link)?;
        Some(Entry { link: link.to_owned(), date: date.to_owned(), headline: headline.to_owned() })
    };
    text.lines().filter_map(entry).collect()
}

fn keep_entries(key: &str, entries: &[Entry]) -> bool {
    let lines: Vec<String> = entries.iter().map(|entry| format!("{}\t{}\t{}", entry.link, entry.date, entry.headline)).collect();
    browser::keep(key, &lines.join("\n"))
}

fn new_entry(link: &str, headline: &str) -> Entry {
    Entry { link: link.to_owned(), headline: headline.replace(['\t', '\n'], " "), date: browser::today() }
}

/// What was worked out last, newest first, one per sheet.
pub(super) fn recent() -> Vec<Entry> {
    entries(RECENT)
}

/// Remembers what was just worked out.
pub(super) fn remember(link: &str, headline: &str) {
    let sheet = sheet_of(link);
    let mut list: Vec<Entry> = entries(RECENT).into_iter().filter(|entry| sheet_of(&entry.link) != sheet).collect();
    list.insert(0, new_entry(link, headline));
    list.truncate(MOST_RECENT);
    keep_entries(RECENT, &list);
}

/// What was saved, newest first.
pub(super) fn saved() -> Vec<Entry> {
    entries(SAVED)
}

/// Saves a calculation. Whether the device let us.
pub(super) fn save(link: &str, headline: &str) -> bool {
    let mut list: Vec<Entry> = entries(SAVED).into_iter().filter(|entry| entry.link != link).collect();
    list.insert(0, new_entry(link, headline));
    list.truncate(MOST_SAVED);
    keep_entries(SAVED, &list)
}

/// Forgets a saved calculation.
pub(super) fn unsave(link: &str) {
    let list: Vec<Entry> = entries(SAVED).into_iter().filter(|entry| entry.link != link).collect();
    keep_entries(SAVED, &list);
}

/// A setting; empty for the default.
pub(super) fn setting(name: &str) -> String {
    browser::kept(&format!("lessdin.{name}")).unwrap_or_default()
}

/// Keeps a setting.
pub(super) fn set_setting(name: &str, value: &str) {
    browser::keep(&format!("lessdin.{name}"), value);
}
