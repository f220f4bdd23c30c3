//! `cargo module`: the JavaScript module, and its tests.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use crate::house::{House, Outcome, Stop, bytes, finish};
use crate::tools;

/// The name of the program inside the module; `lessdin.js` loads it.
const CORE: &str = "lessdin_core";
/// What is handed on as it is written.
const FACE: [&str; 3] = ["lessdin.js", "lessdin.d.ts", "package.json"];

/// Builds the module, once however often it is asked for.
pub(crate) fn build(house: &House) -> Outcome<String> {
    static BUILT: OnceLock<Outcome<String>> = OnceLock::new();
    BUILT.get_or_init(|| build_anew(house)).clone()
}

/// Builds the module into `module/` of the target folder.
fn build_anew(house: &House) -> Outcome<String> {
    let web = "wasm32-unknown-unknown";
    let mut command = tools::for_the_web(house, "cargo");
    let arguments = ["rustc", "--release", "--locked", "--lib", "--crate-type", "cdylib", "--features", "js", "--target", web];
    finish(command.args(arguments))?;
    let built = house.target().join(web).join("release/lessdin.wasm");
    let folder = folder(house);
    if folder.is_dir() {
        fs::remove_dir_all(&folder).map_err(|e| Stop::new(format!("{} cannot be emptied: {e}", folder.display())))?;
    }
    let (from, to) = (words(&built)?, words(&folder)?);
    house.run("wasm-bindgen", &["--target", "web", "--no-typescript", "--out-name", CORE, "--out-dir", to, from])?;
    let program = folder.join(format!("{CORE}_bg.wasm"));
    let place = words(&program)?;
    house.run("wasm-opt", &["-Oz", "--strip-producers", "-o", place, place])?;
    for name in FACE {
        let to = folder.join(name);
        fs::copy(Path::new("src/js").join(name), &to).map_err(|e| Stop::new(format!("{} cannot be written: {e}", to.display())))?;
    }
    Ok(format!("{} bytes of WebAssembly in {}", bytes(&program)?.len(), folder.display()))
}

/// Runs the tests under `tests/module` on the built module.
pub(crate) fn test(house: &House) -> Outcome<String> {
    let mut command = house.command("node");
    command.args(["--test", "--test-reporter=spec"]).args(tests()?).env("LESSDIN_MODULE", folder(house));
    finish(&mut command)?;
    Ok("all pass".to_owned())
}

/// The files of tests, by name: versions of Node read a folder's name differently.
fn tests() -> Outcome<Vec<PathBuf>> {
    let folder = Path::new("tests/module");
    let entries = fs::read_dir(folder).map_err(|e| Stop::new(format!("{} cannot be read: {e}", folder.display())))?;
    let mut tests: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    tests.retain(|path| path.to_str().is_some_and(|name| name.ends_with(".test.mjs")));
    tests.sort();
    Ok(tests)
}

/// Builds and tests.
pub(crate) fn check(house: &House) -> Outcome<String> {
    let built = build(house)?;
    test(house).map(|_| built)
}

/// Where it is built.
pub(crate) fn folder(house: &House) -> PathBuf {
    house.target().join("module")
}

fn words(path: &Path) -> Outcome<&str> {
    path.to_str().ok_or_else(|| Stop::new(format!("{} cannot be written in UTF-8.", path.display())))
}
