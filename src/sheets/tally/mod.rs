#![doc = include_str!("about.md")]

mod report;
mod solve;
pub mod words;

use crate::calc::draft::{Draft, Path, RowAt};
use crate::calc::error::FieldError;
use crate::calc::link;
use crate::calc::quantity::Quantity;
use crate::calc::read::{self, Reader};
use crate::calc::report::{Refusal, Report};
use crate::calc::schema::{self, Cell, Key, Kind, LEVELS, Place, Schema, Table};
use crate::calc::sheet::{Calc, Group, Meta};
use crate::formulas::source;
use crate::sheets::reading::{self, Ground, Measured, USUAL_PM};
use crate::text::{Arg, Msg, common_words, say};
use crate::units::{Level, PlusMinus, count_to_f64};
use solve::{Answer, Impossible, Inputs, Lapse, Named, Source};

/// What do these add up to, and which one matters?
#[derive(Debug)]
pub struct Tally;

static NAME: &Cell = &CELLS[0];
static LEVEL: &Cell = &CELLS[1];
static EACH: &Cell = &CELLS[2];
static RUN: &Cell = &CELLS[3];
static PM: &Cell = &CELLS[4];
static NEAR: &Cell = &CELLS[5];
static EAR: &Cell = &CELLS[6];
static BACK: &Cell = &FIELDS[0];
static WANT: &Cell = &FIELDS[1];
static BACK_PM: &Cell = &FIELDS[2];
static SOURCE: &Table = &TABLES[0];

const MOST_ALIKE: u32 = 100;
const LONGEST_NAME: u16 = 40;
const HALF_WIDTH: Kind = Kind::Number { quantity: Quantity::Gain, min: 0.0, max: 20.0, step: 0.1 };
const DISTANCE: Kind = Kind::Number { quantity: Quantity::Distance, min: 0.01, max: 100.0, step: 0.1 };

const fn cell(key: Key, label: Msg, help: Msg, kind: Kind, default: &'static str, place: Place) -> Cell {
    Cell { key, was: &[], label, help, kind, default, place, when: None }
}

static CELLS: [Cell; 7] = [
    cell("name", words::NAME, words::NAME_HELP, Kind::Text { max: LONGEST_NAME }, "", Place::Front),
    cell("level", words::LEVEL, words::LEVEL_HELP, LEVELS, "", Place::Front),
    cell("each", words::EACH, words::EACH_HELP, Kind::Count { min: 1, max: MOST_ALIKE }, "1", Place::Front),
    cell("run", words::RUN, words::RUN_HELP, Kind::Switch, "1", Place::More),
    cell("pm", words::PM, words::PM_HELP, HALF_WIDTH, "0.5", Place::More),
    cell("near", words::NEAR, words::NEAR_HELP, DISTANCE, "", Place::More),
    cell("ear", words::EAR, words::EAR_HELP, DISTANCE, "", Place::More),
];

static FIELDS: [Cell; 3] = [
    cell("back", words::BACK, words::BACK_HELP, LEVELS, "", Place::More),
    cell("want", words::WANT, words::WANT_HELP, LEVELS, "", Place::More),
    cell("backpm", words::BACK_PM, words::BACK_PM_HELP, HALF_WIDTH, "0.5", Place::More),
];

static TABLES: [Table; 1] = [Table {
    key: "source",
    was: &[],
    label: words::SOURCES,
    row: words::SOURCE,
    help: words::SOURCES_HELP,
    start_rows: 3,
    max_rows: 40,
    cells: &CELLS,
    per: None,
    paste: true,
    place: Place::Front,
}];

