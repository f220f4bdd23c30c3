//! The worker's side: holds the logs and answers.

use super::kept::{self, Kept};
use super::{Choices, OPEN, SUMMARY, Want, floats, numbers, wanted};
use crate::files::example::{self, Example};
use crate::files::export::Export;
use crate::files::panel;
use crate::files::pyramid::Pyramid;
use crate::files::statistics::statistics;
use crate::files::understood::Role;
use crate::files::{DateOrder, FileError, Log, Reader, TimeFrom, Wanted, hash};
use crate::formulas::series::{self, Break};
use crate::formulas::{levels, partition};
use crate::text::{Said, Style};
use crate::units::{Level, count_to_f64};
use gloo::timers::future::TimeoutFuture;
use js_sys::{Array, Float32Array, Float64Array, Uint8Array};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{Blob, DedicatedWorkerGlobalScope, MessageEvent};

/// How much of a file is read between two looks at the messages, bytes.
const PIECE: f64 = 4.0 * 1024.0 * 1024.0;
/// How much of that is copied at a time, bytes: as much as stays near the processor.
const COPY: u32 = 64 * 1024;
/// How many points a sketch is made from.
const POINTS: usize = 640;

/// A log that is held.
struct Held {
    hash: String,
    name: String,
    file: JsValue,
    choices: Choices,
    log: Log,
    pyramid: Pyramid,
    /// It tells no times: a second from row to row was taken.
    steps: bool,
}

#[derive(Default)]
struct Store {
    held: Vec<Rc<Held>>,
    cancelled: Vec<f64>,
}

/// The worker: what it holds, and the way back to the page.
#[derive(Clone)]
struct Server {
    scope: DedicatedWorkerGlobalScope,
    store: Rc<RefCell<Store>>,
}

/// Why something has no answer, as a sentence; empty when it was cancelled.
struct Refused(String);

/// Listens until the page ends.
pub fn start() {
    let scope: DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
    let server = Server { scope: scope.clone(), store: Rc::default() };
    let on_message = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        if let Ok(message) = event.data().dyn_into::<Array>() {
            spawn_local(server.clone().answer(message));
        }
    });
    scope.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
    // The worker lives as long as the page: its listener is never taken away.
    on_message.forget();
    let _ = scope.post_message(&JsValue::NULL);
}

fn text(message: &Array, at: u32) -> String {
    message.get(at).as_string().unwrap_or_default()
}

fn number(message: &Array, at: u32) -> f64 {
    message.get(at).as_f64().unwrap_or(f64::NAN)
}

fn choices(value: &JsValue) -> Choices {
    floats(value).first_chunk().copied().unwrap_or(OPEN)
}

fn style(value: &JsValue) -> Style {
    Style { decimal: value.as_string().and_then(|sign| sign.chars().next()).unwrap_or('.'), ..Style::default() }
}

impl Server {
    async fn answer(self, message: Array) {
        let id = number(&message, 0);
        let Some(want) = Want::from_code(number(&message, 1)) else {
            // The number alone takes the question back.
            self.store.borrow_mut().cancelled.push(id);
            return;
        };
        let answer = match want {
            Want::Read => self.read(id, text(&message, 2), message.get(3), OPEN, style(&message.get(4)), true).await,
            Want::Again => self.again(id, &text(&message, 2), choices(&message.get(3)), style(&message.get(4))).await,
            Want::Kept => self.kept(id, &message.get(2), style(&message.get(3))).await,
            Want::Forget => self.forget(&text(&message, 2)).await,
            Want::Phases => self.phases(id, &text(&message, 2)),
            Want::Figures => self.figures(&text(&message, 2), number(&message, 3), &floats(&message.get(4))),
            Want::Envelope => self.envelope(&text(&message, 2), [number(&message, 3), number(&message, 4)], number(&message, 5)),
            Want::Sketch => self.sketch(&text(&message, 2)),
            Want::Csv => self.csv(&text(&message, 2)),
            Want::Example => {
                let which = if number(&message, 2) < 0.5 { Example::Before } else { Example::After };
                let run = u32::from(number(&message, 3) > 0.5);
                let bytes = Uint8Array::from(example::csv(which, run).as_bytes());
                self.read(id, text(&message, 4), bytes.into(), OPEN, style(&message.get(5)), true).await
            }
        };
        self.store.borrow_mut().cancelled.retain(|other| (other - id).abs() > 0.5);
        let reply = match answer {
            Ok(found) => Array::of3(&id.into(), &"found".into(), &found),
            Err(Refused(why)) => Array::of3(&id.into(), &"refused".into(), &why.into()),
        };
        let _ = self.scope.post_message(&reply);
    }

