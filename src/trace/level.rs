//! The levels of a trace: cut, then averaged over the time for which each sample speaks.
//! Leaves to others: the cut (`segment`), its price (`noise`), the meaning (`settle`).

use super::noise::Noise;
use super::samples::Trace;
use super::segment::partition;
use crate::base::quantity::{Ampere, Minute, Unit};

/// A stretch of constant current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// Index of its first sample.
    pub first: usize,
    /// Index behind its last sample.
    pub end: usize,
    /// When it begins, in seconds since the first sample.
    pub(super) from: f64,
    /// When it ends, in seconds since the first sample.
    pub(super) to: f64,
    /// Seconds of it that samples speak for; less than its length where there is a gap.
    pub(super) held: f64,
    /// Mean over that time, in ampere.
    pub(super) mean: f64,
}

impl Level {
    /// Returns when it begins, counted from the first sample.
    pub fn from(&self) -> Minute {
        Minute::new(self.from / 60.0)
    }

    /// Returns its current.
    pub fn current(&self) -> Ampere {
        Ampere::new(self.mean)
    }
}

/// The levels of a trace, and the noise about them.
#[derive(Debug, Clone, PartialEq)]
pub struct Levels {
    /// The levels, in order.
    pub levels: Vec<Level>,
    /// Noise, in ampere.
    pub noise: Noise,
}

/// Cuts a trace into levels.
pub fn levels(trace: &Trace) -> Levels {
    let noise = Noise::of(trace.values(), trace.step().base());
    // The least price keeps rounding errors of a trace without any noise from being taken for steps.
    let penalty = noise.penalty(trace.len()).max(LEAST_PENALTY);
    let cut = partition(trace.values().iter().map(|value| (*value, 1.0)), penalty);
    let ends = cut.starts.iter().skip(1).copied().chain([trace.len()]);
    let levels = cut.starts.iter().zip(ends).filter_map(|(first, end)| average(trace, *first, end)).collect();
    Levels { levels, noise }
}

/// Least price of a change, in ampere squared: a tenth of a microampere, squared.
const LEAST_PENALTY: f64 = 1e-14;

/// Returns the level of the samples `first..end`; nothing if there are none.
pub(super) fn average(trace: &Trace, first: usize, end: usize) -> Option<Level> {
    let values = trace.values().get(first..end)?;
    let from = *trace.times().get(first)?;
    let (mut held, mut charge, mut sum) = (0.0, 0.0, 0.0);
    for (at, value) in values.iter().enumerate() {
        let seconds = trace.held(first + at);
        held += seconds;
        charge += seconds * value;
        sum += value;
    }
    let mean = if held > 0.0 { charge / held } else { sum / values.len() as f64 };
    // Nothing is known of what follows a gap, or the end.
    let to = match trace.times().get(end) {
        Some(next) if !trace.is_after_gap(end) => *next,
        _ => trace.times().get(end.checked_sub(1)?)? + trace.usual_seconds(),
    };
    Some(Level { first, end, from, to, held, mean })
}
