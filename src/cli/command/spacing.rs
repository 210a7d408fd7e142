//! Which samples of a watch are kept: evenly apart, whatever the meter's own pace and the clock do.
//! Leaves to others: hearing the meter (`watch_run`), writing them (`watch_sheet`).

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::base::quantity::{Minute, Unit};

/// Meters are not on time to the millisecond: a sample may be early by this many seconds, or by half the distance.
const EARLY: f64 = 0.05;

/// Returns a time in seconds.
pub fn seconds_of(time: Minute) -> f64 {
    time.base() * 60.0
}

/// Returns the seconds from one time to another.
pub fn seconds(from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> f64 {
    (to - from).as_seconds_f64()
}

/// How far apart samples are kept.
pub struct Spacing {
    /// The distance.
    pub every: Minute,
    /// When the last was kept, and when the next is due.
    kept: Option<(DateTime<FixedOffset>, DateTime<FixedOffset>)>,
}

impl Spacing {
    /// Begins: the first sample is kept.
    pub fn new(every: Minute) -> Self {
        Self { every, kept: None }
    }

    /// Tells whether a sample is kept; then the next is due one distance later.
    pub fn is_due(&mut self, now: DateTime<FixedOffset>) -> bool {
        let every = seconds_of(self.every);
        // From a hundredth of a second to an hour.
        let step = TimeDelta::microseconds((every * 1e6).round() as i64);
        let due = match self.kept {
            // The clock may be set back meanwhile.
            Some((last, due)) if now >= last => due,
            _ => now,
        };
        let early = seconds(now, due);
        if early > EARLY.min(every / 2.0) {
            return false;
        }
        let next = if early > -every { due + step } else { now + step };
        self.kept = Some((now, next));
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn samples_are_kept_evenly_and_a_clock_that_is_set_back_stops_nothing() {
        let start = crate::cli::clock::read_time("2026-11-02T18:00:00+01:00").expect("a time");
        let mut spacing = Spacing::new(Minute::new(1.0 / 60.0));
        let mut kept = |milliseconds: &[i64]| {
            let due = |at: &&i64| spacing.is_due(start + TimeDelta::milliseconds(**at));
            milliseconds.iter().filter(due).copied().collect::<Vec<_>>()
        };
        // A meter that is a little early or late loses nothing, a fast one keeps its distance.
        assert_eq!(kept(&[0, 990, 2010, 2970]), [0, 990, 2010, 2970]);
        assert_eq!(kept(&[3100, 3900, 3960, 4900, 5100]), [3960, 5100]);
        assert_eq!(kept(&[9000, 9500, 10_000]), [9000, 10_000], "after a gap it counts anew");
        assert_eq!(kept(&[-3_600_000, -3_599_500, -3_599_000]), [-3_600_000, -3_599_000]);
    }
}
