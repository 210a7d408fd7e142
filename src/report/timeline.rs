//! Each entry of a log in words, for the record.
//! Leaves to others: what the readings mean together (`record`).

use serde_json::{Value, json};

use super::record::Source;
use crate::quantity::show::with_interval;
use crate::reading::What;
use crate::session::entry::{Body, Entry};

/// Returns one line an entry: number, time, kind, words, and for a reading what it meant.
pub fn timeline(source: &Source) -> Vec<Value> {
    let struck: Vec<usize> = source.case.struck.iter().map(|(_, target, _)| *target).collect();
    source.entries.iter().enumerate().map(|(index, entry)| line(index + 1, entry, &struck, source)).collect()
}

fn line(number: usize, entry: &Entry, struck: &[usize], source: &Source) -> Value {
    let (kind, what) = words(&entry.body, source);
    let claims = source.analysis.observed.claims.iter().filter(|claim| claim.entry == number);
    let meant: Vec<String> = claims.map(|claim| with_interval(&claim.current)).collect();
    let provisional = matches!(&entry.body, Body::Reading(reading) if reading.provisional);
    json!({
        "entry": number,
        "at": entry.at.to_rfc3339(),
        "kind": kind,
        "what": what,
        "meant": meant,
        "provisional": provisional,
        "struck": struck.contains(&number),
    })
}

/// Answers that are words of people and are left out of a redacted record.
const FREE_WORDS: [&str; 4] = ["interview.vehicle", "interview.complaint", "interview.recent", "repair.what"];

fn words(body: &Body, source: &Source) -> (&'static str, String) {
    match body {
        Body::Open(_) => ("open", "log opened".to_owned()),
        Body::Answer { question, answer } => {
            let answer =
                if FREE_WORDS.contains(&question.as_str()) { source.words(answer) } else { answer.clone() };
            ("answer", format!("{question}: {answer}"))
        }
        Body::Skip { question, reason } => {
            ("skip", format!("{question} passed over: {}", source.words(reason)))
        }
        Body::Zero { offset } => ("zero", offset.text.clone()),
        Body::Temperature { place, temperature } => {
            ("temperature", format!("{}: {}", place.as_deref().unwrap_or("all boxes"), temperature.text))
        }
        Body::Volts { volts } => ("volts", volts.text.clone()),
        Body::Reading(reading) => of_reading(&reading.what),
        Body::Disturb { what } => ("disturb", source.words(what)),
        Body::Note { text } => ("note", source.words(text)),
        Body::Limit { limit, source: from } => ("limit", format!("{} ({from})", limit.text)),
        Body::Feed { place, line } => (
            "feed",
            format!("{line}{}", place.as_ref().map(|place| format!(", {place}")).unwrap_or_default()),
        ),
        Body::Strike { target, why } => ("strike", format!("entry {target}: {}", source.words(why))),
        Body::Unknown { kind } => {
            ("unknown", format!("an entry of the kind {kind}, which this version does not know"))
        }
    }
}

fn of_reading(what: &What) -> (&'static str, String) {
    match what {
        What::Total { current, as_found: true } => ("total", format!("{} as found", current.text)),
        What::Total { current, .. } => ("total", current.text.clone()),
        What::Watch { current } => ("watch", current.text.clone()),
        What::Drop { feed, drop } => ("drop", format!("{feed} {}", drop.text)),
        What::Clamp { at, current } => ("clamp", format!("{at} {}", current.text)),
        What::Pull { feed, before, after } => {
            ("pull", format!("{feed}: {} before, {} after", before.text, after.text))
        }
        What::Refit { feed, total } => ("refit", format!("{feed}: {} afterwards", total.text)),
        What::Unplug { feed, load, before, after } => {
            ("unplug", format!("{feed}/{load}: {} before, {} after", before.text, after.text))
        }
        What::Input { input, before, after } => {
            ("input", format!("{input}: {} before, {} after", before.text, after.text))
        }
        What::Step { feed, before, after, current } => {
            ("step", format!("{feed}: {} before, {} after, load {}", before.text, after.text, current.text))
        }
    }
}
