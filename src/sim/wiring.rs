//! The truth about one vehicle's parts, drawn from the map and a seed: what each load really draws and where it
//! really hangs, how warm each box is. The fault comes on top.
//! Leaves to others: the fuses (`fuses`), the fault (`fault`), what is awake or pulled (`state`), currents along the feeds (`flow`).

use super::constants as k;
use super::fuses::{TrueFuse, fuses};
use super::rng::SimRng;
use crate::base::quantity::{Ampere, Celsius, Minute};
use crate::circuit::id::{BoxId, FeedId, GroupId, IdVec, LoadId, UnfusedId};
use crate::circuit::map::{Map, VehicleClass};

/// The parts of one vehicle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Wiring {
    /// Listed loads in the order of the map, then the unlisted ones.
    pub(super) loads: Vec<TrueLoad>,
    /// True current of each unfused item, negative if it feeds the vehicle.
    pub(super) unfused: IdVec<UnfusedId, Ampere>,
    /// One fuse for each feed of the map.
    pub(super) fuses: IdVec<FeedId, TrueFuse>,
    /// Temperature of each box of the map.
    pub(super) boxes: IdVec<BoxId, Celsius>,
    /// Temperature of the place: of feeds without a box.
    pub(super) ambient: Celsius,
    /// For each feed: how long neighbours wake when it is pulled, against their own sleep time; `None`: not at all.
    pub(super) pull_wakes: IdVec<FeedId, Option<f64>>,
}

/// One load as it really is.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct TrueLoad {
    /// Name on the lid, or `unlisted load`.
    pub(super) name: String,
    /// The feed that the map lists it on; `None` if the map does not know it.
    pub(super) listed_on: Option<FeedId>,
    /// Feeds that it really hangs on, with the share each carries; empty at the battery post.
    pub(super) feeds: Vec<(FeedId, f64)>,
    /// Current asleep.
    pub(super) asleep: Ampere,
    /// Current awake.
    pub(super) awake: Ampere,
    /// Time to fall asleep after a disturbance; zero for what does not wake.
    pub(super) sleep: Minute,
    /// Its wake group.
    pub(super) group: Option<GroupId>,
    /// How long it is awake after its fuse is refitted, against its sleep time; `None`: not at all.
    pub(super) refit_wakes: Option<f64>,
    /// Row of the table of kinds.
    pub(super) kind: k::KindOfExcess,
}

impl Wiring {
    /// Draws the parts of a vehicle. Each subject has draws of its own, so that one does not shift another.
    pub(super) fn draw(map: &Map, seed: u64) -> Self {
        let mut loads = listed(map, &mut SimRng::new(seed, "loads"));
        misname(&mut loads, &mut SimRng::new(seed, "wrong names"));
        unlisted(map, &mut loads, &mut SimRng::new(seed, "unlisted"));
        let mut rng = SimRng::new(seed, "unfused");
        let unfused = map
            .unfused
            .iter()
            .map(|item| {
                let spread = item.asleep * rng.factor(k::ASLEEP_LN_SD);
                let flow = k::SOURCE_SD * rng.normal();
                if item.source { spread + flow } else { spread }
            })
            .collect();
        let (ambient, boxes) = temperatures(map, &mut SimRng::new(seed, "temperature"));
        let mut rng = SimRng::new(seed, "pulls");
        let pull_wakes = map.feeds.map_ids(|_| draw_wake(&mut rng, k::PULL_WAKES, k::PULL_WAKE_TIME));
        let fuses = fuses(map, seed, k::ODD_MAKE_SHARE);
        let mut wiring = Self { loads, unfused, fuses, boxes, ambient, pull_wakes };
        wiring.make_sound(limit(map));
        wiring
    }

    /// Returns what the sound vehicle draws asleep.
    pub(super) fn sound_total(&self) -> Ampere {
        let loads: Ampere = self.loads.iter().map(|load| load.asleep).sum();
        loads + self.unfused.iter().copied().sum()
    }

    /// Scales the asleep currents down where the sound vehicle would come too near to its limit.
    fn make_sound(&mut self, limit: Ampere) {
        let most = limit * k::SOUND_AT_MOST;
        let total = self.sound_total();
        if total > most {
            let factor = most / total;
            self.loads.iter_mut().for_each(|load| load.asleep = load.asleep * factor);
            self.unfused.iter_mut().for_each(|current| *current = *current * factor);
        }
    }
}

/// Returns the limit that the vehicle is held to: the map's, else one by its class.
pub(super) fn limit(map: &Map) -> Ampere {
    map.limit.as_ref().map_or_else(
        || match map.class {
            VehicleClass::Car | VehicleClass::Electrified | VehicleClass::Caravan => k::LIMIT_CAR,
            VehicleClass::Truck => k::LIMIT_TRUCK,
            VehicleClass::Motorcycle => k::LIMIT_MOTORCYCLE,
            VehicleClass::Boat => k::LIMIT_BOAT,
        },
        |limit| limit.current,
    )
}

