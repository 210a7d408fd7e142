//! What a reading not yet taken would show under each hypothesis: normal parts, from the readings so far.
//! Leaves to others: which readings can be taken (`candidate`), what they are worth (`worth`).

use nalgebra::DVector;

use super::hypothesis::signal;
use super::posterior::{Frame, Ground, Sized, Weighed};
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
    let mut all = Vec::new();
    for (index, one) in weighed.iter().enumerate().filter(|(_, one)| one.probability > TOO_UNLIKELY) {
        for (weight, size) in &one.sizes {
            let Some(frame) = one.frames.get(size.frame) else { continue };
            let (mean, variance) = base.under(one, size, frame, outlook, claims, panel);
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

impl Base {
    fn under(
        &self,
        one: &Weighed,
        size: &Sized,
        frame: &Frame,
        outlook: &Outlook,
        claims: &[Claim],
        panel: &Panel,
    ) -> (f64, f64) {
        let cause = one.hypothesis.cause;
        let new_signal =
            |excess: &[(usize, f64)]| signal(cause, excess, outlook.scope, &outlook.interrupted, panel);
        let mut variance = self.variance;
        let mut with_read = self.with_read.clone();
        for (part, sd) in &frame.spread {
            let one_part = [(*part, 1.0)];
            let here = new_signal(&one_part) * sd;
            variance += here * here;
            for (slot, claim) in with_read.iter_mut().zip(claims) {
                *slot += here * sd * signal(cause, &one_part, claim.scope, &claim.interrupted, panel);
            }
        }
        let gain = frame.gaussian.solve(&with_read);
        let mean = self.mean + with_read.dot(frame.gaussian.weighted_residual());
        let variance = (variance - with_read.dot(&gain)).max(1e-12);
        let Some(direction) = &frame.direction else { return (mean, variance) };
        let excess = one.hypothesis.patterns.get(size.pattern).map_or(&[][..], |pattern| &pattern.excess);
        let slope = new_signal(excess) - with_read.dot(&direction.weighted);
        (mean + slope * size.mean, variance + slope * slope * size.variance)
    }
}
