use std::collections::BTreeSet;

use serde_json::{Value, json};

use crate::engine::{Can, on_every_engine};
use crate::page::Browser;
use crate::server::another_build;

/// Every address that Chromium's network log names since the last call.
fn asked_for(page: &Browser) -> BTreeSet<String> {
    let lines = page.log("performance");
    lines
        .iter()
        .filter_map(|line| serde_json::from_str::<Value>(line["message"].as_str()?).ok())
        .filter(|entry| {
            ["Network.requestWillBeSent", "Network.webSocketCreated"].contains(&entry["message"]["method"].as_str().unwrap_or(""))
        })
        .filter_map(|entry| {
            let parameters = &entry["message"]["params"];
            parameters["request"]["url"].as_str().or(parameters["url"].as_str()).map(str::to_owned)
        })
        .collect()
}

#[test]
fn nothing_is_asked_of_any_other_host() {
    on_every_engine(&[], |stage| {
        let page = stage.browser();
        page.open("");
        page.kept_if_it_can();
        for sheet in page.sheets() {
            page.example(&sheet);
        }
        page.tap("Save");
        page.open_anew("#/");
        page.wait_for(".kept");
        if stage.can(Can::Console) {
            let own = stage.site.address();
            let other: Vec<String> = asked_for(&page)
                .into_iter()
                .filter(|address| {
                    !address.starts_with(&own) && !["data:", "blob:", "about:"].iter().any(|start| address.starts_with(start))
                })
                .collect();
            assert!(other.is_empty(), "the page asks elsewhere: {other:?}");
        }
        // Pages, workers, service workers and the browser itself: all of them would have come by here.
        assert_eq!(stage.elsewhere.seen(), Vec::<String>::new(), "asked elsewhere");
        for request in stage.site.requests() {
            assert!(["GET", "HEAD"].contains(&request.method.as_str()), "{} {}", request.method, request.path);
            assert!(!request.path.contains(['?', '#', '=']), "what was typed stays here: {}", request.path);
        }
    });
}

/// Every way a script has to reach another host, tried one after the other.
const ATTEMPTS: &str = "
  const tried = {};
  const attempt = async (name, work) => {
    try { await work(); tried[name] = 'went out'; } catch (e) { tried[name] = 'refused'; }
  };
  const closed = (thing, open) => new Promise((yes, no) => { thing[open] = yes; thing.onerror = no; setTimeout(no, 3000); });
  await attempt('fetch', () => fetch(there + 'fetch'));
  await attempt('fetch without reading', () => fetch(there + 'blind', { mode: 'no-cors' }));
  await attempt('XMLHttpRequest', () => {
    const request = new XMLHttpRequest();
    request.open('GET', there + 'xhr');
    const over = closed(request, 'onload');
    request.send();
    return over;
  });
  await attempt('WebSocket', () => closed(new WebSocket(there.replace('http', 'ws') + 'socket'), 'onopen'));
  await attempt('EventSource', () => closed(new EventSource(there + 'events'), 'onopen'));
  await attempt('import', () => import(there + 'module.js'));
";

/// What only a page can try.
const PAGE_ATTEMPTS: &str = "
  await attempt('beacon', () => { if (!navigator.sendBeacon(there + 'beacon')) throw 0; });
  await attempt('image', () => { const image = new Image(); const over = closed(image, 'onload'); image.src = there + 'image.png'; return over; });
  await attempt('style', () => { const e = document.createElement('link'); e.rel = 'stylesheet'; e.href = there + 's.css'; const over = closed(e, 'onload'); document.head.append(e); return over; });
  await attempt('script', () => { const e = document.createElement('script'); e.src = there + 's.js'; const over = closed(e, 'onload'); document.head.append(e); return over; });
  await attempt('frame', () => { const e = document.createElement('iframe'); e.src = there + 'frame'; document.body.append(e); return new Promise((yes, no) => setTimeout(no, 500)); });
  await attempt('form', () => { const e = document.createElement('form'); e.action = there + 'form'; e.target = '_blank'; document.body.append(e); e.submit(); return new Promise((yes, no) => setTimeout(no, 500)); });
