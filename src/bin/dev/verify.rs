//! `cargo verify`: every check, named and timed.

use std::time::{Duration, Instant};

use serde_json::Value;

use crate::house::{House, Outcome, Stop, finish};
use crate::tools::{self, Need, ensure};
use crate::{module, site, tree};

/// One check.
struct Step {
    name: &'static str,
    what: &'static str,
    needs: &'static [Need],
    /// Looks at the built site, so `site` goes before it.
    on_site: bool,
    check: fn(&House) -> Outcome<String>,
}

const fn step(name: &'static str, what: &'static str, needs: &'static [Need], check: fn(&House) -> Outcome<String>) -> Step {
    Step { name, what, needs, on_site: false, check }
}

const fn on_site(name: &'static str, what: &'static str, needs: &'static [Need], check: fn(&House) -> Outcome<String>) -> Step {
    Step { name, what, needs, on_site: true, check }
}

/// In the order they are run: quick ones and those that find most faults first.
const STEPS: &[Step] = &[
    step("fmt", "the code is laid out as rustfmt does", &[Need::Lints], fmt),
    step("clippy", "lints, on this machine: all targets", &[Need::Lints], clippy),
    step("clippy-web", "lints, in the browser: page, worker and module", &[Need::Lints, Need::WasmTarget], clippy_web),
    step("test", "native tests and the examples in the documentation", &[], test),
    step("doc", "the documentation builds without a warning", &[Need::WasmTarget], doc),
    step("licences", "every crate may be used under a permissive licence", &[], tree::licences),
    step("duplicates", "no crate is there in two versions", &[], tree::duplicates),
    step("golden", "no published link has gone", &[], tree::golden),
    step("module", "the JavaScript module builds and its tests pass in Node", &[Need::ModuleTools], module::check),
    step("site", "the site builds", &[Need::SiteTools], site::build),
    on_site("size", "what the first screen weighs", &[], site::first_screen),
    on_site("sheets", "what the sheets weigh", &[], site::sheets),
    on_site("worker", "what the worker weighs", &[], site::background),
    on_site("precache", "the service worker keeps every file", &[], site::precache),
    on_site("outside", "the site names no address elsewhere, and no folder of this machine", &[], site::outside),
    on_site("chromium", "the flows in Chromium", &[Need::Chromium], chromium),
    on_site("firefox", "the flows in Firefox", &[Need::Firefox], |house| flows(house, "firefox", &[])),
    on_site("webkit", "the flows in WebKitGTK", &[Need::Webkit], |house| flows(house, "webkit", &[])),
];

/// Runs the named steps, or all; true when none failed.
pub(crate) fn verify(house: &House, names: &[String]) -> Outcome<bool> {
    if names.iter().any(|name| name == "--list") {
        for step in STEPS {
            println!("{:<11} {}", step.name, step.what);
        }
        return Ok(true);
    }
    let chosen = chosen(names)?;
    let start = Instant::now();
    let ready = set_up(house, &chosen);
    println!("-- all tools looked at in {}", seconds(start.elapsed()));
    let mut results: Vec<(&Step, Outcome<String>, Duration)> = Vec::new();
    for step in chosen {
        println!("\n== {}: {}", step.name, step.what);
        let begun = Instant::now();
        let no_site = step.on_site && results.iter().any(|(done, result, _)| done.name == "site" && result.is_err());
        let result = if no_site {
            Err(Stop::new("not run: the site did not build"))
        } else {
            ready
                .iter()
                .filter(|(need, _)| step.needs.contains(need))
                .try_for_each(|(_, there)| there.clone())
                .and_then(|()| (step.check)(house))
        };
        let took = begun.elapsed();
        match &result {
            Ok(detail) => println!("== {} passed in {}: {detail}", step.name, seconds(took)),
            Err(stop) => println!("== {} FAILED in {}\n{stop}", step.name, seconds(took)),
        }
        results.push((step, result, took));
    }
    println!();
    for (step, result, took) in &results {
        let outcome = if result.is_ok() { "passed" } else { "FAILED" };
        let words = match result {
            Ok(detail) => detail.clone(),
            Err(stop) => stop.to_string().lines().next().unwrap_or_default().to_owned(),
        };
        println!("{outcome}  {:<11} {:>8}  {words}", step.name, seconds(*took));
    }
    let failed = results.iter().filter(|(_, result, _)| result.is_err()).count();
    println!("in all {}", seconds(start.elapsed()));
    println!("{} passed, {failed} failed", results.len() - failed);
    Ok(failed == 0)
}

/// Finds or installs what the steps need, before any of them runs: on a new machine that is what takes longest.
fn set_up(house: &House, steps: &[&Step]) -> Vec<(Need, Outcome<()>)> {
    let mut ready: Vec<(Need, Outcome<()>)> = Vec::new();
    for need in steps.iter().flat_map(|step| step.needs) {
        if ready.iter().all(|(known, _)| known != need) {
            let there = ensure(house, *need);
            if let Err(stop) = &there {
                println!("-- {stop}");
            }
            ready.push((*need, there));
        }
    }
    ready
}

