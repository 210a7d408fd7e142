//! What is in force for a reading: its meter, the zero before it, and the temperature of the box that it was taken in.
//! Leaves to others: which of these count (`replay`), and what they do to a reading (`measure`).

use super::case::{Dated, NotedTemperature};
use super::entry::Opened;
use crate::base::quantity::{Celsius, Typed, Uncertain, Volt};
use crate::circuit::map::Map;
use crate::instrument::profile::{Profile, Way};
use crate::measure::{Measurement, box_temperature};

/// Zeros as the case keeps them.
type Zeros = [Dated<Typed<Volt>>];

/// Temperatures as the case keeps them.
type Temperatures = [Dated<NotedTemperature>];

/// Returns the newest zero before an entry. Only an earlier one counts: offsets drift, and a zero taken afterwards
/// says nothing about a reading before it.
pub(super) fn zero(zeros: &Zeros, entry: usize) -> Option<(usize, Volt)> {
    let before = zeros.iter().rev().find(|zero| zero.stamp.entry < entry);
    before.map(|zero| (zero.stamp.entry, zero.what.value))
}

/// Returns the meters for a reading: across fuses, and what reads current. Each is the newest of its way before it, else
/// the one that the log was opened with. A total as found was read with the clamp that is named later, if one is.
pub(super) fn meters(
    named: &[Dated<Profile>],
    opened: &Opened,
    entry: usize,
    what: &Measurement,
) -> (Profile, Profile) {
    let newest = |way: Way| {
        let before = named.iter().rev().find(|one| one.stamp.entry < entry && one.what.way == way);
        before.map(|one| &one.what)
    };
    let in_series = || newest(Way::Series).filter(|_| !matches!(what, Measurement::Clamp { .. }));
    let later = || {
        let as_found = matches!(what, Measurement::Total { as_found: true, .. });
        let first = named.iter().map(|one| &one.what).find(|one| one.way == Way::Clamp);
        first.filter(|_| as_found)
    };
    let meter = newest(Way::Volts).unwrap_or(&opened.meter);
    let ammeter = in_series().or_else(|| newest(Way::Clamp)).or_else(later).unwrap_or(&opened.clamp);
    (meter.clone(), ammeter.clone())
}

/// Returns the id of the box that a reading was taken in, if it was taken in one.
pub(super) fn place_of<'m>(map: &'m Map, what: &Measurement) -> Option<&'m str> {
    let feed = what.place()?;
    let place = map.feeds.iter().find(|known| known.id == feed)?.place?;
    map.boxes.get(place).map(|known| known.id.as_str())
}

/// Returns the temperature noted last for a box, else the one noted last for all boxes.
pub(super) fn noted(given: &Temperatures, place: Option<&str>) -> Option<Celsius> {
    let newest = |of: Option<&str>| {
        given.iter().rev().find(|noted| noted.what.place.as_deref() == of).map(|noted| noted.what.value.value)
    };
    place.and_then(|place| newest(Some(place))).or_else(|| newest(None))
}

/// Returns the temperature taken for a box now: the newest of its own, else the newest for all, else 20 °C, widely uncertain.
pub(crate) fn temperature_now(given: &Temperatures, place: Option<&str>) -> Uncertain<Celsius> {
    temperature(given, place, usize::MAX, None)
}

/// Returns the temperature for a reading: the newest of its box before it, else the newest for all boxes before it;
/// else the first one given afterwards, of the box or for all, since before it nothing better was known; else what
/// the reading noted itself; else 20 °C, widely uncertain.
pub(super) fn temperature(
    given: &Temperatures,
    place: Option<&str>,
    entry: usize,
    own: Option<Celsius>,
) -> Uncertain<Celsius> {
    let value = |noted: &Dated<NotedTemperature>| noted.what.value.value;
    let before = |of: Option<&str>| {
        given
            .iter()
            .rev()
            .find(|noted| noted.stamp.entry < entry && noted.what.place.as_deref() == of)
            .map(value)
    };
    let after = |of: Option<&str>| {
        given.iter().find(|noted| noted.stamp.entry > entry && noted.what.place.as_deref() == of).map(value)
    };
    let told = place
        .and_then(|place| before(Some(place)))
        .or_else(|| before(None))
        .or_else(|| place.and_then(|place| after(Some(place))))
        .or_else(|| after(None))
        .or(own);
    box_temperature(told)
}
