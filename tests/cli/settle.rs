//! `settle`: what a meter log says, as text and as JSON.

use std::io::Write;

use flate2::Compression;
use flate2::write::GzEncoder;

use crate::world::World;

/// Four hours at a sample in two seconds: awake at 400 mA for 20 min, then 25 mA with a pulse of 45 s each 576 s.
fn night(row: impl Fn(u32, f64) -> String) -> String {
    let current = |second: u32| match second {
        s if s < 1_200 => 400.0,
        s if s > 1_500 && (s - 1_500) % 576 < 45 => 210.0,
        s => 25.0 + f64::from(s * 7 % 3) / 10.0,
    };
    (0..7_200).map(|at| row(at * 2, current(at * 2)) + "\n").collect()
}

fn dated() -> String {
    let row = |second: u32, ma: f64| {
        format!(
            "2026-11-02T{:02}:{:02}:{:02}+01:00,{ma:.1}",
            18 + second / 3600,
            second / 60 % 60,
            second % 60
        )
    };
    format!("time,current (mA)\n{}", night(row))
}

#[test]
fn json_has_every_key_and_the_contract_shape() {
    let world = World::new();
    world.write("night.csv", &dated());
    let json = world.say("settle night.csv --format json").ends(0).json();
    let keys: Vec<&str> = json.as_object().expect("an object").keys().map(String::as_str).collect();
    let wanted = [
        "settled",
        "at",
        "after_min",
        "level",
        "average",
        "steps",
        "wakes",
        "wake_period_min",
        "samples",
        "skipped",
        "why",
        "ah_per_day",
        "days",
        "ledger",
        "verdict",
        "channels",
        "offset",
    ];
    assert_eq!(keys, wanted);
    assert_eq!(json["settled"], true);
    assert_eq!(json["at"], "2026-11-02T18:20:00+01:00");
    assert_eq!(json["after_min"], 20.0);
    assert_eq!((json["samples"].as_u64(), json["skipped"].as_u64()), (Some(7_200), Some(0)));
    let number = |value: &serde_json::Value| value.as_f64().expect("a number");
    assert!((number(&json["level"]["value"]) - 25.1).abs() < 0.05 && json["level"]["unit"] == "mA");
    assert!((number(&json["wake_period_min"]) - 9.6).abs() < 0.05);
    let wakes = json["wakes"].as_array().expect("a list");
    assert_eq!(wakes.len(), 23);
    assert_eq!(wakes[0]["start"], "2026-11-02T18:25:02+01:00");
    assert_eq!(number(&wakes[0]["peak_ma"]), 210.0);
    assert!((number(&wakes[0]["seconds"]) - 44.0).abs() <= 2.0);
    // 185 mA above the level for 44 s.
    assert!((number(&wakes[0]["charge_mah"]) - 184.9 * 44.0 / 3600.0).abs() < 0.1);
    let lines = json["ledger"].as_array().expect("a list");
    let what: Vec<&str> = lines.iter().filter_map(|line| line["what"].as_str()).collect();
    assert_eq!(what, ["rest", "series"]);
    let day: f64 = lines.iter().map(|line| number(&line["ah_per_day"])).sum();
    assert!((day - number(&json["ah_per_day"])).abs() < 1e-9);
    assert!((day - number(&json["average"]["value"]) * 0.024).abs() < 1e-6);
    assert_eq!((lines[1]["times"].as_u64(), &lines[1]["usual"]), (Some(23), &serde_json::json!(true)));
    assert!(lines[1]["attributed"].as_str().is_some_and(|name| name.contains("telematics")), "{}", lines[1]);
    assert_eq!(lines[1]["first"], "2026-11-02T18:25:02+01:00");
    assert!(json["verdict"].is_null());
    let limited = world.say("settle night.csv --limit 30mA --format json").ends(0).json();
    assert_eq!(limited["verdict"], "over", "39.9 mA on average");
    let step = &json["steps"][0];
    assert_eq!(
        (step["at"].as_str(), number(&step["from_ma"]).round()),
        (Some("2026-11-02T18:20:00+01:00"), 400.0)
    );
}

#[test]
fn an_elapsed_time_gives_seconds_and_other_forms_give_the_same() {
    let world = World::new();
    world.write(
        "a.csv",
        &format!("t;I [A]\n{}", night(|s, ma| format!("{s};{:.4}", ma / 1e3).replace('.', ","))),
    );
    world.write("b.csv", &format!("t\tµA\n{}", night(|s, ma| format!("{s}\t{:.0}", -ma * 1e3))));
    let packed = {
        let mut packer = GzEncoder::new(Vec::new(), Compression::fast());
        packer.write_all(world.read("a.csv").as_bytes()).expect("packed");
        packer.finish().expect("packed")
    };
    std::fs::write(world.path("a.csv.gz"), packed).expect("written");
    for file in ["a.csv", "b.csv", "a.csv.gz"] {
        let json = world.say(&format!("settle {file} --format json")).ends(0).json();
        assert_eq!((json["at"].as_f64(), json["after_min"].as_f64()), (Some(1_200.0), Some(20.0)), "{file}");
        assert_eq!(json["wakes"][0]["start"], 1_502.0, "{file}");
    }
    let text = world.read("a.csv");
    let run = world.run_with(&["settle", "-", "--format", "json"], &text).ends(0);
    assert_eq!(run.json()["after_min"], 20.0);
    let turned = world.say("settle b.csv").ends(0);
    assert!(turned.talk.contains("with the other sign"), "{}", turned.talk);
}

