//! Whole practice hunts as they stand on the screen, against `tests/cli/screens/`: a change of words is seen as one.
//! After a change that is meant, run with `FUSETRAIL_KEEP_HELP=1` and look at the difference.

use std::fs;
use std::path::PathBuf;

use crate::short::{HUNTS, played};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/cli/screens")
}

#[test]
fn whole_hunts_are_as_they_were_kept() {
    let keep = std::env::var_os("FUSETRAIL_KEEP_HELP").is_some();
    let mut changed = Vec::new();
    for (map, seed) in HUNTS {
        let path = folder().join(format!("{map}-{seed}.txt"));
        // The clock of a hunt begins when it is begun: the times of day are not kept.
        let text = without_clock(&played(map, seed));
        if keep {
            fs::write(&path, text).expect("kept");
        } else if fs::read_to_string(&path).unwrap_or_default() != text {
            changed.push(path);
        }
    }
    assert!(changed.is_empty(), "other words than before: {changed:?}");
    let count = fs::read_dir(folder()).expect("the folder").count();
    assert_eq!(count, HUNTS.len(), "a file of no hunt");
}

/// Puts `HH:MM` in place of each time of day.
fn without_clock(text: &str) -> String {
    let is_clock = |word: &str| {
        let word = word.trim_end_matches(['.', ',']);
        word.len() == 5
            && word.bytes().enumerate().all(|(at, c)| if at == 2 { c == b':' } else { c.is_ascii_digit() })
    };
    let line = |line: &str| {
        let words: Vec<String> = line
            .split(' ')
            .map(|word| if is_clock(word) { format!("HH:MM{}", &word[5..]) } else { word.to_owned() })
            .collect();
        words.join(" ")
    };
    text.lines().map(|one| line(one) + "\n").collect()
}
