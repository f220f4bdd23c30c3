//! What a person may type or open by mistake, one test for each, named after what they see. What links go through is in
//! `links.rs`; what nobody thought of is in `properties.rs`.

use crate::support::{examine, find, headline, open, open_whole, say_all};
use lessdin::calc::draft::{Draft, Path, RowAt};
use lessdin::calc::report::Report;
use lessdin::calc::sheet::{Outcome, Run};
use lessdin::calc::table_text;
use lessdin::sheets::SHEETS;
use lessdin::text::Style;

/// Runs a link, with everything checked that must hold for any draft.
#[track_caller]
fn run(link: &str) -> Run {
    let (sheet, draft) = open_whole(link);
    examine(sheet, &draft).unwrap()
}

/// The problems beside the fields, as a person reads them, with blanks of any kind as plain ones.
fn problems(run: &Run) -> Vec<String> {
    let plain = |text: String| text.replace(['\u{202f}', '\u{2009}'], " ");
    run.errors.iter().map(|error| plain(format!("{}: {}", error.path.dom_id(), error.problem.said().text(Style::default())))).collect()
}

/// The report of a link that must have an answer.
#[track_caller]
fn report(link: &str) -> std::rc::Rc<Report> {
    match run(link).outcome {
        Outcome::Answer(report) => report,
        other => panic!("{link} should have an answer: {other:?}"),
    }
}

fn notes(report: &Report) -> String {
    report.notes.iter().map(|note| note.said.text(Style::default())).collect::<Vec<_>>().join(" | ")
}

/// For each sheet a link with a level to be filled in, and the address of that level.
const WITH_A_LEVEL: &[(&str, &str)] = &[
    ("#/alone/v1/on={}/off=44.9", "f-on"),
    ("#/tally/v1/source=supply.fan~level={}", "f-source-0-level"),
    ("#/louder/v1/before={}/after=44.8", "f-before"),
    ("#/swap/v1/fan=cabinet.fan~level={}/option=new~level=20~at=1", "f-fan-0-level"),
    ("#/on-off/v1/part=fan/read=level={}~p1=1", "f-read-1-level"),
];

/// What is not a level, as a link writes it, and what the field says.
const NO_LEVELS: &[(&str, &str)] = &[
    ("loud", "“loud” is not a number"),
    ("NaN", "“NaN” is not a number"),
    ("inf", "“inf” is not a number"),
    ("1e309", "“1e309” is too large to be a real value"),
    ("999", "999 dB(A) is outside −10 dB(A) to 150 dB(A)"),
    ("150.04", "150.04 dB(A) is outside −10 dB(A) to 150 dB(A)"),
    ("-20", "−20 dB(A) is outside −10 dB(A) to 150 dB(A)"),
];

#[test]
fn a_level_that_is_none_is_answered_beside_its_field_and_the_sheet_waits() {
    for (link, field) in WITH_A_LEVEL {
        for (text, said) in NO_LEVELS {
            let run = run(&link.replace("{}", text));
            assert_eq!(problems(&run), [format!("{field}: {said}")], "{link}");
            assert!(matches!(&run.outcome, Outcome::Waiting(paths) if paths.iter().any(|path| path.dom_id() == *field)), "{link} {text}");
        }
    }
}

#[test]
fn a_row_with_a_level_that_is_none_is_left_out_by_name_and_the_others_stay() {
    for (text, said) in NO_LEVELS {
        let link = format!("#/tally/v1/source=supply.fan~level={text}/source=tool.fan~level=41.0");
        let run = run(&link);
        assert_eq!(problems(&run), [format!("f-source-0-level: {said}")]);
        assert!(headline(&run).starts_with("All of the 41.0"), "{}", headline(&run));
        assert!(notes(&report(&link)).contains("supply fan"), "{}", notes(&report(&link)));
        let link = format!("#/swap/v1/fan=fan~level=41/other=axes~level={text}/option=new~level=20~at=1");
        assert!(notes(&report(&link)).contains("axes"), "{}", notes(&report(&link)));
    }
}

