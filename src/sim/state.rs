//! What changes during a hunt: the time, what is awake until when, what is out or unplugged, what a pull has cured.
//! Leaves to others: what flows in this state (`flow`), how long the work takes (`meters`).

use std::collections::BTreeSet;

use super::clock::whole_seconds;
use super::constants as k;
use super::fault::SimCause;
use super::wiring::{Wiring, chain};
use crate::base::quantity::{Ampere, Minute, Unit};
use crate::circuit::id::{BoxId, FeedId, GroupId};
use crate::circuit::inside::Whole;
use crate::circuit::map::Map;

/// The state at one moment. It holds no draws, so that the entries of a log bring it back exactly.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct VehicleState {
    /// Time since the start, in whole seconds.
    pub(super) now: Minute,
    /// For each load, until when it is awake.
    pub(super) awake_until: Vec<Minute>,
    /// Feeds whose fuse is out.
    pub(super) out: BTreeSet<FeedId>,
    /// Loads unplugged.
    pub(super) unplugged: BTreeSet<usize>,
    /// Parts taken off: what of, and which by its place among its parts.
    pub(super) detached: BTreeSet<(Whole, usize)>,
    /// Causes that no longer act: cured by a pull, or an input freed.
    pub(super) ended: BTreeSet<usize>,
    /// A load that draws so much since before the vehicle was found, until something wakes it or takes its supply.
    pub(super) hanging: Option<(usize, Ampere)>,
    /// True once everything has been repaired.
    pub(super) repaired: bool,
    /// The box worked at last.
    pub(super) at_box: Option<BoxId>,
}

/// The parts that a change of state depends on.
#[derive(Clone, Copy)]
pub(super) struct SimWorld<'a> {
    /// The map.
    pub(super) map: &'a Map,
    /// The parts.
    pub(super) wiring: &'a Wiring,
    /// The causes.
    pub(super) causes: &'a [SimCause],
}

impl VehicleState {
    /// Makes the state of a vehicle that has stood long enough to sleep.
    pub(super) fn parked(wiring: &Wiring) -> Self {
        Self { awake_until: vec![Minute::ZERO; wiring.loads.len()], ..Self::default() }
    }

    /// Returns true if a cause acts.
    pub(super) fn acts(&self, cause: usize) -> bool {
        !self.repaired && !self.ended.contains(&cause)
    }

    /// Returns true if a part is off that cuts the whole off.
    pub(super) fn is_whole_off(&self, whole: Whole, map: &Map) -> bool {
        let mut parts = whole.parts(map).into_iter().enumerate();
        !self.detached.is_empty()
            && parts.any(|(at, part)| part.whole && self.detached.contains(&(whole, at)))
    }

    /// Lets time pass; a time below zero or without end does not.
    pub(super) fn pass(&mut self, time: Minute) {
        if time.base().is_finite() && time > Minute::ZERO {
            self.now = whole_seconds(self.now + time);
        }
    }

    /// Wakes every module that has a supply; one that hung goes to sleep with the others.
    pub(super) fn disturb(&mut self, world: SimWorld<'_>) {
        self.hanging = None;
        let all: Vec<usize> = (0..world.wiring.loads.len()).collect();
        self.wake(world, &all, |_| Some(1.0));
    }

    /// Takes a fuse out: what it alone supplied goes off, a hung module among it is cured, neighbours may wake.
    pub(super) fn take_out(&mut self, world: SimWorld<'_>, feed: FeedId) {
        let before = self.supplied(world);
        self.out.insert(feed);
        let after = self.supplied(world);
        let lost: Vec<usize> = before.difference(&after).copied().collect();
        self.power_lost(world, &lost);
        let Some(factor) = world.wiring.pull_wakes.get(feed).copied().flatten() else { return };
        let group = |load: usize| world.wiring.loads.get(load).and_then(|load| load.group);
        let groups: BTreeSet<GroupId> = lost.iter().filter_map(|load| group(*load)).collect();
        let neighbours: Vec<usize> =
            after.into_iter().filter(|load| group(*load).is_some_and(|g| groups.contains(&g))).collect();
        self.wake(world, &neighbours, |_| Some(factor));
    }

