//! The one place where the log meets the circuit map's text: reads the map of the first entry, adds a typed feed.
//! Leaves to others: what makes a map sound (`circuits/check`), how a typed line reads (`circuits/lid`).

use crate::circuits::check;
use crate::circuits::map::Map;
use crate::fault::Faults;

/// Reads the map that a log carries. What the checker merely doubts was said when the log was opened.
pub(super) fn read(text: &str) -> Result<Map, Faults> {
    check::check("the map in the log", text).map(|(map, _doubts)| map)
}

/// Adds a feed as its line was typed. What was guessed about it was said when it was entered.
pub(super) fn add_feed(map: &mut Map, place: Option<&str>, line: &str) -> Result<(), Faults> {
    map.add_feed(place, line).map(|_added| ())
}
