use std::fs;
use std::process::Command;

use serde_json::{Value, json};

use crate::engine::{Can, Engine, Stage, on_every_engine};
use crate::page::{Browser, SENTENCE, even};
use crate::server::Folder;

const STORY: &str = "#/alone/v1/machine=gantry.engraver/on=46.1/off=44.9";

/// Lets the flow read the clipboard.
fn allow_clipboard(stage: &Stage, page: &Browser) {
    if stage.engine == Engine::Chromium {
        let origin = page.script("return location.origin", &json!([]));
        page.cdp(
            "Browser.grantPermissions",
            &json!({ "origin": origin, "permissions": ["clipboardReadWrite", "clipboardSanitizedWrite"] }),
        );
    }
}

fn clipboard(page: &Browser) -> String {
    page.promise("return await navigator.clipboard.readText()", &json!([])).as_str().unwrap_or_default().to_owned()
}

#[test]
fn a_tap_copies_a_value_the_answer_the_link_or_a_table() {
    on_every_engine(&[Can::Clipboard], |stage| {
        let page = stage.browser();
        page.open(STORY);
        page.expect_sentence(SENTENCE);
        allow_clipboard(stage, &page);

        page.follow("button.value");
        page.expect_text(".told", "copied");
        assert_eq!(clipboard(&page), "1.2", "the first value, as a plain number");

        page.tap("Copy");
        page.until("the answer is copied", || {
            let copied = even(&clipboard(&page));
            (copied.contains(SENTENCE) && copied.contains(STORY)).then_some(())
        });

        page.tap("Share");
        page.until("the link is copied", || (clipboard(&page) == stage.site.address() + STORY).then_some(()));
        page.expect_text(".told", "Link copied");

        page.example("tally");
        page.tap("Copy the table");
        page.until("the table is copied", || {
            let copied = clipboard(&page);
            let columns: Vec<usize> = copied.trim_end().lines().map(|line| line.matches('\t').count()).collect();
            (columns.len() > 3 && columns[0] > 0 && columns.iter().all(|count| *count == columns[0])).then_some(())
        });
    });
}

#[test]
fn with_a_share_dialogue_the_link_goes_there() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open(STORY);
        page.expect_sentence(SENTENCE);
        page.script(
            "Object.defineProperty(navigator, 'share', { configurable: true, value: async (data) => { window.handed = data; } })",
            &json!([]),
        );
        page.tap("Share");
        let handed = page.until("the dialogue gets it", || {
            let handed = page.script("return window.handed || null", &json!([]));
            handed.is_object().then_some(handed)
        });
        assert_eq!(handed["url"], stage.site.address() + STORY);
        assert!(even(handed["text"].as_str().unwrap_or_default()).contains(SENTENCE));
    });
}

#[test]
fn a_table_is_saved_as_csv_in_which_no_cell_is_a_formula() {
    on_every_engine(&[Can::Download], |stage| {
        let page = stage.browser();
        page.open("#/tally/v1/source=%3D1%2B2~level=40/source=tool.fan~level=41");
        page.answered();
        page.tap("Save as CSV");
        let text = String::from_utf8(page.downloaded(".csv")).unwrap();
        let lines: Vec<&str> = text.trim_start_matches('\u{feff}').split("\r\n").filter(|line| !line.is_empty()).collect();
        assert!(lines.len() >= 3, "{text}");
        let name = lines.iter().find(|line| line.contains("1+2")).unwrap_or_else(|| panic!("a row for =1+2: {text}"));
        let first = name.trim_start_matches('"');
        assert!(!first.starts_with(['=', '+', '-', '@']), "a spreadsheet would work it out: {name}");
    });
}

#[test]
fn a_picture_is_saved_as_png_with_something_on_it() {
    on_every_engine(&[Can::Download], |stage| {
        let page = stage.browser();
        page.example("tally");
        page.tap("Save the picture");
        let file = page.downloaded(".png");
        assert_eq!(file.get(..8), Some(&[0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a][..]));
        let number = |at: usize| file[at..at + 4].iter().fold(0_u32, |sum, byte| sum << 8 | u32::from(*byte));
        let (width, height) = (number(16), number(20));
        assert!(width >= 1000 && height >= 300, "{width} × {height}");
        let colours = page.large_colours(&file);
        assert!(colours >= 3, "large areas of {colours} colours");
    });
}

/// The text of a PDF file.
fn pdf_text(file: &[u8]) -> String {
    let folder = Folder::new();
    let path = folder.path().join("sheet.pdf");
    fs::write(&path, file).unwrap();
    let done = Command::new("pdftotext").arg(&path).arg("-").output();
    let done = done.unwrap_or_else(|e| panic!("pdftotext cannot be run ({e}). Install the package poppler-utils."));
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let text = String::from_utf8_lossy(&done.stdout).into_owned();
    // Type has its own letters for some pairs.
    let pairs = [("ﬀ", "ff"), ("ﬁ", "fi"), ("ﬂ", "fl"), ("ﬃ", "ffi"), ("ﬄ", "ffl")];
    even(&pairs.iter().fold(text, |text, (one, two)| text.replace(one, two)))
}

#[test]
fn a_print_has_the_sentence_the_numbers_the_conditions_and_the_link() {
    on_every_engine(&[Can::Print], |stage| {
        let page = stage.browser();
        page.open(STORY);
        page.expect_sentence(SENTENCE);
        let text = pdf_text(&page.print());
        for part in [SENTENCE, "How loud is it on its own?", "46.1", "gantry engraver", "Take care"] {
            assert!(text.contains(part), "the print has “{part}”: {text}");
        }
        // A long link is broken across lines.
        let close = |text: &str| text.replace(' ', "");
        assert!(close(&text).contains(&close(&(stage.site.address() + STORY))), "the print has the link: {text}");
        for part in ["Save the picture", "All questions", "Skip to"] {
            assert!(!text.contains(part), "“{part}” is of no use on paper: {text}");
        }

        for sheet in page.sheets() {
            page.example(&sheet);
            let sentence = page.sentence();
            let text = pdf_text(&page.print());
            assert!(close(&text).contains(&close(&sentence)), "{sheet}: the print has “{sentence}”: {text}");
        }
    });
}

#[test]
fn every_picture_has_its_twin_table_and_says_its_finding() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        for sheet in page.sheets() {
            page.example(&sheet);
            page.wait_for("[data-picture]");
            let faults = page.script(
                "const faults = [];
                 for (const figure of document.querySelectorAll('[data-picture]')) {
                   const name = figure.dataset.picture;
                   const finding = figure.querySelector('figcaption').innerText.trim();
                   if (!/\\d/.test(finding)) faults.push(name + ': no number in its finding: ' + finding);
                   const svg = figure.querySelector('svg[role=img]');
                   if (!svg || !svg.getAttribute('aria-label')) faults.push(name + ': no name');
                   if (svg && !svg.querySelector('rect, polyline, circle')) faults.push(name + ': nothing drawn');
                   const table = figure.querySelector('details table');
                   if (!table || table.rows.length < 2) faults.push(name + ': no twin table');
                 }
                 return faults",
                &json!([]),
            );
            assert_eq!(faults, Value::Array(Vec::new()), "{sheet}");
        }
    });
}
