//! A reading as a sum over parts: the one observation type under account, suspects and next.
//! An observation says: these parts, with these coefficients, add up to this current ± its uncertainty.
//! Leaves to others: solving (`balance`), weighing causes (`infer`).

use std::collections::HashSet;

use crate::base::quantity::{Ampere, Uncertain, Unit};
use crate::circuit::id::{FeedId, GroupId, IdVec, InputId, LoadId, PartId, UnfusedId};
use crate::circuit::map::Map;
use crate::circuit::tree::Tree;

use super::sources::{CurrentSource, PartKind, current_sources};

/// What of the vehicle an observation is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Scope {
    /// Everything that the battery supplies.
    Total,
    /// What flows through a feed.
    Through(FeedId),
    /// What an unfused item draws.
    Unfused(UnfusedId),
    /// By how much the total falls when a feed is pulled.
    FallOfFeed(FeedId),
    /// By how much the total falls when a load is unplugged.
    FallOfLoad(LoadId),
    /// By how much the total falls when an input of a wake group is worked.
    FallOfInput(InputId),
}

/// What is interrupted while a reading is taken.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct Interrupted {
    /// Feeds that are out.
    pub feeds: Vec<FeedId>,
    /// Loads that are unplugged.
    pub loads: Vec<LoadId>,
    /// Unfused items that are cut off, or whose part that draws is.
    pub items: Vec<UnfusedId>,
    /// Wake groups that were held awake and have been released by working an input.
    pub released: Vec<GroupId>,
    /// Wake groups that fell asleep with what is out.
    pub asleep: Vec<GroupId>,
}

/// One observation.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// Number of the entry that it rests on.
    pub entry: usize,
    /// What it is about.
    pub scope: Scope,
    /// What was interrupted at the time.
    pub interrupted: Interrupted,
    /// The current, with own and shared errors.
    pub current: Uncertain<Ampere>,
    /// Smallest current that this reading tells from none.
    pub floor: Ampere,
    /// True if it was read across a fuse or with a clamp there, so that the feed counts as measured.
    pub measured_here: bool,
}

impl Interrupted {
    /// Returns what is interrupted once a reading about `scope` is taken: what was taken out for it, too.
    pub fn after(&self, scope: Scope) -> Self {
        let mut more = self.clone();
        match scope {
            Scope::FallOfFeed(feed) if !more.feeds.contains(&feed) => more.feeds.push(feed),
            Scope::FallOfLoad(load) if !more.loads.contains(&load) => more.loads.push(load),
            _ => {}
        }
        more
    }
}

/// What is cut off, quick to ask.
struct Cut<'c, F, L> {
    /// True for a feed that is out.
    feed: F,
    /// True for a load that is unplugged.
    load: L,
    /// Unfused items that are off.
    items: &'c [UnfusedId],
}

impl<F: Fn(FeedId) -> bool, L: Fn(LoadId) -> bool> Cut<'_, F, L> {
    /// Returns the path that a part takes, if any is whole: its own, else the first other one. `more` is out as well.
    fn path_of<'a>(&self, part: &'a CurrentSource, more: Option<FeedId>) -> Option<&'a [FeedId]> {
        let is_off = match part.kind {
            PartKind::Load(load) => (self.load)(load),
            PartKind::Unfused(item) => self.items.contains(&item),
            PartKind::Unlisted => false,
        };
        if is_off {
            return None;
        }
        let whole = |path: &&Vec<FeedId>| !path.iter().any(|feed| Some(*feed) == more || (self.feed)(*feed));
        std::iter::once(&part.path).chain(&part.others).find(whole).map(Vec::as_slice)
    }

    fn coefficient(&self, scope: Scope, part: &CurrentSource) -> f64 {
        let path = self.path_of(part, None);
        let flows = |yes: bool| if yes { 1.0 } else { 0.0 };
        match scope {
            Scope::Total => flows(path.is_some()),
            Scope::Through(feed) => flows(path.is_some_and(|path| path.contains(&feed))),
            Scope::Unfused(item) => flows(path.is_some() && part.kind == PartKind::Unfused(item)),
            Scope::FallOfFeed(feed) => {
                flows(path.is_some()) - flows(self.path_of(part, Some(feed)).is_some())
            }
            Scope::FallOfLoad(load) => flows(path.is_some() && part.kind == PartKind::Load(load)),
            Scope::FallOfInput(..) => 0.0,
        }
    }
}

/// Returns how often a part's current counts in an observation about `scope`: 1, 0, or −1 for nothing else.
/// Inputs are not linear in the parts (they release a group as a whole) and count 0 here.
pub fn coefficient(scope: Scope, interrupted: &Interrupted, part: &CurrentSource) -> f64 {
    let feed = |feed| interrupted.feeds.contains(&feed);
    let load = |load| interrupted.loads.contains(&load);
    Cut { feed, load, items: &interrupted.items }.coefficient(scope, part)
}

/// The fixed side of a hunt: map, tree and parts, made once.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// The circuit map.
    pub map: Map,
    /// Its tree.
    pub tree: Tree,
    /// Its parts.
    pub parts: IdVec<PartId, CurrentSource>,
}

impl Panel {
    /// Prepares a map.
    pub fn new(map: Map) -> Self {
        let tree = Tree::new(&map);
        let parts = current_sources(&map, &tree);
        Self { map, tree, parts }
    }

    /// Finds a load by its fuse and its name, letter case aside.
    pub fn find_load(&self, feed: &str, load: &str) -> Option<LoadId> {
        let feed = self.tree.find_feed(feed).ok()?;
        let loads = &self.map.feeds.get(feed)?.loads;
        let at = loads.iter().position(|found| found.name.eq_ignore_ascii_case(load.trim()))?;
        Some(LoadId { feed, at })
    }

    /// Returns every place at which an input is named: one that two groups name belongs to both.
    pub fn same_input(&self, input: InputId) -> Vec<InputId> {
        let Some(name) = self.map.input(input) else { return Vec::new() };
        let named = self.map.inputs().filter(|(_, other)| other.eq_ignore_ascii_case(name));
        named.map(|(input, _)| input).collect()
    }

    /// Returns what the map expects of everything asleep.
    pub fn asleep(&self) -> Ampere {
        self.parts.iter().map(|part| part.asleep).sum()
    }

    /// Returns what an observation about `scope` adds up to with everything asleep, in ampere.
    pub fn normal(&self, scope: Scope, interrupted: &Interrupted) -> f64 {
        let counts = self.row(scope, interrupted);
        self.parts.iter().zip(&counts).map(|(part, count)| count * part.asleep.base()).sum()
    }

    /// Returns the coefficients of all parts in an observation about `scope`.
    pub fn row(&self, scope: Scope, interrupted: &Interrupted) -> IdVec<PartId, f64> {
        let mut out = self.map.feeds.map_ids(|_| false);
        for feed in &interrupted.feeds {
            if let Some(slot) = out.get_mut(*feed) {
                *slot = true;
            }
        }
        let unplugged: HashSet<LoadId> = interrupted.loads.iter().copied().collect();
        let feed = |feed| out.get(feed).copied().unwrap_or(false);
        let cut = Cut { feed, load: |load| unplugged.contains(&load), items: &interrupted.items };
        self.parts.iter().map(|part| cut.coefficient(scope, part)).collect()
    }
}
