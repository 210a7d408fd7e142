//! Long session logs, sealed as if a run had written them: every command ends soon and in little memory, and what is
//! more than can be reckoned with is refused with both figures. Small files of other kinds: `shapes`.

use fusetrail::log::seal;

use crate::world::World;

/// A log on a map of so many fuses, with these entries behind its first one.
fn sealed(fuses: usize, entries: impl Iterator<Item = String>) -> World {
    let feeds: String = (0..fuses)
        .map(|at| {
            format!(
                "  - {{id: F{at}, from: battery, fuse: {{family: mini, rating_a: 10}}, loads: [radio]}}\n"
            )
        })
        .collect();
    let world = World::new();
    world.write("map.yaml", &format!("format: fusetrail-map/1\ntitle: Invented\nfeeds:\n{feeds}"));
    world.say("open x.hunt.yaml --map map.yaml --at 2026-11-02T07:40:00+01:00").ends(0);
    let mut text = world.read("x.hunt.yaml");
    let mut last = text.rsplit('"').nth(1).expect("a seal").to_owned();
    for fields in entries {
        let mut entry = format!("- at: \"2026-11-02T08:00:00+01:00\"\n{fields}");
        last = seal::close(&last, &mut entry);
        text.push_str(&entry);
    }
    world.write("x.hunt.yaml", &text);
    world
}

fn drop_at(fuse: usize, tenths: usize) -> String {
    let value = format!("{{typed: 0.{tenths} mV, value: 0.000{tenths}, unit: V, step: 0.0001}}");
    format!("  entry: drop\n  feed: F{fuse}\n  drop: {value}\n  meter: tenth-mv\n  zero: null\n")
}

fn pull(fuse: usize) -> String {
    let typed = |ma: usize| format!("{{typed: {ma} mA, value: 0.{ma}, unit: A, step: 0.001}}");
    let both = format!("  before: {}\n  after: {}\n", typed(300), typed(290));
    format!("  entry: pull\n  feed: F{fuse}\n{both}  meter: clamp-1ma\n  zero: null\n")
}

fn zero() -> String {
    "  entry: zero\n  offset: {typed: 0.1 mV, value: 0.0001, unit: V, step: 0.0001}\n".to_owned()
}

/// Runs a command on a long log with 400 MB of address space, and a time after which it counts as hanging.
fn ends(world: &World, what: &str) {
    for line in
        ["check", "suspects", "next", "account", "record", "add LOG total 300mA", "strike LOG 2 --why x"]
    {
        let line = if line.contains("LOG") {
            line.replace("LOG", "x.hunt.yaml")
        } else {
            format!("{line} x.hunt.yaml")
        };
        let run = limited(world, &line);
        assert!(matches!(run.code, Some(0 | 1)), "{what}: {line}: {:?} {}", run.code, run.talk);
    }
}

#[cfg(target_os = "linux")]
fn limited(world: &World, line: &str) -> crate::world::Run {
    let program = world.command().get_program().to_string_lossy().into_owned();
    let mut shell = std::process::Command::new("sh");
    let script = "ulimit -v 400000; exec timeout 60 \"$0\" \"$@\"";
    shell.args(["-c", script, &program]).args(World::words(line)).current_dir(world.path(""));
    let output = shell.output().expect("sh runs");
    crate::world::Run {
        code: output.status.code(),
        out: String::from_utf8_lossy(&output.stdout).into_owned(),
        talk: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

#[cfg(not(target_os = "linux"))]
fn limited(world: &World, line: &str) -> crate::world::Run {
    world.say(line)
}

#[test]
fn logs_as_long_as_they_may_be_end_in_every_command() {
    ends(&sealed(35, (0..2499).map(|at| drop_at(at % 35, 1 + at % 9))), "drops");
    ends(&sealed(35, (0..2400).map(|at| pull(at % 35))), "pulls never refitted");
    ends(
        &sealed(400, (0..999).map(|at| if at % 6 == 0 { zero() } else { drop_at(at % 400, 1 + at % 9) })),
        "zeros",
    );
    ends(&sealed(35, (0..6000).map(|at| format!("  entry: note\n  text: n{at}\n"))), "notes");
    ends(
        &sealed(5, (0..300).map(|at| format!("  entry: feed\n  line: Z{at} mini 10 radio\n"))),
        "typed fuses",
    );
}

#[test]
fn more_than_can_be_reckoned_with_is_refused_with_both_figures_and_striking_heals_it() {
    let refused = |world: &World, found: &str, most: &str| {
        let talk = world.say("suspects x.hunt.yaml").ends(1).talk.replace("\n  ", " ");
        assert!(talk.contains(found) && talk.contains(most) && talk.contains("strike"), "{talk}");
    };
    refused(&sealed(35, (0..2501).map(|at| drop_at(at % 35, 1))), "2501 readings", "at most 2500");
    refused(&sealed(400, (0..1001).map(|at| drop_at(at % 400, 1))), "1001 readings", "at most 1000");
    refused(&sealed(35, (0..201).map(|_| zero())), "201 zeros", "at most 200");
    let world = sealed(35, (0..401).map(|_| drop_at(7, 1)));
    refused(&world, "401 readings of one kind at one place", "at most 400");
    let strike = "  entry: strike\n  target: 2\n  why: once is enough\n".to_owned();
    sealed(35, (0..401).map(|_| drop_at(7, 1)).chain([strike])).say("suspects x.hunt.yaml").ends(0);
    let typed = sealed(5, (0..301).map(|at| format!("  entry: feed\n  line: Z{at} mini 10 radio\n")));
    let talk = typed.say("suspects x.hunt.yaml").ends(1).talk.replace("\n  ", " ");
    assert!(talk.contains("301 fuses") && talk.contains("at most 300") && talk.contains("sketch"), "{talk}");
}
