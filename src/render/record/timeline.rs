//! The timeline of a record: every entry of the log, what it said and what it meant, and which were struck and why.
//! Leaves to others: the sections that pick from it (`sections`, `findings`).

use super::source::RecordSource;
use crate::base::styled::StyledText;
use crate::hunt::analysis::Analysis;
use crate::hunt::show;
use crate::log::case::{Case, Dated, Struck};
use crate::log::entry::{Entry, LogEvent};
use crate::log::schema::kind;
use crate::text;
use crate::text::entry::said;

shape! {
    /// One entry of the log.
    TimelineShape(source: &RecordSource, analysis: &Analysis, number: usize, entry: &Entry) {
        entry: usize = number,
        at: String = entry.at.to_rfc3339(),
        kind: String = kind(&entry.body).to_owned(),
        /// What it said, in one line.
        said: String = said(&source.redaction.event(&entry.body)),
        /// What it meant, a sentence each.
        meant: Vec<String> = meant(source.case, analysis, number),
        /// What to know about it: provisional, after the repair, struck.
        marks: Vec<&'static str> = marks(source.case, number, &entry.body),
    }

    /// An entry that was struck.
    RecordStruckShape(source: &RecordSource, struck: &Dated<Struck>) {
        entry: usize = struck.what.entry,
        said: Option<String> = source.entries.get(struck.what.entry - 1).map(|entry| said(&source.redaction.event(&entry.body))),
        struck_by: usize = struck.stamp.entry,
        at: String = struck.stamp.at.to_rfc3339(),
        why: String = source.redaction.free(&struck.what.why),
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
    source.case.struck.iter().map(|struck| RecordStruckShape::of(source, struck)).collect()
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
        (provisional, text::record::PROVISIONAL),
        (after_repair, "after the repair"),
        (case.struck_by(number).is_some(), "struck"),
    ];
    all.into_iter().filter(|(holds, _)| *holds).map(|(_, mark)| mark).collect()
}
