//! What a reading not yet taken would show under each hypothesis: normal parts, from the readings so far.
//! Leaves to others: which readings can be taken (`candidate`), what they are worth (`worth`).

use nalgebra::DVector;

use super::hypothesis::signal;
use super::posterior::{Frame, Ground, Sized, Weighed};
use crate::numeric::gaussian::Direction;
use crate::quantity::{Ampere, Uncertain, Unit};
use crate::reading::claim::{Claim, Interrupted, Panel, Scope};

/// Probability below which a hypothesis is left out of forecasts.
const TOO_UNLIKELY: f64 = 1e-5;

/// A normal part of a forecast: which hypothesis, how likely, mean and variance of the reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Index of the hypothesis.
    pub hypothesis: usize,
    /// Probability of hypothesis and size together.
    pub weight: f64,
    /// Mean of the reading, in ampere.
    pub mean: f64,
    /// Variance of the reading, in ampere squared.
    pub variance: f64,
}

/// A reading that could be taken, as the claim it would make: its current stands for its errors at zero.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// What it would be about.
    pub scope: Scope,
    /// What is interrupted.
    pub interrupted: Interrupted,
    /// Errors that the reading would have at zero, own and shared.
    pub errors: Uncertain<Ampere>,
    /// Relative standard uncertainty that grows with the reading.
    pub relative: f64,
}

/// Forecasts a reading under every hypothesis that is still likely.
pub fn forecast(
    outlook: &Outlook,
    weighed: &[Weighed],
    claims: &[Claim],
    panel: &Panel,
    ground: &Ground,
) -> Vec<Forecast> {
    let row = DVector::from_vec(panel.row(outlook.scope, &outlook.interrupted));
    let asleep = row.component_mul(&ground.variances);
    let together = row.dot(&ground.shared);
    let own = row.dot(&asleep) + together * together + outlook.errors.u().base().powi(2);
    let mut with_read = &ground.coefficients * &asleep + &ground.coefficients * &ground.shared * together;
    for (slot, claim) in with_read.iter_mut().zip(claims) {
        *slot += outlook.errors.covariance(&claim.current);
    }
    let base = Base { mean: row.dot(&ground.expected), variance: own, with_read };
    let mut plain = None;
    let mut all = Vec::new();
    for (index, one) in weighed.iter().enumerate().filter(|(_, one)| one.probability > TOO_UNLIKELY) {
        let mut reads: Vec<Option<Read>> = vec![None; one.frames.len()];
        for (weight, size) in &one.sizes {
            let (Some(frame), Some(slot)) = (one.frames.get(size.frame), reads.get_mut(size.frame)) else {
                continue;
            };
            let read = match frame.spread.is_empty() {
                // All frames without a spread of their own share one covariance.
                true => plain.get_or_insert_with(|| base.read(one, frame, outlook, claims, panel)),
                false => slot.get_or_insert_with(|| base.read(one, frame, outlook, claims, panel)),
            };
            let excess = one.hypothesis.patterns.get(size.pattern).map_or(&[][..], |pattern| &pattern.excess);
            let slope = signal(one.hypothesis.cause, excess, outlook.scope, &outlook.interrupted, panel);
            let (mean, variance) = base.under(size, frame, read, slope);
            let grows = outlook.relative * mean;
            all.push(Forecast {
                hypothesis: index,
                weight: one.probability * weight,
                mean,
                variance: variance + grows * grows,
            });
        }
    }
    all
}

struct Base {
    mean: f64,
    variance: f64,
    /// Covariance of the new reading with each one taken, without any excess.
    with_read: DVector<f64>,
}

/// The new reading beside those taken, in one frame.
#[derive(Clone)]
struct Read {
    with_read: Direction,
    variance: f64,
}

impl Base {
    fn read(&self, one: &Weighed, frame: &Frame, outlook: &Outlook, claims: &[Claim], panel: &Panel) -> Read {
        let cause = one.hypothesis.cause;
        let mut variance = self.variance;
        let mut with_read = self.with_read.clone();
        for (part, sd) in &frame.spread {
            let one_part = [(*part, 1.0)];
            let here = signal(cause, &one_part, outlook.scope, &outlook.interrupted, panel) * sd;
            variance += here * here;
            for (slot, claim) in with_read.iter_mut().zip(claims) {
                *slot += here * sd * signal(cause, &one_part, claim.scope, &claim.interrupted, panel);
            }
        }
        Read { with_read: frame.gaussian.direction(with_read), variance }
    }

    /// Mean and variance of the new reading under one size; `slope` is what a unit of its pattern adds to it.
    fn under(&self, size: &Sized, frame: &Frame, read: &Read, slope: f64) -> (f64, f64) {
        let (along, square) = frame.gaussian.products(&size.view, &read.with_read);
        let mean = self.mean + along;
        let variance = (read.variance - square).max(1e-12);
        let Some(direction) = &frame.direction else { return (mean, variance) };
        let slope = slope - frame.gaussian.product(&size.view, &read.with_read, direction);
        (mean + slope * size.mean, variance + slope * slope * size.variance)
    }
}
