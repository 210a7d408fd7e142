//! What a reading would be worth: the mutual information between cause and reading, in bits (Lindley 1956; de Kleer
//! and Williams 1987 use the same measure for diagnosis). Each forecast part is sampled at Gauss–Hermite nodes.
//! Leaves to others: the forecasts (`forecast`), minutes (`candidate`).

use std::collections::BTreeMap;

use super::forecast::Forecast;
use crate::base::numeric::density::ln_normal;

/// Nodes and weights of the nine-point Gauss–Hermite rule for a standard normal variable.
///
/// # Source
/// Abramowitz and Stegun, table 25.10, n = 9, abscissas times √2, weights over √π.
const NODES: [(f64, f64); 9] = [
    (-4.512_745_863_399_783, 2.234_584_400_774_658e-5),
    (-3.205_429_002_856_47, 2.789_141_321_231_769e-3),
    (-2.076_847_978_677_83, 4.991_640_676_521_788e-2),
    (-1.023_255_663_789_133, 2.440_975_028_949_394e-1),
    (0.0, 4.063_492_063_492_065e-1),
    (1.023_255_663_789_133, 2.440_975_028_949_394e-1),
    (2.076_847_978_677_83, 4.991_640_676_521_788e-2),
    (3.205_429_002_856_47, 2.789_141_321_231_769e-3),
    (4.512_745_863_399_783, 2.234_584_400_774_658e-5),
];

/// Parts whose means lie within this share of their standard deviation, and whose widths are alike, are one.
const ALIKE: f64 = 0.15;
/// Parts of a mixture at most; beyond that the lightest are joined to their neighbours.
const MOST_PARTS: usize = 48;
/// Densities further away than this many standard deviations are nothing.
const FAR: f64 = 7.0;

/// A part of a mixture.
#[derive(Debug, Clone, Copy)]
struct WorthPart {
    weight: f64,
    mean: f64,
    variance: f64,
}

/// Returns the expected information about the class of the cause, in bits: the entropy of the reading less its
/// entropy within each class. `class_of` tells which causes count as one, by hypothesis index.
pub fn bits(forecasts: &[Forecast], class_of: &[usize]) -> f64 {
    let classes = by_class(forecasts, class_of);
    if classes.len() < 2 {
        return 0.0;
    }
    let mixtures: Vec<Vec<WorthPart>> = classes.into_values().map(merged).collect();
    let whole = merged(mixtures.iter().flatten().copied().collect());
    let total: f64 = whole.iter().map(|part| part.weight).sum();
    let within: f64 = mixtures.iter().map(|mixture| weighted_ln_density(mixture)).sum();
    ((within - weighted_ln_density(&whole)) / total / std::f64::consts::LN_2).max(0.0)
}

fn by_class(forecasts: &[Forecast], class_of: &[usize]) -> BTreeMap<usize, Vec<WorthPart>> {
    let mut classes: BTreeMap<usize, Vec<WorthPart>> = BTreeMap::new();
    for one in forecasts {
        let class = class_of.get(one.hypothesis).copied().unwrap_or(one.hypothesis);
        classes.entry(class).or_default().push(WorthPart {
            weight: one.weight,
            mean: one.mean,
            variance: one.variance,
        });
    }
    classes
}

/// Returns Σ over the parts of weight times the expected logarithm of the mixture's density.
fn weighted_ln_density(mixture: &[WorthPart]) -> f64 {
    let total: f64 = mixture.iter().map(|part| part.weight).sum();
    let density = |y: f64| -> f64 {
        let near = mixture.iter().filter(|part| (y - part.mean).powi(2) < FAR * FAR * part.variance);
        near.map(|part| part.weight / total * ln_normal(y, part.mean, part.variance).exp()).sum()
    };
    let mut sum = 0.0;
    for part in mixture {
        let sd = part.variance.sqrt();
        for (node, share) in NODES {
            sum += part.weight * share * density(part.mean + sd * node).max(f64::MIN_POSITIVE).ln();
        }
    }
    sum
}

/// Joins parts that read alike, so that the number of causes that a reading can't tell apart doesn't matter.
fn merged(mut parts: Vec<WorthPart>) -> Vec<WorthPart> {
    parts.sort_by(|a, b| a.mean.total_cmp(&b.mean));
    let mut merged: Vec<WorthPart> = Vec::new();
    for one in parts {
        let near = |known: &&mut WorthPart| {
            let narrow = one.variance.min(known.variance).sqrt();
            let ratio = (one.variance / known.variance).ln().abs();
            (one.mean - known.mean).abs() < ALIKE * narrow && ratio < 2.0 * ALIKE
        };
        match merged.iter_mut().rev().take(6).find(near) {
            Some(known) => *known = joined(*known, one),
            None => merged.push(one),
        }
    }
    while merged.len() > MOST_PARTS {
        let pair = |at: &usize| {
            merged.get(*at).zip(merged.get(at + 1)).map_or(f64::INFINITY, |(a, b)| a.weight + b.weight)
        };
        let Some(lightest) = (0..merged.len() - 1).min_by(|a, b| pair(a).total_cmp(&pair(b))) else { break };
        let second = merged.remove(lightest + 1);
        if let Some(first) = merged.get_mut(lightest) {
            *first = joined(*first, second);
        }
    }
    merged
}

/// Two parts as one with the same weight, mean and variance.
fn joined(a: WorthPart, b: WorthPart) -> WorthPart {
    let weight = a.weight + b.weight;
    let mean = (a.weight * a.mean + b.weight * b.mean) / weight;
    let square = |part: WorthPart| part.weight * (part.variance + (part.mean - mean).powi(2));
    WorthPart { weight, mean, variance: (square(a) + square(b)) / weight }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(hypothesis: usize, weight: f64, mean: f64, sd: f64) -> Forecast {
        Forecast { hypothesis, weight, mean, variance: sd * sd }
    }

    #[test]
    fn a_reading_that_settles_an_even_question_is_worth_one_bit() {
        let forecasts = [part(0, 0.5, 0.0, 1.0), part(1, 0.5, 100.0, 1.0)];
        assert!((bits(&forecasts, &[0, 1]) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_reading_that_cannot_tell_is_worth_nothing() {
        let forecasts = [part(0, 0.5, 0.0, 1.0), part(1, 0.5, 0.0, 1.0)];
        assert!(bits(&forecasts, &[0, 1]).abs() < 1e-12);
    }

    /// Two unit normals two apart with even odds: 0.486 bits, by integration over a fine grid here.
    #[test]
    fn partial_information_agrees_with_numerical_integration() {
        let forecasts = [part(0, 0.5, 0.0, 1.0), part(1, 0.5, 2.0, 1.0)];
        let mut exact = 0.0;
        for step in -10_000..12_000 {
            let y = f64::from(step) * 1e-3;
            let (a, b) = (ln_normal(y, 0.0, 1.0).exp(), ln_normal(y, 2.0, 1.0).exp());
            let mixed = 0.5 * (a + b);
            exact += 0.5e-3 * (a * (a / mixed).log2() + b * (b / mixed).log2());
        }
        assert!((bits(&forecasts, &[0, 1]) - exact).abs() < 2e-3, "{} {exact}", bits(&forecasts, &[0, 1]));
    }
}
