//! The last step of building the site: every file and its hash into `sw.js`, the build's name where it is asked for.

use std::collections::BTreeMap;
use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

use crate::house::{House, Outcome, Stop, bytes, text};

/// The file that cannot hold its own hash.
pub(crate) const WORKER: &str = "sw.js";
const UNSTAMPED: &str = "development";
/// The files that name the build.
pub(crate) const STAMPED: [&str; 2] = ["index.html", "worker_loader.js"];

/// Called by Trunk when the site stands in its staging folder. Only a release is stamped: while developing, nothing is kept.
pub(crate) fn hook() -> Outcome<()> {
    if env::var("TRUNK_PROFILE").is_ok_and(|profile| profile != "release") {
        return Ok(());
    }
    let folder =
        env::var_os("TRUNK_STAGING_DIR").map(PathBuf::from).ok_or_else(|| Stop::new("Trunk calls this, with TRUNK_STAGING_DIR set."))?;
    shorten(&House::open()?, &folder)?;
    stamp(&folder)
}

/// Takes what only readers of the source need out of the scripts, the service worker's excepted, whose list is written and
/// checked as text. Where the tool is missing the page is the same, and some kB heavier.
fn shorten(house: &House, folder: &Path) -> Outcome<()> {
    if house.find("terser").is_none() {
        println!("terser is missing: the scripts stay as they were written. `npm ci --prefix tests` installs it.");
        return Ok(());
    }
    let is_script = |name: &String| Path::new(name).extension().is_some_and(|ending| ending == "js") && name != WORKER;
    for name in names(folder)?.iter().filter(|name| is_script(name)) {
        let path = folder.join(name);
        // Only in what exports nothing may a name be seen from elsewhere.
        let words = text(&path)?;
        let kind: &[&str] = if words.contains("export{") || words.contains("export {") { &["--module"] } else { &[] };
        let short = house.read("terser", &[&[&*path.to_string_lossy(), "--compress", "passes=2", "--mangle"], kind].concat())?;
        fs::write(&path, short).map_err(|e| Stop::new(format!("{name} cannot be written: {e}")))?;
    }
    Ok(())
}

/// Stamps the site in `folder`.
fn stamp(folder: &Path) -> Outcome<()> {
    let build = build_id(folder)?;
    for name in STAMPED {
        replace(&folder.join(name), &[(UNSTAMPED, &build)])?;
    }
    let list: Vec<String> =
        files(folder)?.iter().filter(|(name, _)| *name != WORKER).map(|(name, hash)| format!("  ['{name}', '{hash}'],\n")).collect();
    let list = format!("const FILES = [\n{}];", list.concat());
    replace(&folder.join(WORKER), &[(&format!("'{UNSTAMPED}'"), &format!("'{build}'")), ("const FILES = [];", &list)])
}

/// Twelve hex digits that change with any byte of any file.
fn build_id(folder: &Path) -> Outcome<String> {
    let mut hasher = Sha256::new();
    for (name, hash) in files(folder)? {
        hasher.update(format!("{name} {hash}\n"));
    }
    Ok(format!("{:x}", hasher.finalize()).chars().take(12).collect())
}

/// Every file below `folder`: its name with forward slashes, and its hash as `integrity` wants it.
pub(crate) fn files(folder: &Path) -> Outcome<BTreeMap<String, String>> {
    names(folder)?.into_iter().map(|name| Ok((name.clone(), integrity(&bytes(folder.join(&name))?)))).collect()
}

/// The names of all files below `folder`, with forward slashes, in order.
pub(crate) fn names(folder: &Path) -> Outcome<Vec<String>> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(place) = open.pop() {
        let unreadable = |e| Stop::new(format!("{} cannot be listed: {e}", place.display()));
        for entry in fs::read_dir(&place).map_err(unreadable)? {
            let path = entry.map_err(unreadable)?.path();
            if path.is_dir() {
                open.push(path);
            } else if let Ok(name) = path.strip_prefix(folder) {
                found.push(name.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/"));
            }
        }
    }
    found.sort();
    Ok(found)
}

fn integrity(content: &[u8]) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(content)))
}

fn replace(path: &Path, changes: &[(&str, &str)]) -> Outcome<()> {
    let mut words = text(path)?;
    for (old, new) in changes {
        if words.matches(old).count() != 1 {
            return Err(Stop::new(format!("{} must hold {old} exactly once.", path.display())));
        }
        words = words.replace(old, new);
    }
    fs::write(path, words).map_err(|e| Stop::new(format!("{} cannot be written: {e}", path.display())))
}
