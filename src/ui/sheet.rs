//! A sheet on the page: question, sentence, inputs, numbers, picture, working.

use super::answer::{self, Results};
use super::browser::{self, Shared};
use super::draft::{REST, use_draft, use_shortcuts, use_spoken};
use super::drawing::copy_and_tell;
use super::field::sentence;
use super::offer;
use super::same::Same;
use super::sheet_ref::SheetRef;
use super::state::{Act, State};
use super::store;
use super::table::{self, Around, Context};
use super::words;
use crate::calc::draft::{Draft, Path};
use crate::calc::quantity::Quantity;
use crate::calc::read::Reader;
use crate::calc::report::{Note, Report};
use crate::calc::schema::{CONDITIONS, Cell, FROM, Place, TITLE};
use crate::calc::sheet::{Outcome, Run, Sheet};
use crate::logs::floats;
use crate::text::{Said, Style, say};
use crate::worker::client::{Client, Refused};
use gloo::timers::callback::Timeout;
use std::rc::Rc;
use yew::prelude::*;

/// Random numbers start here: the same inputs give the same ± on every device.
const SEED: u32 = 20_261;

#[derive(Properties, PartialEq)]
pub(super) struct SheetProps {
    pub(super) sheet: SheetRef,
    pub(super) style: Style,
    /// The address, as it stood when it last changed by itself: a link, back, forward.
    pub(super) fragment: AttrValue,
    pub(super) tell: Callback<String>,
}

/// What the longer calculation is doing.
#[derive(Clone, PartialEq)]
enum Refining {
    No,
    At(f64),
    /// What was found for the draft of this turn.
    Done(u32, Rc<Vec<f64>>),
    Failed,
}

/// The page of a sheet.
pub(super) fn page(sheet: SheetRef, fragment: &AttrValue, style: Style, tell: &Callback<String>) -> Html {
    html! { <SheetPage key={sheet.0.meta().id} {sheet} {style} fragment={fragment.clone()} tell={tell.clone()} /> }
}

#[component]
pub(super) fn SheetPage(props: &SheetProps) -> Html {
    let sheet = props.sheet.0;
    let style = props.style;
    let (state, quick, act) = use_draft(sheet, &props.fragment, true);
    {
        // The address changed by itself: another link to this sheet, back, forward.
        let (act, address) = (act.clone(), state.address.clone());
        let first = use_mut_ref(|| true);
        use_effect_with(props.fragment.clone(), move |fragment| {
            let elsewhere = **fragment != *address.borrow().link;
            if !first.replace(false) && elsewhere {
                act.emit(Act::Open(fragment.to_string()));
            }
        });
    }
    let (refining, cancel) = use_refined(sheet, &state, &quick);
    let run = {
        let state = state.clone();
        let found = match &*refining {
            Refining::Done(turn, found) if *turn == state.turn => Some(found.clone()),
            _ => None,
        };
        let refined =
            use_memo((state.turn, found), move |(_, found)| found.as_ref().map(|found| Rc::new(sheet.run(state.draft(), Some(found)))));
        (*refined).clone().unwrap_or(quick)
    };
    let link = use_link(&state);
    use_shortcuts(&act);
    let title = style.language.text(sheet.meta().title);
    use_effect_with(title, |title| browser::set_title(&format!("{title} · Lessdin")));
    let report = if let Outcome::Answer(report) = &run.outcome { Some(Same(report.clone())) } else { None };
    let headline = report.as_ref().map(|report| report.headline.text(style));
    use_spoken(headline.clone().unwrap_or_default(), &props.tell);
    use_remembered(&state, headline);
    let conditions = AttrValue::from(conditions_text(sheet, state.draft(), style));

    html! {
        <main class="sheet" data-sheet={sheet.meta().id}>
            <h1 id="top" tabindex="-1">{ title }</h1>
            { answer_block(sheet, &state, &run, style) }
            { inputs(sheet, &state, &run, style, &act, &props.tell, &conditions) }
            <div class="results">
                { progress(&refining, &cancel, style) }
                if let Some(report) = report {
                    <Actions report={report.clone()} {state} link={link.clone()} {style} tell={props.tell.clone()} />
                    <Results {report} {style} conditions={conditions.clone()} tell={props.tell.clone()} sheet={props.sheet} />
                } else {
                    for msg in sheet.meta().cautions.iter() { { answer::note(&Note::care(*msg), style) } }
                    { answer::about(sheet, style) }
                }
            </div>
            <footer class="printed">
                <p>{ conditions }</p>
                <p>{ browser::base() }{ link }</p>
            </footer>
        </main>
    }
}

