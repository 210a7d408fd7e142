//! Samples of a current over time, in order, and for how long each one speaks.
//! Leaves to others: putting stamps in order (`repairs`), levels (`level`).

use crate::base::quantity::{Ampere, Minute, Unit};
use crate::measure::night::CurvePart;

/// A series of samples, earliest first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trace {
    /// Seconds since the first sample, never falling.
    times: Vec<f64>,
    /// Ampere.
    values: Vec<f64>,
    /// Usual distance of two samples, in seconds.
    usual: f64,
    /// Step of the last digit written, in ampere; 0 if it is unknown.
    step: f64,
}

/// A stretch without samples is a gap if it is longer than this many usual distances …
const GAP_SAMPLES: f64 = 10.0;

/// … and longer than this, in seconds. Editorial: a logger that misses a few samples has not been away.
const GAP_SECONDS: f64 = 60.0;

/// Distances that are looked at to find the usual one.
const LOOKED_AT: usize = 10_001;

impl Trace {
    /// Makes a trace from samples in order of time; `step` is the step of the last digit written, zero if that is
    /// unknown. Times count from the first sample. Samples out of order or not finite are left out.
    pub fn new(samples: impl IntoIterator<Item = (Minute, Ampere)>, step: Ampere) -> Self {
        let (mut times, mut values) = (Vec::new(), Vec::new());
        let mut origin = None;
        for (time, value) in samples {
            let time = time.base() * 60.0 - *origin.get_or_insert(time.base() * 60.0);
            let in_order = times.last().is_none_or(|last| *last <= time);
            if in_order && time.is_finite() && value.base().is_finite() {
                times.push(time);
                values.push(value.base());
            }
        }
        Self::from_columns(times, values, step.base())
    }

    /// Makes a trace from seconds since the first sample, never falling, and as many values in ampere.
    pub(super) fn from_columns(times: Vec<f64>, values: Vec<f64>, step: f64) -> Self {
        let usual = usual_distance(&times);
        Self { times, values, usual, step }
    }

    /// Returns the number of samples.
    pub fn len(&self) -> usize {
        self.values.len()
    }

    /// Returns true if there are no samples.
    pub fn is_empty(&self) -> bool {
        self.values.is_empty()
    }

    /// Returns the samples, times counted from the first.
    pub fn samples(&self) -> impl Iterator<Item = (Minute, Ampere)> {
        self.times.iter().zip(&self.values).map(|(t, v)| (Minute::new(t / 60.0), Ampere::new(*v)))
    }

    /// Returns the time from the first sample to the last.
    pub fn span(&self) -> Minute {
        Minute::new(self.times.last().copied().unwrap_or(0.0) / 60.0)
    }

    /// Returns the usual distance of two samples.
    pub fn usual(&self) -> Minute {
        Minute::new(self.usual / 60.0)
    }

    /// Returns the step of the last digit written; zero if that is unknown.
    pub fn step(&self) -> Ampere {
        Ampere::new(self.step)
    }

    /// Returns the stretches without samples: when each begins, and how long it is.
    pub fn gaps(&self) -> impl Iterator<Item = (Minute, Minute)> {
        let pairs = self.times.iter().zip(self.times.iter().skip(1));
        pairs
            .filter(|(from, to)| *to - *from > self.longest_held())
            .map(|(from, to)| (Minute::new(from / 60.0), Minute::new((to - from) / 60.0)))
    }

    /// Returns lowest and highest sample of each of at most so many equal parts of the time; parts without a sample are
    /// left out.
    pub fn curve(&self, parts: usize) -> Vec<CurvePart> {
        let parts = parts.min(self.len()).max(1);
        let part = self.span() / parts as f64;
        let mut all: Vec<(usize, CurvePart)> = Vec::new();
        for (time, current) in self.samples() {
            // From 0 to the number of parts less one.
            let at = ((time.base() / part.base().max(f64::MIN_POSITIVE)) as usize).min(parts - 1);
            match all.last_mut() {
                Some((last, seen)) if *last == at => {
                    (seen.low, seen.high) = (seen.low.min(current), seen.high.max(current));
                }
                _ => all.push((at, CurvePart { after: part * at as f64, low: current, high: current })),
            }
        }
        all.into_iter().map(|(_, part)| part).collect()
    }

