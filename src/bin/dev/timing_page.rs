//! `cargo timing-page`: a page that runs the heavy parts alone, to be timed in a browser beside other programs.

use std::fs;

use crate::house::{House, Outcome, Stop, bytes, finish};
use crate::tools;

/// The profile that the site's worker for files is built with.
const PROFILE: &str = "fast";
const PAGE: &str = include_str!("timing_page.html");

/// Builds the page into `timing-page/` of the target folder.
pub(crate) fn build(house: &House) -> Outcome<String> {
    let web = "wasm32-unknown-unknown";
    let mut command = tools::for_the_web(house, "cargo");
    finish(command.args(["build", "--locked", "--bin", "timing", "--features", "timing", "--profile", PROFILE, "--target", web]))?;
    let built = house.target().join(web).join(PROFILE).join("timing.wasm");
    let folder = house.target().join("timing-page");
    if folder.is_dir() {
        fs::remove_dir_all(&folder).map_err(|e| Stop::new(format!("{} cannot be emptied: {e}", folder.display())))?;
    }
    let path = |path: &std::path::Path| {
        path.to_str().map(str::to_owned).ok_or_else(|| Stop::new(format!("{} cannot be written in UTF-8.", path.display())))
    };
    house.run(
        "wasm-bindgen",
        &["--target", "web", "--no-typescript", "--out-name", "timing", "--out-dir", &path(&folder)?, &path(&built)?],
    )?;
    let program = folder.join("timing_bg.wasm");
    let place = path(&program)?;
    // Large functions are slow to become fast in a browser, so those that stand apart in the source stay apart.
    house.run("wasm-opt", &["-Oz", "--one-caller-inline-max-function-size=60", "--strip-producers", "-o", &place, &place])?;
    let page = folder.join("bench.html");
    fs::write(&page, PAGE).map_err(|e| Stop::new(format!("{} cannot be written: {e}", page.display())))?;
    Ok(format!("{} bytes of WebAssembly, for {}", bytes(&program)?.len(), page.display()))
}