/// The steps asked for, in their own order, with the site built before what looks at it.
fn chosen(names: &[String]) -> Outcome<Vec<&'static Step>> {
    let known: Vec<&str> = STEPS.iter().map(|step| step.name).collect();
    if let Some(unknown) = names.iter().find(|name| !known.contains(&name.as_str())) {
        return Err(Stop::new(format!("There is no step “{unknown}”. The steps are: {}.", known.join(", "))));
    }
    let asked = |step: &Step| names.is_empty() || names.iter().any(|name| name == step.name);
    let site = STEPS.iter().any(|step| step.on_site && asked(step));
    Ok(STEPS.iter().filter(|step| asked(step) || (site && step.name == "site")).collect())
}

fn seconds(time: Duration) -> String {
    let all = time.as_secs_f64();
    if all < 100.0 { format!("{all:.1} s") } else { format!("{:.1} min", all / 60.0) }
}

fn fmt(house: &House) -> Outcome<String> {
    house.run("cargo", &["fmt", "--check"])?;
    Ok("clean".to_owned())
}

fn clippy(house: &House) -> Outcome<String> {
    house.run("cargo", &["clippy", "--locked", "--all-targets", "--features", "dev", "--", "-D", "warnings"])?;
    Ok("clean".to_owned())
}

fn clippy_web(house: &House) -> Outcome<String> {
    let target = ["--target", "wasm32-unknown-unknown"];
    let mut arguments = vec!["clippy", "--locked", "--features", "ui,js,logs", "--lib", "--bins"];
    arguments.extend(target);
    arguments.extend(["--", "-D", "warnings"]);
    house.run("cargo", &arguments)?;
    Ok("clean".to_owned())
}

fn test(house: &House) -> Outcome<String> {
    let mut arguments = vec!["test", "--locked", "--features", "dev", "--lib", "--bin", "dev"];
    let names = test_programs(house)?;
    for name in names.iter().filter(|name| *name != BROWSER) {
        arguments.extend(["--test", name]);
    }
    house.run("cargo", &arguments)?;
    house.run("cargo", &["test", "--locked", "--features", "dev", "--doc"])?;
    Ok("all pass".to_owned())
}

fn doc(house: &House) -> Outcome<String> {
    for extra in [&["--features", "dev"][..], &["--features", "ui,js", "--target", "wasm32-unknown-unknown"]] {
        let mut command = house.command("cargo");
        command.args(["doc", "--locked", "--no-deps", "--lib"]).args(extra).env("RUSTDOCFLAGS", "-D warnings");
        finish(&mut command)?;
    }
    Ok("no warning".to_owned())
}

/// The test program that drives a browser.
const BROWSER: &str = "browser";

fn chromium(house: &House) -> Outcome<String> {
    let found = tools::browser(house)?;
    flows(house, "chromium", &[("LESSDIN_CHROMIUM", &found.chromium), ("LESSDIN_CHROMEDRIVER", &found.driver)])
}

/// Plays the flows in one engine.
fn flows(house: &House, engine: &str, programs: &[(&str, &str)]) -> Outcome<String> {
    // One flow plays with the JavaScript module.
    module::build(house)?;
    let mut command = house.command("cargo");
    command.args(["test", "--locked", "--features", "dev", "--test", BROWSER]);
    command.env("LESSDIN_ENGINES", engine).env("LESSDIN_MODULE", module::folder(house)).envs(programs.iter().copied());
    finish(&mut command)?;
    Ok("all pass".to_owned())
}

/// The test programs Cargo.toml names.
fn test_programs(house: &House) -> Outcome<Vec<String>> {
    let data = house.metadata(&["--no-deps"])?;
    let targets = data.pointer("/packages/0/targets").and_then(Value::as_array).cloned().unwrap_or_default();
    let is_test = |target: &Value| target.pointer("/kind/0").and_then(Value::as_str) == Some("test");
    Ok(targets.iter().filter(|target| is_test(target)).filter_map(|target| target.get("name")?.as_str().map(str::to_owned)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(words: &str) -> Vec<String> {
        words.split_whitespace().map(str::to_owned).collect()
    }

    #[test]
    fn the_site_is_built_before_what_looks_at_it() {
        let steps: Vec<&str> = chosen(&names("precache fmt")).unwrap().iter().map(|step| step.name).collect();
        assert_eq!(steps, ["fmt", "site", "precache"]);
        assert_eq!(chosen(&[]).unwrap().len(), STEPS.len());
    }

    #[test]
    fn an_unknown_step_is_answered_with_the_known_ones() {
        assert!(chosen(&names("sizes")).err().unwrap().to_string().contains("size,"));
    }
}
