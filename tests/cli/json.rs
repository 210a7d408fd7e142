//! The JSON of each command against `tests/cli/json/`: field names are a contract. Numbers are kept to three digits.
//! After a change that is meant, run with `FUSETRAIL_KEEP_JSON=1` and look at the difference.

use std::fs;
use std::path::PathBuf;

use serde_json::{Value, json};

use crate::bench;

/// What is run on the bench, and the file that it is kept in.
const RUNS: [(&str, &str); 10] = [
    ("suspects", "suspects x.hunt.yaml"),
    ("next", "next x.hunt.yaml"),
    ("account", "account x.hunt.yaml"),
    ("record", "record x.hunt.yaml"),
    ("convert", "convert --family mini --rating 10 --drop 3.0mV"),
    ("convert-none", "convert --family bolt --rating 80 --drop 1mV"),
    ("sheet", "sheet --family maxi --meter hundredth-mv --zeroed"),
    ("practice", "practice --seed 3 --reveal"),
    ("stand", "stand --draw 482mA --after 22mA --reserve 100 --ocv 12.5V --temp -5C --days 21"),
    ("circuits-check", "circuits check bench.yaml"),
];

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/cli/json")
}

/// The fuse table's sources: the text of each, and the key that it stands under.
fn sources() -> Vec<(String, String)> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("circuits/fuses.yaml");
    let table = fs::read_to_string(path).expect("the fuse table");
    let list = table.lines().skip_while(|line| *line != "sources:").skip(1);
    let pair = |line: &str| {
        let (key, text) = line.trim().split_once(": ")?;
        Some((text.trim_matches('"').to_owned(), key.to_owned()))
    };
    let found: Vec<_> = list.take_while(|line| line.starts_with("  ")).filter_map(pair).collect();
    assert!(found.len() > 3, "the sources were not found");
    found
}

/// Rounds numbers to three digits: further ones depend on the machine's arithmetic. Seals depend on the version. A source
/// is kept by its key in the table.
fn rough(value: Value, sources: &[(String, String)]) -> Value {
    match value {
        Value::Number(number) if number.is_f64() => {
            let number = number.as_f64().expect("a float");
            let rounded: f64 = format!("{number:.2e}").parse().expect("a float");
            json!(rounded)
        }
        Value::Array(items) => items.into_iter().map(|item| rough(item, sources)).collect(),
        Value::Object(fields) => {
            let one = |(key, value): (String, Value)| match key.as_str() {
                "seal" | "program" | "log_begun_with" => (key, json!("…")),
                _ => (key, rough(value, sources)),
            };
            Value::Object(fields.into_iter().map(one).collect())
        }
        Value::String(text) => match sources.iter().find(|(source, _)| *source == text) {
            Some((_, key)) => json!(format!("source {key}")),
            None => Value::String(text),
        },
        other => other,
    }
}

#[test]
fn json_is_as_it_was_kept() {
    let world = bench::measured();
    let sources = sources();
    let keep = std::env::var_os("FUSETRAIL_KEEP_JSON").is_some();
    let mut changed = Vec::new();
    for (name, line) in RUNS {
        let run = world.say(&format!("{line} --format json"));
        assert_eq!(run.code, Some(i32::from(name == "convert-none")), "{name}: {run:?}");
        let text = serde_json::to_string_pretty(&rough(run.json(), &sources)).expect("JSON") + "\n";
        let path = folder().join(format!("{name}.json"));
        if keep {
            fs::write(&path, &text).expect("kept");
        } else if fs::read_to_string(&path).unwrap_or_default() != text {
            changed.push(name);
        }
    }
    assert!(changed.is_empty(), "JSON has changed: {changed:?}");
    let kept = fs::read_dir(folder()).expect("the folder").count();
    assert_eq!(kept, RUNS.len(), "a file is kept that no command makes");
}

/// Returns every key of a value, with the way to it; items of a list are one.
fn keys(value: &Value, way: &str, found: &mut Vec<String>) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| keys(item, &format!("{way}[]"), found)),
        Value::Object(fields) => {
            for (key, value) in fields {
                found.push(format!("{way}.{key}"));
                keys(value, &format!("{way}.{key}"), found);
            }
        }
        _ => {}
    }
}

#[test]
fn a_log_without_readings_has_the_same_keys_at_the_top() {
    let (empty, full) = (bench::opened(), bench::narrowed());
    for command in ["suspects", "next", "account", "record"] {
        let top = |world: &crate::world::World| {
            let json = world.say(&format!("{command} x.hunt.yaml --format json")).ends(0).json();
            json.as_object().expect("an object").keys().cloned().collect::<Vec<String>>()
        };
        assert_eq!(top(&empty), top(&full), "{command}");
    }
}

/// Keys that the contract names, by command.
const CONTRACT: [(&str, &[&str]); 5] = [
    (
        "stand --draw 482mA",
        &[".days.value", ".days.low", ".days.unit", ".usable_ah.value", ".self_discharge_ma"],
    ),
    (
        "suspects x.hunt.yaml",
        &[
            ".total.value",
            ".total.u",
            ".total.low",
            ".total.high",
            ".total.unit",
            ".limit.ma",
            ".limit.source",
            ".verdict",
            ".excess",
            ".unplaced",
            ".suspects[].branch",
            ".suspects[].probability",
            ".suspects[].excess",
            ".suspects[].loads",
            ".suspects[].why",
            ".pairs",
            ".wake_groups[].group",
            ".wake_groups[].probability",
            ".wake_groups[].why",
            ".nothing_wrong",
            ".not_present_now",
            ".cured_by_pull",
        ],
    ),
    (
        "next x.hunt.yaml",
        &[
            ".done",
            ".why",
            ".readings[].action",
            ".readings[].at",
            ".readings[].minutes",
            ".readings[].bits",
            ".readings[].floor",
            ".readings[].why",
        ],
    ),
    (
        "account x.hunt.yaml",
        &[
            ".total",
            ".placed",
            ".unplaced",
            ".feeds[].id",
            ".feeds[].current",
            ".feeds[].own",
            ".feeds[].measured",
            ".feeds[].floor",
            ".conflicts",
        ],
    ),
    (
        "convert --family mini --rating 10 --drop 3.0mV",
        &[".current.value", ".below_floor", ".floor", ".resistance_mohm", ".basis", ".warnings"],
    ),
];

#[test]
fn the_contract_has_its_keys() {
    let world = bench::measured();
    for (line, wanted) in CONTRACT {
        let mut found = Vec::new();
        keys(&world.say(&format!("{line} --format json")).ends(0).json(), "", &mut found);
        for key in wanted {
            assert!(found.iter().any(|found| found == key), "{line}: {key} is missing");
        }
    }
}
