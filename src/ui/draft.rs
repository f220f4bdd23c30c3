//! The draft of a sheet as a hook: what the start page and a sheet's own page share.

use super::browser;
use super::state::{self, Act, State};
use crate::calc::sheet::{Run, Sheet};
use gloo::timers::callback::Timeout;
use std::rc::Rc;
use yew::prelude::*;

/// For how long nothing is typed until the address bar follows, in milliseconds. Writing it is slow.
pub(super) const REST: u32 = 300;

/// The draft of a sheet, kept on the device and projected to the address.
#[hook]
pub(super) fn use_draft(sheet: &'static dyn Sheet, fragment: &str, in_address: bool) -> (UseReducerHandle<State>, Rc<Run>, Callback<Act>) {
    let state = {
        let fragment = fragment.to_owned();
        use_reducer(move || State::open(sheet, &fragment))
    };
    let run = {
        let state = state.clone();
        use_memo(state.turn, move |_| sheet.run(state.draft(), None))
    };
    {
        let (state, clean) = (state.clone(), run.errors.is_empty());
        use_effect_with((state.turn, state.settled), move |_| {
            let rest = if state.settled {
                state::project(&state, clean, in_address);
                None
            } else {
                state::keep(&state);
                Some(Timeout::new(REST, move || state::project(&state, clean, in_address)))
            };
            move || drop(rest)
        });
    }
    let act = {
        let dispatcher = state.dispatcher();
        use_callback((), move |act: Act, ()| dispatcher.dispatch(act))
    };
    (state, run, act)
}

/// Undo and redo by keyboard, wherever the focus is.
#[hook]
pub(super) fn use_shortcuts(act: &Callback<Act>) {
    let act = act.clone();
    use_effect_with((), move |()| {
        let listener = browser::window().map(|window| {
            let options = gloo::events::EventListenerOptions::enable_prevent_default();
            gloo::events::EventListener::new_with_options(&window, "keydown", options, move |event| {
                let event: &web_sys::KeyboardEvent = wasm_bindgen::JsCast::unchecked_ref(event);
                if !(event.ctrl_key() || event.meta_key()) || event.alt_key() {
                    return;
                }
                let undo = match event.key().as_str() {
                    "z" | "Z" => !event.shift_key(),
                    "y" => false,
                    _ => return,
                };
                event.prevent_default();
                act.emit(if undo { Act::Undo } else { Act::Redo });
            })
        });
        move || drop(listener)
    });
}

/// Speaks the sentence once typing rests.
#[hook]
pub(super) fn use_spoken(headline: String, tell: &Callback<String>) {
    let tell = tell.clone();
    use_effect_with(headline, move |headline| {
        let headline = headline.clone();
        let rest = (!headline.is_empty()).then(|| Timeout::new(1000, move || tell.emit(format!("\u{200b}{headline}"))));
        move || drop(rest)
    });
}
