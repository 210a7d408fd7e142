//! The readings of a hunt, in order, as observations: keeps track of what is pulled and unplugged, of calibrations, and
//! of pulls that woke or cured something. Leaves to others: solving (`balance`), weighing causes (`infer`).

use std::collections::{BTreeMap, HashMap};

use chrono::{DateTime, FixedOffset};

use super::convert::{Converted, Fuse, current_of_drop, resistance_of_step};
use super::event::{Event, Observed, TimeOut};
use super::late;
use super::observation::{Interrupted, Observation, Panel, Scope};
use super::sighting::{self, Sighting, SightingPlace};
use super::together::falls_together;
use super::{Measurement, Reading};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Minute, Typed, Uncertain, Unit, Volt};
use crate::circuit::fuse::Resistance;
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::id::{FeedId, GroupId, InputId};
use crate::circuit::inside::find_part;
use crate::circuit::map::{FuseSpec, Map};
use crate::instrument::uncertainty::{DETECTION, Zero, current, current_floor, placed_current};

/// How much a vehicle's own draw wanders between two readings: standard deviation, relative and, of a car, least.
/// Editorial.
const WANDER: (f64, Ampere) = (0.005, Ampere::from_milli(1.0));
/// From so much on, of a car, a change of the total counts. Editorial.
pub const STEP: Ampere = Ampere::from_milli(5.0);

/// A total that fell by itself by less than this share is the same draw. Editorial.
const LATE_SLEEP: f64 = 0.05;

/// Turns readings into observations. Readings taken after the repair, or after the draw ended, are left out.
pub fn build_observations(readings: &[Reading], panel: &Panel, table: &FuseTable) -> Observed {
    let own = calibrations(readings, panel, table);
    let out = Observed { calibrated: own.keys().copied().collect(), ..Observed::default() };
    let (pulled, asleep_without) = (BTreeMap::new(), Vec::new());
    let mut walk = ObservationWalk {
        panel,
        table,
        own,
        pulled,
        asleep_without,
        normals: HashMap::new(),
        running: None,
        last_at: None,
        out,
    };
    let of_the_fault = || readings.iter().filter(|reading| !reading.after_repair);
    let settled_total = of_the_fault()
        .any(|r| matches!(r.what, Measurement::Total { as_found: false, .. }) && !r.provisional);
    for reading in of_the_fault() {
        let superseded =
            reading.provisional && settled_total && matches!(reading.what, Measurement::Total { .. });
        if !superseded {
            walk.take(reading);
        }
        walk.last_at = Some(reading.at);
    }
    walk.out
}

/// Returns the fuse of a feed as it is met: its calibrated resistance, else its own, else the table's.
///
/// # Errors
/// No resistance is known for it; the diagnostic says what to do.
pub fn fuse_of(feed: FeedId, map: &Map, table: &FuseTable) -> Result<Fuse, Diagnostic> {
    fuse_with(feed, map, |fuse| table.resistance(fuse))
}

fn fuse_with(
    feed: FeedId,
    map: &Map,
    resistance: impl FnOnce(&FuseSpec) -> Result<Resistance, Diagnostic>,
) -> Result<Fuse, Diagnostic> {
    let found = map.feeds.get(feed).ok_or_else(|| Diagnostic::new("no such feed"))?;
    Ok(Fuse {
        family: found.fuse.family,
        rating: found.fuse.rating,
        resistance: resistance(&found.fuse)?,
        place: map.box_of(found).map_or("no box", |place| place.id.as_str()).to_owned(),
    })
}

fn zero_of(reading: &Reading) -> Option<Zero> {
    reading.zero.map(|(entry, offset)| Zero { entry, offset })
}

/// Returns the resistances that known load steps give, by feed; the newest counts.
pub fn calibrations(readings: &[Reading], panel: &Panel, table: &FuseTable) -> BTreeMap<FeedId, Resistance> {
    let one = |reading: &Reading| {
        let Measurement::Step { feed, before, after, current: load } = &reading.what else { return None };
        let feed = panel.tree.find_feed(feed).ok()?;
        let load = current(load, &reading.clamp);
        let resistance =
            resistance_of_step(before, after, &load, &reading.meter, reading.temperature.value(), table)?;
        Some((feed, resistance))
    };
    readings.iter().filter_map(one).collect()
}

