//! What a meter log of a night does to a session log: the ledger is kept, what comes and goes is evidence, and the next
//! step follows from it.

use serde_json::Value;

use crate::world::World;

/// Six hours at a sample in two seconds: awake at 400 mA for 20 min, then 25 mA with whatever comes on top.
pub fn night(more: impl Fn(u32) -> f64) -> String {
    let row = |second: u32| {
        let rest = if second < 1_200 { 400.0 } else { 25.0 + f64::from(second * 7 % 3) / 10.0 };
        format!(
            "2026-11-02T{:02}:{:02}:{:02}+01:00,{:.1}\n",
            17 + second / 3600,
            second / 60 % 60,
            second % 60,
            rest + more(second)
        )
    };
    let rows: String = (0..10_800).map(|at| row(at * 2)).collect();
    format!("time,current (mA)\n{rows}")
}

/// A series as the audio unit of the map rises: its 596 mA for 100 s each ten minutes.
fn audio(second: u32) -> f64 {
    if second > 1_500 && second % 600 < 100 { 596.0 } else { 0.0 }
}

const MAP: &str = "
format: fusetrail-map/1
title: invented wagon
class: car
limit_ma: 50
limit_source: invented
feeds:
  - {id: F12, from: battery, fuse: {family: mini, rating_a: 10}, loads: [{name: audio unit, kind: audio, asleep_ma: 4, awake_ma: 600}]}
  - {id: F13, from: battery, fuse: {family: mini, rating_a: 15}, loads: [{name: instrument cluster, kind: cluster, asleep_ma: 5, awake_ma: 250}]}
  - {id: F14, from: battery, fuse: {family: mini, rating_a: 15}, loads: [{name: body control, kind: body-control, asleep_ma: 8, awake_ma: 900}]}
";

fn begun(csv: &str) -> World {
    let world = World::new();
    world.write("wagon.yaml", MAP);
    world.write("night.csv", csv);
    world.say("open x.hunt.yaml --map wagon.yaml --clamp clamp-1ma").ends(0);
    world
}

fn suspects(world: &World) -> Value {
    world.say("suspects x.hunt.yaml --format json").ends(0).json()
}

#[test]
fn a_night_within_at_rest_and_over_on_average_is_over_and_points_to_what_wakes_so() {
    let world = begun(&night(audio));
    world.say("settle night.csv --into x.hunt.yaml").ends(0);
    let text = world.read("x.hunt.yaml");
    assert!(text.contains("ledger:") && text.contains("what: series") && text.contains("start: "), "{text}");
    let found = suspects(&world);
    assert_eq!(found["verdict"], "over", "25 mA at rest, 124 on average");
    assert_eq!((&found["leader"]["kind"], &found["leader"]["name"]), (&"branch".into(), &"F12".into()));
    assert!(found["leader"]["probability"].as_f64() > Some(0.3), "{}", found["leader"]);
    let probabilities = |key: &str| -> f64 {
        let all = found[key].as_array().expect("a list");
        all.iter().filter_map(|one| one["probability"].as_f64()).sum()
    };
    let sum = probabilities("suspects") + probabilities("wake_groups");
    assert!((sum + found["nothing_wrong"].as_f64().unwrap() - 1.0).abs() < 0.02, "{found:#}");
    let why = found["suspects"][0]["why"].as_str().expect("a why");
    for part in ["comes and goes", "× 100 s, every 10.0 min", "rises so"] {
        assert!(why.contains(part), "{part}: {why}");
    }
    let next = world.say("next x.hunt.yaml --format json").ends(0).json();
    let why = next["why"].as_str().expect("a why");
    for part in ["F12: possible", "Log its fuse beside the total", "leave it out"] {
        assert!(why.contains(part), "{part}: {why}");
    }
}

