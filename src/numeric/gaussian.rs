//! A normal vector of which at most one component may be wild: its log density, and what further normal parts along
//! given directions do to it. One inverse serves every case: a wild component and a part along a direction are
//! rank-one updates of it (Sherman and Morrison 1950).
//! Leaves to others: what the vector is.

use nalgebra::{Cholesky, DMatrix, DVector};

const LN_TWO_PI: f64 = 1.837_877_066_409_345_5;

/// A residual with its covariance, inverted once, and every assumption about a wild component.
#[derive(Debug, Clone)]
pub struct Gaussian {
    inverse: DMatrix<f64>,
    /// Σ⁻¹ r.
    weighted: DVector<f64>,
    /// The assumptions: first that no component is wild, then one for each component.
    views: Vec<View>,
}

/// An assumption about which component is wild.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// The component that is wild, if one is.
    pub wild: Option<usize>,
    /// Log density of the residual under it, with the logarithm of its probability beforehand.
    pub ln_density: f64,
    /// Factor of the rank-one correction of the inverse.
    factor: f64,
    /// Its place among [`Gaussian::views`].
    at: usize,
}

/// How likely a wild component is beforehand, and how far off it then is.
#[derive(Debug, Clone, PartialEq)]
pub struct Wildness {
    /// Probability beforehand that a component is wild, for each of them; zero for never.
    pub probabilities: Vec<f64>,
    /// Standard deviation that is added to a wild component.
    pub sd: f64,
}

/// A direction, made ready: Σ⁻¹ d, and its products under each assumption.
#[derive(Debug, Clone, PartialEq)]
pub struct Direction {
    /// The direction.
    pub d: DVector<f64>,
    /// Σ⁻¹ d.
    pub weighted: DVector<f64>,
    /// dᵀΣ⁻¹r and dᵀΣ⁻¹d under each assumption.
    products: Vec<(f64, f64)>,
}

impl Gaussian {
    /// Inverts the covariance. Returns `None` if it is not positive definite.
    pub fn new(residual: &DVector<f64>, covariance: DMatrix<f64>, wildness: &Wildness) -> Option<Self> {
        let n = residual.len();
        let factor = Cholesky::new(covariance)?;
        let weighted = factor.solve(residual);
        let ln_determinant = 2.0 * factor.l_dirty().diagonal().iter().map(|d| d.ln()).sum::<f64>();
        let ln_density = -0.5 * (n as f64 * LN_TWO_PI + ln_determinant + residual.dot(&weighted));
        let inverse = factor.inverse();
        let none = 1.0 - wildness.probabilities.iter().sum::<f64>();
        let sound = View { wild: None, ln_density: ln_density + none.max(0.5).ln(), factor: 0.0, at: 0 };
        let variance = wildness.sd * wildness.sd;
        let one = |(at, (k, probability)): (usize, (usize, &f64))| {
            let spread = 1.0 + variance * inverse.get((k, k)).copied().unwrap_or(0.0);
            let factor = variance / spread;
            let off = weighted.get(k).copied().unwrap_or(0.0);
            let ln = ln_density - 0.5 * spread.ln() + 0.5 * factor * off * off;
            View { wild: Some(k), ln_density: ln + probability.ln(), factor, at: at + 1 }
        };
        let may_be = wildness.probabilities.iter().enumerate().filter(|(_, probability)| **probability > 0.0);
        let views = std::iter::once(sound).chain(may_be.enumerate().map(one)).collect();
        Some(Self { inverse, weighted, views })
    }

    /// Returns the assumptions, the one without a wild component first.
    pub fn views(&self) -> &[View] {
        &self.views
    }

