//! `stand`: days from what is printed on a battery, its volts and a draw.

use crate::world::World;

fn days(line: &str) -> f64 {
    let json = World::new().say(&format!("stand {line} --format json")).ends(0).json();
    assert_eq!(json["days"]["unit"], "d");
    json["days"]["value"].as_f64().expect("a number")
}

/// By hand: 70 Ah from full to 60 % at 50 mA with 3 % a month; 20 Ah at 10 mA is 83 d less what it loses by itself.
#[test]
fn days_are_those_worked_out_by_hand() {
    let agm = days("--draw 50mA --capacity 70Ah --chemistry agm --lowest 60%");
    assert!((agm - 22.06).abs() < 0.005, "{agm}");
    let whole = days("--draw 10mA --capacity 20Ah --chemistry agm --lowest 0");
    let by_hand = 20.0 / (0.24 + 20.0 * 0.03 / 30.44);
    assert!((whole - by_hand).abs() < 1e-6, "{whole}");
}

#[test]
fn cold_and_a_low_charge_shorten_it() {
    let at = |more: &str| days(&format!("--draw 100mA --capacity 60Ah {more}"));
    assert!(at("--temp -15C") < at("--temp 20C"));
    assert!(at("--ocv 12.4V") < at("--ocv 12.6V"));
}

#[test]
fn before_and_after_a_repair_the_draw_allowed_and_a_table_are_told() {
    let run = World::new().say("stand --draw 482mA --after 22mA --reserve 100 --days 21").ends(0);
    for words in ["after the repair", "To stand 21 d it may draw", "from reserve minutes", "250 mA"] {
        assert!(run.out.contains(words), "{words}: {run:?}");
    }
    assert!(run.talk.contains("taken as full"), "{run:?}");
}

#[test]
fn the_average_of_a_log_is_a_draw() {
    let world = World::new();
    let rows: String = (0..3000)
        .map(|second| {
            format!("{second},{}\n", if (300..345).contains(&(second % 600)) { 180.0 } else { 20.0 })
        })
        .collect();
    world.write("night.csv", &format!("time s,current mA\n{rows}"));
    let json = world.say("stand --trace night.csv --capacity 60Ah --format json").ends(0).json();
    // (45 · 180 + 555 · 20) / 600 = 32 mA
    let draw = json["draw"]["value"].as_f64().expect("a number");
    assert!((draw - 32.0).abs() < 0.5, "{draw}");
    world.write("short.csv", "time s,current mA\n0,20\n1,20\n");
    let run = world.say("stand --trace short.csv").ends(1);
    assert!(run.talk.contains("fusetrail settle short.csv"), "{run:?}");
}

#[test]
fn where_volts_say_nothing_the_interval_is_wide_and_it_is_said() {
    let run = World::new().say("stand --draw 20mA --capacity 100Ah --ocv 13.2V --chemistry lithium").ends(0);
    assert!(run.talk.contains("not readable"), "{run:?}");
    let run = World::new().say("stand --draw 20mA --capacity 100Ah --ocv 13.2V").ends(0);
    assert!(run.talk.contains("as if full"), "{run:?}");
    let pair = World::new().say("stand --draw 20mA --capacity 100Ah --ocv 25.2V").ends(0);
    assert!(pair.talk.contains("two batteries"), "{pair:?}");
}

#[test]
fn what_cannot_be_meant_is_refused_with_a_right_form() {
    for (line, words) in [
        ("--draw -5mA", "below zero"),
        ("--draw 50V", "a current"),
        ("--draw 50mA --capacity 0Ah", "not above zero"),
        ("--draw 50mA --chemistry jelly", "agm"),
        ("--draw 50mA --lowest 120%", "0 to 100"),
        ("--draw 50mA --temp 150C", "no place for a battery"),
    ] {
        let run = World::new().say(&format!("stand {line}")).ends(1);
        assert!(run.talk.contains(words), "{line}: {run:?}");
    }
    World::new().say("stand --capacity 60Ah").ends(2);
    World::new().say("stand --draw 50mA --capacity 60Ah --reserve 100").ends(2);
}

#[test]
fn every_figure_has_its_source() {
    let run = World::new().say("stand --draw 50mA --sources").ends(0);
    for words in ["BCI table", "TM 5-1185", "from memory", "editorial"] {
        assert!(run.out.contains(words), "{words}: {run:?}");
    }
}
