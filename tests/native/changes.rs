//! One input of each example changes, and everything that rests on it changes along.

use crate::support::{cells, filled_text, is_shown, open_whole, texts};
use lessdin::calc::draft::{Draft, Path};
use lessdin::calc::picture;
use lessdin::calc::read;
use lessdin::calc::report::{Grid, Report};
use lessdin::calc::schema::{CONDITIONS, Cell, Kind, Place};
use lessdin::calc::sheet::{Outcome, Sheet};
use lessdin::sheets::SHEETS;
use lessdin::text::Style;

/// What a person sees of a report, part by part.
#[derive(Debug, PartialEq)]
struct Seen {
    headline: String,
    values: Vec<String>,
    tables: Vec<String>,
    drawings: Vec<String>,
    captions: Vec<String>,
    twins: Vec<String>,
    all: Vec<String>,
}

fn seen(sheet: &'static dyn Sheet, draft: &Draft) -> Seen {
    let run = sheet.run(draft, None);
    let Outcome::Answer(report) = &run.outcome else { panic!("{} has no answer for {}", sheet.meta().id, sheet.link(draft)) };
    let style = Style::default();
    let Report { headline, values, tables, pictures, working, .. } = report.as_ref();
    let grid = |grid: &Grid| lessdin::calc::table_text::tsv(grid, style);
    Seen {
        headline: headline.text(style),
        values: values.iter().map(|value| format!("{} {}", value.id, value.amount.arg(value.quantity).text(style))).collect(),
        tables: tables.iter().map(grid).collect(),
        drawings: pictures.iter().map(|picture| format!("{:?}", picture::draw(picture, 360.0, style).marks)).collect(),
        captions: pictures.iter().map(|picture| picture.title.text(style)).collect(),
        twins: pictures.iter().map(|picture| grid(&picture.twin)).collect(),
        all: texts(&run, style)
            .into_iter()
            .map(|(_, text)| text)
            .chain(working.iter().map(|step| filled_text(&step.filled, style)))
            .collect(),
    }
}

/// The text of a numeric cell, a step on, within its range.
fn stepped(cell: &Cell, text: &str) -> Option<String> {
    let moved = |value: f64, by: f64, max: f64| lessdin::calc::link::field_text(if value + by <= max { value + by } else { value - by });
    match cell.kind {
        Kind::Number { quantity, max, step, .. } => {
            let base = read::number(cell, text).ok()?.base;
            let by = step.max(base.abs() * 0.1);
            let value = if base + by <= max { base + by } else { base - by };
            Some(lessdin::calc::link::field_text(quantity.shown_value(value)))
        }
        Kind::Levels { max, .. } => Some(moved(read::readings(cell, text).ok()?.first()?.base, 1.7, max)),
        Kind::Count { min, max } => {
            let count = read::count(cell, text).ok()?;
            Some(if count < max { count + 1 } else { (count - 1).max(min) }.to_string())
        }
        Kind::Choice(_) | Kind::Switch | Kind::Text { .. } | Kind::Row(_) => None,
    }
}

/// The numeric cells with text in the sheet's example, conditions left out, each with the text a step on.
fn steps_of(sheet: &'static dyn Sheet, draft: &Draft) -> Vec<(Path, Place, String)> {
    let own = cells(sheet, draft).into_iter().filter(|(path, cell)| {
        (path.row.is_some() || !CONDITIONS.iter().any(|other| other.key == cell.key)) && is_shown(sheet, draft, *path, cell)
    });
    own.filter_map(|(path, cell)| Some((path, cell.place, stepped(cell, draft.get(path))?))).collect()
}

#[test]
fn the_leading_input_of_each_example_changes_sentence_values_picture_caption_and_twin() {
    for sheet in SHEETS.iter().copied() {
        let id = sheet.meta().id;
        let (_, draft) = open_whole(sheet.meta().example);
        let before = seen(sheet, &draft);
        let steps = steps_of(sheet, &draft);
        let leading = steps.iter().find(|(_, place, _)| *place == Place::Front);
        let (path, _, text) = leading.unwrap_or_else(|| panic!("the example of {id} should have a number in it"));
        let after = seen(sheet, &draft.clone().with(*path, text.as_str()));
        let what = format!("{id}: {} from {} to {text}", path.dom_id(), draft.get(*path));
        assert_ne!(before.headline, after.headline, "{what} should change the sentence");
        assert_ne!(before.values, after.values, "{what} should change the values");
        assert!(!before.drawings.is_empty(), "the example of {id} should have a picture");
        for (part, before, after) in [
            ("picture", &before.drawings, &after.drawings),
            ("caption", &before.captions, &after.captions),
            ("table twin", &before.twins, &after.twins),
        ] {
            assert_eq!(before.len(), after.len(), "{what} should keep the pictures there are");
            for (before, after) in before.iter().zip(after) {
                assert_ne!(before, after, "{what} should change every {part}");
            }
        }
    }
}

#[test]
fn every_number_of_each_example_changes_values_or_tables() {
    let mut still = Vec::new();
    for sheet in SHEETS.iter().copied() {
        let (_, draft) = open_whole(sheet.meta().example);
        let before = seen(sheet, &draft);
        for (path, _, text) in steps_of(sheet, &draft) {
            let after = seen(sheet, &draft.clone().with(path, text.as_str()));
            if before.values == after.values && before.tables == after.tables {
                let all = if before.all == after.all { "nothing at all" } else { "only words" };
                still.push(format!("{}: {} from {} to {text} changes {all}", sheet.meta().id, path.dom_id(), draft.get(path)));
            }
        }
    }
    assert!(still.is_empty(), "every number someone types should show in the values or the tables:\n{}", still.join("\n"));
}

#[test]
fn a_text_equal_to_its_default_changes_nothing() {
    for sheet in SHEETS.iter().copied() {
        let (_, draft) = open_whole(sheet.meta().example);
        let before = seen(sheet, &draft);
        for (path, cell) in cells(sheet, &draft) {
            if draft.get(path).is_empty() && !cell.default.is_empty() {
                let after = seen(sheet, &draft.clone().with(path, cell.default));
                assert_eq!(before, after, "{}: typing the default {} of {}", sheet.meta().id, cell.default, path.dom_id());
            }
        }
    }
}
