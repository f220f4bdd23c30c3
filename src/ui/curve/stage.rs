//! What happens between two renders: pointers, keys, tiles that arrive, and one painting in each frame. Nothing of it goes
//! through the component's state, so that a pan costs a painting and no more.

use super::paint::{self, Axes, PLAIN, Palette, Scene, Shown, css};
use super::{CurvesProps, words};
use crate::calc::decimal;
use crate::calc::window::hand::{Asked, Hand};
use crate::calc::window::{self, Clock, REACH_PX, Span, Tile, View};
use crate::text::{Arg, Msg, Style, say};
use crate::ui::browser;
use crate::ui::words as page_words;
use crate::units::{count_to_f64, within};
use gloo::timers::callback::Timeout;
use std::cell::RefCell;
use std::rc::{Rc, Weak};
use wasm_bindgen::prelude::*;
use web_sys::{CanvasRenderingContext2d, Element, HtmlCanvasElement, HtmlElement};
use yew::Callback;

/// An answer that has not come after so long is asked for again, ms.
const PATIENCE_MS: f64 = 3000.0;
/// An edge that was moved waits so long for the run to follow, ms.
const FOLLOW_MS: u32 = 4000;
/// A mouse grabs an edge in the frame so near, px; fingers grab it by its handle.
const MOUSE_REACH_PX: f64 = 6.0;

/// The elements of the picture.
#[derive(Clone)]
pub(super) struct Parts {
    pub(super) place: HtmlElement,
    pub(super) under: HtmlCanvasElement,
    pub(super) over: HtmlCanvasElement,
    /// Takes pointers and keys: the crosshair as a slider.
    pub(super) cross: HtmlElement,
    /// One slider in it for each edge.
    pub(super) edges: Element,
    /// The moment, and a row with a value for each curve.
    pub(super) moment: Element,
    pub(super) legend: Element,
    /// One element in it for each colour of [`Palette`], in its order.
    pub(super) tints: Element,
}

/// What is known of one curve's levels.
#[derive(Default)]
struct Known {
    hash: String,
    duration_s: f64,
    /// Everything, however coarse.
    whole: Option<Tile>,
    /// What was asked for last.
    near: Option<Tile>,
    /// When something was asked that has not been answered, ms.
    asked: Option<f64>,
    /// The answers are of another reading of the log.
    stale: bool,
}

impl Known {
    /// The best there is for some times of the log, s.
    fn best(&self, seen: Span) -> Option<&Tile> {
        let log = Span { from: 0.0, to: self.duration_s };
        let needed = seen.shared(log)?;
        self.near.as_ref().filter(|tile| tile.covers(needed)).or(self.whole.as_ref()).or(self.near.as_ref())
    }

    fn serves(&self, seen: Span, pixel_s: f64) -> bool {
        !self.stale && self.near.as_ref().is_some_and(|tile| window::serves(tile, seen, pixel_s, self.duration_s))
    }
}

struct Inner {
    props: CurvesProps,
    parts: Option<Parts>,
    /// The times shown; everything when nothing.
    time: Option<Span>,
    level: Span,
    /// The view of the last painting, px of the page.
    view: View,
    hand: Hand,
    /// The moment that is looked at, and the one under a mouse.
    cross: Option<f64>,
    hover: Option<f64>,
    /// The edge under a mouse.
    over_edge: Option<usize>,
    /// An edge on its way: its place, its moment in the selected run, s.
    held: Option<(usize, f64)>,
    known: Vec<Known>,
    palette: Option<Palette>,
    printing: bool,
    /// A painting is due.
    due: bool,
    /// What lies below the crosshair must be painted too.
    dirty: bool,
    follow: Option<Timeout>,
}

/// The picture between renders. Copies share it.
#[derive(Clone)]
pub(super) struct Stage(Rc<RefCell<Inner>>);

/// A question for the envelope: hash, times, columns.
type Question = (String, Span, usize);

/// Names and times of the selected run.
struct Selected {
    shift_s: f64,
    duration_s: f64,
    spans: Vec<Span>,
}

impl Inner {
    fn whole(&self) -> Span {
        let spans = self.props.curves.iter().map(|curve| Span { from: curve.shift_s, to: curve.shift_s + curve.duration_s });
        let all = spans.reduce(|one, other| Span { from: one.from.min(other.from), to: one.to.max(other.to) });
        all.filter(|all| all.length() > 0.0).unwrap_or(Span { from: 0.0, to: 1.0 })
    }

    fn selected(&self) -> Option<Selected> {
        let curve = self.props.curves.iter().find(|curve| curve.hash == self.props.selected)?;
        let spans: Vec<Span> = self.props.stretches.iter().map(|stretch| Span { from: stretch.from_s, to: stretch.to_s }).collect();
        let spans = match self.held {
            Some((place, time)) => window::with_edge(&spans, place, time),
            None => spans,
        };
        Some(Selected { shift_s: curve.shift_s, duration_s: curve.duration_s, spans })
    }

