//! Every formula has an outside check, and the list of them is written out.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use lessdin::formulas::{FORMULAS, SOURCES};

use super::FILES;
use super::case::Evidence;

fn formula_files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/formulas");
    let mut files: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "rs"))
        .collect();
    files.sort();
    files
}

/// The ids of all public functions in the modules of formulas. Look-ups that are `const` are no formulas.
fn functions_in_the_code() -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for path in formula_files() {
        let module = path.file_stem().unwrap().to_string_lossy().into_owned();
        for line in fs::read_to_string(&path).unwrap().lines() {
            if let Some(rest) = line.strip_prefix("pub fn ") {
                let name: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                found.insert(format!("{module}.{name}"));
            }
        }
    }
    found
}

#[test]
fn the_registry_lists_every_public_formula_once() {
    let listed: Vec<_> = FORMULAS.iter().map(|formula| formula.id.to_owned()).collect();
    let mut sorted = listed.clone();
    sorted.sort();
    sorted.dedup();
    assert_eq!(listed, sorted, "ids are in order and none is twice");
    let listed: BTreeSet<_> = listed.into_iter().collect();
    let code = functions_in_the_code();
    let missing: Vec<_> = code.difference(&listed).collect();
    let gone: Vec<_> = listed.difference(&code).collect();
    assert!(missing.is_empty(), "not in the registry: {missing:?}");
    assert!(gone.is_empty(), "in the registry, not in the code: {gone:?}");
}

#[test]
fn sources_have_names_of_their_own() {
    let mut ids: Vec<_> = SOURCES.iter().map(|source| source.id).collect();
    ids.sort_unstable();
    let all = ids.len();
    ids.dedup();
    assert_eq!(ids.len(), all);
    for source in SOURCES {
        let kebab = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        assert!(source.id.chars().all(kebab), "{}", source.id);
        assert!(!source.cite.is_empty());
    }
    for formula in FORMULAS {
        assert!(!formula.name.is_empty());
        assert!(SOURCES.contains(&formula.source), "{}", formula.id);
    }
}

/// What is known about one formula.
#[derive(Default)]
struct Checks {
    outside: usize,
    recalled: usize,
    evidence: BTreeSet<String>,
}

#[test]
fn every_formula_has_an_outside_check() {
    let mut checks: BTreeMap<&str, Checks> = FORMULAS.iter().map(|formula| (formula.id, Checks::default())).collect();
    for (file, cases) in FILES {
        for case in *cases {
            let Some(entry) = checks.get_mut(case.formula) else {
                panic!("{file} checks {}, which is not in the registry", case.formula);
            };
            match case.evidence {
                Evidence::Memory => entry.recalled += case.rows.len(),
                Evidence::Read | Evidence::ClosedForm => entry.outside += case.rows.len(),
                Evidence::Library { name, version } => {
                    entry.outside += case.rows.len();
                    entry.evidence.insert(format!("{name} {version}"));
                }
            }
            entry.evidence.insert((*file).to_owned());
        }
    }

    let mut list = String::from(
        "# Formulas and their outside checks\n\n\
         | formula | source | known how | outside checks | recalled only | where |\n\
         |---|---|---|---|---|---|\n",
    );
    for formula in FORMULAS {
        let known = &checks[formula.id];
        let places: Vec<_> = known.evidence.iter().map(String::as_str).collect();
        writeln!(
            list,
            "| {} | {} | {} | {} | {} | {} |",
            formula.id,
            formula.source.cite,
            formula.source.how.words(),
            known.outside,
            known.recalled,
            places.join(", ")
        )
        .unwrap();
    }
    let target = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap();
    fs::create_dir_all(target).unwrap();
    fs::write(target.join("formulas.md"), list).unwrap();

    let bare: Vec<_> = checks.iter().filter(|(_, known)| known.outside == 0).map(|(id, _)| *id).collect();
    assert!(bare.is_empty(), "no outside check for {bare:?}");
}

#[test]
fn every_file_of_checks_is_listed_and_named_in_the_readme() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/native/standards");
    let readme = fs::read_to_string(folder.join("README.md")).unwrap();
    for entry in fs::read_dir(&folder).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        let (stem, end) = name.split_once('.').unwrap_or((&name, ""));
        if name == "README.md" {
            continue;
        }
        assert!(readme.contains(&format!("`{name}`")), "README.md does not name {name}");
        if end == "rs" && !["mod", "case", "coverage"].contains(&stem) {
            assert!(FILES.iter().any(|(file, _)| *file == stem), "{name} is not swept");
        }
    }
}
