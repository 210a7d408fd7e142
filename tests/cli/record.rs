//! `record`: whole, redacted, to a file.

use serde_json::Value;

use crate::bench;
use crate::world::World;

/// Top-level keys of a record, in order: a contract.
const KEYS: [&str; 20] = [
    "format",
    "leader",
    "complaint",
    "vehicle",
    "battery",
    "setup",
    "timeline",
    "limit",
    "total",
    "account",
    "suspects",
    "narrowed",
    "repair",
    "proof",
    "cautions",
    "versions",
    "struck",
    "charging",
    "night",
    "seal",
];

/// What the fixed log says that may name persons and places.
const PRIVATE: [&str; 3] = ["Smith", "AB12", "Harbour"];

fn json(world: &World, more: &str) -> Value {
    world.say(&format!("record x.hunt.yaml {more} --format json")).ends(0).json()
}

#[test]
fn the_top_level_keys_stand_in_their_order_in_yaml_and_json() {
    let world = bench::narrowed();
    let text = world.say("record x.hunt.yaml").ends(0).out;
    let top: Vec<&str> = text
        .lines()
        .filter(|line| !line.starts_with([' ', '-']))
        .filter_map(|line| line.split(':').next())
        .collect();
    assert_eq!(top, KEYS);
    let record = json(&world, "");
    assert_eq!(record.as_object().expect("an object").keys().collect::<Vec<_>>(), KEYS);
    assert_eq!(record["format"], "fusetrail-record/1");
}

#[test]
fn every_entry_is_in_it_struck_ones_with_their_reason_and_the_last_seal() {
    let world = bench::narrowed();
    let record = json(&world, "");
    let log = world.read("x.hunt.yaml");
    let entries = record["timeline"].as_array().expect("a list");
    assert_eq!(entries.len(), log.matches("entry:").count());
    assert_eq!(entries[7]["said"], "F4 9.9mV");
    assert_eq!(entries[7]["marks"][0], "struck");
    assert_eq!(
        (record["struck"][0]["entry"].as_u64(), record["struck"][0]["why"].as_str()),
        (Some(8), Some("Smith slipped"))
    );
    let seal = record["versions"]["seal"].as_str().expect("a seal");
    assert!(
        log.trim_end().ends_with(seal) || log.lines().last().is_some_and(|line| line.contains(seal)),
        "{seal}"
    );
    assert_eq!(record["complaint"]["notes"][0]["text"], "ask Smith at Harbour Street");
    assert_eq!(record["limit"]["advice_from_reserve"]["ma"], 25.0);
    assert!(
        record["suspects"]["weights"]["basis"].as_str().is_some_and(|text| text.starts_with("editorial"))
    );
    assert_eq!(record["repair"]["still_out"][0], "F1/audio unit");
    assert!(record["narrowed"]["steps"][0]["meant"][0].as_str().is_some_and(|text| text.contains("305")));
}

#[test]
fn an_unfinished_hunt_has_a_record_that_says_so() {
    // A log with readings in it is past the interview.
    for (world, open) in [(bench::opened(), "Complaint?"), (bench::narrowed(), "Read and understood?")] {
        let proof = &json(&world, "")["proof"];
        assert_eq!(
            (proof["finished"].as_bool(), proof["outcome"].as_str()),
            (Some(false), Some("not proven yet"))
        );
        assert!(proof["end"].as_str().is_some_and(|text| text.contains(open)), "{proof}");
    }
}

#[test]
fn a_finished_practice_hunt_is_said_to_be_practice_and_to_be_finished() {
    let world = World::new();
    let hunt = ["hunt", "x.hunt.yaml", "--practice", "3", "--at-start", crate::world::START];
    world.run_with(&hunt, &"\n".repeat(2000)).ends(0);
    let record = json(&world, "");
    assert_eq!(record["proof"]["finished"], true);
    assert_eq!(record["vehicle"]["practice"]["vehicle"], 3);
    assert!(record["vehicle"]["practice"]["note"].as_str().is_some_and(|note| note.contains("simulated")));
    for caution in record["cautions"].as_array().expect("a list") {
        let pull = caution["caution"] == "pull";
        assert!(pull || caution["acknowledged"].is_string(), "{caution}");
    }
}

