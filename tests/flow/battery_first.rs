//! Worked case (numbers from the trade, vehicle invented): a "constant 1.7 A" that went with a new battery. The
//! battery stage stops the hunt before any draw is judged.

use crate::bench::Bench;
use crate::follow::World;
use fusetrail::circuit::builtin;

fn hatch() -> &'static str {
    builtin::MAPS.iter().find(|map| map.name == "hatch").expect("built in").text
}

#[test]
fn a_plainly_flat_battery_stops_the_hunt_with_advice() {
    let mut bench = Bench::on(hatch());
    bench.until("battery.gate", &[("battery.volts", "11.2")]);
    bench.answer("battery.gate", "stop");
    let why = bench.open().expect_err("the hunt stops");
    assert!(why.contains("battery") && why.contains("11.2"), "{why}");
}

#[test]
fn a_battery_that_tested_bad_stops_it_too() {
    let mut bench = Bench::on(hatch());
    bench.until("battery.gate", &[("battery.volts", "12.6"), ("battery.test", "bad")]);
}

#[test]
fn a_good_battery_is_through_in_two_answers() {
    let mut bench = Bench::on(hatch());
    bench.until("battery.test", &[]);
    bench.answer("battery.test", "good").answer("battery.volts", "12.6");
    assert_eq!(bench.open().expect("goes on").id.to_string(), "charging.known");
}

/// Whoever goes on past the gate reads a total of 1.7 A that no circuit carries: none is accused, what is found is on
/// the battery post itself, and the hunt had said so first.
#[test]
fn no_circuit_is_accused_of_what_the_battery_draws_itself() {
    let mut bench = Bench::on(hatch());
    bench.until("battery.gate", &[("battery.volts", "12.6"), ("battery.test", "bad")]);
    bench.answer("battery.gate", "go-on");
    let world = World { always: vec![("battery/?", 1700.0)], ..World::default() };
    let trail = world.follow(bench.enter("temp 25C"));
    let first = &trail.end.ranking().suspects[0];
    assert_eq!(first.id, "battery:unlisted", "{first:?} after {:?}", trail.searched);
    assert!(first.probability > 0.9, "{first:?} after {:?}", trail.searched);
    assert!(trail.narrowed.is_empty(), "{:?}", trail.narrowed);
}
