//! How much a series scatters about its levels, and the price of a change that follows from it.
//! Leaves to others: the cut itself (`segment`).
//!
//! Everything comes from differences of neighbours, of which only a few cross a step. Three things make a meter's
//! noise worse than white noise of the same size: neighbours that resemble each other (filters), values held for
//! several samples (a logger faster than its meter), and a display that shows whole counts only.
//!
//! # Source
//! Penalty of 6 σ² ln n with the long-run variance: chosen on simulated meter noise, where the textbook 2 σ² ln n
//! finds hundreds of false steps (editorial).

/// Noise of a series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Noise {
    /// Standard deviation of one sample, in the unit of the series.
    pub sigma: f64,
    /// Correlation of neighbours that are not mere repetitions, 0 to 0.95.
    pub correlation: f64,
    /// Mean number of samples for which one value is held; 1 where nothing is held.
    pub held: f64,
}

/// Shares of the smallest differences that are used, each with the mean square of that share of standard normal
/// numbers: 1 − 2 c φ(c) / share with c the point that the share lies within. The rest may cross steps: few of all
/// samples do, but most of the changes of a display that seldom changes.
const KEPT: [(f64, f64); 3] = [(0.9, KEPT_90), (0.6, KEPT_60), (0.3, KEPT_30)];
const KEPT_90: f64 = 0.623_0;
const KEPT_60: f64 = 0.214_6;
const KEPT_30: f64 = 0.048_5;

/// A smaller share is used only where it gives less than this part of what a larger one gives: it is less sharp.
const CLEARLY: f64 = 0.4;

/// Differences over two changes below this part of those over one mean that the series goes up and down …
const ALTERNATING: f64 = 0.25;

/// … and more than this many steps of the display that it is switched and no noise.
const SWITCHED: f64 = 5.0;

/// The last digit is not the display's step if differences are never below so many of it.
const FINER: f64 = 20.0;

/// Most samples that are looked at.
const LOOKED_AT: usize = 200_000;

/// Length of the stretches that are looked at, in samples.
const STRETCH: usize = 2_000;

/// Runs of equal values must be at least this share of the samples to be taken for noise; fewer are steps.
const FEWEST_RUNS: f64 = 0.05;

/// Largest correlation that is reckoned with: beyond it a series is no longer noise about levels.
const LARGEST_CORRELATION: f64 = 0.95;

/// Factor of the penalty.
const PENALTY: f64 = 6.0;

impl Noise {
    /// Estimates the noise of a series whose values were written in steps of `step` (0 if that is unknown).
    pub fn of(values: &[f64], step: f64) -> Self {
        let floor = step / 2.0;
        let quiet = Self { sigma: floor, correlation: 0.0, held: 1.0 };
        let mut looked_at = 0;
        let (mut near, mut far) = (Vec::new(), Vec::new());
        for stretch in stretches(values) {
            looked_at += stretch.len();
            let mut runs: Vec<f64> = stretch.to_vec();
            runs.dedup();
            near.extend(runs.windows(2).filter_map(|w| Some((w.last()? - w.first()?).abs())));
            far.extend(runs.windows(3).filter_map(|w| Some((w.last()? - w.first()?).abs())));
        }
        let share = near.len() as f64 / looked_at.max(1) as f64;
        if share < FEWEST_RUNS || far.is_empty() || are_steps(&near, step) {
            return quiet;
        }
        near.sort_unstable_by(f64::total_cmp);
        far.sort_unstable_by(f64::total_cmp);
        let finest = finest(&near, step);
        if let Some(display) = display_alone(&near, finest) {
            let share = display.len() as f64 / looked_at.max(1) as f64;
            if share < FEWEST_RUNS {
                return quiet;
            }
            let square = display.iter().map(|size| size * size).sum::<f64>() / display.len().max(1) as f64;
            return Self { sigma: (square / 2.0).sqrt().max(floor), correlation: 0.0, held: 1.0 / share };
        }
        // Differences over two changes cross twice as many steps: the smaller share of both.
        let (one, two) = (share_kept(&near), share_kept(&far));
        let kept = if two.0 < one.0 { two } else { one };
        let (near, far) = (spread(&near, kept), spread(&far, kept));
        if far < ALTERNATING * near && near.sqrt() > SWITCHED * finest {
            // Up and down between two states: what scatters is each state, two changes apart.
            return Self { sigma: (far / 2.0).sqrt().max(floor), ..quiet };
        }
        // For neighbours that correlate as φ, φ², …: Var(x₂ − x₀) / Var(x₁ − x₀) = 1 + φ.
        let ratio = if near > 0.0 { far / near } else { 1.0 };
        let correlation = (ratio - 1.0).clamp(0.0, LARGEST_CORRELATION);
        let sigma = (near / (2.0 * (1.0 - correlation))).sqrt();
        // A display of whole counts scatters by half a count at the most when it changes between two of them.
        Self { sigma: sigma.max(floor), correlation, held: 1.0 / share.min(1.0) }
    }

    /// Returns the variance that the mean of many samples has, times their number: σ² (1 + φ) / (1 − φ), times the
    /// samples for which a value is held.
    pub fn long_run_variance(&self) -> f64 {
        self.sigma.powi(2) * (1.0 + self.correlation) / (1.0 - self.correlation) * self.held
    }

