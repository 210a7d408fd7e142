//! Two causes at once: any two parts, or a held group and a part. All pairs are weighed; a pair is passed over only
//! if no sizes of its two excesses could make it likely (the likelihood at its best fit bounds it from above).
//! Every reading is taken as sound here: two causes and a bad reading together are not weighed.
//! Leaves to others: single causes (`posterior`).

use nalgebra::DVector;

use super::hypothesis::{Cause, Row, signals};
use super::posterior::{Frame, Weighed};
use crate::numeric::density::ln_sum_exp;
use crate::numeric::gaussian::Direction;
use crate::numeric::mixture::Part as Size;
use crate::reading::claim::Panel;
use crate::reading::together::group_of;

/// Probability beforehand of a second cause beside the first. Editorial.
pub const SECOND: f64 = 0.15;
/// Pairs below this share of the likeliest explanation, in logarithms, are left out. exp(−18) is 1.5e-8; a hundred
/// thousand pairs of that size together are less than two in a thousand.
const OUT_OF_SIGHT: f64 = 18.0;
/// Sizes that weigh less than this beside the best of their pair are left out.
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
    /// Sizes with their weights relative to each other.
    pub sizes: Vec<(f64, PairSize)>,
}

impl Pair {
    /// Returns mean and standard deviation of both amplitudes given the readings.
    pub fn amplitudes(&self) -> [(f64, f64); 2] {
        [0, 1].map(|which: usize| {
            let of = |size: &PairSize| match which {
                0 => (size.mean[0], size.covariance[0]),
                _ => (size.mean[1], size.covariance[1]),
            };
            let mean: f64 = self.sizes.iter().map(|(weight, size)| weight * of(size).0).sum();
            let square =
                self.sizes.iter().map(|(weight, size)| weight * (of(size).1 + (of(size).0 - mean).powi(2)));
            (mean, square.sum::<f64>().sqrt())
        })
    }
}

/// Two sizes, weighed.
#[derive(Debug, Clone, Copy)]
pub struct PairSize {
    /// Pattern of each cause.
    pub patterns: [usize; 2],
    /// Frame of the first cause in which the covariance stands.
    pub frame: usize,
    /// Logarithm of share, sizes and likelihood.
    ln: f64,
    /// Amplitudes given the readings.
    pub mean: [f64; 2],
    /// Variance of the first, variance of the second, covariance.
    pub covariance: [f64; 3],
}

/// Returns the pairs that are within sight of the likeliest single explanation.
pub fn pairs(weighed: &[Weighed], rows: &[Row], panel: &Panel) -> Vec<Pair> {
    let best = weighed.iter().map(|one| one.ln).fold(f64::NEG_INFINITY, f64::max);
    let something: f64 =
        weighed.iter().filter(|one| one.hypothesis.cause != Cause::Nothing).map(|o| o.hypothesis.prior).sum();
    let members: Vec<Member> =
        weighed.iter().enumerate().filter_map(|(i, one)| Member::new(i, one, rows)).collect();
    let mut found = Vec::new();
    for (at, second) in members.iter().enumerate().filter(|(_, member)| !member.is_group) {
        let groups = members.iter().filter(|member| member.is_group && !member.holds(second, weighed, panel));
        let others = members.iter().take(at).filter(|member| !member.is_group);
        for first in groups.chain(others) {
            let ln_prior = (2.0 * SECOND * first.prior * second.prior / something).ln();
            found.extend(weigh_pair(first, second, ln_prior, best, weighed));
        }
    }
    found
}

/// A single cause made ready to be paired.
struct Member<'a> {
    index: usize,
    is_group: bool,
    prior: f64,
    /// What each of its patterns adds to the claims.
    along: Vec<DVector<f64>>,
    one: &'a Weighed,
    /// Sizes by pattern.
    sizes: Vec<&'a [Size]>,
}

impl<'a> Member<'a> {
    fn new(index: usize, one: &'a Weighed, rows: &[Row]) -> Option<Self> {
        let hypothesis = &one.hypothesis;
        if hypothesis.cause == Cause::Nothing {
            return None;
        }
        let along = |pattern: &super::hypothesis::Pattern| {
            DVector::from_vec(signals(hypothesis.cause, &pattern.excess, rows))
        };
        Some(Self {
            index,
            is_group: matches!(hypothesis.cause, Cause::Held(..)),
            prior: hypothesis.prior,
            along: hypothesis.patterns.iter().map(along).collect(),
            sizes: hypothesis.patterns.iter().map(|pattern| pattern.rough.as_slice()).collect(),
            one,
        })
    }

    /// A module of a held group is no second cause beside it.
    fn holds(&self, other: &Member, weighed: &[Weighed], panel: &Panel) -> bool {
        let cause = |member: &Member| weighed.get(member.index).map(|one| one.hypothesis.cause);
        match (cause(self), cause(other)) {
            (Some(Cause::Held(group, _)), Some(Cause::Part(_, kind))) => group_of(kind, panel) == Some(group),
            _ => false,
        }
    }
}

