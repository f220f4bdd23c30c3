//! Rules about the code, the words and the papers. Each is a function that gives sentences saying what to do, so that it can
//! be shown to fail on a bad sample; the tests run them over the project.

use crate::cases::{folder, folder_of};
use crate::support::{pairs, sheets};
use lessdin::calc::schema::{Cell, Kind, Schema};
use lessdin::calc::sheet::Sheet;
use lessdin::sheets::SHEETS;
use lessdin::text::{COMMON, Msg, Text};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file under a folder of the project, with its path from the top and its text. Files that are not text are left out.
fn files(under: &str) -> Vec<(String, String)> {
    let mut out = Vec::new();
    let mut open: Vec<PathBuf> = vec![root().join(under)];
    while let Some(path) = open.pop() {
        if path.is_dir() {
            open.extend(fs::read_dir(&path).unwrap().map(|entry| entry.unwrap().path()));
        } else if let Ok(text) = fs::read_to_string(&path) {
            out.push((path.strip_prefix(root()).unwrap().to_string_lossy().replace('\\', "/"), text));
        }
    }
    out.sort();
    out
}

fn has_ending(path: &str, endings: &[&str]) -> bool {
    Path::new(path).extension().is_some_and(|ending| endings.iter().any(|other| ending == *other))
}

fn rust_files() -> Vec<(String, String)> {
    files("src").into_iter().filter(|(path, _)| has_ending(path, &["rs"])).collect()
}

#[track_caller]
fn none(faults: &[String]) {
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

/// Code without its comments and without what stands in quotes.
fn bare(code: &str) -> String {
    let line = |line: &str| {
        let mut out = String::new();
        let mut quoted = false;
        let mut chars = line.chars().peekable();
        while let Some(c) = chars.next() {
            match c {
                '\\' if quoted => drop(chars.next()),
                '"' => quoted = !quoted,
                '/' if !quoted && chars.peek() == Some(&'/') => break,
                c if !quoted => out.push(c),
                _ => {}
            }
        }
        out
    };
    code.lines().map(line).collect::<Vec<_>>().join("\n")
}

/// Layering: units ← formulas ← sheets ← ui, calc and text beside formulas, files beside sheets.
fn layering(path: &str, code: &str) -> Vec<String> {
    // Unit tests may look anywhere.
    let code = bare(code.split("#[cfg(test)]").next().unwrap_or_default());
    let mut faults = Vec::new();
    let browser = ["src/ui/", "src/worker", "src/logs/", "src/bin/", "src/ui.rs", "src/js"].iter().any(|at| path.starts_with(at));
    if !browser {
        for name in [
            "crate::ui",
            "lessdin::ui",
            "crate::worker",
            "yew",
            "web_sys",
            "gloo",
            "wasm_bindgen",
            "js_sys",
            "std::time",
            "std::fs",
            "std::env",
            "std::net",
        ] {
            if uses(&code, name) {
                faults.push(format!(
                    "{path} uses {name}: the core knows no browser, no clock and no files. Move that to src/ui or src/worker."
                ));
            }
        }
    }
    let allowed: &[&str] = if path.starts_with("src/formulas/") || path == "src/units.rs" {
        &["units", "formulas"]
    } else if path.starts_with("src/sheets/") {
        &["calc", "formulas", "units", "text", "sheets", "filled", "words"]
    } else if path.starts_with("src/files/") {
        &["calc", "files", "formulas", "units", "text", "words"]
    } else if path.starts_with("src/calc/") {
        &["calc", "formulas", "units", "text"]
    } else if path.starts_with("src/text/") {
        &["calc", "units", "text", "words"]
    } else {
        return faults;
    };
    let modules = ["calc", "files", "formulas", "sheets", "text", "ui", "units", "worker", "filled", "words", "bin"];
    for module in modules.iter().filter(|module| !allowed.contains(module)) {
        if uses(&code, &format!("crate::{module}")) {
            faults.push(format!(
                "{path} uses crate::{module}: it may use only {}. Arrows point one way, see src/lib.rs.",
                allowed.join(", ")
            ));
        }
    }
    if code.contains("use super::*") || (code.contains("prelude::*") && !browser) {
        faults.push(format!("{path} imports everything with a star: name what it needs, so that its layer can be read off its imports."));
    }
    faults
}

/// Whether code names a path, as a whole word.
fn uses(code: &str, name: &str) -> bool {
    code.match_indices(name).any(|(at, _)| {
        let ends = |c: Option<char>| !c.is_some_and(|c| c.is_alphanumeric() || c == '_');
        ends(code[..at].chars().next_back()) && ends(code[at + name.len()..].chars().next())
    })
}

#[test]
fn arrows_point_one_way() {
    none(&rust_files().iter().flat_map(|(path, code)| layering(path, code)).collect::<Vec<_>>());
}

#[test]
fn the_layering_rule_fails_where_it_should() {
    assert!(layering("src/formulas/levels.rs", "use crate::units::Level;\nuse super::error::FormulaError;").is_empty());
    assert!(layering("src/sheets/tally/solve.rs", "// crate::ui is not for sheets\nuse crate::formulas::levels;").is_empty());
    assert!(layering("src/files/error.rs", "use crate::text::say;\nuse crate::units::Level;").is_empty());
    assert!(layering("src/ui/app.rs", "use yew::prelude::*;").is_empty());
    for (path, code) in [
        ("src/formulas/levels.rs", "use crate::calc::number;"),
        ("src/formulas/levels.rs", "use crate::text::say;"),
        ("src/sheets/tally/mod.rs", "use crate::ui::answer;"),
        ("src/calc/link.rs", "use crate::sheets::SHEETS;"),
        ("src/files/reader.rs", "use crate::sheets::SHEETS;"),
        ("src/files/reader.rs", "use crate::worker::server;"),
        ("src/files/reader.rs", "let file = std::fs::read(path);"),
        ("src/sheets/alone/solve.rs", "use crate::files::Log;"),
        ("src/calc/number.rs", "use web_sys::window;"),
        ("src/sheets/swap/solve.rs", "let now = std::time::Instant::now();"),
        ("src/sheets/swap/solve.rs", "use crate::calc::prelude::*;"),
    ] {
        assert!(!layering(path, code).is_empty(), "{path}: {code}");
    }
}

/// Folders of sheets and the list of them.
fn registry(folders: &[String], ids: &[&str]) -> Vec<String> {
    let mut faults = Vec::new();
    for folder in folders {
        if !ids.iter().any(|id| id.replace('-', "_") == *folder) {
            faults.push(format!(
                "src/sheets/{folder}/ is not in the list: add `mod {folder};` and its entry in SHEETS to src/sheets/mod.rs."
            ));
        }
    }
    for id in ids {
        if !folders.contains(&id.replace('-', "_")) {
            faults.push(format!("the sheet {id} has no folder of its name: put it into src/sheets/{}/.", id.replace('-', "_")));
        }
        if ids.iter().filter(|other| *other == id).count() > 1 {
            faults.push(format!("two sheets have the id {id}: ids are in people's links, so each must be its own."));
        }
        let words: Vec<&str> = id.split('-').collect();
        if !words.iter().all(|word| !word.is_empty() && word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit()))
            || !id.starts_with(|c: char| c.is_ascii_lowercase())
        {
            faults.push(format!("the id {id} should be lower-case words joined by hyphens."));
        }
    }
    faults
}

