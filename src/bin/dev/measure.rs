//! `cargo measure`: how long the built site keeps a reader waiting, on a slow phone as a browser imitates one.
//!
//! Nothing here is a check: times depend on the machine and on what else it does. The table says so with its worst values.

use std::collections::BTreeMap;
use std::fs;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::str::FromStr;
use std::sync::Arc;
use std::thread::{self, JoinHandle, sleep};
use std::time::Duration;

use lessdin::calc::draft::{Col, Draft, Path as CellPath, RowAt};
use lessdin::calc::schema::Kind;
use lessdin::calc::sheet::Sheet;
use lessdin::sheets;
use serde_json::{Value, json};
use tiny_http::{Header, Response, Server};

use crate::house::{House, Outcome, Stop, bytes};
use crate::tools::{self, Need, ensure};
use crate::webdriver::{Refused, Session, patiently};
use crate::{site, stamp};

/// How much slower the page's main thread is made.
const SLOWER: f64 = 4.0;
/// The network down, in bits a second.
const DOWN: f64 = 1.6e6;
/// The network up, in bits a second.
const UP: f64 = 0.75e6;
/// What every request waits for, in milliseconds.
const LATENCY: f64 = 150.0;
/// Starts of each kind, unless asked for otherwise.
const STARTS: usize = 7;
/// Key presses on each sheet, unless asked for otherwise.
const KEYS: usize = 100;
/// Rows in the long table.
const ROWS: usize = 40;

/// Runs in every page before its own scripts.
const PROBE: &str = include_str!("measure.js");

/// What was asked for.
#[derive(Debug, PartialEq, Eq)]
struct Wishes {
    built: bool,
    starts: usize,
    keys: usize,
}

/// Builds the site, measures it and prints the table.
pub(crate) fn measure(house: &House, arguments: &[String]) -> Outcome<()> {
    let wishes = wishes(arguments)?;
    ensure(house, Need::Chromium)?;
    if !wishes.built {
        ensure(house, Need::SiteTools)?;
        site::build(house)?;
    }
    let [first_screen, at_a_sheet, worker] = site::weights()?;
    let mut lines = vec![
        Line::size("first screen, all bytes, brotli", first_screen, site::BUDGET),
        Line::size("first screen at a sheet, brotli", at_a_sheet, site::BUDGET),
        Line::size("worker, all bytes, brotli", worker, site::BACKGROUND),
    ];
    let bench = Bench { browser: tools::browser(house)?, content: Arc::new(content()?), wishes };
    let cases = cases()?;
    println!("-- how much slower the throttle makes this browser");
    let loops = bench.loops()?;
    for case in cases.iter().filter(|case| case.start) {
        println!("-- cold start: {}", case.name);
        lines.push(bench.cold(case)?);
    }
    println!("-- installed, network off");
    lines.extend(bench.installed(&cases)?);
    for case in &cases {
        println!("-- key presses: {}", case.name);
        lines.extend(bench.keys(case)?);
    }
    print(&lines, loops, &bench.wishes);
    Ok(())
}

fn wishes(arguments: &[String]) -> Outcome<Wishes> {
    let mut wishes = Wishes { built: false, starts: STARTS, keys: KEYS };
    let mut rest = arguments.iter();
    while let Some(word) = rest.next() {
        let mut count = || {
            let count = rest.next().and_then(|count| count.parse().ok()).filter(|count| *count > 0);
            count.ok_or_else(|| Stop::new(format!("{word} wants a number from 1 up, for example {word} 20.")))
        };
        match word.as_str() {
            "--built" => wishes.built = true,
            "--starts" => wishes.starts = count()?,
            "--keys" => wishes.keys = count()?,
            other => return Err(Stop::new(format!("`cargo measure` knows --built, --starts and --keys, not {other}."))),
        }
    }
    Ok(wishes)
}

// ---- what is measured

/// A page to open.
struct Case {
    name: String,
    fragment: String,
    /// Started from nothing too, not only typed into.
    start: bool,
}

/// Home, every sheet with its example, and the longest table.
fn cases() -> Outcome<Vec<Case>> {
    let mut cases = vec![Case { name: "home".to_owned(), fragment: String::new(), start: true }];
    cases.extend(sheets::SHEETS.iter().map(|sheet| {
        let meta = sheet.meta();
        Case { name: format!("`{}`, its example", meta.id), fragment: meta.example.to_owned(), start: true }
    }));
    let tally = sheets::find("tally").ok_or_else(|| Stop::new("There is no sheet “tally”."))?;
    cases.push(Case { name: format!("`tally`, {ROWS} rows"), fragment: long_link(tally)?, start: false });
    Ok(cases)
}

