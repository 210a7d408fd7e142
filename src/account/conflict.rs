//! Readings that contradict each other: a chi-square test over all of them, then the largest normalised residual, with
//! the full covariance (Narasimhan and Jordache, "Data Reconciliation and Gross Error Detection", 2000, chapter 7; the
//! measurement test in the form for correlated errors).
//! Leaves to others: the solution (`solve`), the words (`words/account`).

use nalgebra::{DMatrix, DVector};
use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::solve::Solved;
use crate::instrument::uncertainty::DETECTION;
use crate::quantity::Ampere;
use crate::reading::claim::{Claim, Scope};

/// Probability of a false alarm of the global test. Editorial.
pub const FALSE_ALARM: f64 = 0.01;
/// Normalised residual from which a reading is named: 3 standard deviations. Editorial.
const NAMED_FROM: f64 = 3.0;
/// Readings that explain the contradiction so nearly alike are not told apart by it: 95 % point of chi-square with one
/// degree of freedom, on the fall of the statistic when one is left out.
const ALIKE: f64 = 3.841;
/// A reading of whose variance less than this share is checked by the others can't be judged by them.
const CHECKED: f64 = 1e-6;

/// Two readings that do not fit together.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// Entry numbers: the reading to repeat, and the one that it disagrees with most (if there is one).
    pub entries: Vec<usize>,
    /// What the reading to repeat is about.
    pub scope: Scope,
    /// What it read.
    pub read: Ampere,
    /// What the other readings would have it be.
    pub expected: Ampere,
    /// How far apart, in standard deviations.
    pub apart: f64,
}

/// Finds the worst contradiction, if the readings contradict each other at all.
pub fn conflicts(solved: &Solved, claims: &[&Claim]) -> Vec<Conflict> {
    let residuals = Residuals::of(solved);
    if residuals.statistic <= 0.0 || above(residuals.statistic, residuals.degrees) > FALSE_ALARM {
        return Vec::new();
    }
    let open: Vec<usize> = (0..claims.len()).filter(|index| !is_confirmed(*index, claims)).collect();
    let Some((worst, claim)) = residuals.worst(&open).and_then(|index| Some((index, claims.get(index)?)))
    else {
        return Vec::new();
    };
    let (apart, off) = residuals.without(worst);
    if apart < NAMED_FROM {
        return Vec::new();
    }
    let others = (0..claims.len()).filter(|index| *index != worst);
    let moved = |index: &usize| residuals.moved(*index);
    let partner = others.max_by(|a, b| moved(a).total_cmp(&moved(b))).and_then(|index| claims.get(index));
    vec![Conflict {
        entries: std::iter::once(claim.entry).chain(partner.map(|partner| partner.entry)).collect(),
        scope: claim.scope,
        read: claim.current.value(),
        // What is carried can't be less than nothing, unless it was fitted so.
        expected: (claim.current.value() - Ampere::new(off))
            .max(Ampere::new(residuals.fitted(worst).min(0.0))),
        apart,
    }]
}

/// Returns true if the same was read again and alike: then something else is off.
fn is_confirmed(index: usize, claims: &[&Claim]) -> bool {
    let Some(one) = claims.get(index) else { return false };
    claims.iter().any(|other| {
        let apart = other.current.minus(&one.current);
        other.entry != one.entry
            && other.scope == one.scope
            && other.interrupted == one.interrupted
            && apart.value().abs() <= apart.u() * DETECTION
    })
}

/// What the readings are off from what was fitted to them.
struct Residuals {
    /// Values fitted to the readings, in ampere.
    fitted: DVector<f64>,
    /// Residual of each reading over its own standard deviation.
    moved: DVector<f64>,
    /// w = Σ⁻¹ (y − A x), the residuals freed of what the readings share.
    freed: DVector<f64>,
    /// Variance of each of w.
    variance: DVector<f64>,
    /// Share of each reading's variance that the others check.
    checked: DVector<f64>,
    /// (y − A x)ᵀ Σ⁻¹ (y − A x).
    statistic: f64,
    /// Its expectation where nothing contradicts: as many readings as the unknowns leave over.
    degrees: f64,
}

impl Residuals {
    /// With the expectations as prior, cov(w) = Σ⁻¹ − Σ⁻¹ A C Aᵀ Σ⁻¹, C being the covariance of the unknowns.
    fn of(solved: &Solved) -> Self {
        let rows = &solved.rows;
        let fitted = &rows.coefficients * &solved.x;
        let residual = &rows.read - &fitted;
        let freed = &solved.weight * &residual;
        let carried = &solved.weight * &rows.coefficients;
        let covariance: DMatrix<f64> = &solved.weight - &carried * &solved.bounded * carried.transpose();
        let variance = covariance.diagonal();
        let own = rows.covariance.diagonal();
        Self {
            fitted,
            moved: residual.zip_map(&own, |residual, variance| residual.abs() / variance.sqrt()),
            checked: variance.component_div(&solved.weight.diagonal()),
            statistic: residual.dot(&freed),
            degrees: (&covariance * &rows.covariance).trace(),
            freed,
            variance,
        }
    }

    /// Returns how far a reading is from what the others leave it, in standard deviations and in ampere.
    fn without(&self, index: usize) -> (f64, f64) {
        let of = |vector: &DVector<f64>| vector.get(index).copied().unwrap_or(0.0);
        if of(&self.checked) < CHECKED {
            return (0.0, 0.0);
        }
        (of(&self.freed).abs() / of(&self.variance).sqrt(), of(&self.freed) / of(&self.variance))
    }

    fn fitted(&self, index: usize) -> f64 {
        self.fitted.get(index).copied().unwrap_or(0.0)
    }

    fn moved(&self, index: usize) -> f64 {
        self.moved.get(index).copied().unwrap_or(0.0)
    }

    /// The reading without which the rest fits best. Where one sum alone is contradicted, all readings in it explain
    /// that alike: then the one that must move furthest for its own errors.
    fn worst(&self, open: &[usize]) -> Option<usize> {
        let square = |index: usize| self.without(index).0.powi(2);
        let most = open.iter().copied().map(square).fold(0.0, f64::max);
        let alike = open.iter().copied().filter(|index| square(*index) > most - ALIKE);
        alike.max_by(|a, b| self.moved(*a).total_cmp(&self.moved(*b)))
    }
}

/// Returns the probability that a chi-square value is above the statistic. The unknowns have expectations, so that the
/// degrees are no whole number and the statistic a sum of chi-squares with weights up to one: chi-square with as many
/// degrees, one at least, has the wider tail.
fn above(statistic: f64, degrees: f64) -> f64 {
    ChiSquared::new(degrees.max(1.0)).map_or(1.0, |distribution| distribution.sf(statistic))
}
