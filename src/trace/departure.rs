//! Departures from the base: from where the current leaves it to where it is back, and the pulses that they are made of.
//! Leaves to others: the base (`rest`), which pulses come again and again (`series`), what they cost (`ledger`).

use std::ops::Range;

use super::level::Level;
use super::rest::{self, RestBase};
use super::samples::Trace;
use super::wake::Wake;
use crate::base::quantity::{Ampere, AmpereHour, Minute};

/// A departure to one side of the base. Seconds and ampere.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Excursion {
    /// Its levels.
    pub levels: Range<usize>,
    pub from: f64,
    pub to: f64,
    /// Seconds of it that samples speak for.
    pub held: f64,
    /// The base at its time.
    pub base: f64,
    /// Charge above the base, in ampere-seconds; negative for a departure downward.
    pub charge: f64,
    /// Furthest sample.
    pub peak: f64,
}

/// A rise and a fall by about as much: the whole of an excursion, or a part of one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pulse {
    /// Number of the excursion.
    pub of: usize,
    /// True if it is all of it.
    pub whole: bool,
    pub from: f64,
    pub to: f64,
    /// Mean height above what it stands on; negative for a departure downward.
    pub height: f64,
    /// Furthest sample or, of a part, its level.
    pub peak: f64,
}

impl Pulse {
    /// Returns how long it lasts, in seconds.
    pub fn length(&self) -> f64 {
        self.to - self.from
    }
}

/// A fall ends a rise if it differs from it by no more than this share. Editorial: a consumer draws a little less when
/// it is warm.
const PAIRED: f64 = 0.12;

/// Most rises that are open at a time.
const MOST_OPEN: usize = 16;

/// Levels no longer than so many samples, on the way from one to another, are that way.
const ON_THE_WAY: f64 = 2.01;

/// Returns the departures from the level `start` on.
pub(super) fn excursions(trace: &Trace, levels: &[Level], base: &RestBase, start: usize) -> Vec<Excursion> {
    let mut found: Vec<Excursion> = Vec::new();
    let each = (0..).zip(levels.iter().zip(base.on.iter().zip(&base.here))).skip(start);
    for (index, (level, (_, here))) in each.filter(|(_, (_, (on, _)))| !**on) {
        let charge = (level.mean - here) * level.held;
        match found.last_mut() {
            Some(last) if last.levels.end == index && (last.charge < 0.0) == (charge < 0.0) => {
                last.levels.end = index + 1;
                last.to = level.to;
                last.held += level.held;
                last.charge += charge;
            }
            _ => found.push(Excursion {
                levels: index..index + 1,
                from: level.from,
                to: level.to,
                held: level.held,
                base: *here,
                charge,
                peak: *here,
            }),
        }
    }
    for one in &mut found {
        let inside = levels.get(one.levels.clone()).unwrap_or_default();
        let samples =
            inside.first().map_or(0, |level| level.first)..inside.last().map_or(0, |level| level.end);
        let furthest = |a: f64, b: f64| if one.charge < 0.0 { a.min(b) } else { a.max(b) };
        let samples = trace.values().get(samples).unwrap_or_default();
        one.peak = samples.iter().copied().reduce(furthest).unwrap_or(one.base);
    }
    found
}

impl From<&Excursion> for Wake {
    fn from(one: &Excursion) -> Self {
        Self {
            start: Minute::new(one.from / 60.0),
            length: Minute::new((one.to - one.from) / 60.0),
            peak: Ampere::new(one.peak),
            charge: AmpereHour::new(one.charge / 3600.0),
        }
    }
}

impl Excursion {
    /// Returns its mean height above the base.
    fn height(&self) -> f64 {
        if self.held > 0.0 { self.charge / self.held } else { self.peak - self.base }
    }

    /// Returns it as one pulse; `of` is its number.
    pub fn whole(&self, of: usize) -> Pulse {
        Pulse { of, whole: true, from: self.from, to: self.to, height: self.height(), peak: self.peak }
    }

    /// Returns the pulses that it may be made of: rises, each with the fall that ends it. None if it is a single one.
    pub fn parts(&self, of: usize, levels: &[Level], step: f64, usual: f64) -> Vec<Pulse> {
        let sign = self.charge.signum();
        let mut open: Vec<(f64, f64)> = Vec::new();
        let mut found = Vec::new();
        let shape = self.shape(levels, step, usual);
        let mut last = 0.0;
        for (from, _, height) in shape.iter().copied().chain([(self.to, self.to, 0.0)]) {
            let rise = height - last;
            if rise * sign > 0.0 {
                if open.len() == MOST_OPEN {
                    open.remove(0);
                }
                open.push((from, rise));
            } else {
                let near = rest::drift(0.0, step).max(PAIRED * rise.abs());
                let off = |(_, height): &(f64, f64)| (height + rise).abs();
                let ended = (0..).zip(&open).filter(|(_, one)| off(one) <= near);
                // Of equals, the last that rose.
                let best = ended.min_by(|a, b| off(a.1).total_cmp(&off(b.1)).then(b.0.cmp(&a.0)));
                if let Some((at, _)) = best {
                    let (begun, height) = open.remove(at);
                    let peak = self.base + last;
                    found.push(Pulse {
                        of,
                        whole: false,
                        from: begun,
                        to: from,
                        height: (height - rise) / 2.0,
                        peak,
                    });
                }
            }
            last = height;
        }
        found
    }

    /// Returns its levels above the base, (from, to, height), those that are only the way from one to the next added to
    /// the higher.
    fn shape(&self, levels: &[Level], step: f64, usual: f64) -> Vec<(f64, f64, f64)> {
        let mut shape: Vec<(f64, f64, f64)> = Vec::new();
        for level in levels.get(self.levels.clone()).unwrap_or_default() {
            let height = level.mean - self.base;
            match shape.last_mut() {
                Some(last) if (last.2 - height).abs() <= rest::drift(level.mean, step) => {
                    let (old, new) = (last.1 - last.0, level.to - level.from);
                    last.2 = (last.2 * old + height * new) / (old + new).max(f64::MIN_POSITIVE);
                    last.1 = level.to;
                }
                _ => shape.push((level.from, level.to, height)),
            }
        }
        let mut kept: Vec<(f64, f64, f64)> = Vec::new();
        // Where the next begins if the way to it was left out.
        let mut begun = None;
        for (at, one) in shape.iter().enumerate() {
            let before = kept.last().map_or(0.0, |last| last.2);
            let after = shape.get(at + 1).map_or(0.0, |next| next.2);
            let is_between = (one.2 - before) * (after - one.2) > 0.0;
            if is_between && one.1 - one.0 <= ON_THE_WAY * usual {
                match kept.last_mut() {
                    Some(last) if before.abs() > after.abs() => last.1 = one.1,
                    _ => begun = begun.or(Some(one.0)),
                }
            } else {
                kept.push((begun.take().unwrap_or(one.0), one.1, one.2));
            }
        }
        kept
    }
}
