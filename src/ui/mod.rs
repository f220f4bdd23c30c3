//! The page. Yew only; no arithmetic: what is shown comes from [`crate::calc`] as values and becomes text here, last.

mod answer;
mod app;
mod browser;
mod choices;
mod crash;
mod draft;
mod drawing;
mod field;
mod home;
mod offer;
mod same;
mod settings;
mod sheet;
mod sheet_ref;
mod state;
mod store;
mod table;
pub mod words;

use crate::sheets;

/// Starts the whole page.
pub fn start() {
    let whole = offer::Whole {
        page: sheet::page,
        choice: choices::choice,
        switch: choices::switch,
        unit_list: choices::unit_list,
        settings: settings::fold,
    };
    offer::set(offer::Offer { sheets: sheets::SHEETS, whole: Some(whole) });
    draw();
}

/// Starts the first screen: the start page with its quick answer, before the rest has arrived.
pub fn start_first() {
    offer::set(offer::Offer { sheets: sheets::FIRST, whole: None });
    draw();
}

/// Draws in a new element in place of what stood there: the words of the page's file, or the first screen.
fn draw() {
    crash::install();
    let document = browser::window().and_then(|window| window.document());
    let made = document.and_then(|document| Some((document.get_element_by_id("app")?, document.create_element("div").ok()?)));
    if let Some((old, root)) = made {
        root.set_id("app");
        let _ = old.replace_with_with_node_1(&root);
        yew::Renderer::<app::App>::with_root(root).render();
    }
}
