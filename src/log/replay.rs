//! What the entries of a log add up to: strikes applied, feeds added, and for each reading what was in force.
//! Promise: pure; the same entries give the same case on any machine at any time.
//! Leaves to others: what a map means (`circuit`), what a reading says (`measure`), conclusions (`balance`).

use std::collections::HashMap;

use super::case::{Case, Dated, NotedTemperature, Said, Stamp, Struck, UnknownEntry};
use super::entry::{Entry, LogEvent, Measured, Opened};
use super::question_id::{QuestionId, QuestionKey};
use super::{in_force, map_text, vehicle};
use crate::base::caps;
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::circuit::map::{Limit, Map};
use crate::measure::kind::{MeasurementKind, TargetKind};
use crate::measure::{Measurement, Reading};

/// Adds up the entries of a log.
///
/// A struck entry counts as not made; striking a strike revives what it struck. A struck entry cannot make the log
/// unfit: whatever is wrong with an entry is healed by striking it.
///
/// # Errors
/// All at once, each naming its entry: the log does not begin with `open`, its map has diagnostics, a feed line that can't
/// be added, a strike of the first entry or of one that is not there, a reading of a feed that the map does not have,
/// a temperature of an unknown box, a meter that the first entry does not name.
pub fn fold(entries: &[Entry]) -> Result<Case, Faults> {
    let map = map_text::read(&opened(entries.first())?.map)?;
    add_up(&entries.iter().collect::<Vec<_>>(), map)
}

fn opened(first: Option<&Entry>) -> Result<&Opened, Diagnostic> {
    match first {
        Some(Entry { body: LogEvent::Open(opened), .. }) => Ok(opened),
        _ => Err(Diagnostic::new("the log does not begin with an entry of the kind open")),
    }
}

/// A log that grows: its entries and what they add up to. An entry more neither copies those before it nor reads the
/// map's text again.
#[derive(Debug)]
pub struct Replay {
    entries: Vec<Entry>,
    /// The map of the first entry, without the feeds typed since.
    map: Map,
    case: Case,
}

impl Replay {
    /// Adds up a log that may grow.
    ///
    /// # Errors
    /// As for [`fold`].
    pub fn new(entries: Vec<Entry>) -> Result<Self, Faults> {
        let map = map_text::read(&opened(entries.first())?.map)?;
        let case = add_up(&entries.iter().collect::<Vec<_>>(), map.clone())?;
        Ok(Self { entries, map, case })
    }

    /// Returns the entries, struck ones included.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Returns what they add up to.
    pub fn case(&self) -> &Case {
        &self.case
    }

    /// Returns the map as the log was begun with it.
    pub fn first_map(&self) -> &Map {
        &self.map
    }

    /// Returns what the log would add up to with these entries more: what does not add up must not be written.
    ///
    /// # Errors
    /// As for [`fold`].
    pub fn with(&self, new: &[Entry]) -> Result<Case, Faults> {
        // What these say bears on entries before them.
        let looks_back = |entry: &Entry| {
            matches!(
                &entry.body,
                LogEvent::Answer { question, .. } if question.plain() == Some(QuestionId::InterviewClass)
            ) || matches!(
                entry.body,
                LogEvent::Open(_)
                    | LogEvent::Strike { .. }
                    | LogEvent::Feed { .. }
                    | LogEvent::Temperature { .. }
                    | LogEvent::Meter(_)
            )
        };
        if new.iter().any(looks_back) {
            return add_up(&self.entries.iter().chain(new).collect::<Vec<_>>(), self.map.clone());
        }
        let mut folding =
            Folding::new(self.case.clone(), self.entries.iter().filter(|_| !self.case.struck.is_empty()));
        for (index, entry) in new.iter().enumerate() {
            folding.take(self.entries.len() + index + 1, entry);
        }
        folding.finish(self.entries.len() + new.len(), new.last())
    }

    /// Takes entries that are written, with what [`Replay::with`] said of them.
    pub fn grow(&mut self, new: Vec<Entry>, case: Case) {
        self.entries.extend(new);
        self.case = case;
    }
}

/// Adds up entries from the first on, over the map that it carries.
fn add_up(entries: &[&Entry], map: Map) -> Result<Case, Faults> {
    let first = entries.first().copied();
    let opened = opened(first)?;
    let opened_at = first.map(|first| first.at).unwrap_or_default();
    let (live, faults) = strikes(entries);
    let counts = || entries.iter().zip(&live).enumerate().filter(|(_, (_, live))| **live);
    let typed = counts().filter(|(_, (entry, _))| matches!(entry.body, LogEvent::Feed { .. })).count();
    if typed > caps::TYPED_FUSES {
        return Err(Diagnostic::new(format!("the log has {typed} fuses typed from a lid"))
            .expected(format!("at most {}", caps::TYPED_FUSES))
            .remedy("make a map of them first: `fusetrail circuits sketch`")
            .into());
    }
    let struck = entries.iter().zip(&live).filter(|(_, live)| !**live).map(|(entry, _)| *entry);
    let mut folding = Folding::new(Case::begun(opened.clone(), opened_at, map), struck);
    folding.faults = faults;
    for (index, (entry, _)) in counts() {
        folding.take(index + 1, entry);
    }
    folding.finish(entries.len(), entries.last().copied())
}