#[test]
fn every_folder_is_in_the_list_and_every_id_is_well_made() {
    let entries = fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap());
    let folders: Vec<String> =
        entries.filter(|entry| entry.path().is_dir()).map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
    let ids: Vec<&str> = SHEETS.iter().map(|sheet| sheet.meta().id).collect();
    none(&registry(&folders, &ids));
}

#[test]
fn the_registry_rule_fails_where_it_should() {
    let folders = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect::<Vec<_>>();
    assert!(registry(&folders(&["on_off", "tally"]), &["tally", "on-off"]).is_empty());
    assert!(registry(&folders(&["tally", "forgotten"]), &["tally"])[0].contains("add `mod forgotten;`"));
    assert!(!registry(&folders(&["tally"]), &["tally", "tally"]).is_empty());
    assert!(!registry(&folders(&["on_off"]), &["on_off"]).is_empty());
    assert!(!registry(&[], &["tally"]).is_empty());
    assert!(!registry(&folders(&["Tally"]), &["Tally"]).is_empty());
}

/// Keys, words, ranges and defaults of a schema.
fn schema_faults(id: &str, schema: &Schema) -> Vec<String> {
    let mut faults = Vec::new();
    let mut keys: Vec<&str> = schema.all_fields().flat_map(|cell| [cell.key].into_iter().chain(cell.was.iter().copied())).collect();
    keys.extend(schema.tables.iter().flat_map(|table| [table.key].into_iter().chain(table.was.iter().copied())));
    faults.extend(doubled(id, &keys));
    for cell in schema.all_fields() {
        faults.extend(cell_faults(id, cell));
        faults.extend(when_faults(id, cell, schema.fields));
    }
    for (place, table) in schema.tables.iter().enumerate() {
        let at = format!("{id}/{}", table.key);
        let mut keys: Vec<&str> = table.cells.iter().flat_map(|cell| [cell.key].into_iter().chain(cell.was.iter().copied())).collect();
        if let Some(per) = &table.per {
            if !schema.tables.iter().take(place).any(|other| other.key == per.table) {
                faults
                    .push(format!("{at} has a column for each row of {}: that table must stand before it, so that links open.", per.table));
            }
            let prefix = per.cell.key;
            if keys.iter().any(|key| key.strip_prefix(prefix).is_some_and(|rest| rest.bytes().all(|b| b.is_ascii_digit()))) {
                faults.push(format!(
                    "{at}: the prefix {prefix} of its following columns is also the start of another column; choose another."
                ));
            }
            keys.push(prefix);
            faults.extend(cell_faults(&at, &per.cell));
        }
        faults.extend(doubled(&at, &keys));
        for cell in table.cells {
            faults.extend(cell_faults(&at, cell));
            faults.extend(when_faults(&at, cell, table.cells));
            if let Kind::Row(other) = cell.kind
                && !schema.tables.iter().any(|table| table.key == other)
            {
                faults.push(format!("{at}/{} points to a row of {other}, which is no table of this sheet.", cell.key));
            }
        }
        if !table.cells.first().is_some_and(|cell| cell.key == "name" && matches!(cell.kind, Kind::Text { .. })) {
            faults.push(format!("{at}: the first column of a table is its row's name: give it the key `name` and free text."));
        }
        for (what, msg) in [("label", table.label), ("row", table.row), ("help", table.help)] {
            if msg.en.trim().is_empty() {
                faults.push(format!("{at} needs words for its {what}."));
            }
        }
        if !(1..=60).contains(&table.max_rows) || table.start_rows > table.max_rows {
            faults.push(format!("{at}: a table has 1 to 60 rows at most, and starts with no more than that."));
        }
        if table.key.bytes().any(|b| !b.is_ascii_lowercase()) {
            faults.push(format!("{at}: the key of a table is lower-case letters only."));
        }
    }
    faults
}

