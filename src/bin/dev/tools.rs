//! Finds the tools a command needs, or installs them, saying what it does.

use std::env;
use std::path::Path;
use std::time::Instant;

use serde_json::Value;

use crate::house::{House, Outcome, Stop, finish, text};

/// The version of Trunk the site is built with.
const TRUNK: &str = "0.21.14";
/// The version of Firefox's driver that is installed where there is none.
const GECKODRIVER: &str = "0.37.1";
/// The oldest Node that runs the tools under `tests/`.
const NODE: u32 = 20;
const WASM: &str = "wasm32-unknown-unknown";

/// Something a command cannot do without.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Need {
    /// `cargo fmt` and `cargo clippy`.
    Lints,
    /// Rust's standard library for the browser.
    WasmTarget,
    /// Trunk, wasm-bindgen and wasm-opt.
    SiteTools,
    /// wasm-bindgen, wasm-opt, Node and the type checker.
    ModuleTools,
    /// Chromium and its driver.
    Chromium,
    /// Firefox and its driver.
    Firefox,
    /// The small browser of `WebKitGTK`, its driver, and a screen for it.
    Webkit,
}

/// Makes sure of `need`: at once when it is there, after installing it when it is not.
pub(crate) fn ensure(house: &House, need: Need) -> Outcome<()> {
    match need {
        Need::Lints => lints(house),
        Need::WasmTarget => wasm_target(house),
        Need::SiteTools => {
            ensure(house, Need::ModuleTools)?;
            cargo_tool(house, "trunk", "trunk", TRUNK, &["--no-default-features", "--features", "rustls"])
        }
        Need::ModuleTools => {
            wasm_target(house)?;
            node_packages(house)?;
            cargo_tool(house, "wasm-bindgen", "wasm-bindgen-cli", &wasm_bindgen_pin(house)?, &[])
        }
        Need::Chromium => {
            node_packages(house)?;
            browser(house)?;
            let packages = &["poppler-utils"];
            let there = house.find("pdftotext").is_some();
            if there { Ok(()) } else { apt(house, "pdftotext, which reads prints, is missing", packages, "install Poppler's tools") }
        }
        Need::Firefox => {
            node_packages(house)?;
            firefox(house)
        }
        Need::Webkit => {
            node_packages(house)?;
            webkit(house)
        }
    }
}

fn lints(house: &House) -> Outcome<()> {
    if house.read("cargo", &["fmt", "--version"]).is_ok() && house.read("cargo", &["clippy", "--version"]).is_ok() {
        return Ok(());
    }
    step("rustfmt and clippy are missing: installing them", || house.run("rustup", &["component", "add", "rustfmt", "clippy"]))
        .map_err(|e| by_hand(&e, "rustup component add rustfmt clippy"))
}

fn wasm_target(house: &House) -> Outcome<()> {
    let place = house.read("rustc", &["--print", "target-libdir", "--target", WASM])?;
    if Path::new(place.trim()).is_dir() {
        return Ok(());
    }
    step("Rust for the browser is missing: installing it", || house.run("rustup", &["target", "add", WASM]))
        .map_err(|e| by_hand(&e, &format!("rustup target add {WASM}")))
}

/// The version after `=` in Cargo.toml: the command-line tool must be that very one.
fn wasm_bindgen_pin(house: &House) -> Outcome<String> {
    let data = house.metadata(&["--no-deps"])?;
    data.pointer("/packages/0/dependencies")
        .and_then(Value::as_array)
        .and_then(|all| all.iter().find(|one| one.get("name").and_then(Value::as_str) == Some("wasm-bindgen")))
        .and_then(|one| one.get("req")?.as_str()?.strip_prefix('='))
        .map(|version| version.trim().to_owned())
        .ok_or_else(|| Stop::new("Cargo.toml must pin wasm-bindgen with `=`: the tool of the same version turns the build into a page."))
}

