//! What a practice vehicle draws as it is found and no longer once it was touched: a module that hung since it was parked.
//! Leaves to others: what ends it (`state`), what flows meanwhile (`flow`).

use super::constants as k;
use super::rng::SimRng;
use super::vehicle::Vehicle;
use crate::base::quantity::{Ampere, Unit};

impl Vehicle {
    /// Lets a module hang since the vehicle was parked, where the seed has it so; the customer knows it as it was then.
    #[must_use]
    pub fn as_found(mut self) -> Self {
        self.is_as_found = true;
        self.state.hanging = self.hangs();
        self.found_drawing = self.true_total();
        self
    }

    /// Returns what hung as it was found, by its name, and what it drew more than asleep.
    pub(super) fn gone_once_touched(&self) -> Option<(String, Ampere)> {
        let (load, level) = self.hangs().filter(|_| self.is_as_found)?;
        let load = self.wiring.loads.get(load)?;
        Some((load.name.clone(), level - load.asleep))
    }

    fn hangs(&self) -> Option<(usize, Ampere)> {
        let mut rng = SimRng::new(self.seed, "as found");
        let happens = rng.chance(k::GONE_ONCE_TOUCHED);
        let more = |load: &super::wiring::TrueLoad| {
            let is_module = load.group.is_some() && load.listed_on.is_some();
            if is_module { (load.awake - load.asleep).base().max(0.0) } else { 0.0 }
        };
        let at = rng.pick(&self.wiring.loads.iter().map(more).collect::<Vec<f64>>())?;
        let level = rng.between(k::GONE_LEVEL.0, k::GONE_LEVEL.1);
        let load = self.wiring.loads.get(at)?;
        happens.then(|| (at, (load.awake * level).max(load.asleep)))
    }
}

#[cfg(test)]
mod tests {
    use super::super::fault::FaultPlan;
    use super::super::sample::map;
    use super::*;
    use crate::base::quantity::Minute;

    #[test]
    fn what_hung_is_gone_once_the_vehicle_was_touched_and_slept_and_is_told() {
        let mut seen = 0;
        for seed in 0..400 {
            let plain = Vehicle::planned(&map(), seed, FaultPlan::Nothing);
            let mut vehicle = plain.clone().as_found();
            let Some((_, current)) = vehicle.truth().gone else {
                assert_eq!(vehicle.true_total(), plain.true_total(), "seed {seed}");
                continue;
            };
            seen += 1;
            let over = vehicle.true_total() - plain.true_total() - current;
            assert!(over.abs().milli() < 1e-9 && plain.truth().gone.is_none(), "seed {seed}: {over:?}");
            vehicle.disturb();
            vehicle.pass(Minute::new(90.0));
            assert!((vehicle.true_total() - plain.true_total()).abs().milli() < 1e-9, "seed {seed}");
        }
        assert!((10..45).contains(&seen), "{seen} of 400");
    }
}
