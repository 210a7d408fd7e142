//! What a reading not yet taken would show under each hypothesis: normal parts, from the readings so far.
//! Leaves to others: which readings can be taken (`candidate`), what they are worth (`worth`).

use std::sync::Arc;

use nalgebra::DVector;

use crate::base::numeric::gaussian::{Direction, OutlierCase};
use crate::base::quantity::{Ampere, Uncertain};
use crate::infer::Inference;
use crate::infer::hypothesis::PatternRow;
use crate::infer::joint::Amplitudes;
use crate::infer::null_model::NullModel;
use crate::infer::pair::PairSize;
use crate::infer::posterior::{Frame, ScoredHypothesis, Sized};
use crate::measure::observation::{Interrupted, Panel, Scope};

/// Probability below which an explanation is left out of forecasts.
const TOO_UNLIKELY: f64 = 1e-4;

/// A normal part of a forecast: which hypothesis, how likely, mean and variance of the reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Index of the hypothesis.
    pub hypothesis: usize,
    /// Probability of hypothesis and size together.
    pub weight: f64,
    /// Mean of the reading, in ampere.
    pub mean: f64,
    /// Variance of the reading, in ampere squared.
    pub variance: f64,
}

/// A reading that could be taken, as the observation it would make: its current stands for its errors at zero.
#[derive(Debug, Clone, PartialEq)]
pub struct PredictedReading {
    /// What it would be about.
    pub scope: Scope,
    /// What is interrupted.
    pub interrupted: Interrupted,
    /// Errors that the reading would have at zero, own and shared.
    pub errors: Uncertain<Ampere>,
    /// Relative standard uncertainty that grows with the reading.
    pub relative: f64,
}

/// Forecasts a reading under every explanation that is still likely. Explanations are numbered as
/// [`Inference::explanations`] gives them: single causes first, then pairs.
pub fn forecast(outlook: &PredictedReading, inference: &Inference, panel: &Panel) -> Vec<Forecast> {
    let null = &inference.null;
    let mut forecaster = Forecaster::new(outlook, null, panel);
    let mut all = Vec::new();
    for (index, one) in inference.weighed.iter().enumerate().filter(|(_, one)| one.probability > TOO_UNLIKELY)
    {
        let mut reads = vec![None; one.frames.len()];
        for (weight, size) in one.sizes.iter() {
            let found = forecaster.single(one, size, &mut reads);
            let of = |moments: Moments| (moments.mean, moments.variance);
            all.extend(found.map(|moments| forecaster.part(index, one.probability * weight, of(moments))));
        }
    }
    let singles = inference.weighed.len();
    for (index, pair) in
        inference.pairs.iter().enumerate().filter(|(_, pair)| pair.probability > TOO_UNLIKELY)
    {
        let (Some(first), Some(second)) =
            (inference.weighed.get(pair.first), inference.weighed.get(pair.second))
        else {
            continue;
        };
        let mut reads = vec![None; first.frames.len()];
        for (weight, size) in pair.sizes().iter() {
            let found = forecaster.double([first, second], size, &mut reads);
            let of = |moments: Moments| (moments.mean, moments.variance);
            all.extend(
                found.map(|moments| forecaster.part(singles + index, pair.probability * weight, of(moments))),
            );
        }
    }
    all
}

/// Mean and variance of the new reading under one size of an explanation, and what it grows by for each unit of the
/// amplitudes.
pub(super) struct Moments {
    pub(super) mean: f64,
    pub(super) variance: f64,
    pub(super) slopes: [f64; 2],
}

/// Forecasts one new reading under whatever explanation.
pub(super) struct Forecaster<'a> {
    base: ForecastBase,
    outlook: &'a PredictedReading,
    /// The new reading as causes see it.
    row: PatternRow,
    /// Those taken.
    null: &'a NullModel,
    /// The new reading in the plain frame, which most hypotheses share.
    plain: Option<Arc<ForecastReading>>,
}

impl<'a> Forecaster<'a> {
    pub(super) fn new(outlook: &'a PredictedReading, null: &'a NullModel, panel: &Panel) -> Self {
        let base = ForecastBase::new(outlook, null, panel);
        let row = PatternRow::new(outlook.scope, &outlook.interrupted, panel);
        Self { base, outlook, row, null, plain: None }
    }

    fn part(&self, hypothesis: usize, weight: f64, (mean, variance): (f64, f64)) -> Forecast {
        let grows = self.outlook.relative * mean;
        Forecast { hypothesis, weight, mean, variance: variance + grows * grows }
    }

