//! The page's side: starts the worker when it is first needed, keeps the last question until the worker listens.

use super::{Ask, Reply};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;

/// The script that starts the worker.
const SCRIPT: &str = "./worker_loader.js";

/// What the worker has to say.
#[derive(Clone, Debug, PartialEq)]
pub enum News {
    /// So much is done, 0 to 1.
    Progress(f64),
    /// Done: what was found.
    Done(Vec<f64>),
    /// The worker could not start, or fell over.
    Failed,
}

type Listener = Rc<dyn Fn(u32, News)>;

/// A worker and the question it is on.
pub struct Client {
    worker: Option<web_sys::Worker>,
    state: Rc<RefCell<State>>,
    listener: Listener,
    keep: Vec<Box<dyn std::any::Any>>,
}

impl std::fmt::Debug for Client {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Client").field("started", &self.worker.is_some()).finish_non_exhaustive()
    }
}

#[derive(Default)]
struct State {
    ready: bool,
    waiting: Option<Ask>,
    id: u32,
}

impl Client {
    /// A client that has not started its worker yet. `listener` gets the question's number and what is new.
    pub fn new(listener: impl Fn(u32, News) + 'static) -> Self {
        Self { worker: None, state: Rc::default(), listener: Rc::new(listener), keep: Vec::new() }
    }

    /// Asks; what was asked before is dropped. The number of the question.
    pub fn ask(&mut self, link: &str, seed: u32) -> u32 {
        let id = {
            let mut state = self.state.borrow_mut();
            state.id += 1;
            state.id
        };
        if self.worker.is_none() {
            self.start();
        }
        self.send(Ask::Work { id, link: link.to_owned(), seed });
        id
    }

    /// Drops what was asked.
    pub fn cancel(&mut self) {
        self.state.borrow_mut().id += 1;
        if self.worker.is_some() {
            self.send(Ask::Cancel);
        }
    }

    fn send(&self, ask: Ask) {
        let mut state = self.state.borrow_mut();
        match &self.worker {
            Some(worker) if state.ready => post(worker, &ask),
            Some(_) => state.waiting = Some(ask),
            None => (self.listener)(state.id, News::Failed),
        }
    }

    fn start(&mut self) {
        let Ok(worker) = web_sys::Worker::new(SCRIPT) else { return };
        let (state, listener, replies) = (self.state.clone(), self.listener.clone(), worker.clone());
        let on_message = Closure::<dyn FnMut(web_sys::MessageEvent)>::new(move |event: web_sys::MessageEvent| {
            match Reply::from_message(&event.data()) {
                Some(Reply::Ready) => {
                    let mut state = state.borrow_mut();
                    state.ready = true;
                    if let Some(ask) = state.waiting.take() {
                        post(&replies, &ask);
                    }
                }
                Some(Reply::Progress { id, share }) if id == state.borrow().id => listener(id, News::Progress(share)),
                Some(Reply::Done { id, found }) if id == state.borrow().id => listener(id, News::Done(found)),
                _ => {}
            }
        });
        worker.set_onmessage(Some(on_message.as_ref().unchecked_ref()));
        let (state, listener) = (self.state.clone(), self.listener.clone());
        let on_error = Closure::<dyn FnMut(web_sys::Event)>::new(move |event: web_sys::Event| {
            event.prevent_default();
            let id = state.borrow().id;
            listener(id, News::Failed);
        });
        worker.set_onerror(Some(on_error.as_ref().unchecked_ref()));
        self.keep = vec![Box::new(on_message), Box::new(on_error)];
        self.worker = Some(worker);
    }
}

impl Drop for Client {
    fn drop(&mut self) {
        if let Some(worker) = &self.worker {
            // What it has sent already would still arrive, and find nobody.
            worker.set_onmessage(None);
            worker.set_onerror(None);
            worker.terminate();
        }
    }
}

fn post(worker: &web_sys::Worker, ask: &Ask) {
    let _ = worker.post_message(&ask.to_message());
}
