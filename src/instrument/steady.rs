//! When a live reading is steady enough to be taken.
//! Leaves to others: where the readings come from (`live`), and how long one waits.

use std::collections::VecDeque;

use crate::base::quantity::{Minute, Unit};

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
pub struct Steady<U> {
    /// One count of the meter.
    count: U,
    /// When, and what.
    recent: VecDeque<(Minute, U)>,
}

impl<U: Unit> Steady<U> {
    /// Begins; `count` is one count of the meter.
    pub fn new(count: U) -> Self {
        Self { count, recent: VecDeque::new() }
    }

    /// Forgets what it has: the meter was out of range, or silent.
    pub fn clear(&mut self) {
        self.recent.clear();
    }

    /// Takes a reading; returns the middle of those that agree, once enough of them do.
    pub fn take(&mut self, at: Minute, value: U) -> Option<U> {
        self.recent.push_back((at, value));
        let room = (COUNTS * self.count.base()).max(SHARE * value.base().abs()) * (1.0 + 1e-9);
        while self.ends().is_some_and(|(least, most)| most.base() - least.base() > room) {
            self.recent.pop_front();
        }
        let first = self.recent.front()?.0;
        if self.recent.len() < FEWEST || (at - first).base() * 60.0 < SPAN {
            return None;
        }
        let mut values: Vec<f64> = self.recent.iter().map(|(_, value)| value.base()).collect();
        values.sort_unstable_by(f64::total_cmp);
        values.get(values.len() / 2).copied().map(U::from_base)
    }

    /// Returns the least and the largest of the recent readings, if there are any.
    pub fn ends(&self) -> Option<(U, U)> {
        let values = || self.recent.iter().map(|(_, value)| value.base());
        let (least, most) = (values().reduce(f64::min)?, values().reduce(f64::max)?);
        Some((U::from_base(least), U::from_base(most)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Volt;

    fn taken(values: &[f64]) -> Option<(usize, f64)> {
        let mut steady = Steady::new(Volt::new(0.1));
        values.iter().enumerate().find_map(|(at, value)| {
            steady
                .take(Minute::new(at as f64 * 0.5 / 60.0), Volt::new(*value))
                .map(|value| (at, value.base()))
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
