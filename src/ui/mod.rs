//! The page. Yew only; no arithmetic: what is shown comes from [`crate::calc`] as values and becomes text here, last.

mod answer;
mod app;
mod browser;
mod crash;
mod drawing;
mod field;
mod home;
mod same;
mod settings;
mod sheet;
mod state;
mod store;
mod table;
pub mod words;

/// Starts the page.
pub fn start() {
    crash::install();
    let root = browser::window().and_then(|window| window.document()?.get_element_by_id("app"));
    if let Some(root) = root {
        root.set_inner_html("");
        yew::Renderer::<app::App>::with_root(root).render();
    }
}
