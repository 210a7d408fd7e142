//! What flows where at one moment: every load's, item's and fault's current, summed up the feeds to the battery.
//! Leaves to others: what is awake, out or unplugged (`state`), and how a meter shows it (`meters`).

use super::fault::SimCause;
use super::state::{VehicleState, is_live, supply};
use super::wiring::{Wiring, chain};
use crate::base::quantity::Ampere;
use crate::circuit::id::{FeedId, IdVec, UnfusedId};
use crate::circuit::inside::Whole;
use crate::circuit::map::Map;

/// Currents at one moment.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Flow {
    /// Current through each feed of the map, all below it included.
    pub(super) through: IdVec<FeedId, Ampere>,
    /// Current of each unfused item.
    pub(super) unfused: IdVec<UnfusedId, Ampere>,
    /// Current of what hangs unlisted at the battery post.
    pub(super) at_post: Ampere,
    /// Current from the battery.
    pub(super) total: Ampere,
}

/// Returns the currents at the state's moment.
pub(super) fn flow(map: &Map, wiring: &Wiring, causes: &[SimCause], state: &VehicleState) -> Flow {
    let mut flow = Flow {
        through: map.feeds.map_ids(|_| Ampere::ZERO),
        unfused: map.unfused.map_ids(|_| Ampere::ZERO),
        at_post: Ampere::ZERO,
        total: Ampere::ZERO,
    };
    let currents = load_currents(wiring, causes, state);
    for (index, (load, current)) in wiring.loads.iter().zip(currents).enumerate() {
        if state.unplugged.contains(&index) {
            continue;
        }
        match supply(map, state, &load.feeds) {
            None => {}
            Some(feeds) if feeds.is_empty() => flow.at_post(current),
            Some(feeds) => feeds.iter().for_each(|(feed, share)| flow.up(map, *feed, current * *share)),
        }
    }
    let active = causes.iter().enumerate().filter(|(index, _)| state.acts(*index));
    for (_, cause) in active.clone() {
        match cause {
            SimCause::Feed { feed, excess, within, .. }
                if is_live(map, state, *feed)
                    && !state.detached.contains(&(Whole::Cable(*feed), *within)) =>
            {
                flow.up(map, *feed, *excess);
            }
            SimCause::Battery { excess } => flow.at_post(*excess),
            _ => {}
        }
    }
    for (index, item) in map.unfused.iter_ids() {
        let too_much = active.clone().map(|(_, cause)| match cause {
            SimCause::Unfused { item, excess, within }
                if *item == index && !state.detached.contains(&(Whole::Item(index), *within)) =>
            {
                *excess
            }
            _ => Ampere::ZERO,
        });
        if state.is_whole_off(Whole::Item(index), map) {
            continue;
        }
        let sound = wiring.unfused.get(index).copied().unwrap_or_default();
        let current = sound + too_much.sum();
        let live = item.parent.is_none_or(|feed| is_live(map, state, feed));
        if live {
            match item.parent {
                Some(feed) => flow.up(map, feed, current),
                None => flow.total = flow.total + current,
            }
            if let Some(place) = flow.unfused.get_mut(index) {
                *place = current;
            }
        }
    }
    flow
}

impl Flow {
    /// Adds a current to a feed and all above it.
    fn up(&mut self, map: &Map, feed: FeedId, current: Ampere) {
        for at in chain(map, feed) {
            if let Some(through) = self.through.get_mut(at) {
                *through = *through + current;
            }
        }
        self.total = self.total + current;
    }

    fn at_post(&mut self, current: Ampere) {
        self.at_post = self.at_post + current;
        self.total = self.total + current;
    }
}

