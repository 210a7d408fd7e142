//! Two causes at once: any two parts, or a held group and a part, with every reading sound or one of them bad. All pairs
//! are weighed; a pair is passed over only if no sizes of its two excesses could make it likely (the likelihood at its
//! best fit bounds it from above). Causes that no reading tells apart are weighed once.
//! Leaves to others: single causes (`posterior`), the arithmetic of two amplitudes (`joint`).

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

use nalgebra::DVector;

use super::hypothesis::{Cause, Row, signals};
use super::joint::{Amplitudes, Joint};
use super::posterior::Weighed;
use crate::numeric::density::ln_sum_exp;
use crate::numeric::gaussian::View;
use crate::numeric::mixture::{Part as Size, peak_below};
use crate::reading::claim::Panel;
use crate::reading::together::group_of;

/// Probability beforehand of a second cause beside the first. Editorial.
pub const SECOND: f64 = 0.15;
/// Pairs, and single ways and sizes of a pair, below this share of the likeliest single cause, in logarithms, are left
/// out. exp(−18) is 1.5e-8; a hundred thousand of that size together are less than two in a thousand.
const OUT_OF_SIGHT: f64 = 18.0;
/// Sizes that weigh less than this share of their pair are left out of forecasts.
const NEGLIGIBLE: f64 = 1e-3;
/// Sizes are kept only for pairs within this of the likeliest explanation, in logarithms: others are too unlikely to
/// be forecast. exp(−9) is 1.2e-4.
const FORECAST_WITHIN: f64 = 9.0;

/// Two causes with the weight that the readings give them together.
#[derive(Debug, Clone)]
pub struct Pair {
    /// Index of the first cause among the single hypotheses; a held group always comes first.
    pub first: usize,
    /// Index of the second.
    pub second: usize,
    /// Logarithm of prior and likelihood together.
    pub ln: f64,
    /// Probability given the readings.
    pub probability: f64,
    /// Sizes with their weights relative to each other; none if it is too unlikely to be forecast.
    pub sizes: Arc<Vec<(f64, PairSize)>>,
    /// Mean and standard deviation of both amplitudes over all sizes, if there are any.
    pub amplitudes: Option<[(f64, f64); 2]>,
}

/// Two sizes, weighed.
#[derive(Debug, Clone, Copy)]
pub struct PairSize {
    /// Pattern of each cause.
    pub patterns: [usize; 2],
    /// Frame of the first cause in which the covariance stands.
    pub frame: usize,
    /// What is assumed about a bad reading.
    pub view: View,
    /// Amplitudes given the readings.
    pub amplitudes: Amplitudes,
}

/// Returns the pairs that are within sight of the likeliest single explanation.
pub fn pairs(weighed: &[Weighed], rows: &[Row], panel: &Panel) -> Vec<Pair> {
    let best = weighed.iter().map(|one| one.ln).fold(f64::NEG_INFINITY, f64::max);
    let something: f64 =
        weighed.iter().filter(|one| one.hypothesis.cause != Cause::Nothing).map(|o| o.hypothesis.prior).sum();
    let ln_prior = |first: &Weighed, second: &Weighed| {
        (2.0 * SECOND * first.hypothesis.prior * second.hypothesis.prior / something).ln()
    };
    let kinds = kinds(weighed, rows);
    let mut found = Vec::new();
    for (at, second) in kinds.iter().enumerate().filter(|(_, kind)| !kind.is_group()) {
        let groups = kinds.iter().filter(|kind| kind.is_group());
        for first in groups.chain(kinds.iter().take(at + 1).filter(|kind| !kind.is_group())) {
            let (Some(one), Some(two)) = (first.likeliest(), second.likeliest()) else { continue };
            let Some(together) = Together::weighed(first, second, best - ln_prior(one, two)) else {
                continue;
            };
            for [(i, one), (j, two)] in first.pairs_with(second).filter(|[a, b]| !holds(a.1, b.1, panel)) {
                let ln = together.ln + ln_prior(one, two);
                if ln >= best - OUT_OF_SIGHT {
                    let forecast = ln > best - FORECAST_WITHIN;
                    let sizes = if forecast { Arc::clone(&together.sizes) } else { Arc::default() };
                    let amplitudes = together.amplitudes.filter(|_| forecast);
                    found.push(Pair { first: i, second: j, ln, probability: 0.0, sizes, amplitudes });
                }
            }
        }
    }
    found
}

