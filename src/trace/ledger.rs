//! The charge ledger: what the ampere-hours of a night went to. Its lines sum to the whole exactly.
//! Leaves to others: departures and series (`departure`, `series`), what a line is (`measure/night`), what it may be
//! (`known`), words (`text`).

use std::ops::Range;

use super::departure::{Excursion, Pulse};
use super::hidden::add_hidden;
use super::level::Level;
use super::rest::{self, RestBase};
use super::samples::Trace;
use super::series::{FEWEST, Kind, Search};
use crate::base::quantity::{Ampere, AmpereHour, Minute, Unit};
pub use crate::measure::night::{Ledger, LedgerKind, LedgerLine};

/// Excursions shared among series and what is left.
#[derive(Debug, Clone, Default)]
pub(super) struct Shared {
    /// Series, each with its charge in ampere-seconds.
    pub series: Vec<(Kind, f64)>,
    /// Pulses of no series, each with its charge in ampere-seconds.
    pub left: Vec<(Pulse, f64)>,
}

/// What is left of an excursion after its pulses is theirs too if it is no more than this share of the whole.
const NOTHING_LEFT: f64 = 0.15;

/// So many single departures, each unlike the others, are a restless night and no chance. Editorial.
const MANY: usize = 6;

impl Shared {
    /// Shares excursions.
    pub fn of(search: &Search<'_>) -> Self {
        let mut series = search.series();
        add_hidden(&mut series, search);
        let mut inside: Vec<Vec<(usize, Pulse)>> = vec![Vec::new(); search.excursions.len()];
        for (number, kind) in series.iter().enumerate() {
            for pulse in &kind.pulses {
                inside.get_mut(pulse.of).into_iter().for_each(|all| all.push((number, *pulse)));
            }
        }
        let mut charges = vec![0.0; series.len()];
        let mut left = Vec::new();
        for (of, (excursion, inside)) in search.excursions.iter().zip(&inside).enumerate() {
            let spent: f64 = inside.iter().map(|(_, pulse)| pulse.height * pulse.length()).sum();
            let rest = excursion.charge - spent;
            let is_all = inside.iter().any(|(_, pulse)| pulse.whole)
                || rest * excursion.charge <= 0.0
                || rest.abs() < NOTHING_LEFT * excursion.charge.abs();
            let factor = if is_all && spent != 0.0 { excursion.charge / spent } else { 1.0 };
            for (number, pulse) in inside {
                let share = pulse.height * pulse.length() * factor;
                charges.get_mut(*number).into_iter().for_each(|charge| *charge += share);
            }
            if inside.is_empty() || !is_all {
                left.push((outer(excursion, of, inside, rest, search.levels), rest));
            }
        }
        Self { series: series.into_iter().zip(charges).collect(), left }
    }

    /// Returns the seconds taken by departures that repeat: series, kinds without a rhythm, and many single ones. Those
    /// in which something feeds the vehicle don't count: `is_source` tells them.
    pub fn repeated(&self, search: &Search<'_>, is_source: impl Fn(&Pulse) -> bool) -> f64 {
        let series: f64 = self
            .series
            .iter()
            .filter(|(kind, _)| !kind.pulses.iter().any(&is_source))
            .map(|(kind, _)| kind.seconds())
            .sum();
        let left = self.left.iter().map(|(pulse, _)| *pulse).filter(|one| !is_source(one)).collect();
        let (kinds, others) = search.kinds(left);
        let alike: f64 = kinds.iter().map(Kind::seconds).sum();
        let clear = |one: &&Pulse| one.height.abs() > 2.0 * rest::drift(0.0, search.step);
        let others: Vec<&Pulse> = others.iter().filter(clear).collect();
        let many: f64 = if others.len() >= MANY { others.iter().map(|one| one.length()).sum() } else { 0.0 };
        series + alike + many
    }

    /// Returns the series that takes the most time.
    pub fn main(&self) -> Option<&Kind> {
        self.series.iter().map(|(kind, _)| kind).max_by(|a, b| a.seconds().total_cmp(&b.seconds()))
    }
}

/// Returns what is left of an excursion without the pulses inside it, as a pulse of that much charge.
fn outer(one: &Excursion, of: usize, inside: &[(usize, Pulse)], charge: f64, levels: &[Level]) -> Pulse {
    let whole = one.whole(of);
    if inside.is_empty() {
        return whole;
    }
    let height = charge / whole.length().max(f64::MIN_POSITIVE);
    let is_outside = |level: &&Level| {
        let middle = (level.from + level.to) / 2.0;
        !inside.iter().any(|(_, pulse)| (pulse.from..pulse.to).contains(&middle))
    };
    let furthest = |a: f64, b: f64| if height < 0.0 { a.min(b) } else { a.max(b) };
    let levels = levels.get(one.levels.clone()).unwrap_or_default();
    let peak = levels.iter().filter(is_outside).map(|level| level.mean).reduce(furthest);
    Pulse { height, peak: peak.unwrap_or(one.base + height), ..whole }
}

/// What the ledger of a night is made from.
pub(super) struct Bookkeeping<'a> {
    pub trace: &'a Trace,
    pub levels: &'a [Level],
    pub base: &'a RestBase,
    /// Levels that count.
    pub window: Range<usize>,
    /// True if the current never rests: what repeats most is a cycle then.
    pub restless: bool,
}

