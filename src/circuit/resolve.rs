//! A written map to the checked form: names become indices, cycles and doubled names are found.
//! Leaves to others: shape (`parse`), what a feed and its loads are (`defaults`), lines (`check`), doubts (`lint`).

use std::collections::HashMap;

use super::id::{FeedId, IdVec};
use super::loads::Catalogue;
use super::map::{FuseBox, Limit, Map, VehicleClass, WakeGroup, in_series};
use super::schema::{BATTERY, MapSchema};
use super::spotted::{KeyPath, SpottedKey, key, spot, too_many};
use super::wording::did_you_mean;
use crate::base::caps::{BOXES, FEEDS, LEVELS, LOADS, NAME};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Minute, Unit, Volt};
use crate::base::styled::clean;
use crate::base::yaml::PathStep;

/// Time to get at a box when the map does not say: editorial.
const REACH: Minute = Minute::new(1.5);

/// End of the names that are kept for what no map lists.
pub(crate) const UNLISTED: &str = ":unlisted";

/// Volts of a system of which none are written.
const USUAL_SYSTEM: f64 = 12.0;

/// Makes the checked form. With diagnostics found the result is of no use.
pub(super) fn resolve(
    written: &MapSchema,
    catalogue: &Catalogue,
    found: &mut SpottedKey,
    doubts: &mut SpottedKey,
) -> Map {
    let system = Volt::new(written.system_v.unwrap_or(USUAL_SYSTEM));
    let mut resolver = Resolver { written, catalogue, system, feeds: HashMap::new(), found, doubts };
    resolver.index_names();
    let parents: IdVec<FeedId, Option<FeedId>> = written
        .feeds
        .iter()
        .enumerate()
        .map(|(index, feed)| resolver.parent(feed.from.as_deref(), &feed_way(index)))
        .collect();
    resolver.find_cycles(&parents);
    resolver.find_excess(&parents);
    let (system, class) = resolver.system_and_class();
    resolver.check_batteries(system);
    Map {
        title: written.title.clone().unwrap_or_default(),
        system,
        class,
        year: written.model_year,
        told_batteries: written.batteries,
        boxes: written
            .boxes
            .iter()
            .map(|(id, b)| FuseBox {
                id: id.clone(),
                place: b.place.clone().unwrap_or_else(|| id.clone()),
                reach: b.reach_min.map_or(REACH, Minute::new),
                supply: resolver
                    .parent(b.from.as_deref(), &key(&vec![PathStep::Key("boxes".to_owned())], id)),
            })
            .collect(),
        wake_groups: written
            .wake_groups
            .iter()
            .map(|(id, group)| WakeGroup {
                id: id.clone(),
                inputs: group.inputs.clone(),
                assumed: group.assumed.unwrap_or(false),
            })
            .collect(),
        feeds: written
            .feeds
            .iter()
            .zip(&parents)
            .enumerate()
            .map(|(index, (feed, parent))| resolver.feed(index, feed, *parent))
            .collect(),
        unfused: written
            .unfused
            .iter()
            .enumerate()
            .map(|(index, one)| resolver.unfused(index, one))
            .collect(),
        sleep_after: written.sleep_after_min.map(Minute::new),
        limit: written.limit_ma.map(|ma| Limit {
            current: Ampere::from_milli(ma),
            source: written.limit_source.clone().unwrap_or_else(|| "the circuit map".to_owned()),
        }),
    }
}

/// Returns the way to a feed.
pub(super) fn feed_way(index: impl Into<usize>) -> KeyPath {
    vec![PathStep::Key("feeds".to_owned()), PathStep::Item(index.into())]
}

/// Returns the way to an unfused item.
pub(super) fn unfused_way(index: usize) -> KeyPath {
    vec![PathStep::Key("unfused".to_owned()), PathStep::Item(index)]
}

/// A map on its way to the checked form.
pub(super) struct Resolver<'w> {
    pub written: &'w MapSchema,
    pub catalogue: &'w Catalogue,
    /// Volts of the system, as written.
    pub system: Volt,
    /// Index of each feed by its id.
    pub feeds: HashMap<&'w str, FeedId>,
    pub found: &'w mut SpottedKey,
    pub doubts: &'w mut SpottedKey,
}

