//! Five hundred seeded traces whose truth is known: stairs, wake-ups, cycling, under noise that is white or
//! correlated, whole counts, and rates from a sample in five seconds to ten a second.

use fusetrail::base::quantity::{Ampere, Minute, Unit as _};
use fusetrail::trace::level::levels;
use fusetrail::trace::samples::Trace;
use fusetrail::trace::settle::{Rules, Settling, settle};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// What is really there. Times in seconds, currents in milliampere.
#[derive(Debug)]
struct Truth {
    settled: bool,
    settles_at: f64,
    level: f64,
    period: Option<f64>,
    rate: f64,
    about: String,
}

fn pick<T: Copy>(dice: &mut ChaCha8Rng, from: &[T]) -> T {
    from[dice.random_range(0..from.len())]
}

/// Makes the way down to a level: when it is reached, and for each stair above it when it ends and its current, the
/// last first.
fn stairs(dice: &mut ChaCha8Rng, level: f64) -> (f64, Vec<(f64, f64)>) {
    let mut at: f64 = dice.random_range(120.0..2_400.0);
    let (settles_at, mut current, mut stairs) = (at, level, Vec::new());
    for _ in 0..dice.random_range(1..4) {
        current += dice.random_range(20.0..400.0);
        stairs.push((at, current));
        at -= dice.random_range(0.2..0.6) * at;
        if at < 60.0 {
            break;
        }
    }
    (settles_at, stairs)
}

/// Makes a trace: stairs down to a level; then rest, rest with pulses, cycling, or the end of the log too soon.
fn draw(seed: u64) -> (Trace, Truth) {
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let rate = pick(&mut dice, &[0.2, 0.5, 1.0, 2.0, 5.0, 10.0]);
    let level = dice.random_range(8.0..80.0);
    let (settles_at, stairs) = stairs(&mut dice, level);
    let kind = pick(&mut dice, &["rest", "pulses", "pulses", "cycling", "early"]);
    let length = match kind {
        "early" => settles_at + dice.random_range(60.0..480.0),
        _ => settles_at + dice.random_range(3_600.0..9_000.0),
    };
    let (period, on) = match kind {
        "pulses" => (Some(dice.random_range(300.0..720.0)), dice.random_range(30.0..60.0)),
        "cycling" => {
            let period = dice.random_range(120.0..900.0);
            (Some(period), period * dice.random_range(0.3..0.7))
        }
        _ => (None, 0.0),
    };
    let rise = dice.random_range(40.0..240.0);
    let phase = dice.random_range(0.0..1.0);
    let sigma = 10_f64.powf(dice.random_range(-1.5..0.6));
    let correlation = pick(&mut dice, &[0.0_f64, 0.0, 0.3, 0.6, 0.8]);
    let step = pick(&mut dice, &[0.01, 0.1, 1.0, 3.0]);
    let mut last: f64 = 0.0;
    let count = (length * rate) as usize;
    let samples: Vec<(Minute, Ampere)> = (0..count)
        .map(|index| {
            let time = index as f64 / rate;
            let drawn: f64 = StandardNormal.sample(&mut dice);
            last = correlation * last + (1.0_f64 - correlation * correlation).sqrt() * drawn;
            let base =
                stairs.iter().rev().find(|(end, _)| time < *end).map_or(level, |(_, current)| *current);
            let up = period.is_some_and(|period| {
                time >= settles_at && (time - settles_at + phase * period).rem_euclid(period) < on
            });
            let value = base + if up { rise } else { 0.0 } + sigma * last;
            (Minute::new(time / 60.0), Ampere::from_milli((value / step).round() * step))
        })
        .collect();
    let about = format!(
        "seed {seed}: {kind}, {rate} Hz, level {level:.1}, rise {rise:.0}, period {period:?}, on {on:.0} s, noise {sigma:.2} correlated {correlation}, step {step}"
    );
    let settled = matches!(kind, "rest" | "pulses");
    let truth = Truth {
        settled,
        settles_at: if settled { first_rest(settles_at, period, on, phase) } else { settles_at },
        level,
        period,
        rate,
        about,
    };
    (Trace::new(samples, Ampere::from_milli(step)), truth)
}

/// Returns when the level is first reached: after a pulse that hides the last step.
fn first_rest(settles_at: f64, period: Option<f64>, on: f64, phase: f64) -> f64 {
    match period {
        Some(period) if phase * period < on => settles_at + on - phase * period,
        _ => settles_at,
    }
}

fn seconds(time: Minute) -> f64 {
    time.base() * 60.0
}

/// What is judged of a trace: settled, time, level, period; none where it does not apply.
fn judge(found: &Settling, truth: &Truth) -> [Option<bool>; 4] {
    let both = truth.settled && found.is_settled();
    let late = (30.0_f64).max(2.0 / truth.rate) + 1e-6;
    let time = found.after.filter(|_| both).map(|after| (seconds(after) - truth.settles_at).abs() <= late);
    let off = |level: f64| (level - truth.level).abs() <= (0.02 * truth.level).max(2.0);
    let level = found.level.as_ref().filter(|_| both).map(|level| off(level.value().milli()));
    let right_answer = truth.settled == found.is_settled();
    let period = truth.period.filter(|_| right_answer).map(|period| {
        found.period.is_some_and(|found| (seconds(found.time) - period).abs() <= 0.03 * period)
    });
    [Some(right_answer), time, level, period]
}

#[test]
fn five_hundred_seeded_traces() {
    let names = [
        "settled or not",
        "time within 30 s or two samples",
        "level within 2 % or 2 mA",
        "period within 3 %",
    ];
    let wanted = [0.98, 0.95, 0.97, 0.95];
    let mut counts = [(0_usize, 0_usize); 4];
    let mut misses = Vec::new();
    for seed in 0..500 {
        let (trace, truth) = draw(seed);
        let noise = levels(&trace).noise;
        let found = settle(trace, &Rules::default());
        for (at, right) in judge(&found, &truth).into_iter().enumerate() {
            let Some(right) = right else { continue };
            counts[at].1 += 1;
            counts[at].0 += usize::from(right);
            if !right {
                misses.push(format!(
                    "{}: {}; found {:?} after {:?} s (truly {:.0}), level {:?}, period {:?} s, up {:.2}, {noise:?}",
                    names[at],
                    truth.about,
                    found.verdict,
                    found.after.map(|after| seconds(after).round()),
                    truth.settles_at,
                    found.level.as_ref().map(|level| level.value().milli()),
                    found.period.map(|period| seconds(period.time).round()),
                    found.away
                ));
            }
        }
    }
    for (name, (right, of)) in names.iter().zip(counts) {
        println!("{name}: {right} of {of}, {:.1} %", 100.0 * right as f64 / of as f64);
    }
    for miss in &misses {
        println!("{miss}");
    }
    for ((name, wanted), (right, of)) in names.iter().zip(wanted).zip(counts) {
        assert!(
            of > 100 && right as f64 >= wanted * of as f64,
            "{name}: {right} of {of}\n{}",
            misses.join("\n")
        );
    }
}
