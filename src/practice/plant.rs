//! The truth about one vehicle's parts, drawn from the map and a seed: what each load really draws and where it
//! really hangs, what each fuse really has, how warm each box is. The fault comes on top.
//! Leaves to others: the fault (`fault`), what is awake or pulled (`state`), currents along the feeds (`flow`).

use std::sync::LazyLock;

use super::constants as k;
use super::dice::Dice;
use crate::circuits::fuse::Basis;
use crate::circuits::fuse_table::FuseTable;
use crate::circuits::map::{FuseSpec, Map, Probe, VehicleClass};
use crate::quantity::{Ampere, Celsius, Minute, Ohm, Unit};

/// The built-in fuse tables, read once: scoring draws thousands of vehicles.
static TABLE: LazyLock<Option<FuseTable>> = LazyLock::new(|| FuseTable::builtin().ok());

/// The parts of one vehicle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Plant {
    /// Listed loads in the order of the map, then the unlisted ones.
    pub(super) loads: Vec<TrueLoad>,
    /// True current of each unfused item, negative if it feeds the vehicle.
    pub(super) unfused: Vec<Ampere>,
    /// One fuse for each feed of the map.
    pub(super) fuses: Vec<TrueFuse>,
    /// Temperature of each box of the map.
    pub(super) boxes: Vec<Celsius>,
    /// Temperature of the place: of feeds without a box.
    pub(super) ambient: Celsius,
    /// For each feed: how long neighbours wake when it is pulled, against their own sleep time; `None`: not at all.
    pub(super) pull_wakes: Vec<Option<f64>>,
}

/// One load as it really is.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct TrueLoad {
    /// Name on the lid, or `unlisted load`.
    pub(super) name: String,
    /// Index of the feed that the map lists it on; `None` if the map does not know it.
    pub(super) listed_on: Option<usize>,
    /// Feeds that it really hangs on, with the share each carries; empty at the battery post.
    pub(super) feeds: Vec<(usize, f64)>,
    /// Current asleep.
    pub(super) asleep: Ampere,
    /// Current awake.
    pub(super) awake: Ampere,
    /// Time to fall asleep after a disturbance; zero for what does not wake.
    pub(super) sleep: Minute,
    /// Index of its wake group.
    pub(super) group: Option<usize>,
    /// How long it is awake after its fuse is refitted, against its sleep time; `None`: not at all.
    pub(super) refit_wakes: Option<f64>,
    /// Row of the table of kinds.
    pub(super) kind: k::KindOfExcess,
}

/// One fuse as it really is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TrueFuse {
    /// Resistance at 25 °C between the test points.
    pub(super) at_25: Ohm,
    /// Temperature coefficient, per kelvin.
    pub(super) alpha: f64,
    /// True if somebody replaced it by one of an odd make.
    pub(super) odd: bool,
}

impl TrueFuse {
    /// Returns the resistance between the test points at a temperature: `R₂₅ · (1 + α (T − 25 °C))`.
    pub(super) fn at(&self, temperature: Celsius) -> Ohm {
        self.at_25 * (1.0 + self.alpha * (temperature.base() - 25.0))
    }
}

