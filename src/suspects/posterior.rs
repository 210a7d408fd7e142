//! How likely each cause is once the readings are known. Exact for its model: asleep currents and reading errors
//! normal, the excess of a cause a mixture of normal sizes along its pattern, errors linearised at the reading, at
//! most one reading bad. One inversion of the readings' covariance, then rank-one updates; everything in logarithms.
//! Leaves to others: the hypotheses (`hypothesis`), what to read next (`plan`).

use std::collections::HashMap;
use std::sync::Arc;

use nalgebra::{DMatrix, DVector};

use super::hypothesis::{Cause, Hypothesis, Pattern, Row, signals};
use super::pair::SECOND;
use crate::numeric::density::ln_sum_exp;
use crate::numeric::gaussian::{Direction, Gaussian, View, Wildness, gain};
use crate::numeric::mixture::Part as Size;
use crate::quantity::Unit;
use crate::reading::claim::{Claim, Panel, Scope};

/// Spread of the asleep currents that all loads of one vehicle share, relative to the map's figures. Editorial.
const SHARED_SCALE: f64 = 0.2;
/// Probability beforehand that one given reading is bad: another make of fuse, a unit slip, a woken module. Editorial.
const BAD_READING: f64 = 0.004;
/// The same of the total: a module that slept late may still have been awake. Editorial.
const STALE_TOTAL: f64 = 0.02;
/// How far off a bad reading is: standard deviation as a share of the largest reading, and at least. Editorial.
const HOW_BAD: (f64, f64) = (0.5, 0.03);
/// Sizes that weigh less than this beside the best of their hypothesis are left out of the plan.
const NEGLIGIBLE: f64 = 1e-4;

/// The readings without any excess: covariance of what they read, from asleep currents and errors.
#[derive(Debug, Clone)]
pub struct Ground {
    /// The claims as causes see them.
    pub rows: Vec<Row>,
    /// Coefficients of the parts: a row a claim.
    pub coefficients: DMatrix<f64>,
    /// Variances of the parts asleep, in ampere squared.
    pub variances: DVector<f64>,
    /// Direction in which all asleep currents vary together, in ampere.
    pub shared: DVector<f64>,
    /// Expected asleep currents, in ampere.
    pub expected: DVector<f64>,
    /// Residual: read less expected, in ampere.
    pub residual: DVector<f64>,
    /// Covariance of the residual, in ampere squared.
    pub covariance: DMatrix<f64>,
}

impl Ground {
    /// Prepares the ground for these claims.
    pub fn new(claims: &[Claim], panel: &Panel) -> Self {
        let parts = panel.parts.all();
        let rows: Vec<Vec<f64>> =
            claims.iter().map(|claim| panel.row(claim.scope, &claim.interrupted)).collect();
        let coefficients = DMatrix::from_fn(claims.len(), parts.len(), |row, column| {
            rows.get(row).and_then(|row| row.get(column)).copied().unwrap_or(0.0)
        });
        let expected = DVector::from_iterator(parts.len(), parts.iter().map(|part| part.asleep.base()));
        let variances =
            DVector::from_iterator(parts.len(), parts.iter().map(|part| part.asleep_sd.base().powi(2)));
        let shared = &expected * SHARED_SCALE;
        let read =
            DVector::from_iterator(claims.len(), claims.iter().map(|claim| claim.current.value().base()));
        let errors =
            DMatrix::from_fn(claims.len(), claims.len(), |i, j| match (claims.get(i), claims.get(j)) {
                (Some(a), Some(_)) if i == j => a.current.u().base().powi(2),
                (Some(a), Some(b)) => a.current.covariance(&b.current),
                _ => 0.0,
            });
        let together = &coefficients * &shared;
        let asleep = scaled_columns(&coefficients, &variances) * coefficients.transpose();
        let covariance = asleep + &together * together.transpose() + errors;
        let rows = claims.iter().map(|claim| Row::new(claim.scope, &claim.interrupted, panel)).collect();
        Self {
            rows,
            residual: read - &coefficients * &expected,
            coefficients,
            variances,
            shared,
            expected,
            covariance,
        }
    }
}

/// Multiplies each column by its factor.
fn scaled_columns(matrix: &DMatrix<f64>, factors: &DVector<f64>) -> DMatrix<f64> {
    let mut scaled = matrix.clone();
    for (mut column, factor) in scaled.column_iter_mut().zip(factors.iter()) {
        column *= *factor;
    }
    scaled
}

/// One size of one pattern, weighed.
#[derive(Debug, Clone)]
pub struct Sized {
    /// Which of the hypothesis's patterns.
    pub pattern: usize,
    /// Logarithm of prior, share, size weight and likelihood together.
    pub ln_weight: f64,
    /// Amplitude given the readings.
    pub mean: f64,
    /// Its variance.
    pub variance: f64,
    /// Which of [`Weighed::frames`] its covariance stands in.
    pub frame: usize,
    /// What is assumed about a bad reading.
    pub view: View,
}