/// Finds the row of the table of kinds for a load, by its kind first and its name second.
fn kind_of(kind: &str, name: &str) -> k::KindOfExcess {
    let find = |text: &str| k::KINDS.iter().find(|row| row.words.iter().any(|word| has_word(text, word)));
    let [.., other] = &k::KINDS;
    *find(kind).or_else(|| find(name)).unwrap_or(other)
}

/// Returns true if a word of the text begins so: `lock` is in `door lock` but not in `clock`.
fn has_word(text: &str, beginning: &str) -> bool {
    let text = text.to_lowercase();
    let starts = |(at, _): (usize, &str)| {
        let before = text.get(..at).and_then(|before| before.chars().next_back());
        before.is_none_or(|c| !c.is_alphanumeric())
    };
    text.match_indices(beginning).any(starts)
}

fn draw_wake(rng: &mut SimRng, probability: f64, range: (f64, f64)) -> Option<f64> {
    // Both are drawn always, so that the sequence does not depend on the first.
    let (wakes, factor) = (rng.chance(probability), rng.between(range.0, range.1));
    wakes.then_some(factor)
}

/// Draws the listed loads about the map's figures.
fn listed(map: &Map, rng: &mut SimRng) -> Vec<TrueLoad> {
    let vehicle = rng.factor(k::ASLEEP_VEHICLE_LN_SD);
    let stated = map.feeds.iter().flat_map(|feed| &feed.loads).map(|load| load.sleeps_after);
    let longest = stated.chain(map.sleep_after).fold(Minute::ZERO, Minute::max) * k::SLEEP_AT_MOST;
    let mut loads = Vec::new();
    for (LoadId { feed, .. }, load) in map.loads() {
        let asleep = load.asleep * (vehicle * rng.factor(k::ASLEEP_LN_SD));
        let awake = (load.awake * rng.factor(k::AWAKE_LN_SD)).max(asleep);
        let sleep = (load.sleeps_after * rng.factor(k::SLEEP_LN_SD)).min(longest);
        let refit_wakes = draw_wake(rng, k::REFIT_WAKES, k::REFIT_WAKE_TIME);
        loads.push(TrueLoad {
            name: load.name.clone(),
            listed_on: Some(feed),
            feeds: split(map, feed, &load.also_from, rng),
            asleep,
            awake,
            sleep,
            group: load.wake_group,
            refit_wakes,
            kind: kind_of(&load.kind, &load.name),
        });
    }
    loads
}

/// Draws what each feed of a load carries; here and there a load hangs on two feeds though the map tells of one.
fn split(map: &Map, feed: FeedId, also: &[FeedId], rng: &mut SimRng) -> Vec<(FeedId, f64)> {
    let (untold, share) =
        (rng.chance(k::TWICE_FED_UNTOLD), rng.between(k::TWICE_FED_LEAST, 1.0 - k::TWICE_FED_LEAST));
    let mut others: Vec<FeedId> = also.iter().copied().filter(|other| *other != feed).collect();
    if others.is_empty() && untold {
        let parent = map.feeds.get(feed).and_then(|feed| feed.parent);
        let siblings: Vec<FeedId> = map
            .feeds
            .ids()
            .filter(|other| *other != feed)
            .filter(|other| map.feeds.get(*other).is_some_and(|f| f.parent == parent && !f.loads.is_empty()))
            .collect();
        others.extend(rng.index(siblings.len()).and_then(|at| siblings.get(at)));
    }
    if others.is_empty() {
        return vec![(feed, 1.0)];
    }
    let each = (1.0 - share) / others.len() as f64;
    std::iter::once((feed, share)).chain(others.into_iter().map(|other| (other, each))).collect()
}

/// Swaps the places of a few loads: the lid has their names the wrong way round.
fn misname(loads: &mut [TrueLoad], rng: &mut SimRng) {
    // A swap moves two loads.
    let wanted: Vec<bool> = loads.iter().map(|_| rng.chance(k::MISNAMED_SHARE / 2.0)).collect();
    for (first, _) in wanted.iter().enumerate().filter(|(_, wanted)| **wanted) {
        let Some(second) = rng.index(loads.len()) else { continue };
        let place = |at: usize| loads.get(at).and_then(single);
        if let (Some(here), Some(there)) = (place(first), place(second)) {
            for (at, feed) in [(first, there), (second, here)] {
                if let Some(load) = loads.get_mut(at) {
                    load.feeds = vec![(feed, 1.0)];
                }
            }
        }
    }
}

/// Returns the feed of a load that hangs on one only.
fn single(load: &TrueLoad) -> Option<FeedId> {
    match load.feeds.as_slice() {
        [(feed, _)] => Some(*feed),
        _ => None,
    }
}

