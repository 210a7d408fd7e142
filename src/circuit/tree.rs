//! The feed tree: its branches in a fixed order, which of them flow through a feed, and finding things by name.
//! Leaves to others: the map itself (`map`), what a reading says about the sums (`measure/observation`).

use super::id::{BranchId, FeedId, IdVec, LoadId, UnfusedId};
use super::map::{Feed, Hazard, Map};
use super::resolve::UNLISTED;
use super::schema::BATTERY;
use super::wording::did_you_mean;
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::clean;

/// All that one node of the tree carries itself, without the feeds and items below it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Branch {
    /// Its name: a feed id, `FEED:unlisted`, an unfused name or `battery:unlisted`.
    pub id: String,
    /// What it is.
    pub kind: BranchKind,
}

/// What a branch is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BranchKind {
    /// What a feed carries itself.
    Feed(FeedId),
    /// An unfused item.
    Unfused(UnfusedId),
    /// What hangs on the battery and is on no map.
    Battery,
}

/// A place that a clamp can go around.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClampAt {
    /// A feed: all that flows through it.
    Feed(FeedId),
    /// An unfused item.
    Unfused(UnfusedId),
}

/// The branches through each feed.
type Below = IdVec<FeedId, Vec<BranchId>>;

/// The feed tree of one map.
#[derive(Debug, Clone, PartialEq)]
pub struct Tree {
    branches: IdVec<BranchId, Branch>,
    below: Below,
    paths: IdVec<FeedId, Vec<FeedId>>,
    guards: IdVec<FeedId, Option<Hazard>>,
    feeds: IdVec<FeedId, String>,
    unfused: IdVec<UnfusedId, String>,
    loads: IdVec<FeedId, Vec<String>>,
    inputs: Vec<String>,
}

impl Tree {
    /// Makes the tree. Branches stand in this order: one for each feed, in the order of the map; one for each
    /// unfused item; what is unlisted at the battery.
    pub fn new(map: &Map) -> Self {
        let has_below = |index: FeedId| {
            map.feeds.iter().any(|feed| feed.parent == Some(index))
                || map.unfused.iter().any(|item| item.parent == Some(index))
        };
        let name = |index: FeedId, feed: &Feed| {
            if feed.loads.is_empty() && has_below(index) {
                format!("{}{UNLISTED}", feed.id)
            } else {
                feed.id.clone()
            }
        };
        let feeds = map.feeds.iter_ids();
        let feeds = feeds.map(|(i, feed)| Branch { id: name(i, feed), kind: BranchKind::Feed(i) });
        let unfused = map.unfused.iter_ids();
        let unfused = unfused.map(|(i, one)| Branch { id: one.name.clone(), kind: BranchKind::Unfused(i) });
        let rest = Branch { id: format!("{BATTERY}{UNLISTED}"), kind: BranchKind::Battery };
        let branches: IdVec<BranchId, Branch> = feeds.chain(unfused).chain([rest]).collect();
        let paths = map.feeds.map_ids(|feed| path(map, feed));
        let mut inputs: Vec<String> = map.inputs().map(|(_, input)| input.to_owned()).collect();
        inputs.sort();
        inputs.dedup();
        let (below, guards) = sums(map, &branches, &paths);
        Self {
            branches,
            below,
            paths,
            guards,
            feeds: map.feeds.iter().map(|feed| feed.id.clone()).collect(),
            unfused: map.unfused.iter().map(|item| item.name.clone()).collect(),
            loads: map
                .feeds
                .iter()
                .map(|feed| feed.loads.iter().map(|load| load.name.clone()).collect())
                .collect(),
            inputs,
        }
    }

    /// Returns every branch, in the fixed order.
    pub fn branches(&self) -> &IdVec<BranchId, Branch> {
        &self.branches
    }

    /// Returns the branches that flow through a feed, its own among them, in ascending order; empty if there is
    /// no such feed.
    pub fn below_feed(&self, feed: FeedId) -> &[BranchId] {
        self.below.get(feed).map_or(&[], Vec::as_slice)
    }

    /// Returns the branch of what a feed carries itself.
    pub fn branch_of_feed(&self, feed: FeedId) -> BranchId {
        usize::from(feed).into()
    }

    /// Returns the branch of an unfused item.
    pub fn branch_of_unfused(&self, item: UnfusedId) -> BranchId {
        (self.feeds.len() + usize::from(item)).into()
    }

    /// Returns the branch of what is unlisted at the battery.
    pub fn branch_of_battery(&self) -> BranchId {
        (self.feeds.len() + self.unfused.len()).into()
    }

    /// Returns the feeds from a feed up to the battery, the feed itself first.
    pub fn path_to_battery(&self, feed: FeedId) -> &[FeedId] {
        self.paths.get(feed).map_or(&[], Vec::as_slice)
    }

    /// Returns the strictest guard of a feed and of all feeds below it: pulling it takes them all off.
    pub fn guard_through(&self, feed: FeedId) -> Option<Hazard> {
        self.guards.get(feed).copied().flatten()
    }

