//! `circuits`: the maps that are built in, and those that are brought along.

use crate::world::World;

#[test]
fn every_built_in_map_is_listed_shown_and_sound() {
    let world = World::new();
    let maps = world.say("circuits list --format json").ends(0).json();
    let maps = maps["maps"].as_array().expect("maps");
    assert!(maps.len() >= 6);
    for map in maps {
        let name = map["name"].as_str().expect("a name");
        let shown = world.say(&format!("circuits show {name} --format json")).ends(0).json();
        assert_eq!(shown["feeds"].as_array().map(Vec::len), map["feeds"].as_u64().map(|n| n as usize));
        let check = world.say(&format!("circuits check {name} --format json")).ends(0).json();
        assert_eq!(check["ok"], true, "{name}");
        assert!(
            world
                .say(&format!("circuits show {name}"))
                .ends(0)
                .out
                .contains(map["title"].as_str().expect("a title").split(',').next().unwrap())
        );
    }
}

#[test]
fn a_map_printed_as_yaml_can_be_brought_back_as_a_file() {
    let world = World::new();
    world.write("mine.yaml", &world.say("circuits show van --yaml").ends(0).out);
    let [ours, theirs] =
        ["van", "mine.yaml"].map(|name| world.say(&format!("circuits show {name} --format json")).out);
    assert_eq!(ours, theirs);
}

#[test]
fn a_broken_map_gives_every_fault_with_line_and_field_and_exit_code_1() {
    let world = World::new();
    world.write(
        "broken.yaml",
        "format: fusetrail-map/1\ntitle: broken\nfeeds:\n  - {id: A, from: B, fuse: {family: mini, rating_a: 10}}\n  - {id: B, from: A, fuse: {family: mini, rating_a: -5}}\n  - {id: C, from: nowhere, fuse: {family: thick, rating_a: 10}}\n",
    );
    let run = world.say("circuits check broken.yaml --format json").ends(1);
    let json = run.json();
    assert_eq!((json["ok"].as_bool(), json["warnings"].is_array()), (Some(false), true));
    let problems = json["problems"].as_array().expect("problems");
    assert!(problems.len() >= 4, "{problems:?}");
    assert!(
        problems.iter().all(|problem| problem["line"].is_u64() && problem["field"].is_string()),
        "{problems:?}"
    );
    let text = world.say("circuits check broken.yaml").ends(1).out;
    assert!(text.contains("broken.yaml, line 6") && text.contains("not usable"), "{text}");
}