/// Adds loads that the map leaves out.
fn unlisted(map: &Map, loads: &mut Vec<TrueLoad>, rng: &mut SimRng) {
    let places: Vec<FeedId> = loads.iter().filter_map(single).collect();
    for feed in places {
        let (there, at_post) = (rng.chance(k::UNLISTED_SHARE), rng.chance(k::UNLISTED_AT_BATTERY));
        let asleep = k::UNLISTED_MEDIAN * rng.factor(k::UNLISTED_LN_SD);
        // Scaled, so that a motorcycle's are in proportion to its limit.
        let asleep = asleep * (limit(map) / k::LIMIT_CAR).min(1.0);
        if there {
            loads.push(TrueLoad {
                name: "unlisted load".into(),
                listed_on: None,
                feeds: if at_post { Vec::new() } else { vec![(feed, 1.0)] },
                asleep,
                awake: asleep,
                sleep: Minute::ZERO,
                group: None,
                refit_wakes: None,
                kind: kind_of("", ""),
            });
        }
    }
}

fn temperatures(map: &Map, rng: &mut SimRng) -> (Celsius, IdVec<BoxId, Celsius>) {
    let (coldest, warmest) = k::AMBIENT_RANGE;
    let ambient = (k::AMBIENT_MEAN + k::AMBIENT_SD * rng.normal()).max(coldest).min(warmest);
    let boxes = map
        .boxes
        .iter()
        .map(|_| ambient + k::BOX_WARMTH_MEAN + k::BOX_WARMTH_SD * rng.normal_within(2.5))
        .collect();
    (ambient, boxes)
}

/// Returns a feed and those above it, up to the battery.
pub(super) fn chain(map: &Map, feed: FeedId) -> impl Iterator<Item = FeedId> {
    let parent = |at: &FeedId| map.feeds.get(*at).and_then(|feed| feed.parent);
    // A checked map has no cycle; the bound keeps a wrong one from hanging the program.
    std::iter::successors(Some(feed), parent).take(map.feeds.len().max(1))
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::*;
    use crate::base::quantity::Unit;

    #[test]
    fn a_kind_is_found_by_the_beginning_of_a_word() {
        let median = |kind, name| kind_of(kind, name).median.milli();
        assert!((median("audio", "unit 7") - 260.0).abs() < 1e-9);
        assert!((median("other", "glovebox lamp") - 420.0).abs() < 1e-9);
        assert!((median("other", "clock") - 200.0).abs() < 1e-9, "no lock in it");
        assert!((median("other", "Door locks") - 180.0).abs() < 1e-9);
    }

    #[test]
    fn asleep_currents_spread_about_the_map_and_keep_its_median() {
        // The engine control's 3 mA; 600 vehicles, logarithm's deviation 0.43 in all.
        let mut drawn: Vec<f64> = (0..600)
            .map(|seed| Wiring::draw(&map(), seed).loads.into_iter().next().expect("a load"))
            .filter(|load| load.name == "engine control")
            .map(|load| load.asleep.milli())
            .collect();
        drawn.sort_by(f64::total_cmp);
        let at = |share: f64| drawn[(share * drawn.len() as f64) as usize];
        assert!((2.75..3.25).contains(&at(0.5)), "median {}", at(0.5));
        assert!((1.7..2.25).contains(&at(0.16)), "lower {}", at(0.16));
        assert!((4.0..5.3).contains(&at(0.84)), "upper {}", at(0.84));
    }

    #[test]
    fn the_world_holds_what_the_map_does_not_know() {
        let plants: Vec<Wiring> = (0..1000).map(|seed| Wiring::draw(&map(), seed)).collect();
        let loads = || plants.iter().flat_map(|wiring| &wiring.loads);
        let listed = loads().filter(|load| load.listed_on.is_some()).count() as f64;
        let share = |count: usize| count as f64 / listed;
        let unlisted = share(loads().filter(|load| load.listed_on.is_none()).count());
        assert!((0.08..0.12).contains(&unlisted), "{unlisted}");
        let at_post = loads().filter(|load| load.feeds.is_empty()).count();
        assert!(at_post > 0);
        let elsewhere = |load: &&TrueLoad| {
            load.listed_on.is_some_and(|on| load.feeds.iter().all(|(feed, _)| *feed != on))
        };
        // Swaps with itself or on the same fuse move nothing, so it is somewhat below the constant.
        let misnamed = share(loads().filter(elsewhere).count());
        assert!((0.012..0.035).contains(&misnamed), "{misnamed}");
        for load in loads() {
            let sum: f64 = load.feeds.iter().map(|(_, share)| share).sum();
            assert!(load.feeds.is_empty() || (sum - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn boxes_are_as_warm_as_a_workplace_can_be() {
        for seed in 0..500 {
            let wiring = Wiring::draw(&map(), seed);
            for place in &wiring.boxes {
                assert!((-14.0..46.0).contains(&place.base()), "seed {seed}: {place:?}");
            }
        }
    }
}
