//! The one place where the log meets the circuit map's text: reads the map of the first entry, adds a typed feed.
//! Leaves to others: what makes a map sound (`circuit/check`), how a typed line reads (`circuit/lid`).

use crate::base::diagnostic::Faults;
use crate::circuit::check;
use crate::circuit::map::Map;

/// Reads the map that a log carries. What the checker merely doubts was said when the log was opened.
pub(super) fn read(text: &str) -> Result<Map, Faults> {
    check::check("map in the log", text).map(|(map, _doubts)| map)
}

/// Adds a feed as its line was typed. What was guessed about it was said when it was entered.
pub(super) fn add_feed(map: &mut Map, place: Option<&str>, line: &str) -> Result<(), Faults> {
    map.add_feed(place, line).map(|_added| ())
}
