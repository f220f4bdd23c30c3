//! Opening logs, and what was understood of each.

use super::{Busy, Context, LogView, words};
use crate::calc::draft::{Draft, Path};
use crate::calc::quantity::Quantity;
use crate::calc::{link, moment};
use crate::logs::Choices;
use crate::sheets::runs::draft::Logged;
use crate::text::{Msg, say};
use crate::ui::state::Act;
use crate::units::count_to_f64;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::spawn_local;
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// The picker, the place to drop, and the made-up logs.
pub(super) fn opening(context: &Context, empty: bool) -> Html {
    let files = |list: Option<web_sys::FileList>| -> Vec<(String, JsValue)> {
        let list = list.into_iter().flat_map(|list| (0..list.length()).filter_map(move |at| list.get(at)));
        list.map(|file| (file.name(), file.into())).collect()
    };
    let picked = {
        let context = context.clone();
        Callback::from(move |event: Event| {
            let input = event.target_unchecked_into::<HtmlInputElement>();
            let chosen = files(input.files());
            input.set_value("");
            spawn_local(context.clone().open(chosen));
        })
    };
    let dropped = {
        let context = context.clone();
        Callback::from(move |event: DragEvent| {
            event.prevent_default();
            spawn_local(context.clone().open(files(event.data_transfer().and_then(|data| data.files()))));
        })
    };
    let pasted = {
        let context = context.clone();
        Callback::from(move |event: Event| {
            let Some(data) = event.dyn_ref::<web_sys::ClipboardEvent>().and_then(web_sys::ClipboardEvent::clipboard_data) else { return };
            event.prevent_default();
            let mut chosen = files(data.files());
            let typed = data.get_data("text").unwrap_or_default();
            if chosen.is_empty() && !typed.is_empty() {
                let bytes = js_sys::Uint8Array::from(typed.as_bytes());
                chosen.push((context.text(words::PASTED_NAME).to_owned(), bytes.into()));
            }
            spawn_local(context.clone().open(chosen));
        })
    };
    let over = Callback::from(|event: DragEvent| event.prevent_default());
    let made_up = {
        let context = context.clone();
        Callback::from(move |_: MouseEvent| spawn_local(context.clone().made_up()))
    };
    html! {
        <>
            <p class="soft">{ context.text(words::LOGS_HELP) }</p>
            <div class="drop" tabindex="0" role="group" aria-label={context.text(words::OPEN_LOGS)} ondragover={over} ondrop={dropped} onpaste={pasted}>
                <label class="go pick">
                    { context.text(words::OPEN_LOGS) }
                    <input type="file" multiple=true class="sr" id="open-logs" onchange={picked} />
                </label>
                <span class="soft">{ context.text(words::OR_DROP) }</span>
            </div>
            { pasting(context) }
            if empty { <p><button type="button" onclick={made_up}>{ context.text(words::MADE_UP) }</button></p> }
        </>
    }
}

/// A place for the text of a log, where there is no file: a phone pastes into fields only.
fn pasting(context: &Context) -> Html {
    let read = {
        let context = context.clone();
        Callback::from(move |event: MouseEvent| {
            let button: web_sys::Element = event.target_unchecked_into();
            let area = button.previous_element_sibling().and_then(|area| area.dyn_into::<web_sys::HtmlTextAreaElement>().ok());
            let Some(area) = area.filter(|area| !area.value().trim().is_empty()) else { return };
            let bytes = js_sys::Uint8Array::from(area.value().as_bytes());
            area.set_value("");
            spawn_local(context.clone().open(vec![(context.text(words::PASTED_NAME).to_owned(), bytes.into())]));
        })
    };
    html! {
        <details class="paste-log">
            <summary>{ context.text(words::PASTE_LOG) }</summary>
            <textarea rows="4" spellcheck="false" aria-label={context.text(words::PASTED_LOG)} />
            <button type="button" onclick={read}>{ context.text(words::READ_PASTED) }</button>
        </details>
    }
}

