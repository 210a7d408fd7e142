//! Narrowing from the circuit to what is on it: unplugging moves belief from the branch to its load, and a fall of
//! several circuits at one unplug ends at their shared cause. All vehicles are invented.

use crate::bench::Bench;
use crate::follow::World;
use crate::shared_cause::{MAP as PICKUP, assert_held, pickup};
use fusetrail::measure::event::Event;
use fusetrail::plan::analysis::Analysis;
use fusetrail::text;

const ESTATE: &str = "
format: fusetrail-map/1
title: invented estate
boxes: {cabin: {where: glovebox}}
feeds:
  - {id: F7, from: battery, box: cabin, fuse: {family: mini, rating_a: 15}, loads: [{name: radio, asleep_ma: 4}, {name: hands-free module, asleep_ma: 1}, {name: glovebox lamp}]}
  - {id: F8, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: alarm siren, asleep_ma: 4}]}
  - {id: F9, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: body control, asleep_ma: 8}]}
";

/// Share of a load on F7 in its branch's probability; `None` for an unlisted one.
fn share(analysis: &Analysis, load: Option<&str>) -> f64 {
    let branch = analysis.ranking().suspects.iter().find(|suspect| suspect.id == "F7").expect("listed");
    assert!(branch.probability > 0.95, "the circuit stays: {}", branch.probability);
    branch.loads.iter().find(|(name, _)| name.as_deref() == load).map_or(0.0, |(_, share)| *share)
}

#[test]
fn an_unplug_moves_belief_from_the_branch_to_its_load() {
    let mut bench = Bench::on(ESTATE);
    bench.enter("zero 0.0").enter("total 300").enter("F7 1.3").enter("F8 0.0").enter("F9 0.1");
    let before = bench.analysis();
    let loads = [Some("radio"), Some("hands-free module"), Some("glovebox lamp"), None];
    let shares = loads.map(|load| share(&before, load));
    assert!(shares.iter().all(|share| *share < 0.9), "the drop can't tell them apart: {shares:?}");
    bench.enter("unplug F7/radio 300 300");
    let without = bench.analysis();
    assert!(share(&without, loads[0]) < 0.01, "{}", share(&without, loads[0]));
    assert!(loads[1..].iter().all(|load| share(&without, *load) > share(&before, *load)));
    bench.enter("unplug F7/hands-free module 300 21");
    let found = bench.analysis();
    assert!(share(&found, loads[1]) > 0.99, "{}", share(&found, loads[1]));
    assert!(found.conflicts().is_empty(), "{:?}", found.conflicts());
}

#[test]
fn each_listed_load_is_found_by_the_plan() {
    for load in ["F7/radio", "F7/hands-free module", "F7/glovebox lamp"] {
        let world = World {
            always: vec![(load, 280.0), ("F8/alarm siren", 6.0), ("F9/body control", 11.0)],
            ..World::default()
        };
        let trail = world.follow(Bench::on(ESTATE).enter("temp 25C"));
        let found = share(&trail.end, load.split('/').nth(1));
        assert!(found > 0.95, "{load}: {found} after {:?}", trail.narrowed);
    }
}

/// The pickup with all four fuses of its bus high, and neither input to blame.
fn four_high() -> Bench {
    let mut bench = Bench::on(PICKUP);
    bench.enter("zero 0.0").enter("total 560");
    for line in ["F1 0.6", "F2 1.4", "F3 0.8", "F4 1.1"] {
        bench.enter(line);
    }
    bench.enter("input selector in Park 560 560").enter("input ignition switch 560 560");
    bench
}

