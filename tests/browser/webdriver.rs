use std::thread::sleep;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// The key under which the protocol names an element.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";
/// How long anything on the page may take.
const PATIENCE: Duration = Duration::from_secs(20);
/// How long a browser may take to start.
const START: Duration = Duration::from_secs(40);
const PAUSE: Duration = Duration::from_millis(40);

/// Keys that have no character of their own.
pub(crate) mod key {
    pub(crate) const TAB: &str = "\u{e004}";
    pub(crate) const ENTER: &str = "\u{e007}";
    pub(crate) const SHIFT: &str = "\u{e008}";
    pub(crate) const CONTROL: &str = "\u{e009}";
    pub(crate) const BACKSPACE: &str = "\u{e003}";
    pub(crate) const SPACE: &str = " ";
    pub(crate) const ESCAPE: &str = "\u{e00c}";
    pub(crate) const LEFT: &str = "\u{e012}";
    pub(crate) const UP: &str = "\u{e013}";
    pub(crate) const RIGHT: &str = "\u{e014}";
}

/// An error the driver reports: its code and its words.
#[derive(Debug)]
pub(crate) struct Refused {
    pub(crate) code: String,
    pub(crate) words: String,
}

/// An element of the page.
#[derive(Clone, Debug)]
pub(crate) struct Element(Value);

impl Element {
    /// The element as an argument of a script.
    pub(crate) fn value(&self) -> Value {
        self.0.clone()
    }
}

/// One browser window and the driver's session for it.
pub(crate) struct Session {
    agent: ureq::Agent,
    driver: String,
    id: String,
}

impl Session {
    /// Starts a browser through the driver at this address.
    pub(crate) fn start(driver: &str, capabilities: &Value) -> Result<Self, Refused> {
        let agent = |patience| {
            let settings = ureq::Agent::config_builder().http_status_as_error(false).proxy(None).timeout_global(Some(patience));
            settings.build().new_agent()
        };
        let mut session = Self { agent: agent(START), driver: driver.to_owned(), id: String::new() };
        let made = session.call("POST", "", &json!({ "capabilities": { "alwaysMatch": capabilities } }))?;
        session.agent = agent(Duration::from_mins(2));
        made["sessionId"].as_str().unwrap_or_default().clone_into(&mut session.id);
        Ok(session)
    }

    /// Whether the driver at this address listens.
    pub(crate) fn is_ready(driver: &str) -> bool {
        let settings = ureq::Agent::config_builder().proxy(None).timeout_global(Some(Duration::from_secs(5)));
        let answer = settings.build().new_agent().get(format!("{driver}/status")).call();
        answer
            .ok()
            .and_then(|mut answer| answer.body_mut().read_json::<Value>().ok())
            .is_some_and(|status| status["value"]["ready"] == true)
    }

    fn call(&self, method: &str, path: &str, body: &Value) -> Result<Value, Refused> {
        let address =
            if self.id.is_empty() { format!("{}/session", self.driver) } else { format!("{}/session/{}{path}", self.driver, self.id) };
        let sent = match method {
            "GET" => self.agent.get(&address).call(),
            "DELETE" => self.agent.delete(&address).call(),
            _ => self.agent.post(&address).send_json(body),
        };
        let lost = |e: ureq::Error| Refused { code: "no answer".to_owned(), words: format!("{method} {path}: {e}") };
        let mut answer = sent.map_err(lost)?;
        let value: Value = answer.body_mut().with_config().limit(64 << 20).read_json().map_err(lost)?;
        let value = value["value"].clone();
        if answer.status().is_success() {
            Ok(value)
        } else {
            let words = |name: &str| value[name].as_str().unwrap_or_default().to_owned();
            Err(Refused { code: words("error"), words: words("message") })
        }
    }

    /// Sends a command that the protocol or a driver knows, by its path below the session.
    pub(crate) fn command(&self, path: &str, body: &Value) -> Result<Value, Refused> {
        self.call("POST", path, body)
    }

    #[track_caller]
    fn post(&self, path: &str, body: &Value) -> Value {
        self.command(path, body).unwrap_or_else(|e| panic!("{path}: {}: {}", e.code, e.words))
    }

    #[track_caller]
    fn get(&self, path: &str) -> Value {
        self.call("GET", path, &Value::Null).unwrap_or_else(|e| panic!("{path}: {}: {}", e.code, e.words))
    }

    /// Opens an address and waits until it has loaded.
    #[track_caller]
    pub(crate) fn go(&self, address: &str) {
        self.post("/url", &json!({ "url": address }));
    }

    #[track_caller]
    pub(crate) fn address(&self) -> String {
        self.get("/url").as_str().unwrap_or_default().to_owned()
    }

    #[track_caller]
    pub(crate) fn back(&self) {
        self.post("/back", &json!({}));
    }

    #[track_caller]
    pub(crate) fn forward(&self) {
        self.post("/forward", &json!({}));
    }

    /// Runs a function body in the page.
    #[track_caller]
    pub(crate) fn script(&self, body: &str, arguments: &Value) -> Value {
        self.post("/execute/sync", &json!({ "script": body, "args": arguments }))
    }

    pub(crate) fn try_script(&self, body: &str, arguments: &Value) -> Result<Value, Refused> {
        self.command("/execute/sync", &json!({ "script": body, "args": arguments }))
    }

