//! `record` for people: page, text and table; what somebody typed is inert in all of them, and gone if that is wanted.

use crate::bench;
use crate::world::World;

/// Forms of the record, by the ending of their files.
const FORMS: [&str; 4] = ["html", "txt", "csv", "yaml"];

/// A map, and what goes into its log, in which every name that a person may type is a secret of its own.
const SECRET_MAP: &str = "\
format: fusetrail-map/1
title: Secret01 of Secret02
limit_ma: 50
limit_source: Secret03
boxes:
  Secret04: {where: behind Secret05}
wake_groups:
  Secret06: {inputs: [Secret07 latch]}
feeds:
  - {id: Secret08, from: battery, box: Secret04, fuse: {family: bolt, rating_a: 80}, probe: clamp}
  - {id: F1, from: Secret08, box: Secret04, fuse: {family: mini, rating_a: 10}, loads: [{name: Secret09 radio, kind: audio, wake_group: Secret06}]}
  - {id: F2, from: Secret08, box: Secret04, fuse: {family: mini, rating_a: 10}, loads: [{name: horn}]}
unfused:
  - {name: Secret10 winch, from: battery, kind: alternator}
";

fn secret() -> World {
    let world = World::new();
    world.write("secret.yaml", SECRET_MAP);
    let say = |line: &str| drop(world.say(line).ends(0));
    say("open x.hunt.yaml --map secret.yaml --meter 0.01mV,0.3,3 --at 2026-11-02T07:40:00+01:00");
    for line in [
        "vehicle 'plate=Secret12 vin=Secret13 odometer=Secret14 order=Secret15 technician=Secret16 battery=Secret17 part=Secret18 time=Secret19'",
        "temp Secret04=18C",
        "total 320mA",
        "clamp Secret08 318mA",
        "drop F1 2.3mV",
        "clamp 'Secret10 winch' 3mA",
        "input 'Secret07 latch' 320mA 318mA",
        "unplug 'F1/Secret09 radio' 320mA 20mA",
        "refit 'F1/Secret09 radio' 320mA",
        "look 'F1/Secret09 radio' warm",
        "disturb 'Secret20 door'",
        "note 'Secret21 told us'",
        "limit 60mA --source Secret22",
        "drop F2 0.1mV",
    ] {
        say(&format!("add x.hunt.yaml {line}"));
    }
    say("strike x.hunt.yaml 15 --why Secret23");
    world
}

#[test]
fn no_name_that_somebody_typed_is_left_in_a_redacted_record_in_any_form() {
    let world = secret();
    for form in FORMS {
        world.say(&format!("record x.hunt.yaml --to whole.{form}")).ends(0);
        world.say(&format!("record x.hunt.yaml --to left.{form} --redact")).ends(0);
        let (whole, left) = (world.read(&format!("whole.{form}")), world.read(&format!("left.{form}")));
        assert!(whole.contains("Secret08"), "{form}: the names were there");
        let at = left.find("Secret").map(|at| left.get(at.saturating_sub(80)..at + 12));
        assert_eq!(at, None, "{form}");
        // What was read is as it was, and so is what follows from it.
        assert!(left.contains("318"), "{form}: {left}");
    }
    let both = ["", "--redact"]
        .map(|more| world.say(&format!("record x.hunt.yaml {more} --format json")).ends(0).json());
    assert_eq!(both[0]["leader"]["probability"], both[1]["leader"]["probability"]);
    for key in ["current", "excess", "verdict"] {
        assert_eq!(both[0]["total"][key], both[1]["total"][key]);
    }
    assert_eq!(both[0]["vehicle"]["identity"]["vin"], "Secret13");
}

/// Texts that mean something to a browser, a terminal or a table calculation.
const HOSTILE: [&str; 7] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "'quoted' & named;",
    "\u{1b}[2J\u{1b}]0;title\u{7}",
    "\u{202e}txt.exe\u{200b}",
    "=cmd|' /C calc'!A0",
    "@import url(//x.example/a.css);</style>",
];

