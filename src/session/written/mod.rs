//! Entries as YAML text: one entry is one item of the log's sequence.
//! Leaves to others: the seal line (`seal`), what entries mean (`fold`), the file (`store`).

mod fields;
mod measured;
mod opened;
mod watched;

use chrono::{DateTime, FixedOffset, Offset};

use self::fields::{Fields, Given};
use super::entry::{Body, Entry};
use crate::fault::Fault;
use crate::yaml::{self, Mapping, Value};

/// Returns an entry's text up to its seal line: `- at: …`, `  entry: …`, then its fields, each line ended.
///
/// # Errors
/// A number that is not finite, a map that has no plain YAML form, a time outside the years 0 to 9999, an entry of an
/// unknown kind (it is kept where it stands, never written anew).
pub fn write(entry: &Entry) -> Result<String, Fault> {
    let mut fields = Fields::default();
    fields.text("at", &time_text(entry.at)?);
    fields.text("entry", kind(&entry.body));
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
pub fn read(item: &str) -> Result<Entry, Fault> {
    let items: Vec<Mapping> = yaml::read(item)?;
    let [mapping] = items.as_slice() else {
        return Err(Fault::new(format!("holds {} entries", items.len())).expected("one"));
    };
    let given = Given(mapping);
    let at = given.text("at")?;
    let at = DateTime::parse_from_rfc3339(&at)
        .map_err(|_| Fault::new("is no time").expected("2026-11-25T07:10:00+01:00").in_field("at"))?;
    Ok(Entry { at, body: read_body(&given.text("entry")?, given)? })
}

/// Returns a map's text in the form that the log gives it: comments gone, texts quoted in doubt. What is written to a
/// log and read back is this text.
///
/// # Errors
/// Not YAML, not a mapping, or values that have no plain form.
pub fn tidy_map(text: &str) -> Result<String, Fault> {
    let map: Mapping = yaml::read(text)?;
    yaml::write(&map)
}

/// Returns a time as written, with its offset. Offsets count whole minutes there.
fn time_text(at: DateTime<FixedOffset>) -> Result<String, Fault> {
    let seconds = at.offset().fix().local_minus_utc();
    let offset = FixedOffset::east_opt(seconds - seconds % 60).unwrap_or_else(|| chrono::Utc.fix());
    let text = at.with_timezone(&offset).to_rfc3339();
    match DateTime::parse_from_rfc3339(&text) {
        Ok(read) if read == at => Ok(text),
        _ => Err(Fault::new("the time cannot be written").expected("a year from 0 to 9999").in_field("at")),
    }
}

/// Returns the kind of an entry, as written.
pub fn kind(body: &Body) -> &str {
    match body {
        Body::Open(_) => "open",
        Body::Answer { .. } => "answer",
        Body::Skip { .. } => "skip",
        Body::Zero { .. } => "zero",
        Body::Temperature { .. } => "temperature",
        Body::Volts { .. } => "volts",
        Body::Reading(measured) => measured.what.kind().row().entry,
        Body::Watched(_) => "watched",
        Body::Disturb { .. } => "disturb",
        Body::Note { .. } => "note",
        Body::Limit { .. } => "limit",
        Body::Feed { .. } => "feed",
        Body::Strike { .. } => "strike",
        Body::Unknown { kind } => kind,
    }
}

fn write_body(fields: &mut Fields, body: &Body) -> Result<(), Fault> {
    match body {
        Body::Open(opened) => opened::write(fields, opened)?,
        Body::Answer { question, answer } => {
            fields.text("question", question);
            fields.text("answer", answer);
        }
        Body::Skip { question, reason } => {
            fields.text("question", question);
            fields.text("reason", reason);
        }
        Body::Zero { offset } => fields.typed("offset", offset),
        Body::Temperature { place, temperature } => {
            fields.text_if("box", place.as_deref());
            fields.typed("temperature", temperature);
        }
        Body::Volts { volts } => fields.typed("volts", volts),
        Body::Reading(measured) => measured::write(fields, measured),
        Body::Watched(seen) => watched::write(fields, seen),
        Body::Disturb { what } => fields.text("what", what),
        Body::Note { text } => fields.text("text", text),
        Body::Limit { limit, source } => {
            fields.typed("limit", limit);
            fields.text("source", source);
        }
        Body::Feed { place, line } => {
            fields.text_if("box", place.as_deref());
            fields.text("line", line);
        }
        Body::Strike { target, why } => {
            fields.value("target", Value::from(*target));
            fields.text("why", why);
        }
        Body::Unknown { kind } => {
            return Err(Fault::new(format!("entries of the kind \"{kind}\" are not known here"))
                .remedy("only the version that knows them can write them"));
        }
    }
    Ok(())
}

fn read_body(kind: &str, given: Given) -> Result<Body, Fault> {
    Ok(match kind {
        "open" => Body::Open(Box::new(opened::read(given)?)),
        "answer" => Body::Answer { question: given.text("question")?, answer: given.text("answer")? },
        "skip" => Body::Skip { question: given.text("question")?, reason: given.text("reason")? },
        "zero" => Body::Zero { offset: given.typed("offset")? },
        "temperature" => {
            Body::Temperature { place: given.text_if("box")?, temperature: given.typed("temperature")? }
        }
        "volts" => Body::Volts { volts: given.typed("volts")? },
        "watched" => Body::Watched(Box::new(watched::read(given)?)),
        "disturb" => Body::Disturb { what: given.text("what")? },
        "note" => Body::Note { text: given.text("text")? },
        "limit" => Body::Limit { limit: given.typed("limit")?, source: given.text("source")? },
        "feed" => Body::Feed { place: given.text_if("box")?, line: given.text("line")? },
        "strike" => {
            let target =
                given.entry_if("target")?.ok_or_else(|| Fault::new("is missing").in_field("target"))?;
            Body::Strike { target, why: given.text("why")? }
        }
        other => match measured::read(other, given)? {
            Some(measured) => Body::Reading(Box::new(measured)),
            None => Body::Unknown { kind: other.to_owned() },
        },
    })
}
