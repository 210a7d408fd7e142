//! Worked cases (numbers from the trade, vehicles invented): 0.56 A that falls to 0.05 A only with four module fuses
//! out, because the selector never reports Park; and a bus held awake by one input, 150 mA to 3.5 A.

use crate::bench::Bench;
use crate::follow::{Trail, World};
use fusetrail::circuit::builtin;
use fusetrail::measure::kind::MeasurementKind;
use fusetrail::plan::proposal::Stop;
use fusetrail::text;

pub const MAP: &str = "
format: fusetrail-map/1
title: invented pickup
boxes: {engine: {where: left wing}}
wake_groups:
  drive-bus: {inputs: [selector in Park, ignition switch]}
feeds:
  - {id: F1, from: battery, box: engine, fuse: {family: mini, rating_a: 10}, loads: [{name: transmission control, asleep_ma: 9, awake_ma: 120, wake_group: drive-bus}]}
  - {id: F2, from: battery, box: engine, fuse: {family: mini, rating_a: 15}, loads: [{name: engine control unit, asleep_ma: 12, awake_ma: 300, wake_group: drive-bus}]}
  - {id: F3, from: battery, box: engine, fuse: {family: mini, rating_a: 10}, loads: [{name: gateway, asleep_ma: 10, awake_ma: 150, wake_group: drive-bus}]}
  - {id: F4, from: battery, box: engine, fuse: {family: mini, rating_a: 10}, loads: [{name: instrument cluster, asleep_ma: 9, awake_ma: 210, wake_group: drive-bus}]}
  - {id: F5, from: battery, box: engine, fuse: {family: mini, rating_a: 20}, loads: [{name: radio, asleep_ma: 4}]}
  - {id: F6, from: battery, box: engine, fuse: {family: mini, rating_a: 15}, loads: [{name: horn}]}
";

/// Four modules of the group read high.
fn four_high(map: &str) -> Bench {
    let mut bench = Bench::on(map);
    bench.enter("zero 0.0").enter("total 560");
    bench.enter("F1 0.6").enter("F2 1.0").enter("F3 0.8").enter("F4 0.9");
    bench
}

/// An input comes next: what the vehicle says of it, or working it.
pub fn is_at_input(action: MeasurementKind) -> bool {
    matches!(action, MeasurementKind::Input | MeasurementKind::Report)
}

#[test]
fn four_high_modules_end_at_their_shared_input() {
    let mut bench = four_high(MAP);
    let analysis = bench.analysis();
    assert_eq!(analysis.leader().name, "drive-bus");
    assert!(analysis.leader().probability > 0.95, "{:?}", analysis.leader());
    let first = analysis.plan().readings.first().expect("an input to work");
    assert!(is_at_input(first.action), "before any pull");
    bench.enter("input selector in Park 560 50");
    let analysis = bench.analysis();
    assert_eq!(analysis.plan().stop, Stop::Ended);
    let group = &analysis.ranking().groups[0];
    assert_eq!(group.input.as_ref().map(|(name, _)| name.as_str()), Some("selector in Park"));
    assert!(group.probability > 0.99);
    assert!(
        analysis.ranking().suspects.iter().all(|suspect| suspect.probability < 0.01),
        "no module is accused"
    );
}

/// Where a group has one input only, that one leads before it was tried.
#[test]
fn an_input_ended_the_draw_only_if_it_was_worked() {
    let mut bench = four_high(&MAP.replace(", ignition switch", ""));
    let why = |bench: &Bench| {
        let analysis = bench.analysis();
        text::suspects::why_group(&analysis.ranking().groups[0], &analysis.facts.night, &analysis.panel)
    };
    assert!(!why(&bench).contains("ended it"), "{}", why(&bench));
    bench.enter("input selector in Park 560 50");
    assert!(why(&bench).contains("\"selector in Park\" ended it"), "{}", why(&bench));
}

#[test]
fn a_bus_held_awake_is_found_at_any_size() {
    for (total, drops) in [("150", ["0.2", "0.4", "0.2", "0.3"]), ("3.5A", ["4.0", "5.1", "5.8", "6.2"])] {
        let mut bench = Bench::on(MAP);
        bench.enter("zero 0.0").enter(&format!("total {total}"));
        for (feed, drop) in ["F1", "F2", "F3", "F4"].iter().zip(drops) {
            bench.enter(&format!("{feed} {drop}"));
        }
        bench.enter("F5 0.0").enter("F6 0.0");
        let leader = bench.analysis().leader();
        let (leader, probability) = (leader.name.clone(), leader.probability);
        assert_eq!(leader, "drive-bus", "{total}: {probability}");
        let first = bench.analysis().plan().readings.first().map(|first| first.action);
        assert!(first.is_some_and(is_at_input), "{total}: {first:?}");
    }
}

/// An input that lowers the draw and leaves much of it: the group is found, and the search goes on for the rest.
#[test]
fn a_release_that_leaves_a_draw_is_not_the_end() {
    let mut bench = Bench::on(MAP);
    bench.enter("zero 0.0").enter("total 960").enter("input selector in Park 960 450");
    let analysis = bench.analysis();
    assert_eq!(analysis.plan().stop, Stop::Open, "450 mA are left");
    assert!(!analysis.plan().readings.is_empty());
    bench.enter("F5 1.3");
    let analysis = bench.analysis();
    assert!(analysis.conflicts().is_empty(), "{:?}", analysis.conflicts());
    let radio = analysis.ranking().suspects.iter().find(|suspect| suspect.id == "F5").expect("listed");
    assert!(radio.probability > 0.9, "{}", radio.probability);
    assert!(analysis.ranking().groups[0].probability > 0.9, "{}", analysis.ranking().groups[0].probability);
}

