//! A fuse left out where a night showed a series of wake-ups: the plan proposes it, and what came weighs.

use serde_json::Value;

use crate::world::World;

fn probability(world: &World, branch: &str) -> f64 {
    let json = world.say("suspects x.hunt.yaml --format json").ends(0).json();
    let found =
        json["suspects"].as_array().and_then(|all| all.iter().find(|one| one["branch"] == branch)).cloned();
    found.as_ref().and_then(|one: &Value| one["probability"].as_f64()).unwrap_or(0.0)
}

fn proposed(world: &World) -> Vec<Value> {
    let json = world.say("next x.hunt.yaml --format json").ends(0).json();
    let all = json["readings"].as_array().expect("a list");
    all.iter().filter(|one| one["action"] == "out").cloned().collect()
}

fn begun(world: &World, limit: &str) {
    world.say(&format!("open x.hunt.yaml --map hatch --limit {limit}")).ends(0);
    world.say("add x.hunt.yaml total 95mA").ends(0);
}

#[test]
fn a_fuse_is_left_out_where_a_series_is_known_and_what_came_weighs_on_it() {
    // Over the limit at rest; within it, and over on average.
    ["30mA", "40mA"].into_iter().for_each(left_out);
}

fn left_out(limit: &str) {
    let world = World::new();
    begun(&world, limit);
    assert_eq!(proposed(&world), Vec::<Value>::new(), "no series is known yet");
    let night = format!("{}/samples/pulse.csv", env!("CARGO_MANIFEST_DIR"));
    world.run(&["settle", &night, "--into", "x.hunt.yaml"]).ends(0);
    let first = proposed(&world).into_iter().next().expect("a fuse to leave out");
    let fuse = first["at"].as_str().expect("a fuse").to_owned();
    assert!(first["minutes"].as_f64() > Some(18.0), "two wake-ups take their time: {first}");
    let told = world.say("next x.hunt.yaml").ends(0).out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains(" out until ") && told.contains("two wake-ups are due"), "{told}");
    assert!(proposed(&world).iter().all(|one| one["minutes"].as_f64() > Some(18.0)));
    // Beside another fuse, of which nothing was learnt.
    let odds = || probability(&world, "C5") / probability(&world, "C8");
    let before = odds();
    let added = world.say("add x.hunt.yaml out C5 none 30min").ends(0);
    let told = "C5 out for 30.0 min: no wake-up came. 3.3 wake-ups were due.";
    assert!(added.out.replace("\n  ", " ").contains(told), "{added:?}");
    let silent = odds() / before;
    assert!((15.0..60.0).contains(&silent), "{silent}");
    world.say("undo x.hunt.yaml").ends(0);
    assert!((odds() - before).abs() < 1e-9);
    world.say("add x.hunt.yaml out C5 came=3 30min").ends(0);
    assert!(odds() < before / 3.0, "they came all the same: {} after {before}", odds());
    world.say(&format!("add x.hunt.yaml out {fuse} none 30min")).ends(0);
    assert!(proposed(&world).iter().all(|one| one["at"] != fuse.as_str()), "once is enough");
    let listed = world.say("list x.hunt.yaml").ends(0).out;
    assert!(listed.contains("out for 30.0 min: 3 wake-ups came"), "{listed}");
}

#[test]
fn without_a_series_a_time_out_is_kept_and_says_what_it_lacks() {
    let world = World::new();
    begun(&world, "30mA");
    let branch = "C5";
    let before = probability(&world, branch);
    let added = world.say("add x.hunt.yaml out C5 none 20").ends(0);
    assert!(
        (added.out.clone() + &added.talk).replace("\n  ", " ").contains("No series of wake-ups is known"),
        "{added:?}"
    );
    assert!((probability(&world, branch) - before).abs() < 1e-12);
    for words in
        ["out C5 none", "out C5 20min", "out C5 some 20min", "out C5 none 20mA", "out nothing none 20min"]
    {
        world.say(&format!("add x.hunt.yaml {words}")).ends(1);
    }
}
