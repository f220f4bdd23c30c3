//! Lists and tables as text: pasting into rows, copying and exporting results.

mod export;
mod paste;
mod states;

pub use export::{csv, tsv};
pub use paste::{put_rows, room, rows_from_text};
pub use states::{count_rows, put_text};