    fn is_cancelled(&self, id: f64) -> bool {
        self.store.borrow().cancelled.iter().any(|other| (other - id).abs() < 0.5)
    }

    fn held(&self, hash: &str) -> Result<Rc<Held>, Refused> {
        self.store.borrow().held.iter().find(|held| held.hash == hash).cloned().ok_or_else(|| Refused(String::new()))
    }

    fn progress(&self, id: f64, share: f64, rows: u32) {
        let _ = self.scope.post_message(&Array::of4(&id.into(), &"progress".into(), &share.into(), &f64::from(rows).into()));
    }

    /// Reads a file to its end, between messages.
    async fn through(&self, id: f64, file: &JsValue, wanted: &Wanted) -> Result<Result<Log, FileError>, Refused> {
        let mut reader = Reader::new(wanted);
        let mut copy = vec![0; COPY as usize];
        let mut take = |reader: &mut Reader, bytes: &Uint8Array| {
            let mut from = 0;
            while from < bytes.length() {
                let to = (from + COPY).min(bytes.length());
                let part = copy.get_mut(..(to - from) as usize).unwrap_or_default();
                bytes.subarray(from, to).copy_to(part);
                reader.push(part);
                from = to;
            }
        };
        if let Some(bytes) = file.dyn_ref::<Uint8Array>() {
            take(&mut reader, bytes);
        } else if let Some(blob) = file.dyn_ref::<Blob>() {
            let size = blob.size();
            let mut from = 0.0;
            while from < size {
                let to = (from + PIECE).min(size);
                let unreadable = |_| Refused("This file can no longer be read. Open it once more.".to_owned());
                let part = blob.slice_with_f64_and_f64(from, to).map_err(unreadable)?;
                let buffer = JsFuture::from(part.array_buffer()).await.map_err(unreadable)?;
                take(&mut reader, &Uint8Array::new(&buffer));
                from = to;
                if reader.failed().is_some() {
                    break;
                }
                self.progress(id, from / size, reader.rows());
                TimeoutFuture::new(0).await;
                if self.is_cancelled(id) {
                    return Err(Refused(String::new()));
                }
            }
        }
        Ok(reader.finish())
    }

    /// Reads a file and holds it. The page gets: hash, name, whether the device keeps it, facts, doubts, first rows, choices,
    /// names of columns, figures.
    async fn read(&self, id: f64, name: String, file: JsValue, choices: Choices, style: Style, keep: bool) -> Result<JsValue, Refused> {
        let mut log = self.through(id, &file, &wanted(&choices)).await?;
        // A log without times is read second by second, and the page asks for its step.
        let steps = matches!(log, Err(FileError::NoTime { .. }));
        if steps {
            let every_second = Wanted { time: Some(TimeFrom::Step(1.0)), ..wanted(&choices) };
            log = self.through(id, &file, &every_second).await?;
        }
        let log = log.map_err(|error| Refused(error.said().text(style)))?;
        let hash = hash::hex(log.hash());
        let pyramid = Pyramid::new(&log);
        let held = Rc::new(Held { hash: hash.clone(), name, file, choices, log, pyramid, steps });
        {
            let mut store = self.store.borrow_mut();
            store.held.retain(|other| other.hash != hash);
            store.held.push(held.clone());
        }
        let kept = !keep || keep_file(&held).await;
        Ok(described(&held, kept, style))
    }

    async fn again(&self, id: f64, hash: &str, choices: Choices, style: Style) -> Result<JsValue, Refused> {
        let held = self.held(hash)?;
        self.read(id, held.name.clone(), held.file.clone(), choices, style, true).await
    }

    /// What is kept of these logs, each described as after reading.
    async fn kept(&self, id: f64, hashes: &JsValue, style: Style) -> Result<JsValue, Refused> {
        let found = Array::new();
        for hash in hashes.dyn_ref::<Array>().map(Array::to_vec).unwrap_or_default() {
            let Some(hash) = hash.as_string() else { continue };
            if let Ok(held) = self.held(&hash) {
                found.push(&described(&held, true, style));
            } else if let Ok(Some(kept)) = kept::find(&hash).await {
                let choices = kept.choices.first_chunk().copied().unwrap_or(OPEN);
                if let Ok(log) = self.read(id, kept.name, kept.file, choices, style, false).await {
                    found.push(&log);
                }
            }
        }
        Ok(found.into())
    }

    async fn forget(&self, hash: &str) -> Result<JsValue, Refused> {
        self.store.borrow_mut().held.retain(|held| held.hash != hash);
        let _ = kept::delete(hash).await;
        Ok(JsValue::TRUE)
    }

