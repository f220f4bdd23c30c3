//! Logs of sound level meters: from the bytes of a file to levels and times, and to what was understood of them.
//!
//! Every logger writes its files in its own way. [`Reader`] finds out which, reads a file of any length piece by piece, and
//! says openly what it found, what it left out and what a person should look at ([`Understood`]). Whatever it found out can be
//! changed ([`Wanted`]) and the file read again. The core of it: a row weighs its nominal step, so that a gap never gains weight.

mod cells;
mod clock;
pub mod decode;
mod doubts;
pub mod error;
pub mod example;
pub mod export;
mod fast;
pub mod hash;
mod log;
mod names;
pub mod panel;
pub mod pyramid;
mod reader;
mod sniff;
pub mod statistics;
mod timeline;
pub mod understood;
mod wanted;
pub mod words;

pub use error::FileError;
pub use log::{Iter, Log};
pub use reader::{MOST_ROWS, Reader};
pub use understood::Understood;
pub use wanted::{Censored, DateOrder, Decimal, Encoding, Separator, TimeFrom, Wanted};