#[test]
fn an_empty_sheet_waits_and_says_what_to_type_first() {
    for sheet in SHEETS {
        let run = examine(*sheet, &Draft::default()).unwrap();
        assert!(matches!(run.outcome, Outcome::Waiting(_)) && run.errors.is_empty(), "{}", sheet.meta().id);
        assert!(sheet.meta().empty.en.starts_with("Type "), "{}: {}", sheet.meta().id, sheet.meta().empty.en);
        assert_eq!(sheet.link(&Draft::default()), format!("#/{}", sheet.meta().id));
    }
}

#[test]
fn one_row_is_all_there_is() {
    assert!(headline(&run("#/tally/v1/source=a~level=40.0")).starts_with("All of the 40.0"));
    let alone = headline(&run("#/swap/v1/fan=a~level=41.0/option=b~level=20~at=1"));
    assert!(alone.starts_with("Worth trying: b in place of a"), "{alone}");
}

#[test]
fn forty_rows_are_added_up() {
    // 40 equal sources: 10·lg 40 = 16.02 dB above one.
    let rows: Vec<String> = (1..=40).map(|row| format!("source=part.{row}~level=40.0")).collect();
    let link = format!("#/tally/v1/{}", rows.join("/"));
    assert!(headline(&run(&link)).contains("56.0"), "{}", headline(&run(&link)));
    let opened = open(&format!("{link}/source=one.more~level=40.0"));
    assert!(say_all(&opened.notes).contains("more rows than fit. The first 40"), "{}", say_all(&opened.notes));
}

#[test]
fn counts_of_nought_less_and_a_half_are_answered_and_one_is_taken() {
    let link = "#/tally/v1/source=a~level=40~each=0/source=b~level=41~each=-2/source=c~level=41~each=1%2E5/source=d~level=40";
    assert_eq!(
        problems(&run(link)),
        [
            "f-source-0-each: “0” is not a whole number from 1 to 100",
            "f-source-1-each: “-2” is not a whole number from 1 to 100",
            "f-source-2-each: “1.5” is not a whole number from 1 to 100",
        ]
    );
    // 2 × 40 and 2 × 41 dB: 10·lg(2·10⁴ + 2·10^4.1) = 46.54 dB.
    assert!(headline(&run(link)).starts_with("Together 46.5"), "{}", headline(&run(link)));
    let link = "#/swap/v1/fan=a~level=41~each=0/option=b~level=20~at=1~each=1%2E5";
    assert_eq!(problems(&run(link)).len(), 2);
    assert!(headline(&run(link)).starts_with("Worth trying"), "{}", headline(&run(link)));
}

#[test]
fn equal_levels_show_no_change_and_never_a_level() {
    let link = "#/alone/v1/on=44.0/off=44.0";
    assert!(headline(&run(link)).starts_with("The level did not fall"), "{}", headline(&run(link)));
    let bound = |id: &str| report(link).values.iter().find(|value| value.id == id).map(|value| value.amount);
    assert!(report(link).values.iter().all(|value| !matches!(value.amount.value(), Some(level) if level > 44.0)), "{:?}", bound("alone"));
    let even = headline(&run("#/tally/v1/source=a~level=40.0/source=b~level=40.0"));
    assert!(even.contains("matter equally"), "{even}");
    let same = headline(&run("#/louder/v1/before=44.0/after=44.0"));
    assert!(same.contains("no change is shown"), "{same}");
}

#[test]
fn a_background_above_the_reading_is_answered() {
    let louder = headline(&run("#/alone/v1/on=40.0/off=44.0"));
    assert!(louder.starts_with("! It reads louder with the part stopped") && louder.contains("Swap them"), "{louder}");
    let tally = headline(&run("#/tally/v1/back=50.0/source=a~level=40.0"));
    assert!(tally.contains("only the background of 50.0"), "{tally}");
    let swap = headline(&run("#/swap/v1/back=60.0/fan=a~level=41.0/option=b~level=20~at=1"));
    assert!(swap.starts_with("Not worth it"), "{swap}");
}