    /// The edges in the time of the view.
    fn edges(&self) -> Vec<f64> {
        let Some(selected) = self.selected() else { return Vec::new() };
        window::edges(&selected.spans).iter().map(|at| at + selected.shift_s).collect()
    }

    /// As far as an edge can be moved, in the time of its run.
    fn limits(&self, place: usize) -> Option<Span> {
        let spans: Vec<Span> = self.props.stretches.iter().map(|stretch| Span { from: stretch.from_s, to: stretch.to_s }).collect();
        window::edge_limits(&spans, place, self.selected()?.duration_s)
    }

    fn show(&mut self, time: Span) {
        let whole = self.whole();
        self.time = (time.length() < whole.length() * (1.0 - 1e-9)).then_some(time);
        self.dirty = true;
    }

    fn time(&self) -> Span {
        let whole = self.whole();
        self.time.map_or(whole, |time| time.kept_in(whole))
    }

    /// The moment to speak of.
    fn looked_at(&self) -> Option<f64> {
        self.hover.or(self.cross)
    }

    /// What is missing for a view with pixels of this length, s.
    fn questions(&mut self, view: &View, pixel_s: f64) -> Vec<Question> {
        let mut questions = Vec::new();
        let now = js_sys::Date::now();
        let curves = self.props.curves.clone();
        for curve in curves.iter() {
            let Some(known) = self.known.iter_mut().find(|known| curve.hash == known.hash.as_str()) else { continue };
            let seen = Span { from: view.time.from - curve.shift_s, to: view.time.to - curve.shift_s };
            if known.serves(seen, pixel_s) || known.asked.is_some_and(|asked| now - asked < PATIENCE_MS) {
                continue;
            }
            if let Some((span, columns)) = window::wanted(seen, pixel_s, known.duration_s) {
                known.asked = Some(now);
                known.stale = false;
                questions.push((known.hash.clone(), span, columns));
            }
        }
        questions
    }

    /// The lowest and highest level of what is shown.
    fn extent(&self, time: Span) -> Option<(f64, f64)> {
        let each = self.props.curves.iter().filter_map(|curve| {
            let known = self.known.iter().find(|known| curve.hash == known.hash.as_str())?;
            let seen = Span { from: time.from - curve.shift_s, to: time.to - curve.shift_s };
            known.best(seen)?.extent(seen)
        });
        each.reduce(|one, other| (one.0.min(other.0), one.1.max(other.1)))
    }

    /// The picture in device pixels: so many times as large, its corner elsewhere.
    fn scene<'a>(&self, view: &View, width: f64, scale: f64, corner: (f64, f64), palette: &'a Palette) -> Scene<'a> {
        let axes = Axes::of(view, self.whole());
        let view = view.scaled(scale, corner);
        let mut curves: Vec<Shown> = Vec::new();
        let mut lead: Option<Shown> = None;
        for curve in self.props.curves.iter() {
            let Some(known) = self.known.iter().find(|known| curve.hash == known.hash.as_str()) else { continue };
            let seen = Span { from: view.time.from - curve.shift_s, to: view.time.to - curve.shift_s };
            let runs = known.best(seen).map(|tile| tile.runs(&view, curve.shift_s)).unwrap_or_default();
            let is_lead = curve.hash == self.props.selected;
            let shown = Shown { name: curve.name.to_string(), look: curve.look, lead: is_lead, runs };
            if is_lead { lead = Some(shown) } else { curves.push(shown) }
        }
        curves.extend(lead);
        let stretches = self.selected().map_or_else(Vec::new, |selected| {
            let spans = selected.spans.iter().map(|span| Span { from: span.from + selected.shift_s, to: span.to + selected.shift_s });
            spans.zip(self.props.stretches.iter()).map(|(span, stretch)| (span, stretch.name.to_string())).collect()
        });
        let text = |msg: Msg| self.props.style.language.text(msg);
        let time_unit = match axes.clock {
            Clock::MinutesSeconds => text(words::CURVE_IN_MINUTES),
            Clock::HoursMinutes => text(words::CURVE_IN_HOURS),
            Clock::HoursMinutesSeconds => text(words::CURVE_IN_HOURS_SECONDS),
        };
        let right = corner.0 + width * scale;
        Scene { view, scale, right, palette, curves, stretches, axes, unit: self.props.quantity.symbol(), time_unit }
    }

    fn names(&self) -> Vec<&str> {
        self.props.curves.iter().map(|curve| curve.name.as_str()).collect()
    }

    /// The level of a curve at a moment of the view, as words.
    fn level_at(&self, curve: &super::Curve, time: f64) -> Arg {
        let at = time - curve.shift_s;
        let known = self.known.iter().find(|known| curve.hash == known.hash.as_str());
        let found = known.and_then(|known| known.best(Span { from: at, to: at + 1e-3 })?.at(at));
        let quantity = self.props.quantity;
        match found {
            None => words::CURVE_NO_LEVEL.into(),
            Some((low, high)) if high - low < 0.05 => Arg::Number(quantity, high),
            Some((low, high)) => {
                // The unit once: the lower one bare.
                let bare = crate::calc::number::copyable(low, quantity, self.props.style);
                say(words::CURVE_LEVELS).typed("low", bare).with("high", Arg::Number(quantity, high)).into()
            }
        }
    }
}

