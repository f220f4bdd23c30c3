//! Fields where something is picked: one of a few, on or off, another unit. The first screen has none of them.

use super::field::{FieldProps, aria_label, describe, framed, full_label, label_text, unit_of};
use super::state::Act;
use super::words;
use crate::calc::number;
use crate::calc::quantity::Unit;
use crate::calc::read;
use crate::calc::schema::Kind;
use crate::text::say;
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// The list that converts a value to another unit.
pub(super) fn unit_list(props: &FieldProps, units: &'static [Unit]) -> Html {
    let (style, path) = (props.style, props.path);
    let current = unit_of(props).or(units.first());
    let (act, text, quantity) = (props.act.clone(), props.text.clone(), props.cell.0.quantity());
    let onchange = Callback::from(move |event: Event| {
        let id = event.target_unchecked_into::<HtmlSelectElement>().value();
        let (Some(quantity), Some(unit)) = (quantity, units.iter().find(|unit| unit.id == id)) else { return };
        let converted = match number::parse(&text, quantity) {
            Ok(typed) => {
                let value = (unit.from_base(typed.base) * 1e4).round() / 1e4;
                format!("{} {}", number::editable(value, style), unit.id)
            }
            Err(_) => return,
        };
        act.emit(Act::Set(path, converted));
    });
    let name = say(words::UNIT_OF).typed("label", full_label(props)).text(style);
    html! {
        <select class="unit" aria-label={name} {onchange}>
            for unit in units.iter() {
                <option value={unit.id} selected={current.is_some_and(|current| current.id == unit.id)}>{ unit.symbol }</option>
            }
        </select>
    }
}

pub(super) fn choice(props: &FieldProps) -> Html {
    let (cell, style, path) = (props.cell.0, props.style, props.path);
    let act = props.act.clone();
    let onchange = Callback::from(move |event: Event| {
        act.emit(Act::Set(path, event.target_unchecked_into::<HtmlSelectElement>().value()));
    });
    let text = if props.text.trim().is_empty() { cell.default } else { &*props.text };
    let options: Vec<(String, String)> = match cell.kind {
        Kind::Choice(choices) => {
            choices.iter().map(|choice| (choice.key.to_owned(), style.language.text(choice.label).to_owned())).collect()
        }
        _ => props.targets.iter().enumerate().map(|(at, name)| ((at + 1).to_string(), name.to_string())).collect(),
    };
    let current = match cell.kind {
        Kind::Choice(_) => read::choice(cell, text).map(str::to_owned).unwrap_or_default(),
        _ => text.trim().to_owned(),
    };
    let known = options.iter().any(|(key, _)| *key == current);
    let inner = html! {
        <select id={path.dom_id()} class="choice" aria-label={aria_label(props)} aria-describedby={describe(props)}
            aria-invalid={props.problem.as_ref().map(|_| "true")} {onchange}>
            if !known {
                <option value={props.text.clone()} selected=true>{ style.language.text(words::NOT_CHOSEN) }</option>
            }
            for (key, label) in options {
                <option value={key.clone()} selected={key == current}>{ label }</option>
            }
        </select>
    };
    framed(props, inner, None)
}

pub(super) fn switch(props: &FieldProps) -> Html {
    let (cell, style, path) = (props.cell.0, props.style, props.path);
    let text = if props.text.trim().is_empty() { cell.default } else { &*props.text };
    let on = read::switch(text).unwrap_or(false);
    let act = props.act.clone();
    let onchange = Callback::from(move |event: Event| {
        let checked = event.target_unchecked_into::<HtmlInputElement>().checked();
        act.emit(Act::Set(path, String::from(if checked { "1" } else { "0" })));
    });
    let id = path.dom_id();
    html! {
        <div class="cell switch" data-key={cell.key}>
            <label for={id.clone()}>
                <input {id} type="checkbox" checked={on} aria-label={aria_label(props)} {onchange} />
                <span>{ label_text(props) }</span>
            </label>
            <p class="help">{ style.language.text(cell.help) }</p>
            <p class="problem">if let Some(problem) = &props.problem { { problem } }</p>
        </div>
    }
}
