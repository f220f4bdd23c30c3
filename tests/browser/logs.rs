use std::fmt::Write;

use serde_json::{Value, json};

use crate::engine::on_every_engine;
use crate::page::Browser;

/// Opens files as the picker would: names and contents.
fn open_files(page: &Browser, files: &[(&str, &str)]) {
    page.wait_for("#open-logs");
    page.script(
        "const data = new DataTransfer();
         for (const [name, text] of arguments[0]) data.items.add(new File([text], name));
         const input = document.getElementById('open-logs');
         input.files = data.files;
         input.dispatchEvent(new Event('change', { bubbles: true }))",
        &json!([files]),
    );
}

/// A log of a quiet and a loud minute, a second to a row; `extra` tenths louder.
fn two_minutes(extra: i32) -> String {
    let mut text = String::from("Time;LAeq\r\n");
    for second in 0..180 {
        let tenths = if (60..120).contains(&second) { 452 } else { 384 } + extra + [0, 2, -1, 1, -2, 0, 1][second % 7];
        writeln!(text, "2031-11-04 18:{:02}:{:02};{}.{}", second / 60, second % 60, tenths / 10, tenths % 10).unwrap();
    }
    text
}

fn logs_shown(page: &Browser, count: u64) {
    page.until(&format!("{count} logs are shown"), || (page.count("[data-log]") == count).then_some(()));
}

/// Unfolds what was understood.
fn unfold(page: &Browser) {
    page.script("document.querySelectorAll('[data-log] details').forEach((e) => { e.open = true })", &json!([]));
}

fn starts(page: &Browser) -> Value {
    page.script("return [...document.querySelectorAll('.stretch .moment')].map((e) => e.value)", &json!([]))
}

#[test]
fn made_up_logs_are_read_divided_and_compared_and_a_link_of_them_says_what_is_not_sent() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/runs");
        page.tap("Try it with made-up logs");
        logs_shown(&page, 4);
        let sentence = page.sentence_when("four logs are compared", |sentence| sentence.starts_with("Yes, quieter: a typical job"));
        assert!(sentence.contains("parked got louder"), "{sentence}");
        assert_eq!(starts(&page), json!(["0:00", "1:00", "1:20", "5:20", "20:20"]));
        unfold(&page);
        page.expect_text("[data-log] .facts", "1340 rows used");
        page.settled();
        let link = page.fragment();
        assert!(link.len() < 4000, "{link}");

        // On another device the figures stand as they were sent.
        let other = stage.browser();
        other.open(&link);
        other.expect_sentence(&sentence);
        other.expect_text(".logs", "is not on this device");
        assert_eq!(other.count("[data-log]"), 0);
    });
}

#[test]
fn logs_come_back_after_a_reload_and_can_be_deleted() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/runs");
        open_files(&page, &[("before.csv", &two_minutes(0)), ("after.csv", &two_minutes(-20))]);
        logs_shown(&page, 2);
        page.until("both are divided", || (starts(&page) == json!(["0:00", "1:00", "2:00"])).then_some(()));
        page.settled();
        page.kept_if_it_can();
        page.reload();
        logs_shown(&page, 2);
        page.expect_text(".logs", "gives the figures that were sent");
        page.tap("Delete from this device");
        logs_shown(&page, 1);
        page.reload();
        logs_shown(&page, 1);
        page.expect_text(".logs", "is not on this device");
    });
}

#[test]
fn edges_are_typed_split_and_joined_and_the_figures_follow() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/runs");
        open_files(&page, &[("job.csv", &two_minutes(0))]);
        logs_shown(&page, 1);
        page.until("it is divided", || (starts(&page) == json!(["0:00", "1:00", "2:00"])).then_some(()));
        let figures = || page.text(".entries");
        let before = figures();
        page.script(
            "const field = document.querySelectorAll('.stretch .moment')[1];
             field.value = '1:20'; field.dispatchEvent(new Event('change', { bubbles: true }))",
            &json!([]),
        );
        page.until("the edge moved", || (starts(&page) == json!(["0:00", "1:20", "2:00"])).then_some(()));
        page.until("the figures follow", || (figures() != before).then_some(()));
        page.tap("Split");
        page.until("there are four", || (starts(&page) == json!(["0:00", "0:40", "1:20", "2:00"])).then_some(()));
        page.tap("Join with next");
        page.until("there are three again", || (starts(&page) == json!(["0:00", "1:20", "2:00"])).then_some(()));
        page.tap("Undo");
        page.until("undo takes it back", || (starts(&page) == json!(["0:00", "0:40", "1:20", "2:00"])).then_some(()));
    });
}

#[test]
fn what_is_no_log_is_answered_in_words() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/runs");
        let files = [
            ("nothing.csv", ""),
            ("photo.png", "\u{89}PNG\r\n"),
            ("packed.zip", "PK\u{3}\u{4}\u{14}\0\0\0"),
            ("names.csv", "Time,LAeq (dB)\n"),
            ("words.csv", "quiet\nloud\nquiet\n"),
        ];
        open_files(&page, &files);
        for part in ["nothing.csv: This file is empty", "packed.zip: This is a packed file", "names.csv: No rows", "words.csv: No rows"] {
            page.expect_text(".logs", part);
        }
        assert_eq!(page.count("[data-log]"), 0);
        open_files(&page, &[("job.csv", &two_minutes(0))]);
        logs_shown(&page, 1);
    });
}

#[test]
fn dates_that_can_be_read_in_two_ways_are_asked_about() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/runs");
        let rows: Vec<String> = (0..40).map(|second| format!("04/05/2031 19:00:{second:02};38.{}", second % 10)).collect();
        open_files(&page, &[("dates.csv", &format!("date;level\r\n{}", rows.join("\r\n")))]);
        logs_shown(&page, 1);
        page.expect_text("[data-log]", "can be read in two ways");
        unfold(&page);
        page.expect_text(".first-rows", "2031-05-04");
        page.script(
            "const list = document.querySelector('[data-log] > .set:not(:first-of-type) select, [data-log] > .set ~ .set select');
             list.value = '1'; list.dispatchEvent(new Event('change', { bubbles: true }))",
            &json!([]),
        );
        page.expect_text(".first-rows", "2031-04-05");
    });
}
