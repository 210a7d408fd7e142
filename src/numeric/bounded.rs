//! Least squares with lower bounds of zero on some unknowns: the active-set method of Lawson and Hanson, "Solving
//! Least Squares Problems" (1974), chapter 23, on the normal equations, with unknowns that may also be free.
//! No maintained crate offers it with free unknowns. Leaves to others: making the equations.

use nalgebra::{Cholesky, DMatrix, DVector};

/// Rounds of the active-set method per unknown before it gives up; it needs about one.
const ROUNDS_PER_UNKNOWN: usize = 10;

/// Solution of a bounded least-squares problem.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// The unknowns.
    pub x: DVector<f64>,
    /// For each unknown: true if it stands at its bound of zero.
    pub at_bound: Vec<bool>,
    /// Covariance of the unknowns that are not at their bound, the others taken as exactly zero.
    pub covariance: DMatrix<f64>,
}

/// Minimises ½ xᵀ H x − gᵀ x with x_i ≥ 0 for every i that is not `free`. `h` must be symmetric and positive
/// definite.
///
/// Returns `None` if it is not, or if the rounds run out.
pub fn minimise(h: &DMatrix<f64>, g: &DVector<f64>, free: &[bool]) -> Option<Solution> {
    let n = g.len();
    let is_free = |i: usize| free.get(i).copied().unwrap_or(false);
    let mut passive: Vec<usize> = (0..n).filter(|i| is_free(*i)).collect();
    let mut x = DVector::zeros(n);
    if !passive.is_empty() {
        scatter(&mut x, &passive, &solve(h, g, &passive)?);
    }
    let tolerance = 1e-10 * (1.0 + g.amax());
    for _ in 0..ROUNDS_PER_UNKNOWN * (n + 1) {
        let downhill = g - h * &x;
        let candidate = (0..n)
            .filter(|i| !passive.contains(i))
            .filter_map(|i| downhill.get(i).map(|slope| (i, *slope)))
            .filter(|(_, slope)| *slope > tolerance)
            .max_by(|a, b| a.1.total_cmp(&b.1));
        let Some((entering, _)) = candidate else {
            return finish(h, x, &passive);
        };
        passive.push(entering);
        settle(h, g, &mut x, &mut passive, &is_free)?;
    }
    None
}

/// Moves towards the unbounded solution of the passive set; whatever hits its bound on the way leaves the set.
fn settle(
    h: &DMatrix<f64>,
    g: &DVector<f64>,
    x: &mut DVector<f64>,
    passive: &mut Vec<usize>,
    is_free: &impl Fn(usize) -> bool,
) -> Option<()> {
    loop {
        let wanted = solve(h, g, passive)?;
        let steps = passive.iter().zip(wanted.iter()).filter(|(i, to)| !is_free(**i) && **to <= 0.0);
        let share =
            steps.filter_map(|(i, to)| x.get(*i).map(|from| from / (from - to))).min_by(f64::total_cmp);
        let Some(share) = share else {
            scatter(x, passive, &wanted);
            return Some(());
        };
        for (i, to) in passive.iter().zip(wanted.iter()) {
            if let Some(from) = x.get_mut(*i) {
                *from += share.clamp(0.0, 1.0) * (to - *from);
            }
        }
        let scale = x.amax().max(1e-30);
        let stays = |i: &usize| is_free(*i) || x.get(*i).is_some_and(|value| *value > 1e-14 * scale);
        let kept: Vec<usize> = passive.iter().copied().filter(stays).collect();
        for i in passive.iter().filter(|i| !kept.contains(i)) {
            if let Some(value) = x.get_mut(*i) {
                *value = 0.0;
            }
        }
        if kept.len() == passive.len() {
            // Rounding kept everything in: nothing left to move.
            return Some(());
        }
        *passive = kept;
        if passive.is_empty() {
            return Some(());
        }
    }
}

fn part(h: &DMatrix<f64>, rows: &[usize]) -> DMatrix<f64> {
    DMatrix::from_fn(rows.len(), rows.len(), |r, c| {
        let at = rows.get(r).zip(rows.get(c));
        at.and_then(|(r, c)| h.get((*r, *c))).copied().unwrap_or(0.0)
    })
}

fn solve(h: &DMatrix<f64>, g: &DVector<f64>, rows: &[usize]) -> Option<DVector<f64>> {
    let right = DVector::from_iterator(rows.len(), rows.iter().map(|i| g.get(*i).copied().unwrap_or(0.0)));
    Some(Cholesky::new(part(h, rows))?.solve(&right))
}

fn scatter(x: &mut DVector<f64>, rows: &[usize], values: &DVector<f64>) {
    for (i, value) in rows.iter().zip(values.iter()) {
        if let Some(slot) = x.get_mut(*i) {
            *slot = *value;
        }
    }
}

fn finish(h: &DMatrix<f64>, x: DVector<f64>, passive: &[usize]) -> Option<Solution> {
    let n = x.len();
    let inverse = Cholesky::new(part(h, passive))?.inverse();
    let mut covariance = DMatrix::zeros(n, n);
    for (r, row) in passive.iter().enumerate() {
        for (c, column) in passive.iter().enumerate() {
            if let (Some(slot), Some(value)) = (covariance.get_mut((*row, *column)), inverse.get((r, c))) {
                *slot = *value;
            }
        }
    }
    let at_bound = (0..n).map(|i| !passive.contains(&i)).collect();
    Some(Solution { x, at_bound, covariance })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_free_unknown_may_be_negative_and_a_bound_one_may_not() {
        let h = DMatrix::identity(2, 2);
        let g = DVector::from_vec(vec![-3.0, -4.0]);
        let solution = minimise(&h, &g, &[true, false]).expect("positive definite");
        assert_eq!(solution.x.as_slice(), &[-3.0, 0.0]);
        assert_eq!(solution.at_bound, vec![false, true]);
    }

    proptest! {
        /// The conditions of Karush, Kuhn and Tucker are necessary and sufficient for the minimum.
        #[test]
        fn the_solution_meets_the_optimality_conditions(
            a in proptest::collection::vec(-1.0_f64..1.0, 64),
            b in proptest::collection::vec(-5.0_f64..5.0, 8),
            free in proptest::collection::vec(any::<bool>(), 8),
        ) {
            let a = DMatrix::from_vec(8, 8, a);
            let h = a.transpose() * &a + DMatrix::identity(8, 8) * 0.05;
            let g = DVector::from_vec(b);
            let solution = minimise(&h, &g, &free).expect("positive definite");
            let slope = &h * &solution.x - &g;
            for i in 0..8 {
                if free[i] {
                    prop_assert!(slope[i].abs() < 1e-7);
                } else {
                    prop_assert!(solution.x[i] >= 0.0);
                    prop_assert!(slope[i] > -1e-7);
                    prop_assert!((slope[i] * solution.x[i]).abs() < 1e-6);
                }
            }
        }
    }
}
