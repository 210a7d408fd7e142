//! Columns beside the total, and two clocks: seeded nights of three loads whose truth is known.

use fusetrail::base::quantity::{Ampere, Minute, Unit as _};
use fusetrail::trace::channel::{Channel, ChannelFound, channels};
use fusetrail::trace::clocks::lay_together;
use fusetrail::trace::samples::Trace;
use fusetrail::trace::settle::{Rules, settle};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// A load that wakes by itself or after the first: seconds and milliampere.
struct Wakes {
    ups: Vec<(f64, f64)>,
    more: f64,
    rest: f64,
}

impl Wakes {
    fn at(&self, time: f64) -> f64 {
        let up = self.ups.iter().any(|(from, to)| (*from..*to).contains(&time));
        self.rest + if up { self.more } else { 0.0 }
    }
}

struct Truth {
    loads: Vec<Wakes>,
    /// By how much the first leads the second, in seconds.
    lead: f64,
    length: f64,
}

/// Six hours: the first load wakes again and again, the second with it and a little later, the third by itself.
fn draw(seed: u64) -> Truth {
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let length = 6.0 * 3_600.0;
    let period = dice.random_range(400.0..1_500.0);
    let lead = [0.0, 0.3, 2.5, 4.0, 9.0][dice.random_range(0..5)];
    let (mut first, mut second) = (Vec::new(), Vec::new());
    let mut at = dice.random_range(900.0..1_200.0);
    while at < length - 200.0 {
        let lasts = dice.random_range(40.0..70.0);
        first.push((at, at + lasts));
        second.push((at + lead, at + lasts * 0.8));
        at += period * dice.random_range(0.9..1.1);
    }
    let mut third = Vec::new();
    for part in 0..3 {
        // They never meet.
        let at = 1_500.0 + 6_500.0 * f64::from(part) + dice.random_range(0.0..4_500.0);
        third.push((at, at + dice.random_range(20.0..1_500.0)));
    }
    let mut load =
        |ups| Wakes { ups, more: dice.random_range(60.0..500.0), rest: dice.random_range(2.0..15.0) };
    Truth { loads: vec![load(first), load(second), load(third)], lead, length }
}

/// What a meter with so many samples a second shows of some loads; its clock began `late` seconds after the others.
fn shown(truth: &Truth, of: &[usize], rate: f64, late: f64, seed: u64) -> Trace {
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let sigma = dice.random_range(0.2..2.0);
    let phase = dice.random_range(0.0..1.0) / rate;
    let samples = (0..((truth.length - late) * rate) as usize).map(|index| {
        let time = index as f64 / rate + phase;
        let noise: f64 = StandardNormal.sample(&mut dice);
        let value: f64 = of.iter().map(|load| truth.loads[*load].at(time + late)).sum();
        (Minute::new(time / 60.0), Ampere::from_milli(((value + sigma * noise) * 10.0).round() / 10.0))
    });
    Trace::new(samples.collect::<Vec<_>>(), Ampere::from_milli(0.1))
}

fn channel(name: &str, trace: Trace) -> Channel {
    let zero = Minute::ZERO;
    Channel { name: name.into(), trace, begins: zero, begins_u: zero, gain_u: 0.0, meter: None }
}

#[test]
fn each_load_carries_what_it_draws_and_the_first_is_told_where_it_leads_by_two_samples() {
    let (mut right, mut of, mut unclear, mut together, mut charge) = (0, 0, 0, 0, Vec::new());
    for seed in 0..60 {
        let truth = draw(seed);
        // One logger: its columns are sampled together.
        let total = shown(&truth, &[0, 1, 2], 1.0, 0.0, seed);
        let found = settle(total, &Rules::default());
        let all: Vec<Channel> = (0..3)
            .map(|load| channel(["F1", "F2", "F3"][load], shown(&truth, &[load], 1.0, 0.0, seed)))
            .collect();
        let told: Vec<ChannelFound> = channels(&found, &all);
        let drawn =
            |load: &Wakes| load.more * load.ups.iter().map(|(from, to)| (to - from).max(0.0)).sum::<f64>();
        let whole: f64 = truth.loads.iter().map(drawn).sum();
        charge.extend(
            truth.loads.iter().zip(&told).map(|(load, one)| (one.share.share - drawn(load) / whole).abs()),
        );
        let [first, second] = [&told[0].share, &told[1].share];
        // While the third is up, it was first.
        let alone =
            |start: f64| !truth.loads[2].ups.iter().any(|(from, to)| from - 1.0 < start && start < to + 2.0);
        let due = truth.loads[0].ups.iter().filter(|(from, _)| alone(*from)).count();
        if truth.lead >= 2.0 {
            right += first.first;
            of += due;
            assert_eq!(second.first, 0, "seed {seed}: {told:?}");
            let lead = first.lead.expect("a lead").base() * 60.0;
            assert!((lead - truth.lead).abs() <= 1.0, "seed {seed}: {lead} of {}", truth.lead);
        } else {
            unclear += first.unclear;
            together += due;
        }
        for (load, one) in truth.loads.iter().zip(&told) {
            let level = one.level.as_ref().expect("a level").value().milli();
            assert!((level - load.rest).abs() < 1.0, "seed {seed}: {level} of {}", load.rest);
        }
    }
    println!("first right: {right} of {of}; can't tell: {unclear} of {together}");
    assert!(of > 500 && right as f64 >= 0.95 * of as f64, "{right} of {of}");
    assert!(unclear as f64 >= 0.95 * together as f64, "{unclear} of {together} can't be told");
    charge.sort_unstable_by(f64::total_cmp);
    println!(
        "share off by {:.4} in the middle, {:.4} at most",
        charge[charge.len() / 2],
        charge[charge.len() - 1]
    );
    assert!(charge[charge.len() * 97 / 100] < 0.03, "{charge:?}");
}

#[test]
fn two_clocks_are_laid_together_within_a_sample_of_the_slower() {
    let (mut right, mut inside, mut of) = (0, 0, 0);
    for seed in 100..160 {
        let truth = draw(seed);
        let late = ChaCha8Rng::seed_from_u64(seed).random_range(0.0..1_800.0);
        let total = shown(&truth, &[0, 1, 2], 1.0, 0.0, seed);
        let other = shown(&truth, &[1], 0.5, late, seed + 1);
        let found = lay_together(&total, &other, None).expect("an offset");
        // Both count from their first sample; each began up to a sample late.
        let off = found.begins.base() * 60.0 - late;
        of += 1;
        right += usize::from(off.abs() <= 3.0);
        inside += usize::from((off).abs() <= 3.0 && found.u.base() * 60.0 < 2.0);
    }
    println!("within a sample: {right} of {of}, told so {inside}");
    assert!(right as f64 >= 0.98 * f64::from(of), "{right} of {of}");
    assert!(inside as f64 >= 0.98 * f64::from(of), "{inside} of {of}");
}

#[test]
fn logs_with_nothing_in_common_are_not_laid_together() {
    let flat = |seed: u64| {
        let truth = Truth {
            loads: vec![Wakes { ups: Vec::new(), more: 0.0, rest: 20.0 }],
            lead: 0.0,
            length: 7_200.0,
        };
        shown(&truth, &[0], 1.0, 0.0, seed)
    };
    assert_eq!(lay_together(&flat(1), &flat(2), None), None);
    let busy = draw(3);
    assert_eq!(lay_together(&flat(1), &shown(&busy, &[0], 1.0, 0.0, 3), None), None);
}
