//! How many events of a series are seen in a time that begins anywhere between two of them: intervals normal about the
//! period and independent of each other (a renewal process in its steady state), each event seen but for a share that is
//! missed. Any unit of time, the same throughout.
//! Leaves to others: which series it is (`infer/wake_clock`).
//!
//! With F the distribution of the sum of k intervals, P(N ≥ k in t) = (1/P) ∫₀ᵗ (F of k − 1 less F of k) dx, and for
//! normal sums ∫₋∞ˣ F = s (z Φ(z) + φ(z)) with z = (x − kP)/s, s = σ √k.
//!
//! # Source
//! D. R. Cox, Renewal Theory (1962), 2.2 and 3.4: first interval of an equilibrium renewal process; the rest is its
//! integral for normal intervals.

use super::density::{ln_normal, normal_below};

/// Largest jitter as a share of the period: beyond it an interval below zero is no longer rare.
const MOST_JITTER: f64 = 0.3;

/// Terms are summed to so many standard deviations beyond the events that are due.
const FAR: f64 = 8.0;

/// A series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Renewal {
    /// Mean interval.
    pub period: f64,
    /// Standard deviation of an interval; taken as at most 0.3 of the period.
    pub jitter: f64,
    /// Probability that an event is missed, 0 to 1.
    pub missed: f64,
}

impl Renewal {
    /// Returns how many events are due in a time, on average.
    pub fn due(&self, time: f64) -> f64 {
        time / self.period
    }

    /// Returns ∫₀ᵗ of the distribution of the sum of k intervals.
    fn area(&self, count: u32, time: f64) -> f64 {
        if count == 0 {
            return time;
        }
        let mean = f64::from(count) * self.period;
        let spread = f64::from(count).sqrt() * self.jitter.min(MOST_JITTER * self.period);
        let below = |x: f64| {
            if spread <= 0.0 {
                return (x - mean).max(0.0);
            }
            let z = (x - mean) / spread;
            spread * (z * normal_below(z) + ln_normal(z, 0.0, 1.0).exp())
        };
        below(time) - below(0.0)
    }

    /// Returns the probability of so many events at least.
    fn at_least(&self, count: u32, time: f64) -> f64 {
        match count {
            0 => 1.0,
            count => ((self.area(count - 1, time) - self.area(count, time)) / self.period).clamp(0.0, 1.0),
        }
    }

    /// Returns the probability that exactly so many events are seen in a time; 0 for a time below zero.
    pub fn seen(&self, count: u32, time: f64) -> f64 {
        if time < 0.0 || self.period <= 0.0 {
            return 0.0;
        }
        let due = self.due(time);
        // Far below 2^32: whoever asks counts by hand.
        let last = (due + FAR * (1.0 + due.sqrt())).min(1e6) as u32;
        let seen = 1.0 - self.missed;
        // Of k events `count` are seen: the binomial share, from one k to the next.
        let mut share = seen.powi(count.min(1_000_000) as i32);
        let mut sum = 0.0;
        for happened in count..=last.max(count) {
            sum += share * (self.at_least(happened, time) - self.at_least(happened + 1, time)).max(0.0);
            share *= self.missed * f64::from(happened + 1) / f64::from(happened + 1 - count);
        }
        sum.clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Even numbers between 0 and 1 from a seed.
    struct Dice(u64);

    impl Dice {
        fn even(&mut self) -> f64 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
        }

        /// Box and Muller, 1958.
        fn normal(&mut self) -> f64 {
            (-2.0 * self.even().ln()).sqrt() * (std::f64::consts::TAU * self.even()).cos()
        }
    }

    /// How often none to three are seen in a time that begins long after the series did, anywhere.
    fn played(series: &Renewal, time: f64, dice: &mut Dice) -> [f64; 4] {
        let mut hits = [0.0; 4];
        for _ in 0..ROUNDS {
            let begin = series.period * (8.0 + dice.even());
            let (mut now, mut seen) = (0.0, 0);
            while now < begin + time {
                now += series.period + series.jitter * dice.normal();
                let is_in = (begin..begin + time).contains(&now);
                seen += usize::from(is_in && dice.even() >= series.missed);
            }
            if let Some(hit) = hits.get_mut(seen) {
                *hit += 1.0 / f64::from(ROUNDS);
            }
        }
        hits
    }

    const ROUNDS: i32 = 20_000;

    #[test]
    fn the_closed_form_is_what_is_played() {
        let mut dice = Dice(7);
        for (jitter, missed) in [(0.05, 0.0), (0.2, 0.0), (0.1, 0.1), (0.25, 0.3)] {
            let series = Renewal { period: 10.0, jitter: 10.0 * jitter, missed };
            for time in [4.0, 9.0, 11.0, 24.0, 35.0] {
                for (count, seen) in (0..).zip(played(&series, time, &mut dice)) {
                    let told = series.seen(count, time);
                    // Five standard deviations of the rounds, and one round.
                    let room = 5.0 * (told * (1.0 - told) / f64::from(ROUNDS)).sqrt() + 6e-5;
                    assert!((told - seen).abs() < room, "{jitter} {missed} {time} {count}: {told} {seen}");
                }
            }
        }
    }

    #[test]
    fn without_jitter_it_is_plain_and_in_any_case_all_counts_make_one() {
        let exact = Renewal { period: 10.0, jitter: 0.0, missed: 0.0 };
        // An interval below zero comes once in 3,000,000 at this jitter.
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-7, "{a} {b}");
        near(exact.seen(0, 4.0), 0.6);
        near(exact.seen(1, 4.0), 0.4);
        near(exact.seen(0, 10.0), 0.0);
        near(exact.seen(2, 25.0), 0.5);
        let shaky = Renewal { period: 10.0, jitter: 2.0, missed: 0.2 };
        near((0..40).map(|count| shaky.seen(count, 55.0)).sum(), 1.0);
        near(shaky.seen(0, -1.0), 0.0);
    }
}
