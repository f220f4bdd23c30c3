//! The worker's side.

use super::{Ask, Reply};
use crate::calc::sheet::Work;
use crate::sheets;
use gloo::timers::future::TimeoutFuture;
use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::spawn_local;

/// How long to work between two looks at the messages, milliseconds.
const SLICE: f64 = 30.0;

/// Listens until the page ends.
pub fn start() {
    let scope: web_sys::DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
    let current = Rc::new(Cell::new(0));
    let replies = scope.clone();
    let on_message =
        Closure::<dyn FnMut(web_sys::MessageEvent)>::new(move |event: web_sys::MessageEvent| match Ask::from_message(&event.data()) {
            Some(Ask::Work { id, link, seed }) => {
                current.set(id);
                if let Some(work) = sheets::work_of_link(&link, u64::from(seed)) {
                    spawn_local(run(id, work, current.clone(), replies.clone()));
                } else {
                    send(&replies, &Reply::Done { id, found: Vec::new() });
                }
            }
            Some(Ask::Cancel) => current.set(0),
            None => {}
        });
    scope.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
    // The worker lives as long as the page: its listener is never taken away.
    on_message.forget();
    send(&scope, &Reply::Ready);
}

async fn run(id: u32, mut work: Box<dyn Work>, current: Rc<Cell<u32>>, scope: web_sys::DedicatedWorkerGlobalScope) {
    loop {
        let start = js_sys::Date::now();
        let mut share = 0.0;
        while share < 1.0 && js_sys::Date::now() - start < SLICE {
            share = work.step();
        }
        if share >= 1.0 {
            send(&scope, &Reply::Done { id, found: work.found() });
            return;
        }
        send(&scope, &Reply::Progress { id, share });
        TimeoutFuture::new(0).await;
        if current.get() != id {
            return;
        }
    }
}

fn send(scope: &web_sys::DedicatedWorkerGlobalScope, reply: &Reply) {
    let _ = scope.post_message(&reply.to_message());
}
