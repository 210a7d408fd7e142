//! What a log adds up to: the hunt so far. Struck entries are gone from it, except in `struck`.
//! Leaves to others: making it from entries (`replay`), and every conclusion (`balance`, `infer`, `hunt`).

use chrono::{DateTime, FixedOffset};

use super::entry::Opened;
use super::trace_summary::TraceSummary;
use crate::base::quantity::{Celsius, Typed, Volt};
use crate::circuit::map::{Limit, Map};
use crate::measure::{Measurement, Reading};

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
    /// What meter logs showed while nobody looked, in the order of their entries.
    pub watched: Vec<(Stamp, TraceSummary)>,
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

    /// Returns when the sleep clock was last restarted: the latest disturbance, or the opening of the log. Pulls,
    /// refits, unplugged loads and worked inputs count. The latest in time counts, not the last entered: an entry may
    /// be made afterwards with its true time.
    pub fn last_disturbance(&self) -> DateTime<FixedOffset> {
        self.disturbances.iter().map(|(stamp, _)| stamp.at).fold(self.opened_at, DateTime::max)
    }

    /// Returns the newest settled total of the fault: not one as found, not provisional, not after the repair.
    pub fn settled_total(&self) -> Option<&Reading> {
        self.newest_total(|reading, as_found| !as_found && !reading.provisional && !reading.after_repair)
    }

    /// Returns the newest total taken as found, before anything was switched or opened.
    pub fn total_as_found(&self) -> Option<&Reading> {
        self.newest_total(|_, as_found| as_found)
    }

    /// Returns the newest settled total after the repair.
    pub fn total_after_repair(&self) -> Option<&Reading> {
        self.newest_total(|reading, _| reading.after_repair && !reading.provisional)
    }

    fn newest_total(&self, fits: impl Fn(&Reading, bool) -> bool) -> Option<&Reading> {
        let is_wanted = |reading: &&Reading| match reading.what {
            Measurement::Total { as_found, .. } => fits(reading, as_found),
            _ => false,
        };
        self.readings.iter().rev().find(is_wanted)
    }

    /// Returns the feeds that were pulled and have not been refitted, in the order of the pulls.
    pub fn pulled(&self) -> Vec<&str> {
        let mut out: Vec<&str> = Vec::new();
        for reading in &self.readings {
            match &reading.what {
                Measurement::Pull { feed, .. } if !out.contains(&feed.as_str()) => out.push(feed),
                Measurement::Refit { feed, .. } => out.retain(|pulled| pulled != feed),
                _ => {}
            }
        }
        out
    }

    /// Returns the loads that are unplugged and not back, each with its feed, in the order of the readings.
    /// A load goes back as a refit of `FEED/load`.
    pub fn unplugged(&self) -> Vec<(&str, &str)> {
        let mut out: Vec<(&str, &str)> = Vec::new();
        for reading in &self.readings {
            match &reading.what {
                Measurement::Unplug { feed, load, .. } if !out.contains(&(feed, load)) => {
                    out.push((feed, load))
                }
                Measurement::Refit { feed, .. } => out.retain(|back| feed.split_once('/') != Some(*back)),
                _ => {}
            }
        }
        out
    }

    /// Returns the reading of an entry; `None` if that entry is no reading, or is struck.
    pub fn reading(&self, entry: usize) -> Option<&Reading> {
        self.readings.iter().find(|reading| reading.entry == entry)
    }

    /// Returns who struck an entry and why, if it is struck.
    pub fn struck_by(&self, entry: usize) -> Option<(Stamp, &str)> {
        let strike = self.struck.iter().rev().find(|(_, target, _)| *target == entry);
        strike.map(|(stamp, _, why)| (*stamp, why.as_str()))
    }
}