#[test]
fn feeds_that_fall_together_at_one_unplug_end_at_the_shared_cause() {
    for line in ["unplug F1/transmission control 560 50", "pull F1 560 50"] {
        let mut bench = four_high();
        bench.enter(line);
        let analysis = bench.analysis();
        let group = &analysis.ranking().groups[0];
        assert!(group.probability > 0.95, "{line}: {}", group.probability);
        let module = group.module.as_ref().map(|(name, _)| name.as_str());
        assert_eq!(module, Some("F1/transmission control"), "{line}");
        let accused = analysis.ranking().suspects.iter().find(|suspect| suspect.probability > 0.05);
        assert!(accused.is_none(), "{line}: {accused:?}");
        let why = text::suspects::why_group(group, &analysis.facts.night, &analysis.panel);
        assert!(why.contains("shared cause") && why.contains("transmission control"), "{why}");
        let said: Vec<String> =
            analysis.observed.events.iter().map(|(_, event)| text::reading::event(event).text()).collect();
        assert!(said.iter().any(|line| line.contains("network fell asleep with it")), "{said:?}");
        // The others are at rest now: that is no contradiction, and the account still tells of the state as found.
        for quiet in ["F2 0.0", "F3 0.1", "F4 0.0"] {
            bench.enter(quiet);
        }
        let analysis = bench.analysis();
        assert!(analysis.conflicts().is_empty(), "{line}: {:?}", analysis.conflicts());
        assert!(analysis.ranking().groups[0].probability > 0.95, "{line}");
        let account = analysis.account.as_ref().expect("solved");
        let engine = account.feeds.iter().find(|feed| feed.id == "F2").expect("listed").current.value();
        assert!(engine.milli() > 100.0, "{line}: {engine:?}");
    }
}

/// A module that takes no more than its own current with it holds nothing awake, and one that draws all of it by itself
/// is a module at fault and no shared cause.
#[test]
fn a_module_that_falls_alone_is_no_shared_cause() {
    let mut bench = four_high();
    bench.enter("unplug F1/transmission control 560 485");
    let analysis = bench.analysis();
    let group = &analysis.ranking().groups[0];
    assert!(group.probability > 0.95 && group.module.is_none(), "{group:?}");
    let together = |(_, event): &(usize, Event)| matches!(event, Event::FellTogether { .. });
    assert!(!analysis.observed.events.iter().any(together), "{:?}", analysis.observed.events);

    let mut alone = Bench::on(PICKUP);
    alone.enter("zero 0.0").enter("total 560").enter("F1 3.9");
    for line in ["F2 0.1", "F3 0.1", "F4 0.1", "unplug F1/transmission control 560 50"] {
        alone.enter(line);
    }
    let leader = alone.analysis().leader();
    let (leader, probability) = (leader.name.clone(), leader.probability);
    assert_eq!(leader, "F1");
    let analysis = alone.analysis();
    let group = &analysis.ranking().groups[0];
    assert!(probability > 0.9 && group.module.is_none(), "{probability}, {group:?}");
}

/// Once the module is back its group is awake again.
#[test]
fn a_module_plugged_in_again_wakes_its_group() {
    let mut bench = four_high();
    bench.enter("unplug F1/transmission control 560 50").enter("refit F1/transmission control 555");
    let analysis = bench.enter("total 558").enter("F2 1.4").analysis();
    assert!(analysis.conflicts().is_empty(), "{:?}", analysis.conflicts());
    let group = &analysis.ranking().groups[0];
    assert!(group.probability > 0.95 && group.module.is_some(), "{group:?}");
}

/// 0.56 A that falls with one module's fuse out, whichever of the four it is.
#[test]
fn the_plan_ends_at_a_bus_that_one_of_its_modules_holds_awake() {
    for holder in ["F1/transmission control", "F2/engine control unit", "F3/gateway", "F4/instrument cluster"]
    {
        let trail = pickup(holder, 0.693);
        assert_held(&trail);
        let group = &trail.end.ranking().groups[0];
        let module = group.module.as_ref().map(|(name, _)| name.as_str());
        assert_eq!(module, Some(holder), "after {:?} {:?}", trail.searched, trail.narrowed);
        assert!(group.input.is_none(), "{holder}: no input is blamed");
    }
}
