//! Sparse rows and the few sums over them that the linear algebra crate has not.

use nalgebra::{DMatrix, DVector};

/// Loads by factor.
pub type Sparse = Vec<(usize, f64)>;

/// Returns aᵀ M b.
pub(super) fn bilinear(matrix: &DMatrix<f64>, a: &[(usize, f64)], b: &[(usize, f64)]) -> f64 {
    let entry = |row: usize, column: usize| matrix.get((row, column)).copied().unwrap_or(0.0);
    a.iter().map(|(row, x)| x * b.iter().map(|(column, y)| y * entry(*row, *column)).sum::<f64>()).sum()
}

/// Returns aᵀ v.
pub(super) fn along(a: &[(usize, f64)], v: &DVector<f64>) -> f64 {
    a.iter().map(|(at, load)| load * value(v, *at)).sum()
}

pub(super) fn value(v: &DVector<f64>, at: usize) -> f64 {
    v.get(at).copied().unwrap_or(0.0)
}

pub(super) fn add(v: &mut DVector<f64>, at: usize, more: f64) {
    if let Some(slot) = v.get_mut(at) {
        *slot += more;
    }
}