fn doubled(at: &str, keys: &[&str]) -> Vec<String> {
    let twice = keys.iter().enumerate().filter(|(place, key)| keys.iter().take(*place).any(|other| other == *key));
    twice.map(|(_, key)| format!("{at} uses the key {key} twice: a key names one thing for ever, so choose another.")).collect()
}

fn cell_faults(at: &str, cell: &Cell) -> Vec<String> {
    let mut faults = Vec::new();
    let at = format!("{at}/{}", cell.key);
    for key in [cell.key].iter().chain(cell.was) {
        let good = key.starts_with(|c: char| c.is_ascii_lowercase()) && key.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
        // `v1` is the version in a link.
        if !good || key.strip_prefix('v').is_some_and(|rest| !rest.is_empty() && rest.bytes().all(|b| b.is_ascii_digit())) {
            faults.push(format!("{at}: the key {key} should be a lower-case letter, then lower-case letters and digits."));
        }
    }
    if cell.label.en.trim().is_empty() || cell.help.en.trim().is_empty() {
        faults.push(format!("{at} needs a label and one line of help."));
    }
    let range = match cell.kind {
        Kind::Number { min, max, step, .. } => step > 0.0 && step.is_finite() && min < max && min.is_finite() && max.is_finite(),
        Kind::Levels { min, max } => min < max && min.is_finite() && max.is_finite(),
        Kind::Count { min, max } => min < max,
        Kind::Choice(choices) => {
            let keys: BTreeSet<&str> = choices.iter().map(|choice| choice.key).collect();
            choices.iter().all(|choice| {
                !choice.label.en.is_empty()
                    && !choice.key.is_empty()
                    && choice.key.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit())
            }) && keys.len() == choices.len()
                && choices.len() > 1
        }
        Kind::Text { max } => max > 0,
        Kind::Switch | Kind::Row(_) => true,
    };
    if !range {
        faults
            .push(format!("{at}: its range should run from a smaller to a larger finite number (choices: two or more, each its own key)."));
    }
    let draft = lessdin::calc::draft::Draft::default();
    match lessdin::calc::link::canonical(cell, &draft, cell.default) {
        _ if matches!(cell.kind, Kind::Row(_)) => {}
        _ if cell.default.is_empty() && !matches!(cell.kind, Kind::Switch | Kind::Choice(_)) => {}
        Ok(text) if text == cell.default && !text.is_empty() => {}
        Ok(text) => {
            faults.push(format!("{at}: write its default “{}” as links do: “{text}”. A choice and a switch need one.", cell.default));
        }
        Err(problem) => {
            let said = problem.said().text(lessdin::text::Style::default());
            faults.push(format!("{at}: its default “{}” is not allowed by its own range: {said}.", cell.default));
        }
    }
    faults
}

