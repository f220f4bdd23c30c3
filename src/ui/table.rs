//! A table of rows, each a small form: one thumb on a phone, a grid on a wide screen.

use super::field::{ByAddress, Field, FieldProps};
use super::offer;
use super::state::Act;
use super::words;
use crate::calc::draft::{Col, Draft, Path, RowAt, RowId};
use crate::calc::error::FieldError;
use crate::calc::quantity::Quantity;
use crate::calc::schema::{Cell, Kind, Place, Schema, Table};
use crate::calc::sheet::Sheet;
use crate::calc::table_text;
use crate::text::{Said, Style, common_words, say};
use crate::units::Weighting;
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
    html! { if let Some(props) = field_props(context, cell, path, draft, around) { { drawn(&props) } } }
}

fn drawn(props: &FieldProps) -> Html {
    html! { <Field key={props.path.dom_id()} ..props.clone() /> }
}

/// What the field for a cell shows, when it has a place now.
fn field_props(context: &Context, cell: &'static Cell, path: Path, draft: &Draft, around: &Around<'_>) -> Option<FieldProps> {
    if !is_wanted(cell, path, draft, around) {
        return None;
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
    Some(FieldProps {
        cell: ByAddress(cell),
        path,
        text: AttrValue::from(draft.get(path).to_owned()),
        style,
        act: context.act.clone(),
        problem,
        remark,
        level_symbol: context.level_symbol,
        row_name: around.row_name.clone(),
        targets,
        paste: around.paste.clone(),
    })
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
    pub(super) row_name: Option<AttrValue>,
    pub(super) paste: Option<PasteInto>,
}

/// How pasted text becomes rows: always [`table_text::count_rows`] and [`table_text::put_text`]. Held as values, so that a program
/// without tables does not carry them.
#[derive(Clone, Copy)]
struct Lines {
    count: fn(&str, &Table) -> usize,
    put: fn(&mut Draft, &Schema, &'static Table, &str) -> usize,
}

impl PartialEq for Lines {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

/// The table that pasted lines go to. Equal as long as the same would become of them.
#[derive(Clone, PartialEq)]
pub(super) struct PasteInto {
    table: ByAddress<Table>,
    lines: Lines,
    /// How many rows can be put.
    room: usize,
    style: Style,
    act: Callback<Act>,
    tell: Callback<String>,
}

impl PasteInto {
    fn new(context: &Context, table: &'static Table, draft: &Draft) -> Self {
        let room = table_text::room(draft, table);
        Self {
            table: ByAddress(table),
            lines: Lines { count: table_text::count_rows, put: table_text::put_text },
            room,
            style: context.style,
            act: context.act.clone(),
            tell: context.tell.clone(),
        }
    }

    /// Puts the lines into the table and says how many.
    pub(super) fn take(&self, text: &str) {
        let (table, style) = (self.table.0, self.style);
        let rows = (self.lines.count)(text, table);
        if rows == 0 {
            self.tell.emit(style.language.text(words::PASTED_NONE).to_owned());
            return;
        }
        let put = rows.min(self.room);
        let msg = if put == rows { words::PASTED } else { words::PASTED_SOME };
        self.tell.emit(say(msg).typed("count", put.to_string()).text(style));
        let (put, text) = (self.lines.put, text.to_owned());
        self.act.emit(Act::edit(move |sheet, draft| {
            sheet.schema().keep_pointing(draft, |draft| {
                put(draft, sheet.schema(), table, &text);
            });
        }));
    }
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
    let paste = table.paste.then(|| PasteInto::new(context, table, draft));
    let rows = draft.rows(table.key);
    let many = rows.len() > 1;
    let add = {
        let act = context.act.clone();
        let next = table.key;
        let made = draft.clone().add_row(next);
        // Where the row begins: what is on, where that is asked; else the first field in view.
        let part = table.per.as_ref().filter(|per| is_state(&per.cell)).and_then(|per| draft.rows(per.table).first());
        let first = part.map_or_else(
            || {
                let front = table.cells.iter().find(|cell| cell.place == Place::Front).or(table.cells.first());
                Path::cell(next, made, front.map_or("", |cell| cell.key)).dom_id()
            },
            |part| switch_id(Path::per(next, made, *part)),
        );
        Callback::from(move |_: MouseEvent| {
            act.emit(Act::edit(move |_, draft| {
                draft.add_row(next);
            }));
            // The row is there after the next render.
            let first = first.clone();
            gloo::timers::callback::Timeout::new(30, move || super::browser::focus(&first)).forget();
        })
    };
    html! {
        <section class="table" aria-labelledby={format!("t-{}", table.key)}>
            <h2 id={format!("t-{}", table.key)}>{ style.language.text(table.label) }</h2>
            <p class="help">{ style.language.text(table.help) }</p>
            <ol class="rows">
                for row in rows.iter() { { row_form(context, table, draft, *row, many, around, paste.as_ref()) } }
            </ol>
            <div class="acts">
                if rows.len() < table.max_rows {
                    <button type="button" onclick={add}>{ say(words::ADD_ROW).with("row", table.row).text(style) }</button>
                }
                if let Some(paste) = paste.clone() { <PasteBox {style} {paste} /> }
            </div>
        </section>
    }
}

fn row_form(
    context: &Context,
    table: &'static Table,
    draft: &Draft,
    row: RowId,
    many: bool,
    around: &Around<'_>,
    paste: Option<&PasteInto>,
) -> Html {
    let at = RowAt { table: table.key, row };
    let name = AttrValue::from(row_name(Some(table), draft, at, context.style));
    let around = Around {
        tables: around.tables,
        errors: around.errors,
        remarks: around.remarks,
        row_name: Some(name.clone()),
        paste: paste.cloned(),
    };
    let fields = |place| {
        let cells = table.cells.iter().filter(|cell| cell.place == place);
        cells.filter_map(|cell| field_props(context, cell, Path { row: Some(at), col: Col::Fixed(cell.key) }, draft, &around)).collect()
    };
    let per = table.per.iter().flat_map(|per| {
        let (context, around, name) = (context, &around, &name);
        draft.rows(per.table).iter().filter_map(move |row| {
            let other = RowAt { table: per.table, row: *row };
            let label = AttrValue::from(row_name(around.schema_table(per.table), draft, other, context.style));
            let props = field_props(context, &per.cell, Path::per(at.table, at.row, other.row), draft, around)?;
            let named = say(words::CELL_OF).typed("part", label.to_string()).typed("row", name.to_string()).text(context.style);
            Some((label, FieldProps { row_name: Some(AttrValue::from(named)), ..props }))
        })
    });
    let per: Vec<(AttrValue, FieldProps)> = per.collect();
    let (front, more): (_, Vec<FieldProps>) = (fields(Place::Front), fields(Place::More));
    html! { <RowForm key={row} style={context.style} act={context.act.clone()} {at} {name} {many} {front} {per} {more} /> }
}

/// Takes a row away; a table that shows rows at the start keeps one.
fn remove(sheet: &'static dyn Sheet, draft: &mut Draft, at: RowAt) {
    let schema = sheet.schema();
    schema.keep_pointing(draft, |draft| draft.remove_row(at));
    if schema.table(at.table).is_some_and(|table| table.start_rows > 0) && draft.rows(at.table).is_empty() {
        draft.add_row(at.table);
    }
}

#[derive(Properties, PartialEq)]
struct RowProps {
    style: Style,
    act: Callback<Act>,
    at: RowAt,
    name: AttrValue,
    /// There are other rows, so this one can move.
    many: bool,
    front: Vec<FieldProps>,
    /// The cells that follow the rows of another table, with the names of those.
    per: Vec<(AttrValue, FieldProps)>,
    more: Vec<FieldProps>,
}

/// One row. A component of its own: typing in one row leaves the others as they are.
#[component]
fn RowForm(props: &RowProps) -> Html {
    let (style, at, name) = (props.style, props.at, &props.name);
    let more_open = props.more.iter().any(|field| !field.text.is_empty());
    let button = |act_on: Act, msg, named| {
        let act = props.act.clone();
        let onclick = Callback::from(move |_: MouseEvent| act.emit(act_on.clone()));
        let label = say(named).typed("row", name.to_string()).text(style);
        html! { <button type="button" aria-label={label} {onclick}>{ style.language.text(msg) }</button> }
    };
    let moved = |by| Act::edit(move |sheet, draft| sheet.schema().keep_pointing(draft, |draft| draft.move_row(at, by)));
    let (states, entries): (Vec<_>, Vec<_>) = props.per.iter().partition(|(_, field)| is_state(field.cell.0));
    let states = states.first().map(|(_, first)| {
        html! {
            <fieldset class="states">
                <legend>{ say(words::STATES_OF).typed("row", name.to_string()).with("label", first.cell.0.label).text(style) }</legend>
                <div class="pers">
                    for (label, field) in states.iter() { { state(label, field) } }
                </div>
            </fieldset>
        }
    });
    html! {
        <li class={classes!("row", states.is_some().then_some("stated"))}>
            if let Some(states) = states { { states } }
            <div class="cells">
                for field in props.front.iter() { { drawn(field) } }
            </div>
            if !entries.is_empty() {
                <div class="entries">
                    for (label, field) in entries { { entry(label, field) } }
                </div>
            }
            <details class="row-more" open={more_open}>
                <summary>{ style.language.text(words::MORE) }<span class="sr">{ ": " }{ name }</span></summary>
                <div class="cells">
                    for field in props.more.iter() { { drawn(field) } }
                </div>
                <div class="acts">
                    if props.many {
                        { button(moved(-1), words::UP, words::UP_NAMED) }
                        { button(moved(1), words::DOWN, words::DOWN_NAMED) }
                    }
                    { button(Act::edit(move |sheet, draft| remove(sheet, draft, at)), words::REMOVE_ROW, words::REMOVE_ROW_NAMED) }
                </div>
            </details>
        </li>
    }
}

/// Whether a cell that follows another table's rows says what is on, and how many of it.
fn is_state(cell: &Cell) -> bool {
    matches!(cell.kind, Kind::Count { .. } | Kind::Switch)
}

/// What another table's row has here: typed, or worked out elsewhere and only shown.
fn entry(label: &AttrValue, field: &FieldProps) -> Html {
    let (style, path) = (field.style, field.path);
    let Some(level) = offer::whole().and_then(|whole| (whole.packed?)(&field.text)) else {
        return html! { <div class="entry"><span class="soft">{ label }</span>{ drawn(field) }</div> };
    };
    let act = field.act.clone();
    let onclick = Callback::from(move |_: MouseEvent| act.emit(Act::Set(path, String::new())));
    html! {
        <div class="entry">
            <span class="soft">{ label }</span>
            <span id={path.dom_id()} class="worked">{ say(words::FROM_LOG).num("level", Quantity::Level(Weighting::A), level).text(style) }</span>
            <button type="button" {onclick}>{ style.language.text(words::TYPE_INSTEAD) }</button>
        </div>
    }
}

/// The id of the switch of a state's cell.
fn switch_id(path: Path) -> String {
    path.dom_id() + "-on"
}

/// A part in a state: a large switch, and beside it how many once it is on.
fn state(label: &AttrValue, field: &FieldProps) -> Html {
    let (style, path) = (field.style, field.path);
    let typed = field.text.trim();
    let on = !typed.is_empty() && typed != field.cell.0.default;
    let act = field.act.clone();
    let onclick = Callback::from(move |_: MouseEvent| act.emit(Act::Set(path, String::from(if on { "" } else { "1" }))));
    let shown = match typed {
        _ if !on => style.language.text(common_words::SWITCH_OFF).to_owned(),
        "1" => style.language.text(common_words::SWITCH_ON).to_owned(),
        several => say(words::SO_MANY_ON).typed("count", several).text(style),
    };
    let class = classes!("per", on.then_some("on"), field.problem.is_some().then_some("wrong"));
    html! {
        <div {class}>
            <button type="button" role="switch" id={switch_id(path)} aria-checked={if on { "true" } else { "false" }}
                aria-label={field.row_name.clone()} {onclick}>
                <span>{ label }</span><b>{ shown }</b>
            </button>
            { drawn(field) }
        </div>
    }
}

#[derive(Properties, PartialEq)]
struct PasteProps {
    style: Style,
    paste: PasteInto,
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
        let (open, area, paste) = (open.clone(), area.clone(), props.paste.clone());
        Callback::from(move |_: MouseEvent| {
            if let Some(area) = area.cast::<HtmlTextAreaElement>() {
                paste.take(&area.value());
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
