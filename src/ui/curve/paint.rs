//! Draws curves on a canvas: areas and lines by plotters, in device pixels, cut at the frame beforehand; words and dashes by the
//! canvas itself, because plotters puts an element into the page for every word it measures.

use crate::calc::window::{Clock, Frame, Run, Span, View, clip, fitted, folded, level_step, rowed, spread, ticks, time_step};
use crate::calc::{decimal, window};
use crate::sheets::runs::Set;
use crate::units::count_to_f64;
use plotters::prelude::*;
use plotters_canvas::CanvasBackend;
use wasm_bindgen::prelude::*;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement};

/// A colour: red, green, blue.
pub(super) type Tint = (u8, u8, u8);

/// The colours of a picture.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct Palette {
    pub(super) ground: Tint,
    pub(super) ink: Tint,
    pub(super) soft: Tint,
    pub(super) line: Tint,
    pub(super) wash: Tint,
    pub(super) act: Tint,
    pub(super) before: Tint,
    pub(super) after: Tint,
    pub(super) second: Tint,
}

/// The light colours of the style sheet, on white: for paper and files.
pub(super) const PLAIN: Palette = Palette {
    ground: (255, 255, 255),
    ink: (0x1D, 0x23, 0x26),
    soft: (0x56, 0x5F, 0x63),
    line: (0xD9, 0xD5, 0xCA),
    wash: (0xF3, 0xF1, 0xEA),
    act: (0x0B, 0x5C, 0x6B),
    before: (0x8A, 0x5A, 0x00),
    after: (0x3B, 0x2F, 0x8F),
    second: (0x0B, 0x5C, 0x6B),
};

impl Palette {
    pub(super) fn of(&self, look: Set) -> Tint {
        match look {
            // The same machine as before: dots and another marker tell them apart.
            Set::Before | Set::Again => self.before,
            Set::After => self.after,
            Set::Second => self.second,
        }
    }
}

/// A colour as the canvas takes it.
pub(super) fn css((red, green, blue): Tint) -> String {
    format!("rgb({red},{green},{blue})")
}

/// The height of letters, px.
pub(super) const LETTERS: f64 = 14.0;
/// The strip above the frame, px: two rows of names of phases, and the handles of their edges.
pub(super) const STRIP: f64 = 60.0;
/// Where lines of edges begin, px above the frame: behind their handles.
const HANDLE: f64 = 22.0;
/// From the frame to the name of a curve, px: a line to it, and its marker.
const BEFORE_NAME: f64 = 22.0;
/// More curves than this are drawn thin, but for the leading one.
const MANY: usize = 4;
/// From one marker to the next, px.
const MARKERS_APART: f64 = 120.0;

/// A curve as it is shown.
pub(super) struct Shown {
    pub(super) name: String,
    pub(super) look: Set,
    /// Drawn last and thicker.
    pub(super) lead: bool,
    pub(super) runs: Vec<Run>,
}

/// A picture in device pixels.
pub(super) struct Scene<'a> {
    pub(super) view: View,
    /// Device pixels to one of the page.
    pub(super) scale: f64,
    /// How wide the picture is, px of the page.
    pub(super) width: f64,
    /// Where the names at the right must end.
    pub(super) right: f64,
    pub(super) palette: &'a Palette,
    /// Back to front.
    pub(super) curves: Vec<Shown>,
    /// Phases, in the time of the view.
    pub(super) stretches: Vec<(Span, String)>,
    pub(super) axes: Axes,
    /// The unit of levels.
    pub(super) unit: &'static str,
    /// The unit of times.
    pub(super) time_unit: &'static str,
}

/// Steps and writing of the axes.
#[derive(Clone, Copy)]
pub(super) struct Axes {
    pub(super) time_step: f64,
    pub(super) clock: Clock,
    pub(super) level_step: f64,
}

