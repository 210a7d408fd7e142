//! Wake-ups of two series that fall together: one hides the other. What departed then takes the charge of both, and each has
//! its usual part of it.
//! Leaves to others: the series (`series`), sharing the charge of what is found (`ledger`).

use super::departure::{Excursion, Pulse};
use super::series::{FEWEST, Kind, Search, middle};
use crate::base::quantity::Unit;

/// A charge is the sum of the usual ones if it is off by no more than this share. Editorial: two wake-ups of one series
/// differ by less.
const SUM_FITS: f64 = 0.15;

/// A wake-up is due at a time if it is off by no more than this share of its period. Editorial.
const DUE: f64 = 0.05;

/// What is usual of a series: its middle pulse and its period, in seconds.
struct Usual {
    pulse: Pulse,
    period: f64,
}

impl Usual {
    fn of(kind: &Kind) -> Option<Self> {
        let period = kind.period?.base() * 60.0;
        let pulse = middle(&kind.pulses).filter(|_| kind.pulses.len() >= FEWEST)?;
        Some(Self { pulse, period })
    }

    fn charge(&self) -> f64 {
        self.pulse.height * self.pulse.length()
    }

    /// Returns when pulses are missing: between two that are several periods apart, and one before the first and behind the
    /// last.
    fn missing(&self, pulses: &[Pulse]) -> Vec<f64> {
        let mut times = Vec::new();
        for (one, next) in pulses.iter().zip(pulses.iter().skip(1)) {
            let turns = ((next.from - one.from) / self.period).round();
            let mut at = 1.0;
            while at < turns {
                times.push(one.from + (next.from - one.from) * at / turns);
                at += 1.0;
            }
        }
        times.extend(pulses.first().map(|first| first.from - self.period));
        times.extend(pulses.last().map(|last| last.from + self.period));
        times
    }

    /// Returns when a missing pulse is due inside an excursion.
    fn due(&self, pulses: &[Pulse], one: &Excursion, usual: f64) -> Option<f64> {
        let spare = (DUE * self.period).max(2.0 * usual);
        let inside = |at: &f64| *at >= one.from - spare && at + self.pulse.length() <= one.to + spare;
        self.missing(pulses).into_iter().find(inside)
    }
}

/// Adds to each series the pulses that others hide.
pub(super) fn add_hidden(series: &mut [Kind], search: &Search<'_>) {
    let usual: Vec<Option<Usual>> = series.iter().map(Usual::of).collect();
    for (of, one) in search.excursions.iter().enumerate() {
        let is_in = |kind: &Kind| kind.pulses.iter().filter(|pulse| pulse.of == of).count();
        let has: Vec<usize> = series.iter().map(is_in).collect();
        let charge_of = |number: usize| usual.get(number).and_then(Option::as_ref).map_or(0.0, Usual::charge);
        let owned: f64 =
            has.iter().enumerate().map(|(number, count)| *count as f64 * charge_of(number)).sum();
        let due: Vec<(usize, f64)> = (series.iter().zip(&usual).zip(&has).enumerate())
            .filter(|(_, (_, has))| **has == 0)
            .filter_map(|(number, ((kind, usual), _))| {
                Some((number, usual.as_ref()?.due(&kind.pulses, one, search.usual)?))
            })
            .collect();
        let owners = has.iter().filter(|count| **count > 0).count();
        let sum = owned + due.iter().map(|(number, _)| charge_of(*number)).sum::<f64>();
        let off = |of: f64| (one.charge - of).abs();
        let fits = off(sum) <= SUM_FITS * sum.abs() && off(sum) < off(owned);
        if due.is_empty() || owners + due.len() < 2 || !fits {
            continue;
        }
        for (number, from) in due {
            let Some(pulse) = usual.get(number).and_then(Option::as_ref).map(|usual| usual.pulse) else {
                continue;
            };
            let hidden = Pulse { of, whole: false, from, to: from + pulse.length(), ..pulse };
            series.get_mut(number).into_iter().for_each(|kind| kind.pulses.push(hidden));
        }
        // What hides it is as high and long as it usually is.
        for (kind, usual) in series.iter_mut().zip(&usual) {
            let Some(usual) = usual else { continue };
            for pulse in kind.pulses.iter_mut().filter(|pulse| pulse.of == of) {
                let to = pulse.from + usual.pulse.length();
                *pulse =
                    Pulse { to, height: usual.pulse.height, peak: usual.pulse.peak, whole: true, ..*pulse };
            }
        }
    }
    for kind in series {
        kind.pulses.sort_unstable_by(|a, b| a.from.total_cmp(&b.from));
    }
}