/// A network on a lid map, awake in part, falls by less than its modules draw awake by the catalogue: what is left after the
/// release was read, and is over the limit, whatever was reckoned before.
#[test]
fn what_is_left_after_a_release_counts_as_it_was_read() {
    let lid =
        builtin::map("van").expect("built in").as_lid().expect("a lid").completed().expect("completed").0;
    let mut bench = Bench::on(&lid.to_yaml().expect("text"));
    bench.enter("temp 20C").enter("zero 0.0").enter("total 428").enter("clamp P2 237").enter("clamp P1 3");
    for line in
        ["clamp P3 181", "C5 0.0", "C3 0.3", "C4 0.0", "C7 1.3", "input rear or sliding door latch 429 124"]
    {
        bench.enter(line);
    }
    let analysis = bench.analysis();
    assert_eq!(analysis.plan().stop, Stop::Open, "{:?}", analysis.leader());
}

/// The pickup on the bench: asleep it draws 50 mA, and its bus, held awake, `awake` times the figures of the map.
pub fn pickup(holder: &'static str, awake: f64) -> Trail {
    let world = World {
        always: vec![
            ("F1/transmission control", 10.0),
            ("F2/engine control unit", 13.0),
            ("F3/gateway", 11.0),
            ("F4/instrument cluster", 10.0),
            ("F5/radio", 6.0),
        ],
        awake: vec![
            ("F1/transmission control", awake * 110.0),
            ("F2/engine control unit", awake * 287.0),
            ("F3/gateway", awake * 139.0),
            ("F4/instrument cluster", awake * 200.0),
        ],
        holder,
        ..World::default()
    };
    world.follow(Bench::on(MAP).enter("temp 25C"))
}

pub fn assert_held(trail: &Trail) {
    let readings = [&trail.searched[..], &trail.narrowed].concat();
    let leader = trail.end.leader();
    let (leader, probability) = (leader.name.clone(), leader.probability);
    assert_eq!(leader, "drive-bus", "{probability} after {readings:?}");
    assert!(probability > 0.95, "{probability} after {readings:?}");
    let accused = trail.end.ranking().suspects.iter().find(|suspect| suspect.probability > 0.1);
    assert!(accused.is_none(), "{accused:?} after {readings:?}");
    assert!(!readings.iter().any(|line| line.starts_with("pull")), "{readings:?}");
}

/// 0.56 A to 0.05 A.
#[test]
fn the_plan_ends_at_the_selector_that_never_reports_park() {
    let trail = pickup("selector in Park", 0.693);
    assert_held(&trail);
    assert_eq!(trail.end.plan().stop, Stop::Ended);
    let input = trail.end.ranking().groups[0].input.as_ref();
    assert_eq!(input.map(|(name, _)| name.as_str()), Some("selector in Park"));
}

/// 150 mA to 3.5 A, by either input.
#[test]
fn the_plan_ends_at_the_input_that_holds_a_bus_awake_at_any_size() {
    for (total, awake) in [(150, 0.136), (300, 0.34), (1000, 1.29), (3500, 4.69)] {
        for holder in ["selector in Park", "ignition switch"] {
            let trail = pickup(holder, awake);
            assert_held(&trail);
            assert_eq!(trail.end.plan().stop, Stop::Ended, "{total} mA by {holder}");
            let input = trail.end.ranking().groups[0].input.as_ref();
            assert_eq!(input.map(|(name, _)| name.as_str()), Some(holder), "{total} mA");
        }
    }
}

/// An input that two groups name belongs to both, whichever stands first in the map.
#[test]
fn an_input_named_in_two_groups_releases_the_one_that_it_holds() {
    let map = MAP
        .replace("wake_groups:\n", "wake_groups:\n  comfort-bus: {inputs: [selector in Park, key]}\n")
        .replace(
            "{name: radio, asleep_ma: 4}",
            "{name: radio, asleep_ma: 4, awake_ma: 40, wake_group: comfort-bus}",
        );
    let mut bench = four_high(&map);
    let inputs = |bench: &Bench| -> Vec<String> {
        let plan = bench.analysis().plan().readings.clone();
        let inputs = plan.into_iter().filter(|one| one.action == MeasurementKind::Input);
        inputs.filter_map(|one| one.at).collect()
    };
    let proposed = inputs(&bench);
    let selector = proposed.iter().filter(|name| *name == "selector in Park").count();
    assert_eq!(selector, 1, "worked once for both: {proposed:?}");
    bench.enter("input selector in Park 560 50");
    let analysis = bench.analysis();
    let group = &analysis.ranking().groups[0];
    assert_eq!((group.id.as_str(), group.probability > 0.95), ("drive-bus", true), "{group:?}");
    assert_eq!(group.input.as_ref().map(|(name, _)| name.as_str()), Some("selector in Park"));
    assert!(!inputs(&bench).contains(&"selector in Park".to_owned()));
}