#[test]
fn hostile_texts_are_inert_in_every_form() {
    let world = bench::measured();
    let long = "y".repeat(10_000);
    for text in HOSTILE.iter().copied().chain([long.as_str()]) {
        world.run(&["add", "x.hunt.yaml", "note", "--", text]).ends(0);
        world.run(&["add", "x.hunt.yaml", "disturb", "--", text]).ends(0);
    }
    for (at, key) in ["plate", "vin", "order", "technician", "battery", "part", "time"].iter().enumerate() {
        world.run(&["add", "x.hunt.yaml", "vehicle", "--", &format!("{key}={}", HOSTILE[at])]).ends(0);
    }
    for form in FORMS {
        world.say(&format!("record x.hunt.yaml --to r.{form}")).ends(0);
    }
    let html = world.read("r.html");
    let lower = html.to_lowercase();
    for wrong in ["<script", "<img", "onerror=alert(1)>", "http:", "https:", "url(//", "</style>\n</style>"] {
        let found = lower.matches(wrong).count();
        // The texts stand there with their brackets named, so what is left of them begins with none.
        let named = if wrong == "url(//" || wrong == "onerror=alert(1)>" { 0 } else { found };
        assert_eq!(named, 0, "{wrong}");
    }
    assert_eq!(lower.matches("<style>").count(), 1);
    assert_eq!(lower.matches("</style>").count(), 1);
    for form in ["html", "txt", "csv"] {
        let text = world.read(&format!("r.{form}"));
        let hidden =
            text.chars().find(|c| (c.is_control() && *c != '\n') || ('\u{202a}'..='\u{202e}').contains(c));
        assert_eq!(hidden, None, "{form}");
    }
    let shown = world.say("record x.hunt.yaml --format text").ends(0);
    assert!(!shown.out.contains('\u{1b}'), "no escape reaches the screen");
}

#[test]
fn a_page_has_its_three_parts_and_asks_nothing_of_any_address() {
    let world = secret();
    world.say("record x.hunt.yaml --to x.html").ends(0);
    let html = world.read("x.html");
    for wanted in [
        "What flattened the battery",
        "Work order",
        "Evidence",
        "default-src 'none'",
        "role=\"img\"",
        "Secret13",
    ] {
        assert!(html.contains(wanted), "{wanted}");
    }
    let seal = world.say("record x.hunt.yaml --format json").ends(0).json()["seal"].clone();
    assert!(html.contains(seal.as_str().expect("a seal")));
    let text = world.say("record x.hunt.yaml --format text").ends(0).out;
    assert!(text.contains("WORK ORDER") && text.contains("An indication, not a proof"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
}

#[test]
fn three_hundred_readings_make_a_page_below_half_a_megabyte() {
    let world = bench::opened();
    world.say("add x.hunt.yaml total 320mA").ends(0);
    for round in 0..50 {
        let line = format!("drop F1=2.{0}mV F2=0.{0}mV F3=0.2mV E1=0.1mV F1=2.3mV F2=0.1mV", round % 10);
        world.say(&format!("add x.hunt.yaml {line}")).ends(0);
    }
    world.say("record x.hunt.yaml --to x.html").ends(0);
    let size = world.read("x.html").len();
    assert!((20_000..500_000).contains(&size), "{size}");
}

#[test]
fn identity_is_told_in_one_go_and_the_newest_counts() {
    let world = bench::measured();
    world.say("add x.hunt.yaml vehicle 'plate=AB 12' order=7 vin=V1").ends(0);
    world.say("add x.hunt.yaml vehicle order= vin=V2").ends(0);
    let identity =
        world.say("record x.hunt.yaml --format json").ends(0).json()["vehicle"]["identity"].clone();
    assert_eq!(identity["plate"], "AB 12");
    assert_eq!(identity["vin"], "V2");
    assert!(identity["order"].is_null());
    let refused = world.say("add x.hunt.yaml vehicle colour=red").ends(1);
    assert!(refused.talk.contains("plate=…"), "{refused:?}");
}
