use serde_json::json;

use crate::engine::on_every_engine;
use crate::page::{Browser, SENTENCE};
use crate::webdriver::key;

#[test]
fn a_reload_loses_nothing_half_typed_text_included() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/alone");
        page.add_to("f-on", "46.1");
        page.add_to("f-off", "44.");
        page.reload();
        page.wait_for("#f-off");
        assert_eq!((page.field("f-on"), page.field("f-off")), ("46.1".to_owned(), "44.".to_owned()));
        page.add_to("f-off", "9");
        page.expect_sentence(SENTENCE);

        // What cannot be read is kept as well.
        page.open("#/tally");
        let name = page.cell("source", 1, "name");
        let level = page.cell("source", 1, "level");
        page.add_to(&name, "supply fan ");
        page.add_to(&level, "loud, I think");
        page.open_anew("#/tally");
        assert_eq!(page.field(&page.cell("source", 1, "name")), "supply fan ");
        assert_eq!(page.field(&page.cell("source", 1, "level")), "loud, I think");

        // The home page and the sheet share one draft.
        page.open_anew("#/");
        assert_eq!(page.field("f-off"), "44.9");
    });
}

#[test]
fn undo_and_redo_by_keys_and_by_buttons() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("");
        page.fill("f-on", "46.1");
        page.fill("f-off", "44.9");
        page.expect_sentence(SENTENCE);
        page.chord(&[key::CONTROL], "z");
        page.until("the second reading is undone", || page.field("f-off").is_empty().then_some(()));
        page.chord(&[key::CONTROL], "y");
        page.expect_sentence(SENTENCE);

        page.open("#/alone/v1/on=46.1");
        page.fill("f-off", "44.9");
        page.expect_sentence(SENTENCE);
        page.add_to("f-off", "");
        page.chord(&[key::CONTROL], "z");
        page.until("the second reading is undone", || page.field("f-off").is_empty().then_some(()));
        assert_eq!(page.field("f-on"), "46.1");
        page.chord(&[key::CONTROL], "y");
        page.expect_sentence(SENTENCE);
        page.chord(&[key::CONTROL], "z");
        page.until("the second reading is undone again", || page.field("f-off").is_empty().then_some(()));
        page.chord(&[key::CONTROL, key::SHIFT], "z");
        page.expect_sentence(SENTENCE);

        page.tap("Clear");
        page.wait_for("#answer.waiting");
        page.tap("Undo");
        page.expect_sentence(SENTENCE);
        page.tap("Redo");
        page.wait_for("#answer.waiting");
        page.tap("Undo");
        page.expect_sentence(SENTENCE);
    });
}

#[test]
fn back_goes_to_the_calculation_before_and_to_the_sheet_before() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("");
        page.follow("a[href=\"#/alone\"]");
        page.wait_for("[data-sheet=\"alone\"]");
        page.fill("f-on", "46.1");
        page.fill("f-off", "44.9");
        page.until("the address follows", || page.fragment().ends_with("off=44.9").then_some(()));
        page.fill("f-off", "40.1");
        page.until("the address follows", || page.fragment().ends_with("off=40.1").then_some(()));
        page.back();
        page.until("the reading before is back", || (page.field("f-off") == "44.9").then_some(()));
        page.expect_sentence(SENTENCE);
        page.forward();
        page.until("the later reading is back", || (page.field("f-off") == "40.1").then_some(()));

        page.follow(".top a[href=\"#/\"]");
        page.wait_for(".home");
        page.follow("a[href=\"#/tally\"]");
        page.wait_for("[data-sheet=\"tally\"]");
        page.back();
        page.wait_for(".home");
        page.back();
        page.wait_for("[data-sheet=\"alone\"]");
        assert_eq!(page.field("f-off"), "40.1");
    });
}

#[test]
fn typing_does_not_fill_the_history() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/alone");
        let before = page.script("return history.length", &json!([])).as_u64().unwrap();
        page.add_to("f-on", "46.1");
        page.add_to("f-off", "44.95");
        page.leave();
        page.until("the address follows", || page.fragment().contains("off=44.95").then_some(()));
        let after = page.script("return history.length", &json!([])).as_u64().unwrap();
        assert!(after - before <= 3, "nine characters made {} entries", after - before);
    });
}

/// Puts a text into the device's store as a damaged one.
fn damage(page: &Browser, name: &str, text: &str) {
    page.script("localStorage.setItem(arguments[0], arguments[1])", &json!([name, text]));
}

#[test]
fn a_damaged_store_is_shown_and_set_aside() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("");
        for damaged in ["\u{0}\u{1}not a draft", "{\"on\":", "#/alone\n#/tally/v1/source=a~level=1", "#/alone\n#/alone/v1/what=1"] {
            damage(&page, "lessdin.draft.alone", damaged);
            damage(&page, "lessdin.recent", damaged);
            damage(&page, "lessdin.saved", damaged);
            damage(&page, "lessdin.theme", damaged);
            damage(&page, "lessdin.decimal", damaged);
            page.open_anew("#/alone");
            page.expect_text(".inputs .note", "could not be read");
            page.fill("f-on", "46.1");
            page.fill("f-off", "44.9");
            page.expect_sentence(SENTENCE);
            page.open_anew("#/");
            assert_eq!(page.field("f-on"), "46.1");
        }
    });
}

#[test]
fn without_storage_the_page_works_and_says_that_it_cannot_keep() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/alone");
        page.script("Storage.prototype.setItem = function () { throw new DOMException('full', 'QuotaExceededError'); }", &json!([]));
        page.fill("f-on", "46.1");
        page.fill("f-off", "44.9");
        page.expect_sentence(SENTENCE);
        page.tap("Save");
        page.expect_text("body", "does not let the page keep anything");
    });
}

#[test]
fn saved_and_recent_calculations_are_on_the_home_page_until_forgotten() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/alone/v1/on=46.1/off=44.9");
        page.expect_sentence(SENTENCE);
        page.tap("Save");
        page.expect_text(".told", "Saved");
        page.until("it is among what was worked out last", || {
            page.script("return !!localStorage.getItem('lessdin.recent')", &json!([])).as_bool().filter(|there| *there)
        });
        page.open_anew("#/");
        assert_eq!(page.count(".kept"), 2);
        page.follow(".kept button");
        page.until("the saved one is gone", || (page.count(".kept") == 1).then_some(()));
        page.follow(".kept a");
        page.wait_for("[data-sheet=\"alone\"]");
        page.expect_sentence(SENTENCE);

        page.tap("Settings and privacy");
        page.tap("Delete everything kept on this device");
        page.open_anew("#/");
        assert_eq!(page.count(".kept"), 0);
        assert_eq!(page.field("f-on"), "");
    });
}
