//! Links people have shared still open as they did, and links survive what chat and mail programs do to them.

use crate::support::{examine, find, headline, open, open_whole, pairs, safe, say_all, sheets};
use lessdin::calc::draft::{Draft, Path};
use lessdin::calc::schema::Kind;
use lessdin::sheets::SHEETS;
use lessdin::text::Style;

/// The golden links.
pub(crate) fn golden() -> Vec<(usize, &'static str, &'static str)> {
    pairs(include_str!("../golden/links.txt"))
}

const SAMPLE: &str = "#/sample/v1/on=44.3/far=2/item=supply.fan~level=38.6/item=cabinet.fan~level=41.1~each=2/point=a~for=2";

fn headline_of(link: &str) -> String {
    let (sheet, draft) = open_whole(link);
    headline(&sheet.run(&draft, None))
}

#[test]
fn every_golden_link_opens_to_its_headline() {
    let mut wrong = Vec::new();
    for (line, link, expected) in golden() {
        let (sheet, draft) = open_whole(link);
        match examine(sheet, &draft) {
            Err(fault) => wrong.push(format!("links.txt:{line}: {fault}")),
            Ok(run) if headline(&run) != expected => {
                wrong.push(format!("links.txt:{line}: {link}\n  expected: {expected}\n  found:    {}", headline(&run)));
            }
            Ok(_) => {}
        }
        safe(link).unwrap_or_else(|fault| panic!("links.txt:{line}: {fault}"));
        assert_eq!(sheet.link(&draft), link, "links.txt:{line}: the link is not in its canonical form");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_example_is_canonical_and_among_the_golden_links() {
    let golden = golden();
    for sheet in SHEETS {
        let example = sheet.meta().example;
        let (_, draft) = open_whole(example);
        assert_eq!(sheet.link(&draft), example, "the example of {} should be in its canonical form", sheet.meta().id);
        assert!(golden.iter().any(|(_, link, _)| *link == example), "append the example of {} to tests/golden/links.txt", sheet.meta().id);
    }
}

#[test]
fn a_link_taken_along_with_punctuation_and_brackets_opens_the_same() {
    for link in SHEETS.iter().map(|sheet| sheet.meta().example).chain([SAMPLE]) {
        let expected = headline_of(link);
        for around in [
            "{}.", "{},", "({})", "<{}>", "“{}”", "\"{}\"", "see {}", "{}).", "{}!", "{}?", "{};", "{}:", "[{}]", "*{}*", "{}…", " {} ",
            "{}\n",
        ] {
            for base in ["", "https://example.org/lessdin/", "http://192.168.1.7:8080/", "https://example.org/lessdin/index.html?utm=1"] {
                let text = around.replace("{}", &format!("{base}{link}"));
                let opened = open(&text);
                assert!(opened.notes.is_empty(), "{text} should open without notes: {}", say_all(&opened.notes));
                let sheet = find(&opened.sheet).unwrap_or_else(|| panic!("{text} opens nothing"));
                let draft = opened.draft.unwrap_or_default();
                assert_eq!(headline(&sheet.run(&draft, None)), expected, "{text}");
                assert_eq!(sheet.link(&draft), link, "{text}");
            }
        }
    }
}

#[test]
fn a_link_broken_over_lines_opens_the_same() {
    let expected = headline_of(SAMPLE);
    for at in [8, 20, 40, 60] {
        for mark in ["\n", "\r\n", "\u{200b}", "\u{00ad}"] {
            let (start, end) = SAMPLE.split_at(at);
            let text = format!("https://example.org/{start}{mark}{end}");
            let opened = open(&text);
            assert!(opened.notes.is_empty(), "{text:?}: {}", say_all(&opened.notes));
            let sheet = find(&opened.sheet).unwrap_or_else(|| panic!("{text:?} opens nothing"));
            assert_eq!(headline(&sheet.run(&opened.draft.unwrap_or_default(), None)), expected, "{text:?}");
        }
    }
}

#[test]
fn a_link_encoded_as_a_whole_opens_the_same() {
    let encoded: String =
        SAMPLE.bytes().map(|b| if b.is_ascii_alphanumeric() { char::from(b).to_string() } else { format!("%{b:02X}") }).collect();
    let (_, fragment) = encoded.split_at(3);
    for text in [format!("https://example.org/{encoded}"), format!("https://example.org/#{fragment}"), format!("#{fragment}")] {
        let opened = open(&text);
        assert!(opened.notes.is_empty(), "{text}: {}", say_all(&opened.notes));
        let sheet = find(&opened.sheet).unwrap_or_else(|| panic!("{text} opens nothing: {:?}", opened.sheet));
        assert_eq!(sheet.link(&opened.draft.unwrap_or_default()), SAMPLE);
    }
}

#[test]
fn a_damaged_link_says_where_and_shows_the_rest() {
    let opened = open("#/sample/v1/on=44.3/far=2/part=fan%zz/item=a%~level=40");
    assert_eq!(opened.notes.len(), 2, "{}", say_all(&opened.notes));
    assert!(say_all(&opened.notes).contains("damaged near “fan%zz”"), "{}", say_all(&opened.notes));
    let draft = opened.draft.unwrap();
    assert_eq!((draft.get(Path::field("on")), draft.get(Path::field("far"))), ("44.3", "2"));
    for text in ["#/sample/v1/part=%FF", "#/sample/part=%F0%9F", "#/sample/part=%"] {
        assert_eq!(open(text).notes.len(), 1, "{text}");
    }
}

#[test]
fn an_unknown_sheet_is_named_and_nothing_opens() {
    for text in ["#/dishwasher/v1/on=3", "#/dishwasher", "#dishwasher", "https://example.org/#/dish%20washer/x=1"] {
        let opened = open(text);
        assert!(opened.draft.is_none(), "{text}");
        assert!(say_all(&opened.notes).contains("dish"), "{text}: {}", say_all(&opened.notes));
    }
    for text in ["", "#", "#/", "https://example.org/", "https://example.org/#/", "   ", "/"] {
        let opened = open(text);
        assert!(opened.sheet.is_empty() && opened.notes.is_empty() && opened.draft.is_none(), "{text} should be the home page: {opened:?}");
    }
}

#[test]
fn unknown_keys_and_columns_are_named_and_the_rest_opens() {
    let opened = open("#/sample/v1/on=44.3/colour=red/item=a~level=40~shade=dark/loose");
    let notes = say_all(&opened.notes);
    assert!(notes.contains("“colour=red”") && notes.contains("“shade=dark”") && notes.contains("“loose”"), "{notes}");
    assert_eq!(opened.draft.unwrap().get(Path::field("on")), "44.3");
}

#[test]
fn a_repeated_key_is_named_and_the_first_one_holds() {
    let opened = open("#/sample/v1/on=44.3/on=50/item=a~level=40~level=60");
    let notes = say_all(&opened.notes);
    assert!(notes.contains("“on” twice") && notes.contains("“level” twice"), "{notes}");
    let draft = opened.draft.unwrap();
    assert_eq!(draft.get(Path::field("on")), "44.3");
    assert_eq!(draft.get(Path::cell("item", draft.rows("item")[0], "level")), "40");
}

#[test]
fn a_key_of_an_older_version_still_opens() {
    let (sheet, draft) = open_whole("#/sample/v1/on=44/distance=3");
    assert_eq!(sheet.link(&draft), "#/sample/v1/on=44/far=3");
}

#[test]
fn a_newer_version_and_a_strange_one_are_told() {
    assert!(say_all(&open("#/sample/v99/on=44").notes).contains("newer version"));
    for text in ["#/sample/vx/on=44", "#/sample/v/on=44", "#/sample/v-1/on=44", "#/sample/v99999999999/on=44", "#/sample/v1/v2/on=44"] {
        let opened = open(text);
        assert_eq!(opened.notes.len(), 1, "{text}: {}", say_all(&opened.notes));
        assert_eq!(opened.draft.unwrap().get(Path::field("on")), "44", "{text}");
    }
}

#[test]
fn a_link_with_100_kb_of_text_is_cut_and_says_so() {
    let text = format!("#/sample/v1/on=44.3/part={}", "fan.".repeat(25_000));
    let opened = open(&text);
    let notes = say_all(&opened.notes);
    assert!(notes.contains("longer than this page reads"), "{notes}");
    let draft = opened.draft.unwrap();
    assert_eq!(draft.get(Path::field("on")), "44.3");
    assert!(sheets().last().unwrap().link(&draft).len() < 200);
}

#[test]
fn script_tags_right_to_left_names_and_emoji_come_back_as_typed() {
    for name in [
        "<script>alert(1)</script>",
        "مروحة الخزانة",
        "מאוורר \u{202e}reversed",
        "🙂🌀 fan",
        "a/b=c~d#e",
        "100 % {x} & <b>",
        "_*bold*_ ~~x~~",
        "..",
        "-",
        "--x--",
    ] {
        for (sheet, key) in sheets().filter_map(|sheet| {
            Some((sheet, sheet.schema().fields.iter().find(|cell| matches!(cell.kind, Kind::Text { max } if max >= 24))?.key))
        }) {
            let draft = Draft::default().with(Path::field(key), name);
            let link = sheet.link(&draft);
            safe(&link).unwrap();
            let (_, back) = open_whole(&link);
            assert_eq!(back.get(Path::field(key)), name, "{link}");
        }
        // A program that keeps only what it takes for a part of an address must keep all of it.
        let row = Draft::default().with(Path::field("title"), name);
        assert!(sheets().all(|sheet| !sheet.link(&row).contains(['<', '>', '"', '*', '_', '(', ')', ' '])));
    }
}

#[test]
fn forty_rows_with_latin_names_stay_under_4000_characters() {
    for sheet in sheets() {
        for table in sheet.schema().tables {
            let mut draft = Draft::default().with(Path::field("machine"), "gantry engraver").with(Path::field("at"), "1");
            for row in 1..=table.max_rows.min(40) {
                let at = draft.add_row(table.key);
                for cell in table.cells {
                    let text = match (cell.key, cell.kind) {
                        ("name", _) => format!("cabinet fan no {row}"),
                        (_, Kind::Levels { .. }) => format!("{}.5", 30 + row % 20),
                        (_, Kind::Count { min, max }) => (min + 1).min(max).to_string(),
                        _ => String::new(),
                    };
                    draft.set(Path::cell(table.key, at, cell.key), text);
                }
            }
            let link = sheet.link(&draft);
            assert!(
                link.len() < 4000,
                "{} rows of {} in {} take {} characters",
                table.max_rows.min(40),
                table.key,
                sheet.meta().id,
                link.len()
            );
            assert!(sheet.length_note(&link).is_none());
        }
    }
}

#[test]
fn a_longer_link_warns_with_its_length() {
    let sheet = sheets().last().unwrap();
    let mut draft = Draft::default().with(Path::field("on"), "44");
    for _ in 0..12 {
        let row = draft.add_row("item");
        draft.set(Path::cell("item", row, "name"), "مروحة ".repeat(5));
        draft.set(Path::cell("item", row, "level"), "41.5 42.5 43.25 41.125 42.375 ".repeat(6));
    }
    let link = sheet.link(&draft);
    assert!(link.len() > 4000, "{}", link.len());
    let note = sheet.length_note(&link).unwrap().text(Style::default());
    assert!(note.contains("characters long"), "{note}");
}

#[test]
fn a_number_keeps_its_unit_and_its_tenths_in_a_link() {
    for (typed, written) in [
        ("44.0", "44.0"),
        ("44", "44"),
        ("44,50", "44.5"),
        ("41 42", "41.0,42"),
        ("41, 41.0", "41.0,41.0"),
        ("41.0 42.0", "41.0,42.0"),
        ("41 42 43", "41.0,42,43"),
        ("41,5 42", "41.5,42"),
        ("41 dB(C) 42 dB(C)", "41.0dBC,42dBC"),
        ("\u{2212}3", "-3"),
        ("-3 -4", "-3.0,-4"),
    ] {
        let sheet = sheets().last().unwrap();
        let draft = Draft::default().with(Path::field("on"), typed);
        assert_eq!(sheet.link(&draft), format!("#/sample/v1/on={written}"));
        examine(sheet, &draft).unwrap();
    }
}
