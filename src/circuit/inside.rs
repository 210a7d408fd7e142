//! What can be taken off inside an unfused item, a load or a cable, to tell which of its parts draws.
//! Editable in `circuits/inside.yaml`. Leaves to others: what a fall says (`measure`), when it is worth doing (`plan`).

use serde::Deserialize;

use super::id::{FeedId, LoadId, UnfusedId};
use super::map::{Map, VehicleClass};
use super::tables;
use crate::base::diagnostic::{Diagnostic, Faults};

/// What a part is one of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Whole {
    /// An unfused item.
    Item(UnfusedId),
    /// A load behind a fuse.
    Load(LoadId),
    /// A cable: a link that feeds a box and nothing besides.
    Cable(FeedId),
}

/// The kind of a cable, which no load of the catalogue is.
const CABLE: &str = "cable";

/// A part of an item, a load or a cable that can be taken off by itself.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InnerPart {
    kind: String,
    #[serde(default)]
    class: Vec<String>,
    /// What is taken off: `control plug`.
    pub part: String,
    /// In which order, in words.
    pub how: String,
    /// What draws if the total falls with it, in words.
    pub blames: String,
    /// True if it cuts the whole off.
    #[serde(default)]
    pub whole: bool,
    /// Share of the faults of such a whole that sit there; editorial.
    pub share: f64,
    /// Minutes of work; editorial.
    pub minutes: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct InsideSchema {
    format: String,
    inside: Vec<InnerPart>,
}

/// From this share of its faults on the part stands for its whole. Editorial: the rest is an end of cable.
const READS_WHOLE: f64 = 0.9;

impl InnerPart {
    tables::builtin!(Vec<InnerPart>, InnerPart::read(tables::INSIDE));

    /// Reads a table.
    ///
    /// # Errors
    /// Not YAML of the expected form, another format, or a share or a time that can't be.
    fn read(text: &str) -> Result<Vec<InnerPart>, Faults> {
        let odd = |one: &InnerPart| {
            let fault =
                Diagnostic::new(format!("{} of {}: {} and {}", one.part, one.kind, one.share, one.minutes));
            let fits = one.share > 0.0 && one.share < 1.0 && one.minutes > 0.0 && one.minutes.is_finite();
            (!fits).then(|| fault.expected("a share between 0 and 1, minutes above 0"))
        };
        let written: InsideSchema = tables::read(text, "fusetrail-inside/1", |found: &InsideSchema| {
            (found.format.clone(), found.inside.iter().filter_map(odd).collect())
        })?;
        Ok(written.inside)
    }

    /// Returns true if it cuts the whole off and nearly all faults sit behind it: then its fall is what the whole draws.
    pub fn reads_whole(&self) -> bool {
        self.whole && self.share >= READS_WHOLE
    }

    fn is_of(&self, kind: &str, class: VehicleClass) -> bool {
        self.kind == kind && (self.class.is_empty() || self.class.iter().any(|one| one == class.name()))
    }
}

impl Whole {
    /// Returns true if a feed is a cable: it feeds others and nothing besides.
    pub fn is_cable(feed: FeedId, map: &Map) -> bool {
        map.feeds.get(feed).is_some_and(|found| found.loads.is_empty())
            && map.feeds.iter().any(|other| other.parent == Some(feed))
    }

    /// Returns what a feed is or has that parts may be taken off of: the cable, or its loads.
    fn of_feed(feed: FeedId, map: &Map) -> Vec<Whole> {
        let loads = map.feeds.get(feed).map_or(0, |found| found.loads.len());
        if Whole::is_cable(feed, map) {
            return vec![Whole::Cable(feed)];
        }
        (0..loads).map(|at| Whole::Load(LoadId { feed, at })).collect()
    }

    /// Returns its parts that can be taken off one by one, in the order in which that is done.
    pub fn parts(self, map: &Map) -> Vec<&'static InnerPart> {
        let kind = match self {
            Whole::Item(item) => map.unfused.get(item).map(|item| item.kind.as_str()),
            Whole::Load(load) => map.load(load).map(|load| load.kind.as_str()),
            Whole::Cable(_) => Some(CABLE),
        };
        let of = |part: &&InnerPart| kind.is_some_and(|kind| part.is_of(kind, map.class));
        InnerPart::builtin().iter().filter(of).collect()
    }

    /// Returns what stands before the stroke of a reading inside it: the item, or the fuse.
    pub fn name(self, map: &Map) -> &str {
        match self {
            Whole::Item(item) => map.unfused_name(item),
            Whole::Load(LoadId { feed, .. }) | Whole::Cable(feed) => map.feed_name(feed),
        }
    }
}

/// Finds a part written `alternator/control plug`, `F9/socket lead` or `L1/far end`, letter case aside.
pub fn find_part(whole: &str, part: &str, map: &Map) -> Option<(Whole, &'static InnerPart)> {
    let (whole, part) = (whole.trim(), part.trim());
    let item = map.unfused.find_id(|found| found.name.eq_ignore_ascii_case(whole)).map(Whole::Item);
    let feed = map.feeds.find_id(|found| found.id.eq_ignore_ascii_case(whole));
    let behind = feed.into_iter().flat_map(|feed| Whole::of_feed(feed, map));
    item.into_iter().chain(behind).find_map(|whole| {
        let found = whole.parts(map).into_iter().find(|found| found.part.eq_ignore_ascii_case(part))?;
        Some((whole, found))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::loads::Catalogue;

    #[test]
    fn the_table_reads_and_names_kinds_and_classes_that_there_are() {
        let all = InnerPart::read(tables::INSIDE).expect("reads");
        for one in &all {
            assert!(one.kind == CABLE || Catalogue::builtin().get(&one.kind).is_some(), "{one:?}");
            assert!(one.class.iter().all(|class| VehicleClass::from_name(class).is_some()), "{one:?}");
        }
        let odd = tables::INSIDE.replacen("share: 0.3", "share: 1.3", 1);
        assert!(InnerPart::read(&odd).is_err());
    }

    #[test]
    fn nothing_is_taken_off_a_converter_of_the_high_voltage_system() {
        let map = crate::circuit::builtin::map("hybrid").expect("built in");
        let converter = map.unfused.find_id(|item| item.kind == "converter").expect("listed");
        assert!(Whole::Item(converter).parts(&map).is_empty());
    }
}
