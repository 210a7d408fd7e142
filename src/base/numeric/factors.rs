//! A normal vector whose covariance is a diagonal and some factors, Σ = Ψ + ΛΛᵀ, solved in a time that grows linearly
//! with its components. Local factors each load few places, common ones any component. The equations are those of the
//! mixed model, with the factors as unknowns: blocks of local factors first, what all share last.
//! Leaves to others: how the loads follow from places (`loads`), what the vector is.
//!
//! # Source
//! Lawley and Maxwell 1971 (factor model); Henderson 1975 (mixed model equations); Woodbury 1950; Vanderbei 1995 (signs
//! in a symmetric quasi-definite system, for places that load many factors).

use std::sync::Arc;

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use super::loads::Loads;
use super::sparse::{Sparse, add, along, bilinear, value};

/// A covariance made ready.
#[derive(Debug, Clone)]
pub struct Factored {
    loads: Arc<Loads>,
    /// Standard deviations of the local factors, in the order of the blocks.
    sd: Vec<f64>,
    /// Of each block of local factors: Cholesky factor of X = I + Σ λλᵀ/ψ over its components.
    blocks: Vec<Cholesky<f64, Dyn>>,
    /// L⁻¹P, block by block: P couples the local factors with the core, first common factors, then wide places.
    coupling: DMatrix<f64>,
    /// Inverse of what is left of the core once the local factors are eliminated.
    core: DMatrix<f64>,
    ln_determinant: f64,
}

/// The diagonal of Σ⁻¹, with what the vector leaves open of the local factors.
#[derive(Debug, Clone)]
pub struct Diagonal {
    /// Diagonal of Σ⁻¹, by component.
    pub inverse: Vec<f64>,
    /// Σ over the local factors of the share of their variance that the vector determines.
    pub determined: f64,
}

impl Factored {
    /// Prepares the covariance with these standard deviations of the local factors. Returns `None` if it is not
    /// positive definite.
    pub fn new(loads: &Arc<Loads>, deviations: &[f64]) -> Option<Self> {
        let sd = loads.in_order(deviations);
        let size = loads.core();
        let mut coupling = DMatrix::zeros(sd.len(), size);
        let mut core = DMatrix::zeros(size, size);
        core.view_mut((0, 0), (loads.common(), loads.common())).fill_with_identity();
        let mut blocks: Vec<DMatrix<f64>> =
            loads.blocks().iter().map(|block| DMatrix::identity(block.len(), block.len())).collect();
        for component in loads.narrow() {
            let local = scaled(component.row, &sd);
            add_outer(&mut core, component.shared, component.shared, component.precision);
            add_outer(&mut coupling, &local, component.shared, component.precision);
            if let Some((block, start)) = component.block {
                let own: Sparse = local.iter().map(|(at, load)| (at - start, *load)).collect();
                add_outer(blocks.get_mut(block)?, &own, &own, component.precision);
            }
        }
        for wide in loads.wide() {
            for (at, load) in scaled(&wide.row, &sd) {
                *coupling.get_mut((at, wide.core))? = load;
            }
            for ((row, column), value) in wide.core_entries() {
                *core.get_mut((row, column))? += value;
            }
        }
        Self::eliminated(loads, sd, blocks, coupling, core)
    }

    fn eliminated(
        loads: &Arc<Loads>,
        sd: Vec<f64>,
        blocks: Vec<DMatrix<f64>>,
        mut coupling: DMatrix<f64>,
        mut core: DMatrix<f64>,
    ) -> Option<Self> {
        let mut ready = Vec::with_capacity(blocks.len());
        let mut ln_determinant = loads.ln_own();
        for (block, range) in blocks.into_iter().zip(loads.blocks()) {
            let factor = Cholesky::new(block)?;
            factor.l_dirty().solve_lower_triangular_mut(&mut coupling.rows_mut(range.start, range.len()));
            ln_determinant += ln_determinant_of(&factor);
            ready.push(factor);
        }
        core.gemm_tr(-1.0, &coupling, &coupling, 1.0);
        let (core, ln_core) = quasi_definite_inverse(&core, loads.common())?;
        let loads = Arc::clone(loads);
        Some(Self { loads, sd, blocks: ready, coupling, core, ln_determinant: ln_determinant + ln_core })
    }

    /// Returns ln det Σ.
    pub fn ln_determinant(&self) -> f64 {
        self.ln_determinant
    }

