//! When a night comes to rest, and when it does not.

use super::*;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// A trace at one sample a second of a current in milliampere, with white noise of 0.3 mA, written to 0.1 mA.
fn trace(seconds: u32, current: impl Fn(f64) -> f64) -> Trace {
    let mut dice = ChaCha8Rng::seed_from_u64(7);
    let samples = (0..seconds).map(|second| {
        let noise: f64 = StandardNormal.sample(&mut dice);
        let shown = ((current(f64::from(second)) + 0.3 * noise) * 10.0).round() / 10.0;
        (Minute::new(f64::from(second) / 60.0), Ampere::from_milli(shown))
    });
    Trace::new(samples.collect::<Vec<_>>(), Ampere::from_milli(0.1))
}

fn read(seconds: u32, current: impl Fn(f64) -> f64) -> Settling {
    settle(trace(seconds, current), &Rules::default())
}

/// Awake, asleep after 16 min in two steps, woken for 45 s each 576 s.
fn night(second: f64) -> f64 {
    match second {
        s if s < 120.0 => 600.0,
        s if s < 960.0 => 310.0,
        s if (s - 1200.0).rem_euclid(576.0) < 45.0 && s > 1100.0 => 210.0,
        _ => 25.0,
    }
}

#[test]
fn a_night_with_a_pulse_is_settled_with_steps_wakes_and_their_period() {
    let found = read(14_400, night);
    assert_eq!(found.verdict, SettleVerdict::Settled);
    assert_eq!(found.after.map(|after| (after.base() * 60.0).round()), Some(960.0));
    let steps: Vec<(f64, f64, f64)> = found
        .steps
        .iter()
        .map(|s| ((s.at.base() * 60.0).round(), s.from.milli().round(), s.to.milli().round()))
        .collect();
    assert_eq!(steps, [(120.0, 600.0, 310.0), (960.0, 310.0, 25.0)]);
    let level = found.level.expect("a level");
    assert!((level.value().milli() - 25.0).abs() < 0.1, "{}", level.value().milli());
    assert_eq!(found.wakes.len(), 23);
    assert!(found.wakes.iter().all(|wake| (wake.length.base() * 60.0 - 45.0).abs() < 1.5));
    let period = found.period.expect("a period");
    assert!(period.regular && (period.time.base() - 9.6).abs() < 0.02, "{period:?}");
    // 23 pulses of 185 mA and 45 s within 13440 s.
    let average = found.average.expect("an average").value().milli();
    assert!((average - (25.0 + 185.0 * 45.0 * 23.0 / 13_440.0)).abs() < 0.3, "{average}");
}

#[test]
fn a_current_logged_the_other_way_is_turned_and_support_is_seen() {
    let found = read(14_400, |s| -night(s));
    assert!(found.reversed && found.is_settled() && found.wakes.len() == 23);
    let supported = |s: f64| if (7_000.0..7_600.0).contains(&s) { -9_000.0 } else { night(s) };
    let found = read(14_400, supported);
    assert!(!found.reversed && found.is_settled());
    assert_eq!(found.supports, 1);
}

#[test]
fn cycling_restless_short_and_changing_are_answers_of_their_own() {
    let cycling = read(14_400, |s| if s % 600.0 < 240.0 { 300.0 } else { 25.0 });
    assert_eq!(cycling.verdict, SettleVerdict::Cycling);
    assert!((cycling.period.expect("a period").time.base() - 10.0).abs() < 0.05);
    assert_eq!(cycling.wakes.len(), 23, "first one left out");
    let restless = read(14_400, |s| if (s / 97.0).sin() + (s / 61.0).sin() > 0.4 { 300.0 } else { 25.0 });
    assert!(
        matches!(restless.verdict, SettleVerdict::Restless | SettleVerdict::Cycling),
        "{:?}",
        restless.verdict
    );
    let slow = read(36_000, |s| if s % 7_000.0 < 4_000.0 { 80.0 } else { 1.0 });
    assert_eq!(slow.verdict, SettleVerdict::Cycling, "each lasts ten minutes");
    assert_eq!(read(300, |_| 25.0).verdict, SettleVerdict::TooShort);
    assert_eq!(read(3_600, |s| if s < 3_300.0 { 300.0 } else { 25.0 }).verdict, SettleVerdict::StillChanging);
    let early = Rules { sleep_after: Some(Minute::new(60.0)), ..Rules::default() };
    assert_eq!(settle(trace(1_800, |_| 25.0), &early).verdict, SettleVerdict::TooEarly);
}

#[test]
fn a_slow_drift_is_no_step() {
    let found = read(14_400, |s| 25.0 + 9.0 * s / 14_400.0);
    assert!(found.is_settled() && found.steps.is_empty(), "{:?} {:?}", found.verdict, found.steps);
    let moved = found.drift.expect("a drift").milli();
    assert!((6.0..9.5).contains(&moved), "{moved}");
}

#[test]
fn nothing_is_made_of_nothing() {
    assert_eq!(settle(Trace::default(), &Rules::default()).verdict, SettleVerdict::TooShort);
    assert_eq!(read(1, |_| 25.0).verdict, SettleVerdict::TooShort);
}
