//! The hidden fault: drawing it so that the vehicle really goes flat, and telling it when the hunt is over.
//! Leaves to others: what is connected and awake (`state`), what flows because of it (`flow`).

use super::constants as k;
use super::rng::SimRng;
use super::wiring::{Wiring, chain, limit};
use crate::base::quantity::Ampere;
use crate::circuit::id::{FeedId, GroupId, LoadId, UnfusedId};
use crate::circuit::inside::Whole;
use crate::circuit::learnt::LearntShares;
use crate::circuit::loads::{Catalogue, NETWORK};
use crate::circuit::map::{Feed, Load, Map};

/// How many faults a vehicle has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum FaultPlan {
    /// One fault, as in practice.
    #[default]
    One,
    /// Two faults in different places.
    Two,
    /// Nothing wrong.
    Nothing,
    /// Any of these, as in scoring.
    Mixed,
}

/// One cause of too much draw.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum SimCause {
    /// A listed load.
    Load {
        /// Index among the true loads.
        load: usize,
        /// What it draws too much.
        excess: Ampere,
        /// True if taking its supply away cures it.
        hung: bool,
        /// The part of it that draws, if parts of it can be taken off and it is one of them.
        within: Option<(Whole, usize)>,
    },
    /// Something unlisted that a feed carries itself.
    Feed {
        /// The feed.
        feed: FeedId,
        /// What it draws.
        excess: Ampere,
        /// True if it is a device in a socket.
        device: bool,
        /// Of a cable, the part that draws, as of an unfused item.
        within: usize,
    },
    /// An unfused item.
    Unfused {
        /// The item.
        item: UnfusedId,
        /// What it draws too much.
        excess: Ampere,
        /// The part of it that draws, by its place among those that can be taken off; one beyond them is its cable.
        within: usize,
    },
    /// Something unlisted at the battery post.
    Battery {
        /// What it draws.
        excess: Ampere,
    },
    /// A wake group held awake.
    Held {
        /// The group.
        group: GroupId,
        /// The input that holds it.
        input: String,
        /// Indices of the true loads held, and what each draws.
        loads: Vec<(usize, Ampere)>,
    },
}

/// The class of causes of what hangs at the battery without a fuse, in the load catalogue.
const ALTERNATOR: &str = "alternator";

/// Kinds of cause, for drawing.
#[derive(Clone, Copy, PartialEq, Eq)]
enum FaultClass {
    Load,
    Unlisted,
    Link,
    Unfused,
    Battery,
    Held,
}

/// Draws the causes of a vehicle. Draws that cannot be (a group too small, a fuse too weak) are made anew.
pub(super) fn draw(
    map: &Map,
    wiring: &Wiring,
    seed: u64,
    (plan, habits): (FaultPlan, &LearntShares),
) -> Vec<SimCause> {
    let mut rng = SimRng::new(seed, "fault");
    let mixed = rng.pick(&[k::MIX_ONE, k::MIX_TWO, k::MIX_NOTHING]);
    let wanted = match (plan, mixed) {
        (FaultPlan::Nothing, _) | (FaultPlan::Mixed, Some(2)) => 0,
        (FaultPlan::Two, _) | (FaultPlan::Mixed, Some(1)) => 2,
        _ => 1,
    };
    let (mut devices, mut within) = (SimRng::new(seed, "devices"), SimRng::new(seed, "within"));
    let mut causes: Vec<SimCause> = Vec::new();
    for _ in 0..200 {
        if causes.len() == wanted {
            break;
        }
        let drawn = draw_one(map, wiring, habits, &mut rng);
        let drawn = draw_device(map, wiring, &mut devices).or(drawn);
        causes.extend(drawn.filter(|cause| causes.iter().all(|other| apart(wiring, cause, other))));
    }
    if causes.is_empty() && wanted > 0 {
        // Nothing on this map could carry a fault: then it is at the post.
        let excess = enough(map, wiring, k::UNLISTED_EXCESS_MEDIAN, Ampere::new(f64::INFINITY), &mut rng);
        causes.extend(excess.map(|excess| SimCause::Battery { excess }));
    }
    causes.iter_mut().for_each(|cause| place_within(cause, map, wiring, &mut within));
    causes
}

/// Draws which part of a whole draws, by its place; one beyond them is what the shares leave over.
fn part_of(whole: Whole, map: &Map, rng: &mut SimRng) -> Option<usize> {
    let shares: Vec<f64> = whole.parts(map).iter().map(|part| part.share).collect();
    let rest = 1.0 - shares.iter().sum::<f64>();
    rng.pick(&[shares, vec![rest]].concat())
}