/// A module of a held group is no second cause beside it.
fn holds(first: &Weighed, second: &Weighed, panel: &Panel) -> bool {
    match (first.hypothesis.cause, second.hypothesis.cause) {
        (Cause::Held(group, _), Cause::Part(_, kind)) => group_of(kind, panel) == Some(group),
        _ => false,
    }
}

/// Causes that differ in nothing but their probability beforehand, as far as the readings go, made ready to be paired.
struct Kind<'a> {
    /// Indices of the causes among the single ones; the likeliest beforehand comes first.
    all: Vec<(usize, &'a Weighed)>,
    /// What each of their patterns adds to the claims.
    along: Vec<DVector<f64>>,
}

/// Sorts the single causes into kinds.
fn kinds<'a>(weighed: &'a [Weighed], rows: &[Row]) -> Vec<Kind<'a>> {
    let mut sorted: BTreeMap<usize, Vec<(usize, &Weighed)>> = BTreeMap::new();
    let something = weighed.iter().enumerate().filter(|(_, one)| one.hypothesis.cause != Cause::Nothing);
    for (index, one) in something {
        sorted.entry(one.kind).or_default().push((index, one));
    }
    let ready = |mut all: Vec<(usize, &'a Weighed)>| {
        all.sort_by(|a, b| b.1.hypothesis.prior.total_cmp(&a.1.hypothesis.prior));
        let hypothesis = all.first().map(|(_, one)| &one.hypothesis);
        let patterns =
            hypothesis.into_iter().flat_map(|one| one.patterns.iter().map(|pattern| (one.cause, pattern)));
        let along = patterns.map(|(cause, pattern)| DVector::from_vec(signals(cause, &pattern.excess, rows)));
        Kind { along: along.collect(), all }
    };
    sorted.into_values().map(ready).collect()
}

impl<'a> Kind<'a> {
    /// The cause that stands for all of them: the likeliest beforehand.
    fn likeliest(&self) -> Option<&'a Weighed> {
        self.all.first().map(|(_, one)| *one)
    }

    fn is_group(&self) -> bool {
        self.likeliest().is_some_and(|one| matches!(one.hypothesis.cause, Cause::Held(..)))
    }

    /// Returns the pairs of a cause of this kind and one of the other; of the same kind, each two once.
    fn pairs_with(&self, other: &Kind<'a>) -> impl Iterator<Item = [(usize, &'a Weighed); 2]> {
        let same = std::ptr::eq(self, other);
        self.all.iter().enumerate().flat_map(move |(at, one)| {
            let others = other.all.iter().skip(if same { at + 1 } else { 0 });
            others.map(|two| [*one, *two])
        })
    }
}

/// Two kinds weighed together, without the probability of either beforehand.
struct Together {
    ln: f64,
    sizes: Arc<Vec<(f64, PairSize)>>,
    amplitudes: Option<[(f64, f64); 2]>,
}

/// One way in which two causes may work out: pattern of each, frame, which reading is bad.
struct Way<'a> {
    joint: Joint,
    /// Largest gain that any two amplitudes could have.
    bound: f64,
    /// Largest logarithm of the weight that they could have, and the least that is within sight.
    most: f64,
    least: f64,
    view: View,
    frame: usize,
    patterns: [usize; 2],
    sizes: [&'a [Size]; 2],
}

