//! `schema`: every command with JSON has one, and each is a schema. Documents are held against them by
//! `tests/reference/scripts/schemas.py`, with a validator that others wrote.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::world::World;

/// Schemas that are of no command: of a file, of a command's other result, or of what it hands on.
const OTHERS: [&str; 8] =
    ["log", "map", "answers", "record-to", "practice-score", "explain-list", "watch-wake", "sheet-map"];

/// Commands whose result is a text for another program, with no JSON.
const TEXTS: [&str; 2] = ["completions", "man"];

fn names(world: &World) -> BTreeSet<String> {
    let listed = world.say("schema --format json").ends(0).json();
    let listed = listed["schemas"].as_array().expect("a list");
    assert!(listed.iter().all(|one| one["about"].as_str().is_some_and(|about| !about.is_empty())));
    listed.iter().map(|one| one["name"].as_str().expect("a name").to_owned()).collect()
}

#[test]
fn every_command_has_a_schema_and_every_schema_a_command() {
    let mut wanted: BTreeSet<String> = OTHERS.iter().map(|name| (*name).to_owned()).collect();
    for command in fusetrail::cli::tree(80, false).get_subcommands() {
        let name = command.get_name();
        let below: Vec<_> = command.get_subcommands().collect();
        match (name, below.as_slice()) {
            // What is added is told in one form, whatever its kind.
            (name, _) if TEXTS.contains(&name) => {}
            ("add", _) | (_, []) => drop(wanted.insert(name.to_owned())),
            (_, below) => wanted.extend(below.iter().map(|below| format!("{name}-{}", below.get_name()))),
        }
    }
    assert_eq!(names(&World::new()), wanted);
}

/// Visits every object that tells its keys.
fn objects(schema: &Value, visit: &mut impl FnMut(&Value)) {
    match schema {
        Value::Array(items) => items.iter().for_each(|item| objects(item, visit)),
        Value::Object(fields) => {
            if fields.contains_key("properties") && fields.contains_key("required") {
                visit(schema);
            }
            fields.values().for_each(|value| objects(value, visit));
        }
        _ => {}
    }
}

#[test]
fn each_prints_a_schema_that_refuses_further_keys_and_needs_its_own() {
    let world = World::new();
    for name in names(&world) {
        let schema = world.say(&format!("schema {name}")).ends(0).json();
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema", "{name}");
        assert_eq!(world.say(&format!("schema {name} --format json")).ends(0).json(), schema, "{name}");
        let mut found = 0;
        objects(&schema, &mut |object| {
            // The rules of a log's entries let newer kinds pass.
            let open = object["properties"].get("seal").is_some() && object.get("allOf").is_some();
            let rule = object["properties"]["entry"].get("const").is_some() && object.get("type").is_none();
            assert!(open || rule || object["additionalProperties"] == false, "{name}: {object}");
            found += 1;
        });
        assert!(found > 0 || name == "answers", "{name} tells no keys");
    }
}

#[test]
fn a_name_that_is_none_is_refused_with_those_there_are() {
    let run = World::new().say("schema suspect").ends(2);
    assert!(run.talk.contains("suspects") && run.out.is_empty(), "{run:?}");
}
