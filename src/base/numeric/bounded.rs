//! Least squares with expectations before it and lower bounds of zero on some unknowns, by its dual: with the unknowns
//! above their bound known, the readings are a normal vector, and its solution says which unknowns those are. A Newton
//! method on a convex, piecewise quadratic function, so that it ends after finitely many steps.
//! No maintained crate offers it. Leaves to others: making the equations.
//!
//! # Source
//! Qi and Sun 1993 (Newton's method where the slope has kinks), with the step rule of Armijo 1966.

use std::sync::Arc;

use nalgebra::DVector;

use super::factors::Factored;
use super::loads::{Alike, Loads};

/// Steps before it gives up; it needs about five.
const MOST_STEPS: usize = 200;
/// Halvings of a step that goes too far.
const MOST_HALVINGS: usize = 40;
/// Share of the fall that the slope foretells that a step must reach (Armijo 1966).
const ENOUGH: f64 = 1e-4;
/// A step below this share of the solution is rounding.
const NO_STEP: f64 = 1e-13;

/// Readings y = A x + errors, with expectations of the unknowns.
#[derive(Debug, Clone, Copy)]
pub struct BoundedProblem<'a> {
    /// Errors of the readings, and how each place loads the unknowns that count alike.
    pub loads: &'a Arc<Loads>,
    /// The place of each reading.
    pub places: &'a [usize],
    /// Which unknowns count alike.
    pub alike: &'a Alike,
    /// What was read.
    pub read: &'a DVector<f64>,
    /// Expected values of the unknowns.
    pub expected: &'a [f64],
    /// Variances of the expected values.
    pub variances: &'a [f64],
    /// True for unknowns that may be negative.
    pub free: &'a [bool],
}

/// Solution of a bounded least-squares problem.
#[derive(Debug, Clone)]
pub struct Solution {
    /// The unknowns.
    pub x: Vec<f64>,
    /// For each unknown: true if it stands above its bound of zero, or has none.
    pub passive: Vec<bool>,
    /// w = G⁻¹(y − A x₀), the residuals freed of what the readings share; Σ w with the errors' Σ is y − A x.
    pub freed: DVector<f64>,
    /// Covariance G of the readings, from their errors and the unknowns that are not at their bound.
    pub covariance: Factored,
}

impl BoundedProblem<'_> {
    /// Solves it, beginning with these unknowns above their bound. Returns `None` if a covariance is not positive
    /// definite or the steps run out.
    pub fn minimise(&self, begin: &[bool]) -> Option<Solution> {
        let mut passive = begin.to_vec();
        let mut at: Option<DVector<f64>> = None;
        for _ in 0..MOST_STEPS {
            let covariance = self.covariance(&passive)?;
            let newton = covariance.solve(&self.without_expected(&passive));
            let x = self.unknowns(&newton);
            let found = self.passive(&x);
            let moved = at.as_ref().map_or(f64::INFINITY, |at| (&newton - at).amax());
            if found == passive || moved <= NO_STEP * newton.amax() {
                let x = x.iter().zip(&passive).map(|(x, passive)| if *passive { *x } else { 0.0 }).collect();
                return Some(Solution { x, passive, freed: newton, covariance });
            }
            let next = match at {
                Some(at) => self.downhill(&at, newton),
                None => newton,
            };
            passive = self.passive(&self.unknowns(&next));
            at = Some(next);
        }
        None
    }

    /// Covariance of the readings with these unknowns as their expectations spread, and the others at zero.
    pub fn covariance(&self, passive: &[bool]) -> Option<Factored> {
        let variances = self.variances.iter().zip(passive);
        let variances = variances.map(|(variance, passive)| if *passive { *variance } else { 0.0 });
        Factored::new(self.loads, &self.alike.deviations(variances))
    }

    /// What was read, less what is expected of these unknowns.
    fn without_expected(&self, passive: &[bool]) -> DVector<f64> {
        let x = self.expected.iter().zip(passive);
        let x: Vec<f64> = x.map(|(x, passive)| if *passive { *x } else { 0.0 }).collect();
        self.read - self.fitted(&x)
    }

    /// Returns A x.
    pub fn fitted(&self, x: &[f64]) -> DVector<f64> {
        let sums = self.alike.sums(x.iter().copied());
        let by_place: Vec<f64> = self.alike.rows.iter().map(|row| along(row, &sums)).collect();
        let each = self.places.iter().map(|place| by_place.get(*place).copied().unwrap_or(0.0));
        DVector::from_iterator(self.places.len(), each)
    }

    /// Returns x₀ + V Aᵀ w: the unknowns without their bounds.
    fn unknowns(&self, w: &DVector<f64>) -> Vec<f64> {
        let slopes = self.slopes(w);
        let each = self.expected.iter().zip(self.variances).zip(slopes);
        each.map(|((expected, variance), slope)| expected + variance * slope).collect()
    }

    /// Returns Aᵀ w.
    fn slopes(&self, w: &DVector<f64>) -> Vec<f64> {
        let mut by_place = vec![0.0; self.alike.rows.len()];
        for (place, size) in self.places.iter().zip(w) {
            if let Some(sum) = by_place.get_mut(*place) {
                *sum += size;
            }
        }
        let mut sums = vec![0.0; self.alike.count];
        for (row, size) in self.alike.rows.iter().zip(by_place) {
            for (at, count) in row {
                if let Some(sum) = sums.get_mut(*at) {
                    *sum += count * size;
                }
            }
        }
        let slope = |of: &Option<usize>| of.and_then(|at| sums.get(at)).copied().unwrap_or(0.0);
        self.alike.of.iter().map(slope).collect()
    }

    fn passive(&self, x: &[f64]) -> Vec<bool> {
        x.iter().zip(self.free).map(|(x, free)| *free || *x > 0.0).collect()
    }

    /// The dual: ½ wᵀΣw + Σ ½ x(w)²/v over the unknowns above their bound − yᵀw, with its gradient Σw + A x(w) − y.
    fn dual(&self, w: &DVector<f64>) -> (f64, DVector<f64>) {
        let with_errors = self.loads.without_local(w);
        let mut x = self.unknowns(w);
        for (x, free) in x.iter_mut().zip(self.free) {
            *x = if *free { *x } else { x.max(0.0) };
        }
        let each = x.iter().zip(self.variances).filter(|(_, variance)| **variance > 0.0);
        let spread: f64 = each.map(|(x, variance)| 0.5 * x * x / variance).sum();
        let value = 0.5 * w.dot(&with_errors) + spread - self.read.dot(w);
        (value, with_errors + self.fitted(&x) - self.read)
    }

    /// Goes towards the Newton point as far as the dual falls enough.
    fn downhill(&self, at: &DVector<f64>, newton: DVector<f64>) -> DVector<f64> {
        let (value, gradient) = self.dual(at);
        let step = &newton - at;
        let slope = gradient.dot(&step);
        let mut share = 1.0;
        for _ in 0..MOST_HALVINGS {
            let next = at + &step * share;
            if self.dual(&next).0 <= value + ENOUGH * share * slope {
                return next;
            }
            share *= 0.5;
        }
        newton
    }
}

