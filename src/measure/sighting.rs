//! What eye, ear, hand or a thermal camera found, and where: evidence without a figure.
//! Leaves to others: how much it says (`circuit/signs`), the causes that it speaks for (`infer/sign`).

use super::observation::Panel;
use crate::circuit::id::{FeedId, LoadId};
use crate::circuit::signs::Signs;

/// Something found at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Sighting {
    /// Number of the entry that it rests on.
    pub entry: usize,
    /// Where.
    pub at: SightingPlace,
    /// The word of the table of kinds: lit, dark, warm …
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
}

impl SightingPlace {
    /// Finds a fuse, or a load written `FUSE/LOAD`.
    pub fn find(name: &str, panel: &Panel) -> Option<Self> {
        if let Ok(feed) = panel.tree.find_feed(name) {
            return Some(Self::Feed(feed));
        }
        let (feed, load) = name.split_once('/')?;
        panel.find_load(feed, load).map(Self::Load)
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
    fn the_table_has_every_word_of_a_look() {
        let words = MeasurementKind::Look.row().slots.iter().flat_map(|slot| match slot.value {
            SlotValue::Word(words) => words.to_vec(),
            _ => Vec::new(),
        });
        let unknown: Vec<&str> = words.filter(|word| Signs::builtin().of(word, "any").is_none()).collect();
        assert!(unknown.is_empty(), "{unknown:?}");
    }
}
