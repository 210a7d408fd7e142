//! Reading + profile + zero → quantity with its own and shared errors, after JCGM 100:2008, 4.3.7 (limits without
//! further knowledge are rectangular: half-width / √3) and F.2.2.1 (one digit of indication: step / √12).
//!
//! Shared: the offset (the counts of the data sheet) until the next zero, and the gain, per meter.
//! Own: quantisation and noise, for millivolts also the thermal voltage of the probe contacts.
//! Leaves to others: what a millivolt is in milliampere (`measure/convert`).

use super::profile::Profile;
use crate::base::quantity::{Ampere, ErrorSource, Typed, Uncertain, Unit, Volt};

/// Noise of a steady reading, in counts (standard deviation): half a count either way, rectangular. Editorial.
const NOISE_COUNTS: f64 = 0.288_675;

/// Standard uncertainty of the thermal voltage between probe tips of unequal temperature: 3 µV/K for copper on
/// brass at up to 5 K either way, rectangular.
///
/// # Source
/// User's guide of a bench nanovoltmeter, table of thermoelectric potentials (3 µV/K); the 5 K are editorial.
const THERMAL: Volt = Volt::new(3e-6 * 5.0 / 1.732_050_8);

/// Factor from the standard uncertainty at zero to the smallest value that is told from zero with 5 % error
/// either way.
///
/// # Source
/// ISO 11843-1 detection capability with normal errors of constant size: 2 · 1.645.
pub const DETECTION: f64 = 3.29;

/// The zero that was taken off a reading: its entry number in the log and the offset shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Zero {
    /// Number of the entry.
    pub entry: usize,
    /// Offset shown with the leads shorted.
    pub offset: Volt,
}

/// Half-width of a rectangular distribution to standard uncertainty.
fn rectangular(half_width: f64) -> f64 {
    half_width / 3.0_f64.sqrt()
}

/// One step of indication to standard uncertainty; the coarser of the meter's digit and the digit typed.
fn quantisation(profile: &Profile, step: f64) -> f64 {
    profile.resolution.max(step) / 12.0_f64.sqrt()
}

/// Returns a voltage drop with everything the meter adds to it; the zero, if one was taken, is subtracted.
pub fn drop_voltage(shown: &Typed<Volt>, profile: &Profile, zero: Option<Zero>) -> Uncertain<Volt> {
    let own =
        quantisation(profile, shown.step).hypot(NOISE_COUNTS * profile.resolution).hypot(THERMAL.base());
    let offset = zero.map_or(Volt::ZERO, |zero| zero.offset);
    let value = shown.value - offset;
    let gain = rectangular(profile.percent / 100.0) * value.base();
    Uncertain::new(value, Volt::new(own))
        .with_shared(offset_source(profile, zero), Volt::new(offset_uncertainty(profile, zero)))
        .with_shared(ErrorSource::new(format!("gain {}", profile.name)), Volt::new(gain))
}

/// A zero removes the offset and leaves its own digit and noise, which all readings after it share.
fn offset_uncertainty(profile: &Profile, zero: Option<Zero>) -> f64 {
    match zero {
        Some(_) => quantisation(profile, 0.0).hypot(NOISE_COUNTS * profile.resolution),
        None => rectangular(profile.counts * profile.resolution),
    }
}

fn offset_source(profile: &Profile, zero: Option<Zero>) -> ErrorSource {
    match zero {
        Some(zero) => ErrorSource::new(format!("zero {} of entry {}", profile.name, zero.entry)),
        None => ErrorSource::new(format!("zero {}", profile.name)),
    }
}

/// Returns a current read with a clamp or an ammeter with everything the meter adds to it.
pub fn current(shown: &Typed<Ampere>, profile: &Profile) -> Uncertain<Ampere> {
    let own = quantisation(profile, shown.step).hypot(NOISE_COUNTS * profile.resolution);
    let gain = rectangular(profile.percent / 100.0) * shown.value.base();
    let offset = rectangular(profile.counts * profile.resolution);
    Uncertain::new(shown.value, Ampere::new(own))
        .with_shared(ErrorSource::new(format!("zero {}", profile.name)), Ampere::new(offset))
        .with_shared(ErrorSource::new(format!("gain {}", profile.name)), Ampere::new(gain))
}