    /// Returns the price of a change in a series of so many samples, in the square of the series' unit.
    pub fn penalty(&self, samples: usize) -> f64 {
        PENALTY * self.long_run_variance() * (samples.max(2) as f64).ln()
    }
}

/// Returns stretches spread evenly over a series.
fn stretches(values: &[f64]) -> impl Iterator<Item = &[f64]> {
    let every = (values.len() / LOOKED_AT).max(1);
    values.chunks(STRETCH).step_by(every)
}

/// Returns true if differences are those of a machine that is switched, not of noise: of two or three sizes only,
/// and far above the last digit.
fn are_steps(differences: &[f64], step: f64) -> bool {
    let mut sizes: Vec<f64> = Vec::new();
    for size in differences {
        if !sizes.iter().any(|known| (known - size).abs() <= 1e-9 * known) {
            sizes.push(*size);
        }
        if sizes.len() > 3 {
            return false;
        }
    }
    sizes.iter().all(|size| *size > 10.0 * step)
}

/// Returns the smallest step of the display: the smallest difference, unless the last digit written is finer by far.
fn finest(sizes: &[f64], step: f64) -> f64 {
    let smallest = sizes.first().copied().unwrap_or(0.0);
    if step > 0.0 && smallest > FINER * step { step } else { smallest.max(step) }
}

/// Returns the differences, of all in order of size, that are the display's between two counts, where the others are
/// larger by far and so are something switched.
fn display_alone(sizes: &[f64], finest: f64) -> Option<&[f64]> {
    let up_to = |counts: f64| sizes.partition_point(|size| *size <= counts * finest * 1.001);
    let (small, medium) = (up_to(3.0), up_to(6.0) - up_to(3.0));
    let some = small * 10 >= sizes.len() && small * 10 <= sizes.len() * 9;
    if some && medium * 4 < small { sizes.get(..small) } else { None }
}

/// Returns the share of the differences, in order of size, that is free of steps.
fn share_kept(sizes: &[f64]) -> (f64, f64) {
    KEPT.into_iter()
        .reduce(
            |large, small| if spread(sizes, small) < CLEARLY * spread(sizes, large) { small } else { large },
        )
        .unwrap_or((1.0, 1.0))
}

/// Returns the variance of differences, in order of size, from their smaller part as if they were normal.
fn spread(sizes: &[f64], (share, square): (f64, f64)) -> f64 {
    let kept = ((sizes.len() as f64 * share) as usize).max(1);
    let squares: f64 = sizes.iter().take(kept).map(|size| size * size).sum();
    squares / kept as f64 / square
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trace::segment::partition;
    use rand::SeedableRng;
    use rand_chacha::ChaCha8Rng;
    use rand_distr::{Distribution, StandardNormal};

    /// Noise of standard deviation 1, each sample correlated with the one before.
    fn noise(seed: u64, count: usize, correlation: f64) -> Vec<f64> {
        let mut dice = ChaCha8Rng::seed_from_u64(seed);
        let mut last = 0.0;
        let fresh = (1.0 - correlation * correlation).sqrt();
        (0..count)
            .map(|_| {
                let drawn: f64 = StandardNormal.sample(&mut dice);
                last = correlation * last + fresh * drawn;
                last
            })
            .collect()
    }

    fn levels(values: &[f64], step: f64) -> usize {
        let penalty = Noise::of(values, step).penalty(values.len());
        partition(values.iter().map(|value| (*value, 1.0)), penalty).starts.len()
    }

    #[test]
    fn size_and_correlation_are_found_through_steps_and_spikes() {
        for correlation in [0.0, 0.3, 0.6, 0.8] {
            let mut values = noise(3, 20_000, correlation);
            for (at, value) in values.iter_mut().enumerate() {
                *value += if at < 5_000 { 400.0 } else { 25.0 } + if at % 97 == 0 { 80.0 } else { 0.0 };
            }
            let found = Noise::of(&values, 0.0);
            assert!((found.correlation - correlation).abs() < 0.08, "{correlation}: {found:?}");
            assert!((found.sigma - 1.0).abs() < 0.12, "{correlation}: {found:?}");
        }
    }

    #[test]
    fn noise_alone_has_one_level() {
        for seed in 0..10 {
            for correlation in [0.0, 0.6, 0.8] {
                let values = noise(seed, 20_000, correlation);
                assert_eq!(levels(&values, 0.0), 1, "seed {seed}, correlation {correlation}");
                let held: Vec<f64> = values.iter().flat_map(|value| [*value; 5]).collect();
                assert_eq!(levels(&held, 0.0), 1, "seed {seed}, held");
                for step in [0.5, 2.0, 5.0] {
                    let counts: Vec<f64> = values.iter().map(|v| ((v + 0.3) / step).round() * step).collect();
                    let count = levels(&counts, step);
                    assert_eq!(count, 1, "seed {seed}, correlation {correlation}, step {step}");
                }
            }
        }
    }

    #[test]
    fn a_trace_without_noise_keeps_its_shortest_wakes() {
        let clean: Vec<f64> = (0..43_200).map(|at| if at % 576 == 575 { 210.0 } else { 25.0 }).collect();
        assert_eq!(levels(&clean, 1.0), 150);
        let cycling: Vec<f64> = (0..4_000).map(|at| if at % 12 < 6 { 300.0 } else { 25.0 }).collect();
        assert_eq!(levels(&cycling, 1.0), 667);
    }
}
