//! What a battery has left while a guard watches: from its own volts, or from what the log was told and what was drawn since.
//! Leaves to others: the figures (`battery`), when it is asked (the edge).

use super::supply;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, AmpereHour, Celsius, Minute, Unit, Volt};
use crate::battery::charge::{AtRest, Unreadable, charge};
use crate::battery::chemistry::Chemistry;
use crate::battery::cold::{Use, lowest};
use crate::battery::table::BatteryTable;
use crate::circuit::map::VehicleClass;
use crate::log::case::Case;

/// Volts above which a battery whose system nobody told is one of 24 V. Editorial: a 12 V battery is charged below it.
const TWO: Volt = Volt::new(18.0);

/// Minutes in a day.
const DAY: f64 = 1440.0;

/// What is known of the battery.
#[derive(Debug, Clone, Default)]
pub struct Reserve {
    /// What it could give when its volts were read; `None` if nobody told them.
    usable: Option<AmpereHour>,
    temperature: Option<Celsius>,
    chemistry: Option<Chemistry>,
    /// Batteries in series; `None` if nobody told.
    each: Option<f64>,
    class: VehicleClass,
}

impl Reserve {
    /// Takes what a log knows.
    ///
    /// # Errors
    /// The battery table of this build does not read.
    pub fn of(case: &Case) -> Result<Self, Diagnostic> {
        let told = supply::rested(case).is_some();
        let usable =
            told.then(|| supply::stock(case, false)).transpose()?.map(|stock| stock.usable().value());
        Ok(Self {
            usable,
            temperature: supply::evidence(case).temperature,
            chemistry: supply::chemistry(case),
            each: Some(supply::batteries(case)),
            class: case.map.class,
        })
    }

    /// Returns for how long it holds at a draw, after so much was taken out of it since its volts were read; `None` if
    /// nobody told them, or nothing is drawn.
    pub fn holds(&self, draw: Ampere, taken: AmpereHour) -> Option<Minute> {
        let left = (self.usable? - taken).max(AmpereHour::ZERO);
        (draw > Ampere::ZERO).then(|| Minute::new((left / draw).base() * DAY))
    }

    /// Returns true if these volts, read under little load, mean no more charge than the battery needs to do its work.
    ///
    /// # Errors
    /// The battery table of this build does not read.
    pub fn is_low(&self, volts: Volt) -> Result<bool, Diagnostic> {
        let table = BatteryTable::builtin()?;
        let each = self.each.unwrap_or(if volts > TWO { 2.0 } else { 1.0 });
        let at_rest = AtRest { volts: volts / each, temperature: self.temperature, rested: None };
        let found = charge(table, &at_rest, self.chemistry)?;
        let figures = table.of(self.chemistry.unwrap_or(Chemistry::Flooded))?;
        let celsius = self.temperature.unwrap_or(Celsius::new(20.0));
        let least = lowest(table, figures, celsius, Use::of(self.class)).value();
        Ok(match found.unreadable {
            None => found.share.value() <= least,
            Some(Unreadable::Loaded) => true,
            Some(Unreadable::Flat | Unreadable::Surface) => false,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn low_is_where_it_may_not_start_and_a_charger_or_two_in_series_are_not() {
        let reserve = Reserve::default();
        let low = |volts: f64| reserve.is_low(Volt::new(volts)).expect("a table");
        assert_eq!([12.65, 12.4, 12.1, 11.0, 10.2].map(low), [false, false, true, true, true]);
        assert_eq!([13.9, 25.2, 24.1].map(low), [false, false, true]);
    }

    #[test]
    fn what_was_taken_out_is_gone() {
        let reserve = Reserve { usable: Some(AmpereHour::new(19.0)), ..Reserve::default() };
        let hours = |taken: f64| {
            let left = reserve.holds(Ampere::from_milli(380.0), AmpereHour::new(taken)).expect("told");
            left.base() / 60.0
        };
        assert!((hours(0.0) - 50.0).abs() < 1e-9 && (hours(9.5) - 25.0).abs() < 1e-9 && hours(30.0) == 0.0);
        assert_eq!(Reserve::default().holds(Ampere::new(1.0), AmpereHour::ZERO), None);
    }
}
