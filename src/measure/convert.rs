//! Millivolt across a fuse → milliampere, with an interval: I = (V − V₀) / R(T), R(T) = R₂₅ · (1 + α (T − 25 °C)).
//! First-order propagation after JCGM 100:2008, 5.1.2. The relative errors are taken on the conductance, so that
//! a wide spread of R does not skew the interval.
//! Leaves to others: what the current means for the feed tree (`observation`), whether it is absurd (`doubt`).

use crate::base::quantity::{Ampere, Celsius, ErrorSource, Ohm, Typed, Uncertain, Unit, Volt};
use crate::circuit::fuse::{Basis, Family, Remark, Resistance};
use crate::circuit::fuse_table::FuseTable;
use crate::instrument::profile::Profile;
use crate::instrument::uncertainty::{Zero, drop_floor, drop_voltage};

/// Temperature at which cold resistance is stated.
pub const REFERENCE: Celsius = Celsius::new(25.0);

/// Share of the rating above which a fuse warms itself noticeably: (1/4)² · 0.4 is 2.5 %.
///
/// # Source
/// Computed from the ratio of the drop at rated current to the cold drop in fuse makers' sheets (1.2 to 1.4).
const SELF_HEATING: f64 = 0.25;

/// A fuse as it is met in the vehicle: what is known of its resistance, and where it sits.
#[derive(Debug, Clone, PartialEq)]
pub struct Fuse {
    /// Family.
    pub family: Family,
    /// Rating.
    pub rating: Ampere,
    /// Cold resistance and spread.
    pub resistance: Resistance,
    /// Name of the box it sits in; fuses of one box share their temperature.
    pub place: String,
}

/// A drop turned into a current.
#[derive(Debug, Clone, PartialEq)]
pub struct Converted {
    /// The current, with own and shared errors.
    pub current: Uncertain<Ampere>,
    /// Smallest current that this reading could have shown.
    pub floor: Uncertain<Ampere>,
    /// True if the current is not told from zero.
    pub below_floor: bool,
    /// Resistance at the temperature of the box.
    pub resistance: Ohm,
    /// True if the fuse warms itself, so that the current reads high.
    pub warms_itself: bool,
}

/// Converts a drop.
pub fn current_of_drop(
    drop: &Typed<Volt>,
    meter: &Profile,
    zero: Option<Zero>,
    fuse: &Fuse,
    temperature: &Uncertain<Celsius>,
    table: &FuseTable,
) -> Converted {
    let voltage = drop_voltage(drop, meter, zero);
    let warmth = (temperature.value() - REFERENCE).base();
    let factor = 1.0 + table.per_kelvin() * warmth;
    let resistance = fuse.resistance.r25 * factor;
    let current = voltage.value() / resistance;
    let by_volt = voltage.mapped(current, 1.0 / resistance.base());
    let warmth_effect = current * (-table.per_kelvin() / factor * temperature.u().base());
    let with_errors = |base: Uncertain<Ampere>, size: Ampere| {
        base.with_own(size * own_spread(&fuse.resistance)).with_shared(
            ErrorSource::new(format!("make {}", fuse.family.name())),
            size * fuse.resistance.make,
        )
    };
    let current = with_errors(by_volt, current)
        .with_shared(ErrorSource::new(format!("temperature {}", fuse.place)), warmth_effect);
    let smallest = drop_floor(meter, zero) / resistance;
    let floor = with_errors(Uncertain::exact(smallest), smallest);
    Converted {
        below_floor: current.value().abs() < smallest,
        warms_itself: current.value().abs() > fuse.rating * SELF_HEATING,
        current,
        floor,
        resistance,
    }
}

/// Returns the relative standard uncertainty of one fuse's resistance that it shares with no other: fuse to fuse, and
/// the legs, which the probes leave out or take in. Most probing is at one end of that range or the other, so its
/// distribution is taken as arc sine and not as flat: half-width / √2 (JCGM 101:2008, 6.4.6).
pub fn own_spread(resistance: &Resistance) -> f64 {
    let legs = resistance.legs / resistance.r25 / std::f64::consts::SQRT_2;
    resistance.fuse.hypot(legs)
}

