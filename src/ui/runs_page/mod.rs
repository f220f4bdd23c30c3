//! Opening logs on the sheet `runs`, and dividing them into phases. Numbers come from the worker; what is decided goes into
//! the draft.

mod cards;
mod phases;
pub mod words;

use super::browser;
use super::curve::EnvelopeRef;
use super::state::{Act, State};
use crate::calc::draft::{Draft, Path, RowId};
use crate::calc::quantity::Quantity;
use crate::calc::read::Reader;

use crate::formulas::series::Summary;
use crate::logs::{Choices, OPEN, SUMMARY, Want, floats, summary};
use crate::sheets::runs::draft::{self, Figures, Logged, Told};
use crate::sheets::runs::stretches::{self, Same, Stretch};
use crate::text::{Msg, Said, Style, say};
use crate::units::{Weighting, count_to_f64};
use crate::worker::client::{Client, Refused};
use gloo::timers::future::TimeoutFuture;
use js_sys::{Array, Float32Array, Float64Array};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::spawn_local;
use yew::prelude::*;

/// A log as the worker describes it.
#[derive(Clone, PartialEq)]
struct LogView {
    hash: String,
    name: String,
    /// The device keeps it.
    kept: bool,
    facts: Vec<(String, String)>,
    doubts: Vec<String>,
    first: Vec<String>,
    choices: Choices,
    columns: Vec<String>,
    /// Which columns hold levels.
    levels: Vec<bool>,
    duration_s: f64,
    step_s: f64,
    rows: f64,
    /// Seconds on the clock at its start, days included; not a number where the file tells none.
    clock_s: f64,
    /// Another order of dates would do as well.
    open_dates: bool,
    /// It tells no times: a second from row to row was taken.
    no_times: bool,
    /// The weighting that its column of levels names.
    weighting: Option<Weighting>,
}

impl LogView {
    fn from_message(message: &JsValue) -> Option<Self> {
        let parts: &Array = message.dyn_ref()?;
        let texts = |value: JsValue| -> Vec<String> {
            value.dyn_ref::<Array>().map(|list| list.iter().filter_map(|one| one.as_string()).collect()).unwrap_or_default()
        };
        let pairs = |value: JsValue| -> Vec<(String, String)> {
            let list = value.dyn_into::<Array>().unwrap_or_default();
            list.iter().filter_map(|pair| texts(pair).first_chunk::<2>().cloned()).map(|[label, found]| (label, found)).collect()
        };
        let [duration_s, step_s, rows, clock_s, open] = *floats(&parts.get(9)).first_chunk::<5>()?;
        Some(Self {
            hash: parts.get(0).as_string()?,
            name: parts.get(1).as_string()?,
            kept: parts.get(2).is_truthy(),
            facts: pairs(parts.get(3)),
            doubts: texts(parts.get(4)),
            first: texts(parts.get(5)),
            choices: floats(&parts.get(6)).first_chunk().copied().unwrap_or(OPEN),
            columns: texts(parts.get(7)),
            levels: floats(&parts.get(8)).iter().map(|flag| *flag > 0.5).collect(),
            duration_s,
            step_s,
            rows,
            clock_s,
            open_dates: open > 0.5,
            no_times: parts.get(10).is_truthy(),
            weighting: Weighting::of_letter(&parts.get(11).as_string().unwrap_or_default()),
        })
    }
}

/// Something that goes on in the worker.
#[derive(Clone, PartialEq)]
struct Busy {
    id: u32,
    name: String,
    dividing: bool,
    share: f64,
    rows: f64,
    since: f64,
}

/// What lies on the desk: nothing of it is in the link.
#[derive(Default)]
struct Desk {
    logs: Vec<LogView>,
    busy: Vec<Busy>,
    refused: Vec<(String, String)>,
    /// Hashes the device does not have.
    absent: Vec<String>,
    /// How figures of links compare with the logs that are here.
    compared: Vec<(String, Said)>,
    /// Grows with every change of edges: an older answer is dropped.
    turn: u32,
    /// Grows with every log that is read: what was drawn of it no longer holds.
    readings: u32,
}