#[test]
fn what_a_fuse_beside_the_total_carries_is_evidence_on_its_circuit() {
    let plain = night(audio);
    let rows = plain.lines().skip(1).map(|row| {
        let (time, total) = row.split_once(',').expect("two cells");
        let more: f64 = total.parse::<f64>().expect("a number") - 25.0;
        // A mini fuse of 10 A has about 7.4 mΩ: 600 mA are 4.4 mV.
        format!("{time},{total},{:.2},{:.1}\n", if more > 500.0 { 4.45 } else { 0.03 }, 5.0 + more % 0.2)
    });
    let csv = format!("time,total (mA),F12 (mV),F13 (mA)\n{}", rows.collect::<String>());
    let world = begun(&csv);
    let json = world.say("settle night.csv --into x.hunt.yaml --format json").ends(0).json();
    let channels = json["channels"].as_array().expect("a list");
    assert_eq!((channels[0]["name"].as_str(), channels[1]["name"].as_str()), (Some("F12"), Some("F13")));
    assert!(channels[0]["share"].as_f64() > Some(0.9), "{}", channels[0]);
    assert_eq!(channels[0]["rises_first"], channels[0]["with"]);
    assert!(channels[1]["share"].as_f64() < Some(0.01), "{}", channels[1]);
    assert!(channels[0]["level"]["u"].as_f64() > Some(0.2), "the fuse's own spread: {}", channels[0]);
    let found = suspects(&world);
    assert_eq!(found["leader"]["name"], "F12");
    assert!(found["leader"]["probability"].as_f64() > Some(0.95), "{}", found["leader"]);
    let why = found["suspects"][0]["why"].as_str().expect("a why");
    assert!(why.contains("it carried that") && why.contains("It rose first"), "{why}");
    let text = world.say("settle night.csv --map wagon.yaml").ends(0).out;
    assert!(text.contains("F12 carries") && text.contains("first to rise 33 of 33"), "{text}");
    world.say("settle night.csv --channel F12 --map wagon.yaml").ends(2);
    world.say("settle night.csv --channel F12=9,mV --map wagon.yaml").ends(1);
}

#[test]
fn a_second_log_with_its_own_clock_is_laid_to_the_first() {
    // Not so even that it looks the same one wake-up later.
    let uneven = |second: u32| {
        if second > 1_500 && second % 600 > 7 * (second / 600).pow(2) % 190 {
            audio(second - 7 * (second / 600).pow(2) % 190)
        } else {
            0.0
        }
    };
    let world = begun(&night(uneven));
    let rows = (0..6_000)
        .map(|at| at * 3 + 600)
        .map(|second| format!("{},{:.1}\n", second - 600, 4.0 + uneven(second)));
    world.write("f12.csv", &format!("s,mA\n{}", rows.collect::<String>()));
    let json = world.say("settle night.csv f12.csv --map wagon.yaml --format json").ends(0).json();
    let off = json["offset"]["seconds"].as_f64().expect("an offset") - 600.0;
    assert!(off.abs() <= 3.0 && json["offset"]["u"].as_f64() < Some(1.5), "{}", json["offset"]);
    assert_eq!(json["channels"][0]["name"], "f12");
    assert!((json["channels"][0]["share"].as_f64().unwrap() - 1.0).abs() < 0.03, "{}", json["channels"]);
    world.write(
        "flat.csv",
        &format!("s,mA\n{}", (0..900).map(|at| format!("{at},4.0\n")).collect::<String>()),
    );
    let refused = world.say("settle night.csv flat.csv --map wagon.yaml").ends(1).talk;
    assert!(refused.contains("laid together") && refused.contains("flat.csv"), "{refused}");
}

#[test]
fn a_single_event_is_told_with_its_time() {
    let once = |second: u32| if (9_000..14_400).contains(&second) { 355.0 } else { 0.0 };
    let world = begun(&night(once));
    world.say("settle night.csv --into x.hunt.yaml").ends(0);
    assert_eq!(suspects(&world)["verdict"], "over");
    let why = world.say("next x.hunt.yaml").ends(0).out;
    for part in ["380 mA for 90.0 min from 19:30", "Ask what happens at 19:30"] {
        assert!(why.contains(part), "{part}: {why}");
    }
}