/// A tool that comes from source by `cargo install`. One of another version is left alone: ours then goes under `target/`.
fn cargo_tool(house: &House, program: &str, package: &str, version: &str, extra: &[&str]) -> Outcome<()> {
    let found = house.read(program, &["--version"]).ok().and_then(|line| line.split_whitespace().nth(1).map(str::to_owned));
    if found.as_deref() == Some(version) {
        return Ok(());
    }
    let own = house.target().join("tools").to_string_lossy().into_owned();
    let mut arguments = vec!["install", package, "--locked", "--version", version];
    arguments.extend(extra);
    let why = match &found {
        None => format!("{program} is missing: installing {version} from source (some minutes)"),
        Some(other) => {
            arguments.extend(["--force", "--root", &own]);
            format!("{program} is {other}, {version} is wanted: installing it beside, under target/tools (some minutes)")
        }
    };
    let by_hand_line = format!("cargo install {package} --locked --version {version}");
    step(&why, || {
        let mut command = house.command("cargo");
        command.args(&arguments);
        // A tool that runs for seconds is not worth minutes of optimising.
        for (name, value) in [("LTO", "off"), ("CODEGEN_UNITS", "16"), ("OPT_LEVEL", "1"), ("DEBUG", "0")] {
            command.env(format!("CARGO_PROFILE_RELEASE_{name}"), value);
        }
        // Built in a folder of its own that cargo clears away.
        command.env_remove("CARGO_TARGET_DIR");
        finish(&mut command)
    })
    .map_err(|e| by_hand(&e, &by_hand_line))?;
    let now = house.read(program, &["--version"]).unwrap_or_default();
    if now.split_whitespace().nth(1) == Some(version) {
        Ok(())
    } else {
        Err(Stop::new(format!("{program} {version} was installed, but another is found first on PATH. Run: {by_hand_line} --force")))
    }
}

fn node_packages(house: &House) -> Outcome<()> {
    let wanted = locked_versions(&text("tests/package-lock.json")?)?;
    let fits = |(name, version): &(String, String)| {
        text(format!("tests/node_modules/{name}/package.json"))
            .ok()
            .and_then(|words| serde_json::from_str::<Value>(&words).ok())
            .is_some_and(|package| package.get("version").and_then(Value::as_str) == Some(version))
    };
    let there = wanted.iter().all(fits);
    let node = house.read("node", &["--version"]).ok();
    let major = node.as_deref().and_then(first_number);
    if major.is_none() || house.find("npm").is_none() {
        apt(house, "Node is missing", &["nodejs", "npm"], "install Node 20 or later from your system's packages, with npm")?;
    }
    let major = house.read("node", &["--version"]).ok().as_deref().and_then(first_number).unwrap_or(0);
    if major < NODE {
        return Err(Stop::new(format!(
            "Node is version {major}; {NODE} or later is needed to run wasm-opt. Install it from your system's packages."
        )));
    }
    if there {
        return Ok(());
    }
    step("wasm-opt, the accessibility checker and the type checker are missing or of other versions: installing them under tests/", || {
        house.run("npm", &["ci", "--prefix", "tests", "--ignore-scripts", "--no-audit", "--no-fund"])
    })
    .map_err(|e| by_hand(&e, "npm ci --prefix tests --ignore-scripts"))
}

/// Name and version of every package a lock file holds.
fn locked_versions(lock: &str) -> Outcome<Vec<(String, String)>> {
    let lock: Value = serde_json::from_str(lock).map_err(|e| Stop::new(format!("tests/package-lock.json cannot be read: {e}")))?;
    let packages =
        lock.get("packages").and_then(Value::as_object).ok_or_else(|| Stop::new("tests/package-lock.json lists no packages."))?;
    Ok(packages
        .iter()
        .filter_map(|(place, package)| {
            Some((place.strip_prefix("node_modules/")?.to_owned(), package.get("version")?.as_str()?.to_owned()))
        })
        .collect())
}

/// The browser and its driver.
pub(crate) struct Browser {
    pub(crate) chromium: String,
    pub(crate) driver: String,
}

/// Finds a browser and a driver of the same version, installing both where that can be done.
pub(crate) fn browser(house: &House) -> Outcome<Browser> {
    let by_hand = "install Chromium and the ChromeDriver of the same version, and put both on PATH";
    let packages = &["chromium", "chromium-driver", "fonts-dejavu-core"];
    if let Ok(found) = browser_there(house) {
        return Ok(found);
    }
    let why = browser_there(house).err().map_or_else(String::new, |e| e.to_string());
    apt(house, &why, packages, by_hand)?;
    browser_there(house).map_err(|e| Stop::new(format!("{e}. To go on, {by_hand}.")))
}

fn browser_there(house: &House) -> Outcome<Browser> {
    let names = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"];
    let chromium = names.iter().find_map(|name| house.find(name)).ok_or_else(|| Stop::new("Chromium is missing"))?;
    let driver = house.find("chromedriver").ok_or_else(|| Stop::new("ChromeDriver is missing"))?;
    let (chromium, driver) = (chromium.to_string_lossy().into_owned(), driver.to_string_lossy().into_owned());
    let versions = (first_number(&house.read(&chromium, &["--version"])?), first_number(&house.read(&driver, &["--version"])?));
    match versions {
        (Some(one), Some(other)) if one == other => Ok(Browser { chromium, driver }),
        (one, other) => Err(Stop::new(format!(
            "Chromium is version {}, ChromeDriver {}: they must be the same",
            one.unwrap_or_default(),
            other.unwrap_or_default()
        ))),
    }
}

