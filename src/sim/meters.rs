//! What the meters in use add to the truth: offset, gain, noise, and a last digit.
//! Leaves to others: which reading is taken when (`readings`), and what it means (`measure`).

use super::clock::seconds;
use super::constants as k;
use super::rng::SimRng;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Celsius, Minute, Typed, Unit, Volt};
use crate::instrument::profile::{Profile, Way};

/// The meters in use and their hidden errors.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Kit {
    /// Meter across fuses.
    pub(super) meter: Profile,
    /// Clamp around cables.
    pub(super) clamp: Profile,
    /// Clamp or ammeter that totals are read with.
    pub(super) ammeter: Profile,
    /// Rested volts of the battery at the start, of a 12 V battery.
    pub(super) rested: Volt,
    /// Volts with the engine running, of a 12 V system.
    pub(super) running: Volt,
    seed: u64,
    /// Offset of the voltmeter, as a share of its counts.
    offset: f64,
    /// Drift of that offset, in counts per hour.
    drift: f64,
    /// Gain error of the voltmeter, as a share of its percent.
    gain: f64,
    /// Gain error of the clamp, as a share of its percent.
    clamp_gain: f64,
}

impl Kit {
    /// Draws the errors of the meters.
    pub(super) fn draw(seed: u64) -> Self {
        let mut rng = SimRng::new(seed, "meters");
        let profile = |name: &str, way, resolution, percent, counts| Profile {
            name: String::from(name),
            way,
            resolution,
            percent,
            counts,
        };
        let clamp = profile("clamp-1ma", Way::Clamp, 1e-3, 1.5, 5.0);
        Self {
            meter: profile("tenth-mv", Way::Volts, 1e-4, 0.5, 2.0),
            ammeter: clamp.clone(),
            clamp,
            rested: Volt::new(rng.between(k::RESTED_VOLTS.0.base(), k::RESTED_VOLTS.1.base())),
            running: Volt::new(rng.between(k::RUNNING_VOLTS.0.base(), k::RUNNING_VOLTS.1.base())),
            seed,
            offset: (k::OFFSET_SD_OF_COUNTS * rng.normal()).clamp(-1.0, 1.0),
            drift: k::OFFSET_DRIFT_SD * rng.normal(),
            gain: rng.between(-k::GAIN_OF_PERCENT, k::GAIN_OF_PERCENT),
            clamp_gain: rng.between(-k::GAIN_OF_PERCENT, k::GAIN_OF_PERCENT),
        }
    }

    /// Shows a small voltage on the meter: a fuse's drop, or nothing with its leads shorted.
    pub(super) fn show_drop(&self, truth: Volt, at: Minute, place: &str) -> Typed<Volt> {
        let mut rng = self.rng("drop", place, at);
        let meter = &self.meter;
        let offset = self.offset * meter.counts + self.drift * at.base() / 60.0;
        let shown = truth.base() * (1.0 + self.gain * meter.percent / 100.0)
            + (offset + k::VOLTS_NOISE_COUNTS * rng.normal()) * meter.resolution
            + k::THERMAL_SD.base() * rng.normal();
        display(shown, meter.resolution, true)
    }

    /// Shows the total on the clamp or ammeter, which stays where it is all through the hunt.
    pub(super) fn show_total(&self, truth: Ampere, at: Minute) -> Typed<Ampere> {
        let placed = SimRng::new(self.seed, "clamp on the battery cable").normal();
        self.show_current(truth, placed, at, "battery", &self.ammeter)
    }

    /// Shows a current on the clamp, put on anew.
    pub(super) fn show_clamp(&self, truth: Ampere, at: Minute, place: &str) -> Typed<Ampere> {
        let placed = self.rng("clamp put on", place, at).normal();
        self.show_current(truth, placed, at, place, &self.clamp)
    }

    fn show_current(
        &self,
        truth: Ampere,
        placed: f64,
        at: Minute,
        place: &str,
        clamp: &Profile,
    ) -> Typed<Ampere> {
        let mut rng = self.rng("current", place, at);
        let offset = (k::CLAMP_OFFSET_SD_OF_COUNTS * placed).clamp(-1.0, 1.0) * clamp.counts;
        let flutter = k::FLUTTER * rng.normal();
        let shown = truth.base() * (1.0 + self.clamp_gain * clamp.percent / 100.0 + flutter)
            + (offset + k::CLAMP_NOISE_COUNTS * rng.normal()) * clamp.resolution;
        display(shown, clamp.resolution, clamp.resolution < 0.0099 && shown.abs() < 1.0)
    }

