//! How likely each cause is once the readings are known. Exact for its model: asleep currents and reading errors
//! normal, the excess of a cause a mixture of normal sizes along its pattern, errors linearised at the reading, at
//! most one reading bad. The readings' covariance is factored once, then rank-one updates; everything in logarithms.
//! Leaves to others: the covariance (`null_model`), the hypotheses (`hypothesis`), what to read next (`plan`).

use std::collections::HashMap;
use std::sync::Arc;

use nalgebra::DVector;

use super::assumptions::{BAD_READING, BAD_READING_OFF, SECOND_CAUSE, STALE_TOTAL};
use super::cause::Cause;
use super::hypothesis::{Hypothesis, Pattern, PatternRow, signals};
use super::null_model::{NullModel, Spreading};
use crate::base::numeric::density::ln_sum_exp;
use crate::base::numeric::gaussian::{Direction, Gaussian, OutlierCase, Wildness, gain};
use crate::base::numeric::mixture::MixturePart as Size;
use crate::base::quantity::Unit;
use crate::circuit::id::PartId;
use crate::measure::observation::{Observation, Scope};

/// Sizes that weigh less than this beside the best of their hypothesis are left out of the plan.
const NEGLIGIBLE: f64 = 1e-4;

/// Sizes that fall short of one of their hypothesis by more than this, in logarithms, are not reckoned: exp(−50) is below
/// the rounding of their sum, however many there are.
const OUT_OF_SIGHT: f64 = 50.0;

/// One size of one pattern, weighed.
#[derive(Debug, Clone)]
pub struct Sized {
    /// Which of the hypothesis's patterns.
    pub pattern: usize,
    /// Amplitude given the readings.
    pub mean: f64,
    /// Its variance.
    pub variance: f64,
    /// Which of [`ScoredHypothesis::frames`] its covariance stands in.
    pub frame: usize,
    /// What is assumed about a bad reading: which of the frame's views.
    pub view: usize,
}

/// A covariance of the readings with the pattern's direction in it.
#[derive(Debug, Clone)]
pub struct Frame {
    /// Residual and covariance.
    pub gaussian: Arc<Gaussian>,
    /// Direction of the pattern; `None` for nothing wrong.
    pub direction: Option<Arc<Direction>>,
    /// Independent spread of the parts of the pattern: part and standard deviation, in ampere.
    pub spread: Vec<(PartId, f64)>,
    /// Which of the hypothesis's patterns it is for.
    pub pattern: usize,
    /// The one size that it is for, if its spread depends on the size.
    pub size: Option<Size>,
}

/// A hypothesis with the weight that the readings give it.
#[derive(Debug, Clone)]
pub struct ScoredHypothesis {
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

impl ScoredHypothesis {
    /// The same for a hypothesis that differs in nothing but its probability beforehand.
    fn with_prior_of(&self, hypothesis: Hypothesis) -> Self {
        let ln = self.ln + hypothesis.ln_weight() - self.hypothesis.ln_weight();
        Self { hypothesis, ln, ..self.clone() }
    }