pub(super) fn working(context: &Context, busy: &Busy) -> Html {
    let seconds = ((js_sys::Date::now() - busy.since) / 1000.0).max(0.001);
    let msg = if busy.dividing { words::DIVIDING } else { words::READING };
    let said = say(msg)
        .typed("name", busy.name.clone())
        .num("share", Quantity::Share, busy.share)
        .num("rows", Quantity::Count, busy.rows)
        .num("rate", Quantity::Count, (busy.rows / seconds).round());
    let stop = {
        let (context, id) = (context.clone(), busy.id);
        Callback::from(move |_: MouseEvent| context.client.cancel(id))
    };
    html! {
        <p class="progress">
            { said.text(context.style) }
            <button type="button" onclick={stop}>{ context.text(words::STOP) }</button>
        </p>
    }
}

/// What was understood of a log, and how to read it otherwise.
pub(super) fn log(context: &Context, view: &LogView, runs: &[Logged], draft: &Draft) -> Html {
    let text = |msg| context.text(msg);
    let run = runs.iter().find(|run| run.hash == view.hash);
    let summary = say(words::LOG_IS)
        .typed("name", view.name.clone())
        .typed("duration", moment::show(view.duration_s))
        .num("rows", Quantity::Count, view.rows)
        .text(context.style);
    let set = run.map(|run| {
        let path = Path::cell("run", run.run, "set");
        let (act, now) = (context.act.clone(), draft.get(path).to_owned());
        let onchange = Callback::from(move |event: Event| {
            act.emit(Act::Set(path, event.target_unchecked_into::<HtmlSelectElement>().value()));
        });
        let sets = crate::sheets::runs::sets();
        html! {
            <label class="set">
                <span>{ text(words::WHICH_SET) }</span>
                <select class="choice" {onchange}>
                    for choice in sets {
                        <option value={choice.key} selected={if now.is_empty() { choice.key == "before" } else { choice.key == now }}>
                            { text(choice.label) }
                        </option>
                    }
                </select>
            </label>
        }
    });
    let button = |msg: Msg, act: Callback<MouseEvent>| html! { <button type="button" onclick={act}>{ text(msg) }</button> };
    let csv = {
        let (context, view) = (context.clone(), view.clone());
        Callback::from(move |_: MouseEvent| spawn_local(context.clone().csv(view.clone())))
    };
    let forget = {
        let (context, hash) = (context.clone(), view.hash.clone());
        Callback::from(move |_: MouseEvent| spawn_local(context.clone().forget(hash.clone())))
    };
    html! {
        <article class="log" data-log={view.hash.clone()} key={view.hash.clone()}>
            <h3>{ summary }</h3>
            { for set }
            if !view.kept { <p class="note doubt">{ text(words::NOT_KEPT) }</p> }
            if view.no_times {
                <p class="note doubt">{ text(words::NO_TIMES) }</p>
                { step_field(context, view) }
            }
            if view.open_dates { <p class="note doubt">{ text(words::DATES_OPEN) }</p> }
            if view.open_dates { { one_of(context, view, words::CHOOSE_DATES, 3, &order_names(context)) } }
            if !view.doubts.is_empty() {
                <div class="doubts">
                    <p><strong>{ text(words::LOOK_AT) }</strong></p>
                    for doubt in view.doubts.iter() { <p class="note doubt">{ doubt }</p> }
                </div>
            }
            <details>
                <summary>{ text(words::UNDERSTOOD) }</summary>
                <dl class="facts">
                    for (label, found) in view.facts.iter() { <dt>{ label }</dt><dd>{ found }</dd> }
                </dl>
                <p><strong>{ text(words::FIRST_ROWS) }</strong></p>
                <ul class="first-rows">for row in view.first.iter() { <li>{ row }</li> }</ul>
            </details>
            <details>
                <summary>{ text(words::CHANGE_READING) }</summary>
                { changing(context, view) }
            </details>
            <div class="acts">{ button(words::LOG_CSV, csv) }{ button(words::LOG_FORGET, forget) }</div>
        </article>
    }
}

fn order_names(context: &Context) -> Vec<String> {
    use crate::files::words::{ORDER_DMY, ORDER_MDY, ORDER_YMD};
    [ORDER_DMY, ORDER_MDY, ORDER_YMD].map(|msg| context.text(msg).to_owned()).to_vec()
}

