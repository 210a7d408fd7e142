//! Two amplitudes at once, as the readings see them: how well any two could fit, and what two sizes make of them.
//! Leaves to others: which causes they are of (`pair`).

use std::f64::consts::TAU;

use crate::base::numeric::gaussian::{OutlierCase, SAME};
use crate::base::numeric::mixture::MixturePart as Size;

/// Products of two directions: b = (d₁ᵀΣ⁻¹r, d₂ᵀΣ⁻¹r) and A = (d₁ᵀΣ⁻¹d₁, d₂ᵀΣ⁻¹d₂, d₁ᵀΣ⁻¹d₂).
#[derive(Debug, Clone, Copy)]
pub struct Joint {
    b: [f64; 2],
    a: [f64; 3],
}

/// Two amplitudes with normal sizes before them, given the readings.
#[derive(Debug, Clone, Copy)]
pub struct Amplitudes {
    /// Factor of the density, relative to the largest that [`Joint::bound`] allows.
    pub factor: f64,
    /// Means.
    pub mean: [f64; 2],
    /// Variance of the first, variance of the second, covariance.
    pub covariance: [f64; 3],
}

impl Joint {
    /// Returns the products of two directions under an assumption about a bad reading, given both products under it, what
    /// they are at the bad reading, and aᵀΣ⁻¹b without one.
    pub fn under(view: &OutlierCase, [b1, a1, w1]: [f64; 3], [b2, a2, w2]: [f64; 3], plain: f64) -> Self {
        Self { b: [b1, b2], a: [a1, a2, view.corrected(plain, w1, w2)] }
    }

    /// Largest log gain that any two amplitudes could have: ½ bᵀA⁻¹b. Where the two directions are the same it is
    /// that of one.
    pub fn bound(&self) -> f64 {
        let [b1, b2] = self.b;
        let [a1, a2, x] = self.a;
        let determinant = a1 * a2 - x * x;
        if determinant > SAME * a1 * a2 {
            0.5 * (a2 * b1 * b1 - 2.0 * x * b1 * b2 + a1 * b2 * b2) / determinant
        } else {
            let one = |b: f64, a: f64| if a > 0.0 { 0.5 * b * b / a } else { 0.0 };
            one(b1, a1).max(one(b2, a2))
        }
    }

    /// Largest share of the amplitudes beforehand that could fit as well as the best, from the peaks of their densities
    /// (per ampere): ∬ p₁p₂ exp(−½ δᵀAδ) is below each of 1, √(2π/a₁) peak₁, √(2π/a₂) peak₂ and 2π/√det A peak₁ peak₂.
    pub fn share(&self, [peak1, peak2]: [f64; 2]) -> f64 {
        let [a1, a2, x] = self.a;
        let one = |peak: f64, a: f64| peak * (TAU / a).sqrt();
        let both = peak1 * peak2 * TAU / (a1 * a2 - x * x).max(0.0).sqrt();
        both.min(one(peak1, a1)).min(one(peak2, a2)).min(1.0)
    }

    /// Evidence and posterior of two amplitudes with normal sizes before: with s = b − A m and P = D⁻¹ + A,
    /// ln gain = mᵀb − ½ mᵀAm − ½ ln det(D P) + ½ sᵀP⁻¹s; mean m + P⁻¹s, covariance P⁻¹. `bound` is that of these
    /// products. `None` if the factor is below exp(`least`).
    pub fn sized(&self, first: Size, second: Size, bound: f64, least: f64) -> Option<Amplitudes> {
        let [b1, b2] = self.b;
        let [a1, a2, x] = self.a;
        let (m1, m2) = (first.mean, second.mean);
        let (q1, q2) = (1.0 / (first.sd * first.sd), 1.0 / (second.sd * second.sd));
        let (p1, p2) = (q1 + a1, q2 + a2);
        let per_determinant = 1.0 / (p1 * p2 - x * x);
        let (s1, s2) = (b1 - a1 * m1 - x * m2, b2 - x * m1 - a2 * m2);
        let covariance = [p2 * per_determinant, p1 * per_determinant, -x * per_determinant];
        let (t1, t2) = (covariance[0] * s1 + covariance[2] * s2, covariance[2] * s1 + covariance[1] * s2);
        let shift = m1 * b1 + m2 * b2 - 0.5 * (a1 * m1 * m1 + 2.0 * x * m1 * m2 + a2 * m2 * m2);
        let exponent = shift + 0.5 * (s1 * t1 + s2 * t2) - bound;
        if exponent < least {
            return None;
        }
        let factor = exponent.exp() * (q1 * q2 * per_determinant).sqrt();
        Some(Amplitudes { factor, mean: [m1 + t1, m2 + t2], covariance })
    }
}
