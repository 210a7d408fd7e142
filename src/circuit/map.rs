//! The checked circuit map: boxes, feeds, loads, unfused items and wake groups, with every reference resolved.
//! Leaves to others: the written form (`schema`), finding diagnostics (`check`), what a reading sums (`tree`).

use super::fuse::Family;
use super::id::{BoxId, FeedId, GroupId, IdVec, InputId, LoadId, UnfusedId};
use crate::base::quantity::{Ampere, Minute, Ohm, Unit, Volt};

/// A circuit map whose references have all been resolved and whose numbers have been checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Map {
    /// What the map is of, in words.
    pub title: String,
    /// Nominal supply voltage: 6, 12 or 24 V.
    pub system: Volt,
    /// What kind of vehicle it is: decides the default limit and which cautions apply.
    pub class: VehicleClass,
    /// Model year, if it was told: decides the default sleep time.
    pub year: Option<u16>,
    /// How many batteries start it or feed what drains, if it was told.
    pub told_batteries: Option<u16>,
    /// Places where fuses sit.
    pub boxes: IdVec<BoxId, FuseBox>,
    /// Groups of modules that wake and sleep together.
    pub wake_groups: IdVec<GroupId, WakeGroup>,
    /// Every protection element, parents before or after their children.
    pub feeds: IdVec<FeedId, Feed>,
    /// What is connected without a feed of its own.
    pub unfused: IdVec<UnfusedId, Unfused>,
    /// Longest time that the vehicle needs to fall asleep, in minutes after the last disturbance.
    pub sleep_after: Option<Minute>,
    /// The limit that the map states.
    pub limit: Option<Limit>,
}

/// Kind of vehicle, as far as limits, methods and cautions depend on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum VehicleClass {
    /// Passenger car or light van.
    #[default]
    Car,
    /// Hybrid or electric vehicle: high voltage on board.
    Electrified,
    /// Truck or bus, usually 24 V.
    Truck,
    /// Motorcycle.
    Motorcycle,
    /// Boat.
    Boat,
    /// Caravan or motorhome living part.
    Caravan,
}

/// A limit for the settled draw, with where it is from.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// The limit.
    pub current: Ampere,
    /// Where it is from, in words.
    pub source: String,
}

/// A place where fuses sit.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseBox {
    /// Short name used by the feeds.
    pub id: String,
    /// Where it is, in words.
    pub place: String,
    /// Time to get at it when the last reading was elsewhere.
    pub reach: Minute,
    /// Index of the feed below which fuses hang that are added to this box, if it was told.
    pub supply: Option<FeedId>,
}

/// Modules that wake and sleep together, and what wakes them.
#[derive(Debug, Clone, PartialEq)]
pub struct WakeGroup {
    /// Short name used by the loads.
    pub id: String,
    /// Inputs that keep the group awake, such as a door latch.
    pub inputs: Vec<String>,
    /// True if nobody listed it: then it holds all modules that belong to no other group.
    pub assumed: bool,
}

/// A protection element: link, fuse or breaker.
#[derive(Debug, Clone, PartialEq)]
pub struct Feed {
    /// Short name, such as `F12`.
    pub id: String,
    /// The feed above it; `None` at the battery.
    pub parent: Option<FeedId>,
    /// The box that it sits in.
    pub place: Option<BoxId>,
    /// The element itself.
    pub fuse: FuseSpec,
    /// True if the family was guessed.
    pub family_guessed: bool,
    /// How it can be read.
    pub access: Access,
    /// Why it must be handled with care.
    pub hazard: Option<Hazard>,
    /// Loads that it carries itself.
    pub loads: Vec<Load>,
}

/// Family and rating of a protection element.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseSpec {
    /// Family.
    pub family: Family,
    /// Rating printed on it.
    pub rating: Ampere,
    /// Cold resistance at 25 °C, if somebody measured this one.
    pub own_resistance: Option<Ohm>,
}

/// How a feed can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Access {
    /// Test points within reach: drop, pull, clamp.
    #[default]
    Points,
    /// No test points: pull, clamp.
    Pull,
    /// Clamp only.
    Clamp,
    /// Cannot be read.
    None,
}

/// Why a feed must be handled with care.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hazard {
    /// Airbags and belt tensioners.
    Restraint,
    /// High voltage.
    Hv,
    /// Brakes.
    Brake,
    /// Steering.
    Steering,
    /// Fuel.
    Fuel,
    /// Gas.
    Gas,
}

/// Something that draws current on a feed.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// Name as on the lid or in the diagram.
    pub name: String,
    /// Kind from the load catalogue; `other` if it is none of them.
    pub kind: String,
    /// True if the kind was guessed from the name.
    pub kind_guessed: bool,
    /// Expected current asleep.
    pub asleep: Ampere,
    /// Expected current awake or failed.
    pub awake: Ampere,
    /// Time that it needs to fall asleep after the last disturbance.
    pub sleeps_after: Minute,
    /// Its wake group.
    pub wake_group: Option<GroupId>,
    /// Further feeds that supply it too.
    pub also_from: Vec<FeedId>,
}

/// Something connected without a feed of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Unfused {
    /// Name.
    pub name: String,
    /// Kind from the load catalogue.
    pub kind: String,
    /// The feed it hangs below; `None` at the battery.
    pub parent: Option<FeedId>,
    /// True if it may carry current either way (converter, second battery, solar).
    pub source: bool,
    /// True if no map lists it: it is taken to be there because vehicles of the class have it.
    pub assumed: bool,
    /// Expected current asleep.
    pub asleep: Ampere,
    /// Expected current when failed.
    pub awake: Ampere,
}

