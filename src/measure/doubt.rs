//! Readings that are absurd for a parked vehicle: questions, not errors. They are entered and asked about.
//! Leaves to others: contradictions among readings (`balance/conflict`).

use super::{Measurement, Reading};
use crate::base::quantity::{Ampere, Ohm, Typed, Uncertain, Volt};
use crate::circuit::fuse_table::FuseTable;
use crate::instrument::uncertainty::{Zero, current as current_of};
use crate::measure::convert::{current_of_drop, resistance_of_step};
use crate::measure::observation::Panel;
use crate::measure::observe::{STEP, fuse_of};

/// A current above this on one parked vehicle is questioned. Editorial: a bus held awake draws up to 3.5 A, shorted
/// alternator diodes 5 A, a glow-plug unit 11 A.
const MORE_THAN_ANY: Ampere = Ampere::new(15.0);

/// A part may seem to carry so much more than the total, on a car, before that is questioned. Editorial.
const MORE_THAN_TOTAL: Ampere = Ampere::from_milli(20.0);

/// What is doubtful about a reading.
#[derive(Debug, Clone, PartialEq)]
pub enum Doubt {
    /// A part seems to carry more than the total.
    OverTotal {
        /// Where it was read.
        at: String,
        /// What was read there.
        current: Ampere,
        /// The total.
        total: Ampere,
    },
    /// The total was larger after taking something off than before.
    Rose {
        /// The total before.
        before: Ampere,
        /// The total after.
        after: Ampere,
    },
    /// More than any parked vehicle draws.
    Large(Ampere),
    /// A drop means more than the total.
    DropOverTotal {
        /// The fuse.
        feed: String,
        /// The drop as typed.
        drop: String,
        /// What it means.
        current: Ampere,
        /// The total.
        total: Ampere,
        /// The resistance at which the total would be right.
        needed: Ohm,
        /// The resistance that was reckoned with.
        cold: Ohm,
    },
    /// A drop means more than the fuse or the vehicle carries.
    DropLarge {
        /// The fuse.
        feed: String,
        /// The drop as typed.
        drop: String,
        /// What it means.
        current: Ampere,
    },
    /// A drop is negative beyond the meter's offset, on this fuse.
    Negative(String),
    /// A known step is lost in what the meter can show, on this fuse.
    SmallStep(String),
}

/// Returns what is doubtful about a reading.
pub fn doubts(reading: &Reading, total: Option<&Uncertain<Ampere>>, panel: &Panel) -> Vec<Doubt> {
    match &reading.what {
        Measurement::Drop { feed, drop } => drop_doubts(reading, feed, drop, total, panel),
        Measurement::Step { feed, before, after, current } => {
            step_doubts(reading, feed, before, after, current)
        }
        Measurement::Total { current, .. } => large(current).into_iter().collect(),
        Measurement::Clamp { at, current } => {
            let more = total.filter(|total| {
                current.value - total.value() > (total.u() * 3.0).max(panel.map.scaled(MORE_THAN_TOTAL))
            });
            let more = more.map(|total| Doubt::OverTotal {
                at: at.clone(),
                current: current.value,
                total: total.value(),
            });
            more.into_iter().chain(large(current)).collect()
        }
        Measurement::Pull { before, after, .. }
        | Measurement::Unplug { before, after, .. }
        | Measurement::Input { before, after, .. } => {
            let rose = (after.value > before.value + panel.map.scaled(STEP))
                .then_some(Doubt::Rose { before: before.value, after: after.value });
            rose.into_iter().chain(large(before)).collect()
        }
        Measurement::Refit { total, .. } => large(total).into_iter().collect(),
        _ => Vec::new(),
    }
}

fn large(current: &Typed<Ampere>) -> Option<Doubt> {
    (current.value.abs() > MORE_THAN_ANY).then_some(Doubt::Large(current.value))
}