    /// Puts a fuse back: what regains its supply may be awake for a while.
    pub(super) fn put_back(&mut self, world: SimWorld<'_>, feed: FeedId) {
        let before = self.supplied(world);
        self.out.remove(&feed);
        self.power_back(world, &before);
    }

    /// Unplugs a load.
    pub(super) fn unplug(&mut self, world: SimWorld<'_>, load: usize) {
        self.unplugged.insert(load);
        self.power_lost(world, &[load]);
    }

    /// Plugs a load in again.
    pub(super) fn replug(&mut self, world: SimWorld<'_>, load: usize) {
        let before = self.supplied(world);
        self.unplugged.remove(&load);
        self.power_back(world, &before);
    }

    /// Works an input: its groups wake, and a group that it held is freed.
    pub(super) fn work(&mut self, world: SimWorld<'_>, input: &str) {
        for (index, cause) in world.causes.iter().enumerate() {
            if matches!(cause, SimCause::Held { input: held_by, .. } if held_by == input) {
                self.ended.insert(index);
            }
        }
        let woken = members(world, input);
        self.wake(world, &woken, |_| Some(1.0));
    }

    /// Returns when the last module falls asleep if nothing is touched from now on.
    pub(super) fn asleep_from(&self) -> Minute {
        self.awake_until.iter().copied().fold(self.now, Minute::max)
    }

    /// Returns the loads that have a supply.
    fn supplied(&self, world: SimWorld<'_>) -> BTreeSet<usize> {
        let has = |load: &super::wiring::TrueLoad| supply(world.map, self, &load.feeds).is_some();
        let loads = world.wiring.loads.iter().enumerate();
        loads.filter(|(at, load)| !self.unplugged.contains(at) && has(load)).map(|(at, _)| at).collect()
    }

    fn power_lost(&mut self, world: SimWorld<'_>, lost: &[usize]) {
        self.hanging = self.hanging.filter(|(load, _)| !lost.contains(load));
        for load in lost {
            if let Some(until) = self.awake_until.get_mut(*load) {
                *until = Minute::ZERO;
            }
        }
        for (index, cause) in world.causes.iter().enumerate() {
            if matches!(cause, SimCause::Load { load, hung: true, .. } if lost.contains(load)) {
                self.ended.insert(index);
            }
        }
    }

    fn power_back(&mut self, world: SimWorld<'_>, before: &BTreeSet<usize>) {
        let back: Vec<usize> = self.supplied(world).difference(before).copied().collect();
        self.wake(world, &back, |load| world.wiring.loads.get(load)?.refit_wakes);
    }

    /// Wakes loads for a share of their own sleep time, counted from now; one awake for longer stays so.
    fn wake(&mut self, world: SimWorld<'_>, loads: &[usize], share: impl Fn(usize) -> Option<f64>) {
        for load in loads.iter().copied().filter(|load| !self.unplugged.contains(load)) {
            let Some(found) = world.wiring.loads.get(load) else { continue };
            let live =
                found.feeds.is_empty() || found.feeds.iter().any(|(feed, _)| is_live(world.map, self, *feed));
            let (Some(share), true) = (share(load), live) else { continue };
            let until = self.now + found.sleep * share;
            if let Some(known) = self.awake_until.get_mut(load) {
                *known = known.max(until);
            }
        }
    }
}

/// Returns the loads of the groups that an input belongs to.
fn members(world: SimWorld<'_>, input: &str) -> Vec<usize> {
    let has = |group: Option<GroupId>| {
        let group = group.and_then(|group| world.map.wake_groups.get(group));
        group.is_some_and(|group| group.inputs.iter().any(|name| name == input))
    };
    let loads = world.wiring.loads.iter().enumerate();
    loads.filter(|(_, load)| has(load.group)).map(|(at, _)| at).collect()
}

/// Returns how long the groups of an input take to sleep again after it was worked, in whole minutes.
pub(super) fn wait_after_input(world: SimWorld<'_>, input: &str) -> Minute {
    let loads = members(world, input).into_iter().filter_map(|at| world.wiring.loads.get(at));
    let longest = loads.map(|load| load.sleep).fold(k::BUS_QUIET, Minute::max);
    Minute::new(longest.base().ceil())
}

