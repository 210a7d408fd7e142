//! The ways of hunting, and what a hunt comes to: what is said, after how many readings and minutes.
//! Leaves to others: each way (`planned`, `panel`, `halving`).

use crate::base::quantity::Minute;

/// A way of hunting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Policy {
    /// The reading that the plan puts first, until the plan stops.
    Plan,
    /// Every fuse in panel order, to the end of the box in which the excess is found.
    Panel,
    /// Cables and links first, then what hangs below the one that carries the excess.
    Halving,
}

impl Policy {
    /// All of them.
    pub const ALL: [Policy; 3] = [Policy::Plan, Policy::Panel, Policy::Halving];

    /// Returns its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Panel => "panel",
            Self::Halving => "halving",
        }
    }
}

/// Who is named.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Name {
    /// Nothing is wrong.
    Nothing,
    /// What drew as found is gone since the vehicle was touched.
    Gone,
    /// A branch, by its id.
    Branch(String),
    /// A wake group, by its id.
    Group(String),
}

/// One thing said at the end of a hunt.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// Who.
    pub name: Name,
    /// With what probability; 1 from those who know no probabilities.
    pub probability: f64,
}

/// Why a hunt ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ending {
    /// The plan says that the cause is decided.
    Decided,
    /// The plan says that nothing is wrong.
    NothingWrong,
    /// The draw ended: a pull cured it, or an input released it.
    Ended,
    /// Nothing that can be read would tell more.
    NothingLeft,
    /// What is left to read takes longer than it is likely to save.
    NotWorth,
    /// The way of hunting is through.
    Through,
    /// The vehicle refused the reading: a fault of the plan.
    Refused,
    /// Too many readings: a fault of the plan.
    Endless,
}

impl Ending {
    /// Returns its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Decided => "decided",
            Self::NothingWrong => "nothing wrong",
            Self::Ended => "draw ended",
            Self::NothingLeft => "nothing left",
            Self::NotWorth => "not worth more",
            Self::Through => "through",
            Self::Refused => "refused",
            Self::Endless => "endless",
        }
    }
}

/// What a hunt came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Hunted {
    /// What is said, likeliest first.
    pub said: Vec<Said>,
    /// Readings after the first total.
    pub readings: usize,
    /// How often something was typed for them: once for a whole round.
    pub prompts: usize,
    /// Minutes of work after the first total, ways to boxes included.
    pub hands_on: Minute,
    /// Minutes that went by meanwhile, waits included.
    pub elapsed: Minute,
    /// Why it ended.
    pub ending: Ending,
    /// The readings in short, such as `drop F12 3.0 mV`, for whoever looks into a miss.
    pub trail: Vec<String>,
}
