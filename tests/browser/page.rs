use std::ops::Deref;
use std::thread::{panicking, sleep};
use std::time::Duration;

use serde_json::{Value, json};

use crate::engine::{Driver, Engine};
use crate::server::Folder;
use crate::webdriver::{Element, Session, key, patiently};

/// Two readings and the sentence they lead to (the golden link `alone` of 46.1 and 44.9).
pub(crate) const SENTENCE: &str = "Stopping it gained 1.2 ± 0.7 dB. No replacement for that part can gain more here.";

/// The page in a browser.
pub(crate) struct Browser {
    session: Session,
    // Ended after the session.
    _driver: Driver,
    pub(crate) downloads: Folder,
    engine: Engine,
    base: String,
    /// What may stand on the console: parts of its lines.
    forgiven: Vec<&'static str>,
}

impl Deref for Browser {
    type Target = Session;

    fn deref(&self) -> &Session {
        &self.session
    }
}

impl Browser {
    pub(crate) fn new(session: Session, driver: Driver, downloads: Folder, engine: Engine, base: String) -> Self {
        Self { session, _driver: driver, downloads, engine, base, forgiven: Vec::new() }
    }

    /// Allows lines on the console that hold this. Every other error there fails the flow.
    pub(crate) fn forgive(&mut self, part: &'static str) {
        self.forgiven.push(part);
    }

    /// Opens the page at a fragment (`#/alone`; empty for home) and waits until it stands.
    #[track_caller]
    pub(crate) fn open(&self, fragment: &str) {
        let address = format!("{}{fragment}", self.base);
        // Going to another fragment of the same page is no load; one from nowhere always is.
        if self.address().split('#').next() == Some(self.base.as_str()) {
            self.script("location.assign(arguments[0])", &json!([address]));
        } else {
            self.go(&address);
        }
        // From the start page to a sheet another program takes over: what stood before must be gone.
        let id = fragment.trim_start_matches(['#', '/']).split('/').next().unwrap_or_default();
        let place = lessdin::sheets::find(id).map_or_else(|| ".home #answer".to_owned(), |_| format!("[data-sheet='{id}']"));
        self.until("the page stands", || self.look(&place).or_else(|| self.look("#trouble:not([hidden])")).map(|_| ()));
    }

    /// Leaves the page and opens it anew, so that it starts from what the device has kept.
    #[track_caller]
    pub(crate) fn open_anew(&self, fragment: &str) {
        self.go("about:blank");
        self.open(fragment);
    }

    /// Reloads as a person does. A driver's own command may pass the service worker by.
    #[track_caller]
    pub(crate) fn reload(&self) {
        self.loads_again(|| {
            self.script("setTimeout(() => location.reload(), 0)", &json!([]));
        });
    }

    /// Does what makes the page load again, and waits until it has.
    #[track_caller]
    pub(crate) fn loads_again(&self, act: impl FnOnce()) {
        self.script("window.leaving = true", &json!([]));
        act();
        self.until("the page is loaded again", || {
            let stands = self.try_script("return !window.leaving && document.readyState === 'complete'", &json!([])).ok()?;
            stands.as_bool().filter(|stands| *stands)
        });
    }

    /// The fragment of the address.
    #[track_caller]
    pub(crate) fn fragment(&self) -> String {
        self.script("return location.hash", &json!([])).as_str().unwrap_or_default().to_owned()
    }

    /// Waits until `look` finds something; fails with what was waited for and what the page shows.
    #[track_caller]
    pub(crate) fn until<T>(&self, what: &str, look: impl FnMut() -> Option<T>) -> T {
        patiently(look).unwrap_or_else(|| panic!("{}: waited in vain until {what}", self.engine))
    }

    /// Waits until a selector finds an element.
    #[track_caller]
    pub(crate) fn wait_for(&self, selector: &str) -> Element {
        self.until(&format!("there is {selector}"), || self.look(selector))
    }

