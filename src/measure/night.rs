//! What a night cost: the lines of the charge ledger, and what columns logged beside the total carried of it.
//! Leaves to others: finding it in a meter log (`trace`), keeping it (`log`), weighing it (`infer`).

use crate::base::quantity::{Ampere, AmpereHour, Minute, Unit as _};

/// What a line of the ledger stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LedgerKind {
    /// The level at rest, over all the time.
    Rest,
    /// Wake-ups alike and evenly apart.
    Series,
    /// Wake-ups by themselves; several if they are alike.
    Single,
    /// Ups and downs that take too much of the time for wake-ups.
    Cycle,
    /// What had not ended when the log did.
    Unfinished,
}

impl LedgerKind {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Rest, Self::Series, Self::Single, Self::Cycle, Self::Unfinished];

    /// Returns the word used in JSON and in session logs.
    pub fn word(self) -> &'static str {
        match self {
            Self::Rest => "rest",
            Self::Series => "series",
            Self::Single => "single",
            Self::Cycle => "cycle",
            Self::Unfinished => "unfinished",
        }
    }
}

/// A line of the ledger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LedgerLine {
    /// What it stands for.
    pub what: LedgerKind,
    /// How often it was there.
    pub times: usize,
    /// Time from start to start; none where there is no rhythm.
    pub period: Option<Minute>,
    /// Mean length; of the rest the time on it.
    pub length: Minute,
    /// Mean of the peaks, or of the lowest where the current falls; of the rest its level.
    pub peak: Ampere,
    /// Mean height above the rest; negative where the current falls.
    pub rise: Ampere,
    /// Charge above the rest; of the rest that of its level over all the time.
    pub charge: AmpereHour,
    /// When it was first there, counted from the first sample.
    pub first: Minute,
}

/// What the charge of a night went to. All lines are over the same time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ledger {
    /// The lines: the rest, then by charge.
    pub lines: Vec<LedgerLine>,
    /// Time that samples speak for.
    pub held: Minute,
}

impl Ledger {
    /// Returns what a line takes in a day, in ampere-hours.
    pub fn per_day(&self, line: &LedgerLine) -> f64 {
        line.charge.base() / self.held.base().max(f64::MIN_POSITIVE) * 1440.0
    }

    /// Returns what all lines take in a day, in ampere-hours.
    pub fn day(&self) -> f64 {
        self.lines.iter().map(|line| self.per_day(line)).sum()
    }

    /// Returns what takes most above the rest; none if nothing rose.
    pub fn costliest(&self) -> Option<&LedgerLine> {
        let rises =
            self.lines.iter().filter(|line| line.what != LedgerKind::Rest && line.charge > AmpereHour::ZERO);
        rises.max_by(|a, b| a.charge.base().total_cmp(&b.charge.base()))
    }
}

/// Lowest and highest sample of a part of the time; what the curve of a night is drawn from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePart {
    /// When the part begins, counted from the first sample.
    pub after: Minute,
    /// Lowest sample in it.
    pub low: Ampere,
    /// Highest sample in it.
    pub high: Ampere,
}

/// A column logged beside the total, held against the total's departures.
#[derive(Debug, Clone, PartialEq)]
pub struct ChannelShare {
    /// Its name: the id of a feed, where it is one.
    pub name: String,
    /// Share of the departures' charge that it carries.
    pub share: f64,
    /// Of how many departures it carried most.
    pub carries: usize,
    /// How many departures it rose with.
    pub with: usize,
    /// How often it was the first to rise of all that rose.
    pub first: usize,
    /// How often the samples could not tell which was first.
    pub unclear: usize,
    /// By how much it led in the middle, where it was first.
    pub lead: Option<Minute>,
}