#[test]
fn a_redacted_record_names_nobody_and_says_what_is_gone() {
    let world = bench::narrowed();
    let whole = world.say("record x.hunt.yaml").ends(0);
    assert!(
        PRIVATE.iter().all(|word| whole.out.contains(word)) && !whole.talk.contains("Left out"),
        "{whole:?}"
    );
    let run = world.say("record x.hunt.yaml --redact").ends(0);
    assert!(PRIVATE.iter().all(|word| !run.out.contains(word)), "{}", run.out);
    assert!(run.talk.contains("Left out:") && run.out.contains("F1: "), "{run:?}");
    assert!(json(&world, "--redact")["versions"]["left_out"].as_array().is_some_and(|list| !list.is_empty()));
}

/// Every question of a hunt gets a text of its own as its answer where it takes one; none may be left in.
#[test]
fn no_free_answer_of_a_hunt_is_left_in_a_redacted_record() {
    let world = World::new();
    world.write("answers.yaml", "interview.complaint: Secret-1\ninterview.recent: Secret-2\nrepair.what: Secret-3\nprepare.opened: Secret-4, Secret-5\nhandover.vehicle: order=Secret-6\nhandover.back: [\"1\", skip Secret-7]\n\"caution.*\": \"yes\"\n\"*\": \"\"\n");
    let hunt = [
        "hunt",
        "x.hunt.yaml",
        "--practice",
        "3",
        "--answers",
        "answers.yaml",
        "--at-start",
        crate::world::START,
    ];
    world.run(&hunt).ends(0);
    let whole = world.say("record x.hunt.yaml").ends(0).out;
    assert!((1..=7).all(|count| whole.contains(&format!("Secret-{count}"))));
    let redacted = world.say("record x.hunt.yaml --redact").ends(0).out;
    assert!(!redacted.contains("Secret"), "{redacted}");
}

#[test]
fn a_file_is_written_whole_and_never_over_another_unasked() {
    let world = bench::narrowed();
    let run = world.say("record x.hunt.yaml --to record.yaml").ends(0);
    assert!(run.out.contains("record.yaml"));
    assert_eq!(world.read("record.yaml"), world.say("record x.hunt.yaml").ends(0).out);
    world.write("record.yaml", "mine\n");
    let run = world.say("record x.hunt.yaml --to record.yaml").ends(1);
    assert!(run.talk.contains("--replace") && world.read("record.yaml") == "mine\n", "{run:?}");
    world.say("record x.hunt.yaml --to record.yaml --replace").ends(0);
    assert_ne!(world.read("record.yaml"), "mine\n");
}

#[test]
fn the_log_is_never_replaced_and_other_endings_are_wrong_usage() {
    let world = bench::narrowed();
    let before = world.read("x.hunt.yaml");
    let run = world.say("record x.hunt.yaml --to ./x.hunt.yaml --replace").ends(1);
    assert!(run.talk.contains("the log itself"), "{run:?}");
    for name in ["record.pdf", "record.html.gz", "record", "yaml"] {
        let run = world.say(&format!("record x.hunt.yaml --to {name}")).ends(2);
        assert!(run.talk.contains(".yaml") && !world.path(name).exists(), "{run:?}");
    }
    assert_eq!(world.read("x.hunt.yaml"), before);
}

#[test]
fn a_log_that_was_edited_says_so_in_its_record() {
    let world = bench::narrowed();
    world.write("e.hunt.yaml", &world.read("x.hunt.yaml").replace("ask Smith", "ask Jones"));
    let run = world.say("record e.hunt.yaml --format json").ends(0);
    let edited = run.json()["versions"]["entries_edited_after_writing"].clone();
    assert!(edited.as_array().is_some_and(|list| !list.is_empty()), "{edited}");
    assert!(run.talk.contains("changed after it was written"), "{run:?}");
}
