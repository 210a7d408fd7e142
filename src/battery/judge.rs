//! The verdict on a battery: fit, not yet to be judged, or doubtful, with every reason for it.
//! Leaves to others: asking (`hunt`), the words, and what would settle each reason (`text/battery`).

use super::charge::{AtRest, Charge, charge};
use super::chemistry::Chemistry;
use super::cold::freezes_at;
use super::reason::{BatteryReason, BatteryVerdict};
use super::table::{BatteryTable, celsius};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, AmpereHour, Celsius, Minute, Share, Unit, Volt};

/// Older than this a battery is worth a test. Editorial.
const OLD_YEARS: u16 = 5;
/// A battery this close to where its acid freezes may be frozen. Editorial.
const NEAR_FROST: Celsius = Celsius::new(3.0);

/// What a tester or the user said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Test {
    /// Tested good.
    Good,
    /// Tested bad.
    Bad,
    /// Frozen, swollen or leaking: it is left alone.
    Unsafe,
}

/// Everything that is known of a battery.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BatteryEvidence {
    /// Type, if known.
    pub chemistry: Option<Chemistry>,
    /// Volts at rest of each 12 V battery.
    pub volts: Vec<Volt>,
    /// Temperature of the battery.
    pub temperature: Option<Celsius>,
    /// Time since the last charge or drive.
    pub rested: Option<Minute>,
    /// What a test said.
    pub test: Option<Test>,
    /// Rated cold cranking current.
    pub rated_cranking: Option<Ampere>,
    /// Measured cranking rating, by the same standard.
    pub measured_cranking: Option<Ampere>,
    /// Volts at the end of a load test, half the cranking rating for 15 s.
    pub load_test: Option<Volt>,
    /// True if it was charged before its volts were read, false if not.
    pub charged: Option<bool>,
    /// Its rated capacity.
    pub rated_capacity: Option<AmpereHour>,
    /// Its capacity as a tester or a discharge measured it.
    pub measured_capacity: Option<AmpereHour>,
    /// Volts from post to case top.
    pub post_leak: Option<Volt>,
    /// True if the clamps hold and are clean, false if not.
    pub clamps_hold: Option<bool>,
    /// Age in years.
    pub age: Option<u16>,
}

/// The verdict with its reasons.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// The verdict.
    pub verdict: BatteryVerdict,
    /// Every reason, the gravest first.
    pub reasons: Vec<BatteryReason>,
}

impl Judgement {
    /// Returns true if the work stops before this battery.
    pub fn stops(&self) -> bool {
        self.reasons.iter().any(BatteryReason::stops)
    }

    /// Returns the lowest state of charge among its batteries, if volts were read.
    pub fn charge(&self) -> Option<&Charge> {
        self.reasons.iter().find_map(|reason| match reason {
            BatteryReason::Charged(charge)
            | BatteryReason::ChargeLow(charge)
            | BatteryReason::ChargeUnreadable(charge) => Some(charge),
            _ => None,
        })
    }
}

/// Judges a battery.
///
/// # Errors
/// The table has no such type.
pub fn judge(table: &BatteryTable, evidence: &BatteryEvidence) -> Result<Judgement, Diagnostic> {
    let mut reasons = Vec::new();
    match evidence.test {
        Some(Test::Unsafe) => reasons.push(BatteryReason::Unsafe),
        Some(Test::Bad) => reasons.push(BatteryReason::TestedBad),
        Some(Test::Good) => reasons.push(BatteryReason::TestedGood),
        None => {}
    }
    let least_charge = Share::new(table.written.load_test.least_charge_percent / 100.0);
    let charge = weakest(table, evidence)?;
    reasons.extend(charge.clone().map(|charge| match &charge {
        unread if unread.unreadable.is_some() => BatteryReason::ChargeUnreadable(charge),
        low if low.share.value() < least_charge => BatteryReason::ChargeLow(charge),
        _ => BatteryReason::Charged(charge),
    }));
    reasons.extend(shorted(table, evidence));
    reasons.extend(frost(table, evidence));
    reasons.extend(worn(table, evidence));
    reasons.extend(cranking(table, evidence));
    reasons.extend(load_test(table, evidence, charge.as_ref(), least_charge));
    reasons.extend(contacts(table, evidence));
    if !reasons.iter().any(BatteryReason::is_test) && !reasons.contains(&BatteryReason::Unsafe) {
        let old = evidence.age.filter(|years| *years >= OLD_YEARS);
        reasons.push(old.map_or(BatteryReason::NotTested, BatteryReason::Old));
    }
    reasons.sort_by_key(|reason| std::cmp::Reverse((reason.stops(), reason.says())));
    let verdict = reasons.iter().map(BatteryReason::says).max().unwrap_or(BatteryVerdict::NotYet);
    Ok(Judgement { verdict, reasons })
}

