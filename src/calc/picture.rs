//! Pictures as data, and their geometry. The page only turns [`Mark`]s into SVG; the same marks make the PNG.

use super::number;
use super::quantity::Quantity;
use super::report::Grid;
use crate::text::{Arg, Said, Style};

/// A picture that answers a question.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Its stable name.
    pub id: &'static str,
    /// The finding, a whole sentence.
    pub title: Said,
    /// What is drawn.
    pub shape: Shape,
    /// The same as a table.
    pub twin: Grid,
}

/// What is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// One bar whose length is a whole, split into parts.
    Split(Vec<Part>),
    /// Horizontal bars on one axis, each with an optional interval.
    Bars {
        /// What the axis measures.
        quantity: Quantity,
        /// The bars, top to bottom.
        bars: Vec<Bar>,
        /// A line across all bars, with its words: a limit, a target.
        lines: Vec<(Said, f64)>,
    },
    /// Curves over an axis.
    Curve {
        /// The horizontal axis.
        x: Axis,
        /// The vertical axis.
        y: Axis,
        /// The curves.
        series: Vec<Series>,
        /// Single points with words.
        points: Vec<(Arg, f64, f64)>,
    },
}

/// A part of a whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name.
    pub label: Arg,
    /// Its size; any unit, all alike.
    pub size: f64,
    /// Whether the answer is about this part.
    pub lead: bool,
}

/// A bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// Its name.
    pub label: Arg,
    /// Its end.
    pub value: f64,
    /// The interval around the end.
    pub range: Option<(f64, f64)>,
    /// The end is only a bound: an arrow points to smaller values.
    pub bound: bool,
    /// What it stands for.
    pub role: Role,
}

/// What a mark stands for; colour, dash and marker follow from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// As it was.
    Before,
    /// As it is, or would be.
    After,
    /// Neither.
    Other,
}

/// An axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What it shows.
    pub label: Said,
    /// What it measures.
    pub quantity: Quantity,
    /// From.
    pub from: f64,
    /// To.
    pub to: f64,
}

/// A curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Its name, written at its end.
    pub label: Said,
    /// The points, by rising x.
    pub points: Vec<(f64, f64)>,
    /// What it stands for.
    pub role: Role,
}

/// A drawing in CSS pixels.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// The marks, back to front.
    pub marks: Vec<Mark>,
}

/// Something drawn. `class` names its look in the style sheet: one of [`CLASSES`].
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A rectangle.
    Rect {
        /// Left.
        x: f64,
        /// Top.
        y: f64,
        /// Width.
        w: f64,
        /// Height.
        h: f64,
        /// Look.
        class: &'static str,
    },
    /// A line through points.
    Line {
        /// The points.
        points: Vec<(f64, f64)>,
        /// Look.
        class: &'static str,
    },
    /// A filled dot.
    Dot {
        /// Centre.
        x: f64,
        /// Centre.
        y: f64,
        /// Look.
        class: &'static str,
    },
    /// Text.
    Text {
        /// Anchor.
        x: f64,
        /// Baseline.
        y: f64,
        /// Where the text lies from its anchor.
        anchor: Anchor,
        /// The characters.
        text: String,
        /// Look.
        class: &'static str,
    },
}

/// Where a text lies from its anchor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// To the right of it.
    Start,
    /// Around it.
    Middle,
    /// To the left of it.
    End,
}

/// Every look a mark can have. The style sheet and the PNG writer know each of them.
pub const CLASSES: &[&str] = &[
    "part-lead",
    "part-a",
    "part-b",
    "part-c",
    "part-d",
    "bar-before",
    "bar-after",
    "bar-other",
    "range",
    "limit",
    "axis",
    "curve-before",
    "curve-after",
    "curve-other",
    "dot",
    "label",
    "label-soft",
    "label-inverse",
];

const FONT: f64 = 14.0;
/// A character's usual width at [`FONT`]; system faces differ, so layouts leave room.
const CHAR: f64 = 7.6;

/// The width a text takes, near enough.
fn text_width(text: &str) -> f64 {
    crate::units::count_to_f64(text.chars().count()) * CHAR
}

fn fit(text: &str, width: f64) -> Option<String> {
    if text_width(text) <= width {
        return Some(text.to_owned());
    }
    let mut kept = String::new();
    for c in text.chars() {
        if text_width(&kept) + 2.0 * CHAR > width {
            break;
        }
        kept.push(c);
    }
    (kept.chars().count() >= 3).then(|| format!("{}…", kept.trim_end()))
}

