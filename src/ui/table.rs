//! A table of rows, each a small form: one thumb on a phone, a grid on a wide screen.

use super::field::{ByAddress, Field};
use super::state::Act;
use super::words;
use crate::calc::draft::{Col, Draft, Path, RowAt};
use crate::calc::error::FieldError;
use crate::calc::schema::{Cell, Kind, Place, Table};
use crate::calc::table_text;
use crate::text::{Said, Style, say};
use web_sys::HtmlTextAreaElement;
use yew::prelude::*;

/// What every field of a sheet needs to know.
#[derive(Clone, PartialEq)]
pub(super) struct Context {
    pub(super) style: Style,
    pub(super) act: Callback<Act>,
    pub(super) level_symbol: &'static str,
    pub(super) tell: Callback<String>,
}

/// The field for a cell of a draft.
pub(super) fn field(context: &Context, cell: &'static Cell, path: Path, draft: &Draft, around: &Around<'_>) -> Html {
    if !is_wanted(cell, path, draft, around) {
        return html! {};
    }
    let style = context.style;
    let problem = around.errors.iter().find(|error| error.path == path).map(|error| AttrValue::from(error.problem.said().text(style)));
    let remark = around.remarks.iter().find(|(at, _)| *at == path).map(|(_, said)| AttrValue::from(said.text(style)));
    let targets = match cell.kind {
        Kind::Row(table) => {
            let rows = draft.rows(table).iter().map(|row| RowAt { table, row: *row });
            rows.map(|at| AttrValue::from(row_name(around.schema_table(table), draft, at, style))).collect()
        }
        _ => Vec::new(),
    };
    let full_label = around.row_name.map(|name| AttrValue::from(format!("{}: {name}", style.language.text(cell.label))));
    html! {
        <Field key={path.dom_id()} cell={ByAddress(cell)} {path} text={AttrValue::from(draft.get(path).to_owned())} {style}
            act={context.act.clone()} {problem} {remark} level_symbol={context.level_symbol} {full_label} {targets}
            on_paste_rows={around.on_paste_rows.clone()} />
    }
}

/// Whether a cell has a place on the page for what is chosen now. A cell with text in it always has.
fn is_wanted(cell: &Cell, path: Path, draft: &Draft, around: &Around<'_>) -> bool {
    let Some((key, wanted)) = cell.when else { return true };
    if !draft.get(path).is_empty() {
        return true;
    }
    let chooser = Path { row: path.row, col: Col::Fixed(key) };
    let text = draft.get(chooser).trim();
    let default = path
        .row
        .and_then(|at| around.schema_table(at.table).and_then(|table| table.cell(key)))
        .or_else(|| around.tables.fields.iter().find(|cell| cell.key == key))
        .map_or("", |cell| cell.default);
    wanted.contains(&if text.is_empty() { default } else { text })
}

/// What surrounds a field.
pub(super) struct Around<'a> {
    pub(super) tables: &'static crate::calc::schema::Schema,
    pub(super) errors: &'a [FieldError],
    pub(super) remarks: &'a [(Path, Said)],
    pub(super) row_name: Option<&'a str>,
    pub(super) on_paste_rows: Option<Callback<String>>,
}

impl Around<'_> {
    fn schema_table(&self, key: &str) -> Option<&'static Table> {
        self.tables.table(key)
    }
}

/// What to call a row: its name, else "source 2".
pub(super) fn row_name(table: Option<&Table>, draft: &Draft, at: RowAt, style: Style) -> String {
    let named = at.table_name(draft);
    if !named.is_empty() {
        return named;
    }
    let row = table.map_or("", |table| style.language.text(table.row));
    say(words::ROW_NUMBER).typed("row", row).typed("number", draft.ordinal(at).unwrap_or(0).to_string()).text(style)
}

/// A table with its rows and buttons.
pub(super) fn table(context: &Context, table: &'static Table, draft: &Draft, around: &Around<'_>) -> Html {
    let style = context.style;
    let on_paste = {
        let (act, tell, draft_rows) = (context.act.clone(), context.tell.clone(), draft.clone());
        Callback::from(move |text: String| {
            let rows = table_text::rows_from_text(&text, table);
            if rows.is_empty() {
                tell.emit(style.language.text(words::PASTED_NONE).to_owned());
                return;
            }
            let put = table_text::put_rows(&mut draft_rows.clone(), table, &rows);
            let msg = if put == rows.len() { words::PASTED } else { words::PASTED_SOME };
            tell.emit(say(msg).typed("count", put.to_string()).text(style));
            act.emit(Act::Paste(table.key, rows));
        })
    };
    let rows = draft.rows(table.key);
    let many = rows.len() > 1;
    let add = {
        let act = context.act.clone();
        let (next, first) = (table.key, table.cells.first().map_or("", |cell| cell.key));
        let made = draft.clone().add_row(table.key);
        Callback::from(move |_: MouseEvent| {
            act.emit(Act::AddRow(next));
            // The row is there after the next render.
            gloo::timers::callback::Timeout::new(30, move || super::browser::focus(&Path::cell(next, made, first).dom_id())).forget();
        })
    };
    html! {
        <section class="table" aria-labelledby={format!("t-{}", table.key)}>
            <h2 id={format!("t-{}", table.key)}>{ style.language.text(table.label) }</h2>
            <p class="help">{ style.language.text(table.help) }</p>
            <ol class="rows">
                for row in rows.iter().copied() {
                    { row_form(context, table, draft, RowAt { table: table.key, row }, many, around, &on_paste) }
                }
            </ol>
            <div class="acts">
                if rows.len() < table.max_rows {
                    <button type="button" onclick={add}>{ say(words::ADD_ROW).with("row", table.row).text(style) }</button>
                }
                if table.paste { <PasteBox {style} on_take={on_paste.clone()} /> }
            </div>
        </section>
    }
}

