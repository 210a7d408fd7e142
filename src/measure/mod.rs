//! What was measured: kind, place, value, time and the context that arithmetic needs.
//! Leaves to others: milliampere (`convert`), sums over branches (`observation`), absurd values (`doubt`).

pub mod night;
pub mod observation;
pub mod event;
pub mod observe;
pub mod sources;
pub mod convert;
pub(crate) mod grammar;
pub mod kind;
pub(crate) mod late;
pub(crate) mod errors;
pub(crate) mod place;
pub(crate) mod doubt;
pub mod sighting;
pub(crate) mod slip;
pub(crate) mod together;
mod worked;

use chrono::{DateTime, FixedOffset};

use crate::base::quantity::{Ampere, Celsius, Minute, Typed, Uncertain, Volt};
use crate::instrument::profile::Profile;

/// Temperature of a box when nobody told, and its standard uncertainty.
///
/// # Source
/// Editorial: a closed workshop, or outdoors in mild weather.
const UNTOLD: (Celsius, Celsius) = (Celsius::new(20.0), Celsius::new(5.0));

/// Standard uncertainty of a temperature that somebody gave: air read near the box, not the fuse element itself.
///
/// # Source
/// Editorial.
const GIVEN: Celsius = Celsius::new(2.0);

/// Returns the temperature taken for a box: what was told of it, else 20 °C, widely uncertain.
pub fn box_temperature(told: Option<Celsius>) -> Uncertain<Celsius> {
    told.map_or_else(|| Uncertain::new(UNTOLD.0, UNTOLD.1), |told| Uncertain::new(told, GIVEN))
}

/// One reading with its context, as the log tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Number of its entry in the log, from 1.
    pub entry: usize,
    /// When it was taken.
    pub at: DateTime<FixedOffset>,
    /// What was measured.
    pub what: Measurement,
    /// Meter across fuses in use.
    pub meter: Profile,
    /// Clamp or series ammeter in use.
    pub clamp: Profile,
    /// The zero in force for millivolts: its entry number and value.
    pub zero: Option<(usize, Volt)>,
    /// Temperature of the box read, own uncertainty only; its shared name is the box.
    pub temperature: Uncertain<Celsius>,
    /// True if a total was taken before the vehicle was proved asleep.
    pub provisional: bool,
    /// True if taken after the repair, or a total after the hunt was handed over: then it says nothing about the fault.
    pub after_repair: bool,
}

/// What was measured. Feeds, unfused items and loads are named as in the map.
#[derive(Debug, Clone, PartialEq)]
pub enum Measurement {
    /// Settled total.
    Total {
        /// Current from the battery.
        current: Typed<Ampere>,
        /// True if taken before anything was switched or opened.
        as_found: bool,
    },
    /// A total seen while waiting, not settled.
    Watch {
        /// Current from the battery.
        current: Typed<Ampere>,
    },
    /// Read along a row, and not high: the drop was below this.
    Below {
        /// Feed read.
        feed: String,
        /// What the drop was below, as shown, zero not yet taken off.
        drop: Typed<Volt>,
    },
    /// Voltage drop across a fuse.
    Drop {
        /// Feed read.
        feed: String,
        /// Drop as shown, zero not yet taken off.
        drop: Typed<Volt>,
    },
    /// A fuse pulled: total before and after.
    Pull {
        /// Feed pulled.
        feed: String,
        /// Total before.
        before: Typed<Ampere>,
        /// Total after, settled.
        after: Typed<Ampere>,
    },
    /// The fuse goes back: total afterwards.
    Refit {
        /// Feed refitted.
        feed: String,
        /// Total afterwards.
        total: Typed<Ampere>,
    },
    /// Clamp on a feed or an unfused item.
    Clamp {
        /// Feed or unfused item.
        at: String,
        /// Current shown.
        current: Typed<Ampere>,
    },
    /// A load unplugged: total before and after.
    Unplug {
        /// Feed of the load.
        feed: String,
        /// Load.
        load: String,
        /// Total before.
        before: Typed<Ampere>,
        /// Total after.
        after: Typed<Ampere>,
    },
    /// An input of a wake group worked: total before and after.
    Input {
        /// Input as named in the map.
        input: String,
        /// Total before.
        before: Typed<Ampere>,
        /// Total after.
        after: Typed<Ampere>,
    },
    /// What eye, ear, hand or a thermal camera found.
    Look {
        /// Fuse, or `FUSE/LOAD`.
        at: String,
        /// The word of the table of kinds: lit, dark, warm …
        found: String,
    },
    /// What the vehicle says of itself on a scan tool.
    Report {
        /// Input, or `FUSE/LOAD`.
        of: String,
        /// The word of the table of kinds: open, asleep, woke=12 …
        says: String,
    },
    /// A fuse, or a load, left out to see whether the wake-ups of a series still come.
    Out {
        /// Fuse, or `FUSE/LOAD`.
        at: String,
        /// The word of the table of kinds: none, came=2 …
        came: String,
        /// For how long it was out.
        time: Typed<Minute>,
    },
    /// A known load on a fuse switched on: drop before and after, and its current.
    Step {
        /// Feed.
        feed: String,
        /// Drop before.
        before: Typed<Volt>,
        /// Drop after.
        after: Typed<Volt>,
        /// Current of the load.
        current: Typed<Ampere>,
    },
}