impl<'w> Resolver<'w> {
    /// Collects the ids of feeds; tells of doubled names and names that cannot be used.
    fn index_names(&mut self) {
        let mut taken: HashMap<&str, String> = HashMap::new();
        let feeds = self.written.feeds.iter().enumerate();
        let unfused = self.written.unfused.iter().enumerate();
        let feeds =
            feeds.map(|(i, feed)| (feed.id.as_deref(), key(&feed_way(i), "id"), format!("feeds[{i}]")));
        let unfused = unfused
            .map(|(i, one)| (one.name.as_deref(), key(&unfused_way(i), "name"), format!("unfused[{i}]")));
        for (name, way, place) in feeds.chain(unfused) {
            let Some(name) = name else { continue };
            if let Some(fault) = unusable(name) {
                spot(self.found, &way, fault);
            }
            match taken.get(name) {
                Some(first) => {
                    let fault =
                        Diagnostic::new(format!("the name {} is taken by {first} already", clean(name)));
                    spot(self.found, &way, fault.remedy("give every fuse and item its own name"));
                }
                None => {
                    taken.insert(name, place);
                }
            }
        }
        let groups = self.written.wake_groups.iter().map(|(id, _)| ("wake_groups", id));
        for (field, id) in self.written.boxes.iter().map(|(id, _)| ("boxes", id)).chain(groups) {
            let count = id.chars().count();
            if count == 0 || count > NAME {
                let fault = Diagnostic::new(format!("a name has {count} characters"));
                let way = key(&vec![PathStep::Key(field.to_owned())], id);
                spot(self.found, &way, fault.expected(format!("1 to {NAME}")));
            }
        }
        for (index, feed) in self.written.feeds.iter().enumerate() {
            if let Some(id) = feed.id.as_deref() {
                self.feeds.entry(id).or_insert(index.into());
            }
        }
    }