impl Plant {
    /// Draws the parts of a vehicle. Each subject has draws of its own, so that one does not shift another.
    pub(super) fn draw(map: &Map, seed: u64) -> Self {
        let mut loads = listed(map, &mut Dice::new(seed, "loads"));
        misname(&mut loads, &mut Dice::new(seed, "wrong names"));
        unlisted(map, &mut loads, &mut Dice::new(seed, "unlisted"));
        let mut dice = Dice::new(seed, "unfused");
        let unfused = map
            .unfused
            .iter()
            .map(|item| {
                let spread = item.asleep * dice.factor(k::ASLEEP_LN_SD);
                let flow = k::SOURCE_SD * dice.normal();
                if item.source { spread + flow } else { spread }
            })
            .collect();
        let (ambient, boxes) = temperatures(map, &mut Dice::new(seed, "temperature"));
        let mut dice = Dice::new(seed, "pulls");
        let pull_wakes =
            map.feeds.iter().map(|_| draw_wake(&mut dice, k::PULL_WAKES, k::PULL_WAKE_TIME)).collect();
        let fuses = fuses(map, seed);
        let mut plant = Self { loads, unfused, fuses, boxes, ambient, pull_wakes };
        plant.make_sound(limit(map));
        plant
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
    let find = |text: &str| {
        let text = text.to_lowercase();
        k::KINDS.iter().find(|row| row.words.iter().any(|word| text.contains(word)))
    };
    let [.., other] = &k::KINDS;
    *find(kind).or_else(|| find(name)).unwrap_or(other)
}

fn draw_wake(dice: &mut Dice, probability: f64, range: (f64, f64)) -> Option<f64> {
    // Both are drawn always, so that the sequence does not depend on the first.
    let (wakes, factor) = (dice.chance(probability), dice.between(range.0, range.1));
    wakes.then_some(factor)
}

/// Draws the listed loads about the map's figures.
fn listed(map: &Map, dice: &mut Dice) -> Vec<TrueLoad> {
    let vehicle = dice.factor(k::ASLEEP_VEHICLE_LN_SD);
    let stated = map.feeds.iter().flat_map(|feed| &feed.loads).map(|load| load.sleeps_after);
    let longest = stated.chain(map.sleep_after).fold(Minute::ZERO, Minute::max) * k::SLEEP_AT_MOST;
    let mut loads = Vec::new();
    for (index, feed) in map.feeds.iter().enumerate() {
        for load in &feed.loads {
            let asleep = load.asleep * (vehicle * dice.factor(k::ASLEEP_LN_SD));
            let awake = (load.awake * dice.factor(k::AWAKE_LN_SD)).max(asleep);
            let sleep = (load.sleeps_after * dice.factor(k::SLEEP_LN_SD)).min(longest);
            let refit_wakes = draw_wake(dice, k::REFIT_WAKES, k::REFIT_WAKE_TIME);
            loads.push(TrueLoad {
                name: load.name.clone(),
                listed_on: Some(index),
                feeds: split(map, index, &load.also_from, dice),
                asleep,
                awake,
                sleep,
                group: load.wake_group,
                refit_wakes,
                kind: kind_of(&load.kind, &load.name),
            });
        }
    }
    loads
}

/// Draws what each feed of a load carries; here and there a load hangs on two feeds though the map tells of one.
fn split(map: &Map, feed: usize, also: &[usize], dice: &mut Dice) -> Vec<(usize, f64)> {
    let (untold, share) =
        (dice.chance(k::TWICE_FED_UNTOLD), dice.between(k::TWICE_FED_LEAST, 1.0 - k::TWICE_FED_LEAST));
    let mut others: Vec<usize> = also.iter().copied().filter(|other| *other != feed).collect();
    if others.is_empty() && untold {
        let parent = map.feeds.get(feed).and_then(|feed| feed.parent);
        let siblings: Vec<usize> = (0..map.feeds.len())
            .filter(|other| *other != feed)
            .filter(|other| map.feeds.get(*other).is_some_and(|f| f.parent == parent && !f.loads.is_empty()))
            .collect();
        others.extend(dice.index(siblings.len()).and_then(|at| siblings.get(at)));
    }
    if others.is_empty() {
        return vec![(feed, 1.0)];
    }
    let each = (1.0 - share) / others.len() as f64;
    std::iter::once((feed, share)).chain(others.into_iter().map(|other| (other, each))).collect()
}

/// Swaps the places of a few loads: the lid has their names the wrong way round.
fn misname(loads: &mut [TrueLoad], dice: &mut Dice) {
    // A swap moves two loads.
    let wanted: Vec<bool> = loads.iter().map(|_| dice.chance(k::MISNAMED_SHARE / 2.0)).collect();
    for (first, _) in wanted.iter().enumerate().filter(|(_, wanted)| **wanted) {
        let Some(second) = dice.index(loads.len()) else { continue };
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
fn single(load: &TrueLoad) -> Option<usize> {
    match load.feeds.as_slice() {
        [(feed, _)] => Some(*feed),
        _ => None,
    }
}

/// Adds loads that the map leaves out.
fn unlisted(map: &Map, loads: &mut Vec<TrueLoad>, dice: &mut Dice) {
    let places: Vec<usize> = loads.iter().filter_map(single).collect();
    for feed in places {
        let (there, at_post) = (dice.chance(k::UNLISTED_SHARE), dice.chance(k::UNLISTED_AT_BATTERY));
        let asleep = k::UNLISTED_MEDIAN * dice.factor(k::UNLISTED_LN_SD);
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

fn temperatures(map: &Map, dice: &mut Dice) -> (Celsius, Vec<Celsius>) {
    let (coldest, warmest) = k::AMBIENT_RANGE;
    let ambient = (k::AMBIENT_MEAN + k::AMBIENT_SD * dice.normal()).max(coldest).min(warmest);
    let boxes = map
        .boxes
        .iter()
        .map(|_| ambient + k::BOX_WARMTH_MEAN + k::BOX_WARMTH_SD * dice.normal_within(2.5))
        .collect();
    (ambient, boxes)
}

/// Draws the fuses: the make of each family in this vehicle, fuse to fuse, odd makes, what the test points leave out.
fn fuses(map: &Map, seed: u64) -> Vec<TrueFuse> {
    let mut dice = Dice::new(seed, "fuses");
    let alpha = dice.between(k::ALPHA_RANGE.0, k::ALPHA_RANGE.1);
    map.feeds
        .iter()
        .map(|feed| {
            // Keyed by the family, so that all its fuses share the make.
            let mut make = Dice::keyed(seed, "make", feed.fuse.family as u64);
            let make = 1.0 + make.between(-k::MAKE_HALF_WIDTH, k::MAKE_HALF_WIDTH);
            let own = 1.0 + k::FUSE_SD * dice.normal_within(3.0);
            let odd_make = dice.between(k::ODD_MAKE_RANGE.0, k::ODD_MAKE_RANGE.1);
            let is_odd = dice.chance(k::ODD_MAKE_SHARE);
            let about_law = dice.factor(k::LAW_LN_SD);
            let measured = 1.0 + k::MEASURED_SD * dice.normal_within(3.0);
            let most =
                (k::POINTS_SHORTFALL_PER_AMPERE * feed.fuse.rating.base()).min(k::POINTS_SHORTFALL_MOST);
            let shortfall = dice.between(0.0, most);
            if let Some(own) = feed.fuse.own_resistance {
                return TrueFuse { at_25: own * measured, alpha, odd: false };
            }
            let drawn = if is_odd { odd_make } else { make * own };
            let points = if feed.probe == Probe::Points { 1.0 - shortfall } else { 1.0 };
            let nominal = tabled(&feed.fuse).unwrap_or_else(|| by_law(&feed.fuse) * about_law);
            TrueFuse { at_25: nominal * (drawn * points), alpha, odd: is_odd }
        })
        .collect()
}

/// Returns the fuse tables' resistance at 25 °C, where a sheet has a figure; the tables' own estimate is not taken.
fn tabled(fuse: &FuseSpec) -> Option<Ohm> {
    let found = TABLE.as_ref()?.resistance(fuse).ok()?;
    (found.basis == Basis::DataSheet).then_some(found.r25)
}

/// Returns a plausible resistance of a fuse without a figure.
fn by_law(fuse: &FuseSpec) -> Ohm {
    Ohm::from_milli(k::LAW_MOHM * fuse.rating.base().max(0.1).powf(k::LAW_EXPONENT))
}
