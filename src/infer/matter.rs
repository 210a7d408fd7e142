//! What each cause of an explanation draws too much, and which of two matters: one that would leave the vehicle within
//! its limit once the other is mended is no cause, only more than the map says.
//! Leaves to others: how likely the explanations are (`posterior`, `pair`).

use super::assumptions::SHARED_SCALE;
use super::cause::Cause;
use super::posterior::ScoredHypothesis;
use crate::balance::assumptions::ONE_SIDED_95;
use crate::base::quantity::{Ampere, Uncertain, Unit};
use crate::measure::observation::{Interrupted, Observation, Panel, Scope};

/// The settled total and the limit that it is held against, with what the map expects asleep: mean and standard
/// deviation, in ampere.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    total: Uncertain<Ampere>,
    limit: Ampere,
    normal: (f64, f64),
}

/// Two estimates of one current are put together if they differ by no more standard deviations than this. Editorial:
/// as in a plain test at 95 %.
const AGREE: f64 = 2.0;

impl Room {
    /// Returns the newest total that was read with everything in place, against a limit; `None` without either.
    pub(super) fn of(observations: &[Observation], limit: Option<Ampere>, panel: &Panel) -> Option<Self> {
        let whole =
            |one: &&Observation| one.scope == Scope::Total && one.interrupted == Interrupted::default();
        let total = observations.iter().rev().find(whole)?.current.clone();
        let own: f64 = panel.parts.iter().map(|part| part.asleep_sd.base().powi(2)).sum();
        let asleep = panel.asleep().base();
        Some(Self { total, limit: limit?, normal: (asleep, own.sqrt().hypot(asleep * SHARED_SCALE)) })
    }

    /// Returns true if the total is over the limit (one-sided 95 %, JCGM 106:2012).
    pub(super) fn is_over(&self) -> bool {
        self.total.value() - self.total.u() * ONE_SIDED_95 >= self.limit
    }

    /// Returns how much more than normal may be drawn within the limit; not below 0.
    pub(super) fn spare(&self) -> Ampere {
        (self.limit - Ampere::new(self.normal.0)).max(Ampere::ZERO)
    }

    /// Returns true if the total is within the limit as it is.
    pub(super) fn is_kept(&self) -> bool {
        self.is_within((0.0, 0.0))
    }

    /// Returns what would remain once so much is mended, in ampere with its standard deviation.
    fn remains(&self, (mean, sd): (f64, f64)) -> (f64, f64) {
        (self.total.value().base() - mean, self.total.u().base().hypot(sd))
    }

    fn is_within(&self, mended: (f64, f64)) -> bool {
        let (mean, sd) = self.remains(mended);
        mean + ONE_SIDED_95 * sd <= self.limit.base()
    }

    /// Returns true if the smaller of two causes leaves the vehicle within its limit once the larger is mended. What would
    /// remain is told twice: by the total less the larger, and by what is normal with the smaller on top. Where both
    /// agree they are weighed by their variances (JCGM 100, weighted mean), so that a coarse clamp doesn't make a cause
    /// of a few milliamperes.
    fn is_enough(&self, larger: (f64, f64), smaller: (f64, f64)) -> bool {
        let (read, read_sd) = self.remains(larger);
        let (told, told_sd) = (self.normal.0 + smaller.0, self.normal.1.hypot(smaller.1));
        if (read - told).abs() > AGREE * read_sd.hypot(told_sd) {
            return self.is_within(larger);
        }
        let [by_reading, by_map] = [read_sd, told_sd].map(|sd| sd.powi(-2));
        let mean = (read * by_reading + told * by_map) / (by_reading + by_map);
        mean + ONE_SIDED_95 / (by_reading + by_map).sqrt() <= self.limit.base()
    }

    /// Returns true if what would remain once so much is mended is over the limit all the same.
    pub(super) fn stays_over(&self, mended: (f64, f64)) -> bool {
        let (mean, sd) = self.remains(mended);
        mean - ONE_SIDED_95 * sd >= self.limit.base()
    }
}

/// What the causes of an explanation draw too much: mean and standard deviation of each, in ampere.
pub type Drawn = [(f64, f64); 2];

/// Returns mean and standard deviation of what a single hypothesis draws too much, and its excess for each unit of
/// amplitude.
pub(super) fn drawn_alone(one: &ScoredHypothesis) -> ((f64, f64), f64) {
    let unit = one.hypothesis.patterns.first();
    let unit: f64 = unit.map_or(0.0, |pattern| pattern.excess.iter().map(|(_, excess)| excess).sum());
    let mean: f64 = one.sizes.iter().map(|(weight, size)| weight * size.mean).sum();
    let square = one.sizes.iter().map(|(weight, size)| weight * (size.variance + (size.mean - mean).powi(2)));
    ((mean * unit, square.sum::<f64>().max(0.0).sqrt() * unit), unit)
}

/// Returns by how much the total fell when the group that is held awake was released by an input, in ampere with its standard
/// deviation; `None` for other causes, and for a group that was not released.
pub(super) fn fell_with(cause: Cause, observations: &[Observation], panel: &Panel) -> Option<(f64, f64)> {
    let Cause::Held(group, _) = cause else { return None };
    let released = |one: &&Observation| match one.scope {
        Scope::FallOfInput(input) => panel.same_input(input).iter().any(|named| named.group == group),
        _ => false,
    };
    let fall = &observations.iter().rev().find(released)?.current;
    Some((fall.value().base(), fall.u().base()))
}

/// One explanation of the readings: its causes, none or one or two.
#[derive(Debug, Clone, Copy)]
pub struct Explanation {
    /// Index into [`super::Inference::weighed`].
    pub first: usize,
    /// The same of a second cause.
    pub second: Option<usize>,
    /// Probability given the readings.
    pub probability: f64,
    /// What each draws too much; `None` if it is too unlikely to be forecast.
    pub drawn: Option<Drawn>,
}

impl Explanation {
    /// Returns the indices of its hypotheses.
    pub fn members(&self) -> impl Iterator<Item = usize> {
        std::iter::once(self.first).chain(self.second)
    }

    /// Returns which of its causes matter. Of two the smaller doesn't, if mending the larger alone brings the vehicle
    /// within its limit (95 %).
    pub(super) fn matters(&self, room: Option<&Room>) -> [bool; 2] {
        let (Some(room), Some(drawn)) = (room, self.drawn.filter(|_| self.second.is_some())) else {
            return [true, self.second.is_some()];
        };
        let [first, second] = drawn;
        let first_is_larger = first.0 >= second.0;
        let enough =
            if first_is_larger { room.is_enough(first, second) } else { room.is_enough(second, first) };
        [first_is_larger || !enough, !first_is_larger || !enough]
    }

    /// Returns the share of the whole excess that each cause explains.
    pub fn shares(&self) -> [f64; 2] {
        match (self.second, self.drawn) {
            (None, _) => [1.0, 0.0],
            (Some(_), Some([first, second])) if first.0 + second.0 > 0.0 => {
                let share = first.0.max(0.0) / (first.0.max(0.0) + second.0.max(0.0));
                [share, 1.0 - share]
            }
            _ => [0.5, 0.5],
        }
    }
}