/// Lays a picture out at a width in CSS pixels.
pub fn draw(picture: &Picture, width: f64, style: Style) -> Drawing {
    let width = width.max(240.0);
    match &picture.shape {
        Shape::Split(parts) => draw_split(parts, width, style),
        Shape::Bars { quantity, bars, lines } => draw_bars(*quantity, bars, lines, width, style),
        Shape::Curve { x, y, series, points } => draw_curve(x, y, series, points, width, style),
    }
}

fn draw_split(parts: &[Part], width: f64, style: Style) -> Drawing {
    const HEIGHT: f64 = 56.0;
    let total: f64 = parts.iter().map(|part| part.size).sum();
    let mut marks = Vec::new();
    let mut x = 0.0;
    let mut below = Vec::new();
    if total > 0.0 && total.is_finite() {
        let plain = ["part-a", "part-b", "part-c", "part-d"];
        for (at, part) in parts.iter().enumerate() {
            let w = part.size / total * width;
            let class = if part.lead { "part-lead" } else { plain.get(at % plain.len()).copied().unwrap_or("part-a") };
            marks.push(Mark::Rect { x, y: 0.0, w, h: HEIGHT, class });
            let name = part.label.text(style);
            let share = number::show(part.size / total, Quantity::Share, style);
            let text_class = if part.lead { "label-inverse" } else { "label" };
            if w >= 64.0 {
                let middle = x + w / 2.0;
                if let Some(name) = fit(&name, w - 8.0) {
                    marks.push(text(middle, 24.0, Anchor::Middle, name, text_class));
                }
                marks.push(text(middle, 44.0, Anchor::Middle, share, text_class));
            } else if part.size / total >= 0.005 {
                below.push((x + w / 2.0, format!("{name} {share}")));
            }
            x += w;
        }
    }
    let mut y = HEIGHT;
    for (at, label) in below.iter().rev() {
        y += 22.0;
        marks.push(Mark::Line { points: vec![(*at, HEIGHT), (*at, y - 5.0)], class: "axis" });
        marks.push(text(at - 4.0, y, Anchor::End, fit(label, at - 8.0).unwrap_or_default(), "label-soft"));
    }
    Drawing { width, height: y + 4.0, marks }
}

fn text(x: f64, y: f64, anchor: Anchor, text: String, class: &'static str) -> Mark {
    Mark::Text { x, y, anchor, text, class }
}

/// Round tick values that cover a range with about `wanted` steps.
pub fn ticks(from: f64, to: f64, wanted: f64) -> Vec<f64> {
    let span = to - from;
    if !(span > 0.0 && span.is_finite() && wanted >= 1.0) {
        return vec![from];
    }
    let raw = span / wanted;
    let scale = 10_f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * scale).find(|step| *step >= raw * 0.999).unwrap_or(scale * 10.0);
    let first = (from / step).ceil();
    let mut out = Vec::new();
    let mut n = first;
    while n * step <= to + step * 1e-9 && out.len() < 50 {
        out.push(n * step);
        n += 1.0;
    }
    out
}

fn tick_text(value: f64, style: Style) -> String {
    let rounded = (value * 1e6).round() / 1e6;
    number::editable(rounded, style).replace('-', "\u{2212}")
}