#[test]
fn a_night_within_its_limit_accuses_nobody() {
    let world = begun(&night(|_| 0.0));
    world.say("settle night.csv --into x.hunt.yaml").ends(0);
    let found = suspects(&world);
    assert_eq!((&found["verdict"], &found["leader"]["kind"]), (&"within".into(), &"nothing".into()));
}

#[test]
fn the_record_shows_the_night_with_its_ledger_in_every_form() {
    let world = begun(&night(audio));
    world.say("settle night.csv --into x.hunt.yaml").ends(0);
    let record = world.say("record x.hunt.yaml --format json").ends(0).json();
    let night = &record["night"];
    assert_eq!(night["verdict"], "over");
    let ledger = night["ledger"].as_array().expect("a list");
    let whats: Vec<_> = ledger.iter().filter_map(|line| line["what"].as_str()).collect();
    assert_eq!(whats, ["rest", "series"]);
    let sum: f64 = ledger.iter().filter_map(|line| line["ah_per_day"].as_f64()).sum();
    let whole = night["ah_per_day"].as_f64().expect("a figure");
    assert!((sum - whole).abs() < 1e-3 && (whole / 24.0 - 0.1215).abs() < 1e-3, "{sum} of {whole}");
    assert_eq!(ledger[1]["may_be"], "audio unit");
    let days = night["days"]["value"].as_f64().expect("days");
    assert!((2.0..14.0).contains(&days), "{days}");
    // The first twenty minutes are awake, and every wake-up is in the curve.
    let highs: Vec<f64> = night["curve"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|part| part["high_ma"].as_f64())
        .collect();
    assert_eq!(highs.len(), 120);
    assert!((highs[0] - 400.0).abs() < 1.0, "{highs:?}");
    assert!(highs.iter().filter(|high| **high > 600.0).count() >= 33, "{highs:?}");
    for form in ["html", "txt", "csv"] {
        world.say(&format!("record x.hunt.yaml --to r.{form}")).ends(0);
    }
    let html = world.read("r.html");
    for part in [
        "class=\"band\"",
        "class=\"average\"",
        "33 × 100 s, every 10.0 min",
        "over the limit",
        ">20:00<",
        "Draws at times while the vehicle should sleep: 33 × 100 s",
    ] {
        assert!(html.contains(part), "{part}");
    }
    let text = world.read("r.txt");
    for part in
        ["It rests at 25.1 mA. With what wakes it, the average is 122 mA.", "2.31 Ah a day", "audio unit"]
    {
        assert!(text.contains(part), "{part}: {text}");
    }
    let csv = world.read("r.csv");
    assert!(csv.lines().any(|row| row.contains(",watched,,,25.1")), "{csv}");
}

#[test]
fn a_night_that_never_rests_has_its_curve_and_ledger_in_the_record() {
    let up = |second: u32| if second % 300 < 130 { 400.0 } else { 0.0 };
    let world = begun(&night(up));
    world.say("settle night.csv --into x.hunt.yaml").ends(1);
    let night = world.say("record x.hunt.yaml --format json").ends(0).json()["night"].clone();
    assert_eq!((&night["level_ma"], &night["verdict"]), (&Value::Null, &"over".into()));
    assert_eq!(night["ledger"][1]["what"], "cycle");
    world.say("record x.hunt.yaml --to r.html").ends(0);
    let html = world.read("r.html");
    assert!(html.contains("It never rests. The average is") && html.contains("class=\"band\""));
}

