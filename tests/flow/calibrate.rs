//! A known load step: proposed where the table's rough figure hides what else may draw, never on a guarded circuit,
//! and never twice.

use crate::bench::Bench;
use fusetrail::log::entry::LogEvent;
use fusetrail::log::typed::{self, Proposed};
use fusetrail::measure::Measurement;
use fusetrail::measure::kind::MeasurementKind;
use fusetrail::measure::observation::Scope;
use fusetrail::plan::proposal::StepReason;

/// One strong drinker beside a restraint feed and a cable that can't be reached.
const MAP: &str = "format: fusetrail-map/1
title: rough fuse (invented)
system_v: 12
limit_ma: 50
limit_source: test
boxes: {cabin: {where: cabin, reach_min: 2}}
feeds:
  - {id: F1, from: battery, box: cabin, fuse: {family: blade, rating_a: 30}, loads: [{name: seat heater, kind: seat-memory}]}
  - {id: F2, from: battery, box: cabin, probe: none, fuse: {family: blade, rating_a: 10}, loads: [{name: radio, kind: audio}]}
  - {id: F3, from: battery, box: cabin, guard: restraint, fuse: {family: blade, rating_a: 10}, loads: [{name: restraint module, kind: other}]}
";

fn steps(bench: &Bench) -> Vec<(String, f64)> {
    let readings = bench.analysis().plan().readings.clone();
    let steps = readings.iter().filter(|one| one.action == MeasurementKind::Step);
    let step = |one: &fusetrail::plan::proposal::Proposal| match one.reason {
        StepReason::Calibrates(relative) => (one.at.clone().unwrap_or_default(), relative),
        ref other => panic!("{other:?}"),
    };
    steps.map(step).collect()
}

#[test]
fn a_step_is_proposed_where_a_rough_fuse_may_hide_a_second_cause() {
    let mut bench = Bench::on(MAP);
    bench.enter("zero 0.0").enter("total 620mA");
    assert!(steps(&bench).is_empty(), "nothing was read on a fuse yet");
    bench.enter("F1 0.8");
    let found = steps(&bench);
    let [(at, relative)] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(at, "F1");
    let through = |bench: &Bench| {
        let observations = bench.analysis().observed.observations.clone();
        let observation = observations
            .iter()
            .find(|observation| matches!(observation.scope, Scope::Through(_)))
            .expect("a drop");
        observation.current.clone()
    };
    let before = through(&bench);
    assert!(*relative < before.u().milli() / before.value().milli(), "{relative} is no gain");
    bench.enter("step F1 0.8mV 4.3mV 2.50A");
    let after = through(&bench);
    assert!(after.u() < before.u(), "{after:?} is no better than {before:?}");
    // 3.5 mV at 2.50 A is 1.40 milliohm: 0.8 mV is 571 mA, the table apart.
    assert!((after.value().milli() - 571.4).abs() < 3.0, "{after:?}");
    assert!(steps(&bench).is_empty(), "once is enough");
}

#[test]
fn values_alone_answer_a_step_that_was_asked_for() {
    let bench = Bench::on(MAP);
    let asked = Proposed::at(MeasurementKind::Step, "F1");
    let read = |text: &str| typed::read_line(&bench.case(), text, Some(&asked));
    let entries = read("0.8 4.3 2.50A").expect("three values");
    let same = read("0.8 4.3 2.50").expect("a bare current of a known load is in ampere");
    let bare = match same.as_slice() {
        [LogEvent::Reading(measured)] => measured.what.clone(),
        _ => panic!("{same:?}"),
    };
    assert!(
        matches!(bare, Measurement::Step { current, .. } if (current.value.milli() - 2500.0).abs() < 1e-9)
    );
    let [LogEvent::Reading(measured)] = entries.as_slice() else { panic!("{entries:?}") };
    let Measurement::Step { feed, before, after, current } = &measured.what else {
        panic!("{:?}", measured.what)
    };
    assert_eq!(feed, "F1");
    assert!((before.value.milli() - 0.8).abs() < 1e-9 && (after.value.milli() - 4.3).abs() < 1e-9);
    assert!((current.value.milli() - 2500.0).abs() < 1e-9);
    let fault = read("0.8 4.3").expect_err("the current is missing").to_string();
    assert!(fault.contains("2 values were given") && fault.contains("CURRENT-OF-THE-LOAD"), "{fault}");
}