fn draw_bars(quantity: Quantity, bars: &[Bar], lines: &[(Said, f64)], width: f64, style: Style) -> Drawing {
    const ROW: f64 = 52.0;
    const BAR: f64 = 18.0;
    let ends = bars.iter().flat_map(|bar| [Some(bar.value), bar.range.map(|r| r.0), bar.range.map(|r| r.1)]).flatten();
    let ends = ends.chain(lines.iter().map(|line| line.1)).filter(|value| value.is_finite());
    let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
    if low > high {
        return Drawing { width, height: 0.0, marks: Vec::new() };
    }
    let decibels = matches!(quantity, Quantity::Level(_));
    // A level has no zero to start from: the axis starts at a round value below the lowest end. Others start at zero.
    let from = if decibels { ((low - 3.0) / 5.0).floor() * 5.0 } else { low.min(0.0) };
    let to = if decibels { high + 1.0 } else { high.max(0.0) + (high - low.min(0.0)).abs() * 0.02 + 1e-9 };
    let room = 88.0;
    let scale = (width - room) / (to - from);
    let at = |value: f64| ((value.clamp(from, to)) - from) * scale;
    let zero = at(if decibels { from } else { 0.0 });
    let mut marks = Vec::new();
    let rows = crate::units::count_to_f64(bars.len());
    let bottom = rows * ROW + 6.0;
    for tick in ticks(from, to, (width / 90.0).floor()) {
        marks.push(Mark::Line { points: vec![(at(tick), 0.0), (at(tick), bottom)], class: "axis" });
        let label = tick_text(quantity.shown_value(tick), style);
        let anchor = if at(tick) < text_width(&label) / 2.0 { Anchor::Start } else { Anchor::Middle };
        marks.push(text(at(tick), bottom + 18.0, anchor, label, "label-soft"));
    }
    marks.push(text(width, bottom + 18.0, Anchor::End, quantity.symbol().to_owned(), "label-soft"));
    for (row, bar) in bars.iter().enumerate() {
        let top = crate::units::count_to_f64(row) * ROW;
        let class = match bar.role {
            Role::Before => "bar-before",
            Role::After => "bar-after",
            Role::Other => "bar-other",
        };
        let end = at(bar.value);
        marks.push(text(
            zero.min(end),
            top + 18.0,
            Anchor::Start,
            fit(&bar.label.text(style), width - zero.min(end)).unwrap_or_default(),
            "label",
        ));
        let y = top + 25.0;
        marks.push(Mark::Rect { x: zero.min(end), y, w: (end - zero).abs().max(1.0), h: BAR, class });
        let mut label_x = end.max(zero);
        if let Some((low, high)) = bar.range {
            let middle = y + BAR / 2.0;
            marks.push(Mark::Line { points: vec![(at(low), middle), (at(high), middle)], class: "range" });
            for end in [low, high] {
                marks.push(Mark::Line { points: vec![(at(end), middle - 5.0), (at(end), middle + 5.0)], class: "range" });
            }
            label_x = label_x.max(at(high));
        }
        if bar.bound {
            let middle = y + BAR / 2.0;
            let tip = (end - 26.0).max(zero.min(end));
            marks.push(Mark::Line { points: vec![(end, y - 3.0), (end, y + BAR + 3.0)], class: "range" });
            marks.push(Mark::Line { points: vec![(tip + 6.0, middle - 5.0), (tip, middle), (tip + 6.0, middle + 5.0)], class: "range" });
        }
        let shown = number::show(bar.value, quantity, style);
        let shown = if bar.bound { format!("≤ {shown}") } else { shown };
        marks.push(text(label_x + 6.0, y + 14.0, Anchor::Start, shown, "label"));
    }
    let mut height = bottom + 26.0;
    for (words, value) in lines {
        marks.push(Mark::Line { points: vec![(at(*value), 0.0), (at(*value), bottom)], class: "limit" });
        height += 20.0;
        let label = words.text(style);
        let left = at(*value) + text_width(&label) < width;
        marks.push(text(at(*value), height - 6.0, if left { Anchor::Start } else { Anchor::End }, label, "label-soft"));
    }
    Drawing { width, height, marks }
}

fn draw_curve(x: &Axis, y: &Axis, series: &[Series], points: &[(Arg, f64, f64)], width: f64, style: Style) -> Drawing {
    let (left, right, top) = (52.0, 16.0, 28.0);
    let plot_w = (width - left - right).max(60.0);
    let plot_h = (plot_w * 0.6).clamp(160.0, 340.0);
    let px = |value: f64| left + (value - x.from) / (x.to - x.from) * plot_w;
    let py = |value: f64| top + (1.0 - (value - y.from) / (y.to - y.from)) * plot_h;
    let bottom = top + plot_h;
    let mut marks = Vec::new();
    for tick in ticks(x.from, x.to, (plot_w / 80.0).floor()) {
        marks.push(Mark::Line { points: vec![(px(tick), top), (px(tick), bottom)], class: "axis" });
        marks.push(text(px(tick), bottom + 18.0, Anchor::Middle, tick_text(x.quantity.shown_value(tick), style), "label-soft"));
    }
    for tick in ticks(y.from, y.to, 5.0) {
        marks.push(Mark::Line { points: vec![(left, py(tick)), (left + plot_w, py(tick))], class: "axis" });
        marks.push(text(left - 6.0, py(tick) + 5.0, Anchor::End, tick_text(y.quantity.shown_value(tick), style), "label-soft"));
    }
    let with_unit = |axis: &Axis| {
        let (label, symbol) = (axis.label.text(style), axis.quantity.symbol());
        if symbol.is_empty() { label } else { format!("{label}, {symbol}") }
    };
    marks.push(text(0.0, 16.0, Anchor::Start, fit(&with_unit(y), width).unwrap_or_default(), "label-soft"));
    marks.push(text(left + plot_w, bottom + 38.0, Anchor::End, with_unit(x), "label-soft"));
    for curve in series {
        let class = match curve.role {
            Role::Before => "curve-before",
            Role::After => "curve-after",
            Role::Other => "curve-other",
        };
        let mut last = None;
        for piece in clip(&curve.points, x, y) {
            last = piece.last().copied();
            marks.push(Mark::Line { points: piece.iter().map(|(a, b)| (px(*a), py(*b))).collect(), class });
        }
        if let Some((a, b)) = last {
            let label = curve.label.text(style);
            if !label.is_empty() {
                marks.push(text(px(a) - 6.0, (py(b) - 8.0).max(top + 12.0), Anchor::End, label, "label"));
            }
        }
    }
    let mut taken = Vec::new();
    for (label, a, b) in points {
        if (x.from..=x.to).contains(a) && (y.from..=y.to).contains(b) {
            marks.push(Mark::Dot { x: px(*a), y: py(*b), class: "dot" });
            let label = label.text(style);
            let (x, y, anchor) = beside(px(*a), py(*b), text_width(&label), width, &mut taken);
            marks.push(text(x, y, anchor, label, "label"));
        }
    }
    Drawing { width, height: bottom + 46.0, marks }
}

