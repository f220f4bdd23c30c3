//! Pictures on the page: marks become SVG; the same marks, with plain colours, become a PNG.

use super::browser;
use super::field::sentence;
use super::words;
use crate::calc::decimal;
use crate::calc::picture::{self, Anchor, Drawing, Mark, Picture};
use crate::calc::table_text;
use crate::text::{Said, Style};
use crate::units::within;
use wasm_bindgen::prelude::*;
use yew::prelude::*;

#[derive(Properties, PartialEq)]
pub(super) struct FigureProps {
    pub(super) picture: Picture,
    pub(super) style: Style,
    /// Written under the picture when it leaves the page.
    pub(super) conditions: AttrValue,
    pub(super) tell: Callback<String>,
}

/// A picture with its finding, its twin table and its files.
#[component]
pub(super) fn Figure(props: &FigureProps) -> Html {
    let width = use_state_eq(|| 328.0);
    let place = use_node_ref();
    {
        let (place, width) = (place.clone(), width.clone());
        use_effect_with((), move |()| {
            let measure = move || {
                if let Some(element) = place.cast::<web_sys::Element>() {
                    width.set(within(f64::from(element.client_width()), 240.0, 760.0));
                }
            };
            measure();
            let listener = browser::window().map(|window| gloo::events::EventListener::new(&window, "resize", move |_| measure()));
            move || drop(listener)
        });
    }
    let (style, picture) = (props.style, &props.picture);
    let drawing = picture::draw(picture, *width, style);
    let title = picture.title.text(style);
    let save = {
        let (picture, conditions, tell) = (picture.clone(), props.conditions.to_string(), props.tell.clone());
        Callback::from(move |_: MouseEvent| save_png(&picture, &conditions, style, &tell))
    };
    html! {
        <figure class="picture" data-picture={picture.id}>
            <figcaption>{ sentence(&picture.title, style) }</figcaption>
            <div class="drawing" ref={place}>{ svg(&drawing, &title) }</div>
            <div class="acts">
                <button type="button" onclick={save}>{ style.language.text(words::PICTURE_FILE) }</button>
            </div>
            <details>
                <summary>{ style.language.text(words::AS_TABLE) }</summary>
                { super::answer::grid(&picture.twin, style, &props.tell) }
            </details>
        </figure>
    }
}

fn svg(drawing: &Drawing, title: &str) -> Html {
    let number = |value: f64| decimal::fixed(value, 1);
    let marks = drawing.marks.iter().map(|mark| match mark {
        Mark::Rect { x, y, w, h, class } => {
            html! { <rect class={*class} x={number(*x)} y={number(*y)} width={number(*w)} height={number(*h)} /> }
        }
        Mark::Line { points, class } => html! { <polyline class={*class} points={points_text(points)} /> },
        Mark::Dot { x, y, class } => html! { <circle class={*class} cx={number(*x)} cy={number(*y)} r="5" /> },
        Mark::Text { x, y, anchor, text, class } => {
            html! { <text class={*class} x={number(*x)} y={number(*y)} text-anchor={anchor_name(*anchor)}>{ text }</text> }
        }
    });
    html! {
        <svg role="img" aria-label={title.to_owned()} width={number(drawing.width)} height={number(drawing.height)}
            viewBox={format!("0 0 {} {}", number(drawing.width), number(drawing.height))}>
            for mark in marks { { mark } }
        </svg>
    }
}

fn points_text(points: &[(f64, f64)]) -> String {
    let mut text = String::new();
    for (x, y) in points {
        text.push_str(&decimal::fixed(*x, 1));
        text.push(',');
        text.push_str(&decimal::fixed(*y, 1));
        text.push(' ');
    }
    text
}

fn anchor_name(anchor: Anchor) -> &'static str {
    match anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    }
}

