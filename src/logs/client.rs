//! The page's side: starts the worker when a log is first opened, and asks.

use super::Want;
use js_sys::{Array, Function, Promise};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{MessageEvent, Worker};

/// The script that starts the worker.
const SCRIPT: &str = "./logs_loader.js";

/// How far something long has come: the number of the question, the share done, rows read so far.
pub type Progress = Rc<dyn Fn(u32, f64, f64)>;

/// The worker for logs, as the page sees it. Copies share it.
#[derive(Clone)]
pub struct Client(Rc<RefCell<State>>);

impl std::fmt::Debug for Client {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Client").finish_non_exhaustive()
    }
}

impl PartialEq for Client {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}

struct State {
    worker: Option<Worker>,
    ready: bool,
    asked: u32,
    waiting: Vec<Array>,
    open: Vec<(u32, Function)>,
    progress: Progress,
    keep: Vec<Box<dyn std::any::Any>>,
}

/// Why there is no answer: a sentence, empty when it was cancelled or the log is not here.
pub type Refused = String;

impl Client {
    /// A client that has not started its worker yet.
    pub fn new(progress: impl Fn(u32, f64, f64) + 'static) -> Self {
        Self(Rc::new(RefCell::new(State {
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
    pub fn ask(&self, want: Want, details: &[JsValue]) -> (u32, impl Future<Output = Result<JsValue, Refused>> + use<>) {
        self.start();
        let mut state = self.0.borrow_mut();
        state.asked += 1;
        let id = state.asked;
        let promise = Promise::new(&mut |resolve, _| state.open.push((id, resolve)));
        let message = Array::of2(&id.into(), &want.code().into());
        for detail in details {
            message.push(detail);
        }
        if state.ready {
            post(&state, &message);
        } else {
            state.waiting.push(message);
        }
        (id, async move {
            let answer = JsFuture::from(promise).await.unwrap_or(JsValue::UNDEFINED);
            let parts = answer.dyn_ref::<Array>().cloned().unwrap_or_default();
            if parts.get(1).as_string().as_deref() == Some("found") {
                Ok(parts.get(2))
            } else {
                Err(parts.get(2).as_string().unwrap_or_default())
            }
        })
    }

    /// Stops what was asked under this number.
    pub fn cancel(&self, id: u32) {
        let state = self.0.borrow();
        if state.ready {
            post(&state, &Array::of2(&id.into(), &Want::Cancel.code().into()));
        }
    }

    fn start(&self) {
        if self.0.borrow().worker.is_some() {
            return;
        }
        let Ok(worker) = Worker::new(SCRIPT) else { return };
        let shared = self.0.clone();
        let on_message = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| hear(&shared, &event.data()));
        worker.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
        let shared = self.0.clone();
        let on_error = Closure::<dyn FnMut(web_sys::Event)>::new(move |event: web_sys::Event| {
            event.prevent_default();
            // It could not start, or ran out of memory: everything that was asked is refused, and the next question starts another.
            let (open, gone) = {
                let mut state = shared.borrow_mut();
                state.ready = false;
                (std::mem::take(&mut state.open), state.worker.take())
            };
            if let Some(gone) = gone {
                gone.terminate();
            }
            for (id, resolve) in open {
                let _ = resolve.call1(&JsValue::NULL, &Array::of3(&id.into(), &"refused".into(), &"failed".into()));
            }
        });
        worker.set_onerror(Some(on_error.as_ref().unchecked_ref()));
        let mut state = self.0.borrow_mut();
        state.keep = vec![Box::new(on_message), Box::new(on_error)];
        state.worker = Some(worker);
    }
}

impl Drop for State {
    fn drop(&mut self) {
        if let Some(worker) = &self.worker {
            worker.set_onmessage(None);
            worker.set_onerror(None);
            worker.terminate();
        }
    }
}

fn post(state: &State, message: &Array) {
    if let Some(worker) = &state.worker {
        let _ = worker.post_message(message);
    }
}

fn hear(shared: &Rc<RefCell<State>>, message: &JsValue) {
    let Some(parts) = message.dyn_ref::<Array>() else {
        // The first message: it listens. What was sent before would have been lost.
        let mut state = shared.borrow_mut();
        state.ready = true;
        for message in std::mem::take(&mut state.waiting) {
            post(&state, &message);
        }
        return;
    };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sent as a u32 by this side")]
    let id = parts.get(0).as_f64().unwrap_or_default() as u32;
    if parts.get(1).as_string().as_deref() == Some("progress") {
        let progress = shared.borrow().progress.clone();
        progress(id, parts.get(2).as_f64().unwrap_or_default(), parts.get(3).as_f64().unwrap_or_default());
        return;
    }
    let resolve = {
        let mut state = shared.borrow_mut();
        let place = state.open.iter().position(|(other, _)| *other == id);
        place.map(|place| state.open.swap_remove(place).1)
    };
    if let Some(resolve) = resolve {
        let _ = resolve.call1(&JsValue::NULL, message);
    }
}
