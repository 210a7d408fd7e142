//! Worked case (numbers from the trade, vehicle invented): 465 to 500 mA, 20 mA with one fuse out; all three listed
//! loads unplugged without effect: an unlisted load on that fuse.

use crate::bench::Bench;
use crate::follow::World;
use fusetrail::plan::proposal::Stop;

const MAP: &str = "
format: fusetrail-map/1
title: invented estate
boxes: {cabin: {where: glovebox}}
feeds:
  - {id: F7, from: battery, box: cabin, fuse: {family: mini, rating_a: 15}, loads: [{name: mirror motors}, {name: seat memory}, {name: sunroof}]}
  - {id: F8, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: radio, asleep_ma: 4}]}
  - {id: F9, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: body control, asleep_ma: 8}]}
";

#[test]
fn with_all_listed_loads_unplugged_it_is_an_unlisted_one() {
    let mut bench = Bench::on(MAP);
    bench.enter("zero 0.0").enter("total 482").enter("pull F7 482 20").enter("refit F7 480");
    assert_eq!(bench.analysis().leader().name, "F7");
    bench
        .enter("unplug F7/mirror motors 480 481")
        .enter("unplug F7/seat memory 481 480")
        .enter("unplug F7/sunroof 480 479");
    let analysis = bench.analysis();
    let first = &analysis.ranking().suspects[0];
    assert_eq!(first.id, "F7");
    assert!(first.probability > 0.95, "{}", first.probability);
    assert_eq!(first.loads[0].0, None, "the unlisted load comes first: {:?}", first.loads);
    assert!(first.loads[0].1 > 0.95, "{:?}", first.loads);
    assert!(matches!(analysis.plan().stop, Stop::Decided(_)));
}

/// 465 to 500 mA, and 20 mA without it.
#[test]
fn the_plan_ends_at_the_unlisted_load_on_its_fuse() {
    for unlisted in [445.0, 462.0, 480.0] {
        let world = World {
            always: vec![
                ("F7/seat memory", 3.0),
                ("F7/?", unlisted),
                ("F8/radio", 6.0),
                ("F9/body control", 11.0),
            ],
            ..World::default()
        };
        let trail = world.follow(Bench::on(MAP).enter("temp 25C"));
        let first = &trail.end.ranking().suspects[0];
        let readings = (&trail.searched, &trail.narrowed);
        assert_eq!((first.id.as_str(), first.loads[0].0.as_deref()), ("F7", None), "{readings:?}");
        assert!(first.probability > 0.95 && first.loads[0].1 > 0.9, "{first:?} after {readings:?}");
        assert_eq!(trail.narrowed.len(), 3, "all three listed loads are unplugged: {readings:?}");
    }
}
