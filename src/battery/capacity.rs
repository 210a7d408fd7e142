//! Capacity from whatever rating is known, with its interval and the method by name.
//!
//! A reserve capacity is minutes at 25 A: 25/60 times the minutes are ampere-hours at that current, not at the
//! twenty-hour rate, which is larger.
//! Leaves to others: reading ratings (`rating`), the figures (`circuits/battery.yaml`).

use super::rating::Ratings;
use super::table::BatteryTable;
use crate::base::quantity::uncertain::COVERAGE_95;
use crate::base::quantity::{Ampere, AmpereHour, Minute, Uncertain, Unit};
use crate::circuit::map::VehicleClass;

/// Which rating a capacity is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// As a tester or a discharge measured it.
    Measured,
    /// The 20-hour capacity as printed.
    Rated,
    /// From reserve minutes.
    Reserve,
    /// From the cold cranking rating: rough.
    Cranking,
    /// No rating is known: a usual size for the class of vehicle.
    Assumed,
}

/// A capacity and where it is from.
#[derive(Debug, Clone, PartialEq)]
pub struct Capacity {
    /// Capacity at the 20-hour rate.
    pub capacity: Uncertain<AmpereHour>,
    /// Method.
    pub method: Method,
    /// Source of the method, in words.
    pub source: String,
    /// How many batteries of this size stand side by side in it.
    pub side_by_side: u16,
}

impl Capacity {
    /// Returns that of so many batteries side by side, each as this one: whatever is wrong with one rating is wrong with
    /// all.
    #[must_use]
    pub fn times(self, count: u16) -> Self {
        let factor = f64::from(count);
        let one = self.capacity;
        let capacity = Uncertain::new(one.value() * factor, one.u() * factor);
        Self { capacity, side_by_side: self.side_by_side * count, ..self }
    }
}

/// Returns the capacity by the best rating there is: 20-hour, then reserve, then cranking, then a usual size.
pub fn capacity(table: &BatteryTable, ratings: &Ratings, class: VehicleClass) -> Capacity {
    let written = &table.written.capacity;
    let within = |value: AmpereHour, percent_95: f64| {
        Uncertain::new(value, AmpereHour::new(value.base() * percent_95 / 100.0 / COVERAGE_95))
    };
    let (capacity, method, source) = match ratings {
        Ratings { measured: Some(measured), .. } => (
            Uncertain::new(*measured, *measured * (table.written.measured_capacity.u_percent / 100.0)),
            Method::Measured,
            &table.written.measured_capacity.source,
        ),
        Ratings { capacity: Some(rated), .. } => (
            Uncertain::new(*rated, *rated * (written.rated_u_percent / 100.0)),
            Method::Rated,
            &written.rated_source,
        ),
        Ratings { reserve: Some(minutes), .. } => (
            within(from_reserve(*minutes), written.reserve_95_percent),
            Method::Reserve,
            &written.reserve_source,
        ),
        Ratings { cranking: Some(cranking), .. } => (
            within(from_cranking(table, *cranking), written.cranking_95_percent),
            Method::Cranking,
            &written.cranking_source,
        ),
        _ => (table.assumed(class), Method::Assumed, &written.assumed_source),
    };
    Capacity { capacity, method, source: source.clone(), side_by_side: 1 }
}

/// Returns the 20-hour capacity of a battery with this reserve capacity.
///
/// # Source
/// C20 = √(17778 + 208.3 RC) − 133.3, with RC in minutes (from memory).
pub fn from_reserve(reserve: Minute) -> AmpereHour {
    AmpereHour::new((17_778.0 + 208.3 * reserve.base()).sqrt() - 133.3)
}

/// Returns the reserve capacity of a flooded battery with this 20-hour capacity: a second method, to hold against
/// [`from_reserve`].
///
/// # Source
/// EN 50342-1: RC = 0.7732 · C20^1.1828 (from memory).
pub fn reserve_of(capacity: AmpereHour) -> Minute {
    Minute::new(0.7732 * capacity.base().powf(1.1828))
}

fn from_cranking(table: &BatteryTable, cranking: Ampere) -> AmpereHour {
    AmpereHour::new(table.written.capacity.cranking_ah_per_a * cranking.base())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(ratings: &Ratings) -> Capacity {
        capacity(BatteryTable::builtin().expect("built in"), ratings, VehicleClass::Car)
    }

    #[test]
    fn the_best_rating_is_taken() {
        let all = Ratings {
            capacity: Some(AmpereHour::new(70.0)),
            reserve: Some(Minute::new(120.0)),
            cranking: Some(Ampere::new(640.0)),
            ..Ratings::default()
        };
        assert_eq!(found(&all).method, Method::Rated);
        assert_eq!(found(&Ratings { capacity: None, ..all.clone() }).method, Method::Reserve);
        let cranking = found(&Ratings { capacity: None, reserve: None, ..all });
        assert_eq!(cranking.method, Method::Cranking);
        let assumed = found(&Ratings::default());
        assert_eq!((assumed.method, assumed.capacity.value().base()), (Method::Assumed, 60.0));
        let share = |found: &Capacity| found.capacity.u() / found.capacity.value();
        assert!(share(&assumed) > share(&cranking));
    }

    /// The trap: 25/60 of the minutes is what flows at 25 A, far less than the 20-hour capacity.
    #[test]
    fn reserve_minutes_are_not_taken_for_ampere_hours_at_25_ampere() {
        for minutes in [60.0, 100.0, 150.0] {
            let trap = 25.0 / 60.0 * minutes;
            assert!(from_reserve(Minute::new(minutes)).base() > 1.35 * trap);
        }
    }
}
