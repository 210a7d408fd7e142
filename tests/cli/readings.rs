//! `suspects`, `next`, `account`, `convert`, `sheet`, `practice`: what people see, and what is refused.

use crate::bench;
use crate::world::World;

fn widest(text: &str) -> usize {
    text.lines().map(|line| line.chars().count()).max().unwrap_or(0)
}

#[test]
fn the_suspects_are_named_with_verdict_and_numbers() {
    let run = bench::measured().say("suspects x.hunt.yaml").ends(0);
    let text = run.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for word in ["320 mA", "made up for the bench): over", "Still to find", "audio unit", "F1 carries"] {
        assert!(text.contains(word), "{word}: {}", run.out);
    }
    let json = bench::measured().say("suspects x.hunt.yaml --format json").ends(0).json();
    assert_eq!(json["suspects"][0]["branch"], "F1");
    assert_eq!(json["leader"]["name"], "F1");
    let shares: Vec<f64> = json["suspects"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|one| one["share"].as_f64().unwrap())
        .collect();
    assert!(shares.is_sorted_by(|a, b| a >= b), "{shares:?}");
}

#[test]
fn a_fall_is_told_as_a_fall() {
    let run = bench::narrowed().say("suspects x.hunt.yaml").ends(0);
    assert!(run.out.contains("total fell by"), "{}", run.out);
    assert!(
        run.out.split_whitespace().collect::<Vec<_>>().join(" ").contains("when F1/audio unit was unplugged")
    );
}

#[test]
fn without_a_total_nothing_is_judged() {
    let world = bench::opened();
    let json = world.say("suspects x.hunt.yaml --format json").ends(0).json();
    assert!(json["total"].is_null() && json["verdict"].is_null() && json["excess"].is_null());
    assert!(world.say("suspects x.hunt.yaml").ends(0).out.contains("No settled total yet"));
    let next = world.say("next x.hunt.yaml --format json").ends(0).json();
    assert_eq!(
        (next["done"].as_bool(), next["readings"][0]["action"].as_str()),
        (Some(false), Some("total"))
    );
    assert!(next["readings"][0]["at"].is_null());
    assert!(world.say("account x.hunt.yaml").ends(0).out.contains("No fuse has been read yet"));
}

#[test]
fn no_reading_is_proposed_on_a_restraint_circuit_but_a_clamp() {
    for world in [bench::measured(), bench::narrowed()] {
        let next = world.say("next x.hunt.yaml --format json").ends(0).json();
        for reading in next["readings"].as_array().expect("a list") {
            let at = reading["at"].as_str().unwrap_or_default();
            assert!(!at.starts_with("F4") || reading["action"] == "clamp", "{reading}");
        }
    }
}

#[test]
fn the_account_lists_what_was_read_and_everything_on_request() {
    let world = bench::measured();
    let run = world.say("account x.hunt.yaml").ends(0);
    assert!(run.out.contains("less than") && run.out.contains("3 more were not read"), "{}", run.out);
    let all = world.say("account x.hunt.yaml --all").ends(0);
    assert!(all.out.contains("alternator") && !all.out.contains("more were not read"), "{}", all.out);
    let json = world.say("account x.hunt.yaml --format json").ends(0).json();
    let feeds = json["feeds"].as_array().expect("a list");
    assert_eq!(feeds.len(), 6);
    let [total, placed, unplaced] =
        ["total", "placed", "unplaced"].map(|key| json[key]["value"].as_f64().unwrap());
    assert!((total - placed - unplaced).abs() < 0.01, "{total} {placed} {unplaced}");
}

/// One row a place: a row that breaks would begin with blanks only.
#[test]
fn the_account_has_one_row_a_place_at_sixty_columns() {
    let run = bench::narrowed().columns("60").say("account x.hunt.yaml").ends(0);
    let rows: Vec<&str> = run.out.lines().skip(2).take(4).collect();
    assert!(rows.iter().all(|row| row.starts_with(" F") || row.starts_with(" L")), "{}", run.out);
}

