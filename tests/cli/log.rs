//! `open`, `add` and `strike`: what they write, print, warn of and refuse.

use crate::world::{START, World};

fn opened() -> World {
    let world = World::new();
    world.say(&format!("open x.hunt.yaml --map hatch --temp -3C --at {START}")).ends(0);
    world
}

/// A fuse of the built-in hatch with test points, and a load on it.
const FUSE: &str = "E7";
const LOAD: &str = "E7/left dipped beam";

#[test]
fn every_kind_of_entry_can_be_added() {
    let world = opened();
    let lines = [
        "zero -0.1mV".to_owned(),
        "total 482 mA".to_owned(),
        "total 0,482A --as-found".to_owned(),
        format!("drop {FUSE} 3.0 mV"),
        format!("pull {FUSE} 482mA 77mA"),
        format!("refit {FUSE} 480mA"),
        "clamp alternator -2 mA".to_owned(),
        format!("unplug '{LOAD}' 482mA 77mA"),
        format!("refit '{LOAD}' 480"),
        "input 'boot latch' 560mA 50mA".to_owned(),
        format!("step {FUSE} 3.0mV 10.6mV 1.02A"),
        "temp cabin=18C".to_owned(),
        "volts 12.61".to_owned(),
        "disturb driver door".to_owned(),
        "note -- it rains".to_owned(),
    ];
    for (count, line) in lines.iter().enumerate() {
        let run = world.say(&format!("add x.hunt.yaml {line}")).ends(0);
        assert!(run.out.starts_with(&format!("{}: ", count + 2)), "{line}: {run:?}");
    }
    let log = world.read("x.hunt.yaml");
    assert!(log.contains("-0.1mV") && log.contains("0,482A"), "readings are kept as typed");
}

#[test]
fn several_drops_come_at_once_and_a_pull_may_carry_its_refit() {
    let world = opened();
    let run = world.say("add x.hunt.yaml drop E7=3.0mV E8=0.1 mV e10=0 --format json").ends(0).json();
    assert_eq!((run["entry"].as_i64(), run["readings"].as_array().map(Vec::len)), (Some(4), Some(3)));
    assert_eq!(run["readings"][0]["reading"]["unit"], "mA");
    let run = world.say("add x.hunt.yaml pull E7 482mA 77mA refit 480mA --format json").ends(0).json();
    assert_eq!(run["entry"], 6);
}

#[test]
fn a_refusal_adds_nothing_at_all() {
    let world = opened();
    let before = world.read("x.hunt.yaml");
    let refused = [
        ("drop E7=3.0mV E99=1mV", "E99"),
        ("drop E7 3mA", "voltage is due"),
        ("drop E7 3mV 4mV", "2 values"),
        ("total nan", "does not begin with a number"),
        ("total 1,234.5mA", "thousands separator"),
        ("total 7kA", "out of all proportion"),
        ("pull E7 482mA", "one value was given"),
        ("clamp nowhere 3mA", "nowhere"),
        ("unplug E7 1mA 2mA", "names no load"),
        ("input 'glove box' 1mA 2mA", "glove box"),
        ("temp attic=3C", "attic"),
    ];
    for (line, said) in refused {
        let run = world.say(&format!("add x.hunt.yaml {line}")).ends(1);
        assert!(run.talk.contains(said), "{line}: {run:?}");
    }
    assert_eq!(world.read("x.hunt.yaml"), before);
    world.say("add x.hunt.yaml total 1mA --at 07:40").ends(2);
}

#[test]
fn json_has_all_its_keys_whatever_was_added() {
    let world = opened();
    for line in ["total 482mA", "note hello", "drop E7 3.0mV"] {
        let json = world.say(&format!("add x.hunt.yaml {line} --format json")).ends(0).json();
        let keys: Vec<&String> = json.as_object().expect("an object").keys().collect();
        assert_eq!(keys, ["entry", "reading", "warnings", "readings"], "{line}");
        assert_eq!(json["reading"].is_null(), line.starts_with("note"), "{line}");
    }
}

#[test]
fn a_struck_entry_stays_in_the_file_and_cannot_be_struck_twice() {
    let world = opened();
    world.say("add x.hunt.yaml total 482mA").ends(0);
    world.say("strike x.hunt.yaml 2 --why 'clamp was open'").ends(0);
    assert!(world.read("x.hunt.yaml").contains("482mA"));
    for (line, said) in [
        ("2", "struck already: clamp was open"),
        ("1", "begins the log"),
        ("99", "no entry 99"),
        ("0", "no entry 0"),
    ] {
        let run = world.say(&format!("strike x.hunt.yaml {line} --why again")).ends(1);
        assert!(run.talk.contains(said), "{run:?}");
    }
    world.say("strike x.hunt.yaml 3").ends(2);
}

#[test]
fn open_refuses_what_is_there_and_what_it_cannot_read() {
    let world = opened();
    let before = world.read("x.hunt.yaml");
    world.say("open x.hunt.yaml --map hatch").ends(1);
    assert_eq!(world.read("x.hunt.yaml"), before);
    for line in [
        "--map nowhere",
        "--map hatch --meter none",
        "--map hatch --clamp tenth-mv",
        "--map hatch --temp attic=3C",
        "--map hatch --limit -5mA",
        "--map hatch --reserve 0",
    ] {
        world.say(&format!("open y.hunt.yaml {line}")).ends(1);
        assert!(!world.path("y.hunt.yaml").exists(), "{line}");
    }
    let json =
        world.say("open y.hunt.yaml --map blank --format json --limit 30mA --reserve 100").ends(0).json();
    assert_eq!((json["entry"].as_i64(), json["reading"].is_null()), (Some(1), true));
}
