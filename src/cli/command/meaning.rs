//! What an entry just added means, in short: its current with the interval, and what to know about it.
//! Leaves to others: conversion (`reading/convert`), doubt (`reading/doubt`), the account (`account`).

use serde_json::{Value, json};

use crate::circuits::fuse_table::FuseTable;
use crate::fault::Fault;
use crate::hunt::analysis::Analysis;
use crate::instrument::uncertainty::{Zero, current};
use crate::piece::{Line, Role};
use crate::quantity::show::{bare, q, with_interval};
use crate::quantity::{Ampere, Typed, Uncertain};
use crate::reading::convert::{Fuse, current_of_drop};
use crate::reading::doubt::doubts;
use crate::reading::event::Event;
use crate::reading::{Reading, What};
use crate::session::case::Case;
use crate::session::entry::Body;
use crate::words;

/// What an entry means.
#[derive(Debug, Clone)]
pub struct Meant {
    entry: usize,
    current: Option<Uncertain<Ampere>>,
    floor: Option<Uncertain<Ampere>>,
    below_floor: bool,
    what: String,
    warnings: Vec<String>,
}

/// Returns what entries just added mean: those of the case from the number `first` on.
///
/// # Errors
/// The fuse tables of this build do not read.
pub fn of(case: &Case, first: usize, bodies: &[Body]) -> Result<Vec<Meant>, Fault> {
    let analysis = if bodies.iter().any(|body| matches!(body, Body::Reading(_))) {
        Some(Analysis::of(case)?)
    } else {
        None
    };
    (first..)
        .zip(bodies)
        .map(|(entry, body)| {
            let reading = case.readings.iter().rev().find(|reading| reading.entry == entry);
            match reading.zip(analysis.as_ref()) {
                Some((reading, analysis)) => {
                    let mut meant = of_reading(case, reading, Meant::plain(entry, name(&reading.what)))?;
                    meant.question(reading, analysis);
                    Ok(meant)
                }
                None => Ok(Meant::plain(entry, of_other(body))),
            }
        })
        .collect()
}

/// Says what an entry is that is no reading.
fn of_other(body: &Body) -> String {
    match body {
        Body::Zero { offset } => format!("zero {}", offset.text),
        Body::Volts { volts } => format!("battery {}", volts.text),
        Body::Temperature { place, temperature } => {
            format!("{} {}", place.as_deref().unwrap_or("all boxes"), temperature.text)
        }
        Body::Disturb { what } => format!("the sleep clock starts again: {what}"),
        Body::Note { .. } => "noted".to_owned(),
        _ => "kept".to_owned(),
    }
}

fn name(what: &What) -> String {
    match what {
        What::Total { as_found: true, .. } => "total as found".to_owned(),
        What::Total { .. } => "total".to_owned(),
        What::Watch { .. } => "total while waiting".to_owned(),
        What::Drop { feed, drop } => format!("{feed} {}", drop.text),
        What::Pull { feed, .. } => format!("{feed} pulled, fall"),
        What::Refit { feed, .. } => format!("{feed} back, total"),
        What::Clamp { at, .. } => at.clone(),
        What::Unplug { feed, load, .. } => format!("{feed}/{load} unplugged, fall"),
        What::Input { input, .. } => format!("{input} worked, fall"),
        What::Step { feed, .. } => format!("{feed} step with a known load"),
    }
}

fn of_reading(case: &Case, reading: &Reading, meant: Meant) -> Result<Meant, Fault> {
    let fall = |before: &Typed<Ampere>, after: &Typed<Ampere>| {
        current(before, &reading.clamp).minus(&current(after, &reading.clamp))
    };
    let shown = match &reading.what {
        What::Total { current: shown, .. } | What::Watch { current: shown } => current(shown, &reading.clamp),
        What::Clamp { current: shown, .. } | What::Refit { total: shown, .. } => {
            current(shown, &reading.clamp)
        }
        What::Pull { before, after, .. }
        | What::Unplug { before, after, .. }
        | What::Input { before, after, .. } => fall(before, after),
        What::Step { .. } => return Ok(meant),
        What::Drop { feed, .. } => return of_drop(case, reading, feed, meant),
    };
    Ok(Meant { current: Some(shown), ..meant })
}