/// A moment in words: 2 min 05 s.
pub(super) fn moment(time: f64, style: Style) -> String {
    let shown = crate::calc::moment::show(time.abs()).replace('.', &style.decimal.to_string());
    let parts: Vec<&str> = shown.split(':').collect();
    let said = match *parts.as_slice() {
        ["0", seconds] => {
            say(words::CURVE_SECONDS).typed("seconds", seconds.strip_prefix('0').filter(|rest| !rest.is_empty()).unwrap_or(seconds))
        }
        [minutes, seconds] => say(words::CURVE_MINUTES).typed("minutes", minutes).typed("seconds", seconds),
        [hours, minutes, seconds] => say(words::CURVE_HOURS).typed("hours", hours).typed("minutes", minutes).typed("seconds", seconds),
        _ => say(words::CURVE_SECONDS).typed("seconds", shown.clone()),
    };
    if time < -0.05 { say(words::CURVE_BEFORE_ZERO).with("moment", said).text(style) } else { said.text(style) }
}

impl Stage {
    pub(super) fn new(props: CurvesProps) -> Self {
        let view = View {
            time: Span { from: 0.0, to: 1.0 },
            level: Span { from: 30.0, to: 60.0 },
            frame: window::Frame { left: 0.0, top: 0.0, right: 1.0, bottom: 1.0 },
        };
        Self(Rc::new(RefCell::new(Inner {
            props,
            parts: None,
            time: None,
            level: view.level,
            view,
            hand: Hand::default(),
            cross: None,
            hover: None,
            over_edge: None,
            held: None,
            known: Vec::new(),
            palette: None,
            printing: false,
            due: false,
            dirty: true,
            follow: None,
        })))
    }

    /// What only a handle to it without a share in it can reach.
    fn weak(&self) -> Weak<RefCell<Inner>> {
        Rc::downgrade(&self.0)
    }

    /// Takes the elements after the first render.
    pub(super) fn mount(&self, parts: Parts) {
        self.0.borrow_mut().parts = Some(parts);
        self.refresh();
    }

    /// Lets the elements go.
    pub(super) fn leave(&self) {
        self.0.borrow_mut().parts = None;
    }

    /// Takes what the page wants shown.
    pub(super) fn update(&self, props: &CurvesProps) {
        {
            let mut inner = self.0.borrow_mut();
            if inner.props.stretches != props.stretches || inner.props.selected != props.selected {
                // The run has followed, or another one is shown.
                if inner.hand.edge().is_none() {
                    inner.held = None;
                    inner.follow = None;
                }
            }
            let renewed = inner.props.envelope != props.envelope;
            let mut before = std::mem::take(&mut inner.known);
            inner.known = props
                .curves
                .iter()
                .map(|curve| {
                    let place = before.iter().position(|known| curve.hash == known.hash.as_str());
                    let mut known = place.map(|place| before.swap_remove(place)).unwrap_or_default();
                    known.stale |= renewed || (known.duration_s - curve.duration_s).abs() > 1e-9;
                    if renewed {
                        known.asked = None;
                    }
                    known.hash = curve.hash.to_string();
                    known.duration_s = curve.duration_s;
                    known
                })
                .collect();
            inner.props = props.clone();
        }
        self.refresh();
    }

    /// Paints everything with the next frame.
    pub(super) fn refresh(&self) {
        self.0.borrow_mut().dirty = true;
        self.frame();
    }

    /// Reads the colours again and paints everything.
    pub(super) fn recolour(&self) {
        self.0.borrow_mut().palette = None;
        self.refresh();
    }

    /// Paints with the next frame.
    fn frame(&self) {
        let mut inner = self.0.borrow_mut();
        if inner.due || inner.parts.is_none() {
            return;
        }
        let Some(window) = browser::window() else { return };
        let weak = self.weak();
        let paint = Closure::once_into_js(move || {
            if let Some(shared) = weak.upgrade() {
                Self(shared).paint();
            }
        });
        inner.due = window.request_animation_frame(paint.unchecked_ref()).is_ok();
    }

    /// On paper: light colours, no crosshair, at once. Afterwards as before.
    pub(super) fn print(&self, printing: bool) {
        self.0.borrow_mut().printing = printing;
        self.0.borrow_mut().dirty = true;
        self.paint();
    }

    fn paint(&self) {
        let questions = {
            let mut inner = self.0.borrow_mut();
            inner.due = false;
            inner.paint()
        };
        // Answers may come at once.
        let envelope = self.0.borrow().props.envelope.clone();
        for (hash, span, columns) in questions {
            let weak = self.weak();
            let answered = {
                let hash = hash.clone();
                Callback::from(move |pairs: Rc<Vec<f32>>| {
                    if let Some(shared) = weak.upgrade() {
                        Self(shared).take(&hash, Tile { span, pairs });
                    }
                })
            };
            envelope.0(&hash, span.from, span.to, columns, answered);
        }
    }