#[derive(Properties, PartialEq)]
pub(super) struct LogsProps {
    pub(super) state: UseReducerHandle<State>,
    pub(super) act: Callback<Act>,
    pub(super) style: Style,
    pub(super) tell: Callback<String>,
    pub(super) conditions: AttrValue,
}

/// Everything an event needs.
#[derive(Clone)]
struct Context {
    client: Client,
    desk: Rc<RefCell<Desk>>,
    redraw: UseForceUpdateHandle,
    /// The draft as it stands now, whenever an answer comes.
    draft: Rc<RefCell<Draft>>,
    act: Callback<Act>,
    style: Style,
    tell: Callback<String>,
}

impl Context {
    fn text(&self, msg: Msg) -> &'static str {
        self.style.language.text(msg)
    }

    fn change(&self, change: impl FnOnce(&mut Desk)) {
        change(&mut self.desk.borrow_mut());
        self.redraw.force_update();
    }

    fn sign(&self) -> JsValue {
        self.style.decimal.to_string().into()
    }

    fn begin(&self, id: u32, name: &str, dividing: bool) {
        let busy = Busy { id, name: name.to_owned(), dividing, share: 0.0, rows: 0.0, since: js_sys::Date::now() };
        self.change(|desk| desk.busy.push(busy));
    }

    fn end(&self, id: u32) {
        self.change(|desk| desk.busy.retain(|busy| busy.id != id));
    }

    fn ask(&self, want: Want, details: &[JsValue]) -> (u32, impl Future<Output = Result<JsValue, Refused>> + use<>) {
        self.client.ask(&[&[want.code().into()], details].concat())
    }

    /// Asks for something that takes its time: shown, and can be stopped.
    async fn long(&self, want: Want, name: &str, details: &[JsValue]) -> Option<JsValue> {
        let (id, answer) = self.ask(want, details);
        self.begin(id, name, want == Want::Phases);
        let answer = answer.await;
        self.end(id);
        match answer {
            Ok(found) => Some(found),
            Err(Refused::Nothing) => {
                self.tell.emit(self.text(words::STOPPED).to_owned());
                None
            }
            Err(why) => {
                let why = if let Refused::Because(why) = why { why } else { self.text(words::LOGS_FAILED).to_owned() };
                self.change(|desk| desk.refused.push((name.to_owned(), why)));
                None
            }
        }
    }

    /// Opens files one after the other.
    async fn open(self, files: Vec<(String, JsValue)>) {
        self.change(|desk| desk.refused.clear());
        for (name, file) in files {
            let details = [name.as_str().into(), file, self.sign()];
            if let Some(found) = self.long(Want::Read, &name, &details).await {
                self.take_in(&found, Made::default()).await;
            }
        }
    }

    /// Four made-up logs: two as the engraver was built, two after the change.
    async fn made_up(self) {
        for (which, run) in [(0.0, 0.0), (0.0, 1.0), (1.0, 0.0), (1.0, 1.0)] {
            let msg = if which < 0.5 { words::MADE_UP_BEFORE } else { words::MADE_UP_AFTER };
            let name = say(msg).num("run", Quantity::Count, run + 1.0).text(self.style);
            let details = [which.into(), run.into(), name.as_str().into(), self.sign()];
            if let Some(found) = self.long(Want::Example, &name, &details).await {
                const PHASES: &[&str] = &["parked", "homing", "outline", "fill"];
                self.take_in(&found, Made { set: if which < 0.5 { "before" } else { "after" }, names: PHASES }).await;
            }
        }
    }

    fn put(&self, view: &LogView) {
        self.change(|desk| {
            desk.readings += 1;
            desk.absent.retain(|hash| *hash != view.hash);
            match desk.logs.iter_mut().find(|log| log.hash == view.hash) {
                Some(log) => *log = view.clone(),
                None => desk.logs.push(view.clone()),
            }
        });
    }

    /// A log that was read: into the draft, with its phases named like those of the other runs.
    async fn take_in(&self, found: &JsValue, made: Made) {
        let Some(view) = LogView::from_message(found) else { return };
        self.put(&view);
        let known = draft::logged(&self.draft.borrow()).into_iter().find(|run| run.hash == view.hash && !run.phases.is_empty());
        if known.is_some() {
            self.work_out(&view.hash).await;
        } else {
            self.divide(&view, made).await;
        }
    }

    /// Looks for the phases of a log and writes them.
    async fn divide(&self, view: &LogView, made: Made) {
        let hash = JsValue::from(view.hash.as_str());
        let Ok(sketch) = self.ask(Want::Sketch, std::slice::from_ref(&hash)).1.await else { return };
        let points: Vec<(f64, f64)> = floats(&sketch).as_chunks::<2>().0.iter().map(|[at, level]| (*at, *level)).collect();
        let Some(found) = self.long(Want::Phases, &view.name, &[hash]).await else { return };
        let found = floats(&found);
        let count = found.len().saturating_sub(1) / 2;
        let edges = found.get(..=count).unwrap_or_default();
        let means = found.get(count + 1..).unwrap_or_default();
        let (reference, levels, shift) = self.reference(view);
        let same = stretches::matched(means, &levels);
        // Groups in the order in which they come first: a phase there is, or a new one.
        let mut groups: Vec<Group> = Vec::new();
        let mut parts: Vec<(usize, f64, f64)> = Vec::new();
        for (pair, same) in edges.windows(2).zip(same) {
            let group = match same {
                Same::Known(place) => match reference.get(place).and_then(|stretch| stretch.phase) {
                    Some(row) => Group::Row(row),
                    None => continue,
                },
                Same::New(number) => Group::New(number),
            };
            let place = groups.iter().position(|other| *other == group).unwrap_or(groups.len());
            if place == groups.len() {
                groups.push(group);
            }
            if let [from, to] = *pair {
                parts.push((place, from, to));
            }
        }
        let Some(figures) = self.figures(&view.hash, &parts).await else { return };
        let full = self.draft.borrow().rows("run").len() >= crate::sheets::runs::MOST_RUNS;
        let (name, hash, style) = (view.name.clone(), view.hash.clone(), self.style);
        let told = Told { shift_s: shift, weighting: view.weighting };
        let shown = groups.len();
        self.act.emit(Act::edit(move |_, draft| {
            let Some(run) = draft::add_run(draft, &name, &hash, &told, &points) else { return };
            if !made.set.is_empty() {
                draft.set(Path::cell("run", run, "set"), made.set);
            }
            let mut written = Vec::new();
            for (group, (summary, stretches)) in groups.iter().zip(&figures) {
                let row = match group {
                    Group::Row(row) => Some(*row),
                    Group::New(number) => {
                        let name = made.names.get(*number).map_or_else(|| new_name(draft, style), |name| (*name).to_owned());
                        draft::add_phase(draft, &name)
                    }
                };
                if let (Some(phase), Some(summary)) = (row, summary) {
                    written.push(Figures { phase, summary: *summary, stretches: stretches.clone() });
                }
            }
            draft::write(draft, run, &written);
        }));
        let msg = if full { words::NO_ROOM } else { words::TAKEN };
        let said = say(msg).typed("name", view.name.clone()).num("rows", Quantity::Count, view.rows).num(
            "phases",
            Quantity::Count,
            count_to_f64(shown),
        );
        self.tell.emit(said.text(self.style));
        // The draft follows with the next render.
        TimeoutFuture::new(30).await;
    }

    /// The run that new ones are named after, its levels, and how far a log is shifted against it.
    fn reference(&self, view: &LogView) -> (Vec<Stretch>, Vec<f64>, f64) {
        let (draft, desk) = (self.draft.borrow(), self.desk.borrow());
        let log_of = |run: &Logged| desk.logs.iter().find(|log| log.hash == run.hash);
        // After a run whose log is here, else after one that was sent, else after itself: what its phases were called stays.
        let distance = |run: &Logged| (run.hash == view.hash, log_of(run).is_none());
        let found = draft::logged(&draft).into_iter().filter(|run| !run.phases.is_empty()).min_by_key(distance);
        let Some(run) = found else { return (Vec::new(), Vec::new(), 0.0) };
        let log = log_of(&run);
        let all = stretches::of(&run, log.map_or(0.0, |log| log.duration_s));
        let level = |stretch: &Stretch| {
            let figures = stretch.phase.and_then(|phase| draft::entry_of(&draft, phase, run.run));
            figures.map_or(-100.0, |figures| figures.summary.leq.0)
        };
        let levels = all.iter().map(level).collect();
        // By the clock, when both were recorded within the same hours; days apart, each job begins at its own start.
        let apart = log.map_or(f64::NAN, |log| view.clock_s - log.clock_s);
        (all, levels, if apart.abs() < 43_200.0 { run.shift_s + apart } else { 0.0 })
    }

    /// The figures of groups of stretches.
    async fn figures(&self, hash: &str, parts: &[(usize, f64, f64)]) -> Option<Vec<Worked>> {
        let guard = draft::guard_s(&self.draft.borrow());
        let flat: Vec<f64> = parts.iter().flat_map(|(group, from, to)| [count_to_f64(*group), *from, *to]).collect();
        let details = [hash.into(), guard.into(), Float64Array::from(flat.as_slice()).into()];
        let found = floats(&self.ask(Want::Figures, &details).1.await.ok()?);
        let stretches = |group: usize| parts.iter().filter(|(own, ..)| *own == group).map(|(_, from, to)| (*from, *to)).collect();
        Some(found.chunks_exact(SUMMARY).enumerate().map(|(group, numbers)| (summary(numbers), stretches(group))).collect())
    }

    /// Works the phases of a run out again, as they stand in the draft, and says where the figures differ from those there.
    async fn work_out(&self, hash: &str) {
        let run = draft::logged(&self.draft.borrow()).into_iter().find(|run| run.hash == hash);
        let Some(run) = run.filter(|run| !run.phases.is_empty()) else { return };
        let parts = parts_of(&run.phases);
        let Some(figures) = self.figures(hash, &parts).await else { return };
        let draft = self.draft.borrow().clone();
        let quantity = Quantity::Level(Reader::new(&draft).weighting());
        let mut differences = Vec::new();
        for ((phase, _), (now, _)) in run.phases.iter().zip(&figures) {
            let sent = draft::entry_of(&draft, *phase, run.run);
            if let (Some(now), Some(sent)) = (now, sent)
                && (now.leq - sent.summary.leq).0.abs() >= 0.05
            {
                let level = |level: f64| crate::text::Arg::Number(quantity, level);
                let name = draft.get(Path::cell("phase", *phase, "name")).to_owned();
                let said =
                    say(words::DIFFERENCE).typed("phase", name).with("now", level(now.leq.0)).with("sent", level(sent.summary.leq.0));
                differences.push(crate::text::Arg::Said(Box::new(said)));
            }
        }
        let name = run.name.clone();
        let said = if differences.is_empty() {
            say(words::AS_SENT).typed("name", name)
        } else {
            say(words::NOT_AS_SENT).typed("name", name).with("differences", crate::text::Arg::List(differences.clone()))
        };
        self.change(|desk| {
            desk.compared.retain(|(other, _)| other != hash);
            desk.compared.push((hash.to_owned(), said));
        });
        if !differences.is_empty() {
            self.write(run.run, &run.phases, figures);
        }
    }

    fn write(&self, run: RowId, phases: &[(RowId, Vec<(f64, f64)>)], figures: Vec<Worked>) {
        let rows: Vec<RowId> = phases.iter().map(|(row, _)| *row).collect();
        self.act.emit(Act::edit(move |_, draft| {
            let written: Vec<Figures> = rows
                .iter()
                .zip(&figures)
                .filter_map(|(phase, (summary, stretches))| {
                    Some(Figures { phase: *phase, summary: (*summary)?, stretches: stretches.clone() })
                })
                .collect();
            draft::write(draft, run, &written);
        }));
    }

    /// New edges or names of a run: its figures follow.
    fn divided(&self, hash: &str, run: RowId, all: &[Stretch]) {
        let phases = stretches::by_phase(all);
        let turn = {
            let mut desk = self.desk.borrow_mut();
            desk.turn += 1;
            desk.turn
        };
        let (context, hash) = (self.clone(), hash.to_owned());
        spawn_local(async move {
            let figures = context.figures(&hash, &parts_of(&phases)).await;
            if let Some(figures) = figures.filter(|_| context.desk.borrow().turn == turn) {
                context.write(run, &phases, figures);
            }
        });
    }

    /// Reads what the device keeps of the logs a draft names.
    async fn fetch(self, hashes: Vec<String>) {
        let list: Array = hashes.iter().map(|hash| JsValue::from(hash.as_str())).collect();
        let answer = self.ask(Want::Kept, &[list.into(), self.sign()]).1.await;
        let found: Vec<LogView> = answer
            .ok()
            .and_then(|list| list.dyn_into::<Array>().ok())
            .unwrap_or_default()
            .iter()
            .filter_map(|one| LogView::from_message(&one))
            .collect();
        for view in &found {
            self.put(view);
        }
        let absent = hashes.into_iter().filter(|hash| found.iter().all(|view| view.hash != *hash));
        self.change(|desk| desk.absent.extend(absent));
        for view in &found {
            self.work_out(&view.hash).await;
        }
    }

    async fn again(self, view: LogView, choices: Choices) {
        let details = [view.hash.as_str().into(), Float64Array::from(choices.as_slice()).into(), self.sign()];
        if let Some(found) = self.long(Want::Again, &view.name, &details).await
            && let Some(view) = LogView::from_message(&found)
        {
            self.put(&view);
            self.divide(&view, Made::default()).await;
        }
    }

    async fn forget(self, hash: String) {
        let _ = self.ask(Want::Forget, &[hash.as_str().into()]).1.await;
        self.change(|desk| {
            desk.logs.retain(|log| log.hash != hash);
            desk.compared.retain(|(other, _)| *other != hash);
            desk.absent.push(hash);
        });
        self.tell.emit(self.text(words::LOG_FORGOTTEN).to_owned());
    }

    /// What the curves are drawn from: the lowest and the highest level of each column.
    fn envelope(&self) -> EnvelopeRef {
        let client = self.client.clone();
        EnvelopeRef(Rc::new(move |hash, from, to, columns, answered| {
            let question = [Want::Envelope.code().into(), hash.into(), from.into(), to.into(), count_to_f64(columns).into()];
            let (_, answer) = client.ask(&question);
            spawn_local(async move {
                // Not answered: the picture asks once more.
                if let Some(pairs) = answer.await.ok().and_then(|found| found.dyn_into::<Float32Array>().ok()) {
                    answered.emit(Rc::new(pairs.to_vec()));
                }
            });
        }))
    }

    async fn csv(self, view: LogView) {
        let answer = self.ask(Want::Csv, &[view.hash.as_str().into()]).1.await;
        if let Some(blob) = answer.ok().and_then(|blob| blob.dyn_into::<web_sys::Blob>().ok()) {
            browser::download(&format!("lessdin-log-{}.csv", view.hash), &blob);
        }
    }
}

