//! Random and hostile drafts and links for every sheet, made from its own schema.
//!
//! A failure prints the seed of its round and the smallest draft that still fails. `LESSDIN_SEED=… LESSDIN_ROUNDS=1` runs
//! that round again; `LESSDIN_ROUNDS=1000000` makes a long run.

use crate::links::golden;
use crate::support::{Dice, cells, examine, find, is_shown, open, say_all, sheets};
use lessdin::calc::draft::{Draft, History, Path, RowAt};
use lessdin::calc::error::Problem;
use lessdin::calc::link;
use lessdin::calc::quantity::Quantity;
use lessdin::calc::schema::{Cell, Kind, Place};
use lessdin::calc::sheet::{Outcome, Sheet};
use lessdin::calc::table_text;
use lessdin::text::Style;
use lessdin::units::within;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicU64, Ordering};

/// What people and programs have typed into fields that meant something else.
const NASTY: &[&str] = &[
    "",
    " ",
    "NaN",
    "nan",
    "inf",
    "-inf",
    "infinity",
    "1e309",
    "-1e309",
    "1e-320",
    "1e-300",
    "-20",
    "999",
    "0",
    "-0",
    "-1",
    "1.5",
    "1,5",
    "1e3",
    "0.1e1",
    "1_000",
    "0x10",
    "1/2",
    "½",
    "٣٤",
    "1,234",
    "1.234,5",
    "1,2,3,4",
    ",",
    ",,,,",
    ".",
    "..",
    "-",
    "--4",
    "+",
    "e",
    "e5",
    "5e",
    "1e",
    "1e+",
    "dB",
    "41 dB",
    "41 dB(C)",
    "41dBZ 42dBA",
    "41 rpm",
    "40 cfm",
    "3 in",
    "12 mA",
    "41;42;43",
    "41, 42, 43",
    "41 42 43",
    "41.0 42",
    "41,0 42,0",
    "46.",
    "46,",
    "=1+1",
    "@sum(a)",
    "\u{2212}3",
    "1\u{2009}234.5",
    "  46,1 dB  ",
    "<script>alert(1)</script>",
    "</textarea>",
    "{drop}",
    "{",
    "}",
    "%",
    "%41",
    "a/b",
    "a=b~c",
    "#/tally",
    "🙂",
    "🌀🌀🌀",
    "مروحة",
    "\u{202e}fan",
    "\u{200b}",
    "\0",
    "\u{7}",
    "\t41\t42",
    "41\n42",
    "null",
    "undefined",
    "true",
    "on",
    "off",
    "x2",
    "2x",
    "1",
    "2",
    "3",
    "40",
    "41",
    "100000000000",
    "4294967296",
    "0.0000001",
    "99999999999999999999999999999999",
    "1e15",
    "supply fan",
    "fan; fan; fan",
    "_a_ *b* ~~c~~",
    "'",
    "\"",
    "\\",
];

const NAMES: &[&str] = &[
    "supply fan",
    "cabinet fan",
    "tool fan",
    "axes",
    "Ventilator groß",
    "x-axis",
    "y axis 2",
    "no 7",
    "a",
    "fan (new)",
    "ventilateur d’appoint",
    "мотор",
    "مروحة",
    "风扇",
    "🙂 fan",
    "<b>fan</b>",
    "10% louder",
    "=sum(a1)",
    "a very long name of a part",
    "{drop}",
    "NaN",
    "-3",
    "..",
    "~",
];

