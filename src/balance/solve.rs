//! Solves the equations of the balance.
//! Leaves to others: the equations (`rows`), contradictions (`conflict`), what it comes to by feed (`summed`).

use super::rows::Rows;
use crate::base::numeric::bounded::{BoundedProblem, Solution};
use crate::base::quantity::Ampere;
use crate::measure::observation::Observation;

/// A solved set of equations.
#[derive(Debug, Clone)]
pub struct Solved<'a> {
    /// The equations.
    pub rows: &'a Rows,
    /// Currents of the unknowns, in ampere, and what goes with them.
    pub solution: Solution,
    /// Variances of the expected values, in ampere squared.
    pub variances: Vec<f64>,
}

impl Rows {
    /// Solves the equations, with this as the largest reading, beginning with these unknowns above zero. Returns `None`
    /// only if the covariance of the readings is singular, which the last digit in each prevents.
    pub fn solve(&self, largest: Ampere, begin: &[bool]) -> Option<Solved<'_>> {
        let variances = self.variances(largest);
        let solution = self.problem(&variances).minimise(begin)?;
        Some(Solved { rows: self, solution, variances })
    }

    pub(super) fn problem<'a>(&'a self, variances: &'a [f64]) -> BoundedProblem<'a> {
        BoundedProblem {
            loads: &self.loads,
            places: &self.places.of,
            alike: &self.alike,
            read: &self.read,
            expected: &self.expected,
            variances,
            free: &self.free,
        }
    }

    /// Returns A x for the solution: what the readings should have been.
    pub fn fitted(&self, solved: &Solved) -> Vec<f64> {
        self.problem(&solved.variances).fitted(&solved.solution.x).iter().copied().collect()
    }

    /// Every unknown above zero: where the search for the solution begins.
    pub fn all(&self) -> Vec<bool> {
        vec![true; self.unknowns.len()]
    }
}

/// Returns the largest of some currents, either way.
pub fn largest<'a>(observations: impl IntoIterator<Item = &'a Observation>) -> Ampere {
    observations
        .into_iter()
        .map(|observation| observation.current.value().abs())
        .fold(Ampere::ZERO, Ampere::max)
}
