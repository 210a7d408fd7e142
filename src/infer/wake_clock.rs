//! The wake clock: what it says of each circuit that so many wake-ups of a known series came while it was left out.
//! If the series is woken from behind what was out, it is silent; if not, it goes on, and so many came by chance.
//! Leaves to others: the closed form (`base/numeric/renewal`), finding the series (`trace`), other findings (`sign`).

use super::assumptions::{FOREIGN_WAKE, STRAY_SERIES};
use crate::base::numeric::renewal::Renewal;
use crate::base::quantity::{Minute, Unit};
use crate::log::trace_summary::{Departure, TraceSummary};
use crate::measure::event::TimeOut;

/// Intervals this far off a whole number of periods, as a share of one, belong to no series.
const FITS: f64 = 0.25;

/// Least jitter, as a share of the period: few intervals look more even than they are. Editorial.
const LEAST_JITTER: f64 = 0.02;

/// Least share of wake-ups that are missed, such as one too short for a meter that is read by eye. Editorial.
const LEAST_MISSED: f64 = 0.02;

/// Wake-ups that are to be due in the time that is proposed: two, so that one missed tells nothing wrong.
pub const WANTED: u32 = 2;

/// A series of wake-ups, in minutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Series(Renewal);

impl Series {
    /// Makes a series from what a meter log showed; `None` if nothing comes in a rhythm.
    pub fn of(watched: &TraceSummary) -> Option<Self> {
        let period = watched.period.filter(|period| watched.regular && *period > Minute::ZERO)?;
        let starts: Vec<f64> =
            watched.departures.iter().filter(|one| is_up(one)).map(|one| one.after.base()).collect();
        let intervals =
            starts.iter().zip(starts.iter().skip(1)).map(|(from, to)| (to - from) / period.base());
        let fits: Vec<(f64, f64)> = intervals
            .map(|turns| (turns.round(), turns - turns.round()))
            .filter(|(turns, off)| *turns >= 1.0 && off.abs() <= FITS)
            .collect();
        let turns: f64 = fits.iter().map(|(turns, _)| turns).sum();
        let count = fits.len() as f64;
        // Of so many intervals each is off by its own jitter alone; without any nothing is known of it.
        let jitter = if count > 0.0 {
            (fits.iter().map(|(turns, off)| off * off / turns).sum::<f64>() / count).sqrt()
        } else {
            FITS / 2.0
        };
        let missed = if turns > 0.0 { 1.0 - count / turns } else { 0.0 };
        let series = Self::new(period, period * jitter.max(LEAST_JITTER), missed.clamp(LEAST_MISSED, 0.5));
        Some(series)
    }

    /// Makes a series: its period, the standard deviation of one interval, and the share of wake-ups that are missed.
    pub fn new(period: Minute, jitter: Minute, missed: f64) -> Self {
        Self(Renewal { period: period.base(), jitter: jitter.base(), missed })
    }

    /// Returns how many wake-ups are due in a time, on average.
    pub fn due(&self, time: Minute) -> f64 {
        self.0.due(time.base())
    }

    /// Returns the time in which so many are due, in whole minutes.
    pub fn time_for(&self, wakes: u32) -> Minute {
        Minute::new((f64::from(wakes) * self.0.period).ceil().max(1.0))
    }

    /// Returns the probability that so many come in a time if the series goes on.
    pub fn by_chance(&self, came: u32, time: Minute) -> f64 {
        self.0.seen(came, time.base())
    }

    /// Returns how likely so many are if what was out does not wake it, and if it does. Both leave room for a series
    /// that is not of what is sought.
    pub fn likelihoods(&self, came: u32, time: Minute) -> (f64, f64) {
        let mixed = |p: f64| (1.0 - STRAY_SERIES) * p + STRAY_SERIES / 2.0;
        let silent = (1.0 - FOREIGN_WAKE) * FOREIGN_WAKE.powi(came.min(1000) as i32);
        (mixed(self.by_chance(came, time)), mixed(silent))
    }

    /// Returns the logarithm of how much likelier a time out is if what was out wakes the series.
    pub fn ln_ratio(&self, out: &TimeOut) -> f64 {
        let (elsewhere, here) = self.likelihoods(out.came, out.time);
        (here / elsewhere).ln()
    }
}

fn is_up(departure: &Departure) -> bool {
    departure.charge.base() >= 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::{Ampere, AmpereHour};

    fn watched(starts: &[f64]) -> TraceSummary {
        let one = |after: &f64| Departure {
            after: Minute::new(*after),
            length: Minute::new(1.0),
            peak: Ampere::from_milli(300.0),
            charge: AmpereHour::new(0.005),
        };
        TraceSummary {
            file: "night.csv".into(),
            span: Minute::new(600.0),
            rests_after: Some(Minute::new(10.0)),
            level: Some(Ampere::from_milli(24.0)),
            average: Some(Ampere::from_milli(50.0)),
            period: Some(Minute::new(10.0)),
            regular: true,
            away: 0.1,
            count: starts.len(),
            departures: starts.iter().map(one).collect(),
            started: None,
            ledger: crate::measure::night::Ledger::default(),
            curve: Vec::new(),
            channels: Vec::new(),
        }
    }

    #[test]
    fn jitter_and_what_is_missed_are_read_off_the_night() {
        let Series(even) = Series::of(&watched(&[10.0, 20.0, 30.0, 40.0, 60.0])).expect("a series");
        assert!((even.jitter - 0.2).abs() < 1e-12, "{even:?}");
        assert!((even.missed - 0.2).abs() < 1e-12, "one of five is missing: {even:?}");
        let Series(shaky) = Series::of(&watched(&[10.0, 19.0, 30.0, 39.0, 50.0])).expect("a series");
        assert!((shaky.jitter - 1.0).abs() < 1e-9, "{shaky:?}");
        assert_eq!(Series::of(&TraceSummary { regular: false, ..watched(&[10.0, 20.0]) }), None);
    }

    #[test]
    fn none_of_three_due_points_to_what_was_out_and_three_of_three_away_from_it() {
        let series = Series::new(Minute::new(10.0), Minute::new(0.5), 0.02);
        let ratio = |came: u32, minutes: f64| {
            let at = crate::measure::sighting::SightingPlace::Feed(crate::circuit::id::FeedId::from(0));
            series.ln_ratio(&TimeOut { entry: 1, at, time: Minute::new(minutes), came }).exp()
        };
        assert!(ratio(0, 30.0) > 20.0 && ratio(0, 30.0) < 40.0, "{}", ratio(0, 30.0));
        assert!(ratio(3, 30.0) < 0.1, "{}", ratio(3, 30.0));
        assert!(ratio(0, 2.0) < 1.5, "two minutes of ten say little: {}", ratio(0, 2.0));
        assert!((series.time_for(2).base() - 20.0).abs() < 1e-12);
    }
}
