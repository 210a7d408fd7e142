//! A network held awake by a latch whose modules sleep minutes after it is released, on a map that a fuse-box lid tells:
//! neither four modules at fault, nor an input acquitted by a total that has not fallen yet. All vehicles are invented.

use crate::bench::Bench;
use crate::shared_cause::is_at_input;
use fusetrail::circuit::check::check;
use fusetrail::infer::Explanation;
use fusetrail::infer::cause::{Cause, HeldBy};
use fusetrail::infer::leader::LeaderKind;
use fusetrail::measure::event::Event;
use fusetrail::measure::kind::MeasurementKind;
use fusetrail::plan::proposal::Stop;

/// As a lid tells it: no network, no inputs, nothing unfused.
const LID: &str = "
format: fusetrail-map/1
title: invented wagon by its lid
class: car
limit_ma: 50
limit_source: invented
boxes: {cabin: {where: glovebox}}
feeds:
  - {id: F1, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: body control}]}
  - {id: F2, from: battery, box: cabin, fuse: {family: mini, rating_a: 15}, loads: [{name: audio unit}]}
  - {id: F3, from: battery, box: cabin, fuse: {family: mini, rating_a: 7.5}, loads: [{name: instrument cluster}]}
  - {id: F4, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: climate control}]}
  - {id: F5, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: boot lamp}]}
  - {id: F6, from: battery, box: cabin, fuse: {family: mini, rating_a: 15}, loads: [{name: horn}]}
";

/// 291, 113, 68 and 86 mA by the fuse tables at 25 °C, about.
fn four_high() -> Bench {
    let map = check("lid", LID).expect("reads").0.completed().expect("completed").0;
    let mut bench = Bench::on(&map.to_yaml().expect("text"));
    bench.enter("temp 25C").enter("zero 0.0").enter("total 570");
    for line in ["F1 2.2", "F2 0.5", "F3 0.7", "F4 0.6", "F5 0.0", "F6 0.0"] {
        bench.enter(line);
    }
    bench
}

fn events(bench: &Bench) -> Vec<Event> {
    bench.analysis().observed.events.iter().map(|(_, event)| event.clone()).collect()
}

#[test]
fn four_modules_of_a_lid_map_are_a_network_and_its_inputs_come_next() {
    let bench = four_high();
    let analysis = bench.analysis();
    assert_eq!(analysis.leader().kind, LeaderKind::Group, "{:?}", analysis.leader());
    assert!(analysis.leader().probability > 0.9, "{:?}", analysis.leader());
    let first = &analysis.plan().readings[0];
    assert!(is_at_input(first.action), "{first:?}");
    let pulled = |one: &&fusetrail::plan::proposal::Proposal| one.action == MeasurementKind::Pull;
    assert_eq!(analysis.plan().readings.iter().find(pulled), None, "an input before any pull");
}

#[test]
fn a_latch_whose_modules_sleep_six_minutes_later_is_found() {
    let mut bench = four_high();
    bench.add("input driver door latch 570 569");
    assert!(
        matches!(events(&bench).last(), Some(Event::NotFallen { within: Some(_), .. })),
        "{:?}",
        events(&bench)
    );
    let held = bench.analysis();
    let by_latch = held.ranking().groups[0].input.clone();
    assert_eq!(held.leader().kind, LeaderKind::Group, "no acquittal yet: {by_latch:?}");
    bench.wait(6).enter("total 21");
    let found = events(&bench);
    let released = |event: &Event| matches!(event, Event::Released { input, others, left: None } if input == "driver door latch" && others.is_empty());
    assert!(found.iter().any(released), "{found:?}");
    let analysis = bench.analysis();
    assert_eq!(analysis.leader().kind, LeaderKind::Group);
    // The draw that was found stays the finding: 570 mA, and none of it missing.
    assert!(
        analysis.total.as_ref().is_some_and(|total| total.value().milli() > 500.0),
        "{:?}",
        analysis.total
    );
    assert_eq!(analysis.plan().stop, Stop::Ended);
}

#[test]
fn of_two_inputs_worked_before_the_total_fell_neither_is_named_alone() {
    let mut bench = four_high();
    bench.add("input driver door latch 570 569").add("input bonnet switch 570 570");
    bench.wait(4).enter("total 21");
    let found = events(&bench);
    let both = |event: &Event| matches!(event, Event::Released { others, .. } if others.len() == 1);
    assert!(found.iter().any(both), "{found:?}");
}

#[test]
fn a_total_that_still_stands_an_hour_later_acquits_the_input() {
    let share = |minutes: i64| {
        let mut bench = four_high();
        bench.add("input driver door latch 570 569").wait(minutes).enter("total 571");
        let analysis = bench.analysis();
        let inference = analysis.inference().expect("a covariance");
        let is_latch = |member: usize| match inference.cause(member) {
            Cause::Held(_, HeldBy::Input(input)) => input.at == 0,
            _ => false,
        };
        let by_latch = |one: &Explanation| one.members().any(is_latch);
        inference.explanations().filter(by_latch).map(|one| one.probability).sum::<f64>()
    };
    let (soon, late) = (share(1), share(60));
    assert!(soon > 0.01 && late < soon / 10.0, "{soon} {late}");
}
