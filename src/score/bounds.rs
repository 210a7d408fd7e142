//! Two ends that any search lies between: whoever knows the truth already and reads each cause only once, and whoever
//! reads every fuse of every box. Leaves to others: the searches themselves (`policy`).

use super::subject::Subject;
use crate::base::quantity::Minute;
use crate::circuit::id::BoxId;
use crate::circuit::map::{Access, Feed, Hazard, Map};
use crate::sim::TrueCause;
use crate::sim::constants as k;

/// Minutes of work of the two ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// The places of the causes reached, and each cause read once. Something at the battery post is read nowhere: it
    /// costs nothing here.
    pub known: Minute,
    /// Every box reached and every fuse read, by drop, else with the clamp.
    pub sweep: Minute,
}

impl Bounds {
    /// Returns the bounds of a vehicle.
    pub(super) fn of(subject: &Subject) -> Self {
        let map = &subject.world.wiring;
        let truth = subject.vehicle.truth();
        let found: Vec<(Option<BoxId>, Minute)> =
            truth.causes.iter().map(|cause| reading_of(cause, map)).collect();
        let every = map.feeds.iter().filter(|feed| feed.place.is_some());
        let every: Vec<(Option<BoxId>, Minute)> =
            every.map(|feed| (feed.place, minutes_at(feed).unwrap_or_default())).collect();
        Self { known: with_ways(&found, map), sweep: with_ways(&every, map) }
    }
}

/// The minutes of readings, each place reached once.
fn with_ways(readings: &[(Option<BoxId>, Minute)], map: &Map) -> Minute {
    let mut places: Vec<BoxId> = readings.iter().filter_map(|(place, _)| *place).collect();
    places.sort_unstable();
    places.dedup();
    let ways = places.iter().filter_map(|place| map.boxes.get(*place)).map(|found| found.reach);
    ways.chain(readings.iter().map(|(_, minutes)| *minutes)).fold(Minute::ZERO, |sum, one| sum + one)
}

/// Where a cause shows, and how long the quickest reading of it takes.
fn reading_of(cause: &TrueCause, map: &Map) -> (Option<BoxId>, Minute) {
    if cause.held {
        return (None, k::MINUTES_INPUT);
    }
    let id = cause.branch.strip_suffix(":unlisted").unwrap_or(&cause.branch);
    let feeds = map.feeds.iter().filter(|feed| feed.id == id || cause.also.contains(&feed.id));
    let quickest = feeds
        .filter_map(|feed| Some((feed.place, minutes_at(feed)?)))
        .min_by(|a, b| a.1.partial_cmp(&b.1).unwrap_or(std::cmp::Ordering::Equal));
    let unfused = map.unfused.iter().find(|item| item.name == id);
    let clamp = unfused.map(|item| match item.parent {
        None => k::MINUTES_CLAMP_BATTERY,
        Some(_) => k::MINUTES_CLAMP,
    });
    quickest.unwrap_or((None, clamp.unwrap_or_default()))
}

/// Minutes of the quickest reading at a feed; `None` if it can't be read.
fn minutes_at(feed: &Feed) -> Option<Minute> {
    let guarded = matches!(feed.hazard, Some(Hazard::Restraint | Hazard::Hv));
    match feed.access {
        Access::None => None,
        Access::Points if !guarded => Some(k::MINUTES_DROP),
        _ if feed.hazard == Some(Hazard::Hv) => None,
        _ if feed.parent.is_none() => Some(k::MINUTES_CLAMP_BATTERY),
        _ => Some(k::MINUTES_CLAMP),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Policy, ScoreWorld, Scored, Shop, Task, TruthFilter, score};
    use crate::base::quantity::{Minute, Unit};
    use crate::score::MapKind;
    use crate::sim::Hands;
    use crate::sim::sample::map;
    use std::num::NonZeroUsize;

    fn scored(wanted: TruthFilter) -> Vec<Scored> {
        let worlds = [ScoreWorld::new("sample", map(), MapKind::Diagram).expect("sound")];
        let threads = NonZeroUsize::MIN;
        let task = Task {
            worlds: &worlds,
            first: 1,
            vehicles: 30,
            policies: &[Policy::Plan],
            wanted,
            hands: Hands::Plain,
            shop: &Shop::default(),
            threads,
        };
        score(&task, || true).expect("the tables read")
    }

    #[test]
    fn nobody_finds_the_cause_faster_than_who_knows_it() {
        for one in scored(TruthFilter::One) {
            let (hunted, judged) = &one.hunts[0];
            // Differences of whole seconds, in minutes, are not exact.
            let quick = hunted.hands_on + Minute::new(1e-6) < one.bounds.known;
            assert!(!quick || !judged.all || hunted.readings == 0, "seed {}: {:?}", one.seed, hunted.trail);
            assert!(one.bounds.known < one.bounds.sweep, "seed {}", one.seed);
        }
    }

    #[test]
    fn nothing_wrong_takes_no_reading_and_a_sweep_is_the_same_for_all() {
        let sound = scored(TruthFilter::Only(super::super::TruthKind::Nothing));
        assert!(sound.iter().all(|one| one.bounds.known == Minute::ZERO));
        assert!(sound.iter().all(|one| one.bounds.sweep.base() == sound[0].bounds.sweep.base()));
    }
}
