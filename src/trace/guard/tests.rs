//! Nights played to the guard, sample by sample.

use chrono::TimeDelta;
use proptest::test_runner::{Config, TestRunner};

use super::*;

fn start() -> At {
    DateTime::parse_from_rfc3339("2026-11-02T18:00:00+01:00").expect("a time")
}

fn at(seconds: f64) -> At {
    start() + TimeDelta::milliseconds((seconds * 1000.0).round() as i64)
}

fn sample(seconds: f64, milli: f64) -> Sample {
    Sample { at: at(seconds), current: Some(Ampere::from_milli(milli)), step: 1e-4 }
}

/// A guard that has seen ten minutes and a second of 24 mA, a sample a second.
fn asleep() -> Guard {
    let mut guard = Guard::new(Minute::new(10.0));
    let told: Vec<GuardEvent> =
        (0..=600).flat_map(|second| guard.take(sample(f64::from(second), 24.0))).collect();
    assert!(matches!(told[..], [GuardEvent::Rests { still_awake: false, .. }]), "{told:?}");
    guard
}

fn play(guard: &mut Guard, from: i32, milli: &[f64]) -> Vec<(i32, GuardEvent)> {
    let mut told = Vec::new();
    for (second, value) in (from..).zip(milli) {
        told.extend(guard.take(sample(f64::from(second), *value)).into_iter().map(|event| (second, event)));
    }
    told
}

#[test]
fn it_tells_at_the_second_sample_and_once_and_when_it_is_over() {
    let told = play(&mut asleep(), 601, &[24.0, 24.1, 380.0, 379.0, 381.0, 24.2, 24.0, 24.0]);
    let [(604, GuardEvent::Woke(woke)), (607, GuardEvent::Slept { was, at: over })] = told[..] else {
        panic!("{told:?}")
    };
    assert_eq!((woke.since, woke.number, woke.unseen_from), (at(603.0), 1, None));
    assert!((woke.rest.milli() - 24.0).abs() < 0.1 && woke.now == Some(Ampere::from_milli(379.0)));
    assert!((was.peak.milli() - 381.0).abs() < 1e-9 && over == at(606.0), "{was:?}");
    // From the second sample to the last: two seconds of 355 and 357 mA above the rest.
    assert!((was.charge - 0.712).abs() < 0.002, "{}", was.charge);
}

#[test]
fn one_sample_alone_is_no_wake_up_and_neither_is_drift() {
    let mut guard = asleep();
    assert_eq!(play(&mut guard, 601, &[24.0, 380.0, 24.0, 380.0, 24.0]), []);
    let creeping: Vec<f64> = (0..7200).map(|second| 24.0 + f64::from(second) / 1800.0).collect();
    assert_eq!(play(&mut guard, 606, &creeping), [], "4 mA in two hours");
    assert!((guard.level().expect("a rest").milli() - 28.0).abs() < 0.5);
}

#[test]
fn what_creeps_up_without_end_is_told() {
    let mut guard = asleep();
    let creeping: Vec<f64> = (0..36_000).map(|second| 24.0 + f64::from(second) / 360.0).collect();
    let told = play(&mut guard, 601, &creeping);
    assert!(matches!(told.first(), Some((_, GuardEvent::Woke(_)))), "{told:?}");
}

#[test]
fn a_meter_out_of_range_is_awake() {
    let mut guard = asleep();
    let over = |second| Sample { current: None, ..sample(second, 0.0) };
    assert_eq!(guard.take(over(601.0)), []);
    let told = guard.take(over(602.0));
    assert!(matches!(told[..], [GuardEvent::Woke(Awakening { now: None, .. })]), "{told:?}");
}

#[test]
fn a_gap_is_shown_and_nothing_is_invented_for_it() {
    let mut guard = asleep();
    let told = play(&mut guard, 601 + 3600, &[380.0, 380.0]);
    let [(_, GuardEvent::Gap { from, to }), (4202, GuardEvent::Woke(woke))] = told[..] else {
        panic!("{told:?}")
    };
    assert_eq!((from, to, woke.unseen_from), (at(600.0), at(4201.0), Some(at(600.0))));
    let told = play(&mut guard, 8000, &[24.0, 24.0]);
    let [(_, GuardEvent::Gap { .. }), (8001, GuardEvent::Slept { was, .. })] = told[..] else {
        panic!("{told:?}")
    };
    assert!(was.charge < 1e-9, "without samples no charge: {was:?}");
    let mut unsettled = Guard::new(Minute::new(10.0));
    play(&mut unsettled, 0, &[24.0; 300]);
    let after = play(&mut unsettled, 4000, &[24.0; 301]);
    assert!(matches!(after[..], [(4000, GuardEvent::Gap { .. })]), "not flat yet: {after:?}");
}