    /// Takes an answer.
    fn take(&self, hash: &str, tile: Tile) {
        {
            let mut inner = self.0.borrow_mut();
            let Some(known) = inner.known.iter_mut().find(|known| known.hash == hash) else { return };
            known.asked = None;
            if tile.covers(Span { from: 0.0, to: known.duration_s }) {
                known.whole = Some(tile.clone());
            }
            known.near = Some(tile);
        }
        self.refresh();
    }

    // ---- pointers ----

    /// A pointer comes down. Whether it is taken.
    pub(super) fn down(&self, event: &web_sys::PointerEvent) {
        {
            let mut inner = self.0.borrow_mut();
            let Some(parts) = inner.parts.clone() else { return };
            if event.button() > 0 {
                return;
            }
            let mouse = event.pointer_type() == "mouse";
            let (x, y) = (f64::from(event.offset_x()), f64::from(event.offset_y()));
            let edge = inner.edge_at(x, y, mouse).and_then(|place| Some((place, *inner.edges().get(place)?)));
            let _ = parts.cross.set_pointer_capture(event.pointer_id());
            let view = inner.view;
            inner.hand.down(event.pointer_id(), x, &view, edge);
            inner.hover = None;
        }
        self.frame();
    }

    pub(super) fn moved(&self, event: &web_sys::PointerEvent) {
        let x = f64::from(event.offset_x());
        let asked = {
            let mut inner = self.0.borrow_mut();
            if inner.hand.is_busy() {
                let (view, whole) = (inner.view, inner.whole());
                inner.hand.moved(event.pointer_id(), x, &view, whole)
            } else if event.pointer_type() == "mouse" {
                inner.over_edge = inner.edge_at(x, f64::from(event.offset_y()), true);
                let time = inner.view.time_at(x);
                inner.hover = inner.view.time.holds(time).then(|| window::rounded(time, inner.view.seconds_per_pixel()));
                Asked::Nothing
            } else {
                return;
            }
        };
        self.obey(asked);
    }

    pub(super) fn up(&self, event: &web_sys::PointerEvent) {
        let asked = {
            let mut inner = self.0.borrow_mut();
            let view = inner.view;
            inner.hand.up(event.pointer_id(), f64::from(event.offset_x()), &view)
        };
        self.obey(asked);
    }

    pub(super) fn cancelled(&self) {
        let asked = self.0.borrow_mut().hand.cancel();
        self.obey(asked);
    }

    pub(super) fn left(&self) {
        let mut inner = self.0.borrow_mut();
        (inner.hover, inner.over_edge) = (None, None);
        drop(inner);
        self.frame();
    }

    fn obey(&self, asked: Asked) {
        let mut moved = None;
        {
            let mut inner = self.0.borrow_mut();
            match asked {
                Asked::Nothing => {}
                Asked::Show(time) => inner.show(time),
                Asked::Look(time) => {
                    let time = window::rounded(time, inner.view.seconds_per_pixel());
                    inner.look(time);
                }
                Asked::Edge(place, time) => inner.hold(place, time),
                Asked::Drop(place, time) => {
                    inner.hold(place, time);
                    moved = inner.held.filter(|(held, _)| *held == place);
                }
                Asked::Back => {
                    inner.held = None;
                    inner.dirty = true;
                }
            }
            // A scale that waits for the finger to be lifted.
            inner.dirty |= !inner.hand.is_busy() && asked != Asked::Nothing;
        }
        if let Some((place, time)) = moved {
            self.tell_edge(place, time, true);
        }
        self.frame();
    }

    /// Says where an edge is now, and keeps it there until the run follows.
    fn tell_edge(&self, place: usize, time: f64, focus: bool) {
        let on_move = {
            let mut inner = self.0.borrow_mut();
            let weak = self.weak();
            inner.follow = Some(Timeout::new(FOLLOW_MS, move || {
                if let Some(shared) = weak.upgrade() {
                    shared.borrow_mut().held = None;
                    Self(shared).refresh();
                }
            }));
            if focus && let Some(edge) = inner.edge_element(place) {
                let _ = edge.focus();
            }
            inner.props.on_move.clone()
        };
        on_move.emit((place, time));
    }

