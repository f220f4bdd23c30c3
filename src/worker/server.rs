//! The side of the worker for longer calculations. It works in steps, and listens between them: a new question or one taken back
//! ends the old one.

use crate::calc::sheet::Work;
use crate::sheets;
use gloo::timers::future::TimeoutFuture;
use js_sys::{Array, Float64Array};
use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::spawn_local;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

/// How long to work between two looks at the messages, milliseconds.
const SLICE: f64 = 30.0;

/// The question that is worked on, as messages write it; 0 for none.
type Current = Rc<Cell<f64>>;

/// Listens until the page ends. A question is a link and a seed for the random numbers: the same give the same answer. What was
/// found is a list of numbers, empty where a sheet has no longer part.
pub fn start() {
    let scope: DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
    let current = Current::default();
    let replies = scope.clone();
    let on_message = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let Ok(question) = event.data().dyn_into::<Array>() else { return };
        let id = question.get(0).as_f64().unwrap_or_default();
        let (Some(link), Some(seed)) = (question.get(1).as_string(), question.get(2).as_f64()) else {
            // Taken back, unless another has taken its place.
            if (current.get() - id).abs() < 0.5 {
                current.set(0.0);
            }
            return;
        };
        current.set(id);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sent as a u32")]
        let seed = u64::from(seed as u32);
        match sheets::work_of_link(&link, seed) {
            Some(work) => spawn_local(run(id, work, current.clone(), replies.clone())),
            None => found(&replies, id, &[]),
        }
    });
    scope.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
    // The worker lives as long as the page: its listener is never taken away.
    on_message.forget();
    let _ = scope.post_message(&JsValue::NULL);
}

async fn run(id: f64, mut work: Box<dyn Work>, current: Current, scope: DedicatedWorkerGlobalScope) {
    loop {
        let start = js_sys::Date::now();
        let mut share = 0.0;
        while share < 1.0 && js_sys::Date::now() - start < SLICE {
            share = work.step();
        }
        if share >= 1.0 {
            found(&scope, id, &work.found());
            return;
        }
        let _ = scope.post_message(&Array::of3(&id.into(), &"progress".into(), &share.into()));
        TimeoutFuture::new(0).await;
        if (current.get() - id).abs() > 0.5 {
            return;
        }
    }
}

fn found(scope: &DedicatedWorkerGlobalScope, id: f64, numbers: &[f64]) {
    let _ = scope.post_message(&Array::of3(&id.into(), &"found".into(), &Float64Array::from(numbers).into()));
}