    /// Returns Σ⁻¹ d.
    pub fn solve(&self, d: &DVector<f64>) -> DVector<f64> {
        let mut local = DVector::zeros(self.sd.len());
        let mut core = DVector::zeros(self.core.nrows());
        let sized = |at: &usize| self.sd.get(*at).copied().unwrap_or(0.0);
        for component in self.loads.narrow() {
            let weighted = component.precision * value(d, component.index);
            if weighted != 0.0 {
                component.row.iter().for_each(|(at, load)| add(&mut local, *at, weighted * load * sized(at)));
                component.shared.iter().for_each(|(at, load)| add(&mut core, *at, weighted * load));
            }
        }
        self.loads.gather_wide(d, &mut core);
        for (factor, range) in self.blocks.iter().zip(self.loads.blocks()) {
            factor.l_dirty().solve_lower_triangular_mut(&mut local.rows_mut(range.start, range.len()));
        }
        core.gemv_tr(-1.0, &self.coupling, &local, 1.0);
        let core = &self.core * core;
        local.gemv(-1.0, &self.coupling, &core, 1.0);
        for (factor, range) in self.blocks.iter().zip(self.loads.blocks()) {
            factor.l_dirty().tr_solve_lower_triangular_mut(&mut local.rows_mut(range.start, range.len()));
        }
        let mut solved = DVector::zeros(d.len());
        for component in self.loads.narrow() {
            let own: f64 = component.row.iter().map(|(at, load)| load * sized(at) * value(&local, *at)).sum();
            let left = value(d, component.index) - own - along(component.shared, &core);
            add(&mut solved, component.index, component.precision * left);
        }
        self.loads.spread_wide(d, &core, &mut solved);
        solved
    }

    /// Returns what the vector leaves of the variance of a sum of local factors, given the share of each in it (in units
    /// of the factor).
    pub fn variance_left(&self, shares: &[f64]) -> f64 {
        let ordered = self.loads.in_order(shares);
        let sized = ordered.iter().zip(&self.sd).map(|(share, sd)| share * sd);
        let mut local = DVector::from_iterator(self.sd.len(), sized);
        for (factor, range) in self.blocks.iter().zip(self.loads.blocks()) {
            factor.l_dirty().solve_lower_triangular_mut(&mut local.rows_mut(range.start, range.len()));
        }
        let core = self.coupling.tr_mul(&local);
        local.norm_squared() + core.dot(&(&self.core * &core))
    }

    /// Returns the diagonal of Σ⁻¹ (the elements of the inverse that are needed, as Takahashi, Fagan and Chin 1973).
    pub fn diagonal(&self) -> Diagonal {
        // −L⁻ᵀL⁻¹P: how the local factors follow the core.
        let mut follow = -&self.coupling;
        let mut own = Vec::with_capacity(self.blocks.len());
        for (factor, range) in self.blocks.iter().zip(self.loads.blocks()) {
            factor.l_dirty().tr_solve_lower_triangular_mut(&mut follow.rows_mut(range.start, range.len()));
            own.push(factor.inverse());
        }
        let with_core = &follow * &self.core;
        let mut determined = 0.0;
        for (inverse, range) in own.iter_mut().zip(self.loads.blocks()) {
            let (here, there) =
                (with_core.rows(range.start, range.len()), follow.rows(range.start, range.len()));
            *inverse += here * there.transpose();
            determined += inverse.diagonal().iter().map(|left| 1.0 - left).sum::<f64>();
        }
        let mut inverse = vec![0.0; self.loads.len()];
        for component in self.loads.narrow() {
            let local = scaled(component.row, &self.sd);
            let mut explained = bilinear(&self.core, component.shared, component.shared)
                + 2.0 * bilinear(&with_core, &local, component.shared);
            if let Some((block, start)) = component.block {
                let shifted: Sparse = local.iter().map(|(at, load)| (at - start, *load)).collect();
                explained += own.get(block).map_or(0.0, |own| bilinear(own, &shifted, &shifted));
            }
            let p = component.precision;
            if let Some(slot) = inverse.get_mut(component.index) {
                *slot = p - p * p * explained;
            }
        }
        self.loads.diagonal_of_wide(&self.core, &mut inverse);
        Diagonal { inverse, determined }
    }
}

/// Inverse of [A B; Bᵀ −C] with A and C positive definite, A of so many rows, and ln |det|.
fn quasi_definite_inverse(matrix: &DMatrix<f64>, rows: usize) -> Option<(DMatrix<f64>, f64)> {
    let rest = matrix.nrows() - rows;
    let first = Cholesky::new(matrix.view((0, 0), (rows, rows)).into_owned())?;
    let across = first.solve(&matrix.view((0, rows), (rows, rest)).into_owned());
    // The complement of A is negative definite: its negative is factored.
    let complement = matrix.view((rows, 0), (rest, rows)) * &across - matrix.view((rows, rows), (rest, rest));
    let second = Cholesky::new(complement)?;
    let lower = second.inverse();
    let moved = &across * &lower;
    let mut inverse = DMatrix::zeros(matrix.nrows(), matrix.nrows());
    inverse.view_mut((0, 0), (rows, rows)).copy_from(&(first.inverse() - &moved * across.transpose()));
    inverse.view_mut((0, rows), (rows, rest)).copy_from(&moved);
    inverse.view_mut((rows, 0), (rest, rows)).copy_from(&moved.transpose());
    inverse.view_mut((rows, rows), (rest, rest)).copy_from(&-lower);
    Some((inverse, ln_determinant_of(&first) + ln_determinant_of(&second)))
}

