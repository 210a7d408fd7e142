//! What cold does: frozen acid, the power that is left for cranking, and the charge that it takes.
//! Leaves to others: volts by temperature (`charge`), days (`stand`).

use super::table::{BatteryTable, Figures, celsius};
use crate::base::quantity::{Celsius, Share, Uncertain, Unit, Volt};
use crate::circuit::map::VehicleClass;

/// Cells of a 12 V battery that holds acid.
const CELLS: f64 = 6.0;

/// Returns where the acid of a battery at these open-circuit volts freezes.
///
/// # Source
/// Specific gravity from volts: a cell's volts less 0.845 (common practice); freezing points by gravity as makers
/// print them (`circuits/battery.yaml`).
pub fn freezes_at(table: &BatteryTable, volts: Volt) -> Option<Celsius> {
    let gravity = volts.base() / CELLS - table.written.freezing.gravity_to_volts;
    table.freezing.at(gravity).map(|(degrees, _)| Celsius::new(degrees))
}

/// Returns what a full battery can give at a temperature, and what the engine asks for, both against 27 °C.
///
/// # Source
/// US Army TM 5-1185 (`circuits/battery.yaml`).
pub fn cranking_power(table: &BatteryTable, temperature: Celsius) -> Option<(Share, Share)> {
    let at = celsius(temperature);
    Some((Share::new(table.gives.at(at)?.0), Share::new(table.asks.at(at)?.0)))
}

/// What a vehicle needs its battery for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// To crank an engine.
    Crank,
    /// To wake modules, or to run a house: no cranking.
    Hold,
}

impl Use {
    /// Returns what a class of vehicle needs it for.
    pub fn of(class: VehicleClass) -> Self {
        match class {
            VehicleClass::Electrified | VehicleClass::Caravan => Self::Hold,
            _ => Self::Crank,
        }
    }
}

/// Returns the lowest state of charge that still does at a temperature: what the type needs anyway, or the charge at
/// which cranking power, taken in proportion to the charge, just meets the engine's demand. At most a full battery.
///
/// # Source
/// Share for a warm engine and proportion to the charge: editorial; by temperature: [`cranking_power`].
pub fn lowest(
    table: &BatteryTable,
    figures: &Figures,
    temperature: Celsius,
    wanted: Use,
) -> Uncertain<Share> {
    let usual = &figures.lowest;
    let warm = table.written.cranking_power.warm_share_percent / 100.0;
    let cold = match (wanted, cranking_power(table, temperature)) {
        (Use::Crank, Some((gives, asks))) => Share::new(warm * (asks / gives)),
        _ => Share::ZERO,
    };
    Uncertain::new(usual.value().max(cold).min(Share::new(1.0)), usual.u())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::battery::chemistry::Chemistry;

    fn lowest_at(degrees: f64, wanted: Use) -> f64 {
        let table = BatteryTable::builtin().expect("built in");
        let figures = table.of(Chemistry::Flooded).expect("flooded");
        lowest(table, figures, Celsius::new(degrees), wanted).value().base()
    }

    #[test]
    fn a_flat_battery_freezes_in_a_mild_frost_and_a_full_one_never() {
        let table = BatteryTable::builtin().expect("built in");
        let at = |volts: f64| freezes_at(table, Volt::new(volts)).expect("a curve").base();
        assert!(at(12.65) < -50.0 && at(12.2) < -20.0);
        assert!((-12.0..-3.0).contains(&at(11.6)), "{}", at(11.6));
        assert!(at(11.0) > -5.0);
    }

    /// By hand at −18 °C: 0.15 · 210 / 40 = 0.79. Warm: half charged.
    #[test]
    fn cold_raises_the_lowest_charge_that_still_cranks() {
        assert!((lowest_at(20.0, Use::Crank) - 0.5).abs() < 1e-12);
        assert!((lowest_at(-18.0, Use::Crank) - 0.7875).abs() < 1e-12);
        assert!((lowest_at(-29.0, Use::Crank) - 1.0).abs() < 1e-12);
        assert!((lowest_at(-29.0, Use::Hold) - 0.5).abs() < 1e-12, "nothing is cranked");
    }
}