    /// Returns the direction of a pattern in the plain frame, which all share; `None` for one that has frames of its own.
    pub fn plain_direction(&self, pattern: usize) -> Option<&Direction> {
        let own = self.frames.iter().find(|own| own.pattern == pattern && own.spread.is_empty())?;
        own.direction.as_deref()
    }
}

/// Weighs all single causes; their probabilities are still to be normalised. Returns `None` only if the covariance
/// is singular, which the last digit in every reading prevents.
pub fn weigh(
    hypotheses: Vec<Hypothesis>,
    observations: &[Observation],
    null: &NullModel,
) -> Option<Vec<ScoredHypothesis>> {
    let mut scales = Scales { null, wildness: wildness(observations), directions: HashMap::new() };
    let covariance = null.covariance(Vec::new())?.with(&[])?;
    let base = Arc::new(Gaussian::new(&null.residual, covariance, &scales.wildness));
    let mut all: Vec<ScoredHypothesis> = Vec::new();
    let mut kinds: HashMap<Vec<u64>, usize> = HashMap::new();
    for hypothesis in hypotheses {
        let kind = *kinds.entry(looks(&hypothesis, &null.rows)).or_insert(all.len());
        let one = match all.get(kind) {
            Some(alike) => alike.with_prior_of(hypothesis),
            None => scales.weighed(hypothesis, kind, &base)?,
        };
        all.push(one);
    }
    Some(all)
}

fn wildness(observations: &[Observation]) -> Wildness {
    let largest =
        observations.iter().map(|observation| observation.current.value().base().abs()).fold(0.0, f64::max);
    let one =
        |observation: &Observation| if observation.scope == Scope::Total { STALE_TOTAL } else { BAD_READING };
    let probabilities = observations.iter().map(one).collect();
    Wildness { probabilities, sd: (BAD_READING_OFF.0 * largest).max(BAD_READING_OFF.1) }
}

/// All that a hypothesis's likelihood is made from, to the bit; where parts of a pattern spread on their own, which they
/// are and what each of them adds to the observations is among it: its frames name them.
fn looks(hypothesis: &Hypothesis, rows: &[PatternRow]) -> Vec<u64> {
    let signals = |excess: &[(PartId, f64)]| signals(hypothesis.cause, excess, rows);
    let mut numbers = Vec::new();
    for pattern in &hypothesis.patterns {
        numbers.extend([pattern.share, pattern.spread]);
        let sizes = pattern.sizes.iter().chain(&pattern.rough);
        numbers.extend(sizes.flat_map(|size| [size.weight, size.mean, size.sd]));
        numbers.extend(signals(&pattern.excess));
        let spreads: &[_] = if pattern.spread > 0.0 { &pattern.excess } else { &[] };
        for (part, size) in spreads.iter().chain(&pattern.stray) {
            numbers.extend([usize::from(*part) as f64, *size]);
            numbers.extend(signals(&[(*part, 1.0)]));
        }
    }
    numbers.into_iter().map(f64::to_bits).collect()
}

/// What all hypotheses are weighed on.
struct Scales<'a> {
    null: &'a NullModel,
    wildness: Wildness,
    /// Directions in the plain frame, by what they add to the places: many causes add the same.
    directions: HashMap<Vec<u64>, Arc<Direction>>,
}