    /// Finds a feed by its id.
    ///
    /// # Errors
    /// No feed has that id, or several do that differ in capitals only.
    pub fn find_feed(&self, name: &str) -> Result<FeedId, Diagnostic> {
        find(name, &self.feeds, "fuse").map(FeedId::from)
    }

    /// Finds a feed or an unfused item to clamp.
    ///
    /// # Errors
    /// Nothing has that name, or several do that differ in capitals only.
    pub fn find_place_to_clamp(&self, name: &str) -> Result<ClampAt, Diagnostic> {
        let all: Vec<String> = self.feeds.iter().chain(&self.unfused).cloned().collect();
        let index = find(name, &all, "fuse or unfused item")?;
        Ok(match index.checked_sub(self.feeds.len()) {
            None => ClampAt::Feed(index.into()),
            Some(item) => ClampAt::Unfused(item.into()),
        })
    }

    /// Finds a load written as `F12/audio unit`.
    ///
    /// # Errors
    /// There is no `/` in it, no such feed or no such load on that feed.
    pub fn find_load(&self, name: &str) -> Result<LoadId, Diagnostic> {
        let Some((feed, load)) = name.split_once('/') else {
            let what = format!("{} names no load", clean(name));
            return Err(Diagnostic::new(what).expected("fuse and load, such as \"F12/audio unit\""));
        };
        let feed = self.find_feed(feed)?;
        let loads = self.loads.get(feed).map_or(&[][..], Vec::as_slice);
        Ok(LoadId { feed, at: find(load, loads, "load on this fuse")? })
    }

    /// Finds an input of wake groups; returns its name as in the map.
    ///
    /// # Errors
    /// No wake group has an input of that name.
    pub fn find_input(&self, name: &str) -> Result<&str, Diagnostic> {
        let at = find(name, &self.inputs, "input")?;
        Ok(self.inputs.get(at).map_or("", String::as_str))
    }
}

/// Returns the feeds from one up to the battery. A checked map has no cycle; one made by hand is cut there.
fn path(map: &Map, feed: FeedId) -> Vec<FeedId> {
    let mut path = vec![feed];
    let mut at = map.feeds.get(feed).and_then(|feed| feed.parent);
    while let Some(index) = at.filter(|index| map.feeds.get(*index).is_some() && !path.contains(index)) {
        path.push(index);
        at = map.feeds.get(index).and_then(|feed| feed.parent);
    }
    path
}

/// Returns for each feed the branches through it and the strictest guard among them.
fn sums(
    map: &Map,
    branches: &IdVec<BranchId, Branch>,
    paths: &IdVec<FeedId, Vec<FeedId>>,
) -> (Below, IdVec<FeedId, Option<Hazard>>) {
    let mut below: Below = map.feeds.map_ids(|_| Vec::new());
    let mut guards: IdVec<FeedId, Option<Hazard>> = map.feeds.map_ids(|_| None);
    for (id, branch) in branches.iter_ids() {
        let (lowest, own) = match branch.kind {
            BranchKind::Feed(feed) => (Some(feed), map.feeds.get(feed).and_then(|feed| feed.hazard)),
            BranchKind::Unfused(item) => (map.unfused.get(item).and_then(|item| item.parent), None),
            BranchKind::Battery => (None, None),
        };
        for above in lowest.and_then(|feed| paths.get(feed)).into_iter().flatten() {
            if let Some(list) = below.get_mut(*above) {
                list.push(id);
            }
            if let Some(guard) = guards.get_mut(*above) {
                *guard = guard.iter().chain(&own).copied().min_by_key(|guard| guard.strictness());
            }
        }
    }
    (below, guards)
}

