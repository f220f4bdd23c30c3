use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, TcpStream, UdpSocket};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex, MutexGuard};
use std::thread::{self, JoinHandle};
use std::time::Duration;

/// The site stands below a folder, as it may on any host.
const BASE: &str = "/lessdin/";

/// What the site was asked for.
#[derive(Clone, Debug)]
pub(crate) struct Request {
    pub(crate) method: String,
    pub(crate) path: String,
    /// The worker or page that asked, as far as the browser says: `document`, `script`, `empty`, …
    pub(crate) destination: String,
}

#[derive(Default)]
struct State {
    folder: PathBuf,
    /// Files that are refused, by the end of their names.
    hidden: Vec<String>,
    /// Pages beside the site.
    beside: BTreeMap<String, String>,
    requests: Vec<Request>,
    /// Answers are packed with brotli.
    packed: bool,
    packs: BTreeMap<PathBuf, Vec<u8>>,
}

/// A static host for a built site.
pub(crate) struct Site {
    at: SocketAddr,
    state: Arc<Mutex<State>>,
    running: Option<Running>,
}

impl Site {
    /// Serves a folder to this machine alone.
    pub(crate) fn serve(folder: &Path) -> Self {
        Self::serve_at(Ipv4Addr::LOCALHOST.into(), folder)
    }

    /// Serves a folder at one of this machine's addresses.
    pub(crate) fn serve_at(address: IpAddr, folder: &Path) -> Self {
        let state = Arc::new(Mutex::new(State { folder: folder.to_owned(), ..State::default() }));
        let running = Running::start(SocketAddr::new(address, 0), &state);
        Self { at: running.at, state, running: Some(running) }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap()
    }

    /// The address of the page.
    pub(crate) fn address(&self) -> String {
        format!("http://{}{BASE}", self.at)
    }

    /// The address of something beside the site.
    pub(crate) fn beside(&self, name: &str) -> String {
        format!("http://{}/{name}", self.at)
    }

    /// Puts a page beside the site.
    pub(crate) fn put_beside(&self, name: &str, html: &str) {
        self.state().beside.insert(format!("/{name}"), html.to_owned());
    }

    /// Refuses connections.
    pub(crate) fn stop(&mut self) {
        self.running = None;
    }

    /// Accepts connections again, on the same port.
    pub(crate) fn restart(&mut self) {
        self.running.get_or_insert_with(|| Running::start(self.at, &self.state));
    }

    /// Serves another build from now on.
    pub(crate) fn change_to(&self, folder: &Path) {
        let mut state = self.state();
        folder.clone_into(&mut state.folder);
        state.packs.clear();
    }

    /// Refuses files whose names end like this.
    pub(crate) fn hide(&self, ending: &str) {
        self.state().hidden.push(ending.to_owned());
    }

    /// Serves everything again.
    pub(crate) fn hide_nothing(&self) {
        self.state().hidden.clear();
    }

    /// Packs answers with brotli, as a good host does.
    pub(crate) fn pack(&self) {
        self.state().packed = true;
    }

    /// Everything asked for so far.
    pub(crate) fn requests(&self) -> Vec<Request> {
        self.state().requests.clone()
    }
}

struct Running {
    at: SocketAddr,
    ending: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Running {
    fn start(at: SocketAddr, state: &Arc<Mutex<State>>) -> Self {
        let listener = TcpListener::bind(at).unwrap_or_else(|e| panic!("cannot serve the site at {at}: {e}"));
        let at = listener.local_addr().unwrap();
        let ending = Arc::new(AtomicBool::new(false));
        let (state, told) = (state.clone(), ending.clone());
        let thread = thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                if told.load(Ordering::SeqCst) {
                    return;
                }
                let state = state.clone();
                thread::spawn(move || {
                    let _ = answer(stream, &state);
                });
            }
        });
        Self { at, ending, thread: Some(thread) }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.ending.store(true, Ordering::SeqCst);
        // Wakes the thread up, which then sees that it ends.
        let _ = TcpStream::connect(self.at);
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// The first line of a request and its headers.
fn read_request(stream: &TcpStream) -> std::io::Result<Option<(String, BTreeMap<String, String>)>> {
    stream.set_read_timeout(Some(Duration::from_secs(10)))?;
    let mut lines = BufReader::new(stream.take(64 << 10)).lines();
    let Some(first) = lines.next().transpose()? else { return Ok(None) };
    let mut headers = BTreeMap::new();
    for line in lines {
        let line = line?;
        let Some((name, value)) = line.split_once(':') else { break };
        headers.insert(name.to_ascii_lowercase(), value.trim().to_owned());
    }
    Ok(Some((first, headers)))
}

