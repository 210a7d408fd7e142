//! The timeline of a record: every entry of the log, what it said and what it meant, and which were struck and why.
//! Leaves to others: the sections that pick from it (`sections`, `findings`).

use serde_json::{Value, json};

use super::source::RecordSource;
use crate::base::styled::StyledText;
use crate::hunt::analysis::Analysis;
use crate::hunt::show;
use crate::log::case::{Case, Dated, Struck};
use crate::log::entry::{Entry, LogEvent};
use crate::log::schema::kind;
use crate::text::entry::said;

/// Returns every entry in order: when, what kind, what it said, what it meant, and its marks.
pub(super) fn timeline(source: &RecordSource, analysis: &Analysis) -> Vec<Value> {
    let one = |(index, entry): (usize, &Entry)| {
        let number = index + 1;
        json!({
            "entry": number,
            "at": entry.at.to_rfc3339(),
            "kind": kind(&entry.body),
            "said": said(&source.redaction.event(&entry.body)),
            "meant": meant(source.case, analysis, number),
            "marks": marks(source.case, number, &entry.body),
        })
    };
    source.entries.iter().enumerate().map(one).collect()
}

/// Returns the struck entries: what each said, who struck it, when and why.
pub(super) fn struck(source: &RecordSource) -> Vec<Value> {
    let one = |Dated { stamp, what: Struck { entry: target, why } }: &Dated<Struck>| {
        let said = source.entries.get(target - 1).map(|entry| said(&source.redaction.event(&entry.body)));
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
