//! Wake-ups that are known to be normal, and steps that a map's modules explain.
//! Leaves to others: finding wake-ups and steps (`wake`, `settle`), the figures (`circuits/wakes.yaml`).

use serde::Deserialize;

use super::ledger::{Ledger, LedgerKind, LedgerLine};
use super::step::LevelStep;
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::quantity::{Ampere, Minute, Unit};
use crate::base::yaml;
use crate::circuit::id::GroupId;
use crate::circuit::loads::KindBasis;
use crate::circuit::map::{Load, Map};
use crate::circuit::tables;

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

tables::builtin!(pub Vec<Known>, read(TEXT));

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
    /// Returns true if a line of a ledger fits: its rise above the rest, length and time, and its period.
    fn fits(&self, line: &LedgerLine, rest: Ampere) -> bool {
        let rise = line.peak - rest;
        let in_window = |[from, to]: &[f64; 2]| (*from..=*to).contains(&line.first.base());
        let in_rhythm = match (self.period_min, line.period) {
            (Some(range), Some(period)) => within(Some(range), period.base()),
            (Some(_), None) => false,
            (None, _) => true,
        };
        (rise < Ampere::ZERO) == self.down
            && within(self.rise_ma, rise.milli().abs())
            && within(self.seconds, line.length.base() * 60.0)
            // What comes at its hour is no series.
            && self
                .windows_min
                .as_ref()
                .is_none_or(|windows| line.period.is_none() && windows.iter().any(in_window))
            && in_rhythm
    }
}

/// What a line of a ledger may be: one thing a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Attribution {
    /// A module of the map, or a wake-up known from elsewhere.
    pub name: String,
    /// The wake-up that is known, if it is one.
    pub known: Option<&'static Known>,
    /// True if it is known to be normal, and takes too little to matter.
    pub usual: bool,
}

/// A wake-up is harmless if it takes no more than this share of the limit on average. Editorial: what the published
/// wake-ups of telematics units take is up to half of the usual 50 mA.
const HARMLESS: f64 = 0.5;

/// Limit that tells what is harmless where no other is known. Editorial: the trade's usual one.
pub const USUAL_LIMIT: Ampere = Ampere::new(0.05);

/// A module's rise fits if neither is more than this many times the other.
const RISE_FITS: f64 = 1.25;

/// Returns what each line of a ledger may be: a known wake-up, told by the module of the map that does so, or the one
/// module of the map that rises so. `limit` tells what is harmless.
pub fn attribute(ledger: &Ledger, map: Option<&Map>, limit: Ampere) -> Vec<Option<Attribution>> {
    let rest = ledger.lines.first().map_or(Ampere::ZERO, |line| line.peak);
    ledger
        .lines
        .iter()
        .map(|line| {
            if matches!(line.what, LedgerKind::Rest | LedgerKind::Unfinished) {
                return None;
            }
            let takes_little = ledger.per_day(line) / 24.0 <= HARMLESS * limit.base();
            let known = builtin().iter().find(|known| known.fits(line, rest));
            let known_module =
                known.zip(map).and_then(|(known, map)| only(map, |load| load.kind == known.id));
            // What takes much is looked for on the map first.
            let rises = || map.and_then(|map| only(map, |load| fits(load.awake - load.asleep, line)));
            match (known, rises().filter(|_| known_module.is_none() && !(known.is_some() && takes_little))) {
                (_, Some(name)) => Some(Attribution { name, known: None, usual: false }),
                (Some(of), None) => {
                    let name = known_module.unwrap_or_else(|| of.words.clone());
                    Some(Attribution { name, known, usual: takes_little })
                }
                (None, None) => None,
            }
        })
        .collect()
}

/// Returns true if a line rises by about so much.
fn fits(due: Ampere, line: &LedgerLine) -> bool {
    let (rise, due) = (line.rise.base(), due.base());
    due > 0.0 && rise > 0.0 && due.max(rise) <= RISE_FITS * due.min(rise)
}

/// Returns true if a load is known to wake so, or rises so when it is awake. `rest` is the level that it rises from.
pub fn wakes_so(load: &Load, line: &LedgerLine, rest: Ampere) -> bool {
    let is_known = builtin().iter().any(|known| known.id == load.kind && known.fits(line, rest));
    is_known || fits(load.awake - load.asleep, line)
}

