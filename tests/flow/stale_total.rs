//! A module that slept late: the total was read while it was still awake, and nothing on the panel explains it.

use crate::bench::Bench;
use fusetrail::circuit::builtin;
use fusetrail::measure::kind::MeasurementKind;
use fusetrail::measure::observation::Scope;
use fusetrail::plan::proposal::{StepReason, Stop};

fn hatch() -> Bench {
    let map = builtin::MAPS.iter().find(|map| map.name == "hatch").expect("built in");
    let mut bench = Bench::on(map.text);
    bench.enter("zero 0.0").enter("total 1440mA");
    bench
}

fn totals(bench: &Bench) -> usize {
    bench
        .analysis()
        .observed
        .observations
        .iter()
        .filter(|observation| observation.scope == Scope::Total)
        .count()
}

/// What the plan would have read, and why, if it is the total.
fn asks_for_the_total(bench: &Bench) -> bool {
    let plan = bench.analysis().plan().clone();
    let first = plan.readings.first();
    plan.stop == Stop::Open
        && first.is_some_and(|first| {
            first.action == MeasurementKind::Total && first.reason == StepReason::MayHaveFallen
        })
}

#[test]
fn where_no_cable_carries_what_the_total_was_it_is_read_again_and_the_hunt_goes_on() {
    let mut bench = hatch();
    assert!(!asks_for_the_total(&bench), "it was read just now");
    bench.enter("clamp L1 4mA").enter("clamp L2 20mA").enter("clamp L3 0mA");
    bench.enter("clamp alternator 446mA").enter("clamp starter 0mA");
    assert!(asks_for_the_total(&bench), "{:?}", bench.analysis().plan().readings.first());
    bench.enter("total 474mA");
    assert_eq!(totals(&bench), 1, "the old total tells of another state");
    let excess = bench.analysis().excess.as_ref().expect("a total").value();
    assert!((400.0..470.0).contains(&excess.milli()), "{excess:?}");
    // What was high before may have been the late sleeper: it is read anew.
    bench.enter("clamp alternator 446mA");
    let leader = bench.analysis().leader();
    let (leader, probability) = (leader.name.clone(), leader.probability);
    assert!(leader == "alternator" && probability > 0.95, "{leader} {probability}");
}

#[test]
fn a_total_that_reads_the_same_again_stands_and_is_not_asked_for_a_third_time() {
    let mut bench = hatch();
    bench.enter("clamp L1 4mA").enter("clamp L2 20mA").enter("clamp L3 0mA").enter("total 1436mA");
    assert_eq!(totals(&bench), 2);
    let plan = bench.analysis().plan().clone();
    assert!(plan.readings.iter().all(|reading| reading.action != MeasurementKind::Total), "{plan:?}");
}

#[test]
fn a_total_that_fell_since_the_wait_is_said_to_be_falling() {
    let map = builtin::MAPS.iter().find(|map| map.name == "hatch").expect("built in");
    let mut bench = Bench::on(map.text);
    bench.until("settle.wait", &[]).wait_until_flat("settle.wait", "517").until("total.reading", &[]);
    assert!(bench.says("total.reading", "129").contains("517 mA at the end of the wait"));
    assert!(!bench.says("total.reading", "515").contains("end of the wait"));
}