/// Tells for each entry whether it counts. Strikes are taken from the newest to the oldest: when one is met, all that
/// could strike it have been.
fn strikes(entries: &[&Entry]) -> (Vec<bool>, Vec<Diagnostic>) {
    let mut live = vec![true; entries.len()];
    let mut faults = Vec::new();
    for (index, entry) in entries.iter().enumerate().rev() {
        let LogEvent::Strike { target, .. } = entry.body else { continue };
        if live.get(index) != Some(&true) {
            continue;
        }
        if (2..=index).contains(&target) {
            if let Some(target) = live.get_mut(target - 1) {
                *target = false;
            }
        } else {
            let what = if target == 1 {
                "strikes the first entry".into()
            } else {
                format!("strikes entry {target}")
            };
            let fault = Diagnostic::new(what).expected(format!("an entry from 2 to {index}"));
            faults.push(at_entry(fault, index + 1));
        }
    }
    faults.reverse();
    (live, faults)
}

fn at_entry(fault: Diagnostic, entry: usize) -> Diagnostic {
    let field = fault
        .place
        .field
        .as_ref()
        .map_or_else(|| format!("entry {entry}"), |inner| format!("entry {entry} {inner}"));
    fault.in_field(field)
}

/// The case while it is being added up.
struct Folding<'a> {
    case: Case,
    /// Readings, kept until everything that may be in force for them is known.
    measured: Vec<(Stamp, &'a Measured)>,
    faults: Vec<Diagnostic>,
    /// True if a temperature was struck, so that a reading's own note of it may be the struck one.
    lost_temperature: bool,
}

impl<'a> Folding<'a> {
    fn new<'e>(case: Case, mut struck: impl Iterator<Item = &'e Entry>) -> Self {
        let lost_temperature = struck.any(|entry| matches!(entry.body, LogEvent::Temperature { .. }));
        Self { case, measured: Vec::new(), faults: Vec::new(), lost_temperature }
    }

    fn finish(mut self, entries: usize, last: Option<&Entry>) -> Result<Case, Faults> {
        self.read();
        self.check_size();
        self.case.entries = entries;
        self.case.last_at = last.map_or(self.case.last_at, |last| last.at);
        if self.faults.is_empty() { Ok(self.case) } else { Err(Faults(self.faults)) }
    }

    fn fault(&mut self, stamp: Stamp, fault: Diagnostic) {
        self.faults.push(at_entry(fault, stamp.entry));
    }

    /// Takes the entry of this number.
    fn take(&mut self, entry: usize, given: &'a Entry) {
        let stamp = Stamp { entry, at: given.at };
        let case = &mut self.case;
        if entry > 1 && !given.body.takes_back() {
            match case
                .steps
                .last_mut()
                .filter(|step| given.with.is_some() && step.first() == given.with.as_ref())
            {
                Some(step) => step.push(entry),
                None => case.steps.push(vec![entry]),
            }
        }
        match &given.body {
            LogEvent::Open(_) if entry == 1 => {}
            LogEvent::Open(_) => self.fault(stamp, Diagnostic::new("opens a log that is open already")),
            LogEvent::Answer { question, answer } => {
                vehicle::tell(&mut case.map, question, answer);
                case.answers.push(said(stamp, question, answer));
            }
            LogEvent::Skip { question, reason } => case.skips.push(said(stamp, question, reason)),
            LogEvent::Meter(profile) => case.meters.push(Dated { stamp, what: (**profile).clone() }),
            LogEvent::Zero { offset } => case.zeros.push(Dated { stamp, what: offset.clone() }),
            LogEvent::Temperature { place, temperature } => {
                let what = NotedTemperature { place: place.clone(), value: temperature.clone() };
                case.temperatures.push(Dated { stamp, what });
            }
            LogEvent::Volts { volts } => case.volts.push(Dated { stamp, what: volts.clone() }),
            LogEvent::Reading(measured) => {
                case.disturbances.extend(disturbance(&measured.what).map(|what| Dated { stamp, what }));
                self.measured.push((stamp, measured));
            }
            LogEvent::Watched(seen) => case.watched.push(Dated { stamp, what: (**seen).clone() }),
            LogEvent::Disturb { what } => {
                case.disturbances.push(Dated { stamp, what: what.clone() });
                case.woken.push(stamp);
            }
            LogEvent::Note { text } => case.notes.push(Dated { stamp, what: text.clone() }),
            LogEvent::Limit { limit, source } => {
                case.limit = Some(Limit { current: limit.value, source: source.clone() });
            }
            LogEvent::Feed { place, line } => {
                if let Err(faults) = map_text::add_feed(&mut case.map, place.as_deref(), line) {
                    faults.0.into_iter().for_each(|fault| self.fault(stamp, fault));
                }
            }
            LogEvent::Weights(learnt) => case.learnt = learnt.clone(),
            LogEvent::Vehicle(identity) => case.identity = case.identity.and(identity),
            LogEvent::Strike { target, why } => {
                case.struck.push(Dated { stamp, what: Struck { entry: *target, why: why.clone() } });
            }
            LogEvent::Unknown { kind } => case.unknown.push(UnknownEntry { entry, kind: kind.clone() }),
        }
    }

    /// Holds the log to what can be reckoned with. Struck entries don't count, so striking some heals it.
    fn check_size(&mut self) {
        let feeds = self.case.map.feeds.len().max(1);
        let mut places: HashMap<(MeasurementKind, Vec<String>), usize> = HashMap::new();
        let readings = self.case.readings.iter().map(|reading| &reading.what);
        for what in readings.filter(|what| what.kind() != MeasurementKind::Watch) {
            let parts = what.parts();
            *places.entry((parts.kind, parts.names)).or_default() += 1;
        }
        let readings = places.values().sum();
        let of_one = places.values().copied().max().unwrap_or_default();
        for (kind, found, most) in [
            ("readings", readings, caps::READINGS.min(caps::READINGS_BY_FEEDS / feeds)),
            ("readings of one kind", of_one, caps::READINGS_OF_ONE),
            ("zeros", self.case.zeros.len(), caps::ZEROS),
        ] {
            if found > most {
                let place = if kind == "readings of one kind" { " at one place" } else { "" };
                let fault = Diagnostic::new(format!(
                    "the log has {found} {kind}{place} that count, on {feeds} fuses"
                ))
                .expected(format!("at most {most}"))
                .remedy("go on in a new log, or strike those that are no longer needed");
                self.faults.push(fault);
            }
        }
    }

    /// Takes the readings, now that the map has all its feeds, and checks what refers to the map.
    fn read(&mut self) {
        let boxes =
            self.case.temperatures.iter().filter_map(|noted| Some((noted.stamp, noted.what.place.clone()?)));
        for (stamp, place) in boxes.collect::<Vec<_>>() {
            if !self.case.map.boxes.iter().any(|known| known.id == place) {
                let known: Vec<&str> = self.case.map.boxes.iter().map(|known| known.id.as_str()).collect();
                let fault = Diagnostic::new(format!("the map has no box \"{place}\""))
                    .expected(format!("one of {}", known.join(", ")));
                self.fault(stamp, fault);
            }
        }
        for (stamp, measured) in std::mem::take(&mut self.measured) {
            for fault in strangers(&self.case, measured) {
                self.fault(stamp, fault);
            }
            let place = in_force::place_of(&self.case.map, &measured.what);
            let own = measured.temperature.filter(|_| !self.lost_temperature);
            let (meter, clamp) =
                in_force::meters(&self.case.meters, &self.case.opened, stamp.entry, &measured.what);
            self.case.readings.push(Reading {
                entry: stamp.entry,
                at: stamp.at,
                what: measured.what.clone(),
                meter,
                clamp,
                zero: in_force::zero(&self.case.zeros, stamp.entry),
                temperature: in_force::temperature(&self.case.temperatures, place, stamp.entry, own),
                provisional: measured.provisional,
                after_repair: measured.after_repair || self.case.is_past_fault(stamp, &measured.what),
            });
        }
    }
}