#[test]
fn text_says_how_it_was_read_what_was_found_and_what_is_known() {
    let world = World::new();
    world.write("night.csv", &(dated() + "total,n/a\n"));
    let run = world.say("settle night.csv --limit 50mA --map hatch").ends(0);
    for said in
        ["columns parted by commas", "\"current (mA)\" in mA", "Rows left out: 1; the first: line 7202"]
    {
        assert!(run.talk.contains(said), "{said}: {}", run.talk);
    }
    for said in [
        "Settled.",
        "within the limit of 50.0 mA",
        "every 9.6 min",
        "A day takes",
        "400 mA to 25.1 mA",
        "telematics",
    ] {
        assert!(run.out.replace("\n  ", " ").contains(said), "{said}: {}", run.out);
    }
    assert!(run.out.contains('█'));
    for columns in ["40", "60", "80"] {
        let world = World::new().columns(columns).with("TERM", "dumb").with("NO_COLOR", "1");
        world.write("night.csv", &dated());
        let run = world.say("settle night.csv").ends(0);
        let width: usize = columns.parse().expect("a number");
        assert!(run.out.lines().all(|line| line.chars().count() <= width), "{}", run.out);
        assert!(!run.out.contains('█') && run.out.contains('#'));
        assert!(run.out.chars().all(|c| c == '\n' || !c.is_control()));
    }
}

#[test]
fn not_settled_is_an_honest_no_with_the_whole_json() {
    let world = World::new();
    let rows: String = (0..900).map(|at| format!("{at},{}\n", if at < 600 { 400 } else { 25 })).collect();
    world.write("short.csv", &format!("elapsed s,mA\n{rows}"));
    let json = world.say("settle short.csv --format json").ends(1).json();
    assert_eq!(json["settled"], false);
    for key in ["at", "after_min", "level", "average", "wake_period_min"] {
        assert!(json[key].is_null(), "{key}");
    }
    assert_eq!(json["steps"].as_array().map(Vec::len), Some(1));
    let run = world.say("settle short.csv").ends(1);
    assert!(run.out.starts_with("Not settled."), "{}", run.out);
}

#[test]
fn wrong_files_and_options_are_refused_with_a_remedy() {
    let world = World::new();
    world.write("words.csv", "no numbers here\n");
    world.write("volts.csv", "t,U (mV)\n1,2\n2,2\n3,2\n");
    world.write("night.csv", &dated());
    for (line, code, said) in [
        ("settle missing.csv", 1, "missing.csv"),
        ("settle .", 1, "name a file"),
        ("settle words.csv", 1, "no row with numbers"),
        ("settle volts.csv", 1, "--shunt"),
        ("settle night.csv --unit parsec", 2, "A, mA, uA"),
        ("settle night.csv --separator dash", 2, "semicolon"),
        ("settle night.csv --limit -3mA", 2, "above zero"),
        ("settle night.csv --column 7", 1, "one of"),
        ("settle night.csv --map nowhere", 1, "nowhere"),
        ("settle night.csv --clamp nowhere", 1, "nowhere"),
    ] {
        let run = world.say(line).ends(code);
        assert!(run.talk.replace("\n  ", " ").contains(said), "{line}: {}", run.talk);
    }
}

#[test]
fn what_a_log_shows_becomes_entries_of_a_session_log_once() {
    let world = World::new();
    world.write("night.csv", &dated());
    world.say("open x.hunt.yaml --map hatch --at 2026-11-02T07:40:00+01:00").ends(0);
    let json = world.say("settle night.csv --into x.hunt.yaml --format json").ends(0).json();
    assert_eq!(json["entries"], serde_json::json!([2, 3]));
    let log = world.read("x.hunt.yaml");
    // The log tells its dates: the entries stand at its end.
    for said in
        ["entry: total", "entry: watched", "25.10 mA", "at: \"2026-11-02T21:59:58+01:00\"", "count: 23"]
    {
        assert!(log.contains(said), "{said}: {log}");
    }
    let suspects = world.say("suspects x.hunt.yaml --format json").json();
    assert!((suspects["total"]["value"].as_f64().expect("a total") - 25.1).abs() < 0.1, "{suspects}");
    let record = world.say("record x.hunt.yaml").ends(0);
    assert!(record.out.contains("rests at 25.1 mA"), "{}", record.out);
    let again = world.say("settle night.csv --into x.hunt.yaml").ends(1);
    assert!(again.talk.contains("already, as entry 3"), "{}", again.talk);
    assert_eq!(log, world.read("x.hunt.yaml"), "nothing is entered twice");
    world.say("strike x.hunt.yaml 3 --why 'wrong vehicle'").ends(0);
    world.say("settle night.csv --into x.hunt.yaml").ends(0);
}

