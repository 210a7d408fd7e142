//! Rounds: what `next` proposes, what a log keeps of them, the bay to print; and choices as numbered lists.

use crate::world::World;

/// A log on the tipper, six fuses of its cab read.
fn begun() -> World {
    let world = World::new();
    for line in [
        "open x.hunt.yaml --map tipper --limit 200mA",
        "add x.hunt.yaml zero 0.0mV",
        "add x.hunt.yaml total 1057mA",
        "add x.hunt.yaml drop K6=0.0mV K7=0.0mV K8=0.0mV K11=0.0mV K1=0.0mV K3=0.0mV",
    ] {
        world.say(line).ends(0);
    }
    world
}

#[test]
fn many_unlikely_fuses_of_a_box_are_proposed_as_a_round() {
    let next = begun().say("next x.hunt.yaml --format json").ends(0).json();
    let round = &next["round"];
    let reads = round["reads"].as_array().expect("a round");
    assert!(round["box"] == "cab" && reads.len() >= 3, "{next}");
    let minutes = round["minutes"].as_f64().expect("minutes");
    let work = 0.25 * reads.len() as f64 + 0.4;
    assert!(minutes >= work - 0.06, "{minutes} of {work}");
    for read in reads {
        let [asleep, high] = ["asleep_mv", "high_mv"].map(|key| read[key].as_f64().expect("millivolts"));
        assert!(high > asleep && high >= 0.1, "{read}");
    }
}

#[test]
fn a_fuse_read_below_is_kept_and_acquits_nobody_whom_it_could_not_show() {
    let world = begun();
    let of = |world: &World, branch: &str| {
        let all = world.say("suspects x.hunt.yaml --format json").ends(0).json();
        let found = all["suspects"]
            .as_array()
            .and_then(|all| all.iter().find(|one| one["branch"] == branch).cloned());
        found.and_then(|one| one["probability"].as_f64()).unwrap_or(0.0)
    };
    let before = of(&world, "K15");
    world.say("add x.hunt.yaml below K15 1.1mV").ends(0);
    let after = of(&world, "K15");
    assert!(before > 0.001 && after < before / 5.0, "{before} {after}");
    let kept = world.say("list x.hunt.yaml").ends(0).out;
    assert!(kept.contains("K15 below 1.1mV"), "{kept}");
}

#[test]
fn a_bay_is_printed_with_boxes_to_tick() {
    let world = begun();
    let sheet = world.say("sheet --map tipper").ends(0).out;
    assert!(sheet.contains("[ ]") && sheet.contains("K15") && sheet.contains("the limit"), "{sheet}");
    let sought = world.say("sheet --map tipper x.hunt.yaml --format json").ends(0).json();
    assert!(sought["sought_ma"].as_f64().is_some_and(|sought| sought > 800.0), "{sought}");
    let reads = sought["reads"].as_array().expect("fuses");
    assert!(
        reads.iter().any(|read| read["high_mv"].is_null())
            && reads.iter().any(|read| read["high_mv"].is_f64())
    );
}

#[test]
fn a_plain_hunt_numbers_its_choices_and_takes_a_number() {
    let world = World::new();
    let input = "flat after 3 days\nnothing\nyes\n1\nquit\n";
    let run = world.run_with(&World::words("hunt x.hunt.yaml --practice 3 --map hatch --plain"), input);
    assert!(
        run.talk.contains("  1 yes: it reaches\n  2 no: something must be opened first\n"),
        "{}",
        run.talk
    );
    assert!(world.read("x.hunt.yaml").contains("found.reach"), "{}", run.talk);
}
