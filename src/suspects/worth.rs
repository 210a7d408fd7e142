//! What a reading would be worth: the mutual information between cause and reading, in bits (Lindley 1956; de Kleer
//! and Williams 1987 use the same measure for diagnosis). Each forecast part is sampled at Gauss–Hermite nodes.
//! Leaves to others: the forecasts (`forecast`), minutes (`candidate`).

use super::forecast::Forecast;
use crate::numeric::density::ln_normal;

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
const ALIKE: f64 = 0.1;

/// Parts that read alike, with the weight that each class of causes has in them.
struct Cluster {
    mean: f64,
    variance: f64,
    /// Class of causes and its weight here.
    weights: Vec<(usize, f64)>,
}

impl Cluster {
    fn weight(&self) -> f64 {
        self.weights.iter().map(|(_, weight)| weight).sum()
    }
}

/// Returns the expected information about the class of the cause, in bits. `class_of` tells which causes count as
/// one, by hypothesis index.
pub fn bits(forecasts: &[Forecast], class_of: &[usize]) -> f64 {
    let clusters = clusters(forecasts, class_of);
    if clusters.len() < 2 {
        return 0.0;
    }
    let classes = class_weights(&clusters);
    let total: f64 = classes.iter().map(|(_, weight)| weight).sum();
    let mut nats = 0.0;
    for cluster in &clusters {
        let sd = cluster.variance.sqrt();
        for (node, share) in NODES {
            let y = cluster.mean + sd * node;
            let densities: Vec<f64> =
                clusters.iter().map(|other| ln_normal(y, other.mean, other.variance).exp()).collect();
            let everywhere: f64 =
                clusters.iter().zip(&densities).map(|(c, d)| c.weight() * d).sum::<f64>() / total;
            for (class, weight) in &cluster.weights {
                let of_class = class_density(*class, &clusters, &densities) / weight_of(*class, &classes);
                if of_class > 0.0 && everywhere > 0.0 {
                    nats += weight / total * share * (of_class / everywhere).ln();
                }
            }
        }
    }
    (nats / std::f64::consts::LN_2).max(0.0)
}

fn class_density(class: usize, clusters: &[Cluster], densities: &[f64]) -> f64 {
    let weight_in =
        |cluster: &Cluster| cluster.weights.iter().find(|(c, _)| *c == class).map_or(0.0, |(_, w)| *w);
    clusters.iter().zip(densities).map(|(cluster, density)| weight_in(cluster) * density).sum()
}

fn weight_of(class: usize, classes: &[(usize, f64)]) -> f64 {
    classes.iter().find(|(found, _)| *found == class).map_or(1.0, |(_, weight)| *weight)
}

fn class_weights(clusters: &[Cluster]) -> Vec<(usize, f64)> {
    let mut classes: Vec<(usize, f64)> = Vec::new();
    for (class, weight) in clusters.iter().flat_map(|cluster| &cluster.weights) {
        add(&mut classes, *class, *weight);
    }
    classes
}

fn add(classes: &mut Vec<(usize, f64)>, class: usize, weight: f64) {
    match classes.iter_mut().find(|(found, _)| *found == class) {
        Some((_, sum)) => *sum += weight,
        None => classes.push((class, weight)),
    }
}

/// Causes that no reading of this kind tells apart fall into one cluster, so that their number doesn't matter.
fn clusters(forecasts: &[Forecast], class_of: &[usize]) -> Vec<Cluster> {
    let mut sorted: Vec<&Forecast> = forecasts.iter().collect();
    sorted.sort_by(|a, b| a.mean.total_cmp(&b.mean));
    let mut clusters: Vec<Cluster> = Vec::new();
    for one in sorted {
        let class = class_of.get(one.hypothesis).copied().unwrap_or(one.hypothesis);
        let near = |cluster: &&mut Cluster| {
            let narrow = one.variance.min(cluster.variance).sqrt();
            let ratio = (one.variance / cluster.variance).ln().abs();
            (one.mean - cluster.mean).abs() < ALIKE * narrow && ratio < 2.0 * ALIKE
        };
        match clusters.iter_mut().rev().take(8).find(near) {
            Some(cluster) => add(&mut cluster.weights, class, one.weight),
            None => clusters.push(Cluster {
                mean: one.mean,
                variance: one.variance,
                weights: vec![(class, one.weight)],
            }),
        }
    }
    clusters
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
