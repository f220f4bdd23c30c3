//! The answer: sentence, numbers, tables, pictures, what to know, how it was worked out, where to go on.

use super::drawing::{Figure, copy_and_tell, save_csv};
use super::field::sentence;
use super::same::Same;
use super::sheet_ref::SheetRef;
use super::words;
use crate::calc::number;
use crate::calc::report::{Amount, Column, Filled, Grid, Note, NoteKind, Report, Step, Value};
use crate::calc::sheet::Sheet;
use crate::calc::table_text;
use crate::sheets;
use crate::text::{Arg, Style, say};
use yew::prelude::*;

/// The numbers, one a line; a tap copies one.
fn values(values: &[Value], style: Style, tell: &Callback<String>) -> Html {
    html! {
        <dl class="values">
            for value in values.iter() {
                <div data-value={value.id}>
                    <dt>{ sentence(&value.label, style) }</dt>
                    <dd>
                        { value_button(value, style, tell) }
                        if let Some(grade) = value.grade { <span class="grade">{ style.language.text(grade.msg()) }</span> }
                        if let Some(note) = &value.note { <span class="aside">{ sentence(note, style) }</span> }
                    </dd>
                </div>
            }
        </dl>
    }
}

fn value_button(value: &Value, style: Style, tell: &Callback<String>) -> Html {
    let shown = value.amount.arg(value.quantity).text(style);
    if value.amount == Amount::Unknown {
        return html! { <span class="n">{ shown }</span> };
    }
    let copied = value.amount.value().map_or_else(|| shown.clone(), |number| number::copyable(number, value.quantity, style));
    let tell = tell.clone();
    let done = say(words::COPIED_VALUE).typed("value", copied.clone());
    let onclick = Callback::from(move |_: MouseEvent| copy_and_tell(copied.clone(), done.clone(), style, tell.clone()));
    html! { <button type="button" class="value n" {onclick}>{ shown }</button> }
}

/// Words begin at the left; numbers end at the right.
fn words_class(column: &Column, cell: &Arg) -> Option<&'static str> {
    let words = match cell {
        Arg::Msg(_) | Arg::List(_) => true,
        Arg::Said(_) => column.quantity.is_none(),
        Arg::Number(..) | Arg::PlusMinus(..) | Arg::AsTyped(..) | Arg::Typed(_) | Arg::Nothing => false,
    };
    words.then_some("words")
}

/// A table of results.
pub(super) fn grid(grid: &Grid, style: Style, tell: &Callback<String>) -> Html {
    let copy = {
        let (grid, tell) = (grid.clone(), tell.clone());
        Callback::from(move |_: MouseEvent| copy_and_tell(table_text::tsv(&grid, style), words::COPIED.into(), style, tell.clone()))
    };
    let csv = {
        let grid = grid.clone();
        Callback::from(move |_: MouseEvent| save_csv(&grid, style))
    };
    html! {
        <>
            <div class="scroll" tabindex="0" role="group" aria-label={grid.title.text(style)}>
                <table data-grid={grid.id}>
                    <caption>{ sentence(&grid.title, style) }</caption>
                    <thead><tr>
                        for (at, column) in grid.columns.iter().enumerate() {
                            <th scope="col" class={grid.rows.first().and_then(|row| words_class(column, row.cells.get(at)?))}>
                                { column.label.text(style) }
                            </th>
                        }
                    </tr></thead>
                    <tbody>
                        for row in grid.rows.iter() {
                            <tr class={classes!(row.lead.then_some("lead"))}>
                                for (at, (cell, column)) in row.cells.iter().zip(&grid.columns).enumerate() {
                                    if at == 0 {
                                        <th scope="row">{ cell.text(style) }</th>
                                    } else {
                                        <td class={words_class(column, cell)}>{ cell.text(style) }</td>
                                    }
                                }
                            </tr>
                        }
                    </tbody>
                </table>
            </div>
            <div class="acts">
                <button type="button" onclick={copy}>{ style.language.text(words::COPY_TABLE) }</button>
                <button type="button" onclick={csv}>{ style.language.text(words::CSV) }</button>
            </div>
        </>
    }
}

/// A note, marked for what it is.
pub(super) fn note(one: &Note, style: Style) -> Html {
    let look = match one.kind {
        NoteKind::Plain => "note",
        NoteKind::Doubt => "note doubt",
        NoteKind::Care => "note care",
    };
    html! { <p class={look}>{ sentence(&one.said, style) }</p> }
}

