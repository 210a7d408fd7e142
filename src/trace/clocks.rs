//! Two logs of meters with their own clocks, laid together: the offset at which most of their changes fall on each other,
//! by cross-correlation of the changes, which are where a level begins. Within a sample; how uncertain, is told.
//! Leaves to others: the levels (`level`), what the one shows of the other (`channel`).

use std::ops::Range;

use super::level::levels;
use super::rest;
use super::samples::Trace;
use crate::base::quantity::{Minute, Unit as _};

/// How the clock of one log lies to that of another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClockOffset {
    /// When the second log's first sample was taken, counted from the first log's first sample.
    pub begins: Minute,
    /// Its standard uncertainty.
    pub u: Minute,
    /// Changes of both that fall together.
    pub changes: usize,
}

/// A change of level: when, in seconds, and by how much, in ampere.
type Change = (f64, f64);

/// Most changes of a log that are looked at, the largest. Editorial: their pairs are reckoned one by one.
const MOST: usize = 1_500;

/// Fewest changes that tell an offset. Editorial: two may fall together by chance.
const FEWEST: usize = 3;

/// Of offsets nearly as good as the best one, that nearest to what the clocks say counts: of a log that repeats itself
/// there are many. Editorial.
const AS_GOOD: f64 = 0.8;

/// An offset nearly as good as this beside the best may be the right one as well. Editorial.
const THE_SAME: f64 = 0.95;

/// Least part of the second log's changes, by size, that must fall on changes of the first. Editorial: half of a log may
/// lie outside the other.
const LEAST: f64 = 0.3;

/// Returns how a second log lies to a first that shows the same and more; `said` is what their clocks say, if
/// they do. Nothing if too few changes fall together, or if clocks that say nothing may lie in several ways.
pub fn lay_together(first: &Trace, second: &Trace, said: Option<Minute>) -> Option<ClockOffset> {
    let (ours, theirs) = (changes(first), changes(second));
    let width = first.usual_seconds() + second.usual_seconds();
    let mut pairs: Vec<(f64, f64)> = Vec::new();
    for (time, size) in &theirs {
        let alike = ours.iter().filter(|(_, own)| own * size > 0.0);
        pairs.extend(alike.map(|(at, own)| {
            let (low, high) = (own.abs().min(size.abs()), own.abs().max(size.abs()));
            (at - time, low * low / high)
        }));
    }
    pairs.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let peaks = windows(&pairs, width);
    let best = peaks.iter().map(|(weight, _)| *weight).fold(0.0, f64::max);
    let middle =
        |range: &Range<usize>| pairs.get(range.start).map_or(f64::NAN, |(offset, _)| offset + width / 2.0);
    let wanted = match said {
        Some(said) => said.base() * 60.0,
        None => peaks.iter().find(|(weight, _)| *weight >= best).map(|(_, range)| middle(range))?,
    };
    let off = |range: &Range<usize>| (middle(range) - wanted).abs();
    let as_good: Vec<_> = peaks.iter().filter(|(weight, _)| *weight >= AS_GOOD * best).collect();
    let is_rival =
        |(weight, range): &&(f64, Range<usize>)| *weight >= THE_SAME * best && off(range) > 2.0 * width;
    if said.is_none() && as_good.iter().copied().any(|peak| is_rival(&peak)) {
        return None;
    }
    // Of windows that overlap, the fullest.
    let nearest = as_good.iter().map(|(_, range)| off(range)).fold(f64::INFINITY, f64::min);
    let near = as_good.into_iter().filter(|(_, range)| off(range) <= nearest + 2.0 * width);
    let (weight, range) = near.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let whole: f64 = theirs.iter().map(|(_, size)| size.abs()).sum();
    let chosen = pairs.get(range.clone())?;
    if chosen.len() < FEWEST || *weight < LEAST * whole {
        return None;
    }
    let offset = chosen.iter().map(|(offset, weight)| offset * weight).sum::<f64>() / weight;
    let spread = chosen.iter().map(|(own, weight)| weight * (own - offset).powi(2)).sum::<f64>() / weight;
    // Each change lies anywhere between two samples of either log.
    let flat = (first.usual_seconds().powi(2) + second.usual_seconds().powi(2)) / 12.0;
    let u = (spread.max(flat) / chosen.len() as f64).sqrt();
    Some(ClockOffset { begins: Minute::new(offset / 60.0), u: Minute::new(u / 60.0), changes: chosen.len() })
}

/// The larger changes of a trace, each half way between the samples that it lies between.
fn changes(trace: &Trace) -> Vec<Change> {
    let cut = levels(trace).levels;
    let step = trace.step().base();
    let mut all: Vec<Change> = cut
        .iter()
        .zip(cut.iter().skip(1))
        .filter(|(_, next)| !trace.is_after_gap(next.first))
        .filter_map(|(last, next)| {
            let size = next.mean - last.mean;
            let before = trace.times().get(next.first.checked_sub(1)?)?;
            (size.abs() > rest::drift(last.mean, step)).then(|| ((before + next.from) / 2.0, size))
        })
        .collect();
    all.sort_unstable_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    all.truncate(MOST);
    all
}

/// For each pair, those within the width behind it: their weight and which they are.
fn windows(pairs: &[(f64, f64)], width: f64) -> Vec<(f64, Range<usize>)> {
    let (mut end, mut sum) = (0, 0.0);
    let mut found = Vec::with_capacity(pairs.len());
    for (start, (offset, weight)) in pairs.iter().enumerate() {
        while let Some((other, more)) = pairs.get(end).filter(|(other, _)| *other <= offset + width) {
            debug_assert!(other >= offset, "in order");
            sum += more;
            end += 1;
        }
        found.push((sum, start..end));
        sum -= weight;
    }
    found
}