/// Returns what each load would draw if supplied: awake or asleep, and what its fault makes of it.
pub(super) fn load_currents(wiring: &Wiring, causes: &[SimCause], state: &VehicleState) -> Vec<Ampere> {
    let awake = |index: usize| state.awake_until.get(index).is_some_and(|until| *until > state.now);
    let mut currents: Vec<Ampere> = wiring
        .loads
        .iter()
        .enumerate()
        .map(|(index, load)| if awake(index) { load.awake } else { load.asleep })
        .collect();
    let mut at_least = |index: usize, level: Ampere| {
        if let Some(current) = currents.get_mut(index) {
            *current = current.max(level);
        }
    };
    if let Some((load, level)) = state.hanging {
        at_least(load, level);
    }
    for (_, cause) in causes.iter().enumerate().filter(|(index, _)| state.acts(*index)) {
        match cause {
            SimCause::Load { within: Some(part), .. } if state.detached.contains(part) => {}
            SimCause::Load { load, excess, .. } => {
                let asleep = wiring.loads.get(*load).map_or(Ampere::ZERO, |load| load.asleep);
                at_least(*load, asleep + *excess);
            }
            SimCause::Held { loads, .. } => loads.iter().for_each(|(load, level)| at_least(*load, *level)),
            SimCause::Feed { .. } | SimCause::Unfused { .. } | SimCause::Battery { .. } => {}
        }
    }
    currents
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::super::vehicle::Vehicle;
    use crate::base::quantity::{Ampere, Minute};

    /// The balance that an account could be held against: what leaves the battery leaves by a cable.
    fn balances(vehicle: &Vehicle) {
        let flow = vehicle.flow();
        let by = |at: &str| vehicle.true_current(at).expect("on the map");
        let out = [by("L1"), by("L2"), by("alternator"), by("converter"), flow.at_post];
        let total = vehicle.true_total();
        let missing = total - out.into_iter().sum::<Ampere>();
        assert!(missing.abs().milli() < 1e-9, "{}: {missing:?}", total.milli());
    }

    #[test]
    fn the_total_is_what_the_cables_at_the_battery_carry_at_all_times() {
        for seed in 0..60 {
            let mut vehicle = Vehicle::new(&map(), seed);
            balances(&vehicle);
            vehicle.disturb();
            balances(&vehicle);
            vehicle.pull("F4").expect("a pull");
            balances(&vehicle);
            vehicle.pull("F6").expect("a pull");
            balances(&vehicle);
            vehicle.pass(Minute::new(5.0));
            vehicle.unplug("F5", "body control").expect("an unplugging");
            balances(&vehicle);
            vehicle.refit("F4").expect("a refit");
            balances(&vehicle);
            vehicle.input("selector in Park").expect("an input");
            balances(&vehicle);
            vehicle.repair();
            balances(&vehicle);
        }
    }

    #[test]
    fn a_pulled_fuse_carries_nothing_and_nor_does_what_is_below_it() {
        for seed in 0..40 {
            let mut vehicle = Vehicle::new(&map(), seed);
            let mut pullable = map();
            pullable.feeds[1].access = crate::circuit::map::Access::Pull;
            vehicle.map = pullable;
            vehicle.pull("L2").expect("a pull");
            for id in ["L2", "F4", "F5", "F6", "F7", "trailer cable"] {
                assert_eq!(vehicle.true_current(id), Some(Ampere::ZERO), "seed {seed}, {id}");
            }
            balances(&vehicle);
        }
    }

    #[test]
    fn a_twice_fed_load_shifts_to_its_other_fuse_when_one_is_pulled() {
        let mut seen = 0;
        for seed in 0..600 {
            let mut vehicle = Vehicle::new(&map(), seed);
            let truth = vehicle.truth();
            let Some(cause) = truth.causes.first() else { continue };
            if cause.load != "phone module" || cause.hung || cause.also != ["F7"] {
                continue;
            }
            seen += 1;
            let (total, through) = (vehicle.true_total(), vehicle.true_current("F6").expect("a feed"));
            let other = vehicle.true_current("F7").expect("a feed");
            vehicle.pull("F6").expect("a pull");
            vehicle.pass(Minute::new(60.0));
            let shifted = vehicle.true_current("F7").expect("a feed") - other;
            assert!(shifted > through * 0.5, "seed {seed}: {shifted:?} of {through:?} shifted");
            // What is left of the fall is what F6 carries besides the phone module.
            assert!(total - vehicle.true_total() < through * 0.5);
            vehicle.pull("F7").expect("a pull");
            vehicle.pass(Minute::new(60.0));
            assert!(total - vehicle.true_total() > cause.excess * 0.99, "both out: the fault has no supply");
        }
        assert!(seen >= 5, "only {seen} seeds had the fault in the twice-fed load");
    }
}
