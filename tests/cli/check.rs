//! `check`: whether a log is whole, and whether it is still the one whose seal was noted.

use serde_json::json;

use crate::world::{Run, World};

/// A log of four entries.
fn begun() -> World {
    let world = World::new();
    world.say("open x.hunt.yaml --map hatch --at 2026-11-02T07:40:00+01:00").ends(0);
    for line in ["total 120mA", "note 'the radio was replaced in spring'", "volts 12.4V"] {
        world.say(&format!("add x.hunt.yaml {line} --at 2026-11-02T08:00:00+01:00")).ends(0);
    }
    world
}

fn check(world: &World, more: &str) -> Run {
    world.say(&format!("check x.hunt.yaml --format json{more}"))
}

fn seal_of(world: &World) -> String {
    check(world, "").ends(0).json()["last_seal"].as_str().expect("a seal").to_owned()
}

#[test]
fn a_sound_log_is_whole_and_shows_its_last_seal_and_who_made_it() {
    let world = begun();
    world.say("strike x.hunt.yaml 4 --why 'read on the wrong battery'").ends(0);
    let found = check(&world, "").ends(0).json();
    assert_eq!((found["whole"].as_bool(), found["entries"].as_u64()), (Some(true), Some(5)));
    assert_eq!(
        (found["agrees"].clone(), found["torn"].clone(), found["edited"].clone()),
        (json!(null), json!(false), json!([]))
    );
    assert_eq!(found["program"], env!("CARGO_PKG_VERSION"));
    assert_eq!(found["struck"][0]["entry"], 4);
    let text = world.say("check x.hunt.yaml").ends(0).out;
    assert!(text.contains("is whole: 5 entries") && text.contains("read on the wrong battery"), "{text}");
    assert!(text.contains(found["last_seal"].as_str().expect("a seal")), "{text}");
    let talk = world.say("record x.hunt.yaml").ends(0).talk;
    assert!(
        talk.contains(found["last_seal"].as_str().expect("a seal")),
        "the record gives the seal to note: {talk}"
    );
}

#[test]
fn a_seal_noted_elsewhere_agrees_now_and_after_the_log_has_gone_on() {
    let world = begun();
    let seal = seal_of(&world);
    let spaced = format!("{} {}", seal[..16].to_uppercase(), &seal[16..]);
    for given in [seal.clone(), spaced] {
        assert_eq!(check(&world, &format!(" --seal '{given}'")).ends(0).json()["agrees"], true);
    }
    world.say("add x.hunt.yaml note later").ends(0);
    let found = check(&world, &format!(" --seal {seal}")).ends(0).json();
    assert_eq!((found["agrees"].clone(), found["sealed_entry"].clone()), (json!(true), json!(4)));
    let text = world.say(&format!("check x.hunt.yaml --seal {seal}")).ends(0).out;
    assert!(text.contains("Added since: 1"), "{text}");
}

#[test]
fn a_tail_taken_off_and_a_chain_written_anew_show_against_the_seal_and_only_there() {
    let world = begun();
    let seal = seal_of(&world);
    let text = world.read("x.hunt.yaml");
    let last = text.rfind("- at: ").expect("an entry");
    world.write("x.hunt.yaml", &text[..last]);
    assert_eq!(check(&world, "").ends(0).json()["whole"], true);
    let found = check(&world, &format!(" --seal {seal}")).ends(1).json();
    assert_eq!((found["whole"].clone(), found["agrees"].clone()), (json!(true), json!(false)));

    std::fs::remove_file(world.path("x.hunt.yaml")).expect("removed");
    world.say("open x.hunt.yaml --map hatch --at 2026-11-02T07:40:00+01:00").ends(0);
    for line in ["total 20mA", "note 'the radio was replaced in spring'", "volts 12.4V"] {
        world.say(&format!("add x.hunt.yaml {line} --at 2026-11-02T08:00:00+01:00")).ends(0);
    }
    assert_eq!(check(&world, "").ends(0).json()["whole"], true);
    let text = world.say(&format!("check x.hunt.yaml --seal {seal}")).ends(1).out;
    assert!(text.contains("no entry has it"), "{text}");
}

#[test]
fn an_edit_is_named_and_a_seal_behind_it_no_longer_agrees() {
    let world = begun();
    let seal = seal_of(&world);
    let text = world.read("x.hunt.yaml");
    world.write("x.hunt.yaml", &text.replacen("replaced in spring", "replaced in autumn", 1));
    let found = check(&world, &format!(" --seal {seal}")).ends(1).json();
    assert_eq!((found["edited"].clone(), found["agrees"].clone()), (json!([3]), json!(false)));
    // An entry that cannot be read any more is named, and so are the others.
    world.write("x.hunt.yaml", &text.replacen("entry: total", "entry: [total", 1));
    let found = check(&world, "").ends(1).json();
    assert_eq!((found["unreadable"][0]["entry"].clone(), found["edited"].clone()), (json!(2), json!([2])));
    assert_eq!(found["entries"], 4);
    let text = world.say("check x.hunt.yaml").ends(1).out;
    assert!(text.contains("not whole") && text.contains("line back as it was"), "{text}");
}

#[test]
fn a_carriage_return_put_into_a_seal_line_is_seen() {
    let world = begun();
    let text = world.read("x.hunt.yaml");
    for (number, (at, _)) in text.match_indices("  seal: ").enumerate() {
        let end = at + text[at..].find('\n').expect("a line end");
        let mut edited = text.clone();
        edited.insert(end, '\r');
        world.write("x.hunt.yaml", &edited);
        assert_eq!(check(&world, "").ends(1).json()["edited"], json!([number + 1]));
    }
}

#[test]
fn a_torn_end_is_told_and_nothing_is_touched() {
    let world = begun();
    let text = world.read("x.hunt.yaml") + "- at: \"2026";
    world.write("x.hunt.yaml", &text);
    let found = check(&world, "").ends(1).json();
    assert_eq!((found["torn"].clone(), found["torn_bytes"].clone()), (json!(true), json!(11)));
    assert_eq!(world.read("x.hunt.yaml"), text);
    assert!(!world.path("x.hunt.yaml.torn").exists());
}

#[test]
fn what_is_no_seal_or_no_log_is_refused_with_what_was_expected() {
    let world = begun();
    for seal in ["12", "zz0efc06469605240a39ea3e48158a5a", "be0efc06469605240a39ea3e48158a5a0"] {
        let talk = check(&world, &format!(" --seal {seal}")).ends(2).talk;
        assert!(talk.contains("32 digits"), "{talk}");
    }
    world.write("y.yaml", "hello\n");
    assert!(world.say("check y.yaml").ends(1).talk.contains("no session log"));
}