pub(super) struct ObservationWalk<'a> {
    pub(super) panel: &'a Panel,
    table: &'a FuseTable,
    own: BTreeMap<FeedId, Resistance>,
    /// Total before and after each pull, by feed.
    pub(super) pulled: BTreeMap<FeedId, (Uncertain<Ampere>, Uncertain<Ampere>)>,
    /// Groups that fell asleep when a feed, or a load as `FEED/load`, was taken out, with it.
    asleep_without: Vec<(GroupId, String)>,
    /// What is normal at each place asked about, in ampere.
    normals: HashMap<(Scope, Interrupted), f64>,
    /// Total as last read, with what is interrupted now.
    pub(super) running: Option<Uncertain<Ampere>>,
    /// When the reading before was taken.
    pub(super) last_at: Option<DateTime<FixedOffset>>,
    pub(super) out: Observed,
}

impl ObservationWalk<'_> {
    fn take(&mut self, reading: &Reading) {
        match &reading.what {
            Measurement::Total { current: shown, as_found: false } => self.take_total(reading, shown),
            // Taken in another state of the vehicle than the rest.
            Measurement::Total { as_found: true, .. } | Measurement::Watch { .. } => {}
            Measurement::Look { at, found } | Measurement::Report { of: at, says: found } => {
                self.take_sighting(reading, at, found)
            }
            Measurement::Out { at, came, time } => self.take_out(reading, at, came, time.value),
            Measurement::Drop { feed, drop }
            | Measurement::Below { feed, drop }
            | Measurement::Step { feed, before: drop, .. } => self.take_drop(reading, feed, drop),
            Measurement::Clamp { at, current: shown } => self.take_clamp(reading, at, shown),
            Measurement::Pull { feed, before, after } => self.take_pull(reading, feed, before, after),
            Measurement::Refit { feed, total } => self.take_refit(reading, feed, total),
            Measurement::Unplug { feed, load, before, after } => {
                self.take_unplug(reading, feed, load, (before, after))
            }
            Measurement::Input { input, before, after } => self.take_input(reading, input, before, after),
        }
    }

    /// The newest total counts; one before it that agrees with it stands beside it.
    fn take_total(&mut self, reading: &Reading, shown: &Typed<Ampere>) {
        let total = current(shown, &reading.clamp);
        self.running_total(reading, &total);
        self.running = Some(total);
        if self.out.ended().is_some() {
            // It tells nothing of the fault any more; what was read of that stands.
            return;
        }
        let total = wandering(placed_current(shown, &reading.clamp), &self.panel.map);
        let now = self.out.interrupted.clone();
        self.out.observations.retain(|observation| {
            let agrees = || {
                let apart = total.minus(&observation.current);
                apart.value().abs() <= apart.u() * DETECTION
            };
            let stands = || observation.interrupted == now && observation.entry != reading.entry && agrees();
            observation.scope != Scope::Total || stands()
        });
        self.observation(reading, Scope::Total, total, false);
    }

    /// Compares a total, read before something is done, with the one last read. If it fell by itself, what was high
    /// before may have been a module still awake: those observations go, and this total takes the old one's place.
    pub(super) fn running_total(&mut self, reading: &Reading, now: &Uncertain<Ampere>) {
        let Some(last) = self.running.replace(now.clone()) else { return };
        let fell = fall(&last, now, &self.panel.map);
        let inputs = late::fallen_since(&self.out.tried, reading.at, self.panel);
        if !inputs.is_empty() && late::is_clear(&fell, &last) && self.out.ended().is_none() {
            self.out.tried.retain(|tried| !inputs.contains(&tried.input));
            self.release(reading, &inputs, fell, now.clone());
            return;
        }
        late::watch(&mut self.out.tried, reading.at, self.panel);
        let least = (fell.u() * DETECTION).max(self.panel.map.scaled(STEP)).max(last.value() * LATE_SLEEP);
        if fell.value() < least || self.out.ended().is_some() {
            return;
        }
        let (panel, normals) = (self.panel, &mut self.normals);
        self.out.observations.retain(|observation| {
            if observation.scope == Scope::Total {
                return false;
            }
            let place = (observation.scope, observation.interrupted.clone());
            let normal = normals
                .entry(place)
                .or_insert_with(|| panel.normal(observation.scope, &observation.interrupted));
            let above = observation.current.value().base() - *normal;
            above < (observation.current.u() * DETECTION).max(observation.floor).base()
        });
        self.out.events.push((reading.entry, Event::FellAsleep { from: last.value(), to: now.value() }));
        self.observation(reading, Scope::Total, wandering(now.clone(), &self.panel.map), false);
    }

    /// After the draw ended nothing shows the fault any more, so nothing is claimed about it.
    pub(super) fn observation(
        &mut self,
        reading: &Reading,
        scope: Scope,
        current: Uncertain<Ampere>,
        measured_here: bool,
    ) {
        if self.out.ended().is_some() {
            return;
        }
        let floor = match scope {
            Scope::FallOfFeed(_) | Scope::FallOfLoad(..) | Scope::FallOfInput(..) => {
                current.own() * DETECTION
            }
            _ => current_floor(&reading.clamp),
        };
        self.claim_with_floor(reading, scope, current, floor, measured_here);
    }

    fn claim_with_floor(
        &mut self,
        reading: &Reading,
        scope: Scope,
        current: Uncertain<Ampere>,
        floor: Ampere,
        measured_here: bool,
    ) {
        if self.out.ended().is_none() {
            let interrupted = self.out.interrupted.clone();
            self.out.observations.push(Observation {
                entry: reading.entry,
                scope,
                interrupted,
                current,
                floor,
                measured_here,
            });
        }
    }

    fn take_drop(&mut self, reading: &Reading, name: &str, drop: &Typed<Volt>) {
        let Ok(feed) = self.panel.tree.find_feed(name) else { return };
        match self.convert(reading, feed, drop) {
            Ok(converted) => {
                let current = wandering(converted.current, &self.panel.map);
                self.claim_with_floor(reading, Scope::Through(feed), current, converted.floor.value(), true);
                // What was below a drop is no figure: it is weighed by how likely it is to be below.
                if matches!(reading.what, Measurement::Below { .. }) {
                    let below = self.out.observations.pop_if(|last| last.entry == reading.entry);
                    self.out.below.extend(below);
                }
            }
            Err(fault) => {
                self.out.events.push((reading.entry, Event::NoResistance { feed: name.to_owned(), fault }))
            }
        }
    }

    fn convert(&self, reading: &Reading, feed: FeedId, drop: &Typed<Volt>) -> Result<Converted, Diagnostic> {
        let fuse = match self.own.get(&feed) {
            Some(own) => fuse_with(feed, &self.panel.map, |_| Ok(own.clone()))?,
            None => fuse_of(feed, &self.panel.map, self.table)?,
        };
        Ok(current_of_drop(drop, &reading.meter, zero_of(reading), &fuse, &reading.temperature, self.table))
    }

    fn take_clamp(&mut self, reading: &Reading, at: &str, shown: &Typed<Ampere>) {
        let current = wandering(placed_current(shown, &reading.clamp), &self.panel.map);
        if let Ok(feed) = self.panel.tree.find_feed(at) {
            self.observation(reading, Scope::Through(feed), current, true);
        } else if let Some(item) = self.panel.map.unfused.find_id(|item| item.name.eq_ignore_ascii_case(at)) {
            self.observation(reading, Scope::Unfused(item), current, true);
        }
    }

    fn take_pull(&mut self, reading: &Reading, name: &str, before: &Typed<Ampere>, after: &Typed<Ampere>) {
        let Ok(feed) = self.panel.tree.find_feed(name) else { return };
        let (before, after) = (current(before, &reading.clamp), current(after, &reading.clamp));
        self.running_total(reading, &before);
        self.running = Some(after.clone());
        let fall = fall(&before, &after, &self.panel.map);
        if is_rise(&fall, &self.panel.map) {
            self.out.events.push((reading.entry, Event::Woke { feed: name.to_owned() }));
        } else {
            self.take_fall(reading, Scope::FallOfFeed(feed), name, fall);
            self.pulled.insert(feed, (before, after));
        }
        self.out.interrupted = self.out.interrupted.after(Scope::FallOfFeed(feed));
    }

    /// A fall by what was taken out. If a whole group fell asleep with it, later readings find it asleep.
    fn take_fall(&mut self, reading: &Reading, scope: Scope, without: &str, fall: Uncertain<Ampere>) {
        if let Some(group) = falls_together(scope, &fall, &self.out, self.panel) {
            let name = self.panel.map.wake_groups.get(group).map(|found| found.id.clone());
            let event = Event::FellTogether { without: without.to_owned(), group: name.unwrap_or_default() };
            self.out.events.push((reading.entry, event));
            self.out.interrupted.asleep.push(group);
            self.asleep_without.push((group, without.to_lowercase()));
        }
        self.observation(reading, scope, fall, false);
    }

    fn wakes_again(&mut self, back: &str) {
        let back = back.to_lowercase();
        let of_it = self.asleep_without.iter().filter(|(_, without)| *without == back);
        let groups: Vec<GroupId> = of_it.map(|(group, _)| *group).collect();
        self.asleep_without.retain(|(_, without)| *without != back);
        self.out.interrupted.asleep.retain(|group| !groups.contains(group));
    }

    /// The feed, or the load written `FEED/load`, goes back. If the draw stays as low as without it although the
    /// pull had clearly lowered it, the pull cured it.
    fn take_refit(&mut self, reading: &Reading, name: &str, total: &Typed<Ampere>) {
        self.wakes_again(name);
        if let Some((feed, load)) = name.split_once('/') {
            self.running = None;
            if let Some((whole, _)) = find_part(feed, load, &self.panel.map) {
                self.part_is_on(whole);
            }
            if let Some(load) = self.panel.find_load(feed, load) {
                self.out.interrupted.loads.retain(|out| *out != load);
            }
            return;
        }
        let Ok(feed) = self.panel.tree.find_feed(name) else { return };
        self.out.interrupted.feeds.retain(|out| *out != feed);
        self.running = None;
        let Some((before, after)) = self.pulled.remove(&feed) else { return };
        let total = current(total, &reading.clamp);
        let fell = fall(&before, &after, &self.panel.map);
        let still_missing = fall(&before, &total, &self.panel.map);
        let clear = fell.value() > fell.u() * DETECTION;
        if clear && still_missing.value().base() > 0.6 * fell.value().base() {
            self.out.events.push((reading.entry, Event::Cured { feed: name.to_owned() }));
        }
    }

    fn take_unplug(
        &mut self,
        reading: &Reading,
        feed: &str,
        load: &str,
        (before, after): (&Typed<Ampere>, &Typed<Ampere>),
    ) {
        let name = format!("{feed}/{load}");
        let (before, after) = (current(before, &reading.clamp), current(after, &reading.clamp));
        if let Some((whole, part)) = find_part(feed, load, &self.panel.map) {
            self.running_total(reading, &before);
            self.take_inside(reading, whole, part, (&before, &after));
            self.running = Some(after);
            return;
        }
        let Some(load) = self.panel.find_load(feed, load) else { return };
        self.running_total(reading, &before);
        let fall = fall(&before, &after, &self.panel.map);
        self.running = Some(after);
        if is_rise(&fall, &self.panel.map) {
            let feed = self.panel.map.feed_name(load.feed).to_owned();
            self.out.events.push((reading.entry, Event::Woke { feed }));
        } else {
            self.take_fall(reading, Scope::FallOfLoad(load), &name, fall);
        }
        self.out.interrupted = self.out.interrupted.after(Scope::FallOfLoad(load));
    }

    /// What was left out for a while; nothing else was read of it.
    fn take_out(&mut self, reading: &Reading, at: &str, came: &str, time: Minute) {
        let Some(at) = SightingPlace::find(at, self.panel).filter(|_| self.out.ended().is_none()) else {
            return;
        };
        let came = came.split_once('=').map_or(Ok(0), |(_, count)| count.parse());
        if let Ok(came) = came {
            self.out.times_out.push(TimeOut { entry: reading.entry, at, time, came });
        }
    }

    /// After the draw ended nothing that is found tells of it.
    fn take_sighting(&mut self, reading: &Reading, at: &str, found: &str) {
        if let Some(at) = SightingPlace::find(at, self.panel).filter(|_| self.out.ended().is_none()) {
            let sighting = Sighting { entry: reading.entry, at, found: found.to_owned() };
            sighting::add(&mut self.out.sightings, sighting);
        }
    }
}

/// Finds an input by its name, letter case aside.
pub fn find_input(panel: &Panel, name: &str) -> Option<InputId> {
    panel.map.inputs().find(|(_, input)| input.eq_ignore_ascii_case(name.trim())).map(|(id, _)| id)
}

/// The difference of two readings of one meter; its offset cancels.
pub(super) fn fall(before: &Uncertain<Ampere>, after: &Uncertain<Ampere>, map: &Map) -> Uncertain<Ampere> {
    let wander = before.value().abs().base() * WANDER.0;
    before.minus(after).with_own(Ampere::new(wander.hypot(map.scaled(WANDER.1).base())))
}

fn is_rise(fall: &Uncertain<Ampere>, map: &Map) -> bool {
    fall.value() < -(fall.u() * DETECTION).max(map.scaled(STEP))
}

pub(super) fn wandering(current: Uncertain<Ampere>, map: &Map) -> Uncertain<Ampere> {
    let size = current.value().abs().base() * WANDER.0;
    current.with_own(Ampere::new(size.hypot(map.scaled(WANDER.1).base())))
}