/// A place for the words of a dot: the first beside it where no other dot's words are, and inside the drawing.
fn beside(x: f64, y: f64, wide: f64, width: f64, taken: &mut Vec<(f64, f64)>) -> (f64, f64, Anchor) {
    let mut best = (x - 10.0, y + 5.0, Anchor::End);
    for (dx, dy, anchor) in
        [(10.0, 5.0, Anchor::Start), (-10.0, 5.0, Anchor::End), (10.0, 21.0, Anchor::Start), (-10.0, -11.0, Anchor::End)]
    {
        let left = if anchor == Anchor::Start { x + dx } else { x + dx - wide };
        let free = taken.iter().all(|(at, line)| (line - y - dy).abs() > TEXT_SIZE || left > at + wide || left + wide < *at);
        if left >= 0.0 && left + wide <= width && free {
            best = (x + dx, y + dy, anchor);
            break;
        }
    }
    taken.push((if best.2 == Anchor::Start { best.0 } else { best.0 - wide }, best.1));
    best
}

/// Cuts a polyline at the frame, so that nothing outside is drawn on its edge.
pub fn clip(points: &[(f64, f64)], x: &Axis, y: &Axis) -> Vec<Vec<(f64, f64)>> {
    let mut pieces: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut open = false;
    for pair in points.windows(2) {
        let [a, b] = pair else { continue };
        match clip_segment(*a, *b, (x.from, x.to), (y.from, y.to)) {
            None => open = false,
            Some((from, to)) => {
                match pieces.last_mut().filter(|_| open) {
                    Some(piece) => piece.push(to),
                    None => pieces.push(vec![from, to]),
                }
                open = close(to, *b);
            }
        }
    }
    pieces
}

fn close(a: (f64, f64), b: (f64, f64)) -> bool {
    (a.0 - b.0).abs() < 1e-12 && (a.1 - b.1).abs() < 1e-12
}

/// Liang and Barsky's line clipping (1984).
#[expect(clippy::many_single_char_names, reason = "the names of the published algorithm")]
fn clip_segment(a: (f64, f64), b: (f64, f64), x: (f64, f64), y: (f64, f64)) -> Option<((f64, f64), (f64, f64))> {
    if ![a.0, a.1, b.0, b.1].iter().all(|value| value.is_finite()) {
        return None;
    }
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (p, q) in [(-dx, a.0 - x.0), (dx, x.1 - a.0), (-dy, a.1 - y.0), (dy, y.1 - a.1)] {
        if p == 0.0 {
            if q < 0.0 {
                return None;
            }
        } else {
            let t = q / p;
            if p < 0.0 { enter = enter.max(t) } else { leave = leave.min(t) }
        }
    }
    (enter <= leave).then(|| {
        let at = |t: f64| {
            if t <= 0.0 {
                a
            } else if t >= 1.0 {
                b
            } else {
                (a.0 + t * dx, a.1 + t * dy)
            }
        };
        (at(enter), at(leave))
    })
}

/// The size of the text in drawings, CSS pixels.
pub const TEXT_SIZE: f64 = FONT;