fn when_faults(at: &str, cell: &Cell, siblings: &[Cell]) -> Vec<String> {
    let Some((key, wanted)) = cell.when else { return Vec::new() };
    let choice = siblings.iter().find(|other| other.key == key);
    let good = match choice.map(|cell| cell.kind) {
        Some(Kind::Choice(choices)) => !wanted.is_empty() && wanted.iter().all(|key| choices.iter().any(|choice| choice.key == *key)),
        _ => false,
    };
    if good {
        Vec::new()
    } else {
        vec![format!("{at}/{} applies only when {key} says so: that must be a choice beside it which offers {wanted:?}.", cell.key)]
    }
}

#[test]
fn every_schema_is_whole() {
    none(&sheets().flat_map(|sheet| schema_faults(sheet.meta().id, sheet.schema())).collect::<Vec<_>>());
}

#[test]
fn the_schema_rule_fails_where_it_should() {
    use lessdin::calc::quantity::Quantity;
    use lessdin::calc::schema::Place;
    const WORD: Msg = Msg(&Text { id: "test.WORD", en: "Word" });
    const NONE: Msg = Msg(&Text { id: "test.NONE", en: "" });
    const GOOD: Cell = Cell {
        key: "far",
        was: &[],
        label: WORD,
        help: WORD,
        kind: Kind::Count { min: 1, max: 9 },
        default: "2",
        place: Place::Front,
        when: None,
    };
    let number = |min, max| Kind::Number { quantity: Quantity::Distance, min, max, step: 1.0 };
    assert!(cell_faults("test", &GOOD).is_empty());
    for bad in [
        Cell { key: "Far", ..GOOD },
        Cell { key: "2far", ..GOOD },
        Cell { key: "far_mm", ..GOOD },
        Cell { key: "v2", ..GOOD },
        Cell { label: NONE, ..GOOD },
        Cell { help: NONE, ..GOOD },
        Cell { default: "0", ..GOOD },
        Cell { default: "2.0", ..GOOD },
        Cell { default: "two", ..GOOD },
        Cell { kind: number(2.0, 1.0), ..GOOD },
        Cell { kind: number(0.0, f64::INFINITY), ..GOOD },
        Cell { kind: Kind::Choice(&[]), default: "", ..GOOD },
        Cell { kind: Kind::Switch, default: "", ..GOOD },
    ] {
        assert!(!cell_faults("test", &bad).is_empty(), "{bad:?}");
    }
    assert!(!when_faults("test", &Cell { when: Some(("far", &["one"])), ..GOOD }, &[GOOD]).is_empty());
    assert_eq!(doubled("test", &["far", "near", "far"]).len(), 1);
}

/// The sheet's papers: `about.md`, `cases.txt`, what META says.
fn papers(id: &str, about: &str, cases: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let headings: Vec<&str> = about.lines().filter(|line| line.starts_with('#')).collect();
    let wanted = ["# Question", "# How it is worked out", "# Limits", "# Sources"];
    if headings != wanted {
        faults.push(format!("{id}/about.md needs exactly these headings, in this order: {}.", wanted.join(", ")));
    }
    for (at, heading) in wanted.iter().enumerate() {
        let text = about.split(heading).nth(1).unwrap_or_default();
        let text = wanted.get(at + 1).map_or(text, |next| text.split(next).next().unwrap_or_default());
        if text.trim().len() < 20 {
            faults.push(format!("{id}/about.md has nothing to say under “{heading}”: write it."));
        }
    }
    let lines = pairs(cases);
    let has = |test: &dyn Fn(&str) -> bool| lines.iter().any(|(_, _, expected)| test(expected));
    if lines.len() < 4 || !has(&|text| text.starts_with('!')) || !has(&|text| text == "?") || !has(&|text| !text.starts_with(['!', '?'])) {
        faults.push(format!("{id}/cases.txt needs four lines or more: the example, a hand-worked one, an extreme, an impossible one (`!`), a waiting one (`?`)."));
    }
    let different: BTreeSet<&str> = lines.iter().map(|(_, link, _)| *link).collect();
    if different.len() != lines.len() {
        faults.push(format!("{id}/cases.txt has a link twice: one line is enough."));
    }
    faults
}

