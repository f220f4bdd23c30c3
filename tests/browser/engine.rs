use std::env;
use std::fmt;
use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;

use serde_json::{Value, json};

use crate::page::Browser;
use crate::server::{Elsewhere, Folder, Site, built, own_address};
use crate::webdriver::{Session, patiently};

/// A browser engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Engine {
    Chromium,
    Firefox,
    Webkit,
}

impl fmt::Display for Engine {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Chromium => "chromium",
            Self::Firefox => "firefox",
            Self::Webkit => "webkit",
        })
    }
}

/// Something a flow needs of the engine and its driver, beyond the page itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Can {
    /// Read what the page has put on the clipboard.
    Clipboard,
    /// Tell what the page has written to the console.
    Console,
    /// Save files where the flow finds them.
    Download,
    /// Pretend to be in a country with a decimal comma.
    Locale,
    /// Pretend that the reader wants dark, no motion, or their own colours; to be a narrow touch screen.
    Emulate,
    /// Walk through the page with the Tab key.
    Tab,
    /// Make a PDF.
    Print,
    /// Keep the page for use without a network.
    ServiceWorker,
}

/// What an engine or its driver cannot do, and why. The flows that need it are left out there, and say so.
const LACKS: &[(Engine, Can, &str)] = &[
    (Engine::Firefox, Can::Console, "geckodriver has no log of the console"),
    (Engine::Firefox, Can::Emulate, "geckodriver cannot set media features or a screen's size"),
    (Engine::Webkit, Can::Clipboard, "the driver cannot grant access to the clipboard"),
    (Engine::Webkit, Can::Console, "the driver has no log of the console"),
    (Engine::Webkit, Can::Download, "the driver cannot say where files go"),
    (Engine::Webkit, Can::Emulate, "the driver cannot set media features or a screen's size"),
    (Engine::Webkit, Can::Locale, "the driver cannot set the language"),
    (Engine::Webkit, Can::Print, "the driver has no print command"),
];

