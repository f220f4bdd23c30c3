use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use crate::engine::{Can, on_every_engine};
use crate::page::{Browser, SENTENCE, even};
use crate::webdriver::key;

/// The rules that must hold without exception.
const TAGS: [&str; 6] = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

fn axe() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/node_modules/axe-core/axe.min.js");
    fs::read_to_string(path).expect("axe-core is missing. Run: npm ci --prefix tests --ignore-scripts")
}

/// What axe finds wrong with the page as it stands.
fn violations(page: &Browser, axe: &str) -> Vec<String> {
    if page.script("return typeof window.axe", &json!([])) == "undefined" {
        page.script(axe, &json!([]));
    }
    let found = page.promise(
        "const result = await axe.run(document, { runOnly: { type: 'tag', values: arguments[0] }, resultTypes: ['violations'] });
         return result.violations.flatMap((rule) => rule.nodes.map((node) => rule.id + ': ' + node.html.slice(0, 160) + ' | ' + node.failureSummary))",
        &json!([TAGS]),
    );
    assert!(found.is_array(), "axe did not run: {found}");
    found.as_array().into_iter().flatten().filter_map(Value::as_str).map(even).collect()
}

/// Home and every sheet, empty, with the example and with a refusal, in a theme.
fn no_violations(page: &Browser, theme: &str) {
    let axe = axe();
    let sheets = page.sheets();
    page.script("localStorage.setItem('lessdin.theme', arguments[0])", &json!([theme]));
    page.open_anew("#/");
    page.wait_for(".home");
    let mut faults = Vec::new();
    let mut look = |place: &str| {
        let open = "document.querySelectorAll('details').forEach((e) => { e.open = true; })";
        page.script(open, &json!([]));
        faults.extend(violations(page, &axe).into_iter().map(|fault| format!("{place}, {theme}: {fault}")));
    };
    look("home");
    for sheet in &sheets {
        page.empty(sheet);
        look(sheet);
        page.example(sheet);
        look(&format!("{sheet} with its example"));
    }
    page.empty("runs");
    page.tap("Try it with made-up logs");
    page.until("four logs are shown", || (page.count("[data-log]") == 4).then_some(()));
    page.settled();
    look("runs with made-up logs");
    page.open("#/alone");
    page.fill("f-off", "x");
    look("alone with a wrong field");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn axe_finds_nothing_in_light() {
    on_every_engine(&[], |stage| no_violations(&stage.browser(), "light"));
}

#[test]
fn axe_finds_nothing_in_dark() {
    on_every_engine(&[], |stage| no_violations(&stage.browser(), "dark"));
}

/// Types two readings at a place and listens.
fn is_spoken(page: &Browser, place: &str) {
    page.open_anew(place);
    let voice = page.script("const e = document.querySelector('#voice'); return [e.getAttribute('aria-live'), e.textContent]", &json!([]));
    assert_eq!(voice, json!(["polite", ""]), "it is there, and empty, before it speaks");
    page.script(
        "window.said = [];
         new MutationObserver(() => window.said.push(document.querySelector('#voice').textContent))
           .observe(document.querySelector('#voice'), { childList: true, characterData: true, subtree: true })",
        &json!([]),
    );
    page.add_to("f-on", "46.1");
    page.add_to("f-off", "44.9");
    page.expect_sentence(SENTENCE);
    let said = page.until("the voice speaks", || {
        let said = page.script("return window.said", &json!([]));
        said.as_array().filter(|all| !all.is_empty()).cloned()
    });
    let spoken: Vec<String> = said.iter().filter_map(Value::as_str).map(even).collect();
    assert_eq!(spoken, [SENTENCE], "{place}: one sentence, after all keys");
    assert_eq!(page.count("[aria-live], [role=status], [role=log]"), 1, "{place}: one voice");
}

#[test]
fn the_voice_speaks_the_sentence_once_typing_rests() {
    on_every_engine(&[], |stage| {
        for place in ["#/", "#/alone"] {
            is_spoken(&stage.browser(), place);
        }
    });
}

/// Watches where the focus goes: what each stop is, whether it can be seen there, and whether something lies over it.
const WATCH: &str = "
  const reached = [...document.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex=\"0\"]')]
    .filter((e) => e.tabIndex >= 0 && e.checkVisibility({ visibilityProperty: true }));
  const name = (e) => `${e.tagName} ${(e.getAttribute('aria-label') || e.id || e.innerText || '').trim().slice(0, 40)}`;
  window.expected = reached.map(name);
  window.stops = [];
  window.faults = [];
  document.addEventListener('focusin', (event) => {
    const e = event.target;
    window.stops.push(name(e));
    if (e === document.body || e.tabIndex < 0) return;
    const framed = e.closest('.field') || e;
    const look = getComputedStyle(framed);
    if (look.outlineStyle === 'none' || parseFloat(look.outlineWidth) < 2) window.faults.push('not seen to have the focus: ' + name(e));
  });";

/// What lies over all of what has the focus, once the page has been drawn.
const COVERED: &str = "
  await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)));
  const e = document.activeElement;
  const box = e.getBoundingClientRect();
  const across = (Math.max(0, box.left) + Math.min(innerWidth, box.right)) / 2;
  const from = Math.max(0, box.top), to = Math.min(innerHeight, box.bottom);
  const over = [0.05, 0.25, 0.5, 0.75, 0.95].map((part) => document.elementFromPoint(across, from + (to - from) * part));
  if (over.every((o) => o && !e.contains(o) && !o.contains(e))) {
    window.faults.push(`under ${over[2].tagName}.${over[2].className}: ${e.tagName} ${(e.id || e.innerText).slice(0, 40)}`);
  }";

