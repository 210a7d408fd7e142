//! The currents that a hunt reasons about: every load, once for each feed that supplies it, every unfused item,
//! and what is unlisted at every node. Account, suspects and next all use these.
//! Leaves to others: which of them a reading sums (`observation`).

use crate::base::quantity::{Ampere, Unit};
use crate::circuit::id::{BranchId, FeedId, IdVec, LoadId, PartId, UnfusedId};
use crate::circuit::map::{Load, Map};
use crate::circuit::tree::{BranchKind, Tree};

/// Expected unlisted current on a feed, asleep, and its standard deviation. Editorial.
const UNLISTED: (Ampere, Ampere) = (Ampere::from_milli(0.2), Ampere::from_milli(1.2));
/// The same at the battery post. Editorial.
const UNLISTED_AT_BATTERY: (Ampere, Ampere) = (Ampere::from_milli(0.3), Ampere::from_milli(2.0));
/// Standard deviation of an asleep current about the map's figure: this share of it and a little. Editorial.
const ASLEEP_SHARE: f64 = 0.5;
/// The little: standard deviation of an asleep current whose figure is zero. Editorial.
const ASLEEP_LEAST: Ampere = Ampere::from_milli(0.4);
/// Standard deviation of what a source carries asleep, either way. Editorial.
const SOURCE_SD: Ampere = Ampere::from_milli(4.0);

/// What a part is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PartKind {
    /// A listed load.
    Load(LoadId),
    /// An unfused item.
    Unfused(UnfusedId),
    /// What is unlisted on a branch.
    Unlisted,
}

/// A current that flows, or may flow, in one place.
#[derive(Debug, Clone, PartialEq)]
pub struct CurrentSource {
    /// Branch it belongs to.
    pub branch: BranchId,
    /// What it is. A load on two feeds is two parts of the same kind.
    pub kind: PartKind,
    /// Feeds it flows through, from its own to the battery.
    pub path: Vec<FeedId>,
    /// Other paths that take it over when this one is interrupted.
    pub others: Vec<Vec<FeedId>>,
    /// Expected current asleep.
    pub asleep: Ampere,
    /// Its standard deviation from vehicle to vehicle.
    pub asleep_sd: Ampere,
    /// Expected current awake or failed; zero for what is unlisted.
    pub awake: Ampere,
    /// True if it may carry current either way.
    pub source: bool,
}

/// Lists the parts of a map, in a fixed order.
pub fn current_sources(map: &Map, tree: &Tree) -> IdVec<PartId, CurrentSource> {
    let mut parts = Vec::new();
    for (branch, found) in tree.branches().iter_ids() {
        let scaled = |(asleep, sd)| (map.scaled(asleep), map.scaled(sd));
        match found.kind {
            BranchKind::Feed(feed) => {
                parts.push(unlisted(branch, tree.path_to_battery(feed).to_vec(), scaled(UNLISTED)));
            }
            BranchKind::Unfused(item) => parts.extend(unfused(branch, item, map, tree)),
            BranchKind::Battery => parts.push(unlisted(branch, Vec::new(), scaled(UNLISTED_AT_BATTERY))),
        }
    }
    for (id, load) in map.loads() {
        parts.extend(load_parts(id, load, map, tree));
    }
    parts.sort_by_key(|part| (part.branch, part.kind));
    parts.into_iter().collect()
}

fn unlisted(branch: BranchId, path: Vec<FeedId>, (asleep, asleep_sd): (Ampere, Ampere)) -> CurrentSource {
    CurrentSource {
        branch,
        kind: PartKind::Unlisted,
        path,
        others: Vec::new(),
        asleep,
        asleep_sd,
        awake: Ampere::ZERO,
        source: false,
    }
}

fn unfused(branch: BranchId, item: UnfusedId, map: &Map, tree: &Tree) -> Option<CurrentSource> {
    let found = map.unfused.get(item)?;
    let path = found.parent.map(|feed| tree.path_to_battery(feed).to_vec()).unwrap_or_default();
    let spread = spread(found.asleep, map);
    let sd = if found.source { map.scaled(SOURCE_SD).max(spread) } else { spread };
    Some(CurrentSource {
        branch,
        kind: PartKind::Unfused(item),
        path,
        others: Vec::new(),
        asleep: found.asleep,
        asleep_sd: sd,
        awake: found.awake,
        source: found.source,
    })
}

/// A load on several feeds is one part on each, with an equal share of its expected current.
fn load_parts(id: LoadId, load: &Load, map: &Map, tree: &Tree) -> Vec<CurrentSource> {
    let feeds: Vec<FeedId> = std::iter::once(id.feed).chain(load.also_from.iter().copied()).collect();
    let share = 1.0 / feeds.len() as f64;
    let path = |feed: FeedId| tree.path_to_battery(feed).to_vec();
    let part = |(at, own): (usize, &FeedId)| CurrentSource {
        branch: tree.branch_of_feed(*own),
        kind: PartKind::Load(id),
        path: path(*own),
        others: feeds
            .iter()
            .enumerate()
            .filter(|(other, _)| *other != at)
            .map(|(_, feed)| path(*feed))
            .collect(),
        asleep: load.asleep * share,
        asleep_sd: spread(load.asleep, map) * share,
        awake: load.awake * share,
        source: false,
    };
    feeds.iter().enumerate().map(part).collect()
}

fn spread(asleep: Ampere, map: &Map) -> Ampere {
    Ampere::new((asleep.base() * ASLEEP_SHARE).hypot(map.scaled(ASLEEP_LEAST).base()))
}
