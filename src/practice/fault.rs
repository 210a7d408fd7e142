//! The hidden fault: drawing it so that the vehicle really goes flat, and telling it when the hunt is over.
//! Leaves to others: what is connected and awake (`state`), what flows because of it (`flow`).

use super::constants as k;
use super::dice::Dice;
use super::flow::chain;
use super::plant::{Plant, limit};
use crate::circuits::map::Map;
use crate::quantity::Ampere;

/// How many faults a vehicle has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Plan {
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
pub(super) enum Cause {
    /// A listed load.
    Load {
        /// Index among the true loads.
        load: usize,
        /// What it draws too much.
        excess: Ampere,
        /// True if taking its supply away cures it.
        hung: bool,
    },
    /// Something unlisted that a feed carries itself.
    Feed {
        /// Index of the feed.
        feed: usize,
        /// What it draws.
        excess: Ampere,
    },
    /// An unfused item.
    Unfused {
        /// Its index.
        item: usize,
        /// What it draws too much.
        excess: Ampere,
    },
    /// Something unlisted at the battery post.
    Battery {
        /// What it draws.
        excess: Ampere,
    },
    /// A wake group held awake.
    Held {
        /// Index of the group.
        group: usize,
        /// The input that holds it.
        input: String,
        /// Indices of the true loads held, and what each draws.
        loads: Vec<(usize, Ampere)>,
    },
}

/// Kinds of cause, for drawing.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Class {
    Load,
    Unlisted,
    Link,
    Unfused,
    Battery,
    Held,
}

/// Draws the causes of a vehicle. Draws that cannot be (a group too small, a fuse too weak) are made anew.
pub(super) fn draw(map: &Map, plant: &Plant, seed: u64, plan: Plan) -> Vec<Cause> {
    let mut dice = Dice::new(seed, "fault");
    let mixed = dice.pick(&[k::MIX_ONE, k::MIX_TWO, k::MIX_NOTHING]);
    let wanted = match (plan, mixed) {
        (Plan::Nothing, _) | (Plan::Mixed, Some(2)) => 0,
        (Plan::Two, _) | (Plan::Mixed, Some(1)) => 2,
        _ => 1,
    };
    let mut causes: Vec<Cause> = Vec::new();
    for _ in 0..200 {
        if causes.len() == wanted {
            break;
        }
        let drawn = draw_one(map, plant, &mut dice);
        causes.extend(drawn.filter(|cause| causes.iter().all(|other| apart(plant, cause, other))));
    }
    if causes.is_empty() && wanted > 0 {
        // Nothing on this map could carry a fault: then it is at the post.
        let excess = enough(map, plant, k::UNLISTED_EXCESS_MEDIAN, Ampere::new(f64::INFINITY), &mut dice);
        causes.extend(excess.map(|excess| Cause::Battery { excess }));
    }
    causes
}

/// Returns true if two causes lie on different branches.
fn apart(plant: &Plant, one: &Cause, other: &Cause) -> bool {
    let places = |cause: &Cause| -> Vec<usize> {
        let feeds = |load: &usize| plant.loads.get(*load).map(|l| l.feeds.clone()).unwrap_or_default();
        match cause {
            Cause::Load { load, .. } => feeds(load).into_iter().map(|(feed, _)| feed).collect(),
            Cause::Feed { feed, .. } => vec![*feed],
            Cause::Held { loads, .. } => {
                loads.iter().flat_map(|(load, _)| feeds(load)).map(|(feed, _)| feed).collect()
            }
            Cause::Unfused { .. } | Cause::Battery { .. } => Vec::new(),
        }
    };
    let taken = places(other);
    let same_kind = match (one, other) {
        (Cause::Battery { .. }, Cause::Battery { .. }) | (Cause::Held { .. }, Cause::Held { .. }) => true,
        (Cause::Unfused { item: a, .. }, Cause::Unfused { item: b, .. }) => a == b,
        _ => false,
    };
    !same_kind && places(one).iter().all(|feed| !taken.contains(feed))
}

fn draw_one(map: &Map, plant: &Plant, dice: &mut Dice) -> Option<Cause> {
    let classes = [
        (Class::Load, k::WEIGHT_LOAD),
        (Class::Unlisted, k::WEIGHT_UNLISTED),
        (Class::Link, k::WEIGHT_LINK_UNLISTED),
        (Class::Unfused, k::WEIGHT_UNFUSED),
        (Class::Battery, k::WEIGHT_BATTERY_UNLISTED),
        (Class::Held, k::WEIGHT_HELD),
    ];
    let weights: Vec<f64> = classes.iter().map(|(_, weight)| *weight).collect();
    let (class, _) = classes.get(dice.pick(&weights)?)?;
    match class {
        Class::Load => draw_load(map, plant, dice),
        Class::Unlisted | Class::Link => draw_feed(map, plant, *class == Class::Link, dice),
        Class::Unfused => {
            let item = dice.index(map.unfused.len())?;
            let size = k::UNFUSED_EXCESS_MEDIAN * dice.factor(k::UNFUSED_EXCESS_LN_SD);
            let parent = map.unfused.get(item).and_then(|item| item.parent);
            let most = parent.map_or(Ampere::new(f64::INFINITY), |feed| strongest(map, feed));
            Some(Cause::Unfused { item, excess: enough(map, plant, size, most, dice)? })
        }
        Class::Battery => {
            let size = k::UNLISTED_EXCESS_MEDIAN * dice.factor(k::UNLISTED_EXCESS_LN_SD);
            Some(Cause::Battery { excess: enough(map, plant, size, Ampere::new(f64::INFINITY), dice)? })
        }
        Class::Held => draw_held(map, plant, dice),
    }
}