    /// The text a reader sees in the first element for a selector, spaces evened out.
    #[track_caller]
    pub(crate) fn text(&self, selector: &str) -> String {
        let text = self.script(
            "const e = document.querySelector(arguments[0]); return e && e.getClientRects().length ? e.innerText : ''",
            &json!([selector]),
        );
        even(text.as_str().unwrap_or_default())
    }

    #[track_caller]
    pub(crate) fn count(&self, selector: &str) -> u64 {
        self.script("return document.querySelectorAll(arguments[0]).length", &json!([selector])).as_u64().unwrap_or_default()
    }

    /// The first sentence of the answer.
    #[track_caller]
    pub(crate) fn sentence(&self) -> String {
        self.text("#answer p")
    }

    /// Waits until the answer's first sentence is one that `wanted` takes.
    #[track_caller]
    pub(crate) fn sentence_when(&self, what: &str, wanted: impl Fn(&str) -> bool) -> String {
        let mut last = String::new();
        patiently(|| {
            last = self.sentence();
            wanted(&last).then_some(())
        })
        .unwrap_or_else(|| panic!("{}: waited in vain until {what}; the answer is “{last}”", self.engine));
        last
    }

    /// Waits until the answer is this sentence.
    #[track_caller]
    pub(crate) fn expect_sentence(&self, sentence: &str) {
        self.sentence_when(&format!("the answer is “{sentence}”"), |found| found == sentence);
    }

    /// Waits until the answer is a sentence with numbers, not one that waits for some.
    #[track_caller]
    pub(crate) fn answered(&self) -> String {
        self.wait_for("#answer:not(.waiting)");
        self.sentence()
    }

    /// Waits until an element holds this text.
    #[track_caller]
    pub(crate) fn expect_text(&self, selector: &str, part: &str) {
        let mut last = String::new();
        patiently(|| {
            last = self.text(selector);
            last.contains(part).then_some(())
        })
        .unwrap_or_else(|| panic!("{}: waited in vain until {selector} says “{part}”; it says “{last}”", self.engine));
    }

    /// The id of a table's cell: row 1 is the first on the page.
    #[track_caller]
    pub(crate) fn cell(&self, table: &str, row: usize, column: &str) -> String {
        let found = self.script(
            "const [table, row, column] = arguments;
             const rows = [...document.querySelectorAll('ol.rows > li.row')].filter((li) => li.querySelector(`[id^='f-${table}-']`));
             const fits = new RegExp(`^f-${table}-\\\\d+-${column}$`);
             const cell = rows[row - 1] && [...rows[row - 1].querySelectorAll('[id]')].find((e) => fits.test(e.id));
             return cell ? cell.id : null",
            &json!([table, row, column]),
        );
        found.as_str().unwrap_or_else(|| panic!("{}: no cell {column} in row {row} of {table}", self.engine)).to_owned()
    }

    /// How many rows a table shows.
    #[track_caller]
    pub(crate) fn rows(&self, table: &str) -> u64 {
        self.script(
            "return [...document.querySelectorAll('ol.rows > li.row')].filter((li) => li.querySelector(`[id^='f-${arguments[0]}-']`)).length",
            &json!([table]),
        )
        .as_u64()
        .unwrap_or_default()
    }

    /// The text in a field.
    #[track_caller]
    pub(crate) fn field(&self, id: &str) -> String {
        let text = self.script("const e = document.getElementById(arguments[0]); return e ? e.value : null", &json!([id]));
        text.as_str().unwrap_or_else(|| panic!("{}: there is no field {id}", self.engine)).to_owned()
    }

    /// Types into a field, after what is there already, without leaving it. Opens what the field is folded into.
    #[track_caller]
    pub(crate) fn add_to(&self, id: &str, text: &str) {
        let field = self.wait_for(&format!("#{id}"));
        self.script(
            "for (let e = document.getElementById(arguments[0]); e; e = e.parentElement) if (e.tagName === 'DETAILS') e.open = true",
            &json!([id]),
        );
        self.keys_into(&field, text);
    }

