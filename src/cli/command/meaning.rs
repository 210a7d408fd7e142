//! What an entry just added means, in short: its current with the interval, and what to know about it.
//! Leaves to others: conversion (`measure/convert`), doubt (`measure/doubt`), the account (`balance`).

use crate::base::quantity::show::q;
use crate::base::quantity::{Ampere, Typed, Uncertain, Volt};
use crate::base::styled::{Role, StyledText};
use crate::circuit::fuse_table::FuseTable;
use crate::hunt::analysis::Analysis;
use crate::hunt::slip::slip;
use crate::hunt::supply;
use crate::instrument::uncertainty::{Zero, current};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::measure::convert::current_of_drop;
use crate::measure::doubt::doubts;
use crate::measure::event::Event;
use crate::measure::observe::fuse_of;
use crate::measure::{Measurement, Reading};
use crate::render::json::log::{AddShape, EntryShape};
use crate::text;

/// What an entry means.
#[derive(Debug, Clone)]
pub struct EntryMeaning {
    entry: usize,
    current: Option<Uncertain<Ampere>>,
    floor: Option<Uncertain<Ampere>>,
    below_floor: bool,
    what: String,
    warnings: Vec<String>,
}

/// Returns what entries just added mean: those of the case from the number `first` on.
pub fn of(case: &Case, first: usize, bodies: &[LogEvent]) -> Vec<EntryMeaning> {
    let reads = bodies.iter().any(|body| matches!(body, LogEvent::Reading(_)));
    let analysis = reads.then(|| Analysis::of(case));
    (first..)
        .zip(bodies)
        .map(|(entry, body)| {
            let reading = case.readings.iter().rev().find(|reading| reading.entry == entry);
            let mut meant = match reading.zip(analysis.as_ref()) {
                Some((reading, analysis)) => {
                    let plain = EntryMeaning::plain(entry, text::reading::brief(&reading.what));
                    let mut meant = of_reading(case, reading, plain);
                    meant.question(reading, analysis);
                    if let Some(out) = analysis.observed.times_out.iter().find(|out| out.entry == entry) {
                        let said = text::reading::time_out(analysis.facts.series.as_ref(), out);
                        meant.what = format!("{}. {said}", meant.what);
                    }
                    meant
                }
                None => EntryMeaning::plain(entry, text::entry::added(body)),
            };
            meant.warnings.extend(beside(case, entry, body).map(|line| line.text()));
            let slip = slip(case, body, entry).map(|slip| text::slip::entered(&slip));
            meant.warnings.extend(slip);
            meant
        })
        .collect()
}

/// Returns what the case makes of an entry beside its value: a total too early or after the repair, volts that fell.
fn beside(case: &Case, entry: usize, body: &LogEvent) -> Option<StyledText> {
    match body {
        LogEvent::Volts { volts } => supply::sagged(case, volts.value),
        LogEvent::Reading(measured) => {
            let told = text::reading::apart(measured.provisional);
            let is_past = case.reading(entry)?.after_repair && !measured.after_repair;
            (measured.provisional || is_past).then_some(told)
        }
        _ => None,
    }
}

fn of_reading(case: &Case, reading: &Reading, meant: EntryMeaning) -> EntryMeaning {
    let fall = |before: &Typed<Ampere>, after: &Typed<Ampere>| {
        current(before, &reading.clamp).minus(&current(after, &reading.clamp))
    };
    let shown = match &reading.what {
        Measurement::Total { current: shown, .. } | Measurement::Watch { current: shown } => {
            current(shown, &reading.clamp)
        }
        Measurement::Clamp { current: shown, .. } | Measurement::Refit { total: shown, .. } => {
            current(shown, &reading.clamp)
        }
        Measurement::Pull { before, after, .. }
        | Measurement::Unplug { before, after, .. }
        | Measurement::Input { before, after, .. } => fall(before, after),
        Measurement::Drop { feed, drop } => return of_drop(case, reading, feed, drop, meant),
        _ => return meant,
    };
    EntryMeaning { current: Some(shown), ..meant }
}

fn of_drop(
    case: &Case,
    reading: &Reading,
    feed: &str,
    drop: &Typed<Volt>,
    meant: EntryMeaning,
) -> EntryMeaning {
    let table = FuseTable::builtin();
    let Some(feed) = case.map.feeds.find_id(|known| known.id == feed) else { return meant };
    let fuse = match fuse_of(feed, &case.map, table) {
        Ok(fuse) => fuse,
        // Kept all the same: the reading may serve once the fuse's resistance is known.
        Err(fault) => return EntryMeaning { warnings: vec![fault.to_string()], ..meant },
    };
    let zero = reading.zero.map(|(entry, offset)| Zero { entry, offset });
    let found = current_of_drop(drop, &reading.meter, zero, &fuse, &reading.temperature, table);
    EntryMeaning {
        warnings: text::convert::warnings(&found, &fuse.resistance),
        current: Some(found.current),
        floor: Some(found.floor),
        below_floor: found.below_floor,
        ..meant
    }
}

impl EntryMeaning {
    fn plain(entry: usize, what: String) -> Self {
        Self { entry, current: None, floor: None, below_floor: false, what, warnings: Vec::new() }
    }

    /// Adds what is doubtful about a reading, and what it did beside: each asks for something, and none is refused.
    fn question(&mut self, reading: &Reading, analysis: &Analysis) {
        let doubts = doubts(reading, analysis.total.as_ref(), &analysis.panel);
        self.warnings.extend(doubts.iter().map(text::doubt::doubt));
        let events = analysis.observed.events.iter().filter(|(entry, _)| *entry == reading.entry);
        // That a fuse has no figure is said already.
        let beside = events.filter(|(_, event)| !matches!(event, Event::NoResistance { .. }));
        self.warnings.extend(beside.map(|(_, event)| text::reading::event(event).text()));
        // Of several entries that contradict each other the last one says so.
        let conflicts = analysis
            .conflicts()
            .iter()
            .filter(|conflict| conflict.entries.iter().max() == Some(&reading.entry));
        self.warnings.extend(conflicts.map(|conflict| text::account::conflict(conflict, &analysis.panel)));
    }

    /// Returns it in one line for people.
    pub fn lines(&self) -> Vec<StyledText> {
        let mut line = StyledText::of(Role::Hint, format!("{}: ", self.entry)).and(Role::Plain, &self.what);
        if let Some(current) = &self.current {
            let floor = self.floor.as_ref().map(|floor| (floor.value(), self.below_floor));
            line = text::reading::came_to(line, current, floor);
        }
        vec![line]
    }

    /// Returns the warnings for people.
    pub fn warning_lines(&self) -> Vec<StyledText> {
        let line = |text: &String| StyledText::of(Role::Doubt, "warning: ").and(Role::Plain, text);
        self.warnings.iter().map(line).collect()
    }
}

/// Returns the JSON shape.
pub fn shape(meant: &[EntryMeaning]) -> AddShape {
    let entries = meant.iter().map(|meant| EntryShape::of(meant.entry, meant.current.as_ref().map(q)));
    AddShape::of(entries.collect(), meant.iter().flat_map(|meant| meant.warnings.clone()).collect())
}
