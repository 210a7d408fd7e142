//! Cycling: ups and downs that take too much of the time to be wake-ups.
//! Leaves to others: the rest that they may hide (`rest`), each up (`wake`), the verdict (`settle`).

use super::level::Level;
use super::rest::{self, MOST_AWAY, RestBase};
use super::samples::Trace;
use super::wake::{self, Period, Wake};
use crate::base::quantity::{Ampere, Unit};

/// Ups and downs between two states that take too much of the time for wake-ups.
#[derive(Debug)]
pub(super) struct Cycles {
    /// Index of the level at which they begin.
    pub first: usize,
    /// The times that it is up.
    pub wakes: Vec<Wake>,
    /// How often they come.
    pub period: Period,
    /// Share of the time that it is up.
    pub away: f64,
    /// Current when it is down, and when it is up, in ampere.
    states: (f64, f64),
}

impl Cycles {
    /// Finds them: at least three, taking at least a fifth of the time.
    pub(super) fn find(trace: &Trace, levels: &[Level]) -> Option<Self> {
        let (off, on) = two_states(levels);
        if on - off <= 2.0 * rest::drift(off, trace.step().base()) {
            return None;
        }
        let middle = (on + off) / 2.0;
        let is_off: Vec<bool> = levels.iter().map(|level| level.mean <= middle).collect();
        // What is up at the very beginning may be the waking hours.
        let first = is_off.iter().position(|off| *off)?;
        let (levels, is_off) = (levels.get(first..)?, is_off.get(first..)?);
        let (wakes, _) = wake::departures(trace, levels, is_off, Ampere::new(off));
        let held: f64 = levels.iter().map(|level| level.held).sum();
        let up: f64 = levels.iter().zip(is_off).filter(|(_, off)| !**off).map(|(level, _)| level.held).sum();
        if wakes.len() < FEWEST_CYCLES || up < MOST_AWAY * held {
            return None;
        }
        let period = wake::period(&wakes, Ampere::new(off), trace.usual())?;
        Some(Self { first, wakes, period, away: up / held, states: (off, on) })
    }

    /// Returns true if a rest found at the end is but one of the states, held for less than two periods.
    pub(super) fn go_on_after(&self, base: &RestBase) -> bool {
        let (off, on) = self.states;
        let near = |state: f64| (base.current - state).abs() < (on - off) / 4.0;
        (near(off) || near(on)) && base.held < 2.0 * self.period.time.base() * 60.0
    }
}

/// Fewer ups and downs than this are no cycling.
const FEWEST_CYCLES: usize = 3;

/// Returns the lower and the upper state of the second half of a trace: the tenth and the ninetieth part of the time.
fn two_states(levels: &[Level]) -> (f64, f64) {
    let end = levels.last().map_or(0.0, |level| level.to);
    let mut parts: Vec<(f64, f64)> =
        levels.iter().filter(|level| level.to > end / 2.0).map(|level| (level.mean, level.held)).collect();
    parts.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = parts.iter().map(|(_, held)| held).sum();
    let at = |share: f64| {
        let mut sum = 0.0;
        let found = parts.iter().find(|(_, held)| {
            sum += held;
            sum >= share * total
        });
        found.map_or(0.0, |(mean, _)| *mean)
    };
    (at(0.1), at(0.9))
}
