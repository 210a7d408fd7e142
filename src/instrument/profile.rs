//! What a meter can and cannot see: resolution, accuracy in percent of reading plus counts.
//! Leaves to others: turning that into an uncertainty (`uncertainty`), the table of built-in meters (`circuit`).

/// What a meter is connected to and what it shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Voltmeter across a fuse.
    Volts,
    /// Clamp around a cable.
    Clamp,
    /// Ammeter in the battery cable.
    Series,
}

/// Accuracy of one meter on the range used for the job.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Short name, such as `tenth-mv`.
    pub name: String,
    /// What it is connected to.
    pub way: Way,
    /// One count of the last digit, in volt (`Volts`) or ampere (`Clamp`, `Series`).
    pub resolution: f64,
    /// Accuracy: percent of reading (limits of error).
    pub percent: f64,
    /// Accuracy: counts of the last digit (limits of error).
    pub counts: f64,
}
