use std::fmt::Write;

use serde_json::{Value, json};

use crate::engine::{Can, on_every_engine};
use crate::page::Browser;
use crate::webdriver::key;

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
        // A log that is opened there takes the names of the phases that were sent.
        open_files(&other, &[("job.csv", &two_minutes(0))]);
        logs_shown(&other, 1);
        other.until("it is divided", || (starts(&other) == json!(["0:00", "1:00", "2:00"])).then_some(()));
        let names = other
            .script("return [...document.querySelectorAll('.stretch select')].map((e) => e.selectedOptions[0].textContent)", &json!([]));
        let known = ["parked", "homing", "outline", "fill"];
        assert!(
            names.as_array().is_some_and(|names| names.iter().any(|name| known.contains(&name.as_str().unwrap_or_default()))),
            "{names}"
        );
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
        page.expect_text(".logs", "gives the figures shown");
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
        // A moment beyond the neighbours is answered, stays as typed and moves nothing.
        page.script(
            "const field = document.querySelectorAll('.stretch .moment')[1];
             field.value = '9:00'; field.dispatchEvent(new Event('change', { bubbles: true }))",
            &json!([]),
        );
        page.expect_text("#voice", "9:00 is beyond its neighbours: between 0:01 and 1:59.");
        assert_eq!(starts(&page), json!(["0:00", "9:00", "2:00"]));
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

/// Where the handles of the edges are in the window, and the top of the picture.
fn handles(page: &Browser) -> Vec<(f64, f64)> {
    page.script("document.querySelector('.plot').scrollIntoView({ block: 'center' })", &json!([]));
    let found = page.promise(
        "await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)));
         return [...document.querySelectorAll('.plot .edge')].filter((e) => !e.hidden).map((e) => {
           const box = e.getBoundingClientRect();
           return [box.left + box.width / 2, box.top + box.height * 0.7];
         })",
        &json!([]),
    );
    let pair = |value: &Value| Some((value.get(0)?.as_f64()?, value.get(1)?.as_f64()?));
    found.as_array().into_iter().flatten().filter_map(pair).collect()
}

fn two_minutes_divided(page: &Browser) {
    page.open("#/runs");
    open_files(page, &[("job.csv", &two_minutes(0))]);
    logs_shown(page, 1);
    page.until("it is divided", || (starts(page) == json!(["0:00", "1:00", "2:00"])).then_some(()));
    page.until("the handles are there", || (handles(page).len() == 4).then_some(()));
}

/// Seconds of the start of a stretch, as the list shows it.
fn seconds(page: &Browser, place: usize) -> f64 {
    let shown = starts(page);
    let (minutes, seconds) = shown[place].as_str().and_then(|text| text.split_once(':')).expect("minutes and seconds");
    minutes.parse::<f64>().unwrap() * 60.0 + seconds.parse::<f64>().unwrap()
}

#[test]
fn edges_are_dragged_and_moved_by_keys_on_the_curve_and_the_figures_follow() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        two_minutes_divided(&page);
        let figures = || page.text(".entries");
        let before = figures();
        let at = handles(&page);
        // A third of the way to the next edge: from 1:00 to 1:20.
        let to = (at[1].0 + (at[2].0 - at[1].0) / 3.0, at[1].1);
        page.drag(at[1], to);
        page.until("the edge is dragged", || ((seconds(&page, 1) - 80.0).abs() < 2.0).then_some(()));
        page.until("the figures follow", || (figures() != before).then_some(()));
        assert_eq!(starts(&page)[2], "2:00", "the others stay");
        // The edge has the focus: keys go on from there.
        let dragged = seconds(&page, 1);
        page.press(&[key::LEFT]);
        page.until("the edge moves by a second", || ((seconds(&page, 1) - (dragged - 1.0)).abs() < 0.06).then_some(()));
        page.chord(&[key::SHIFT], key::LEFT);
        page.until("and by ten", || ((seconds(&page, 1) - (dragged - 11.0)).abs() < 0.06).then_some(()));
        let said = page.script("return document.activeElement.getAttribute('aria-valuetext')", &json!([]));
        assert!(said.as_str().is_some_and(|said| said.contains("between phase 1 and phase 2")), "{said}");
        page.tap("Undo");
        page.until("undo takes one step back", || ((seconds(&page, 1) - (dragged - 1.0)).abs() < 0.06).then_some(()));
        // Held fast by its neighbours.
        let at = handles(&page);
        page.drag(at[1], (at[3].0, at[1].1));
        page.until("the edge stops a second before the next", || ((seconds(&page, 1) - 119.0).abs() < 0.06).then_some(()));
    });
}

