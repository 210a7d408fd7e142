//! What a feed, its loads and the unfused items are: kinds and guards written or guessed, figures written or from the
//! load catalogue. Leaves to others: names and cycles (`resolve`), which kinds there are (`loads`).

use super::fuse::Family;
use super::id::{FeedId, GroupId};
use super::lid_line::numbered;
use super::loads::{LoadKind, OTHER};
use super::map::{Access, Feed, FuseSpec, Hazard, Load, Unfused};
use super::resolve::{Resolver, feed_way, unfused_way};
use super::schema::{FeedSchema, LoadSchema, UNGUARDED, UnfusedSchema};
use super::spotted::{KeyPath, item, key, spot, too_many};
use crate::base::caps::LOAD_NAME;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Minute, Ohm, Volt};
use crate::base::styled::clean;

/// Time to fall asleep for a load on a wake group whose kind says none and whose map says none: editorial.
const SLEEP: Minute = Minute::new(30.0);

impl<'w> Resolver<'w> {
    pub fn feed(&mut self, index: usize, feed: &FeedSchema, parent: Option<FeedId>) -> Feed {
        let way = feed_way(index);
        let place = feed.place.as_deref().and_then(|name| {
            let place = self.written.boxes.iter().position(|(id, _)| id == name);
            if place.is_none() {
                let known = self.written.boxes.iter().map(|(id, _)| id.as_str()).collect();
                self.unknown(&key(&way, "box"), "box", name, known);
            }
            place.map(Into::into)
        });
        let probe = feed.probe.as_deref().map_or(Some(Access::default()), |name| {
            let probe = Access::from_name(name);
            if probe.is_none() {
                let known = Access::NAMES.iter().map(|(_, name)| *name).collect();
                self.unknown(&key(&way, "probe"), "way of reading", name, known);
            }
            probe
        });
        let names = self.load_names(feed, &way);
        let loads: Vec<Load> = feed
            .loads
            .iter()
            .zip(names)
            .enumerate()
            .map(|(number, (load, name))| {
                self.load(index.into(), load, name, item(&key(&way, "loads"), number))
            })
            .collect();
        Feed {
            id: feed.id.clone().unwrap_or_default(),
            parent,
            place,
            fuse: self.fuse(feed, &way),
            family_guessed: feed.family_guessed.unwrap_or(false),
            access: probe.unwrap_or_default(),
            hazard: self.hazard(feed, &loads, &way),
            loads,
        }
    }

    fn fuse(&mut self, feed: &FeedSchema, way: &KeyPath) -> FuseSpec {
        let fuse = feed.fuse.clone().unwrap_or_default();
        let family = fuse.family.as_deref().and_then(|name| {
            let family = Family::from_name(name);
            if family.is_none() {
                let known = Family::ALL.into_iter().map(Family::name).collect();
                self.unknown(&key(&key(way, "fuse"), "family"), "fuse family", name, known);
            }
            family
        });
        FuseSpec {
            family: family.unwrap_or(Family::Mini),
            rating: Ampere::new(fuse.rating_a.unwrap_or_default()),
            own_resistance: fuse.r_mohm.map(Ohm::from_milli),
        }
    }

    /// Returns the guard written, or the one that the names hint at: in doubt a circuit is guarded.
    fn hazard(&mut self, feed: &FeedSchema, loads: &[Load], way: &KeyPath) -> Option<Hazard> {
        let by_load = |load: &Load| {
            let kind = self.catalogue.get(&load.kind).and_then(|kind| kind.hazard);
            kind.into_iter().chain(self.catalogue.guess_guard(&load.name)).min_by_key(|g| g.strictness())
        };
        let hint = loads.iter().filter_map(by_load).min_by_key(|guard| guard.strictness());
        let id = clean(feed.id.as_deref().unwrap_or("this feed"));
        match (feed.guard.as_deref(), hint) {
            (None, Some(guard)) => {
                let name = guard.name();
                let doubt = Diagnostic::new(format!("{id}: guard {name} guessed from the names on it"));
                spot(self.doubts, way, doubt.remedy(format!("write guard: {name} or guard: {UNGUARDED}")));
                Some(guard)
            }
            (None, None) => None,
            (Some(UNGUARDED), hint) => {
                if let Some(guard) = hint {
                    let name = guard.name();
                    let doubt =
                        Diagnostic::new(format!("{id} is not guarded though its names hint at {name}"));
                    spot(self.doubts, &key(way, "guard"), doubt);
                }
                None
            }
            (Some(name), _) => {
                let guard = Hazard::from_name(name);
                if guard.is_none() {
                    let mut known: Vec<&str> = Hazard::NAMES.iter().map(|(_, name)| *name).collect();
                    known.push(UNGUARDED);
                    self.unknown(&key(way, "guard"), "guard", name, known);
                }
                guard
            }
        }
    }

    /// The names of a feed's loads; those that stand there several times are numbered, and that is told.
    fn load_names(&mut self, feed: &FeedSchema, way: &KeyPath) -> Vec<String> {
        let written: Vec<String> =
            feed.loads.iter().map(|load| load.name.clone().unwrap_or_default()).collect();
        let names = numbered(written.clone());
        for (number, (name, own)) in
            names.iter().zip(&written).enumerate().filter(|(_, (name, own))| name != own)
        {
            let fault = Diagnostic::new(format!(
                "{} is listed more than once on one feed: this one is {}",
                clean(own),
                clean(name)
            ));
            spot(self.doubts, &item(&key(way, "loads"), number), fault);
        }
        names
    }

