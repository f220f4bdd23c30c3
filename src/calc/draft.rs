//! What is being typed: raw text per cell, kept as it is, half-typed included. With undo and redo.

use super::schema::{Key, Table};
use std::rc::Rc;

/// A row, for as long as the draft lives. It survives renaming and reordering.
pub type RowId = u32;

/// Where a cell is: also the address of an error.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Path {
    /// The row of a table; `None` for a plain field.
    pub row: Option<RowAt>,
    /// The field or column.
    pub col: Col,
}

/// A row of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RowAt {
    /// The table.
    pub table: Key,
    /// The row.
    pub row: RowId,
}

/// A column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Col {
    /// One of the schema's own.
    Fixed(Key),
    /// The one that follows this row of another table.
    Of(RowId),
}

impl RowAt {
    /// The name typed for this row, in one line: the text of the column called `name`.
    pub fn table_name(self, draft: &Draft) -> String {
        const MOST: usize = 40;
        let name = super::read::fold(draft.get(Path::cell(self.table, self.row, "name")));
        name.chars().take(MOST).collect::<String>().trim_end().to_owned()
    }
}

impl Path {
    /// A plain field.
    pub const fn field(key: Key) -> Self {
        Self { row: None, col: Col::Fixed(key) }
    }

    /// A cell of a table.
    pub const fn cell(table: Key, row: RowId, key: Key) -> Self {
        Self { row: Some(RowAt { table, row }), col: Col::Fixed(key) }
    }

    /// The cell of a table that follows a row of another table.
    pub const fn per(table: Key, row: RowId, of: RowId) -> Self {
        Self { row: Some(RowAt { table, row }), col: Col::Of(of) }
    }

    /// The key of the field or column; for a column that follows a row, `"per"`.
    pub const fn key(&self) -> Key {
        match self.col {
            Col::Fixed(key) => key,
            Col::Of(_) => "per",
        }
    }

    /// A name for element ids: letters, digits and hyphens.
    pub fn dom_id(&self) -> String {
        let col = match self.col {
            Col::Fixed(key) => key.to_owned(),
            Col::Of(row) => format!("per{row}"),
        };
        match self.row {
            None => format!("f-{col}"),
            Some(at) => format!("f-{}-{}-{col}", at.table, at.row),
        }
    }
}

/// The raw text of every cell, and the order of the rows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Draft {
    rows: Vec<(Key, Vec<RowId>)>,
    /// Sorted by path. A sheet has a few hundred at most.
    cells: Vec<(Path, String)>,
    next: RowId,
    /// The version of the link it came from.
    pub version: Option<u32>,
}

impl Draft {
    /// The text of a cell; empty when nothing was typed.
    pub fn get(&self, path: Path) -> &str {
        let found = self.cells.binary_search_by(|(at, _)| at.cmp(&path)).ok().and_then(|at| self.cells.get(at));
        found.map_or("", |(_, text)| text)
    }

    /// Sets the text of a cell.
    pub fn set(&mut self, path: Path, text: impl Into<String>) {
        self.put(path, text.into());
    }

    fn put(&mut self, path: Path, text: String) {
        match self.cells.binary_search_by(|(at, _)| at.cmp(&path)) {
            Ok(at) if text.is_empty() => {
                self.cells.remove(at);
            }
            Ok(at) => {
                if let Some(cell) = self.cells.get_mut(at) {
                    cell.1 = text;
                }
            }
            Err(_) if text.is_empty() => {}
            Err(at) => self.cells.insert(at, (path, text)),
        }
    }

    /// The same, for making drafts in one expression.
    #[must_use]
    pub fn with(mut self, path: Path, text: impl Into<String>) -> Self {
        self.set(path, text);
        self
    }

    /// The rows of a table, in order.
    pub fn rows(&self, table: Key) -> &[RowId] {
        self.rows.iter().find(|(key, _)| *key == table).map_or(&[], |(_, rows)| rows)
    }

    fn rows_mut(&mut self, table: Key) -> &mut Vec<RowId> {
        let at = self.rows.iter().position(|(key, _)| *key == table).unwrap_or_else(|| {
            self.rows.push((table, Vec::new()));
            self.rows.len() - 1
        });
        #[expect(clippy::indexing_slicing, reason = "just found, or just pushed")]
        &mut self.rows[at].1
    }

    /// Adds an empty row at the end.
    pub fn add_row(&mut self, table: Key) -> RowId {
        let row = self.next;
        self.next += 1;
        self.rows_mut(table).push(row);
        row
    }

    /// Adds a row with these cells filled.
    pub fn add_filled(&mut self, table: Key, cells: &[(Key, String)]) -> RowId {
        let row = self.add_row(table);
        for (key, text) in cells {
            self.set(Path::cell(table, row, key), text.clone());
        }
        row
    }

    /// Removes a row with its cells, and every cell that followed it.
    pub fn remove_row(&mut self, at: RowAt) {
        self.rows_mut(at.table).retain(|row| *row != at.row);
        self.cells.retain(|(path, _)| path.row != Some(at) && path.col != Col::Of(at.row));
    }