/// The ledger with the figures that it was made from.
pub(super) struct Booked {
    pub ledger: Ledger,
    /// Average over all the time, in ampere.
    pub average: f64,
    /// Samples that count.
    pub samples: usize,
}

impl Bookkeeping<'_> {
    /// Writes the ledger.
    pub fn write(&self, shared: &Shared, search: &Search<'_>) -> Booked {
        let levels = self.levels.get(self.window.clone()).unwrap_or_default();
        let sum = |of: &dyn Fn(&Level) -> f64| -> f64 { levels.iter().map(of).sum() };
        // The first sample speaks for the time behind it only.
        let first = levels.first().map_or(0, |level| level.first);
        let (head, value) =
            (self.trace.before(first), self.trace.values().get(first).copied().unwrap_or(0.0));
        let held = sum(&|level| level.held) - head;
        let charge = sum(&|level| level.mean * level.held) - head * value;
        let mut lines = self.lines(shared, search);
        let others: f64 = lines.iter().map(|line| line.charge.base() * 3600.0).sum();
        lines.sort_by(|a, b| b.charge.base().abs().total_cmp(&a.charge.base().abs()));
        lines.insert(0, self.rest(levels, charge - others));
        Booked {
            average: charge / held.max(f64::MIN_POSITIVE),
            samples: levels.iter().map(|level| level.end - level.first).sum(),
            ledger: Ledger { lines, held: Minute::new(held / 60.0) },
        }
    }

    fn rest(&self, levels: &[Level], charge: f64) -> LedgerLine {
        let on = levels.iter().zip(self.base.on.iter().skip(self.window.start)).filter(|(_, on)| **on);
        let (mut held, mut sum) = (0.0, 0.0);
        for (level, _) in on {
            held += level.held;
            sum += level.held * level.mean;
        }
        LedgerLine {
            what: LedgerKind::Rest,
            times: 1,
            period: None,
            length: Minute::new(held / 60.0),
            peak: Ampere::new(sum / held.max(f64::MIN_POSITIVE)),
            rise: Ampere::ZERO,
            charge: AmpereHour::new(charge / 3600.0),
            first: levels.first().map_or(Minute::ZERO, Level::from),
        }
    }

    fn lines(&self, shared: &Shared, search: &Search<'_>) -> Vec<LedgerLine> {
        let main = shared.main().filter(|_| self.restless).map(Kind::seconds);
        let mut lines: Vec<LedgerLine> = shared
            .series
            .iter()
            .map(|(kind, charge)| {
                let is_main = main.is_some_and(|most| kind.seconds() >= most / 2.0);
                let what = if is_main { LedgerKind::Cycle } else { LedgerKind::Series };
                line(what, &kind.pulses, kind.period, *charge)
            })
            .collect();
        let is_open = |pulse: &Pulse| pulse.to >= search.end && self.window.end == self.levels.len();
        let (open, done): (Vec<_>, Vec<_>) =
            shared.left.iter().copied().partition(|(pulse, _)| is_open(pulse));
        lines.extend(
            open.iter().map(|(pulse, charge)| line(LedgerKind::Unfinished, &[*pulse], None, *charge)),
        );
        let charge_of = |pulses: &[Pulse]| -> f64 {
            let ours = |one: &Pulse| pulses.iter().any(|pulse| pulse.of == one.of);
            done.iter().filter(|(one, _)| ours(one)).map(|(_, charge)| *charge).sum()
        };
        let (kinds, others) = search.kinds(done.iter().map(|(pulse, _)| *pulse).collect());
        // Without a series, what is up and down all night is one restlessness.
        let single = if self.restless && main.is_none() { LedgerKind::Cycle } else { LedgerKind::Single };
        if single == LedgerKind::Cycle || others.len() > MOST_LINES {
            let all: Vec<Pulse> =
                kinds.iter().flat_map(|kind| &kind.pulses).chain(&others).copied().collect();
            lines.extend((!all.is_empty()).then(|| line(single, &all, None, charge_of(&all))));
            return lines;
        }
        lines.extend(kinds.iter().map(|kind| line(single, &kind.pulses, None, charge_of(&kind.pulses))));
        lines.extend(others.iter().map(|one| line(single, &[*one], None, charge_of(&[*one]))));
        lines
    }
}

/// More single departures than this stand in one line.
const MOST_LINES: usize = 20;

fn line(what: LedgerKind, pulses: &[Pulse], period: Option<Minute>, charge: f64) -> LedgerLine {
    let mean = |of: fn(&Pulse) -> f64| pulses.iter().map(of).sum::<f64>() / pulses.len().max(1) as f64;
    let first = pulses.iter().map(|pulse| pulse.from).fold(f64::INFINITY, f64::min);
    LedgerLine {
        what,
        times: pulses.len(),
        period: period.filter(|_| pulses.len() >= FEWEST),
        length: Minute::new(mean(Pulse::length) / 60.0),
        peak: Ampere::new(mean(|pulse| pulse.peak)),
        rise: Ampere::new(mean(|pulse| pulse.height)),
        charge: AmpereHour::new(charge / 3600.0),
        first: Minute::new(first / 60.0),
    }
}
