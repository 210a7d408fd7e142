//! Departures from the base: wake-ups, their length, peak and charge, and their period.
//! Leaves to others: the base (`rest`), which wake-ups are known to be normal (`known`).

use super::level::Level;
use super::samples::Trace;
use crate::base::quantity::{Ampere, AmpereHour, Minute, Unit};

/// A departure from the base and back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wake {
    /// When it begins, counted from the first sample.
    pub start: Minute,
    /// How long it lasts.
    pub length: Minute,
    /// Highest sample of it; the lowest for a departure downward.
    pub peak: Ampere,
    /// Charge above the base; negative for a departure downward.
    pub charge: AmpereHour,
}

/// Returns the departures among levels of which `on` tells whether they lie on the base, in order; upward ones first,
/// downward ones apart.
pub(super) fn departures(
    trace: &Trace,
    levels: &[Level],
    on: &[bool],
    base: Ampere,
) -> (Vec<Wake>, Vec<Wake>) {
    let mut stretches: Vec<(usize, usize, f64, f64)> = Vec::new();
    for (level, _) in levels.iter().zip(on).filter(|(_, on)| !**on) {
        match stretches.last_mut() {
            Some(last) if last.1 == level.first => {
                last.1 = level.end;
                last.3 = level.to;
            }
            _ => stretches.push((level.first, level.end, level.from, level.to)),
        }
    }
    let wake = |(first, end, from, to): (usize, usize, f64, f64)| {
        let samples = trace.values().get(first..end).unwrap_or_default();
        let charge: f64 = samples
            .iter()
            .enumerate()
            .map(|(at, value)| (value - base.base()) * trace.held(first + at))
            .sum();
        let furthest = |a: f64, b: f64| if charge < 0.0 { a.min(b) } else { a.max(b) };
        let peak = samples.iter().copied().reduce(furthest).unwrap_or(base.base());
        Wake {
            start: Minute::new(from / 60.0),
            length: Minute::new((to - from) / 60.0),
            peak: Ampere::new(peak),
            charge: AmpereHour::new(charge / 3600.0),
        }
    };
    stretches.into_iter().map(wake).partition(|wake| wake.charge >= AmpereHour::ZERO)
}

/// Wake-ups are of one kind if their peaks, and their lengths, differ by no more than this factor.
const ALIKE: f64 = 1.6;

/// Most wake-ups that are compared with each other.
const COMPARED: usize = 2_000;

/// An interval fits a rhythm if it is off by no more than this share of the period.
const FITS: f64 = 0.15;

/// Share of the intervals that must fit.
const MOST_FIT: f64 = 0.8;

/// Rises below this share of the middle one are left out where there is no rhythm: they are something else.
const SMALL: f64 = 0.25;

/// How often wake-ups come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Period {
    /// Time from start to start: of the rhythm, or the middle one where there is none.
    pub time: Minute,
    /// True if there is a rhythm.
    pub regular: bool,
}

/// Returns true if two wake-ups are of one kind.
fn are_alike(a: &Wake, b: &Wake, base: Ampere, usual: Minute) -> bool {
    let near = |a: f64, b: f64| a.max(b) <= ALIKE * a.min(b);
    let (height_a, height_b) = ((a.peak - base).abs().base(), (b.peak - base).abs().base());
    // A pulse of few samples is a sample longer or shorter by chance.
    let spare = usual.base() * 1.01;
    near(height_a, height_b) && near(a.length.base() + spare, b.length.base() + spare)
}

/// Returns the most numerous kind among wake-ups.
fn main_kind(wakes: &[Wake], base: Ampere, usual: Minute) -> Vec<Wake> {
    let compared = wakes.get(..COMPARED.min(wakes.len())).unwrap_or_default();
    let count = |wake: &Wake| compared.iter().filter(|other| are_alike(wake, other, base, usual)).count();
    let Some(typical) = compared.iter().rev().max_by_key(|wake| count(wake)) else { return Vec::new() };
    wakes.iter().filter(|wake| are_alike(typical, wake, base, usual)).copied().collect()
}

