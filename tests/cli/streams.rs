//! Exit codes, stdout and stderr, colours, and text that must not reach the terminal as it stands.

use std::io::Read;
use std::process::Stdio;

use crate::world::World;

/// A map whose every text tries to move the cursor or to hide.
const HOSTILE: &str = "\
format: fusetrail-map/1
title: \"clear\\e[2J\\u202Eturn\"
boxes: {\"b\\e]0;x\\a\": {where: \"here\\e[31m\"}}
feeds:
  - {id: \"F\\e[1A\", from: battery, box: \"b\\e]0;x\\a\", fuse: {family: mini, rating_a: 10}, loads: [{name: \"radio\\e[5m\"}]}
";

fn is_clean(text: &str) -> bool {
    text.chars().all(|c| c == '\n' || !(c.is_control() || ('\u{202a}'..='\u{202e}').contains(&c)))
}

#[test]
fn without_arguments_there_is_help_and_exit_code_2() {
    let run = World::new().run::<&str>(&[]).ends(2);
    assert!(run.out.is_empty() && run.talk.contains("Usage: fusetrail"), "{run:?}");
}

#[test]
fn help_is_a_result_and_wrong_usage_is_not() {
    let world = World::new();
    let run = world.say("--help").ends(0);
    assert!(run.talk.is_empty() && run.out.contains("Examples:"));
    for line in [
        "nonsense",
        "add",
        "open x.yaml",
        "hunt --practice x",
        "circuits check",
        "--color pink circuits list",
    ] {
        let run = world.say(line).ends(2);
        assert!(run.out.is_empty() && !run.talk.is_empty(), "{line}: {run:?}");
    }
}

#[test]
fn a_missing_file_is_exit_code_1_with_a_remedy() {
    let world = World::new();
    for line in [
        "add no.hunt.yaml total 1mA",
        "strike no.hunt.yaml 2 --why x",
        "circuits show no.yaml",
        "open n/o.yaml --map hatch",
    ] {
        let run = world.say(line).ends(1);
        assert!(run.out.is_empty() && run.talk.starts_with("error: "), "{line}: {run:?}");
    }
}

#[test]
fn text_from_files_cannot_reach_the_terminal_unescaped() {
    let world = World::new();
    world.write("hostile.yaml", HOSTILE);
    world.write("broken.yaml", "format: \"x\\e[2J\"\nfeeds: [\"\\e[31m\"]\n\"\\e[5m\": 1\n");
    world.write("answers.yaml", "\"never\\e[2J\": \"x\"\n");
    let mut seen = String::new();
    for line in [
        "circuits show hostile.yaml",
        "circuits check hostile.yaml",
        "circuits check broken.yaml",
        "circuits show broken.yaml",
        "circuits show \u{1b}[2J",
        "open h.hunt.yaml --map hostile.yaml",
        "add h.hunt.yaml drop \u{1b}[2J 3mV",
        "add h.hunt.yaml total \u{1b}[2J",
        "add h.hunt.yaml note \u{1b}[2J",
        "hunt h.hunt.yaml --answers answers.yaml",
    ] {
        let run = world.say(line);
        assert!(is_clean(&run.out) && is_clean(&run.talk), "{line}: {run:?}");
        seen += &(run.out + &run.talk);
    }
    assert!(seen.contains("\\u{1b}[2J"), "the text is spelled out, not lost: {seen}");
}

#[test]
fn one_decision_about_colour_holds_for_results_talk_and_help() {
    let coloured = |world: World, line: &str| world.say(line).out.contains('\u{1b}');
    let show = "circuits show hatch";
    assert!(!coloured(World::new(), show), "not a terminal");
    assert!(coloured(World::new().with("CLICOLOR_FORCE", "1"), show));
    assert!(!coloured(World::new().with("CLICOLOR_FORCE", "1").with("NO_COLOR", "1"), show));
    assert!(coloured(World::new().with("NO_COLOR", "1"), "circuits show hatch --color always"));
    assert!(coloured(World::new().with("NO_COLOR", "1"), "--color=always --help"));
    assert!(!coloured(World::new().with("CLICOLOR_FORCE", "1"), "--help --color never"));
    assert!(coloured(World::new().with("CLICOLOR_FORCE", "1").with("TERM", "dumb"), show));
}

#[test]
fn a_reader_that_has_seen_enough_is_no_failure() {
    let world = World::new();
    let mut command = world.command();
    command.args(["circuits", "show", "hatch", "--yaml"]).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("it starts");
    drop(child.stdout.take());
    let mut talk = String::new();
    child.stderr.take().expect("piped").read_to_string(&mut talk).expect("read");
    assert_eq!((child.wait().expect("ends").code(), talk.as_str()), (Some(0), ""));
}

#[test]
fn a_full_disk_under_the_result_is_told() {
    if !std::path::Path::new("/dev/full").exists() {
        return;
    }
    let world = World::new();
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").expect("opened");
    let mut command = world.command();
    let output = command.args(["circuits", "list"]).stdout(full).output().expect("it runs");
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("cannot be written"));
}

#[test]
fn narrow_screens_get_lists_instead_of_tables() {
    let text = World::new().columns("40").say("circuits list").ends(0).out;
    assert!(text.contains("name: hatch") && text.lines().all(|line| line.chars().count() <= 40), "{text}");
    let text = World::new().columns("60").say("circuits show hatch").ends(0).out;
    assert!(text.lines().all(|line| line.chars().count() <= 60), "{text}");
}

/// Adds a total with stdout at `out`, and tells how that ended and how many entries the log has then.
#[cfg(unix)]
fn add_with_stdout(world: &World, form: &str, out: Stdio) -> (Option<i32>, String, u64) {
    let mut command = world.command();
    command.args(["add", "x.hunt.yaml", "drop", "C3=0.1mV", "C4=0.2mV", "--format", form]);
    let output = command.stdout(out).stderr(Stdio::piped()).output().expect("it runs");
    let entries = world.say("check x.hunt.yaml --format json").ends(0).json()["entries"].as_u64();
    (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned(), entries.expect("a count"))
}

#[test]
#[cfg(unix)]
fn entries_whose_answer_cannot_be_shown_are_said_to_be_in() {
    for form in ["text", "json"] {
        let world = World::new();
        world.say("open x.hunt.yaml --map hatch").ends(0);
        let (reader, writer) = std::io::pipe().expect("a pipe");
        drop(reader);
        let (code, talk, entries) = add_with_stdout(&world, form, writer.into());
        assert_eq!((code, entries), (Some(0), 3), "{talk}");
        assert!(talk.contains("Entries 2 to 3 are in the log"), "{talk}");
        let Ok(full) = std::fs::OpenOptions::new().write(true).open("/dev/full") else { continue };
        let (code, talk, entries) = add_with_stdout(&world, form, full.into());
        assert_eq!((code, entries), (Some(1), 5), "{talk}");
        assert!(
            talk.contains("Entries 4 to 5 are in the log") && talk.contains("cannot be written"),
            "{talk}"
        );
    }
}
