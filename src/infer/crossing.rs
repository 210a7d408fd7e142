//! Two causes crossed: what the readings make of what both add, under each assumption about a bad reading, whatever their
//! sizes. Leaves to others: sizes and weights (`pair`), the arithmetic (`joint`).

use std::borrow::Cow;
use std::cell::LazyCell;

use super::hypothesis::signals;
use super::joint::Joint;
use super::null_model::NullModel;
use super::posterior::{Frame, ScoredHypothesis};
use crate::base::numeric::gaussian::{Direction, Reach};
use crate::base::numeric::mixture::peak_below;

/// A frame of a first cause and a pattern of a second one.
pub struct Crossing {
    /// Which of the first cause's frames.
    pub frame: usize,
    /// Which of the second cause's patterns.
    pub pattern: usize,
    /// Largest log density that any two amplitudes could have, under any assumption about a bad reading.
    pub top: f64,
    /// The assumptions under which it is within sight.
    pub views: Vec<Under>,
}

/// A crossing under one assumption about a bad reading.
pub struct Under {
    /// Which assumption.
    pub view: usize,
    /// Products of the two directions.
    pub joint: Joint,
    /// Largest gain that any two amplitudes could have.
    pub bound: f64,
    /// Largest log density that they could have.
    pub most: f64,
    /// Σ⁻¹d of the second cause at the bad reading.
    pub second_at_wild: f64,
}

/// What causes that add the same to the readings have at most along one of their patterns.
#[derive(Debug, Clone, Copy)]
pub struct Most {
    /// Share of the pattern within its hypothesis.
    pub share: f64,
    /// Density of the amplitude beforehand.
    pub peak: f64,
}

/// Crosses each frame of a cause with each pattern of another one, as far as that could be within sight: log density,
/// shares and amplitudes together not below `least`. Of both causes others may stand behind these; `most` has what any of
/// them has for each pattern.
pub fn crossings(
    [first, second]: [&ScoredHypothesis; 2],
    most: [&[Most]; 2],
    null: &NullModel,
    least: f64,
) -> Vec<Crossing> {
    let mut found = Vec::new();
    for ((pattern, their), their_most) in second.hypothesis.patterns.iter().enumerate().zip(most[1]) {
        let along =
            LazyCell::new(|| null.along(&signals(second.hypothesis.cause, &their.excess, &null.rows)));
        let mut wider: Option<(&Frame, f64)> = None;
        // The sizes of a pattern stand in ascending order: the widest covariance comes first here.
        for (frame, within) in first.frames.iter().enumerate().rev() {
            let (Some(own), Some(own_most)) = (within.direction.as_deref(), most[0].get(within.pattern))
            else {
                continue;
            };
            let peak = within.size.map_or(own_most.peak, |size| peak_below(&[size]));
            let least = least - (own_most.share * their_most.share).ln();
            if wider.is_some_and(|(wider, top)| at_most(within, wider, top) + own.ln_share(peak.ln()) < least)
            {
                continue;
            }
            let ready = second.plain_direction(pattern).filter(|_| within.spread.is_empty());
            let reach = Reach { least, ln_peaks: [peak.ln(), their_most.peak.ln()] };
            if ready.is_some_and(|other| !within.gaussian.may_reach(own, other, reach)) {
                continue;
            }
            let other = ready.map_or_else(|| Cow::Owned(within.gaussian.direction(&along)), Cow::Borrowed);
            let (top, views) = under_each(within, [own, &other], least, [peak, their_most.peak]);
            wider = Some((within, top));
            if !views.is_empty() {
                found.push(Crossing { frame, pattern, top, views });
            }
        }
    }
    found.sort_by_key(|crossing| (crossing.frame, crossing.pattern));
    found
}

/// Returns what the log density could be at most within a frame, given that within one of the same pattern and a larger
/// size: of two covariances of which one exceeds the other, that one fits everything at least as well (its inverse is the
/// smaller), and only its determinant speaks against it. Without bound for any other frame.
fn at_most(within: &Frame, wider: &Frame, top: f64) -> f64 {
    let is_narrower = within.pattern == wider.pattern
        && within.size.zip(wider.size).is_some_and(|(size, wide)| size.mean <= wide.mean);
    if !is_narrower {
        return f64::INFINITY;
    }
    top + 0.5 * (wider.gaussian.ln_determinant() - within.gaussian.ln_determinant())
}

/// Returns the largest log density that any two amplitudes could have, and the assumptions under which it reaches `least`
/// with the share of the amplitudes that fit as well.
fn under_each(
    within: &Frame,
    [own, other]: [&Direction; 2],
    least: f64,
    peaks: [f64; 2],
) -> (f64, Vec<Under>) {
    let (mut top, mut views) = (f64::NEG_INFINITY, Vec::new());
    let each = Joint::under_each(within.gaussian.views(), own, other).zip(other.all_at_wild());
    for (number, ((view, joint), second_at_wild)) in each.enumerate() {
        let bound = joint.bound();
        let most = view.ln_density + bound;
        top = top.max(most);
        if most >= least && most + joint.share(peaks).ln() >= least {
            views.push(Under { view: number, joint, bound, most, second_at_wild: *second_at_wild });
        }
    }
    (top, views)
}
