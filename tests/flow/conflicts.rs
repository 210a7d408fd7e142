//! Readings that contradict each other: the one to repeat is named and proposed, and once it is repeated the story is
//! consistent; where nothing is wrong, no alarm is raised more often than stated.

use std::sync::Arc;

use fusetrail::balance::assumptions::FALSE_ALARM;
use fusetrail::balance::summed::account;
use fusetrail::base::quantity::{Ampere, Uncertain, Unit};
use fusetrail::circuit::fuse_table::FuseTable;
use fusetrail::measure::kind::MeasurementKind;
use fusetrail::measure::observation::{Observation, Panel};
use fusetrail::plan::proposal::StepReason;
use fusetrail::text;
use nalgebra::{DMatrix, DVector};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use crate::bench::Bench;

const MAP: &str = "
format: fusetrail-map/1
title: invented wagon
boxes: {engine: {where: left wing}, cabin: {where: glovebox}}
feeds:
  - {id: L1, from: battery, box: engine, fuse: {family: maxi, rating_a: 60}, probe: clamp}
  - {id: F1, from: L1, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: radio, asleep_ma: 4}]}
  - {id: F2, from: L1, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: hands-free module, asleep_ma: 2}]}
  - {id: F3, from: L1, box: cabin, fuse: {family: mini, rating_a: 7.5}, loads: [{name: body control, asleep_ma: 8}]}
  - {id: F4, from: L1, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: alarm siren, asleep_ma: 20}]}
  - {id: F5, from: battery, box: engine, fuse: {family: mini, rating_a: 10}, loads: [{name: engine control unit, asleep_ma: 10}]}
  - {id: F6, from: battery, box: engine, fuse: {family: mini, rating_a: 10}, loads: [{name: transmission control, asleep_ma: 12}]}
  - {id: F7, from: battery, box: engine, fuse: {family: mini, rating_a: 7.5}, loads: [{name: amplifier, asleep_ma: 6}]}
  - {id: F8, from: battery, box: engine, fuse: {family: mini, rating_a: 15}, loads: [{name: horn}]}
unfused: [{name: alternator, from: battery}]
";

/// Ten readings with one zero, one gain and one make: a total, eight drops, a clamp on the cable. The amplifier draws
/// 120 mA, so that its own error hides no slip of 100 mA elsewhere.
const READINGS: [(&str, &str); 10] = [
    ("total", "194"),
    ("F1", "0.1"),
    ("F2", "0.0"),
    ("F3", "0.1"),
    ("F4", "0.3"),
    ("F5", "0.1"),
    ("F6", "0.2"),
    ("F7", "1.3"),
    ("F8", "0.0"),
    ("clamp L1", "39mA"),
];

/// The bench with all ten entered, one of them typed otherwise, and the entry number of that one.
fn ten(slipped: &str, typed: &str) -> (Bench, usize) {
    let mut bench = Bench::on(MAP);
    bench.enter("temp 25C").enter("zero 0.0");
    let mut entry = 0;
    for (at, value) in READINGS {
        let is_it = at == slipped;
        bench.enter(&format!("{at} {}", if is_it { typed } else { value }));
        if is_it {
            entry = bench.case().readings.last().expect("entered").entry;
        }
    }
    (bench, entry)
}

#[test]
fn ten_readings_that_agree_are_no_conflict() {
    let (bench, _) = ten("", "");
    let analysis = bench.analysis();
    assert!(analysis.conflicts().is_empty(), "{:?}", analysis.conflicts());
    assert_eq!(analysis.leader().name, "F7");
}

#[test]
fn a_drop_typed_ten_times_too_high_is_named_repeated_and_then_the_story_is_consistent() {
    let slips = [("F1", "1.0"), ("F3", "1.0"), ("F4", "3.0"), ("F5", "1.0"), ("F6", "2.0"), ("F7", "13")];
    for (slipped, typed) in slips {
        let (mut bench, entry) = ten(slipped, typed);
        let analysis = bench.analysis();
        let [conflict] = analysis.conflicts() else { panic!("{slipped}: {:?}", analysis.conflicts()) };
        assert_eq!(conflict.entries.first(), Some(&entry), "{slipped}: {conflict:?}");
        let said = text::account::conflict(conflict, &analysis.panel);
        assert!(said.contains(&format!("read {slipped} again")), "{said}");
        let first = analysis.plan().readings.first().expect("a reading");
        assert_eq!((first.action, first.at.as_deref()), (MeasurementKind::Drop, Some(slipped)), "{first:?}");
        assert_eq!(first.reason, StepReason::Repeats);

        let right = READINGS.iter().find(|(at, _)| *at == slipped).expect("listed").1;
        let analysis = bench.enter(&format!("{slipped} {right}")).analysis();
        assert!(analysis.conflicts().is_empty(), "{slipped}: {:?}", analysis.conflicts());
        let leader = analysis.leader();
        let (leader, probability) = (leader.name.clone(), leader.probability);
        assert_eq!(leader, "F7", "after {slipped} was repeated");
        assert!(probability > 0.95, "after {slipped} was repeated: {probability}");
        let events = analysis.observed.events.iter().map(|(_, event)| text::reading::event(event).text());
        let aside: Vec<String> = events.collect();
        assert_eq!(aside.len(), 1, "{aside:?}");
        assert!(aside[0].contains(&format!("Entry {entry} doesn't fit")), "{aside:?}");
        assert!(analysis.plan().readings.iter().all(|one| one.reason != StepReason::Repeats), "asked once");
    }
}

