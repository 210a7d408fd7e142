//! The only clock: wall time with its offset, or a simulated time for practice and tests.
//! Leaves to others: what the time means (every lower floor is given it).
#![allow(clippy::disallowed_methods, reason = "the one place that reads the clock")]

use std::cell::Cell;
use std::rc::Rc;

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::base::diagnostic::Diagnostic;
use crate::text::fault::argument;

/// What gives the time. Copies of a simulated clock share one time.
#[derive(Debug, Clone)]
pub enum Clock {
    /// Wall time with the offset of this machine.
    Wall,
    /// A time that moves only when it is told to.
    Simulated(Rc<Cell<DateTime<FixedOffset>>>),
}

impl Clock {
    /// Makes a clock that stands at a time until it is moved.
    pub fn simulated(start: DateTime<FixedOffset>) -> Self {
        Self::Simulated(Rc::new(Cell::new(start)))
    }

    /// Returns the time, to the second: finer parts say nothing in a session log.
    pub fn now(&self) -> DateTime<FixedOffset> {
        let now = match self {
            Self::Wall => chrono::Local::now().fixed_offset(),
            Self::Simulated(time) => time.get(),
        };
        let part = i64::from(now.timestamp_subsec_nanos());
        now.checked_sub_signed(TimeDelta::nanoseconds(part)).unwrap_or(now)
    }

    /// Returns the time to the millisecond, for samples of a meter.
    pub fn exact(&self) -> DateTime<FixedOffset> {
        let now = match self {
            Self::Wall => chrono::Local::now().fixed_offset(),
            Self::Simulated(time) => time.get(),
        };
        let part = i64::from(now.timestamp_subsec_nanos() % 1_000_000);
        now.checked_sub_signed(TimeDelta::nanoseconds(part)).unwrap_or(now)
    }

    /// Moves a simulated clock to a time. Wall time moves by itself.
    pub fn set(&self, to: DateTime<FixedOffset>) {
        if let Self::Simulated(time) = self {
            time.set(to);
        }
    }
}

/// Reads a time given on the command line.
///
/// # Errors
/// Anything but a date and time with its offset, as RFC 3339 has it. A time without an offset is refused: twice
/// a year it would stand for two times, or for none.
pub fn read_time(text: &str) -> Result<DateTime<FixedOffset>, Diagnostic> {
    DateTime::parse_from_rfc3339(text.trim()).map_err(|_| argument::time(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_simulated_clock_moves_only_when_told_to() {
        let start = read_time("2026-11-02T07:40:00+01:00").expect("a time");
        let clock = Clock::simulated(start);
        let other = clock.clone();
        assert_eq!(clock.now(), start);
        other.set(start + TimeDelta::seconds(90));
        assert_eq!(clock.now().to_rfc3339(), "2026-11-02T07:41:30+01:00");
    }

    #[test]
    fn a_time_without_offset_is_refused_with_a_right_form() {
        for text in ["", "07:40", "2026-11-02 07:40", "2026-11-02T07:40:00", "tomorrow"] {
            let fault = read_time(text).expect_err("must be refused");
            assert!(fault.to_string().contains("2026-11-02T07:40:00+01:00"), "{fault}");
        }
    }
}
