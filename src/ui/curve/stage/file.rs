//! The picture as a file.

use super::super::paint::{self, PLAIN};
use super::{Inner, Stage, fit};
use crate::calc::window::{self, View};
use crate::ui::{browser, drawing, words};
use crate::units::count_to_f64;
use wasm_bindgen::JsCast;
use web_sys::HtmlCanvasElement;

impl Stage {
    /// Hands the picture over as a PNG.
    pub(in super::super) fn save(&self) {
        let inner = self.0.borrow();
        if inner.save().is_none() {
            inner.props.tell.emit(inner.props.style.language.text(words::SAVE_FAILED).to_owned());
        }
    }
}

impl Inner {
    /// The picture as a file: title, curves with phases, names in full, conditions; twice the size, light.
    fn save(&self) -> Option<()> {
        const WIDTH: f64 = 720.0;
        const HEIGHT: f64 = 400.0;
        const MARGIN: f64 = 24.0;
        const SCALE: f64 = 2.0;
        let canvas: HtmlCanvasElement = browser::window()?.document()?.create_element("canvas").ok()?.unchecked_into();
        let title = drawing::wrap(&self.props.title, 70);
        let conditions = drawing::wrap(&self.props.conditions, 88);
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
        drawing::hand_over(&canvas, "lessdin-curves.png".to_owned());
        Some(())
    }
}
