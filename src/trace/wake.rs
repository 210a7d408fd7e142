//! Wake-ups: their length, peak and charge, and how far apart they are where they have no rhythm.
//! Leaves to others: finding them (`departure`), their rhythm (`series`), which are known to be normal (`known`).

use crate::base::quantity::{Ampere, AmpereHour, Minute, Unit};

/// A departure from the base and back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wake {
    /// When it begins, counted from the first sample.
    pub start: Minute,
    /// How long it lasts.
    pub length: Minute,
    /// Highest sample of it; the lowest for a departure downward.
    pub peak: Ampere,
    /// Charge above the base; negative for a departure downward.
    pub charge: AmpereHour,
}

/// Rises below this share of the middle one are left out where there is no rhythm: they are something else.
const SMALL: f64 = 0.25;

/// How often wake-ups come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Period {
    /// Time from start to start: of the rhythm, or the middle one where there is none.
    pub time: Minute,
    /// True if there is a rhythm.
    pub regular: bool,
}

/// Returns the middle time from start to start of wake-ups above `base`, all but the small ones. Nothing below three.
pub fn middle_interval(wakes: &[Wake], base: Ampere) -> Option<Minute> {
    let mut rises: Vec<f64> = wakes.iter().map(|wake| (wake.peak - base).abs().base()).collect();
    rises.sort_unstable_by(f64::total_cmp);
    let least = SMALL * rises.get(rises.len() / 2)?;
    let large: Vec<&Wake> = wakes.iter().filter(|wake| (wake.peak - base).abs().base() >= least).collect();
    let pairs = large.iter().zip(large.iter().skip(1));
    let mut intervals: Vec<f64> = pairs.map(|(a, b)| (b.start - a.start).base()).collect();
    intervals.sort_unstable_by(f64::total_cmp);
    let middle = intervals.get(intervals.len() / 2).filter(|_| intervals.len() > 1)?;
    let other = intervals.get((intervals.len() - 1) / 2)?;
    Some(Minute::new((middle + other) / 2.0))
}

#[cfg(test)]
pub(in crate::trace) mod tests {
    use super::*;

    pub(in crate::trace) fn wake(start: f64, seconds: f64, peak: f64) -> Wake {
        Wake {
            start: Minute::new(start),
            length: Minute::new(seconds / 60.0),
            peak: Ampere::from_milli(peak),
            charge: AmpereHour::ZERO,
        }
    }

    #[test]
    fn wakes_without_a_rhythm_have_a_middle_interval_and_two_have_none() {
        let starts = [0.0, 1.0, 7.0, 8.3, 31.0, 33.7, 60.0, 61.9];
        let base = Ampere::from_milli(25.0);
        let mut wakes = starts.map(|start| wake(start, 45.0, 210.0)).to_vec();
        let middle = |wakes: &[Wake]| middle_interval(wakes, base).expect("an interval").base();
        assert!((middle(&wakes) - 2.7).abs() < 1e-9);
        wakes.push(wake(62.0, 1.0, 30.0));
        assert!((middle(&wakes) - 2.7).abs() < 1e-9, "a small one is something else");
        assert_eq!(middle_interval(&wakes[..2], base), None);
    }
}
