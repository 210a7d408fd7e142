//! Worked case (numbers from the trade, vehicle invented): 465 to 500 mA, 20 mA with one fuse out; all three listed
//! loads unplugged without effect: an unlisted load on that fuse.

use crate::bench::Bench;
use fusetrail::suspects::plan::Stop;

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
    assert_eq!(bench.analysis().leader().0, "F7");
    bench
        .enter("unplug F7/mirror motors 480 481")
        .enter("unplug F7/seat memory 481 480")
        .enter("unplug F7/sunroof 480 479");
    let analysis = bench.analysis();
    let first = &analysis.ranking.suspects[0];
    assert_eq!(first.id, "F7");
    assert!(first.probability > 0.95, "{}", first.probability);
    assert_eq!(first.loads[0].0, None, "the unlisted load comes first: {:?}", first.loads);
    assert!(first.loads[0].1 > 0.95, "{:?}", first.loads);
    assert!(matches!(analysis.plan.stop, Stop::Decided(_)));
}