impl Axes {
    /// For a view in pixels of the page.
    pub(super) fn of(view: &View, whole: Span) -> Self {
        let count = |length: f64, each: f64| (1..12).rev().find(|count| count_to_f64(*count) * each <= length).unwrap_or(1);
        let Frame { left, top, right, bottom } = view.frame;
        let time_step = time_step(view.time.length(), count(right - left, 64.0));
        Self {
            time_step,
            clock: Clock::of(time_step, whole.to.abs().max(whole.from.abs())),
            level_step: level_step(view.level.length(), count(bottom - top, 40.0)),
        }
    }
}

/// The canvas's own means.
pub(super) fn context(canvas: &HtmlCanvasElement) -> Option<CanvasRenderingContext2d> {
    canvas.get_context("2d").ok().flatten().map(JsCast::unchecked_into)
}

/// Letters of the page, so many times as large.
pub(super) fn letters(context: &CanvasRenderingContext2d, scale: f64, bold: bool) {
    let size = decimal::fixed(LETTERS * scale, 1);
    context.set_font(&format!("{}{size}px system-ui, sans-serif", if bold { "600 " } else { "" }));
}

/// How wide a text is, px.
pub(super) fn measure(context: &CanvasRenderingContext2d, text: &str) -> f64 {
    context.measure_text(text).map_or(0.0, |metrics| metrics.width())
}

/// A picture narrower than this has no room for the names of more than two curves beside them, px of the page: the list below
/// the picture names them by their markers.
const NARROW: f64 = 420.0;

/// Whether so many names find room beside a picture of this width, px of the page.
const fn names_fit(width: f64, count: usize) -> bool {
    width >= NARROW || count <= 2
}

/// Where the frame stands in a picture of this size, px of the page: room for words on all sides.
pub(super) fn frame(context: &CanvasRenderingContext2d, size: (f64, f64), names: &[&str], unit: &str) -> Frame {
    letters(context, 1.0, false);
    let names = if names_fit(size.0, names.len()) { names } else { &[] };
    let widest = |room: f64| {
        let width = |name: &&str| {
            let (one, other) = folded(name, room, &|text| measure(context, text));
            measure(context, &one).max(measure(context, &other))
        };
        names.iter().map(width).fold(0.0, f64::max)
    };
    let left = measure(context, unit).max(measure(context, "100")) + 6.0;
    // Where names in one line would take more than a quarter, they take two, unless there are too many of them.
    let share = if count_to_f64(names.len()) * 2.0 * (LETTERS + 3.0) > size.1 - STRIP - 28.0 { 3.0 } else { 4.0 };
    let room = size.0 / share - BEFORE_NAME;
    let margin = (widest(room) + BEFORE_NAME + 2.0).max(measure(context, "h:min:s"));
    Frame { left, top: STRIP, right: (size.0 - margin).max(left + 10.0), bottom: size.1 - 28.0 }
}