/// Walks through the whole page with Tab, and back.
fn walk(page: &Browser, place: &str) {
    page.script(WATCH, &json!([]));
    let expected = page.script("return window.expected", &json!([]));
    let count = expected.as_array().map_or(0, Vec::len);
    page.script("document.activeElement.blur(); window.scrollTo(0, 0)", &json!([]));
    page.press(&vec![key::TAB; count]);
    let stops = page.script("return window.stops", &json!([]));
    let (stops, expected) = (stops.as_array().unwrap(), expected.as_array().unwrap());
    if let Some(at) = (0..count).find(|at| stops.get(*at) != expected.get(*at)) {
        panic!("{place}: stop {at} of Tab is {:?}; {:?} is next in order", stops.get(at), expected.get(at));
    }
    for _ in 1..count {
        page.chord(&[key::SHIFT], key::TAB);
        page.promise(COVERED, &json!([]));
    }
    assert_eq!(page.script("return window.faults", &json!([])), json!([]), "{place}: the focus is always seen");
}

#[test]
fn tab_reaches_everything_in_order_and_the_focus_is_seen() {
    on_every_engine(&[Can::Tab], |stage| {
        let page = stage.browser();
        let sheets = page.sheets();
        page.open_anew("#/");
        walk(&page, "home");
        for sheet in sheets {
            page.example(&sheet);
            page.open_anew(&format!("#/{sheet}"));
            page.answered();
            page.settled();
            walk(&page, &sheet);
        }
    });
}

/// Presses Tab until the element with the focus is one that a script takes.
fn tab_to(page: &Browser, what: &str, test: &str) {
    for _ in 0..120 {
        page.press(&[key::TAB]);
        if page.script(&format!("const e = document.activeElement; return !!({test})"), &json!([])) == true {
            return;
        }
    }
    panic!("Tab never reaches {what}");
}

#[test]
fn the_main_job_by_keyboard_alone() {
    on_every_engine(&[Can::Tab], |stage| {
        let page = stage.browser();
        page.open("");
        // The skip link is the first stop and leads to the answer.
        page.press(&[key::TAB]);
        assert_eq!(page.script("return document.activeElement.className", &json!([])), "skip");
        let seen = page.script(
            "const box = document.activeElement.getBoundingClientRect(); return box.top >= 0 && box.left >= 0 && box.width > 40 && box.height > 20",
            &json!([]),
        );
        assert_eq!(seen, true, "the skip link is seen once it has the focus");
        page.press(&[key::ENTER]);
        page.until("the answer has the focus", || (page.script("return document.activeElement.id", &json!([])) == "answer").then_some(()));

        tab_to(&page, "the first reading", "e.id === 'f-on'");
        // Nothing lies between one reading and the next; an arrow adds a tenth.
        page.press(&["4", "6", ".", "1", key::TAB, "4", "4", ".", "8", key::UP]);
        page.expect_sentence(SENTENCE);
        tab_to(&page, "the link to the sheet", "e.classList.contains('go')");
        page.press(&[key::ENTER]);
        page.wait_for("[data-sheet=\"alone\"]");
        page.until("the heading has the focus", || {
            (page.script("return document.activeElement.tagName", &json!([])) == "H1").then_some(())
        });

        // Folds open by Enter, buttons work by Space.
        tab_to(&page, "the fold “More”", "e.tagName === 'SUMMARY'");
        page.press(&[key::ENTER]);
        page.until("the fold is open", || page.look("details.more[open]").map(|_| ()));
        tab_to(&page, "the button Clear", "e.tagName === 'BUTTON' && e.innerText.trim() === 'Clear'");
        page.press(&[key::SPACE]);
        page.wait_for("#answer.waiting");
        page.chord(&[key::CONTROL], "z");
        page.expect_sentence(SENTENCE);
    });
}

#[test]
fn every_field_has_a_name_and_says_what_is_wrong_with_it() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("#/alone");
        for (text, part) in [("abc", "“abc” is not a number"), ("999", "outside"), ("NaN", "NaN"), ("1e309", "1e309"), ("inf", "inf")] {
            page.fill("f-on", text);
            page.expect_text("#f-on-problem", part);
            let state = page.script(
                "const e = document.querySelector('#f-on');
                 return [e.getAttribute('aria-invalid'), e.getAttribute('aria-describedby').split(' ').every((id) => document.getElementById(id))]",
                &json!([]),
            );
            assert_eq!(state, json!(["true", true]));
        }
        page.fill("f-on", "46.1");
        page.until("the problem is gone", || page.text("#f-on-problem").is_empty().then_some(()));
        assert!(!page.text("body").contains("NaN"));
    });
}