/// A link with a full table: every row with a name and two readings.
fn long_link(sheet: &dyn Sheet) -> Outcome<String> {
    let table = sheet.schema().tables.first().ok_or_else(|| Stop::new("The sheet has no table."))?;
    let mut draft = Draft::default();
    for at in 0..ROWS {
        let row = draft.add_row(table.key);
        for cell in table.cells {
            let text = match cell.kind {
                Kind::Text { .. } => format!("source {}", at + 1),
                Kind::Levels { .. } => format!("{}.{}; {}.{}", 30 + at % 13, at % 10, 30 + at % 13, (at + 3) % 10),
                _ => continue,
            };
            draft.set(CellPath { row: Some(RowAt { table: table.key, row }), col: Col::Fixed(cell.key) }, text);
        }
    }
    Ok(sheet.link(&draft))
}

/// Many times of one kind, in milliseconds, in order.
struct Times(Vec<f64>);

impl Times {
    fn new(mut times: Vec<f64>) -> Self {
        times.sort_by(f64::total_cmp);
        Self(times)
    }

    fn median(&self) -> f64 {
        let (low, high) = (self.0.get((self.0.len().max(1) - 1) / 2), self.0.get(self.0.len() / 2));
        low.zip(high).map_or(f64::NAN, |(low, high)| f64::midpoint(*low, *high))
    }

    fn worst(&self) -> f64 {
        self.0.last().copied().unwrap_or(f64::NAN)
    }
}

/// A line of the table.
struct Line {
    what: String,
    budget: String,
    median: String,
    worst: String,
    /// What was found over what was meant, the greater of median and worst where both are meant.
    share: f64,
}

impl Line {
    #[expect(clippy::cast_precision_loss, reason = "sizes of files, far below 2^52")]
    fn size(what: &str, size: usize, budget: usize) -> Self {
        let (size, budget) = (size as f64 / 1000.0, budget as f64 / 1000.0);
        Self {
            what: what.to_owned(),
            budget: format!("{budget:.0} kB"),
            median: format!("{size:.1} kB"),
            worst: String::new(),
            share: size / budget,
        }
    }

    /// Whole seconds matter here: starts. The budget is for the median.
    fn start(what: String, times: &Times, budget: f64) -> Self {
        let seconds = |time: f64| format!("{:.2} s", time / 1000.0);
        let (median, worst) = (times.median(), times.worst());
        Self { what, budget: format!("{:.1} s", budget / 1000.0), median: seconds(median), worst: seconds(worst), share: median / budget }
    }

    fn key(what: String, times: &Times, budget: f64, worst_budget: Option<f64>) -> Self {
        let (median, worst) = (times.median(), times.worst());
        let meant = worst_budget.map_or(String::new(), |most| format!(", worst {most:.0} ms"));
        Self {
            what,
            budget: format!("{budget:.0} ms{meant}"),
            median: format!("{median:.1} ms"),
            worst: format!("{worst:.0} ms"),
            share: worst_budget.map_or(0.0, |most| worst / most).max(median / budget),
        }
    }
}

fn print(lines: &[Line], (plain, slowed): (f64, f64), wishes: &Wishes) {
    println!("\n| what | budget | median | worst | of budget |\n| --- | --- | --- | --- | --- |");
    for line in lines {
        println!("| {} | {} | {} | {} | {:.0} % |", line.what, line.budget, line.median, line.worst, line.share * 100.0);
    }
    println!(
        "\nStarts: {} each, every one in a browser just started; from navigation until the frame with the answer is painted.\n\
         Key presses: {} on each, a digit and its removal in turn. Script: the page's own work, from the event of the key until\n\
         nothing is left to do before the frame. Painted: from the key until the main thread has painted the frame that shows it.\n\
         Throttle: main thread {SLOWER:.0} times slower, {:.1} Mbit/s, {LATENCY:.0} ms, by the browser's own means; a loop that takes\n\
         {plain:.1} ms without it took {slowed:.1} ms. Compiling and raster work run on other threads, which no throttle slows.",
        wishes.starts,
        wishes.keys,
        DOWN / 1e6,
    );
    let mut furthest: Vec<&Line> = lines.iter().collect();
    furthest.sort_by(|a, b| b.share.total_cmp(&a.share));
    println!("\nFurthest from their budgets:");
    for line in furthest.iter().take(3) {
        println!("  {:.0} %  {}", line.share * 100.0, line.what);
    }
}

