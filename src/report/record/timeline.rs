//! The timeline of a record: every entry of the log, what it said and what it meant, and which were struck and why.
//! Leaves to others: the sections that pick from it (`sections`, `findings`).

use serde_json::{Value, json};

use super::Source;
use crate::hunt::analysis::Analysis;
use crate::hunt::show;
use crate::piece::Line;
use crate::session::case::Case;
use crate::session::entry::{Body, Entry};
use crate::session::watched::Watched;
use crate::session::written::kind;
use crate::words::{self, reading};

use crate::report::redact::Redaction;

/// Returns every entry in order: when, what kind, what it said, what it meant, and its marks.
pub(super) fn timeline(source: &Source, analysis: &Analysis) -> Vec<Value> {
    let one = |(index, entry): (usize, &Entry)| {
        let number = index + 1;
        json!({
            "entry": number,
            "at": entry.at.to_rfc3339(),
            "kind": kind(&entry.body),
            "said": said(&entry.body, source.redaction),
            "meant": meant(source.case, analysis, number),
            "marks": marks(source.case, number, &entry.body),
        })
    };
    source.entries.iter().enumerate().map(one).collect()
}

/// Returns the struck entries: what each said, who struck it, when and why.
pub(super) fn struck(source: &Source) -> Vec<Value> {
    let one = |(stamp, target, why): &(crate::session::case::Stamp, usize, String)| {
        let said = source.entries.get(target - 1).map(|entry| said(&entry.body, source.redaction));
        json!({
            "entry": target,
            "said": said,
            "struck_by": stamp.entry,
            "at": stamp.at.to_rfc3339(),
            "why": source.redaction.free(why),
        })
    };
    source.case.struck.iter().map(one).collect()
}

/// Returns what an entry said, in one line.
pub(super) fn said(body: &Body, redaction: Redaction) -> String {
    match body {
        Body::Open(opened) => format!("log begun with {} and {}", opened.meter.name, opened.clamp.name),
        Body::Answer { question, answer } => format!("{question}: {}", redaction.answer(question, answer)),
        Body::Skip { question, reason } => format!("{question} passed over: {}", redaction.free(reason)),
        Body::Zero { offset } => format!("leads shorted: {}", offset.text),
        Body::Temperature { place, temperature } => {
            format!("{} {}", place.as_deref().unwrap_or("all boxes"), temperature.text)
        }
        Body::Volts { volts } => format!("battery {}", volts.text),
        Body::Reading(measured) => reading::said(&measured.what),
        Body::Watched(seen) => {
            words::settle::watched(&Watched { file: redaction.free(&seen.file), ..(**seen).clone() })
        }
        Body::Disturb { what } => format!("sleep clock starts again: {}", redaction.free(what)),
        Body::Note { text } => redaction.free(text),
        Body::Limit { limit, source } => format!("limit {}, {}", limit.text, redaction.free(source)),
        Body::Feed { place, line } => match place {
            Some(place) => format!("fuse added in {place}: {line}"),
            None => format!("fuse added: {line}"),
        },
        Body::Strike { target, why } => format!("entry {target} struck: {}", redaction.free(why)),
        Body::Unknown { kind } => format!("an entry of the kind {kind}, which this version does not know"),
    }
}

/// Returns what an entry meant, a sentence each; empty if nothing follows from it.
pub(super) fn meant(case: &Case, analysis: &Analysis, number: usize) -> Vec<String> {
    show::meaning_of(case, analysis, |entry| entry == number).iter().map(Line::text).collect()
}

fn marks(case: &Case, number: usize, body: &Body) -> Vec<&'static str> {
    let (provisional, after_repair) = match body {
        Body::Reading(measured) => (measured.provisional, measured.after_repair),
        _ => (false, false),
    };
    let all = [
        (provisional, "provisional: sleep was not proved"),
        (after_repair, "after the repair"),
        (case.struck_by(number).is_some(), "struck"),
    ];
    all.into_iter().filter(|(holds, _)| *holds).map(|(_, mark)| mark).collect()
}