impl Map {
    /// Returns the id of a feed; empty if there is no such feed.
    pub fn feed_name(&self, feed: FeedId) -> &str {
        self.feeds.get(feed).map_or("", |feed| feed.id.as_str())
    }

    /// Returns the name of an unfused item; empty if there is no such item.
    pub fn unfused_name(&self, item: UnfusedId) -> &str {
        self.unfused.get(item).map_or("", |item| item.name.as_str())
    }

    /// Returns the box that a feed sits in.
    pub fn box_of(&self, feed: &Feed) -> Option<&FuseBox> {
        self.boxes.get(feed.place?)
    }

    /// Returns how many batteries it has: as told, else as many as its volts need.
    pub fn batteries(&self) -> u16 {
        self.told_batteries.unwrap_or_else(|| in_series(self.system))
    }

    /// Returns how many batteries, or pairs in series, stand side by side: their capacities add up.
    pub fn side_by_side(&self) -> u16 {
        (self.batteries() / in_series(self.system)).max(1)
    }

    /// Returns a load.
    pub fn load(&self, load: LoadId) -> Option<&Load> {
        self.feeds.get(load.feed)?.loads.get(load.at)
    }

    /// Returns every load, feed by feed.
    pub fn loads(&self) -> impl Iterator<Item = (LoadId, &Load)> {
        self.feeds.iter_ids().flat_map(|(feed, found)| {
            found.loads.iter().enumerate().map(move |(at, load)| (LoadId { feed, at }, load))
        })
    }

    /// Returns an input of a wake group.
    pub fn input(&self, input: InputId) -> Option<&str> {
        self.wake_groups.get(input.group)?.inputs.get(input.at).map(String::as_str)
    }

    /// Returns every input, group by group.
    pub fn inputs(&self) -> impl Iterator<Item = (InputId, &str)> {
        self.wake_groups.iter_ids().flat_map(|(group, found)| {
            found.inputs.iter().enumerate().map(move |(at, input)| (InputId { group, at }, input.as_str()))
        })
    }
}

/// Returns how many batteries of 12 V in series make these volts; one for 6 V.
pub fn in_series(system: Volt) -> u16 {
    if system > Volt::new(12.0) { 2 } else { 1 }
}

impl VehicleClass {
    /// Every class with its name in maps.
    pub const NAMES: [(VehicleClass, &'static str); 6] = [
        (VehicleClass::Car, "car"),
        (VehicleClass::Electrified, "electrified"),
        (VehicleClass::Truck, "truck"),
        (VehicleClass::Motorcycle, "motorcycle"),
        (VehicleClass::Boat, "boat"),
        (VehicleClass::Caravan, "caravan"),
    ];

    /// Returns the class of this name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::NAMES.iter().find(|(_, own)| *own == name).map(|(class, _)| *class)
    }

    /// The systems that there are.
    pub const SYSTEMS: [Volt; 3] = [Volt::new(6.0), Volt::new(12.0), Volt::new(24.0)];

    /// Returns the volts that nearly every vehicle of the class has.
    pub fn usual_system(self) -> Volt {
        Volt::new(if self == Self::Truck { 24.0 } else { 12.0 })
    }

    /// Returns its name in maps.
    pub fn name(self) -> &'static str {
        Self::NAMES.iter().find(|(class, _)| *class == self).map_or("", |(_, name)| name)
    }
}

impl FuseSpec {
    /// Returns family and rating as people say them: `mini 7.5 A`.
    pub fn words(&self) -> String {
        format!("{} {} A", self.family.name(), self.rating.base())
    }
}

impl Access {
    /// Every way of reading with its name in maps.
    pub const NAMES: [(Access, &'static str); 4] = [
        (Access::Points, "points"),
        (Access::Pull, "pull"),
        (Access::Clamp, "clamp"),
        (Access::None, "none"),
    ];

    /// Returns the way of reading of this name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::NAMES.iter().find(|(_, own)| *own == name).map(|(probe, _)| *probe)
    }

    /// Returns its name in maps.
    pub fn name(self) -> &'static str {
        Self::NAMES.iter().find(|(probe, _)| *probe == self).map_or("", |(_, name)| name)
    }
}

impl Hazard {
    /// Every reason with its name in maps, the strictest first.
    pub const NAMES: [(Hazard, &'static str); 6] = [
        (Hazard::Restraint, "restraint"),
        (Hazard::Hv, "hv"),
        (Hazard::Brake, "brake"),
        (Hazard::Steering, "steering"),
        (Hazard::Fuel, "fuel"),
        (Hazard::Gas, "gas"),
    ];

    /// Returns the reason of this name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::NAMES.iter().find(|(_, own)| *own == name).map(|(guard, _)| *guard)
    }

    /// Returns its name in maps.
    pub fn name(self) -> &'static str {
        Self::NAMES.iter().find(|(guard, _)| *guard == self).map_or("", |(_, name)| name)
    }

    /// Returns its rank: 0 is the strictest.
    pub fn strictness(self) -> usize {
        Self::NAMES.iter().position(|(guard, _)| *guard == self).unwrap_or(0)
    }
}