#[test]
fn levels_of_different_weighting_are_refused_by_name() {
    for (link, names) in [
        ("#/alone/v1/on=46.1dBA/off=44.9dBC", ["“With everything running” (46.1", "“With one part stopped” (44.9"]),
        ("#/tally/v1/source=fan~level=40dBA/source=axes~level=41dBC", ["“fan” (40.0", "“axes” (41.0"]),
        ("#/swap/v1/fan=fan~level=41/other=axes~level=41dBC/option=b~level=20~at=1", ["“fan” (41.0", "“axes” (41.0"]),
        ("#/louder/v1/before=50dBA/after=40dBC", ["“The level now” (50.0", "“The level to compare it with” (40.0"]),
    ] {
        let said = headline(&run(link));
        assert!(said.starts_with("! ") && names.iter().all(|name| said.contains(name)), "{link}: {said}");
        assert!(said.contains("dB(A)") && said.contains("dB(C)"), "{said}");
    }
}

#[test]
fn a_distance_of_nought_is_answered_and_the_rest_stays() {
    for (link, problem) in [
        ("#/alone/v1/at=0/on=46/off=44", "f-at: 0 m is outside 0.01 m to 100 m"),
        ("#/tally/v1/source=a~level=40~near=0~ear=2/source=b~level=41", "f-source-0-near: 0 m is outside 0.01 m to 100 m"),
        ("#/swap/v1/fan=a~level=41/option=b~level=20~at=0", "f-option-1-at: 0 m is outside 0.05 m to 100 m"),
        ("#/swap/v1/ear=0/fan=a~level=41/option=b~level=20~at=1", "f-ear: 0 m is outside 0.05 m to 100 m"),
    ] {
        let run = run(link);
        assert_eq!(problems(&run), [problem]);
        assert!(matches!(run.outcome, Outcome::Answer(_)), "{link}: {}", headline(&run));
    }
}

#[test]
fn an_air_flow_that_is_missing_is_no_air_flow_of_nought() {
    let without = report("#/swap/v1/fan=a~level=41~air=20/option=b~level=20~at=1");
    let text = format!("{} | {}", notes(&without), say_all(&without.support));
    assert!(text.to_lowercase().contains("air"), "{text}");
    let numbers: Vec<f64> =
        without.values.iter().filter(|value| value.id.contains("air")).filter_map(|value| value.amount.value()).collect();
    assert!(numbers.iter().all(|number| *number != 0.0), "{numbers:?}");
}

#[test]
fn a_price_that_is_missing_gives_no_money_per_decibel() {
    use lessdin::calc::quantity::Quantity;
    let money = |link: &str| {
        let report = report(link);
        let cells = report.tables.iter().flat_map(|grid| &grid.rows).flat_map(|row| row.cells.clone());
        cells.filter(|cell| matches!(cell, lessdin::text::Arg::Number(Quantity::MoneyPerDecibel | Quantity::Money, _))).count()
            + report.values.iter().filter(|value| value.quantity == Quantity::MoneyPerDecibel && value.amount.value().is_some()).count()
    };
    assert_eq!(money("#/swap/v1/fan=a~level=41/option=b~level=20~at=1"), 0);
    assert!(money("#/swap/v1/fan=a~level=41/option=b~level=20~at=1~price=12") > 0);
}

