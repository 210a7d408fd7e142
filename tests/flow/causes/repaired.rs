//! A battery that was replaced, an earth strap that was cleaned, use that was agreed on: each hunt goes on to its proof.

use fusetrail::hunt::stage::handover::{Outcome, outcome};

use super::circuit::{ALTERNATOR, Battery, GOOD, Source, Supply};
use crate::bench::Bench;
use fusetrail::circuit::builtin;

/// What is told, the circuit before and after, and the answer that tells of the repair.
#[derive(Clone, Copy)]
struct Repair {
    told: &'static [(&'static str, &'static str)],
    before: Supply,
    after: Supply,
    done: (&'static str, &'static str),
}

/// Hunts to the end; the questions that were asked, and what it came to.
fn hunted(repair: &Repair) -> (Vec<String>, Outcome, Bench) {
    let map = builtin::MAPS.iter().find(|known| known.name == "hatch").expect("built in").text;
    let (mut bench, mut asked, mut done, mut waited) = (Bench::on(map), Vec::new(), false, false);
    for _ in 0..120 {
        let question = match bench.open() {
            Ok(question) => question,
            // Handed over, or stopped to see to it: taken up again once that was done.
            Err(_) if waited => return (asked, outcome(&bench.case()), bench),
            Err(_) => {
                waited = true;
                bench.wait(3 * 24 * 60);
                continue;
            }
        };
        let id = question.id.to_string();
        asked.push(id.clone());
        let is_now = id == repair.done.0;
        done |= is_now;
        let supply = if done { &repair.after } else { &repair.before };
        let told = repair.told.iter().find(|(known, _)| *known == id).map(|(_, text)| (*text).to_owned());
        let total = ["settle.wait", "prove.wait", "total.reading", "prove.total"].contains(&id.as_str());
        if id.ends_with(".wait") {
            bench.wait(4);
        }
        let text = is_now
            .then(|| repair.done.1.to_owned())
            .or(told)
            .or(total.then(|| "22 mA".to_owned()))
            .or_else(|| supply.shows(&id))
            .unwrap_or_else(|| match question.default {
                Some(_) => String::new(),
                None if id.starts_with("caution") => "yes".to_owned(),
                None => "skip not for this case".to_owned(),
            });
        bench.answer(&id, &text);
    }
    panic!("it never ends: {asked:?}");
}

const FLAT: &[Battery] = &[Battery { charge: 0.95, shorted: 1, inner: 0.008 }];

#[test]
fn a_battery_with_a_shorted_cell_is_replaced_tested_again_and_proved() {
    let told: &[(&str, &str)] = &[
        ("battery.type", "flooded"),
        ("battery.test", "results"),
        ("battery.rating", "60 Ah 540 A EN"),
        ("battery.rest", "10 h"),
        ("battery.charged", "yes"),
        ("charging.known", "good"),
    ];
    let before = Supply { batteries: FLAT, ..GOOD };
    let (asked, came, bench) =
        hunted(&Repair { told, before, after: GOOD, done: ("battery.again", "replaced") });
    assert_eq!(came, Outcome::Proven, "{asked:?}");
    let analysis = bench.analysis();
    assert_eq!(analysis.leader().name, "shorted cell");
    let again = asked.iter().position(|id| id == "battery.again").expect("asked");
    assert!(asked[again..].contains(&"battery.load".to_owned()), "tested again: {asked:?}");
}

#[test]
fn an_earth_strap_is_cleaned_measured_again_and_proved() {
    let told: &[(&str, &str)] = &[
        ("battery.type", "flooded"),
        ("battery.test", "good"),
        ("charging.known", "measure"),
        ("charging.kind", "plain"),
        ("charging.belt", "holds"),
    ];
    let before = Supply { source: Source { earth: 0.06, ..ALTERNATOR }, ..GOOD };
    let (asked, came, bench) = hunted(&Repair { told, before, after: GOOD, done: ("charging.again", "yes") });
    assert_eq!(came, Outcome::Proven, "{asked:?}");
    assert_eq!(bench.analysis().leader().name, "earth strap");
}

const SHORT_TRIPS: &[(&str, &str)] = &[
    ("battery.type", "flooded"),
    ("battery.test", "good"),
    ("charging.known", "good"),
    ("battery.rating", "60 Ah 540 A EN"),
    ("interview.recent", "short trips"),
    ("use.trips", "4 x 2 min"),
    ("use.road", "town"),
    ("use.volts", "12.60 V"),
];

#[test]
fn use_that_was_agreed_on_is_proved_by_volts_some_weeks_on() {
    let done = ("use.agreed", "charger");
    let repair = Repair { told: SHORT_TRIPS, before: GOOD, after: GOOD, done };
    let (asked, came, bench) = hunted(&repair);
    assert_eq!(came, Outcome::Kept, "{asked:?}");
    assert_eq!(asked.last().map(String::as_str), Some("use.volts"));
    let record: serde_json::Value = serde_yaml::from_str(&bench.record()).expect("YAML");
    let balance = &record["charging"]["balance"];
    assert_eq!((&balance["agreed"], &balance["volts_since"]), (&"charger".into(), &"12.60 V".into()));
    let ah = |what: &str| balance[what]["value"].as_f64().expect("a figure");
    let sum = ah("driving") - ah("starts") - ah("standing") - ah("own");
    assert!((ah("net") - sum).abs() < 0.02 && ah("net") < 0.0, "{balance}");

    let nothing = Repair { done: ("use.agreed", "told"), ..repair };
    assert_eq!(hunted(&nothing).1, Outcome::Used, "nothing was agreed on, so nothing is proved");
}

#[test]
fn low_volts_some_weeks_on_prove_nothing() {
    let told: Vec<(&str, &str)> = SHORT_TRIPS
        .iter()
        .map(|(id, text)| (*id, if *id == "use.volts" { "12.15 V" } else { text }))
        .collect();
    let done = ("use.agreed", "drives");
    assert_eq!(hunted(&Repair { told: told.leak(), before: GOOD, after: GOOD, done }).1, Outcome::Used);
}
