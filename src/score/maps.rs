//! The built-in vehicles, each against its own limit: without a fault they are within, with one nobody is told that nothing
//! is wrong.

use std::num::NonZeroUsize;

use super::{MapKind, Name, Policy, ScoreWorld, Shop, Task, TruthFilter, score};
use crate::balance::verdict::{DrawVerdict, judge};
use crate::circuit::builtin::{MAPS, map};
use crate::circuit::meters;
use crate::instrument::uncertainty::current;
use crate::sim::{FaultPlan, Hands, Vehicle};

/// Every built-in map that lists anything.
fn worlds() -> impl Iterator<Item = ScoreWorld> {
    let named = |name: &str| map(name).unwrap_or_else(|faults| panic!("{name}: {faults}"));
    let listed = MAPS.iter().map(move |builtin| (builtin.name, named(builtin.name)));
    listed
        .filter(|(_, map)| !map.feeds.is_empty())
        .map(|(name, map)| ScoreWorld::new(name, map, MapKind::Diagram).expect("a sound map"))
}

/// Of 100 sound vehicles at least so many are within.
const WITHIN: usize = 97;

fn sound_ones_are_within(vehicles: usize) {
    for world in worlds() {
        let limit = world.limit.as_ref().expect("a limit").current;
        let clamp = meters::find("clamp-1ma", false).expect("built in");
        let meter = world.ammeter.as_ref().unwrap_or(&clamp);
        let is_within = |seed: &u64| {
            let mut vehicle = Vehicle::planned(&world.wiring, *seed, FaultPlan::Nothing);
            vehicle.take_meter(meter);
            judge(&current(&vehicle.total(), meter), limit) == DrawVerdict::Within
        };
        let within = (1..=vehicles as u64).filter(is_within).count();
        assert!(within * 100 >= WITHIN * vehicles, "{}: {within} of {vehicles}", world.name);
    }
}

fn faulty_ones_are_not_sound(vehicles: usize) {
    for world in worlds() {
        let task = Task {
            worlds: std::slice::from_ref(&world),
            first: 1,
            vehicles,
            policies: &[Policy::Plan],
            wanted: TruthFilter::One,
            hands: Hands::Plain,
            shop: &Shop::default(),
            threads: NonZeroUsize::MIN,
        };
        for scored in score(&task, || true).expect("the tables read") {
            let said = scored.hunts.iter().filter_map(|(hunted, _)| hunted.said.first());
            let names: Vec<&Name> = said.map(|one| &one.name).collect();
            assert!(
                !names.is_empty() && !names.contains(&&Name::Nothing),
                "{} {}: {}",
                world.name,
                scored.seed,
                scored.truth
            );
        }
    }
}

#[test]
fn a_built_in_vehicle_without_a_fault_is_within_its_limit() {
    sound_ones_are_within(100);
}

#[test]
fn a_built_in_vehicle_with_a_fault_is_never_called_sound() {
    faulty_ones_are_not_sound(3);
}

#[test]
#[ignore = "minutes: cargo test --lib score::maps -- --ignored"]
fn long_a_built_in_vehicle_with_a_fault_is_never_called_sound() {
    sound_ones_are_within(1000);
    faulty_ones_are_not_sound(100);
}