    /// Shows battery volts.
    pub(super) fn show_volts(&self, truth: Volt, at: Minute, what: &str) -> Typed<Volt> {
        let noise = k::BATTERY_VOLTS_NOISE * self.rng("volts", what, at).normal();
        display((truth + noise).base(), k::BATTERY_VOLTS_STEP.base(), false)
    }

    /// Shows a temperature.
    pub(super) fn show_temperature(&self, truth: Celsius, at: Minute, place: &str) -> Typed<Celsius> {
        let noise = k::THERMOMETER_SD * self.rng("temperature", place, at).normal();
        display((truth + noise).base(), k::THERMOMETER_STEP.base(), false)
    }

    /// Draws whether a look finds what it finds with this chance.
    pub(super) fn is_found(&self, chance: f64, at: Minute, place: &str) -> bool {
        self.rng("look", place, at).chance(chance)
    }

    /// Draws whether a report says what it says with this chance.
    pub(super) fn is_reported(&self, chance: f64, at: Minute, place: &str) -> bool {
        self.rng("report", place, at).chance(chance)
    }

    /// Draws the current of the known load of a step.
    pub(super) fn step_current(&self, rating: Ampere, at: Minute, place: &str) -> Ampere {
        let (low, high) = k::STEP_CURRENT;
        let current = Ampere::new(self.rng("step", place, at).between(low.base(), high.base()));
        current.min(rating * k::STEP_AT_MOST_OF_RATING)
    }

    /// Starts the draws of one reading. They hang on what is read and when, not on how many readings went before:
    /// a hunt that goes on from its log shows what it would have shown anyway.
    fn rng(&self, what: &str, place: &str, at: Minute) -> SimRng {
        SimRng::keyed(self.seed, &format!("{what} {place}"), seconds(at))
    }
}

/// Rounds to the last digit and writes what a person would type; never a negative zero.
fn display<U: Readable>(value: f64, resolution: f64, milli: bool) -> Typed<U> {
    let resolution = if resolution > 0.0 && resolution.is_finite() { resolution } else { 1e-6 };
    let counts = (value / resolution).round();
    // Adding zero turns -0 into 0.
    let rounded = counts * resolution + 0.0;
    let (factor, prefix) = if milli { (1000.0, "m") } else { (1.0, "") };
    let decimals = (-(resolution * factor).log10() - 1e-9).ceil().clamp(0.0, 9.0) as usize;
    let text = format!("{:.decimals$} {prefix}{}", rounded * factor, U::SYMBOL);
    // Read back, so that the log gives the very same number.
    U::read(&text, U::SYMBOL).unwrap_or_else(|_| Typed::measured(U::from_base(rounded), resolution, text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_display_writes_what_a_person_would_type() {
        let text = |value, resolution, milli| display::<Ampere>(value, resolution, milli).text;
        assert_eq!(text(0.4823, 1e-3, true), "482 mA");
        assert_eq!(text(1.4823, 1e-3, false), "1.482 A");
        assert_eq!(text(0.4823, 1e-2, false), "0.48 A");
        assert_eq!(text(-0.0004, 1e-3, true), "0 mA");
        assert_eq!(text(-0.0016, 1e-3, true), "-2 mA");
        let drop = display::<Volt>(0.002_96, 1e-4, true);
        assert_eq!(drop.text, "3.0 mV");
        assert!((drop.step - 1e-4).abs() < 1e-12);
        assert_eq!(display::<Volt>(0.002_964, 1e-5, true).text, "2.96 mV");
        assert_eq!(display::<Volt>(-0.000_03, 1e-4, true).text, "0.0 mV");
        assert_eq!(display::<Volt>(12.431, 0.01, false).text, "12.43 V");
        assert_eq!(display::<Celsius>(-3.2, 1.0, false).text, "-3 °C");
    }

    #[test]
    fn the_errors_of_a_meter_stay_within_what_its_maker_states() {
        for seed in 0..300 {
            let kit = Kit::draw(seed);
            let truth = Volt::from_milli(40.0);
            let shown = kit.show_drop(truth, Minute::new(3.0), "F1").value;
            // 0.5 % of 40 mV, 2 counts, and a little more for what is not the meter's: noise, warmth, rounding.
            assert!((shown - truth).abs().milli() <= 0.2 + 0.2 + 0.25, "seed {seed}: {shown:?}");
        }
    }
}
