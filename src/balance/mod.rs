//! The account of the total: which branch carries how much, what is placed and what is not.
//! Weighted least squares over the feed tree with currents that cannot be negative (sources may), the asleep values
//! of the map as weak expectations, and the full covariance of the readings.
//! Leaves to others: who is to blame (`infer`), wording (`text`).

pub mod conflict;
pub mod repeat;
pub mod rows;
pub mod solve;
pub mod verdict;

use crate::base::quantity::{Ampere, Uncertain};

/// The account.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Settled total, all readings of it and all other claims considered; `None` before one was read.
    pub total: Option<Uncertain<Ampere>>,
    /// What the measured branches carry together.
    pub placed: Uncertain<Ampere>,
    /// Total less placed; `None` without a total.
    pub unplaced: Option<Uncertain<Ampere>>,
    /// One line a feed, in the order of the map.
    pub feeds: Vec<FeedLine>,
    /// One line an unfused item, in the order of the map.
    pub unfused: Vec<FeedLine>,
    /// Readings that contradict each other.
    pub conflicts: Vec<conflict::Conflict>,
}

/// What one feed or unfused item carries.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedLine {
    /// Its id or name.
    pub id: String,
    /// What flows through it.
    pub current: Uncertain<Ampere>,
    /// What it carries itself, without the feeds below it.
    pub own: Uncertain<Ampere>,
    /// True if it was read there.
    pub measured: bool,
    /// Smallest current that the reading there could tell from none; `None` if not read.
    pub floor: Option<Ampere>,
}

impl FeedLine {
    /// Returns true if it was read and the reading is not told from none.
    pub fn below_floor(&self) -> bool {
        self.floor.is_some_and(|floor| self.current.value() < floor)
    }
}
