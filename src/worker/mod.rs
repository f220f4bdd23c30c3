//! Work off the page's main thread.
//!
//! A worker is asked by plain arrays: a number of the question, then what it needs; the number alone takes the question back.
//! It answers `[number, "progress", share, count]` as often as it likes, and once `[number, "found", what]` or
//! `[number, "refused", why]`. Its very first message says that it listens. A general way to carry any structure weighs more than
//! all of this.

pub mod client;
pub mod server;