fn of_drop(case: &Case, reading: &Reading, feed: &str, meant: Meant) -> Result<Meant, Fault> {
    let What::Drop { drop, .. } = &reading.what else { return Ok(meant) };
    let table = FuseTable::builtin()?;
    let Some(feed) = case.map.feeds.iter().find(|known| known.id == feed) else { return Ok(meant) };
    let resistance = match table.resistance(&feed.fuse) {
        Ok(resistance) => resistance,
        // Kept all the same: the reading may serve once the fuse's resistance is known.
        Err(fault) => return Ok(Meant { warnings: vec![fault.to_string()], ..meant }),
    };
    let place = feed.place.and_then(|at| case.map.boxes.get(at)).map(|place| place.id.clone());
    let fuse = Fuse {
        family: feed.fuse.family,
        rating: feed.fuse.rating,
        resistance,
        place: place.unwrap_or_default(),
    };
    let zero = reading.zero.map(|(entry, offset)| Zero { entry, offset });
    let found = current_of_drop(drop, &reading.meter, zero, &fuse, &reading.temperature, &table);
    Ok(Meant {
        current: Some(found.current),
        floor: Some(found.floor),
        below_floor: found.below_floor,
        warnings: found.warnings,
        ..meant
    })
}

impl Meant {
    fn plain(entry: usize, what: String) -> Self {
        Self { entry, current: None, floor: None, below_floor: false, what, warnings: Vec::new() }
    }

    /// Adds what is doubtful about a reading, and what it did beside: each asks for something, and none is refused.
    fn question(&mut self, reading: &Reading, analysis: &Analysis) {
        self.warnings.extend(doubts(reading, analysis.total.as_ref(), &analysis.panel));
        let events = analysis.observed.events.iter().filter(|(entry, _)| *entry == reading.entry);
        // That a fuse has no figure is said already.
        let beside = events.filter(|(_, event)| !matches!(event, Event::NoResistance { .. }));
        self.warnings.extend(beside.map(|(_, event)| words::reading::event(event).text()));
        // Of several entries that contradict each other the last one says so.
        let conflicts = analysis
            .conflicts()
            .iter()
            .filter(|conflict| conflict.entries.iter().max() == Some(&reading.entry));
        self.warnings.extend(conflicts.map(|conflict| words::account::conflict(conflict, &analysis.panel)));
    }

    /// Returns it in one line for people.
    pub fn lines(&self) -> Vec<Line> {
        let mut line = Line::of(Role::Hint, format!("{}: ", self.entry)).and(Role::Plain, &self.what);
        if let Some(current) = &self.current {
            line = match &self.floor {
                Some(floor) if self.below_floor => line
                    .and(Role::Plain, ": less than ")
                    .and(Role::Value, bare(floor.value(), 2))
                    .and(Role::Plain, ", the smallest that this reading can show"),
                Some(floor) => line
                    .and(Role::Plain, ": ")
                    .and(Role::Value, with_interval(current))
                    .and(Role::Plain, ", floor ")
                    .and(Role::Value, bare(floor.value(), 2)),
                None => line.and(Role::Plain, ": ").and(Role::Value, with_interval(current)),
            };
        }
        vec![line]
    }

    /// Returns the warnings for people.
    pub fn warning_lines(&self) -> Vec<Line> {
        let line = |text: &String| Line::of(Role::Doubt, "warning: ").and(Role::Plain, text);
        self.warnings.iter().map(line).collect()
    }

    fn reading(&self) -> Value {
        self.current.as_ref().map_or(Value::Null, |current| json!(q(current)))
    }
}

/// Returns the JSON shape: the last entry, its reading, all warnings; `readings` has every entry of this call.
pub fn json(meant: &[Meant]) -> Value {
    let warnings: Vec<&String> = meant.iter().flat_map(|meant| &meant.warnings).collect();
    let all: Vec<Value> =
        meant.iter().map(|meant| json!({"entry": meant.entry, "reading": meant.reading()})).collect();
    json!({
        "entry": meant.last().map(|meant| meant.entry),
        "reading": meant.last().map_or(Value::Null, Meant::reading),
        "warnings": warnings,
        "readings": all,
    })
}
