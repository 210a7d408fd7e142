//! What wakes a practice vehicle at times. Leaves to others: how it shows while a fuse is out (`out`).

use crate::base::quantity::Minute;
use crate::circuit::id::FeedId;

/// A series of wake-ups, as the night in the log shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SimSeries {
    /// From start to start.
    pub period: Minute,
    /// What feeds the module that wakes.
    pub feed: FeedId,
}
