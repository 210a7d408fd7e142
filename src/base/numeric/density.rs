//! Logarithms of densities, and sums of them that neither overflow nor vanish.
//! Leaves to others: mixtures (`mixture`) and several dimensions (`gaussian`).

use statrs::function::erf::erfc;

/// ln(2π).
const LN_TWO_PI: f64 = 1.837_877_066_409_345_5;

/// Returns the logarithm of the normal density with this mean and variance at `x`.
pub fn ln_normal(x: f64, mean: f64, variance: f64) -> f64 {
    let distance = x - mean;
    -0.5 * (LN_TWO_PI + variance.ln() + distance * distance / variance)
}

/// Returns the probability that a standard normal value lies below `z`.
pub fn normal_below(z: f64) -> f64 {
    0.5 * erfc(-z / std::f64::consts::SQRT_2)
}

/// Returns ln Σ exp(terms); minus infinity for no terms.
pub fn ln_sum_exp(terms: impl IntoIterator<Item = f64> + Clone) -> f64 {
    let largest = terms.clone().into_iter().fold(f64::NEG_INFINITY, f64::max);
    if largest == f64::NEG_INFINITY {
        return largest;
    }
    largest + terms.into_iter().map(|term| (term - largest).exp()).sum::<f64>().ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exponents_near_two_thousand_neither_overflow_nor_vanish() {
        assert!((ln_sum_exp([-2000.0, -2000.0]) - (2.0_f64.ln() - 2000.0)).abs() < 1e-12);
        assert!((ln_sum_exp([2000.0, 1000.0]) - 2000.0).abs() < 1e-12);
        assert_eq!(ln_sum_exp([]), f64::NEG_INFINITY);
    }

    /// JCGM 106:2012, 7.4: 13.6 with u 1.8 against 12.5 to 16.3 conforms with probability 0.6626.
    #[test]
    fn the_normal_distribution_agrees_with_jcgm_106() {
        let p = normal_below((16.3 - 13.6) / 1.8) - normal_below((12.5 - 13.6) / 1.8);
        assert!((p - 0.6626).abs() < 5e-5, "{p}");
    }
}