    /// Returns the same trace with every sign turned.
    #[must_use]
    pub fn turned(mut self) -> Self {
        for value in &mut self.values {
            *value = -*value;
        }
        self
    }

    pub(super) fn times(&self) -> &[f64] {
        &self.times
    }

    pub(super) fn values(&self) -> &[f64] {
        &self.values
    }

    pub(super) fn usual_seconds(&self) -> f64 {
        self.usual
    }

    /// Returns true if a sample follows a gap.
    pub(super) fn is_after_gap(&self, index: usize) -> bool {
        let last = index.checked_sub(1).and_then(|last| self.times.get(last));
        last.zip(self.times.get(index)).is_some_and(|(last, here)| here - last > self.longest_held())
    }

    fn longest_held(&self) -> f64 {
        (GAP_SAMPLES * self.usual).max(GAP_SECONDS)
    }

    /// Returns the seconds for which a sample speaks: half the way to each neighbour, and none of the way through a gap,
    /// for nothing is known there. Sums of value and time are then those of the trapezoidal rule.
    pub(super) fn held(&self, index: usize) -> f64 {
        self.before(index) + self.before(index + 1)
    }

    /// Returns the seconds before a sample for which it speaks.
    pub(super) fn before(&self, index: usize) -> f64 {
        let last = index.checked_sub(1).and_then(|last| self.times.get(last));
        match (last, self.times.get(index)) {
            (Some(last), Some(here)) if here - last <= self.longest_held() => (here - last) / 2.0,
            _ => 0.0,
        }
    }
}

/// Returns the median distance of neighbours that are apart, from distances spread evenly over the series.
fn usual_distance(times: &[f64]) -> f64 {
    let every = (times.len() / LOOKED_AT).max(1);
    let mut distances: Vec<f64> = times
        .windows(2)
        .step_by(every)
        .filter_map(|pair| Some(pair.last()? - pair.first()?))
        .filter(|distance| *distance > 0.0)
        .collect();
    let middle = distances.len() / 2;
    if distances.is_empty() {
        return 0.0;
    }
    *distances.select_nth_unstable_by(middle, f64::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sample_speaks_for_half_the_way_to_its_neighbours_but_not_through_a_gap() {
        let at = |seconds: f64| (Minute::new(seconds / 60.0), Ampere::from_milli(25.0));
        let trace = Trace::new([0.0, 2.0, 4.0, 6.0, 30.0, 200.0, 202.0].map(at), Ampere::ZERO);
        let held: Vec<f64> = (0..8).map(|index| trace.held(index).round()).collect();
        assert_eq!(held, [1.0, 2.0, 2.0, 13.0, 12.0, 1.0, 1.0, 0.0]);
        assert_eq!(trace.gaps().count(), 1);
        assert!(Trace::new([], Ampere::ZERO).is_empty());
    }

    #[test]
    fn a_curve_in_short_keeps_every_peak_and_leaves_gaps_out() {
        let at = |second: u32| {
            let current = if second == 300 { 200.0 } else { 25.0 };
            (Minute::new(f64::from(second) / 60.0), Ampere::from_milli(current))
        };
        let trace = Trace::new((0..=400).chain(600..=1000).map(at), Ampere::ZERO);
        let curve = trace.curve(10);
        let highs: Vec<f64> = curve.iter().map(|part| part.high.milli().round()).collect();
        assert_eq!(highs, [25.0, 25.0, 25.0, 200.0, 25.0, 25.0, 25.0, 25.0, 25.0]);
        assert!((curve[5].after.base() - 10.0).abs() < 1e-9, "the part from 500 s on has no sample");
        assert!(Trace::default().curve(10).is_empty());
    }

    #[test]
    fn samples_out_of_order_or_not_finite_are_left_out() {
        let at = |seconds: f64, value| (Minute::new(seconds / 60.0), Ampere::new(value));
        let trace =
            Trace::new([at(10.0, 1.0), at(5.0, 1.0), at(11.0, f64::NAN), at(12.0, 1.0)], Ampere::ZERO);
        assert_eq!(trace.len(), 2);
        assert!((trace.span().base() * 60.0 - 2.0).abs() < 1e-9);
    }
}
