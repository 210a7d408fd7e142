//! Hunting in panel order: box after box as the map lists them, every fuse in its order by drop, with the clamp where
//! no drop can be read. At the end of each box: a fuse's own excess is what it shows above the map's asleep value,
//! less what the fuses below it show; it counts once all of those were read. If what counts as high adds up to nearly
//! all of the excess, the search is over; else the next box follows. Named is what is high, the largest first; the
//! first is what the habit stakes its name on. It knows no unfused items, no wake groups, and nothing at the post.
//! Leaves to others: taking the readings (`bench`).

use super::bench::ScoreBench;
use super::policy::{Ending, Hunted, Name, Said};
use crate::base::quantity::{Ampere, Unit};
use crate::circuit::id::{FeedId, IdVec};

/// The excess counts as found once so much of it is placed.
const FOUND: f64 = 0.8;

/// Hunts box by box.
pub(super) fn hunt(mut bench: ScoreBench) -> Hunted {
    let map = &bench.panel().map;
    let mut read: IdVec<FeedId, Option<Ampere>> = map.feeds.map_ids(|_| None);
    let places = map.boxes.ids().map(Some).chain([None]);
    for place in places {
        let here = map.feeds.iter_ids().filter(|(_, feed)| feed.place == place);
        for (feed, _) in here {
            let excess = bench.excess_of_feed(feed, false);
            if let Some(slot) = read.get_mut(feed) {
                *slot = excess;
            }
        }
        bench.type_along();
        let placed: Ampere = high(&bench, &read).iter().map(|(_, excess)| *excess).sum();
        let whole = bench.excess();
        if whole >= bench.high() && placed >= whole * FOUND {
            break;
        }
    }
    let said = named(&bench, high(&bench, &read));
    bench.end(said, Ending::Through)
}

/// Returns the feeds whose own excess is high, the largest first.
fn high(bench: &ScoreBench, read: &IdVec<FeedId, Option<Ampere>>) -> Vec<(FeedId, Ampere)> {
    let map = &bench.panel().map;
    let own = |feed: FeedId| -> Option<Ampere> {
        let below = map.feeds.iter_ids().filter(|(_, other)| other.parent == Some(feed));
        let below: Option<Vec<Ampere>> = below.map(|(index, _)| read.get(index).copied().flatten()).collect();
        Some(read.get(feed).copied().flatten()? - below?.into_iter().sum())
    };
    let mut high: Vec<(FeedId, Ampere)> = read
        .ids()
        .filter_map(|feed| Some((feed, own(feed)?)))
        .filter(|(_, excess)| *excess >= bench.high())
        .collect();
    high.sort_by(|a, b| b.1.base().total_cmp(&a.1.base()));
    high
}

fn named(bench: &ScoreBench, high: Vec<(FeedId, Ampere)>) -> Vec<Said> {
    let tree = &bench.panel().tree;
    let name = |(feed, _): (FeedId, Ampere)| {
        let branch = tree.branches().get(tree.branch_of_feed(feed))?;
        Some(Said { name: Name::Branch(branch.id.clone()), probability: 1.0 })
    };
    let said: Vec<Said> = high.into_iter().filter_map(name).collect();
    if said.is_empty() { vec![Said { name: Name::Nothing, probability: 1.0 }] } else { said }
}