#[test]
fn names_that_are_markup_emoji_or_written_from_right_to_left_are_shown_as_they_are() {
    for name in ["<script>alert(1)</script>", "مروحة الخزانة", "מאוורר", "🙂🌀", "{drop}", "NaN"] {
        for sheet in SHEETS {
            let (_, example) = open_whole(sheet.meta().example);
            let Some(table) = sheet.schema().tables.iter().find(|table| !example.rows(table.key).is_empty()) else { continue };
            let draft = example.clone().with(Path::cell(table.key, example.rows(table.key)[0], "name"), name);
            let run = examine(*sheet, &draft).unwrap();
            let texts = crate::support::texts(&run, Style::default());
            let name = lessdin::calc::read::text_cut(&table.cells[0], name).0;
            assert!(texts.iter().any(|(_, text)| text.contains(&name)), "{} should name {name} somewhere", sheet.meta().id);
        }
    }
}

#[test]
fn a_name_that_a_spreadsheet_would_run_is_exported_as_text() {
    for name in ["=1+1", "+1", "-1", "@sum(a1)", "=cmd|' /c calc'!a1"] {
        for sheet in SHEETS {
            let (_, example) = open_whole(sheet.meta().example);
            let Some(table) = sheet.schema().tables.iter().find(|table| !example.rows(table.key).is_empty()) else { continue };
            let draft = example.clone().with(Path::cell(table.key, example.rows(table.key)[0], "name"), name);
            let Outcome::Answer(report) = sheet.run(&draft, None).outcome else { panic!("{} has no answer", sheet.meta().id) };
            for grid in report.tables.iter().chain(report.pictures.iter().map(|picture| &picture.twin)) {
                for (text, mark) in [(table_text::tsv(grid, Style::default()), '\t'), (table_text::csv(grid, Style::default()), ',')] {
                    let starts = text.lines().flat_map(|line| line.split(mark)).map(|cell| cell.trim_start_matches('"'));
                    let runs = |cell: &str| cell.starts_with(['=', '@']) || (cell.starts_with(['+', '-']) && cell.parse::<f64>().is_err());
                    let found: Vec<&str> = starts.filter(|cell| runs(cell)).collect();
                    assert!(found.is_empty(), "{} exports {found:?} from table {}", sheet.meta().id, grid.id);
                }
            }
        }
    }
}

#[test]
fn numbers_of_every_locale_are_read() {
    let plain = headline(&run("#/alone/v1/on=46.1/off=44.9"));
    for on in ["46,1", " 46.1 dB", "46,1 dB", "46.1dB(A)", "4.61e1", "+46.1"] {
        let draft = Draft::default().with(Path::field("on"), on).with(Path::field("off"), "44.9");
        assert_eq!(headline(&examine(find("alone").unwrap(), &draft).unwrap()), plain, "{on}");
    }
}

#[test]
fn a_comma_that_may_mean_thousands_is_answered_with_how_it_was_read() {
    let draft = Draft::default().with(Path::field("on"), "46,125").with(Path::field("off"), "44.9");
    let run = find("alone").unwrap().run(&draft, None);
    let remarks: Vec<String> = run.remarks.iter().map(|(_, said)| said.text(Style::default())).collect();
    assert_eq!(remarks.len(), 1);
    assert!(remarks[0].starts_with("read as 46.125"), "{remarks:?}");
}

#[test]
fn every_problem_is_shown_at_once() {
    let run = run("#/sample/v1/on=loud/far=999/room=maybe/item=a~level=40~each=1%2E5/weight=loud");
    assert_eq!(
        problems(&run),
        [
            "f-on: “loud” is not a number",
            "f-far: 999 m is outside 0.1 m to 50 m",
            "f-room: “maybe” is not one of on and off",
            "f-item-0-each: “1.5” is not a whole number from 1 to 20",
            "f-weight: “loud” is not one of A, C and Z (flat)",
        ]
    );
    assert!(matches!(run.outcome, Outcome::Waiting(_)));
    assert!(headline(&self::run("#/sample/v1/on=44/item=a~level=145")).starts_with("! Nothing is louder than 145.0"));
}

