//! Inside a load and a cable: once it is found to draw, a part of it comes off and tells where on. All vehicles are invented.

use crate::bench::Bench;

const TOWING: &str = "
format: fusetrail-map/1
title: invented wagon with a tow bar
boxes: {cabin: {where: dash}, boot: {where: boot side}}
feeds:
  - {id: L1, from: battery, box: cabin, fuse: {family: bolt, rating_a: 80}, probe: clamp}
  - {id: F1, from: L1, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: audio unit, asleep_ma: 4}]}
  - {id: F2, from: L1, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: body control, asleep_ma: 8}]}
  - {id: L2, from: battery, box: boot, fuse: {family: bolt, rating_a: 60}, probe: clamp}
  - {id: T1, from: L2, box: boot, fuse: {family: blade, rating_a: 15}, loads: [{name: towing module, kind: trailer, asleep_ma: 2}]}
  - {id: T2, from: L2, box: boot, fuse: {family: blade, rating_a: 15}, loads: [{name: boot lamp}]}
";

/// What is proposed first.
fn proposed(bench: &Bench) -> Option<String> {
    bench.analysis().plan().readings.first().and_then(|first| first.at.clone())
}

/// 310 mA through the fuse of the towing module, which is all of it.
fn towing_module() -> Bench {
    let mut bench = Bench::on(TOWING);
    for line in ["temp 25C", "zero 0.0", "total 326", "T1 1.5", "T2 0.0", "unplug T1/towing module 326 16"] {
        bench.enter(line);
    }
    bench.enter("refit T1/towing module 326");
    bench
}

#[test]
fn of_a_towing_module_that_draws_the_lead_to_its_socket_comes_off() {
    let mut bench = towing_module();
    assert_eq!(proposed(&bench).as_deref(), Some("T1/socket lead"), "{:?}", bench.analysis().plan());
    let module = bench.clone();
    bench.enter("unplug T1/socket lead 326 20");
    let found = bench.analysis();
    assert_eq!(proposed(&bench), None, "{:?}", found.plan());
    assert!(found.observed.inside().any(|fall| fall.is_it == Some(true)));
    for line in ["total 20", "refit T1/socket lead 326", "total 326"] {
        bench.enter(line);
        let now = bench.analysis();
        assert!(now.conflicts().is_empty(), "{line}: {:?}", now.conflicts());
        assert_eq!(now.leader().name, "T1", "{line}");
    }

    let mut bench = module;
    bench.enter("unplug T1/socket lead 326 325");
    let found = bench.analysis();
    assert!(found.observed.inside().all(|fall| fall.is_it == Some(false)));
    assert_eq!((proposed(&bench), found.leader().name.as_str()), (None, "T1"), "{:?}", found.plan());
    bench.enter("total 325");
    assert!(bench.analysis().conflicts().is_empty());
}

/// 300 mA in the cable to the boot that none of its fuses carries.
fn cable() -> Bench {
    let mut bench = Bench::on(TOWING);
    for line in ["temp 25C", "zero 0.0", "total 314", "clamp L2 302", "clamp L1 12", "T1 0.0", "T2 0.0"] {
        bench.enter(line);
    }
    bench
}

#[test]
fn of_a_cable_that_draws_more_than_its_fuses_the_far_end_comes_off() {
    let mut bench = cable();
    assert_eq!(bench.analysis().leader().name, "L2:unlisted");
    assert_eq!(proposed(&bench).as_deref(), Some("L2/far end"), "{:?}", bench.analysis().plan());
    let chafed = bench.clone();
    bench.enter("unplug L2/far end 314 12");
    let found = bench.analysis();
    assert_eq!(found.observed.inside().next().and_then(|fall| fall.is_it), Some(true));
    assert_eq!(proposed(&bench), None, "{:?}", found.plan());
    for line in ["total 12", "refit L2/far end 314", "total 314"] {
        bench.enter(line);
        let now = bench.analysis();
        assert!(now.conflicts().is_empty(), "{line}: {:?}", now.conflicts());
        assert_eq!(now.leader().name, "L2:unlisted", "{line}");
    }

    let mut bench = chafed;
    bench.enter("unplug L2/far end 314 311");
    let found = bench.analysis();
    assert_eq!(found.observed.inside().next().and_then(|fall| fall.is_it), Some(false));
    assert_eq!((proposed(&bench), found.leader().name.as_str()), (None, "L2:unlisted"));
    bench.enter("total 311");
    assert!(bench.analysis().conflicts().is_empty(), "{:?}", bench.analysis().conflicts());
}

/// Behind the cable hangs what must not be without current: nothing is proposed that takes it off.
#[test]
fn no_cable_to_an_airbag_comes_off() {
    let guarded = TOWING.replace("{name: boot lamp}", "{name: airbag}");
    let mut bench = Bench::on(&guarded);
    for line in ["temp 25C", "zero 0.0", "total 314", "clamp L2 302", "clamp L1 12", "T1 0.0"] {
        bench.enter(line);
    }
    let analysis = bench.analysis();
    assert!(analysis.plan().readings.iter().all(|one| one.at.as_deref() != Some("L2/far end")));
}