#[expect(clippy::cast_possible_truncation, reason = "cut at the frame beforehand, some thousand pixels at most")]
fn pixel(value: f64) -> i32 {
    value.round() as i32
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a line of a few pixels")]
fn thick(value: f64) -> u32 {
    value.round().max(1.0) as u32
}

fn colour((red, green, blue): Tint) -> RGBColor {
    RGBColor(red, green, blue)
}

fn pixels(points: &[clip::Point]) -> Vec<(i32, i32)> {
    points.iter().map(|(x, y)| (pixel(*x), pixel(*y))).collect()
}

/// What draws: plotters for shapes, the canvas itself for the rest.
struct Brush {
    area: DrawingArea<CanvasBackend, plotters::coord::Shift>,
    context: CanvasRenderingContext2d,
}

impl Brush {
    fn new(canvas: &HtmlCanvasElement) -> Option<Self> {
        let area = CanvasBackend::with_canvas_object(canvas.clone())?.into_drawing_area();
        let context = context(canvas)?;
        // Pointed joins would make every spike higher than it is.
        context.set_line_join("bevel");
        Some(Self { area, context })
    }

    fn rectangle(&self, from: clip::Point, to: clip::Point, tint: Tint) {
        let _ = self.area.draw(&Rectangle::new([(pixel(from.0), pixel(from.1)), (pixel(to.0), pixel(to.1))], colour(tint).filled()));
    }

    fn path(&self, points: &[clip::Point], tint: Tint, width: f64) {
        let _ = self.area.draw(&PathElement::new(pixels(points), colour(tint).stroke_width(thick(width))));
    }

    /// Fills an area, so that what is behind it is seen through.
    fn veil(&self, points: &[clip::Point], tint: Tint) {
        let _ = self.area.draw(&Polygon::new(pixels(points), colour(tint).mix(0.3)));
    }
}

/// Draws; nothing when there is no canvas to draw on.
pub(super) fn draw(canvas: &HtmlCanvasElement, scene: &Scene<'_>) -> Option<()> {
    let brush = Brush::new(canvas)?;
    phases(&brush, scene);
    grid(&brush, scene);
    for (place, curve) in scene.curves.iter().enumerate() {
        draw_curve(&brush, scene, curve, place);
    }
    end_labels(&brush, scene);
    Some(())
}

/// Words at a place.
pub(super) fn words(context: &CanvasRenderingContext2d, text: &str, (x, y): clip::Point, align: &str, tint: Tint) {
    context.set_text_align(align);
    context.set_text_baseline("middle");
    context.set_fill_style_str(&css(tint));
    let _ = context.fill_text(text, x, y);
}

/// The phases behind everything, and their names above the frame.
fn phases(brush: &Brush, scene: &Scene<'_>) {
    let context = &brush.context;
    let (view, scale, palette) = (&scene.view, scene.scale, scene.palette);
    let Frame { top, bottom, .. } = view.frame;
    letters(context, scale, false);
    let mut names: Vec<(f64, f64, &str)> = Vec::new();
    for (place, (span, name)) in scene.stretches.iter().enumerate() {
        let Some(seen) = span.shared(view.time) else { continue };
        let (left, right) = (view.x(seen.from), view.x(seen.to));
        if place % 2 == 0 {
            brush.rectangle((left, top - STRIP * scale), (right, bottom), palette.wash);
        }
        names.push((f64::midpoint(left, right), measure(context, name), name));
    }
    let widths: Vec<(f64, f64)> = names.iter().map(|(middle, width, _)| (*middle, *width)).collect();
    let strip = Span { from: view.frame.left, to: view.frame.right };
    for ((_, _, name), place) in names.iter().zip(rowed(&widths, 8.0 * scale, strip)) {
        if let Some((row, x)) = place {
            let y = top - (STRIP - 10.0 - 17.0 * count_to_f64(row)) * scale;
            words(context, name, (x, y), "left", palette.ink);
        }
    }
    let thin = scale.round().max(1.0);
    let bounds: Vec<Span> = scene.stretches.iter().map(|(span, _)| *span).collect();
    for at in window::edges(&bounds).into_iter().filter(|at| view.time.holds(*at)) {
        let x = view.x(at).round();
        brush.rectangle((x, top - HANDLE * scale), (x + thin, bottom), palette.soft);
    }
}

/// Lines of levels, words of both axes.
fn grid(brush: &Brush, scene: &Scene<'_>) {
    let context = &brush.context;
    let (view, scale, palette, axes) = (&scene.view, scene.scale, scene.palette, &scene.axes);
    let Frame { left, top, right, bottom } = view.frame;
    let thin = scale.round().max(1.0);
    letters(context, scale, false);
    for level in ticks(view.level, axes.level_step) {
        let y = view.y(level).round();
        brush.rectangle((left, y), (right, y + thin), palette.line);
        words(context, &decimal::fixed(level, 0), (left - 6.0 * scale, y), "right", palette.soft);
    }
    words(context, scene.unit, (left - 6.0 * scale, top - (STRIP - 27.0) * scale), "right", palette.soft);
    let below = bottom + 16.0 * scale;
    let unit_from = scene.right - measure(context, scene.time_unit) - 2.0 * scale;
    for time in ticks(view.time, axes.time_step) {
        let x = view.x(time).round();
        brush.rectangle((x, bottom), (x + thin, bottom + 5.0 * scale), palette.soft);
        let text = axes.clock.show(time);
        // The last label must not run into the unit.
        if x + measure(context, &text) / 2.0 + 6.0 * scale < unit_from {
            words(context, &text, (x, below), "center", palette.soft);
        }
    }
    words(context, scene.time_unit, (unit_from, below), "left", palette.soft);
    brush.rectangle((left, bottom), (right, bottom + thin), palette.soft);
}

/// The lengths of dashes and of the gaps between them, px.
fn dashes(look: Set) -> &'static [f64] {
    match look {
        Set::Before => &[7.0, 4.0],
        Set::After => &[],
        Set::Second => &[12.0, 4.0, 2.0, 4.0],
        Set::Again => &[2.0, 4.0],
    }
}