fn said(stamp: Stamp, question: &QuestionKey, text: &str) -> Dated<Said> {
    Dated { stamp, what: Said { question: question.clone(), text: text.to_owned() } }
}

/// Returns what a reading did to the vehicle's sleep, in words; `None` if it is taken without touching anything.
fn disturbance(what: &Measurement) -> Option<String> {
    match what {
        Measurement::Pull { feed, .. } => Some(format!("{feed} pulled")),
        Measurement::Refit { feed, .. } => Some(format!("{feed} refitted")),
        Measurement::Unplug { feed, load, .. } => Some(format!("{load} on {feed} unplugged")),
        Measurement::Input { input, .. } => Some(format!("{input} worked")),
        _ => None,
    }
}

/// Finds what a reading names that the log does not know.
fn strangers(case: &Case, measured: &Measured) -> Vec<Diagnostic> {
    let mut faults = Vec::new();
    let is_unfused = |name: &str| {
        measured.what.kind().row().target != TargetKind::Fuse
            && case.map.unfused.iter().any(|item| item.name == name)
    };
    let unknown = |name: &String| !has_feed(&case.map, name) && !is_unfused(name);
    if let Some(name) = measured.what.place().filter(unknown) {
        faults.push(
            Diagnostic::new(format!("the map has no \"{name}\""))
                .remedy("add its feed first; where that was struck, strike this reading too"),
        );
    }
    let first = [&case.opened.meter.name, &case.opened.clamp.name];
    let mut known = first.into_iter().chain(case.meters.iter().map(|named| &named.what.name));
    if !known.any(|name| *name == measured.meter) {
        let fault = Diagnostic::new(format!("was read with \"{}\"", measured.meter));
        faults.push(fault.expected(format!("{} or {}", first[0], first[1])));
    }
    faults
}

fn has_feed(map: &Map, id: &str) -> bool {
    map.feeds.iter().any(|feed| feed.id == id)
}
