//! Takes names out of a hunt that somebody made up or typed: of loads, boxes, networks, inputs, items, fuses, meters. What
//! is built in, and so names nobody, stays; every figure stays as it was, so that the same follows from it.
//! Leaves to others: free texts (`redact`).

use std::collections::{HashMap, HashSet};

use super::redact::GONE;
use crate::circuit::classes::Classes;
use crate::circuit::inside::find_part;
use crate::circuit::map::{Map, VehicleClass};
use crate::circuit::{builtin, meters};
use crate::instrument::profile::{Profile, Way};
use crate::log::case::Case;
use crate::log::entry::{Entry, LogEvent};
use crate::log::question_id::{QuestionId, QuestionKey};
use crate::measure::Measurement;
use crate::measure::kind::TargetKind;

/// What each name becomes, by what it names.
#[derive(Debug, Default)]
struct HiddenNames {
    feeds: HashMap<String, String>,
    loads: HashMap<String, String>,
    boxes: HashMap<String, String>,
    groups: HashMap<String, String>,
    inputs: HashMap<String, String>,
    items: HashMap<String, String>,
    /// Meters that are built in.
    meters: HashSet<String>,
}

/// Returns the case and its entries without names that somebody typed.
pub fn hidden(case: &Case, entries: &[Entry]) -> (Case, Vec<Entry>) {
    let names = HiddenNames::of(&case.map);
    let hide = |entry: &Entry| Entry { body: names.event(&entry.body, &case.map), ..entry.clone() };
    (names.case(case), entries.iter().map(hide).collect())
}

/// Returns every name that is built in.
fn known() -> HashSet<String> {
    let mut known = HashSet::new();
    for map in builtin::MAPS.iter().filter_map(|one| builtin::map(one.name).ok()) {
        known.extend(map.boxes.iter().flat_map(|one| [one.id.clone(), one.place.clone()]));
        known.extend(map.loads().map(|(_, load)| load.name.clone()));
        known.extend(map.inputs().map(|(_, input)| input.to_owned()));
        known.extend(map.wake_groups.iter().map(|group| group.id.clone()));
        known.extend(map.unfused.iter().map(|item| item.name.clone()));
    }
    for (class, _) in VehicleClass::NAMES {
        let Some(has) = Classes::builtin().of(class) else { continue };
        known.extend(has.inputs.iter().map(|input| input.name.clone()));
        known.extend(has.unfused.iter().map(|item| item.name.clone()));
    }
    known
}

/// Returns true if an id of a fuse names nothing but its place: `F12`, `17`, `L2`.
fn is_plain(id: &str) -> bool {
    let digits = id.strip_prefix(|c: char| c.is_ascii_alphabetic()).unwrap_or(id);
    (1..=3).contains(&digits.len()) && digits.chars().all(|c| c.is_ascii_digit())
}

/// Gives each name that is not known a new one: what it is, and a number.
fn renamed<'a>(
    known: &HashSet<String>,
    names: impl Iterator<Item = (&'a str, &'a str)>,
) -> HashMap<String, String> {
    let mut all: HashMap<String, String> = HashMap::new();
    let mut count = 0;
    for (name, is) in names {
        if !all.contains_key(name) {
            count += 1;
            let new = if known.contains(name) { name.to_owned() } else { format!("{is} {count}") };
            all.insert(name.to_owned(), new);
        }
    }
    all
}

fn change(name: &mut String, to: &HashMap<String, String>) {
    *name = to.get(name).map_or_else(|| GONE.to_owned(), Clone::clone);
}

impl HiddenNames {
    fn of(map: &Map) -> Self {
        let known = known();
        let plain = map.feeds.iter().map(|feed| feed.id.clone()).filter(|id| is_plain(id)).collect();
        let meters = meters::builtin().unwrap_or_default().into_iter().map(|meter| meter.name).collect();
        Self {
            meters,
            feeds: renamed(&plain, map.feeds.iter().map(|feed| (feed.id.as_str(), "fuse"))),
            loads: renamed(&known, map.loads().map(|(_, load)| (load.name.as_str(), load.kind.as_str()))),
            boxes: renamed(&known, map.boxes.iter().map(|one| (one.id.as_str(), "box"))),
            groups: renamed(&known, map.wake_groups.iter().map(|group| (group.id.as_str(), "network"))),
            inputs: renamed(&known, map.inputs().map(|(_, input)| (input, "input"))),
            items: renamed(&known, map.unfused.iter().map(|item| (item.name.as_str(), item.kind.as_str()))),
        }
    }

    fn map(&self, map: &Map) -> Map {
        let mut map = map.clone();
        GONE.clone_into(&mut map.title);
        for one in map.boxes.iter_mut() {
            one.place =
                if self.boxes.get(&one.id) == Some(&one.id) { one.place.clone() } else { GONE.to_owned() };
            change(&mut one.id, &self.boxes);
        }
        for group in map.wake_groups.iter_mut() {
            change(&mut group.id, &self.groups);
            group.inputs.iter_mut().for_each(|input| change(input, &self.inputs));
        }
        for feed in map.feeds.iter_mut() {
            change(&mut feed.id, &self.feeds);
            feed.loads.iter_mut().for_each(|load| change(&mut load.name, &self.loads));
        }
        map.unfused.iter_mut().for_each(|item| change(&mut item.name, &self.items));
        map.limit.iter_mut().for_each(|limit| GONE.clone_into(&mut limit.source));
        map
    }

