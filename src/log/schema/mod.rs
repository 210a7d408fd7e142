//! Entries as YAML text: one entry is one item of the log's sequence. Written and read by hand: the two matches are 86
//! lines. Derived by serde, the kinds would need as many attributes, and adapters for values as typed, ids of questions,
//! identity and weights; and a fault would no longer name its key.
//! Leaves to others: the seal line (`seal`), what entries mean (`replay`), the file (`store`).

mod fields;
pub mod keys;
mod measured;
mod opened;
mod watched;

use chrono::{DateTime, FixedOffset, Offset};

use self::fields::{Fields, Given};
use super::entry::{Entry, LogEvent};
use super::identity::{Identity, IdentityKey};
use super::question_id::QuestionKey;
use crate::base::diagnostic::Diagnostic;
use crate::base::yaml::{self, Mapping, Value};
use crate::circuit::learnt::LearntShares;
use crate::circuit::loads::Catalogue;

/// Returns an entry's text up to its seal line: `- at: …`, `  entry: …`, then its fields, each line ended.
///
/// # Errors
/// A number that is not finite, a map that has no plain YAML form, a time outside the years 0 to 9999, an entry of an
/// unknown kind (it is kept where it stands, never written anew).
pub fn write(entry: &Entry) -> Result<String, Diagnostic> {
    let mut fields = Fields::default();
    fields.text("at", &time_text(entry.at)?);
    fields.text("entry", kind(&entry.body));
    if let Some(first) = entry.with {
        fields.value("with", Value::from(first));
    }
    write_body(&mut fields, &entry.body)?;
    let text = yaml::write(&fields.done())?;
    let mut item = String::with_capacity(text.len() + 2 * text.lines().count());
    for (number, line) in text.lines().enumerate() {
        item.push_str(if number == 0 { "- " } else { "  " });
        item.push_str(line);
        item.push('\n');
    }
    Ok(item)
}

/// Reads one item of the sequence; its seal line is passed over.
///
/// # Errors
/// Not one item, no `at` or `entry`, a field missing or of another form; lines count from the item's first.
pub fn read(item: &str) -> Result<Entry, Diagnostic> {
    let items: Vec<Mapping> = yaml::read(item)?;
    let [mapping] = items.as_slice() else {
        return Err(Diagnostic::new(format!("holds {} entries", items.len())).expected("one"));
    };
    let given = Given(mapping);
    let at = given.text("at")?;
    let at = DateTime::parse_from_rfc3339(&at)
        .map_err(|_| Diagnostic::new("is no time").expected("2026-11-25T07:10:00+01:00").in_field("at"))?;
    let with = given.entry_if("with")?;
    Ok(Entry { at, body: read_body(&given.text("entry")?, given)?, with })
}

/// Returns a map's text in the form that the log gives it: comments gone, texts quoted in doubt. What is written to a
/// log and read back is this text.
///
/// # Errors
/// Not YAML, not a mapping, or values that have no plain form.
pub fn tidy_map(text: &str) -> Result<String, Diagnostic> {
    let map: Mapping = yaml::read(text)?;
    yaml::write(&map)
}

/// Returns a time as written, with its offset. Offsets count whole minutes there.
fn time_text(at: DateTime<FixedOffset>) -> Result<String, Diagnostic> {
    let seconds = at.offset().fix().local_minus_utc();
    let offset = FixedOffset::east_opt(seconds - seconds % 60).unwrap_or_else(|| chrono::Utc.fix());
    let text = at.with_timezone(&offset).to_rfc3339();
    match DateTime::parse_from_rfc3339(&text) {
        Ok(read) if read == at => Ok(text),
        _ => Err(Diagnostic::new("the time cannot be written")
            .expected("a year from 0 to 9999")
            .in_field("at")),
    }
}

/// Returns the kind of an entry, as written.
pub fn kind(body: &LogEvent) -> &str {
    match body {
        LogEvent::Open(_) => "open",
        LogEvent::Answer { .. } => "answer",
        LogEvent::Skip { .. } => "skip",
        LogEvent::Zero { .. } => "zero",
        LogEvent::Temperature { .. } => "temperature",
        LogEvent::Volts { .. } => "volts",
        LogEvent::Meter(_) => "meter",
        LogEvent::Reading(measured) => measured.what.kind().row().entry,
        LogEvent::Watched(_) => "watched",
        LogEvent::Disturb { .. } => "disturb",
        LogEvent::Note { .. } => "note",
        LogEvent::Limit { .. } => "limit",
        LogEvent::Feed { .. } => "feed",
        LogEvent::Vehicle(_) => "vehicle",
        LogEvent::Weights(_) => "weights",
        LogEvent::Strike { .. } => "strike",
        LogEvent::Unknown { kind } => kind,
    }
}