fn row_form(
    context: &Context,
    table: &'static Table,
    draft: &Draft,
    at: RowAt,
    many: bool,
    around: &Around<'_>,
    on_paste: &Callback<String>,
) -> Html {
    let style = context.style;
    let name = row_name(Some(table), draft, at, style);
    let around = Around {
        tables: around.tables,
        errors: around.errors,
        remarks: around.remarks,
        row_name: Some(&name),
        on_paste_rows: table.paste.then(|| on_paste.clone()),
    };
    let path = |cell: &Cell| Path { row: Some(at), col: Col::Fixed(cell.key) };
    let front = table.cells.iter().filter(|cell| cell.place == Place::Front);
    let more: Vec<&'static Cell> = table.cells.iter().filter(|cell| cell.place == Place::More).collect();
    let more_open = more.iter().any(|cell| !draft.get(path(cell)).is_empty());
    let button = |act_on: Act, msg, named| {
        let act = context.act.clone();
        let onclick = Callback::from(move |_: MouseEvent| act.emit(act_on.clone()));
        let label = say(named).typed("row", name.clone()).text(style);
        html! { <button type="button" aria-label={label} {onclick}>{ style.language.text(msg) }</button> }
    };
    let per_cells = table.per.as_ref().map(|per| {
        let others = draft.rows(per.table).iter().map(|row| RowAt { table: per.table, row: *row });
        let fields: Html = others
            .map(|other| {
                let path = Path::per(at.table, at.row, other.row);
                let label = row_name(around.schema_table(per.table), draft, other, style);
                html! { <div class="per"><span>{ label }</span>{ field(context, &per.cell, path, draft, &around) }</div> }
            })
            .collect();
        fields
    });
    html! {
        <li class="row" key={at.row}>
            <div class="cells">
                for cell in front { { field(context, cell, path(cell), draft, &around) } }
            </div>
            if let Some(fields) = per_cells { { fields } }
            <details class="row-more" open={more_open}>
                <summary>{ style.language.text(words::MORE) }<span class="sr">{ ": " }{ name.clone() }</span></summary>
                <div class="cells">
                    for cell in more { { field(context, cell, path(cell), draft, &around) } }
                </div>
                <div class="acts">
                    if many {
                        { button(Act::MoveRow(at, -1), words::UP, words::UP_NAMED) }
                        { button(Act::MoveRow(at, 1), words::DOWN, words::DOWN_NAMED) }
                    }
                    { button(Act::RemoveRow(at), words::REMOVE_ROW, words::REMOVE_ROW_NAMED) }
                </div>
            </details>
        </li>
    }
}

#[derive(Properties, PartialEq)]
struct PasteProps {
    style: Style,
    on_take: Callback<String>,
}

#[component]
fn PasteBox(props: &PasteProps) -> Html {
    let open = use_state(|| false);
    let area = use_node_ref();
    let style = props.style;
    let toggle = {
        let open = open.clone();
        Callback::from(move |_: MouseEvent| open.set(!*open))
    };
    let take = {
        let (open, area, on_take) = (open.clone(), area.clone(), props.on_take.clone());
        Callback::from(move |_: MouseEvent| {
            if let Some(area) = area.cast::<HtmlTextAreaElement>() {
                on_take.emit(area.value());
                open.set(false);
            }
        })
    };
    let expanded = if *open { "true" } else { "false" };
    html! {
        <>
            <button type="button" aria-expanded={expanded} onclick={toggle}>{ style.language.text(words::PASTE) }</button>
            if *open {
                <div class="paste">
                    <label for="paste-area">{ style.language.text(words::PASTE_HELP) }</label>
                    <textarea id="paste-area" ref={area} rows="5" spellcheck="false" />
                    <button type="button" class="go" onclick={take}>{ style.language.text(words::PASTE_TAKE) }</button>
                </div>
            }
        </>
    }
}
