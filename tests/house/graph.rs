//! Which file takes which name from which: a reading of the sources' `use` trees and qualified paths.

use std::collections::{BTreeMap, BTreeSet};

/// For each file, the files that it uses, with the names that it takes from each.
pub type Arrows = BTreeMap<String, BTreeMap<String, BTreeSet<String>>>;

type Path = Vec<String>;

/// One source file, as far as names go.
#[derive(Default)]
struct Module {
    file: String,
    /// Names that a `use` brings in, re-exports included, with the whole path of each.
    bound: BTreeMap<String, Path>,
    /// Names that are handed on (`pub use`), which are no use by themselves.
    handed_on: BTreeSet<String>,
    /// Modules whose every name is brought in.
    globs: Vec<Path>,
    defined: BTreeSet<String>,
    /// Paths in the code outside `use`, as they stand.
    spoken: Vec<Path>,
}

/// The arrows between `files`, pairs of a path that begins with `src/` and the text.
pub fn arrows(files: &[(String, String)]) -> Arrows {
    let modules: BTreeMap<Path, Module> =
        files.iter().map(|(file, text)| (place_of(file), read(file, text))).collect();
    let mut arrows = Arrows::new();
    for (place, module) in &modules {
        let taken = module.bound.iter().filter(|(name, _)| !module.handed_on.contains(*name));
        let spoken = module.spoken.iter().filter_map(|path| whole(path, place, module, &modules));
        for path in taken.map(|(_, path)| path.clone()).chain(spoken) {
            let Some((home, name)) = home_of(&absolute(&path, place, &modules), &modules, 0) else {
                continue;
            };
            if home != module.file {
                arrows.entry(module.file.clone()).or_default().entry(home).or_default().insert(name);
            }
        }
    }
    arrows
}

/// Groups of files that reach each other.
pub fn circles(arrows: &Arrows) -> Vec<BTreeSet<String>> {
    let reached: BTreeMap<&String, BTreeSet<&String>> =
        arrows.keys().map(|file| (file, reached_from(file, arrows))).collect();
    let circle_of = |file: &String| -> BTreeSet<String> {
        let back = |other: &&String| reached.get(other).is_some_and(|theirs| theirs.contains(file));
        reached[file].iter().copied().filter(back).cloned().collect()
    };
    let circles: BTreeSet<_> = arrows.keys().map(circle_of).filter(|circle| !circle.is_empty()).collect();
    circles.into_iter().collect()
}

fn reached_from<'a>(file: &String, arrows: &'a Arrows) -> BTreeSet<&'a String> {
    let mut reached = BTreeSet::new();
    let mut open: Vec<&String> = arrows[file].keys().collect();
    while let Some(next) = open.pop() {
        if reached.insert(next) {
            open.extend(arrows.get(next).into_iter().flat_map(BTreeMap::keys));
        }
    }
    reached
}

/// A circle in words: each arrow in it with its names.
pub fn told(circle: &BTreeSet<String>, arrows: &Arrows) -> String {
    let mut lines = String::new();
    for from in circle {
        for (to, names) in arrows[from].iter().filter(|(to, _)| circle.contains(*to)) {
            let names: Vec<_> = names.iter().map(String::as_str).collect();
            lines += &format!("  {from} -> {to}: {}\n", names.join(", "));
        }
    }
    lines
}

/// The module that a file is: `src/plan/search/mod.rs` is `plan::search`.
fn place_of(file: &str) -> Path {
    let inside = file.strip_prefix("src/").unwrap_or(file).trim_end_matches(".rs");
    inside.split('/').filter(|part| !matches!(*part, "mod" | "lib")).map(str::to_string).collect()
}

