//! One name, one thing: whoever searches for a type finds the one that is meant.

use std::collections::BTreeMap;

use crate::graph::{tokens, without_tests};

/// Most names of types that stand for more than one thing.
const REUSED: usize = 20;

/// The types that a text defines. Aliases within braces are associated types, which share the name of their trait's.
fn types(text: &str) -> Vec<String> {
    let tokens = without_tests(&tokens(text));
    let mut depth = 0;
    let mut found = Vec::new();
    for pair in tokens.windows(2) {
        match pair[0].as_str() {
            "{" => depth += 1,
            "}" => depth -= 1,
            "struct" | "enum" | "trait" => found.push(pair[1].clone()),
            "type" if depth == 0 => found.push(pair[1].clone()),
            _ => {}
        }
    }
    found
}

fn reused(files: &[(String, String)]) -> Vec<String> {
    let mut homes: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    for (file, text) in files {
        for name in types(text) {
            homes.entry(name).or_default().push(file);
        }
    }
    assert!(homes.len() > 3, "the types were not found");
    let several = homes.into_iter().filter(|(_, files)| files.len() > 1);
    several.map(|(name, files)| format!("{name}: {}", files.join(", "))).collect()
}

#[test]
fn few_types_share_their_name() {
    let reused = reused(&crate::sources());
    assert!(reused.len() <= REUSED, "{} names, at most {REUSED}:\n{}", reused.len(), reused.join("\n"));
}

#[test]
fn a_name_that_is_used_twice_is_found_and_associated_types_and_tests_are_none() {
    let one = "pub struct A;\nenum B {}\ntype C = A;\nimpl Iterator for A { type Item = B; }";
    let two = "pub(super) trait A {}\nimpl Iterator for D { type Item = D; }\nstruct D;\n// struct C\n#[cfg(test)]\nmod tests { struct B; }";
    let files = [("one", one), ("two", two)].map(|(file, text)| (file.to_string(), text.to_string()));
    assert_eq!(reused(&files), ["A: one, two"]);
}
