//! Finds the base of a trace: the level that it comes down to, and since when it rests there.
//! Leaves to others: the levels (`level`), what departs from it (`departure`), the verdict (`settle`).
//!
//! The base is the lowest level that holds a fair share of the time, not the last one: what came back after hours is a
//! departure, however long. A lower level that was there for a while only is a dip, unless the log ends on it.

use super::level::Level;

/// Changes below this, in ampere, are drift. Contract of `settle`: max(5 mA, 2 % of the level).
const DRIFT: f64 = 0.005;

/// Changes below this share of the level are drift.
const DRIFT_SHARE: f64 = 0.02;

/// Changes below this many steps of the last digit are the display's.
const DRIFT_STEPS: f64 = 1.5;

/// Drift may add up to so many times a single one before it is no longer the same base.
const DRIFT_SUM: f64 = 3.0;

/// Seconds that the current must stay flat.
pub(super) const FLAT: f64 = 600.0;

/// Share of the time that departures may take.
pub(super) const MOST_AWAY: f64 = 0.2;

/// A departure no longer than this, in seconds, never starts the wait anew; a longer one does unless the current had
/// been flat long enough before it, or the like of it comes again and again. Editorial.
pub(super) const SHORT: f64 = 180.0;

/// The base holds at least this share of the time since it was first met …
const FAIR_SHARE: f64 = 0.2;

/// … or is below all else by more than this, in ampere, and by more than itself. Editorial: a zero that jumps moves less.
const FAR_BELOW: f64 = 0.02;

/// Where no level lasts for ten minutes in all, one of this share of the time is looked for, in case the current cycles.
const SHORT_SHARE: f64 = 0.05;

/// The base follows a level only if it lasts so many seconds: the mean of a few samples is noise.
const FOLLOWED: f64 = 60.0;

/// The base, and what lies on it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RestBase {
    /// Index of the first level that lies on it.
    pub first: usize,
    /// For each level: true if it lies on the base.
    pub on: Vec<bool>,
    /// For each level: the base at its time, in ampere, as it drifts.
    pub here: Vec<f64>,
}

/// Returns the largest change that is drift at a level.
pub(super) fn drift(current: f64, step: f64) -> f64 {
    DRIFT.max(DRIFT_SHARE * current.abs()).max(DRIFT_STEPS * step)
}

/// Returns the median of the levels by time, over the last `tail` seconds.
pub(super) fn median(levels: &[Level], tail: f64) -> f64 {
    let end = levels.last().map_or(0.0, |level| level.to);
    let mut parts: Vec<(f64, f64)> = levels
        .iter()
        .rev()
        .take_while(|level| level.to > end - tail)
        .map(|level| {
            let length = level.to - level.from;
            let inside = (level.to - level.from.max(end - tail)) / length.max(f64::MIN_POSITIVE);
            (level.mean, level.held * inside.min(1.0))
        })
        .collect();
    parts.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let half: f64 = parts.iter().map(|(_, held)| held).sum::<f64>() / 2.0;
    let mut sum = 0.0;
    let found = parts.iter().find(|(_, held)| {
        sum += held;
        sum >= half
    });
    found.or(parts.last()).map_or(0.0, |(mean, _)| *mean)
}

/// Finds the base: of the levels that the current keeps coming back to, the lowest that counts.
pub(super) fn find(levels: &[Level], step: f64, usual: f64) -> Option<RestBase> {
    let total: f64 = levels.iter().map(|level| level.held).sum();
    let sorted = Sorted::new(levels, step);
    [FLAT - usual, FOLLOWED.max(SHORT_SHARE * total)].into_iter().find_map(|least| {
        let mut at = sorted.not_backward(step);
        while let Some((anchor, next)) = sorted.cluster(at, least) {
            let base = follow(levels, anchor, step);
            if base.counts(levels, usual) {
                return Some(base);
            }
            at = next;
        }
        None
    })
}

/// The levels in order of their currents.
struct Sorted {
    /// Current, and index of the level.
    levels: Vec<(f64, usize)>,
    /// Seconds held by all before.
    before: Vec<f64>,
    held: Vec<f64>,
    step: f64,
}

impl Sorted {
    fn new(levels: &[Level], step: f64) -> Self {
        let mut sorted: Vec<(f64, usize)> = levels.iter().map(|level| level.mean).zip(0..).collect();
        sorted.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        let held: Vec<f64> =
            sorted.iter().map(|(_, index)| levels.get(*index).map_or(0.0, |level| level.held)).collect();
        let mut sum = 0.0;
        let before = std::iter::once(0.0)
            .chain(held.iter().map(|held| {
                sum += held;
                sum
            }))
            .collect();
        Self { levels: sorted, before, held, step }
    }

    /// Returns the first that is not below zero by more than a drift: what runs backward is a source, no rest.
    fn not_backward(&self, step: f64) -> usize {
        self.levels.partition_point(|(mean, _)| *mean < -drift(0.0, step))
    }