    /// The edges of the phases, s from the start, both ends included; then the energy mean of each.
    fn phases(&self, id: f64, hash: &str) -> Result<JsValue, Refused> {
        let held = self.held(hash)?;
        let log = &held.log;
        let samples: Vec<f64> = log.levels(0..log.len()).map(f64::from).collect();
        let mut go_on = |share: f64| {
            self.progress(id, share, 0);
            true
        };
        let found = partition::phases(&samples, log.step_s(), &mut go_on).map_err(|_| Refused(String::new()))?;
        let changes = found.map(|found| found.changes).unwrap_or_default();
        let rows: Vec<usize> = [0].into_iter().chain(changes).chain([log.len()]).collect();
        let edges = rows.iter().map(|row| if *row >= log.len() { log.duration_s() } else { log.at_s(*row) });
        let means = rows.windows(2).map(|pair| {
            let range = pair.first().copied().unwrap_or_default()..pair.get(1).copied().unwrap_or_default();
            mean(log, range).unwrap_or(f64::NAN)
        });
        let all: Vec<f64> = edges.chain(means).collect();
        Ok(Float64Array::from(all.as_slice()).into())
    }

    /// For each group, in rising order, the figures of its stretches taken together, without the guard at each edge, but never
    /// without more than half of a stretch; a count of 0
    /// where nothing is left.
    fn figures(&self, hash: &str, guard: f64, stretches: &[f64]) -> Result<JsValue, Refused> {
        let held = self.held(hash)?;
        let log = &held.log;
        let groups = stretches.chunks_exact(3).map(|one| one.first().copied().unwrap_or_default()).fold(-1.0, f64::max);
        let mut all = Vec::new();
        let mut group = 0.0;
        while group <= groups {
            let (mut values, mut breaks) = (Vec::new(), Vec::new());
            for one in stretches.chunks_exact(3) {
                let &[number, from, to] = one else { continue };
                if (number - group).abs() > 0.5 {
                    continue;
                }
                let guard = guard.min((to - from) / 4.0);
                let rows = log.rows(from + guard, to - guard);
                if rows.is_empty() {
                    continue;
                }
                // Two stretches are no neighbours, but nothing is missing between them.
                if !values.is_empty() {
                    breaks.push(Break { at: values.len(), missing: 0 });
                }
                breaks.extend(log.breaks(rows.clone()).into_iter().map(|row| {
                    let apart = log.at_s(row) - log.at_s(row.saturating_sub(1));
                    Break { at: values.len() + row - rows.start, missing: whole(apart / log.step_s() - 1.0) }
                }));
                values.extend(log.levels(rows).map(f64::from));
            }
            match series::summary(&values, log.step_s(), &breaks) {
                Ok(summary) => all.extend(numbers(&summary)),
                Err(_) => all.extend([0.0; SUMMARY]),
            }
            group += 1.0;
        }
        Ok(Float64Array::from(all.as_slice()).into())
    }

    fn envelope(&self, hash: &str, [from, to]: [f64; 2], columns: f64) -> Result<JsValue, Refused> {
        let held = self.held(hash)?;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "limited to what a screen has")]
        let columns = crate::units::within(columns, 1.0, 10_000.0) as usize;
        let found = held.pyramid.envelope(&held.log, from, to, columns);
        let pairs: Vec<f32> = found.into_iter().flat_map(|extent| extent.map_or([f32::NAN; 2], |(low, high)| [low, high])).collect();
        Ok(Float32Array::from(pairs.as_slice()).into())
    }

    /// Moments and energy means, one after the other.
    fn sketch(&self, hash: &str) -> Result<JsValue, Refused> {
        let held = self.held(hash)?;
        let log = &held.log;
        let width = log.duration_s() / count_to_f64(POINTS);
        let mut points = Vec::new();
        for place in 0..POINTS {
            let from = width * count_to_f64(place);
            if let Some(mean) = mean(log, log.rows(from, from + width)) {
                points.extend([from + width / 2.0, mean]);
            }
        }
        if points.is_empty() {
            points.extend((0..log.len()).flat_map(|row| [log.at_s(row), log.level(row).map_or(f64::NAN, |level| level.0)]));
        }
        Ok(Float64Array::from(points.as_slice()).into())
    }

    fn csv(&self, hash: &str) -> Result<JsValue, Refused> {
        let held = self.held(hash)?;
        let parts = Array::new();
        for part in Export::new(&held.log) {
            parts.push(&part.into());
        }
        let options = web_sys::BlobPropertyBag::new();
        options.set_type("text/csv");
        Blob::new_with_str_sequence_and_options(&parts, &options).map(JsValue::from).map_err(|_| Refused(String::new()))
    }
}

