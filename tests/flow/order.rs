//! The order in which readings were entered does not change what they say, and a reading added counts at once.

use proptest::prelude::*;

use crate::bench::Bench;

const MAP: &str = "
format: fusetrail-map/1
title: invented estate car
boxes: {engine: {where: left wing}, cabin: {where: glovebox}}
wake_groups:
  body-bus: {inputs: [driver door latch, bonnet switch]}
feeds:
  - {id: L1, from: battery, box: engine, fuse: {family: maxi, rating_a: 50}, probe: clamp}
  - {id: F1, from: L1, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: body control, asleep_ma: 9, awake_ma: 500, wake_group: body-bus}]}
  - {id: F2, from: L1, box: cabin, fuse: {family: mini, rating_a: 15}, loads: [{name: audio unit, asleep_ma: 4, awake_ma: 220, wake_group: body-bus}]}
  - {id: F3, from: battery, box: engine, fuse: {family: mini, rating_a: 10}, loads: [{name: alarm, asleep_ma: 6}]}
  - {id: F4, from: battery, box: engine, fuse: {family: mini, rating_a: 20}, loads: [{name: boot lamp}]}
unfused: [{name: alternator, from: battery}]
";

const READINGS: [&str; 7] =
    ["F1 0.1", "F2 0.7", "F3 0.0", "F4 0.3", "clamp L1 105mA", "clamp alternator 3mA", "F2 0.8"];

fn probabilities(order: &[usize]) -> Vec<(String, f64)> {
    let mut bench = Bench::on(MAP);
    bench.enter("zero 0.0").enter("total 180");
    for at in order {
        bench.enter(READINGS[*at]);
    }
    let ranking = bench.analysis().ranking().clone();
    let mut all: Vec<(String, f64)> =
        ranking.suspects.iter().map(|one| (one.id.clone(), one.probability)).collect();
    all.extend(ranking.groups.iter().map(|one| (format!("group {}", one.id), one.probability)));
    all.push(("nothing".into(), ranking.nothing_wrong));
    all.sort_by(|a, b| a.0.cmp(&b.0));
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Sums run in another order, so that the last digits may differ.
    #[test]
    fn the_order_of_readings_does_not_matter(order in Just((0..READINGS.len()).collect::<Vec<_>>()).prop_shuffle()) {
        let straight = probabilities(&(0..READINGS.len()).collect::<Vec<_>>());
        for ((name, a), (other, b)) in straight.iter().zip(probabilities(&order)) {
            prop_assert_eq!(name, &other);
            prop_assert!((a - b).abs() < 1e-9, "{}: {} and {}", name, a, b);
        }
    }
}

#[test]
fn every_reading_added_counts_at_once() {
    let mut before = probabilities(&[]);
    for count in 1..=READINGS.len() {
        let after = probabilities(&(0..count).collect::<Vec<_>>());
        assert_ne!(before, after, "reading {count} changed nothing");
        before = after;
    }
}
