//! Sentences stand in `text`: whoever mends a word, or says all of it in another language, finds every one there.
//! What a sentence is: a string literal of five or more words. No sentence of the program's talk are: comments and
//! attributes (with them the help of the commands), tests, and faults of input below `text`, which name what they found.

use std::collections::BTreeMap;

use crate::graph::{without_tests, words};
use crate::{floor_of, module_of, sources};

/// Words from which on a literal is a sentence.
const WORDS: usize = 5;

/// Sentences that may still stand outside `text`: at most so many in a module, each with the reason. A number may only
/// fall.
const LEFT: [(&str, usize, &str); 8] = [
    ("base", 11, "faults of typed values, put together before they are raised"),
    ("instrument", 1, "a fault of a live meter"),
    (
        "circuit",
        36,
        "faults and doubts of maps, put together before they are raised; what a resistance rests on",
    ),
    ("measure", 9, "doubts of a reading"),
    ("log", 8, "the forms that a line can have; faults of a file that is no log"),
    ("battery", 2, "names of figures, as the list of sources has them"),
    ("trace", 13, "how a meter log was understood; faults of a file that is none"),
    ("sim", 13, "what a customer says, and the truth behind it: the practice vehicle does not know text"),
];

/// Calls that make a fault of input; what stands within them is said by whoever met it.
const FAULTS: [&str; 4] = ["Diagnostic::new", "expected", "remedy", "in_field"];

/// Calls that make help of a command where no attribute can.
const HELP: [&str; 4] = ["help", "about", "after_help", "override_usage"];

fn is_sentence(literal: &str) -> bool {
    // What is filled in, the tags of a page and line ends are no words.
    let mut depth = 0;
    let plain: String = literal
        .replace("\\n", " ")
        .chars()
        .filter(|c| {
            depth += i32::from(matches!(c, '{' | '<'));
            depth -= i32::from(matches!(c, '}' | '>'));
            depth == 0
        })
        .collect();
    plain.split_whitespace().filter(|word| word.contains(char::is_alphabetic)).count() >= WORDS
}

/// Splits off attributes: what is left, and what stood in them.
fn without_attributes(tokens: &[String]) -> (Vec<String>, Vec<String>) {
    let (mut kept, mut attributes) = (Vec::new(), Vec::new());
    let mut depth = 0;
    for (at, token) in tokens.iter().enumerate() {
        let next = |ahead: usize| tokens.get(at + ahead).map_or("", String::as_str);
        let begins = token == "#" && (next(1) == "[" || (next(1) == "!" && next(2) == "["));
        match token.as_str() {
            "[" if depth > 0 => depth += 1,
            "]" if depth > 1 => depth -= 1,
            _ if begins && depth == 0 => depth = 1,
            _ => {}
        }
        if depth > 0 {
            attributes.push(token.clone())
        } else {
            kept.push(token.clone())
        }
        if depth == 1 && token == "]" {
            depth = 0;
        }
    }
    (kept, attributes)
}

/// The sentences of a text, without those within the named calls.
fn sentences(text: &str, exempt: &[&str]) -> Vec<String> {
    let (tokens, attributes) = without_attributes(&without_tests(&words(text)));
    let mut calls: Vec<String> = Vec::new();
    let mut found = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        let back = |by: usize| at.checked_sub(by).map_or("", |at| tokens[at].as_str());
        match token.as_str() {
            "(" if back(2) == "::" => calls.push(format!("{}::{}", back(3), back(1))),
            "(" => calls.push(back(1).to_string()),
            ")" => drop(calls.pop()),
            literal if literal.starts_with('"') && is_sentence(literal) => {
                // `const EXAMPLES: &str = "…"`, taken up by an attribute.
                let is_help = back(6) == "const" && attributes.iter().any(|name| name == back(5));
                let is_exempt = calls.iter().any(|call| exempt.contains(&call.as_str()));
                if !is_help && !is_exempt {
                    found.push(literal.to_string());
                }
            }
            _ => {}
        }
    }
    found
}

#[test]
fn a_literal_of_five_words_is_a_sentence_wherever_it_stands() {
    let text = r##"
        #[arg(help = "one two three four five")]
        const EXAMPLES: &str = "one two three four five";
        #[command(after_help = EXAMPLES)]
        fn f() { say("one two three four five"); Diagnostic::new(format!("one two three four {x} five")); }
        // "one two three four five"
        const LOOSE: &str = r#"one two "three" four five"#;
        fn g() { one("two three four {five}"); Other::new("one two 3 four five six"); }
        #[cfg(test)]
        mod tests { fn h() { say("one two three four five") } }
    "##;
    let found = sentences(text, &FAULTS);
    let begins: Vec<_> =
        found.iter().map(|literal| literal.chars().skip(1).take(9).collect::<String>()).collect();
    assert_eq!(begins, ["one two t", "one two \"", "one two 3"], "{found:?}");
}

#[test]
fn sentences_stand_in_text() {
    let text = floor_of("text").expect("a floor");
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (file, source) in sources() {
        let module = module_of(&file);
        // A file of tests is read by nobody who hunts.
        if module == "text" || file.ends_with("/tests.rs") {
            continue;
        }
        let below = floor_of(module).is_some_and(|floor| floor < text);
        let exempt: Vec<&str> = HELP.iter().chain(FAULTS.iter().filter(|_| below)).copied().collect();
        let told = sentences(&source, &exempt).into_iter().map(|one| format!("  {file}: {one}"));
        found.entry(module.to_string()).or_default().extend(told);
    }
    let mut wrong = String::new();
    for (module, told) in &found {
        let (most, why) =
            LEFT.iter().find(|(left, ..)| left == module).map_or((0, ""), |(_, most, why)| (*most, *why));
        if told.len() > most {
            let (count, lines) = (told.len(), told.join("\n"));
            wrong += &format!("{module}: {count} sentences outside text, at most {most} ({why})\n{lines}\n");
        }
    }
    assert!(wrong.is_empty(), "words belong in src/text:\n{wrong}");
}
