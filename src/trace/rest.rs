//! Finds the base of a trace: the level that it rests at in the end, since when, and what departs from it.
//! Leaves to others: the levels (`level`), what departures are (`wake`), the verdict (`settle`).

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
/// been flat long enough before it. Editorial.
const SHORT: f64 = 180.0;

/// A fall at the very end that has lasted longer than this, in seconds, may be a module falling asleep; a shorter one
/// may be the meter taken off.
const FALL_AT_END: f64 = 30.0;

/// The base follows a level only if it lasts so many seconds: the mean of a few samples is noise.
const FOLLOWED: f64 = 60.0;

/// Stretches at the end, in seconds, whose median is tried as the base, one after another: the shortest finds a base
/// reached just now, the longer ones one that was left at the end.
const TAILS: [f64; 4] = [900.0, 1800.0, 3600.0, f64::INFINITY];

/// The base, and what departs from it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RestBase {
    /// Index of the first level that belongs to it.
    pub first: usize,
    /// For each level from there on: true if it lies on the base.
    pub on: Vec<bool>,
    /// Current at which it ends, in ampere.
    pub current: f64,
    /// Seconds since then that samples speak for.
    pub held: f64,
    /// Seconds of them that depart.
    pub away: f64,
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

/// Finds the earliest time since when the current rests at one base, flat long enough and with few departures.
pub(super) fn find(levels: &[Level], step: f64, usual: f64) -> Option<RestBase> {
    TAILS.iter().find_map(|tail| since(levels, median(levels, *tail), step, usual))
}

/// Goes back in time from the end, on and off the base.
fn since(levels: &[Level], current: f64, step: f64, usual: f64) -> Option<RestBase> {
    let limit = DRIFT_SUM * drift(current, step);
    let mut here = current;
    let (mut held, mut away) = (0.0, 0.0);
    let mut departure = 0.0;
    // Seconds on the base before the earliest long departure so far.
    let mut before_long = f64::INFINITY;
    let mut on = Vec::with_capacity(levels.len());
    let mut found = None;
    for (index, level) in levels.iter().enumerate().rev() {
        held += level.held;
        let is_on = (level.mean - here).abs() <= drift(here, step) && (level.mean - current).abs() <= limit;
        on.push(is_on);
        if !is_on {
            away += level.held;
            departure += level.held;
            // Not yet back, as the base has not been met, and below it.
            if held == away && level.mean < here && departure > FALL_AT_END {
                return None;
            }
            continue;
        }
        if departure > SHORT {
            before_long = 0.0;
        }
        departure = 0.0;
        before_long += level.held;
        if level.held >= FOLLOWED {
            here = level.mean;
        }
        // The last sample of ten minutes stands at their end.
        let long_enough = held + usual >= FLAT && before_long + usual >= FLAT;
        if long_enough && away < MOST_AWAY * held {
            found = Some((index, held, away));
        }
    }
    let (first, held, away) = found?;
    on.truncate(levels.len() - first);
    on.reverse();
    Some(RestBase { first, on, current, held, away })
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
        find(&levels(parts), 0.0, 1.0).map(|base| base.first)
    }

    #[test]
    fn the_last_lasting_step_is_found_through_wakes() {
        assert_eq!(first(&[(30.0, 500.0), (20.0, 25.0)]), Some(1));
        assert_eq!(
            first(&[(2.0, 500.0), (3.0, 25.0), (0.75, 210.0), (9.0, 25.0), (0.75, 210.0), (5.0, 25.0)]),
            Some(1)
        );
        assert_eq!(first(&[(20.0, 25.0)]), Some(0));
        assert_eq!(first(&[(30.0, 500.0), (9.0, 25.0)]), None);
        assert_eq!(first(&[(60.0, 500.0), (30.0, 60.0), (12.0, 25.0)]), Some(2));
    }

    #[test]
    fn a_long_departure_starts_the_wait_anew_unless_it_was_flat_before() {
        assert_eq!(first(&[(5.0, 25.0), (15.0, 500.0), (200.0, 25.0)]), Some(2));
        assert_eq!(first(&[(30.0, 500.0), (60.0, 25.0), (15.0, 900.0), (200.0, 25.0)]), Some(1));
    }

    #[test]
    fn what_is_away_too_often_is_not_at_rest_and_drift_is_no_step() {
        assert_eq!(first(&[(5.0, 25.0), (5.0, 300.0)].repeat(20)), None);
        assert_eq!(first(&[(60.0, 25.0), (60.0, 29.0), (60.0, 33.0), (60.0, 30.0)]), Some(0));
        assert_eq!(
            first(&[(60.0, 25.0), (60.0, 29.0), (60.0, 33.0), (60.0, 37.0), (60.0, 41.0), (60.0, 45.0)]),
            Some(2)
        );
    }

    #[test]
    fn a_base_left_at_the_very_end_is_still_the_base() {
        assert_eq!(first(&[(30.0, 500.0), (100.0, 25.0), (9.0, 500.0)]), Some(1));
        assert_eq!(first(&[(30.0, 500.0), (100.0, 60.0), (9.0, 25.0)]), None);
    }
}
