//! Readings along a row that were not high: each cause, and each of its sizes, is weighed by how likely a reading there
//! would be below what is high, given all that was measured; its size is then that of the readings below.
//! Leaves to others: what is measured (`infer`), which fuses are read along a row (`round`).
//!
//! The sizes of a cause are normal parts. Of a part the reading is normal too, and so is its size given a reading below:
//! nearly, with mean and variance of the normal distribution cut off there (assumed density filtering). A reading may be
//! bad as any other may. Checked against the sum over all exact readings below (`tests`).

use std::sync::Arc;

use super::forecast::{Forecaster, Moments, PredictedReading};
use crate::base::numeric::density::{ln_normal, normal_below};
use crate::base::quantity::{Uncertain, Unit};
use crate::infer::Inference;
use crate::infer::assumptions::{BAD_READING, BAD_READING_OFF};
use crate::infer::posterior::ScoredHypothesis;
use crate::measure::event::Observed;
use crate::measure::observation::{Observation, Panel};

/// Explanations below this probability are not looked at: what is not high makes none of them likely.
const TOO_UNLIKELY: f64 = 1e-7;

/// Weighs causes by what was read and not high.
pub fn weigh_below(inference: &mut Inference, observed: &Observed, panel: &Panel) {
    let currents = observed.observations.iter().map(|one| one.current.value().base().abs());
    let off = (BAD_READING_OFF.0 * currents.fold(0.0, f64::max)).max(BAD_READING_OFF.1);
    let sound = inference.sound();
    for one in &observed.below {
        weigh(inference, one, off, panel);
    }
    if !observed.below.is_empty() {
        inference.rescale(sound);
    }
}

fn weigh(inference: &mut Inference, below: &Observation, off: f64, panel: &Panel) {
    let limit = below.current.value();
    let outlook = PredictedReading {
        scope: below.scope,
        interrupted: below.interrupted.clone(),
        errors: below.current.minus(&Uncertain::exact(limit)),
        relative: 0.0,
    };
    let cut = Cut { limit: limit.base(), off };
    let Inference { null, weighed, pairs, .. } = inference;
    let mut forecaster = Forecaster::new(&outlook, null, panel);
    let alone: Vec<f64> = weighed
        .iter_mut()
        .map(|one| {
            let before = one.ln;
            if one.probability > TOO_UNLIKELY {
                reweigh(one, &mut forecaster, &cut);
            }
            one.ln - before
        })
        .collect();
    for pair in pairs.iter_mut() {
        if pair.sizes().is_empty() {
            // Too unlikely for sizes of its own: as its causes alone.
            let of = |which: usize| alone.get(which).copied().unwrap_or(0.0);
            let more = of(pair.first) + of(pair.second);
            pair.ln += more;
            pair.probability *= more.exp();
            continue;
        }
        let (Some(first), Some(second)) = (weighed.get(pair.first), weighed.get(pair.second)) else {
            continue;
        };
        let mut reads = vec![None; first.frames.len()];
        pair.reweigh(|size| {
            let moments = forecaster.double([first, second], size, &mut reads)?;
            let [m1, m2] = size.amplitudes.mean;
            let [v1, v2, v12] = size.amplitudes.covariance;
            let [s1, s2] = moments.slopes;
            let shift = cut.of(&moments);
            let with = [s1 * v1 + s2 * v12, s2 * v2 + s1 * v12];
            let mean = [m1 + with[0] * shift.mean, m2 + with[1] * shift.mean];
            let lower = |a: f64, b: f64| a * b * shift.variance;
            let covariance = [
                (v1 - lower(with[0], with[0])).max(0.0),
                (v2 - lower(with[1], with[1])).max(0.0),
                v12 - lower(with[0], with[1]),
            ];
            Some((shift.ln, mean, covariance))
        });
    }
}