#[test]
fn a_clock_set_back_is_told_and_the_guard_goes_on() {
    let mut guard = asleep();
    let told = play(&mut guard, -3000, &[24.0, 24.0, 380.0, 380.0]);
    let [(-3000, GuardEvent::SetBack { from, .. }), (-2997, GuardEvent::Woke(woke))] = told[..] else {
        panic!("{told:?}")
    };
    assert_eq!((from, woke.since), (at(600.0), at(-2998.0)));
}

#[test]
fn what_stays_awake_is_guarded_at_its_own_level_and_falls_back_to_the_first() {
    let mut guard = asleep();
    let told = play(&mut guard, 601, &[380.0; 700]);
    let [(602, GuardEvent::Woke(_)), (_, GuardEvent::Rests { level, still_awake: true, .. })] = told[..]
    else {
        panic!("{told:?}")
    };
    assert!((level.milli() - 380.0).abs() < 1e-9);
    let told = play(&mut guard, 1301, &[560.0, 560.0, 380.0, 380.0, 24.0, 24.0, 380.0, 380.0]);
    let [
        (1302, GuardEvent::Woke(second)),
        (1304, GuardEvent::Slept { was, .. }),
        (1306, GuardEvent::Slept { was: first, at: over }),
        (1308, GuardEvent::Woke(third)),
    ] = told[..]
    else {
        panic!("{told:?}")
    };
    assert_eq!((second.number, was.number, first.number, third.number), (2, 2, 1, 3));
    assert_eq!((first.since, over), (at(601.0), at(1305.0)));
    assert!((first.peak.milli() - 560.0).abs() < 1e-9 && (third.rest.milli() - 24.0).abs() < 0.1);
}

#[test]
fn pulses_during_the_wait_do_not_hold_it_up_but_cycling_does() {
    let pulsed = |share: f64| {
        let mut guard = Guard::new(Minute::new(10.0));
        let wave = |second: u32| if f64::from(second % 100) < 100.0 * share { 300.0 } else { 24.0 };
        (0..1800).flat_map(|second| guard.take(sample(f64::from(second), wave(second)))).collect::<Vec<_>>()
    };
    let first = pulsed(0.1);
    assert!(matches!(first.first(), Some(GuardEvent::Rests { level, .. }) if level.milli() < 25.0));
    assert_eq!(pulsed(0.4), []);
}

#[test]
fn a_dip_is_no_wake_up_and_the_rest_is_the_old_one_after_it() {
    let told = play(&mut asleep(), 601, &[5.0, 5.0, 5.0, 24.0, 24.0, 24.0, 60.0, 60.0]);
    assert!(matches!(told[..], [(608, GuardEvent::Woke(_))]), "{told:?}");
}

#[test]
fn ten_random_moments_in_noise_are_each_told_within_two_samples() {
    let mut runner = TestRunner::deterministic();
    let nights = proptest::collection::vec((30.0..400.0_f64, 12.0..2000.0_f64, 5.0..90.0_f64), 10);
    runner
        .run(&(nights, 0.0..0.8_f64, proptest::num::u64::ANY), |(wakes, noise, seed)| {
            let mut state = seed | 1;
            // A sum of four even numbers scatters nearly as a normal one does, by √(4/12) of its width.
            let mut scatter = || {
                let even = |_| {
                    state =
                        state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                    (state >> 33) as f64 / f64::from(1u32 << 31) - 0.5
                };
                (0..4).map(even).sum::<f64>() * 1.732
            };
            let mut guard = Guard::new(Minute::new(10.0));
            let (mut now, mut told) = (0.0, Vec::new());
            let mut stay = |guard: &mut Guard, length: f64, milli: f64| {
                let begun = now;
                while now < begun + length {
                    let value = ((milli + noise * scatter()) * 10.0).round() / 10.0;
                    told.extend(guard.take(sample(now, value)).into_iter().map(|event| (now, event)));
                    now += 1.0;
                }
                begun
            };
            stay(&mut guard, 700.0, 24.0);
            let mut moments = Vec::new();
            for (quiet, height, length) in wakes {
                moments.push(stay(&mut guard, length, 24.0 + height));
                stay(&mut guard, quiet, 24.0);
            }
            let woken: Vec<f64> = told
                .iter()
                .filter(|(_, event)| matches!(event, GuardEvent::Woke(_)))
                .map(|(at, _)| *at)
                .collect();
            let due: Vec<f64> = moments.iter().map(|begun| begun + 1.0).collect();
            proptest::prop_assert_eq!(woken, due);
            Ok(())
        })
        .unwrap_or_else(|fault| panic!("{fault}"));
    let _ = Config::default();
}
