//! Settings, privacy, version: folded at the foot of every page.

use super::{browser, store, words};
use crate::text::{Language, Style};
use web_sys::HtmlSelectElement;
use yew::prelude::*;

/// The person's style: decimal sign as set, else as the device writes it.
pub(super) fn style() -> Style {
    let decimal = match store::setting("decimal").as_str() {
        "point" => '.',
        "comma" => ',',
        _ => browser::decimal_sign(),
    };
    Style { language: Language::English, decimal }
}

/// The settings at the foot of a page.
pub(super) fn fold(open: bool, style: Style, on_style: Callback<Style>, tell: &Callback<String>) -> Html {
    html! { <Settings {open} {style} {on_style} tell={tell.clone()} /> }
}

#[derive(Properties, PartialEq)]
struct SettingsProps {
    open: bool,
    style: Style,
    on_style: Callback<Style>,
    tell: Callback<String>,
}

#[component]
fn Settings(props: &SettingsProps) -> Html {
    let style = props.style;
    let text = |msg| style.language.text(msg);
    let pick = |name: &'static str, after: Callback<String>| {
        Callback::from(move |event: Event| {
            let value = event.target_unchecked_into::<HtmlSelectElement>().value();
            store::set_setting(name, &value);
            after.emit(value);
        })
    };
    let on_theme = pick(
        "theme",
        Callback::from(|value: String| browser::set_root_attribute("data-theme", Some(value.as_str()).filter(|value| *value != "auto"))),
    );
    let on_decimal = pick("decimal", props.on_style.reform(|_| self::style()));
    let theme = store::setting("theme");
    let decimal = store::setting("decimal");
    let list = |id: &'static str, label, onchange: Callback<Event>, current: &str, options: [(&'static str, crate::text::Msg); 3]| {
        let current = if current.is_empty() { "auto".to_owned() } else { current.to_owned() };
        html! {
            <div class="cell">
                <div class="head"><label for={id}>{ text(label) }</label></div>
                <select {id} class="choice" {onchange}>
                    for (key, msg) in options { <option value={key} selected={key == current}>{ text(msg) }</option> }
                </select>
            </div>
        }
    };
    let forget_all = {
        let tell = props.tell.clone();
        Callback::from(move |_: MouseEvent| {
            browser::forget_all();
            tell.emit(style.language.text(words::FORGOTTEN).to_owned());
        })
    };
    let build = browser::global_text("lessdinBuild").unwrap_or_else(|| env!("CARGO_PKG_VERSION").to_owned());
    html! {
        <details class="settings" id="settings" open={props.open}>
            <summary>{ text(words::SETTINGS) }</summary>
            { list("s-theme", words::THEME, on_theme, &theme,
                [("auto", words::THEME_AUTO), ("light", words::THEME_LIGHT), ("dark", words::THEME_DARK)]) }
            { list("s-decimal", words::DECIMAL, on_decimal, &decimal,
                [("auto", words::DECIMAL_AUTO), ("point", words::DECIMAL_POINT), ("comma", words::DECIMAL_COMMA)]) }
            <p>{ text(words::PRIVACY) }</p>
            <p>{ text(words::NOT_CERTIFIED) }</p>
            <p><button type="button" onclick={forget_all}>{ text(words::FORGET_ALL) }</button></p>
            <p class="soft">{ crate::text::say(words::BUILD).typed("build", build).text(style) }</p>
        </details>
    }
}