/// Finds a name: as it stands, or with other capitals if that is unambiguous.
fn find(name: &str, known: &[String], what: &str) -> Result<usize, Diagnostic> {
    let name = name.trim();
    if let Some(index) = known.iter().position(|one| one == name) {
        return Ok(index);
    }
    let folded = name.to_lowercase();
    let alike: Vec<usize> =
        known.iter().enumerate().filter(|(_, one)| one.to_lowercase() == folded).map(|(i, _)| i).collect();
    match alike.as_slice() {
        [index] => Ok(*index),
        [] => {
            let fault = Diagnostic::new(format!("no {what} {}", clean(name)));
            let near = did_you_mean(name, known.iter().map(String::as_str), "");
            Err(match known.len() {
                _ if !near.is_empty() => fault.remedy(clean(&near)),
                0 => fault.remedy(format!("the map has no {what}")),
                1..=12 => fault.remedy(format!("there are: {}", clean(&known.join(", ")))),
                _ => fault,
            })
        }
        several => {
            let names: Vec<&str> = several.iter().filter_map(|i| known.get(*i)).map(String::as_str).collect();
            let fault = Diagnostic::new(format!("{} can mean several", clean(name)));
            Err(fault.expected(format!("one of {}", clean(&names.join(", ")))))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::check::check;

    fn tree() -> Tree {
        let text = include_str!("../../tests/data/map-small.yaml");
        Tree::new(&check("small", text).unwrap_or_else(|faults| panic!("{faults}")).0)
    }

    fn names(tree: &Tree, branches: impl IntoIterator<Item = BranchId>) -> Vec<String> {
        branches.into_iter().map(|branch| name(tree, branch)).collect()
    }

    fn name(tree: &Tree, branch: BranchId) -> String {
        tree.branches().get(branch).expect("a branch").id.clone()
    }

    #[test]
    fn branches_stand_in_a_fixed_order_and_only_bare_nodes_are_unlisted() {
        let tree = tree();
        let all: Vec<&str> = tree.branches().iter().map(|branch| branch.id.as_str()).collect();
        let due =
            ["F12", "L1:unlisted", "L2", "F31", "SPARE", "f31", "alternator", "heater", "battery:unlisted"];
        assert_eq!(all, due);
        assert_eq!(name(&tree, tree.branch_of_battery()), "battery:unlisted");
        assert_eq!(name(&tree, tree.branch_of_unfused(1.into())), "heater");
    }

    #[test]
    fn what_flows_through_a_feed_is_its_own_branch_and_all_below() {
        let tree = tree();
        let through =
            |name: &str| names(&tree, tree.below_feed(tree.find_feed(name).expect("a feed")).to_vec());
        assert_eq!(through("L1"), ["F12", "L1:unlisted", "L2", "F31", "heater"]);
        assert_eq!(through("L2"), ["L2", "F31", "heater"]);
        assert_eq!(through("F31"), ["F31"]);
        assert_eq!(through("SPARE"), ["SPARE"]);
        let f31 = tree.find_feed("F31").expect("a feed");
        let path = names(&tree, tree.path_to_battery(f31).iter().map(|feed| tree.branch_of_feed(*feed)));
        assert_eq!(path, ["F31", "L2", "L1:unlisted"]);
    }

    #[test]
    fn a_link_is_as_guarded_as_the_strictest_circuit_below_it() {
        let tree = tree();
        let guard = |name: &str| tree.guard_through(tree.find_feed(name).expect("a feed"));
        assert_eq!(guard("F12"), Some(Hazard::Fuel));
        assert_eq!(guard("L2"), Some(Hazard::Restraint));
        assert_eq!(guard("L1"), Some(Hazard::Restraint));
        assert_eq!(guard("SPARE"), None);
    }

    #[test]
    fn names_are_found_with_other_capitals_where_that_is_unambiguous() {
        let tree = tree();
        assert_eq!(tree.find_feed("f12"), Ok(0.into()));
        assert_eq!(tree.find_feed(" spare "), Ok(4.into()));
        assert_eq!(tree.find_feed("F31"), Ok(3.into()));
        assert_eq!(tree.find_place_to_clamp("Alternator"), Ok(ClampAt::Unfused(0.into())));
        assert_eq!(tree.find_place_to_clamp("heater"), Ok(ClampAt::Unfused(1.into())));
        assert_eq!(tree.find_place_to_clamp("L2"), Ok(ClampAt::Feed(2.into())));
        assert_eq!(tree.find_load("f12/Audio Unit"), Ok(LoadId { feed: 0.into(), at: 0 }));
        assert_eq!(tree.find_input("driver door LATCH"), Ok("driver door latch"));
        assert_eq!(tree.find_input("key"), Ok("key"));
    }

    #[test]
    fn a_name_that_is_not_there_is_answered_with_the_nearest() {
        let tree = tree();
        let said = tree.find_feed("F21").expect_err("no such fuse").to_string();
        assert_eq!(said, "no fuse F21 (did you mean F12, F31, f31?)");
        assert!(tree.find_place_to_clamp("alternatr").expect_err("none").to_string().contains("alternator"));
        assert!(tree.find_load("F12").expect_err("no slash").to_string().contains("F12/audio unit"));
        assert!(tree.find_load("F12/radio").expect_err("none").to_string().contains("audio unit"));
        let said = Tree::new(&crate::circuit::builtin::map("blank").expect("blank")).find_feed("F1");
        assert_eq!(said.expect_err("none").to_string(), "no fuse F1 (the map has no fuse)");
    }

    #[test]
    fn two_that_differ_in_capitals_only_must_be_told_exactly() {
        let mut map = crate::circuit::builtin::map("blank").expect("blank").completed().expect("sound").0;
        map.unfused[0].name = "A".into();
        map.unfused[1].name = "a".into();
        let tree = Tree::new(&map);
        assert_eq!(tree.find_place_to_clamp("a"), Ok(ClampAt::Unfused(1.into())));
        map.unfused[0].name = "Ab".into();
        map.unfused[1].name = "aB".into();
        let said = Tree::new(&map).find_place_to_clamp("ab").expect_err("two").to_string();
        assert!(said.contains("one of Ab, aB"), "{said}");
    }
}