// ---- measuring

struct Bench {
    browser: tools::Browser,
    content: Arc<BTreeMap<String, File>>,
    wishes: Wishes,
}

impl Bench {
    /// A browser with the probe in every page; with a folder for what it keeps, or one that goes with it.
    fn open(&self, keeps: Option<&Path>) -> Outcome<Window> {
        let driver = Driver::start(&self.browser.driver)?;
        let mut arguments = vec![
            "--headless=new".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-dev-shm-usage".to_owned(),
            "--no-first-run".to_owned(),
            "--disable-background-networking".to_owned(),
            "--disable-component-update".to_owned(),
            "--disable-extensions".to_owned(),
            "--disable-sync".to_owned(),
            // A phone's screen.
            "--window-size=412,870".to_owned(),
            // As root, Chromium starts only without its sandbox; nothing foreign is ever opened here.
            "--no-sandbox".to_owned(),
        ];
        arguments.extend(keeps.map(|folder| format!("--user-data-dir={}", folder.display())));
        let wanted = json!({
            "goog:chromeOptions": { "binary": self.browser.chromium, "args": arguments },
            "timeouts": { "script": 60_000, "pageLoad": 60_000, "implicit": 0 },
            "proxy": { "proxyType": "direct" },
        });
        let window = Window { session: Session::start(&driver.address, &wanted)?, _driver: driver };
        window.cdp("Page.addScriptToEvaluateOnNewDocument", &json!({ "source": PROBE }))?;
        Ok(window)
    }

    /// How long a fixed loop takes without and with the throttle, in milliseconds.
    fn loops(&self) -> Outcome<(f64, f64)> {
        let host = Host::serve(&self.content)?;
        let window = self.open(None)?;
        let time = || window.ask_number("return lessdinProbe.loop()");
        window.go(&host.address(""))?;
        let plain = time()?;
        window.slow_down()?;
        window.go(&host.address("icon.svg"))?;
        window.go(&host.address(""))?;
        Ok((plain, time()?))
    }

    /// From an empty cache over a slow network.
    fn cold(&self, case: &Case) -> Outcome<Line> {
        let host = Host::serve(&self.content)?;
        let mut times = Vec::new();
        for _ in 0..self.wishes.starts {
            let window = self.open(None)?;
            window.slow_down()?;
            window.cdp("Network.enable", &json!({}))?;
            let network = json!({ "offline": false, "latency": LATENCY, "downloadThroughput": DOWN / 8.0, "uploadThroughput": UP / 8.0 });
            window.cdp("Network.emulateNetworkConditions", &network)?;
            window.go(&host.address(&case.fragment))?;
            times.push(window.usable()?);
        }
        Ok(Line::start(format!("cold start, {}", case.name), &Times::new(times), 2000.0))
    }

    /// From what the device has kept, with nobody on the network.
    fn installed(&self, cases: &[Case]) -> Outcome<Vec<Line>> {
        let keeps = Folder::new()?;
        let host = Host::serve(&self.content)?;
        let home = host.address("");
        {
            let window = self.open(Some(keeps.path()))?;
            window.go(&home)?;
            let kept = patiently(|| {
                window
                    .ask("return window.lessdinOffline === 'ready' && !!navigator.serviceWorker.controller")
                    .ok()
                    .filter(|kept| *kept == true)
            });
            kept.ok_or_else(|| Stop::new("The page was not kept on the device."))?;
        }
        drop(host);
        let mut lines = Vec::new();
        for case in cases.iter().filter(|case| case.start) {
            let mut times = Vec::new();
            for _ in 0..self.wishes.starts {
                let window = self.open(Some(keeps.path()))?;
                window.slow_down()?;
                window.go(&format!("{home}{}", case.fragment))?;
                times.push(window.usable()?);
            }
            lines.push(Line::start(format!("installed, network off, {}", case.name), &Times::new(times), 700.0));
        }
        Ok(lines)
    }