    fn load(&mut self, feed: FeedId, load: &LoadSchema, mut name: String, way: KeyPath) -> Load {
        if too_many(self.found, &way, "characters of the name", name.chars().count(), LOAD_NAME) {
            name.clear();
        }
        let (kind, guessed) = self.kind(&name, load.kind.as_deref(), &way);
        let wake_group = load.wake_group.as_deref().and_then(|wanted| {
            let group = self.written.wake_groups.iter().position(|(id, _)| id == wanted);
            if group.is_none() {
                let known = self.written.wake_groups.iter().map(|(id, _)| id.as_str()).collect();
                self.unknown(&key(&way, "wake_group"), "wake group", wanted, known);
            }
            group.map(Into::into)
        });
        let is_module = kind.is_some_and(|kind| kind.module);
        let wake_group = wake_group.or_else(|| self.assumed_group().filter(|_| is_module));
        let also_from = self.also_from(feed, load, &way);
        let (asleep, awake) = currents(load.asleep_ma, load.awake_ma, kind, self.system);
        let longest = self.written.sleep_after_min.map(Minute::new);
        let usual = match kind {
            Some(kind) if kind.module => kind.sleep,
            _ if wake_group.is_some() => SLEEP,
            _ => Minute::ZERO,
        };
        let usual = longest.map_or(usual, |longest| usual.min(longest));
        Load {
            name,
            kind: kind.map_or(OTHER, |kind| kind.id.as_str()).to_owned(),
            kind_guessed: load.kind_guessed.unwrap_or(guessed),
            asleep,
            awake,
            sleeps_after: load.sleeps_after_min.map_or(usual, Minute::new),
            wake_group,
            also_from,
        }
    }

    /// The group that holds all modules without a group of their own, if nobody listed any.
    fn assumed_group(&self) -> Option<GroupId> {
        self.written.wake_groups.iter().position(|(_, group)| group.assumed == Some(true)).map(Into::into)
    }

    fn also_from(&mut self, feed: FeedId, load: &LoadSchema, way: &KeyPath) -> Vec<FeedId> {
        let mut indices = Vec::new();
        for (number, other) in load.also_from.iter().enumerate() {
            let way = item(&key(way, "also_from"), number);
            match self.feeds.get(other.as_str()).copied() {
                None => {
                    let known = self.ids().collect();
                    self.unknown(&way, "feed", other, known);
                }
                Some(index) if index == feed || indices.contains(&index) => {
                    let fault = Diagnostic::new(format!("{} is named twice for one load", clean(other)));
                    spot(self.found, &way, fault.expected("each further feed once"));
                }
                Some(index) => indices.push(index),
            }
        }
        indices
    }

    /// Returns the kind written, or the one that the name means, with whether it was guessed.
    fn kind(&mut self, name: &str, written: Option<&str>, way: &KeyPath) -> (Option<&'w LoadKind>, bool) {
        if let Some(wanted) = written {
            let kind = self.catalogue.get(wanted);
            if kind.is_none() {
                let known = self.catalogue.kinds().iter().map(|kind| kind.id.as_str()).collect();
                self.unknown(&key(way, "kind"), "kind of load", wanted, known);
            }
            return (kind, false);
        }
        let guess = self.catalogue.guess(name);
        if !name.is_empty() {
            let name = clean(name);
            let doubt = match guess {
                Some(kind) => Diagnostic::new(format!("{name}: kind {} guessed from the name", kind.id)),
                None => Diagnostic::new(format!("{name}: no kind is known for this name, taken as {OTHER}")),
            };
            spot(self.doubts, way, doubt.remedy("write kind: to settle it"));
        }
        (guess.or_else(|| self.catalogue.get(OTHER)), true)
    }

    pub fn unfused(&mut self, index: usize, one: &UnfusedSchema) -> Unfused {
        let way = unfused_way(index);
        let name = one.name.clone().unwrap_or_default();
        let (kind, _) = self.kind(&name, one.kind.as_deref(), &way);
        let (asleep, awake) = currents(one.asleep_ma, one.awake_ma, kind, self.system);
        Unfused {
            name,
            kind: kind.map_or(OTHER, |kind| kind.id.as_str()).to_owned(),
            parent: self.parent(one.from.as_deref(), &way),
            source: one.source.unwrap_or_else(|| kind.is_some_and(|kind| kind.source_of_current)),
            assumed: one.assumed.unwrap_or(false),
            asleep,
            awake,
        }
    }
}

/// Returns the currents written, or those of the kind at these volts; a figure that is not written gives way to one that is.
fn currents(
    asleep: Option<f64>,
    awake: Option<f64>,
    kind: Option<&LoadKind>,
    system: Volt,
) -> (Ampere, Ampere) {
    let usual_asleep = kind.map_or(Ampere::ZERO, |kind| kind.asleep);
    let usual_awake = kind.map_or(Ampere::ZERO, |kind| kind.awake * kind.at_volts(system));
    match (asleep.map(Ampere::from_milli), awake.map(Ampere::from_milli)) {
        (Some(asleep), Some(awake)) => (asleep, awake),
        (Some(asleep), None) => (asleep, usual_awake.max(asleep)),
        (None, Some(awake)) => (usual_asleep.min(awake), awake),
        (None, None) => (usual_asleep, usual_awake),
    }
}