/// Returns how long the loads behind a fuse take to sleep again after it went back, in whole minutes: the total is read
/// then.
pub(super) fn wait_after_refit(world: SimWorld<'_>, fuse: FeedId) -> Minute {
    let behind =
        |feeds: &[(FeedId, f64)]| feeds.iter().any(|(feed, _)| chain(world.map, *feed).any(|at| at == fuse));
    let loads = world.wiring.loads.iter().filter(|load| load.refit_wakes.is_some() && behind(&load.feeds));
    let longest = loads.map(|load| load.sleep).fold(k::MINUTES_REFIT, Minute::max);
    Minute::new(longest.base().ceil())
}

/// Returns true if every fuse from the battery to a feed is in.
pub(super) fn is_live(map: &Map, state: &VehicleState, feed: FeedId) -> bool {
    let passes = |at: FeedId| at == feed || !state.is_whole_off(Whole::Cable(at), map);
    chain(map, feed).all(|at| !state.out.contains(&at) && passes(at))
}

/// Returns the feeds that supply a load now, with the share each carries; `None` if nothing does.
/// An empty list means the battery post, which cannot be switched off.
pub(super) fn supply(map: &Map, state: &VehicleState, feeds: &[(FeedId, f64)]) -> Option<Vec<(FeedId, f64)>> {
    if feeds.is_empty() {
        return Some(Vec::new());
    }
    let live: Vec<(FeedId, f64)> =
        feeds.iter().copied().filter(|(feed, _)| is_live(map, state, *feed)).collect();
    let sum: f64 = live.iter().map(|(_, share)| share).sum();
    // What one feed no longer carries, the others do.
    (!live.is_empty()).then(|| live.into_iter().map(|(feed, share)| (feed, share / sum)).collect())
}

#[cfg(test)]
mod tests {
    use super::super::fault::FaultPlan;
    use super::super::sample::map;
    use super::super::vehicle::Vehicle;
    use crate::base::quantity::{Ampere, Minute};

    #[test]
    fn after_a_disturbance_the_total_falls_in_steps_and_settles() {
        for seed in 0..40 {
            let mut vehicle = Vehicle::planned(&map(), seed, FaultPlan::Nothing);
            let asleep = vehicle.true_total();
            vehicle.disturb();
            let mut levels = vec![vehicle.true_total()];
            for _ in 0..400 {
                vehicle.pass(Minute::new(0.1));
                let total = vehicle.true_total();
                assert!(levels.last().is_none_or(|last| total <= *last), "seed {seed}: it rose");
                if levels.last() != Some(&total) {
                    levels.push(total);
                }
            }
            // Four loads wake and fall asleep one by one.
            assert_eq!(levels.len(), 5, "seed {seed}");
            assert!(vehicle.now() >= vehicle.asleep_from());
            assert!((vehicle.true_total() - asleep).abs().milli() < 1e-9);
        }
    }

    #[test]
    fn the_last_module_sleeps_when_its_time_is_over_and_not_before() {
        for seed in 0..40 {
            let mut vehicle = Vehicle::planned(&map(), seed, FaultPlan::Nothing);
            let asleep = vehicle.true_total();
            vehicle.disturb();
            let over = vehicle.asleep_from();
            vehicle.pass(over - Minute::new(0.1));
            assert!(vehicle.true_total().milli() > asleep.milli() + 50.0, "seed {seed}: asleep too early");
            vehicle.pass(Minute::new(0.2));
            assert!((vehicle.true_total() - asleep).abs().milli() < 1e-9, "seed {seed}: still awake");
        }
    }

    #[test]
    fn a_short_wake_does_not_shorten_a_longer_one() {
        for seed in 0..100 {
            let mut vehicle = Vehicle::planned(&map(), seed, FaultPlan::Nothing);
            vehicle.disturb();
            let before = vehicle.state.awake_until.clone();
            vehicle.pull("F4").expect("a pull");
            let still = vehicle.state.awake_until.iter().zip(&before).filter(|(now, _)| **now > Minute::ZERO);
            for (now, before) in still {
                assert!(now >= before, "seed {seed}");
            }
        }
    }

