//! The phases of one log: on its curve, to be moved, and as a list to type in.

use super::super::curve::{Curve, Curves, EnvelopeRef, Stretch as Shown};
use super::{Context, LogView, Made, Redivide, new_name, words};
use crate::calc::draft::{Draft, Path, RowId};
use crate::calc::moment;
use crate::calc::quantity::Quantity;
use crate::calc::read::Reader;
use crate::sheets::runs::draft::{self, Logged};
use crate::sheets::runs::stretches::{self, Stretch};
use crate::text::{Msg, say};
use crate::ui::state::Act;
use crate::ui::words as page_words;
use crate::units::count_to_f64;
use std::rc::Rc;
use wasm_bindgen_futures::spawn_local;
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// What the phases are shown with.
#[derive(Clone, Copy)]
pub(super) struct Divided<'a> {
    pub(super) context: &'a Context,
    pub(super) logs: &'a [LogView],
    pub(super) runs: &'a [Logged],
    pub(super) draft: &'a Draft,
    pub(super) envelope: &'a EnvelopeRef,
    pub(super) conditions: &'a AttrValue,
}

/// The curve with its phases, and the phases as a list to type in.
pub(super) fn divided(desk: &Divided<'_>, run: &Logged, view: &LogView, selected: &UseStateHandle<String>) -> Html {
    let Divided { context, logs, runs, draft, .. } = *desk;
    let text = |msg| context.text(msg);
    let all = stretches::of(run, view.duration_s);
    let choose = {
        let selected = selected.clone();
        Callback::from(move |event: Event| selected.set(event.target_unchecked_into::<HtmlSelectElement>().value()))
    };
    let here: Vec<&Logged> = runs.iter().filter(|run| logs.iter().any(|log| log.hash == run.hash)).collect();
    let again = {
        let (context, view) = (context.clone(), view.clone());
        Callback::from(move |_: MouseEvent| {
            let (context, view) = (context.clone(), view.clone());
            spawn_local(async move { context.divide(&view, Made::default()).await });
        })
    };
    html! {
        <section class="divided" aria-labelledby="h-phases">
            <h3 id="h-phases">{ say(words::PHASES_OF).typed("name", run.name.clone()).text(context.style) }</h3>
            if here.len() > 1 {
                <label class="set">
                    <span>{ text(words::WHOSE_PHASES) }</span>
                    <select class="choice" onchange={choose}>
                        for other in here { <option value={other.hash.clone()} selected={other.hash == run.hash}>{ &other.name }</option> }
                    </select>
                </label>
            }
            <p class="soft">{ text(words::PHASES_OF_HELP) }</p>
            { curves(desk, run, &all) }
            <ol class="stretches">
                for (place, stretch) in all.iter().enumerate() { { one_stretch(context, run, &all, place, stretch, draft) } }
            </ol>
            <div class="acts">
                <button type="button" onclick={again}>{ text(words::FIND_AGAIN) }</button>
                <button type="button" onclick={context.act.reform(|_: MouseEvent| Act::Undo)}>{ text(page_words::UNDO) }</button>
            </div>
        </section>
    }
}

/// The curves of all logs that are here, with the stretches of one of them.
fn curves(desk: &Divided<'_>, run: &Logged, all: &[Stretch]) -> Html {
    let Divided { context, logs, runs, draft, envelope, conditions } = *desk;
    let line = draft::line(draft);
    let here = runs.iter().filter_map(|other| Some((other, logs.iter().find(|log| log.hash == other.hash)?)));
    let curves = here.map(|(other, log)| Curve {
        hash: other.hash.clone().into(),
        name: other.name.clone().into(),
        look: other.set,
        shift_s: stretches::later(other, run, line),
        duration_s: log.duration_s,
    });
    let phase_name = |phase: RowId| draft.get(Path::cell("phase", phase, "name")).trim().to_owned();
    let left_out = || context.text(words::LEFT_OUT).to_owned();
    let shown = all.iter().map(|stretch| Shown {
        name: stretch.phase.map_or_else(left_out, phase_name).into(),
        from_s: stretch.from_s,
        to_s: stretch.to_s,
    });
    let quantity = Quantity::Level(Reader::new(draft).weighting());
    let mut levels: Vec<(RowId, f64)> =
        run.phases.iter().filter_map(|(phase, _)| Some((*phase, draft::entry_of(draft, *phase, run.run)?.summary.leq.0))).collect();
    crate::units::sort_few(&mut levels, |one, other| one.1.total_cmp(&other.1));
    let title = match levels.as_slice() {
        [(quietest, least), .., (loudest, most)] => say(words::CURVES)
            .typed("quietest", phase_name(*quietest))
            .num("least", quantity, *least)
            .typed("loudest", phase_name(*loudest))
            .num("most", quantity, *most),
        _ => say(words::CURVES_ONE),
    };
    let on_move = {
        let (context, run, all) = (context.clone(), run.clone(), all.to_vec());
        Callback::from(move |(place, time): (usize, f64)| {
            let mut all = all.clone();
            stretches::move_edge(&mut all, place, time);
            context.divided(&run.hash, run.run, &all);
        })
    };
    html! {
        <Curves curves={Rc::new(curves.collect::<Vec<_>>())} selected={run.hash.clone()} stretches={Rc::new(shown.collect::<Vec<_>>())}
            envelope={envelope.clone()} {on_move} {quantity} style={context.style} conditions={conditions.clone()}
            tell={context.tell.clone()} title={title.typed("name", run.name.clone()).text(context.style)} />
    }
}

