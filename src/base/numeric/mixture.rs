//! A log-normal size as a mixture of normal parts, so that everything behind it has a closed form.
//! Leaves to others: which sizes (`infer/hypothesis`).

use std::f64::consts::TAU;

use super::density::{ln_normal, normal_below};

/// One part of a mixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MixturePart {
    /// Weight; the weights of a mixture sum to one.
    pub weight: f64,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
}

/// Half-width of the range covered, in standard deviations of the logarithm.
const REACH: f64 = 2.8;
/// Width of a part in steps from one to the next: parts at even steps then sum to a curve without ripples,
/// 2 exp(−2π² · 0.55²) = 0.5 % of it (Poisson's summation formula), and are still narrow beside the whole.
const WIDTH: f64 = 0.55;

/// Halvings until the end of an interval is known to a ten-thousandth of the range.
const HALVINGS: usize = 14;

/// Returns `count` normal parts for a log-normal distribution given by its median and the standard deviation of its
/// logarithm. In the logarithm they stand at even steps, each about half a step wide; their places spread that much less
/// than the whole does, so that both together have its variance. Each has mean and variance of its own log-normal.
pub fn log_normal(median: f64, ln_sd: f64, count: usize) -> Vec<MixturePart> {
    let step = 2.0 * REACH * ln_sd / count as f64;
    let width = WIDTH * step;
    let places = ln_sd * ln_sd - width * width;
    let part = |at: usize| {
        let place = (at as f64 + 0.5) * step - REACH * ln_sd;
        let mean = median * (place + width * width / 2.0).exp();
        MixturePart {
            weight: (-0.5 * place * place / places).exp(),
            mean,
            sd: mean * (width * width).exp_m1().sqrt(),
        }
    };
    normalized((0..count).map(part).collect())
}

/// Returns a mixture with the weight of each part times a factor that goes by its mean. Unchanged if nothing is left.
pub fn reweighted(parts: Vec<MixturePart>, factor: impl Fn(f64) -> f64) -> Vec<MixturePart> {
    let scaled: Vec<MixturePart> =
        parts.iter().map(|part| MixturePart { weight: part.weight * factor(part.mean), ..*part }).collect();
    if scaled.iter().any(|part| part.weight > 0.0) { normalized(scaled) } else { parts }
}

/// Returns a density that a mixture nowhere exceeds: the peaks of its parts, all in one place.
pub fn peak_below(parts: &[MixturePart]) -> f64 {
    parts.iter().map(|part| part.weight / (part.sd * TAU.sqrt())).sum()
}

/// Mean, standard deviation, and the ends of the middle 95 % of a mixture of values that are never below zero: what
/// reaches below is left out. `None` if nothing lies above zero.
pub fn positive_spread(parts: &[MixturePart]) -> Option<(f64, f64, [f64; 2])> {
    let cut: Vec<MixturePart> = parts.iter().copied().filter_map(above_zero).collect();
    let left: f64 = cut.iter().map(|part| part.weight).sum();
    if left <= 0.0 {
        return None;
    }
    let mean = cut.iter().map(|part| part.weight * part.mean).sum::<f64>() / left;
    let square = cut.iter().map(|part| part.weight * (part.sd * part.sd + (part.mean - mean).powi(2)));
    let sd = (square.sum::<f64>() / left).sqrt();
    let weight: f64 = parts.iter().map(|part| part.weight).sum();
    let below = |x: f64| {
        let mass =
            |part: &MixturePart| part.weight * normal_below((x - part.mean) / part.sd.max(f64::MIN_POSITIVE));
        parts.iter().map(mass).sum::<f64>()
    };
    let nothing = below(0.0);
    let most = parts.iter().map(|part| part.mean + 3.0 * part.sd).fold(0.0, f64::max);
    let end = |share: f64| {
        let wanted = nothing + share * (weight - nothing);
        let (mut low, mut high) = (0.0, most);
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            if below(middle) < wanted { low = middle } else { high = middle }
        }
        (low + high) / 2.0
    };
    Some((mean, sd, [end(0.025), end(0.975)]))
}

