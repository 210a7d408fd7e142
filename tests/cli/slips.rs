//! Somebody who mistypes: what is asked, what `undo` takes back, what `list` shows, and what the log holds afterwards.

use crate::bench;
use crate::world::World;

/// The bench with a total, and a hunt on it fed with these lines.
fn hunted(lines: &str) -> (World, crate::world::Run) {
    let world = bench::opened();
    world.say("add x.hunt.yaml total 411mA --at 2026-11-02T08:10:00+01:00").ends(0);
    let run = world.run_with(&["hunt", "x.hunt.yaml"], lines);
    (world, run)
}

fn listed(world: &World) -> Vec<serde_json::Value> {
    let json = world.say("list x.hunt.yaml --format json").ends(0).json();
    json["entries"].as_array().expect("entries").clone()
}

#[test]
fn a_swapped_pair_is_asked_about_and_typed_again() {
    let (world, run) = hunted("yes\npull F1 4 411\npull F1 411 4\nq\n");
    assert!(run.talk.contains("swapped"), "{run:?}");
    run.ends(0);
    let texts: Vec<String> = listed(&world).iter().map(|one| one["text"].to_string()).collect();
    assert!(
        texts.last().is_some_and(|last| last.contains("411 before") && last.contains("4 after")),
        "{texts:?}"
    );
}

#[test]
fn yes_keeps_what_was_typed_and_back_asks_again() {
    let (world, run) = hunted("yes\nC9\npull F1 4 411\nback\nF2 0.13mV\nyes\nexit\n");
    run.ends(0);
    let last = listed(&world).last().cloned().expect("an entry");
    assert_eq!((last["kind"].as_str(), last["text"].to_string().contains("0.13")), (Some("drop"), true));
}

#[test]
fn add_warns_of_a_slip_and_undo_takes_it_back() {
    let world = bench::opened();
    world.say("add x.hunt.yaml total 143mA").ends(0);
    let run = world.say("add x.hunt.yaml total 0,143 --format json").ends(0);
    assert!(run.json()["warnings"].to_string().contains("undo"), "{run:?}");
    world.say("add x.hunt.yaml volts 122").ends(0);
    let undone = world.say("undo x.hunt.yaml --format json").ends(0).json();
    assert_eq!(undone["taken_back"], serde_json::json!([4]));
    world.say("undo x.hunt.yaml").ends(0);
    let json = world.say("suspects x.hunt.yaml --format json").ends(0).json();
    assert!((json["total"]["value"].as_f64().expect("a total") - 143.0).abs() < 0.5, "{json}");
}

#[test]
fn undo_takes_back_a_whole_command_and_again_the_one_before() {
    let world = bench::measured();
    let count = || listed(&world).iter().filter(|one| one["struck"] == true).count();
    world.say("undo x.hunt.yaml").ends(0);
    assert_eq!(count(), 3, "three drops of one command");
    let said = world.say("undo x.hunt.yaml").ends(0).out;
    assert!(said.contains("L1"), "{said}");
    world.say("undo x.hunt.yaml").ends(0);
    world.say("undo x.hunt.yaml").ends(0);
    assert!(world.say("undo x.hunt.yaml").ends(1).talk.contains("nothing is left"));
    let text = world.say("list x.hunt.yaml").ends(0).out;
    assert!(text.contains("(struck)") && text.lines().all(|line| line.chars().count() < 110), "{text}");
}

#[test]
fn the_list_says_what_a_drop_came_to() {
    let texts: Vec<String> = listed(&bench::measured()).iter().map(|one| one["text"].to_string()).collect();
    assert!(texts.iter().any(|text| text.contains("F1 2.3") && text.contains("mA")), "{texts:?}");
    assert!(texts.iter().any(|text| text.contains("F2 0.1") && text.contains("under")), "{texts:?}");
}

#[test]
fn list_at_a_prompt_shows_the_log() {
    let (_, run) = hunted("yes\nlist\nquit\n");
    assert!(run.talk.contains("total 411mA") || run.out.contains("total 411mA"), "{run:?}");
}
