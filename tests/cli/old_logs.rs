//! Three finished hunts of an earlier build: each opens, says the same as then, and goes on.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::world::World;

const LOGS: [&str; 3] = ["practice", "lid", "hand"];

/// How far a figure may be from what it was, relative to its size where that is above one.
const NEAR: f64 = 1e-9;

/// Figures that a later build corrected on purpose: log, command, how far they moved at most, and why.
const CORRECTED: [(&str, &str, f64, &str); 2] = [
    (
        "practice",
        "suspects",
        0.052,
        "lamps are reckoned at resting volts, and may be light-emitting diodes; an input without a fall acquits less \
         until its modules had time to sleep",
    ),
    ("hand", "suspects", 0.011, "the latter"),
];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/logs")
}

fn world_with(log: &str) -> World {
    let world = World::new();
    let text = fs::read_to_string(folder().join(format!("{log}.hunt.yaml"))).expect("an old log");
    world.write("x.hunt.yaml", &text);
    world
}

/// Puts lists of suspects and groups in the order of their names: that by what they explain came with a later build.
fn by_name(document: &mut Value) {
    for list in ["suspects", "wake_groups"] {
        if let Some(list) = document.get_mut(list).and_then(Value::as_array_mut) {
            let name = |one: &Value| [one["branch"].to_string(), one["group"].to_string()];
            list.sort_by_key(name);
        }
    }
}

/// Collects the places at which two documents differ, figures by more than `near`.
fn differences(place: &str, then: &Value, now: &Value, near: f64, found: &mut Vec<String>) {
    match (then, now) {
        (Value::Object(then), Value::Object(now)) => {
            for (key, value) in then {
                let place = format!("{place}.{key}");
                match now.get(key) {
                    Some(other) => differences(&place, value, other, near, found),
                    None => found.push(format!("{place} is gone")),
                }
            }
        }
        (Value::Array(then), Value::Array(now)) if then.len() == now.len() => {
            for (at, (then, now)) in then.iter().zip(now).enumerate() {
                differences(&format!("{place}[{at}]"), then, now, near, found);
            }
        }
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().expect("a number"), other.as_f64().expect("a number"));
            if (one - other).abs() > near * one.abs().max(1.0) {
                found.push(format!("{place}: {one} then, {other} now"));
            }
        }
        _ if then == now => {}
        _ => found.push(format!("{place}: {then} then, {now} now")),
    }
}

#[test]
fn an_old_log_says_the_same_as_when_it_was_written() {
    let mut wrong = Vec::new();
    let mut compared = 0;
    for log in LOGS {
        let world = world_with(log);
        for command in ["account", "suspects"] {
            let then = fs::read_to_string(folder().join(format!("{log}.{command}.json"))).expect("kept");
            let mut then: Value = serde_json::from_str(&then).expect("JSON");
            let mut now = world.run(&[command, "x.hunt.yaml", "--format", "json"]).ends(0).json();
            [&mut then, &mut now].into_iter().for_each(by_name);
            let moved = CORRECTED.iter().find(|(of, by, ..)| *of == log && *by == command);
            let near = moved.map_or(NEAR, |(_, _, near, _)| *near);
            let mut found = Vec::new();
            differences("", &then, &now, near, &mut found);
            // Wording may change, figures may not.
            let left = found.into_iter().filter(|place| !place.contains("].why: "));
            wrong.extend(left.map(|place| format!("{log} {command}{place}")));
            compared += 1;
        }
    }
    assert_eq!(compared, 6);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn an_old_log_goes_on_and_none_of_its_entries_is_written_anew() {
    for log in LOGS {
        let world = world_with(log);
        let before = world.read("x.hunt.yaml");
        let note = world.run(&["add", "x.hunt.yaml", "note", "goes on"]).ends(0);
        assert!(note.talk.is_empty(), "whole and unedited: {note:?}");
        let after = world.read("x.hunt.yaml");
        assert!(after.starts_with(&before) && after.len() > before.len());
        let hunt = world.run_with(&["hunt", "x.hunt.yaml"], "").ends(0);
        assert!(hunt.out.contains("The hunt is at its end"), "{log}: {hunt:?}");
    }
}
