//! The JSON shapes of the commands that write or look at a log: `open`, `add`, `strike`, `undo`, `list`, `check`, `hunt`, `watch`, and
//! `record` with a file. The commands fill them from what they did.

use super::guard::{GapShape, SeenWakeShape};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::show::Q;
use crate::log::case::Case;
use crate::log::entry::Entry;
use crate::log::schema::kind;
use crate::measure::observation::Observation;
use crate::text::entry::listed;

shape! {
    /// What `open` prints.
    OpenShape(doubts: &[Diagnostic]) {
        entry: usize = 1,
        /// The first entry is no reading.
        reading: Option<Q> = None,
        warnings: Vec<String> = doubts.iter().map(ToString::to_string).collect(),
    }

    /// What `add` prints.
    AddShape(all: Vec<EntryShape>, doubts: Vec<String>) {
        /// Number of the last entry.
        entry: Option<usize> = all.last().map(|last| last.entry),
        /// What the last entry comes to; null if it is no current.
        reading: Option<Q> = all.last().and_then(|last| last.reading.clone()),
        warnings: Vec<String> = doubts,
        /// Every entry of this call.
        readings: Vec<EntryShape> = all,
    }

    /// One entry that was added.
    EntryShape(number: usize, current: Option<Q>) {
        entry: usize = number,
        reading: Option<Q> = current,
    }

    /// What `strike` prints.
    StrikeShape(number: usize, target: usize) {
        entry: usize = number,
        /// Number of the entry that was struck.
        struck: usize = target,
        warnings: Vec<String> = Vec::new(),
    }

    /// An entry that cannot be read any more.
    UnreadableShape(number: usize, fault: &Diagnostic) {
        entry: usize = number,
        why: String = fault.to_string(),
    }

    /// An entry that was struck out.
    StruckShape(number: usize, strike: usize, reason: &str) {
        entry: usize = number,
        /// Number of the entry that struck it.
        by: usize = strike,
        why: String = reason.to_owned(),
    }

    /// An entry of a kind that a newer version wrote.
    NewerShape(number: usize, name: &str) {
        entry: usize = number,
        kind: String = name.to_owned(),
    }

    /// What `undo` prints.
    UndoShape(number: usize, struck: Vec<usize>) {
        /// Number of the last entry.
        entry: usize = number,
        /// Entries that were taken back.
        taken_back: Vec<usize> = struck,
        warnings: Vec<String> = Vec::new(),
    }

    /// What `list` prints.
    ListShape(all: &[Entry], case: &Case, observations: &[Observation]) {
        entries: Vec<ListedEntryShape> = (1..).zip(all).map(|(number, entry)| ListedEntryShape::of(number, entry, case, observations)).collect(),
    }

    /// One entry.
    ListedEntryShape(number: usize, entry: &Entry, case: &Case, observations: &[Observation]) {
        n: usize = number,
        at: String = entry.at.to_rfc3339(),
        kind: String = kind(&entry.body).to_owned(),
        /// What it said and came to.
        text: String = listed(entry, number, observations),
        struck: bool = case.struck_by(number).is_some(),
    }

    /// What `hunt` prints at its end.
    HuntShape(path: &str, count: usize, is_done: bool, reason: &str) {
        log: String = path.to_owned(),
        /// How many entries the log has.
        entries: usize = count,
        /// True if the hunt has reached its end.
        done: bool = is_done,
        why: String = reason.to_owned(),
    }

    /// What `record` prints when it writes a file.
    RecordWrittenShape(path: &str, last: &str) {
        file: String = path.to_owned(),
        /// Last seal of the log.
        seal: String = last.to_owned(),
    }
}

/// What `check` prints.
#[derive(Debug, serde::Serialize, schemars::JsonSchema)]
pub struct CheckShape {
    /// True if nothing is wrong with the log.
    pub whole: bool,
    /// How many entries it has.
    pub entries: usize,
    /// Seal of the last one.
    pub last_seal: Option<String>,
    /// Entries that were changed, or do not follow the one before.
    pub edited: Vec<usize>,
    /// True if an entry was never finished.
    pub torn: bool,
    /// How many bytes of it there are.
    pub torn_bytes: usize,
    /// Entries that cannot be read.
    pub unreadable: Vec<UnreadableShape>,
    /// Why the entries do not add up to a case.
    pub problems: Vec<String>,
    /// Entries that were struck.
    pub struck: Vec<StruckShape>,
    /// Entries of newer kinds.
    pub newer: Vec<NewerShape>,
    /// Version that began the log.
    pub program: Option<String>,
    /// Whether nothing up to the noted seal was changed; null where none was given.
    pub agrees: Option<bool>,
    /// The entry whose seal was noted.
    pub sealed_entry: Option<usize>,
}

/// What `watch` prints at its end.
#[derive(Debug, serde::Serialize, schemars::JsonSchema)]
pub struct WatchShape {
    /// The file.
    pub file: String,
    /// Samples in it.
    pub samples: usize,
    /// Samples with the meter out of range.
    pub overloads: usize,
    /// Samples that came too soon after another and were not kept.
    pub between: usize,
    /// Lines of the meter that say nothing.
    pub unreadable: usize,
    /// Level that it came to rest at, in milliampere; null if it did not.
    pub rest_ma: Option<f64>,
    /// Wake-ups from that rest.
    pub wakes: Vec<SeenWakeShape>,
    /// Stretches in which nothing was heard.
    pub gaps: Vec<GapShape>,
    /// Why it ended.
    pub why: &'static str,
}