fn ln_determinant_of(factor: &Cholesky<f64, Dyn>) -> f64 {
    2.0 * factor.l_dirty().diagonal().iter().map(|d| d.ln()).sum::<f64>()
}

fn scaled(row: &[(usize, f64)], sd: &[f64]) -> Sparse {
    row.iter().map(|(at, load)| (*at, load * sd.get(*at).copied().unwrap_or(0.0))).collect()
}

fn add_outer(matrix: &mut DMatrix<f64>, a: &[(usize, f64)], b: &[(usize, f64)], factor: f64) {
    for (row, x) in a {
        for (column, y) in b {
            if let Some(slot) = matrix.get_mut((*row, *column)) {
                *slot += factor * x * y;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::numeric::loads::{Alike, Component};
    use proptest::prelude::*;

    /// The same covariance written out.
    fn dense(components: &[Component], rows: &[Sparse], sd: &[f64], common: usize) -> DMatrix<f64> {
        let n = components.len();
        let mut covariance: DMatrix<f64> = DMatrix::zeros(n, n);
        let mut loads: DMatrix<f64> = DMatrix::zeros(n, sd.len() + common);
        for (at, component) in components.iter().enumerate() {
            covariance[(at, at)] = component.own;
            rows[component.place].iter().for_each(|(local, load)| loads[(at, *local)] += load * sd[*local]);
            component.common.iter().for_each(|(shared, load)| loads[(at, sd.len() + shared)] += load);
        }
        covariance + &loads * loads.transpose()
    }

    proptest! {
        /// Against the covariance written out and inverted: places of one factor, of few and of many, several components
        /// at a place, one of them left out.
        #[test]
        fn a_factored_covariance_is_the_same_as_one_written_out(
            own in proptest::collection::vec(0.1_f64..2.0, 14),
            places in proptest::collection::vec(0_usize..7, 14),
            loads in proptest::collection::vec(-2.0_f64..2.0, 28),
            sd in proptest::collection::vec(0.0_f64..3.0, 8),
            d in proptest::collection::vec(-3.0_f64..3.0, 14),
            left_out in 0_usize..14,
        ) {
            let row = |factors: &[usize]| factors.iter().map(|at| (*at, 1.0 - 0.1 * *at as f64)).collect();
            let rows: Vec<Sparse> =
                [&[0][..], &[1], &[1, 2], &[], &[0, 1, 2, 3, 4], &[3, 4, 5, 6, 7], &[7]].map(row).to_vec();
            let component = |at: usize| Component {
                own: own[at],
                place: places[at],
                common: vec![(0, loads[at]), (1 + at % 2, loads[14 + at])],
            };
            let components: Vec<Component> = (0..14).map(component).collect();
            let mut made = Loads::new(components.clone(), &rows, 8, 3).expect("errors");
            for left_out in [None, Some(left_out)] {
                left_out.into_iter().for_each(|at| made.leave_out(at));
                let factored = Factored::new(&Arc::new(made.clone()), &sd).expect("positive definite");
                let stays: Vec<usize> = (0..14).filter(|at| Some(*at) != left_out).collect();
                let kept: Vec<Component> = stays.iter().map(|at| components[*at].clone()).collect();
                let written = dense(&kept, &rows, &sd, 3);
                let inverse = written.clone().try_inverse().expect("positive definite");
                let right = DVector::from_iterator(stays.len(), stays.iter().map(|at| d[*at]));
                let solved = factored.solve(&DVector::from_row_slice(&d));
                let (expected, diagonal) = (&inverse * &right, factored.diagonal());
                for (number, at) in stays.iter().enumerate() {
                    prop_assert!((solved[*at] - expected[number]).abs() < 1e-9);
                    prop_assert!((diagonal.inverse[*at] - inverse[(number, number)]).abs() < 1e-9);
                }
                if left_out.is_none() {
                    let determinant = written.determinant().ln();
                    prop_assert!((factored.ln_determinant() - determinant).abs() < 1e-9);
                }
                // What is determined of the local factors: the trace of Λᵀ Σ⁻¹ Λ, their part of it.
                let errors = dense(&kept, &rows, &[0.0; 8], 3);
                let trace = (&inverse * (&written - errors)).trace();
                prop_assert!((diagonal.determined - trace).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn factors_that_load_every_place_alike_are_one() {
        let rows = [vec![(0, 1.0), (1, 1.0), (2, 1.0)], vec![(0, 1.0), (1, 1.0)], vec![(3, -1.0)]];
        let alike = Alike::new(&rows, 5);
        assert_eq!(alike.of, [Some(0), Some(0), Some(1), Some(2), None]);
        assert_eq!(alike.rows, [vec![(0, 1.0), (1, 1.0)], vec![(0, 1.0)], vec![(2, -1.0)]]);
        assert_eq!(alike.deviations([9.0, 16.0, 4.0, 1.0, 1.0]), [5.0, 2.0, 1.0]);
    }
}