    pub(super) fn wheel(&self, event: &web_sys::WheelEvent) {
        {
            let mut inner = self.0.borrow_mut();
            let Some(parts) = inner.parts.clone() else { return };
            let held = event.ctrl_key() || event.meta_key();
            // A page that scrolls under the pointer must not be caught.
            if !held && !parts.place.matches(":focus-within").unwrap_or(false) {
                return;
            }
            let (view, whole) = (inner.view, inner.whole());
            let unit = if event.delta_mode() == web_sys::WheelEvent::DOM_DELTA_PIXEL { 1.0 } else { 30.0 };
            let (across, down) = (event.delta_x() * unit, event.delta_y() * unit);
            let next = if across.abs() > down.abs() {
                view.time.moved(across * view.seconds_per_pixel(), whole)
            } else {
                let times = (within(down, -240.0, 240.0) * if held { 0.01 } else { 0.002 }).exp();
                view.time.zoomed(view.time_at(f64::from(event.offset_x())), times, whole)
            };
            if next == view.time {
                return;
            }
            event.prevent_default();
            inner.show(next);
            inner.view.time = next;
        }
        self.frame();
    }

    // ---- keys and buttons ----

    /// Zooms by a button or a key: around the moment looked at, or the middle.
    pub(super) fn zoom(&self, times: f64) {
        self.change(|inner, time, whole| {
            let at = inner.cross.filter(|cross| time.holds(*cross)).unwrap_or(f64::midpoint(time.from, time.to));
            inner.show(time.zoomed(at, times, whole));
        });
    }

    /// Moves by a share of what is shown.
    pub(super) fn pan(&self, share: f64) {
        self.change(|inner, time, whole| inner.show(time.moved(time.length() * share, whole)));
    }

    /// Shows everything.
    pub(super) fn reset(&self) {
        self.change(|inner, _, whole| {
            inner.show(whole);
            (inner.cross, inner.hover) = (None, None);
        });
    }

    /// Changes what is shown, and says so.
    fn change(&self, change: impl FnOnce(&mut Inner, Span, Span)) {
        let (tell, said) = {
            let mut inner = self.0.borrow_mut();
            let (time, whole) = (inner.time(), inner.whole());
            change(&mut inner, time, whole);
            let (now, style) = (inner.time(), inner.props.style);
            let said = say(words::CURVE_SHOWN).typed("from", moment(now.from, style)).typed("to", moment(now.to, style));
            (inner.props.tell.clone(), said.text(style))
        };
        // Spoken only: who sees the picture sees it move.
        tell.emit(format!("\u{200b}{said}"));
        self.frame();
    }

    /// A key on the picture.
    pub(super) fn key(&self, event: &web_sys::KeyboardEvent) {
        if event.ctrl_key() || event.meta_key() || event.alt_key() {
            return;
        }
        let large = if event.shift_key() { 10.0 } else { 1.0 };
        let step = {
            let inner = self.0.borrow();
            window::time_step(inner.time().length(), 100) * large
        };
        match event.key().as_str() {
            "ArrowRight" | "ArrowUp" => self.step(step),
            "ArrowLeft" | "ArrowDown" => self.step(-step),
            "Home" => self.step(f64::NEG_INFINITY),
            "End" => self.step(f64::INFINITY),
            "PageDown" => self.pan(0.8),
            "PageUp" => self.pan(-0.8),
            "+" | "=" => self.zoom(0.5),
            "-" => self.zoom(2.0),
            "0" => self.zoom(1e9),
            "Escape" if self.0.borrow().hand.is_busy() => self.cancelled(),
            "Escape" => self.reset(),
            _ => return,
        }
        event.prevent_default();
    }

    /// Moves the crosshair, or sets it in the middle.
    fn step(&self, by: f64) {
        {
            let mut inner = self.0.borrow_mut();
            let (time, whole) = (inner.time(), inner.whole());
            let at = match inner.cross {
                Some(cross) if by.is_finite() => window::rounded(cross + by, by.abs()),
                _ if by == f64::NEG_INFINITY => time.from,
                _ if by == f64::INFINITY => time.to,
                _ => window::rounded(f64::midpoint(time.from, time.to), by.abs()),
            };
            let at = within(at, whole.from, whole.to);
            inner.hover = None;
            inner.look(at);
            if !time.holds(at) {
                inner.show(time.showing(at, whole));
            }
        }
        self.frame();
    }

    /// A key on the edge with this place.
    pub(super) fn edge_key(&self, place: usize, event: &web_sys::KeyboardEvent) {
        if event.ctrl_key() || event.meta_key() || event.alt_key() {
            return;
        }
        let step = if event.shift_key() { 10.0 } else { 1.0 };
        let moved = {
            let mut inner = self.0.borrow_mut();
            let Some((selected, limits)) = inner.selected().zip(inner.limits(place)) else { return };
            let Some(now) = window::edges(&selected.spans).get(place).copied() else { return };
            let to = match event.key().as_str() {
                "ArrowRight" | "ArrowUp" => now + step,
                "ArrowLeft" | "ArrowDown" => now - step,
                "PageUp" => now + 10.0,
                "PageDown" => now - 10.0,
                "Home" => limits.from,
                "End" => limits.to,
                _ => return,
            };
            let to = within(to, limits.from, limits.to);
            inner.held = Some((place, to));
            let (time, whole) = (inner.time(), inner.whole());
            if !time.holds(to + selected.shift_s) {
                inner.show(time.showing(to + selected.shift_s, whole));
            }
            inner.dirty = true;
            ((to - now).abs() > 1e-9).then_some(to)
        };
        event.prevent_default();
        event.stop_propagation();
        if let Some(to) = moved {
            self.tell_edge(place, to, false);
        }
        self.frame();
    }

