//! Reading level logs: the dialects that are met, crossed with each other, and what goes wrong.

/// Every kind of dialect, in combination, against a truth the generator knows.
mod crossed;
/// The two made-up logs of the engraver.
mod engraver;
/// What people drop by mistake, and what is said then.
mod mistakes;
/// Ways of writing that are rare, one by one.
mod oddities;
/// General-purpose libraries that do a part of the same.
mod oracles;
/// Eight invented snippets and what is to be read in them.
mod snippets;

use lessdin::files::statistics::statistics;
use lessdin::files::{FileError, Log, Reader, Wanted};

/// Reads a whole file at once.
pub(crate) fn read(bytes: &[u8], wanted: &Wanted) -> Result<Log, FileError> {
    let mut reader = Reader::new(wanted);
    reader.push(bytes);
    reader.finish()
}

/// Reads a file that must read.
#[track_caller]
fn log(text: &str) -> Log {
    read(text.as_bytes(), &Wanted::default()).unwrap_or_else(|error| panic!("{error:?}\n{text}"))
}

fn leq(log: &Log) -> f64 {
    statistics(log).leq.unwrap().0
}

/// The levels of a log, dB.
fn levels(log: &Log) -> Vec<f64> {
    log.levels(0..log.len()).map(f64::from).map(|level| (level * 1000.0).round() / 1000.0).collect()
}

/// The times of a log, s from the start.
fn times(log: &Log) -> Vec<f64> {
    (0..log.len()).map(|row| log.at_s(row)).collect()
}
