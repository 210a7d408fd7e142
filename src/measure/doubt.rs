//! Readings that are absurd for a parked vehicle: questions, not errors. They are entered and asked about.
//! Leaves to others: contradictions among readings (`balance/conflict`).

use super::{Measurement, Reading};
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Typed, Uncertain, Volt};
use crate::circuit::fuse_table::FuseTable;
use crate::measure::convert::{current_of_drop, resistance_of_step};
use crate::measure::observation::Panel;
use crate::measure::observe::{STEP, fuse_of};

/// A current above this on one parked vehicle is questioned. Editorial: a bus held awake draws up to 3.5 A, shorted
/// alternator diodes 5 A, a glow-plug unit 11 A.
const MORE_THAN_ANY: Ampere = Ampere::new(15.0);

/// A part may seem to carry so much more than the total, on a car, before that is questioned. Editorial.
const MORE_THAN_TOTAL: Ampere = Ampere::from_milli(20.0);

/// Returns what is doubtful about a reading, each in one sentence that asks for something.
pub fn doubts(reading: &Reading, total: Option<&Uncertain<Ampere>>, panel: &Panel) -> Vec<String> {
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
            let more = more.map(|total| {
                format!("{at} shows {}, more than the total of {}: clamp the right cable the right way round, or read the total again", bare(current.value, 3), bare(total.value(), 3))
            });
            more.into_iter().chain(large(current)).collect()
        }
        Measurement::Pull { before, after, .. }
        | Measurement::Unplug { before, after, .. }
        | Measurement::Input { before, after, .. } => {
            let fault = (after.value > before.value + panel.map.scaled(STEP)).then(|| {
                format!(
                    "the total rose from {} to {}: something woke; wait until it sleeps and read again",
                    bare(before.value, 3),
                    bare(after.value, 3)
                )
            });
            fault.into_iter().chain(large(before)).collect()
        }
        Measurement::Refit { total, .. } => large(total).into_iter().collect(),
        _ => Vec::new(),
    }
}

fn large(current: &Typed<Ampere>) -> Option<String> {
    (current.value.abs() > MORE_THAN_ANY).then(|| {
        format!(
            "{} is more than a parked vehicle draws: is the unit right, is everything off?",
            bare(current.value, 3)
        )
    })
}

fn drop_doubts(
    reading: &Reading,
    feed: &str,
    drop: &Typed<Volt>,
    total: Option<&Uncertain<Ampere>>,
    panel: &Panel,
) -> Vec<String> {
    let mut doubts = Vec::new();
    let converted =
        panel.tree.find_feed(feed).ok().zip(FuseTable::builtin().ok()).and_then(|(index, table)| {
            let fuse = fuse_of(index, &panel.map, table).ok()?;
            let zero =
                reading.zero.map(|(entry, offset)| crate::instrument::uncertainty::Zero { entry, offset });
            let converted = current_of_drop(drop, &reading.meter, zero, &fuse, &reading.temperature, table);
            Some((converted, fuse))
        });
    let Some((converted, fuse)) = converted else { return doubts };
    let current = &converted.current;
    if let Some(total) = total
        && current.low() > total.high().max(panel.map.scaled(STEP))
    {
        let implied = drop.value / total.value().max(Ampere::from_milli(0.1));
        doubts.push(format!(
            "{} on {feed} means {}, more than the total of {}; for the total to be right the fuse would need {:.0} mΩ and not {:.1}: is the unit right, are the probes on the fuse's own points, has the total changed?",
            drop.text, bare(current.value(), 3), bare(total.value(), 3), implied.milli(), fuse.resistance.r25.milli()
        ));
    } else if current.value().abs() > MORE_THAN_ANY.min(fuse.rating) {
        doubts.push(format!(
            "{} on {feed} means {}: is the unit right?",
            drop.text,
            bare(current.value(), 3)
        ));
    }
    if current.high() < Ampere::ZERO - converted.floor.value() {
        doubts.push(format!("{feed} reads negative beyond the meter's offset: probes the wrong way round, or a source behind it?"));
    }
    doubts
}

fn step_doubts(
    reading: &Reading,
    feed: &str,
    before: &Typed<Volt>,
    after: &Typed<Volt>,
    current: &Typed<Ampere>,
) -> Vec<String> {
    let step = crate::instrument::uncertainty::current(current, &reading.clamp);
    let table = FuseTable::builtin().ok();
    let usable = table.and_then(|table| {
        resistance_of_step(before, after, &step, &reading.meter, reading.temperature.value(), table)
    });
    match usable {
        Some(_) => Vec::new(),
        None => vec![format!(
            "the step on {feed} is too small to tell from nothing: use a load of an ampere or more"
        )],
    }
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
        assert!(doubts.iter().any(|doubt| doubt.contains("100 mΩ")), "{doubts:?}");
    }

    #[test]
    fn a_reading_that_fits_is_not_questioned() {
        let total = Uncertain::new(Ampere::from_milli(482.0), Ampere::from_milli(5.0));
        assert!(doubts(&drop("3.0 mV"), Some(&total), &panel()).is_empty());
    }
}
