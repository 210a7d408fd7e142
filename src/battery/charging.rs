//! The charging side: running volts by temperature, ripple, cable drops, leakage into the alternator with the key
//! off, and what a converter does when an electrified vehicle is made ready.
//! Leaves to others: asking (`hunt`), the words (`text/battery`). High voltage is out of scope: what a converter
//! takes at its input comes from the maker's procedure, as information.

use super::table::{BatteryTable, celsius};
use crate::base::quantity::{Ampere, Celsius, Volt};

/// Volts are judged at this temperature where none is known. Editorial.
const MILD: Celsius = Celsius::new(20.0);

/// What was measured on the charging side; each for one 12 V battery.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChargingValues {
    /// Volts with the engine running, or with the vehicle made ready.
    pub running: Option<Volt>,
    /// Volts at rest before.
    pub rested: Option<Volt>,
    /// Temperature of the battery.
    pub temperature: Option<Celsius>,
    /// True if the engine computer sets the volts, false if a plain regulator does; `None` if nobody knows.
    pub smart: Option<bool>,
    /// True if there is no alternator but a converter.
    pub converter: bool,
    /// Ripple at the battery.
    pub ripple: Option<Volt>,
    /// Highest drop along a cable between alternator and battery.
    pub cable_drop: Option<Volt>,
    /// Current into the alternator with the key off.
    pub leak: Option<Ampere>,
}

/// One thing that the charging side shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Finding {
    /// Volts within the band of a plain regulator.
    WithinPlain(Volt),
    /// Volts outside that band, within what smart charging does.
    WithinSmart(Volt),
    /// Volts too low.
    Low {
        /// Shown.
        shown: Volt,
        /// The band's lower end.
        least: Volt,
    },
    /// Volts too high.
    High {
        /// Shown.
        shown: Volt,
        /// The band's upper end.
        most: Volt,
    },
    /// The 12 V side rises when the vehicle is made ready.
    Rises(Volt),
    /// It does not: the converter is not charging.
    DoesNotRise(Volt),
    /// Ripple: shown, and whether it is good by every printed limit (`Some(true)`), bad by every one, or between.
    Ripple(Volt, Option<bool>),
    /// A cable drops this much, and whether that is too much.
    Cable(Volt, bool),
    /// Current into the alternator with the key off; judged as the ripple is.
    Leak(Ampere, Option<bool>),
}

impl Finding {
    /// Returns true if it shows that the battery is not charged as it should be.
    pub fn fails(self) -> bool {
        matches!(self, Self::Low { .. } | Self::High { .. } | Self::DoesNotRise(_))
    }

    /// Returns `Some(true)` if it speaks for the charging side, `Some(false)` if against it.
    pub fn good(self) -> Option<bool> {
        match self {
            Self::WithinPlain(_) | Self::Rises(_) => Some(true),
            Self::WithinSmart(_) => None,
            Self::Low { .. } | Self::High { .. } | Self::DoesNotRise(_) => Some(false),
            Self::Ripple(_, good) | Self::Leak(_, good) => good,
            Self::Cable(_, too_much) => Some(!too_much),
        }
    }
}

/// Returns what the charging side shows, in the order in which it is asked.
pub fn findings(table: &BatteryTable, measured: &ChargingValues) -> Vec<Finding> {
    let figures = &table.written.charging;
    let mut found = Vec::new();
    if let Some(running) = measured.running {
        found.extend(if measured.converter {
            ready(table, measured, running)
        } else {
            volts(table, measured, running)
        });
    }
    if let Some(shown) = measured.ripple {
        let good = between(shown.milli(), figures.ripple.good_mv, figures.ripple.bad_mv);
        found.push(Finding::Ripple(shown, good));
    }
    if let Some(shown) = measured.cable_drop {
        found.push(Finding::Cable(shown, shown > Volt::new(figures.cable_drop.volts)));
    }
    if let Some(shown) = measured.leak {
        let leak = &figures.key_off_leak;
        found.push(Finding::Leak(shown, between(shown.abs().milli(), leak.good_ma, leak.bad_ma)));
    }
    found
}

/// Good up to the one, bad above the other, else neither.
fn between(shown: f64, good: f64, bad: f64) -> Option<bool> {
    if shown <= good {
        Some(true)
    } else if shown > bad {
        Some(false)
    } else {
        None
    }
}

