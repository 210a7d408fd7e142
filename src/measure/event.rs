//! What readings did beside saying what flows: woke, cured, released something; and all that they say together.
//! Leaves to others: telling them (`build_observations`), their words (`text/reading`).

use chrono::{DateTime, FixedOffset};

use super::observation::{Interrupted, Observation};
use super::sighting::{Sighting, SightingPlace};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Minute};
use crate::circuit::id::{FeedId, InputId};
use crate::circuit::inside::{InnerPart, Whole};

/// What a reading did beside being an observation.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A pull after which the total rose: neighbours woke; the reading says nothing about the feed.
    Woke {
        /// Feed pulled.
        feed: String,
    },
    /// The draw stayed away after the feed went back: a hung module restarted.
    Cured {
        /// Feed.
        feed: String,
    },
    /// An input was worked and the total has not fallen: not yet, for its modules may still be awake.
    NotFallen {
        /// Input.
        input: String,
        /// How long its modules may take; `None` once they had that long.
        within: Option<Minute>,
    },
    /// The draw fell when an input was worked, or once the modules that it wakes had slept: what held the group awake is
    /// found, and released.
    Released {
        /// Input; the one worked last, if several were worked in that time.
        input: String,
        /// Others worked in that time, which may have been it as well.
        others: Vec<String>,
        /// What the total is still above normal by, if it clearly is: then there is a second cause.
        left: Option<Ampere>,
    },
    /// The total fell by more than a module draws when it was taken out, while others of its group were high: the whole
    /// group fell asleep with it.
    FellTogether {
        /// Feed pulled, or load unplugged as `FEED/load`.
        without: String,
        /// Group.
        group: String,
    },
    /// The total is clearly lower than when it was last read though nothing was interrupted: something fell asleep
    /// late. What was read high before is set aside.
    FellAsleep {
        /// Total when it was last read.
        from: Ampere,
        /// Total now.
        to: Ampere,
    },
    /// A reading that contradicts the rest was repeated and read otherwise: it no longer counts.
    SetAside {
        /// Its entry.
        entry: usize,
        /// Where.
        at: String,
        /// What it read.
        read: Ampere,
        /// What the other one read.
        again: Ampere,
    },
    /// A part of an unfused item, a load or a cable was taken off.
    Inside(InnerFall),
    /// A drop on a fuse of which no resistance is known.
    NoResistance {
        /// Feed.
        feed: String,
        /// What to do.
        fault: Diagnostic,
    },
}

/// What taking off a part did.
#[derive(Debug, Clone, PartialEq)]
pub struct InnerFall {
    /// What it is a part of.
    pub whole: Whole,
    /// The part.
    pub part: &'static InnerPart,
    /// By how much the total fell.
    pub fall: Ampere,
    /// What the total was above normal before.
    pub above: Ampere,
    /// Whether it is this part that draws; `None` if the fall is neither much nor nothing.
    pub is_it: Option<bool>,
}

/// An input that was worked without a fall of the total so far.
#[derive(Debug, Clone, PartialEq)]
pub struct TriedInput {
    /// The input.
    pub input: InputId,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// True once the total was read after the modules that it wakes had their time to sleep.
    pub is_watched: bool,
}

/// A time in which something was left out, and the wake-ups that came in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeOut {
    /// Number of the entry that it rests on.
    pub entry: usize,
    /// What was out: a fuse or a load.
    pub at: SightingPlace,
    /// For how long.
    pub time: Minute,
    /// How many came.
    pub came: u32,
}

/// All that the readings say.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Observed {
    /// Observations, in the order of their entries.
    pub observations: Vec<Observation>,
    /// What was read along a row and was not high: each with the current that it was below.
    pub below: Vec<Observation>,
    /// What happened beside: entry number and event.
    pub events: Vec<(usize, Event)>,
    /// What is interrupted now.
    pub interrupted: Interrupted,
    /// Feeds whose resistance a known load step told.
    pub calibrated: Vec<FeedId>,
    /// Inputs that were worked without a fall of the total so far.
    pub tried: Vec<TriedInput>,
    /// What was left out for a while, and the wake-ups that came meanwhile.
    pub times_out: Vec<TimeOut>,
    /// What was found by eye, ear, hand or a thermal camera.
    pub sightings: Vec<Sighting>,
}

impl Observed {
    /// Returns which parts were taken off, and what that did.
    pub fn inside(&self) -> impl Iterator<Item = &InnerFall> {
        self.events.iter().filter_map(|(_, event)| match event {
            Event::Inside(fall) => Some(fall),
            _ => None,
        })
    }

    /// Returns the event that ended the draw, if one did: later readings no longer show the fault.
    pub fn ended(&self) -> Option<&(usize, Event)> {
        self.events
            .iter()
            .find(|(_, event)| matches!(event, Event::Cured { .. } | Event::Released { left: None, .. }))
    }
}