    /// Hands the picture over as a PNG.
    pub(super) fn save(&self) {
        let inner = self.0.borrow();
        if inner.save().is_none() {
            inner.props.tell.emit(inner.props.style.language.text(page_words::SAVE_FAILED).to_owned());
        }
    }
}

impl Inner {
    fn edge_at(&self, x: f64, y: f64, mouse: bool) -> Option<usize> {
        let frame = self.view.frame;
        let reach = if y < frame.top {
            REACH_PX
        } else if mouse && y < frame.bottom {
            MOUSE_REACH_PX
        } else {
            return None;
        };
        // Those out of sight cannot be grabbed.
        let places: Vec<f64> =
            self.edges().iter().map(|at| if self.view.time.holds(*at) { self.view.x(*at) } else { f64::INFINITY }).collect();
        window::nearest(&places, x, reach)
    }

    fn edge_element(&self, place: usize) -> Option<HtmlElement> {
        let mut element = self.parts.as_ref()?.edges.first_element_child();
        for _ in 0..place {
            element = element?.next_element_sibling();
        }
        element?.dyn_into().ok()
    }

    fn look(&mut self, time: f64) {
        let whole = self.whole();
        self.cross = Some(within(time, whole.from, whole.to));
    }

    /// Moves an edge to a moment of the view, as far as its neighbours allow.
    fn hold(&mut self, place: usize, time: f64) {
        let Some((selected, limits)) = self.selected().zip(self.limits(place)) else { return };
        let time = window::rounded(time - selected.shift_s, self.view.seconds_per_pixel());
        self.held = Some((place, within(time, limits.from, limits.to)));
        self.dirty = true;
    }

    fn palette(&mut self) -> Palette {
        if self.printing {
            return PLAIN;
        }
        if let Some(palette) = self.palette {
            return palette;
        }
        let read = self.parts.as_ref().and_then(|parts| tints(&parts.tints));
        self.palette = read;
        read.unwrap_or(PLAIN)
    }

    /// Paints, and says what is missing.
    fn paint(&mut self) -> Vec<Question> {
        let Some(parts) = self.parts.clone() else { return Vec::new() };
        let size = (f64::from(parts.place.client_width()), f64::from(parts.place.client_height()));
        if size.0 < 2.0 || size.1 < 2.0 {
            return Vec::new();
        }
        let scale = browser::window().map_or(1.0, |window| within(window.device_pixel_ratio(), 1.0, 3.0));
        let Some((under, over)) = paint::context(&parts.under).zip(paint::context(&parts.over)) else { return Vec::new() };
        let resized = fit(&parts.under, size, scale);
        // Paper may be wider than the page was: what was painted is not stretched.
        set_style(&parts.under, "max-width", size.0);
        fit(&parts.over, size, scale);
        self.dirty |= resized;
        let frame = paint::frame(&under, size, &self.names(), self.props.quantity.symbol());
        let time = self.time();
        if !self.hand.is_busy() {
            let level = window::level_span(self.extent(time)).unwrap_or(self.level);
            self.dirty |= level != self.level;
            self.level = level;
        }
        self.view = View { time, level: self.level, frame };
        let view = self.view;
        let palette = self.palette();
        if self.dirty {
            self.dirty = false;
            under.clear_rect(0.0, 0.0, size.0 * scale, size.1 * scale);
            let scene = self.scene(&view, size.0, scale, (0.0, 0.0), &palette);
            let _ = paint::draw(&parts.under, &scene);
        }
        over.clear_rect(0.0, 0.0, size.0 * scale, size.1 * scale);
        if !self.printing {
            self.paint_over(&over, scale, &palette);
        }
        self.place_edges(&parts);
        self.write_values(&parts);
        self.questions(&view, view.seconds_per_pixel() / scale)
    }

