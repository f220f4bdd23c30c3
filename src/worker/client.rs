//! The page's side: starts a worker when it is first needed, keeps what is asked until it listens, and brings answers to those
//! who asked.

use js_sys::{Array, Function, Promise};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{MessageEvent, Worker, WorkerOptions};

/// The script that starts a worker; which one, it reads from the worker's name.
const SCRIPT: &str = "./worker_loader.js";

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// It was taken back, or there is nothing to answer with.
    Nothing,
    /// The worker could not start, or fell over.
    Failed,
    /// A sentence of the worker's.
    Because(String),
}

/// How far something has come: the number of the question, the share done, a count.
type Progress = Rc<dyn Fn(u32, f64, f64)>;

/// A worker as the page sees it. Copies share it.
#[derive(Clone)]
pub struct Client(Rc<RefCell<State>>);

impl std::fmt::Debug for Client {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Client").finish_non_exhaustive()
    }
}

struct State {
    name: &'static str,
    worker: Option<Worker>,
    ready: bool,
    asked: u32,
    waiting: Vec<(u32, Array)>,
    open: Vec<(u32, Function)>,
    progress: Progress,
    keep: Vec<Box<dyn std::any::Any>>,
}

impl Client {
    /// A client of the worker of this name, not started yet.
    pub fn new(name: &'static str, progress: impl Fn(u32, f64, f64) + 'static) -> Self {
        Self(Rc::new(RefCell::new(State {
            name,
            worker: None,
            ready: false,
            asked: 0,
            waiting: Vec::new(),
            open: Vec::new(),
            progress: Rc::new(progress),
            keep: Vec::new(),
        })))
    }

    /// Asks. The number of the question, and the answer once it is there.
    pub fn ask(&self, details: &[JsValue]) -> (u32, impl Future<Output = Result<JsValue, Refused>> + use<>) {
        self.start();
        let (id, promise) = {
            let mut state = self.0.borrow_mut();
            state.asked += 1;
            let id = state.asked;
            let promise = Promise::new(&mut |resolve, _| state.open.push((id, resolve)));
            let message = Array::of1(&id.into());
            for detail in details {
                message.push(detail);
            }
            if state.ready {
                post(&state, &message);
            } else {
                state.waiting.push((id, message));
            }
            (id, promise)
        };
        if self.0.borrow().worker.is_none() {
            fail(&self.0);
        }
        (id, async move {
            let answer = JsFuture::from(promise).await.unwrap_or(JsValue::UNDEFINED);
            let parts = answer.dyn_ref::<Array>().cloned().unwrap_or_default();
            match (parts.get(1).as_string().as_deref(), parts.get(2).as_string()) {
                (Some("found"), _) => Ok(parts.get(2)),
                (Some("failed"), _) => Err(Refused::Failed),
                (_, Some(why)) if !why.is_empty() => Err(Refused::Because(why)),
                _ => Err(Refused::Nothing),
            }
        })
    }

    /// Takes a question back: it is answered by nothing.
    pub fn cancel(&self, id: u32) {
        let resolve = {
            let mut state = self.0.borrow_mut();
            state.waiting.retain(|(other, _)| *other != id);
            let resolve = state.take(id);
            if resolve.is_some() && state.ready {
                post(&state, &Array::of1(&id.into()));
            }
            resolve
        };
        if let Some(resolve) = resolve {
            let _ = resolve.call1(&JsValue::NULL, &Array::of2(&id.into(), &"refused".into()));
        }
    }

    fn start(&self) {
        if self.0.borrow().worker.is_some() {
            return;
        }
        let options = WorkerOptions::new();
        options.set_name(self.0.borrow().name);
        let Ok(worker) = Worker::new_with_options(SCRIPT, &options) else { return };
        let shared = Rc::downgrade(&self.0);
        let on_message = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            if let Some(shared) = shared.upgrade() {
                hear(&shared, &event.data());
            }
        });
        worker.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
        let shared = Rc::downgrade(&self.0);
        let on_error = Closure::<dyn FnMut(web_sys::Event)>::new(move |event: web_sys::Event| {
            event.prevent_default();
            if let Some(shared) = shared.upgrade() {
                fail(&shared);
            }
        });
        worker.set_onerror(Some(on_error.as_ref().unchecked_ref()));
        let mut state = self.0.borrow_mut();
        state.keep = vec![Box::new(on_message), Box::new(on_error)];
        state.worker = Some(worker);
    }
}

impl State {
    fn take(&mut self, id: u32) -> Option<Function> {
        let place = self.open.iter().position(|(other, _)| *other == id)?;
        Some(self.open.swap_remove(place).1)
    }

    /// Ends the worker. What it has sent already would still arrive, and find nobody.
    fn end(&mut self) {
        if let Some(worker) = self.worker.take() {
            worker.set_onmessage(None);
            worker.set_onerror(None);
            worker.terminate();
        }
        self.ready = false;
    }
}

impl Drop for State {
    fn drop(&mut self) {
        self.end();
    }
}

fn post(state: &State, message: &Array) {
    if let Some(worker) = &state.worker {
        let _ = worker.post_message(message);
    }
}

/// It could not start, or ran out of memory: everything that was asked is refused, and the next question starts another.
fn fail(shared: &Rc<RefCell<State>>) {
    let open = {
        let mut state = shared.borrow_mut();
        state.end();
        state.waiting.clear();
        std::mem::take(&mut state.open)
    };
    for (id, resolve) in open {
        let _ = resolve.call1(&JsValue::NULL, &Array::of2(&id.into(), &"failed".into()));
    }
}

fn hear(shared: &Rc<RefCell<State>>, message: &JsValue) {
    let Some(parts) = message.dyn_ref::<Array>() else {
        // The first message: it listens. What was sent before would have been lost.
        let mut state = shared.borrow_mut();
        state.ready = true;
        for (_, message) in std::mem::take(&mut state.waiting) {
            post(&state, &message);
        }
        return;
    };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sent as a u32 by this side")]
    let id = parts.get(0).as_f64().unwrap_or_default() as u32;
    if parts.get(1).as_string().as_deref() == Some("progress") {
        let (known, progress) = {
            let state = shared.borrow();
            (state.open.iter().any(|(other, _)| *other == id), state.progress.clone())
        };
        if known {
            progress(id, parts.get(2).as_f64().unwrap_or_default(), parts.get(3).as_f64().unwrap_or_default());
        }
        return;
    }
    let resolve = shared.borrow_mut().take(id);
    if let Some(resolve) = resolve {
        let _ = resolve.call1(&JsValue::NULL, message);
    }
}