/// State of charge of the battery with the least volts.
fn weakest(table: &BatteryTable, evidence: &BatteryEvidence) -> Result<Option<Charge>, Diagnostic> {
    let Some(volts) = evidence.volts.iter().copied().reduce(Volt::min) else { return Ok(None) };
    let at_rest = AtRest { volts, temperature: evidence.temperature, rested: evidence.rested };
    charge(table, &at_rest, evidence.chemistry).map(Some)
}

fn frost(table: &BatteryTable, evidence: &BatteryEvidence) -> Option<BatteryReason> {
    let acid = evidence.chemistry.is_none_or(Chemistry::has_acid);
    let temperature = evidence.temperature.filter(|_| acid)?;
    let volts = evidence.volts.iter().copied().reduce(Volt::min)?;
    let freezes = freezes_at(table, volts)?;
    (temperature < Celsius::ZERO && temperature - NEAR_FROST <= freezes)
        .then_some(BatteryReason::MayBeFrozen { freezes, temperature })
}

/// Volts of five sound cells, on a battery that has six.
fn shorted(table: &BatteryTable, evidence: &BatteryEvidence) -> Option<BatteryReason> {
    let band = &table.written.shorted_cell;
    let shown = evidence.volts.iter().copied().reduce(Volt::min)?;
    let is_so = evidence.chemistry.is_none_or(Chemistry::has_acid)
        && (Volt::new(band.low_v)..=Volt::new(band.high_v)).contains(&shown);
    is_so.then_some(BatteryReason::ShortedCell { shown, charged: evidence.charged })
}

fn worn(table: &BatteryTable, evidence: &BatteryEvidence) -> Option<BatteryReason> {
    let (measured, rated) = (evidence.measured_capacity?, evidence.rated_capacity?);
    let sound = rated * (table.written.measured_capacity.sound_percent / 100.0);
    let says = if measured >= sound { BatteryVerdict::Fit } else { BatteryVerdict::Doubtful };
    Some(BatteryReason::Capacity { measured, rated, says })
}

/// Returns true if the temperature of a battery at these volts has to be known: its acid may freeze in a usual frost.
pub fn frost_is_asked(table: &BatteryTable, volts: Volt, chemistry: Option<Chemistry>) -> bool {
    let from = Celsius::new(table.written.frost_asked_celsius.celsius);
    chemistry.is_none_or(Chemistry::has_acid)
        && freezes_at(table, volts).is_some_and(|freezes| freezes >= from)
}

fn cranking(table: &BatteryTable, evidence: &BatteryEvidence) -> Option<BatteryReason> {
    let share = Share::new(evidence.measured_cranking? / evidence.rated_cranking?);
    let figures = &table.written.cranking_share;
    let percent = share.base() * 100.0;
    // Weak is doubtful as well: it may crank today and not on the first cold morning.
    let says = if percent >= figures.sound_percent { BatteryVerdict::Fit } else { BatteryVerdict::Doubtful };
    Some(BatteryReason::Cranking(share, says))
}

/// A load test counts from the least charge on; below it says nothing.
fn load_test(
    table: &BatteryTable,
    evidence: &BatteryEvidence,
    charge: Option<&Charge>,
    least_charge: Share,
) -> Option<BatteryReason> {
    let shown = evidence.load_test?;
    let degrees = evidence.temperature.map_or(20.0, celsius);
    let least = Volt::new(table.load_test.at(degrees)?.0);
    let charged = charge.is_none_or(|charge| charge.share.value() >= least_charge);
    let says = match (shown >= least, charged) {
        (true, _) => BatteryVerdict::Fit,
        (false, true) => BatteryVerdict::Doubtful,
        (false, false) => BatteryVerdict::NotYet,
    };
    Some(BatteryReason::LoadTest { shown, least, says })
}

fn contacts(table: &BatteryTable, evidence: &BatteryEvidence) -> Vec<BatteryReason> {
    let mut reasons = Vec::new();
    let path = Volt::new(table.written.post_leak.volts);
    reasons.extend(evidence.post_leak.filter(|shown| shown.abs() >= path).map(BatteryReason::PostLeak));
    if evidence.clamps_hold == Some(false) {
        reasons.push(BatteryReason::Clamps);
    }
    let most = evidence.volts.iter().copied().reduce(Volt::max);
    let least = evidence.volts.iter().copied().reduce(Volt::min);
    if let (Some(most), Some(least)) = (most, least) {
        let apart = most - least;
        let pair = Volt::new(table.written.charging.pair.volts);
        reasons.extend((apart > pair).then_some(BatteryReason::Unequal(apart)));
    }
    reasons
}

/// Returns true if a measured cranking rating is weak rather than bad.
pub fn is_weak(table: &BatteryTable, share: Share) -> bool {
    share.base() * 100.0 >= table.written.cranking_share.weak_percent
}

#[cfg(test)]
mod tests {
    use super::*;