/// Share of a clamp's offset, in variance, that comes anew with each placing; the rest stays with the clamp. It is
/// zeroed beside the cable each time, but where and how it then sits differs. Editorial.
const ANEW: f64 = 0.5;

/// Returns a current read with a clamp put on for this reading: its offset is only partly that of other placings.
/// Two readings of one placing are compared by [`current`], where the offset is one.
pub fn placed_current(shown: &Typed<Ampere>, profile: &Profile) -> Uncertain<Ampere> {
    let own = quantisation(profile, shown.step).hypot(NOISE_COUNTS * profile.resolution);
    let gain = rectangular(profile.percent / 100.0) * shown.value.base();
    let offset = rectangular(profile.counts * profile.resolution);
    Uncertain::new(shown.value, Ampere::new(own.hypot(offset * ANEW.sqrt())))
        .with_shared(
            ErrorSource::new(format!("zero {}", profile.name)),
            Ampere::new(offset * (1.0 - ANEW).sqrt()),
        )
        .with_shared(ErrorSource::new(format!("gain {}", profile.name)), Ampere::new(gain))
}

/// Returns the smallest drop that this meter tells from zero.
pub fn drop_floor(profile: &Profile, zero: Option<Zero>) -> Volt {
    let nothing = Typed::measured(zero.map_or(Volt::ZERO, |zero| zero.offset), profile.resolution, "");
    drop_voltage(&nothing, profile, zero).u() * DETECTION
}

/// Returns the smallest current that this clamp or ammeter tells from zero.
pub fn current_floor(profile: &Profile) -> Ampere {
    current(&Typed::measured(Ampere::ZERO, profile.resolution, ""), profile).u() * DETECTION
}

#[cfg(test)]
mod tests {
    use super::super::profile::Way;
    use super::*;

    fn tenth() -> Profile {
        Profile { name: "tenth-mv".into(), way: Way::Volts, resolution: 1e-4, percent: 0.5, counts: 2.0 }
    }

    #[test]
    fn a_zero_removes_the_counts_and_keeps_the_digits() {
        let floor = |zero| drop_floor(&tenth(), zero).milli();
        // By hand: √((0.2/√3)² + (0.1/√12)² + 0.028868² + 0.0087²) = 0.1228 mV, times 3.29.
        assert!((floor(None) - 3.29 * 0.122_8).abs() < 1e-3, "{}", floor(None));
        // √(4 · 0.028868² + 0.0087²) = 0.05838 mV.
        let zero = Some(Zero { entry: 2, offset: Volt::from_milli(0.1) });
        assert!((floor(zero) - 3.29 * 0.058_38).abs() < 1e-3, "{}", floor(zero));
    }

    /// One shared count on thirty readings stays thirty counts, not √30 of them.
    #[test]
    fn the_offset_is_shared_by_all_readings_until_the_next_zero() {
        let one = drop_voltage(&Typed::measured(Volt::ZERO, 1e-4, ""), &tenth(), None);
        let sum = (1..30).fold(one.clone(), |sum, _| sum.plus(&one));
        let shared = 30.0 * 0.2 / 3.0_f64.sqrt();
        let own = 30.0_f64.sqrt() * one.own().milli();
        assert!((sum.u().milli() - shared.hypot(own)).abs() < 1e-9);
        let zeroed = drop_voltage(
            &Typed::measured(Volt::ZERO, 1e-4, ""),
            &tenth(),
            Some(Zero { entry: 9, offset: Volt::ZERO }),
        );
        assert!(one.covariance(&zeroed).abs() < 1e-18, "a new zero starts a new error");
    }
}
