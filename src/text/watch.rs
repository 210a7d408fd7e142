//! How a watch goes and what it ended with.
//! Leaves to others: what the guard noticed (`guard`), what the samples say (`settle`).

use chrono::{DateTime, FixedOffset};

use crate::base::quantity::Ampere;
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};

/// Why a watch ended.
pub const TIME_OVER: &str = "the time is over";
/// Why a watch ended.
pub const INPUT_ENDED: &str = "the meter's input has ended";
/// Why a watch ended.
pub const INTERRUPTED: &str = "interrupted";

/// What is said of a meter that shows nothing.
pub const SILENT: &str = "the meter says nothing";

/// Says that the meter shows something again.
pub fn back() -> StyledText {
    StyledText::of(Role::Good, "The meter is back.")
}

/// Says what is wrong, and that the watch goes on.
pub fn trouble(what: &str) -> StyledText {
    StyledText::of(Role::Doubt, format!("{what}; watching on."))
}

/// Says how it goes: the last current, the least and the most of the last minute.
pub fn progress(now: DateTime<FixedOffset>, [least, most, last]: [Ampere; 3], samples: usize) -> StyledText {
    StyledText::plain(format!("{}  ", now.format("%H:%M")))
        .and(Role::Value, bare(last, 3))
        .and(Role::Plain, format!(" ({} to {}), samples: {samples}", bare(least, 3), bare(most, 3)))
}

/// Says how many samples were kept, where, and why it ended.
pub fn ended(samples: usize, file: &str, why: &str) -> StyledText {
    StyledText::plain(format!("Samples: {samples} in "))
        .and(Role::Name, file)
        .and(Role::Plain, format!("; {why}."))
}

/// Says how many samples were not written down, for they came within so many seconds of another.
pub fn not_kept(seconds: f64, count: usize) -> StyledText {
    StyledText::of(Role::Hint, format!("Not kept, for they came within {seconds:.2} s of another: {count}."))
}

/// Says how to go on.
pub fn then(file: &str) -> StyledText {
    let command = format!("fusetrail settle {}", shell_words::quote(file));
    StyledText::of(Role::Hint, "See what it says: ").and(Role::Name, command)
}