fn along(row: &[(usize, f64)], values: &[f64]) -> f64 {
    row.iter().map(|(at, count)| count * values.get(*at).copied().unwrap_or(0.0)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::numeric::loads::Component;
    use proptest::prelude::*;

    /// Solves y = A x + errors of one each, rows of A one after the other.
    fn solve(a: &[f64], y: &[f64], expected: &[f64], free: &[bool]) -> (Vec<f64>, Vec<f64>) {
        let n = expected.len();
        let row = |at: usize| (0..n).map(|column| (column, a[at * n + column])).collect();
        let rows: Vec<_> = (0..y.len()).map(row).collect();
        let alike = Alike::new(&rows, n);
        let component = |place| Component { own: 1.0, place, common: vec![(0, 0.1)] };
        let loads = Loads::new((0..y.len()).map(component).collect(), &alike.rows, alike.count, 1);
        let (read, variances) = (DVector::from_row_slice(y), vec![20.0; n]);
        let places: Vec<usize> = (0..y.len()).collect();
        let problem = BoundedProblem {
            loads: &Arc::new(loads.expect("errors")),
            places: &places,
            alike: &alike,
            read: &read,
            expected,
            variances: &variances,
            free,
        };
        let found = problem.minimise(&vec![true; n]).expect("solved");
        // Aᵀ Σ⁻¹ (y − A x) − V⁻¹ (x − x₀): how steeply the density rises with each unknown, times the variance.
        let slopes = problem.slopes(&found.freed);
        let rises = found.x.iter().zip(expected).zip(slopes);
        (found.x.clone(), rises.map(|((x, expected), slope)| 20.0 * slope - (x - expected)).collect())
    }

    #[test]
    fn a_free_unknown_may_be_negative_and_a_bound_one_may_not() {
        let (x, _) = solve(&[1.0, 0.0, 0.0, 1.0], &[-3.0, -4.0], &[0.0, 0.0], &[true, false]);
        assert!(x[0] < -2.5 && x[1] == 0.0, "{x:?}");
    }

    proptest! {
        /// The conditions of Karush, Kuhn and Tucker are necessary and sufficient for the minimum.
        #[test]
        fn the_solution_meets_the_optimality_conditions(
            a in proptest::collection::vec(-1.0_f64..1.0, 64),
            y in proptest::collection::vec(-5.0_f64..5.0, 8),
            expected in proptest::collection::vec(-2.0_f64..2.0, 8),
            free in proptest::collection::vec(any::<bool>(), 8),
        ) {
            let (x, rises) = solve(&a, &y, &expected, &free);
            for at in 0..8 {
                if free[at] || x[at] > 0.0 {
                    prop_assert!(rises[at].abs() < 1e-8, "{} {}", at, rises[at]);
                } else {
                    prop_assert!(x[at] == 0.0 && rises[at] < 1e-8, "{} {}", at, rises[at]);
                }
            }
        }
    }
}
