//! What a meter log shows of a draw that comes and goes: evidence on the causes where it is away while somebody reads.
//! Leaves to others: the log itself (`hunt/night`), how the causes are weighed by it (`away`), words (`text/night`).

use chrono::{DateTime, FixedOffset};

use crate::base::quantity::{Ampere, Uncertain};
use crate::measure::night::LedgerLine;
use crate::measure::sighting::Sighting;

/// What a meter log shows of a draw that comes and goes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NightEvidence {
    /// Average of the log, wake-ups in.
    pub average: Option<Uncertain<Ampere>>,
    /// True if it is within the limit at rest, and over it on average.
    pub is_woken: bool,
    /// What takes most above the rest.
    pub line: Option<LedgerLine>,
    /// When that was first there, where the log has dates.
    pub first: Option<DateTime<FixedOffset>>,
    /// What it says of loads, networks and fuses.
    pub found: Vec<Sighting>,
}