#[test]
fn a_first_edge_moved_by_keys_keeps_its_focus() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        two_minutes_divided(&page);
        page.script("document.querySelector('.plot .edge').focus()", &json!([]));
        for second in 1..=3 {
            page.press(&[key::RIGHT]);
            let wanted = json!(["0:00", format!("0:0{second}"), "1:00", "2:00"]);
            page.until("what lies before the edge is left out", || (starts(&page) == wanted).then_some(()));
        }
    });
}

#[test]
fn the_curve_is_zoomed_read_by_keys_and_saved() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        two_minutes_divided(&page);
        let spoken = || page.script("return document.querySelector('.cross').getAttribute('aria-valuetext')", &json!([]));
        assert_eq!(spoken(), "no moment picked");
        page.script("document.querySelector('.cross').focus()", &json!([]));
        page.press(&[key::RIGHT]);
        // The middle of the log, in the loud minute: 45.2 dB(A), two or three tenths up or down.
        page.until("the moment is spoken", || {
            spoken().as_str().filter(|said| said.starts_with("1 min 30 s: job.csv 45.") && said.contains("dB(A)")).map(drop)
        });
        page.expect_text(".curves .at", "At 1 min 30 s");
        page.tap("Closer");
        page.until("the outer edges are out of sight", || (handles(&page).len() == 2).then_some(()));
        page.expect_text("#voice", "Shown: 45 s to 2 min 15 s.");
        page.tap("Earlier");
        page.expect_text("#voice", "Shown: 0 s to 1 min 30 s.");
        page.script("document.querySelector('.cross').focus()", &json!([]));
        page.press(&[key::ESCAPE]);
        page.until("all is shown again", || (handles(&page).len() == 4).then_some(()));
        // Two fingers that spread around the middle.
        page.script(
            "const cross = document.querySelector('.cross'), box = cross.getBoundingClientRect();
             const middle = box.left + box.width / 2, y = box.top + box.height / 2;
             const send = (type, id, x) => cross.dispatchEvent(new PointerEvent(type,
               { pointerId: id, pointerType: 'touch', clientX: x, clientY: y, bubbles: true, cancelable: true, isPrimary: id === 71 }));
             send('pointerdown', 71, middle - 20); send('pointerdown', 72, middle + 20);
             for (const apart of [30, 50, 80]) { send('pointermove', 71, middle - apart); send('pointermove', 72, middle + apart); }
             send('pointerup', 71, middle - 80); send('pointerup', 72, middle + 80)",
            &json!([]),
        );
        page.until("a pinch shows less", || (handles(&page).len() < 4).then_some(()));
        page.tap("Show all");
        page.until("all is shown once more", || (handles(&page).len() == 4).then_some(()));
    });
}

#[test]
fn the_curve_is_saved_as_png_with_something_on_it() {
    on_every_engine(&[Can::Download], |stage| {
        let page = stage.browser();
        two_minutes_divided(&page);
        let button = page.wait_for(".curves .acts button:last-child");
        page.tap_on(&button);
        let file = page.downloaded(".png");
        assert!(page.large_colours(&file) >= 2, "ground, and washes of phases");
    });
}

#[test]
fn a_pasted_log_without_times_is_read_and_asks_for_its_step() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/runs");
        page.wait_for(".paste-log");
        let rows: Vec<String> = (0..130).map(|row| format!("38.{}", row % 7)).collect();
        page.script(
            "const fold = document.querySelector('.paste-log');
             fold.open = true;
             fold.querySelector('textarea').value = arguments[0]",
            &json!([format!("level\n{}\n", rows.join("\n"))]),
        );
        page.tap("Read it");
        logs_shown(&page, 1);
        page.expect_text("[data-log]", "2:10 · 130 rows");
        page.expect_text("[data-log]", "This log tells no times.");
        page.script(
            "const field = document.querySelector('[data-log] > .set input');
             field.value = '0.5'; field.dispatchEvent(new Event('change', { bubbles: true }))",
            &json!([]),
        );
        page.expect_text("[data-log]", "1:05 · 130 rows");
    });
}