    /// Returns the end of those that are about as high as one, and the seconds that they hold.
    fn alike(&self, at: usize) -> (usize, f64) {
        let Some((mean, _)) = self.levels.get(at) else { return (at, 0.0) };
        let top = mean + 2.0 * drift(*mean, self.step);
        let end = self.levels.partition_point(|(other, _)| *other <= top);
        let sum = |at: usize| self.before.get(at).copied().unwrap_or(0.0);
        (end, sum(end) - sum(at))
    }

    /// Returns the longest level of the next cluster from `at` on that holds `least` seconds, and where the one after
    /// that cluster may begin.
    fn cluster(&self, at: usize, least: f64) -> Option<(usize, usize)> {
        let met = (at..self.levels.len()).find(|at| self.alike(*at).1 >= least)?;
        // The lowest that suffices may be the edge of something larger.
        let (reach, _) = self.alike(met);
        let fullest = (met..reach).max_by(|a, b| self.alike(*a).1.total_cmp(&self.alike(*b).1))?;
        let (end, _) = self.alike(fullest);
        let held = |at: &usize| self.held.get(*at).copied().unwrap_or(0.0);
        let longest = (fullest..end).max_by(|a, b| held(a).total_cmp(&held(b)))?;
        self.levels.get(longest).map(|(_, index)| (*index, end.max(met + 1)))
    }
}

/// Goes from a level on the base both ways, along its drift.
fn follow(levels: &[Level], anchor: usize, step: f64) -> RestBase {
    let current = levels.get(anchor).map_or(0.0, |level| level.mean);
    let limit = DRIFT_SUM * drift(current, step);
    let walk = |levels: &mut dyn Iterator<Item = &Level>| -> Vec<bool> {
        let mut here = current;
        levels
            .map(|level| {
                let off = level.mean - here;
                let is_on = off.abs() <= drift(here, step) && (level.mean - current).abs() <= limit;
                if is_on && level.held >= FOLLOWED {
                    here = level.mean;
                }
                is_on
            })
            .collect()
    };
    let (earlier, later) = levels.split_at_checked(anchor).unwrap_or_default();
    let mut on = walk(&mut earlier.iter().rev());
    on.reverse();
    on.extend(walk(&mut later.iter()));
    let first = on.iter().position(|on| *on).unwrap_or(anchor);
    let here = between(levels, &on, current);
    RestBase { first, on, here }
}

/// Returns the base at each level: half way between what it was before and what it is after.
fn between(levels: &[Level], on: &[bool], current: f64) -> Vec<f64> {
    let long = |(level, on): (&Level, &bool)| (*on && level.held >= FOLLOWED).then_some(level.mean);
    let filled = |all: &mut dyn Iterator<Item = Option<f64>>| {
        let mut last = None;
        all.map(|mean| {
            last = mean.or(last);
            last
        })
        .collect::<Vec<Option<f64>>>()
    };
    let before = filled(&mut levels.iter().zip(on).map(long));
    let after = filled(&mut levels.iter().zip(on).map(long).rev());
    before
        .iter()
        .zip(after.iter().rev())
        .map(|pair| match pair {
            (Some(before), Some(after)) => (before + after) / 2.0,
            (Some(one), None) | (None, Some(one)) => *one,
            (None, None) => current,
        })
        .collect()
}

impl RestBase {
    /// Returns the base of a current that never rests: its lower half. `middle` parts the two halves.
    pub fn lower_half(levels: &[Level], middle: f64) -> Option<Self> {
        let on: Vec<bool> = levels.iter().map(|level| level.mean <= middle).collect();
        let first = on.iter().position(|on| *on)?;
        let sum = |of: fn(&Level) -> f64| -> f64 {
            levels.iter().zip(&on).filter(|(_, on)| **on).map(|(level, _)| of(level)).sum()
        };
        let current = sum(|level| level.mean * level.held) / sum(|level| level.held).max(f64::MIN_POSITIVE);
        Some(Self { first, here: vec![current; levels.len()], on })
    }

    /// Returns true if it is the base, and no dip from a higher one.
    fn counts(&self, levels: &[Level], usual: f64) -> bool {
        let since = || levels.iter().zip(&self.on).skip(self.first);
        let held: f64 = since().map(|(level, _)| level.held).sum();
        let on: f64 = since().filter(|(_, on)| **on).map(|(level, _)| level.held).sum();
        if on >= FAIR_SHARE * held {
            return true;
        }
        let is_last = self.on.last() == Some(&true);
        let rises: f64 = since().filter(|(_, on)| !**on).map(|(level, _)| level.mean * level.held).sum();
        let here = self.here.last().copied().unwrap_or(0.0);
        let gap = rises / (held - on).max(f64::MIN_POSITIVE) - here;
        (is_last || gap > FAR_BELOW.max(here)) && self.rested(levels, &[], usual).is_some()
    }

