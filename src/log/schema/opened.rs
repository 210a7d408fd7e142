//! The text of the first entry: format, versions, meters with all their figures, and the whole map.
//! Leaves to others: what the map means (`circuit`).

use super::fields::{Fields, Given, within};
use crate::base::diagnostic::Diagnostic;
use crate::base::yaml::{self, Mapping, Value};
use crate::instrument::profile::{Profile, Way};
use crate::log::entry::{FORMAT, Opened};

/// Names of the ways a meter is connected, as written.
const WAYS: [(Way, &str); 3] = [(Way::Volts, "volts"), (Way::Clamp, "clamp"), (Way::Series, "series")];

/// Adds the fields of the first entry.
pub(super) fn write(fields: &mut Fields, opened: &Opened) -> Result<(), Diagnostic> {
    fields.text("format", FORMAT);
    fields.text("program", &opened.program);
    fields.text("tables", &opened.tables);
    fields.value("meter", meter(&opened.meter));
    fields.value("clamp", meter(&opened.clamp));
    let temperatures = opened.temperatures.iter().map(|(place, temperature)| {
        let mut inner = Fields::default();
        inner.text_if("box", place.as_deref());
        inner.typed("temperature", temperature);
        Value::Mapping(inner.done())
    });
    if !opened.temperatures.is_empty() {
        fields.value("temperatures", Value::Sequence(temperatures.collect()));
    }
    if let Some(limit) = &opened.limit {
        fields.typed("limit", limit);
    }
    if let Some(reserve) = &opened.reserve {
        fields.typed("reserve", reserve);
    }
    if let Some(seed) = opened.practice {
        fields.value("practice", seed);
    }
    let map: Mapping = yaml::read(&opened.map).map_err(|fault| fault.in_file("the circuit map"))?;
    fields.value("map", map);
    Ok(())
}

/// Reads the first entry. The format was looked at before.
pub(super) fn read(given: Given) -> Result<Opened, Diagnostic> {
    let temperatures = match given.value_if("temperatures") {
        None => Vec::new(),
        Some(Value::Sequence(items)) => items.iter().map(temperature).collect::<Result<_, _>>()?,
        Some(_) => return Err(Diagnostic::new("is not a list").in_field("temperatures")),
    };
    let map = Given::of(given.value("map")?, "map")?;
    Ok(Opened {
        program: given.text("program")?,
        tables: given.text("tables")?,
        map: yaml::write(map.0).map_err(|fault| within(fault, "map"))?,
        meter: profile(given, "meter")?,
        clamp: profile(given, "clamp")?,
        temperatures,
        limit: given.typed_if("limit")?,
        reserve: given.typed_if("reserve")?,
        practice: given.whole_if("practice")?,
    })
}

type TemperatureSchema = (Option<String>, crate::base::quantity::Typed<crate::base::quantity::Celsius>);

fn temperature(value: &Value) -> Result<TemperatureSchema, Diagnostic> {
    let given = Given::of(value, "temperatures")?;
    Ok((given.text_if("box")?, given.typed("temperature")?))
}

/// Returns all figures of a meter as written.
pub(super) fn meter(profile: &Profile) -> Mapping {
    let way = WAYS.iter().find(|(way, _)| *way == profile.way).map_or("volts", |(_, name)| name);
    let mut inner = Fields::default();
    inner.text("name", &profile.name);
    inner.text("way", way);
    inner.value("resolution", profile.resolution);
    inner.value("percent", profile.percent);
    inner.value("counts", profile.counts);
    inner.done()
}

/// Reads all figures of a meter.
pub(super) fn profile(given: Given, key: &str) -> Result<Profile, Diagnostic> {
    let inner = Given::of(given.value(key)?, key)?;
    let read = || {
        let name = inner.text("way")?;
        let way = WAYS.iter().find(|(_, known)| *known == name).map(|(way, _)| *way).ok_or_else(|| {
            Diagnostic::new("is no known way").expected("volts, clamp or series").in_field("way")
        })?;
        Ok(Profile {
            name: inner.text("name")?,
            way,
            resolution: inner.number("resolution")?,
            percent: inner.number("percent")?,
            counts: inner.number("counts")?,
        })
    };
    read().map_err(|fault: Diagnostic| within(fault, key))
}