/// Sets the dashes of the lines to come.
fn set_dashes(context: &CanvasRenderingContext2d, look: Option<Set>, scale: f64) {
    let lengths: js_sys::Array = look.map(dashes).unwrap_or_default().iter().map(|length| JsValue::from_f64(length * scale)).collect();
    let _ = context.set_line_dash(&lengths);
}

/// One curve: the area between its lowest and highest levels, the thin outline of that, a line through its middle with the
/// curve's own dashes, and markers. The outline is never dashed, so that no spike falls into a gap.
fn draw_curve(brush: &Brush, scene: &Scene<'_>, curve: &Shown, place: usize) {
    let context = &brush.context;
    let (frame, scale, tint) = (&scene.view.frame, scene.scale, scene.palette.of(curve.look));
    let mut middles: Vec<Vec<clip::Point>> = Vec::new();
    // Lines through the middles of pixels are sharp.
    let _ = context.translate(0.5, 0.5);
    for run in &curve.runs {
        let high = run.iter().map(|(x, high, _)| (*x, *high));
        let low = run.iter().map(|(x, _, low)| (*x, *low));
        let around: Vec<clip::Point> = high.clone().chain(low.clone().rev()).collect();
        brush.veil(&clip::area(&around, frame), tint);
        for piece in clip::line(high, frame).iter().chain(&clip::line(low, frame)) {
            brush.path(piece, tint, scale);
        }
        middles.extend(clip::line(run.iter().map(|(x, high, low)| (*x, f64::midpoint(*high, *low))), frame));
    }
    set_dashes(context, Some(curve.look), scale);
    // Among many curves thick lines hide more than they tell.
    let thick = curve.lead || scene.curves.len() <= MANY;
    for piece in middles.iter().filter(|_| thick) {
        brush.path(piece, tint, if curve.lead { 2.6 } else { 1.8 } * scale);
    }
    set_dashes(context, None, scale);
    let _ = context.translate(-0.5, -0.5);
    // Each curve's markers a little further on, so that they do not cover each other's.
    let mut next = frame.left + (20.0 + 37.0 * count_to_f64(place)) % MARKERS_APART * scale;
    for point in middles.iter().flatten() {
        if point.0 >= next {
            marker(context, *point, curve.look, scale, scene.palette);
            while point.0 >= next {
                next += MARKERS_APART * scale;
            }
        }
    }
}

