//! Cuts a series into constant levels: exact penalised least squares by functional pruning.
//! Leaves to others: the penalty (`noise`), what the levels mean (`settle`). Minimum lengths have no place here:
//! they would make the optimum something else than what is printed.
//!
//! The cost of a cut is the sum of weighted squares about each level's mean, plus the penalty for each change. The
//! least cost of the first t points is kept as a function of the last level: a row of parabolas, each the best on
//! its interval. A new point adds the same parabola to all of them; a change before it is worth its penalty only
//! where all of them exceed a constant. Intervals that are lost never come back, so that few parabolas are alive
//! at any time, on long quiet stretches too.
//!
//! # Source
//! R. Maidstone, T. Hocking, G. Rigaill, P. Fearnhead: On optimal multiple changepoint algorithms for large data,
//! Statistics and Computing 27 (2017) 519-533, section 4 (functional pruning of the optimal partitioning).

use std::mem;

/// The best cut of a series.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Partition {
    /// Index of the first point of each level; the first is 0. Empty for an empty series.
    pub starts: Vec<usize>,
    /// Sum of weighted squares plus the penalty for each change, in the square of the points' unit.
    pub objective: f64,
}

/// The cost as a function of the last level, on the interval where this is the cheapest way to get there:
/// `least + weight · (level − mean)²`. Mean and least are updated step by step, never as differences of large
/// sums, which would lose all digits of a small noise on a large level.
#[derive(Debug, Clone, Copy)]
struct LevelPiece {
    low: f64,
    high: f64,
    weight: f64,
    mean: f64,
    least: f64,
    /// Run at which the last level begins.
    start: u32,
}

impl LevelPiece {
    /// Returns the piece cut down to where it does not exceed `bound`, or nothing.
    fn below(mut self, bound: f64) -> Option<Self> {
        let room = bound - self.least;
        let reach = (self.high - self.mean).max(self.mean - self.low);
        if self.weight * (reach * reach) <= room {
            return Some(self);
        }
        if room < 0.0 {
            return None;
        }
        let radius = (room / self.weight).sqrt();
        self.low = self.low.max(self.mean - radius);
        self.high = self.high.min(self.mean + radius);
        (self.low < self.high).then_some(self)
    }

    /// Adds a point.
    fn with(mut self, value: f64, weight: f64) -> Self {
        let total = self.weight + weight;
        let off = value - self.mean;
        let share = weight / total;
        self.least += off * off * self.weight * share;
        self.mean += off * share;
        self.weight = total;
        self
    }
}

/// Runs of equal neighbours so far, with the best cut of each beginning of the series.
#[derive(Debug, Default)]
struct Runs {
    /// Index of the first point of each run.
    first: Vec<u32>,
    /// Run at which the last level begins when the series ends with this run.
    last_level: Vec<u32>,
}

/// The search for the best cut, point by point.
#[derive(Debug)]
struct Partitioning {
    penalty: f64,
    pieces: Vec<LevelPiece>,
    spare: Vec<LevelPiece>,
    best: f64,
    runs: Runs,
}

impl Partitioning {
    fn new(penalty: f64) -> Self {
        // The first level costs no penalty.
        Self { penalty, pieces: Vec::new(), spare: Vec::new(), best: -penalty, runs: Runs::default() }
    }

    /// Takes a run of equal points that begins at the point `first`.
    fn take(&mut self, value: f64, weight: f64, first: u32) {
        // Runs are no more than points, which are counted in 32 bits.
        let start = self.runs.first.len() as u32;
        let bound = self.best + self.penalty;
        let fresh = |low, high| LevelPiece { low, high, weight, mean: value, least: bound, start };
        let mut best = f64::INFINITY;
        let mut last_level = start;
        let mut reached = f64::NEG_INFINITY;
        self.spare.clear();
        for piece in &self.pieces {
            let Some(kept) = piece.below(bound) else { continue };
            if kept.low > reached {
                self.spare.push(fresh(reached, kept.low));
            }
            reached = kept.high;
            let kept = kept.with(value, weight);
            if kept.least < best {
                best = kept.least;
                last_level = kept.start;
            }
            self.spare.push(kept);
        }
        if reached < f64::INFINITY {
            self.spare.push(fresh(reached, f64::INFINITY));
        }
        if bound < best {
            best = bound;
            last_level = start;
        }
        self.best = best;
        mem::swap(&mut self.pieces, &mut self.spare);
        self.runs.first.push(first);
        self.runs.last_level.push(last_level);
    }

