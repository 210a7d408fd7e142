//! Readings that contradict each other: a chi-square test over all of them, then the largest normalised residual, with
//! the full covariance (Narasimhan and Jordache, "Data Reconciliation and Gross Error Detection", 2000, chapter 7; the
//! measurement test in the form for correlated errors).
//! Leaves to others: the solution (`solve`), the words (`text/account`).

use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::assumptions::{ALIKE, FALSE_ALARM, NAMED_FROM};
use super::solve::Solved;
use crate::base::numeric::factors::Factored;
use crate::base::quantity::{Ampere, Unit};
use crate::instrument::uncertainty::DETECTION;
use crate::measure::observation::{Observation, Scope};

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

/// Finds the worst contradiction, if the readings contradict each other at all; of the observations, only those still `left`
/// count.
pub fn conflicts(
    solved: &Solved,
    observations: &[&Observation],
    left: &dyn Fn(usize) -> bool,
) -> Vec<Conflict> {
    let worst = contradiction(solved, observations, left);
    worst.and_then(|found| found.conflict(observations)).into_iter().collect()
}

/// Two readings that do not fit together, by their place in the list of observations.
#[derive(Debug, Clone, PartialEq)]
pub struct Contradiction {
    /// The reading to repeat.
    pub worst: usize,
    /// The one that it disagrees with most, if there is one.
    partner: Option<usize>,
    /// What it is off from the others, in ampere, and in standard deviations.
    off: f64,
    apart: f64,
    /// What was fitted to it, in ampere.
    fitted: f64,
}

impl Contradiction {
    fn conflict(&self, observations: &[&Observation]) -> Option<Conflict> {
        let observation = observations.get(self.worst)?;
        let partner = self.partner.and_then(|index| observations.get(index));
        Some(Conflict {
            entries: std::iter::once(observation.entry).chain(partner.map(|partner| partner.entry)).collect(),
            scope: observation.scope,
            read: observation.current.value(),
            // What is carried can't be less than nothing, unless it was fitted so.
            expected: (observation.current.value() - Ampere::new(self.off))
                .max(Ampere::new(self.fitted.min(0.0))),
            apart: self.apart,
        })
    }
}

/// Finds the worst contradiction among the observations still `left`.
pub fn contradiction(
    solved: &Solved,
    observations: &[&Observation],
    left: &dyn Fn(usize) -> bool,
) -> Option<Contradiction> {
    let residuals = Residuals::of(solved, observations, left)?;
    if residuals.statistic <= 0.0 || above(residuals.statistic, residuals.degrees) > FALSE_ALARM {
        return None;
    }
    let worst = residuals.worst(|index| is_confirmed(index, observations, solved, left))?;
    let found = residuals.all.iter().find(|one| one.index == worst)?;
    let (apart, off) = found.without();
    let others = residuals.all.iter().filter(|one| one.index != worst);
    let partner = others.max_by(|a, b| a.moved.total_cmp(&b.moved)).map(|one| one.index);
    (apart >= NAMED_FROM).then_some(Contradiction { worst, partner, off, apart, fitted: found.fitted })
}

/// Returns true if the same was read again and alike: then something else is off.
fn is_confirmed(
    index: usize,
    observations: &[&Observation],
    solved: &Solved,
    left: &dyn Fn(usize) -> bool,
) -> bool {
    let Some(one) = observations.get(index) else { return false };
    let mut others = solved.rows.at_place_of(index).iter().filter(|other| left(**other));
    others.any(|other| {
        observations.get(*other).is_some_and(|other| {
            let apart = other.current.minus(&one.current);
            other.entry != one.entry && apart.value().abs() <= apart.u() * DETECTION
        })
    })
}

/// What a reading is off from what was fitted to all.
struct Residual {
    index: usize,
    /// Value fitted to the reading, in ampere.
    fitted: f64,
    /// Residual over the reading's own standard deviation.
    moved: f64,
    /// Of w = Σ⁻¹ (y − A x), the residuals freed of what the readings share.
    freed: f64,
    /// Its variance.
    variance: f64,
    /// Share of the reading's variance that the others check.
    checked: f64,
}

impl Residual {
    /// Returns how far a reading is from what the others leave it, in standard deviations and in ampere.
    fn without(&self) -> (f64, f64) {
        if self.checked < CHECKED {
            return (0.0, 0.0);
        }
        (self.freed.abs() / self.variance.sqrt(), self.freed / self.variance)
    }
}

/// What the readings are off from what was fitted to them.
struct Residuals {
    all: Vec<Residual>,
    /// (y − A x)ᵀ Σ⁻¹ (y − A x).
    statistic: f64,
    /// Its expectation where nothing contradicts: as many readings as the unknowns leave over.
    degrees: f64,
}

impl Residuals {
    /// With the expectations as prior, w = G⁻¹ (y − A x₀) and cov(w) = G⁻¹, G being the covariance of the readings from
    /// their errors and the unknowns above zero together; Σ that from their errors alone.
    fn of(solved: &Solved, observations: &[&Observation], left: &dyn Fn(usize) -> bool) -> Option<Self> {
        let (rows, solution) = (solved.rows, &solved.solution);
        let errors = Factored::new(&rows.loads, &[])?.diagonal().inverse;
        let variances = solution.covariance.diagonal();
        let fitted = rows.fitted(solved);
        let of = |index: usize, observation: &Observation| {
            let (read, freed) = (*rows.read.get(index)?, *solution.freed.get(index)?);
            let (variance, weight) = (*variances.inverse.get(index)?, *errors.get(index)?);
            let fitted = *fitted.get(index)?;
            let moved = (read - fitted).abs() / observation.current.u().base();
            Some(Residual { index, fitted, moved, freed, variance, checked: variance / weight })
        };
        let standing = observations.iter().enumerate().filter(|(index, _)| left(*index));
        let all: Vec<Residual> = standing.filter_map(|(index, observation)| of(index, observation)).collect();
        Some(Self {
            statistic: solution.freed.dot(&rows.loads.without_local(&solution.freed)),
            degrees: all.len() as f64 - variances.determined,
            all,
        })
    }

    /// The reading without which the rest fits best. Where one sum alone is contradicted, all readings in it explain
    /// that alike: then the one that must move furthest for its own errors. Those that were confirmed are passed over.
    fn worst(&self, is_confirmed: impl Fn(usize) -> bool) -> Option<usize> {
        let square = |one: &Residual| one.without().0.powi(2);
        let mut sorted: Vec<&Residual> = self.all.iter().collect();
        sorted.sort_by(|a, b| square(b).total_cmp(&square(a)));
        let mut open = sorted.into_iter().filter(|one| !is_confirmed(one.index)).peekable();
        let most = square(open.peek()?);
        let alike = open.take_while(|one| square(one) > most - ALIKE);
        let furthest = alike.max_by(|a, b| a.moved.total_cmp(&b.moved).then(a.index.cmp(&b.index)));
        furthest.map(|one| one.index)
    }
}

/// Returns the probability that a chi-square value is above the statistic. The unknowns have expectations, so that the
/// degrees are no whole number and the statistic a sum of chi-squares with weights up to one: chi-square with as many
/// degrees, one at least, has the wider tail.
fn above(statistic: f64, degrees: f64) -> f64 {
    ChiSquared::new(degrees.max(1.0)).map_or(1.0, |distribution| distribution.sf(statistic))
}