fn rounds(usual: u64) -> u64 {
    std::env::var("LESSDIN_ROUNDS").ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

fn first_seed() -> u64 {
    std::env::var("LESSDIN_SEED").ok().and_then(|text| text.parse().ok()).unwrap_or(20_260_801)
}

/// A check whose panic is a failure like any other.
fn guarded(check: impl FnOnce() -> Result<(), String>) -> Result<(), String> {
    catch_unwind(AssertUnwindSafe(check)).unwrap_or_else(|_| Err("it panics; see above".into()))
}

/// Runs a check on drafts for every sheet. A failure is made as small as it gets before it is told.
fn sweep(
    usual: u64,
    make: impl Fn(&'static dyn Sheet, &mut Dice) -> Draft + Sync,
    check: impl Fn(&'static dyn Sheet, &Draft) -> Result<(), String> + Sync,
) {
    let guarded = |sheet: &'static dyn Sheet, draft: &Draft| guarded(|| check(sheet, draft));
    for sheet in sheets() {
        let next = AtomicU64::new(0);
        let work = || {
            loop {
                let round = next.fetch_add(1, Ordering::Relaxed);
                if round >= rounds(usual) {
                    break Ok(());
                }
                let seed = first_seed().wrapping_add(round);
                let draft = make(sheet, &mut Dice::new(seed));
                if let Err(fault) = guarded(sheet, &draft) {
                    let (small, fault) = shrink(sheet, draft, fault, &guarded);
                    break Err(format!("{} fails with seed {seed}: {fault}\n  draft: {}", sheet.meta().id, sheet.keep(&small)));
                }
            }
        };
        std::thread::scope(|scope| {
            let helpers: Vec<_> =
                (0..std::thread::available_parallelism().map_or(1, std::num::NonZero::get)).map(|_| scope.spawn(work)).collect();
            for helper in helpers {
                if let Err(fault) = helper.join().unwrap() {
                    panic!("{fault}");
                }
            }
        });
    }
}

/// Leaves out rows and cells for as long as the draft still fails.
fn shrink(
    sheet: &'static dyn Sheet,
    mut draft: Draft,
    mut fault: String,
    check: &dyn Fn(&'static dyn Sheet, &Draft) -> Result<(), String>,
) -> (Draft, String) {
    loop {
        let mut smaller: Vec<Draft> = Vec::new();
        for table in sheet.schema().tables {
            smaller.extend(draft.rows(table.key).iter().map(|row| {
                let mut less = draft.clone();
                less.remove_row(RowAt { table: table.key, row: *row });
                less
            }));
        }
        smaller.extend(draft.cells().map(|(path, _)| draft.clone().with(path, "")));
        match smaller.into_iter().find_map(|less| check(sheet, &less).err().map(|fault| (less, fault))) {
            Some((less, why)) => (draft, fault) = (less, why),
            None => return (draft, fault),
        }
    }
}

/// A draft with rows, each cell filled by `text` or left empty.
fn random_draft(sheet: &'static dyn Sheet, dice: &mut Dice, most_rows: usize, text: impl Fn(&mut Dice, &Draft, &Cell) -> String) -> Draft {
    let mut draft = Draft::default();
    let schema = sheet.schema();
    for table in schema.tables {
        for _ in 0..dice.below(most_rows.min(table.max_rows) + 1) {
            draft.add_row(table.key);
        }
    }
    for (path, cell) in cells(sheet, &draft) {
        let text = text(dice, &draft, cell);
        draft.set(path, text);
    }
    draft
}

/// A number written in one of the ways people write it.
fn written(dice: &mut Dice, value: f64, quantity: Quantity) -> String {
    let units = quantity.units();
    let unit = &units[dice.below(units.len())];
    let with_unit = dice.chance(0.3) && !unit.id.starts_with("dB");
    let value = if with_unit { unit.from_base(value) } else { value };
    // As many digits as anyone types, and more than anyone reads.
    let value: f64 = format!("{:.11e}", if with_unit { value } else { quantity.shown_value(value) }).parse().unwrap();
    let plain = link::field_text(value);
    let text = match dice.below(6) {
        0 => plain.replace('.', ","),
        1 => format!(" {} ", plain.replace('-', "\u{2212}")),
        2 if value.abs() < 1e15 => format!("{value:e}"),
        _ => plain,
    };
    if with_unit { format!("{text} {}", unit.symbol) } else { text }
}

/// A number in a range: its ends, round ones, small ones and any.
fn number_in(dice: &mut Dice, min: f64, max: f64) -> f64 {
    let any = min + (max - min) * dice.unit();
    let value = match dice.below(8) {
        0 => min,
        1 => max,
        2 | 3 if min > 0.0 => (min.ln() + (max.ln() - min.ln()) * dice.unit()).exp(),
        2 => min.max(0.0) + (max - min) * 0.001 * dice.unit(),
        4 | 5 => (any * 10.0).round() / 10.0,
        6 => any.round(),
        _ => any,
    };
    within(value, min, max)
}

/// Text that a cell takes; a number converted to another unit and back stays off the very ends.
fn fine_text(dice: &mut Dice, draft: &Draft, cell: &Cell) -> String {
    match cell.kind {
        Kind::Number { quantity, min, max, .. } => {
            let value = number_in(dice, min, max);
            let text = written(dice, value, quantity);
            if lessdin::calc::read::number(cell, &text).is_ok() { text } else { link::field_text(quantity.shown_value(value)) }
        }
        Kind::Levels { min, max } => {
            // Mostly what a machine gives; now and then the ends of the range.
            let (low, high) = if dice.chance(0.8) { (25.0_f64.max(min), 75.0_f64.min(max)) } else { (min, max) };
            let count = if dice.chance(0.3) { 1 + dice.below(5) } else { 1 };
            let readings: Vec<String> = (0..count)
                .map(|_| {
                    let value = number_in(dice, low, high);
                    if dice.chance(0.5) { format!("{value:.1}") } else { link::field_text((value * 100.0).round() / 100.0) }
                })
                .filter(|text| lessdin::calc::read::readings(cell, text).is_ok())
                .collect();
            readings.join(dice.pick(&[" ", "; ", ", "]))
        }
        Kind::Count { min, max } => {
            let span = if dice.chance(0.7) { (max - min).min(4) } else { max - min };
            (min + u32::try_from(dice.below(usize::try_from(span).unwrap_or(0) + 1)).unwrap_or(0)).to_string()
        }
        Kind::Choice(choices) => {
            let choice = choices[dice.below(choices.len())].key;
            if dice.chance(0.2) { choice.to_uppercase() } else { choice.to_owned() }
        }
        Kind::Switch => (dice.pick(&["1", "0", "on", "off", "yes"])).to_owned(),
        Kind::Text { max } => dice.pick(NAMES).chars().take(usize::from(max)).collect(),
        Kind::Row(table) => match draft.rows(table).len() {
            0 => String::new(),
            count => (1 + dice.below(count)).to_string(),
        },
    }
}

fn in_range(sheet: &'static dyn Sheet, dice: &mut Dice) -> Draft {
    let most = if dice.chance(0.05) { 40 } else { 5 };
    random_draft(sheet, dice, most, |dice, draft, cell| {
        let empty = if cell.place == Place::More { 0.6 } else { 0.12 };
        if dice.chance(empty) { String::new() } else { fine_text(dice, draft, cell) }
    })
}

/// Every cell in view filled, a row at least in every table.
fn complete(sheet: &'static dyn Sheet, dice: &mut Dice) -> Draft {
    let mut draft = in_range(sheet, dice);
    for table in sheet.schema().tables {
        if draft.rows(table.key).is_empty() {
            draft.add_row(table.key);
        }
    }
    for (path, cell) in cells(sheet, &draft) {
        let optional = cell.place == Place::More || matches!(cell.kind, Kind::Row(_));
        if draft.get(path).is_empty() && !optional {
            let text = fine_text(dice, &draft, cell);
            draft.set(path, text);
        }
    }
    draft
}

fn nasty_text(dice: &mut Dice) -> String {
    match dice.below(40) {
        0 => "9".repeat(1 + dice.below(400)),
        1 => dice.pick(NASTY).repeat(1 + dice.below(50)),
        2 => format!("{}{}", dice.pick(NASTY), dice.pick(NASTY)),
        3 => (0..dice.below(60)).map(|_| char::from_u32(u32::try_from(dice.below(0x2_0000)).unwrap_or(0)).unwrap_or('\u{fffd}')).collect(),
        _ => dice.pick(NASTY).to_owned(),
    }
}

fn hostile(sheet: &'static dyn Sheet, dice: &mut Dice) -> Draft {
    let share = dice.unit();
    let mut draft = random_draft(sheet, dice, 6, |dice, draft, cell| {
        if dice.chance(0.3) {
            String::new()
        } else if dice.chance(share) {
            nasty_text(dice)
        } else {
            fine_text(dice, draft, cell)
        }
    });
    if dice.chance(0.01) {
        let all = cells(sheet, &draft);
        let (path, _) = dice.pick(&all);
        draft.set(path, dice.pick(NASTY).repeat(2 + 100_000 / 8));
    }
    draft
}

#[test]
fn what_is_in_range_is_read_without_errors_and_its_link_says_the_same() {
    sweep(400, in_range, |sheet, draft| {
        let run = examine(sheet, draft)?;
        // A draft made smaller may have lost the row that another points to.
        if let Some(error) = run.errors.iter().find(|error| error.problem != Problem::NoSuchRow) {
            return Err(format!(
                "{:?} in {} is in range, but: {}",
                draft.get(error.path),
                error.path.dom_id(),
                error.problem.said().text(Style::default())
            ));
        }
        if let Outcome::Answer(report) = &run.outcome {
            if let Some(hand) = report.hand_over.iter().find(|hand| hand.draft.get(Path::field("from")) != sheet.meta().id) {
                return Err(format!("the hand-over to {} does not say where it came from", hand.sheet));
            }
            for (target, hand) in lessdin::sheets::hand_overs(report) {
                let link = target.link(&hand.draft);
                let target = lessdin::sheets::find(target.id).unwrap();
                let opened = open(&link);
                if !opened.notes.is_empty() {
                    return Err(format!("the hand-over to {} opens with notes: {}\n{link}", hand.sheet, say_all(&opened.notes)));
                }
                let there = target.run(&opened.draft.unwrap_or_default(), None);
                if let Some(error) = there.errors.first() {
                    let said = error.problem.said().text(Style::default());
                    return Err(format!(
                        "the hand-over to {} fills {} with what it refuses: {said}\n{link}",
                        hand.sheet,
                        error.path.dom_id()
                    ));
                }
            }
        }
        Ok(())
    });
}

#[test]
fn a_complete_draft_has_an_answer_or_a_named_impossibility() {
    sweep(250, complete, |sheet, draft| {
        let whole = cells(sheet, draft).iter().all(|(path, cell)| {
            cell.place == Place::More
                || matches!(cell.kind, Kind::Row(_))
                || !draft.get(*path).is_empty()
                || !is_shown(sheet, draft, *path, cell)
        });
        let no_table_empty = sheet.schema().tables.iter().all(|table| !draft.rows(table.key).is_empty());
        match sheet.run(draft, None).outcome {
            Outcome::Waiting(paths) if whole && no_table_empty => {
                let paths: Vec<String> = paths.iter().map(Path::dom_id).collect();
                Err(format!("everything is filled in, but it still waits for {}", paths.join(", ")))
            }
            _ => Ok(()),
        }
    });
}

#[test]
fn whatever_is_typed_nothing_panics_and_every_text_is_sound() {
    sweep(600, hostile, |sheet, draft| {
        let run = examine(sheet, draft)?;
        // Where a table has no row yet, there is no cell to name.
        let no_table_empty = sheet.schema().tables.iter().all(|table| !draft.rows(table.key).is_empty());
        if no_table_empty && matches!(&run.outcome, Outcome::Waiting(paths) if paths.is_empty()) {
            return Err("it waits, but does not say for what".into());
        }
        Ok(())
    });
}

/// Texts that are wrong in this cell.
fn wrong_texts(cell: &Cell) -> Vec<String> {
    let beyond = |value: f64, by: f64| {
        let value = value + by * (1.0 + value.abs());
        link::field_text(cell.quantity().map_or(value, |quantity| quantity.shown_value(value)))
    };
    let mut out: Vec<String> = ["NaN", "inf", "1e309", "loud", "41 furlongs", "--1"].map(str::to_owned).into();
    match cell.kind {
        Kind::Number { min, max, .. } | Kind::Levels { min, max } => out.extend([beyond(min, -0.5), beyond(max, 0.5)]),
        Kind::Count { min, max } => out.extend([(i64::from(min) - 1).to_string(), (i64::from(max) + 1).to_string(), "1.5".into()]),
        Kind::Choice(_) | Kind::Switch => {}
        Kind::Row(_) => out.push("0".into()),
        Kind::Text { .. } => out.clear(),
    }
    out
}

#[test]
fn wrong_text_gives_an_error_at_its_own_field() {
    sweep(60, in_range, |sheet, draft| {
        // A handful of the cells of a long table will do.
        let all = cells(sheet, draft);
        let stride = all.len() / 24 + 1;
        for (place, (path, cell)) in all.into_iter().enumerate().skip(draft.cells().count() % stride).step_by(stride) {
            let texts = wrong_texts(cell);
            let Some(text) = texts.get(place % texts.len().max(1)) else { continue };
            let bad = draft.clone().with(path, text.as_str());
            if !is_shown(sheet, &bad, path, cell) {
                continue;
            }
            let run = sheet.run(&bad, None);
            if !run.errors.iter().any(|error| error.path == path) {
                return Err(format!("{text:?} in {} gives no error there", path.dom_id()));
            }
        }
        Ok(())
    });
}

/// A link with a bit cut out, doubled, swapped, or put in.
fn mutated(dice: &mut Dice, links: &[&str]) -> String {
    let mut link = (dice.pick(links)).to_owned();
    for _ in 0..=dice.below(4) {
        let mut at = |link: &str| link.floor_char_boundary(dice.below(link.len() + 1));
        let (one, two) = (at(&link), at(&link));
        let (from, to) = (one.min(two), one.max(two));
        match dice.below(7) {
            0 => link.replace_range(from..to, ""),
            1 => {
                let piece = link[from..to].to_owned();
                link.insert_str(to, &piece);
            }
            2 => link.insert_str(
                from,
                dice.pick(&["/", "=", "~", "%", "#", ".", ",", "-", "%2", "%FF", "%00", "v2", "/v9", "//", "~~", "\u{202e}"]),
            ),
            3 => link.insert_str(from, &nasty_text(dice)),
            4 => {
                let other = dice.pick(links);
                link.push_str(other.split_once('/').map_or(other, |(_, tail)| tail));
            }
            5 => {
                let end = link.ceil_char_boundary((from + 1).min(link.len()));
                link.replace_range(from..end, dice.pick(&["0", "9", "z", "A", "é", "🙂", ""]));
            }
            _ => link.truncate(link.floor_char_boundary(from.max(4))),
        }
    }
    if dice.chance(0.005) {
        link.push_str(&nasty_text(dice).repeat(2000));
    }
    link
}

#[test]
fn whatever_a_link_holds_it_opens_or_says_why_not() {
    let golden = golden();
    let links: Vec<&str> = sheets().map(|sheet| sheet.meta().example).chain(golden.iter().map(|(_, link, _)| *link)).collect();
    let usual = 1500;
    for round in 0..rounds(usual) {
        let seed = first_seed().wrapping_add(round);
        let link = mutated(&mut Dice::new(seed), &links);
        let result = guarded(|| {
            let opened = open(&link);
            match (find(&opened.sheet), opened.draft) {
                (Some(sheet), Some(draft)) => examine(sheet, &draft).map(drop),
                (None, Some(_)) => Err("a draft without a sheet".to_owned()),
                (_, None) if opened.notes.is_empty() && !opened.sheet.is_empty() => Err("nothing opened, and nothing said".to_owned()),
                (_, None) => Ok(()),
            }
        });
        if let Err(fault) = result {
            panic!("seed {seed}: {link}\n{fault}");
        }
    }
}

#[test]
fn undo_takes_back_everything_and_redo_brings_it_again() {
    for sheet in sheets() {
        for round in 0..rounds(150).min(20_000) {
            let seed = first_seed().wrapping_add(round);
            let dice = &mut Dice::new(seed);
            let start = in_range(sheet, dice);
            let mut history = History::new(start.clone());
            // Each step is over once it is committed, so what stands at every commit must come back.
            let mut stood = vec![start];
            for _ in 0..=dice.below(30) {
                edit(sheet, dice, &mut history);
                history.commit();
                stood.push(history.now().clone());
            }
            let end = history.now().clone();
            for expected in stood.iter().rev().skip(1) {
                assert!(history.undo(), "seed {seed}: a step cannot be taken back");
                assert_eq!(history.now(), expected, "seed {seed}: undo gives something else than what stood before");
            }
            assert!(!history.can_undo(), "seed {seed}: more steps than were made");
            while history.redo() {}
            assert_eq!(history.now(), &end, "seed {seed}: redo does not lead back to the end");
        }
    }
}

/// One step: typing, a new row, a row gone or moved, a pasted list, another text in one go.
fn edit(sheet: &'static dyn Sheet, dice: &mut Dice, history: &mut History) {
    let schema = sheet.schema();
    let all = cells(sheet, history.now());
    let (path, cell) = dice.pick(&all);
    let table = if schema.tables.is_empty() { None } else { Some(&schema.tables[dice.below(schema.tables.len())]) };
    let row = table.and_then(|table| {
        let rows = history.now().rows(table.key);
        (!rows.is_empty()).then(|| RowAt { table: table.key, row: dice.pick(rows) })
    });
    match (dice.below(7), table, row) {
        (0, Some(table), _) => history.change(|draft| {
            draft.add_row(table.key);
        }),
        (1, _, Some(at)) => history.change(|draft| schema.keep_pointing(draft, |draft| draft.remove_row(at))),
        (2, _, Some(at)) => {
            let by = isize::try_from(dice.below(7)).unwrap_or(0) - 3;
            history.change(|draft| schema.keep_pointing(draft, |draft| draft.move_row(at, by)));
        }
        (3, Some(table), _) => {
            let rows = table_text::rows_from_text(
                &format!("{} 38,6 x2; {}\t41\t3\n{}", dice.pick(NAMES), dice.pick(NAMES), nasty_text(dice)),
                table,
            );
            history.change(|draft| {
                table_text::put_rows(draft, table, &rows);
            });
        }
        (4, ..) => {
            let text = nasty_text(dice);
            history.change(|draft| draft.set(path, text));
        }
        _ => {
            let text = fine_text(dice, history.now(), cell);
            for (at, _) in text.char_indices().skip(1) {
                history.type_text(path, &text[..at]);
            }
            history.type_text(path, text);
        }
    }
}

#[test]
fn rows_that_point_to_others_keep_pointing_when_rows_move_or_go() {
    for sheet in sheets() {
        let schema = sheet.schema();
        for round in 0..rounds(200).min(20_000) {
            let seed = first_seed().wrapping_add(round);
            let dice = &mut Dice::new(seed);
            let mut draft = in_range(sheet, dice);
            let targets = |draft: &Draft| -> Vec<(Path, Option<u32>)> {
                let all = cells(sheet, draft).into_iter();
                all.filter_map(|(path, cell)| match cell.kind {
                    Kind::Row(table) => Some((path, lessdin::calc::read::row(draft, table, draft.get(path)).ok().map(|(_, row)| row))),
                    _ => None,
                })
                .collect()
            };
            let before = targets(&draft);
            let Some(table) = schema.tables.get(dice.below(schema.tables.len())) else { continue };
            let rows = draft.rows(table.key).to_vec();
            if rows.is_empty() {
                continue;
            }
            let at = RowAt { table: table.key, row: dice.pick(&rows) };
            let gone = dice.chance(0.5);
            let by = isize::try_from(dice.below(5)).unwrap_or(0) - 2;
            schema.keep_pointing(&mut draft, |draft| if gone { draft.remove_row(at) } else { draft.move_row(at, by) });
            for (path, target) in before.into_iter().filter(|(path, _)| !(gone && path.row == Some(at))) {
                let now = targets(&draft).into_iter().find(|(other, _)| *other == path).and_then(|(_, target)| target);
                let expected = target.filter(|row| draft.ordinal(RowAt { table: points_to(sheet, path), row: *row }).is_some());
                assert_eq!(now, expected, "seed {seed}: {} points to another row", path.dom_id());
            }
        }
    }
}

fn points_to(sheet: &'static dyn Sheet, path: Path) -> &'static str {
    let cell = path.row.and_then(|at| sheet.schema().table(at.table)?.cell(path.key()));
    match cell.map(|cell| cell.kind) {
        Some(Kind::Row(table)) => table,
        _ => "",
    }
}

#[test]
fn a_copied_table_keeps_one_line_for_each_row() {
    sweep(100, in_range, |sheet, draft| {
        if let Outcome::Answer(report) = sheet.run(draft, None).outcome {
            for grid in report.tables.iter().chain(report.pictures.iter().map(|picture| &picture.twin)) {
                let tsv = table_text::tsv(grid, Style::default());
                if tsv.lines().count() != grid.rows.len() + 1 {
                    return Err(format!("table {} has {} rows, but its copy {} lines", grid.id, grid.rows.len(), tsv.lines().count()));
                }
                let columns = tsv.lines().next().map_or(0, |line| line.split('\t').count());
                if tsv.lines().any(|line| line.split('\t').count() != columns) {
                    return Err(format!("the copy of table {} is ragged", grid.id));
                }
            }
        }
        Ok(())
    });
}