    /// Empties a field and types into it, then leaves it.
    #[track_caller]
    pub(crate) fn fill(&self, id: &str, text: &str) {
        let filled = self.field(id).chars().count();
        self.add_to(id, &key::BACKSPACE.repeat(filled));
        self.add_to(id, text);
        self.leave();
        assert_eq!(self.field(id), text, "{}: what stands in {id}", self.engine);
    }

    /// Takes the focus away from whatever has it.
    #[track_caller]
    pub(crate) fn leave(&self) {
        self.script("document.activeElement && document.activeElement.blur()", &json!([]));
    }

    /// Chooses in a list by the option's value.
    #[track_caller]
    pub(crate) fn choose(&self, id: &str, value: &str) {
        self.until(&format!("there is the list {id}"), || self.look(&format!("#{id}")));
        self.script(
            "const list = document.getElementById(arguments[0]);
             for (let e = list; e; e = e.parentElement) if (e.tagName === 'DETAILS') e.open = true;
             list.value = arguments[1];
             list.dispatchEvent(new Event('change', { bubbles: true }))",
            &json!([id, value]),
        );
    }

    /// The button, summary or link with this text, the first in sight.
    #[track_caller]
    pub(crate) fn button(&self, text: &str) -> Option<Element> {
        self.element_by(
            "return [...document.querySelectorAll('button, summary, a')]
               .find((e) => e.innerText.trim() === arguments[0] && e.getClientRects().length) || null",
            &json!([text]),
        )
    }

    /// Taps the button with this text.
    #[track_caller]
    pub(crate) fn tap(&self, text: &str) {
        let button = self.until(&format!("there is a button “{text}”"), || self.button(text));
        self.tap_on(&button);
    }

    /// Taps an element. It is brought to the middle first: what lies under the answer bar is out of a finger's reach too.
    #[track_caller]
    pub(crate) fn tap_on(&self, element: &Element) {
        // A page that is still moving is given a moment; whatever else is wrong with the element is said by the last try.
        for _ in 0..3 {
            self.script("arguments[0].scrollIntoView({ block: 'center' })", &json!([element.value()]));
            match self.try_click(element) {
                Err(refused) if refused.code == "element not interactable" => sleep(Duration::from_millis(200)),
                Err(refused) => panic!("a tap: {}: {}", refused.code, refused.words),
                Ok(()) => return,
            }
        }
        self.click(element);
    }

    /// Follows the first link for a selector.
    #[track_caller]
    pub(crate) fn follow(&self, selector: &str) {
        let link = self.wait_for(selector);
        self.tap_on(&link);
    }

    /// Waits until the page says that it is kept on the device.
    #[track_caller]
    pub(crate) fn kept(&self) {
        self.until("the page is ready to work without a network", || {
            (self.script("return window.lessdinOffline", &json!([])) == "ready").then_some(())
        });
        self.until("the service worker answers for the page", || {
            self.script("return !!navigator.serviceWorker.controller", &json!([])).as_bool().filter(|controlled| *controlled)
        });
    }

    /// Waits for the same where the engine can keep a page at all.
    #[track_caller]
    pub(crate) fn kept_if_it_can(&self) {
        if self.script("return 'serviceWorker' in navigator", &json!([])) == true {
            self.kept();
        }
    }

    /// The ids of all sheets, from the links on the home page.
    #[track_caller]
    pub(crate) fn sheets(&self) -> Vec<String> {
        self.open("#/");
        self.wait_for(".home nav a");
        let found = self.script(
            "return [...document.querySelectorAll('.home nav a')].map((a) => a.getAttribute('href')).filter((h) => /^#\\/[a-z-]+$/.test(h))",
            &json!([]),
        );
        let ids: Vec<String> = found.as_array().into_iter().flatten().filter_map(Value::as_str).map(|h| h[2..].to_owned()).collect();
        assert!(ids.contains(&"tally".to_owned()), "the home page links to the sheets: {ids:?}");
        ids
    }

