//! `lessons`: a folder of logs, what it teaches, and the weights that a hunt takes from it.

use std::fs;

use crate::world::{START, World};

/// Practice hunts that end with a proven repair, and a log that is damaged.
fn shop() -> World {
    let world = World::new();
    fs::create_dir_all(world.path("hunts/older")).expect("folders");
    world.write(
        "answers.yaml",
        "repair.what: mended\nprove.provoke: stays-away\n\"caution.*\": \"yes\"\n\"*\": \"\"\n",
    );
    for (log, seed) in [("hunts/a.hunt.yaml", "3"), ("hunts/older/b.hunt.yaml", "17")] {
        let hunt = ["hunt", log, "--practice", seed, "--answers", "answers.yaml", "--at-start", START];
        world.run(&hunt).ends(0);
    }
    let whole = world.read("hunts/a.hunt.yaml");
    world.write("hunts/edited.hunt.yaml", &whole.replace("mended", "nothing"));
    world.write("hunts/broken.hunt.yaml", "- at: nonsense\n");
    world.write("hunts/notes.txt", "no log");
    world
}

#[test]
fn a_folder_is_counted_and_what_is_damaged_is_named_and_passed_over() {
    let world = shop();
    let run = world.say("lessons hunts --format json").ends(0);
    let told = run.json();
    assert_eq!((told["hunts"].as_u64(), told["proven"].as_u64()), (Some(2), Some(2)), "{told}");
    let over = told["passed_over"].as_array().expect("a list");
    assert_eq!(over.len(), 2);
    assert!(over.iter().any(|one| one["why"].as_str().is_some_and(|why| why.contains("changed"))), "{told}");
    assert!(run.talk.contains("broken.hunt.yaml passed over"), "{run:?}");
    let counts: u64 =
        told["causes"].as_array().expect("a list").iter().filter_map(|one| one["count"].as_u64()).sum();
    assert_eq!(counts, 2);
    assert!(told["baselines"].as_array().is_some_and(|list| !list.is_empty()));
    let shares: f64 =
        told["weights"].as_array().expect("a list").iter().filter_map(|one| one["percent"].as_f64()).sum();
    assert!((shares - 100.0).abs() < 1e-6);
    let text = world.say("lessons hunts --baselines").ends(0).out;
    assert!(text.contains("2 hunts, 2 with a proven cause. 2 logs were passed over."), "{text}");
    assert!(text.contains("usually"), "{text}");
}

#[test]
fn learnt_weights_are_kept_in_the_log_and_move_what_follows_from_it() {
    let world = shop();
    world.say("lessons hunts --weights shop.yaml").ends(0);
    assert!(world.read("shop.yaml").contains("cases: 2"));
    assert!(world.say("lessons hunts --weights shop.yaml").ends(1).talk.contains("--replace"));
    world.write("lamps.yaml", "format: fusetrail-weights/1\ncases: 400\ncauses: {lamp: 95, add-on: 1}\n");
    for (log, weights) in [("plain", ""), ("lamps", "--weights lamps.yaml")] {
        world.say(&format!("open {log}.hunt.yaml --map hatch --at 2026-11-02T07:40:00+01:00")).ends(0);
        world.say(&format!("add {log}.hunt.yaml total 300mA")).ends(0);
        world.run_with(&World::words(&format!("hunt {log}.hunt.yaml {weights}")), "quit\n");
    }
    assert!(world.read("lamps.hunt.yaml").contains("entry: weights"));
    let of = |log: &str| {
        let told = world.say(&format!("suspects {log}.hunt.yaml --format json")).ends(0).json();
        let lamps = told["suspects"].as_array().expect("a list").iter();
        let lamps = lamps.filter(|one| one["loads"].to_string().contains("lamp"));
        lamps.filter_map(|one| one["probability"].as_f64()).sum::<f64>()
    };
    assert!(of("lamps") > 1.5 * of("plain"), "{} {}", of("lamps"), of("plain"));
    let weights =
        world.say("record lamps.hunt.yaml --format json").ends(0).json()["suspects"]["weights"].clone();
    assert_eq!(weights["learnt_from"], 400);
    let wrong = world.say("hunt plain.hunt.yaml --weights hunts/notes.txt");
    assert_eq!(wrong.code, Some(1), "{wrong:?}");
}

#[test]
fn a_folder_without_logs_says_what_it_looked_for() {
    let world = World::new();
    fs::create_dir_all(world.path("empty")).expect("a folder");
    assert!(world.say("lessons empty").ends(1).talk.contains(".hunt.yaml"));
}
