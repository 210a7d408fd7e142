//! When a live reading is steady enough to be taken.
//! Leaves to others: where the readings come from (`live`), and how long one waits.

use std::collections::VecDeque;

use crate::quantity::Minute;
use crate::quantity::Unit;

/// Fewest readings that agree. Editorial, as are the figures below.
const FEWEST: usize = 4;

/// They span at least this time, in seconds.
const SPAN: f64 = 1.5;

/// They lie within so many counts of the last digit …
const COUNTS: f64 = 2.0;

/// … or within this share of the value, whichever is more.
const SHARE: f64 = 0.01;

/// Recent readings of one quantity.
#[derive(Debug, Clone)]
pub struct Steady {
    /// One count, in base units.
    count: f64,
    /// Time in seconds, and value.
    recent: VecDeque<(f64, f64)>,
}

impl Steady {
    /// Begins; `count` is one count of the meter, in base units.
    pub fn new(count: f64) -> Self {
        Self { count, recent: VecDeque::new() }
    }

    /// Forgets what it has: the meter was out of range, or silent.
    pub fn clear(&mut self) {
        self.recent.clear();
    }

    /// Takes a reading, in base units; returns the middle of those that agree, once enough of them do.
    pub fn take(&mut self, at: Minute, value: f64) -> Option<f64> {
        self.recent.push_back((at.base() * 60.0, value));
        let room = |value: f64| (COUNTS * self.count).max(SHARE * value.abs()) * (1.0 + 1e-9);
        while self.recent.len() > 1 {
            let (least, most) = self.ends();
            if most - least <= room(value) {
                break;
            }
            self.recent.pop_front();
        }
        let first = self.recent.front()?.0;
        if self.recent.len() < FEWEST || at.base() * 60.0 - first < SPAN {
            return None;
        }
        let mut values: Vec<f64> = self.recent.iter().map(|(_, value)| *value).collect();
        values.sort_unstable_by(f64::total_cmp);
        values.get(values.len() / 2).copied()
    }

    /// Returns the least and the largest of the recent readings.
    pub fn ends(&self) -> (f64, f64) {
        let values = || self.recent.iter().map(|(_, value)| *value);
        (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn taken(values: &[f64]) -> Option<(usize, f64)> {
        let mut steady = Steady::new(0.1);
        values.iter().enumerate().find_map(|(at, value)| {
            steady.take(Minute::new(at as f64 * 0.5 / 60.0), *value).map(|value| (at, value))
        })
    }

    #[test]
    fn a_reading_counts_once_it_stays_within_two_counts_for_a_while() {
        assert_eq!(taken(&[3.0, 3.1, 3.0, 3.0]), Some((3, 3.0)));
        assert_eq!(taken(&[0.0, 1.4, 2.8, 3.0, 3.0, 3.1, 3.0]), Some((6, 3.0)));
        assert_eq!(taken(&[3.0, 3.5, 3.0, 3.5, 3.0, 3.5, 3.0, 3.5]), None);
        assert_eq!(taken(&[482.0, 484.0, 481.0, 483.0]), Some((3, 483.0)), "within 1 %");
        assert_eq!(taken(&[3.0, 3.0, 3.0]), None);
    }
}
