//! What a meter log showed while nobody looked, as the session log keeps it: the rest, and what departs from it.
//! Leaves to others: finding it in the meter log (`trace`), its text (`written/watched`), weighing it (`infer`).

use chrono::{DateTime, FixedOffset};

use crate::base::quantity::{Ampere, AmpereHour, Minute, Unit};
use crate::measure::night::{ChannelShare, CurvePart, Ledger, LedgerKind, LedgerLine};

/// What a meter log showed. Times count from its first sample.
#[derive(Debug, Clone, PartialEq)]
pub struct TraceSummary {
    /// Name of the file, or what else it came from.
    pub file: String,
    /// When its first sample was taken, where the log has dates.
    pub started: Option<DateTime<FixedOffset>>,
    /// How long the log covers.
    pub span: Minute,
    /// When it first came to rest. `None` if it does not rest.
    pub rests_after: Option<Minute>,
    /// Level that it rests at, wake-ups left out; `None` if it does not rest.
    pub level: Option<Ampere>,
    /// Average since then, wake-ups in; of a current that never rests, over whole cycles. `None` if the log does not tell it.
    pub average: Option<Ampere>,
    /// How often departures come, from start to start; `None` below three of them.
    pub period: Option<Minute>,
    /// True if they come in a rhythm; else the period is the middle interval.
    pub regular: bool,
    /// Share of the time that departures take, from 0 to 1.
    pub away: f64,
    /// How many departures there were.
    pub count: usize,
    /// The departures, upward ones first; of very many only the first ones.
    pub departures: Vec<Departure>,
    /// What the charge went to; without lines in logs of earlier builds.
    pub ledger: Ledger,
    /// The curve in short; empty in logs of earlier builds.
    pub curve: Vec<CurvePart>,
    /// Columns logged beside the total.
    pub channels: Vec<ChannelShare>,
}

/// A departure from the rest and back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Departure {
    /// When it began.
    pub after: Minute,
    /// How long it lasted.
    pub length: Minute,
    /// Highest sample of it; the lowest for a departure downward.
    pub peak: Ampere,
    /// Charge above the level; negative for a departure downward.
    pub charge: AmpereHour,
}

impl TraceSummary {
    /// Returns true if the log came to rest.
    pub fn is_settled(&self) -> bool {
        self.level.is_some()
    }

    /// Returns what the charge went to. A log of an earlier build tells rest and average only: what lies between them is one
    /// line then.
    pub fn whole_ledger(&self) -> Ledger {
        let (Some(level), Some(average)) = (self.level, self.average) else { return self.ledger.clone() };
        let held = self.span - self.rests_after.unwrap_or(Minute::ZERO);
        if !self.ledger.lines.is_empty() || held <= Minute::ZERO {
            return self.ledger.clone();
        }
        let hours = held.base() / 60.0;
        let mean = |of: fn(&Departure) -> f64| {
            self.departures.iter().map(of).sum::<f64>() / self.departures.len().max(1) as f64
        };
        let peak = Ampere::new(mean(|one| one.peak.base()));
        let rest = LedgerLine {
            what: LedgerKind::Rest,
            times: 1,
            period: None,
            length: held * (1.0 - self.away),
            peak: level,
            rise: Ampere::ZERO,
            charge: AmpereHour::new(level.base() * hours),
            first: self.rests_after.unwrap_or(Minute::ZERO),
        };
        let woken = LedgerLine {
            what: if self.regular { LedgerKind::Series } else { LedgerKind::Single },
            times: self.count,
            period: self.period.filter(|_| self.regular),
            length: Minute::new(mean(|one| one.length.base())),
            peak,
            rise: peak - level,
            charge: AmpereHour::new((average - level).base() * hours),
            first: self.departures.first().map_or(Minute::ZERO, |one| one.after),
        };
        Ledger { lines: std::iter::once(rest).chain((self.count > 0).then_some(woken)).collect(), held }
    }

    /// Returns true if another entry says the same of the same file, to what the text of an entry keeps.
    pub fn is_same(&self, other: &Self) -> bool {
        let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() <= 1e-6,
            (a, b) => a == b,
        };
        self.file == other.file
            && self.count == other.count
            && near(Some(self.span.base()), Some(other.span.base()))
            && near(self.average.map(Unit::base), other.average.map(Unit::base))
            && near(self.period.map(Unit::base), other.period.map(Unit::base))
    }
}