fn drop_doubts(
    reading: &Reading,
    feed: &str,
    drop: &Typed<Volt>,
    total: Option<&Uncertain<Ampere>>,
    panel: &Panel,
) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    let table = FuseTable::builtin();
    let known = panel.tree.find_feed(feed).ok().and_then(|index| fuse_of(index, &panel.map, table).ok());
    let Some(fuse) = known else { return doubts };
    let zero = reading.zero.map(|(entry, offset)| Zero { entry, offset });
    let converted = current_of_drop(drop, &reading.meter, zero, &fuse, &reading.temperature, table);
    let current = &converted.current;
    let (feed, typed, means) = (feed.to_owned(), drop.text.clone(), current.value());
    if let Some(total) = total
        && current.low() > total.high().max(panel.map.scaled(STEP))
    {
        let needed = drop.value / total.value().max(Ampere::from_milli(0.1));
        let (total, cold) = (total.value(), fuse.resistance.r25);
        doubts.push(Doubt::DropOverTotal {
            feed: feed.clone(),
            drop: typed,
            current: means,
            total,
            needed,
            cold,
        });
    } else if means.abs() > MORE_THAN_ANY.min(fuse.rating) {
        doubts.push(Doubt::DropLarge { feed: feed.clone(), drop: typed, current: means });
    }
    if current.high() < Ampere::ZERO - converted.floor.value() {
        doubts.push(Doubt::Negative(feed));
    }
    doubts
}

fn step_doubts(
    reading: &Reading,
    feed: &str,
    before: &Typed<Volt>,
    after: &Typed<Volt>,
    current: &Typed<Ampere>,
) -> Vec<Doubt> {
    let step = current_of(current, &reading.clamp);
    let table = FuseTable::builtin();
    let usable = resistance_of_step(before, after, &step, &reading.meter, reading.temperature.value(), table);
    usable.is_none().then(|| Doubt::SmallStep(feed.to_owned())).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Celsius;
    use crate::base::quantity::parse::Readable;
    use crate::circuit::fuse::Family;
    use crate::circuit::map::{Access, Feed, FuseSpec, Map, VehicleClass};
    use crate::circuit::meters;

    fn panel() -> Panel {
        let fuse = FuseSpec { family: Family::Mini, rating: Ampere::new(10.0), own_resistance: None };
        let feed = Feed {
            family_guessed: false,
            id: "F12".into(),
            parent: None,
            place: None,
            fuse,
            access: Access::Points,
            hazard: None,
            loads: vec![],
        };
        Panel::new(Map {
            title: "one fuse".into(),
            system: Volt::new(12.0),
            class: VehicleClass::Car,
            year: None,
            told_batteries: None,
            boxes: [].into_iter().collect(),
            wake_groups: [].into_iter().collect(),
            feeds: [feed].into_iter().collect(),
            unfused: [].into_iter().collect(),
            sleep_after: None,
            limit: None,
        })
    }

    fn reading(what: Measurement) -> Reading {
        Reading {
            entry: 4,
            at: chrono::DateTime::parse_from_rfc3339("2026-01-05T07:00:00+01:00").expect("a time"),
            what,
            meter: meters::find("tenth-mv", true).expect("built in"),
            clamp: meters::find("clamp-1ma", false).expect("built in"),
            zero: None,
            temperature: Uncertain::new(Celsius::new(20.0), Celsius::new(5.0)),
            provisional: false,
            after_repair: false,
        }
    }

    fn drop(text: &str) -> Reading {
        reading(Measurement::Drop { feed: "F12".into(), drop: Volt::read(text, "mV").expect("a value") })
    }

    /// A pair once printed in a trade article: it implies 100 mΩ, which is no fuse of 2 A or more.
    #[test]
    fn six_millivolts_at_sixty_milliamperes_is_questioned() {
        let total = Uncertain::new(Ampere::from_milli(60.0), Ampere::from_milli(3.0));
        let doubts = doubts(&drop("6.0 mV"), Some(&total), &panel());
        let [Doubt::DropOverTotal { needed, .. }] = &doubts[..] else { panic!("{doubts:?}") };
        assert!((needed.milli() - 100.0).abs() < 1e-9, "{needed:?}");
    }

    #[test]
    fn a_reading_that_fits_is_not_questioned() {
        let total = Uncertain::new(Ampere::from_milli(482.0), Ampere::from_milli(5.0));
        assert!(doubts(&drop("3.0 mV"), Some(&total), &panel()).is_empty());
    }
}
