use std::fs;

use serde_json::json;

use crate::engine::{Can, on_every_engine};
use crate::page::SENTENCE;
use crate::server::{another_build, build_of, built};

const STORY: &str = "#/alone/v1/on=46.1/off=44.9";

#[test]
fn with_the_server_shut_down_everything_works() {
    on_every_engine(&[Can::ServiceWorker], |stage| {
        let mut page = stage.browser();
        page.open("");
        page.kept();
        let sheets = page.sheets();
        stage.site.stop();
        page.forgive("net::ERR_CONNECTION_REFUSED");

        page.reload();
        page.wait_for(".home");
        page.add_to("f-on", "46.1");
        page.add_to("f-off", "44.9");
        page.expect_sentence(SENTENCE);

        // A link from outside, to a tab that is new.
        page.open_anew(STORY);
        page.expect_sentence(SENTENCE);
        for sheet in &sheets {
            page.example(sheet);
        }

        // The worker starts, from what is kept, and listens.
        let heard = page.promise(
            "return await new Promise((done) => {
               const worker = new Worker('./worker_loader.js');
               worker.onmessage = () => done('listens');
               worker.onerror = (e) => done('failed: ' + e.message);
               setTimeout(() => done('silent'), 15000);
             })",
            &json!([]),
        );
        assert_eq!(heard, "listens");

        // An address below the page that is no file of it leads to the page.
        page.go(&format!("{}some/where", stage.site.address()));
        page.wait_for(".home");

        stage.site.restart();
        page.reload();
        page.wait_for(".home");
        assert!(!page.field("f-off").is_empty(), "the example's reading is kept");
    });
}

#[test]
fn the_sheet_whose_answer_is_refined_says_how_sure_it_is_without_a_network() {
    on_every_engine(&[Can::ServiceWorker], |stage| {
        let mut page = stage.browser();
        page.open("");
        page.kept();
        stage.site.stop();
        page.forgive("net::ERR_CONNECTION_REFUSED");
        page.example("swap");
        page.settled();
        let text = page.text(".results");
        assert!(!text.contains("could not run"), "{text}");
    });
}

#[test]
fn a_newer_build_is_offered_by_a_bar_and_loses_nothing() {
    on_every_engine(&[Can::ServiceWorker], |stage| {
        let newer = another_build(|name, text| if name.starts_with("style") { text + "\n/* newer */\n" } else { text });
        let (old, new) = (build_of(&built()), build_of(newer.path()));
        let mut page = stage.browser();
        // The file names of the older build are gone from the host; what is kept needs none of them.
        page.forgive("404");
        page.open("#/alone");
        page.kept();
        page.add_to("f-on", "46.1");
        page.add_to("f-off", "44.");
        stage.site.change_to(newer.path());
        page.reload();
        page.wait_for(".bar");
        assert_eq!(page.script("return window.lessdinBuild", &json!([])), old, "the older build goes on until asked");
        page.add_to("f-off", "9");
        page.expect_sentence(SENTENCE);
        page.loads_again(|| page.tap("Reload with it"));
        page.until("the newer build runs", || (page.script("return window.lessdinBuild", &json!([])) == new).then_some(()));
        page.wait_for("#f-off");
        assert_eq!((page.field("f-on"), page.field("f-off")), ("46.1".to_owned(), "44.9".to_owned()));
        page.expect_sentence(SENTENCE);
        assert!(page.look(".bar").is_none());

        // Nothing of the older build is left, and the newer one works alone.
        let caches = page.promise("return await caches.keys()", &json!([]));
        assert_eq!(caches, json!([format!("lessdin-{new}")]));
        page.kept();
        stage.site.stop();
        page.forgive("net::ERR_CONNECTION_REFUSED");
        page.reload();
        page.expect_sentence(SENTENCE);
    });
}

#[test]
fn a_build_that_arrives_in_parts_is_not_taken() {
    on_every_engine(&[Can::ServiceWorker], |stage| {
        let newer = another_build(|_, text| text);
        // One file that does not fit its hash: a cache on the way has an older one, or somebody changed it.
        let icon = newer.path().join("icon.svg");
        fs::write(&icon, fs::read_to_string(&icon).unwrap() + " ").unwrap();
        let mut page = stage.browser();
        page.forgive("Failed to find a valid digest");
        page.forgive("404");
        page.open(STORY);
        page.kept();
        stage.site.change_to(newer.path());
        page.promise("await (await navigator.serviceWorker.ready).update().catch(() => null); return 1", &json!([]));
        page.until("the newer build was asked for", || {
            stage.site.requests().iter().any(|request| request.path.contains("app-of-another-build")).then_some(())
        });
        page.reload();
        page.expect_sentence(SENTENCE);
        assert!(page.look(".bar").is_none());
        assert_eq!(page.script("return window.lessdinBuild", &json!([])), build_of(&built()));
    });
}

#[test]
fn the_page_can_be_installed() {
    on_every_engine(&[Can::Emulate], |stage| {
        let page = stage.browser();
        page.open("");
        page.kept();
        let manifest = page.cdp("Page.getAppManifest", &json!({}));
        assert_eq!(manifest["errors"], json!([]), "{manifest}");
        let errors = page.cdp("Page.getInstallabilityErrors", &json!({}));
        let errors: Vec<&str> =
            errors["installabilityErrors"].as_array().into_iter().flatten().filter_map(|error| error["errorId"].as_str()).collect();
        // A browser that a driver starts keeps nothing for long, which Chromium calls incognito.
        assert!(errors.iter().all(|error| *error == "in-incognito"), "{errors:?}");
    });
}
