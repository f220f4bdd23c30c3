//! One field: label, unit, input, buttons, help, problem. Every input on the page is one of these.

use super::offer;
use super::state::Act;
use super::table::PasteInto;
use super::words;
use crate::calc::draft::Path;
use crate::calc::number;
use crate::calc::quantity::{Quantity, Unit};
use crate::calc::schema::{Cell, Kind};
use crate::text::{Said, Style, say};
use crate::units::within;
use web_sys::HtmlInputElement;
use yew::prelude::*;

#[derive(Properties, Clone, PartialEq)]
pub(super) struct FieldProps {
    pub(super) cell: ByAddress<Cell>,
    pub(super) path: Path,
    pub(super) text: AttrValue,
    pub(super) style: Style,
    pub(super) act: Callback<Act>,
    /// What is wrong, already in words.
    #[prop_or_default]
    pub(super) problem: Option<AttrValue>,
    /// How unclear text was read.
    #[prop_or_default]
    pub(super) remark: Option<AttrValue>,
    /// The symbol of a level's unit.
    pub(super) level_symbol: &'static str,
    /// The row the field is in, where its label alone is not enough: "Level: cabinet fan".
    #[prop_or_default]
    pub(super) row_name: Option<AttrValue>,
    /// Names of the rows that a field may point to.
    #[prop_or_default]
    pub(super) targets: Vec<AttrValue>,
    /// Several lines, a range: goes to the table when pasted into a field.
    #[prop_or_default]
    pub(super) paste: Option<PasteInto>,
}

/// A part of the schema, compared by its address: schemas are statics.
pub(super) struct ByAddress<T: 'static>(pub(super) &'static T);

impl<T> Clone for ByAddress<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for ByAddress<T> {}

impl<T> PartialEq for ByAddress<T> {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self.0, other.0)
    }
}

#[component]
pub(super) fn Field(props: &FieldProps) -> Html {
    let cell = props.cell.0;
    match cell.kind {
        Kind::Choice(_) | Kind::Row(_) => whole(|whole| (whole.choice)(props)),
        Kind::Switch => whole(|whole| (whole.switch)(props)),
        Kind::Text { .. } => framed(props, text_input(props, "text", "sentences"), None),
        Kind::Number { .. } | Kind::Levels { .. } | Kind::Count { .. } => numeric(props),
    }
}

/// Draws what the whole page alone draws.
fn whole(draw: impl FnOnce(offer::Whole) -> Html) -> Html {
    offer::whole().map_or_else(Html::default, draw)
}

pub(super) fn label_text(props: &FieldProps) -> String {
    props.style.language.text(props.cell.0.label).to_owned()
}

pub(super) fn full_label(props: &FieldProps) -> String {
    aria_label(props).unwrap_or_else(|| label_text(props))
}

/// The label with its row, for those who do not see which row the field is in.
pub(super) fn aria_label(props: &FieldProps) -> Option<String> {
    props.row_name.as_ref().map(|name| format!("{}: {name}", label_text(props)))
}

pub(super) fn describe(props: &FieldProps) -> String {
    let id = props.path.dom_id();
    format!("{id}-help {id}-problem")
}

/// The label above, help and problem below.
pub(super) fn framed(props: &FieldProps, inner: Html, unit: Option<Html>) -> Html {
    let (cell, style) = (props.cell.0, props.style);
    let id = props.path.dom_id();
    let mut help = style.language.text(cell.help).to_owned();
    if let Some(default) = default_words(props) {
        help = if help.is_empty() { default } else { format!("{help} {default}.") };
    }
    let class = if props.problem.is_some() { "cell wrong" } else { "cell" };
    html! {
        <div class={class} data-key={cell.key}>
            <div class="head">
                <label for={id.clone()}>{ label_text(props) }</label>
                if let Some(unit) = unit { { unit } }
            </div>
            { inner }
            <p class="help" id={format!("{id}-help")}>{ help }</p>
            <p class="problem" id={format!("{id}-problem")}>
                if let Some(problem) = &props.problem { { problem } }
                else if let Some(remark) = &props.remark { <span class="remark">{ remark }</span> }
            </p>
        </div>
    }
}

