use serde_json::{Value, json};

use crate::engine::{Can, Stage, on_every_engine};
use crate::page::Browser;

/// Makes the page as narrow as a small phone.
fn narrow(stage: &Stage, page: &Browser, width: u32) {
    if stage.can(Can::Emulate) {
        let metrics = json!({ "width": width, "height": 700, "deviceScaleFactor": 2, "mobile": true });
        page.cdp("Emulation.setDeviceMetricsOverride", &metrics);
        page.cdp("Emulation.setTouchEmulationEnabled", &json!({ "enabled": true }));
    } else {
        // A window cannot be made as narrow as a phone; a frame can.
        let name = "frame.html";
        stage.site.put_beside(
            name,
            &format!(
                "<!doctype html><title>narrow</title><iframe width={width} height=700 style=border:0 src={}></iframe>",
                stage.site.address()
            ),
        );
        page.go(&stage.site.beside(name));
        page.enter_frame();
        page.wait_for(".home");
    }
}

/// Goes to a fragment without leaving the frame.
fn visit(page: &Browser, fragment: &str) {
    page.script("location.hash = arguments[0]", &json!([fragment]));
}

/// Home, and every sheet empty and with its example.
fn everywhere(page: &Browser, sheets: &[String], mut look: impl FnMut(&str)) {
    visit(page, "#/");
    page.wait_for(".home");
    look("home");
    for sheet in sheets {
        visit(page, &format!("#/{sheet}"));
        page.wait_for(&format!("[data-sheet=\"{sheet}\"]"));
        look(sheet);
        page.tap("Try it with made-up numbers");
        page.answered();
        page.script("document.querySelectorAll('details').forEach((e) => { e.open = true; })", &json!([]));
        look(&format!("{sheet} with its example"));
    }
}

#[test]
fn nothing_is_wider_than_a_small_phone() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        let sheets = page.sheets();
        narrow(stage, &page, 320);
        everywhere(&page, &sheets, |place| {
            let wide = page.script(
                "const root = document.documentElement;
                 if (root.scrollWidth <= root.clientWidth) return [];
                 const inside = (e) => e.getBoundingClientRect().right <= root.clientWidth + 0.5;
                 const boxed = (e) => { for (; e; e = e.parentElement) if (getComputedStyle(e).overflowX !== 'visible' && inside(e)) return true; };
                 return [root.clientWidth + ' < ' + root.scrollWidth, ...[...document.querySelectorAll('body *')]
                   .filter((e) => !inside(e) && !boxed(e.parentElement))
                   .slice(0, 8).map((e) => e.tagName + '.' + e.getAttribute('class') + ' ' + (e.innerText || '').slice(0, 60))]",
                &json!([]),
            );
            assert_eq!(wide, json!([]), "{place} scrolls sideways");
        });
    });
}

/// What can be tapped and is smaller than a finger: width × height and what it is.
const SMALL: &str = "
  const inSentence = (e) => {
    const block = e.closest('p, li, small, td');
    return e.tagName === 'A' && getComputedStyle(e).display === 'inline' && block && block.innerText.trim() !== e.innerText.trim();
  };
  const small = [];
  for (const e of document.querySelectorAll('a[href], button, input, select, textarea, summary')) {
    const target = (['checkbox', 'file'].includes(e.type) && e.closest('label')) || e;
    const box = target.getBoundingClientRect();
    if (!box.width || !box.height || !target.checkVisibility({ visibilityProperty: true })) continue;
    if (e.closest('.skip') || inSentence(e)) continue;
    if (box.width < 43.5 || box.height < 43.5) {
      small.push(`${box.width.toFixed(0)}×${box.height.toFixed(0)} ${e.tagName} ${e.className} ${(e.getAttribute('aria-label') || e.innerText || e.id).slice(0, 40)}`);
    }
  }
  return small";

#[test]
fn whatever_can_be_tapped_is_as_large_as_a_finger() {
    on_every_engine(&[Can::Emulate], |stage| {
        let page = stage.browser();
        let sheets = page.sheets();
        narrow(stage, &page, 360);
        everywhere(&page, &sheets, |place| {
            let small = page.script(SMALL, &json!([]));
            assert_eq!(small, json!([]), "{place}: smaller than 44 px");
        });
    });
}

