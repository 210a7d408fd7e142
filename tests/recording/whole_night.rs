//! Nights that held the fault: what was there all night, or for hours of it, is never acquitted.

use fusetrail::base::quantity::{Ampere, Minute, Unit as _};
use fusetrail::trace::samples::Trace;
use fusetrail::trace::settle::{Rules, SettleVerdict, Settling, settle};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// A night of so many hours at a sample in two seconds, current in milliampere by hours, noise of 0.3 mA, whole tenths.
fn night(hours: f64, current: impl Fn(f64) -> f64) -> Settling {
    let mut dice = ChaCha8Rng::seed_from_u64(11);
    let samples: Vec<(Minute, Ampere)> = (0..(hours * 1800.0) as usize)
        .map(|at| {
            let hour = at as f64 / 1800.0;
            let noise: f64 = StandardNormal.sample(&mut dice);
            let shown = ((current(hour) + 0.3 * noise) * 10.0).round() / 10.0;
            (Minute::new(hour * 60.0), Ampere::from_milli(shown))
        })
        .collect();
    settle(Trace::new(samples, Ampere::from_milli(0.1)), &Rules::default())
}

/// Awake for half an hour, in two stairs.
fn evening(hour: f64, then: f64) -> f64 {
    match hour {
        h if h < 0.1 => 5_000.0,
        h if h < 0.5 => 600.0,
        _ => then,
    }
}

#[track_caller]
fn near(found: Option<f64>, wanted: f64, by: f64) {
    let found = found.expect("a figure");
    assert!((found - wanted).abs() <= by, "{found}, not {wanted}");
}

fn milli(quantity: Option<&fusetrail::base::quantity::Uncertain<Ampere>>) -> Option<f64> {
    quantity.map(|quantity| quantity.value().milli())
}

fn hours(time: Option<Minute>) -> Option<f64> {
    time.map(|time| time.base() / 60.0)
}

#[test]
fn three_hours_awake_in_the_night_are_one_wake_and_count_in_the_average() {
    let found = night(10.0, |h| evening(h, if (2.2..5.2).contains(&h) { 380.0 } else { 24.0 }));
    assert_eq!(found.verdict, SettleVerdict::Settled);
    near(hours(found.after), 0.5, 0.002);
    near(milli(found.level.as_ref()), 24.0, 0.2);
    near(milli(found.average.as_ref()), 24.0 + 356.0 * 3.0 / 9.5, 0.5);
    assert_eq!(found.wakes.len(), 1);
    near(hours(Some(found.wakes[0].length)), 3.0, 0.002);
}

#[test]
fn a_pulse_each_ten_minutes_counts_in_the_average() {
    let found = night(8.0, |h| evening(h, if (h * 60.0 + 5.0) % 10.0 < 1.4 { 400.0 } else { 42.0 }));
    assert_eq!(found.verdict, SettleVerdict::Settled);
    near(milli(found.average.as_ref()), 42.0 + 358.0 * 0.14, 1.0);
    near(found.period.map(|period| period.time.base()), 10.0, 0.05);
    assert_eq!(found.wakes.len(), 45);
}

#[test]
fn a_module_up_two_fifths_of_the_time_has_an_average_though_it_never_rests() {
    let found = night(8.0, |h| evening(h, if (h * 60.0) % 25.0 < 10.0 { 300.0 } else { 20.0 }));
    assert_eq!(found.verdict, SettleVerdict::Cycling);
    near(milli(found.average.as_ref()), 20.0 + 280.0 * 0.4, 1.0);
}

#[test]
fn what_switched_all_night_does_not_rest_because_its_last_hours_were_quiet() {
    let found = night(10.0, |h| evening(h, if h < 8.5 && (h * 60.0) % 50.0 < 22.0 { 90.0 } else { 2.0 }));
    assert_eq!(found.verdict, SettleVerdict::Cycling);
    assert!(found.average.is_some());
}

#[test]
fn a_night_that_ends_awake_is_not_settled_and_says_since_when_it_had_rested() {
    let found = night(8.0, |h| evening(h, if h < 6.0 { 24.0 } else { 700.0 }));
    assert!(!found.is_settled(), "{:?}", found.verdict);
    near(hours(found.after), 0.5, 0.002);
    near(milli(found.average.as_ref()), (24.0 * 5.5 + 700.0 * 2.0) / 7.5, 1.0);
}

#[test]
fn the_first_rest_counts_and_a_later_disturbance_is_a_departure() {
    let found = night(10.0, |h| {
        evening(
            h,
            match h {
                h if (4.0..4.05).contains(&h) => 8_000.0,
                h if (4.05..4.5).contains(&h) => 600.0,
                h if (4.5..4.7).contains(&h) => 200.0,
                _ => 25.0,
            },
        )
    });
    assert_eq!(found.verdict, SettleVerdict::Settled);
    near(hours(found.after), 0.5, 0.002);
    assert_eq!(found.wakes.len(), 1);
}