/// "3 dB while empty", for fields with a default that is a number.
fn default_words(props: &FieldProps) -> Option<String> {
    let cell = props.cell.0;
    let quantity = cell.quantity().filter(|_| !cell.default.is_empty())?;
    let value = number::parse(cell.default, quantity).ok()?.base;
    let quantity = if matches!(quantity, Quantity::Count) { Quantity::Plain } else { quantity };
    Some(say(words::DEFAULT_IS).num("value", quantity, value).text(props.style))
}

/// What holds while the field is empty, in grey.
fn placeholder(props: &FieldProps) -> String {
    props.cell.0.default.replace('.', &props.style.decimal.to_string())
}

fn text_input(props: &FieldProps, mode: &'static str, capitalise: &'static str) -> Html {
    let (path, act) = (props.path, props.act.clone());
    let shown = shown_text(props);
    let keep_unit = unit_suffix(props).filter(|_| shown != *props.text).unwrap_or_default();
    let oninput = {
        let act = act.clone();
        Callback::from(move |event: InputEvent| {
            let typed = event.target_unchecked_into::<HtmlInputElement>().value();
            let has_unit = !number::split_unit(&typed).1.is_empty() || typed.trim().is_empty();
            act.emit(Act::Type(path, if has_unit { typed } else { typed + &keep_unit }));
        })
    };
    let onchange = {
        let act = act.clone();
        Callback::from(move |_: Event| act.emit(Act::Commit))
    };
    let step = step_of(props);
    let onkeydown = {
        let (act, text, kind) = (act, props.text.clone(), props.cell.0);
        let style = props.style;
        Callback::from(move |event: KeyboardEvent| {
            let by = match event.key().as_str() {
                "ArrowUp" => 1.0,
                "ArrowDown" => -1.0,
                "PageUp" => 10.0,
                "PageDown" => -10.0,
                _ => return,
            };
            if let Some(text) = step.and_then(|step| stepped(kind, &text, step * by, style)) {
                event.prevent_default();
                act.emit(Act::Set(path, text));
            }
        })
    };
    let onpaste = {
        let paste = props.paste.clone();
        Callback::from(move |event: Event| {
            let event: web_sys::ClipboardEvent = wasm_bindgen::JsCast::unchecked_into(event);
            let text = event.clipboard_data().and_then(|data| data.get_data("text").ok()).unwrap_or_default();
            if let Some(paste) = paste.as_ref().filter(|_| text.trim().contains(['\n', '\t', ';'])) {
                event.prevent_default();
                paste.take(&text);
            }
        })
    };
    html! {
        <input id={path.dom_id()} type="text" inputmode={mode} autocomplete="off" autocapitalize={capitalise} enterkeyhint="next"
            spellcheck="false" placeholder={placeholder(props)} value={shown} aria-label={aria_label(props)} aria-describedby={describe(props)}
            aria-invalid={props.problem.as_ref().map(|_| "true")} {oninput} {onchange} {onkeydown} {onpaste} />
    }
}

fn step_of(props: &FieldProps) -> Option<f64> {
    match props.cell.0.kind {
        Kind::Number { step, .. } => Some(step),
        Kind::Levels { .. } => Some(0.1),
        Kind::Count { .. } => Some(1.0),
        Kind::Choice(_) | Kind::Switch | Kind::Text { .. } | Kind::Row(_) => None,
    }
}

/// The text after a press of − or +. From an empty field: the default, else the least value. `None` when there is no sense in it.
fn stepped(cell: &Cell, text: &str, by: f64, style: Style) -> Option<String> {
    let quantity = cell.quantity()?;
    let text = if text.trim().is_empty() { cell.default } else { text };
    if text.is_empty() {
        return None;
    }
    let typed = number::parse(text, quantity).ok()?;
    // Steps of the unit shown; two digits past the step's own are enough to hide what binary fractions add.
    let value = ((typed.value + by) * 1e6).round() / 1e6;
    // A bare number is in the first unit, as it was parsed.
    let shown = typed.unit.or(quantity.units().first());
    let base = shown.map_or(value, |unit| unit.to_base(value));
    let (min, max) = match cell.kind {
        Kind::Number { min, max, .. } | Kind::Levels { min, max } => (min, max),
        Kind::Count { min, max } => (f64::from(min), f64::from(max)),
        Kind::Choice(_) | Kind::Switch | Kind::Text { .. } | Kind::Row(_) => return None,
    };
    let kept = within(base, min, max);
    let value = if (kept - base).abs() > 0.0 { shown.map_or(kept, |unit| unit.from_base(kept)) } else { value };
    let unit = typed.unit.map(|unit| format!(" {}", unit.id)).unwrap_or_default();
    Some(format!("{}{unit}", number::editable(value, style)))
}