    /// Moves a row up (negative) or down in its table.
    pub fn move_row(&mut self, at: RowAt, by: isize) {
        let rows = self.rows_mut(at.table);
        let Some(from) = rows.iter().position(|row| *row == at.row) else { return };
        let to = from.saturating_add_signed(by).min(rows.len().saturating_sub(1));
        let row = rows.remove(from);
        rows.insert(to, row);
    }

    /// The place of a row in its table, from 1.
    pub fn ordinal(&self, at: RowAt) -> Option<usize> {
        self.rows(at.table).iter().position(|row| *row == at.row).map(|place| place + 1)
    }

    /// The row at a place, from 1.
    pub fn row_at(&self, table: Key, ordinal: usize) -> Option<RowId> {
        self.rows(table).get(ordinal.checked_sub(1)?).copied()
    }

    /// Whether nothing at all was typed.
    pub fn is_empty(&self) -> bool {
        self.cells.is_empty()
    }

    /// Whether a row has no text in it. Blanks alone are no text.
    pub fn row_is_empty(&self, at: RowAt) -> bool {
        let first = self.cells.partition_point(|(path, _)| path.row < Some(at));
        !self.cells.iter().skip(first).take_while(|(path, _)| path.row == Some(at)).any(|(_, text)| !text.trim().is_empty())
    }

    /// Adds empty rows until the table shows as many as it should at the start.
    pub fn ensure_rows(&mut self, table: &Table) {
        while self.rows(table.key).len() < table.start_rows {
            self.add_row(table.key);
        }
    }

    /// Every cell with text, in order of their paths.
    pub fn cells(&self) -> impl Iterator<Item = (Path, &str)> {
        self.cells.iter().map(|(path, text)| (*path, &**text))
    }
}

/// A draft with its past and its future.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct History {
    now: Draft,
    // Shared, so that a copy of the history is light: the page makes one with every key.
    past: Vec<Rc<Draft>>,
    future: Vec<Rc<Draft>>,
    typing: Option<Path>,
}

/// How many steps can be undone.
const MOST_STEPS: usize = 200;

impl History {
    /// Starts with a draft and no past.
    pub fn new(draft: Draft) -> Self {
        Self { now: draft, ..Self::default() }
    }

    /// The draft as it is.
    pub fn now(&self) -> &Draft {
        &self.now
    }

    /// Types into a cell. Typing on in the same cell is one step.
    pub fn type_text(&mut self, path: Path, text: impl Into<String>) {
        if self.typing != Some(path) {
            self.remember();
            self.typing = Some(path);
        }
        self.future.clear();
        self.now.set(path, text);
    }

    /// Ends a stretch of typing: what is typed next is a step of its own.
    pub fn commit(&mut self) {
        self.typing = None;
    }

    /// Changes the draft in one step.
    pub fn change(&mut self, edit: impl FnOnce(&mut Draft)) {
        self.remember();
        self.typing = None;
        self.future.clear();
        edit(&mut self.now);
    }

    /// Takes back the last step. Whether there was one.
    pub fn undo(&mut self) -> bool {
        self.typing = None;
        let Some(before) = self.past.pop() else { return false };
        self.future.push(Rc::new(std::mem::replace(&mut self.now, Rc::unwrap_or_clone(before))));
        true
    }

    /// Does the last step again that was taken back. Whether there was one.
    pub fn redo(&mut self) -> bool {
        self.typing = None;
        let Some(after) = self.future.pop() else { return false };
        self.past.push(Rc::new(std::mem::replace(&mut self.now, Rc::unwrap_or_clone(after))));
        true
    }

    /// Whether there is a step to take back.
    pub fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    /// Whether there is a step to do again.
    pub fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }

    fn remember(&mut self) {
        self.past.push(Rc::new(self.now.clone()));
        if self.past.len() > MOST_STEPS {
            self.past.remove(0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn undo_takes_back_a_stretch_of_typing_and_redo_brings_it_again() {
        let on = Path::field("on");
        let mut history = History::new(Draft::default());
        history.type_text(on, "4");
        history.type_text(on, "46");
        history.commit();
        history.type_text(on, "46.1");
        assert!(history.undo());
        assert_eq!(history.now().get(on), "46");
        assert!(history.undo());
        assert!(history.now().is_empty());
        assert!(!history.undo());
        assert!(history.redo() && history.redo() && !history.redo());
        assert_eq!(history.now().get(on), "46.1");
    }

    #[test]
    fn removing_a_row_takes_what_followed_it_along() {
        let mut draft = Draft::default();
        let part = draft.add_row("part");
        let reading = draft.add_row("read");
        draft.set(Path::per("read", reading, part), "1");
        draft.remove_row(RowAt { table: "part", row: part });
        assert!(draft.is_empty());
        assert_eq!(draft.rows("read").len(), 1);
    }
}