/// The link of the draft, once typing rests.
#[hook]
fn use_link(state: &UseReducerHandle<State>) -> AttrValue {
    let made = |state: &State| AttrValue::from(state.sheet.link(state.draft()));
    let link = use_state_eq(|| made(state));
    {
        let (link, state) = (link.setter(), state.clone());
        use_effect_with((state.turn, state.settled), move |(_, settled)| {
            let rest = Timeout::new(if *settled { 0 } else { REST }, move || link.set(made(&state)));
            move || drop(rest)
        });
    }
    (*link).clone()
}

/// Asks the worker once typing rests, and again when the inputs change.
#[hook]
fn use_refined(
    sheet: &'static dyn Sheet,
    state: &UseReducerHandle<State>,
    quick: &Rc<Run>,
) -> (UseStateHandle<Refining>, Callback<MouseEvent>) {
    let refining = use_state_eq(|| Refining::No);
    // The question that is open; 0 for none.
    let asked = use_mut_ref(|| 0);
    let client = {
        let refining = refining.setter();
        use_memo((), move |()| Client::new("worker", move |_, share, _| refining.set(Refining::At(share))))
    };
    {
        let (client, refining, asked) = (client.clone(), refining.setter(), asked.clone());
        let state = state.clone();
        let wanted = sheet.meta().refines && matches!(quick.outcome, Outcome::Answer(_));
        use_effect_with((state.turn, wanted), move |(turn, wanted)| {
            client.cancel(asked.replace(0));
            refining.set(Refining::No);
            let (turn, wanted) = (*turn, *wanted);
            let rest = wanted.then(|| {
                Timeout::new(500, move || {
                    refining.set(Refining::At(0.0));
                    let (id, answer) = client.ask(&[sheet.link(state.draft()).into(), SEED.into()]);
                    asked.replace(id);
                    wasm_bindgen_futures::spawn_local(async move {
                        match answer.await {
                            Ok(found) => refining.set(Refining::Done(turn, Rc::new(floats(&found)))),
                            Err(Refused::Nothing) => {}
                            Err(_) => refining.set(Refining::Failed),
                        }
                    });
                })
            });
            move || drop(rest)
        });
    }
    let cancel = {
        let refining = refining.setter();
        use_callback((), move |_: MouseEvent, ()| {
            client.cancel(asked.replace(0));
            refining.set(Refining::No);
        })
    };
    (refining, cancel)
}

fn progress(refining: &Refining, cancel: &Callback<MouseEvent>, style: Style) -> Html {
    match refining {
        Refining::At(share) => html! {
            <p class="progress">
                { say(words::REFINING).num("share", Quantity::Share, *share).text(style) }
                <button type="button" onclick={cancel.clone()}>{ style.language.text(words::CANCEL) }</button>
            </p>
        },
        Refining::Failed => html! { <p class="note doubt">{ style.language.text(words::REFINE_FAILED) }</p> },
        Refining::No | Refining::Done(..) => html! {},
    }
}

/// Puts the calculation on the list of what was worked out last, once it rests.
#[hook]
fn use_remembered(state: &UseReducerHandle<State>, headline: Option<String>) {
    let state = state.clone();
    use_effect_with((state.turn, headline), move |(_, headline)| {
        let headline = headline.clone();
        let rest = headline.map(|headline| Timeout::new(1500, move || store::remember(&state.sheet.link(state.draft()), &headline)));
        move || drop(rest)
    });
}

/// The sentence, or what is still needed, or why there is none.
fn answer_block(sheet: &'static dyn Sheet, state: &State, run: &Run, style: Style) -> Html {
    let (class, lead, support): (&str, Html, Vec<Html>) = match &run.outcome {
        Outcome::Answer(report) => {
            ("answer", sentence(&report.headline, style), report.support.iter().map(|said| sentence(said, style)).collect())
        }
        Outcome::Impossible(refusal) => ("answer impossible", sentence(&refusal.said, style), Vec::new()),
        Outcome::Waiting(paths) => {
            let untouched = state.draft().is_empty();
            let lead = html! { { style.language.text(sheet.meta().empty) } };
            let msg = if run.errors.is_empty() { words::NEEDS } else { words::WRONG_FIELDS };
            let names: Vec<_> = paths.iter().map(|path| crate::text::Arg::Typed(field_name(sheet, state.draft(), *path, style))).collect();
            let support = if untouched || names.is_empty() {
                Vec::new()
            } else {
                vec![sentence(&say(msg).with("fields", crate::text::Arg::List(names)), style)]
            };
            ("answer waiting", lead, support)
        }
    };
    html! {
        <>
            <div {class} id="answer" tabindex="-1"><p>{ lead }</p></div>
            if !support.is_empty() { <div class="support">for line in support { <p>{ line }</p> }</div> }
        </>
    }
}

