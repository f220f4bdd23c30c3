//! Curves of levels over time, with the phases of one run: to be looked at closely, and to move the edges between phases.
//!
//! `stage` holds what changes from frame to frame, `paint` draws, `crate::calc::window` reckons.

mod paint;
mod stage;
pub mod words;

use super::browser;
use super::words as page_words;
use crate::calc::quantity::Quantity;
use crate::sheets::runs::Set;
use crate::text::{Msg, Style, say};
use crate::units::count_to_f64;
use gloo::events::EventListener;
use stage::{Parts, Stage};
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use yew::prelude::*;

/// One curve.
#[derive(Clone, PartialEq)]
pub(super) struct Curve {
    /// What the envelope knows it by.
    pub(super) hash: AttrValue,
    pub(super) name: AttrValue,
    /// The state of the machine it shows: its colour, dashes and marker.
    pub(super) look: Set,
    /// Drawn so much later, s.
    pub(super) shift_s: f64,
    pub(super) duration_s: f64,
}

/// A stretch of the selected run, s from its start.
#[derive(Clone, PartialEq)]
pub(super) struct Stretch {
    pub(super) name: AttrValue,
    pub(super) from_s: f64,
    pub(super) to_s: f64,
}

/// Asks for the lowest and the highest level of each of so many columns between two moments of a log, s; the answer is low,
/// high, low, high, …, not numbers in gaps.
pub(super) type Envelope = dyn Fn(&str, f64, f64, usize, Callback<Rc<Vec<f32>>>);

/// An [`Envelope`], equal to itself alone. Another one means other levels: everything is asked for again.
#[derive(Clone)]
pub(super) struct EnvelopeRef(pub(super) Rc<Envelope>);

impl PartialEq for EnvelopeRef {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::addr_eq(Rc::as_ptr(&self.0), Rc::as_ptr(&other.0))
    }
}

#[derive(Clone, Properties, PartialEq)]
pub(super) struct CurvesProps {
    pub(super) curves: Rc<Vec<Curve>>,
    /// The hash of the run whose phases are shown.
    pub(super) selected: AttrValue,
    /// Its stretches, in the order of time.
    pub(super) stretches: Rc<Vec<Stretch>>,
    pub(super) envelope: EnvelopeRef,
    /// An edge was moved: the start of the stretch with this place, or the end of the last one; its moment, s from the run's
    /// start.
    pub(super) on_move: Callback<(usize, f64)>,
    /// What the levels are: their unit.
    pub(super) quantity: Quantity,
    pub(super) style: Style,
    /// Written under the picture when it leaves the page.
    pub(super) conditions: AttrValue,
    pub(super) tell: Callback<String>,
    /// The finding.
    pub(super) title: AttrValue,
}

/// The curves, their legend with values, and the buttons.
#[component]
pub(super) fn Curves(props: &CurvesProps) -> Html {
    let stage = {
        let props = props.clone();
        use_memo((), move |()| Stage::new(props))
    };
    let nodes = use_memo((), |()| Nodes::default());
    {
        let (stage, nodes) = (stage.clone(), nodes.clone());
        use_effect_with((), move |()| {
            let held = nodes.parts().map(|parts| watch(&stage, parts));
            move || {
                drop(held);
                stage.leave();
            }
        });
    }
    {
        let stage = stage.clone();
        use_effect_with(props.clone(), move |props| stage.update(props));
    }
    let style = props.style;
    let text = |msg: Msg| style.language.text(msg);
    let press = |act: fn(&Stage)| {
        let stage = stage.clone();
        Callback::from(move |_: MouseEvent| act(&stage))
    };
    let point = |act: fn(&Stage, &PointerEvent)| {
        let stage = stage.clone();
        Callback::from(move |event: PointerEvent| act(&stage, &event))
    };
    let wheel = {
        let stage = stage.clone();
        Callback::from(move |event: WheelEvent| stage.wheel(&event))
    };
    let key = {
        let stage = stage.clone();
        Callback::from(move |event: KeyboardEvent| stage.key(&event))
    };
    let shown = props.curves.iter().any(|curve| curve.hash == props.selected);
    let edges = if props.stretches.is_empty() || !shown { 0 } else { props.stretches.len() + 1 };
    html! {
        <figure class="picture curves" data-picture="curves">
            <figcaption>{ &props.title }</figcaption>
            <div class="plot" ref={nodes.place.clone()}>
                <canvas class="under" aria-hidden="true" ref={nodes.under.clone()}></canvas>
                <canvas class="over" aria-hidden="true" ref={nodes.over.clone()}></canvas>
                <div class="cross" role="slider" tabindex="0" aria-label={text(words::CURVE_MOMENT)} aria-describedby="curve-keys"
                    ref={nodes.cross.clone()}
                    onpointerdown={point(Stage::down)} onpointermove={point(Stage::moved)} onpointerup={point(Stage::up)}
                    onpointercancel={point(|stage, _| stage.cancelled())} onpointerleave={point(|stage, _| stage.left())}
                    onwheel={wheel} onkeydown={key}>
                </div>
                <div class="edges" ref={nodes.edges.clone()}>
                    for place in 0..edges { { edge(&stage, place, style) } }
                </div>
                <div class="tints" hidden=true ref={nodes.tints.clone()}>
                    for tint in TINTS { <i class={tint}></i> }
                </div>
            </div>
            <div class="at">
                <p class="soft" ref={nodes.moment.clone()}></p>
                <ul class="legend" ref={nodes.legend.clone()}>
                    for curve in props.curves.iter() {
                        <li key={curve.hash.to_string()}>{ swatch(curve.look) }<span>{ &curve.name }</span><span class="level"></span></li>
                    }
                </ul>
            </div>
            <div class="acts">
                <button type="button" onclick={press(|stage| stage.zoom(0.5))}>{ text(words::CURVE_CLOSER) }</button>
                <button type="button" onclick={press(|stage| stage.zoom(2.0))}>{ text(words::CURVE_WIDER) }</button>
                <button type="button" onclick={press(Stage::reset)}>{ text(words::CURVE_ALL) }</button>
                <button type="button" onclick={press(|stage| stage.pan(-0.5))}>{ text(words::CURVE_EARLIER) }</button>
                <button type="button" onclick={press(|stage| stage.pan(0.5))}>{ text(words::CURVE_LATER) }</button>
                <button type="button" onclick={press(Stage::save)}>{ text(page_words::PICTURE_FILE) }</button>
            </div>
            <details>
                <summary>{ text(words::CURVE_HELP) }</summary>
                <p class="soft" id="curve-keys">{ text(words::CURVE_KEYS) }</p>
                if edges > 0 { <p class="soft" id="curve-edges">{ text(words::CURVE_EDGES) }</p> }
            </details>
        </figure>
    }
}