impl Together {
    /// Weighs two kinds. Returns `None` where no way gets within sight of `best`, the logarithm to be compared with.
    fn weighed(first: &Kind, second: &Kind, best: f64) -> Option<Self> {
        let ways = ways(first.likeliest()?, second, best - OUT_OF_SIGHT);
        let each = ways.iter().map(|way| way.most + way.sized().map(|(one, _)| one).sum::<f64>().ln());
        let ln = ln_sum_exp(each.collect::<Vec<_>>());
        if ways.is_empty() || ln < best - OUT_OF_SIGHT {
            return None;
        }
        let mut sizes = Vec::new();
        if ln > best - FORECAST_WITHIN {
            for way in &ways {
                let scale = (way.most - ln).exp();
                let relative = way.sized().map(|(one, size)| (scale * one, size));
                sizes.extend(relative.filter(|(weight, _)| *weight > NEGLIGIBLE));
            }
            let sum: f64 = sizes.iter().map(|(weight, _)| weight).sum();
            sizes.iter_mut().for_each(|(weight, _)| *weight /= sum);
        }
        let amplitudes = (!sizes.is_empty()).then(|| [0, 1].map(|which| moments(&sizes, which)));
        Some(Self { ln, sizes: Arc::new(sizes), amplitudes })
    }
}

/// Mean and standard deviation of the first or second amplitude over all sizes.
fn moments(sizes: &[(f64, PairSize)], which: usize) -> (f64, f64) {
    let of = |size: &PairSize| match which {
        0 => (size.amplitudes.mean[0], size.amplitudes.covariance[0]),
        _ => (size.amplitudes.mean[1], size.amplitudes.covariance[1]),
    };
    let mean: f64 = sizes.iter().map(|(weight, size)| weight * of(size).0).sum();
    let square = sizes.iter().map(|(weight, size)| weight * (of(size).1 + (of(size).0 - mean).powi(2)));
    (mean, square.sum::<f64>().sqrt())
}

/// Returns the ways in which a cause and one of another kind may work out together, as far as they could be likely.
fn ways<'a>(first: &'a Weighed, second: &Kind<'a>, least: f64) -> Vec<Way<'a>> {
    let mut found = Vec::new();
    let Some(other) = second.likeliest() else { return found };
    for (at, frame) in first.frames.iter().enumerate() {
        let (Some(own), Some(pattern)) = (&frame.direction, first.hypothesis.patterns.get(frame.pattern))
        else {
            continue;
        };
        // A frame with a spread of its own stands for one size only.
        let own_sizes = frame.size.as_ref().map_or(pattern.rough.as_slice(), std::slice::from_ref);
        let own_peak = peak_below(own_sizes);
        for (index, (along, their)) in second.along.iter().zip(&other.hypothesis.patterns).enumerate() {
            let direction = match other.direction_in(frame, index) {
                Some(ready) => Cow::Borrowed(ready),
                None => Cow::Owned(frame.gaussian.direction(along.clone())),
            };
            let their_peak = peak_below(&their.rough);
            let shares = (pattern.share * their.share).ln();
            for (view, joint) in Joint::under_each_view(&frame.gaussian, own, &direction) {
                let bound = joint.bound();
                let most = shares + view.ln_density + bound;
                if most >= least && most + joint.share([own_peak, their_peak]).ln() >= least {
                    let sizes = [own_sizes, their.rough.as_slice()];
                    let patterns = [frame.pattern, index];
                    found.push(Way { joint, bound, most, least, view, frame: at, patterns, sizes });
                }
            }
        }
    }
    found
}

impl Way<'_> {
    /// Returns every two sizes that are within sight with their weight, relative to the largest that they could have
    /// together.
    fn sized(&self) -> impl Iterator<Item = (f64, PairSize)> {
        let [firsts, seconds] = self.sizes;
        firsts.iter().flat_map(move |one| {
            seconds.iter().filter_map(move |two| {
                let amplitudes = self.joint.sized(*one, *two, self.bound, self.least - self.most)?;
                let weight = one.weight * two.weight * amplitudes.factor;
                let size =
                    PairSize { patterns: self.patterns, frame: self.frame, view: self.view, amplitudes };
                Some((weight, size))
            })
        })
    }
}