fn weigh_pair(
    first: &Member,
    second: &Member,
    ln_prior: f64,
    best: f64,
    weighed: &[Weighed],
) -> Option<Pair> {
    let frames = &weighed.get(first.index)?.frames;
    let least = best - OUT_OF_SIGHT;
    let mut joints = Vec::new();
    for (at, frame) in frames.iter().enumerate() {
        let own = frame.direction.as_ref()?;
        let base = ln_prior + frame.gaussian.views().first()?.ln_density;
        for (other, along) in second.along.iter().enumerate() {
            let joint = match ready_in(frame, second, other) {
                Some(direction) => Joint::new(frame, own, direction)?,
                None => Joint::new(frame, own, &frame.gaussian.direction(along.clone()))?,
            };
            if base + joint.bound() >= least {
                let shares = first.share(frame.pattern) * second.share(other);
                joints.push((joint, base + shares.ln(), at, other));
            }
        }
    }
    let sized = || {
        joints.iter().flat_map(|(joint, base, at, other)| {
            let frame = frames.get(*at);
            let firsts = frame.map(|frame| first.sizes_in(frame)).unwrap_or_default();
            let pattern = frame.map_or(0, |frame| frame.pattern);
            let seconds = second.sizes.get(*other).copied().unwrap_or_default();
            firsts.into_iter().flat_map(move |a| {
                seconds.iter().map(move |b| {
                    joint.sized(a, *b, base + (a.weight * b.weight).ln(), [pattern, *other], *at)
                })
            })
        })
    };
    let ln = ln_sum_exp(sized().map(|size| size.ln).collect::<Vec<_>>());
    if joints.is_empty() || ln < least {
        return None;
    }
    let mut sizes = Vec::new();
    if ln > best - FORECAST_WITHIN {
        sizes.extend(
            sized().map(|size| ((size.ln - ln).exp(), size)).filter(|(weight, _)| *weight > NEGLIGIBLE),
        );
        let sum: f64 = sizes.iter().map(|(weight, _)| weight).sum();
        sizes.iter_mut().for_each(|(weight, _)| *weight /= sum);
    }
    Some(Pair { first: first.index, second: second.index, ln, probability: 0.0, sizes })
}

/// The second cause's direction where it is ready: in the plain frame, which both share.
fn ready_in<'a>(frame: &Frame, second: &Member<'a>, pattern: usize) -> Option<&'a Direction> {
    let own = second.one.frames.iter().find(|own| own.pattern == pattern && own.spread.is_empty())?;
    own.direction.as_ref().filter(|_| frame.spread.is_empty())
}

impl Member<'_> {
    fn share(&self, pattern: usize) -> f64 {
        self.one.hypothesis.patterns.get(pattern).map_or(0.0, |pattern| pattern.share)
    }

    /// A frame with a spread of its own stands for one size only.
    fn sizes_in(&self, frame: &Frame) -> Vec<Size> {
        match frame.size {
            Some(size) => vec![size],
            None => self.sizes.get(frame.pattern).map(|sizes| sizes.to_vec()).unwrap_or_default(),
        }
    }
}

/// Products of two directions: b = (d₁ᵀΣ⁻¹r, d₂ᵀΣ⁻¹r) and A = (d₁ᵀΣ⁻¹d₁, d₂ᵀΣ⁻¹d₂, d₁ᵀΣ⁻¹d₂).
struct Joint {
    b: [f64; 2],
    a: [f64; 3],
}

impl Joint {
    fn new(frame: &Frame, first: &Direction, second: &Direction) -> Option<Self> {
        let view = frame.gaussian.views().first()?;
        let (b1, a1) = frame.gaussian.products(view, first);
        let (b2, a2) = frame.gaussian.products(view, second);
        Some(Self { b: [b1, b2], a: [a1, a2, frame.gaussian.product(view, first, second)] })
    }

    /// Largest log gain that any two amplitudes could have: ½ bᵀA⁻¹b. Where the two directions are the same it is
    /// that of one.
    fn bound(&self) -> f64 {
        let [b1, b2] = self.b;
        let [a1, a2, x] = self.a;
        let determinant = a1 * a2 - x * x;
        if determinant > 1e-9 * a1 * a2 {
            0.5 * (a2 * b1 * b1 - 2.0 * x * b1 * b2 + a1 * b2 * b2) / determinant
        } else {
            let one = |b: f64, a: f64| if a > 0.0 { 0.5 * b * b / a } else { 0.0 };
            one(b1, a1).max(one(b2, a2))
        }
    }

    /// Evidence and posterior of two amplitudes with normal sizes before: with s = b − A m and P = D⁻¹ + A,
    /// ln gain = mᵀb − ½ mᵀAm − ½ ln det(D P) + ½ sᵀP⁻¹s; mean m + P⁻¹s, covariance P⁻¹.
    fn sized(&self, first: Size, second: Size, ln: f64, patterns: [usize; 2], frame: usize) -> PairSize {
        let [b1, b2] = self.b;
        let [a1, a2, x] = self.a;
        let (m1, m2) = (first.mean, second.mean);
        let (d1, d2) = (first.sd * first.sd, second.sd * second.sd);
        let (p1, p2) = (1.0 / d1 + a1, 1.0 / d2 + a2);
        let determinant = p1 * p2 - x * x;
        let (s1, s2) = (b1 - a1 * m1 - x * m2, b2 - x * m1 - a2 * m2);
        let covariance = [p2 / determinant, p1 / determinant, -x / determinant];
        let (t1, t2) = (covariance[0] * s1 + covariance[2] * s2, covariance[2] * s1 + covariance[1] * s2);
        let shift = m1 * b1 + m2 * b2 - 0.5 * (a1 * m1 * m1 + 2.0 * x * m1 * m2 + a2 * m2 * m2);
        let gain = shift - 0.5 * (d1 * d2 * determinant).ln() + 0.5 * (s1 * t1 + s2 * t2);
        PairSize { patterns, frame, ln: ln + gain, mean: [m1 + t1, m2 + t2], covariance }
    }
}