    fn finish(self) -> Partition {
        let mut starts = Vec::new();
        let mut end = self.runs.first.len();
        while let Some(run) = end.checked_sub(1).and_then(|last| self.runs.last_level.get(last)) {
            end = *run as usize;
            starts.extend(self.runs.first.get(end).map(|first| *first as usize));
        }
        starts.reverse();
        let objective = if starts.is_empty() { 0.0 } else { self.best };
        Partition { starts, objective }
    }
}

/// Returns the cheapest cut of a series of points, each a finite value with a weight above zero, into constant
/// levels. Equal neighbours are merged first, which changes nothing: a change between them never pays.
/// `penalty` is the price of a change, in the square of the values' unit; below zero it counts as zero.
/// Of several cuts of the same cost one is returned. At most 2³² points are taken.
pub fn partition(points: impl IntoIterator<Item = (f64, f64)>, penalty: f64) -> Partition {
    let mut points = points.into_iter();
    let Some((origin, weight)) = points.next() else { return Partition::default() };
    let mut search = Partitioning::new(penalty.max(0.0));
    // Values are counted from the first, so that a large offset costs no digits.
    let mut run = (0.0, weight, 0_u32);
    for (index, (value, weight)) in (1..=u32::MAX).zip(points) {
        let value = value - origin;
        if value == run.0 {
            run.1 += weight;
        } else {
            search.take(run.0, run.1, run.2);
            run = (value, weight, index);
        }
    }
    search.take(run.0, run.1, run.2);
    search.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Sum of weighted squares of a cut plus penalties, computed in the plainest way.
    pub(super) fn cost(points: &[(f64, f64)], starts: &[usize], penalty: f64) -> f64 {
        let mut sum = penalty * (starts.len() as f64 - 1.0);
        for (at, start) in starts.iter().enumerate() {
            let part = &points[*start..starts.get(at + 1).copied().unwrap_or(points.len())];
            let weight: f64 = part.iter().map(|(_, w)| w).sum();
            let mean = part.iter().map(|(v, w)| v * w).sum::<f64>() / weight;
            sum += part.iter().map(|(v, w)| w * (v - mean).powi(2)).sum::<f64>();
        }
        sum
    }

    /// The least cost over all cuts, by trying every one.
    fn least_of_all(points: &[(f64, f64)], penalty: f64) -> f64 {
        (0..1_u32 << (points.len() - 1))
            .map(|cuts| {
                let starts: Vec<usize> =
                    (0..points.len()).filter(|at| *at == 0 || cuts >> (at - 1) & 1 == 1).collect();
                cost(points, &starts, penalty)
            })
            .fold(f64::INFINITY, f64::min)
    }

    fn plain(values: &[f64]) -> Vec<(f64, f64)> {
        values.iter().map(|value| (*value, 1.0)).collect()
    }

    #[test]
    fn a_step_is_found_and_nothing_is_found_in_nothing() {
        let found = partition(plain(&[1.0, 1.2, 0.9, 5.0, 5.1, 4.9]), 1.0);
        assert_eq!(found.starts, [0, 3]);
        assert_eq!(partition([], 1.0), Partition::default());
        assert_eq!(partition(plain(&[7.0]), 1.0).starts, [0]);
        assert_eq!(partition(plain(&[7.0; 50]), 0.0), Partition { starts: vec![0], objective: 0.0 });
    }

    /// The rule of the NIST StRD set NumAcc4: 10000000.2, then 10000000.1 and 10000000.3 in turns. Sums of squares
    /// about zero lose every digit of the noise there.
    #[test]
    fn a_small_noise_on_a_large_level_keeps_its_digits() {
        let set = |shift: f64| {
            (0..1001).map(move |at| match at {
                0 => 10_000_000.2 + shift,
                at if at % 2 == 1 => 10_000_000.1 + shift,
                _ => 10_000_000.3 + shift,
            })
        };
        let one = partition(set(0.0).map(|value| (value, 1.0)), 1.0);
        assert_eq!(one.starts, [0]);
        // Squares about the mean: 1000 · 0.1²; the values themselves are rounded to 2e-9.
        assert!((one.objective - 10.0).abs() < 1e-6, "{}", one.objective);
        let two = partition(set(0.0).chain(set(0.25)).map(|value| (value, 1.0)), 1.0);
        assert_eq!(two.starts, [0, 1001]);
        assert!((two.objective - 21.0).abs() < 1e-6, "{}", two.objective);
    }

    #[test]
    fn few_pieces_are_alive_on_a_long_quiet_stretch() {
        let mut search = Partitioning::new(30.0);
        let mut most = 0;
        let mut state = 1_u64;
        for at in 0..200_000_u32 {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            search.take((state >> 11) as f64 / (1_u64 << 53) as f64, 1.0, at);
            most = most.max(search.pieces.len());
        }
        assert!(most < 60, "{most} pieces");
        assert_eq!(search.finish().starts, [0]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn no_cut_of_a_short_series_is_cheaper(
            points in prop::collection::vec((-3.0..3.0_f64, 0.1..4.0_f64), 1..11),
            penalty in 0.0..8.0_f64,
        ) {
            let found = partition(points.iter().copied(), penalty);
            let least = least_of_all(&points, penalty);
            prop_assert!((found.objective - least).abs() <= 1e-9 * (1.0 + least), "{} {least}", found.objective);
            prop_assert!((cost(&points, &found.starts, penalty) - least).abs() <= 1e-9 * (1.0 + least));
        }

        #[test]
        fn no_other_cut_that_is_tried_is_cheaper(
            values in prop::collection::vec(prop::sample::select(vec![0.0, 1.0, 1.5, 7.0, 20.0, 21.0]), 2..300),
            cuts in prop::collection::vec(0.0..1.0_f64, 0..20),
            penalty in 0.01..200.0_f64,
        ) {
            let points = plain(&values);
            let found = partition(points.iter().copied(), penalty);
            let mut starts: Vec<usize> = cuts.iter().map(|cut| (cut * values.len() as f64) as usize).collect();
            starts.push(0);
            starts.sort_unstable();
            starts.dedup();
            prop_assert!(found.objective <= cost(&points, &starts, penalty) + 1e-9);
        }

        #[test]
        fn merging_equal_neighbours_changes_nothing(
            runs in prop::collection::vec((-20_i32..20, 1_usize..30), 1..60),
            penalty in 0.1..100.0_f64,
        ) {
            let merged: Vec<(f64, f64)> = runs.iter().map(|(v, n)| (f64::from(*v) * 0.37, *n as f64)).collect();
            let single: Vec<(f64, f64)> =
                merged.iter().flat_map(|(value, n)| (0..*n as usize).map(|_| (*value, 1.0))).collect();
            // Each point by itself, past the merging that `partition` does.
            let mut search = Partitioning::new(penalty);
            for (at, (value, weight)) in (0_u32..).zip(&single) {
                search.take(*value, *weight, at);
            }
            let (apart, together) = (search.finish(), partition(merged, penalty));
            let whole = partition(single.iter().copied(), penalty);
            let size = 1.0 + apart.objective;
            prop_assert!((apart.objective - together.objective).abs() <= 1e-9 * size);
            prop_assert!((apart.objective - whole.objective).abs() <= 1e-9 * size);
            prop_assert!((cost(&single, &whole.starts, penalty) - apart.objective).abs() <= 1e-9 * size);
        }
    }
}
