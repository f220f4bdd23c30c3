//! Pictures as data, and their geometry. The page only turns [`Mark`]s into SVG; the same marks make the PNG.

use super::number;
use super::quantity::Quantity;
use super::report::Grid;
use crate::text::{Arg, Said, Style};
use crate::units::within;

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
    let wide = |c: &char| matches!(u32::from(*c), 0x1100..=0x11ff | 0x2e80..=0xffdc | 0x1_f000..);
    let count = |n: usize| crate::units::count_to_f64(n);
    count(text.chars().count()) * CHAR + count(text.chars().filter(wide).count()) * (FONT - CHAR)
}

/// A text at a point, beside it where there is room: to the right, else to the left, else as much as fits across the drawing.
fn beside(x: f64, y: f64, gap: f64, label: &str, width: f64, class: &'static str) -> Mark {
    let long = text_width(label) + gap;
    if x + long <= width {
        text(x + gap, y, Anchor::Start, label.to_owned(), class)
    } else if x >= long {
        text(x - gap, y, Anchor::End, label.to_owned(), class)
    } else if x > width / 2.0 {
        text(x - gap, y, Anchor::End, fit(label, x - gap).unwrap_or_default(), class)
    } else {
        text(x + gap, y, Anchor::Start, fit(label, width - x - gap).unwrap_or_default(), class)
    }
}

/// A text around a point, pushed inwards at the edges.
fn around(x: f64, y: f64, label: String, width: f64, class: &'static str) -> Mark {
    let half = text_width(&label) / 2.0;
    text(x.min(width - half).max(half), y, Anchor::Middle, label, class)
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
    const GAP: f64 = 4.0;
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
    // Leftmost on top with its words to the left: so no line runs through the words of another.
    let (left, others): (Vec<_>, Vec<_>) = below.into_iter().partition(|(at, label)| *at >= text_width(label) + GAP);
    let mut y = HEIGHT;
    for (at, label) in left.iter().chain(others.iter().rev()) {
        y += 22.0;
        marks.push(Mark::Line { points: vec![(*at, HEIGHT), (*at, y - 5.0)], class: "axis" });
        marks.push(if *at >= text_width(label) + GAP {
            text(*at - GAP, y, Anchor::End, label.clone(), "label-soft")
        } else {
            beside(*at, y, GAP, label, width, "label-soft")
        });
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
    let shown = |bar: &Bar| {
        let value = number::show(bar.value, quantity, style);
        if bar.bound { format!("≤ {value}") } else { value }
    };
    let room = bars.iter().map(|bar| text_width(&shown(bar)) + 14.0).fold(60.0, f64::max).min(width * 0.6);
    let scale = (width - room) / (to - from);
    let at = |value: f64| (within(value, from, to) - from) * scale;
    let zero = at(if decibels { from } else { 0.0 });
    let mut marks = Vec::new();
    let rows = crate::units::count_to_f64(bars.len());
    let bottom = rows * ROW + 6.0;
    for tick in ticks(from, to, (width / 90.0).floor()) {
        marks.push(Mark::Line { points: vec![(at(tick), 0.0), (at(tick), bottom)], class: "axis" });
        marks.push(around(at(tick), bottom + 18.0, tick_text(quantity.shown_value(tick), style), width, "label-soft"));
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
        let name = bar.label.text(style);
        let left = zero.min(end).min(width - text_width(&name)).max(0.0);
        marks.push(text(left, top + 18.0, Anchor::Start, fit(&name, width - left).unwrap_or_default(), "label"));
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
        marks.push(text(label_x + 6.0, y + 14.0, Anchor::Start, shown(bar), "label"));
    }
    let mut height = bottom + 26.0;
    for (words, value) in lines {
        marks.push(Mark::Line { points: vec![(at(*value), 0.0), (at(*value), bottom)], class: "limit" });
        height += 20.0;
        marks.push(beside(at(*value), height - 6.0, 0.0, &words.text(style), width, "label-soft"));
    }
    Drawing { width, height, marks }
}

fn draw_curve(x: &Axis, y: &Axis, series: &[Series], points: &[(Arg, f64, f64)], width: f64, style: Style) -> Drawing {
    if [x, y].iter().any(|axis| !(axis.to > axis.from && (axis.to - axis.from).is_finite())) {
        return Drawing { width, height: 0.0, marks: Vec::new() };
    }
    let y_ticks: Vec<(f64, String)> =
        ticks(y.from, y.to, 5.0).into_iter().map(|tick| (tick, tick_text(y.quantity.shown_value(tick), style))).collect();
    let (right, top) = (16.0, 28.0);
    let left = y_ticks.iter().map(|(_, label)| text_width(label) + 10.0).fold(40.0, f64::max).min(width * 0.4);
    let plot_w = (width - left - right).max(60.0);
    let plot_h = within(plot_w * 0.6, 160.0, 340.0);
    let px = |value: f64| left + (value - x.from) / (x.to - x.from) * plot_w;
    let py = |value: f64| top + (1.0 - (value - y.from) / (y.to - y.from)) * plot_h;
    let bottom = top + plot_h;
    let mut marks = Vec::new();
    for tick in ticks(x.from, x.to, (plot_w / 80.0).floor()) {
        marks.push(Mark::Line { points: vec![(px(tick), top), (px(tick), bottom)], class: "axis" });
        marks.push(around(px(tick), bottom + 18.0, tick_text(x.quantity.shown_value(tick), style), width, "label-soft"));
    }
    for (tick, label) in y_ticks {
        marks.push(Mark::Line { points: vec![(left, py(tick)), (left + plot_w, py(tick))], class: "axis" });
        marks.push(text(left - 6.0, py(tick) + 5.0, Anchor::End, label, "label-soft"));
    }
    let with_unit = |axis: &Axis| {
        let (label, symbol) = (axis.label.text(style), axis.quantity.symbol());
        if symbol.is_empty() { label } else { format!("{label}, {symbol}") }
    };
    marks.push(text(0.0, 16.0, Anchor::Start, fit(&with_unit(y), width).unwrap_or_default(), "label-soft"));
    marks.push(text(left + plot_w, bottom + 38.0, Anchor::End, fit(&with_unit(x), left + plot_w).unwrap_or_default(), "label-soft"));
    let mut ends = Vec::new();
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
                // Curves that end close together: the words of the later one stand below those of the earlier.
                let mut line = (py(b) - 8.0).max(top + 12.0);
                while ends.iter().any(|taken: &f64| (taken - line).abs() < TEXT_SIZE + 2.0) && line < bottom - TEXT_SIZE {
                    line += TEXT_SIZE + 2.0;
                }
                ends.push(line);
                marks.push(beside(px(a).min(left + plot_w - 1.0), line, 6.0, &label, left + plot_w, "label"));
            }
        }
    }
    let mut taken = Vec::new();
    for (label, a, b) in points {
        if (x.from..=x.to).contains(a) && (y.from..=y.to).contains(b) {
            marks.push(Mark::Dot { x: px(*a), y: py(*b), class: "dot" });
            marks.push(dot_label(px(*a), py(*b), &label.text(style), width, &mut taken));
        }
    }
    Drawing { width, height: bottom + 46.0, marks }
}