/// A total ten times too low contradicts every branch that is high, the highest most. Whatever is named is repeated as
/// it is; that comes to the total before each has had its turn, and then the story is consistent.
#[test]
fn repeating_what_is_named_comes_to_a_total_typed_wrongly() {
    let (mut bench, _) = ten("total", "19.4");
    let mut repeated = Vec::new();
    while let Some(first) =
        bench.analysis().plan().readings.first().filter(|one| one.reason == StepReason::Repeats)
    {
        let at = match first.action {
            MeasurementKind::Total => {
                assert_eq!(first.at, None, "the total is read nowhere in particular");
                "total".to_owned()
            }
            MeasurementKind::Clamp => format!("clamp {}", first.at.clone().expect("a place")),
            _ => first.at.clone().expect("a place"),
        };
        let right = READINGS.iter().find(|(known, _)| *known == at).expect("listed").1;
        assert!(!repeated.contains(&at), "{at} is asked for again: {repeated:?}");
        bench.enter(&format!("{at} {right}"));
        repeated.push(at);
    }
    assert_eq!(repeated.last().map(String::as_str), Some("total"), "{repeated:?}");
    assert!(repeated.len() <= 4, "{repeated:?}");
    let analysis = bench.analysis();
    assert!(analysis.conflicts().is_empty(), "{:?}", analysis.conflicts());
    assert_eq!(analysis.leader().name, "F7");
}

/// A repetition that reads the same is not asked for again: the contradiction stays and is said.
#[test]
fn a_reading_that_was_confirmed_is_not_asked_for_again() {
    let (mut bench, _) = ten("F4", "3.0");
    let analysis = bench.enter("F4 3.0").analysis();
    assert!(!analysis.conflicts().is_empty(), "it still contradicts the rest");
    assert!(analysis.observed.events.is_empty(), "{:?}", analysis.observed.events);
    let again = analysis.plan().readings.iter().find(|one| one.at.as_deref() == Some("F4"));
    assert!(again.is_none_or(|one| one.action == MeasurementKind::Step), "{again:?}");
}

/// Readings drawn with the errors that they claim, zero, gain and make in common, from vehicles of which one load or
/// none draws too much: alarms no more often than stated.
#[test]
fn consistent_readings_raise_no_more_alarms_than_stated() {
    let table = FuseTable::builtin();
    let mut dice = ChaCha8Rng::seed_from_u64(20_260_112);
    let (bench, _) = ten("", "");
    let case = bench.case();
    let panel = Arc::new(Panel::new(case.map.clone()));
    let observations =
        fusetrail::measure::observe::build_observations(&case.readings, &panel, table).observations;
    let (sets, mut alarms) = (1000, 0);
    for set in 0..sets {
        let drawn = drawn(&observations, &panel, set, &mut dice);
        alarms += usize::from(!account(&drawn, &panel).expect("solved").conflicts.is_empty());
    }
    let (low, high) = wilson(alarms, sets);
    assert!(low <= FALSE_ALARM, "{alarms} of {sets}: {low} to {high}");
}

/// The claims with other currents: what the parts of a vehicle draw, and one draw of all errors together.
fn drawn(observations: &[Observation], panel: &Panel, set: usize, dice: &mut ChaCha8Rng) -> Vec<Observation> {
    let mut normal = || -> f64 { StandardNormal.sample(dice) };
    let parts = &panel.parts;
    let mut true_currents: Vec<f64> =
        parts.iter().map(|part| (part.asleep.base() + part.asleep_sd.base() * normal()).max(0.0)).collect();
    if !set.is_multiple_of(4) {
        let culprit = set / 4 % parts.len();
        true_currents[culprit] += 0.2 * (0.8 * normal()).exp();
    }
    let n = observations.len();
    let covariance = DMatrix::from_fn(n, n, |i, j| match i == j {
        true => observations[i].current.u().base().powi(2),
        false => observations[i].current.covariance(&observations[j].current),
    });
    let errors = covariance.cholesky().expect("positive").l() * DVector::from_fn(n, |_, _| normal());
    let observation = |(index, observation): (usize, &Observation)| {
        let row = panel.row(observation.scope, &observation.interrupted);
        let flows: f64 = row.iter().zip(&true_currents).map(|(count, current)| count * current).sum();
        let off = Ampere::new(flows + errors[index]) - observation.current.value();
        Observation { current: observation.current.plus(&Uncertain::exact(off)), ..observation.clone() }
    };
    observations.iter().enumerate().map(observation).collect()
}

/// The 95 % interval of a share (Wilson 1927).
fn wilson(found: usize, of: usize) -> (f64, f64) {
    let (n, z) = (of as f64, 1.96_f64);
    let share = found as f64 / n;
    let centre = (share + z * z / (2.0 * n)) / (1.0 + z * z / n);
    let half = z / (1.0 + z * z / n) * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt();
    (centre - half, centre + half)
}