    /// Returns the first level from which on the current lies at the base for ten minutes, departures inside allowed if
    /// they are short, or excused because the like of them comes again and again.
    pub fn rested(&self, levels: &[Level], excused: &[bool], usual: f64) -> Option<usize> {
        let is_excused = |at: usize| excused.get(at).copied().unwrap_or(false);
        let is_on = |at: usize| self.on.get(at).copied().unwrap_or(false);
        let held = |at: usize| levels.get(at).map_or(0.0, |level| level.held);
        let (mut flat, mut away, mut departure) = (0.0, 0.0, 0.0);
        // Index behind the last long departure, and behind the last level that was added.
        let (mut long, mut end) = (0, 0);
        for start in self.first..levels.len() {
            end = end.max(start);
            while end < levels.len() && flat + usual < FLAT {
                if is_on(end) {
                    (flat, departure) = (flat + held(end), 0.0);
                } else if !is_excused(end) {
                    (away, departure) = (away + held(end), departure + held(end));
                    if departure > SHORT {
                        long = end + 1;
                    }
                }
                end += 1;
            }
            if flat + usual < FLAT {
                return None;
            }
            if is_on(start) && long <= start && away < MOST_AWAY * (flat + away) {
                return Some(start);
            }
            if is_on(start) {
                flat -= held(start);
            } else if !is_excused(start) {
                away -= held(start);
            }
        }
        None
    }
}

/// Returns the lower and the upper state of the second half of a trace: the tenth and the ninetieth part of the time.
pub(super) fn two_states(levels: &[Level]) -> (f64, f64) {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Levels of so many minutes and milliampere.
    fn levels(parts: &[(f64, f64)]) -> Vec<Level> {
        let mut from = 0.0;
        parts
            .iter()
            .map(|(minutes, current)| {
                let held = minutes * 60.0;
                let level = Level { first: 0, end: 1, from, to: from + held, held, mean: current / 1000.0 };
                from += held;
                level
            })
            .collect()
    }

    fn first(parts: &[(f64, f64)]) -> Option<usize> {
        let levels = levels(parts);
        find(&levels, 0.0, 1.0)?.rested(&levels, &[], 1.0)
    }

    fn on(parts: &[(f64, f64)]) -> Vec<usize> {
        let base = find(&levels(parts), 0.0, 1.0).expect("a base");
        (0..parts.len()).filter(|at| base.on[*at]).collect()
    }

    #[test]
    fn the_last_step_down_is_found_through_wakes() {
        assert_eq!(first(&[(30.0, 500.0), (20.0, 25.0)]), Some(1));
        assert_eq!(
            first(&[(2.0, 500.0), (3.0, 25.0), (0.75, 210.0), (9.0, 25.0), (0.75, 210.0), (5.0, 25.0)]),
            Some(1)
        );
        assert_eq!(first(&[(20.0, 25.0)]), Some(0));
        assert_eq!(first(&[(60.0, 500.0), (30.0, 60.0), (12.0, 25.0)]), Some(2));
    }

    #[test]
    fn a_long_departure_starts_the_wait_anew_unless_it_was_flat_before() {
        assert_eq!(first(&[(5.0, 25.0), (15.0, 500.0), (200.0, 25.0)]), Some(2));
        assert_eq!(first(&[(30.0, 500.0), (60.0, 25.0), (15.0, 900.0), (200.0, 25.0)]), Some(1));
    }

    #[test]
    fn the_base_is_the_lower_of_two_whatever_came_last() {
        assert_eq!(first(&[(30.0, 500.0), (60.0, 25.0), (300.0, 380.0)]), Some(1));
        assert_eq!(first(&[(30.0, 500.0), (15.0, 25.0), (300.0, 380.0)]), Some(1));
        assert_eq!(first(&[(30.0, 500.0), (60.0, 25.0), (300.0, 380.0), (60.0, 25.0)]), Some(1));
        assert_eq!(on(&[(5.0, 25.0), (5.0, 300.0)].repeat(20)), (0..40).step_by(2).collect::<Vec<_>>());
    }

    #[test]
    fn a_dip_is_no_base_and_what_runs_backward_is_none() {
        assert_eq!(on(&[(30.0, 500.0), (180.0, 25.0), (40.0, 12.0), (240.0, 25.0)]), [1, 3]);
        assert_eq!(on(&[(30.0, 500.0), (180.0, 25.0), (200.0, -3000.0), (30.0, 25.0)]), [1, 3]);
        assert_eq!(on(&[(30.0, 500.0), (180.0, 25.0), (20.0, 12.0)]), [2], "it ends there");
    }

    #[test]
    fn drift_is_no_step() {
        assert_eq!(first(&[(60.0, 25.0), (60.0, 29.0), (60.0, 33.0), (60.0, 30.0)]), Some(0));
    }
}