impl Engine {
    /// Why this engine cannot do something; nothing when it can.
    fn lacks(self, what: Can) -> Option<&'static str> {
        LACKS.iter().find(|(engine, can, _)| *engine == self && *can == what).map(|(_, _, why)| *why)
    }

    fn named(name: &str) -> Self {
        match name {
            "chromium" => Self::Chromium,
            "firefox" => Self::Firefox,
            "webkit" => Self::Webkit,
            other => panic!("LESSDIN_ENGINES names “{other}”; it may name chromium, firefox and webkit, separated by commas."),
        }
    }

    /// The browser itself.
    fn program(self) -> PathBuf {
        match self {
            Self::Chromium => {
                let names = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"];
                program("LESSDIN_CHROMIUM", &names, "Chromium is missing. Install the package chromium")
            }
            Self::Firefox => program("LESSDIN_FIREFOX", &["firefox-esr", "firefox"], "Firefox is missing. Install the package firefox-esr"),
            Self::Webkit => {
                program("LESSDIN_MINIBROWSER", &["MiniBrowser"], "MiniBrowser is missing. Install the package webkit2gtk-driver")
            }
        }
    }

    fn driver(self) -> PathBuf {
        match self {
            Self::Chromium => {
                program("LESSDIN_CHROMEDRIVER", &["chromedriver"], "ChromeDriver is missing. Install the package chromium-driver")
            }
            Self::Firefox => {
                program("LESSDIN_GECKODRIVER", &["geckodriver"], "geckodriver is missing. Run: cargo install geckodriver --locked")
            }
            Self::Webkit => {
                let why = "WebKitWebDriver is missing. Install the package webkit2gtk-driver";
                program("LESSDIN_WEBKITDRIVER", &["WebKitWebDriver"], why)
            }
        }
    }

    fn capabilities(self, wishes: &Wishes, downloads: &Path, elsewhere: &Elsewhere) -> Value {
        let timeouts = json!({ "script": 60_000, "pageLoad": 60_000, "implicit": 0 });
        let direct: Vec<String> = ["127.0.0.1".to_owned()].into_iter().chain(own_address().map(|own| own.to_string())).collect();
        // Whatever asks for another host, the browser itself included, asks there.
        let proxy = json!({ "proxyType": "manual", "httpProxy": elsewhere.address(), "sslProxy": elsewhere.address(), "noProxy": direct });
        let mut wanted = match self {
            Self::Chromium => {
                let mut arguments = vec![
                    "--headless=new",
                    "--disable-gpu",
                    "--disable-dev-shm-usage",
                    "--no-first-run",
                    "--disable-background-networking",
                    "--disable-component-update",
                    "--disable-default-apps",
                    "--disable-extensions",
                    "--disable-sync",
                    "--disable-quic",
                    "--window-size=1000,1000",
                ];
                // As root, Chromium starts only without its sandbox; nothing foreign is ever opened here.
                arguments.push("--no-sandbox");
                let language = wishes.language.map(|language| format!("--lang={language}"));
                arguments.extend(language.as_deref());
                json!({
                    "goog:chromeOptions": {
                        "binary": self.program(),
                        "args": arguments,
                        "prefs": { "download.default_directory": downloads, "download.prompt_for_download": false },
                    },
                    "goog:loggingPrefs": { "browser": "ALL", "performance": "ALL" },
                })
            }
            Self::Firefox => {
                let mut settings = json!({
                    "browser.download.dir": downloads,
                    "browser.download.folderList": 2,
                    "browser.download.useDownloadDir": true,
                    "browser.helperApps.neverAsk.saveToDisk": "text/csv,image/png",
                    "dom.events.testing.asyncClipboard": true,
                    // Its own errands: none is wanted here.
                    "app.normandy.enabled": false,
                    "app.update.enabled": false,
                    "browser.region.network.url": "",
                    "browser.safebrowsing.downloads.enabled": false,
                    "browser.safebrowsing.malware.enabled": false,
                    "browser.safebrowsing.phishing.enabled": false,
                    "browser.search.update": false,
                    "captivedetect.canonicalURL": "",
                    "datareporting.policy.dataSubmissionEnabled": false,
                    "extensions.getAddons.cache.enabled": false,
                    "extensions.systemAddon.update.enabled": false,
                    "extensions.update.enabled": false,
                    "media.gmp-manager.updateEnabled": false,
                    "network.captive-portal-service.enabled": false,
                    "network.connectivity-service.enabled": false,
                    "services.settings.server": "data:,#remote-settings-dummy/v1",
                    "toolkit.telemetry.enabled": false,
                });
                if let Some(language) = wishes.language {
                    settings["intl.accept_languages"] = json!(language);
                    settings["intl.regional_prefs.use_os_locales"] = json!(true);
                }
                json!({ "moz:firefoxOptions": { "binary": self.program(), "args": ["-headless"], "prefs": settings } })
            }
            Self::Webkit => json!({ "webkitgtk:browserOptions": { "binary": self.program(), "args": ["--automation"] } }),
        };
        wanted["timeouts"] = timeouts;
        wanted["proxy"] = proxy;
        wanted
    }
}

/// A program by the name a variable gives, else the first found on the search path or where systems keep such helpers.
fn program(variable: &str, names: &[&str], missing: &str) -> PathBuf {
    if let Some(path) = env::var_os(variable) {
        return path.into();
    }
    let mut places: Vec<PathBuf> = env::split_paths(&env::var_os("PATH").unwrap_or_default()).collect();
    places.extend(env::home_dir().map(|home| home.join(".cargo/bin")));
    for library in ["/usr/lib", "/usr/libexec", "/usr/lib/x86_64-linux-gnu", "/usr/lib/aarch64-linux-gnu"] {
        places.push(library.into());
        places.extend(["webkit2gtk-4.1", "webkit2gtk-4.0", "webkitgtk-6.0"].map(|part| Path::new(library).join(part)));
    }
    let found = names.iter().flat_map(|name| places.iter().map(move |place| place.join(name))).find(|path| path.is_file());
    found.unwrap_or_else(|| panic!("{missing}, or name it in {variable}."))
}

/// A process that ends with this value.
struct Process(Child);