fn meta_faults(sheet: &dyn Sheet) -> Vec<String> {
    let meta = sheet.meta();
    let mut faults = Vec::new();
    if meta.sources.is_empty() {
        faults.push(format!("{} names no source: list what its formulas rest on in META.", meta.id));
    }
    if meta.limits.is_empty() || meta.limits.iter().chain(meta.cautions).any(|msg| msg.en.trim().is_empty()) {
        faults.push(format!("{} should say in META how far its answers go.", meta.id));
    }
    if !meta.title.en.ends_with('?') || meta.empty.en.trim().is_empty() {
        faults.push(format!("{}: a title is a question, and META says what to type first.", meta.id));
    }
    if meta.version == 0 || meta.changes.iter().any(|change| change.since > meta.version || change.since < 2) {
        faults.push(format!("{}: the version counts from 1, and every change names the version that brought it.", meta.id));
    }
    if !meta.example.starts_with(&format!("#/{}/v", meta.id)) {
        faults.push(format!("{}: the example should be a link to this sheet.", meta.id));
    }
    faults
}

#[test]
fn every_sheet_has_its_papers() {
    let mut faults = Vec::new();
    for sheet in SHEETS {
        let id = sheet.meta().id;
        let read = |name: &str| fs::read_to_string(folder_of(id).join(name)).unwrap_or_default();
        faults.extend(papers(id, &read("about.md"), &read("cases.txt")));
        faults.extend(meta_faults(*sheet));
    }
    none(&faults);
}

#[test]
fn the_papers_rule_fails_where_it_should() {
    let text = "Enough words to count as something said.";
    let about = format!("# Question\n{text}\n# How it is worked out\n{text}\n# Limits\n{text}\n# Sources\n{text}\n");
    let cases = "#/a/v1/x=1 => one\n#/a/v1/x=2 => two\n#/a/v1/x=3 => ! no\n#/a => ?\n";
    assert_eq!(papers("a", &about, cases), Vec::<String>::new());
    assert!(!papers("a", &about.replace("# Limits", "## Limits"), cases).is_empty());
    assert!(!papers("a", &format!("# Question\n{text}\n# Sources\n"), cases).is_empty());
    assert!(!papers("a", &about.replace("# Sources\nEnough words to count as something said.", "# Sources\n"), cases).is_empty());
    assert!(!papers("a", &about, "#/a => ?\n").is_empty());
    assert!(!papers("a", &about, &cases.replace("! no", "three")).is_empty());
}

/// The names of the places in a text.
///
/// # Errors
///
/// What is wrong with the braces.
pub(crate) fn placeholders(text: &str) -> Result<Vec<&str>, String> {
    let mut names = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['{', '}']) {
        if rest[at..].starts_with('}') {
            return Err(format!("a closing brace that nothing opened: {text}"));
        }
        let (name, tail) = rest[at + 1..].split_once('}').ok_or_else(|| format!("a place that is not closed: {text}"))?;
        if !name.starts_with(|c: char| c.is_ascii_lowercase())
            || !name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
        {
            return Err(format!("a place without a plain name, {{{name}}}: {text}"));
        }
        names.push(name);
        rest = tail;
    }
    Ok(names)
}

/// American spellings, with what to write. Whole words, endings included by listing them.
const SPELLING: &[(&str, &str)] = &[
    ("color", "colour"),
    ("colors", "colours"),
    ("colored", "coloured"),
    ("gray", "grey"),
    ("center", "centre"),
    ("centers", "centres"),
    ("centered", "centred"),
    ("millimeter", "millimetre"),
    ("millimeters", "millimetres"),
    ("centimeter", "centimetre"),
    ("centimeters", "centimetres"),
    ("kilometer", "kilometre"),
    ("micrometer", "micrometre"),
    ("liter", "litre"),
    ("liters", "litres"),
    ("behavior", "behaviour"),
    ("neighbor", "neighbour"),
    ("neighbors", "neighbours"),
    ("favorite", "favourite"),
    ("labeled", "labelled"),
    ("labeling", "labelling"),
    ("canceled", "cancelled"),
    ("canceling", "cancelling"),
    ("modeled", "modelled"),
    ("modeling", "modelling"),
    ("traveled", "travelled"),
    ("traveling", "travelling"),
    ("analyze", "analyse"),
    ("analyzed", "analysed"),
    ("catalog", "catalogue"),
    ("dampened", "damped"),
    ("fiber", "fibre"),
    ("mold", "mould"),
    ("aluminum", "aluminium"),
    ("airplane", "aeroplane"),
    ("license", "licence"),
    ("practiced", "practised"),
    ("organize", "organise"),
    ("organized", "organised"),
    ("recognize", "recognise"),
    ("recognized", "recognised"),
    ("minimize", "minimise"),
    ("maximize", "maximise"),
    ("optimize", "optimise"),
    ("optimized", "optimised"),
    ("normalize", "normalise"),
    ("normalized", "normalised"),
    ("realize", "realise"),
    ("summarize", "summarise"),
    ("synchronize", "synchronise"),
    ("gauge-meter", "meter"),
];