    /// Opens a sheet with its example.
    #[track_caller]
    pub(crate) fn example(&self, sheet: &str) {
        self.open(&format!("#/{sheet}"));
        self.wait_for(&format!("[data-sheet=\"{sheet}\"]"));
        if self.button("Clear").is_some() {
            self.tap("Clear");
        }
        self.tap("Try it with made-up numbers");
        self.answered();
    }

    /// Waits until the longer calculation behind an answer is over.
    #[track_caller]
    pub(crate) fn settled(&self) {
        // It starts once typing has rested for half a second.
        sleep(Duration::from_millis(700));
        self.until("the longer calculation is over", || self.look(".progress").is_none().then_some(()));
    }

    /// Opens a sheet empty.
    #[track_caller]
    pub(crate) fn empty(&self, sheet: &str) {
        self.open(&format!("#/{sheet}"));
        self.wait_for(&format!("[data-sheet=\"{sheet}\"]"));
        if self.button("Clear").is_some() {
            self.tap("Clear");
        }
        self.wait_for("#answer.waiting");
    }

    /// How many colours cover a large part of a picture each, by the browser's own decoder.
    #[track_caller]
    pub(crate) fn large_colours(&self, png: &[u8]) -> u64 {
        use base64::Engine;
        let colours = self.promise(
            "const image = new Image();
             image.src = 'data:image/png;base64,' + arguments[0];
             await image.decode();
             const canvas = document.createElement('canvas');
             canvas.width = image.width;
             canvas.height = image.height;
             const context = canvas.getContext('2d');
             context.drawImage(image, 0, 0);
             const data = context.getImageData(0, 0, canvas.width, canvas.height).data;
             const counts = new Map();
             for (let i = 0; i < data.length; i += 4) {
               const colour = data[i] << 16 | data[i + 1] << 8 | data[i + 2];
               counts.set(colour, (counts.get(colour) || 0) + 1);
             }
             return [...counts.values()].filter((count) => count > 2000).length",
            &json!([base64::engine::general_purpose::STANDARD.encode(png)]),
        );
        colours.as_u64().unwrap_or_default()
    }

    /// A file that the page has saved, once it is complete.
    #[track_caller]
    pub(crate) fn downloaded(&self, ending: &str) -> Vec<u8> {
        self.until(&format!("a file *{ending} is saved"), || {
            let files = std::fs::read_dir(self.downloads.path()).ok()?.flatten();
            let file = files.map(|entry| entry.path()).find(|path| path.to_string_lossy().ends_with(ending))?;
            let content = std::fs::read(&file).ok()?;
            sleep(Duration::from_millis(100));
            (!content.is_empty() && std::fs::read(&file).ok()? == content).then_some(content)
        })
    }

    /// What stands on the console that should not.
    fn complaints(&self) -> Vec<String> {
        if self.engine != Engine::Chromium {
            return Vec::new();
        }
        let lines = self.log("browser").into_iter().filter(|line| line["level"] == "SEVERE" || line["level"] == "WARNING");
        lines
            .filter_map(|line| line["message"].as_str().map(str::to_owned))
            .filter(|line| !self.forgiven.iter().any(|part| line.contains(part)))
            .collect()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if panicking() {
            let seen = self
                .try_script("return location.href + '\\n' + document.title + '\\n' + document.body.innerText.slice(0, 3000)", &json!([]));
            eprintln!(
                "---- {} shows\n{}\n----",
                self.engine,
                seen.map_or_else(|e| e.words, |text| text.as_str().unwrap_or_default().to_owned())
            );
            self.end();
        } else {
            let complaints = self.complaints();
            self.end();
            assert!(complaints.is_empty(), "{}: the console complains:\n{}", self.engine, complaints.join("\n"));
        }
    }
}

/// A text with every run of white space as one plain space.
pub(crate) fn even(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