/// A number of readings.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "limited to what fits")]
fn whole(count: f64) -> u32 {
    crate::units::within(count.round(), 0.0, 4e9) as u32
}

/// Files up to this size are kept as bytes where the browser keeps no blobs, as some do in private windows.
const MOST_COPIED: f64 = 64.0 * 1024.0 * 1024.0;

/// Keeps the file of a log on the device. Whether that worked.
async fn keep_file(held: &Held) -> bool {
    let kept = |file: JsValue| Kept { name: held.name.clone(), file, choices: held.choices.to_vec() };
    if kept::put(&held.hash, &kept(held.file.clone())).await.is_ok() {
        return true;
    }
    let Some(blob) = held.file.dyn_ref::<Blob>().filter(|blob| blob.size() <= MOST_COPIED) else { return false };
    match JsFuture::from(blob.array_buffer()).await {
        Ok(buffer) => kept::put(&held.hash, &kept(Uint8Array::new(&buffer).into())).await.is_ok(),
        Err(_) => false,
    }
}

/// The energy mean of some rows.
fn mean(log: &Log, rows: std::ops::Range<usize>) -> Option<f64> {
    let values: Vec<Level> = log.levels(rows).map(|level| Level(f64::from(level))).collect();
    levels::energy_mean(&values).ok().map(|mean| mean.0)
}

/// A log as the page shows it.
fn described(held: &Held, kept: bool, style: Style) -> JsValue {
    let (log, understood) = (&held.log, held.log.understood());
    let lines = |list: Vec<Said>| list.iter().map(|said| JsValue::from(said.text(style))).collect::<Array>();
    let facts: Array = panel::facts(log, &statistics(log))
        .into_iter()
        .map(|(label, found)| {
            let text: Vec<String> = found.iter().map(|said| said.text(style)).collect();
            JsValue::from(Array::of2(&style.language.text(label).into(), &text.join(" ").into()))
        })
        .collect();
    let columns: Array =
        (0..understood.columns.len()).map(|place| JsValue::from(panel::column(&understood.columns, place).text(style))).collect();
    let levels: Vec<f64> = (0..understood.columns.len())
        .map(|place| if matches!(understood.columns.get(place).map(|column| column.role), Some(Role::Level(_))) { 1.0 } else { 0.0 })
        .collect();
    // What it was read as, where the person has not said so.
    let now = found_choices(held);
    let clock = log.start().clock_s.map_or(f64::NAN, |clock| f64::from(log.start().day.unwrap_or(0)) * 86_400.0 + clock);
    let figures = [log.duration_s(), log.step_s(), count_to_f64(log.len()), clock, f64::from(u8::from(open_dates(log)))];
    let all = Array::new();
    for part in [
        held.hash.as_str().into(),
        held.name.as_str().into(),
        kept.into(),
        facts.into(),
        lines(panel::doubts(understood)).into(),
        lines(panel::first_rows(understood)).into(),
        Float64Array::from(now.as_slice()).into(),
        columns.into(),
        Float64Array::from(levels.as_slice()).into(),
        Float64Array::from(figures.as_slice()).into(),
        held.steps.into(),
        panel::named_weighting(understood).map_or_else(String::new, |weighting| weighting.letter().to_string()).into(),
    ] {
        all.push(&part);
    }
    all.into()
}

/// Whether another order of dates would do as well.
fn open_dates(log: &Log) -> bool {
    log.understood().dates.is_some_and(|dates| dates.other.is_some())
}

/// The choices in force, found out or said.
fn found_choices(held: &Held) -> Choices {
    use crate::files::understood::TimeFound;
    let understood = held.log.understood();
    let order = |order: DateOrder| super::place(&super::ORDERS, &order);
    let time = match understood.time {
        TimeFound::Columns { clock, date } => Some(TimeFrom::Columns { clock, date }),
        TimeFound::Numbered(..) | TimeFound::Stated(_) => None,
    };
    let (clock, date) = match time {
        Some(TimeFrom::Columns { clock, date }) => (count_to_f64(clock), date.map_or(-1.0, count_to_f64)),
        _ => (-2.0, -1.0),
    };
    let [.., minutes] = held.choices;
    [
        super::place(&super::ENCODINGS, &understood.encoding),
        super::place(&crate::files::Separator::ALL, &understood.separator),
        super::place(&super::DECIMALS, &understood.decimal),
        understood.dates.map_or(-1.0, |dates| order(dates.order)),
        count_to_f64(understood.level),
        clock,
        date,
        understood.step_s,
        super::place(&super::CENSORED, &understood.censored),
        minutes,
    ]
}
