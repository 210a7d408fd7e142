//! The README's console blocks, run one after another in one folder: what it shows is what the program prints. A line
//! of three dots stands for lines left out.

use crate::world::World;

const README: &str = include_str!("../../README.md");

/// The commands of the console blocks, each with the lines shown below it.
fn shown() -> Vec<(&'static str, Vec<&'static str>)> {
    let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
    for block in README.split("```console\n").skip(1) {
        let block = block.split("```").next().unwrap_or_default();
        for line in block.lines() {
            match line.strip_prefix("$ fusetrail ") {
                Some(command) => all.push((command, Vec::new())),
                None => all.last_mut().expect("a command first").1.push(line),
            }
        }
    }
    all
}

/// Whether lines are those shown, dots standing for any.
fn fits(printed: &[&str], shown: &[&str]) -> bool {
    match shown.split_first() {
        None => printed.is_empty(),
        Some((&"...", rest)) => (0..=printed.len()).any(|skipped| fits(&printed[skipped..], rest)),
        Some((line, rest)) => printed.first() == Some(line) && fits(&printed[1..], rest),
    }
}

#[test]
fn the_readme_shows_what_the_program_prints() {
    let world = World::new();
    let commands = shown();
    assert!(commands.len() >= 8, "few commands: {commands:?}");
    for (command, shown) in commands {
        let run = world.say(command).ends(0);
        let printed: Vec<&str> = run.out.lines().collect();
        assert!(
            fits(&printed, &shown),
            "$ fusetrail {command}\n{}\ninstead of\n{}",
            run.out,
            shown.join("\n")
        );
    }
}

#[test]
fn the_readme_gives_two_commands_to_set_up() {
    let block = README.split("## Set up\n```\n").nth(1).and_then(|rest| rest.split("```").next());
    assert_eq!(block, Some("cargo run --release -- hunt --practice\ncargo test\n"));
}