    fn evidence(volts: f64) -> BatteryEvidence {
        BatteryEvidence {
            chemistry: Some(Chemistry::Flooded),
            volts: vec![Volt::new(volts)],
            ..BatteryEvidence::default()
        }
    }

    fn verdict(evidence: &BatteryEvidence) -> BatteryVerdict {
        judge(BatteryTable::builtin().expect("built in"), evidence).expect("a type").verdict
    }

    #[test]
    fn a_charged_battery_that_tested_good_is_fit_and_an_untested_one_not_yet() {
        let tested = BatteryEvidence { test: Some(Test::Good), ..evidence(12.6) };
        assert_eq!(verdict(&tested), BatteryVerdict::Fit);
        assert_eq!(verdict(&evidence(12.6)), BatteryVerdict::NotYet);
        assert_eq!(
            verdict(&BatteryEvidence { test: Some(Test::Good), ..evidence(12.2) }),
            BatteryVerdict::NotYet
        );
        assert_eq!(
            verdict(&BatteryEvidence { test: Some(Test::Bad), ..evidence(12.6) }),
            BatteryVerdict::Doubtful
        );
    }

    #[test]
    fn lithium_that_tested_good_is_fit_though_its_charge_cannot_be_read() {
        let lithium = BatteryEvidence { chemistry: Some(Chemistry::Lithium), ..evidence(13.2) };
        assert_eq!(
            verdict(&BatteryEvidence { test: Some(Test::Good), ..lithium.clone() }),
            BatteryVerdict::Fit
        );
        assert_eq!(verdict(&lithium), BatteryVerdict::NotYet, "nobody tested it");
    }

    #[test]
    fn a_measured_cranking_rating_counts_as_a_share_of_the_rated_one() {
        let share = |measured: f64| BatteryEvidence {
            rated_cranking: Some(Ampere::new(600.0)),
            measured_cranking: Some(Ampere::new(measured)),
            ..evidence(12.6)
        };
        assert_eq!(verdict(&share(480.0)), BatteryVerdict::Fit);
        assert_eq!(verdict(&share(450.0)), BatteryVerdict::Doubtful);
    }

    #[test]
    fn the_load_test_is_held_against_the_least_volts_of_its_temperature() {
        let at = |volts: f64, degrees: f64| BatteryEvidence {
            temperature: Some(Celsius::new(degrees)),
            load_test: Some(Volt::new(volts)),
            ..evidence(12.6)
        };
        assert_eq!(verdict(&at(9.5, 21.0)), BatteryVerdict::Doubtful);
        assert_eq!(verdict(&at(9.5, 4.0)), BatteryVerdict::Fit);
        let low = BatteryEvidence { load_test: Some(Volt::new(9.0)), ..evidence(12.1) };
        assert_eq!(
            verdict(&low),
            BatteryVerdict::NotYet,
            "a test of a battery that is not charged fails nobody"
        );
    }

    #[test]
    fn a_frozen_or_swollen_battery_stops_the_work() {
        let stops = |evidence: &BatteryEvidence| {
            judge(BatteryTable::builtin().expect("built in"), evidence).expect("ok").stops()
        };
        assert!(stops(&BatteryEvidence { test: Some(Test::Unsafe), ..evidence(12.6) }));
        let cold = |volts: f64, degrees: f64| BatteryEvidence {
            temperature: Some(Celsius::new(degrees)),
            ..evidence(volts)
        };
        assert!(stops(&cold(11.5, -8.0)));
        assert!(!stops(&cold(12.6, -8.0)) && !stops(&cold(11.0, 5.0)));
        let lithium = BatteryEvidence { chemistry: Some(Chemistry::Lithium), ..cold(11.5, -8.0) };
        assert!(!stops(&lithium), "no acid");
    }

    #[test]
    fn leakage_clamps_age_and_an_unequal_pair_are_reasons() {
        let leak =
            BatteryEvidence { post_leak: Some(Volt::new(0.6)), test: Some(Test::Good), ..evidence(12.6) };
        assert_eq!(verdict(&leak), BatteryVerdict::Doubtful);
        assert_eq!(
            verdict(&BatteryEvidence { clamps_hold: Some(false), ..leak.clone() }),
            BatteryVerdict::Doubtful
        );
        let pair = BatteryEvidence { volts: vec![Volt::new(12.7), Volt::new(12.3)], ..evidence(0.0) };
        let found = judge(BatteryTable::builtin().expect("built in"), &pair).expect("ok");
        assert!(matches!(found.reasons.first(), Some(BatteryReason::Unequal(_))), "{found:?}");
        let old = judge(
            BatteryTable::builtin().expect("built in"),
            &BatteryEvidence { age: Some(7), ..evidence(12.6) },
        );
        assert!(old.expect("ok").reasons.contains(&BatteryReason::Old(7)));
    }
}