fn answer(mut stream: TcpStream, state: &Mutex<State>) -> std::io::Result<()> {
    let Some((first, headers)) = read_request(&stream)? else { return Ok(()) };
    let mut words = first.split(' ');
    let (method, target) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
    let path = target.split('?').next().unwrap_or_default();
    let accepts_brotli = headers.get("accept-encoding").is_some_and(|all| all.split(',').any(|one| one.trim().starts_with("br")));
    let (status, kind, body, encoding) = {
        let mut state = state.lock().unwrap();
        state.requests.push(Request {
            method: method.to_owned(),
            path: target.to_owned(),
            destination: headers.get("sec-fetch-dest").cloned().unwrap_or_default(),
        });
        let encoding = if state.packed && accepts_brotli { "Content-Encoding: br\r\n" } else { "" };
        match state.find(method, path, !encoding.is_empty()) {
            Some((kind, body)) => ("200 OK", kind, body, encoding),
            None => ("404 Not Found", "text/plain", b"There is nothing here.".to_vec(), ""),
        }
    };
    let head =
        format!("HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\n{encoding}Connection: close\r\n\r\n", body.len());
    stream.write_all(head.as_bytes())?;
    if method != "HEAD" {
        stream.write_all(&body)?;
    }
    stream.flush()
}

impl State {
    fn find(&mut self, method: &str, path: &str, packed: bool) -> Option<(&'static str, Vec<u8>)> {
        if !["GET", "HEAD"].contains(&method) || self.hidden.iter().any(|ending| path.ends_with(ending)) {
            return None;
        }
        if let Some(page) = self.beside.get(path) {
            return (!packed).then(|| ("text/html; charset=utf-8", page.clone().into_bytes()));
        }
        let name = path.strip_prefix(BASE)?;
        let name = if name.is_empty() { "index.html" } else { name };
        if name.contains("..") {
            return None;
        }
        let file = self.folder.join(name);
        let plain = fs::read(&file).ok()?;
        let body = if packed { self.packs.entry(file.clone()).or_insert_with(|| brotli(&plain)).clone() } else { plain };
        let ending = file.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
        let kind = match ending {
            "html" => "text/html; charset=utf-8",
            "js" => "text/javascript; charset=utf-8",
            "css" => "text/css; charset=utf-8",
            "wasm" => "application/wasm",
            "png" => "image/png",
            "svg" => "image/svg+xml",
            "webmanifest" => "application/manifest+json",
            _ => "application/octet-stream",
        };
        Some((kind, body))
    }
}

fn brotli(plain: &[u8]) -> Vec<u8> {
    let settings = brotli::enc::BrotliEncoderParams { quality: 5, ..Default::default() };
    let mut packed = Vec::new();
    brotli::BrotliCompress(&mut &*plain, &mut packed, &settings).unwrap();
    packed
}

/// Where browsers go by themselves, to look for news of their own.
const ERRANDS: &[&str] = &[".google.com", ".googleapis.com", ".gvt1.com", ".mozilla.com", ".mozilla.net", ".mozilla.org", ".firefox.com"];

/// Another host, which nothing of ours may ever reach. It answers everyone, so that whatever gets out is seen to get out.
pub(crate) struct Elsewhere {
    at: SocketAddr,
    seen: Arc<Mutex<Vec<String>>>,
}

