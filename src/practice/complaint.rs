//! What the customer tells of a practice vehicle: how long it stands before it is flat, from its true draw and a
//! battery of the usual size, as roughly as people tell it. Leaves to others: the fault behind it (`fault`).

use super::constants as k;
use super::vehicle::Vehicle;
use crate::circuits::map::VehicleClass;
use crate::quantity::{Minute, Unit};

/// A day, in minutes.
const DAY: f64 = 1440.0;

impl Vehicle {
    /// Returns how long it stands before it is flat.
    pub fn stands(&self) -> Minute {
        let usable = match self.map.class {
            VehicleClass::Motorcycle => k::USABLE_MOTORCYCLE,
            VehicleClass::Truck => k::USABLE_TRUCK,
            _ => k::USABLE,
        };
        let hours = usable.base() / self.true_total().base().max(k::LEAST_DRAW.base());
        Minute::new(hours * 60.0)
    }

    /// Returns the complaint in the customer's words.
    pub fn complaint(&self) -> String {
        let days = self.stands().base() / DAY;
        match days {
            few if few < 0.7 => "It is flat in the morning.".to_owned(),
            few if few < 1.5 => "It is flat after a day.".to_owned(),
            few if few < 11.0 => format!("It is flat after {few:.0} days."),
            more if more < 18.0 => "It is flat after two weeks.".to_owned(),
            more if more < 50.0 => format!("It is flat after {:.0} weeks.", more / 7.0),
            _ => "It goes flat now and then.".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::*;

    #[test]
    fn the_complaint_follows_the_true_draw() {
        for seed in 0..30 {
            let vehicle = Vehicle::new(&map(), seed);
            let hours = k::USABLE.base() / vehicle.true_total().base();
            let told = vehicle.complaint();
            assert_eq!(told.contains("morning"), hours < 0.7 * 24.0, "{seed}: {told} after {hours} h");
            assert_eq!(
                told.contains("days"),
                (36.0..264.0).contains(&hours),
                "{seed}: {told} after {hours} h"
            );
        }
    }
}
