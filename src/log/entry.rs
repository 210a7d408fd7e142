//! The kinds of log entry, as plain data. One kind is one variant; unknown kinds of newer versions are kept.
//! Leaves to others: their YAML text (`schema`), their meaning in sequence (`replay`).

use chrono::{DateTime, FixedOffset};

use super::identity::Identity;
use super::question_id::QuestionKey;
use super::trace_summary::TraceSummary;
use crate::base::quantity::{Ampere, Celsius, Minute, Typed, Volt};
use crate::circuit::learnt::LearntShares;
use crate::instrument::profile::Profile;

/// Format name in the first entry.
pub const FORMAT: &str = "fusetrail-hunt/1";

/// One entry: when, and what.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// When it was made.
    pub at: DateTime<FixedOffset>,
    /// What it says.
    pub body: LogEvent,
    /// The number of the entry that the same command or answer made first, if that is another one.
    pub with: Option<usize>,
}

/// Why an entry was struck that a step back took away.
pub const BACK: &str = "back";
/// Why an entry was struck that `undo` took away.
pub const UNDO: &str = "undo";

impl Entry {
    /// Makes an entry that stands alone, or comes first.
    pub fn new(at: DateTime<FixedOffset>, body: LogEvent) -> Self {
        Self { at, body, with: None }
    }

    /// Makes the entries of one command or answer, the first of which will have this number.
    pub fn step(at: DateTime<FixedOffset>, bodies: Vec<LogEvent>, first: usize) -> Vec<Self> {
        let with = |index: usize| Some(first).filter(|_| index > 0);
        bodies.into_iter().enumerate().map(|(index, body)| Self { at, body, with: with(index) }).collect()
    }
}

impl LogEvent {
    /// Returns true if it takes back a step, as `back` and `undo` do: that is no step of its own.
    pub fn takes_back(&self) -> bool {
        matches!(self, Self::Strike { why, .. } if why == BACK || why == UNDO)
    }
}

/// What an entry says.
#[derive(Debug, Clone, PartialEq)]
pub enum LogEvent {
    /// The first entry: the map and meters as used.
    Open(Box<Opened>),
    /// An answer to a question of the hunt.
    Answer {
        /// The question.
        question: QuestionKey,
        /// The answer as taken.
        answer: String,
    },
    /// A question or a stage passed over.
    Skip {
        /// The question, or the stage.
        question: QuestionKey,
        /// Why.
        reason: String,
    },
    /// Leads shorted: the offset of the millivolt meter.
    Zero {
        /// What it showed.
        offset: Typed<Volt>,
    },
    /// Temperature of a box, or of all boxes.
    Temperature {
        /// Box id; `None` for all.
        place: Option<String>,
        /// Temperature.
        temperature: Typed<Celsius>,
    },
    /// Battery volts, logged beside totals.
    Volts {
        /// What the meter showed.
        volts: Typed<Volt>,
    },
    /// The meter in use from here on, for its way of reading: across fuses, by clamp, or in series.
    Meter(Box<Profile>),
    /// A reading.
    Reading(Box<Measured>),
    /// What a meter log showed while nobody looked.
    Watched(Box<TraceSummary>),
    /// Something that restarts the sleep clock.
    Disturb {
        /// What it was.
        what: String,
    },
    /// A note in words.
    Note {
        /// The words.
        text: String,
    },
    /// The limit, changed by the user.
    Limit {
        /// The limit.
        limit: Typed<Ampere>,
        /// Where it is from.
        source: String,
    },
    /// A feed added to the map during the hunt, as its line was typed (`F12 mini 10 radio, clock`).
    Feed {
        /// Box it sits in, if told.
        place: Option<String>,
        /// The line.
        line: String,
    },
    /// What identifies vehicle, job and part.
    Vehicle(Identity),
    /// Shares of causes learnt from other hunts, in force from here on.
    Weights(LearntShares),
    /// An older entry struck out.
    Strike {
        /// Number of that entry, from 1.
        target: usize,
        /// Why.
        why: String,
    },
    /// A kind this version does not know, kept as it stands.
    Unknown {
        /// Its kind.
        kind: String,
    },
}

/// What the first entry carries.
#[derive(Debug, Clone, PartialEq)]
pub struct Opened {
    /// Version of the program that began the log.
    pub program: String,
    /// Version of the fuse tables.
    pub tables: String,
    /// The whole map, as YAML text of `fusetrail-map/1`.
    pub map: String,
    /// Meter across fuses.
    pub meter: Profile,
    /// Clamp or series ammeter.
    pub clamp: Profile,
    /// Temperatures given at the start: box id (`None` for all) and value.
    pub temperatures: Vec<(Option<String>, Typed<Celsius>)>,
    /// The user's own limit.
    pub limit: Option<Typed<Ampere>>,
    /// Reserve capacity of the battery.
    pub reserve: Option<Typed<Minute>>,
    /// Seed of the practice vehicle, if this is practice.
    pub practice: Option<u64>,
}

/// A reading as it was typed or measured, with the context that a later version needs to compute it anew.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// What was measured.
    pub what: crate::measure::Measurement,
    /// Meter or clamp used, by name.
    pub meter: String,
    /// Entry number of the zero in force; `None` if there is none.
    pub zero: Option<usize>,
    /// Temperature of the box, if known.
    pub temperature: Option<Celsius>,
    /// True if the total was taken before it was proved settled.
    pub provisional: bool,
    /// True if it was read during the prove stage, after the repair.
    pub after_repair: bool,
    /// Why it was taken all the same on a circuit that can hurt.
    pub why: Option<String>,
}