fn read(file: &str, text: &str) -> Module {
    let tokens = without_tests(&tokens(text));
    let mut module = Module { file: file.to_string(), ..Module::default() };
    let mut at = 0;
    while at < tokens.len() {
        let next = tokens.get(at + 1).map_or("", String::as_str);
        match tokens[at].as_str() {
            "use" if next != "<" => {
                let public = at > 0 && matches!(tokens[at - 1].as_str(), "pub" | ")");
                at += 1;
                read_use(&tokens, &mut at, &[], public, &mut module);
            }
            "fn" | "struct" | "enum" | "trait" | "type" | "const" | "static" | "mod" => {
                module.defined.insert(next.to_string());
                at += 2;
            }
            word if is_name(word) && (at == 0 || tokens[at - 1] != ".") => {
                let mut path = vec![word.to_string()];
                while tokens.get(at + 1).is_some_and(|t| t == "::")
                    && tokens.get(at + 2).is_some_and(|t| is_name(t))
                {
                    path.push(tokens[at + 2].clone());
                    at += 2;
                }
                module.spoken.push(path);
                at += 1;
            }
            _ => at += 1,
        }
    }
    module
}

/// Reads one branch of a `use` tree, and stops behind it.
fn read_use(tokens: &[String], at: &mut usize, stem: &[String], public: bool, module: &mut Module) {
    let mut path = stem.to_vec();
    while let Some(token) = tokens.get(*at) {
        *at += 1;
        match token.as_str() {
            "::" => {}
            "{" => {
                while tokens.get(*at).is_some_and(|t| t != "}") {
                    read_use(tokens, at, &path, public, module);
                    if tokens.get(*at).is_some_and(|t| t == ",") {
                        *at += 1;
                    }
                }
                *at += 1;
                return;
            }
            "*" => return module.globs.push(path),
            word => {
                if word != "self" || path.is_empty() {
                    path.push(word.to_string());
                }
                if tokens.get(*at).is_some_and(|t| t == "::") {
                    continue;
                }
                let mut name = path.last().cloned().unwrap_or_default();
                if tokens.get(*at).is_some_and(|t| t == "as") {
                    name = tokens.get(*at + 1).cloned().unwrap_or_default();
                    *at += 2;
                }
                if public {
                    module.handed_on.insert(name.clone());
                }
                module.bound.insert(name, path);
                return;
            }
        }
    }
}

/// The whole path that a path in the code stands for; nothing where it is no other file's.
fn whole(path: &Path, place: &Path, module: &Module, modules: &BTreeMap<Path, Module>) -> Option<Path> {
    let (first, rest) = path.split_first()?;
    if let Some(bound) = module.bound.get(first) {
        return Some([bound.as_slice(), rest].concat());
    }
    let child = [place.as_slice(), std::slice::from_ref(first)].concat();
    let rooted = matches!(first.as_str(), "crate" | "super" | "self") || modules.contains_key(&child);
    if rooted {
        return (!rest.is_empty()).then(|| path.clone());
    }
    // A name that came with a glob.
    let from = module.globs.iter().map(|glob| absolute(glob, place, modules));
    from.filter(|glob| modules.get(glob).is_some_and(|m| m.defined.contains(first)))
        .map(|glob| [glob.as_slice(), &[String::from("self")], path.as_slice()].concat())
        .next()
}

/// The path from the root, without `crate`, `super` and `self`.
fn absolute(path: &[String], place: &Path, modules: &BTreeMap<Path, Module>) -> Path {
    let mut from = Path::new();
    for (at, step) in path.iter().enumerate() {
        match step.as_str() {
            "crate" => from.clear(),
            "self" if at == 0 => from.clone_from(place),
            "self" => {}
            "super" => {
                if at == 0 {
                    from.clone_from(place);
                }
                from.pop();
            }
            name => {
                if at == 0 && modules.contains_key(&[place.as_slice(), &[name.to_string()]].concat()) {
                    from.clone_from(place);
                }
                from.push(name.to_string());
            }
        }
    }
    from
}