#[test]
fn the_answer_stays_in_view_while_typing_on_a_phone() {
    on_every_engine(&[Can::Emulate], |stage| {
        let page = stage.browser();
        page.open("#/tally");
        narrow(stage, &page, 360);
        page.example("tally");
        for row in 1..=4 {
            let level = page.cell("source", row, "level");
            page.add_to(&level, "");
            let seen = page.script(
                "const field = document.getElementById(arguments[0]);
                 field.focus();
                 field.scrollIntoView({ block: 'nearest' });
                 const answer = document.querySelector('#answer').getBoundingClientRect();
                 const box = field.getBoundingClientRect();
                 const visible = answer.bottom > 20 && answer.top < innerHeight - 20;
                 return visible && box.top >= answer.bottom - 1 && box.bottom <= innerHeight ? '' :
                   `answer ${answer.top} to ${answer.bottom}, field ${box.top} to ${box.bottom} of ${innerHeight}`",
                &json!([level]),
            );
            assert_eq!(seen, "", "row {row}: the sentence and the field are in view together");
        }
    });
}

fn ground(page: &Browser) -> String {
    page.script("return getComputedStyle(document.body).backgroundColor", &json!([])).as_str().unwrap_or_default().to_owned()
}

fn feature(page: &Browser, name: &str, value: &str) {
    page.cdp("Emulation.setEmulatedMedia", &json!({ "features": [{ "name": name, "value": value }] }));
}

#[test]
fn light_and_dark_follow_the_device_until_chosen() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("");
        let (light, dark) = ("rgb(246, 244, 238)", "rgb(21, 25, 27)");
        page.tap("Settings and privacy");
        page.choose("s-theme", "dark");
        page.until("it is dark", || (ground(&page) == dark).then_some(()));
        page.open_anew("#/alone");
        assert_eq!(ground(&page), dark, "the choice is kept");
        page.tap("Settings and privacy");
        page.choose("s-theme", "light");
        page.until("it is light", || (ground(&page) == light).then_some(()));
        if stage.can(Can::Emulate) {
            feature(&page, "prefers-color-scheme", "dark");
            assert_eq!(ground(&page), light, "a choice weighs more than the device");
            page.choose("s-theme", "auto");
            page.until("the device decides", || (ground(&page) == dark).then_some(()));
            feature(&page, "prefers-color-scheme", "light");
            page.until("the page follows", || (ground(&page) == light).then_some(()));
        }
    });
}

#[test]
fn nothing_moves_for_those_who_want_no_motion() {
    on_every_engine(&[Can::Emulate], |stage| {
        let page = stage.browser();
        feature(&page, "prefers-reduced-motion", "reduce");
        page.example("tally");
        page.fill(&page.cell("source", 1, "level"), "999");
        let moving = page.script(
            "const seconds = (list) => Math.max(...list.split(',').map(parseFloat));
             return [...document.querySelectorAll('*')].filter((e) => {
               const look = getComputedStyle(e);
               return (look.animationName !== 'none' && seconds(look.animationDuration) > 0) || seconds(look.transitionDuration) > 0;
             }).map((e) => e.tagName + '.' + e.className).slice(0, 5)",
            &json!([]),
        );
        assert_eq!(moving, json!([]));
        assert_eq!(page.script("return getComputedStyle(document.documentElement).scrollBehavior", &json!([])), "auto");
    });
}

#[test]
fn with_the_readers_own_colours_every_field_and_mark_can_be_told() {
    on_every_engine(&[Can::Emulate], |stage| {
        let page = stage.browser();
        feature(&page, "forced-colors", "active");
        page.example("tally");
        assert_eq!(page.script("return matchMedia('(forced-colors: active)').matches", &json!([])), true);
        let faults = page.script(
            "const faults = [];
             for (const e of document.querySelectorAll('.go, .field')) {
               if (parseFloat(getComputedStyle(e).borderTopWidth) === 0) faults.push(e.className + ' has no edge');
             }
             const fills = new Set([...document.querySelectorAll('[data-picture] rect')].map((e) => getComputedStyle(e).fill));
             const edged = [...document.querySelectorAll('[data-picture] rect')].every((e) => getComputedStyle(e).stroke !== 'none');
             if (fills.size < 2 && !edged) faults.push('the shares of the bar run into one another');
             return faults",
            &json!([]),
        );
        assert_eq!(faults, Value::Array(Vec::new()));
    });
}
