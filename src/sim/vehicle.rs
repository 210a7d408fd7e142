//! The practice vehicle: its parts, its hidden fault and its state, held together.
//! Leaves to others: drawing parts (`wiring`) and fault (`fault`), reading it with a meter (`meters`, `readings`).

use super::constants as k;
use super::fault::{self, FaultPlan, SimCause};
use super::flow::{Flow, flow};
use super::hands::Hands;
use super::meters::Kit;
use super::series::SimSeries;
use super::state::{SimWorld, VehicleState};
use super::truth::Truth;
use super::wiring::Wiring;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Celsius, Minute, Ohm, Unit, Volt};
use crate::circuit::id::{BoxId, FeedId};
use crate::circuit::learnt::LearntShares;
use crate::circuit::map::{Feed, Map};
use crate::instrument::profile::{Profile, Way};

/// A simulated vehicle with a hidden fault. It starts parked and asleep.
#[derive(Debug, Clone, PartialEq)]
pub struct Vehicle {
    pub(super) seed: u64,
    pub(super) map: Map,
    pub(super) wiring: Wiring,
    pub(super) causes: Vec<SimCause>,
    pub(super) state: VehicleState,
    pub(super) kit: Kit,
    pub(super) hands: Hands,
    /// What wakes at times, where a night in the log shows it.
    pub(super) series: Option<SimSeries>,
    /// What it drew when it was found: the battery has been falling by it.
    pub(super) found_drawing: Ampere,
    /// True if what hung since it was parked is part of it.
    pub(super) is_as_found: bool,
}

impl Vehicle {
    /// Draws a vehicle with one fault. The same map and seed give the same vehicle, readings included.
    pub fn new(map: &Map, seed: u64) -> Self {
        Self::planned(map, seed, FaultPlan::One)
    }

    /// Draws a vehicle with so many faults; the parts of a seed are the same under every plan.
    pub fn planned(map: &Map, seed: u64, plan: FaultPlan) -> Self {
        Self::in_shop(map, seed, plan, &LearntShares::default())
    }

    /// Draws a vehicle of a shop where causes have these shares: its parts are those of the seed, its faults the shop's.
    pub fn in_shop(map: &Map, seed: u64, plan: FaultPlan, habits: &LearntShares) -> Self {
        let wiring = Wiring::draw(map, seed);
        let causes = fault::draw(map, &wiring, seed, (plan, habits));
        let state = VehicleState::parked(&wiring);
        let found_drawing = flow(map, &wiring, &causes, &state).total;
        Self {
            seed,
            map: map.clone(),
            wiring,
            causes,
            state,
            kit: Kit::draw(seed),
            hands: Hands::default(),
            series: None,
            found_drawing,
            is_as_found: false,
        }
    }

    /// Sets the meters in use; without it they are a 0.1 mV meter and a 1 mA clamp.
    #[must_use]
    pub fn with_meters(mut self, meter: &Profile, clamp: &Profile) -> Self {
        self.kit.meter = meter.clone();
        self.kit.clamp = clamp.clone();
        self.kit.ammeter = clamp.clone();
        self
    }

    /// Takes another meter for its way of reading.
    pub fn take_meter(&mut self, profile: &Profile) {
        match profile.way {
            Way::Volts => self.kit.meter = profile.clone(),
            Way::Series => self.kit.ammeter = profile.clone(),
            Way::Clamp => {
                self.kit.clamp = profile.clone();
                if self.kit.ammeter.way == Way::Clamp {
                    self.kit.ammeter = profile.clone();
                }
            }
        }
    }

    /// Returns the simulated minutes since the start, in whole seconds.
    pub fn now(&self) -> Minute {
        self.state.now
    }

    /// Lets time pass.
    pub fn pass(&mut self, time: Minute) {
        self.state.pass(time);
    }

    /// Disturbs the vehicle (a door, the key, the engine run): everything wakes. Takes no time.
    pub fn disturb(&mut self) {
        let (world, state) = self.parts();
        state.disturb(world);
    }

