//! What is shown: the picture as values to paint, and the same in words.

use super::super::paint::{self, Axes, Palette, Scene, Shown, css};
use super::super::{Curve, words};
use super::{Inner, Parts, set_style};
use crate::calc::window::{self, Clock, Span, View};
use crate::calc::{decimal, moment, number};
use crate::text::{Arg, Msg, Style, say};
use crate::units::within;
use wasm_bindgen::JsCast;
use web_sys::{CanvasRenderingContext2d, Element, HtmlElement};

impl Inner {
    /// The picture in device pixels: so many times as large, its corner elsewhere.
    pub(super) fn scene<'a>(&self, view: &View, width: f64, scale: f64, corner: (f64, f64), palette: &'a Palette) -> Scene<'a> {
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
        Scene { view, scale, width, right, palette, curves, stretches, axes, unit: self.props.quantity.symbol(), time_unit }
    }

    pub(super) fn names(&self) -> Vec<&str> {
        self.props.curves.iter().map(|curve| curve.name.as_str()).collect()
    }

    /// The level of a curve at a moment of the view, as words.
    fn level_at(&self, curve: &Curve, time: f64) -> Arg {
        let at = time - curve.shift_s;
        let known = self.known.iter().find(|known| curve.hash == known.hash.as_str());
        let found = known.and_then(|known| known.best(Span { from: at, to: at + 1e-3 })?.at(at));
        let quantity = self.props.quantity;
        match found {
            None => words::CURVE_NO_LEVEL.into(),
            Some((low, high)) if high - low < 0.05 => Arg::Number(quantity, high),
            Some((low, high)) => {
                // The unit once: the lower one bare.
                let bare = number::copyable(low, quantity, self.props.style);
                say(words::CURVE_LEVELS).typed("low", bare).with("high", Arg::Number(quantity, high)).into()
            }
        }
    }

    /// The crosshair with its values, and the edge that is held.
    pub(super) fn paint_over(&self, over: &CanvasRenderingContext2d, scale: f64, palette: &Palette) {
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
    pub(super) fn place_edges(&self, parts: &Parts) {
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
            let said = say(msg).typed("moment", in_words(at, style)).typed("before", before).typed("name", name(place));
            set(&edge, "aria-valuetext", &said.text(style));
            let limits = self.limits(place).unwrap_or(Span { from: at, to: at });
            for (key, value) in [("aria-valuenow", at), ("aria-valuemin", limits.from), ("aria-valuemax", limits.to)] {
                set(&edge, key, &decimal::fixed(value, 1));
            }
        }
        let _ = parts.cross.toggle_attribute_with_force("data-on-edge", self.over_edge.is_some() || self.hand.edge().is_some());
    }

    /// The values at the moment looked at: beside the names, and in words for the slider.
    pub(super) fn write_values(&self, parts: &Parts) {
        let style = self.props.style;
        let time = self.looked_at();
        let shown = time.map(|time| in_words(time, style));
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
}

/// A moment in words: 2 min 05 s.
pub(super) fn in_words(time: f64, style: Style) -> String {
    let shown = moment::show(time.abs()).replace('.', &style.decimal.to_string());
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