/// The sheet's example.
fn example(sheet: &'static dyn Sheet) -> Draft {
    offer::open(sheet.meta().example).draft.unwrap_or_default()
}

/// What to call a field outside its place.
fn field_name(sheet: &'static dyn Sheet, draft: &Draft, path: Path, style: Style) -> String {
    let schema = sheet.schema();
    match path.row {
        None => schema.field(path.key()).map_or("", |cell| style.language.text(cell.label)).to_owned(),
        Some(at) => {
            let table = schema.table(at.table);
            let label = table.and_then(|table| table.cell(path.key())).map_or("", |cell| style.language.text(cell.label));
            format!("{label} ({})", table::row_name(table, draft, at, style))
        }
    }
}

/// Where the numbers came from, in words.
fn from_note(draft: &Draft) -> Option<Said> {
    let from = offer::find(draft.get(Path::field(FROM.key)))?;
    Some(say(words::CAME_FROM).with("title", from.meta().title))
}

fn inputs(
    sheet: &'static dyn Sheet,
    state: &UseReducerHandle<State>,
    run: &Run,
    style: Style,
    act: &Callback<Act>,
    tell: &Callback<String>,
    conditions: &AttrValue,
) -> Html {
    let draft = state.draft();
    let level_symbol = Quantity::Level(Reader::new(draft).weighting()).symbol();
    let context = Context { style, act: act.clone(), level_symbol, tell: tell.clone() };
    let schema = sheet.schema();
    let around = Around { tables: schema, errors: &run.errors, remarks: &run.remarks, row_name: None, paste: None };
    let draw = |cell: &'static Cell| table::field(&context, cell, Path::field(cell.key), draft, &around);
    let typed = |cells: &[&'static Cell]| cells.iter().any(|cell| !draft.get(Path::field(cell.key)).is_empty());
    let front: Vec<&'static Cell> = schema.fields.iter().filter(|cell| cell.place == Place::Front).collect();
    let more: Vec<&'static Cell> = schema.fields.iter().filter(|cell| cell.place == Place::More).collect();
    let front_tables = schema.tables.iter().filter(|table| table.place == Place::Front);
    let more_tables: Vec<_> = schema.tables.iter().filter(|table| table.place == Place::More).collect();
    let more_open = typed(&more) || more_tables.iter().any(|table| draft.rows(table.key).len() > table.start_rows);
    let conditions_wrong =
        run.errors.iter().any(|error| error.path.row.is_none() && CONDITIONS.iter().any(|cell| cell.key == error.path.key()));
    let text = |msg| style.language.text(msg);
    let send = |what: Act| {
        let act = act.clone();
        Callback::from(move |_: MouseEvent| act.emit(what.clone()))
    };
    html! {
        <form class="inputs" aria-label={text(words::INPUTS)} onsubmit={Callback::from(|event: SubmitEvent| event.prevent_default())}>
            for said in state.notes.iter().cloned().chain(from_note(draft)) { <p class="note">{ sentence(&said, style) }</p> }
            if let Some(draw) = offer::whole().and_then(|whole| whole.front) { { draw(state, &context, conditions) } }
            for cell in front { { draw(cell) } }
            for one in front_tables { { table::table(&context, one, draft, &around) } }
            if !more.is_empty() || !more_tables.is_empty() {
                <details class="more" open={more_open}>
                    <summary>{ text(words::MORE) }</summary>
                    for cell in more { { draw(cell) } }
                    for one in more_tables { { table::table(&context, one, draft, &around) } }
                </details>
            }
            <details class="conditions" open={conditions_wrong}>
                <summary>{ text(crate::text::common_words::CONDITIONS) }</summary>
                for cell in CONDITIONS.iter() { { draw(cell) } }
            </details>
            <div class="acts">
                if draft.is_empty() {
                    <button type="button" class="go" onclick={send(Act::Replace(example(sheet), vec![words::EXAMPLE_SHOWN.into()]))}>{ text(words::EXAMPLE) }</button>
                } else {
                    <button type="button" onclick={send(Act::Replace(Draft::default(), Vec::new()))}>{ text(words::CLEAR) }</button>
                }
                if state.history.can_undo() { <button type="button" onclick={send(Act::Undo)}>{ text(words::UNDO) }</button> }
                if state.history.can_redo() { <button type="button" onclick={send(Act::Redo)}>{ text(words::REDO) }</button> }
            </div>
        </form>
    }
}

/// The conditions in one line, for print and pictures.
fn conditions_text(sheet: &'static dyn Sheet, draft: &Draft, style: Style) -> String {
    let mut parts: Vec<String> = Vec::new();
    let title = draft.get(Path::field(TITLE.key)).trim();
    parts.push(if title.is_empty() { style.language.text(sheet.meta().title).to_owned() } else { title.to_owned() });
    for cell in CONDITIONS.iter().filter(|cell| cell.key != TITLE.key) {
        let raw = draft.get(Path::field(cell.key)).trim();
        let raw = if raw.is_empty() { cell.default } else { raw };
        if raw.is_empty() {
            continue;
        }
        let shown = match cell.kind {
            crate::calc::schema::Kind::Choice(choices) => {
                choices.iter().find(|choice| choice.key == raw).map_or(raw, |choice| style.language.text(choice.label)).to_owned()
            }
            crate::calc::schema::Kind::Number { quantity, .. } => crate::calc::read::number(cell, raw)
                .map_or_else(|_| raw.to_owned(), |typed| crate::calc::number::show(typed.base, quantity, style)),
            _ => raw.to_owned(),
        };
        parts.push(format!("{}: {shown}", style.language.text(cell.label)));
    }
    parts.push(say(words::MADE_WITH).typed("date", browser::today()).text(style));
    parts.join(" · ")
}

#[derive(Properties, PartialEq)]
struct ActionsProps {
    report: Same<Report>,
    state: UseReducerHandle<State>,
    /// The link, once typing rests.
    link: AttrValue,
    style: Style,
    tell: Callback<String>,
}

/// Share, copy, save, print.
#[component]
fn Actions(props: &ActionsProps) -> Html {
    let (style, sheet) = (props.style, props.state.sheet);
    let text = |msg| style.language.text(msg);
    let title = text(sheet.meta().title);
    let link = {
        let state = props.state.clone();
        move || state.sheet.link(state.draft())
    };
    let share = {
        let (link, report, tell) = (link.clone(), props.report.clone(), props.tell.clone());
        Callback::from(move |_: MouseEvent| {
            let (url, headline, tell) = (browser::base() + &link(), report.headline.text(style), tell.clone());
            wasm_bindgen_futures::spawn_local(async move {
                if let Shared::NoDialogue = browser::share(title, &headline, &url).await {
                    copy_and_tell(url, words::LINK_COPIED.into(), style, tell);
                }
            });
        })
    };
    let copy = {
        let (link, report, tell) = (link.clone(), props.report.clone(), props.tell.clone());
        Callback::from(move |_: MouseEvent| {
            let url = browser::base() + &link();
            copy_and_tell(answer::as_text(&report, title, &url, style), words::COPIED.into(), style, tell.clone());
        })
    };
    let save = {
        let (report, tell) = (props.report.clone(), props.tell.clone());
        Callback::from(move |_: MouseEvent| {
            let msg = if store::save(&link(), &report.headline.text(style)) { words::SAVED } else { words::SAVE_FAILED };
            tell.emit(style.language.text(msg).to_owned());
        })
    };
    let length_note = sheet.length_note(&(browser::base() + &props.link));
    html! {
        <div class="acts main-acts">
            <button type="button" class="go" onclick={share}>{ text(words::SHARE) }</button>
            <button type="button" onclick={copy}>{ text(words::COPY) }</button>
            <button type="button" onclick={save}>{ text(words::SAVE) }</button>
            <button type="button" onclick={Callback::from(|_: MouseEvent| browser::print())}>{ text(words::PRINT) }</button>
            if let Some(said) = length_note { <p class="note doubt">{ sentence(&said, style) }</p> }
        </div>
    }
}
