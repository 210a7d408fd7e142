//! The timeline of a record: every entry of the log, what it said and what it meant, and which were struck and why.
//! Leaves to others: the sections that pick from it (`sections`, `findings`).

use super::RecordSource;
use crate::base::styled::StyledText;
use crate::hunt::analysis::Analysis;
use crate::hunt::show;
use crate::log::case::{Case, Stamp};
use crate::log::entry::{Entry, LogEvent};
use crate::log::schema::kind;
use crate::log::trace_summary::TraceSummary;
use crate::text::{self, reading};

use crate::render::redact::Redaction;

shape! {
    /// One entry of the log.
    TimelineShape(source: &RecordSource, analysis: &Analysis, number: usize, entry: &Entry) {
        entry: usize = number,
        at: String = entry.at.to_rfc3339(),
        kind: String = kind(&entry.body).to_owned(),
        /// What it said, in one line.
        said: String = said(&entry.body, source.redaction),
        /// What it meant, a sentence each.
        meant: Vec<String> = meant(source.case, analysis, number),
        /// What to know about it: provisional, after the repair, struck.
        marks: Vec<&'static str> = marks(source.case, number, &entry.body),
    }

    /// An entry that was struck.
    RecordStruckShape(source: &RecordSource, stamp: Stamp, target: usize, reason: &str) {
        entry: usize = target,
        said: Option<String> = source.entries.get(target - 1).map(|entry| said(&entry.body, source.redaction)),
        struck_by: usize = stamp.entry,
        at: String = stamp.at.to_rfc3339(),
        why: String = source.redaction.free(reason),
    }
}

/// Returns every entry in order: when, what kind, what it said, what it meant, and its marks.
pub(super) fn timeline(source: &RecordSource, analysis: &Analysis) -> Vec<TimelineShape> {
    (1..)
        .zip(source.entries)
        .map(|(number, entry)| TimelineShape::of(source, analysis, number, entry))
        .collect()
}

/// Returns the struck entries: what each said, who struck it, when and why.
pub(super) fn struck(source: &RecordSource) -> Vec<RecordStruckShape> {
    let all = source.case.struck.iter();
    all.map(|(stamp, target, why)| RecordStruckShape::of(source, *stamp, *target, why)).collect()
}

/// Returns what an entry said, in one line.
pub(super) fn said(body: &LogEvent, redaction: Redaction) -> String {
    match body {
        LogEvent::Open(opened) => format!("log begun with {} and {}", opened.meter.name, opened.clamp.name),
        LogEvent::Answer { question, answer } => {
            format!("{question}: {}", redaction.answer(question, answer))
        }
        LogEvent::Skip { question, reason } => format!("{question} passed over: {}", redaction.free(reason)),
        LogEvent::Zero { offset } => format!("leads shorted: {}", offset.text),
        LogEvent::Temperature { place, temperature } => {
            format!("{} {}", place.as_deref().unwrap_or("all boxes"), temperature.text)
        }
        LogEvent::Volts { volts } => format!("battery {}", volts.text),
        LogEvent::Reading(measured) => reading::said(&measured.what),
        LogEvent::Watched(seen) => {
            text::settle::watched(&TraceSummary { file: redaction.free(&seen.file), ..(**seen).clone() })
        }
        LogEvent::Disturb { what } => format!("sleep clock starts again: {}", redaction.free(what)),
        LogEvent::Note { text } => redaction.free(text),
        LogEvent::Limit { limit, source } => format!("limit {}, {}", limit.text, redaction.free(source)),
        LogEvent::Feed { place, line } => match place {
            Some(place) => format!("fuse added in {place}: {line}"),
            None => format!("fuse added: {line}"),
        },
        LogEvent::Strike { target, why } => format!("entry {target} struck: {}", redaction.free(why)),
        LogEvent::Unknown { kind } => {
            format!("an entry of the kind {kind}, which this version does not know")
        }
    }
}

/// Returns what an entry meant, a sentence each; empty if nothing follows from it.
pub(super) fn meant(case: &Case, analysis: &Analysis, number: usize) -> Vec<String> {
    show::meaning_of(case, analysis, |entry| entry == number).iter().map(StyledText::text).collect()
}

fn marks(case: &Case, number: usize, body: &LogEvent) -> Vec<&'static str> {
    let (provisional, after_repair) = match body {
        LogEvent::Reading(measured) => (measured.provisional, measured.after_repair),
        _ => (false, false),
    };
    let all = [
        (provisional, "provisional: sleep was not proved"),
        (after_repair, "after the repair"),
        (case.struck_by(number).is_some(), "struck"),
    ];
    all.into_iter().filter(|(holds, _)| *holds).map(|(_, mark)| mark).collect()
}