";

#[test]
fn from_the_page_no_way_leads_out() {
    on_every_engine(&[], |stage| {
        let mut page = stage.browser();
        for part in ["Content Security Policy", "Content-Security-Policy", "violates", "Refused to", "net::ERR"] {
            page.forgive(part);
        }
        page.open("");
        let there = format!("http://{}/", stage.elsewhere.address());
        let tried = page.promise(&format!("const there = arguments[0]; {ATTEMPTS} {PAGE_ATTEMPTS} return tried"), &json!([there]));
        assert_eq!(stage.elsewhere.seen(), Vec::<String>::new(), "{tried}");
        assert_eq!(tried["fetch"], "refused", "{tried}");
        assert_eq!(page.text("h1"), "What would silencing one part gain?");
    });
}

#[test]
fn from_the_worker_no_way_leads_out() {
    on_every_engine(&[], |stage| {
        let there = format!("http://{}/", stage.elsewhere.address());
        // The worker as it is, with attempts written into it; they run once the loader is through.
        let attempts = format!(
            "\nsetTimeout(async () => {{ const there = '{there}'; {ATTEMPTS}\
             await attempt('importScripts', () => self.importScripts(there + 'script.js'));\
             await attempt('Worker', () => new Worker(there + 'worker.js'));\
             self.postMessage({{ tried }}); }}, 300);\n"
        );
        let probe = another_build(|name, text| if name == "worker.js" { text + &attempts } else { text });
        stage.site.change_to(probe.path());
        let mut page = stage.browser();
        for part in ["Content Security Policy", "Content-Security-Policy", "violates", "Refused to", "net::ERR"] {
            page.forgive(part);
        }
        page.open("");
        let ask = "return await new Promise((done) => {
           const worker = new Worker('./worker_loader.js');
           worker.onmessage = (event) => { if (event.data && event.data.tried) done(event.data.tried); };
           setTimeout(() => done('silent'), 20000);
         })";
        let tried = page.promise(ask, &json!([]));
        assert!(tried.is_object(), "the worker says what it tried: {tried}");
        let mut seen = stage.elsewhere.seen();
        // Before the first visit is over, only the loader guards the worker, and it cannot take `import` away: nothing of ours uses it.
        seen.retain(|line| !line.contains("module.js"));
        assert_eq!(seen, Vec::<String>::new(), "{tried}");

        // Once the service worker answers, its policy closes that too.
        if stage.can(Can::ServiceWorker) {
            page.kept();
            page.open_anew("");
            page.kept();
            let before = stage.elsewhere.seen().len();
            let tried = page.promise(ask, &json!([]));
            assert!(tried.is_object(), "the worker says what it tried: {tried}");
            assert_eq!(stage.elsewhere.seen().len(), before, "{tried}");
        }
    });
}

#[test]
fn the_service_worker_asks_only_for_the_files_of_its_build() {
    on_every_engine(&[Can::ServiceWorker], |stage| {
        let page = stage.browser();
        page.open("");
        page.kept();
        page.example("tally");
        let files: BTreeSet<String> =
            std::fs::read_dir(crate::server::built()).unwrap().flatten().map(|entry| entry.file_name().into_string().unwrap()).collect();
        for request in stage.site.requests() {
            let name = request.path.trim_start_matches("/lessdin/");
            // A browser asks for this by itself.
            let favicon = request.path == "/favicon.ico";
            assert!(name.is_empty() || files.contains(name) || favicon, "{} for {}", request.path, request.destination);
        }
        // Kept once, nothing is asked for again.
        let before = stage.site.requests().len();
        page.open_anew("#/alone");
        page.example("alone");
        let later: Vec<String> = stage.site.requests().iter().skip(before).map(|request| request.path.clone()).collect();
        assert!(later.iter().all(|path| path.ends_with("/sw.js")), "asked for again: {later:?}");
    });
}
