//! `hunt` as a process: beginning, leaving, going on, being held, being interrupted.
//! What is asked is another matter (`tests/flow`); these tests answer no question but by leaving.

use std::io::{BufRead, BufReader, Write};
use std::process::{Child, Command};

use crate::world::{START, World, finish};

/// Reads talk until the first question is open; returns what was said.
fn until_asked(child: &mut Child) -> String {
    let mut said = String::new();
    let mut talk = BufReader::new(child.stderr.as_mut().expect("piped"));
    while !said.contains("Any time:") {
        let mut line = String::new();
        assert!(talk.read_line(&mut line).expect("read") > 0, "it ended: {said}");
        said.push_str(&line);
    }
    said
}

#[test]
fn an_input_that_ends_names_the_open_question_and_keeps_the_log() {
    let world = World::new();
    let run = world.say(&format!("hunt x.hunt.yaml --map hatch --at-start {START}")).ends(1);
    assert!(run.talk.contains("the input has ended at the question"), "{run:?}");
    assert!(run.talk.contains("fusetrail hunt x.hunt.yaml"), "{run:?}");
    let before = world.read("x.hunt.yaml");
    let run = world.run_with(&["hunt", "x.hunt.yaml"], "quit\n").ends(0);
    assert!(run.talk.contains("Going on with x.hunt.yaml after entry 1"), "{run:?}");
    assert_eq!(world.read("x.hunt.yaml"), before, "leaving writes nothing");
}

#[test]
fn without_a_name_the_next_free_one_of_the_day_is_taken() {
    let world = World::new();
    for name in ["hunt-2026-11-02.hunt.yaml", "hunt-2026-11-02-2.hunt.yaml"] {
        world.run_with(&["hunt", "--map", "hatch", "--at-start", START], "quit\n").ends(0);
        assert!(world.path(name).exists(), "{name}");
    }
}

#[test]
fn a_log_that_is_held_is_exit_code_75_and_says_by_whom() {
    let world = World::new();
    let mut holder = world.start(&["hunt", "x.hunt.yaml", "--map", "hatch"]);
    until_asked(&mut holder);
    let run = world.say("add x.hunt.yaml total 482mA").ends(75);
    assert!(run.talk.contains(&holder.id().to_string()), "{run:?}");
    holder.stdin.take().expect("piped").write_all(b"quit\n").expect("written");
    finish(holder).ends(0);
    world.say("add x.hunt.yaml total 482mA").ends(0);
}

#[test]
fn an_interrupt_and_a_request_to_end_are_exit_code_130_with_the_log_whole() {
    for signal in ["-INT", "-TERM", "-HUP"] {
        let world = World::new();
        let mut child = world.start(&["hunt", "x.hunt.yaml", "--map", "hatch"]);
        until_asked(&mut child);
        Command::new("kill").args([signal, &child.id().to_string()]).status().expect("kill runs");
        let run = finish(child).ends(130);
        assert!(run.talk.contains("kept in x.hunt.yaml"), "{signal}: {run:?}");
        world.say("add x.hunt.yaml note 'still whole'").ends(0);
    }
}

#[test]
fn json_is_printed_whole_however_the_hunt_ends() {
    let world = World::new();
    let run = world.say("hunt x.hunt.yaml --map hatch --format json").ends(1);
    let json = run.json();
    let keys: Vec<&String> = json.as_object().expect("an object").keys().collect();
    assert_eq!(keys, ["log", "entries", "done", "why"]);
    assert_eq!((json["done"].as_bool(), json["entries"].as_u64()), (Some(false), Some(1)));
}

#[test]
fn a_log_about_one_vehicle_is_not_gone_on_with_on_another() {
    let world = World::new();
    world.run_with(&["hunt", "x.hunt.yaml", "--practice", "3"], "quit\n").ends(0);
    world.say("hunt x.hunt.yaml --practice 4").ends(2);
    world.say("hunt x.hunt.yaml --map van").ends(2);
    world.run_with(&["hunt", "x.hunt.yaml", "--practice", "3"], "quit\n").ends(0);
    world.run_with(&["hunt", "y.hunt.yaml"], "quit\n").ends(0);
    world.say("hunt y.hunt.yaml --practice").ends(2);
}

#[test]
fn an_answers_file_with_faults_is_refused_before_anything_is_written() {
    let world = World::new();
    world.write("bad.yaml", "a: 3.0\nb: {c: d}\n");
    let run = world.say("hunt x.hunt.yaml --map hatch --answers bad.yaml").ends(1);
    assert!(run.talk.matches("error: ").count() == 2 && !world.path("x.hunt.yaml").exists(), "{run:?}");
    let run = world.say("hunt x.hunt.yaml --map hatch --answers none.yaml").ends(1);
    assert!(run.talk.contains("none.yaml"), "{run:?}");
}

#[test]
fn piped_lines_and_an_answers_file_make_the_same_log_byte_by_byte() {
    let world = World::new();
    world.write("answers.yaml", "\"*\": \"\"\n");
    let begin = |log: &'static str| ["hunt", log, "--practice", "3", "--at-start", START];
    let piped = world.run_with(&begin("piped.hunt.yaml"), &"\n".repeat(2000)).ends(0);
    let filed = world.run(&[&begin("filed.hunt.yaml")[..], &["--answers", "answers.yaml"]].concat()).ends(0);
    assert_eq!(world.read("piped.hunt.yaml"), world.read("filed.hunt.yaml"));
    let end = |run: &crate::world::Run| run.out.lines().last().map(str::to_owned);
    assert!(end(&piped).is_some_and(|line| !line.is_empty()) && end(&piped) == end(&filed));
}

#[test]
fn a_hunt_left_half_way_goes_on_to_the_same_end() {
    let world = World::new();
    let whole =
        world.run_with(&["hunt", "a.hunt.yaml", "--practice", "5", "--at-start", START], &"\n".repeat(2000));
    let whole = whole.ends(0);
    let first = ["hunt", "b.hunt.yaml", "--practice", "5", "--at-start", START];
    world.run_with(&first, &("\n".repeat(22) + "quit\n")).ends(0);
    let rest = world.run_with(&["hunt", "b.hunt.yaml"], &"\n".repeat(2000)).ends(0);
    assert_eq!(world.read("a.hunt.yaml"), world.read("b.hunt.yaml"));
    assert_eq!(whole.out.lines().last(), rest.out.lines().last());
}