/// Draws the part of a load or a cable that draws.
fn place_within(cause: &mut SimCause, map: &Map, wiring: &Wiring, rng: &mut SimRng) {
    match cause {
        SimCause::Load { load, within, .. } => {
            let listed = wiring.loads.get(*load).and_then(|load| {
                let feed = load.listed_on?;
                let at = map.feeds.get(feed)?.loads.iter().position(|known| known.name == load.name)?;
                Some(Whole::Load(LoadId { feed, at }))
            });
            *within = listed.and_then(|whole| Some((whole, part_of(whole, map, rng)?)));
        }
        SimCause::Feed { feed, within, .. } => {
            *within = part_of(Whole::Cable(*feed), map, rng).unwrap_or_default();
        }
        SimCause::Unfused { .. } | SimCause::Battery { .. } | SimCause::Held { .. } => {}
    }
}

/// Returns true if two causes lie on different branches.
fn apart(wiring: &Wiring, one: &SimCause, other: &SimCause) -> bool {
    let places = |cause: &SimCause| -> Vec<FeedId> {
        let feeds = |load: &usize| wiring.loads.get(*load).map(|l| l.feeds.clone()).unwrap_or_default();
        match cause {
            SimCause::Load { load, .. } => feeds(load).into_iter().map(|(feed, _)| feed).collect(),
            SimCause::Feed { feed, .. } => vec![*feed],
            SimCause::Held { loads, .. } => {
                loads.iter().flat_map(|(load, _)| feeds(load)).map(|(feed, _)| feed).collect()
            }
            SimCause::Unfused { .. } | SimCause::Battery { .. } => Vec::new(),
        }
    };
    let taken = places(other);
    let same_kind = match (one, other) {
        (SimCause::Battery { .. }, SimCause::Battery { .. })
        | (SimCause::Held { .. }, SimCause::Held { .. }) => true,
        (SimCause::Unfused { item: a, .. }, SimCause::Unfused { item: b, .. }) => a == b,
        _ => false,
    };
    !same_kind && places(one).iter().all(|feed| !taken.contains(feed))
}

fn draw_one(map: &Map, wiring: &Wiring, habits: &LearntShares, rng: &mut SimRng) -> Option<SimCause> {
    let catalogue = Catalogue::builtin();
    let classes = [
        (FaultClass::Load, k::WEIGHT_LOAD),
        (FaultClass::Unlisted, k::WEIGHT_UNLISTED),
        (FaultClass::Link, k::WEIGHT_LINK_UNLISTED),
        (FaultClass::Unfused, k::WEIGHT_UNFUSED * habits.factor(catalogue, ALTERNATOR)),
        (FaultClass::Battery, k::WEIGHT_BATTERY_UNLISTED),
        (FaultClass::Held, k::WEIGHT_HELD * habits.factor(catalogue, NETWORK)),
    ];
    let weights: Vec<f64> = classes.iter().map(|(_, weight)| *weight).collect();
    let (class, _) = classes.get(rng.pick(&weights)?)?;
    match class {
        FaultClass::Load => draw_load(map, wiring, habits, rng),
        FaultClass::Unlisted | FaultClass::Link => draw_feed(map, wiring, *class == FaultClass::Link, rng),
        FaultClass::Unfused => {
            let item = rng.index(map.unfused.len())?.into();
            let size = k::UNFUSED_EXCESS_MEDIAN * rng.factor(k::UNFUSED_EXCESS_LN_SD);
            let parent = map.unfused.get(item).and_then(|item| item.parent);
            let most = parent.map_or(Ampere::new(f64::INFINITY), |feed| strongest(map, feed));
            let excess = enough(map, wiring, size, most, rng)?;
            let within = part_of(Whole::Item(item), map, rng)?;
            Some(SimCause::Unfused { item, excess, within })
        }
        FaultClass::Battery => {
            let size = k::UNLISTED_EXCESS_MEDIAN * rng.factor(k::UNLISTED_EXCESS_LN_SD);
            Some(SimCause::Battery { excess: enough(map, wiring, size, Ampere::new(f64::INFINITY), rng)? })
        }
        FaultClass::Held => draw_held(map, wiring, rng),
    }
}

fn draw_load(map: &Map, wiring: &Wiring, habits: &LearntShares, rng: &mut SimRng) -> Option<SimCause> {
    let catalogue = Catalogue::builtin();
    let weight = |load: &super::wiring::TrueLoad| {
        let listed = load.listed_on.and_then(|feed| map.feeds.get(feed));
        let known = listed.and_then(|feed| feed.loads.iter().find(|known| known.name == load.name));
        let kind = known.and_then(|known| catalogue.get(&known.kind));
        let habit = kind.map_or(1.0, |kind| habits.factor(catalogue, &kind.cause));
        listed.map_or(0.0, |_| load.kind.weight * habit)
    };
    let load = rng.pick(&wiring.loads.iter().map(weight).collect::<Vec<f64>>())?;
    let kind = wiring.loads.get(load)?.kind;
    let size = kind.median * rng.factor(kind.ln_sd);
    let feeds = wiring.loads.get(load)?.feeds.iter();
    let most = feeds.map(|(feed, share)| strongest(map, *feed) / *share).reduce(Ampere::min)?;
    let excess = enough(map, wiring, size, most, rng)?;
    Some(SimCause::Load { load, excess, hung: rng.chance(kind.hung), within: None })
}

