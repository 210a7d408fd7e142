//! Worked case (numbers from the trade, vehicle invented): settled 0.23 A; one fuse reads 2.3 mV; pulling it removes
//! the draw; it feeds the hands-free module.

use crate::bench::Bench;
use crate::follow::World;
use fusetrail::plan::proposal::Stop;

const MAP: &str = "
format: fusetrail-map/1
title: invented saloon
boxes: {cabin: {where: left of the column}}
feeds:
  - {id: F1, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: radio, asleep_ma: 4}]}
  - {id: F2, from: battery, box: cabin, fuse: {family: mini, rating_a: 15}, loads: [{name: body control, asleep_ma: 8}]}
  - {id: F3, from: battery, box: cabin, fuse: {family: mini, rating_a: 7.5}, loads: [{name: hands-free module, asleep_ma: 1}]}
  - {id: F4, from: battery, box: cabin, fuse: {family: mini, rating_a: 20}, loads: [{name: power socket}]}
  - {id: F5, from: battery, box: cabin, fuse: {family: blade, rating_a: 15}, loads: [{name: alarm siren, asleep_ma: 1}]}
";

#[test]
fn the_phone_module_comes_first() {
    let mut bench = Bench::on(MAP);
    bench.enter("zero 0.0").enter("total 230").enter("F3 2.3").enter("others 0.0");
    let analysis = bench.analysis();
    assert_eq!(analysis.ranking().suspects[0].id, "F3");
    assert!(matches!(analysis.plan().stop, Stop::Decided(_)), "{:?}", analysis.plan().stop);
    // 2.3 mV on 10.85 mΩ is 212 mA.
    let excess = analysis.ranking().suspects[0].excess;
    assert!((160.0..250.0).contains(&excess.value.milli()), "{excess:?}");
    bench.enter("pull F3 230 22");
    let analysis = bench.analysis();
    assert_eq!(analysis.leader().name, "F3");
    assert!(analysis.leader().probability > 0.99);
    assert!(analysis.conflicts().is_empty(), "{:?}", analysis.conflicts());
}

#[test]
fn the_plan_finds_the_phone_module() {
    let world = World {
        always: vec![
            ("F1/radio", 5.0),
            ("F2/body control", 9.0),
            ("F3/hands-free module", 212.0),
            ("F5/alarm siren", 2.0),
        ],
        ..World::default()
    };
    let trail = world.follow(Bench::on(MAP).enter("temp 25C"));
    assert!(trail.searched.contains(&"F3 2.3".to_owned()), "{:?}", trail.searched);
    assert!(matches!(trail.end.plan().stop, Stop::Decided(_)), "{:?}", trail.end.plan().stop);
    let first = &trail.end.ranking().suspects[0];
    assert_eq!((first.id.as_str(), first.loads[0].0.as_deref()), ("F3", Some("hands-free module")));
    assert!(first.probability > 0.95, "{}", first.probability);
}