#[test]
fn text_of_100_kb_in_any_field_is_answered_and_kept() {
    let long = "fan ".repeat(25_000);
    for sheet in SHEETS {
        let (_, example) = open_whole(sheet.meta().example);
        for (path, cell) in crate::support::cells(*sheet, &example) {
            let draft = example.clone().with(path, long.as_str());
            let run = examine(*sheet, &draft).unwrap();
            if crate::support::is_shown(*sheet, &draft, path, cell) {
                let said = run.errors.iter().find(|error| error.path == path).map(|error| error.problem.said().text(Style::default()));
                assert!(said.as_ref().is_some_and(|said| said.chars().count() < 240), "{} {}: {said:?}", sheet.meta().id, path.dom_id());
            }
        }
    }
}

#[test]
fn microsteps_that_no_driver_has_are_answered_or_questioned() {
    let run_of = |now: &str| run(&format!("#/steps/v1/axis=X~pitch=2~teeth=20~now={now}"));
    assert_eq!(problems(&run_of("0")), ["f-axis-0-now: “0” is not a whole number from 1 to 4096"]);
    for now in ["48", "300"] {
        assert!(matches!(run_of(now).outcome, Outcome::Answer(_)), "{now}");
        let noted = notes(&report(&format!("#/steps/v1/axis=X~pitch=2~teeth=20~now={now}")));
        assert!(noted.contains(now), "{now} should be questioned: {noted}");
    }
    let usual = notes(&report("#/steps/v1/axis=X~pitch=2~teeth=20~now=16"));
    assert!(!usual.contains("16 "), "{usual}");
}

#[test]
fn a_pulley_without_teeth_is_answered() {
    for (teeth, said) in [("0", "“0”"), ("-20", "“-20”"), ("1%2E5", "“1.5”")] {
        let run = run(&format!("#/steps/v1/axis=X~pitch=2~teeth={teeth}~now=16"));
        assert_eq!(problems(&run), [format!("f-axis-0-teeth: {said} is not a whole number from 1 to 2000")]);
    }
}

#[test]
fn a_lead_taken_for_a_pitch_is_shown_as_lead() {
    // Pitch 8 with four starts is a lead of 32 mm: whoever meant a lead of 8 mm must see that.
    let report = report("#/steps/v1/axis=Z~drive=screw~pitch=8~starts=4~now=16");
    let texts = crate::support::texts(&run("#/steps/v1/axis=Z~drive=screw~pitch=8~starts=4~now=16"), Style::default());
    assert!(texts.iter().any(|(_, text)| text.contains("32")), "the lead should be shown: {}", notes(&report));
    assert!(notes(&report).to_lowercase().contains("lead"), "{}", notes(&report));
}

#[test]
fn an_axis_that_is_wrong_leaves_the_others_their_answer() {
    let link = "#/steps/v1/axis=X~pitch=2~teeth=0~now=16/axis=Y~pitch=2~teeth=20~now=16";
    assert!(headline(&run(link)).contains("80"), "{}", headline(&run(link)));
    assert!(notes(&report(link)).contains('X'), "{}", notes(&report(link)));
}

#[test]
fn a_pasted_list_with_things_that_are_no_rows_fills_what_it_can() {
    let table = find("tally").unwrap().schema().table("source").unwrap();
    let text = "Source\tLevel\tCount\nsupply fan\t38,6\t1\ncabinet fan\t41.1\t2\n\n;;;\n=sum(a1)\t40\nNaN\n";
    let rows = table_text::rows_from_text(text, table);
    let mut draft = Draft::default();
    table_text::put_rows(&mut draft, table, &rows);
    let levels: Vec<&str> = draft.rows("source").iter().map(|row| draft.get(Path::cell("source", *row, "level"))).collect();
    assert_eq!(levels.into_iter().filter(|level| !level.is_empty()).collect::<Vec<_>>(), ["38,6", "41.1", "40"]);
    let total = headline(&examine(find("tally").unwrap(), &draft).unwrap());
    assert!(total.starts_with("Together 46.3"), "38.6, 2 × 41.1 and 40 make 46.34 dB: {total}");
    assert!(!draft.row_is_empty(RowAt { table: "source", row: draft.rows("source")[0] }));
}