    /// Typing into a page that stands.
    fn keys(&self, case: &Case) -> Outcome<[Line; 2]> {
        let host = Host::serve(&self.content)?;
        let window = self.open(None)?;
        window.go(&host.address(&case.fragment))?;
        window.usable()?;
        window.slow_down()?;
        // What follows the start, such as keeping the page on the device, is not part of a key press.
        sleep(Duration::from_secs(4));
        let field = window.ask("return lessdinProbe.field()")?;
        if field.is_null() {
            return Err(Stop::new(format!("{}: there is no filled field to type into.", case.name)));
        }
        for count in 0..self.wishes.keys {
            let (key, code, text) = if count % 2 == 0 { ("1", 49, "1") } else { ("Backspace", 8, "") };
            let event = |kind: &str, text: &str| json!({ "type": kind, "key": key, "text": text, "windowsVirtualKeyCode": code, "nativeVirtualKeyCode": code });
            window.cdp("Input.dispatchKeyEvent", &event(if text.is_empty() { "rawKeyDown" } else { "keyDown" }, text))?;
            window.cdp("Input.dispatchKeyEvent", &event("keyUp", ""))?;
            window.ask("return lessdinProbe.rested()")?;
        }
        let found = window.ask("return lessdinProbe.keys")?;
        let times = |name: &str| {
            let all = found.as_array().into_iter().flatten();
            Times::new(all.filter_map(|one| one.get(name)?.as_f64()).collect())
        };
        let (script, painted) = (times("script"), times("painted"));
        if script.0.len() != self.wishes.keys || painted.0.len() != self.wishes.keys {
            return Err(Stop::new(format!("{}: of {} keys, {} were seen.", case.name, self.wishes.keys, script.0.len())));
        }
        Ok([
            Line::key(format!("key press, script, {}", case.name), &script, 8.0, None),
            Line::key(format!("key press, painted, {}", case.name), &painted, 33.0, Some(100.0)),
        ])
    }
}

/// A browser window.
struct Window {
    session: Session,
    // Ended after the session.
    _driver: Driver,
}

impl Window {
    fn cdp(&self, command: &str, parameters: &Value) -> Outcome<Value> {
        Ok(self.session.command("/goog/cdp/execute", &json!({ "cmd": command, "params": parameters }))?)
    }

    fn slow_down(&self) -> Outcome<()> {
        self.cdp("Emulation.setCPUThrottlingRate", &json!({ "rate": SLOWER })).map(|_| ())
    }

    fn go(&self, address: &str) -> Outcome<()> {
        self.session.command("/url", &json!({ "url": address }))?;
        Ok(())
    }

    /// What an asynchronous function in the page returns.
    fn ask(&self, body: &str) -> Outcome<Value> {
        let script = format!("const done = arguments[0]; (async () => {{ {body} }})().then(done, (e) => done({{ failed: String(e) }}));");
        let found = self.session.command("/execute/async", &json!({ "script": script, "args": [] }))?;
        match found.get("failed") {
            Some(why) => Err(Stop::new(format!("The page cannot be measured: {why}"))),
            None => Ok(found),
        }
    }

    fn ask_number(&self, body: &str) -> Outcome<f64> {
        self.ask(body)?.as_f64().ok_or_else(|| Stop::new("The page measured nothing."))
    }

    /// When the answer was painted, in milliseconds from the start of the navigation.
    fn usable(&self) -> Outcome<f64> {
        self.ask_number("return lessdinProbe.usable")
    }
}

impl Drop for Window {
    fn drop(&mut self) {
        self.session.end();
    }
}

impl From<Refused> for Stop {
    fn from(refused: Refused) -> Self {
        Self::new(format!("The browser's driver: {}: {}", refused.code, refused.words))
    }
}

/// The browser's driver, ended with this value.
struct Driver {
    address: String,
    process: Child,
}