fn draw_feed(map: &Map, wiring: &Wiring, link: bool, rng: &mut SimRng) -> Option<SimCause> {
    let fits = |(index, feed): (FeedId, &Feed)| {
        let is_link = feed.loads.is_empty() && map.feeds.iter().any(|other| other.parent == Some(index));
        f64::from(u8::from(is_link == link))
    };
    let feed = rng.pick(&map.feeds.iter_ids().map(fits).collect::<Vec<f64>>())?.into();
    let size = k::UNLISTED_EXCESS_MEDIAN * rng.factor(k::UNLISTED_EXCESS_LN_SD);
    let excess = enough(map, wiring, size, strongest(map, feed), rng)?;
    Some(SimCause::Feed { feed, excess, device: false, within: 0 })
}

/// Draws a device left in one of the vehicle's sockets, as often as that is the cause.
fn draw_device(map: &Map, wiring: &Wiring, rng: &mut SimRng) -> Option<SimCause> {
    let (happens, size) = (rng.chance(k::DEVICE_SHARE), k::DEVICE_MEDIAN * rng.factor(k::DEVICE_LN_SD));
    let is_socket = |load: &Load| load.kind == "socket";
    let socket = |feed: &Feed| f64::from(u8::from(feed.loads.iter().any(is_socket)));
    let feed = rng.pick(&map.feeds.iter().map(socket).collect::<Vec<f64>>()).filter(|_| happens)?.into();
    let excess = enough(map, wiring, size, strongest(map, feed), rng)?;
    Some(SimCause::Feed { feed, excess, device: true, within: 0 })
}

/// Draws a held group: all of its loads or a part of them stay awake.
fn draw_held(map: &Map, wiring: &Wiring, rng: &mut SimRng) -> Option<SimCause> {
    let with_inputs = |group: &crate::circuit::map::WakeGroup| f64::from(u8::from(!group.inputs.is_empty()));
    let group = rng.pick(&map.wake_groups.iter().map(with_inputs).collect::<Vec<f64>>())?.into();
    let inputs = &map.wake_groups.get(group)?.inputs;
    let input = inputs.get(rng.index(inputs.len())?)?.clone();
    let whole = rng.chance(k::HELD_WHOLE);
    let mut loads = Vec::new();
    for (index, load) in wiring.loads.iter().enumerate().filter(|(_, load)| load.group == Some(group)) {
        let (held, level) = (rng.chance(k::HELD_EACH), rng.between(k::HELD_LEVEL.0, k::HELD_LEVEL.1));
        if whole || held {
            loads.push((index, (load.awake * level).max(load.asleep)));
        }
    }
    let asleep = |index: &usize| wiring.loads.get(*index).map_or(Ampere::ZERO, |load| load.asleep);
    let excess: Ampere = loads.iter().map(|(index, level)| *level - asleep(index)).sum();
    let reaches = excess > Ampere::ZERO && excess >= least_excess(map, wiring);
    // One load held alone could not be told from a fault of its own.
    (reaches && loads.len() >= 2).then_some(SimCause::Held { group, input, loads })
}

/// Returns the least excess that brings the settled total visibly over the limit.
fn least_excess(map: &Map, wiring: &Wiring) -> Ampere {
    limit(map) * k::OVER_LIMIT_AT_LEAST - wiring.sound_total()
}

/// Raises a size until the vehicle goes flat by it; `None` if that is more than the fuses bear.
fn enough(map: &Map, wiring: &Wiring, size: Ampere, most: Ampere, rng: &mut SimRng) -> Option<Ampere> {
    let least = least_excess(map, wiring);
    let raised = least * rng.between(1.0, k::RAISED_AT_MOST);
    let wanted = if size < least { raised } else { size };
    (least <= most).then(|| wanted.min(most))
}