/// Words people should not meet: programmers' words, and tone that is not ours.
const UNPLAIN: &[&str] = &["coming soon", "lorem", "oops", "invalid", "please", "simply", "just click", "e.g.", "i.e.", "etc."];

/// What is wrong with the words of a text.
fn word_faults(id: &str, text: &str) -> Vec<String> {
    let mut faults: Vec<String> = placeholders(text).err().map(|fault| format!("{id} has {fault}.")).into_iter().collect();
    let lower = text.to_lowercase();
    for word in lower.split(|c: char| !(c.is_alphabetic() || c == '-')) {
        if let Some((_, ours)) = SPELLING.iter().find(|(theirs, _)| *theirs == word) {
            faults.push(format!("{id} says “{word}”: write “{ours}”, the words here are British."));
        }
    }
    // “Meter” is the instrument; the unit is the metre.
    for mark in ["meters per", "meter per", "per meter", "square meter", "cubic meter", " meters away", " meter away", "in meters"] {
        if lower.contains(mark) {
            faults.push(format!("{id} says “{}”: the unit is spelt metre.", mark.trim()));
        }
    }
    if text.contains('!') {
        faults.push(format!("{id} holds an exclamation mark: say it calmly."));
    }
    if text.contains("http:") || text.contains("https:") {
        faults.push(format!("{id} holds an address: the page asks nothing of other places."));
    }
    if let Some(word) = UNPLAIN.iter().find(|word| lower.contains(*word)) {
        faults.push(format!("{id} says “{word}”: find plain words."));
    }
    if text.contains("  ") || text.contains("--") || text.contains("...") || text.contains(" - ") {
        faults.push(format!("{id} holds doubled blanks, dots or hyphens used as dashes."));
    }
    for (plain, typeset) in [("+/-", "±"), ("'", "’"), ("m3/h", "m³/h"), ("mm2", "mm²")] {
        if text.contains(plain) {
            faults.push(format!("{id} holds {plain}: write {typeset}."));
        }
    }
    faults
}

fn all_words() -> Vec<Msg> {
    let core = COMMON.iter().chain(lessdin::files::words::WORDS).chain(SHEETS.iter().flat_map(|sheet| sheet.meta().words)).copied();
    core.chain(page_words()).collect()
}

/// The texts of the page itself, read from its code: it is built for browsers only.
fn page_words() -> Vec<Msg> {
    let files = rust_files();
    let tables = files.iter().filter(|(path, code)| path.starts_with("src/ui/") && code.contains("crate::words! {"));
    let lines = tables.flat_map(|(_, code)| code.lines());
    let texts = lines.filter_map(|line| line.trim().strip_suffix("\";")?.split_once(" = \""));
    let leak = |text: String| -> &'static str { Box::leak(text.into_boxed_str()) };
    let text = |(name, en): (&str, &str)| Text { id: leak(format!("page.{name}")), en: leak(en.replace("\\\"", "\"")) };
    texts.map(|line| Msg(Box::leak(Box::new(text(line))))).collect()
}

#[test]
fn every_text_is_well_made() {
    none(&all_words().iter().flat_map(|msg| word_faults(msg.id, msg.en)).collect::<Vec<_>>());
}

#[test]
fn every_text_has_an_id_of_its_own_and_says_something() {
    let words = all_words();
    let mut seen = BTreeSet::new();
    let mut faults = Vec::new();
    for msg in &words {
        if !seen.insert(msg.id) {
            faults.push(format!("{} is the id of two texts: give each its own.", msg.id));
        }
        if msg.en.is_empty() && !msg.id.ends_with("HINT") {
            faults.push(format!("{} says nothing: write it or take it out.", msg.id));
        }
        let (folder, name) = msg.id.split_once('.').unwrap_or_default();
        if !(matches!(folder, "common" | "files" | "page") || SHEETS.iter().any(|sheet| sheet.meta().id == folder))
            || !name.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'_')
        {
            faults.push(format!("{} should be the sheet's id, a point and a name in capitals.", msg.id));
        }
    }
    for sheet in SHEETS {
        let meta = sheet.meta();
        let told = [meta.title, meta.hint, meta.empty];
        let own = sheet
            .schema()
            .fields
            .iter()
            .chain(sheet.schema().tables.iter().flat_map(|table| table.cells))
            .flat_map(|cell| [cell.label, cell.help]);
        for msg in told.into_iter().chain(meta.limits.iter().copied()).chain(meta.cautions.iter().copied()).chain(own) {
            if !seen.contains(msg.id) {
                faults.push(format!("{} is used by {}, but is not in its table of words: name it in META.words.", msg.id, meta.id));
            }
        }
    }
    none(&faults);
}

