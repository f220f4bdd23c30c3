//! The page. Yew only; no arithmetic: what is shown comes from [`crate::calc`] as values and becomes text here, last.

mod answer;
mod app;
mod browser;
mod choices;
mod crash;
pub mod curve;
mod draft;
mod drawing;
mod field;
mod home;
mod offer;
pub mod runs_page;
mod same;
mod settings;
mod sheet;
mod sheet_ref;
mod state;
mod store;
mod table;
pub mod words;

use crate::calc::schema::Key;
use crate::calc::sheet::Sheet;
use crate::sheets::programs;
use std::cell::RefCell;
use wasm_bindgen::JsCast;

/// Starts the program of the first screen: the start page with its quick answer.
pub fn start_first() {
    run(offer::Offer { name: programs::FIRST, sheets: programs::FIRST_SHEETS, whole: None });
}

/// Starts a program that carries sheets.
pub fn start(name: Key, sheets: &'static [&'static dyn Sheet]) {
    start_with(name, sheets, None, None);
}

/// Starts the program that compares logs.
pub fn start_check() {
    start_with(programs::CHECK, programs::CHECK_SHEETS, Some(front), Some(packed));
}

/// What stands before the fields of a sheet: logs, where it takes some.
fn front(state: &yew::UseReducerHandle<state::State>, context: &table::Context, conditions: &yew::AttrValue) -> yew::Html {
    if state.sheet.meta().id == "runs" {
        let (act, style, tell) = (context.act.clone(), context.style, context.tell.clone());
        yew::html! { <runs_page::Logs state={state.clone()} {act} {style} {tell} conditions={conditions.clone()} /> }
    } else {
        yew::Html::default()
    }
}

/// The level of a cell with the figures of a log.
fn packed(text: &str) -> Option<f64> {
    crate::sheets::runs::decode(text.trim()).map(|packed| packed.summary.leq.0)
}

fn start_with(name: Key, sheets: &'static [&'static dyn Sheet], front: Option<offer::Front>, packed: Option<fn(&str) -> Option<f64>>) {
    let whole = offer::Whole {
        page: sheet::page,
        choice: choices::choice,
        switch: choices::switch,
        unit_list: choices::unit_list,
        settings: settings::fold,
        front,
        packed,
    };
    run(offer::Offer { name, sheets, whole: Some(whole) });
}

thread_local! {
    /// The page, while this program has it.
    static DRAWN: RefCell<Option<yew::AppHandle<app::App>>> = const { RefCell::new(None) };
}

/// Waits to be shown. `start.js` says which program has the page; the one that had it lets go.
fn run(offer: offer::Offer) {
    crash::install();
    offer::set(offer);
    let Some(window) = browser::window() else { return };
    gloo::events::EventListener::new(&window, "lessdin-show", |event| {
        let shown = event.dyn_ref::<web_sys::CustomEvent>().and_then(|event| event.detail().as_string());
        let before = DRAWN.take();
        if shown.as_deref() == Some(offer::name()) {
            DRAWN.set(draw());
        }
        if let Some(before) = before {
            before.destroy();
        }
    })
    .forget();
}

/// Draws in a new element in place of what stood there: the words of the page's file, or another program's page.
fn draw() -> Option<yew::AppHandle<app::App>> {
    let document = browser::window()?.document()?;
    let (old, root) = (document.get_element_by_id("app")?, document.create_element("div").ok()?);
    root.set_id("app");
    old.replace_with_with_node_1(&root).ok()?;
    Some(yew::Renderer::<app::App>::with_root(root).render())
}