/// Colours for a picture that leaves the page: the light ones of the style sheet, on white.
fn plain_look(class: &str) -> &'static str {
    match class {
        "part-lead" | "bar-before" => "fill:#8A5A00",
        "part-a" => "fill:#E4DECF",
        "part-b" => "fill:#D3CCBA",
        "part-c" => "fill:#EFECE2",
        "part-d" => "fill:#C6BFAC",
        "bar-after" => "fill:#3B2F8F",
        "bar-other" => "fill:#5A6367",
        "range" => "fill:none;stroke:#1D2326;stroke-width:2",
        "limit" => "fill:none;stroke:#7A2E12;stroke-width:2;stroke-dasharray:6 4",
        "axis" => "fill:none;stroke:#D9D5CA;stroke-width:1",
        "curve-before" => "fill:none;stroke:#8A5A00;stroke-width:2.5;stroke-dasharray:7 4",
        "curve-after" => "fill:none;stroke:#3B2F8F;stroke-width:2.5",
        "curve-other" => "fill:none;stroke:#0B5C6B;stroke-width:2.5",
        "dot" => "fill:#0B5C6B;stroke:#FFFFFF;stroke-width:2",
        "label-soft" => "fill:#5A6367;font:14px sans-serif",
        "label-inverse" => "fill:#FFFFFF;font:14px sans-serif",
        _ => "fill:#1D2326;font:14px sans-serif",
    }
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// Breaks a text into lines of so many characters.
pub(super) fn wrap(text: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.is_empty() => line.push_str(word),
            Some(line) if line.chars().count() + 1 + word.chars().count() <= most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// An SVG text being written, piece by piece.
#[derive(Default)]
struct Svg(String);

impl Svg {
    fn open(&mut self, tag: &str) {
        self.0.push('<');
        self.0.push_str(tag);
    }

    fn attribute(&mut self, name: &str, value: &str) {
        for piece in [" ", name, "=\"", value, "\""] {
            self.0.push_str(piece);
        }
    }

    fn number(&mut self, name: &str, value: f64) {
        self.attribute(name, &decimal::fixed(value, 1));
    }

    fn close(&mut self, tag: &str, text: &str) {
        for piece in [">", &escape(text), "</", tag, ">"] {
            self.0.push_str(piece);
        }
    }

    fn line(&mut self, x: f64, y: f64, look: &str, text: &str) {
        self.open("text");
        self.number("x", x);
        self.number("y", y);
        self.attribute("style", look);
        self.close("text", text);
    }

    fn mark(&mut self, mark: &Mark) {
        match mark {
            Mark::Rect { x, y, w, h, class } => {
                self.open("rect");
                for (name, value) in [("x", x), ("y", y), ("width", w), ("height", h)] {
                    self.number(name, *value);
                }
                self.attribute("style", plain_look(class));
                self.close("rect", "");
            }
            Mark::Line { points, class } => {
                self.open("polyline");
                self.attribute("points", &points_text(points));
                self.attribute("style", plain_look(class));
                self.close("polyline", "");
            }
            Mark::Dot { x, y, class } => {
                self.open("circle");
                for (name, value) in [("cx", *x), ("cy", *y), ("r", 5.0)] {
                    self.number(name, value);
                }
                self.attribute("style", plain_look(class));
                self.close("circle", "");
            }
            Mark::Text { x, y, anchor, text, class } => {
                self.open("text");
                self.number("x", *x);
                self.number("y", *y);
                self.attribute("text-anchor", anchor_name(*anchor));
                self.attribute("style", plain_look(class));
                self.close("text", text);
            }
        }
    }
}

/// A whole picture as an SVG text: finding, drawing, conditions. With its width and height.
fn standalone(picture: &Picture, conditions: &str, style: Style) -> (String, f64, f64) {
    const WIDTH: f64 = 720.0;
    const MARGIN: f64 = 24.0;
    let drawing = picture::draw(picture, WIDTH, style);
    let mut body = Svg::default();
    let mut y = MARGIN + 8.0;
    for line in wrap(&picture.title.text(style), 70) {
        body.line(MARGIN, y, "fill:#1D2326;font:bold 18px sans-serif", &line);
        y += 24.0;
    }
    body.open("g");
    body.attribute("transform", &format!("translate({},{})", decimal::fixed(MARGIN, 1), decimal::fixed(y, 1)));
    body.0.push('>');
    for mark in &drawing.marks {
        body.mark(mark);
    }
    body.0.push_str("</g>");
    y += drawing.height + 28.0;
    for line in wrap(conditions, 88) {
        body.line(MARGIN, y, "fill:#5A6367;font:14px sans-serif", &line);
        y += 20.0;
    }
    let (width, height) = (WIDTH + 2.0 * MARGIN, y + 8.0);
    let mut whole = Svg::default();
    whole.open("svg");
    whole.attribute("xmlns", "http://www.w3.org/2000/svg");
    whole.number("width", width);
    whole.number("height", height);
    whole.0.push('>');
    whole.open("rect");
    whole.attribute("width", "100%");
    whole.attribute("height", "100%");
    whole.attribute("fill", "#FFFFFF");
    whole.close("rect", "");
    whole.0.push_str(&body.0);
    whole.0.push_str("</svg>");
    (whole.0, width, height)
}

/// Draws the picture on a canvas of twice its size and hands it over as a PNG.
fn save_png(picture: &Picture, conditions: &str, style: Style, tell: &Callback<String>) {
    let (text, width, height) = standalone(picture, conditions, style);
    let name = format!("lessdin-{}.png", picture.id);
    let fail = {
        let tell = tell.clone();
        move || tell.emit(style.language.text(words::SAVE_FAILED).to_owned())
    };
    let Ok(image) = web_sys::HtmlImageElement::new() else { return fail() };
    let Some(canvas) = browser::window().and_then(|window| window.document()?.create_element("canvas").ok()) else { return fail() };
    let canvas: web_sys::HtmlCanvasElement = canvas.unchecked_into();
    let encoded = js_sys::encode_uri_component(&text);
    let loaded = image.clone();
    let draw = Closure::once_into_js(move || {
        let scale = 2.0;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a picture's size in pixels, positive and small")]
        {
            canvas.set_width((width * scale) as u32);
            canvas.set_height((height * scale) as u32);
        }
        let context = canvas.get_context("2d").ok().flatten().map(JsCast::unchecked_into::<web_sys::CanvasRenderingContext2d>);
        let Some(context) = context else { return };
        if context.draw_image_with_html_image_element_and_dw_and_dh(&loaded, 0.0, 0.0, width * scale, height * scale).is_err() {
            return;
        }
        hand_over(&canvas, name);
    });
    image.set_onload(Some(draw.unchecked_ref()));
    let failed = Closure::once_into_js(fail);
    image.set_onerror(Some(failed.unchecked_ref()));
    image.set_src(&format!("data:image/svg+xml;charset=utf-8,{}", String::from(encoded)));
}

/// Hands what is drawn on a canvas over as a PNG.
pub(super) fn hand_over(canvas: &web_sys::HtmlCanvasElement, name: String) {
    let hand_over = Closure::once_into_js(move |blob: JsValue| {
        if let Ok(blob) = blob.dyn_into::<web_sys::Blob>() {
            browser::download(&name, &blob);
        }
    });
    let _ = canvas.to_blob(hand_over.unchecked_ref());
}

/// Copies a text and says so.
pub(super) fn copy_and_tell(text: String, done: Said, style: Style, tell: Callback<String>) {
    wasm_bindgen_futures::spawn_local(async move {
        if browser::copy(&text).await {
            tell.emit(done.text(style));
        } else {
            super::app::show_to_copy(&text);
        }
    });
}

/// A table as a file.
pub(super) fn save_csv(grid: &crate::calc::report::Grid, style: Style) {
    let mark = if style.decimal == ',' { "\u{feff}" } else { "" };
    if let Some(blob) = browser::text_blob(&format!("{mark}{}", table_text::csv(grid, style)), "text/csv;charset=utf-8") {
        browser::download(&format!("lessdin-{}.csv", grid.id), &blob);
    }
}