/// Returns the drop that a current makes across a fuse: for sheets, and for asking whether a reading could show it.
pub fn drop_of_current(current: Ampere, fuse: &Fuse, temperature: Celsius, table: &FuseTable) -> Volt {
    current * (fuse.resistance.r25 * (1.0 + table.per_kelvin() * (temperature - REFERENCE).base()))
}

/// Resistance of one fuse from a known load step: ΔV / ΔI, both readings on one range.
/// Offset and zero cancel in ΔV; what stays are both digits and the gains of meter and clamp.
///
/// Returns `None` if the step is too small to tell (ΔV or ΔI not above its detection limit).
pub fn resistance_of_step(
    before: &Typed<Volt>,
    after: &Typed<Volt>,
    step: &Uncertain<Ampere>,
    meter: &Profile,
    temperature: Celsius,
    table: &FuseTable,
) -> Option<Resistance> {
    use crate::instrument::uncertainty::DETECTION;
    let rise = drop_voltage(after, meter, None).minus(&drop_voltage(before, meter, None));
    let told = |size: f64, u: f64| size > DETECTION * u;
    if !told(rise.value().base(), rise.u().base()) || !told(step.value().base(), step.u().base()) {
        return None;
    }
    let hot = rise.value() / step.value();
    let relative = (rise.u() / rise.value()).hypot(step.u() / step.value());
    Some(Resistance {
        r25: hot / (1.0 + table.per_kelvin() * (temperature - REFERENCE).base()),
        make: 0.0,
        fuse: relative,
        legs: Ohm::ZERO,
        basis: Basis::Calibrated,
        remarks: vec![Remark::Step],
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::parse::Readable;
    use crate::circuit::map::FuseSpec;
    use crate::circuit::meters;

    fn fuse(family: Family, rating: f64, table: &FuseTable) -> Fuse {
        let spec = FuseSpec { family, rating: Ampere::new(rating), own_resistance: None };
        let resistance = table.resistance(&spec).expect("has a figure");
        Fuse { family, rating: spec.rating, resistance, place: "cabin".into() }
    }

    fn convert(family: Family, rating: f64, text: &str, celsius: f64) -> Converted {
        let table = FuseTable::builtin();
        let meter = meters::find("tenth-mv", true).expect("built in");
        let fuse = fuse(family, rating, table);
        let at = Uncertain::new(Celsius::new(celsius), Celsius::new(2.0));
        current_of_drop(&Volt::read(text, "mV").expect("a value"), &meter, None, &fuse, &at, table)
    }

    #[test]
    fn a_reading_below_the_floor_is_said_to_be() {
        assert!(convert(Family::Mini, 10.0, "0.1 mV", 25.0).below_floor);
        let clear = convert(Family::Mini, 10.0, "3.0 mV", 25.0);
        assert!(!clear.below_floor);
        assert!((clear.current.value().milli() - 3.0 / 7.42 * 1000.0).abs() < 1e-9);
    }

    /// REFERENCE figures: −10 °C reads 13 % low, 60 °C 13 % high against 25 °C if not corrected.
    #[test]
    fn warmth_is_corrected_for() {
        let at = |celsius| convert(Family::Mini, 10.0, "3.0 mV", celsius).current.value().milli();
        assert!((at(25.0) / at(60.0) - 1.133).abs() < 1e-3);
        assert!((at(25.0) / at(-10.0) - 0.867).abs() < 1e-3);
    }

    #[test]
    fn self_heating_is_warned_of_above_a_quarter_of_the_rating() {
        assert!(!convert(Family::Mini, 10.0, "18.0 mV", 25.0).warms_itself);
        assert!(convert(Family::Mini, 10.0, "19.0 mV", 25.0).warms_itself);
    }

    #[test]
    fn a_known_step_gives_this_fuses_own_resistance() {
        let table = FuseTable::builtin();
        let meter = meters::find("tenth-mv", true).expect("built in");
        let read = |text| Volt::read(text, "mV").expect("a value");
        let amps = Uncertain::new(Ampere::new(1.02), Ampere::new(0.01));
        let calibrated = resistance_of_step(&read("3.0"), &read("10.6"), &amps, &meter, REFERENCE, table)
            .expect("large enough");
        assert!((calibrated.r25.milli() - 7.6 / 1.02).abs() < 1e-9);
        assert!(resistance_of_step(&read("3.0"), &read("3.1"), &amps, &meter, REFERENCE, table).is_none());
    }
}