fn draw_load(map: &Map, plant: &Plant, dice: &mut Dice) -> Option<Cause> {
    let weight = |load: &super::plant::TrueLoad| load.listed_on.map_or(0.0, |_| load.kind.weight);
    let load = dice.pick(&plant.loads.iter().map(weight).collect::<Vec<f64>>())?;
    let kind = plant.loads.get(load)?.kind;
    let size = kind.median * dice.factor(kind.ln_sd);
    let feeds = plant.loads.get(load)?.feeds.iter();
    let most = feeds.map(|(feed, share)| strongest(map, *feed) / *share).reduce(Ampere::min)?;
    let excess = enough(map, plant, size, most, dice)?;
    Some(Cause::Load { load, excess, hung: dice.chance(kind.hung) })
}

fn draw_feed(map: &Map, plant: &Plant, link: bool, dice: &mut Dice) -> Option<Cause> {
    let fits = |(index, feed): (usize, &crate::circuits::map::Feed)| {
        let is_link = feed.loads.is_empty() && map.feeds.iter().any(|other| other.parent == Some(index));
        f64::from(u8::from(is_link == link))
    };
    let feed = dice.pick(&map.feeds.iter().enumerate().map(fits).collect::<Vec<f64>>())?;
    let size = k::UNLISTED_EXCESS_MEDIAN * dice.factor(k::UNLISTED_EXCESS_LN_SD);
    let excess = enough(map, plant, size, strongest(map, feed), dice)?;
    Some(Cause::Feed { feed, excess })
}

/// Draws a held group: all of its loads or a part of them stay awake.
fn draw_held(map: &Map, plant: &Plant, dice: &mut Dice) -> Option<Cause> {
    let with_inputs = |group: &crate::circuits::map::WakeGroup| f64::from(u8::from(!group.inputs.is_empty()));
    let group = dice.pick(&map.wake_groups.iter().map(with_inputs).collect::<Vec<f64>>())?;
    let inputs = &map.wake_groups.get(group)?.inputs;
    let input = inputs.get(dice.index(inputs.len())?)?.clone();
    let whole = dice.chance(k::HELD_WHOLE);
    let mut loads = Vec::new();
    for (index, load) in plant.loads.iter().enumerate().filter(|(_, load)| load.group == Some(group)) {
        let (held, level) = (dice.chance(k::HELD_EACH), dice.between(k::HELD_LEVEL.0, k::HELD_LEVEL.1));
        if whole || held {
            loads.push((index, (load.awake * level).max(load.asleep)));
        }
    }
    let asleep = |index: &usize| plant.loads.get(*index).map_or(Ampere::ZERO, |load| load.asleep);
    let excess: Ampere = loads.iter().map(|(index, level)| *level - asleep(index)).sum();
    let reaches = excess > Ampere::ZERO && excess >= least_excess(map, plant);
    // One load held alone could not be told from a fault of its own.
    (reaches && loads.len() >= 2).then_some(Cause::Held { group, input, loads })
}

/// Returns the least excess that brings the settled total visibly over the limit.
fn least_excess(map: &Map, plant: &Plant) -> Ampere {
    limit(map) * k::OVER_LIMIT_AT_LEAST - plant.sound_total()
}

/// Raises a size until the vehicle goes flat by it; `None` if that is more than the fuses bear.
fn enough(map: &Map, plant: &Plant, size: Ampere, most: Ampere, dice: &mut Dice) -> Option<Ampere> {
    let least = least_excess(map, plant);
    let raised = least * dice.between(1.0, k::RAISED_AT_MOST);
    let wanted = if size < least { raised } else { size };
    (least <= most).then(|| wanted.min(most))
}

/// Returns what the weakest fuse from the battery to a feed bears of a fault.
fn strongest(map: &Map, feed: usize) -> Ampere {
    let ratings = chain(map, feed).filter_map(|at| map.feeds.get(at)).map(|feed| feed.fuse.rating);
    ratings.fold(Ampere::new(f64::INFINITY), Ampere::min) * k::EXCESS_AT_MOST_OF_RATING
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::super::vehicle::Vehicle;
    use super::*;
    use crate::quantity::Unit;

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
            let vehicle = Vehicle::planned(&map(), seed, Plan::Two);
            let [one, other] = vehicle.causes.as_slice() else { panic!("seed {seed}: not two") };
            let names = vehicle.truth().names();
            assert_ne!(names[0], names[1], "seed {seed}");
            if let (Cause::Held { loads, .. }, Cause::Load { load, .. })
            | (Cause::Load { load, .. }, Cause::Held { loads, .. }) = (one, other)
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
            assert_eq!(count(seed, Plan::Nothing), 0);
            assert_eq!(count(seed, Plan::Two), 2);
            seen[count(seed, Plan::Mixed)] += 1;
            let sound = Vehicle::planned(&map(), seed, Plan::Nothing);
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
        empty.feeds.clear();
        empty.unfused.clear();
        empty.wake_groups.clear();
        assert_eq!(Vehicle::new(&empty, 1).truth().names(), ["battery:unlisted"]);
    }
}
