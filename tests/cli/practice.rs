//! `practice --score`: many vehicles at once.

use crate::world::World;

#[test]
fn a_score_is_the_same_each_time_and_carries_every_figure() {
    let world = World::new();
    let score = || world.say("practice --score 6 --map hatch --seed 3 --format json").ends(0).json();
    let first = score();
    assert_eq!(first, score());
    assert_eq!(first["vehicles"], 6);
    assert_eq!((&first["map_kind"], &first["hands"]), (&"diagram".into(), &"plain".into()));
    assert_eq!(first["seeds"], serde_json::json!([3, 8]));
    let policies = first["policies"].as_array().expect("policies");
    let names: Vec<&str> = policies.iter().filter_map(|policy| policy["policy"].as_str()).collect();
    assert_eq!(names, ["plan", "panel", "halving"]);
    for policy in policies {
        let all = &policy["groups"][0];
        assert_eq!(all["group"], "all");
        assert_eq!(all["right_first"]["of"], 6);
        let cases: u64 = all["calibration"]
            .as_array()
            .expect("bins")
            .iter()
            .filter_map(|bin| bin["right"]["of"].as_u64())
            .sum();
        assert_eq!(cases, 6);
        let wrong = 6 - all["all_right"]["hits"].as_u64().expect("a count");
        assert!(policy["misses"].as_array().expect("misses").len() as u64 >= wrong);
    }
    assert_eq!(policies[0]["groups"][0]["work_of"]["plan"], 1.0);
}

#[test]
fn a_score_for_people_fits_eighty_columns() {
    let world = World::new();
    let text = world.say("practice --score 4 --map hatch --misses").ends(0).out;
    assert!(text.contains("right first") && text.contains("halving"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
}

#[test]
fn one_way_of_hunting_and_one_kind_of_truth_can_be_chosen() {
    let world = World::new();
    let run = world.say("practice --score 2 --map van --truth held --policy halving --format json").ends(0);
    let groups = run.json()["policies"][0]["groups"].clone();
    let names: Vec<&str> =
        groups.as_array().expect("groups").iter().filter_map(|g| g["group"].as_str()).collect();
    assert!(names.contains(&"held") && !names.contains(&"two"), "{names:?}");
    for (wrong, code) in
        [("--truth rust", 2), ("--policy guessing", 2), ("--hands clean", 2), ("--map zeppelin", 1)]
    {
        let run = world.say(&format!("practice --score 1 {wrong}")).ends(code);
        assert!(run.out.is_empty() && !run.talk.is_empty(), "{wrong}");
    }
}

#[test]
fn a_practice_hunt_reaches_its_end_on_every_map_limit_or_none() {
    let answers = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/practice-answers.yaml");
    for map in ["hatch", "van", "hybrid", "e-van", "tipper", "motorcycle", "motorhome", "boat"] {
        let world = World::new();
        let line = format!("hunt {map}.hunt.yaml --practice 12 --map {map} --answers '{answers}'");
        let run = world.say(&line).ends(0);
        let asked = run.talk.contains("Which limit holds") || run.out.contains("Which limit holds");
        assert_eq!(asked, map == "tipper", "{map}");
    }
}