/// Returns what the weakest fuse from the battery to a feed bears of a fault.
fn strongest(map: &Map, feed: FeedId) -> Ampere {
    let ratings = chain(map, feed).filter_map(|at| map.feeds.get(at)).map(|feed| feed.fuse.rating);
    ratings.fold(Ampere::new(f64::INFINITY), Ampere::min) * k::EXCESS_AT_MOST_OF_RATING
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::super::vehicle::Vehicle;
    use super::*;
    use crate::base::quantity::Unit;

    #[test]
    fn every_fault_makes_the_settled_vehicle_go_flat() {
        let limit = map().limit.expect("a limit").current;
        for seed in 0..500 {
            let vehicle = Vehicle::new(&map(), seed);
            assert_eq!(vehicle.causes.len(), 1, "seed {seed}");
            let over = vehicle.true_total() / limit;
            assert!(over >= k::OVER_LIMIT_AT_LEAST - 1e-9, "seed {seed}: {over} times the limit");
        }
    }

    #[test]
    fn a_shop_s_habits_move_what_fails() {
        let shares = |network: f64| LearntShares { cases: 0, shares: vec![(NETWORK.to_owned(), network)] };
        let held = |habits: &LearntShares| {
            let drawn = (0..300).map(|seed| Vehicle::in_shop(&map(), seed, FaultPlan::One, habits));
            drawn.filter(|vehicle| matches!(vehicle.causes[..], [SimCause::Held { .. }])).count()
        };
        let (few, plain, many) = (held(&shares(1.0)), held(&LearntShares::default()), held(&shares(60.0)));
        assert!(few * 2 < plain && plain * 3 < many * 2, "{few} {plain} {many}");
    }

    #[test]
    fn a_high_limit_is_exceeded_too_and_never_by_a_group_that_is_too_small() {
        let mut thirsty = map();
        let current = Ampere::new(1.2);
        thirsty.limit.as_mut().expect("a limit").current = current;
        let vehicles: Vec<Vehicle> = (0..300).map(|seed| Vehicle::new(&thirsty, seed)).collect();
        assert!(vehicles.iter().all(|v| v.true_total() >= current * (k::OVER_LIMIT_AT_LEAST - 1e-9)));
    }

    #[test]
    fn two_faults_lie_on_different_branches() {
        for seed in 0..300 {
            let vehicle = Vehicle::planned(&map(), seed, FaultPlan::Two);
            let [one, other] = vehicle.causes.as_slice() else { panic!("seed {seed}: not two") };
            let names = vehicle.truth().names();
            assert_ne!(names[0], names[1], "seed {seed}");
            if let (SimCause::Held { loads, .. }, SimCause::Load { load, .. })
            | (SimCause::Load { load, .. }, SimCause::Held { loads, .. }) = (one, other)
            {
                assert!(loads.len() >= 2 && loads.iter().all(|(held, _)| held != load), "seed {seed}");
            }
        }
    }

    #[test]
    fn many_seeds_cover_every_kind_of_fault() {
        let names: Vec<String> =
            (0..600).flat_map(|seed| Vehicle::new(&map(), seed).truth().names()).collect();
        let branches = ["F1", "F2", "F4", "F5", "F6", "F7", "L1:unlisted", "L2:unlisted"];
        let others = ["alternator", "converter", "trailer cable", "battery:unlisted", "body-bus"];
        for wanted in branches.iter().chain(&others) {
            assert!(names.iter().any(|name| name == wanted), "no seed has {wanted}");
        }
        let told = |seed| Vehicle::new(&map(), seed).truth().causes;
        assert!((0..600).flat_map(told).any(|c| c.load == "unlisted load" && c.branch == "F4"));
        assert!((0..600).flat_map(told).any(|c| c.hung));
    }

    #[test]
    fn a_plan_decides_how_many_faults_there_are() {
        let count = |seed, plan| Vehicle::planned(&map(), seed, plan).causes.len();
        let mut seen = [0; 3];
        for seed in 0..200 {
            assert_eq!(count(seed, FaultPlan::Nothing), 0);
            assert_eq!(count(seed, FaultPlan::Two), 2);
            seen[count(seed, FaultPlan::Mixed)] += 1;
            let sound = Vehicle::planned(&map(), seed, FaultPlan::Nothing);
            assert!(
                sound.true_total().milli() <= 40.0 + 1e-9,
                "a sound vehicle stays below its limit of 50 mA"
            );
        }
        assert!(seen.iter().all(|count| *count > 10), "{seen:?}");
    }

    #[test]
    fn no_fault_blows_its_fuse() {
        for seed in 0..300 {
            let vehicle = Vehicle::new(&map(), seed);
            for feed in &map().feeds {
                let through = vehicle.true_current(&feed.id).expect("a feed");
                assert!(through < feed.fuse.rating, "seed {seed}, {}: {} A", feed.id, through.base());
            }
        }
    }

    #[test]
    fn a_map_without_anything_has_its_fault_at_the_post() {
        let mut empty = map();
        empty.feeds = [].into_iter().collect();
        empty.unfused = [].into_iter().collect();
        empty.wake_groups = [].into_iter().collect();
        assert_eq!(Vehicle::new(&empty, 1).truth().names(), ["battery:unlisted"]);
    }
}