    /// Returns the ids of all feeds.
    pub fn ids(&self) -> impl Iterator<Item = &'w str> {
        self.written.feeds.iter().filter_map(|feed| feed.id.as_deref())
    }

    /// Tells of a name that leads nowhere, with the nearest that do.
    pub fn unknown(&mut self, way: &KeyPath, what: &str, name: &str, known: Vec<&str>) {
        if self.found.is_full() {
            self.found.more += 1;
            return;
        }
        let all: Vec<&str> = known.iter().copied().take(12).collect();
        let otherwise = if all.is_empty() { String::new() } else { format!("there are: {}", all.join(", ")) };
        let remedy = did_you_mean(name, known.into_iter(), otherwise);
        spot(
            self.found,
            way,
            Diagnostic::new(format!("there is no {what} {}", clean(name))).remedy(clean(&remedy)),
        );
    }

    /// Resolves what something hangs below; `None` at the battery, and where there is a diagnostic.
    pub fn parent(&mut self, from: Option<&str>, way: &KeyPath) -> Option<FeedId> {
        let from = from.filter(|from| *from != BATTERY)?;
        let index = self.feeds.get(from).copied();
        if index.is_none() {
            let known = std::iter::once(BATTERY).chain(self.ids()).collect();
            self.unknown(&key(way, "from"), "feed", from, known);
        }
        index
    }

    /// Tells of each cycle once, at its first feed in the file.
    fn find_cycles(&mut self, parents: &IdVec<FeedId, Option<FeedId>>) {
        // The walk in which a feed was seen, so that each is walked through once.
        let mut seen: IdVec<FeedId, Option<FeedId>> = parents.map_ids(|_| None);
        for start in parents.ids() {
            let mut at = Some(start);
            while let Some(index) = at {
                match seen.get_mut(index) {
                    Some(mark @ None) => *mark = Some(start),
                    Some(Some(walk)) if *walk == start => {
                        self.tell_cycle(index, parents);
                        break;
                    }
                    _ => break,
                }
                at = parents.get(index).copied().flatten();
            }
        }
    }

    fn tell_cycle(&mut self, on_it: FeedId, parents: &IdVec<FeedId, Option<FeedId>>) {
        let mut ring = vec![on_it];
        let mut at = parents.get(on_it).copied().flatten();
        while let Some(index) = at.filter(|index| *index != on_it) {
            ring.push(index);
            at = parents.get(index).copied().flatten();
        }
        let first = ring.iter().enumerate().min_by_key(|(_, index)| **index).map_or(0, |(place, _)| place);
        ring.rotate_left(first);
        let name =
            |index: &FeedId| self.written.feeds.get(usize::from(*index)).and_then(|feed| feed.id.clone());
        let mut names: Vec<String> = ring.iter().filter_map(name).take(12).collect();
        names.extend(names.first().cloned());
        let what = format!("a feed feeds itself: {}", clean(&names.join(" from ")));
        let fault = Diagnostic::new(what).expected("every feed to lead to the battery");
        spot(self.found, &key(&feed_way(ring.first().copied().unwrap_or(on_it)), "from"), fault);
    }

    /// Tells of more feeds than any vehicle has, and of feeds too far below the battery: only of the first of each
    /// chain, the others follow from it.
    fn find_excess(&mut self, parents: &IdVec<FeedId, Option<FeedId>>) {
        let feeds = vec![PathStep::Key("feeds".to_owned())];
        let loads = self.written.feeds.iter().map(|feed| feed.loads.len()).sum();
        too_many(self.found, &feeds, "feeds", parents.len(), FEEDS);
        too_many(self.found, &feeds, "loads in all", loads, LOADS);
        let boxes = vec![PathStep::Key("boxes".to_owned())];
        too_many(self.found, &boxes, "boxes", self.written.boxes.len(), BOXES);
        if self.found.too_large {
            return;
        }
        for start in parents.ids() {
            let above = |at: &FeedId| parents.get(*at).copied().flatten();
            let depth = std::iter::successors(Some(start), above).take(LEVELS + 2).count();
            if depth == LEVELS + 1 {
                let fault = Diagnostic::new(format!("this feed stands {LEVELS} feeds below the battery"));
                spot(self.found, &key(&feed_way(start), "from"), fault.expected("a tree as in a vehicle"));
            }
        }
    }

    fn system_and_class(&mut self) -> (Volt, VehicleClass) {
        let volts = self.system.base();
        if ![6.0, 12.0, 24.0].contains(&volts) {
            let fault = Diagnostic::new(format!("system_v is {volts}")).expected("6, 12 or 24");
            spot(self.found, &vec![PathStep::Key("system_v".to_owned())], fault);
        }
        let usual = if volts == 24.0 { VehicleClass::Truck } else { VehicleClass::Car };
        let class = match self.written.class.as_deref() {
            None => usual,
            Some(name) => VehicleClass::from_name(name).unwrap_or_else(|| {
                let known = VehicleClass::NAMES.iter().map(|(_, name)| *name).collect();
                self.unknown(&vec![PathStep::Key("class".to_owned())], "class", name, known);
                usual
            }),
        };
        (Volt::new(volts), class)
    }

    fn check_batteries(&mut self, system: Volt) {
        let fault = self.written.batteries.and_then(|count| uneven(count, system));
        if let Some(fault) = fault {
            spot(self.found, &vec![PathStep::Key("batteries".to_owned())], fault);
        }
    }
}

/// Says so where a number of batteries can't make these volts.
pub(super) fn uneven(batteries: u16, system: Volt) -> Option<Diagnostic> {
    let fault = || {
        let what = format!("{batteries} batteries don't make {} V", system.base());
        Diagnostic::new(what).expected("pairs of 12 V in series: 2, 4, 6 …")
    };
    (batteries == 0 || !batteries.is_multiple_of(in_series(system))).then(fault)
}

/// Says why a name cannot be used for a feed or an unfused item.
pub(super) fn unusable(name: &str) -> Option<Diagnostic> {
    let fault = if name == BATTERY {
        Diagnostic::new("the name battery stands for the battery itself")
    } else if name.ends_with(UNLISTED) {
        Diagnostic::new(format!("names that end in {UNLISTED} stand for what no map lists"))
    } else if name.chars().count() > NAME {
        let count = name.chars().count();
        Diagnostic::new(format!("a name has {count} characters, at most {NAME} are taken"))
    } else if name.chars().any(|c| c.is_control() || matches!(c, '/' | '=')) {
        Diagnostic::new(format!("the name {} holds / or = or a control character", clean(name)))
    } else {
        return None;
    };
    Some(fault.expected("a short name such as F12"))
}