#[test]
fn readings_with_parts_on_and_off_that_do_not_tell_are_answered_in_words() {
    for (link, said) in [
        // One reading; everything on in all of them; never one without the other; never on.
        ("part=a/part=b/read=level=42.0~p1=1~p2=1", "Only the sum of the room, a and b is known"),
        ("part=a/part=b/read=level=40.0~p1=1/read=level=42.0~p1=1~p2=1", "On in every reading, so not told from the room: a."),
        ("part=a/part=b/read=level=30.0/read=level=42.0~p1=1~p2=1", "a and b never ran without each other, so only their sum is known."),
        ("part=a/part=b/read=level=30.0/read=level=42.0~p1=1", "Never on in any reading: b."),
        // One always with two of the other: neither alone, nor their plain sum.
        ("part=a/part=b/read=level=30.0/read=level=42.0~p1=1~p2=2", "a and b never ran without each other"),
        // No reading with everything off, though it can be worked out.
        ("part=a/part=b/read=level=40.0~p1=1/read=level=42.0~p2=1/read=level=44.0~p1=1~p2=1", "There is no reading with everything off."),
        // The same state twice, 6 dB apart; more on but lower.
        ("part=a/read=level=30.0/read=level=40.0~p1=1/read=level=46.0~p1=1", "Readings 2 and 3 are of the same state, yet 6.0 dB apart."),
        (
            "part=a/part=b/read=level=30.0/read=level=42.0~p1=1/read=level=39.0~p1=1~p2=1",
            "Reading 3 has more on than reading 2, yet it is 3.0 ± 0.7 dB lower.",
        ),
        // A ± of nought, a count of a half, a level that is none, none at all.
        ("part=a/read=level=30.0~pm=0/read=level=40.0~p1=1", "The ± of reading 1 cannot be read."),
        ("part=a/read=level=30.0/read=level=40.0~p1=1/read=level=41.0~p1=1%2E5", "What was on in reading 3 cannot be read."),
        ("part=a/read=level=30.0/read=level=40.0~p1=1/read=level=loud~p1=1", "The level of reading 3 cannot be read."),
        ("part=a/read=level=30.0/read=level=40.0~p1=1/read=p1=1", "Reading 3 has no level yet"),
    ] {
        let link = format!("#/on-off/v1/{link}");
        let all = format!("{} {}", headline(&run(&link)), notes(&report(&link))).replace(['\u{202f}', '\u{2009}'], " ");
        assert!(all.contains(said), "{link}: {all}");
    }
}

#[test]
fn a_part_that_is_not_told_apart_gets_no_number() {
    for link in ["part=a/part=b/read=level=30.0/read=level=42.0~p1=1~p2=1", "part=a/part=b/read=level=30.0/read=level=42.0~p1=1"] {
        let report = report(&format!("#/on-off/v1/{link}"));
        let named = |name: &str| {
            report
                .tables
                .iter()
                .filter(|grid| grid.id == "parts" || grid.id == "sums")
                .flat_map(|grid| &grid.rows)
                .any(|row| row.cells.first().is_some_and(|cell| cell.text(Style::default()) == name))
        };
        assert!(!named("b"), "{link}");
    }
}

#[test]
fn the_thirteenth_part_is_left_out_and_said_so() {
    let parts: Vec<String> = (1..=13).map(|part| format!("part=p{part}")).collect();
    let opened = open(&format!("#/on-off/v1/{}/read=level=30.0/read=level=40.0~p1=1~p13=1", parts.join("/")));
    let said = say_all(&opened.notes);
    assert!(said.contains("more rows than fit. The first 12") && said.contains("p13=1"), "{said}");
    let rows = "/read=level=40.0~p1=1".repeat(61);
    assert!(say_all(&open(&format!("#/on-off/v1/part=a{rows}")).notes).contains("The first 60"));
}