    /// Makes a direction ready.
    pub fn direction(&self, d: DVector<f64>) -> Direction {
        // Most directions show in few components: only their columns count.
        let mut weighted = DVector::zeros(d.len());
        for (column, size) in self.inverse.column_iter().zip(&d).filter(|(_, size)| **size != 0.0) {
            weighted.axpy(*size, &column, 1.0);
        }
        let (along, square) = (d.dot(&self.weighted), d.dot(&weighted));
        let under = |view: &View| {
            let along = view.corrected(along, &weighted, &self.weighted);
            (along, view.corrected(square, &weighted, &weighted))
        };
        let products = self.views.iter().map(under).collect();
        Direction { d, weighted, products }
    }

    /// Returns aᵀΣ⁻¹b of two vectors made ready, under an assumption.
    pub fn product(&self, view: &View, a: &Direction, b: &Direction) -> f64 {
        view.corrected(a.d.dot(&b.weighted), &a.weighted, &b.weighted)
    }
}

impl Direction {
    /// Returns dᵀΣ⁻¹r and dᵀΣ⁻¹d under an assumption.
    pub fn products(&self, view: &View) -> (f64, f64) {
        self.products.get(view.at).copied().unwrap_or_default()
    }
}

impl View {
    /// Returns aᵀΣ⁻¹b under this assumption from what it is without a wild component, and from Σ⁻¹a and Σ⁻¹b.
    pub fn corrected(&self, plain: f64, a: &DVector<f64>, b: &DVector<f64>) -> f64 {
        let Some(k) = self.wild else { return plain };
        let at = a.get(k).copied().unwrap_or(0.0) * b.get(k).copied().unwrap_or(0.0);
        plain - self.factor * at
    }
}

/// What a part N(mean, sd²) along a direction does to the log density, and to the amplitude itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// Change of the log density.
    pub ln: f64,
    /// Mean of the amplitude, given the residual.
    pub mean: f64,
    /// Variance of the amplitude, given the residual.
    pub variance: f64,
}

/// Returns the gain of a part N(mean, sd²) along a direction with these products dᵀΣ⁻¹r and dᵀΣ⁻¹d.
pub fn gain((along, square): (f64, f64), mean: f64, sd: f64) -> Gain {
    let variance = sd * sd;
    let spread = 1.0 + variance * square;
    let surplus = along - mean * square;
    let shift = mean * along - 0.5 * mean * mean * square;
    Gain {
        ln: shift - 0.5 * spread.ln() + 0.5 * variance * surplus * surplus / spread,
        mean: mean + variance * surplus / spread,
        variance: variance / spread,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NEVER: Wildness = Wildness { probabilities: Vec::new(), sd: 1.0 };

    fn covariance() -> DMatrix<f64> {
        DMatrix::from_row_slice(3, 3, &[2.0, 0.3, 0.1, 0.3, 1.0, 0.2, 0.1, 0.2, 0.5])
    }

    fn density(residual: &DVector<f64>, covariance: DMatrix<f64>) -> f64 {
        Gaussian::new(residual, covariance, &NEVER).expect("positive definite").views()[0].ln_density
    }

    /// Against the density written out with the summed covariance, with and without a wild component.
    #[test]
    fn rank_one_gains_equal_the_density_done_directly() {
        let residual = DVector::from_vec(vec![1.0, -0.5, 2.0]);
        let d = DVector::from_vec(vec![1.0, 0.0, 1.0]);
        let wildness = Wildness { probabilities: vec![0.01, 0.02, 0.005], sd: 3.0 };
        let base = Gaussian::new(&residual, covariance(), &wildness).expect("positive definite");
        let direction = base.direction(d.clone());
        for view in base.views() {
            let found = view.ln_density + gain(direction.products(view), 1.5, 0.7).ln;
            let mut direct = covariance() + &d * d.transpose() * 0.49;
            let beforehand = match view.wild {
                Some(k) => {
                    direct[(k, k)] += 9.0;
                    wildness.probabilities[k]
                }
                None => 0.965_f64,
            };
            let expected = density(&(&residual - &d * 1.5), direct) + beforehand.ln();
            assert!((found - expected).abs() < 1e-12, "{:?}", view.wild);
        }
    }
}