impl Calc for Tally {
    const META: Meta = Meta {
        id: "tally",
        group: Group::Find,
        title: words::TITLE,
        hint: words::HINT,
        empty: words::EMPTY,
        version: 1,
        changes: &[],
        limits: &[words::LIMIT_PLACE, words::LIMIT_STEADY, words::LIMIT_TONE, words::LIMIT_METER],
        cautions: &[words::CARE_FANS, words::CARE_MOTORS, words::CARE_LAW],
        sources: &[
            &source::ISO_1996_1,
            &source::ENERGY_BALANCE,
            &source::GUM,
            &source::GUM_REPEATED,
            &source::FREE_FIELD,
            &source::ISO_532_1,
            &source::DBA_AS_PHON,
            &source::NOTICEABLE,
            &source::SHAPLEY,
            &source::UPPER_LIMIT,
        ],
        example: "#/tally/v1/title=Library.engraver.before.the.change/machine=gantry.engraver/at=1/back=31/source=supply.fan~level=38.6/source=cabinet.fan~level=41.1~each=2/source=tool.fan~level=41/source=axes~level=39.5",
        refines: false,
        words: words::WORDS,
    };
    const SCHEMA: Schema = Schema { fields: &FIELDS, tables: &TABLES };
    type Inputs = Inputs;
    type Answer = Answer;
    type Impossible = Impossible;

    fn read(reader: &mut Reader<'_>) -> Option<Inputs> {
        let mut rows = reader.rows(SOURCE);
        rows.retain(|at| says_something(reader.draft(), *at));
        let mut read: Vec<Row> = Vec::new();
        let mut lapses = Vec::new();
        for (place, at) in rows.iter().enumerate() {
            if let Some(row) = read_row(reader, *at, place, &mut lapses) {
                read.push(row);
            }
        }
        let back_pm = reader.number(None, BACK_PM);
        let background = reading::measured(reader, BACK, back_pm.unwrap_or(USUAL_PM));
        let want = reader.level(None, WANT).map(|reading| reading.level);
        let read_once: Vec<&Measured> = read.iter().filter_map(|row| row.measured.as_ref()).chain(&background).collect();
        let whole = reading::all_whole(read_once.iter().copied());
        let used = |measured: &Measured| reading::used(measured, whole).ok();
        let whole_meter = read_once.iter().filter_map(|measured| used(measured)).find(|used| used.ground == Ground::WholeNumbers);
        let sources: Option<Vec<Source>> = read
            .iter()
            .map(|row| {
                let level = match &row.measured {
                    Some(measured) => used(measured)?.level,
                    None => PlusMinus::exact(Level(0.0)),
                };
                Some(Source { level, each: row.each, moved: row.moved, running: row.measured.is_some() })
            })
            .collect();
        let inputs = sources.filter(|sources| !sources.is_empty()).map(|sources| Inputs {
            sources,
            background: background.as_ref().and_then(used).map(|used| used.level),
            want,
            weighting: reader.weighting(),
            whole_meter: whole_meter.map(|used| used.level.half_width),
            named: read.iter().map(|row| row.named.clone()).collect(),
            lapses,
            background_text: reader.draft().get(Path::field(BACK.key)).trim().to_owned(),
            background_stated: back_pm.filter(|_| !reader.draft().get(Path::field(BACK_PM.key)).trim().is_empty()),
            from_readings: reader.draft().get(Path::field(schema::FROM.key)) == "on-off",
            handed: reader.hand_over(Self::META.id),
        });
        if inputs.is_none() {
            let first = reader.draft().rows(SOURCE.key).first().map(|row| RowAt { table: SOURCE.key, row: *row });
            reader.need(rows.first().copied().or(first), LEVEL);
        }
        inputs
    }

    fn solve(inputs: &Inputs) -> Result<Answer, Impossible> {
        solve::solve(inputs)
    }

    fn report(inputs: &Inputs, answer: &Answer, _refined: Option<&[f64]>) -> Report {
        report::report(inputs, answer)
    }

    fn refuse(inputs: &Inputs, impossible: &Impossible) -> Refusal {
        report::refuse(inputs, impossible)
    }
}

/// A row as read. One that is switched off has no reading.
struct Row {
    measured: Option<Measured>,
    each: u32,
    moved: Option<(f64, f64)>,
    named: Named,
}