/// The marker of a curve, with a ring of the ground around it.
pub(super) fn marker(context: &CanvasRenderingContext2d, (x, y): clip::Point, look: Set, scale: f64, palette: &Palette) {
    let size = 4.0 * scale;
    let to = |points: &[clip::Point]| {
        for (place, (across, down)) in points.iter().enumerate() {
            let (x, y) = (x + across * size, y + down * size);
            if place == 0 { context.move_to(x, y) } else { context.line_to(x, y) }
        }
    };
    context.begin_path();
    match look {
        Set::Before => to(&[(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]),
        Set::After => drop(context.arc(x, y, size * 1.1, 0.0, std::f64::consts::TAU)),
        Set::Second => to(&[(0.0, -1.4), (1.25, 1.0), (-1.25, 1.0)]),
        Set::Again => to(&[(0.0, -1.5), (1.5, 0.0), (0.0, 1.5), (-1.5, 0.0)]),
    }
    context.close_path();
    context.set_line_width(3.0 * scale);
    context.set_stroke_style_str(&css(palette.ground));
    context.stroke();
    context.set_fill_style_str(&css(palette.of(look)));
    context.fill();
}

/// The names of curves at their ends.
fn end_labels(brush: &Brush, scene: &Scene<'_>) {
    let context = &brush.context;
    let (scale, frame) = (scene.scale, &scene.view.frame);
    if !names_fit(scene.width, scene.curves.len()) {
        return;
    }
    let ends: Vec<(&Shown, clip::Point)> = scene.curves.iter().filter_map(|curve| Some((curve, end(curve, frame)?))).collect();
    let wanted: Vec<f64> = ends.iter().map(|(_, end)| end.1).collect();
    let line = (LETTERS + 2.0) * scale;
    letters(context, scale, false);
    let room = scene.right - frame.right - BEFORE_NAME * scale;
    let measured = |text: &str| measure(context, text);
    let mut names: Vec<(String, String)> = ends.iter().map(|(curve, _)| folded(&curve.name, room, &measured)).collect();
    let mut gap = if names.iter().any(|(_, second)| !second.is_empty()) { line * 2.0 + 2.0 * scale } else { line + 2.0 * scale };
    if gap * count_to_f64(names.len()) > frame.bottom - frame.top {
        gap = line;
        names = ends.iter().map(|(curve, _)| (fitted(&curve.name, room, &measured), String::new())).collect();
    }
    let places = spread(&wanted, gap, Span { from: frame.top + gap / 2.0, to: frame.bottom - gap / 2.0 });
    for (((curve, end), (first, second)), y) in ends.iter().zip(&names).zip(places) {
        let tint = scene.palette.of(curve.look);
        let x = frame.right + 8.0 * scale;
        brush.path(&[*end, (frame.right, end.1), (x, y)], tint, scale);
        marker(context, (x + 4.0 * scale, y), curve.look, scale, scene.palette);
        let x = frame.right + BEFORE_NAME * scale;
        if second.is_empty() {
            words(context, first, (x, y), "left", scene.palette.ink);
        } else {
            words(context, first, (x, y - line / 2.0), "left", scene.palette.ink);
            words(context, second, (x, y + line / 2.0), "left", scene.palette.ink);
        }
    }
}

/// Where a curve ends in the frame.
fn end(curve: &Shown, frame: &Frame) -> Option<clip::Point> {
    let run = curve.runs.last()?;
    let middle = run.iter().map(|(x, high, low)| (*x, f64::midpoint(*high, *low)));
    clip::line(middle, frame).last()?.last().copied()
}

/// A curve's line as a sample: for the legend of a file.
pub(super) fn sample(canvas: &HtmlCanvasElement, look: Set, scale: f64, (x, y): clip::Point) -> Option<()> {
    let brush = Brush::new(canvas)?;
    let context = &brush.context;
    set_dashes(context, Some(look), scale);
    brush.path(&[(x, y), (x + 36.0 * scale, y)], PLAIN.of(look), 2.6 * scale);
    set_dashes(context, None, scale);
    marker(context, (x + 18.0 * scale, y), look, scale, &PLAIN);
    Some(())
}