    /// Changes a place as a reading or a question has it: a fuse, an item, an input, `FUSE/LOAD`, `ITEM/PART`.
    fn place(&self, place: &str, map: &Map) -> String {
        let known = [&self.feeds, &self.items, &self.inputs].into_iter().find_map(|names| names.get(place));
        if let Some(new) = known {
            return new.clone();
        }
        let Some((first, second)) = place.split_once('/') else { return GONE.to_owned() };
        let part = find_part(first, second, map).map(|(_, part)| part.part.as_str());
        let second = part.or_else(|| self.loads.get(second).map(String::as_str)).unwrap_or(GONE);
        format!("{}/{second}", self.place(first, map))
    }

    fn measurement(&self, what: &Measurement, map: &Map) -> Measurement {
        let mut parts = what.parts();
        let target = parts.kind.row().target;
        let load = match parts.names.as_slice() {
            [feed, load] => Some(self.place(&format!("{feed}/{load}"), map)),
            _ => None,
        };
        match load.as_deref().and_then(|both| both.split_once('/')) {
            Some((feed, load)) => parts.names = vec![feed.to_owned(), load.to_owned()],
            None if target == TargetKind::BoxIfAny => {}
            None => parts.names.iter_mut().for_each(|name| *name = self.place(name, map)),
        }
        Measurement::build(parts).unwrap_or_else(|| what.clone())
    }

    /// Changes the names behind a question: `repair.refit.C16/radio`, `trail.reading drop F12`.
    fn question(&self, question: &QuestionKey, map: &Map) -> QuestionKey {
        let QuestionKey { head, tail } = question;
        let tail = match (head, tail.strip_prefix('.'), tail.trim_start().split_once(' ')) {
            (QuestionId::Unknown, ..) => GONE.to_owned(),
            (QuestionId::Stage, ..) => tail.clone(),
            (_, Some(number), _) if number.chars().all(|c| c.is_ascii_digit()) || number == "sure" => {
                tail.clone()
            }
            (_, Some(place), _) => format!(".{}", self.place(place, map)),
            (_, None, Some((word, place))) => format!(" {word} {}", self.place(place, map)),
            (_, None, None) => tail.clone(),
        };
        head.with(tail)
    }

    /// A meter of one's own may bear its owner's name.
    fn meter(&self, profile: &mut Profile) {
        if !self.meters.contains(&profile.name) {
            let new = if profile.way == Way::Volts { "own meter" } else { "own clamp" };
            new.clone_into(&mut profile.name);
        }
    }

    fn event(&self, body: &LogEvent, map: &Map) -> LogEvent {
        let mut body = body.clone();
        match &mut body {
            LogEvent::Open(opened) => {
                self.meter(&mut opened.meter);
                self.meter(&mut opened.clamp);
            }
            LogEvent::Reading(measured) => {
                measured.what = self.measurement(&measured.what, map);
                measured.why = measured.why.as_ref().map(|_| GONE.to_owned());
            }
            LogEvent::Temperature { place: Some(place), .. } => change(place, &self.boxes),
            LogEvent::Answer { question, .. } | LogEvent::Skip { question, .. } => {
                *question = self.question(question, map);
            }
            LogEvent::Feed { place, line } => {
                place.iter_mut().for_each(|place| change(place, &self.boxes));
                GONE.clone_into(line);
            }
            LogEvent::Unknown { kind } => GONE.clone_into(kind),
            _ => {}
        }
        body
    }

    fn case(&self, case: &Case) -> Case {
        let mut hidden = case.clone();
        let map = &case.map;
        hidden.map = self.map(map);
        hidden.opened.map.clear();
        self.meter(&mut hidden.opened.meter);
        self.meter(&mut hidden.opened.clamp);
        for reading in &mut hidden.readings {
            reading.what = self.measurement(&reading.what, map);
            self.meter(&mut reading.meter);
            self.meter(&mut reading.clamp);
        }
        for noted in &mut hidden.temperatures {
            noted.what.place.iter_mut().for_each(|place| change(place, &self.boxes));
        }
        for said in hidden.answers.iter_mut().chain(&mut hidden.skips) {
            said.what.question = self.question(&said.what.question, map);
        }
        // What a reading disturbed is told by its names; the reading itself stands beside it.
        hidden.disturbances.iter_mut().for_each(|one| GONE.clone_into(&mut one.what));
        hidden.limit.iter_mut().for_each(|limit| GONE.clone_into(&mut limit.source));
        for seen in &mut hidden.watched {
            GONE.clone_into(&mut seen.what.file);
            seen.what.channels.iter_mut().for_each(|one| one.name = self.place(&one.name, map));
        }
        hidden.unknown.iter_mut().for_each(|one| GONE.clone_into(&mut one.kind));
        hidden.identity = case.identity.map(|_| GONE.to_owned());
        hidden
    }
}
