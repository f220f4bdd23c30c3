use serde_json::json;

use crate::engine::on_every_engine;
use crate::page::{Browser, SENTENCE};

const GOOD: &str = "#/alone/v1/on=46.1/off=44.9";

/// The page still works: the good link opens and answers.
fn goes_on(page: &Browser) {
    page.open_anew(GOOD);
    page.expect_sentence(SENTENCE);
}

/// Opens a link as somebody does who has just been sent it.
fn sent(page: &Browser, link: &str) {
    page.script("localStorage.clear()", &json!([]));
    page.open_anew(link);
}

#[test]
fn a_wrong_link_is_answered_in_words_and_the_rest_of_it_is_used() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("");

        sent(&page, "#/weather/v1/on=46.1");
        page.expect_text("body", "weather");
        page.wait_for(".unknown");
        assert!(page.count(".home nav a") > 0, "the questions are there to go on with");

        sent(&page, "#/alone/v1/on=46.1/off=44.9/colour=red");
        page.expect_text(".inputs .note", "colour");
        page.expect_sentence(SENTENCE);

        sent(&page, "#/alone/v1/on=46.1/on=50/off=44.9");
        page.expect_text(".inputs .note", "twice");
        page.expect_sentence(SENTENCE);

        sent(&page, "#/alone/v1/on=46.1/off=44.9/part=%E0%A4%A");
        page.expect_text(".inputs .note", "damaged");
        page.sentence_when("the rest of the link is used", |found| found.contains("gained 1.2 ± 0.7 dB"));

        sent(&page, "#/alone/v1/on=loud/off=44.9");
        page.expect_text("#f-on-problem", "loud");
        assert_eq!(page.field("f-off"), "44.9");

        sent(&page, "#/alone/v99/on=46.1/off=44.9");
        page.expect_text(".inputs .note", "newer");
        page.expect_sentence(SENTENCE);
        goes_on(&page);
    });
}

#[test]
fn script_tags_and_foreign_writing_in_a_name_are_only_text() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("");
        let names = [
            ("%3Cscript%3Ewindow%2Ecaught%3D1%3C%2Fscript%3E", "<script>window.caught=1</script>"),
            ("%3Cimg%20src%3Dx%20onerror%3D%22window%2Ecaught%3D1%22%3E", "<img src=x onerror=\"window.caught=1\">"),
            ("%D7%9E%D7%90%D7%95%D7%95%D7%A8%D7%A8", "מאוורר"),
            ("%F0%9F%8C%80", "🌀"),
        ];
        for (written, name) in names {
            sent(&page, &format!("#/tally/v1/source={written}~level=40/source=tool.fan~level=41"));
            page.answered();
            assert_eq!(page.field(&page.cell("source", 1, "name")), name);
            assert!(page.text(".results").contains(name), "{name} is shown among the results");
            assert_eq!(page.script("return window.caught === undefined", &json!([])), true);
            assert_eq!(page.count("main script, main img"), 0);
        }
    });
}

#[test]
fn a_link_of_a_hundred_thousand_characters_is_cut_and_says_so() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("");
        sent(&page, &format!("#/alone/v1/on=46.1/off=44.9/part={}", "fan.".repeat(25_000)));
        page.expect_text(".inputs", "longer than this page reads");
        goes_on(&page);
    });
}

#[test]
fn an_address_that_is_typed_by_hand_opens_the_sheet() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        for sheet in page.sheets() {
            page.open_anew(&format!("#/{sheet}"));
            page.wait_for(&format!("[data-sheet=\"{sheet}\"]"));
            assert!(page.script("return document.title", &json!([])).as_str().unwrap().contains("Lessdin"));
            assert_eq!(page.count("h1"), 1, "{sheet} has one main heading");
        }
    });
}
