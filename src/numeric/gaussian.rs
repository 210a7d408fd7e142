//! A normal vector: its log density, and what one or more further normal parts along given directions do to it
//! (rank-one updates; Sherman and Morrison 1950).
//! Leaves to others: what the vector is.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

const LN_TWO_PI: f64 = 1.837_877_066_409_345_5;

/// A residual with its covariance, factored once.
#[derive(Debug, Clone)]
pub struct Gaussian {
    factor: Cholesky<f64, Dyn>,
    /// Σ⁻¹ r.
    weighted: DVector<f64>,
    ln_density: f64,
}

/// A direction, made ready: Σ⁻¹ d, dᵀΣ⁻¹d and dᵀΣ⁻¹r.
#[derive(Debug, Clone, PartialEq)]
pub struct Direction {
    /// Σ⁻¹ d.
    pub weighted: DVector<f64>,
    /// dᵀ Σ⁻¹ d.
    pub square: f64,
    /// dᵀ Σ⁻¹ r.
    pub along: f64,
}

impl Gaussian {
    /// Factors the covariance. Returns `None` if it is not positive definite.
    pub fn new(residual: &DVector<f64>, covariance: DMatrix<f64>) -> Option<Self> {
        let factor = Cholesky::new(covariance)?;
        let weighted = factor.solve(residual);
        let ln_determinant = 2.0 * factor.l_dirty().diagonal().iter().map(|d| d.ln()).sum::<f64>();
        let n = residual.len() as f64;
        let ln_density = -0.5 * (n * LN_TWO_PI + ln_determinant + residual.dot(&weighted));
        Some(Self { factor, weighted, ln_density })
    }

    /// Returns the log density of the residual when nothing is added.
    pub fn ln_density(&self) -> f64 {
        self.ln_density
    }

    /// Returns Σ⁻¹ r.
    pub fn weighted_residual(&self) -> &DVector<f64> {
        &self.weighted
    }

    /// Returns Σ⁻¹ v.
    pub fn solve(&self, v: &DVector<f64>) -> DVector<f64> {
        self.factor.solve(v)
    }

    /// Makes a direction ready.
    pub fn direction(&self, d: &DVector<f64>) -> Direction {
        let weighted = self.factor.solve(d);
        Direction { square: d.dot(&weighted), along: d.dot(&self.weighted), weighted }
    }
}

impl Direction {
    /// Returns what a part N(mean, sd²) along this direction adds to the log density, with the mean and variance
    /// of its amplitude once the residual is known.
    pub fn gain(&self, mean: f64, sd: f64) -> Gain {
        let variance = sd * sd;
        let spread = 1.0 + variance * self.square;
        let surplus = self.along - mean * self.square;
        let shift = mean * self.along - 0.5 * mean * mean * self.square;
        Gain {
            ln: shift - 0.5 * spread.ln() + 0.5 * variance * surplus * surplus / spread,
            mean: mean + variance * surplus / spread,
            variance: variance / spread,
        }
    }
}

/// What a part along a direction does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// Change of the log density.
    pub ln: f64,
    /// Mean of the amplitude, given the residual.
    pub mean: f64,
    /// Variance of the amplitude, given the residual.
    pub variance: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the density written out with the summed covariance.
    #[test]
    fn a_rank_one_gain_equals_the_density_done_directly() {
        let covariance = DMatrix::from_row_slice(3, 3, &[2.0, 0.3, 0.1, 0.3, 1.0, 0.2, 0.1, 0.2, 0.5]);
        let residual = DVector::from_vec(vec![1.0, -0.5, 2.0]);
        let d = DVector::from_vec(vec![1.0, 0.0, 1.0]);
        let base = Gaussian::new(&residual, covariance.clone()).expect("positive definite");
        let gain = base.direction(&d).gain(1.5, 0.7);
        let direct = Gaussian::new(&(&residual - &d * 1.5), &covariance + &d * d.transpose() * 0.49)
            .expect("positive definite");
        assert!((base.ln_density() + gain.ln - direct.ln_density()).abs() < 1e-12);
    }
}
