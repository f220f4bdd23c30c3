//! Rules for what the project rests on and for what it has published: licences, duplicate crates, links.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use spdx::{Expression, ParseMode};

use crate::house::{House, Outcome, Stop, text};

/// Licences that ask for no more than their notice. A crate must be usable under one of them.
const LICENCES: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "BSD-1-Clause",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Crates that may be there in more than one version, with the reason.
const TWICE: &[(&str, &str)] = &[
    ("syn", "reads code for macros, so nothing of it is in the page; the macros the page is written with want different ones"),
    ("thiserror", "writes out error types while building and leaves no code of its own; gloo wants the first, yew the second"),
    ("thiserror-impl", "the macro of thiserror"),
];

const GOLDEN: &str = "tests/golden/links.txt";

/// Every crate, for every system and feature, may be used under a licence of the list.
pub(crate) fn licences(house: &House) -> Outcome<String> {
    let data = house.metadata(&["--all-features"])?;
    let packages = data.get("packages").and_then(Value::as_array).ok_or_else(|| Stop::new("`cargo metadata` lists no packages."))?;
    let mut faults = Vec::new();
    for package in packages {
        let named = |key| package.get(key).and_then(Value::as_str).unwrap_or_default();
        let licence = named("license");
        let fits = Expression::parse_mode(licence, ParseMode::LAX)
            .is_ok_and(|terms| terms.evaluate(|term| term.license.id().is_some_and(|id| LICENCES.contains(&id.name))));
        if !fits {
            let said = if licence.is_empty() { "no licence in its manifest" } else { licence };
            faults.push(format!("{} {}: {said}", named("name"), named("version")));
        }
    }
    if faults.is_empty() { Ok(format!("{} crates", packages.len())) } else { Err(Stop::new(faults.join("\n"))) }
}

/// No crate is there in two versions, neither in the page nor in the tools.
pub(crate) fn duplicates(house: &House) -> Outcome<String> {
    let host = house.read("rustc", &["-vV"])?;
    let host = host.lines().find_map(|line| line.strip_prefix("host: ")).unwrap_or_default();
    let mut faults = Vec::new();
    let mut used = BTreeSet::new();
    for (what, features, system) in [("page", "ui", "wasm32-unknown-unknown"), ("tools", "dev", host)] {
        let data = house.metadata(&["--features", features, "--filter-platform", system])?;
        for (name, versions) in versions(&data) {
            if versions.len() < 2 {
                continue;
            }
            if TWICE.iter().any(|(known, _)| *known == name) {
                used.insert(name);
            } else {
                faults.push(format!("{what}: {name} is there as {}", versions.join(" and ")));
            }
        }
    }
    faults.extend(
        TWICE.iter().filter(|(name, _)| !used.contains(*name)).map(|(name, _)| format!("{name} is there once: take it off the list")),
    );
    if faults.is_empty() { Ok(format!("{} known", used.len())) } else { Err(Stop::new(faults.join("\n"))) }
}

/// The versions of each crate that is built.
fn versions(data: &Value) -> BTreeMap<String, Vec<String>> {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let built: BTreeSet<&str> = data
        .pointer("/resolve/nodes")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(|node| node.get("id")?.as_str())
        .collect();
    for package in data.get("packages").and_then(Value::as_array).into_iter().flatten() {
        let named = |key| package.get(key).and_then(Value::as_str).unwrap_or_default();
        if built.contains(named("id")) {
            found.entry(named("name").to_owned()).or_default().push(named("version").to_owned());
        }
    }
    found
}

/// No link that was published has gone: people keep them.
pub(crate) fn golden(house: &House) -> Outcome<String> {
    let now = text(GOLDEN)?;
    let now = links(&now);
    let Some((base, before)) = published(house) else {
        return Ok(format!("{} links; no earlier list to compare with", now.len()));
    };
    let gone: Vec<&str> = links(&before).difference(&now).copied().collect();
    if gone.is_empty() {
        Ok(format!("{} links, none gone since {base}", now.len()))
    } else {
        Err(Stop::new(format!("{GOLDEN} only grows. Gone since {base}:\n{}", gone.join("\n"))))
    }
}

/// The list of links where this work left the main branch, or one step back on the main branch itself.
fn published(house: &House) -> Option<(String, String)> {
    let head = house.read("git", &["rev-parse", "HEAD"]).ok()?;
    let base = ["origin/main", "main"]
        .iter()
        .filter_map(|branch| house.read("git", &["merge-base", "HEAD", branch]).ok())
        .find(|base| *base != head)
        .or_else(|| house.read("git", &["rev-parse", "--verify", "--quiet", "HEAD^"]).ok())?;
    let base = base.trim();
    let before = house.read("git", &["show", &format!("{base}:{GOLDEN}")]).ok()?;
    Some((base.chars().take(9).collect(), before))
}

/// The link of each line: its first word. A remark has a blank after its `#`; a link has a slash there.
fn links(list: &str) -> BTreeSet<&str> {
    list.lines().filter(|line| line.starts_with("#/")).filter_map(|line| line.split_whitespace().next()).collect()
}

#[cfg(test)]
mod tests {
    use super::links;

    #[test]
    fn links_are_told_from_remarks() {
        let list = "# A remark.\n#/alone/v1/on=46.1/off=44.9 => It gained.\n\n#/tally => ?\n";
        assert_eq!(links(list).into_iter().collect::<Vec<_>>(), ["#/alone/v1/on=46.1/off=44.9", "#/tally"]);
    }
}
