//! What vehicle it is, told as options or asked: class, volts, batteries and year decide whatever the map doesn't say.

use crate::world::World;

#[test]
fn a_sketch_carries_the_vehicle_and_what_its_class_has() {
    let world = World::new();
    world.write("lid.txt", "box cabin\nF1 mini 10 radio\nF2 7.5 clock\n");
    let told = "--class truck --batteries 4 --year 2014";
    let map = world.say(&format!("circuits sketch lid.txt {told}")).ends(0).out;
    assert!(map.contains("model_year: 2014\n") && map.contains("batteries: 4\n"), "{map}");
    assert!(map.contains("class: truck") && map.contains("system_v: 24"), "{map}");
    assert!(map.contains("battery isolator switch"), "{map}");
    world.write("truck.yaml", &map);
    world.say("circuits check truck.yaml").ends(0);
    let json = world.say(&format!("circuits sketch lid.txt {told} --format json")).ends(0).json();
    assert_eq!(
        (&json["class"], &json["batteries"], &json["model_year"]),
        (&"truck".into(), &4.into(), &2014.into())
    );
}

#[test]
fn what_no_vehicle_is_cannot_be_told() {
    let world = World::new();
    for told in ["--class raft", "--volts 13", "--batteries 0", "--batteries 3 --volts 24", "--year 14"] {
        world.say(&format!("open x.hunt.yaml --map blank {told}")).ends(2);
        assert!(!world.path("x.hunt.yaml").exists(), "{told}");
    }
    let text = "format: fusetrail-map/1\ntitle: x\nfeeds: []\n";
    for key in ["batteries: 3\nsystem_v: 24", "batteries: 1.5", "model_year: 14"] {
        world.write("x.yaml", &format!("{text}{key}\n"));
        world.say("circuits check x.yaml").ends(1);
    }
}

#[test]
fn options_answer_the_questions_about_the_vehicle_and_the_others_are_asked() {
    let world = World::new();
    let asked = |line: &str| {
        let run = world.say(line).ends(1);
        let open = run.talk.split("at the question ").nth(1).expect("an open question");
        open.split(':').next().unwrap_or_default().to_owned()
    };
    assert_eq!(asked("hunt a.hunt.yaml"), "interview.class");
    assert_eq!(asked("hunt b.hunt.yaml --class truck"), "interview.volts");
    assert_eq!(asked("hunt c.hunt.yaml --class truck --volts 24 --year 2014"), "interview.batteries");
    let all = "--class truck --volts 24 --batteries 2 --year 2014";
    assert_eq!(asked(&format!("hunt d.hunt.yaml {all}")), "interview.complaint");
    assert_eq!(asked(&format!("hunt e.hunt.yaml --map hatch {all}")), "interview.complaint");
    // A log keeps its vehicle.
    world.say("hunt d.hunt.yaml --class car").ends(2);
    let vehicle = world.say("record d.hunt.yaml --format json").ends(0).json()["vehicle"].clone();
    assert_eq!((&vehicle["class"], &vehicle["model_year"]), (&"truck".into(), &"2014".into()));
}
