//! What eye, ear, hand or a thermal camera found, or the vehicle said of itself, and where: evidence without a figure.
//! Leaves to others: how much it says (`circuit/signs`), the causes that it speaks for (`infer/sign`).

use super::observation::Panel;
use crate::base::diagnostic::Diagnostic;
use crate::circuit::id::{FeedId, GroupId, InputId, LoadId};
use crate::circuit::signs::{INPUT, Signs};

/// Something found at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Sighting {
    /// Number of the entry that it rests on.
    pub entry: usize,
    /// Where.
    pub at: SightingPlace,
    /// The word of the table of kinds: lit, warm, open, woke=12 …
    pub found: String,
}

impl Sighting {
    /// Returns what it was found with.
    pub fn sense(&self) -> &str {
        Signs::builtin().sense(&self.found)
    }
}

/// Where something was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SightingPlace {
    /// At a fuse or link.
    Feed(FeedId),
    /// At a load.
    Load(LoadId),
    /// At an input of a network, where the map first names it.
    Input(InputId),
    /// At a network as a whole.
    Group(GroupId),
}

impl SightingPlace {
    /// Finds a fuse, a load written `FUSE/LOAD`, or an input.
    pub fn find(name: &str, panel: &Panel) -> Option<Self> {
        if let Ok(feed) = panel.tree.find_feed(name) {
            return Some(Self::Feed(feed));
        }
        let load = name.split_once('/').and_then(|(feed, load)| panel.find_load(feed, load));
        let named = |(id, input): (InputId, &str)| input.eq_ignore_ascii_case(name.trim()).then_some(id);
        load.map(Self::Load).or_else(|| panel.map.inputs().find_map(named).map(Self::Input))
    }
}

/// Checks that a word of a report is one of what it is about: an input, or a load as `FUSE/LOAD`.
///
/// # Errors
/// It is one of the other.
pub(super) fn fits(of: &str, says: &str) -> Result<(), Diagnostic> {
    let signs = Signs::builtin();
    let is_of_input = signs.of(says, INPUT).is_some_and(|sign| sign.is_of_input());
    let fault = |what: &str, sense: &str| {
        Err(Diagnostic::new(format!("{what} is never \"{says}\"")).expected(sense.to_owned()))
    };
    match (of.contains('/'), is_of_input) {
        (true, true) => fault("a load", "awake, asleep or woke=N"),
        (false, false) => fault("an input", "open or shut"),
        _ => Ok(()),
    }
}

/// Adds what was found. Of two findings of one sense at one place the newer counts.
pub(super) fn add(all: &mut Vec<Sighting>, new: Sighting) {
    all.retain(|old| old.at != new.at || old.sense() != new.sense());
    all.push(new);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::kind::{MeasurementKind, SlotValue};

    #[test]
    fn the_table_has_every_word_of_a_look_and_of_a_report() {
        let rows = [MeasurementKind::Look, MeasurementKind::Report].map(MeasurementKind::row);
        let words = rows.iter().flat_map(|row| row.slots).flat_map(|slot| match slot.value {
            SlotValue::Word(words) => words.to_vec(),
            _ => Vec::new(),
        });
        let unknown: Vec<&str> = words.filter(|word| Signs::builtin().of(word, INPUT).is_none()).collect();
        assert!(unknown.is_empty(), "{unknown:?}");
    }
}