/// Returns how often wake-ups above `rest` come: the rhythm of the most numerous kind if it has one, else the middle
/// interval of all but the small ones. Nothing below three of them. `usual` is the usual distance of samples.
pub fn period(wakes: &[Wake], base: Ampere, usual: Minute) -> Option<Period> {
    if let Some(time) = rhythm(&main_kind(wakes, base, usual)) {
        return Some(Period { time, regular: true });
    }
    let mut rises: Vec<f64> = wakes.iter().map(|wake| (wake.peak - base).abs().base()).collect();
    rises.sort_unstable_by(f64::total_cmp);
    let least = SMALL * rises.get(rises.len() / 2)?;
    let large: Vec<Wake> =
        wakes.iter().filter(|wake| (wake.peak - base).abs().base() >= least).copied().collect();
    let intervals = intervals(&large);
    let middle = intervals.get(intervals.len() / 2).filter(|_| intervals.len() > 1)?;
    let other = intervals.get((intervals.len() - 1) / 2)?;
    Some(Period { time: Minute::new((middle + other) / 2.0), regular: false })
}

/// Returns the times from start to start, in minutes, the shortest first.
fn intervals(wakes: &[Wake]) -> Vec<f64> {
    let pairs = wakes.iter().zip(wakes.iter().skip(1));
    let mut intervals: Vec<f64> = pairs.map(|(a, b)| (b.start - a.start).base()).collect();
    intervals.sort_unstable_by(f64::total_cmp);
    intervals
}

/// Returns the period of wake-ups that come in a rhythm. One that is missing now and then does no harm.
fn rhythm(wakes: &[Wake]) -> Option<Minute> {
    let intervals = intervals(wakes);
    let middle = *intervals.get(intervals.len() / 2)?;
    if intervals.len() < 2 || middle <= 0.0 {
        return None;
    }
    let multiple = |interval: f64| (interval / middle).round().max(1.0);
    let fits = |interval: f64| (interval - multiple(interval) * middle).abs() <= FITS * middle;
    let fitting: Vec<f64> = intervals.iter().copied().filter(|interval| fits(*interval)).collect();
    if (fitting.len() as f64) < MOST_FIT * intervals.len() as f64 {
        return None;
    }
    // Together they measure the period more sharply than the middle one, which is whole samples.
    let turns: f64 = fitting.iter().map(|interval| multiple(*interval)).sum();
    Some(Minute::new(fitting.iter().sum::<f64>() / turns))
}

#[cfg(test)]
pub(in crate::trace) mod tests {
    use super::*;

    pub(in crate::trace) fn wake(start: f64, seconds: f64, peak: f64) -> Wake {
        Wake {
            start: Minute::new(start),
            length: Minute::new(seconds / 60.0),
            peak: Ampere::from_milli(peak),
            charge: AmpereHour::ZERO,
        }
    }

    #[test]
    fn the_period_survives_a_missing_and_a_foreign_wake() {
        let mut wakes: Vec<Wake> =
            (0..20).filter(|at| *at != 7).map(|at| wake(3.0 + 9.6 * f64::from(at), 45.0, 210.0)).collect();
        wakes.insert(5, wake(44.0, 600.0, 1000.0));
        let base = Ampere::from_milli(25.0);
        let usual = Minute::new(1.0 / 60.0);
        assert_eq!(main_kind(&wakes, base, usual).len(), 19);
        let found = period(&wakes, base, usual).expect("a period");
        assert!(found.regular && (found.time.base() - 9.6).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn wakes_without_a_rhythm_have_a_middle_interval_and_two_have_none() {
        let starts = [0.0, 1.0, 7.0, 8.3, 31.0, 33.7, 60.0, 61.9];
        let (base, usual) = (Ampere::from_milli(25.0), Minute::new(1.0 / 60.0));
        let mut wakes = starts.map(|start| wake(start, 45.0, 210.0)).to_vec();
        let middle = |wakes: &[Wake]| {
            let found = period(wakes, base, usual).expect("an interval");
            assert!(!found.regular);
            found.time.base()
        };
        assert!((middle(&wakes) - 2.7).abs() < 1e-9);
        wakes.push(wake(62.0, 1.0, 30.0));
        assert!((middle(&wakes) - 2.7).abs() < 1e-9, "a small one is something else");
        assert_eq!(period(&wakes[..2], base, usual), None);
    }
}
