//! Practice vehicles and their score in words.
//! Leaves to others: the figures (`score`).

use crate::base::styled::{Role, StyledText};

/// Heads the tables of a score.
pub fn head(vehicles: usize, first: u64, last: u64) -> String {
    format!(
        "Practice vehicles scored: {vehicles}, seeds {first} to {last}. All are invented. Rates carry their 95 % interval; readings and minutes are median / mean / 90th percentile, after the first total."
    )
}

/// What the table of groups holds.
pub const GROUPS: &str =
    "by kind of truth, map and meter; work in mean minutes, and as a share of the other ways'";
/// What the table of odds holds.
pub const CALIBRATION: &str = "What was said of the first, and how often it was right";

/// Says what any search lies between, in minutes.
pub fn ends([known, sweep]: [f64; 2]) -> StyledText {
    let text = format!(
        "Whoever knew the truth and read each cause once would work {known:.1} minutes in the mean; reading every fuse of every box takes {sweep:.1}."
    );
    StyledText::of(Role::Hint, text)
}

/// How to see what is wrong.
pub const REVEAL: &str = "What is wrong with it: --reveal.";
/// A night without a fault.
pub const EVENING: &str = "everything falls asleep";
/// A night of a pulse.
pub const PULSE: &str = "a telematics unit checks in again and again";
/// A night of a held bus.
pub const HELD: &str = "an input holds a bus awake";
/// A night of a converter.
pub const CONVERTER: &str = "a converter supports the 12 V battery now and then";

/// A night of a module that wakes.
pub const MODULE: &str = "a module wakes far too often, and its fuse is logged beside the total";
/// A night of one event.
pub const EVENT: &str = "once something is on for hours";
/// A night of cycles.
pub const CYCLING: &str = "something goes on and off all night";
/// A night without rest.
pub const RESTLESS: &str = "it goes up and down without a rhythm and never rests";

/// Heads a night's meter log; `beside` is the fuse that was logged beside the total.
pub fn night(seed: u64, map: &str, told: &str, beside: Option<&str>) -> String {
    let head = format!("# Practice vehicle {seed} on the map {map}: {told}. Invented.\n");
    head + &match beside {
        Some(feed) => format!("time,total (mA),{feed} (mA)\n"),
        None => "time,current (mA)\n".to_owned(),
    }
}
