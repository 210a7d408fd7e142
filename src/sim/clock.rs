//! Compressed time: the simulated now is the start of the hunt plus the minutes that the work has taken.
//! Leaves to others: how long each piece of work takes (`constants`) and the real clock (`cli`).

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::base::quantity::{Minute, Unit};

/// The start of a practice hunt, to and from which minutes are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SimClock {
    start: DateTime<FixedOffset>,
}

impl SimClock {
    /// Starts at a moment.
    pub fn new(start: DateTime<FixedOffset>) -> Self {
        Self { start }
    }

    /// Returns the moment so many minutes after the start, to the second; the start itself if that is no date.
    pub fn at(&self, minutes: Minute) -> DateTime<FixedOffset> {
        let seconds = whole_seconds(minutes).base() * 60.0;
        // Saturates: a number of seconds beyond i64 is no date either.
        let delta = TimeDelta::try_seconds(seconds.round() as i64);
        delta.and_then(|delta| self.start.checked_add_signed(delta)).unwrap_or(self.start)
    }

    /// Returns the minutes from the start to a moment, to the second.
    pub fn minutes(&self, moment: DateTime<FixedOffset>) -> Minute {
        let seconds = (moment - self.start).num_milliseconds() as f64 / 1000.0;
        whole_seconds(Minute::new(seconds / 60.0))
    }
}

/// Rounds a time to whole seconds, the step of the log's times, so that a hunt read back goes on exactly.
pub(super) fn whole_seconds(time: Minute) -> Minute {
    Minute::new((time.base() * 60.0).round() / 60.0)
}

/// Returns a time as a number of whole seconds; a time before the start counts as the start.
pub(super) fn seconds(time: Minute) -> u64 {
    (time.base() * 60.0).round().max(0.0) as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_survive_the_way_through_a_date() {
        let start = DateTime::parse_from_rfc3339("2031-05-06T07:08:09+02:00").expect("a date");
        let clock = SimClock::new(start);
        for seconds in 0..5000_u32 {
            let minutes = whole_seconds(Minute::new(f64::from(seconds) / 60.0));
            assert_eq!(clock.minutes(clock.at(minutes)), minutes);
        }
        assert_eq!(clock.at(Minute::new(90.4)).to_rfc3339(), "2031-05-06T08:38:33+02:00");
        assert_eq!(clock.at(Minute::new(f64::INFINITY)), start);
    }
}
