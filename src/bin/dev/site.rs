//! Builds the site and looks at what came out.

use std::collections::BTreeMap;
use std::path::Path;

use crate::house::{House, Outcome, Stop, bytes, finish, text};
use crate::{stamp, tools};

/// Where the built site stands.
pub(crate) const FOLDER: &str = "dist";
/// The most the first screen may weigh: all that is fetched before the start page gives its answer, in bytes of brotli at
/// quality 11. The design's budget with five sheets.
pub(crate) const BUDGET: usize = 130_000;
/// The most a program may weigh that takes over when one of its sheets is opened. Not a budget of the design: it keeps what
/// was reached from growing unseen (DEVELOPERS.md says what was tried).
const SHEETS: usize = 310_000;
/// The most a worker may weigh, counted alike.
pub(crate) const BACKGROUND: usize = 120_000;
/// Addresses that name a vocabulary; nothing is ever fetched from them.
const NAMESPACES: &[&str] = &[
    "http://www.w3.org/1998/Math/MathML",
    "http://www.w3.org/1999/xhtml",
    "http://www.w3.org/1999/xlink",
    "http://www.w3.org/2000/svg",
    "http://www.w3.org/2000/xmlns/",
    "http://www.w3.org/XML/1998/namespace",
];

/// Builds the site as it is published.
pub(crate) fn build(house: &House) -> Outcome<String> {
    finish(tools::trunk(house)?.args(["build", "--release", "--locked", "--offline", "--dist", FOLDER]))?;
    let count = stamp::names(Path::new(FOLDER))?.len();
    Ok(format!("{count} files in {FOLDER}/"))
}

/// When a file of the site is fetched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    /// Before the first screen stands.
    First,
    /// When one of a program's sheets is opened, or ahead of that once the first screen stands.
    Program(&'static str),
    /// When something long is worked out.
    Background,
    /// When the first log is opened.
    Logs,
    /// For keeping and installing, once the page stands.
    Later,
}

/// The programs that carry sheets.
const PROGRAMS: [&str; 3] = ["app", "check", "moves"];

fn part(name: &str) -> Part {
    let picture = Path::new(name).extension().is_some_and(|ending| ending == "png");
    if name.starts_with("worker") {
        Part::Background
    } else if name.starts_with("logs") {
        Part::Logs
    } else if let Some(program) = PROGRAMS.into_iter().find(|program| name.starts_with(program)) {
        Part::Program(program)
    } else if picture || [stamp::WORKER, "old.js"].contains(&name) {
        Part::Later
    } else {
        Part::First
    }
}

/// Weighs the first screen.
pub(crate) fn first_screen(_: &House) -> Outcome<String> {
    weigh(Part::First, BUDGET)
}

/// Weighs each program that carries sheets.
pub(crate) fn sheets(_: &House) -> Outcome<String> {
    let weighed: Outcome<Vec<String>> =
        PROGRAMS.into_iter().map(|program| Ok(format!("{program} {}", weigh(Part::Program(program), SHEETS)?))).collect();
    Ok(weighed?.join(", "))
}

/// Weighs the two workers.
pub(crate) fn background(_: &House) -> Outcome<String> {
    Ok(format!("{}; for logs {}", weigh(Part::Background, BACKGROUND)?, weigh(Part::Logs, BACKGROUND)?))
}

/// What is fetched for the first screen, for the heaviest sheet opened by its link, and for the worker, in bytes.
pub(crate) fn weights() -> Outcome<[usize; 3]> {
    let [mut first, mut frame, mut worker] = [0; 3];
    let mut sheets = PROGRAMS.map(|program| (program, 0));
    for name in stamp::names(Path::new(FOLDER))? {
        let size = || -> Outcome<usize> { Ok(packed(&bytes(Path::new(FOLDER).join(&name))?)?.len()) };
        match part(&name) {
            Part::First => {
                let size = size()?;
                first += size;
                // A sheet's link needs all of it but the first screen's program.
                frame += if name.starts_with("first") { 0 } else { size };
            }
            Part::Program(program) => {
                for (_, weight) in sheets.iter_mut().filter(|(name, _)| *name == program) {
                    *weight += size()?;
                }
            }
            Part::Background => worker += size()?,
            Part::Logs | Part::Later => {}
        }
    }
    Ok([first, frame + sheets.iter().map(|(_, weight)| *weight).max().unwrap_or_default(), worker])
}

fn weigh(wanted: Part, limit: usize) -> Outcome<String> {
    let mut total = 0;
    println!("{:>9} {:>9}", "raw", "brotli");
    for name in stamp::names(Path::new(FOLDER))?.iter().filter(|name| part(name) == wanted) {
        let content = bytes(Path::new(FOLDER).join(name))?;
        let packed = packed(&content)?.len();
        total += packed;
        println!("{:>9} {packed:>9}  {name}", content.len());
    }
    let sentence = format!("{total} of {limit} bytes");
    println!("{:>9} {total:>9}  in all", "");
    if total <= limit { Ok(sentence) } else { Err(Stop::new(format!("{sentence}: {} too many", total - limit))) }
}