/// The file that defines what a path from the root names, and the name; nothing for a module and for what is not ours.
fn home_of(path: &[String], modules: &BTreeMap<Path, Module>, depth: usize) -> Option<(String, String)> {
    let known = (0..path.len()).rev().find(|length| modules.contains_key(&path[..*length]))?;
    if modules.contains_key(path) || (known == 0 && !modules.contains_key(&path[..0])) || depth > 8 {
        return None;
    }
    let (place, rest) = path.split_at(known);
    let module = modules.get(place)?;
    let name = rest.first()?;
    if let Some(bound) = module.bound.get(name) {
        let onward = [absolute(bound, &place.to_vec(), modules).as_slice(), &rest[1..]].concat();
        return home_of(&onward, modules, depth + 1);
    }
    let globs = module.globs.iter().map(|glob| absolute(glob, &place.to_vec(), modules));
    let from_glob = globs.filter_map(|glob| modules.get(&glob)).find(|from| from.defined.contains(name));
    let home = if module.defined.contains(name) { module } else { from_glob? };
    Some((home.file.clone(), name.clone()))
}

fn is_name(token: &str) -> bool {
    token.starts_with(|c: char| c.is_alphabetic() || c == '_')
}

/// The words and marks of a source text, without comments, literals and lifetimes.
pub fn tokens(text: &str) -> Vec<String> {
    words(text).into_iter().filter(|token| !token.starts_with('"')).collect()
}

/// The same with its strings, each behind one quotation mark.
pub fn words(text: &str) -> Vec<String> {
    let chars: Vec<char> = text.chars().collect();
    let peek = |at: usize| chars.get(at).copied().unwrap_or('\0');
    let mut found = Vec::new();
    let mut at = 0;
    while at < chars.len() {
        let raw = peek(at) == 'r' && matches!(peek(at + 1), '"' | '#');
        match chars[at] {
            '/' if peek(at + 1) == '/' => at = after(&chars, at, "\n"),
            '/' if peek(at + 1) == '*' => at = after(&chars, at, "*/"),
            _ if raw => {
                let hashes = chars[at + 1..].iter().take_while(|c| **c == '#').count();
                let begins = at + hashes + 2;
                at = after(&chars, begins, &format!("\"{}", "#".repeat(hashes)));
                found.push(literal(&chars[begins - 1..at.saturating_sub(hashes + 1)]));
            }
            '"' => {
                let begins = at;
                at = after_literal(&chars, at, '"');
                found.push(literal(&chars[begins..at.saturating_sub(1)]));
            }
            '\'' if peek(at + 1) == '\\' || peek(at + 2) == '\'' => at = after_literal(&chars, at, '\''),
            ':' if peek(at + 1) == ':' => {
                found.push("::".to_string());
                at += 2;
            }
            c if c.is_alphanumeric() || c == '_' => {
                let word: String =
                    chars[at..].iter().take_while(|c| c.is_alphanumeric() || **c == '_').collect();
                at += word.chars().count();
                found.push(word);
            }
            c => {
                if !c.is_whitespace() {
                    found.push(c.to_string());
                }
                at += 1;
            }
        }
    }
    found
}

fn after(chars: &[char], from: usize, end: &str) -> usize {
    let end: Vec<char> = end.chars().collect();
    let found = chars[from..].windows(end.len()).position(|w| w == end);
    found.map_or(chars.len(), |at| from + at + end.len())
}

fn literal(chars: &[char]) -> String {
    chars.iter().collect()
}

fn after_literal(chars: &[char], from: usize, quote: char) -> usize {
    let mut at = from + 1;
    while at < chars.len() && chars[at] != quote {
        at += if chars[at] == '\\' { 2 } else { 1 };
    }
    at + 1
}

/// Leaves out each item under `#[cfg(test)]`.
pub fn without_tests(tokens: &[String]) -> Vec<String> {
    let mark = ["#", "[", "cfg", "(", "test", ")", "]"];
    let mut kept = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        if tokens[at..].len() < mark.len() || tokens[at..at + mark.len()] != mark {
            kept.push(tokens[at].clone());
            at += 1;
            continue;
        }
        let mut depth = 0;
        at += mark.len();
        while let Some(token) = tokens.get(at) {
            at += 1;
            match token.as_str() {
                "{" | "(" | "[" => depth += 1,
                "}" | ")" | "]" => depth -= 1,
                _ => {}
            }
            if depth == 0 && matches!(token.as_str(), "}" | ";") {
                break;
            }
        }
    }
    kept
}