/// One stretch: its phase, its start, and what can be done with it.
fn one_stretch(context: &Context, run: &Logged, all: &[Stretch], place: usize, stretch: &Stretch, draft: &Draft) -> Html {
    let text = |msg| context.text(msg);
    let named = |msg: Msg| say(msg).num("number", Quantity::Count, count_to_f64(place + 1)).text(context.style);
    let edit = |change: Rc<Redivide>| {
        let (context, run, all) = (context.clone(), run.clone(), all.to_vec());
        move || {
            let mut all = all.clone();
            change(&mut all);
            context.divided(&run.hash, run.run, &all);
        }
    };
    let press = |change: Rc<Redivide>| {
        let act = edit(change);
        Callback::from(move |_: MouseEvent| act())
    };
    let phase = {
        let (context, run, all) = (context.clone(), run.clone(), all.to_vec());
        Callback::from(move |event: Event| {
            let value = event.target_unchecked_into::<HtmlSelectElement>().value();
            let mut all = all.clone();
            let Some(stretch) = all.get_mut(place) else { return };
            if value == "new" {
                let style = context.style;
                let made = {
                    let mut draft = context.draft.borrow().clone();
                    let name = new_name(&draft, style);
                    draft::add_phase(&mut draft, &name)
                };
                stretch.phase = made;
                context.act.emit(Act::edit(move |_, draft| {
                    let name = new_name(draft, style);
                    draft::add_phase(draft, &name);
                }));
            } else {
                stretch.phase = value.parse().ok();
            }
            context.divided(&run.hash, run.run, &all);
        })
    };
    let from = {
        let (context, run, all) = (context.clone(), run.clone(), all.to_vec());
        Callback::from(move |event: Event| {
            let input = event.target_unchecked_into::<HtmlInputElement>();
            let mut all = all.clone();
            // What cannot be is said, and stays as it was typed.
            let typed = input.value();
            let Some(seconds) = moment::read(&typed) else {
                context.tell.emit(context.text(words::BAD_MOMENT).to_owned());
                return;
            };
            if let Some(limits) = stretches::limits(&all, place, f64::MAX).filter(|limits| !limits.holds(seconds)) {
                let moments = say(words::MOMENT_BEYOND).typed("typed", typed).typed("low", moment::show(limits.from));
                context.tell.emit(moments.typed("high", moment::show(limits.to)).text(context.style));
                return;
            }
            stretches::move_edge(&mut all, place, seconds);
            context.divided(&run.hash, run.run, &all);
            input.set_value(&moment::show(all.get(place).map_or(0.0, |stretch| stretch.from_s)));
        })
    };
    let split = press(Rc::new(move |all| stretches::split(all, place)));
    let join = press(Rc::new(move |all| stretches::join(all, place)));
    let rows = draft.rows("phase").iter().filter(|row| !draft.get(Path::cell("phase", **row, "name")).trim().is_empty());
    html! {
        <li class="stretch">
            <select class="choice" aria-label={named(words::STRETCH_PHASE)} onchange={phase}>
                <option value="" selected={stretch.phase.is_none()}>{ text(words::LEFT_OUT) }</option>
                for row in rows {
                    <option value={row.to_string()} selected={stretch.phase == Some(*row)}>{ draft.get(Path::cell("phase", *row, "name")) }</option>
                }
                <option value="new">{ text(words::ONE_MORE) }</option>
            </select>
            <input type="text" inputmode="text" class="moment" aria-label={named(words::STRETCH_FROM)} value={moment::show(stretch.from_s)} onchange={from} />
            <span class="until">{ "– " }{ moment::show(stretch.to_s) }</span>
            <span class="acts">
                <button type="button" aria-label={named(words::SPLIT_NAMED)} onclick={split}>{ text(words::SPLIT) }</button>
                if place + 1 < all.len() {
                    <button type="button" aria-label={named(words::JOIN_NAMED)} onclick={join}>{ text(words::JOIN) }</button>
                }
            </span>
        </li>
    }
}