/// How many seconds lie between two rows.
fn step_field(context: &Context, view: &LogView) -> Html {
    let onchange = {
        let (context, view) = (context.clone(), view.clone());
        Callback::from(move |event: Event| {
            let typed = event.target_unchecked_into::<HtmlInputElement>().value();
            let mut choices = view.choices;
            if let (Some(step), Some(seconds)) = (choices.get_mut(7), moment::read(&typed).filter(|seconds| *seconds > 0.0)) {
                *step = seconds;
                spawn_local(context.clone().again(view.clone(), choices));
            } else {
                context.tell.emit(context.text(words::BAD_MOMENT).to_owned());
            }
        })
    };
    html! {
        <label class="set">
            <span>{ context.text(words::STEP) }</span>
            <input type="text" inputmode="decimal" value={link::field_text(view.step_s)} {onchange} />
        </label>
    }
}

/// A list that changes one of the choices and reads the file again.
fn one_of(context: &Context, view: &LogView, label: Msg, place: usize, names: &[String]) -> Html {
    let onchange = {
        let (context, view) = (context.clone(), view.clone());
        Callback::from(move |event: Event| {
            let value = event.target_unchecked_into::<HtmlSelectElement>().value();
            let mut choices = said(&view);
            if let (Some(choice), Ok(value)) = (choices.get_mut(place), value.parse::<i32>()) {
                *choice = f64::from(value);
            }
            spawn_local(context.clone().again(view.clone(), choices));
        })
    };
    let now = view.choices.get(place).copied().unwrap_or(-1.0);
    html! {
        <label class="set">
            <span>{ context.text(label) }</span>
            <select class="choice" {onchange}>
                <option value="-1">{ context.text(words::FIND_OUT) }</option>
                if place == 5 { <option value="-2" selected={now < -1.5}>{ context.text(words::NO_TIME_COLUMN) }</option> }
                for (at, name) in names.iter().enumerate() {
                    <option value={at.to_string()} selected={(count_to_f64(at) - now).abs() < 0.5}>{ name }</option>
                }
            </select>
        </label>
    }
}

/// The choices to read a log again with: those in force, so that only the changed one differs. The step follows the time again.
fn said(view: &LogView) -> Choices {
    let mut choices = view.choices;
    if let [.., clock, _, step, _, _] = &mut choices
        && *clock > -1.5
    {
        *step = -1.0;
    }
    choices
}

fn changing(context: &Context, view: &LogView) -> Html {
    use crate::files::panel;
    use crate::files::{Decimal, Encoding, Separator};
    let names = |msgs: &[Msg]| -> Vec<String> { msgs.iter().map(|msg| context.text(*msg).to_owned()).collect() };
    let encodings = names(&[Encoding::Utf8, Encoding::Utf16Little, Encoding::Utf16Big, Encoding::Windows1252].map(panel::encoding));
    let separators = names(&Separator::ALL.map(panel::separator));
    let decimals = names(&[Decimal::Point, Decimal::Comma].map(panel::decimal));
    let beyond = names(&[words::BEYOND_LIMIT, words::BEYOND_SILENT, words::BEYOND_LEFT_OUT]);
    let clocks = names(&[words::HOURS_MINUTES, words::MINUTES_SECONDS]);
    html! {
        <div class="changing">
            { one_of(context, view, words::LEVEL_COLUMN, 4, &view.columns) }
            { one_of(context, view, words::TIME_COLUMN, 5, &view.columns) }
            { one_of(context, view, words::TIMES_ARE, 9, &clocks) }
            { one_of(context, view, words::DATE_ORDER, 3, &order_names(context)) }
            { one_of(context, view, words::SEPARATOR, 1, &separators) }
            { one_of(context, view, crate::files::words::DECIMAL, 2, &decimals) }
            { one_of(context, view, words::ENCODING, 0, &encodings) }
            { one_of(context, view, words::BEYOND, 8, &beyond) }
            { step_field(context, view) }
        </div>
    }
}
