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
            let other = ready.map_or_else(|| Cow::Owned(within.gaussian.direction(&along)), Cow::Borrowed);
            // A wider frame is measured by its best assumption, whether or not that is within reach.
            let plain = other.plain_product(own);
            let which = match ready {
                Some(other) => within.gaussian.within_reach(own, other, plain, reach),
                None => (0..within.gaussian.views().len()).collect(),
            };
            let (top, views) =
                under_each(within, &which, ([own, &other], plain), least, [peak, their_most.peak]);
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

/// Returns the largest log density that any two amplitudes could have under these assumptions, and those under which it
/// reaches `least` with the share of the amplitudes that fit as well.
fn under_each(
    within: &Frame,
    which: &[usize],
    ([own, other], plain): ([&Direction; 2], f64),
    least: f64,
    peaks: [f64; 2],
) -> (f64, Vec<Under>) {
    let (mut top, mut views) = (f64::NEG_INFINITY, Vec::new());
    for view in which {
        let case = within.gaussian.views().get(*view);
        let (Some(case), Some(first), Some(second)) = (case, own.under(*view), other.under(*view)) else {
            continue;
        };
        let joint = Joint::under(case, first, second, plain);
        let bound = joint.bound();
        let most = case.ln_density + bound;
        top = top.max(most);
        if most >= least && most + joint.share(peaks).ln() >= least {
            views.push(Under { view: *view, joint, bound, most, second_at_wild: second[2] });
        }
    }
    (top, views)
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use nalgebra::DVector;
    use proptest::prelude::*;

    use super::*;
    use crate::base::numeric::factors::Factored;
    use crate::base::numeric::gaussian::{Gaussian, Wildness};
    use crate::base::numeric::loads::{Component, Loads};

    const READINGS: usize = 150;

    fn direction(gaussian: &Gaussian, sizes: &[f64], every: usize) -> Direction {
        // Most causes add to few readings.
        let each = sizes.iter().enumerate().map(|(at, size)| if at % every == 0 { *size } else { 0.0 });
        gaussian.direction(&DVector::from_iterator(READINGS, each))
    }

    proptest! {
        /// What is passed over for good reason is not within sight when it is reckoned out.
        #[test]
        fn nothing_within_sight_is_passed_over(
            read in proptest::collection::vec(-3.0_f64..3.0, READINGS),
            sizes in proptest::collection::vec(0.0_f64..2.0, 2 * READINGS),
            every in (1_usize..40, 1_usize..40),
            (below, ln_peaks) in (0.0_f64..20.0, [-6.0_f64..3.0, -6.0_f64..3.0]),
        ) {
            let component = |at: usize| Component { own: 0.1 + at as f64 / 200.0, place: 0, common: vec![(0, 0.3)] };
            let loads = Loads::new((0..READINGS).map(component).collect(), &[Vec::new()], 0, 1).expect("errors");
            let covariance = Factored::new(&Arc::new(loads), &[]).expect("positive definite");
            let wildness = Wildness { probabilities: vec![0.001; READINGS], sd: 2.0 };
            let gaussian = Gaussian::new(&DVector::from_vec(read), covariance, &wildness);
            let (first, second) = sizes.split_at(READINGS);
            let (first, second) = (direction(&gaussian, first, every.0), direction(&gaussian, second, every.1));
            let plain = second.plain_product(&first);
            let most = |view: usize| {
                let case = gaussian.views()[view];
                let joint = Joint::under(
                    &case,
                    first.under(view).expect("a view"),
                    second.under(view).expect("a view"),
                    plain,
                );
                case.ln_density + joint.bound() + joint.share(ln_peaks.map(f64::exp)).ln()
            };
            let each: Vec<f64> = (0..gaussian.views().len()).map(most).collect();
            let least = each.iter().copied().fold(f64::NEG_INFINITY, f64::max) - below;
            let found = gaussian.within_reach(&first, &second, plain, Reach { least, ln_peaks });
            for (view, most) in each.iter().enumerate() {
                prop_assert!(*most < least || found.contains(&view), "{view}: {most} {least}");
            }
        }
    }
}
