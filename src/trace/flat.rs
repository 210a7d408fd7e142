//! Tells whether the last minutes of a current were flat, from a few hundred of its samples.
//! Leaves to others: what follows from it (`guard`), the exact cut of a whole log (`level`).

use std::collections::VecDeque;

use chrono::{DateTime, FixedOffset};

use super::rest::{MOST_AWAY, drift};

/// Samples that the window is thinned to.
const KEPT: f64 = 300.0;

/// Fewest samples that tell that something is flat.
const FEWEST: usize = 5;

/// Standard deviations of the noise within which samples belong to the level. Editorial: two in a row beyond it come by
/// chance once in 10⁹.
const WIDE: f64 = 4.0;

/// A median of absolute differences of neighbours is this many standard deviations of one sample: 0.6745 √2.
const MEDIAN_DIFFERENCE: f64 = 0.953_9;

/// A level with its noise, both in ampere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Flat {
    /// Median.
    pub level: f64,
    /// Standard deviation of one sample.
    pub noise: f64,
}

impl Flat {
    /// Returns how far from the level a sample may lie; `step` is one count of the last digit.
    pub fn band(&self, step: f64) -> f64 {
        drift(self.level, step).max(2.0 * step).max(WIDE * self.noise)
    }
}

/// The samples of the last minutes.
#[derive(Debug)]
pub(super) struct Window {
    /// Seconds that it spans.
    length: f64,
    kept: VecDeque<(DateTime<FixedOffset>, f64)>,
}

impl Window {
    /// Makes an empty one that spans so many seconds.
    pub fn new(length: f64) -> Self {
        Self { length, kept: VecDeque::new() }
    }

    /// Forgets all.
    pub fn clear(&mut self) {
        self.kept.clear();
    }

    /// Returns the time of its first sample.
    pub fn since(&self) -> Option<DateTime<FixedOffset>> {
        self.kept.front().map(|(at, _)| *at)
    }

    /// Takes a sample; false if it came too soon after the last to be kept.
    pub fn take(&mut self, at: DateTime<FixedOffset>, value: f64) -> bool {
        let age = |then: DateTime<FixedOffset>| (at - then).as_seconds_f64();
        if self.kept.back().is_some_and(|(then, _)| age(*then) < self.length / KEPT) {
            return false;
        }
        self.kept.push_back((at, value));
        // One that is as old as the window is long stays: the window is then full.
        while self.kept.get(1).is_some_and(|(then, _)| age(*then) >= self.length) {
            self.kept.pop_front();
        }
        true
    }

    /// Returns the level, if the window is full and flat: few samples are off the level, and its first half lies where
    /// its second does.
    pub fn flat(&self, step: f64) -> Option<Flat> {
        let (first, last) = (self.kept.front()?.0, self.kept.back()?.0);
        if (last - first).as_seconds_f64() < self.length || self.kept.len() < FEWEST {
            return None;
        }
        let values: Vec<f64> = self.kept.iter().map(|(_, value)| *value).collect();
        let level = median(values.clone())?;
        let differences = values.windows(2).filter_map(|pair| Some((pair.last()? - pair.first()?).abs()));
        let noise = median(differences.collect())? / MEDIAN_DIFFERENCE;
        let found = Flat { level, noise };
        let band = found.band(step);
        let off = values.iter().filter(|value| (*value - level).abs() > band).count();
        let (before, after) = values.split_at_checked(values.len() / 2)?;
        let moved = median(after.to_vec())? - median(before.to_vec())?;
        let is_flat = off as f64 <= MOST_AWAY * values.len() as f64 && moved.abs() <= drift(level, step);
        is_flat.then_some(found)
    }
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}
