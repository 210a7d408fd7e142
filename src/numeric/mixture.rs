//! A log-normal size as a mixture of normal parts, so that everything behind it has a closed form.
//! Leaves to others: which sizes (`suspects/excess`).

use super::density::normal_below;

/// One part of a mixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Weight; the weights of a mixture sum to one.
    pub weight: f64,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
}

/// Number of parts; the test below shows how near this many come.
const PARTS: usize = 16;
/// Half-width of the range covered, in standard deviations of the logarithm.
const REACH: f64 = 3.0;

/// Returns normal parts for a log-normal distribution given by its median and the standard deviation of its
/// logarithm: slices of equal width in the logarithm, each with the exact mass, mean and variance of its slice.
pub fn log_normal(median: f64, ln_sd: f64) -> Vec<Part> {
    // Partial moments of a log-normal: E[xᵏ; z in (a, b)] = medianᵏ exp(k²s²/2) (Φ(b − ks) − Φ(a − ks)).
    let moment = |k: f64, a: f64, b: f64| {
        let shift = k * ln_sd;
        (median.powf(k)) * (shift * shift / 2.0).exp() * (normal_below(b - shift) - normal_below(a - shift))
    };
    let count = PARTS as f64;
    let edge = |i: usize| match i {
        0 => -9.0,
        i if i == PARTS => 9.0,
        i => -REACH + 2.0 * REACH * i as f64 / count,
    };
    let part = |i: usize| {
        let (a, b) = (edge(i), edge(i + 1));
        let weight = moment(0.0, a, b);
        let mean = moment(1.0, a, b) / weight;
        let variance = (moment(2.0, a, b) / weight - mean * mean).max(1e-12 * mean * mean);
        // A slice is nearly flat; its variance, a little widened, joins it to its neighbours without gaps.
        Part { weight, mean, sd: variance.sqrt() * 1.3 }
    };
    (0..PARTS).map(part).collect()
}

/// Returns a mixture with neighbouring parts taken `together` at a time, each with the mean and variance of its lot.
pub fn coarser(parts: &[Part], together: usize) -> Vec<Part> {
    let lot = |lot: &[Part]| {
        let weight: f64 = lot.iter().map(|part| part.weight).sum();
        let mean = lot.iter().map(|part| part.weight * part.mean).sum::<f64>() / weight;
        let square = lot.iter().map(|part| part.weight * (part.sd * part.sd + (part.mean - mean).powi(2)));
        Part { weight, mean, sd: (square.sum::<f64>() / weight).sqrt() }
    };
    parts.chunks(together.max(1)).map(lot).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_parts_follow_the_log_normal_they_stand_for() {
        for ln_sd in [0.5, 0.8, 1.2] {
            let parts = log_normal(200.0, ln_sd);
            let sum: f64 = parts.iter().map(|part| part.weight).sum();
            assert!((sum - 1.0).abs() < 1e-9);
            for step in 1..200 {
                let x = 10.0 * f64::from(step);
                let exact = normal_below((x / 200.0).ln() / ln_sd);
                let mixed: f64 = parts.iter().map(|p| p.weight * normal_below((x - p.mean) / p.sd)).sum();
                assert!((exact - mixed).abs() < 0.02, "ln sd {ln_sd}, {x}: {exact} {mixed}");
            }
        }
    }
}