/// The words of a dot: at the first place beside it where no other dot's words are, and inside the drawing.
fn dot_label(x: f64, y: f64, label: &str, width: f64, taken: &mut Vec<(f64, f64)>) -> Mark {
    let wide = text_width(label);
    for (dx, dy, anchor) in
        [(10.0, 5.0, Anchor::Start), (-10.0, 5.0, Anchor::End), (10.0, 21.0, Anchor::Start), (-10.0, -11.0, Anchor::End)]
    {
        let left = if anchor == Anchor::Start { x + dx } else { x + dx - wide };
        let free = taken.iter().all(|(at, line)| (line - y - dy).abs() > TEXT_SIZE || left > at + wide || left + wide < *at);
        if left >= 0.0 && left + wide <= width && free {
            taken.push((left, y + dy));
            return text(x + dx, y + dy, anchor, label.to_owned(), "label");
        }
    }
    beside(x, y + 5.0, 10.0, label, width, "label")
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Arg;

    #[test]
    fn no_line_of_a_split_bar_runs_through_the_words_of_another_part() {
        let part = |name: &str, size| Part { label: Arg::Typed(name.to_owned()), size, lead: false };
        let parts = [part("cabinet fan", 46.0), part("tool fan", 23.0), part("axes", 16.0), part("supply fan", 13.0), part("room", 2.0)];
        let drawing = draw_split(&parts, 328.0, Style::default());
        let soft = |mark: &&Mark| matches!(mark, Mark::Text { class: "label-soft", .. });
        assert_eq!(drawing.marks.iter().filter(soft).count(), 3);
        for mark in drawing.marks.iter().filter(soft) {
            let Mark::Text { x, y, text, .. } = mark else { continue };
            for line in &drawing.marks {
                let Mark::Line { points, .. } = line else { continue };
                let [(at, _), (_, end)] = points[..] else { continue };
                let crossed = at > x - text_width(text) && at < *x && end > y - FONT;
                assert!(!crossed, "a line at {at} runs through “{text}”");
            }
        }
    }
}