    /// Runs the body of an asynchronous function in the page and waits for what it returns. An exception comes back as `{failed}`.
    #[track_caller]
    pub(crate) fn promise(&self, body: &str, arguments: &Value) -> Value {
        let wrapped = format!(
            "const done = arguments[arguments.length - 1]; const given = [...arguments].slice(0, -1);\
             (async function () {{ {body} }}).apply(null, given).then(done, (e) => done({{ failed: String(e) }}));"
        );
        self.post("/execute/async", &json!({ "script": wrapped, "args": arguments }))
    }

    /// The first element for a CSS selector, if there is one now.
    #[track_caller]
    pub(crate) fn look(&self, selector: &str) -> Option<Element> {
        self.elements(selector).into_iter().next()
    }

    #[track_caller]
    pub(crate) fn elements(&self, selector: &str) -> Vec<Element> {
        let found = self.post("/elements", &json!({ "using": "css selector", "value": selector }));
        found.as_array().into_iter().flatten().cloned().map(Element).collect()
    }

    /// The element a script returns, if it returns one.
    #[track_caller]
    pub(crate) fn element_by(&self, body: &str, arguments: &Value) -> Option<Element> {
        let found = self.script(body, arguments);
        found.get(ELEMENT).is_some().then_some(Element(found))
    }

    fn part(element: &Element, rest: &str) -> String {
        format!("/element/{}{rest}", element.0[ELEMENT].as_str().unwrap_or_default())
    }

    #[track_caller]
    pub(crate) fn click(&self, element: &Element) {
        self.post(&Self::part(element, "/click"), &json!({}));
    }

    /// Clicks, unless the element cannot be reached just now: the page may still be moving.
    pub(crate) fn try_click(&self, element: &Element) -> Result<(), Refused> {
        self.command(&Self::part(element, "/click"), &json!({})).map(drop)
    }

    /// Types into an element, after what is there already. Nothing to type still gives it the focus.
    #[track_caller]
    pub(crate) fn keys_into(&self, element: &Element, text: &str) {
        if text.is_empty() {
            self.script("arguments[0].focus()", &json!([element.value()]));
            return;
        }
        self.post(&Self::part(element, "/value"), &json!({ "text": text }));
    }

    /// Presses keys wherever the focus is, one after the other.
    #[track_caller]
    pub(crate) fn press(&self, keys: &[&str]) {
        let actions: Vec<Value> =
            keys.iter().flat_map(|key| ["keyDown", "keyUp"].map(|kind| json!({ "type": kind, "value": key }))).collect();
        self.act(&actions);
    }

    /// Presses a key while others are held.
    #[track_caller]
    pub(crate) fn chord(&self, held: &[&str], key: &str) {
        let all = || held.iter().copied().chain([key]);
        let down = all().map(|key| json!({ "type": "keyDown", "value": key }));
        let up = all().rev().map(|key| json!({ "type": "keyUp", "value": key }));
        self.act(&down.chain(up).collect::<Vec<_>>());
    }

    #[track_caller]
    fn act(&self, actions: &[Value]) {
        self.post("/actions", &json!({ "actions": [{ "type": "key", "id": "keys", "actions": actions }] }));
    }

    /// Drags from one point of the window to another with the mouse, in steps, as a hand does.
    #[track_caller]
    pub(crate) fn drag(&self, from: (f64, f64), to: (f64, f64)) {
        let at = |share: f64| {
            let (x, y) = (from.0 + (to.0 - from.0) * share, from.1 + (to.1 - from.1) * share);
            json!({ "type": "pointerMove", "duration": 30, "x": x.round(), "y": y.round() })
        };
        let mut actions = vec![at(0.0), json!({ "type": "pointerDown", "button": 0 })];
        actions.extend([0.2, 0.5, 0.8, 1.0].map(at));
        actions.push(json!({ "type": "pointerUp", "button": 0 }));
        let mouse = json!({ "type": "pointer", "id": "mouse", "parameters": { "pointerType": "mouse" }, "actions": actions });
        self.post("/actions", &json!({ "actions": [mouse] }));
    }

    /// The page as a PDF file.
    #[track_caller]
    pub(crate) fn print(&self) -> Vec<u8> {
        use base64::Engine;
        let text = self.post("/print", &json!({ "background": true, "page": { "width": 21.0, "height": 29.7 } }));
        base64::engine::general_purpose::STANDARD.decode(text.as_str().unwrap_or_default()).expect("a PDF in base64")
    }

    /// Goes into the first frame of the page.
    #[track_caller]
    pub(crate) fn enter_frame(&self) {
        self.post("/frame", &json!({ "id": 0 }));
    }

    /// Chromium's own commands.
    #[track_caller]
    pub(crate) fn cdp(&self, command: &str, parameters: &Value) -> Value {
        self.post("/goog/cdp/execute", &json!({ "cmd": command, "params": parameters }))
    }

    /// Chromium's logs: `browser` or `performance`, as JSON lines since the last call.
    #[track_caller]
    pub(crate) fn log(&self, kind: &str) -> Vec<Value> {
        self.post("/se/log", &json!({ "type": kind })).as_array().cloned().unwrap_or_default()
    }

    /// Ends the browser.
    pub(crate) fn end(&self) {
        let _ = self.call("DELETE", "", &Value::Null);
    }
}

/// Looks again and again until there is something.
pub(crate) fn patiently<T>(mut look: impl FnMut() -> Option<T>) -> Option<T> {
    let start = Instant::now();
    loop {
        if let Some(found) = look() {
            return Some(found);
        }
        if start.elapsed() > PATIENCE {
            return None;
        }
        sleep(PAUSE);
    }
}