/// What is known of a made-up log beforehand.
#[derive(Clone, Copy, Default)]
struct Made {
    set: &'static str,
    /// Its phases in the order in which they come first.
    names: &'static [&'static str],
}

/// The figures of a group and its stretches.
type Worked = (Option<Summary>, Vec<(f64, f64)>);

/// Changes the stretches of a log.
type Redivide = dyn Fn(&mut Vec<Stretch>);

/// What found stretches belong to.
#[derive(Clone, Copy, PartialEq)]
enum Group {
    Row(RowId),
    New(usize),
}

fn parts_of(phases: &[(RowId, Vec<(f64, f64)>)]) -> Vec<(usize, f64, f64)> {
    let parts = phases.iter().enumerate();
    parts.flat_map(|(group, (_, parts))| parts.iter().map(move |(from, to)| (group, *from, *to))).collect()
}

/// A name no phase has yet: “phase 3”.
fn new_name(draft: &Draft, style: Style) -> String {
    let names: Vec<&str> = draft.rows("phase").iter().map(|row| draft.get(Path::cell("phase", *row, "name"))).collect();
    let name = |number: usize| say(words::UNNAMED).num("number", Quantity::Count, count_to_f64(number)).text(style);
    (1..100).map(name).find(|name| !names.contains(&name.as_str())).unwrap_or_default()
}

