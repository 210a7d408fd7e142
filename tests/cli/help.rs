//! Help of every command, as it is printed at 80 columns, against `tests/cli/help/`.
//! After a change that is meant, run with `FUSETRAIL_KEEP_HELP=1` and look at the difference.

use std::fs;
use std::path::PathBuf;

use crate::world::World;

/// Every command with its words, such as `["add", "drop"]`.
fn commands() -> Vec<(Vec<String>, clap::Command)> {
    let mut found = vec![(Vec::new(), fusetrail::cli::tree(80, false))];
    let mut at = 0;
    while at < found.len() {
        let (words, command) = found[at].clone();
        for below in command.get_subcommands() {
            found.push(([&words[..], &[below.get_name().to_owned()]].concat(), below.clone()));
        }
        at += 1;
    }
    found
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/cli/help")
}

#[test]
fn help_is_as_it_was_kept() {
    let world = World::new();
    let keep = std::env::var_os("FUSETRAIL_KEEP_HELP").is_some();
    let mut kept: Vec<String> = Vec::new();
    let mut changed = Vec::new();
    for (words, _) in commands() {
        // The log stands before the kind of entry.
        let mut line = words.clone();
        if words.len() > 1 && words[0] == "add" {
            line.insert(1, "x.hunt.yaml".into());
        }
        line.push("--help".into());
        let run = world.run(&line).ends(0);
        let name = if words.is_empty() { "fusetrail.txt".into() } else { format!("{}.txt", words.join("-")) };
        let path = folder().join(&name);
        if keep {
            fs::write(&path, &run.out).expect("kept");
        } else if fs::read_to_string(&path).unwrap_or_default() != run.out {
            changed.push(name.clone());
        }
        kept.push(name);
    }
    assert!(changed.is_empty(), "help has changed: {changed:?}");
    for file in fs::read_dir(folder()).expect("the folder") {
        let name = file.expect("a file").file_name().to_string_lossy().into_owned();
        assert!(kept.contains(&name), "{name} is the help of no command");
    }
}

#[test]
fn help_fits_the_width_it_is_given() {
    for width in [40, 60, 80, 100] {
        for (words, mut command) in commands() {
            let text = command.clone().term_width(width).render_long_help().to_string();
            let examples = command.get_before_help().map(ToString::to_string).unwrap_or_default();
            let too_wide = |line: &&str| line.chars().count() > width && !examples.contains(line.trim());
            let wide: Vec<&str> = text.lines().filter(too_wide).collect();
            assert!(width < 60 || wide.is_empty(), "{words:?} at {width}: {wide:?}");
            command.build();
        }
    }
}

#[test]
fn every_command_and_every_argument_has_help() {
    for (words, command) in commands() {
        assert!(command.get_about().is_some(), "{words:?} says not what it does");
        for argument in command.get_arguments() {
            let help = argument.get_help().map(ToString::to_string).unwrap_or_default();
            assert!(!help.is_empty(), "{words:?} {} has no help", argument.get_id());
            assert!(!help.ends_with('.'), "{words:?} {}: no full stop after a fragment", argument.get_id());
        }
        if words.len() < 2 {
            let examples = command.get_before_help().map(ToString::to_string).unwrap_or_default();
            assert!(examples.starts_with("Examples:\n  fusetrail "), "{words:?} has no examples");
        }
    }
}