/// Returns true if all modules of a network together rise so.
pub fn wake_together(group: GroupId, line: &LedgerLine, map: &Map) -> bool {
    let members = map.loads().filter(|(_, load)| load.wake_group == Some(group));
    fits(members.map(|(_, load)| load.awake - load.asleep).sum(), line)
}

/// Returns the name of the one load of a map that fits; none if several do.
fn only(map: &Map, fits: impl Fn(&Load) -> bool) -> Option<String> {
    let mut found = map.loads().filter(|(_, load)| fits(load));
    let (_, load) = found.next()?;
    found.next().is_none().then(|| load.name.clone())
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
    use crate::base::quantity::AmpereHour;
    use crate::circuit::builtin;

    /// A ledger of eight hours: 25 mA of rest, and one line so often, so long and so high.
    fn ledger(times: usize, start: f64, seconds: f64, peak: f64, period: Option<f64>) -> Ledger {
        let rest = LedgerLine {
            what: LedgerKind::Rest,
            times: 1,
            period: None,
            length: Minute::new(480.0),
            peak: Ampere::from_milli(25.0),
            rise: Ampere::ZERO,
            charge: AmpereHour::new(0.2),
            first: Minute::ZERO,
        };
        let charge = (peak - 25.0) / 1e3 * seconds / 3_600.0 * times as f64;
        let line = LedgerLine {
            what: if period.is_some() { LedgerKind::Series } else { LedgerKind::Single },
            times,
            period: period.map(Minute::new),
            length: Minute::new(seconds / 60.0),
            peak: Ampere::from_milli(peak),
            rise: Ampere::from_milli(peak - 25.0),
            charge: AmpereHour::new(charge),
            first: Minute::new(start),
        };
        Ledger { lines: vec![rest, line], held: Minute::new(480.0) }
    }

    fn name(ledger: &Ledger) -> Option<(&'static str, bool)> {
        let found = attribute(ledger, None, Ampere::from_milli(50.0)).pop()??;
        found.known.map(|known| (known.id.as_str(), found.usual))
    }

    #[test]
    fn the_built_in_kinds_read_and_are_recognised() {
        assert_eq!(read(TEXT).expect("sound").len(), 8);
        assert_eq!(name(&ledger(50, 50.0, 45.0, 210.0, Some(9.6))), Some(("telematics", true)));
        assert_eq!(name(&ledger(1, 50.0, 45.0, 210.0, None)), None, "one pulse has no rhythm");
        assert_eq!(
            name(&ledger(1, 300.0, 900.0, 1000.0, None)),
            Some(("leak-test", false)),
            "a quarter of an ampere-hour"
        );
        assert_eq!(name(&ledger(1, 20.0, 600.0, -3000.0, None)).map(|found| found.0), Some("support"));
        assert_eq!(name(&ledger(1, 200.0, 900.0, 4000.0, None)), None);
        assert_eq!(name(&ledger(1, 30.0, 90.0, 4000.0, None)), Some(("cluster", true)));
        assert_eq!(
            name(&ledger(40, 30.0, 90.0, 4000.0, Some(9.0))),
            None,
            "it comes at its hour, not every nine minutes"
        );
    }

    #[test]
    fn what_is_known_is_usual_only_while_it_takes_little() {
        // 500 mA for 100 s each ten minutes: 83 mA on average.
        assert_eq!(name(&ledger(48, 50.0, 100.0, 525.0, Some(10.0))), Some(("radio-wake", false)));
        assert_eq!(name(&ledger(4, 50.0, 100.0, 525.0, Some(120.0))), Some(("radio-wake", true)));
    }

    #[test]
    fn the_one_module_that_rises_so_is_named_and_of_two_none() {
        let map = builtin::map("van").unwrap_or_else(|f| panic!("{f}"));
        let telematics = only(&map, |load| load.kind == "telematics").expect("one");
        let found =
            attribute(&ledger(50, 50.0, 45.0, 210.0, Some(9.6)), Some(&map), Ampere::from_milli(50.0));
        assert_eq!(found[1].as_ref().map(|found| found.name.clone()), Some(telematics));
        assert_eq!(only(&map, |_| true), None);
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