#[test]
fn a_log_that_is_damaged_or_missing_is_exit_code_1() {
    let world = bench::measured();
    world.write("damaged.hunt.yaml", &world.read("x.hunt.yaml").replace("feed: F2", "feed: [F2"));
    world.write("other.yaml", bench::MAP);
    for command in ["suspects", "next", "account", "record"] {
        for log in ["damaged.hunt.yaml", "other.yaml", "missing.hunt.yaml"] {
            let run = world.say(&format!("{command} {log}")).ends(1);
            assert!(run.out.is_empty() && run.talk.starts_with("error: "), "{command} {log}: {run:?}");
        }
        world.say(command).ends(2);
    }
}

#[test]
fn a_log_is_read_while_another_run_holds_it() {
    let world = bench::measured();
    let _holder = Held(world.start(&["hunt", "x.hunt.yaml"]));
    for command in ["suspects", "next", "account", "record"] {
        world.say(&format!("{command} x.hunt.yaml")).ends(0);
    }
}

struct Held(std::process::Child);

impl Drop for Held {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn nothing_is_wider_than_the_screen() {
    for columns in ["40", "60", "80"] {
        let world = bench::narrowed().columns(columns);
        let most: usize = columns.parse().expect("a number");
        for line in [
            "suspects x.hunt.yaml",
            "next x.hunt.yaml",
            "account x.hunt.yaml --all",
            "convert --family micro2 --rating 5 --drop 3mV --sources --unbranded --colour pink",
            "sheet --family blade",
            "practice --seed 5 --reveal",
        ] {
            let run = world.say(line).ends(0);
            assert!(
                widest(&run.out) <= most && widest(&run.talk) <= most,
                "{line} at {columns}:\n{}",
                run.out
            );
        }
    }
}

/// 3.0 mV over 7.42 mΩ, the sheet's figure of a mini 10 A at 25 °C.
#[test]
fn a_drop_is_converted_with_interval_and_floor() {
    let world = World::new();
    let json = world.say("convert --family mini --rating 10 --drop 3.0mV --format json").ends(0).json();
    assert!((json["current"]["value"].as_f64().unwrap() - 3.0 / 7.42 * 1000.0).abs() < 0.01);
    assert!(json["current"]["low"].as_f64() < json["current"]["value"].as_f64());
    assert_eq!((json["basis"].as_str(), json["below_floor"].as_bool()), (Some("data sheet"), Some(false)));
    let split = world.say("convert --family MINI --rating 10A --drop 3.0 mV --format json").ends(0).json();
    assert_eq!(split, json, "a unit split off by the shell");
    let own = world
        .say("convert --family bolt --rating 80 --drop -3mV --resistance 0.5 --format json")
        .ends(0)
        .json();
    assert!((own["current"]["value"].as_f64().unwrap() + 6000.0).abs() < 1e-6 && own["basis"] == "own");
}

#[test]
fn a_zero_lowers_the_floor_and_warmth_counts() {
    let world = World::new();
    let of = |more: &str, key: &str| {
        let line = format!("convert --family mini --rating 10 --drop 3.0mV {more} --format json");
        world.say(&line).ends(0).json()[key]["value"].as_f64().unwrap()
    };
    assert!(of("--zero 0.1mV", "floor") < 0.6 * of("", "floor"));
    assert!((of("--zero 0.1mV", "current") - 2.9 / 7.42 * 1000.0).abs() < 0.01);
    assert!((of("", "current") / of("--temp 60C", "current") - 1.133).abs() < 1e-3);
    assert!(of("--temp -10C", "current") > of("", "current"));
    assert!(of("--meter hundredth-mv", "floor") < of("", "floor"));
}

#[test]
fn what_is_doubtful_about_a_figure_is_said() {
    let world = World::new();
    for (line, said) in [
        ("--family mini --rating 15 --drop 1mV --colour red", "red is 10 A in mini, not 15 A"),
        ("--family micro2 --rating 10 --drop 1mV", "no sheet figure"),
        ("--family mini --rating 10 --drop 1mV --unbranded", "counterfeit"),
        ("--family mini --rating 5 --drop 30mV", "over a quarter of the rating"),
    ] {
        let run = world.say(&format!("convert {line}")).ends(0);
        let talk = run.talk.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(talk.contains(said), "{line}: {run:?}");
    }
    assert!(world.say("convert --family mini --rating 10 --drop 0.1mV").ends(0).out.contains("less than"));
}

#[test]
fn where_no_resistance_is_known_the_answer_is_an_honest_no() {
    let world = World::new();
    for line in ["convert --family wire --rating 60 --drop 1mV", "sheet --family glass"] {
        let run = world.say(&format!("{line} --format json")).ends(1);
        assert!(run.json()["warnings"][0].as_str().is_some_and(|text| text.contains("clamp")), "{run:?}");
        assert!(run.talk.contains("what to do"), "{run:?}");
    }
}

#[test]
fn what_cannot_be_read_is_refused_with_its_option() {
    let world = World::new();
    for (line, said) in [
        ("--family midi --rating 10 --drop 1mV", "--family"),
        ("--family mini --rating 10mV --drop 1mV", "--rating"),
        ("--family mini --rating -10 --drop 1mV", "--rating"),
        ("--family mini --rating 10 --drop 3mA", "--drop"),
        ("--family mini --rating 10 --drop 1mV --temp warm", "--temp"),
        ("--family mini --rating 10 --drop 1mV --meter clamp-1ma", "--meter"),
        ("--family mini --rating 10 --drop 1mV --resistance 0", "--resistance"),
    ] {
        let run = world.say(&format!("convert {line}")).ends(1);
        assert!(run.out.is_empty() && run.talk.contains(said), "{line}: {run:?}");
    }
    world.say("convert --family mini --rating 10").ends(2);
}

#[test]
fn a_sheet_leaves_blank_what_the_meter_cannot_show() {
    let world = World::new();
    let sheet = world.say("sheet --family mini --format json").ends(0).json();
    let currents: Vec<f64> =
        sheet["currents_ma"].as_array().expect("rows").iter().map(|ma| ma.as_f64().unwrap()).collect();
    for rating in sheet["ratings"].as_array().expect("columns") {
        let floor = rating["floor_ma"].as_f64().unwrap();
        let cells = rating["drops_mv"].as_array().expect("cells");
        assert_eq!(cells.len(), currents.len());
        for (current, cell) in currents.iter().zip(cells) {
            assert!(cell.is_null() || *current >= floor - 0.01, "{current} at {rating}");
        }
    }
    let text = world.say("sheet --family mini").ends(0).out;
    assert!(text.contains("floor") && text.contains("Source:"), "{text}");
}

#[test]
fn a_practice_vehicle_keeps_its_secret_unless_asked() {
    let world = World::new();
    let quiet = world.say("practice --seed 3").ends(0);
    assert!(quiet.out.contains("The customer: It") && quiet.out.contains("fusetrail hunt --practice 3"));
    assert!(!quiet.out.contains("too much"), "{}", quiet.out);
    assert!(world.say("practice --seed 3 --format json").ends(0).json()["truth"].is_null());
    let told = world.say("practice --seed 3 --reveal").ends(0);
    assert!(told.out.contains("What was really wrong"), "{}", told.out);
    assert!(world.say("practice --seed 3 --map van").ends(0).out.contains("--practice 3 --map van"));
    assert_eq!(
        told.out,
        world.say("practice --seed 3 --reveal").ends(0).out,
        "the same seed is the same vehicle"
    );
    world.say("practice --map nowhere").ends(1);
    world.say("practice --map hatch --map van").ends(2);
    world.say("practice --reveal --score 2").ends(2);
}

#[test]
fn what_was_seen_is_kept_and_shown_and_weighs_among_the_suspects() {
    let world = bench::measured();
    let before = world.say("suspects x.hunt.yaml --format json").ends(0).json();
    world.run(&["add", "x.hunt.yaml", "look", "F3/glovebox lamp", "lit"]).ends(0);
    let after = world.say("suspects x.hunt.yaml --format json").ends(0).json();
    let f3 = |json: &serde_json::Value| {
        let all = json["suspects"].as_array().expect("a list").iter();
        all.filter(|one| one["branch"] == "F3").find_map(|one| one["probability"].as_f64()).expect("F3")
    };
    assert!(f3(&after) > f3(&before), "{} {}", f3(&before), f3(&after));
    assert!(world.say("list x.hunt.yaml").ends(0).out.contains("F3/glovebox lamp looked at: lit"));
    assert!(world.read("x.hunt.yaml").contains("found: lit"));
    let refused = world.run(&["add", "x.hunt.yaml", "look", "F3/glovebox lamp", "purple"]).ends(1);
    assert!(refused.talk.contains("lit, dark, warm"), "{refused:?}");
}