/// Weighs a single cause and each of its sizes.
fn reweigh(one: &mut ScoredHypothesis, forecaster: &mut Forecaster, cut: &Cut) {
    let mut reads = vec![None; one.frames.len()];
    let mut sizes = Vec::with_capacity(one.sizes.len());
    for (weight, size) in one.sizes.iter() {
        let Some(moments) = forecaster.single(one, size, &mut reads) else { continue };
        let shift = cut.of(&moments);
        let with = moments.slopes[0] * size.variance;
        let mut size = size.clone();
        size.mean += with * shift.mean;
        size.variance = (size.variance - with * with * shift.variance).max(0.0);
        sizes.push((weight * shift.ln.exp(), size));
    }
    let sum: f64 = sizes.iter().map(|(weight, _)| weight).sum();
    if sum > 0.0 {
        sizes.iter_mut().for_each(|(weight, _)| *weight /= sum);
        one.ln += sum.ln();
        one.probability *= sum;
        one.sizes = Arc::new(sizes);
    }
}

/// Where readings are cut off, and how far off a bad one is, in ampere.
struct Cut {
    limit: f64,
    off: f64,
}

/// What a reading below does to a part: logarithm of its likelihood; shift of the size's mean, and fall of its variance, for
/// each unit of covariance with the reading.
struct Shift {
    ln: f64,
    mean: f64,
    variance: f64,
}

impl Cut {
    fn of(&self, Moments { mean, variance, .. }: &Moments) -> Shift {
        let sd = variance.sqrt();
        let z = (self.limit - mean) / sd;
        let bad = BAD_READING * normal_below((self.limit - mean) / sd.hypot(self.off));
        let good = (1.0 - BAD_READING) * normal_below(z);
        // Hazard of the normal distribution; far out it is the distance itself.
        let steep = if z < -30.0 { -z } else { ln_normal(z, 0.0, 1.0).exp() / normal_below(z) };
        let share = good / (good + bad);
        Shift {
            ln: (good + bad).ln(),
            mean: -share * steep / sd,
            variance: share * (steep * (z + steep)).clamp(0.0, 1.0) / variance,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::{Ampere, Celsius, Minute, Typed, Volt};
    use crate::circuit::check::check;
    use crate::circuit::fuse_table::FuseTable;
    use crate::circuit::learnt::LearntShares;
    use crate::circuit::meters;
    use crate::instrument::uncertainty::Zero;
    use crate::measure::{Measurement, Reading};
    use crate::plan::analysis::{Analysis, Facts};

    const MAP: &str = "
format: fusetrail-map/1
title: three fuses
class: car
boxes: {cabin: {}}
feeds:
  - {id: F1, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: radio, kind: audio}]}
  - {id: F2, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: clock, kind: cluster}]}
  - {id: F3, from: battery, box: cabin, fuse: {family: mini, rating_a: 15}, loads: [{name: boot lamp, kind: lamp-interior}]}
