//! What a log adds up to: the hunt so far. Struck entries are gone from it, except in `struck`.
//! Leaves to others: making it from entries (`fold`), and every conclusion (`account`, `suspects`, `hunt`).

use chrono::{DateTime, FixedOffset};

use super::entry::Opened;
use crate::circuits::map::{Limit, Map};
use crate::quantity::{Celsius, Typed, Volt};
use crate::reading::Reading;

/// When something was entered, and as which entry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stamp {
    /// Number of the entry, from 1.
    pub entry: usize,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// The hunt so far.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// What the first entry says.
    pub opened: Opened,
    /// When the log was opened.
    pub opened_at: DateTime<FixedOffset>,
    /// The circuit map, with the feeds added since.
    pub map: Map,
    /// Readings in the order of their entries.
    pub readings: Vec<Reading>,
    /// Zeros taken.
    pub zeros: Vec<(Stamp, Typed<Volt>)>,
    /// Temperatures noted: box id (`None` for all) and value.
    pub temperatures: Vec<(Stamp, Option<String>, Typed<Celsius>)>,
    /// Battery volts noted.
    pub volts: Vec<(Stamp, Typed<Volt>)>,
    /// Answers to questions: id and text. The newest of one id counts.
    pub answers: Vec<(Stamp, String, String)>,
    /// Questions or stages passed over: id and reason.
    pub skips: Vec<(Stamp, String, String)>,
    /// What restarted the sleep clock.
    pub disturbances: Vec<(Stamp, String)>,
    /// Notes.
    pub notes: Vec<(Stamp, String)>,
    /// The user's own limit, if one was given.
    pub limit: Option<Limit>,
    /// Struck entries: who struck, which entry, why.
    pub struck: Vec<(Stamp, usize, String)>,
    /// Entries of a kind that this version does not know: number and kind.
    pub unknown: Vec<(usize, String)>,
    /// Number of entries in the log, struck ones included.
    pub entries: usize,
    /// When the last entry was made.
    pub last_at: DateTime<FixedOffset>,
}

impl Case {
    /// Returns the newest answer to a question.
    pub fn answer(&self, question: &str) -> Option<&str> {
        self.answers.iter().rev().find(|(_, id, _)| id == question).map(|(_, _, text)| text.as_str())
    }

    /// Returns why a question or stage was passed over, if it was.
    pub fn skipped(&self, question: &str) -> Option<&str> {
        self.skips.iter().rev().find(|(_, id, _)| id == question).map(|(_, _, reason)| reason.as_str())
    }
}