impl Elsewhere {
    pub(crate) fn listen() -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let at = listener.local_addr().unwrap();
        let seen: Arc<Mutex<Vec<String>>> = Arc::default();
        let log = seen.clone();
        // Ends with the program: it holds nothing but its port.
        thread::spawn(move || {
            for mut stream in listener.incoming().flatten() {
                let first = read_request(&stream).ok().flatten().map_or_else(|| "a connection".to_owned(), |(first, _)| first);
                log.lock().unwrap().push(first);
                let _ = stream.write_all(
                    b"HTTP/1.1 200 OK\r\nAccess-Control-Allow-Origin: *\r\nContent-Type: text/javascript\r\nContent-Length: 0\r\nConnection: close\r\n\r\n",
                );
            }
        });
        Self { at, seen }
    }

    pub(crate) fn address(&self) -> String {
        self.at.to_string()
    }

    /// The first lines of all requests so far, a browser's own errands at its maker's excepted.
    pub(crate) fn seen(&self) -> Vec<String> {
        let seen = self.seen.lock().unwrap();
        seen.iter().filter(|line| !ERRANDS.iter().any(|host| line.contains(host))).cloned().collect()
    }
}

/// An address of this machine that is not the loopback, if it has one. Nothing is sent: the system only picks the way.
pub(crate) fn own_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind("0.0.0.0:0").ok()?;
    // 192.0.2.1 is set aside for documentation (RFC 5737).
    socket.connect("192.0.2.1:9").ok()?;
    socket.local_addr().ok().map(|address| address.ip()).filter(|address| !address.is_loopback() && !address.is_unspecified())
}

/// The built site.
pub(crate) fn built() -> PathBuf {
    let folder = std::env::var_os("LESSDIN_DIST").map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("dist"), PathBuf::from);
    assert!(
        folder.join("sw.js").is_file(),
        "There is no built site in {}. Run `cargo verify chromium`, which builds it, or name its folder in LESSDIN_DIST.",
        folder.display()
    );
    folder
}

/// A folder that goes when it is dropped.
pub(crate) struct Folder(PathBuf);

impl Folder {
    pub(crate) fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let name = format!("lessdin-flows-{}-{}", std::process::id(), COUNT.fetch_add(1, Ordering::SeqCst));
        let path = std::env::temp_dir().join(name);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub(crate) fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The name of a build, as its service worker knows it.
pub(crate) fn build_of(folder: &Path) -> String {
    let script = fs::read_to_string(folder.join("sw.js")).unwrap();
    script.split_once("const BUILD = '").and_then(|(_, rest)| rest.split_once('\'')).unwrap().0.to_owned()
}

/// The same site as another build: other names for its program files, whatever `change` does to a file, stamped like any release.
pub(crate) fn another_build(change: impl Fn(&str, String) -> String) -> Folder {
    let (from, to) = (built(), Folder::new());
    let old = build_of(&from);
    let renamed = |text: &str| text.replace("app-", "app-of-another-build-");
    for entry in fs::read_dir(&from).unwrap().flatten() {
        let name = entry.file_name().into_string().unwrap();
        let place = to.path().join(renamed(&name));
        let Ok(text) = fs::read_to_string(entry.path()) else {
            fs::copy(entry.path(), place).unwrap();
            continue;
        };
        let mut text = change(&name, text);
        match name.as_str() {
            "index.html" => text = renamed(&text.replace(&old, "development")),
            "worker_loader.js" => text = text.replace(&old, "development"),
            "sw.js" => {
                let (before, rest) = text.split_once("const FILES = [").unwrap();
                let (_, after) = rest.split_once("];").unwrap();
                text = format!("{before}const FILES = [];{after}").replace(&old, "development");
            }
            _ if name.starts_with("app-") => text = renamed(&text),
            _ => {}
        }
        fs::write(place, text).unwrap();
    }
    let done = Command::new(env!("CARGO_BIN_EXE_dev"))
        .arg("stamp")
        .env("TRUNK_STAGING_DIR", to.path())
        .env("TRUNK_PROFILE", "release")
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert!(done.status.success(), "the other build cannot be stamped: {}", String::from_utf8_lossy(&done.stderr));
    assert_ne!(build_of(to.path()), old);
    to
}