/// Returns the band of a plain regulator at a temperature.
pub fn plain_band(table: &BatteryTable, temperature: Option<Celsius>) -> Option<(Volt, Volt)> {
    let at = celsius(temperature.unwrap_or(MILD));
    Some((Volt::new(table.plain.0.at(at)?.0), Volt::new(table.plain.1.at(at)?.0)))
}

/// Returns the band of smart charging.
pub fn smart_band(table: &BatteryTable) -> (Volt, Volt) {
    let smart = &table.written.charging.smart;
    (Volt::new(smart.low), Volt::new(smart.high))
}

fn volts(table: &BatteryTable, measured: &ChargingValues, running: Volt) -> Option<Finding> {
    let (low, high) = plain_band(table, measured.temperature)?;
    let (least, most) = smart_band(table);
    Some(if (low..=high).contains(&running) {
        Finding::WithinPlain(running)
    } else if measured.smart != Some(false) && (least..=most).contains(&running) {
        Finding::WithinSmart(running)
    } else if running < low {
        Finding::Low { shown: running, least: if measured.smart == Some(true) { least } else { low } }
    } else {
        Finding::High { shown: running, most: if measured.smart == Some(true) { most } else { high } }
    })
}

fn ready(table: &BatteryTable, measured: &ChargingValues, running: Volt) -> Option<Finding> {
    let rise = Volt::new(table.written.charging.ready_rise.volts);
    let (_, most) = smart_band(table);
    if running > most {
        return Some(Finding::High { shown: running, most });
    }
    let rested = measured.rested?;
    Some(if running - rested >= rise { Finding::Rises(running) } else { Finding::DoesNotRise(running) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(measured: &ChargingValues) -> Finding {
        findings(BatteryTable::builtin().expect("built in"), measured)[0]
    }

    fn running(volts: f64, degrees: f64, smart: Option<bool>) -> Finding {
        one(&ChargingValues {
            running: Some(Volt::new(volts)),
            temperature: Some(Celsius::new(degrees)),
            smart,
            ..ChargingValues::default()
        })
    }

    #[test]
    fn the_band_moves_with_temperature() {
        assert_eq!(running(14.8, -20.0, Some(false)).good(), Some(true));
        assert_eq!(running(14.8, 20.0, Some(false)).good(), Some(false));
        assert_eq!(running(13.4, 20.0, Some(false)).good(), Some(false));
        assert_eq!(running(13.4, 60.0, Some(false)).good(), Some(true));
    }

    #[test]
    fn smart_charging_may_be_right_where_a_plain_regulator_is_not() {
        assert_eq!(running(12.6, 20.0, None).good(), None);
        assert_eq!(running(12.6, 20.0, Some(false)).good(), Some(false));
        assert_eq!(running(11.9, 20.0, None).good(), Some(false));
        assert_eq!(running(15.9, 20.0, Some(true)).good(), Some(false));
    }

    #[test]
    fn a_converter_that_does_not_raise_the_volts_does_not_charge() {
        let at = |running: f64| {
            let (running, rested) = (Some(Volt::new(running)), Some(Volt::new(12.5)));
            one(&ChargingValues { running, rested, converter: true, ..ChargingValues::default() }).good()
        };
        assert_eq!(at(14.0), Some(true));
        assert_eq!(at(12.5), Some(false));
        assert_eq!(at(16.0), Some(false));
    }

    #[test]
    fn ripple_cables_and_leakage_are_judged_by_their_printed_limits() {
        let found = |ripple: f64, drop: f64, leak: f64| -> Vec<Option<bool>> {
            let measured = ChargingValues {
                ripple: Some(Volt::from_milli(ripple)),
                cable_drop: Some(Volt::new(drop)),
                leak: Some(Ampere::from_milli(leak)),
                ..ChargingValues::default()
            };
            findings(BatteryTable::builtin().expect("built in"), &measured)
                .into_iter()
                .map(Finding::good)
                .collect()
        };
        assert_eq!(found(40.0, 0.1, 1.5), [Some(true), Some(true), Some(true)]);
        assert_eq!(found(150.0, 0.2, 20.0), [None, Some(true), None]);
        assert_eq!(found(400.0, 0.5, 90.0), [Some(false), Some(false), Some(false)]);
    }
}
