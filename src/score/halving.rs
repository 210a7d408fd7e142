//! Hunting by halves along the feed tree: from the battery down, the cables and links that carry most circuits first,
//! with the clamp; then within each that carries a high share of the excess the same again, down to single fuses by
//! drop. At each node the reading goes on only while a high part of its excess is unplaced; what is left over once all
//! below it was read hangs unlisted at the node itself. With no high excess at all, what hangs at the battery is read
//! all the same. Named is what is high, the largest first. It knows no wake
//! groups. Leaves to others: taking the readings (`bench`).

use super::bench::ScoreBench;
use super::policy::{Ending, Hunted, Name, Said};
use crate::base::quantity::{Ampere, Unit};
use crate::circuit::id::{BranchId, FeedId, UnfusedId};

/// What hangs directly below a node.
#[derive(Clone, Copy)]
enum Child {
    Feed(FeedId),
    Unfused(UnfusedId),
}

/// Hunts down the tree.
pub(super) fn hunt(bench: ScoreBench) -> Hunted {
    let excess = bench.excess();
    let mut search = HalvingSearch { bench, found: Vec::new() };
    search.below(None, excess, true);
    let HalvingSearch { bench, mut found } = search;
    found.sort_by(|a, b| b.1.base().total_cmp(&a.1.base()));
    let branches = bench.panel().tree.branches();
    let name = |(branch, _): (BranchId, Ampere)| {
        Some(Said { name: Name::Branch(branches.get(branch)?.id.clone()), probability: 1.0 })
    };
    let mut said: Vec<Said> = found.into_iter().filter_map(name).collect();
    if said.is_empty() {
        said.push(Said { name: Name::Nothing, probability: 1.0 });
    }
    bench.end(said, Ending::Through)
}

struct HalvingSearch<'a> {
    bench: ScoreBench<'a>,
    /// Branches named, with their excess.
    found: Vec<(BranchId, Ampere)>,
}

impl HalvingSearch<'_> {
    /// Searches below a node (`None`: the battery) that carries so much too much; returns what was found of it.
    /// `read` is false where the node itself could not be read: then nothing is said of what is left over.
    fn below(&mut self, node: Option<FeedId>, excess: Ampere, read: bool) -> Ampere {
        let mut left = excess;
        let high = self.bench.high();
        for child in self.children(node) {
            if left < high && excess >= high {
                self.bench.type_along();
                return excess - left;
            }
            left = left - self.look_at(child, left);
        }
        self.bench.type_along();
        let tree = &self.bench.panel().tree;
        if read && left >= high {
            let own = node.map_or(tree.branch_of_battery(), |feed| tree.branch_of_feed(feed));
            self.found.push((own, left));
            return excess;
        }
        excess - left
    }

    /// Reads one child and what is below it; returns how much of the excess it explains.
    fn look_at(&mut self, child: Child, left: Ampere) -> Ampere {
        let tree = &self.bench.panel().tree;
        let (branch, feed, excess) = match child {
            Child::Unfused(item) => (tree.branch_of_unfused(item), None, self.bench.excess_of_unfused(item)),
            Child::Feed(feed) => {
                let many = tree.below_feed(feed).len() > 1;
                let excess = self.bench.excess_of_feed(feed, many);
                (tree.branch_of_feed(feed), many.then_some(feed), excess)
            }
        };
        match (feed, excess) {
            (Some(feed), None) => self.below(Some(feed), left, false),
            (Some(feed), Some(excess)) if excess >= self.bench.high() => {
                self.below(Some(feed), excess, true);
                excess
            }
            (None, Some(excess)) if excess >= self.bench.high() => {
                self.found.push((branch, excess));
                excess
            }
            (_, excess) => excess.unwrap_or_default(),
        }
    }

    /// Returns what hangs directly below a node, what carries most branches first.
    fn children(&self, node: Option<FeedId>) -> Vec<Child> {
        let panel = self.bench.panel();
        let feeds = panel.map.feeds.iter_ids().filter(|(_, feed)| feed.parent == node);
        let mut feeds: Vec<FeedId> = feeds.map(|(index, _)| index).collect();
        feeds.sort_by_key(|feed| std::cmp::Reverse(panel.tree.below_feed(*feed).len()));
        let unfused = panel.map.unfused.iter_ids().filter(|(_, item)| item.parent == node);
        let unfused = unfused.map(|(index, _)| Child::Unfused(index));
        feeds.into_iter().map(Child::Feed).chain(unfused).collect()
    }
}
