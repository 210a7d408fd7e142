//! Time-weighted averages with their uncertainty.
//! Leaves to others: which levels belong in (`settle`), the meter's own errors (`instrument`).

use super::level::Level;
use super::noise::Noise;
use crate::base::quantity::{Ampere, Typed, Uncertain, Unit};
use crate::instrument::profile::{Profile, Way};
use crate::instrument::uncertainty::current;

/// What makes an average uncertain.
#[derive(Debug, Clone, Copy)]
pub(super) struct Accuracy<'a> {
    /// Noise of the trace, in ampere.
    pub noise: Noise,
    /// Meter that wrote it, if it is known.
    pub meter: Option<&'a Profile>,
    /// Step of the last digit.
    pub step: Ampere,
}

/// Limits of error taken for a meter that is not named: percent of the reading and counts of its last digit.
/// Editorial: about what clamps and plain loggers promise.
const UNNAMED: (f64, f64) = (2.0, 3.0);

impl Accuracy<'_> {
    /// Returns a mean of so many samples with its uncertainty.
    pub(super) fn of(&self, mean: f64, samples: usize) -> Uncertain<Ampere> {
        let shown = Typed::measured(Ampere::new(mean), self.step.base(), "");
        let quantity = match self.meter {
            Some(meter) => current(&shown, meter),
            None => current(&shown, &unnamed(self.step)),
        };
        let noise = (self.noise.long_run_variance() / samples.max(1) as f64).sqrt();
        quantity.with_own(Ampere::new(noise))
    }
}

fn unnamed(step: Ampere) -> Profile {
    let name = "meter of the log".to_owned();
    Profile { name, way: Way::Series, resolution: step.base(), percent: UNNAMED.0, counts: UNNAMED.1 }
}

/// Returns the time-weighted average over levels.
pub(super) fn of_levels(levels: &[Level], accuracy: &Accuracy<'_>) -> Uncertain<Ampere> {
    let held: f64 = levels.iter().map(|level| level.held).sum();
    let charge: f64 = levels.iter().map(|level| level.mean * level.held).sum();
    let samples = levels.iter().map(|level| level.end - level.first).sum();
    let plain = || levels.iter().map(|level| level.mean).sum::<f64>() / levels.len().max(1) as f64;
    accuracy.of(if held > 0.0 { charge / held } else { plain() }, samples)
}
