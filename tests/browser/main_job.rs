use serde_json::json;

use crate::engine::on_every_engine;
use crate::page::{Browser, SENTENCE, even};

/// A list as people write one: a comma and points, a count, any order.
const PASTED: &str = "supply fan 38,6; cabinet fan 41.1 x2; tool fan 41; axes 39.5";

/// Levels added up by the definition of energy addition, in dB.
fn sum(levels: &[f64]) -> f64 {
    10.0 * levels.iter().map(|level| 10_f64.powf(level / 10.0)).sum::<f64>().log10()
}

/// The pasted list added up.
fn total() -> f64 {
    sum(&[38.6, 41.1, 41.1, 41.0, 39.5])
}

/// Types two readings on the home page.
fn two_readings(page: &Browser) {
    page.open("");
    page.add_to("f-on", "46.1");
    page.add_to("f-off", "44.9");
    page.expect_sentence(SENTENCE);
}

/// Pastes the list of sources into the sheet that adds them up.
fn paste_list(page: &Browser) {
    page.open("#/tally");
    page.tap("Paste a list");
    let area = page.wait_for("#paste-area");
    page.keys_into(&area, PASTED);
    page.tap("Take the list over");
    page.sentence_when("the list is added up", |found| found.starts_with(&format!("Together {:.1}", total())));
}

/// Takes the list over to the sheet about fans, and types what a replacement's data sheet says.
fn replacement(page: &Browser) {
    page.follow(".go-on a[href^=\"#/swap/\"]");
    page.wait_for("[data-sheet=\"swap\"]");
    page.fill(&page.cell("option", 1, "name"), "slow fan");
    page.fill(&page.cell("option", 1, "level"), "28");
    page.fill(&page.cell("option", 1, "at"), "1");
    page.fill(&page.cell("option", 1, "price"), "24");
}

/// The address that Share hands over, from the dialogue of a browser without clipboard or from the clipboard.
fn shared(page: &Browser) -> String {
    page.script(
        "window.sharedText = null;
         const catcher = { writeText: async (text) => { window.sharedText = text; } };
         try { Object.defineProperty(navigator, 'clipboard', { configurable: true, value: catcher }); } catch (e) { /* shown instead */ }
         try { Object.defineProperty(navigator, 'share', { configurable: true, value: undefined }); } catch (e) { /* none there */ }",
        &json!([]),
    );
    page.tap("Share");
    page.until("Share hands over a link", || {
        let text = page
            .script("const area = document.querySelector('dialog textarea'); return window.sharedText || (area && area.value)", &json!([]));
        text.as_str().map(str::to_owned)
    })
}

/// The sentence and every number of a sheet, as text.
fn numbers(page: &Browser) -> String {
    let sentence = page.answered();
    let values = page.script(
        "return [...document.querySelectorAll('[data-value]')].map((e) => e.dataset.value + ' ' + e.innerText).join('\\n')",
        &json!([]),
    );
    format!("{sentence} | {}", even(values.as_str().unwrap_or_default()))
}

#[test]
fn two_readings_lead_to_a_sentence_and_on_to_the_sheet() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        two_readings(&page);
        page.tap("See how good this is, and what to do next");
        page.wait_for("[data-sheet=\"alone\"]");
        page.expect_sentence(SENTENCE);
        assert_eq!(page.field("f-on"), "46.1");
        assert!(page.fragment().ends_with("/on=46.1/off=44.9"), "{}", page.fragment());
    });
}

#[test]
fn from_a_pasted_list_to_a_link_that_opens_elsewhere() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        two_readings(&page);
        paste_list(&page);
        assert_eq!(page.rows("source"), 4);
        assert_eq!(page.field(&page.cell("source", 2, "each")), "2");
        assert!(page.sentence().contains("cabinet fan"), "{}", page.sentence());
        // Shares are there for every source, and the picture has its twin.
        for name in ["supply fan", "cabinet fan", "tool fan", "axes"] {
            assert!(page.text(".results").contains(name), "{name} is among the results");
        }

        replacement(&page);
        let first = page.answered();
        // Two slow fans of 28 dB at 1 m, 3 dB louder once fitted, which is what the sheet assumes while nothing else is said.
        let after = sum(&[38.6, 31.0, 31.0, 41.0, 39.5]);
        for part in ["worth", "slow fan", "cabinet fan", &format!("{:.1}", total()), &format!("{after:.1}")] {
            assert!(first.to_lowercase().contains(part), "the first sentence says whether it is worth it ({part}): {first}");
        }
        let here = numbers(&page);
        let link = shared(&page);
        assert!(link.starts_with(&stage.site.address()), "{link}");
        assert!(link.ends_with(|last: char| last.is_ascii_alphanumeric()), "{link}");

        let other = stage.browser();
        other.go(&link);
        other.wait_for("[data-sheet=\"swap\"]");
        assert_eq!(numbers(&other), here);
    });
}

#[test]
fn a_shared_link_opens_with_the_server_shut_down() {
    on_every_engine(&[crate::engine::Can::ServiceWorker], |stage| {
        let mut page = stage.browser();
        page.open("");
        page.kept();
        paste_list(&page);
        replacement(&page);
        let here = numbers(&page);
        let link = shared(&page);
        stage.site.stop();
        page.forgive("net::ERR_CONNECTION_REFUSED");
        page.script("localStorage.clear()", &json!([]));
        page.go("about:blank");
        page.go(&link);
        page.wait_for("[data-sheet=\"swap\"]");
        assert_eq!(numbers(&page), here);
    });
}

#[test]
fn one_path_leads_from_two_readings_over_on_and_off_to_the_fan_to_buy() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.example("alone");
        page.follow(".go-on a[href^=\"#/on-off/\"]");
        page.wait_for("[data-sheet=\"on-off\"]");
        page.until("both readings are there", || (page.rows("read") >= 2).then_some(()));

        // A switch says what is on; the level of the reading is asked beside it.
        page.empty("on-off");
        page.example("on-off");
        let sentence = page.sentence();
        assert!(sentence.starts_with("Start with cabinet fan (both): 44."), "{sentence}");
        page.settled();
        page.follow(".go-on a[href^=\"#/tally/\"]");
        page.wait_for("[data-sheet=\"tally\"]");
        page.sentence_when("the parts are added up", |found| found.starts_with("Together 47.5"));
        assert_eq!(page.rows("source"), 4);
        page.follow(".go-on a[href^=\"#/swap/\"]");
        page.wait_for("[data-sheet=\"swap\"]");
        page.until("the parts are there", || (page.rows("fan") + page.rows("other") >= 3).then_some(()));
    });
}