/// The units a person may switch between. Levels have their letter in the header instead.
fn switchable(props: &FieldProps) -> &'static [Unit] {
    match props.cell.0.kind {
        Kind::Number { quantity, .. } if !matches!(quantity, Quantity::Level(_)) => quantity.units(),
        _ => &[],
    }
}

pub(super) fn unit_of(props: &FieldProps) -> Option<&'static Unit> {
    let quantity = props.cell.0.quantity()?;
    let (_, suffix) = number::split_unit(&props.text);
    if suffix.is_empty() { None } else { number::find_unit(suffix, quantity).ok() }
}

fn unit_suffix(props: &FieldProps) -> Option<String> {
    unit_of(props).map(|unit| format!(" {}", unit.id))
}

/// The text in the box: without its unit where a list beside it shows the unit.
fn shown_text(props: &FieldProps) -> String {
    if switchable(props).len() > 1 && unit_of(props).is_some() {
        return number::split_unit(&props.text).0.to_owned();
    }
    props.text.to_string()
}

fn numeric(props: &FieldProps) -> Html {
    let cell = props.cell.0;
    let (style, path) = (props.style, props.path);
    let units = switchable(props);
    let unit = if units.len() > 1 {
        Some(whole(|whole| (whole.unit_list)(props, units)))
    } else {
        let symbol = match cell.kind {
            Kind::Levels { .. } => props.level_symbol,
            _ => cell.quantity().map_or("", Quantity::symbol),
        };
        Some(html! { <span class="unit">{ symbol }</span> })
    };
    let step = step_of(props).unwrap_or(1.0);
    let button = |by: f64, sign: &'static str, msg| {
        let (act, text) = (props.act.clone(), props.text.clone());
        let onclick = Callback::from(move |_: MouseEvent| {
            if let Some(text) = stepped(cell, &text, by, style) {
                act.emit(Act::Set(path, text));
            }
        });
        let name = say(msg).typed("label", full_label(props)).text(style);
        html! { <button type="button" class="step" aria-label={name} tabindex="-1" {onclick}>{ sign }</button> }
    };
    let mode = if matches!(cell.kind, Kind::Count { .. }) { "numeric" } else { "decimal" };
    let boxed = html! {
        <div class="field">
            { button(-step, "\u{2212}", words::LESS) }
            { text_input(props, mode, "off") }
            { button(step, "+", words::GREATER) }
        </div>
    };
    let inner = html! { <>{ boxed }{ extras(props) }</> };
    framed(props, inner, unit)
}

/// Buttons for what a phone's decimal keys cannot type: a sign, a second reading. A keyboard types both, so Tab passes them by.
fn extras(props: &FieldProps) -> Html {
    let (style, path) = (props.style, props.path);
    match props.cell.0.kind {
        Kind::Number { min, .. } if min < 0.0 => {
            let (act, text) = (props.act.clone(), props.text.clone());
            let onclick = Callback::from(move |_: MouseEvent| {
                let trimmed = text.trim();
                let flipped = trimmed.strip_prefix(['-', '\u{2212}']).map_or_else(|| format!("\u{2212}{trimmed}"), str::to_owned);
                act.emit(Act::Set(path, flipped));
            });
            html! { <button type="button" class="extra" tabindex="-1" {onclick}>{ "± " }{ style.language.text(words::SIGN) }</button> }
        }
        Kind::Levels { .. } if !props.text.trim().is_empty() => {
            let (act, text) = (props.act.clone(), props.text.clone());
            let onclick = Callback::from(move |_: MouseEvent| {
                act.emit(Act::Type(path, format!("{}; ", text.trim_end_matches([';', ' ']))));
                super::browser::focus(&path.dom_id());
            });
            html! { <button type="button" class="extra" tabindex="-1" {onclick}>{ style.language.text(words::AND_READING) }</button> }
        }
        _ => html! {},
    }
}

/// A sentence with its numbers set apart.
pub(super) fn sentence(said: &Said, style: Style) -> Html {
    let pieces = said.pieces(style);
    html! {
        for piece in pieces {
            if piece.number { <b class="n">{ piece.text }</b> } else { { piece.text } }
        }
    }
}