/// Some content in brotli at quality 11.
pub(crate) fn packed(content: &[u8]) -> Outcome<Vec<u8>> {
    let settings = brotli::enc::BrotliEncoderParams { quality: 11, lgwin: 22, ..Default::default() };
    let mut out = Vec::new();
    brotli::BrotliCompress(&mut &*content, &mut out, &settings).map_err(|e| Stop::new(format!("brotli failed: {e}")))?;
    Ok(out)
}

/// The list in `sw.js` names every file of the folder, with its hash, and no other.
pub(crate) fn precache(_: &House) -> Outcome<String> {
    let folder = Path::new(FOLDER);
    let script = text(folder.join(stamp::WORKER))?;
    let listed = listed(&script)?;
    let mut there = stamp::files(folder)?;
    there.remove(stamp::WORKER);
    let mut faults: Vec<String> = Vec::new();
    for (name, hash) in &there {
        match listed.get(name) {
            None => faults.push(format!("{name} is not in the list of sw.js")),
            Some(other) if other != hash => faults.push(format!("{name} has another hash in sw.js")),
            Some(_) => {}
        }
    }
    faults.extend(listed.keys().filter(|name| !there.contains_key(*name)).map(|name| format!("{name} is in sw.js only")));
    let build = script.split_once("const BUILD = '").and_then(|(_, rest)| rest.split('\'').next()).unwrap_or_default();
    for name in stamp::STAMPED {
        if build.is_empty() || !text(folder.join(name))?.contains(build) {
            faults.push(format!("{name} does not name the build “{build}” of sw.js"));
        }
    }
    found(&faults, format!("{} files", there.len()))
}

fn listed(script: &str) -> Outcome<BTreeMap<String, String>> {
    let list = script.split_once("const FILES = [").and_then(|(_, rest)| rest.split_once("];")).map(|(list, _)| list);
    let list = list.ok_or_else(|| Stop::new("sw.js holds no list of files."))?;
    Ok(list
        .lines()
        .filter_map(|line| {
            let mut words = line.split('\'').skip(1).step_by(2);
            Some((words.next()?.to_owned(), words.next()?.to_owned()))
        })
        .collect())
}

/// No file of the site names an address elsewhere or a folder of this machine.
pub(crate) fn outside(house: &House) -> Outcome<String> {
    let names = stamp::names(Path::new(FOLDER))?;
    let sources = house.sources();
    let mut faults = Vec::new();
    for name in &names {
        let content = bytes(Path::new(FOLDER).join(name))?;
        let words = String::from_utf8_lossy(&content);
        if sources.as_ref().is_some_and(|path| words.contains(path)) {
            faults.push(format!("{name} shows where this machine keeps its crates"));
        }
        faults.extend(addresses(&words).into_iter().map(|address| format!("{name}: {address}")));
    }
    found(&faults, format!("{} files", names.len()))
}

/// Every address with a host in some text, vocabularies excepted.
fn addresses(words: &str) -> Vec<String> {
    let starts = ["http://", "https://", "ws://", "wss://", "\"//", "'//", "(//"];
    starts
        .iter()
        .flat_map(|start| words.match_indices(start))
        .filter_map(|(at, start)| {
            let rest = words.get(at..)?;
            let host = rest.get(start.len()..)?;
            let named = host.starts_with(|c: char| c.is_ascii_alphanumeric() || c == '[');
            let vocabulary = NAMESPACES.iter().any(|one| rest.starts_with(one));
            (named && !vocabulary).then(|| rest.chars().take_while(char::is_ascii_graphic).take(80).collect())
        })
        .collect()
}

/// All faults as one, or what was looked at.
fn found(faults: &[String], looked_at: String) -> Outcome<String> {
    if faults.is_empty() { Ok(looked_at) } else { Err(Stop::new(faults.join("\n"))) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_elsewhere_are_found_and_vocabularies_are_not() {
        let words = "xmlns=\"http://www.w3.org/2000/svg\" https://example.org/x \"//example.org\" a // comment 'wss://host' `http://${x}`";
        assert_eq!(addresses(words), ["https://example.org/x", "wss://host'", "\"//example.org\""]);
    }

    #[test]
    fn the_list_is_read_as_the_stamp_writes_it() {
        let script = "const BUILD = 'x';\nconst FILES = [\n  ['a.js', 'sha256-1'],\n  ['b/c.css', 'sha256-2'],\n];\nlet x = ['d'];";
        let list = listed(script).unwrap();
        assert_eq!(list.len(), 2);
        assert_eq!(list.get("b/c.css").map(String::as_str), Some("sha256-2"));
    }

    #[test]
    fn brotli_agrees_with_its_own_reader() {
        let content = b"one two one two one two one two one two one two".repeat(20);
        let mut read = Vec::new();
        brotli::BrotliDecompress(&mut packed(&content).unwrap().as_slice(), &mut read).unwrap();
        assert_eq!(read, content);
    }
}