    #[test]
    fn an_unplugged_load_draws_nothing_until_it_is_plugged_in_again() {
        for seed in 0..40 {
            let mut vehicle = Vehicle::planned(&map(), seed, FaultPlan::Nothing);
            let before = vehicle.true_total();
            let load = vehicle.load("F5", "body control").expect("a load");
            let its = vehicle.wiring.loads[load].asleep;
            vehicle.unplug("F5", "body control").expect("an unplugging");
            assert!((before - vehicle.true_total() - its).abs().milli() < 1e-9, "seed {seed}");
            vehicle.replug("F5", "body control").expect("plugged in again");
            vehicle.pass(Minute::new(60.0));
            assert!((before - vehicle.true_total()).abs().milli() < 1e-9, "seed {seed}");
        }
    }

    #[test]
    fn a_pull_cures_a_hung_module_for_good() {
        let hung =
            |vehicle: &Vehicle| vehicle.truth().causes.into_iter().find(|c| c.hung && c.also.is_empty());
        let mut seen = 0;
        for seed in 0..300 {
            let mut vehicle = Vehicle::new(&map(), seed);
            let Some(cause) = hung(&vehicle) else { continue };
            seen += 1;
            vehicle.pull(&cause.branch).expect("a pull");
            vehicle.refit(&cause.branch).expect("a refit");
            vehicle.pass(Minute::new(60.0));
            let over = vehicle.true_total() - vehicle.truth().sound_total;
            assert!(over.abs().milli() < 1e-6, "seed {seed}: {over:?}");
        }
        assert!(seen >= 5);
    }

    #[test]
    fn a_fault_that_is_not_hung_comes_back_with_its_fuse() {
        for seed in 0..100 {
            let mut vehicle = Vehicle::new(&map(), seed);
            let causes = vehicle.truth().causes;
            let Some(cause) = causes.first().filter(|c| !c.hung && c.branch.starts_with('F')) else {
                continue;
            };
            let before = vehicle.true_total();
            vehicle.pull(&cause.branch).expect("a pull");
            vehicle.refit(&cause.branch).expect("a refit");
            vehicle.pass(Minute::new(60.0));
            assert!((vehicle.true_total() - before).abs().milli() < 1e-6, "seed {seed}");
        }
    }

    #[test]
    fn working_the_guilty_input_frees_the_group_and_another_input_does_not() {
        let mut seen = 0;
        for seed in 0..200 {
            let vehicle = Vehicle::new(&map(), seed);
            let causes = vehicle.truth().causes;
            let Some(cause) = causes.first().filter(|cause| cause.held) else { continue };
            seen += 1;
            for input in ["driver door latch", "selector in Park"] {
                let mut worked = vehicle.clone();
                worked.input(input).expect("an input");
                let fall = vehicle.true_total() - worked.true_total();
                let wanted = if input == cause.load { cause.excess } else { Ampere::ZERO };
                assert!((fall - wanted).abs().milli() < 1e-6, "seed {seed}, {input}: {fall:?}");
            }
        }
        assert!(seen >= 10);
    }

    #[test]
    fn a_pull_may_wake_neighbours_and_a_refit_may_mislead_for_some_minutes() {
        let (mut rose, mut misled) = (0, 0);
        for seed in 0..200 {
            let mut vehicle = Vehicle::planned(&map(), seed, FaultPlan::Nothing);
            let before = vehicle.true_total();
            vehicle.pull("F4").expect("a pull");
            rose += u32::from(vehicle.true_total() > before);
            vehicle.pass(Minute::new(60.0));
            assert!(vehicle.true_total() <= before, "seed {seed}: the rise must pass");
            let mut patient = vehicle.clone();
            patient.refit("F4").expect("a refit");
            assert!((patient.true_total() - before).abs().milli() < 1e-9, "seed {seed}: the wait is over");
            let (fuse, _) = vehicle.feed("F4").expect("a fuse");
            let (world, state) = vehicle.parts();
            state.put_back(world, fuse);
            vehicle.pass(super::k::MINUTES_REFIT);
            misled += u32::from(vehicle.true_total().milli() > before.milli() + 100.0);
            vehicle.pass(Minute::new(60.0));
            assert!((vehicle.true_total() - before).abs().milli() < 1e-9);
        }
        // 15 % and 70 % of 200, with room for five standard deviations.
        assert!((5..=56).contains(&rose), "{rose} pulls woke neighbours");
        assert!((107..=173).contains(&misled), "{misled} refits misled");
    }
}
