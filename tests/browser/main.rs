//! The built site in real browsers, driven by the W3C protocol for that.
//!
//! `cargo test --features dev --test browser` runs every flow against the site in `dist/` (or `LESSDIN_DIST`), in every browser
//! that `LESSDIN_ENGINES` names (`chromium`, the default, `firefox`, `webkit`; separated by commas). `cargo verify chromium firefox webkit` builds
//! the site first and finds the browsers.

#![allow(clippy::expect_used, clippy::indexing_slicing, clippy::unwrap_used, reason = "a flow that cannot go on has failed")]

/// Which browsers there are, how each is started, and what each cannot do, with the reason.
mod engine;
/// The page in the words of a person: fields, buttons, the answer.
mod page;
/// The static host of the built site: it can be stopped, changed and asked what it was asked for.
mod server;
/// The W3C protocol for driving browsers, as much of it as the flows need.
mod webdriver;

/// WCAG 2.2 AA by axe-core, and what axe cannot see.
mod access;
/// Keeping: reload, undo and redo, back, damaged storage.
mod keeping;
/// The look: narrow screens, touch, light and dark, motion, forced colours.
mod layout;
/// Links that are wrong, and links as they should be.
mod links;
/// Decimal comma.
mod locale;
/// Logs of meters: opened, divided into phases, kept, shared.
mod logs;
/// The main job, end to end.
mod main_job;
/// The JavaScript module in a page that is not ours.
mod module;
/// Working with the network off, and newer builds.
mod offline;
/// Copy, download, print.
mod outputs;
/// No request leaves the page's own origin.
mod privacy;
/// Lists and spreadsheet cells.
mod tables;
/// A missing file, a crash, a plain http address.
mod trouble;
