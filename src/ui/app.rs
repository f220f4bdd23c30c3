//! The frame: which page the address asks for, the bar for a new version, the one voice.

use super::home::Home;
use super::offer;
use super::settings;
use super::sheet_ref::SheetRef;
use super::{browser, words};
use crate::sheets;
use crate::text::{Language, say};
use gloo::events::EventListener;
use gloo::timers::callback::Timeout;
use wasm_bindgen::prelude::*;
use yew::prelude::*;

/// The start page with its settings open.
const SETTINGS: &str = "settings";

#[component]
pub(super) fn App() -> Html {
    let style = use_state_eq(settings::style);
    let fragment = use_state_eq(browser::fragment);
    let spoken = use_state_eq(String::new);
    let told = use_state_eq(String::new);
    let update = use_state_eq(|| browser::global_flag("lessdinUpdate"));
    let offline = use_state_eq(|| browser::global_text("lessdinOffline").unwrap_or_default());
    {
        let (fragment, update, offline) = (fragment.setter(), update.setter(), offline.setter());
        use_effect_with((), move |()| {
            let listeners = browser::window().map(|window| {
                let (on_hash, on_pop) = (fragment.clone(), fragment);
                [
                    EventListener::new(&window, "hashchange", move |_| on_hash.set(browser::fragment())),
                    EventListener::new(&window, "popstate", move |_| on_pop.set(browser::fragment())),
                    EventListener::new(&window, "lessdin-update", move |_| update.set(true)),
                    EventListener::new(&window, "lessdin-offline", move |_| {
                        offline.set(browser::global_text("lessdinOffline").unwrap_or_default());
                    }),
                ]
            });
            move || drop(listeners)
        });
    }
    let tell = {
        let (spoken, told) = (spoken.setter(), told.setter());
        use_callback((), move |text: String, ()| {
            // A sentence that is only spoken does not take away what was told.
            if let Some(sentence) = text.strip_prefix('\u{200b}') {
                spoken.set(sentence.to_owned());
            } else {
                spoken.set(text.clone());
                told.set(text);
            }
        })
    };
    {
        let (spoken, told_setter) = (spoken.setter(), told.setter());
        use_effect_with((*told).clone(), move |told| {
            let fade = (!told.is_empty()).then(|| {
                Timeout::new(6000, move || {
                    told_setter.set(String::new());
                    spoken.set(String::new());
                })
            });
            move || drop(fade)
        });
    }
    let id = fragment.trim_start_matches(['#', '/']).split('/').next().unwrap_or_default();
    // A full stop or a bracket that a mail program took along.
    let id = id.trim_end_matches(|c: char| !c.is_ascii_alphanumeric()).to_owned();
    let question = sheets::MENU.iter().find(|question| question.id == id);
    let whole = offer::whole();
    let sheet = offer::find(&id).zip(whole);
    // The program that carries what the address asks for, when that is not this one.
    let elsewhere = match question {
        Some(question) => sheet.is_none().then_some(question.program),
        None if id == SETTINGS && whole.is_none() => Some(sheets::programs::APP),
        None => offer::find("alone").is_none().then_some(sheets::programs::FIRST),
    };
    use_effect_with(elsewhere, |elsewhere| {
        if let Some(program) = elsewhere {
            browser::signal("lessdin-program", program);
        }
    });
    {
        // A reader who came here from another program has changed pages; one who opened the address has not.
        let first = use_mut_ref(|| !browser::global_flag("lessdinTakesOver"));
        use_effect_with(id.clone(), move |_| {
            if !first.replace(false) {
                browser::focus("top");
                if let Some(window) = browser::window() {
                    window.scroll_to_with_x_and_y(0.0, 0.0);
                }
            }
        });
    }
    let text = |msg| Language::English.text(msg);
    let page = match sheet {
        Some((sheet, whole)) => (whole.page)(SheetRef(sheet), &AttrValue::from((*fragment).clone()), *style, &tell),
        None if elsewhere.is_some_and(|_| id != SETTINGS) => {
            html! { <main class="home"><p class="soft">{ text(words::OPENING) }</p></main> }
        }
        None => html! {
            <>
                if !id.is_empty() && id != SETTINGS { <p class="note doubt unknown">{ unknown(&id, *style) }</p> }
                <Home key="home" style={*style} tell={tell.clone()} />
            </>
        },
    };
    html! {
        <>
            <a class="skip" href="#answer" onclick={Callback::from(|event: MouseEvent| { event.prevent_default(); browser::focus("answer"); })}>
                { text(words::SKIP) }
            </a>
            <header class="top">
                <a class="name" href="#/">{ text(words::NAME) }</a>
                if question.is_some() { <a href="#/">{ text(words::ALL_QUESTIONS) }</a> }
            </header>
            if *update {
                <div class="bar" role="region" aria-label={text(words::NEW_VERSION)}>
                    <p>{ text(words::NEW_VERSION) }{ " " }{ text(words::NEW_VERSION_SAFE) }</p>
                    <button type="button" class="go" onclick={Callback::from(|_: MouseEvent| browser::signal("lessdin-take-update", ""))}>
                        { text(words::TAKE_VERSION) }
                    </button>
                </div>
            }
            { page }
            <footer class="foot">
                if *offline == "no-service-worker" { <p class="note">{ text(words::OFFLINE_NOT) }</p> }
                if *offline == "ready" { <p class="soft">{ text(words::OFFLINE_READY) }</p> }
                if let Some(whole) = whole {
                    { (whole.settings)(id == SETTINGS, *style, { let style = style.setter(); Callback::from(move |new| style.set(new)) }, &tell) }
                } else {
                    <p><a href="#/settings">{ text(words::SETTINGS) }</a></p>
                }
            </footer>
            <output class="sr" aria-live="polite" aria-atomic="true" id="voice">{ &*spoken }</output>
            if !told.is_empty() { <p class="told" aria-hidden="true">{ &*told }</p> }
        </>
    }
}

fn unknown(id: &str, style: crate::text::Style) -> String {
    let shown: String = id.chars().take(40).collect();
    say(crate::text::common_words::LINK_UNKNOWN_SHEET).typed("found", shown).text(style)
}

/// Where the clipboard is out of reach: the text, selected, to copy by hand.
pub(super) fn show_to_copy(text: &str) {
    let Some(document) = browser::window().and_then(|window| window.document()) else { return };
    let Ok(dialog) = document.create_element("dialog") else { return };
    let dialog: web_sys::HtmlDialogElement = dialog.unchecked_into();
    let line = |tag: &str, text: &str| {
        let element = document.create_element(tag).ok();
        if let Some(element) = &element {
            element.set_text_content(Some(text));
            let _ = dialog.append_child(element);
        }
        element
    };
    let english = |msg| Language::English.text(msg);
    line("p", english(words::COPY_BY_HAND));
    let area = line("textarea", text);
    if let Some(button) = line("button", english(words::CLOSE)) {
        let closing = dialog.clone();
        let close = Closure::once_into_js(move || {
            closing.close();
            closing.remove();
        });
        let _ = button.add_event_listener_with_callback("click", close.unchecked_ref());
    }
    if let Some(body) = document.body() {
        let _ = body.append_child(&dialog);
        let _ = dialog.show_modal();
    }
    if let Some(area) = area.and_then(|area| area.dyn_into::<web_sys::HtmlTextAreaElement>().ok()) {
        let _ = area.set_attribute("readonly", "");
        let _ = area.set_attribute("aria-label", english(words::COPY_BY_HAND));
        area.select();
    }
}