    /// Repairs what is wrong. Takes no time and wakes nothing: whoever repairs lets time pass and disturbs.
    pub fn repair(&mut self) {
        self.state.repaired = true;
    }

    /// Returns true if something is wrong with it that can be put right.
    pub fn has_fault(&self) -> bool {
        !self.causes.is_empty()
    }

    /// Returns when everything will be asleep if nothing is touched from now on, in minutes since the start.
    pub fn asleep_from(&self) -> Minute {
        self.state.asleep_from()
    }

    /// Returns the hidden truth.
    pub fn truth(&self) -> Truth {
        Truth::new(&self.map, &self.wiring, &self.causes, self.gone_once_touched())
    }

    /// Returns the true current from the battery at this moment.
    pub fn true_total(&self) -> Ampere {
        self.flow().total
    }

    /// Returns the true current through a feed or of an unfused item at this moment; `None` if the map has neither.
    pub fn true_current(&self, at: &str) -> Option<Ampere> {
        let flow = self.flow();
        if let Some(feed) = self.map.feeds.find_id(|feed| feed.id == at) {
            return flow.through.get(feed).copied();
        }
        let item = self.map.unfused.find_id(|item| item.name == at)?;
        flow.unfused.get(item).copied()
    }

    /// Returns the true resistance of a fuse between its test points at its box's temperature.
    #[cfg(test)]
    pub fn true_resistance(&self, feed: &str) -> Option<Ohm> {
        let index = self.map.feeds.find_id(|known| known.id == feed)?;
        self.resistance(index)
    }

    pub(super) fn resistance(&self, feed: FeedId) -> Option<Ohm> {
        let place = self.map.feeds.get(feed)?.place;
        Some(self.wiring.fuses.get(feed)?.at(self.temperature_of(place)))
    }

    pub(super) fn temperature_of(&self, place: Option<BoxId>) -> Celsius {
        place.and_then(|place| self.wiring.boxes.get(place)).copied().unwrap_or(self.wiring.ambient)
    }

    pub(super) fn flow(&self) -> Flow {
        flow(&self.map, &self.wiring, &self.causes, &self.state)
    }

    /// Returns the true rested volts of the battery.
    pub(super) fn rested_volts(&self) -> Volt {
        // By the draw as found, not by what has flowed since: then it depends on the time only.
        let hours = self.state.now.base() / 60.0;
        let fallen = k::VOLTS_PER_AMPERE_HOUR * (self.found_drawing.base() * hours);
        (self.kit.rested - fallen).max(k::RESTED_VOLTS.0 - Volt::new(1.0)) * self.cells()
    }

    /// Returns how many 12 V batteries the system's voltage makes.
    pub(super) fn cells(&self) -> f64 {
        self.map.system.base() / 12.0
    }

    /// Splits into what a change of state depends on and the state.
    pub(super) fn parts(&mut self) -> (SimWorld<'_>, &mut VehicleState) {
        (SimWorld { map: &self.map, wiring: &self.wiring, causes: &self.causes }, &mut self.state)
    }

    /// Finds a feed.
    pub(super) fn feed(&self, id: &str) -> Result<(FeedId, &Feed), Diagnostic> {
        let found = self.map.feeds.iter_ids().find(|(_, feed)| feed.id == id);
        found.ok_or_else(|| {
            Diagnostic::new(format!("the practice vehicle has no fuse {id}")).expected("a feed of its map")
        })
    }

    /// Finds a load as the map lists it on a feed.
    pub(super) fn load(&self, feed: &str, name: &str) -> Result<usize, Diagnostic> {
        let (index, _) = self.feed(feed)?;
        let fits = |load: &super::wiring::TrueLoad| load.listed_on == Some(index) && load.name == name;
        self.wiring.loads.iter().position(fits).ok_or_else(|| {
            Diagnostic::new(format!("{feed} has no load {name} on the practice vehicle"))
                .expected("a load that the map lists on that feed")
        })
    }
}
