//! What is said around the questions while somebody works: meters beside the prompt, a practice vehicle, leaving.

use crate::base::styled::{Role, StyledText};

/// Live meters stand ready.
pub const LIVE: &str = "Live meter: Enter takes the reading, or type it.";
/// What was repaired on a practice vehicle.
pub const MENDED: &str = "what was found is put right";
/// A wait at a terminal.
pub const HOW_TO_WAIT: &str = "Type a total and press Enter at any time. q leaves; the clock goes on.";
/// Nothing should be awake any more.
pub const ALL_ASLEEP: &str = "Everything should be asleep";
/// How a caution or the like is acknowledged.
pub const TYPE_YES: &str = "type yes";

/// A meter that says nothing.
pub const SILENT: &str = "it said nothing for some seconds";
/// A meter that shows an overload while a reading is due.
pub const ITS_OVERLOAD: &str = "it is out of range";
/// The same during a wait.
pub const OUT_OF_RANGE: &str = "the meter is out of range";
/// A meter whose lines are at an end.
pub const INPUT_ENDED: &str = "its input has ended";
/// Help of the total after the work.
pub const AFTER_HELP: &str = "Enter takes the total once it is steady; or type it.";

/// Says that a meter doesn't come to rest.
pub fn not_steady(least: &str, most: &str) -> String {
    format!("it is not steady: between {least} and {most}")
}

/// Returns what a meter shows, behind it a word.
pub fn shows(value: &str, tail: &str) -> StyledText {
    StyledText::of(Role::Hint, "The meter shows ").and(Role::Value, value).and(Role::Hint, tail)
}

/// Says that a meter gave nothing.
pub fn no_reading(why: &str) -> StyledText {
    StyledText::of(Role::Doubt, "No reading from the meter: ")
        .and(Role::Plain, why)
        .and(Role::Plain, ". Type the value, or press Enter to try again.")
}

/// Asks for the work between two readings.
pub fn now(work: &str) -> String {
    format!("{work} now, in one clean motion. Enter a minute later.")
}

/// Says where the answers go.
pub fn session(log: &str, practice: Option<u64>) -> StyledText {
    match practice {
        Some(seed) => StyledText::plain("Practice vehicle ")
            .and(Role::Value, seed.to_string())
            .and(Role::Plain, ", log ")
            .and(Role::Name, log)
            .and(Role::Hint, ". Enter reads, answers and waits."),
        None => StyledText::plain("Log: ").and(Role::Name, log).and(Role::Hint, ", saved after each answer."),
    }
}

/// Says what is kept of a hunt that was left, and how to go on.
pub fn kept(first: &str, log: &str, entries: usize) -> Vec<StyledText> {
    let line = StyledText::plain(first)
        .and(Role::Plain, " All that was accepted is kept in ")
        .and(Role::Name, log)
        .and(Role::Plain, format!(", entries: {entries}."));
    let on = StyledText::of(Role::Hint, "Go on with: ").and(Role::Name, format!("fusetrail hunt {log}"));
    vec![StyledText::new(), line, on]
}

/// Says that the hunt has ended, and with what.
pub fn ended(why: &str) -> String {
    format!("The hunt is at its end: {}.", why.trim_end_matches('.'))
}

/// Says what comes after opening a log.
pub fn go_on(log: &str) -> String {
    format!("next: fusetrail add {log} total …, or fusetrail hunt {log}")
}

/// Says which ids of an answers file were never asked.
pub fn idle(file: &str, ids: &str) -> StyledText {
    StyledText::of(Role::Hint, format!("In {file} these ids met no question: ")).and(Role::Name, ids)
}
