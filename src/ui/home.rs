//! The first page: the quickest useful answer, then the questions, then what was worked out last.

use super::draft::{use_draft, use_shortcuts, use_spoken};
use super::field::sentence;
use super::offer;
use super::sheet_ref::SheetRef;
use super::store::{self, Entry};
use super::table::{self, Around, Context};
use super::words;
use crate::calc::draft::Path;
use crate::calc::quantity::Quantity;
use crate::calc::read::Reader;
use crate::calc::sheet::{Group, Outcome};
use crate::sheets;
use crate::text::{Msg, Style};
use yew::prelude::*;

#[derive(Properties, PartialEq)]
pub(super) struct HomeProps {
    pub(super) style: Style,
    pub(super) tell: Callback<String>,
}

const GROUPS: [(Group, Msg); 5] = [
    (Group::Find, words::GROUP_FIND),
    (Group::Change, words::GROUP_CHANGE),
    (Group::Check, words::GROUP_CHECK),
    (Group::Movement, words::GROUP_MOVEMENT),
    (Group::Cooling, words::GROUP_COOLING),
];

#[component]
pub(super) fn Home(props: &HomeProps) -> Html {
    let style = props.style;
    let text = |msg| style.language.text(msg);
    use_effect_with((), |()| super::browser::set_title("Lessdin"));
    let saved = use_state(store::saved);
    let recent = use_memo((), |()| store::recent());
    let forget = {
        let saved = saved.clone();
        Callback::from(move |link: String| {
            store::unsave(&link);
            saved.set(store::saved());
        })
    };
    html! {
        <main class="home">
            <h1 id="top" tabindex="-1">{ text(words::HOME_TITLE) }</h1>
            if let Some(alone) = offer::find("alone") { <Quick {style} tell={props.tell.clone()} sheet={SheetRef(alone)} /> }
            <nav aria-label={text(words::QUESTIONS)}>
                for (group, name) in GROUPS { { questions(group, name, style) } }
            </nav>
            { entries(&recent, words::HOME_RECENT, style, None) }
            { entries(&saved, words::HOME_SAVED, style, Some(&forget)) }
        </main>
    }
}

fn questions(group: Group, name: Msg, style: Style) -> Html {
    let list: Vec<&sheets::Question> = sheets::MENU.iter().filter(|question| question.group == group).collect();
    if list.is_empty() {
        return html! {};
    }
    html! {
        <section>
            <h2>{ style.language.text(name) }</h2>
            <ul class="q">
                for question in list {
                    <li><a href={format!("#/{}", question.id)}>
                        { style.language.text(question.title) }
                        if !question.hint.en.is_empty() { <small>{ style.language.text(question.hint) }</small> }
                    </a></li>
                }
            </ul>
        </section>
    }
}

fn entries(list: &[Entry], name: Msg, style: Style, forget: Option<&Callback<String>>) -> Html {
    if list.is_empty() {
        return html! {};
    }
    html! {
        <section>
            <h2>{ style.language.text(name) }</h2>
            <ul class="q kept">
                for entry in list.iter() {
                    <li>
                        <a href={entry.link.clone()}>{ &entry.headline }<small>{ &entry.date }</small></a>
                        if let Some(forget) = forget {
                            <button type="button" aria-label={format!("{}: {}", style.language.text(words::FORGET), entry.headline)}
                                onclick={forget.reform({ let link = entry.link.clone(); move |_: MouseEvent| link.clone() })}>
                                { style.language.text(words::FORGET) }
                            </button>
                        }
                    </li>
                }
            </ul>
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct QuickProps {
    style: Style,
    tell: Callback<String>,
    sheet: SheetRef,
}

/// `alone` in its shortest form: two fields and the sentence. The same draft, so the sheet goes on from here.
#[component]
fn Quick(props: &QuickProps) -> Html {
    let (style, sheet) = (props.style, props.sheet.0);
    let text = |msg| style.language.text(msg);
    let (state, run, act) = use_draft(sheet, "", false);
    use_shortcuts(&act);
    use_spoken(if let Outcome::Answer(report) = &run.outcome { report.headline.text(style) } else { String::new() }, &props.tell);
    let draft = state.draft();
    let context = Context { style, act, level_symbol: Quantity::Level(Reader::new(draft).weighting()).symbol(), tell: props.tell.clone() };
    let around = Around { tables: sheet.schema(), errors: &run.errors, remarks: &run.remarks, row_name: None, paste: None };
    let draw = |key: &str| sheet.schema().field(key).map(|cell| table::field(&context, cell, Path::field(cell.key), draft, &around));
    let (class, lead, support) = match &run.outcome {
        Outcome::Answer(report) => {
            ("answer", sentence(&report.headline, style), report.support.iter().map(|said| sentence(said, style)).collect::<Vec<_>>())
        }
        Outcome::Impossible(refusal) => ("answer impossible", sentence(&refusal.said, style), Vec::new()),
        Outcome::Waiting(_) => ("answer waiting", html! { { text(words::HOME_EMPTY) } }, Vec::new()),
    };
    let answered = matches!(run.outcome, Outcome::Answer(_));
    html! {
        <>
            <div {class} id="answer" tabindex="-1"><p>{ lead }</p></div>
            if !support.is_empty() { <div class="support">for line in support { <p>{ line }</p> }</div> }
            <form class="inputs two" onsubmit={Callback::from(|event: SubmitEvent| event.prevent_default())}>
                { draw("on") }
                { draw("off") }
            </form>
            if answered {
                <p><a class="go" href={sheet.link(draft)}>{ text(words::HOME_WHAT_NOW) }</a></p>
            }
            <p class="note care">{ text(words::HOME_CARE) }</p>
            <section class="read-well">
                <h2>{ text(words::HOME_READ_WELL) }</h2>
                <ul>
                    for msg in [words::HOME_READ_A, words::HOME_READ_SPOT, words::HOME_READ_TABLE, words::HOME_READ_AIR] { <li>{ text(msg) }</li> }
                </ul>
            </section>
        </>
    }
}