    /// The crosshair with its values, and the edge that is held.
    fn paint_over(&self, over: &CanvasRenderingContext2d, scale: f64, palette: &Palette) {
        let view = self.view.scaled(scale, (0.0, 0.0));
        let frame = view.frame;
        paint::letters(over, scale, false);
        let upright = |x: f64, top: f64, width: f64, tint| {
            over.set_fill_style_str(&css(tint));
            over.fill_rect(x.round(), top, (width * scale).round().max(1.0), frame.bottom - top);
        };
        let label = |text: &str, x: f64, y: f64, tint: paint::Tint| {
            let half = paint::measure(over, text) / 2.0 + 5.0 * scale;
            let x = within(x, half, (frame.right + frame.left - half).max(half));
            over.set_fill_style_str(&css(tint));
            over.fill_rect(x - half, y - 11.0 * scale, half * 2.0, 22.0 * scale);
            paint::words(over, text, (x, y), "center", palette.ground);
        };
        let clock = Clock::of(1.0, self.whole().to);
        if let Some(time) = self.looked_at().filter(|time| view.time.holds(*time)) {
            let x = view.x(time);
            upright(x, frame.top, 1.0, palette.ink);
            for curve in self.props.curves.iter() {
                let at = time - curve.shift_s;
                let known = self.known.iter().find(|known| curve.hash == known.hash.as_str());
                let found = known.and_then(|known| known.best(Span { from: at, to: at + 1e-3 })?.at(at));
                let Some((low, high)) = found else { continue };
                let scene_tint = palette.of(curve.look);
                let (top, bottom) = (within(view.y(high), frame.top, frame.bottom), within(view.y(low), frame.top, frame.bottom));
                over.set_fill_style_str(&css(scene_tint));
                over.fill_rect(x - 1.5 * scale, top, 3.0 * scale, bottom - top);
                paint::marker(over, (x, f64::midpoint(top, bottom)), curve.look, scale, palette);
            }
            label(&clock.show(time), x, frame.bottom + 16.0 * scale, palette.ink);
        }
        let edge = self.hand.edge().or(self.over_edge);
        if let Some(time) = edge.and_then(|place| self.edges().get(place).copied()).filter(|time| view.time.holds(*time)) {
            let x = view.x(time);
            upright(x - scale, frame.top, 3.0, palette.act);
            if self.hand.edge().is_some() {
                let shift = self.selected().map_or(0.0, |selected| selected.shift_s);
                label(&clock.show(time - shift), x, frame.bottom + 16.0 * scale, palette.act);
            }
        }
    }

    /// Puts the sliders where their edges are, without a render.
    fn place_edges(&self, parts: &Parts) {
        let Some(selected) = self.selected() else { return };
        let names = &self.props.stretches;
        let name = |place: usize| names.get(place).map(|stretch| stretch.name.to_string()).unwrap_or_default();
        let style = self.props.style;
        let mut element = parts.edges.first_element_child();
        for (place, at) in window::edges(&selected.spans).into_iter().enumerate() {
            let Some(edge) = element.clone().and_then(|element| element.dyn_into::<HtmlElement>().ok()) else { break };
            element = edge.next_element_sibling();
            let time = at + selected.shift_s;
            edge.set_hidden(!self.view.time.holds(time));
            set_style(&edge, "left", self.view.x(time));
            let held = self.hand.edge() == Some(place);
            let _ = edge.toggle_attribute_with_force("data-held", held);
            let msg = match place {
                0 => words::CURVE_EDGE_FIRST,
                _ if place < names.len() => words::CURVE_EDGE_BETWEEN,
                _ => words::CURVE_EDGE_LAST,
            };
            let before = place.checked_sub(1).map(name).unwrap_or_default();
            let said = say(msg).typed("moment", moment(at, style)).typed("before", before).typed("name", name(place));
            set(&edge, "aria-valuetext", &said.text(style));
            let limits = self.limits(place).unwrap_or(Span { from: at, to: at });
            for (key, value) in [("aria-valuenow", at), ("aria-valuemin", limits.from), ("aria-valuemax", limits.to)] {
                set(&edge, key, &decimal::fixed(value, 1));
            }
        }
        let _ = parts.cross.toggle_attribute_with_force("data-on-edge", self.over_edge.is_some() || self.hand.edge().is_some());
    }

    /// The values at the moment looked at: beside the names, and in words for the slider.
    fn write_values(&self, parts: &Parts) {
        let style = self.props.style;
        let time = self.looked_at();
        let shown = time.map(|time| moment(time, style));
        let said = shown.as_ref().map(|moment| say(words::CURVE_AT).typed("moment", moment.clone()).text(style));
        put(&parts.moment, said.as_deref().unwrap_or_default());
        let mut row = parts.legend.first_element_child();
        let mut list = Vec::new();
        for curve in self.props.curves.iter() {
            let Some(element) = row else { break };
            row = element.next_element_sibling();
            let value = time.map(|time| self.level_at(curve, time));
            if let Some(slot) = element.last_element_child() {
                put(&slot, &value.as_ref().map(|value| value.text(style)).unwrap_or_default());
            }
            if let Some(value) = value {
                list.push(say(words::CURVE_ONE).typed("name", curve.name.to_string()).with("level", value).into());
            }
        }
        // The pointer alone says nothing aloud: only the moment that was picked.
        let spoken = match (self.cross, shown) {
            (Some(_), Some(shown)) => say(words::CURVE_SPOKEN).typed("moment", shown).with("list", Arg::List(list)).text(style),
            _ => style.language.text(words::CURVE_NO_MOMENT).to_owned(),
        };
        if self.hover.is_none() {
            set(&parts.cross, "aria-valuetext", &spoken);
        }
        let whole = self.whole();
        let now = self.cross.unwrap_or(f64::midpoint(whole.from, whole.to));
        for (key, value) in [("aria-valuenow", now), ("aria-valuemin", whole.from), ("aria-valuemax", whole.to)] {
            set(&parts.cross, key, &decimal::fixed(value, 1));
        }
    }