impl Scales<'_> {
    fn weighed(
        &mut self,
        hypothesis: Hypothesis,
        kind: usize,
        base: &Arc<Gaussian>,
    ) -> Option<ScoredHypothesis> {
        let (frames, sizes) = self.sizes_of(&hypothesis, base)?;
        let ln = ln_sum_exp(sizes.iter().map(|(ln_weight, _)| *ln_weight));
        let least = ln + NEGLIGIBLE.ln();
        let heavy = sizes.into_iter().filter(|(ln_weight, _)| *ln_weight > least);
        let mut kept: Vec<(f64, Sized)> = heavy.map(|(weight, size)| ((weight - ln).exp(), size)).collect();
        let sum: f64 = kept.iter().map(|(weight, _)| weight).sum();
        kept.iter_mut().for_each(|(weight, _)| *weight /= sum);
        // Few are left of many.
        kept.shrink_to_fit();
        Some(ScoredHypothesis {
            hypothesis,
            kind,
            ln,
            probability: 0.0,
            sizes: Arc::new(kept),
            frames: Arc::new(frames),
        })
    }

    /// Returns the frames of a hypothesis, and its sizes with the logarithm of prior, share, weight of the size and
    /// likelihood together.
    fn sizes_of(&mut self, hypothesis: &Hypothesis, base: &Arc<Gaussian>) -> Option<(Vec<Frame>, LnSizes)> {
        let one_only = if hypothesis.cause == Cause::Nothing { 0.0 } else { (1.0 - SECOND_CAUSE).ln() };
        let ln_prior = hypothesis.ln_weight() + one_only;
        if hypothesis.cause == Cause::Nothing {
            let frame = Frame {
                gaussian: Arc::clone(base),
                direction: None,
                spread: Vec::new(),
                pattern: 0,
                size: None,
            };
            let size = |(number, view): (usize, &OutlierCase)| {
                let size = Sized { pattern: 0, mean: 0.0, variance: 0.0, frame: 0, view: number };
                (ln_prior + view.ln_density, size)
            };
            return Some((vec![frame], base.views().iter().enumerate().map(size).collect()));
        }
        let mut frames = Vec::new();
        let mut sizes: LnSizes = Vec::new();
        let mut best = f64::NEG_INFINITY;
        for (index, pattern) in hypothesis.patterns.iter().enumerate() {
            let signals = signals(hypothesis.cause, &pattern.excess, &self.null.rows);
            let along = self.null.along(&signals);
            let apart = (pattern.spread > 0.0).then(|| self.apart(hypothesis.cause, pattern)).flatten();
            if pattern.spread == 0.0 {
                let direction = Some(self.plain(signals, &along, base));
                frames.push(Frame {
                    gaussian: Arc::clone(base),
                    direction,
                    spread: Vec::new(),
                    pattern: index,
                    size: None,
                });
            }
            for size in &pattern.sizes {
                if let Some(apart) = &apart {
                    frames.push(self.spread_frame(apart, index, *size, &along)?);
                }
                let Some(frame) = frames.last() else { continue };
                let ln = ln_prior + pattern.share.ln() + size.weight.ln();
                let each = sized(frame, (frames.len() - 1, index), (ln, &mut best), *size);
                sizes.extend(each);
            }
        }
        Some((frames, sizes))
    }

    /// A direction in the plain frame.
    fn plain(&mut self, signals: Vec<f64>, along: &DVector<f64>, base: &Gaussian) -> Arc<Direction> {
        let looks = signals.into_iter().map(f64::to_bits).collect();
        let made = || Arc::new(base.direction(along));
        Arc::clone(self.directions.entry(looks).or_insert_with(made))
    }

    /// The parts that depart from a group's common activity on their own, with the covariance made ready for them.
    fn apart(&self, cause: Cause, pattern: &Pattern) -> Option<Apart> {
        let modules = pattern.excess.iter().map(|(part, excess)| (*part, pattern.spread * excess));
        let parts: Vec<(PartId, f64)> = modules.chain(pattern.stray.iter().copied()).collect();
        let signals = parts.iter().map(|(part, _)| signals(cause, &[(*part, 1.0)], &self.null.rows));
        Some(Apart { spreading: self.null.covariance(signals.collect())?, parts })
    }

    /// The covariance with the independent spread of a group's modules added, at one size of its activity.
    fn spread_frame(&self, apart: &Apart, index: usize, size: Size, along: &DVector<f64>) -> Option<Frame> {
        let spread = apart.parts.iter().map(|(part, per_unit)| (*part, per_unit * size.mean));
        let spread: Vec<(PartId, f64)> = spread.collect();
        let variances: Vec<f64> = spread.iter().map(|(_, sd)| sd * sd).collect();
        let covariance = apart.spreading.with(&variances)?;
        let gaussian = Arc::new(Gaussian::new(&self.null.residual, covariance, &self.wildness));
        let direction = Some(Arc::new(gaussian.direction(along)));
        Some(Frame { gaussian, direction, spread, pattern: index, size: Some(size) })
    }
}

/// Sizes, each with the logarithm of its weight.
type LnSizes = Vec<(f64, Sized)>;

/// Parts that spread on their own: each with its standard deviation per unit of activity.
struct Apart {
    parts: Vec<(PartId, f64)>,
    spreading: Spreading,
}

/// One size under every assumption about a bad reading, with the logarithm of its weight, as far as it counts beside the
/// best one so far.
fn sized(
    frame: &Frame,
    (at, pattern): (usize, usize),
    (ln, best): (f64, &mut f64),
    size: Size,
) -> impl Iterator<Item = (f64, Sized)> {
    let products = frame.direction.iter().flat_map(|direction| direction.all_products());
    let each = frame.gaussian.views().iter().zip(products).enumerate();
    each.filter_map(move |(number, (view, products))| {
        let before = ln + view.ln_density;
        let gain = gain(products, size.mean, size.sd, *best - OUT_OF_SIGHT - before)?;
        *best = best.max(before + gain.ln);
        let size = Sized { pattern, mean: gain.mean, variance: gain.variance, frame: at, view: number };
        Some((before + gain.ln, size))
    })
}