#[test]
fn a_log_that_cycles_gives_its_cycles_and_no_total_and_a_short_one_gives_nothing() {
    let world = World::new();
    let rows = |count: u32| -> String {
        (0..count).map(|at| format!("{},{}\n", at * 5, if at % 120 < 50 { 400 } else { 25 })).collect()
    };
    world.write("cycling.csv", &format!("elapsed s,mA\n{}", rows(2_000)));
    world.write("short.csv", &format!("elapsed s,mA\n{}", rows(60)));
    world.say("open x.hunt.yaml --map hatch").ends(0);
    let json = world.say("settle cycling.csv --into x.hunt.yaml --format json").ends(1).json();
    assert_eq!(json["entries"], serde_json::json!([2]));
    let text = world.say("settle short.csv --into x.hunt.yaml").ends(1);
    assert!(text.out.contains("Nothing was entered"), "{}", text.out);
    let log = world.read("x.hunt.yaml");
    assert!(log.contains("level_ma: null") && !log.contains("entry: total"), "{log}");
    let wrong = world.say("settle cycling.csv --into x.hunt.yaml --map hatch").ends(2);
    assert!(wrong.talk.contains("cannot be used with"), "{}", wrong.talk);
}

/// The samples are nights of practice vehicles: made again they are the same, and each shows what it was made for.
#[test]
fn the_samples_are_practice_nights_that_show_what_they_are_for() {
    let world = World::new();
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    for (story, settled, said) in [
        ("evening", true, "It rests at"),
        ("pulse", true, "telematics"),
        ("held", true, "over the limit"),
        ("converter", true, "supports the battery"),
    ] {
        let made =
            world.say(&format!("practice --night {story} --at-start 2026-11-02T19:30:00+01:00")).ends(0);
        let path = folder.join(format!("{story}.csv"));
        if std::env::var_os("FUSETRAIL_KEEP_SAMPLES").is_some() {
            std::fs::write(&path, &made.out).expect("kept");
        }
        assert!(made.out.starts_with("# Practice vehicle") && made.out.contains("Invented."));
        assert!(
            std::fs::read_to_string(&path).expect("a sample") == made.out,
            "{story}: made anew it differs"
        );
        let path = path.to_string_lossy();
        let run = world.run(&["settle", &path, "--limit", "50mA"]).ends(i32::from(!settled));
        assert!(run.out.replace("\n  ", " ").contains(said), "{story}: {}", run.out);
    }
}

#[test]
fn the_days_that_were_told_are_held_against_what_a_day_takes() {
    let world = World::new();
    world.write("night.csv", &dated());
    let begin = ["hunt", "x.hunt.yaml", "--map", "hatch", "--at-start", "2026-11-02T07:40:00+01:00"];
    world.run_with(&begin, "van\nflat\n3 d\nquit\n").ends(0);
    let run = world.say("settle night.csv --into x.hunt.yaml").ends(0);
    // 39.9 mA for three days.
    let said = run.out.replace("\n  ", " ");
    assert!(said.contains("this takes 2.9 Ah") && said.contains("does not explain it"), "{said}");
}

/// Answers that lead to the wait, and past it where something else has ended it.
const TO_THE_WAIT: &str = "\
battery.volts: 12.6 V
battery.test: good
charging.known: good
hook-up.method: clamp
hook-up.temperature: 18 C
total.reading: 25 mA
total.volts: 12.6 V
'*zero*': skip no meter for it
'caution.*': 'yes'
'*': ''
";

#[test]
fn a_log_that_rests_ends_the_wait_of_a_hunt() {
    let world = World::new();
    world.write("answers.yaml", TO_THE_WAIT);
    world.write("night.csv", &format!("t;I [A]\n{}", night(|s, ma| format!("{s};{:.4}", ma / 1e3))));
    let hunt = "hunt x.hunt.yaml --map hatch --answers answers.yaml";
    let stopped = world.say(hunt).ends(1);
    assert!(stopped.talk.contains("the answer to settle.wait"), "{}", stopped.talk);
    world.say("settle night.csv --into x.hunt.yaml").ends(0);
    let gone_on = world.say("hunt x.hunt.yaml --answers answers.yaml");
    assert!(!gone_on.talk.contains("settle.wait"), "{gone_on:?}");
    let log = world.read("x.hunt.yaml");
    assert!(log.contains("question: total.volts") && !log.contains("provisional: true"), "{log}");
}

#[test]
fn somebodys_word_that_it_rests_ends_the_wait_and_is_kept_as_told() {
    let world = World::new();
    world.write("answers.yaml", &format!("settle.wait: settled 25 mA\n{TO_THE_WAIT}"));
    world.say("hunt x.hunt.yaml --map hatch --answers answers.yaml");
    let log = world.read("x.hunt.yaml");
    assert!(log.contains("question: settle.wait\n  answer: told"), "{log}");
    assert!(log.contains("entry: watch") && !log.contains("provisional: true"), "{log}");
}
