//! A share of cases with its interval, and the spread of a list of numbers.
//! Leaves to others: what the cases are.

use schemars::JsonSchema;
use serde::Serialize;

/// Two-sided 95 % point of the standard normal distribution.
const Z: f64 = 1.959_963_984_540_054;

/// So many of so many, with the 95 % interval of the share behind it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Rate {
    /// Cases that fit.
    pub hits: usize,
    /// Cases in all.
    pub of: usize,
    /// Share that fits; `None` without a case.
    #[serde(rename = "rate")]
    pub share: Option<f64>,
    /// Lower end of the interval, 0 without a case.
    pub low: f64,
    /// Upper end of the interval, 1 without a case.
    pub high: f64,
}

impl Rate {
    /// Makes the rate of so many out of so many; more hits than cases count as all.
    ///
    /// # Source
    /// Wilson (1927), score interval without continuity correction.
    pub fn new(hits: usize, of: usize) -> Self {
        let hits = hits.min(of);
        if of == 0 {
            return Self { hits, of, share: None, low: 0.0, high: 1.0 };
        }
        // Numbers of cases are far below 2^53.
        let (n, share) = (of as f64, hits as f64 / of as f64);
        let spread = Z * (share * (1.0 - share) / n + Z * Z / (4.0 * n * n)).sqrt();
        let (middle, scale) = (share + Z * Z / (2.0 * n), 1.0 + Z * Z / n);
        let low = if hits == 0 { 0.0 } else { (middle - spread) / scale };
        let high = if hits == of { 1.0 } else { (middle + spread) / scale };
        Self { hits, of, share: Some(share), low, high }
    }

    /// Counts the flags that are set.
    pub fn of(flags: impl IntoIterator<Item = bool>) -> Self {
        let (mut hits, mut of) = (0, 0);
        for flag in flags {
            of += 1;
            hits += usize::from(flag);
        }
        Self::new(hits, of)
    }
}

/// Median, mean and 90th percentile of a list of numbers; all zero for an empty one.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
pub struct Spread {
    /// Median.
    pub median: f64,
    /// Mean.
    pub mean: f64,
    /// 90th percentile.
    pub p90: f64,
}

impl Spread {
    /// Sums up a list; its order does not matter.
    pub fn of(numbers: impl IntoIterator<Item = f64>) -> Self {
        let mut sorted: Vec<f64> = numbers.into_iter().collect();
        sorted.sort_by(f64::total_cmp);
        if sorted.is_empty() {
            return Self::default();
        }
        let mean = sorted.iter().sum::<f64>() / sorted.len() as f64;
        Self { median: quantile(&sorted, 0.5), mean, p90: quantile(&sorted, 0.9) }
    }
}

/// Linear between the two neighbours (the seventh definition of Hyndman and Fan, 1996).
fn quantile(sorted: &[f64], at: f64) -> f64 {
    let place = at * sorted.len().saturating_sub(1) as f64;
    // The place lies within the list, so that it fits.
    let below = place.floor() as usize;
    let value = |index: usize| sorted.get(index.min(sorted.len().saturating_sub(1))).copied().unwrap_or(0.0);
    value(below) + (value(below + 1) - value(below)) * (place - place.floor())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Figures by hand from the formula: 81 of 263 gives 0.2553 to 0.3662, 15 of 148 gives 0.0624 to 0.1605
    /// (Newcombe, 1998, Statistics in Medicine 17, table I, method 3).
    #[test]
    fn the_interval_is_wilsons() {
        for (hits, of, low, high) in [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605)] {
            let rate = Rate::new(hits, of);
            assert!((rate.low - low).abs() < 5e-5 && (rate.high - high).abs() < 5e-5, "{rate:?}");
        }
        // 0 of 20 gives 0 to 0.1611, from the same table.
        let none = Rate::new(0, 20);
        assert!(none.low == 0.0 && (none.high - 0.1611).abs() < 5e-5, "{none:?}");
        assert_eq!(Rate::new(0, 0).share, None);
        assert_eq!(Rate::of([true, false, true]), Rate::new(2, 3));
    }

    #[test]
    fn the_spread_interpolates_between_neighbours() {
        let spread = Spread::of([4.0, 1.0, 2.0, 3.0]);
        assert_eq!((spread.median, spread.mean), (2.5, 2.5));
        assert!((spread.p90 - 3.7).abs() < 1e-12);
        assert_eq!(Spread::of([5.0]), Spread { median: 5.0, mean: 5.0, p90: 5.0 });
        assert_eq!(Spread::of([]), Spread::default());
    }
}