    fn read(
        &mut self,
        one: &ScoredHypothesis,
        at: usize,
        reads: &mut [Option<Arc<ForecastReading>>],
    ) -> Option<Arc<ForecastReading>> {
        let frame = one.frames.get(at)?;
        let slot = if frame.spread.is_empty() { &mut self.plain } else { reads.get_mut(at)? };
        let (base, row, null) = (&self.base, &self.row, self.null);
        Some(slot.get_or_insert_with(|| Arc::new(base.read(one, frame, row, null))).clone())
    }

    fn slope(&self, one: &ScoredHypothesis, pattern: usize) -> f64 {
        let excess = one.hypothesis.patterns.get(pattern).map_or(&[][..], |pattern| &pattern.excess);
        self.row.signal(one.hypothesis.cause, excess)
    }

    pub(super) fn single(
        &mut self,
        one: &ScoredHypothesis,
        size: &Sized,
        reads: &mut [Option<Arc<ForecastReading>>],
    ) -> Option<Moments> {
        let read = self.read(one, size.frame, reads)?;
        let frame = one.frames.get(size.frame)?;
        let view = frame.gaussian.views().get(size.view)?;
        let (mean, variance) = self.base.without(view, &read);
        let Some(direction) = &frame.direction else {
            return Some(Moments { mean, variance, slopes: [0.0; 2] });
        };
        let slope = self.slope(one, size.pattern) - product(view, &read.with_read, direction);
        let (mean, variance) = (mean + slope * size.mean, variance + slope * slope * size.variance);
        Some(Moments { mean, variance, slopes: [slope, 0.0] })
    }

    pub(super) fn double(
        &mut self,
        ones: [&ScoredHypothesis; 2],
        size: &PairSize,
        reads: &mut [Option<Arc<ForecastReading>>],
    ) -> Option<Moments> {
        let [first, second] = ones;
        let read = self.read(first, size.frame, reads)?;
        let frame = first.frames.get(size.frame)?;
        let view = frame.gaussian.views().get(size.view)?;
        let (mean, variance) = self.base.without(view, &read);
        let own = frame.direction.as_ref()?;
        let s1 = self.slope(first, size.patterns[0]) - product(view, &read.with_read, own);
        // The second is a part: its direction stands in a plain frame, and what of it is needed here in the size.
        let other = second.plain_direction(size.patterns[1])?;
        let plain = read.with_read.plain_product(other);
        let at_wild = (read.with_read.at_wild(view), size.second_at_wild);
        let s2 = self.slope(second, size.patterns[1]) - view.corrected(plain, at_wild.0, at_wild.1);
        let Amplitudes { mean: [m1, m2], covariance: [v1, v2, v12], .. } = size.amplitudes;
        let spread = s1 * s1 * v1 + s2 * s2 * v2 + 2.0 * s1 * s2 * v12;
        let mean = mean + s1 * m1 + s2 * m2;
        Some(Moments { mean, variance: variance + spread, slopes: [s1, s2] })
    }
}

/// Returns aᵀΣ⁻¹b of two directions of one covariance, under an assumption about a bad reading.
fn product(view: &OutlierCase, a: &Direction, b: &Direction) -> f64 {
    view.corrected(a.plain_product(b), a.at_wild(view), b.at_wild(view))
}

struct ForecastBase {
    mean: f64,
    variance: f64,
    /// Covariance of the new reading with each one taken, without any excess.
    with_read: DVector<f64>,
}

/// The new reading beside those taken, in one frame.
pub(super) struct ForecastReading {
    with_read: Direction,
    variance: f64,
}

impl ForecastBase {
    fn new(outlook: &PredictedReading, null: &NullModel, panel: &Panel) -> Self {
        let row = panel.row(outlook.scope, &outlook.interrupted);
        let mean = row.iter().zip(&null.expected).map(|(count, expected)| count * expected).sum();
        let (with_read, variance) = null.with_each(&row, &outlook.errors);
        Self { mean, variance, with_read }
    }

    fn read(
        &self,
        one: &ScoredHypothesis,
        frame: &Frame,
        row: &PatternRow,
        null: &NullModel,
    ) -> ForecastReading {
        let cause = one.hypothesis.cause;
        let mut variance = self.variance;
        let mut shared = vec![0.0; null.rows.len()];
        for (part, sd) in &frame.spread {
            let one_part = [(*part, 1.0)];
            let here = row.signal(cause, &one_part) * sd;
            if here != 0.0 {
                variance += here * here;
                for (slot, taken) in shared.iter_mut().zip(&null.rows) {
                    *slot += here * sd * taken.signal(cause, &one_part);
                }
            }
        }
        let with_read = &self.with_read + null.along(&shared);
        ForecastReading { with_read: frame.gaussian.direction(&with_read), variance }
    }

    /// Mean and variance of the new reading before any excess is added.
    fn without(&self, view: &OutlierCase, read: &ForecastReading) -> (f64, f64) {
        let (along, square) = read.with_read.products(view);
        (self.mean + along, (read.variance - square).max(1e-12))
    }
}