/// A covariance of the readings with the pattern's direction in it.
#[derive(Debug, Clone)]
pub struct Frame {
    /// Residual and covariance.
    pub gaussian: Arc<Gaussian>,
    /// Direction of the pattern; `None` for nothing wrong.
    pub direction: Option<Direction>,
    /// Independent spread of the parts of the pattern: part index and standard deviation, in ampere.
    pub spread: Vec<(usize, f64)>,
    /// Which of the hypothesis's patterns it is for.
    pub pattern: usize,
    /// The one size that it is for, if its spread depends on the size.
    pub size: Option<Size>,
}

/// A hypothesis with the weight that the readings give it.
#[derive(Debug, Clone)]
pub struct Weighed {
    /// The hypothesis.
    pub hypothesis: Hypothesis,
    /// The first of the hypotheses that differ from it in nothing but their probability beforehand, as far as the
    /// readings go.
    pub kind: usize,
    /// Logarithm of prior and likelihood together.
    pub ln: f64,
    /// Probability given the readings.
    pub probability: f64,
    /// Its sizes with their weights relative to each other (they sum to one); negligible ones left out.
    pub sizes: Arc<Vec<(f64, Sized)>>,
    /// Covariances that the sizes refer to.
    pub frames: Arc<Vec<Frame>>,
}

impl Weighed {
    /// The same for a hypothesis that differs in nothing but its probability beforehand.
    fn with_prior_of(&self, hypothesis: Hypothesis) -> Self {
        let ln = self.ln + (hypothesis.prior / self.hypothesis.prior).ln();
        Self { hypothesis, ln, ..self.clone() }
    }

    /// Returns mean and standard deviation of the amplitude given the readings, over all sizes.
    pub fn amplitude(&self) -> (f64, f64) {
        let mean: f64 = self.sizes.iter().map(|(weight, size)| weight * size.mean).sum();
        let square: f64 =
            self.sizes.iter().map(|(w, size)| w * (size.variance + (size.mean - mean).powi(2))).sum();
        (mean, square.sqrt())
    }

    /// Returns the direction of a pattern in a frame of another cause where it is ready: in the plain frame, which all
    /// share.
    pub fn direction_in(&self, frame: &Frame, pattern: usize) -> Option<&Direction> {
        let own = self.frames.iter().find(|own| own.pattern == pattern && own.spread.is_empty())?;
        own.direction.as_ref().filter(|_| frame.spread.is_empty())
    }
}

/// Weighs all single causes; their probabilities are still to be normalised. Returns `None` only if the covariance
/// is singular, which the last digit in every reading prevents.
pub fn weigh(hypotheses: Vec<Hypothesis>, claims: &[Claim], ground: &Ground) -> Option<Vec<Weighed>> {
    let scales = Scales { ground, wildness: wildness(claims) };
    let base = Arc::new(Gaussian::new(&ground.residual, ground.covariance.clone(), &scales.wildness)?);
    let mut all: Vec<Weighed> = Vec::new();
    let mut kinds: HashMap<Vec<u64>, usize> = HashMap::new();
    for hypothesis in hypotheses {
        let kind = *kinds.entry(looks(&hypothesis, &ground.rows)).or_insert(all.len());
        let one = match all.get(kind) {
            Some(alike) => alike.with_prior_of(hypothesis),
            None => scales.weighed(hypothesis, kind, &base)?,
        };
        all.push(one);
    }
    Some(all)
}

fn wildness(claims: &[Claim]) -> Wildness {
    let largest = claims.iter().map(|claim| claim.current.value().base().abs()).fold(0.0, f64::max);
    let one = |claim: &Claim| if claim.scope == Scope::Total { STALE_TOTAL } else { BAD_READING };
    let probabilities = claims.iter().map(one).collect();
    Wildness { probabilities, sd: (HOW_BAD.0 * largest).max(HOW_BAD.1) }
}

/// All that a hypothesis's likelihood is made from, to the bit; where parts of a pattern spread on their own, which they
/// are and what each of them adds to the claims is among it: its frames name them.
fn looks(hypothesis: &Hypothesis, rows: &[Row]) -> Vec<u64> {
    let signals = |excess: &[(usize, f64)]| signals(hypothesis.cause, excess, rows);
    let mut numbers = Vec::new();
    for pattern in &hypothesis.patterns {
        numbers.extend([pattern.share, pattern.spread]);
        let sizes = pattern.sizes.iter().chain(&pattern.rough);
        numbers.extend(sizes.flat_map(|size| [size.weight, size.mean, size.sd]));
        numbers.extend(signals(&pattern.excess));
        let spreads: &[_] = if pattern.spread > 0.0 { &pattern.excess } else { &[] };
        for (part, size) in spreads.iter().chain(&pattern.stray) {
            numbers.extend([*part as f64, *size]);
            numbers.extend(signals(&[(*part, 1.0)]));
        }
    }
    numbers.into_iter().map(f64::to_bits).collect()
}

