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
    for one in &observed.below {
        weigh(inference, one, off, panel);
    }
    if !observed.below.is_empty() {
        inference.normalise();
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
            pair.ln += of(pair.first) + of(pair.second);
            continue;
        }
        let (Some(first), Some(second)) = (weighed.get(pair.first), weighed.get(pair.second)) else { continue };
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