fn read_row(reader: &mut Reader<'_>, at: RowAt, place: usize, lapses: &mut Vec<(Lapse, Arg)>) -> Option<Row> {
    let typed = |reader: &Reader<'_>, cell: &Cell| !reader.draft().get(read::path(Some(at), cell)).trim().is_empty();
    let name = row_name(reader, at, place);
    let running = reader.switch(Some(at), RUN) || reader.is_wrong(Some(at), RUN);
    let stated = reader.number(Some(at), PM);
    let measured = if running { reading::measured_at(reader, Some(at), LEVEL, stated.unwrap_or(USUAL_PM)) } else { None };
    let raw = reader.draft().get(read::path(Some(at), LEVEL)).trim();
    if running && measured.is_none() {
        lapses.push((if raw.is_empty() { Lapse::NoLevel } else { Lapse::BadLevel }, name));
        return None;
    }
    // A row that is off is no part of the sum, so neither its weighting nor its number can spoil it. A slip is still marked.
    if !running
        && !raw.is_empty()
        && let Err(problem) = read::readings(LEVEL, raw)
    {
        reader.errors.push(FieldError { path: read::path(Some(at), LEVEL), problem });
    }
    let each = reader.count(Some(at), EACH);
    let (near, ear) = (reader.number(Some(at), NEAR), reader.number(Some(at), EAR));
    let header = read::number(schema::DISTANCE, reader.draft().get(Path::field(schema::DISTANCE.key))).ok().map(|typed| typed.base);
    if running {
        let wrong = |cell: &Cell| reader.is_wrong(Some(at), cell);
        if wrong(EACH) {
            lapses.push((Lapse::BadCount, name.clone()));
        }
        if wrong(PM) {
            lapses.push((Lapse::BadSpread, name.clone()));
        }
        if wrong(NEAR) || wrong(EAR) || (typed(reader, NEAR) && !typed(reader, EAR)) || (typed(reader, EAR) && near.or(header).is_none()) {
            lapses.push((Lapse::OneDistance, name.clone()));
        }
    }
    let from = if typed(reader, NEAR) { near } else { header };
    Some(Row {
        measured,
        each: each.unwrap_or(1),
        moved: from.zip(ear).filter(|(from, to)| (from - to).abs() > 1e-9),
        named: Named { name, text: raw.to_owned(), stated: stated.filter(|_| typed(reader, PM)), run: read::path(Some(at), RUN) },
    })
}

/// Whether a row has more in it than defaults. A link holds no other rows.
fn says_something(draft: &Draft, at: RowAt) -> bool {
    SOURCE.cells.iter().any(|cell| {
        let raw = draft.get(read::path(Some(at), cell));
        !raw.trim().is_empty() && !link::canonical(cell, draft, raw).is_ok_and(|text| text == cell.default)
    })
}

