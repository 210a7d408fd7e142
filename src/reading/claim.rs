//! A reading as a sum over parts: the one observation type under account, suspects and next.
//! A claim says: these parts, with these coefficients, add up to this current ± its uncertainty.
//! Leaves to others: solving (`account`), weighing causes (`suspects`).

use crate::circuits::map::Map;
use crate::circuits::tree::Tree;
use crate::quantity::{Ampere, Uncertain};

use super::parts::{Part, PartKind, Parts};

/// What of the vehicle a claim is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Scope {
    /// Everything that the battery supplies.
    Total,
    /// What flows through a feed.
    Through(usize),
    /// What an unfused item draws.
    Unfused(usize),
    /// By how much the total falls when a feed is pulled.
    FallOfFeed(usize),
    /// By how much the total falls when a load is unplugged: feed and load index.
    FallOfLoad(usize, usize),
    /// By how much the total falls when an input of a wake group is worked: group and input index.
    FallOfInput(usize, usize),
}

/// What is interrupted while a reading is taken.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Interrupted {
    /// Feeds that are out.
    pub feeds: Vec<usize>,
    /// Loads that are unplugged: feed and load index.
    pub loads: Vec<(usize, usize)>,
    /// Wake groups that were held awake and have been released by working an input.
    pub released: Vec<usize>,
    /// Wake groups that fell asleep with what is out.
    pub asleep: Vec<usize>,
}

/// One claim.
#[derive(Debug, Clone, PartialEq)]
pub struct Claim {
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
    /// Returns the path that a part takes, if any is whole: its own, else the first other one.
    fn path_of<'a>(&self, part: &'a Part) -> Option<&'a [usize]> {
        if let PartKind::Load(feed, load) = part.kind
            && self.loads.contains(&(feed, load))
        {
            return None;
        }
        let whole = |path: &&Vec<usize>| !path.iter().any(|feed| self.feeds.contains(feed));
        std::iter::once(&part.path).chain(&part.others).find(whole).map(Vec::as_slice)
    }

    /// Returns what is interrupted once a reading about `scope` is taken: what was taken out for it, too.
    pub fn after(&self, scope: Scope) -> Self {
        let mut more = self.clone();
        match scope {
            Scope::FallOfFeed(feed) => more.feeds.push(feed),
            Scope::FallOfLoad(feed, load) => more.loads.push((feed, load)),
            _ => {}
        }
        more
    }
}

/// Returns how often a part's current counts in a claim about `scope`: 1, 0, or −1 for nothing else.
/// Inputs are not linear in the parts (they release a group as a whole) and count 0 here.
pub fn coefficient(scope: Scope, interrupted: &Interrupted, part: &Part) -> f64 {
    let path = interrupted.path_of(part);
    let flows = |yes: bool| if yes { 1.0 } else { 0.0 };
    match scope {
        Scope::Total => flows(path.is_some()),
        Scope::Through(feed) => flows(path.is_some_and(|path| path.contains(&feed))),
        Scope::Unfused(item) => flows(path.is_some() && part.kind == PartKind::Unfused(item)),
        Scope::FallOfFeed(feed) => {
            let after = interrupted.after(Scope::FallOfFeed(feed));
            flows(path.is_some()) - flows(after.path_of(part).is_some())
        }
        Scope::FallOfLoad(feed, load) => flows(path.is_some() && part.kind == PartKind::Load(feed, load)),
        Scope::FallOfInput(..) => 0.0,
    }
}

/// The fixed side of a hunt: map, tree and parts, made once.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// The circuit map.
    pub map: Map,
    /// Its tree.
    pub tree: Tree,
    /// Its parts.
    pub parts: Parts,
}

impl Panel {
    /// Prepares a map.
    pub fn new(map: Map) -> Self {
        let tree = Tree::new(&map);
        let parts = Parts::new(&map, &tree);
        Self { map, tree, parts }
    }

    /// Returns what the map expects of everything asleep.
    pub fn asleep(&self) -> Ampere {
        self.parts.all().iter().map(|part| part.asleep).sum()
    }

    /// Returns the coefficients of all parts in a claim about `scope`.
    pub fn row(&self, scope: Scope, interrupted: &Interrupted) -> Vec<f64> {
        self.parts.all().iter().map(|part| coefficient(scope, interrupted, part)).collect()
    }
}
