//! The text of what a meter log showed. Departures are a list of short mappings, in minutes, seconds and milliampere.
//! Leaves to others: entries of other kinds (`schema`).

use super::fields::{Fields, Given};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, AmpereHour, Minute, Unit};
use crate::base::yaml::Value;
use crate::log::trace_summary::{Departure, TraceSummary};

/// Adds the fields.
pub(super) fn write(fields: &mut Fields, watched: &TraceSummary) {
    fields.text("file", &watched.file);
    fields.value("span_min", rounded(watched.span.base()));
    number_if(fields, "rests_after_min", watched.rests_after.map(Unit::base));
    number_if(fields, "level_ma", watched.level.map(Ampere::milli));
    number_if(fields, "average_ma", watched.average.map(Ampere::milli));
    number_if(fields, "period_min", watched.period.map(Unit::base));
    fields.flag("regular", watched.regular);
    fields.value("away", rounded(watched.away));
    fields.value("count", watched.count);
    fields.value("departures", watched.departures.iter().map(departure).collect::<Vec<Value>>());
}

/// Rounds away what binary arithmetic leaves behind: to a millionth of the unit written.
fn rounded(number: f64) -> f64 {
    // Adding zero turns -0 into 0.
    (number * 1e6).round() / 1e6 + 0.0
}

fn number_if(fields: &mut Fields, key: &str, number: Option<f64>) {
    fields.value(key, number.map_or(Value::Null, |number| Value::from(rounded(number))));
}

fn departure(departure: &Departure) -> Value {
    let mut fields = Fields::default();
    fields.value("after_min", rounded(departure.after.base()));
    fields.value("seconds", rounded(departure.length.base() * 60.0));
    fields.value("peak_ma", rounded(departure.peak.milli()));
    fields.value("charge_mah", rounded(departure.charge.milli()));
    Value::Mapping(fields.done())
}

/// Reads the fields.
pub(super) fn read(given: Given) -> Result<TraceSummary, Diagnostic> {
    let number_if = |key: &str| given.value_if(key).map(|_| given.number(key)).transpose();
    let listed = given.value("departures")?.as_sequence();
    let listed =
        listed.ok_or_else(|| Diagnostic::new("is no list").expected("a list").in_field("departures"))?;
    let departures = listed.iter().map(|value| read_departure(Given::of(value, "departures")?));
    Ok(TraceSummary {
        file: given.text("file")?,
        span: Minute::new(given.number("span_min")?),
        rests_after: number_if("rests_after_min")?.map(Minute::new),
        level: number_if("level_ma")?.map(Ampere::from_milli),
        average: number_if("average_ma")?.map(Ampere::from_milli),
        period: number_if("period_min")?.map(Minute::new),
        regular: given.flag("regular")?,
        away: given.number("away")?,
        count: given.entry_if("count")?.unwrap_or_default(),
        departures: departures.collect::<Result<_, _>>()?,
    })
}

fn read_departure(given: Given) -> Result<Departure, Diagnostic> {
    Ok(Departure {
        after: Minute::new(given.number("after_min")?),
        length: Minute::new(given.number("seconds")? / 60.0),
        peak: Ampere::from_milli(given.number("peak_ma")?),
        charge: AmpereHour::from_milli(given.number("charge_mah")?),
    })
}
