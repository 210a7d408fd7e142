//! Slips of the hand: a comma or a unit too many, before and after swapped, volts of no battery, a rating as a name.
//! They are asked about before anything is entered where somebody can be asked, and warned of where nobody can.
//! Leaves to others: readings absurd for a parked vehicle (`doubt`), the words (`text/slip`).

use super::{Measurement, Reading};
use crate::base::quantity::{Ampere, Typed, Volt};
use crate::instrument::profile::Profile;

/// What looks like a slip.
#[derive(Debug, Clone, PartialEq)]
pub enum Slip {
    /// Ten or a thousand times more or less than what was read before.
    Factor {
        /// As it was typed.
        typed: Typed<Ampere>,
        /// What was read before.
        known: Ampere,
    },
    /// More digits than the meter shows.
    Digits {
        /// As it was typed.
        text: String,
        /// Name of the meter.
        meter: String,
    },
    /// The total after the work is what it was before it, and the total before it is not.
    Swapped {
        /// Typed as the total before.
        before: Typed<Ampere>,
        /// Typed as the total after.
        after: Typed<Ampere>,
    },
    /// No battery of this system has such volts.
    NoBattery {
        /// As they were typed.
        volts: Typed<Volt>,
        /// Nominal volts of the system.
        system: Volt,
        /// What they are with the comma or the unit right, if that can be told.
        meant: Option<Volt>,
    },
    /// A limit far from what is usual for the class.
    Limit {
        /// As it was typed.
        typed: Typed<Ampere>,
        /// What is usual.
        usual: Ampere,
    },
    /// The name of a fuse that reads like a rating.
    RatingAsName(String),
}

/// How far from exactly ten times a value may be to look like a slip of the comma; from a thousand times, like one of
/// the unit. Editorial: a draw that falls to a tenth by itself hits such a window in some 3 of 100 cases.
const COMMA: (f64, f64) = (10.0, 0.03);
const UNIT: (f64, f64) = (1000.0, 0.1);

/// A total within this of the known one is the known one. Editorial.
const SAME: f64 = 0.1;

/// A limit so many times above or below what is usual for the class is asked about. Editorial: makers of passenger cars print
/// 20 to 85 mA, less than three times either way.
const FAR_LIMIT: f64 = 3.0;

/// Most volts that a battery shows while it is charged, over the nominal ones: 16.8 V of 12 V (common practice: above
/// 16 V the regulator has failed, and nothing shows 17 V).
const MOST_VOLTS: f64 = 1.4;

/// Least volts that are worth a question: below, nothing is connected.
const LEAST_VOLTS: Volt = Volt::new(1.0);

/// Returns the total as it was read last before the entry of this number, in the same state: the newest of the totals and of what stood before and after
/// pulls and the like. After the repair a total has every right to be a tenth.
pub fn known_total(
    readings: &[Reading],
    number: usize,
    what: &Measurement,
    after_repair: bool,
) -> Option<Ampere> {
    let as_found = matches!(what, Measurement::Total { as_found: true, .. });
    let same_state = |reading: &&Reading| reading.entry < number && reading.after_repair == after_repair;
    readings.iter().rev().filter(same_state).find_map(|reading| total_after(&reading.what, as_found))
}

fn total_after(what: &Measurement, as_found: bool) -> Option<Ampere> {
    match what {
        // As found it may have been awake: that says nothing of asleep.
        Measurement::Total { current, as_found: found } => (*found == as_found).then_some(current.value),
        Measurement::Watch { current } => Some(current.value),
        Measurement::Pull { after, .. }
        | Measurement::Unplug { after, .. }
        | Measurement::Input { after, .. }
        | Measurement::Refit { total: after, .. } => Some(after.value),
        _ => None,
    }
}

/// Looks for a slip in a reading of currents; `known` is the total as it was read before, if it was.
pub fn in_reading(
    what: &Measurement,
    known: Option<Ampere>,
    meter: &Profile,
    clamp: &Profile,
) -> Option<Slip> {
    match what {
        Measurement::Total { current, .. } => {
            factor(current, known, &[COMMA, UNIT]).or_else(|| digits(current, clamp))
        }
        // While the vehicle falls asleep its draw falls to a tenth by itself.
        Measurement::Watch { current } => factor(current, known, &[UNIT]).or_else(|| digits(current, clamp)),
        Measurement::Clamp { current, .. } | Measurement::Refit { total: current, .. } => {
            digits(current, clamp)
        }
        Measurement::Pull { before, after, .. }
        | Measurement::Unplug { before, after, .. }
        | Measurement::Input { before, after, .. } => swapped(before, after, known)
            .or_else(|| factor(before, known, &[COMMA, UNIT]))
            .or_else(|| digits(before, clamp))
            .or_else(|| digits(after, clamp)),
        Measurement::Drop { drop, .. } => digits(drop, meter),
        Measurement::Step { before, after, .. } => digits(before, meter).or_else(|| digits(after, meter)),
        _ => None,
    }
}

fn digits<U>(typed: &Typed<U>, meter: &Profile) -> Option<Slip> {
    (typed.step < meter.resolution * 0.99)
        .then(|| Slip::Digits { text: typed.text.clone(), meter: meter.name.clone() })
}

fn factor(typed: &Typed<Ampere>, known: Option<Ampere>, near: &[(f64, f64)]) -> Option<Slip> {
    let known = known.filter(|known| *known > Ampere::ZERO)?;
    let ratio = typed.value / known;
    let slipped = |(times, within): &(f64, f64)| {
        [ratio / times, ratio * times].iter().any(|left| (left - 1.0).abs() < *within)
    };
    near.iter().any(slipped).then(|| Slip::Factor { typed: typed.clone(), known })
}