/// The classes of the colours, in the order of `paint::Palette`.
const TINTS: [&str; 9] = ["ground", "ink", "soft", "line", "wash", "act", "before", "after", "second"];

#[derive(Default, PartialEq)]
struct Nodes {
    place: NodeRef,
    under: NodeRef,
    over: NodeRef,
    cross: NodeRef,
    edges: NodeRef,
    tints: NodeRef,
    moment: NodeRef,
    legend: NodeRef,
}

impl Nodes {
    fn parts(&self) -> Option<Parts> {
        Some(Parts {
            place: self.place.cast()?,
            under: self.under.cast()?,
            over: self.over.cast()?,
            cross: self.cross.cast()?,
            edges: self.edges.cast()?,
            moment: self.moment.cast()?,
            legend: self.legend.cast()?,
            tints: self.tints.cast()?,
        })
    }
}

/// A handle to move an edge by keys; pointers reach it through the picture.
fn edge(stage: &Stage, place: usize, style: Style) -> Html {
    let number = say(words::CURVE_EDGE).num("number", Quantity::Count, count_to_f64(place + 1));
    let key = {
        let stage = stage.clone();
        Callback::from(move |event: KeyboardEvent| stage.edge_key(place, &event))
    };
    html! {
        <div class="edge" role="slider" tabindex="0" key={place} aria-label={number.text(style)} onkeydown={key}></div>
    }
}

/// A sample of a curve's line.
fn swatch(look: Set) -> Html {
    let class = match look {
        Set::Before => "look-before",
        Set::After => "look-after",
        Set::Second => "look-second",
        Set::Again => "look-again",
    };
    let marker = match look {
        Set::Before => html! { <rect x="14" y="4" width="8" height="8" /> },
        Set::After => html! { <circle cx="18" cy="8" r="4.4" /> },
        Set::Second => html! { <polygon points="18,2.4 23,12 13,12" /> },
        Set::Again => html! { <polygon points="18,2 24,8 18,14 12,8" /> },
    };
    html! { <svg class={classes!("swatch", class)} width="36" height="16" viewBox="0 0 36 16" aria-hidden="true"><line x1="0" y1="8" x2="36" y2="8" />{ marker }</svg> }
}

/// Whatever is dropped with it.
type Held = Box<dyn std::any::Any>;

/// An observer that is told to stop.
struct Observer {
    stop: Box<dyn Fn()>,
    _heard: Closure<dyn FnMut()>,
}

impl Drop for Observer {
    fn drop(&mut self) {
        (self.stop)();
    }
}

/// Watches everything that makes the picture change by itself: size, colours, pixels, printing.
fn watch(stage: &Stage, parts: Parts) -> Vec<Held> {
    let mut held: Vec<Held> = Vec::new();
    let place = parts.place.clone();
    stage.mount(parts);
    let heard = |act: fn(&Stage)| {
        let stage = stage.clone();
        Closure::<dyn FnMut()>::new(move || act(&stage))
    };
    let resized = heard(Stage::refresh);
    if let Ok(observer) = web_sys::ResizeObserver::new(resized.as_ref().unchecked_ref()) {
        observer.observe(&place);
        held.push(Box::new(Observer { stop: Box::new(move || observer.disconnect()), _heard: resized }));
    }
    let Some(window) = browser::window() else { return held };
    let recoloured = heard(Stage::recolour);
    if let (Ok(observer), Some(root)) = (
        web_sys::MutationObserver::new(recoloured.as_ref().unchecked_ref()),
        window.document().and_then(|document| document.document_element()),
    ) {
        let options = web_sys::MutationObserverInit::new();
        options.set_attribute_filter(&js_sys::Array::of1(&"data-theme".into()));
        let _ = observer.observe_with_options(&root, &options);
        held.push(Box::new(Observer { stop: Box::new(move || observer.disconnect()), _heard: recoloured }));
    }
    for query in ["(prefers-color-scheme: dark)", "(forced-colors: active)", "(min-resolution: 1.5dppx)", "(min-resolution: 2.5dppx)"] {
        if let Ok(Some(list)) = window.match_media(query) {
            let stage = stage.clone();
            held.push(Box::new(EventListener::new(&list, "change", move |_| stage.recolour())));
        }
    }
    for (event, printing) in [("beforeprint", true), ("afterprint", false)] {
        let stage = stage.clone();
        held.push(Box::new(EventListener::new(&window, event, move |_| stage.print(printing))));
    }
    {
        let stage = stage.clone();
        held.push(Box::new(EventListener::new(&window, "resize", move |_| stage.refresh())));
    }
    held
}