    /// The picture as a file: title, curves with phases, names in full, conditions; twice the size, light.
    fn save(&self) -> Option<()> {
        const WIDTH: f64 = 720.0;
        const HEIGHT: f64 = 400.0;
        const MARGIN: f64 = 24.0;
        const SCALE: f64 = 2.0;
        let canvas: HtmlCanvasElement = browser::window()?.document()?.create_element("canvas").ok()?.unchecked_into();
        let title = crate::ui::drawing::wrap(&self.props.title, 70);
        let conditions = crate::ui::drawing::wrap(&self.props.conditions, 88);
        let (top, rows) = (MARGIN + 24.0 * count_to_f64(title.len()) + 8.0, count_to_f64(self.props.curves.len().div_ceil(2)));
        let legend = top + HEIGHT + 20.0;
        let below = legend + rows * 24.0 + 8.0;
        let size = (WIDTH + 2.0 * MARGIN, below + 20.0 * count_to_f64(conditions.len()) + MARGIN / 2.0);
        fit(&canvas, size, SCALE);
        let context = paint::context(&canvas)?;
        let at = |x: f64, y: f64| (x * SCALE, y * SCALE);
        context.set_fill_style_str("#ffffff");
        context.fill_rect(0.0, 0.0, size.0 * SCALE, size.1 * SCALE);
        paint::letters(&context, SCALE * 1.3, true);
        for (place, line) in title.iter().enumerate() {
            paint::words(&context, line, at(MARGIN, MARGIN + 24.0 * count_to_f64(place)), "left", PLAIN.ink);
        }
        let frame = paint::frame(&context, (WIDTH, HEIGHT), &self.names(), self.props.quantity.symbol());
        let view = View { frame, ..self.view };
        let scene = self.scene(&view, WIDTH, SCALE, at(MARGIN, top), &PLAIN);
        paint::draw(&canvas, &scene)?;
        paint::letters(&context, SCALE, false);
        for (place, curve) in self.props.curves.iter().enumerate() {
            let x = if place % 2 == 0 { MARGIN } else { MARGIN + WIDTH / 2.0 };
            let y = legend + count_to_f64(place / 2) * 24.0;
            paint::sample(&canvas, curve.look, SCALE, at(x, y))?;
            let room = (WIDTH / 2.0 - 60.0) * SCALE;
            let name = window::fitted(&curve.name, room, &|text| paint::measure(&context, text));
            paint::words(&context, &name, at(x + 44.0, y), "left", PLAIN.ink);
        }
        for (place, line) in conditions.iter().enumerate() {
            paint::words(&context, line, at(MARGIN, below + 20.0 * count_to_f64(place)), "left", PLAIN.soft);
        }
        crate::ui::drawing::hand_over(&canvas, "lessdin-curves.png".to_owned());
        Some(())
    }
}

/// Gives a canvas its pixels. Whether that changed it, which also clears it.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a picture's size in pixels, positive and small")]
fn fit(canvas: &HtmlCanvasElement, size: (f64, f64), scale: f64) -> bool {
    let (width, height) = ((size.0 * scale).round() as u32, (size.1 * scale).round() as u32);
    if canvas.width() == width && canvas.height() == height {
        return false;
    }
    canvas.set_width(width);
    canvas.set_height(height);
    true
}

fn set(element: &Element, key: &str, value: &str) {
    if element.get_attribute(key).as_deref() != Some(value) {
        let _ = element.set_attribute(key, value);
    }
}

fn put(element: &Element, text: &str) {
    if element.text_content().as_deref() != Some(text) {
        element.set_text_content(Some(text));
    }
}

fn set_style(element: &HtmlElement, key: &str, pixels: f64) {
    let mut value = decimal::fixed(pixels, 1);
    value.push_str("px");
    let _ = element.style().set_property(key, &value);
}

/// The colours as the style sheet has them now, whatever they are written as.
fn tints(list: &Element) -> Option<Palette> {
    let window = browser::window()?;
    let mut element = list.first_element_child();
    let mut next = || {
        let found = element.take()?;
        element = found.next_element_sibling();
        let colour = window.get_computed_style(&found).ok()??.get_property_value("color").ok()?;
        tint(&colour)
    };
    Some(Palette {
        ground: next()?,
        ink: next()?,
        soft: next()?,
        line: next()?,
        wash: next()?,
        act: next()?,
        before: next()?,
        after: next()?,
        second: next()?,
    })
}

/// `rgb(138, 90, 0)`, as browsers write every colour.
fn tint(text: &str) -> Option<paint::Tint> {
    let inner = text.split_once('(')?.1;
    let mut numbers = inner.split([',', ' ', ')', '/']).filter_map(|part| part.parse::<u8>().ok());
    Some((numbers.next()?, numbers.next()?, numbers.next()?))
}