fn swapped(before: &Typed<Ampere>, after: &Typed<Ampere>, known: Option<Ampere>) -> Option<Slip> {
    let is_known = |value: Ampere| known.is_some_and(|known| (value - known).abs() < known * SAME);
    (is_known(after.value) && !is_known(before.value) && before.value < after.value)
        .then(|| Slip::Swapped { before: before.clone(), after: after.clone() })
}

/// Looks for a slip in a limit, beside what is usual for vehicles of the class.
pub fn in_limit(typed: &Typed<Ampere>, usual: Ampere) -> Option<Slip> {
    let is_usual = typed.value * FAR_LIMIT >= usual && typed.value <= usual * FAR_LIMIT;
    (!is_usual).then(|| Slip::Limit { typed: typed.clone(), usual })
}

/// Looks for a slip in battery volts of a system of these nominal volts.
pub fn in_volts(volts: &Typed<Volt>, system: Volt) -> Option<Slip> {
    let fits = |value: Volt| value >= LEAST_VOLTS && value <= system * MOST_VOLTS;
    if fits(volts.value) {
        return None;
    }
    // Where the comma or the unit would have to stand for a battery that is neither flat nor boiling.
    let likely = |value: &Volt| *value >= system * 0.8 && *value <= system * 1.25;
    let meant = [0.001, 0.01, 0.1, 10.0, 100.0, 1000.0].map(|times| volts.value * times);
    Some(Slip::NoBattery { volts: volts.clone(), system, meant: meant.into_iter().find(likely) })
}

/// Looks for a rating where the name of a fuse should stand: `10A mini 10 radio`.
pub fn in_lid_line(line: &str) -> Option<Slip> {
    let name = line.split_whitespace().next()?;
    let number = name.strip_suffix(['A', 'a'])?;
    number.parse::<f64>().is_ok().then(|| Slip::RatingAsName(name.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Unit;
    use crate::base::quantity::parse::Readable;
    use crate::circuit::meters;

    fn current(text: &str) -> Typed<Ampere> {
        Ampere::read(text, "mA").expect("a current")
    }

    fn found(what: &Measurement, known: f64) -> Option<Slip> {
        let meter = meters::find("tenth-mv", true).expect("built in");
        let clamp = meters::find("clamp-1ma", false).expect("built in");
        in_reading(what, Some(Ampere::from_milli(known)), &meter, &clamp)
    }

    #[test]
    fn a_comma_or_a_unit_too_many_is_seen_in_a_total() {
        let total = |text| Measurement::Total { current: current(text), as_found: false };
        for slip in ["0,143", "1430", "143 A", "14.3"] {
            assert!(matches!(found(&total(slip), 143.0), Some(Slip::Factor { .. })), "{slip}");
        }
        for sound in ["143", "60", "310", "2000"] {
            assert_eq!(found(&total(sound), 143.0), None, "{sound}");
        }
        assert!(matches!(found(&total("60.25"), 143.0), Some(Slip::Digits { .. })));
    }

    #[test]
    fn falling_asleep_to_a_tenth_is_no_slip_but_a_thousandth_is() {
        let watch = |text| Measurement::Watch { current: current(text) };
        assert_eq!(found(&watch("411"), 4110.0), None);
        assert!(matches!(found(&watch("4"), 4110.0), Some(Slip::Factor { .. })));
    }

    #[test]
    fn before_and_after_swapped_is_seen() {
        let pull = |before, after| Measurement::Pull {
            feed: "F12".into(),
            before: current(before),
            after: current(after),
        };
        assert!(matches!(found(&pull("4", "411"), 415.0), Some(Slip::Swapped { .. })));
        assert_eq!(found(&pull("411", "4"), 415.0), None);
        assert_eq!(found(&pull("411", "409"), 415.0), None);
        assert_eq!(found(&pull("411", "900"), 415.0), None, "something woke");
    }

    #[test]
    fn volts_that_no_battery_has_are_asked_about_with_what_was_meant() {
        let volts = |text, system| {
            let typed = Volt::read(text, "V").expect("volts");
            in_volts(&typed, Volt::new(system)).map(|slip| match slip {
                Slip::NoBattery { meant, .. } => meant.map(|meant| (meant.base() * 100.0).round() / 100.0),
                other => panic!("{other:?}"),
            })
        };
        assert_eq!(volts("122", 12.0), Some(Some(12.2)));
        assert_eq!(volts("143mV", 12.0), Some(Some(14.3)));
        assert_eq!(volts("126.1", 12.0), Some(Some(12.61)));
        assert_eq!(volts("0.3", 12.0), Some(None), "nothing is connected");
        for (sound, system) in [("12.6", 12.0), ("3.1", 12.0), ("15.2", 12.0), ("28.4", 24.0), ("6.3", 6.0)] {
            assert_eq!(volts(sound, system), None, "{sound}");
        }
        assert!(volts("28.4", 12.0).is_some());
    }

    #[test]
    fn a_rating_is_no_name() {
        assert!(in_lid_line("10A mini 10 radio").is_some() && in_lid_line("7.5a mini").is_some());
        for line in ["F12 mini 10 radio", "10 mini 10 radio", "A mini 10", "1A1 mini 5", ""] {
            assert_eq!(in_lid_line(line), None, "{line}");
        }
    }
}
