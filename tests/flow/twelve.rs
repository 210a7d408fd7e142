//! The table of twelve batteries in the README equals what the tool says. All twelve are invented.
//! After a change that is meant, the failed test prints the whole table anew: read it before copying it.

use fusetrail::base::quantity::{Ampere, Celsius, Minute, Share, Uncertain, Unit, Volt};
use fusetrail::battery::capacity::capacity;
use fusetrail::battery::charge::Unreadable;
use fusetrail::battery::chemistry::Chemistry;
use fusetrail::battery::cold::{self, Use};
use fusetrail::battery::judge::{BatteryEvidence, Test, judge};
use fusetrail::battery::rating;
use fusetrail::battery::stand::Stock;
use fusetrail::battery::table::BatteryTable;
use fusetrail::circuit::map::VehicleClass;
use fusetrail::text;

const README: &str = include_str!("../../README.md");

/// One case: what is printed, what was found, the draw.
struct Battery {
    label: &'static str,
    chemistry: Option<Chemistry>,
    class: VehicleClass,
    found: &'static str,
    evidence: BatteryEvidence,
    degrees: f64,
    draw_ma: f64,
}

fn volts(all: &[f64]) -> Vec<Volt> {
    all.iter().copied().map(Volt::new).collect()
}

fn good(at_rest: f64) -> BatteryEvidence {
    BatteryEvidence {
        volts: volts(&[at_rest]),
        test: Some(Test::Good),
        rested: Some(Minute::new(600.0)),
        ..BatteryEvidence::default()
    }
}

fn untested(at_rest: f64) -> BatteryEvidence {
    BatteryEvidence { test: None, ..good(at_rest) }
}

fn case(
    label: &'static str,
    chemistry: Chemistry,
    found: &'static str,
    evidence: BatteryEvidence,
    degrees: f64,
    draw_ma: f64,
) -> Battery {
    Battery { label, chemistry: Some(chemistry), class: VehicleClass::Car, found, evidence, degrees, draw_ma }
}

fn twelve() -> Vec<Battery> {
    use Chemistry::{Agm, Efb, Flooded, Gel, Lithium};
    let measured = |at_rest: f64, cranking: f64| BatteryEvidence {
        measured_cranking: Some(Ampere::new(cranking)),
        ..untested(at_rest)
    };
    let loaded =
        |at_rest: f64, load: f64| BatteryEvidence { load_test: Some(Volt::new(load)), ..untested(at_rest) };
    let pair = BatteryEvidence { volts: volts(&[12.66, 12.31]), ..untested(0.0) };
    let driven = BatteryEvidence { rested: Some(Minute::new(10.0)), ..untested(12.95) };
    vec![
        case("60 Ah", Flooded, "12.62 V, tested good", good(12.62), 20.0, 482.0),
        case("60 Ah", Flooded, "12.62 V, tested good", good(12.62), 20.0, 35.0),
        case("70 Ah", Agm, "12.60 V, tested good", good(12.60), 20.0, 50.0),
        case("70 Ah", Agm, "12.60 V, tested good", good(12.60), -18.0, 50.0),
        case("65 Ah", Efb, "12.30 V, not tested", untested(12.30), 10.0, 180.0),
        case("RC 120", Flooded, "12.95 V after a drive", driven, 15.0, 40.0),
        case("45 Ah 330 A EN", Flooded, "12.55 V, tester 230 A", measured(12.55, 230.0), 20.0, 30.0),
        case("74 Ah", Flooded, "12.58 V, load test 9.2 V", loaded(12.58, 9.2), 21.0, 25.0),
        Battery {
            class: VehicleClass::Caravan,
            ..case("80 Ah", Gel, "12.75 V, tested good", good(12.75), 20.0, 15.0)
        },
        case("100 Ah", Lithium, "13.20 V, tested good", good(13.20), 15.0, 20.0),
        case("60 Ah", Flooded, "11.50 V", untested(11.50), -8.0, 60.0),
        Battery {
            class: VehicleClass::Truck,
            ..case("170 Ah", Flooded, "a pair, 12.66 and 12.31 V", pair, 5.0, 120.0)
        },
    ]
}

/// The row of a case as the README has it.
fn row(battery: &Battery) -> String {
    let table = BatteryTable::builtin().expect("the table reads");
    let ratings = rating::read(battery.label).expect("a label");
    let temperature = Celsius::new(battery.degrees);
    let evidence = BatteryEvidence {
        chemistry: battery.chemistry,
        temperature: Some(temperature),
        rated_cranking: ratings.cranking,
        ..battery.evidence.clone()
    };
    let found = judge(table, &evidence).expect("a type");
    let charge = found.charge().expect("volts were read").clone();
    let figures = table.of(battery.chemistry.expect("known")).expect("a type");
    let stock = Stock {
        capacity: capacity(table, &ratings, battery.class).capacity,
        // As the stand command: surface charge hides what is below, so the most that it can stand is told.
        charge: match charge.unreadable {
            Some(Unreadable::Surface) => Uncertain::new(Share::new(1.0), Share::new(0.02)),
            _ => charge.share.clone(),
        },
        lowest: cold::lowest(table, figures, temperature, Use::of(battery.class)),
        self_discharge: figures.self_discharge.clone(),
        temperature,
    };
    let stands = stock.days(&Uncertain::exact(Ampere::from_milli(battery.draw_ma)));
    let first = text::battery::reason(found.reasons.first().expect("a reason"));
    let why = first.split(". ").next().unwrap_or_default().trim_end_matches('.');
    let charged =
        if charge.unreadable.is_some() { "not readable".to_owned() } else { text::battery::charge(&charge) };
    format!(
        "| {} {} | {} | {} °C | {} mA | {} | {}: {} | {} |",
        battery.chemistry.expect("known").name(),
        battery.label,
        battery.found,
        temperature.base(),
        battery.draw_ma,
        charged,
        found.verdict.word(),
        why,
        match charge.unreadable {
            _ if found.stops() => "stop".to_owned(),
            Some(Unreadable::Surface) => format!("{}, if full", text::stand::days(&stands)),
            _ => text::stand::days(&stands),
        }
    )
}

#[test]
fn the_readme_says_of_twelve_batteries_what_the_tool_says() {
    let rows: Vec<String> = twelve().iter().map(row).collect();
    assert_eq!(rows.len(), 12);
    let missing: Vec<&String> = rows.iter().filter(|row| !README.contains(row.as_str())).collect();
    assert!(missing.is_empty(), "the README must have:\n{}", rows.join("\n"));
}