fn write_body(fields: &mut Fields, body: &LogEvent) -> Result<(), Diagnostic> {
    match body {
        LogEvent::Open(opened) => opened::write(fields, opened)?,
        LogEvent::Answer { question, answer } => {
            fields.text("question", &question.to_string());
            fields.text("answer", answer);
        }
        LogEvent::Skip { question, reason } => {
            fields.text("question", &question.to_string());
            fields.text("reason", reason);
        }
        LogEvent::Zero { offset } => fields.typed("offset", offset),
        LogEvent::Temperature { place, temperature } => {
            fields.text_if("box", place.as_deref());
            fields.typed("temperature", temperature);
        }
        LogEvent::Volts { volts } => fields.typed("volts", volts),
        LogEvent::Meter(profile) => fields.value("meter", opened::meter(profile)),
        LogEvent::Reading(measured) => measured::write(fields, measured),
        LogEvent::Watched(seen) => watched::write(fields, seen),
        LogEvent::Disturb { what } => fields.text("what", what),
        LogEvent::Note { text } => fields.text("text", text),
        LogEvent::Limit { limit, source } => {
            fields.typed("limit", limit);
            fields.text("source", source);
        }
        LogEvent::Feed { place, line } => {
            fields.text_if("box", place.as_deref());
            fields.text("line", line);
        }
        LogEvent::Vehicle(identity) => {
            identity.parts().for_each(|(key, value)| fields.text(key.name(), value));
        }
        LogEvent::Weights(learnt) => {
            fields.value("cases", Value::from(learnt.cases));
            fields.text("shares", &learnt.text());
        }
        LogEvent::Strike { target, why } => {
            fields.value("target", Value::from(*target));
            fields.text("why", why);
        }
        LogEvent::Unknown { kind } => {
            return Err(Diagnostic::new(format!("entries of the kind \"{kind}\" are not known here"))
                .remedy("only the version that knows them can write them"));
        }
    }
    Ok(())
}

fn read_body(kind: &str, given: Given) -> Result<LogEvent, Diagnostic> {
    let question = || given.text("question").map(|text| QuestionKey::read(&text));
    Ok(match kind {
        "open" => LogEvent::Open(Box::new(opened::read(given)?)),
        "answer" => LogEvent::Answer { question: question()?, answer: given.text("answer")? },
        "skip" => LogEvent::Skip { question: question()?, reason: given.text("reason")? },
        "zero" => LogEvent::Zero { offset: given.typed("offset")? },
        "temperature" => {
            LogEvent::Temperature { place: given.text_if("box")?, temperature: given.typed("temperature")? }
        }
        "volts" => LogEvent::Volts { volts: given.typed("volts")? },
        "watched" => LogEvent::Watched(Box::new(watched::read(given)?)),
        "meter" => LogEvent::Meter(Box::new(opened::profile(given, "meter")?)),
        "disturb" => LogEvent::Disturb { what: given.text("what")? },
        "note" => LogEvent::Note { text: given.text("text")? },
        "limit" => LogEvent::Limit { limit: given.typed("limit")?, source: given.text("source")? },
        "feed" => LogEvent::Feed { place: given.text_if("box")?, line: given.text("line")? },
        "vehicle" => {
            let part = |key: &IdentityKey| Ok((*key, given.text_if(key.name())?));
            let told = IdentityKey::ALL.iter().map(part).collect::<Result<Vec<_>, Diagnostic>>()?;
            let value = |key| told.iter().find(|(part, _)| *part == key).and_then(|(_, value)| value.clone());
            LogEvent::Vehicle(Identity::of(value))
        }
        "weights" => {
            let cases = given.entry_if("cases")?.unwrap_or_default();
            LogEvent::Weights(LearntShares::of_text(cases, &given.text("shares")?, Catalogue::builtin())?)
        }
        "strike" => {
            let target =
                given.entry_if("target")?.ok_or_else(|| Diagnostic::new("is missing").in_field("target"))?;
            LogEvent::Strike { target, why: given.text("why")? }
        }
        other => match measured::read(other, given)? {
            Some(measured) => LogEvent::Reading(Box::new(measured)),
            None => LogEvent::Unknown { kind: other.to_owned() },
        },
    })
}