fn step(step: &Step, style: Style) -> Html {
    let mut filled = String::new();
    for piece in &step.filled {
        match piece {
            Filled::Symbols(symbols) => filled.push_str(symbols),
            Filled::Number(value) => filled.push_str(&number::working(*value, style)),
            Filled::NewLine => filled.push('\n'),
        }
    }
    html! {
        <li>
            <p>{ sentence(&step.what, style) }</p>
            <div class="work" tabindex="0" role="group" aria-label={step.what.text(style)}>
                { step.formula }
                if !filled.is_empty() { { "\n" }{ filled } }
            </div>
            <p class="source">{ step.source.cite }{ " (" }{ step.source.how.words() }{ ")" }</p>
        </li>
    }
}

/// The links that go on from this answer.
fn go_on(report: &Report, style: Style) -> Html {
    let links = sheets::hand_overs(report)
        .map(|(target, over)| html! { <li><a href={target.link(&over.draft)}>{ sentence(&over.label, style) }</a></li> });
    html! { <ul class="q">for link in links { { link } }</ul> }
}

#[derive(Properties, PartialEq)]
pub(super) struct AnswerProps {
    pub(super) report: Same<Report>,
    pub(super) style: Style,
    pub(super) conditions: AttrValue,
    pub(super) tell: Callback<String>,
    pub(super) sheet: SheetRef,
}

/// Everything after the sentence.
#[component]
pub(super) fn Results(props: &AnswerProps) -> Html {
    let (report, style) = (&*props.report, props.style);
    let text = |msg| style.language.text(msg);
    let cares: Vec<&Note> = report.notes.iter().filter(|note| note.kind == NoteKind::Care).collect();
    let others: Vec<&Note> = report.notes.iter().filter(|note| note.kind != NoteKind::Care).collect();
    html! {
        <>
            if !report.values.is_empty() {
                <section aria-labelledby="h-numbers">
                    <h2 id="h-numbers">{ text(words::NUMBERS) }</h2>
                    { values(&report.values, style, &props.tell) }
                </section>
            }
            for picture in report.pictures.iter() {
                <Figure key={picture.id} picture={picture.clone()} {style} conditions={props.conditions.clone()} tell={props.tell.clone()} />
            }
            for table in report.tables.iter() {
                <section class="result" key={table.id}>{ grid(table, style, &props.tell) }</section>
            }
            if !others.is_empty() {
                <section aria-labelledby="h-notes">
                    <h2 id="h-notes">{ text(words::NOTES) }</h2>
                    for said in others { { note(said, style) } }
                </section>
            }
            if !cares.is_empty() || !props.sheet.0.meta().cautions.is_empty() {
                <section aria-labelledby="h-care">
                    <h2 id="h-care">{ text(words::CAUTIONS) }</h2>
                    for said in cares { { note(said, style) } }
                    for msg in props.sheet.0.meta().cautions.iter() { { note(&Note::care(*msg), style) } }
                </section>
            }
            if sheets::hand_overs(report).next().is_some() {
                <nav class="go-on" aria-labelledby="h-go">
                    <h2 id="h-go">{ text(words::GO_ON) }</h2>
                    { go_on(report, style) }
                </nav>
            }
            <details class="working">
                <summary>{ text(words::WORKING) }</summary>
                <ol>for one in report.working.iter() { { step(one, style) } }</ol>
            </details>
            { about(props.sheet.0, style) }
        </>
    }
}

/// Limits and sources: the same with and without an answer.
pub(super) fn about(sheet: &'static dyn Sheet, style: Style) -> Html {
    let meta = sheet.meta();
    html! {
        <details class="about">
            <summary>{ style.language.text(words::LIMITS) }{ ", " }{ style.language.text(words::SOURCES).to_ascii_lowercase() }</summary>
            <ul>for limit in meta.limits.iter() { <li>{ style.language.text(*limit) }</li> }</ul>
            <h2>{ style.language.text(words::SOURCES) }</h2>
            <ul>for source in meta.sources.iter() { <li>{ source.cite }{ " (" }{ source.how.words() }{ ")" }</li> }</ul>
        </details>
    }
}

/// The whole answer as text, for copying.
pub(super) fn as_text(report: &Report, title: &str, url: &str, style: Style) -> String {
    let mut lines = vec![title.to_owned(), report.headline.text(style)];
    lines.extend(report.support.iter().map(|said| said.text(style)));
    for value in &report.values {
        lines.push(format!("{}: {}", value.label.text(style), value.amount.arg(value.quantity).text(style)));
    }
    lines.push(url.to_owned());
    lines.join("\n")
}
