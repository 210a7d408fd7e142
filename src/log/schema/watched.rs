//! The text of what a meter log showed. Departures are a list of short mappings, in minutes, seconds and milliampere.
//! Leaves to others: entries of other kinds (`schema`).

use chrono::DateTime;

use super::fields::{Fields, Given};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, AmpereHour, Minute, Unit};
use crate::base::yaml::Value;
use crate::log::trace_summary::{Departure, TraceSummary};
use crate::measure::night::{ChannelShare, CurvePart, Ledger, LedgerKind, LedgerLine};

/// Adds the fields.
pub(super) fn write(fields: &mut Fields, watched: &TraceSummary) {
    fields.text("file", &watched.file);
    fields.text_if("start", watched.started.map(|at| at.to_rfc3339()).as_deref());
    fields.value("span_min", rounded(watched.span.base()));
    number_if(fields, "rests_after_min", watched.rests_after.map(Unit::base));
    number_if(fields, "level_ma", watched.level.map(Ampere::milli));
    number_if(fields, "average_ma", watched.average.map(Ampere::milli));
    number_if(fields, "period_min", watched.period.map(Unit::base));
    fields.flag("regular", watched.regular);
    fields.value("away", rounded(watched.away));
    fields.value("count", watched.count);
    fields.value("departures", watched.departures.iter().map(departure).collect::<Vec<Value>>());
    if !watched.ledger.lines.is_empty() {
        fields.value("held_min", rounded(watched.ledger.held.base()));
        fields.value("ledger", watched.ledger.lines.iter().map(ledger_line).collect::<Vec<Value>>());
    }
    if !watched.curve.is_empty() {
        fields.value("curve", watched.curve.iter().map(curve_part).collect::<Vec<Value>>());
    }
    if !watched.channels.is_empty() {
        fields.value("channels", watched.channels.iter().map(channel).collect::<Vec<Value>>());
    }
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

fn ledger_line(line: &LedgerLine) -> Value {
    let mut fields = Fields::default();
    fields.text("what", line.what.word());
    fields.value("times", line.times);
    number_if(&mut fields, "period_min", line.period.map(Unit::base));
    fields.value("seconds", rounded(line.length.base() * 60.0));
    fields.value("peak_ma", rounded(line.peak.milli()));
    fields.value("rise_ma", rounded(line.rise.milli()));
    fields.value("charge_mah", rounded(line.charge.milli()));
    fields.value("first_min", rounded(line.first.base()));
    Value::Mapping(fields.done())
}

fn curve_part(part: &CurvePart) -> Value {
    let mut fields = Fields::default();
    fields.value("after_min", rounded(part.after.base()));
    fields.value("low_ma", rounded(part.low.milli()));
    fields.value("high_ma", rounded(part.high.milli()));
    Value::Mapping(fields.done())
}

fn channel(channel: &ChannelShare) -> Value {
    let mut fields = Fields::default();
    fields.text("name", &channel.name);
    fields.value("share", rounded(channel.share));
    fields.value("carries", channel.carries);
    fields.value("with", channel.with);
    fields.value("first", channel.first);
    fields.value("unclear", channel.unclear);
    number_if(&mut fields, "lead_s", channel.lead.map(|lead| lead.base() * 60.0));
    Value::Mapping(fields.done())
}

/// Reads the fields.
pub(super) fn read(given: Given) -> Result<TraceSummary, Diagnostic> {
    let number_if = |key: &str| number_if_there(given, key);
    let started = given.text_if("start")?.map(|text| {
        let wrong = |_| Diagnostic::new(format!("\"{text}\" is no time")).in_field("start");
        DateTime::parse_from_rfc3339(&text).map_err(wrong)
    });
    Ok(TraceSummary {
        file: given.text("file")?,
        started: started.transpose()?,
        span: Minute::new(given.number("span_min")?),
        rests_after: number_if("rests_after_min")?.map(Minute::new),
        level: number_if("level_ma")?.map(Ampere::from_milli),
        average: number_if("average_ma")?.map(Ampere::from_milli),
        period: number_if("period_min")?.map(Minute::new),
        regular: given.flag("regular")?,
        away: given.number("away")?,
        count: given.entry_if("count")?.unwrap_or_default(),
        departures: list(given, "departures", read_departure)?,
        ledger: Ledger {
            lines: list(given, "ledger", read_line)?,
            held: number_if("held_min")?.map_or(Minute::ZERO, Minute::new),
        },
        curve: list(given, "curve", read_part)?,
        channels: list(given, "channels", read_channel)?,
    })
}

fn number_if_there(given: Given, key: &str) -> Result<Option<f64>, Diagnostic> {
    given.value_if(key).map(|_| given.number(key)).transpose()
}

/// Reads a list of mappings; an empty one if it is not there.
fn list<T>(
    given: Given,
    key: &str,
    read: impl Fn(Given) -> Result<T, Diagnostic>,
) -> Result<Vec<T>, Diagnostic> {
    let Some(value) = given.value_if(key) else { return Ok(Vec::new()) };
    let all =
        value.as_sequence().ok_or_else(|| Diagnostic::new("is no list").expected("a list").in_field(key))?;
    all.iter().map(|one| read(Given::of(one, key)?)).collect()
}

fn read_departure(given: Given) -> Result<Departure, Diagnostic> {
    Ok(Departure {
        after: Minute::new(given.number("after_min")?),
        length: Minute::new(given.number("seconds")? / 60.0),
        peak: Ampere::from_milli(given.number("peak_ma")?),
        charge: AmpereHour::from_milli(given.number("charge_mah")?),
    })
}

fn read_line(given: Given) -> Result<LedgerLine, Diagnostic> {
    let word = given.text("what")?;
    let what = LedgerKind::ALL.into_iter().find(|kind| kind.word() == word).ok_or_else(|| {
        let words = LedgerKind::ALL.map(LedgerKind::word).join(", ");
        Diagnostic::new(format!("\"{word}\" is not known")).expected(words).in_field("what")
    })?;
    Ok(LedgerLine {
        what,
        times: given.entry_if("times")?.unwrap_or_default(),
        period: number_if_there(given, "period_min")?.map(Minute::new),
        length: Minute::new(given.number("seconds")? / 60.0),
        peak: Ampere::from_milli(given.number("peak_ma")?),
        rise: Ampere::from_milli(given.number("rise_ma")?),
        charge: AmpereHour::from_milli(given.number("charge_mah")?),
        first: Minute::new(given.number("first_min")?),
    })
}

fn read_part(given: Given) -> Result<CurvePart, Diagnostic> {
    Ok(CurvePart {
        after: Minute::new(given.number("after_min")?),
        low: Ampere::from_milli(given.number("low_ma")?),
        high: Ampere::from_milli(given.number("high_ma")?),
    })
}

fn read_channel(given: Given) -> Result<ChannelShare, Diagnostic> {
    let count = |key: &str| given.entry_if(key).map(Option::unwrap_or_default);
    Ok(ChannelShare {
        name: given.text("name")?,
        share: given.number("share")?,
        carries: count("carries")?,
        with: count("with")?,
        first: count("first")?,
        unclear: count("unclear")?,
        lead: number_if_there(given, "lead_s")?.map(|seconds| Minute::new(seconds / 60.0)),
    })
}