/// The name, or for want of one the place among the rows that say something.
fn row_name(reader: &mut Reader<'_>, at: RowAt, place: usize) -> Arg {
    let name = reader.text(Some(at), NAME);
    // Too long for its field, but it has to be called something.
    let name = if name.is_empty() { at.table_name(reader.draft()).chars().take(LONGEST_NAME.into()).collect() } else { name };
    if name.is_empty() { say(common_words::ROW).num("number", Quantity::Count, count_to_f64(place + 1)).into() } else { Arg::Typed(name) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::sheet::{Outcome, Sheet};
    use crate::calc::table_text::{put_rows, rows_from_text};
    use crate::sheets;
    use crate::text::Style;

    fn opened(link: &str) -> Draft {
        sheets::open(link).draft.unwrap()
    }

    #[track_caller]
    fn answered(draft: &Draft) -> Report {
        match Tally.run(draft, None).outcome {
            Outcome::Answer(report) => std::rc::Rc::unwrap_or_clone(report),
            other => panic!("{other:?}"),
        }
    }

    fn said(report: &Report) -> String {
        report.headline.text(Style::default()).replace('\u{202f}', " ")
    }

    fn cell(draft: &Draft, row: usize, key: &'static str) -> Path {
        Path::cell("source", draft.rows("source")[row], key)
    }

    #[test]
    fn a_pasted_list_is_answered_like_the_same_rows_typed() {
        let mut draft = Draft::default();
        draft.ensure_rows(SOURCE);
        let rows = rows_from_text("supply fan 38,6; cabinet fan 41.1 x2; tool fan 41; axes 39.5", SOURCE);
        assert_eq!(put_rows(&mut draft, SOURCE, &rows), 4);
        draft.set(Path::field("back"), "31");
        assert_eq!(answered(&draft).headline, answered(&opened(Tally::META.example)).headline);
        assert_eq!(
            said(&answered(&draft)),
            "Together 47.5 ± 0.3 dB(A). Start with cabinet fan (both): silence there would gain 2.7 dB, no more."
        );
    }

    #[test]
    fn one_changed_input_changes_sentence_numbers_picture_caption_and_table() {
        let example = opened(Tally::META.example);
        let before = answered(&example);
        let mut changes = vec![
            (Path::field("back"), "36"),
            (Path::field("want"), "45"),
            (cell(&example, 1, "each"), "3"),
            (cell(&example, 1, "run"), "0"),
        ];
        changes.extend((0..4).map(|row| (cell(&example, row, "level"), "43")));
        changes.push((cell(&example, 1, "pm"), "2"));
        for (path, text) in changes {
            let after = answered(&example.clone().with(path, text));
            assert_ne!(before.headline, after.headline, "{path:?}");
            assert_ne!(before.values, after.values, "{path:?}");
            let (old, new) = (&before.pictures[0], &after.pictures[0]);
            assert!(old != new, "{path:?}");
            if !["want", "pm"].contains(&path.key()) {
                assert_ne!(old.shape, new.shape, "{path:?}");
            }
            if path.key() != "pm" {
                assert_ne!(old.title, new.title, "{path:?}");
            }
            if path.key() != "want" {
                assert_ne!(old.twin, new.twin, "{path:?}");
            }
        }
    }

    #[test]
    fn what_is_handed_over_fits_the_sheets_it_goes_to() {
        let draft = opened(
            "#/tally/v1/back=31/source=supply.fan~level=38.6~near=1~ear=2/source=cabinet.fan~level=41.1~each=2~pm=1/source=axes~level=39.5/source=pump~level=50~run=0",
        );
        let links = answered(&draft).hand_over;
        assert_eq!(links.iter().map(|link| link.sheet).collect::<Vec<_>>(), ["swap", "swap", "louder"]);
        for link in &links {
            let sheet = sheets::find(link.sheet).unwrap();
            let again = sheets::open(&sheet.link(&link.draft));
            assert!(again.notes.is_empty(), "{:?}", again.notes);
            assert_eq!(link.draft.get(Path::field("from")), "tally");
            for (path, _) in link.draft.cells() {
                let known = match path.row {
                    Some(at) => sheet.schema().table(at.table).is_some_and(|table| table.cell(path.key()).is_some()),
                    None => sheet.schema().field(path.key()).is_some(),
                };
                assert!(known, "{} has no {path:?}", link.sheet);
            }
        }
        let swap = &links[0].draft;
        let get = |table: &'static str, row: usize, key: &'static str| swap.get(Path::cell(table, swap.rows(table)[row], key));
        assert_eq!(
            (get("fan", 0, "name"), get("fan", 0, "level"), get("fan", 0, "each"), get("fan", 0, "pm")),
            ("cabinet fan", "41.1", "2", "1")
        );
        assert_eq!((get("fan", 1, "name"), get("fan", 1, "level")), ("supply fan", "32.58"));
        assert_eq!((get("other", 0, "name"), get("other", 0, "level"), swap.rows("other").len()), ("axes", "39.5", 1));
    }

    #[test]
    fn a_bad_row_is_named_and_the_others_are_counted() {
        let draft = opened("#/tally/v1/source=a~level=loud/source=b~level=41.0/source=c~level=40.0~each=0");
        let run = Tally.run(&draft, None);
        assert_eq!(run.errors.len(), 2);
        let Outcome::Answer(report) = run.outcome else { panic!() };
        let notes: Vec<String> = report.notes.iter().map(|note| note.said.text(Style::default())).collect();
        assert!(notes.contains(&"The level of a cannot be read. It is left out.".to_owned()), "{notes:?}");
        assert!(notes.contains(&"How many of c there are cannot be read. It is counted once.".to_owned()), "{notes:?}");
        assert_eq!(report.pictures[0].twin.rows.len(), 2);
    }

    #[test]
    fn many_small_parts_are_drawn_as_one_and_listed_apart() {
        let rows: String = (1..=40).map(|n| ["/source=fan.", &n.to_string(), "~level=30"].concat()).collect();
        let picture = &answered(&opened(&["#/tally/v1", &rows].concat())).pictures[0];
        let crate::calc::picture::Shape::Split(slices) = &picture.shape else { panic!() };
        assert_eq!((slices.len(), picture.twin.rows.len()), (8, 40));
    }
}
