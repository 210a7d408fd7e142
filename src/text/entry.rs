//! What an entry of the log says, in one line: for the list, the record and what is taken back.
//! Leaves to others: what a reading meant (`text/reading`), what is left out for strangers (`render/redact`).

use super::ask::{caution, wording};
use super::lessons::in_force;
use super::{reading, settle};
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};
use crate::log::case::Case;
use crate::log::entry::{Entry, LogEvent};
use crate::log::identity::{Identity, IdentityKey};
use crate::log::question_id::QuestionKey;
use crate::measure::observation::{Observation, Scope};

/// Returns numbers of entries: `3, 4`.
pub fn numbered(entries: &[usize]) -> String {
    entries.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// Returns what an entry says.
pub fn said(body: &LogEvent) -> String {
    match body {
        LogEvent::Open(opened) => format!("log begun with {} and {}", opened.meter.name, opened.clamp.name),
        LogEvent::Answer { question, answer } => format!("{} {answer}", asked(question)),
        LogEvent::Skip { question, reason } => format!("passed over, {reason}: {}", asked(question)),
        LogEvent::Zero { offset } => format!("leads shorted: {}", offset.text),
        LogEvent::Temperature { place, temperature } => {
            format!("{} {}", place.as_deref().unwrap_or("all boxes"), temperature.text)
        }
        LogEvent::Volts { volts } => format!("battery {}", volts.text),
        LogEvent::Meter(profile) => format!("from here on read with {}", profile.name),
        LogEvent::Reading(measured) => reading::said(&measured.what),
        LogEvent::Watched(seen) => settle::watched(seen),
        LogEvent::Disturb { what } => format!("sleep clock starts again: {what}"),
        LogEvent::Note { text } => text.clone(),
        LogEvent::Limit { limit, source } => format!("limit {}, {source}", limit.text),
        LogEvent::Feed { place, line } => match place {
            Some(place) => format!("fuse added in {place}: {line}"),
            None => format!("fuse added: {line}"),
        },
        LogEvent::Vehicle(identity) => identified(identity),
        LogEvent::Weights(learnt) => in_force(learnt.cases),
        LogEvent::Strike { target, why } => format!("entry {target} struck: {why}"),
        LogEvent::Unknown { kind } => {
            format!("an entry of the kind {kind}, which this version does not know")
        }
    }
}

/// Returns what was asked, in the words of the question; a caution by its first words.
fn asked(question: &QuestionKey) -> String {
    let caution = caution::text(question.head).split([':', '.', ',']).next().unwrap_or_default();
    let prompt = wording(question.head).prompt;
    match (caution.is_empty(), prompt.is_empty()) {
        (false, _) => format!("Caution, {caution}:"),
        (true, false) if prompt.ends_with('?') => format!("{prompt}{}", question.tail),
        (true, false) => format!("{prompt}{}:", question.tail),
        (true, true) => format!("{question}:"),
    }
}

/// Says what was taken back: the first entry of the step, and how many more.
pub fn taken_back(entries: &[&Entry]) -> StyledText {
    let first = entries.first().map(|entry| said(&entry.body)).unwrap_or_default();
    let more = match entries.len().saturating_sub(1) {
        0 => String::new(),
        count => format!(" and {count} more"),
    };
    StyledText::of(Role::Hint, "Taken back: ").and(Role::Value, first).and(Role::Hint, format!("{more}."))
}

/// Returns what was told of vehicle and job.
fn identified(identity: &Identity) -> String {
    let part = |(key, value): (IdentityKey, &str)| match value {
        "" => format!("{}: taken back", key.label()),
        value => format!("{}: {value}", key.label()),
    };
    identity.parts().map(part).collect::<Vec<_>>().join(", ")
}

/// Returns what an entry is that was just added and is no reading.
pub fn added(body: &LogEvent) -> String {
    match body {
        LogEvent::Zero { offset } => format!("zero {}", offset.text),
        LogEvent::Volts { .. } | LogEvent::Temperature { .. } | LogEvent::Vehicle(_) => said(body),
        LogEvent::Disturb { what } => format!("the sleep clock starts again: {what}"),
        LogEvent::Note { .. } => "noted".to_owned(),
        _ => "kept".to_owned(),
    }
}

/// Returns what is in a log, a line an entry, struck ones marked.
pub fn listing(entries: &[Entry], case: &Case, observations: &[Observation]) -> Vec<StyledText> {
    let line = |(index, entry): (usize, &Entry)| {
        let number = index + 1;
        let struck = case.struck_by(number).is_some();
        StyledText::of(Role::Hint, format!("{number:>3}  {}  ", entry.at.format("%d %b %H:%M")))
            .and(if struck { Role::Hint } else { Role::Plain }, listed(entry, number, observations))
            .and(Role::Doubt, if struck { "  (struck)" } else { "" })
    };
    entries.iter().enumerate().map(line).collect()
}

/// Returns what an entry says, and what the drop of a fuse came to.
pub fn listed(entry: &Entry, number: usize, observations: &[Observation]) -> String {
    said(&entry.body) + &came_to(observations, number)
}

/// Returns what the drop of this entry came to, to stand behind it: `: 411 mA`; empty for whatever is no drop.
fn came_to(observations: &[Observation], entry: usize) -> String {
    let drop = |one: &&Observation| one.entry == entry && matches!(one.scope, Scope::Through(_));
    match observations.iter().find(drop) {
        Some(one) if one.current.value() < one.floor => format!(": under {}", bare(one.floor, 2)),
        Some(one) => format!(": {}", bare(one.current.value(), 3)),
        None => String::new(),
    }
}