impl Driver {
    fn start(program: &str) -> Outcome<Self> {
        let free = TcpListener::bind(("127.0.0.1", 0)).and_then(|listener| listener.local_addr());
        let port = free.map_err(|e| Stop::new(format!("No port is free for the browser's driver: {e}")))?.port();
        let mut command = std::process::Command::new(program);
        command.arg(format!("--port={port}")).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        let process = command.spawn().map_err(|e| Stop::new(format!("{program} cannot be started: {e}")))?;
        let driver = Self { address: format!("http://127.0.0.1:{port}"), process };
        patiently(|| Session::is_ready(&driver.address).then_some(()))
            .ok_or_else(|| Stop::new(format!("{program} was started but does not listen.")))?;
        Ok(driver)
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

// ---- the host

/// A file as it is served.
struct File {
    kind: &'static str,
    packed: Vec<u8>,
}

/// Every file of the site, packed as well as a host with time can.
fn content() -> Outcome<BTreeMap<String, File>> {
    let folder = Path::new(site::FOLDER);
    if !folder.join(stamp::WORKER).is_file() {
        return Err(Stop::new(format!("There is no built site in {}/. Run `cargo measure` without --built.", site::FOLDER)));
    }
    stamp::names(folder)?
        .into_iter()
        .map(|name| {
            let kind = match Path::new(&name).extension().and_then(|ending| ending.to_str()).unwrap_or_default() {
                "html" => "text/html; charset=utf-8",
                "js" => "text/javascript; charset=utf-8",
                "css" => "text/css; charset=utf-8",
                "wasm" => "application/wasm",
                "png" => "image/png",
                "svg" => "image/svg+xml",
                "webmanifest" => "application/manifest+json",
                _ => "application/octet-stream",
            };
            let packed = site::packed(&bytes(folder.join(&name))?)?;
            Ok((name, File { kind, packed }))
        })
        .collect()
}

/// A static host on this machine that serves everything packed with brotli.
struct Host {
    server: Arc<Server>,
    port: u16,
    thread: Option<JoinHandle<()>>,
}

impl Host {
    fn serve(content: &Arc<BTreeMap<String, File>>) -> Outcome<Self> {
        let server = Server::http(("127.0.0.1", 0)).map_err(|e| Stop::new(format!("The site cannot be served: {e}")))?;
        let port = server.server_addr().to_ip().map_or(0, |address| address.port());
        let server = Arc::new(server);
        let (serving, content) = (server.clone(), content.clone());
        let thread = thread::spawn(move || {
            for request in serving.incoming_requests() {
                let name = request.url().split(['?', '#']).next().unwrap_or_default().trim_start_matches('/');
                let name = if name.is_empty() { "index.html" } else { name };
                let _ = match content.get(name) {
                    None => request.respond(Response::empty(404)),
                    Some(file) => {
                        let mut response = Response::from_data(file.packed.clone()).with_chunked_threshold(usize::MAX);
                        let lines = [format!("Content-Type: {}", file.kind), "Content-Encoding: br".to_owned()];
                        for header in lines.iter().filter_map(|line| Header::from_str(line).ok()) {
                            response.add_header(header);
                        }
                        request.respond(response)
                    }
                };
            }
        });
        Ok(Self { server, port, thread: Some(thread) })
    }

    /// The address of a file, or of the page with a fragment.
    fn address(&self, rest: &str) -> String {
        format!("http://127.0.0.1:{}/{rest}", self.port)
    }
}

impl Drop for Host {
    fn drop(&mut self) {
        self.server.unblock();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// A folder that goes when it is dropped.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Outcome<Self> {
        let path = std::env::temp_dir().join(format!("lessdin-measure-{}", std::process::id()));
        fs::create_dir_all(&path).map_err(|e| Stop::new(format!("{} cannot be made: {e}", path.display())))?;
        Ok(Self(path))
    }

    fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn medians_and_worst() {
        let times = Times::new(vec![3.0, 9.0, 1.0, 5.0]);
        assert!((times.median() - 4.0).abs() < 1e-12);
        assert!((times.worst() - 9.0).abs() < 1e-12);
        assert!((Times::new(vec![2.0, 8.0, 4.0]).median() - 4.0).abs() < 1e-12);
    }

    #[test]
    fn a_key_that_is_late_once_counts_as_late() {
        let line = Line::key(String::new(), &Times::new(vec![10.0, 10.0, 150.0]), 33.0, Some(100.0));
        assert!((line.share - 1.5).abs() < 1e-12);
    }

    #[test]
    fn every_page_measured_can_be_opened() {
        let cases = cases().unwrap();
        assert_eq!(cases.len(), sheets::SHEETS.len() + 2);
        for case in cases.iter().skip(1) {
            let opened = sheets::open(&case.fragment);
            assert!(opened.notes.is_empty(), "{}", case.name);
            let sheet = sheets::find(&opened.sheet).unwrap();
            let run = sheet.run(&opened.draft.unwrap(), None);
            assert!(matches!(run.outcome, lessdin::calc::sheet::Outcome::Answer(_)), "{}", case.name);
        }
    }

    #[test]
    fn wishes_are_read_or_refused_in_words() {
        let read = |words: &str| wishes(&words.split_whitespace().map(str::to_owned).collect::<Vec<_>>());
        assert_eq!(read("--built --keys 20").unwrap(), Wishes { built: true, starts: STARTS, keys: 20 });
        assert!(read("--starts 0").unwrap_err().to_string().contains("from 1 up"));
        assert!(read("--fast").unwrap_err().to_string().contains("--fast"));
    }
}
