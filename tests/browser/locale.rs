use serde_json::json;

use crate::engine::{Can, Wishes, on_every_engine};
use crate::page::{Browser, SENTENCE};

/// The sentence for two readings, with a comma.
fn with_comma() -> String {
    SENTENCE.replace("1.2", "1,2").replace("0.7", "0,7")
}

fn type_with_commas(page: &Browser) {
    page.open("#/alone");
    page.fill("f-on", "46,1");
    page.fill("f-off", "44,9");
}

#[test]
fn where_the_decimal_sign_is_a_comma_it_is_shown_and_taken_and_links_have_the_point() {
    on_every_engine(&[Can::Locale], |stage| {
        let page = stage.browser_with(Wishes { language: Some("de-DE") });
        type_with_commas(&page);
        page.expect_sentence(&with_comma());
        page.until("the address follows", || page.fragment().ends_with("/on=46.1/off=44.9").then_some(()));
        // A point is taken as well, and the steps beside a field keep the comma.
        page.fill("f-on", "46.1");
        page.expect_sentence(&with_comma());
        page.follow("#f-on + button");
        page.until("a tenth more", || (page.field("f-on") == "46,2").then_some(()));
    });
}

#[test]
fn a_comma_is_taken_everywhere_and_shown_to_those_who_choose_it() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        type_with_commas(&page);
        page.expect_sentence(SENTENCE);
        page.until("the address follows", || page.fragment().ends_with("/on=46.1/off=44.9").then_some(()));
        page.tap("Settings and privacy");
        page.choose("s-decimal", "comma");
        page.expect_sentence(&with_comma());
        assert_eq!(page.field("f-on"), "46,1");
        let marks = page.script("return [...document.querySelectorAll('.results text')].map((e) => e.textContent).join(' ')", &json!([]));
        assert!(!marks.as_str().unwrap().contains("46.1"), "the picture has commas: {marks}");
        page.open_anew("#/");
        page.expect_sentence(&with_comma());
    });
}

#[test]
fn a_number_that_can_be_read_two_ways_is_answered_with_how_it_was_read() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/steps");
        page.fill(&page.cell("axis", 1, "speed"), "1,234");
        page.expect_text("form.inputs", "read as");
    });
}
