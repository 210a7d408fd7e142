//! Wake-ups that are known to be normal, and steps that a map's modules explain.
//! Leaves to others: finding wake-ups and steps (`wake`, `settle`), the figures (`circuits/wakes.yaml`).

use std::sync::OnceLock;

use serde::Deserialize;

use super::step::LevelStep;
use super::wake::Wake;
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::quantity::{Ampere, Minute, Unit};
use crate::base::yaml;
use crate::circuit::loads::KindBasis;
use crate::circuit::map::{Load, Map};

/// A kind of wake-up that is known to be normal.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Known {
    /// Short name.
    pub id: String,
    /// What it is, in words that follow on "fits".
    pub words: String,
    /// Basis of the figures.
    pub basis: KindBasis,
    /// Where they are from.
    pub source: String,
    #[serde(default)]
    rise_ma: Option<[f64; 2]>,
    #[serde(default)]
    seconds: Option<[f64; 2]>,
    #[serde(default)]
    period_min: Option<[f64; 2]>,
    #[serde(default)]
    windows_min: Option<Vec<[f64; 2]>>,
    #[serde(default)]
    down: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WakesSchema {
    format: String,
    wakes: Vec<Known>,
}

const TEXT: &str = include_str!("../../circuits/wakes.yaml");

/// Share by which published ranges are widened on both sides. Editorial.
const WIDENED: f64 = 0.2;

/// Returns the kinds that are built in. A test holds that they read; if they did not, there would be none.
pub fn builtin() -> &'static [Known] {
    static BUILTIN: OnceLock<Vec<Known>> = OnceLock::new();
    BUILTIN.get_or_init(|| read(TEXT).unwrap_or_default())
}

/// Reads kinds of wake-ups.
///
/// # Errors
/// Not YAML of the expected form, or an unknown format.
pub fn read(text: &str) -> Result<Vec<Known>, Faults> {
    let written: WakesSchema = yaml::read(text)?;
    if written.format != "fusetrail-wakes/1" {
        return Err(Diagnostic::new(format!("the format is {}", written.format))
            .expected("fusetrail-wakes/1")
            .into());
    }
    Ok(written.wakes)
}

fn within(range: Option<[f64; 2]>, value: f64) -> bool {
    range.is_none_or(|[low, high]| low * (1.0 - WIDENED) <= value && value <= high * (1.0 + WIDENED))
}

impl Known {
    /// Returns true if a wake-up fits: its rise above `level`, length and time, and the period of its kind.
    fn fits(&self, wake: &Wake, level: Ampere, period: Option<Minute>) -> bool {
        let rise = wake.peak - level;
        let in_window = |[from, to]: &[f64; 2]| (*from..=*to).contains(&wake.start.base());
        let in_rhythm = match (self.period_min, period) {
            (Some(range), Some(period)) => within(Some(range), period.base()),
            (Some(_), None) => false,
            (None, _) => true,
        };
        (rise < Ampere::ZERO) == self.down
            && within(self.rise_ma, rise.milli().abs())
            && within(self.seconds, wake.length.base() * 60.0)
            && self.windows_min.as_ref().is_none_or(|windows| windows.iter().any(in_window))
            && in_rhythm
    }
}

/// Returns the kinds that departures from `level` fit, each with how many do, in the order of the table. `period` is
/// that of the departures. A departure counts for the first kind that it fits.
pub fn recognise(wakes: &[Wake], level: Ampere, period: Option<Minute>) -> Vec<(&'static Known, usize)> {
    let mut found: Vec<(&Known, usize)> = builtin().iter().map(|known| (known, 0)).collect();
    for wake in wakes {
        if let Some((_, count)) = found.iter_mut().find(|(known, _)| known.fits(wake, level, period)) {
            *count += 1;
        }
    }
    found.retain(|(_, count)| *count > 0);
    found
}

/// A module may fall asleep earlier or later than its map says by this share of its time …
const LATE: f64 = 0.2;

/// … or by so many minutes, whichever is more. Editorial.
const LATE_MINUTES: f64 = 2.0;

/// A fall fits a module if neither is more than this many times the other. Editorial: awake currents vary widely.
const FITS: f64 = 1.6;

/// Returns the loads of a map that explain a step down: by their time, and one alone, or all of one wake group
/// together, by their current. Times count from the first sample.
pub fn explain(step: &LevelStep, map: &Map) -> Vec<String> {
    let fall = (step.from - step.to).base();
    let spare = (LATE * step.at.base()).max(LATE_MINUTES);
    let in_time = |due: Minute| (due - step.at).base().abs() <= spare;
    let alike = |amount: f64| amount > 0.0 && fall > 0.0 && amount.max(fall) <= FITS * amount.min(fall);
    let is_due = |(_, load): &(_, &Load)| load.sleeps_after > Minute::ZERO && in_time(load.sleeps_after);
    let due: Vec<_> = map.loads().filter(is_due).collect();
    let mut names: Vec<String> = due
        .iter()
        .filter(|(_, load)| alike((load.awake - load.asleep).base()))
        .map(|(id, load)| format!("{}/{}", map.feed_name(id.feed), load.name))
        .collect();
    for (index, group) in map.wake_groups.iter_ids() {
        let members: Vec<_> = due.iter().filter(|(_, load)| load.wake_group == Some(index)).collect();
        let sum: Ampere = members.iter().map(|(_, load)| load.awake - load.asleep).sum();
        if members.len() > 1 && alike(sum.base()) {
            names.push(format!("wake group {}", group.id));
        }
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::builtin;
    use crate::trace::wake::tests::wake;

    fn names(wakes: &[Wake], period: Option<f64>) -> Vec<&'static str> {
        let found = recognise(wakes, Ampere::from_milli(25.0), period.map(Minute::new));
        found.iter().map(|(known, _)| known.id.as_str()).collect()
    }

    #[test]
    fn the_built_in_kinds_read_and_are_recognised() {
        assert_eq!(read(TEXT).expect("sound").len(), 8);
        assert_eq!(names(&[wake(50.0, 45.0, 210.0)], Some(9.6)), ["telematics"]);
        assert!(names(&[wake(50.0, 45.0, 210.0)], None).is_empty(), "one pulse has no rhythm");
        assert_eq!(names(&[wake(300.0, 900.0, 1000.0)], None), ["leak-test"]);
        assert_eq!(names(&[wake(20.0, 600.0, -3000.0)], None), ["support"]);
        assert!(names(&[wake(200.0, 900.0, 4000.0)], None).is_empty());
    }

    #[test]
    fn a_step_is_explained_by_time_and_size() {
        let map = builtin::map("hatch").unwrap_or_else(|f| panic!("{f}"));
        let load = map.feeds.iter().flat_map(|feed| &feed.loads).find(|load| load.sleeps_after.base() > 5.0);
        let load = load.expect("a module");
        let asleep = Ampere::from_milli(25.0);
        let fall = load.awake - load.asleep;
        let step = LevelStep { at: load.sleeps_after, from: asleep + fall, to: asleep };
        assert!(explain(&step, &map).iter().any(|name| name.ends_with(&load.name)));
        let huge = LevelStep { from: Ampere::new(900.0), ..step };
        assert!(explain(&huge, &map).is_empty());
        let rise = LevelStep { from: asleep, to: asleep + fall, ..step };
        assert!(explain(&rise, &map).is_empty());
    }
}