/// Weight, mean and standard deviation of what of a normal part lies above zero: with z = μ/σ and h = φ(z)/Φ(z),
/// w Φ(z), μ + σh and σ √(1 − h(h + z)) (Johnson, Kotz and Balakrishnan 1994, chapter 13.10.1, from memory).
fn above_zero(part: MixturePart) -> Option<MixturePart> {
    let sd = part.sd.max(f64::MIN_POSITIVE);
    let z = part.mean / sd;
    let share = normal_below(z);
    if share <= 0.0 {
        return None;
    }
    let hazard = ln_normal(z, 0.0, 1.0).exp() / share;
    // Far below zero rounding could make the variance negative.
    let variance = (1.0 - hazard * (hazard + z)).max(0.0);
    Some(MixturePart {
        weight: part.weight * share,
        mean: (part.mean + sd * hazard).max(0.0),
        sd: sd * variance.sqrt(),
    })
}

fn normalized(mut parts: Vec<MixturePart>) -> Vec<MixturePart> {
    let sum: f64 = parts.iter().map(|part| part.weight).sum();
    parts.iter_mut().for_each(|part| part.weight /= sum);
    parts
}

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_2_PI;

    use super::*;

    /// Largest distance between the distribution functions.
    fn off(ln_sd: f64, count: usize) -> f64 {
        let parts = log_normal(200.0, ln_sd, count);
        let at = |step: u32| {
            let x = 5.0 * f64::from(step);
            let exact = normal_below((x / 200.0).ln() / ln_sd);
            let mixed: f64 = parts.iter().map(|p| p.weight * normal_below((x - p.mean) / p.sd)).sum();
            (exact - mixed).abs()
        };
        (1..600).map(at).fold(0.0, f64::max)
    }

    #[test]
    fn the_parts_follow_the_log_normal_they_stand_for() {
        for ln_sd in [0.5, 0.7, 0.9, 1.2] {
            let (fine, coarse) = (off(ln_sd, 16), off(ln_sd, 8));
            assert!(fine < 0.005 && coarse < 0.035, "ln sd {ln_sd}: {fine} {coarse}");
        }
    }

    #[test]
    fn a_spread_has_the_ends_of_what_it_is_made_of() {
        // A log-normal's middle 95 % ends at median · exp(±1.96 s).
        let parts = log_normal(200.0, 0.7, 16);
        let (mean, _, [low, high]) = positive_spread(&parts).expect("parts");
        assert!((mean / (200.0 * (0.7_f64 * 0.7 / 2.0).exp()) - 1.0).abs() < 0.02, "{mean}");
        assert!((low / 50.7 - 1.0).abs() < 0.05 && (high / 788.6 - 1.0).abs() < 0.05, "{low} {high}");
        let half_below_zero = [MixturePart { weight: 0.3, mean: 0.0, sd: 1.0 }];
        let (_, _, [low, high]) = positive_spread(&half_below_zero).expect("a part");
        // Ends of the half normal distribution: 0.0313 and 2.2414 (from its quantiles, normal at 0.5125 and 0.9875).
        assert!((low - 0.0313).abs() < 1e-3 && (high - 2.2414).abs() < 1e-3, "{low} {high}");
        // Half of a normal part: mean σ √(2/π), variance σ² (1 − 2/π).
        let (mean, sd, _) = positive_spread(&half_below_zero).expect("a part");
        assert!(
            (mean - FRAC_2_PI.sqrt()).abs() < 1e-9 && (sd - (1.0 - FRAC_2_PI).sqrt()).abs() < 1e-9,
            "{mean} {sd}"
        );
        assert_eq!(positive_spread(&[]), None);
    }

    #[test]
    fn a_factor_moves_the_weights_and_they_still_sum_to_one() {
        let plain = log_normal(1.0, 0.9, 16);
        let above = reweighted(plain.clone(), |mean| f64::from(u8::from(mean > 1.0)));
        assert!((above.iter().map(|part| part.weight).sum::<f64>() - 1.0).abs() < 1e-12);
        assert!(above.iter().all(|part| part.mean > 1.0 || part.weight == 0.0));
        assert_eq!(reweighted(plain.clone(), |_| 0.0), plain);
    }
}