impl Drop for Process {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A driver, and the screen it draws on where the engine needs one.
pub(crate) struct Driver {
    address: String,
    // Ended in this order.
    _program: Process,
    _screen: Option<Process>,
}

impl Driver {
    fn start(engine: Engine, wishes: &Wishes) -> Self {
        let free = TcpListener::bind(("127.0.0.1", 0)).unwrap().local_addr().unwrap().port();
        let path = engine.driver();
        let mut command = Command::new(&path);
        match engine {
            Engine::Chromium | Engine::Webkit => command.arg(format!("--port={free}")),
            // Its second port would be the same for every driver on the machine.
            Engine::Firefox => command.args(["--port", &free.to_string(), "--websocket-port", "0"]),
        };
        if let Some(language) = wishes.language {
            command.env("LANGUAGE", language).env("LANG", format!("{}.UTF-8", language.replace('-', "_")));
        }
        let screen = (engine == Engine::Webkit).then(|| {
            let (screen, name) = screen();
            command.env("DISPLAY", name).env("GDK_BACKEND", "x11").env("WEBKIT_DISABLE_COMPOSITING_MODE", "1");
            // Over a shared bus a second browser would only wake the first one up.
            command.env("DBUS_SESSION_BUS_ADDRESS", "disabled:").env("NO_AT_BRIDGE", "1").env("GSETTINGS_BACKEND", "memory");
            screen
        });
        let child = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn();
        let child = child.unwrap_or_else(|e| panic!("{} cannot be started: {e}", path.display()));
        let driver = Self { address: format!("http://127.0.0.1:{free}"), _program: Process(child), _screen: screen };
        patiently(|| Session::is_ready(&driver.address).then_some(()))
            .unwrap_or_else(|| panic!("{} was started but does not listen at {}", path.display(), driver.address));
        driver
    }
}

/// A screen nobody sees, and its name.
fn screen() -> (Process, String) {
    let path = program("LESSDIN_XVFB", &["Xvfb"], "Xvfb is missing. Install the package xvfb");
    let mut child = Command::new(path)
        .args(["-displayfd", "1", "-screen", "0", "1200x1200x24", "-nolisten", "tcp"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("Xvfb starts");
    let mut line = String::new();
    BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
    (Process(child), format!(":{}", line.trim()))
}

/// How a browser is to be started.
#[derive(Clone, Copy, Default)]
pub(crate) struct Wishes {
    /// The device's language, `de-DE`.
    pub(crate) language: Option<&'static str>,
}

/// Where a flow plays: an engine and the built site.
pub(crate) struct Stage {
    pub(crate) engine: Engine,
    pub(crate) site: Site,
    /// Every other host there is.
    pub(crate) elsewhere: Elsewhere,
}

impl Stage {
    /// A browser that has never been here.
    pub(crate) fn browser(&self) -> Browser {
        self.browser_with(Wishes::default())
    }

    pub(crate) fn browser_with(&self, wishes: Wishes) -> Browser {
        let downloads = Folder::new();
        let capabilities = self.engine.capabilities(&wishes, downloads.path(), &self.elsewhere);
        let start = || {
            let driver = Driver::start(self.engine, &wishes);
            Session::start(&driver.address, &capabilities).map(|session| (driver, session))
        };
        // On a busy machine a driver may miss its browser: then once more, with a new driver.
        let mut started = start();
        for _ in 0..3 {
            started = started.or_else(|_| start());
        }
        let (driver, session) = started.unwrap_or_else(|e| panic!("{} does not start: {}: {}", self.engine, e.code, e.words));
        if let (Engine::Chromium, Some(language)) = (self.engine, wishes.language) {
            // Many installations have no language but English: the switch alone would change nothing.
            let set =
                session.command("/goog/cdp/execute", &json!({ "cmd": "Emulation.setLocaleOverride", "params": { "locale": language } }));
            set.unwrap_or_else(|e| panic!("the language cannot be set: {}", e.words));
        }
        Browser::new(session, driver, downloads, self.engine, self.site.address())
    }

    /// Whether the engine can do this; says so when not.
    pub(crate) fn can(&self, what: Can) -> bool {
        let lack = self.engine.lacks(what);
        if let Some(why) = lack {
            println!("{}: a part is left out ({what:?}): {why}", self.engine);
        }
        lack.is_none()
    }
}

/// Plays a flow on every engine that was asked for and can do what it needs.
pub(crate) fn on_every_engine(needs: &[Can], flow: impl Fn(&mut Stage)) {
    let names = env::var("LESSDIN_ENGINES").unwrap_or_else(|_| "chromium".to_owned());
    for name in names.split(',').map(str::trim).filter(|name| !name.is_empty()) {
        let engine = Engine::named(name);
        if let Some(why) = needs.iter().find_map(|need| engine.lacks(*need)) {
            println!("{engine}: left out: {why}");
            continue;
        }
        println!("{engine}: {}", thread::current().name().unwrap_or_default());
        flow(&mut Stage { engine, site: Site::serve(&built()), elsewhere: Elsewhere::listen() });
    }
}
