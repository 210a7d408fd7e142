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

    /// Evidence and posterior of two amplitudes with normal sizes N(m, v) before, the first taken out before the second:
    /// ln gain of one is (2mb − am² + vb²)/2(1 + va) − ½ ln(1 + va); what it leaves of the other is
    /// a₂′ = (a₂ + v₁ det A)/(1 + v₁a₁), b₂′ = (b₂ + v₁(a₁b₂ − xb₁) − xm₁)/(1 + v₁a₁). Nothing large is taken from
    /// anything large: two causes that only one sharp total tells of would drown in the rounding. `bound` is that of these
    /// products. `None` if the factor is below exp(`least`).
    pub fn sized(&self, first: Size, second: Size, bound: f64, least: f64) -> Option<Amplitudes> {
        let [b1, b2] = self.b;
        let [a1, a2, x] = self.a;
        let (m1, m2) = (first.mean, second.mean);
        let (v1, v2) = (first.sd * first.sd, second.sd * second.sd);
        let both = a1 * a2 - x * x;
        let determinant = if both > SAME * a1 * a2 { both } else { 0.0 };
        let left1 = 1.0 / (1.0 + v1 * a1);
        let (a, b) = ((a2 + v1 * determinant) * left1, (b2 + v1 * (a1 * b2 - x * b1) - x * m1) * left1);
        let left2 = 1.0 / (1.0 + v2 * a);
        let gain1 = (2.0 * m1 * b1 - a1 * m1 * m1 + v1 * b1 * b1) * left1;
        let gain2 = (2.0 * m2 * b - a * m2 * m2 + v2 * b * b) * left2;
        let exponent = 0.5 * (gain1 + gain2) - bound;
        if exponent < least {
            return None;
        }
        let variance2 = v2 * left2;
        let mean2 = (m2 + v2 * b) * left2;
        let slope = -v1 * x * left1;
        Some(Amplitudes {
            factor: exponent.exp() * (left1 * left2).sqrt(),
            mean: [(m1 + v1 * (b1 - x * mean2)) * left1, mean2],
            covariance: [v1 * left1 + slope * slope * variance2, variance2, slope * variance2],
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One total of 9.2 mA, and two causes of about 2 A and 4 A before it: by hand the density of their sum at it, to be
    /// had from one normal of mean 6 A and both variances.
    #[test]
    fn two_large_causes_behind_one_sharp_total_are_as_unlikely_as_their_sum() {
        let (read, error) = (9.2e-3, 5e-5_f64);
        let (first, second) =
            (Size { weight: 1.0, mean: 2.0, sd: 0.5 }, Size { weight: 1.0, mean: 4.0, sd: 0.9 });
        let square = 1.0 / (error * error);
        let joint = Joint { b: [read * square; 2], a: [square; 3] };
        let found = joint.sized(first, second, joint.bound(), f64::NEG_INFINITY).expect("a factor");
        let variance: f64 = 0.25 + 0.81 + error * error;
        let off = read - 6.0;
        let expected = -0.5 * off * off / variance + 0.5 * (error * error / variance).ln();
        assert!((found.factor.ln() - expected).abs() < 1e-6, "{} {expected}", found.factor.ln());
        // What is read is shared by their variances, and the rest stays open.
        assert!((found.mean[0] + found.mean[1] - read).abs() < 1e-6, "{:?}", found.mean);
        assert!((found.mean[1] - (4.0 + off * 0.81 / variance)).abs() < 1e-6, "{:?}", found.mean);
        assert!(
            (found.covariance[0] / (0.25 * 0.81 / variance) - 1.0).abs() < 1e-6,
            "{:?}",
            found.covariance
        );
    }
}
