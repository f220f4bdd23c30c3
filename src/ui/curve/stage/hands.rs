//! What pointers and keys do.

use super::super::words;
use super::shown::in_words;
use super::{FOLLOW_MS, Inner, Stage};
use crate::calc::window::hand::Asked;
use crate::calc::window::{self, REACH_PX, Span};
use crate::text::say;
use crate::units::within;
use gloo::timers::callback::Timeout;
use wasm_bindgen::JsCast;
use web_sys::HtmlElement;

/// A mouse grabs an edge in the frame so near, px; fingers grab it by its handle.
const MOUSE_REACH_PX: f64 = 6.0;

impl Stage {
    /// A pointer comes down. Whether it is taken.
    pub(in super::super) fn down(&self, event: &web_sys::PointerEvent) {
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

    pub(in super::super) fn moved(&self, event: &web_sys::PointerEvent) {
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

    pub(in super::super) fn up(&self, event: &web_sys::PointerEvent) {
        let asked = {
            let mut inner = self.0.borrow_mut();
            let view = inner.view;
            inner.hand.up(event.pointer_id(), f64::from(event.offset_x()), &view)
        };
        self.obey(asked);
    }

    pub(in super::super) fn cancelled(&self) {
        let asked = self.0.borrow_mut().hand.cancel();
        self.obey(asked);
    }

    pub(in super::super) fn left(&self) {
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

    pub(in super::super) fn wheel(&self, event: &web_sys::WheelEvent) {
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
    /// Zooms by a button or a key: around the moment looked at, or the middle.
    pub(in super::super) fn zoom(&self, times: f64) {
        self.change(|inner, time, whole| {
            let at = inner.cross.filter(|cross| time.holds(*cross)).unwrap_or(f64::midpoint(time.from, time.to));
            inner.show(time.zoomed(at, times, whole));
        });
    }

    /// Moves by a share of what is shown.
    pub(in super::super) fn pan(&self, share: f64) {
        self.change(|inner, time, whole| inner.show(time.moved(time.length() * share, whole)));
    }

    /// Shows everything.
    pub(in super::super) fn reset(&self) {
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
            let said = say(words::CURVE_SHOWN).typed("from", in_words(now.from, style)).typed("to", in_words(now.to, style));
            (inner.props.tell.clone(), said.text(style))
        };
        // Spoken only: who sees the picture sees it move.
        tell.emit(format!("\u{200b}{said}"));
        self.frame();
    }

    /// A key on the picture.
    pub(in super::super) fn key(&self, event: &web_sys::KeyboardEvent) {
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
    pub(in super::super) fn edge_key(&self, place: usize, event: &web_sys::KeyboardEvent) {
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

    pub(super) fn edge_element(&self, place: usize) -> Option<HtmlElement> {
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
}
