//! Every line of every sheet's `cases.txt`: `link => headline`, `link => ! refusal`, `link => ?` while waiting.

use crate::support::{examine, headline, open, pairs, say_all};
use lessdin::sheets::{SHEETS, find};
use std::path::{Path, PathBuf};

/// The folder of the sheets.
pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src/sheets")
}

/// The folder of a sheet.
pub(crate) fn folder_of(id: &str) -> PathBuf {
    folder().join(id.replace('-', "_"))
}

/// What is wrong with a line, if anything.
fn check(id: &str, link: &str, expected: &str) -> Result<(), String> {
    let opened = open(link);
    if opened.sheet != id {
        return Err(format!("asks for another sheet: {}", opened.sheet));
    }
    let sheet = find(id).ok_or("asks for a sheet that is not in the list")?;
    if !opened.notes.is_empty() {
        return Err(format!("does not open without notes: {}", say_all(&opened.notes)));
    }
    let run = examine(sheet, &opened.draft.unwrap_or_default())?;
    let found = headline(&run);
    if found == expected { Ok(()) } else { Err(format!("says something else.\n  expected: {expected}\n  found:    {found}")) }
}

#[test]
fn every_case_says_what_its_line_says() {
    let mut wrong = Vec::new();
    for sheet in SHEETS {
        let id = sheet.meta().id;
        let file = folder_of(id).join("cases.txt");
        let text = std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{} must be there: {error}", file.display()));
        for (line, link, expected) in pairs(&text) {
            if let Err(fault) = check(id, link, expected) {
                wrong.push(format!("{id}/cases.txt:{line} {fault}\n  {link}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_example_is_a_case_with_an_answer() {
    for sheet in SHEETS {
        let meta = sheet.meta();
        let text = std::fs::read_to_string(folder_of(meta.id).join("cases.txt")).unwrap_or_default();
        let found = pairs(&text).into_iter().find(|(_, link, _)| *link == meta.example);
        let (_, _, expected) =
            found.unwrap_or_else(|| panic!("{}/cases.txt needs a line for the sheet's example: {}", meta.id, meta.example));
        assert!(!expected.starts_with(['!', '?']), "the example of {} should have an answer, not “{expected}”", meta.id);
    }
}
