//! Pulses that come again and again: alike in height and length, and evenly apart.
//! Leaves to others: the pulses (`departure`), what they cost (`ledger`), which are known (`known`).

use super::departure::{Excursion, Pulse};
use super::level::Level;
use super::rest;
use crate::base::quantity::{Minute, Unit};

/// Pulses alike in height and length, in order of time.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Kind {
    /// Its pulses.
    pub pulses: Vec<Pulse>,
    /// Time from start to start; none where they come without a rhythm.
    pub period: Option<Minute>,
}

impl Kind {
    /// Returns the seconds that its pulses take.
    pub fn seconds(&self) -> f64 {
        self.pulses.iter().map(Pulse::length).sum()
    }
}

/// How far two pulses of one kind differ at the most, as a factor: first the nearest, then what is left.
const ALIKE: [f64; 2] = [1.2, 1.6];

/// A part of a longer departure belongs to a series if it is no more than this factor off.
const PART_ALIKE: f64 = 1.3;

/// Fewest pulses of a kind.
pub(super) const FEWEST: usize = 3;

/// Most pulses that are compared with each other.
const COMPARED: usize = 1_000;

/// Most kinds that are tried.
const TRIED: usize = 30;

/// An interval fits a rhythm if it is off by no more than this share of the period.
const FITS: f64 = 0.15;

/// Intervals are not taken to agree better than this, as a share of the period.
const SHARPEST: f64 = 0.01;

/// Intervals that agree so well by chance more often than this are no rhythm. Editorial: of a hundred series one at the
/// most may be false.
const BY_CHANCE: f64 = 0.01;

/// Share of the intervals that must fit.
const MOST_FIT: f64 = 0.8;

/// What the search looks at.
pub(super) struct Search<'a> {
    pub excursions: &'a [Excursion],
    pub levels: &'a [Level],
    /// Step of the last digit, in ampere.
    pub step: f64,
    /// Usual distance of samples, in seconds.
    pub usual: f64,
    /// When the trace ends, in seconds.
    pub end: f64,
}