unfused: []
";

    /// The causes after a total of 150 mA and what is read at fuses.
    fn inferred(read: Vec<Measurement>) -> Inference {
        let at = chrono::DateTime::UNIX_EPOCH.into();
        let meter = meters::find("tenth-mv", true).expect("built in");
        let clamp = meters::find("clamp-1ma", false).expect("built in");
        let (map, _) = check("three.yaml", MAP).expect("a map");
        let total = Typed::measured(Ampere::from_milli(150.0), 0.001, "150 mA");
        let all = std::iter::once(Measurement::Total { current: total, as_found: false }).chain(read);
        let reading = |(number, what)| Reading {
            entry: number + 2,
            at,
            what,
            meter: meter.clone(),
            clamp: clamp.clone(),
            zero: Some((1, Volt::ZERO)),
            temperature: Uncertain::new(Celsius::new(20.0), Celsius::new(2.0)),
            provisional: false,
            after_repair: false,
        };
        let analysis = Analysis::of_facts(Facts {
            panel: std::sync::Arc::new(Panel::new(map)),
            table: FuseTable::builtin(),
            readings: all.enumerate().map(reading).collect(),
            meter: meter.clone(),
            clamp: clamp.clone(),
            ammeter: clamp.clone(),
            zero: Some(Zero { entry: 1, offset: Volt::ZERO }),
            temperature: Uncertain::new(Celsius::new(20.0), Celsius::new(2.0)),
            limit: None,
            sleep: Minute::new(30.0),
            told: Vec::new(),
            supply: Vec::new(),
            learnt: LearntShares::default(),
            night: Default::default(),
            series: None,
            passed_over: Vec::new(),
        });
        analysis.inference().expect("a covariance").clone()
    }

    fn millivolts(value: f64) -> Typed<Volt> {
        Typed::measured(Volt::from_milli(value), 1e-4, "")
    }

    fn drop(feed: &str, value: f64) -> Measurement {
        Measurement::Drop { feed: feed.into(), drop: millivolts(value) }
    }

    fn below(feed: &str, value: f64) -> Measurement {
        Measurement::Below { feed: feed.into(), drop: millivolts(value) }
    }

    /// Likelihood and prior of each single cause together, in one order.
    fn weights(inference: &Inference) -> Vec<f64> {
        inference.weighed.iter().map(|one| one.ln.exp()).collect()
    }

    fn shares(weights: &[f64]) -> Vec<f64> {
        let sum: f64 = weights.iter().sum();
        weights.iter().map(|weight| weight / sum).collect()
    }

    /// Every exact reading below a drop, in steps, far enough down that nothing is left beneath.
    fn all_below(value: f64) -> impl Iterator<Item = f64> {
        const STEP: f64 = 0.05;
        (0..).map(move |at| value - (f64::from(at) + 0.5) * STEP).take_while(|value| *value > -6.0)
    }

    fn close(weighed: &[f64], summed: &[f64], within: f64) {
        let (weighed, summed) = (shares(weighed), shares(summed));
        for (one, other) in weighed.iter().zip(&summed) {
            assert!((one - other).abs() < within, "{one} against {other}: {weighed:?} {summed:?}");
        }
    }

    #[test]
    fn a_reading_below_weighs_as_all_exact_readings_below_together() {
        // At 0.3 mV half of what is sought is cut off, at 0.9 next to nothing.
        for limit in [0.3, 0.6, 0.9, 1.2] {
            let weighed = weights(&inferred(vec![below("F1", limit)]));
            let mut summed = vec![0.0; weighed.len()];
            for value in all_below(limit) {
                let exact = weights(&inferred(vec![drop("F1", value)]));
                summed.iter_mut().zip(exact).for_each(|(sum, one)| *sum += one);
            }
            close(&weighed, &summed, 0.01);
        }
    }

    #[test]
    fn two_readings_below_weigh_together() {
        let weighed = weights(&inferred(vec![below("F1", 0.5), below("F3", 0.4)]));
        let mut summed = vec![0.0; weighed.len()];
        for first in all_below(0.5).step_by(2) {
            for third in all_below(0.4).step_by(2) {
                let exact = weights(&inferred(vec![drop("F1", first), drop("F3", third)]));
                summed.iter_mut().zip(exact).for_each(|(sum, one)| *sum += one);
            }
        }
        close(&weighed, &summed, 0.015);
    }

    #[test]
    fn what_is_far_below_what_is_sought_acquits_its_fuse() {
        let probability = |inference: &Inference, feed: usize| -> f64 {
            let alone = inference.weighed.iter().filter(|one| {
                one.hypothesis
                    .patterns
                    .iter()
                    .any(|pattern| pattern.excess.iter().any(|(part, _)| usize::from(*part) == feed))
            });
            alone.map(|one| one.probability).sum()
        };
        let before = inferred(vec![]);
        let after = inferred(vec![below("F1", 0.3)]);
        assert!(probability(&after, 0) < 0.1 * probability(&before, 0), "{}", probability(&after, 0));
    }
}
