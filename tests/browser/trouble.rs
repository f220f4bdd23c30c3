use serde_json::json;

use crate::engine::on_every_engine;
use crate::page::SENTENCE;
use crate::server::{Site, built, own_address};

#[test]
fn a_missing_program_file_is_said_in_words_with_a_way_on() {
    on_every_engine(&[], |stage| {
        let mut page = stage.browser();
        page.forgive("404");
        page.forgive("ERR_ABORTED");
        page.forgive("WebAssembly");
        stage.site.hide(".wasm");
        page.go(&format!("{}#/alone/v1/on=46.1/off=44.9", stage.site.address()));
        page.expect_text("#trouble", "did not arrive");
        assert!(!page.text("body").contains("starting"), "{}", page.text("body"));
        stage.site.hide_nothing();
        page.loads_again(|| page.tap("Reload"));
        page.expect_sentence(SENTENCE);
        assert_eq!(page.text("#trouble"), "");

        stage.site.hide(".js");
        let mut other = stage.browser();
        other.forgive("404");
        other.forgive("MIME");
        other.go(&stage.site.address());
        // boot.js itself is missing: the page says at least that it is starting.
        assert!(other.text("body").contains("What would silencing one part gain?"));
    });
}

#[test]
fn a_crash_is_said_in_words_and_what_was_typed_survives() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/alone");
        page.add_to("f-on", "46.1");
        page.add_to("f-off", "44.");
        let crash = || page.script("window.dispatchEvent(new CustomEvent('lessdin-panic', { detail: 'made up for a test' }))", &json!([]));
        crash();
        page.expect_text("#trouble", "stopped because of a mistake in it");
        page.expect_text("#trouble-detail", "made up for a test");
        page.loads_again(|| page.tap("Reload"));
        page.wait_for("#f-off");
        assert_eq!((page.field("f-on"), page.field("f-off")), ("46.1".to_owned(), "44.".to_owned()));
        assert_eq!(page.text("#trouble"), "");

        // The second within a minute offers to set aside what may cause it.
        crash();
        page.expect_text("#trouble", "set aside");
        page.loads_again(|| page.tap("Set aside and start empty"));
        page.wait_for(".home");
        assert_eq!(page.field("f-on"), "");
        let aside = page.script("return Object.keys(localStorage).filter((k) => k.startsWith('lessdin.aside.')).length", &json!([]));
        assert!(aside.as_u64() > Some(0), "what was typed is still on the device");
    });
}

#[test]
fn leaving_a_sheet_while_it_still_works_is_quiet() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        for _ in 0..3 {
            page.example("swap");
            page.wait_for(".progress");
            page.open("#/");
            page.wait_for(".home");
        }
        // The console has nothing to say: that is looked at when the browser ends.
        assert_eq!(page.text("#trouble"), "");
    });
}

#[test]
fn over_plain_http_the_page_works_and_says_what_is_missing() {
    on_every_engine(&[], |stage| {
        let Some(own) = own_address() else {
            println!("left out: this machine has no address but the loopback");
            return;
        };
        stage.site = Site::serve_at(own, &built());
        let page = stage.browser();
        page.open("");
        assert_eq!(page.script("return window.isSecureContext", &json!([])), false);
        page.expect_text("footer.foot", "does not let the page keep itself");
        page.add_to("f-on", "46.1");
        page.add_to("f-off", "44.9");
        page.expect_sentence(SENTENCE);
        page.tap("See how good this is, and what to do next");
        page.wait_for("[data-sheet=\"alone\"]");
        page.expect_sentence(SENTENCE);
        page.tap("Share");
        page.expect_text("dialog", "without https");
        let link = page.script("return document.querySelector('dialog textarea').value", &json!([]));
        assert!(link.as_str().unwrap().ends_with("/on=46.1/off=44.9"), "{link}");
        page.tap("Close");
        page.until("the dialogue is closed", || page.look("dialog").is_none().then_some(()));
    });
}

#[test]
fn served_compressed_the_page_stands_as_well() {
    on_every_engine(&[], |stage| {
        stage.site.pack();
        let page = stage.browser();
        page.open("#/alone/v1/on=46.1/off=44.9");
        page.expect_sentence(SENTENCE);
    });
}