#[test]
fn every_text_is_used_somewhere() {
    let code: String = rust_files().into_iter().map(|(_, code)| code).collect::<Vec<_>>().join("\n");
    let unused = all_words().into_iter().filter(|msg| {
        let name = msg.id.split_once('.').map_or(msg.id, |(_, name)| name);
        code.match_indices(name).filter(|(at, _)| uses(&code[at.saturating_sub(1)..(at + name.len() + 1).min(code.len())], name)).count()
            < 2
    });
    none(&unused.map(|msg| format!("nothing says {}: take the text out.", msg.id)).collect::<Vec<_>>());
}

#[test]
fn the_rules_about_words_fail_where_they_should() {
    assert_eq!(word_faults("t", "Stopping {name} gained {drop}, so that is the most a quieter meter spot can show."), Vec::<String>::new());
    for bad in [
        "The color of it",
        "Move 2 meters away from it",
        "In meters",
        "Well done!",
        "See https://example.org",
        "Gained {drop",
        "Gained drop}",
        "Gained {}",
        "Gained {Drop}",
        "Invalid input",
        "two  blanks",
        "41 +/- 1",
        "don't",
    ] {
        assert!(!word_faults("t", bad).is_empty(), "{bad}");
    }
    assert_eq!(placeholders("{a} and {b2}").unwrap(), ["a", "b2"]);
}

/// Addresses outside the page's own origin.
fn addresses(path: &str, text: &str) -> Vec<String> {
    /// Names of markup languages, never asked for.
    const NAMES: &[&str] = &["http://www.w3.org/"];
    let mut faults = Vec::new();
    for scheme in ["http://", "https://", "ws://", "wss://"] {
        for (at, _) in text.match_indices(scheme) {
            let rest = &text[at..];
            let host = rest[scheme.len()..].chars().next();
            let local = ["localhost", "127.0.0.1", "{"].iter().any(|host| rest[scheme.len()..].starts_with(host));
            if host.is_some_and(char::is_alphanumeric) && !local && !NAMES.iter().any(|name| rest.starts_with(name)) {
                let address: String = rest.chars().take_while(|c| !c.is_whitespace() && *c != '"').take(60).collect();
                faults.push(format!("{path} names {address}: no request leaves the page's own origin. Take it out."));
            }
        }
    }
    faults
}

#[test]
fn nothing_asks_another_place() {
    let page = files("www").into_iter().chain(files("index.html"));
    let code = files("src").into_iter().filter(|(path, _)| !path.starts_with("src/bin/dev"));
    none(
        &page
            .chain(code)
            .filter(|(path, _)| root().join(path).exists())
            .flat_map(|(path, text)| addresses(&path, &text))
            .collect::<Vec<_>>(),
    );
}

#[test]
fn the_rule_about_addresses_fails_where_it_should() {
    assert!(addresses("a.html", "<svg xmlns=\"http://www.w3.org/2000/svg\">").is_empty());
    assert!(!addresses("a.html", "<script src=\"https://cdn.example.org/a.js\">").is_empty());
    assert!(!addresses("a.css", "@import url(http://fonts.example.org/a.css)").is_empty());
}

/// Leftovers of work.
fn leftovers(path: &str, code: &str) -> Vec<String> {
    let mut faults = Vec::new();
    for (first, second) in [
        ("todo", "!("),
        ("dbg", "!("),
        ("unimplemented", "!("),
        ("FIX", "ME"),
        ("TO", "DO"),
        ("X", "XX"),
        ("#[ig", "nore"),
        ("println", "!("),
    ] {
        let word = format!("{first}{second}");
        let host = path.starts_with("src/bin/dev") || path.starts_with("tests/");
        if code.contains(&word) && !(host && word.starts_with("println")) {
            faults.push(format!("{path} holds {word}: finish it or take it out."));
        }
    }
    faults
}

#[test]
fn nothing_is_left_half_done() {
    let all = files("src").into_iter().chain(files("tests/native")).chain(files("tests/browser")).chain(files("www"));
    let own = all.filter(|(path, _)| has_ending(path, &["rs", "css", "html", "js"]));
    none(&own.flat_map(|(path, text)| leftovers(&path, &text)).collect::<Vec<_>>());
}