/// Firefox by its package; its driver comes from source, for no Debian package holds it.
fn firefox(house: &House) -> Outcome<()> {
    if house.find("firefox-esr").or_else(|| house.find("firefox")).is_none() {
        apt(house, "Firefox is missing", &["firefox-esr", "fonts-dejavu-core"], "install Firefox and put it on PATH")?;
    }
    // Any version will do: the protocol is a standard.
    if house.find("geckodriver").is_some() { Ok(()) } else { cargo_tool(house, "geckodriver", "geckodriver", GECKODRIVER, &[]) }
}

fn webkit(house: &House) -> Outcome<()> {
    if house.find("WebKitWebDriver").is_some() && house.find("Xvfb").is_some() {
        return Ok(());
    }
    let packages = &["webkit2gtk-driver", "xvfb", "fonts-dejavu-core"];
    apt(house, "WebKitGTK's driver or Xvfb is missing", packages, "install WebKitGTK's MiniBrowser and WebKitWebDriver, and Xvfb")
}

/// Installs system packages where that can be done without asking; otherwise says what to do.
fn apt(house: &House, why: &str, packages: &[&str], otherwise: &str) -> Outcome<()> {
    let line = format!("apt-get install -y --no-install-recommends {}", packages.join(" "));
    if house.find("apt-get").is_none() {
        return Err(Stop::new(format!("{why}. To go on, {otherwise}.")));
    }
    let root = house.read("id", &["-u"]).is_ok_and(|id| id.trim() == "0");
    let sudo = !root && house.read("sudo", &["-n", "true"]).is_ok();
    if !root && !sudo {
        return Err(Stop::new(format!("{why}. To go on, run: sudo {line}")));
    }
    let run = |arguments: &[&str]| {
        let mut command = if sudo { house.command("sudo") } else { house.command("apt-get") };
        if sudo {
            command.args(["-n", "apt-get"]);
        }
        finish(command.args(arguments).env("DEBIAN_FRONTEND", "noninteractive"))
    };
    let mut install = vec!["install", "-y", "-q", "--no-install-recommends"];
    install.extend(packages);
    step(&format!("{why}: installing {}", packages.join(", ")), || {
        run(&["update", "-q"])?;
        run(&install)
    })
    .map_err(|e| by_hand(&e, &line))
}

/// Says what is being done and how long it took.
fn step(what: &str, work: impl FnOnce() -> Outcome<()>) -> Outcome<()> {
    println!("-- {what}");
    let start = Instant::now();
    work()?;
    println!("-- done in {:.0} s", start.elapsed().as_secs_f64());
    Ok(())
}

fn by_hand(cause: &Stop, line: &str) -> Stop {
    Stop::new(format!("{cause}. To go on, run: {line}"))
}

/// The first whole number in some text: the major version of a tool that names itself first.
fn first_number(words: &str) -> Option<u32> {
    let from = words.find(|c: char| c.is_ascii_digit())?;
    words.get(from..)?.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok()
}

/// A program that builds for the browser. Messages of a crash there then name a crate's file, not the folder it stood in on
/// this machine.
pub(crate) fn for_the_web(house: &House, program: &str) -> std::process::Command {
    let mut command = house.command(program);
    if let Some(sources) = house.sources().filter(|path| !path.contains(' ')) {
        command.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS", format!("--remap-path-prefix={sources}=crates"));
    }
    command
}

/// Trunk, ready to run without a network: everything it wants is fetched first.
pub(crate) fn trunk(house: &House) -> Outcome<std::process::Command> {
    house.run("cargo", &["fetch", "--locked"])?;
    let mut command = for_the_web(house, "trunk");
    command.env("TRUNK_SKIP_VERSION_CHECK", "true");
    // Trunk reads NO_COLOR as true or false only.
    if env::var_os("NO_COLOR").is_some() {
        command.env("NO_COLOR", "true");
    }
    Ok(command)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_version_is_the_first_number() {
        assert_eq!(first_number("Chromium 156.0.8078.79 built on Debian"), Some(156));
        assert_eq!(first_number("v20.20.2"), Some(20));
        assert_eq!(first_number("none"), None);
    }

    #[test]
    fn trunk_is_told_the_wasm_opt_that_npm_installs() {
        let lock = text(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/package-lock.json")).unwrap();
        let (_, version) = locked_versions(&lock).unwrap().into_iter().find(|(name, _)| name == "binaryen").unwrap();
        let settings = text(concat!(env!("CARGO_MANIFEST_DIR"), "/Trunk.toml")).unwrap();
        let wanted = format!("wasm_opt = \"version_{}\"", version.split('.').next().unwrap());
        assert!(settings.contains(&wanted), "Trunk.toml must say: {wanted}");
    }
}
