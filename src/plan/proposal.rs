//! A plan: readings proposed, each with its reason, and why the search stops. Leaves to others: making it (`next`).

use crate::base::quantity::{Ampere, Minute, Uncertain};
use crate::measure::kind::MeasurementKind;

/// A reading proposed.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// What to do.
    pub action: MeasurementKind,
    /// Where; `None` for total and zero.
    pub at: Option<String>,
    /// Minutes of work, reaching the box included.
    pub minutes: Minute,
    /// Expected information about the cause, in bits.
    pub bits: f64,
    /// Smallest current it could show.
    pub floor: Option<Uncertain<Ampere>>,
    /// Why this one, in terms of numbers.
    pub reason: StepReason,
}

/// Why a reading is proposed.
#[derive(Debug, Clone, PartialEq)]
pub enum StepReason {
    /// There is no total yet.
    NoTotal,
    /// Taking the offset off lowers the floor to this share.
    LowersFloor(f64),
    /// It covers this share of what is likely, in probability.
    Covers(f64),
    /// A look tells much about a load and disturbs nothing.
    Looks,
    /// What the vehicle says of itself tells much and disturbs nothing.
    Reports,
    /// It tells which load of the circuit it is.
    Narrows,
    /// It tells which part of an unfused item it is.
    NarrowsInside,
    /// It tells which input holds the group awake.
    FindsInput,
    /// A module behind a fuse that was pulled may have hung: then the draw stays away.
    MayHaveHung,
    /// So many wake-ups of a known series are due in this time.
    Due {
        /// How many.
        wakes: u32,
        /// For how long it stays out.
        time: Minute,
    },
    /// It repeats a doubtful reading.
    Repeats,
    /// A module may have been awake when the total was read.
    MayHaveFallen,
    /// This fuse's own resistance makes its reading so exact, relative.
    Calibrates(f64),
}

/// Why the search stops, or that it goes on.
#[derive(Debug, Clone, PartialEq)]
pub enum Stop {
    /// Go on.
    Open,
    /// One branch or group is decided, with this probability.
    Decided(f64),
    /// Nothing is wrong, with this probability.
    NothingWrong(f64),
    /// Everything is as the map has it, with this probability, and that is over the limit.
    AsMapped(f64),
    /// What draws comes and goes, as a meter log showed, and is away now, with this probability: no reading tells more.
    AtTimes(f64),
    /// The draw ended: a pull cured it, or an input released it.
    Ended,
    /// What is left to read takes more minutes than it is likely to save: the leader stands with this probability.
    NotWorth(f64),
    /// Nothing that can be read would tell more.
    NothingLeft,
}

/// The plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Whether the search is over, and why.
    pub stop: Stop,
    /// Readings, best first.
    pub readings: Vec<Proposal>,
}
