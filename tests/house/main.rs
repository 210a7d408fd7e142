//! The laws of the house: arrows point down, no circles, one name for one thing, files are short, one place for each
//! library, the map is whole.
#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test reads the sources and may fail"
)]

mod circles;
mod graph;
mod names;
mod sentences;

use std::fs;
use std::path::{Path, PathBuf};

/// Floors, from the bottom. A module uses lower floors only; modules on one floor do not know each other.
const FLOORS: [&[&str]; 13] = [
    &["base"],
    &["instrument"],
    &["circuit"],
    &["measure"],
    &["log", "trace", "battery"],
    &["balance"],
    &["infer"],
    &["plan", "sim"],
    &["text"],
    &["hunt"],
    &["lessons"],
    &["render", "score"],
    &["cli"],
];

/// Longest file, in lines, comments and tests included.
const LONGEST: usize = 400;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files_under(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display())) {
            let path = entry.expect("a folder entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == ending) {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

fn sources() -> Vec<(String, String)> {
    let files = files_under(&root().join("src"), "rs");
    assert!(files.len() > 10, "the sources were not found");
    files.iter().map(|path| (relative(path), fs::read_to_string(path).expect("a source file"))).collect()
}

fn relative(path: &Path) -> String {
    path.strip_prefix(root()).expect("below the root").to_string_lossy().replace('\\', "/")
}

fn module_of(file: &str) -> &str {
    let inside = file.strip_prefix("src/").expect("a source file");
    inside.split(['/', '.']).next().expect("a first part")
}

fn floor_of(module: &str) -> Option<usize> {
    FLOORS.iter().position(|floor| floor.contains(&module))
}

/// Names of modules that a source file uses, told by `crate::NAME` and by each name in `crate::{…}`.
fn uses(text: &str) -> Vec<(usize, String)> {
    let name_at = |from: &str| -> String {
        from.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
    };
    let mut found = Vec::new();
    for (at, _) in text.match_indices("crate::") {
        let line = text[..at].matches('\n').count() + 1;
        let rest = &text[at + "crate::".len()..];
        let Some(list) = rest.strip_prefix('{') else {
            found.push((line, name_at(rest)));
            continue;
        };
        let mut depth = 0;
        let mut begins = true;
        for (inside, character) in list.char_indices() {
            match character {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => begins = true,
                _ if begins && !character.is_whitespace() => {
                    found.push((line, name_at(&list[inside..])));
                    begins = false;
                }
                _ => {}
            }
        }
    }
    found
}

#[test]
fn every_name_in_braces_is_an_arrow() {
    let found = uses("use crate::{log::{Case, Entry}, text,\n    cli};\nuse crate::plan::next;");
    let names: Vec<_> = found.iter().map(|(line, name)| (*line, name.as_str())).collect();
    assert_eq!(names, [(1, "log"), (1, "text"), (1, "cli"), (3, "plan")]);
}

#[test]
fn arrows_point_down() {
    let mut wrong = Vec::new();
    for (file, text) in sources() {
        let module = module_of(&file);
        if matches!(module, "lib" | "main") {
            continue;
        }
        let floor = floor_of(module).unwrap_or_else(|| panic!("{file}: module {module} stands on no floor"));
        for (line, used) in uses(&text) {
            let Some(other) = floor_of(&used) else { continue };
            let allowed = used == module || other < floor;
            if !allowed {
                wrong.push(format!("{file}:{line}: {module} (floor {floor}) uses {used} (floor {other})"));
            }
        }
    }
    assert!(wrong.is_empty(), "arrows must point down:\n{}", wrong.join("\n"));
}

/// The simulated vehicle must be able to show the engine wrong, so it knows nothing of it.
#[test]
fn the_practice_vehicle_does_not_know_the_estimator() {
    for (file, text) in sources() {
        if module_of(&file) == "sim" {
            for (line, used) in uses(&text) {
                let knows = ["balance", "infer", "plan", "text", "hunt"].contains(&used.as_str());
                assert!(!knows, "{file}:{line} uses {used}");
            }
        }
    }
}

#[test]
fn files_are_short_and_say_what_they_are_for() {
    let mut wrong = Vec::new();
    for (file, text) in sources() {
        let lines = text.lines().count();
        if lines > LONGEST {
            wrong.push(format!("{file}: {lines} lines, at most {LONGEST}"));
        }
        if !text.starts_with("//! ") {
            wrong.push(format!("{file}: must open with a line that says what it is for"));
        }
        let name = file.rsplit('/').next().unwrap_or_default();
        if ["utils.rs", "helpers.rs", "common.rs", "misc.rs"].contains(&name) {
            wrong.push(format!("{file}: the name says no subject"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Libraries that are spoken to from one place only.
#[test]
fn one_place_for_each_library() {
    let places: [(&str, &[&str]); 8] = [
        ("serde_yaml", &["src/base/yaml.rs"]),
        ("signal_hook", &["src/cli/signal.rs"]),
        ("ctrlc", &["src/cli/signal.rs"]),
        ("dialoguer", &["src/cli/ask/confirm.rs"]),
        ("indicatif", &["src/cli/wait.rs", "src/cli/progress.rs"]),
        ("comfy_table", &["src/cli/table.rs"]),
        ("anstyle", &["src/cli/paint.rs"]),
        ("crossterm", &["src/cli/keys.rs"]),
    ];
    for (file, text) in sources() {
        for (library, allowed) in places {
            let used =
                text.lines().any(|line| !line.trim_start().starts_with("//") && line.contains(library));
            assert!(
                !used || allowed.contains(&file.as_str()),
                "{file} speaks to {library}; only {allowed:?} may"
            );
        }
    }
}

#[test]
fn paths_named_for_contributors_exist() {
    let page = fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let paths = page.split('`').filter(|word| word.starts_with("src/") || word.starts_with("tests/"));
    let paths = paths.filter(|word| !word.contains([' ', '*', '\u{2026}']));
    let missing: Vec<_> = paths.filter(|path| !root().join(path).exists()).collect();
    assert!(missing.is_empty(), "in DEVELOPERS.md, but not there: {missing:?}");
}
