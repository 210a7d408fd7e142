//! The small vehicles of the vectors, with the readings taken on them. Leaves to others: what they say.

use chrono::{DateTime, Duration};
use fusetrail::base::quantity::{Ampere, Celsius, Minute, Typed, Uncertain, Volt};
use fusetrail::circuit::check::check;
use fusetrail::circuit::fuse_table::FuseTable;
use fusetrail::circuit::meters;
use fusetrail::measure::event::{Event, Observed};
use fusetrail::measure::observation::Panel;
use fusetrail::measure::observe::build_observations;
use fusetrail::measure::{Measurement, Reading};
use serde_json::Value;

use super::vectors::text;

/// A vehicle with what was read on it.
pub struct Vehicle {
    pub panel: Panel,
    pub observed: Observed,
}

/// Makes the vehicle of a case and takes its readings.
pub fn vehicle(case: &Value) -> Vehicle {
    let (map, _) = check("vector", text(case, "map")).unwrap_or_else(|faults| panic!("{faults:?}\n{case}"));
    let panel = Panel::new(map);
    let table = FuseTable::builtin();
    let found = case["found"].as_array().map_or(&[][..], Vec::as_slice);
    let readings: Vec<&Value> = case["readings"].as_array().expect("readings").iter().chain(found).collect();
    let readings: Vec<Reading> =
        readings.iter().enumerate().map(|(index, reading)| taken(index, reading, case)).collect();
    let observed = build_observations(&readings, &panel, table);
    // An input that leaves a draw makes two: by how much it fell, and what is left; one without a fall makes none.
    let left =
        observed.events.iter().filter(|(_, event)| matches!(event, Event::Released { left: Some(_), .. }));
    assert_eq!(
        observed.observations.len(),
        readings.len() - found.len() + left.count() - observed.tried.len(),
        "a reading without a claim: {case}"
    );
    Vehicle { panel, observed }
}

/// One reading; its entry follows the opening of the log and the zero.
fn taken(index: usize, reading: &Value, case: &Value) -> Reading {
    let meter = meters::find(text(case, "meter"), true).expect("a meter");
    let clamp = meters::find("clamp-1ma", false).expect("a clamp");
    let name = |at: usize| reading[at].as_str().expect("a name").to_owned();
    let ma = |at: usize| {
        Typed::measured(Ampere::from_milli(reading[at].as_f64().expect("mA")), clamp.resolution, "")
    };
    let what = match reading[0].as_str().expect("a kind") {
        "total" => Measurement::Total { current: ma(1), as_found: false },
        "drop" => {
            let drop = Volt::from_milli(reading[2].as_f64().expect("mV"));
            Measurement::Drop { feed: name(1), drop: Typed::measured(drop, meter.resolution, "") }
        }
        "clamp" => Measurement::Clamp { at: name(1), current: ma(2) },
        "pull" => Measurement::Pull { feed: name(1), before: ma(2), after: ma(3) },
        "unplug" => Measurement::Unplug { feed: name(1), load: name(2), before: ma(3), after: ma(4) },
        "look" => Measurement::Look { at: name(1), found: name(2) },
        "report" => Measurement::Report { of: name(1), says: name(2) },
        "out" => {
            let minutes = Minute::new(reading[3].as_f64().expect("min"));
            Measurement::Out { at: name(1), came: name(2), time: Typed::measured(minutes, 1.0, "") }
        }
        "input" => Measurement::Input { input: name(1), before: ma(2), after: ma(3) },
        other => panic!("no reading is called {other}"),
    };
    Reading {
        entry: index + 3,
        at: DateTime::parse_from_rfc3339("2026-11-02T07:40:00+01:00").expect("a time")
            + Duration::hours(case["hours_apart"].as_i64().unwrap_or_default() * index as i64),
        what,
        zero: case["zero_mv"].as_f64().map(|offset| (2, Volt::from_milli(offset))),
        meter,
        clamp,
        temperature: Uncertain::new(Celsius::new(20.0), Celsius::new(5.0)),
        provisional: false,
        after_repair: false,
    }
}