impl Search<'_> {
    /// Finds the series. Pulses that are whole excursions of one level come first; then those that take turns in the
    /// same way, then those inside longer ones.
    pub fn series(&self) -> Vec<Kind> {
        let all: Vec<(Pulse, Vec<Pulse>)> = (self.excursions.iter().zip(0..))
            .map(|(one, of)| (one.whole(of), one.parts(of, self.levels, self.step, self.usual)))
            .collect();
        let (simple, mixed): (Vec<_>, Vec<_>) = all.into_iter().partition(|(_, parts)| parts.len() < 2);
        let mut simple: Vec<Pulse> = simple.into_iter().map(|(whole, _)| whole).collect();
        let mut found = Vec::new();
        for factor in ALIKE {
            self.take_series(&mut simple, factor, &mut found);
            self.absorb_all(&mut found, &mut simple, ALIKE[1]);
        }
        self.cut_off(&mut simple, &mut found);
        let in_time = |a: &Pulse, b: &Pulse| a.from.total_cmp(&b.from);
        let mut parts: Vec<Pulse> = mixed.iter().flat_map(|(_, parts)| parts).copied().collect();
        parts.sort_unstable_by(in_time);
        let count = parts.len();
        self.absorb_all(&mut found, &mut parts, PART_ALIKE);
        let taken = |of: usize| found.iter().flat_map(|kind| &kind.pulses).any(|one| one.of == of);
        let untouched = mixed.iter().map(|(whole, _)| *whole);
        let mut whole: Vec<Pulse> = untouched.filter(|one| count == 0 || !taken(one.of)).collect();
        let before = whole.clone();
        self.take_series(&mut whole, ALIKE[0], &mut found);
        let is_series =
            |of: usize| before.iter().any(|one| one.of == of) && !whole.iter().any(|one| one.of == of);
        parts.retain(|one| !is_series(one.of));
        // Half of a series may be inside longer ones, and half by itself.
        parts.extend(simple);
        parts.sort_unstable_by(in_time);
        self.take_series(&mut parts, ALIKE[0], &mut found);
        self.absorb_all(&mut found, &mut parts, PART_ALIKE);
        found
    }

    /// Finds the kinds of at least three among pulses, rhythm or none.
    pub fn kinds(&self, mut pulses: Vec<Pulse>) -> (Vec<Kind>, Vec<Pulse>) {
        let mut kinds = Vec::new();
        while let Some(kind) = self.largest(&pulses, 1.6, &[]) {
            let (alike, others) = pulses.iter().partition(|one| self.are_alike(&kind, one, 1.6));
            kinds.push(Kind { pulses: alike, period: None });
            pulses = others;
        }
        (kinds, pulses)
    }

    fn take_series(&self, pulses: &mut Vec<Pulse>, factor: f64, found: &mut Vec<Kind>) {
        let mut tried = Vec::new();
        while let Some(typical) = self.largest(pulses, factor, &tried) {
            let alike: Vec<Pulse> =
                pulses.iter().filter(|one| self.are_alike(&typical, one, factor)).copied().collect();
            match rhythm(&alike, pulses.len() / FEWEST) {
                Some(period) => {
                    pulses.retain(|one| !self.are_alike(&typical, one, factor));
                    found.push(Kind { pulses: alike, period: Some(period) });
                }
                None if tried.len() == TRIED => return,
                None => tried.push(typical),
            }
        }
    }

    /// Returns the pulse that most others are like, not counting those like one that was tried.
    fn largest(&self, pulses: &[Pulse], factor: f64, tried: &[Pulse]) -> Option<Pulse> {
        let compared = pulses.get(..COMPARED.min(pulses.len())).unwrap_or_default();
        let is_new = |one: &&Pulse| !tried.iter().any(|other| self.are_alike(one, other, factor));
        compared
            .iter()
            .filter(is_new)
            .map(|one| (compared.iter().filter(|other| self.are_alike(one, other, factor)).count(), one))
            .max_by_key(|(count, _)| *count)
            .filter(|(count, _)| *count >= FEWEST)
            .map(|(_, one)| *one)
    }

    fn are_alike(&self, a: &Pulse, b: &Pulse, factor: f64) -> bool {
        let near = |a: f64, b: f64, spare: f64| (a - b).abs() <= spare || a.max(b) <= factor * a.min(b);
        // A pulse of few samples is a sample longer or shorter by chance.
        a.height * b.height > 0.0
            && near(a.height.abs(), b.height.abs(), rest::drift(0.0, self.step))
            && near(a.length(), b.length(), 2.02 * self.usual)
    }

    fn absorb_all(&self, found: &mut [Kind], pulses: &mut Vec<Pulse>, factor: f64) {
        for kind in found {
            self.absorb(kind, pulses, factor);
        }
    }

    /// Adds to a series what is like it and comes when one is due.
    fn absorb(&self, kind: &mut Kind, pulses: &mut Vec<Pulse>, factor: f64) {
        let (Some(period), Some(typical)) = (kind.period, middle(&kind.pulses)) else { return };
        let period = period.base() * 60.0;
        let mut starts: Vec<f64> = kind.pulses.iter().map(|one| one.from).collect();
        pulses.retain(|one| {
            if !self.are_alike(&typical, one, factor) {
                return true;
            }
            let next = starts.partition_point(|start| *start < one.from);
            let apart = |at: Option<&f64>| at.map_or(f64::INFINITY, |start| (start - one.from).abs());
            let nearest =
                apart(starts.get(next)).min(apart(next.checked_sub(1).and_then(|at| starts.get(at))));
            let turns = (nearest / period).round();
            let is_due = turns >= 1.0 && (nearest - turns * period).abs() <= FITS * period;
            if is_due {
                starts.insert(next, one.from);
                kind.pulses.push(*one);
            }
            !is_due
        });
        kind.pulses.sort_unstable_by(|a, b| a.from.total_cmp(&b.from));
    }

    /// Gives a pulse that the end of the trace cuts off to the series of which it may be one.
    fn cut_off(&self, pulses: &mut Vec<Pulse>, found: &mut [Kind]) {
        let Some(last) = pulses.last().copied().filter(|one| one.to >= self.end) else { return };
        for kind in found {
            let (Some(typical), Some(before), Some(period)) =
                (middle(&kind.pulses), kind.pulses.last(), kind.period)
            else {
                continue;
            };
            let stretched = Pulse { to: last.from + typical.length(), ..last };
            let turns = (last.from - before.from) / (period.base() * 60.0);
            let is_due = turns > 0.5 && (turns - turns.round()).abs() <= FITS;
            if last.length() <= typical.length() && is_due && self.are_alike(&typical, &stretched, ALIKE[1]) {
                kind.pulses.push(last);
                pulses.pop();
                return;
            }
        }
    }
}

