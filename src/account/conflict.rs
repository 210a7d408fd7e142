//! Readings that contradict each other: a chi-square test over all of them, then the largest normalised residual
//! (Narasimhan and Jordache, "Data Reconciliation and Gross Error Detection", 2000, chapter 7).
//! Leaves to others: the solution (`solve`), the words (`words/account`).

use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::solve::Solved;
use crate::quantity::Ampere;
use crate::reading::claim::{Claim, Scope};

/// Probability of a false alarm of the global test. Editorial.
const FALSE_ALARM: f64 = 0.01;
/// Normalised residual from which a reading is named: 3 standard deviations. Editorial.
const NAMED_FROM: f64 = 3.0;

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
    let rows = &solved.rows;
    let residual = &rows.read - &rows.coefficients * &solved.x;
    let statistic = (residual.transpose() * &solved.weight * &residual).sum();
    if statistic <= 0.0 || above(statistic, claims.len()) > FALSE_ALARM {
        return Vec::new();
    }
    let size = |index: usize| {
        let variance = rows.covariance.get((index, index)).copied().unwrap_or(f64::INFINITY);
        residual.get(index).copied().unwrap_or(0.0) / variance.sqrt()
    };
    let worst = (0..claims.len()).max_by(|a, b| size(*a).abs().total_cmp(&size(*b).abs()));
    let Some((worst, claim)) = worst.and_then(|index| Some((index, claims.get(index)?))) else {
        return Vec::new();
    };
    if size(worst).abs() < NAMED_FROM {
        return Vec::new();
    }
    let others = (0..claims.len()).filter(|index| *index != worst);
    let partner =
        others.max_by(|a, b| size(*a).abs().total_cmp(&size(*b).abs())).and_then(|index| claims.get(index));
    let fitted = (rows.coefficients.row(worst) * &solved.x).sum();
    vec![Conflict {
        entries: std::iter::once(claim.entry).chain(partner.map(|partner| partner.entry)).collect(),
        scope: claim.scope,
        read: claim.current.value(),
        expected: Ampere::new(fitted),
        apart: size(worst).abs(),
    }]
}

/// Returns the probability that a chi-square value with this many degrees of freedom is above the statistic.
/// One degree for each reading is the most there can be, so the test is on the safe side.
fn above(statistic: f64, degrees: usize) -> f64 {
    ChiSquared::new(degrees.max(1) as f64).map_or(1.0, |distribution| distribution.sf(statistic))
}