/// Opening logs, what was understood of them, and their phases.
#[component]
pub(super) fn Logs(props: &LogsProps) -> Html {
    let redraw = use_force_update();
    let desk = use_mut_ref(Desk::default);
    let draft = use_mut_ref(Draft::default);
    draft.replace(props.state.draft().clone());
    let selected = use_state_eq(String::new);
    let client = {
        let (desk, redraw) = (desk.clone(), redraw.clone());
        use_memo((), move |()| {
            Client::new("logs", move |id, share, rows| {
                if let Some(busy) = desk.borrow_mut().busy.iter_mut().find(|busy| busy.id == id) {
                    (busy.share, busy.rows) = (share, rows);
                }
                redraw.force_update();
            })
        })
    };
    let context = Context {
        client: (*client).clone(),
        desk: desk.clone(),
        redraw,
        draft,
        act: props.act.clone(),
        style: props.style,
        tell: props.tell.clone(),
    };
    let runs = draft::logged(props.state.draft());
    {
        // Logs that the draft names and the desk has not: from the device.
        let hashes: Vec<String> = runs.iter().map(|run| run.hash.clone()).filter(|hash| hash.len() == 16).collect();
        let context = context.clone();
        use_effect_with(hashes, move |hashes| {
            let wanted: Vec<String> = {
                let desk = context.desk.borrow();
                let known = |hash: &String| desk.logs.iter().any(|log| log.hash == *hash) || desk.absent.contains(hash);
                hashes.iter().filter(|hash| !known(hash)).cloned().collect()
            };
            if !wanted.is_empty() {
                spawn_local(context.clone().fetch(wanted));
            }
        });
    }
    {
        // Another guard: every figure follows.
        let first = use_mut_ref(|| true);
        let (context, runs, guard) = (context.clone(), runs.clone(), draft::guard_s(props.state.draft()));
        use_effect_with(guard.to_bits(), move |_| {
            if !first.replace(false) {
                for run in runs.iter().filter(|run| context.desk.borrow().logs.iter().any(|log| log.hash == run.hash)) {
                    let (context, run) = (context.clone(), run.clone());
                    spawn_local(async move {
                        if let Some(figures) = context.figures(&run.hash, &parts_of(&run.phases)).await {
                            context.write(run.run, &run.phases, figures);
                        }
                    });
                }
            }
        });
    }
    let readings = desk.borrow().readings;
    let envelope = {
        let context = context.clone();
        use_memo(readings, move |_| context.envelope())
    };
    let text = |msg| context.text(msg);
    let desk = desk.borrow();
    let chosen =
        runs.iter().find(|run| run.hash == *selected).or_else(|| runs.iter().find(|run| desk.logs.iter().any(|log| log.hash == run.hash)));
    let on_desk = phases::Divided {
        context: &context,
        logs: &desk.logs,
        runs: &runs,
        draft: props.state.draft(),
        envelope: &envelope,
        conditions: &props.conditions,
    };
    html! {
        <section class="logs" aria-labelledby="h-logs">
            <h2 id="h-logs">{ text(words::LOGS) }</h2>
            { cards::opening(&context, props.state.draft().is_empty()) }
            for busy in desk.busy.iter() { { cards::working(&context, busy) } }
            for (name, why) in desk.refused.iter() { <p class="note doubt" role="alert">{ name }{ ": " }{ why }</p> }
            for (_, said) in desk.compared.iter() { <p class="note">{ said.text(props.style) }</p> }
            for run in runs.iter().filter(|run| desk.absent.contains(&run.hash)) {
                <p class="note doubt">{ say(words::NOT_HERE).typed("name", run.name.clone()).text(props.style) }</p>
            }
            for view in desk.logs.iter() { { cards::log(&context, view, &runs, props.state.draft()) } }
            if let Some(run) = chosen {
                if let Some(view) = desk.logs.iter().find(|log| log.hash == run.hash) {
                    { phases::divided(&on_desk, run, view, &selected) }
                }
            }
        </section>
    }
}