/// Returns the pulse of the middle height.
pub(super) fn middle(pulses: &[Pulse]) -> Option<Pulse> {
    let mut sorted: Vec<Pulse> = pulses.to_vec();
    sorted.sort_unstable_by(|a, b| a.height.total_cmp(&b.height));
    sorted.get(sorted.len() / 2).copied()
}

/// Returns the period of pulses that come in a rhythm, unless so many `kinds` would have one by chance. Some may be
/// missing.
fn rhythm(pulses: &[Pulse], kinds: usize) -> Option<Minute> {
    let pairs = pulses.iter().zip(pulses.iter().skip(1));
    let mut intervals: Vec<f64> = pairs.map(|(a, b)| b.from - a.from).collect();
    intervals.sort_unstable_by(f64::total_cmp);
    let middle = *intervals.get(intervals.len() / 2)?;
    let least = *intervals.first()?;
    if intervals.len() < 2 || least <= 0.0 {
        return None;
    }
    // Where many are missing the middle interval is several periods.
    TURNS.into_iter().find_map(|turns| fit(&intervals, middle / turns, turns * turns * kinds.max(1) as f64))
}

/// Periods in the middle interval that are tried.
const TURNS: [f64; 3] = [1.0, 2.0, 3.0];

/// Returns the period of intervals that are about so long, or multiples of it, unless so many `tries` would find one.
fn fit(intervals: &[f64], guess: f64, tries: f64) -> Option<Minute> {
    let multiple = |interval: f64| (interval / guess).round().max(1.0);
    let off = |interval: f64| (interval - multiple(interval) * guess).abs() / guess;
    let fitting: Vec<f64> = intervals.iter().copied().filter(|interval| off(*interval) <= FITS).collect();
    let furthest = fitting.iter().copied().map(off).fold(SHARPEST, f64::max);
    // The middle one fits by itself.
    let by_chance = (2.0 * furthest).powi(fitting.len() as i32 - 1) * tries;
    if (fitting.len() as f64) < MOST_FIT * intervals.len() as f64 || by_chance > BY_CHANCE {
        return None;
    }
    // Together they measure the period more sharply than the middle one, which is whole samples.
    let turns: f64 = fitting.iter().map(|interval| multiple(*interval)).sum();
    Some(Minute::new(fitting.iter().sum::<f64>() / turns / 60.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pulse(from: f64, seconds: f64, height: f64) -> Pulse {
        Pulse { of: 0, whole: true, from, to: from + seconds, height, peak: height }
    }

    #[test]
    fn the_period_survives_a_missing_pulse_and_chance_gives_none() {
        let pulses: Vec<Pulse> = (0..20)
            .filter(|at| *at != 7)
            .map(|at| pulse(180.0 + 576.0 * f64::from(at), 45.0, 0.185))
            .collect();
        let found = rhythm(&pulses, 1).expect("a period");
        assert!((found.base() - 9.6).abs() < 1e-9, "{found:?}");
        let starts = [0.0, 60.0, 420.0, 498.0, 1_860.0, 2_022.0, 3_600.0, 3_714.0];
        assert_eq!(rhythm(&starts.map(|start| pulse(start, 45.0, 0.185)), 1), None);
        assert_eq!(rhythm(&pulses[..2], 1), None);
    }

    #[test]
    fn two_series_that_differ_in_height_or_length_are_two() {
        let series = |from: f64, period: f64, seconds: f64, height: f64| {
            (0..30).map(move |at| pulse(from + period * f64::from(at), seconds, height))
        };
        let mut pulses: Vec<Pulse> = series(50.0, 700.0, 45.0, 0.185)
            .chain(series(300.0, 1_130.0, 45.0, 0.1))
            .chain(series(90.0, 950.0, 100.0, 0.185))
            .collect();
        pulses.sort_unstable_by(|a, b| a.from.total_cmp(&b.from));
        let search = Search { excursions: &[], levels: &[], step: 0.0, usual: 1.0, end: 1e9 };
        let mut found = Vec::new();
        search.take_series(&mut pulses, ALIKE[0], &mut found);
        let mut periods: Vec<f64> =
            found.iter().filter_map(|kind| kind.period).map(|p| (p.base() * 60.0).round()).collect();
        periods.sort_unstable_by(f64::total_cmp);
        assert_eq!(periods, [700.0, 950.0, 1_130.0]);
        assert!(pulses.is_empty());
    }
}
