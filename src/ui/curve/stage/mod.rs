//! What happens between two renders: pointers, keys, tiles that arrive, and one painting in each frame. Nothing of it goes
//! through the component's state, so that a pan costs a painting and no more.

mod file;
mod hands;
mod shown;

use super::CurvesProps;
use super::paint::{self, PLAIN, Palette};
use crate::calc::decimal;
use crate::calc::window::hand::Hand;
use crate::calc::window::{self, Span, Tile, View};
use crate::ui::browser;
use crate::units::within;
use gloo::timers::callback::Timeout;
use std::cell::RefCell;
use std::rc::{Rc, Weak};
use wasm_bindgen::prelude::*;
use web_sys::{Element, HtmlCanvasElement, HtmlElement};
use yew::Callback;

/// An answer that has not come after so long is asked for again, ms.
const PATIENCE_MS: f64 = 3000.0;
/// An edge that was moved waits so long for the run to follow, ms.
const FOLLOW_MS: u32 = 4000;

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

    /// The stretches of the selected run as they were given, in its own time.
    fn spans(&self) -> Vec<Span> {
        self.props.stretches.iter().map(|stretch| Span { from: stretch.from_s, to: stretch.to_s }).collect()
    }

    fn selected(&self) -> Option<Selected> {
        let curve = self.props.curves.iter().find(|curve| curve.hash == self.props.selected)?;
        let spans = self.spans();
        let spans = match self.held {
            Some((place, time)) => window::with_edge(&spans, place, time),
            None => spans,
        };
        Some(Selected { shift_s: curve.shift_s, duration_s: curve.duration_s, spans })
    }

    /// An edge that has another place among the new stretches keeps its focus: a first or last one that was moved inwards
    /// leaves a stretch of its own behind.
    fn keep_focus(&self, next: &CurvesProps) {
        let Some((place, time)) = self.held else { return };
        let edges = next.stretches.iter().map(|stretch| stretch.from_s).chain(next.stretches.last().map(|last| last.to_s));
        let Some(now) = edges.into_iter().position(|at| (at - time).abs() < 0.05).filter(|now| *now != place) else { return };
        let focused = |place: usize| self.edge_element(place).filter(|edge| edge.matches(":focus").unwrap_or(false));
        if let (Some(_), Some(edge)) = (focused(place), self.edge_element(now)) {
            let _ = edge.focus();
        }
    }

    /// The edges in the time of the view.
    fn edges(&self) -> Vec<f64> {
        let Some(selected) = self.selected() else { return Vec::new() };
        window::edges(&selected.spans).iter().map(|at| at + selected.shift_s).collect()
    }

    /// As far as an edge can be moved, in the time of its run.
    fn limits(&self, place: usize) -> Option<Span> {
        let spans = self.spans();
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
                    if inner.props.selected == props.selected {
                        inner.keep_focus(props);
                    }
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
                        (known.asked, known.whole) = (None, None);
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
}

impl Inner {
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
        // A column for each pixel of the page: finer ones take longer to draw than they are worth.
        self.questions(&view, view.seconds_per_pixel())
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
