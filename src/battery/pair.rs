//! Two 12 V batteries in series: how far apart they are while they are charged, what a 12 V tap takes from one of them, and
//! how soon that sets them apart.
//! Leaves to others: the pair at rest (`judge`), asking (`hunt`), the words (`text/pair`).

use super::table::BatteryTable;
use crate::base::quantity::{Ampere, AmpereHour, Day, Unit, Volt};

/// What keeps a pair level, or sets it apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tap {
    /// A tap without an equaliser.
    Bare,
    /// A tap with an equaliser.
    Equalised,
    /// No tap, as far as is known.
    None,
}

/// Two batteries while they are charged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairCharging {
    /// How far they are apart.
    pub apart: Volt,
    /// How far they may be.
    pub most: Volt,
}

impl PairCharging {
    /// Holds the first battery's volts against the rest of both; an equaliser holds them closer.
    pub fn of(table: &BatteryTable, first: Volt, both: Volt, tap: Tap) -> Self {
        let figures = &table.written.charging;
        let most = if tap == Tap::Equalised { figures.equaliser.volts } else { figures.pair.volts };
        Self { apart: (first * 2.0 - both).abs(), most: Volt::new(most) }
    }

    /// Returns true if they are further apart than they may be.
    pub fn is_unequal(self) -> bool {
        self.apart > self.most
    }
}

/// Returns what a tap takes, from a total at the lower battery's minus post and one at the upper battery's plus post.
pub fn tap(at_minus: Ampere, at_plus: Ampere) -> Ampere {
    at_minus - at_plus
}

/// Returns the days in which a tap sets a pair 0.1 V apart at rest.
///
/// # Source
/// Computed: 0.1 V is 12 % of the charge between the rows of the flooded table (BCI table as reprinted by makers).
pub fn days_apart(tap: Ampere, capacity: AmpereHour) -> Option<Day> {
    let share = 0.12;
    (tap > Ampere::ZERO).then(|| Day::new(capacity.base() * share / (tap.base() * 24.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_equaliser_is_held_to_a_tenth_of_a_volt_and_a_pair_without_to_more() {
        let table = BatteryTable::builtin().expect("reads");
        let unequal =
            |first: f64, tap| PairCharging::of(table, Volt::new(first), Volt::new(28.2), tap).is_unequal();
        assert!(!unequal(14.08, Tap::Equalised) && unequal(14.0, Tap::Equalised));
        assert!(!unequal(14.02, Tap::None) && unequal(13.6, Tap::Bare));
    }

    /// By hand: 100 mA are 2.4 Ah a day; 12 % of 170 Ah are 20.4 Ah: 8.5 days.
    #[test]
    fn a_tap_of_100_milliampere_sets_170_ampere_hours_apart_in_nine_days() {
        let taken = tap(Ampere::from_milli(180.0), Ampere::from_milli(80.0));
        let days = days_apart(taken, AmpereHour::new(170.0)).expect("a tap").base();
        assert!((days - 8.5).abs() < 1e-9);
        assert_eq!(days_apart(Ampere::ZERO, AmpereHour::new(170.0)), None);
    }
}