/// What all hypotheses are weighed on.
struct Scales<'a> {
    ground: &'a Ground,
    wildness: Wildness,
}

impl Scales<'_> {
    fn weighed(&self, hypothesis: Hypothesis, kind: usize, base: &Arc<Gaussian>) -> Option<Weighed> {
        let (frames, sizes) = self.sizes_of(&hypothesis, base)?;
        let ln = ln_sum_exp(sizes.iter().map(|size| size.ln_weight));
        let relative = sizes.into_iter().map(|size| ((size.ln_weight - ln).exp(), size));
        let mut kept: Vec<(f64, Sized)> = relative.filter(|(weight, _)| *weight > NEGLIGIBLE).collect();
        let sum: f64 = kept.iter().map(|(weight, _)| weight).sum();
        kept.iter_mut().for_each(|(weight, _)| *weight /= sum);
        Some(Weighed {
            hypothesis,
            kind,
            ln,
            probability: 0.0,
            sizes: Arc::new(kept),
            frames: Arc::new(frames),
        })
    }

    fn sizes_of(&self, hypothesis: &Hypothesis, base: &Arc<Gaussian>) -> Option<(Vec<Frame>, Vec<Sized>)> {
        let one_only = if hypothesis.cause == Cause::Nothing { 0.0 } else { (1.0 - SECOND).ln() };
        let ln_prior = hypothesis.prior.ln() + one_only;
        if hypothesis.cause == Cause::Nothing {
            let frame = Frame {
                gaussian: Arc::clone(base),
                direction: None,
                spread: Vec::new(),
                pattern: 0,
                size: None,
            };
            let size = |view: &View| Sized {
                pattern: 0,
                ln_weight: ln_prior + view.ln_density,
                mean: 0.0,
                variance: 0.0,
                frame: 0,
                view: *view,
            };
            return Some((vec![frame], base.views().iter().map(size).collect()));
        }
        let mut frames = Vec::new();
        let mut sizes = Vec::new();
        for (index, pattern) in hypothesis.patterns.iter().enumerate() {
            let along = DVector::from_vec(signals(hypothesis.cause, &pattern.excess, &self.ground.rows));
            if pattern.spread == 0.0 {
                let direction = Some(base.direction(along.clone()));
                frames.push(Frame {
                    gaussian: Arc::clone(base),
                    direction,
                    spread: Vec::new(),
                    pattern: index,
                    size: None,
                });
            }
            for size in &pattern.sizes {
                if pattern.spread > 0.0 {
                    frames.push(self.spread_frame(hypothesis.cause, (index, pattern), *size, &along)?);
                }
                let Some(frame) = frames.last() else { continue };
                let ln = ln_prior + pattern.share.ln() + size.weight.ln();
                sizes.extend(sized(frame, frames.len() - 1, index, ln, (size.mean, size.sd)));
            }
        }
        Some((frames, sizes))
    }

    /// The covariance with the independent spread of a group's modules added, at one size of its activity.
    fn spread_frame(
        &self,
        cause: Cause,
        (index, pattern): (usize, &Pattern),
        size: Size,
        along: &DVector<f64>,
    ) -> Option<Frame> {
        let mut covariance = self.ground.covariance.clone();
        let mut spread = Vec::new();
        let modules = pattern.excess.iter().map(|(part, excess)| (*part, pattern.spread * excess));
        for (part, per_unit) in modules.chain(pattern.stray.iter().copied()) {
            let sd = per_unit * size.mean;
            let one = DVector::from_vec(signals(cause, &[(part, 1.0)], &self.ground.rows));
            covariance.ger(sd * sd, &one, &one, 1.0);
            spread.push((part, sd));
        }
        let gaussian = Arc::new(Gaussian::new(&self.ground.residual, covariance, &self.wildness)?);
        let direction = Some(gaussian.direction(along.clone()));
        Some(Frame { gaussian, direction, spread, pattern: index, size: Some(size) })
    }
}

/// One size under every assumption about a bad reading.
fn sized(frame: &Frame, at: usize, pattern: usize, ln: f64, (mean, sd): (f64, f64)) -> Vec<Sized> {
    let Some(direction) = &frame.direction else { return Vec::new() };
    let one = |view: &View| {
        let gain = gain(direction.products(view), mean, sd);
        Sized {
            pattern,
            ln_weight: ln + view.ln_density + gain.ln,
            mean: gain.mean,
            variance: gain.variance,
            frame: at,
            view: *view,
        }
    };
    frame.gaussian.views().iter().map(one).collect()
}
