//! Seeded draws: the same seed, subject and key give the same numbers on any machine, in any order of asking.
//! Leaves to others: what is drawn (`wiring`, `fault`) and how large its spread is (`constants`).

use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;

/// A sequence of draws for one subject.
pub(super) struct SimRng(ChaCha8Rng);

impl SimRng {
    /// Starts the draws of one subject, such as `fuses`.
    pub(super) fn new(seed: u64, subject: &str) -> Self {
        Self::keyed(seed, subject, 0)
    }

    /// Starts the draws of one subject at one key, such as a reading at one second of the hunt.
    pub(super) fn keyed(seed: u64, subject: &str, key: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(fold(fold(FNV_START, subject.as_bytes()), &key.to_le_bytes()));
        Self(rng)
    }

    /// Returns true with this probability.
    pub(super) fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// Draws a standard normal number.
    pub(super) fn normal(&mut self) -> f64 {
        self.0.sample(StandardNormal)
    }

    /// Draws a standard normal number cut at ± `most`.
    pub(super) fn normal_within(&mut self, most: f64) -> f64 {
        self.normal().clamp(-most.abs(), most.abs())
    }

    /// Draws a factor whose median is 1 and whose logarithm has this standard deviation.
    pub(super) fn factor(&mut self, ln_sd: f64) -> f64 {
        (self.normal() * ln_sd).exp()
    }

    /// Draws uniformly between two numbers.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Picks an index by weight; `None` if no weight is above zero.
    pub(super) fn pick(&mut self, weights: &[f64]) -> Option<usize> {
        let sum: f64 = weights.iter().filter(|w| **w > 0.0).sum();
        let mut left = self.unit() * sum;
        let mut last = None;
        for (index, weight) in weights.iter().enumerate().filter(|(_, w)| **w > 0.0) {
            last = Some(index);
            left -= weight;
            if left < 0.0 {
                break;
            }
        }
        last
    }

    /// Picks an index below `count` evenly; `None` if there is none.
    pub(super) fn index(&mut self, count: usize) -> Option<usize> {
        self.pick(&vec![1.0; count])
    }

    /// Draws uniformly from 0 (included) to 1 (left out).
    fn unit(&mut self) -> f64 {
        // 53 bits are what a double holds.
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }
}

const FNV_START: u64 = 0xcbf2_9ce4_8422_2325;

/// Folds bytes into a stream number: FNV-1a, 64 bits, chosen because it is the same on any machine.
fn fold(start: u64, bytes: &[u8]) -> u64 {
    bytes.iter().fold(start, |hash, byte| (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_key_gives_the_same_draws_and_another_key_others() {
        let draws = |seed, subject, key| {
            let mut rng = SimRng::keyed(seed, subject, key);
            (rng.normal(), rng.between(2.0, 3.0), rng.index(1000))
        };
        assert_eq!(draws(7, "fuses", 3), draws(7, "fuses", 3));
        assert_ne!(draws(7, "fuses", 3), draws(8, "fuses", 3));
        assert_ne!(draws(7, "fuses", 3), draws(7, "loads", 3));
        assert_ne!(draws(7, "fuses", 3), draws(7, "fuses", 4));
    }

    #[test]
    fn picks_follow_their_weights() {
        let mut rng = SimRng::new(1, "picks");
        let mut counts = [0; 3];
        for _ in 0..4000 {
            counts[rng.pick(&[3.0, 0.0, 1.0]).expect("a weight above zero")] += 1;
        }
        assert_eq!(counts[1], 0);
        // 3000 expected, standard deviation 27.
        assert!((counts[0] - 3000_i32).abs() < 120, "{counts:?}");
        assert_eq!(rng.pick(&[0.0, 0.0]), None);
        assert_eq!(rng.index(0), None);
    }
}