#[test]
fn what_was_within_at_rest_before_the_repair_is_proven_by_a_quiet_night_only() {
    let world = begun(&night(audio));
    world.say("settle night.csv --into x.hunt.yaml").ends(0);
    let next = world.say("next x.hunt.yaml --format json").ends(0).json();
    assert_eq!(
        (&next["done"], &next["readings"][0]["action"], &next["readings"][0]["at"]),
        (&false.into(), &"out".into(), &"F12".into())
    );
    world.say("add x.hunt.yaml out F12 none 20min").ends(0);
    let next = world.say("next x.hunt.yaml --format json").ends(0).json();
    assert_eq!(next["done"], true);
    assert!(next["why"].as_str().is_some_and(|why| why.contains("It was out, and nothing woke.")), "{next}");
    let answers = [
        ("caution.page", "yes"),
        ("repair.what", "audio unit replaced"),
        ("prove.provoke", "stays-away"),
        ("prove.wait", "settled 25"),
        ("prove.total", "25"),
        ("prove.log", "planned"),
        ("prove.rating", "don't know"),
    ];
    let answers: String = answers.iter().map(|(key, answer)| format!("{key}: \"{answer}\"\n")).collect();
    world.write("a.yaml", &answers);
    let said = world.say("hunt x.hunt.yaml --answers a.yaml");
    assert!(
        said.talk.contains("as it was at rest before. A quiet night is the proof.")
            || said.out.contains("A quiet night"),
        "{}{}",
        said.out,
        said.talk
    );
    let outcome = || world.say("record x.hunt.yaml --format json").ends(0).json()["proof"].clone();
    assert!(outcome()["lacks"].to_string().contains("a quiet night is the proof"), "{}", outcome());
    world.write("after.csv", &night(|_| 0.0).replace("2026-11-02", "2026-11-03"));
    world.say("settle after.csv --into x.hunt.yaml").ends(0);
    assert!(!outcome()["lacks"].to_string().contains("night"), "{}", outcome());
    let again = night(audio).replace("2026-11-02", "2026-11-04");
    world.write("again.csv", &again);
    world.say("settle again.csv --into x.hunt.yaml").ends(0);
    assert!(outcome()["lacks"].to_string().contains("the overnight log shows it again"), "{}", outcome());
}

/// The night as `watch` writes it with three meters: now and then one has shown nothing.
fn watched_night() -> String {
    let plain = night(audio);
    let rows = plain.lines().skip(1).enumerate().map(|(at, row)| {
        let (time, total) = row.split_once(',').expect("two cells");
        let more = total.parse::<f64>().expect("a number") > 500.0;
        let drop =
            if at % 50 == 49 { String::new() } else { format!("{:.2}", if more { 4.45 } else { 0.03 }) };
        format!("{time},{total},{drop},12.6{}\n", at % 3)
    });
    format!("time,total (mA),F12 (mV),volts (V)\n{}", rows.collect::<String>())
}

#[test]
fn a_file_that_watch_wrote_with_several_meters_reads_and_a_fuse_s_own_resistance_counts() {
    let world = begun(&watched_night());
    world.say("add x.hunt.yaml temp 25C").ends(0);
    let carried = |into: &str| {
        let json = world.say(&format!("settle night.csv --into {into} --format json")).ends(0).json();
        let channels = json["channels"].as_array().expect("a list").clone();
        assert_eq!(channels.len(), 1, "volts are no channel: {channels:?}");
        assert_eq!((&channels[0]["name"], &channels[0]["unit"]), (&"F12".into(), &"mA".into()));
        channels[0]["average"].clone()
    };
    world.say("add x.hunt.yaml note before").ends(0);
    world.write("y.hunt.yaml", &world.read("x.hunt.yaml"));
    let by_table = carried("x.hunt.yaml");
    // 7.42 mΩ by the table; 9.1 mV for 1.02 A are 8.92 mΩ.
    world.say("add y.hunt.yaml step F12 3.0mV 12.1mV 1.02A").ends(0);
    let by_itself = carried("y.hunt.yaml");
    let value = |of: &Value, key: &str| of[key].as_f64().expect("a figure");
    let ratio = value(&by_itself, "value") / value(&by_table, "value");
    assert!((ratio - 7.42 / (9.1 / 1.02)).abs() < 0.01, "{ratio}");
    assert!(value(&by_itself, "u") < value(&by_table, "u"), "{by_itself} {by_table}");
}