#[test]
fn the_rule_about_leftovers_fails_where_it_should() {
    assert!(leftovers("src/a.rs", "let to_do = 1;").is_empty());
    assert!(!leftovers("src/a.rs", &format!("{}!()", "todo")).is_empty());
    assert!(!leftovers("src/a.rs", &format!("// {}{}: later", "TO", "DO")).is_empty());
}

/// Paths of the project named in a paper, in code marks or links.
fn paths_in(text: &str) -> Vec<String> {
    let tops = ["src/", "tests/", "www/", ".ci/", ".cargo/"];
    let files = [
        "Cargo.toml",
        "index.html",
        "Trunk.toml",
        "README.md",
        "DEVELOPERS.md",
        "CHANGELOG.md",
        "LICENSE",
        ".clippy.toml",
        ".rustfmt.toml",
    ];
    text.split(|c: char| c.is_whitespace() || matches!(c, '`' | '(' | ')' | '[' | ']' | '"' | ',' | ';' | '|'))
        .map(|word| word.trim_end_matches(['.', ':', '*']).trim_start_matches("./"))
        .filter(|word| tops.iter().any(|top| word.starts_with(top)) || files.contains(word))
        .filter(|word| !word.contains(['<', '{', '*', '…']))
        .map(|word| word.split(['#', ':']).next().unwrap_or_default().to_owned())
        .collect()
}

#[test]
fn every_path_named_in_the_papers_exists() {
    // What only a build makes.
    let ignored = fs::read_to_string(root().join(".gitignore")).unwrap_or_default();
    let made = |path: &str| ignored.lines().map(|line| line.trim_matches('/')).any(|line| !line.is_empty() && path.starts_with(line));
    let mut faults = Vec::new();
    for paper in ["README.md", "DEVELOPERS.md"] {
        let Ok(text) = fs::read_to_string(root().join(paper)) else { continue };
        for path in paths_in(&text) {
            if !root().join(&path).exists() && !made(&path) {
                faults.push(format!("{paper} names {path}, which is not there: correct the paper."));
            }
        }
    }
    none(&faults);
}

#[test]
fn the_rule_about_paths_finds_them() {
    assert_eq!(paths_in("See `src/lib.rs`, [the list](src/sheets/mod.rs) and src/sheets/<id>/."), ["src/lib.rs", "src/sheets/mod.rs"]);
}

#[test]
fn the_papers_of_each_sheet_are_plainly_written() {
    let mut faults = Vec::new();
    for sheet in SHEETS {
        let id = sheet.meta().id;
        let about = fs::read_to_string(folder_of(id).join("about.md")).unwrap_or_default();
        for (at, line) in about.lines().enumerate() {
            let place = format!("{id}/about.md:{}", at + 1);
            let words = word_faults(&place, line);
            faults.extend(
                words.into_iter().filter(|fault| fault.contains("British") || fault.contains("metre") || fault.contains("exclamation")),
            );
        }
    }
    none(&faults);
}

#[test]
fn a_sheet_refines_exactly_where_the_list_of_longer_parts_says_so() {
    let mut faults = Vec::new();
    for sheet in SHEETS {
        let meta = sheet.meta();
        let example = lessdin::sheets::open(meta.example).draft.unwrap();
        if meta.refines != lessdin::sheets::work(meta.id, &example, 1).is_some() {
            faults.push(format!("{}: META.refines and the list REFINED in src/sheets/mod.rs should agree.", meta.id));
        }
    }
    none(&faults);
}

#[test]
fn the_start_script_knows_which_program_carries_a_sheet() {
    let script = fs::read_to_string(root().join("www/start.js")).unwrap();
    let list = script.split_once("const carriers = {").and_then(|(_, rest)| rest.split_once('}')).expect("www/start.js lists carriers").0;
    let listed: Vec<(String, String)> = list
        .split(',')
        .filter_map(|entry| entry.split_once(':'))
        .map(|(id, program)| (id.trim().trim_matches('\'').to_owned(), program.trim().trim_matches('\'').to_owned()))
        .collect();
    let wanted: Vec<(String, String)> = lessdin::sheets::MENU
        .iter()
        .filter(|question| question.program != lessdin::sheets::programs::APP)
        .map(|question| (question.id.to_owned(), question.program.to_owned()))
        .collect();
    assert_eq!(listed, wanted, "www/start.js: carriers must name the sheets that `app` does not carry, in the order of the menu");
    for (_, program) in &listed {
        assert!(script.contains(&format!("./{program}_bg.wasm")), "www/start.js does not say where {program} is");
    }
}
