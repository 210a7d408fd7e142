//! The readings that can still be taken: where, with what errors, in how many minutes, and what forbids others.
//! Leaves to others: what each is worth (`worth`), which is best (`plan`).

use super::forecast::PredictedReading;
use crate::base::quantity::{Ampere, Celsius, Minute, Typed, Uncertain, Volt};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::id::{BoxId, FeedId, GroupId, InputId, LoadId, UnfusedId};
use crate::circuit::inside::Whole;
use crate::circuit::map::{Access, Hazard, Load, VehicleClass};
use crate::infer::assumptions::{
    KNOWN_LOAD, MINUTES_CLAMP, MINUTES_CLAMP_ON_BATTERY, MINUTES_DROP, MINUTES_INPUT, MINUTES_PULL,
    MINUTES_PULL_AT_ONCE, MINUTES_STEP, MINUTES_TOTAL, MINUTES_UNPLUG, WAKE_RISK,
};
use crate::instrument::profile::Profile;
use crate::instrument::uncertainty::{DETECTION, Zero, current, drop_floor, placed_current};
use crate::measure::convert::{Fuse, current_of_drop, drop_of_current, own_spread, resistance_of_step};
use crate::measure::event::TriedInput;
use crate::measure::kind::MeasurementKind;
use crate::measure::observation::{Interrupted, Observation, Panel, Scope};
use crate::measure::observe::fuse_of;

/// How far the difference of two totals of a car wanders by itself. Editorial.
const FALL_WANDERS: Ampere = Ampere::from_milli(2.0);

/// A reading that can be taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// What to do.
    pub action: MeasurementKind,
    /// Where: a feed, an unfused item, `FEED/load` or an input; empty for the total.
    pub at: String,
    /// Box that it needs.
    pub place: Option<BoxId>,
    /// Minutes of work without reaching the box.
    pub minutes: Minute,
    /// The observation it would make.
    pub outlook: PredictedReading,
    /// Smallest current that it could show.
    pub floor: Uncertain<Ampere>,
}

impl Candidate {
    /// Returns true if an input of this group is worked.
    pub fn works_input_of(&self, group: GroupId, panel: &Panel) -> bool {
        match self.outlook.scope {
            Scope::FallOfInput(input) => panel.same_input(input).iter().any(|named| named.group == group),
            _ => false,
        }
    }
}

/// What is fixed while candidates are listed.
pub struct Setting<'a> {
    /// The vehicle.
    pub panel: &'a Panel,
    /// Fuse figures.
    pub table: &'a FuseTable,
    /// Meter across fuses.
    pub meter: &'a Profile,
    /// Clamp.
    pub clamp: &'a Profile,
    /// What the total is read with.
    pub ammeter: &'a Profile,
    /// Zero in force.
    pub zero: Option<Zero>,
    /// Temperature taken for boxes.
    pub temperature: Uncertain<Celsius>,
    /// What is interrupted now.
    pub interrupted: Interrupted,
    /// Observations so far.
    pub observations: &'a [Observation],
    /// Inputs worked without a fall so far.
    pub tried: &'a [TriedInput],
    /// Feeds whose resistance a known load step told.
    pub calibrated: &'a [FeedId],
    /// Time that a woken group needs to sleep again.
    pub sleep: Minute,
    /// Readings that somebody passed over.
    pub passed_over: &'a [(MeasurementKind, Option<String>)],
}

impl Setting<'_> {
    fn outlook(&self, scope: Scope, errors: Uncertain<Ampere>, relative: f64) -> PredictedReading {
        PredictedReading { scope, interrupted: self.interrupted.clone(), errors, relative }
    }

    /// Returns true if somebody passed this reading over; the total's place is empty.
    pub fn is_passed_over(&self, action: MeasurementKind, at: &str) -> bool {
        let known = |(passed, place): &(MeasurementKind, Option<String>)| {
            *passed == action && place.as_deref().unwrap_or_default() == at
        };
        self.passed_over.iter().any(known)
    }
}

/// Lists what can be read. Nothing is listed twice at one place unless its reading is in doubt (`again`, by entry).
pub fn candidates(setting: &Setting, again: &[usize]) -> Vec<Candidate> {
    let mut all = Vec::new();
    for feed in setting.panel.map.feeds.ids() {
        all.extend(drop_at(feed, setting, again));
        all.extend(step_on(feed, setting));
        all.extend(clamp_at(feed, setting, again));
        all.extend(pull_of(feed, setting));
    }
    for item in setting.panel.map.unfused.ids() {
        all.extend(clamp_on_unfused(item, setting, again));
        all.extend(unplug_of_unfused(item, setting));
    }
    all.extend(inputs(setting));
    all.extend(total_again(setting, again));
    all.retain(|candidate| !setting.is_passed_over(candidate.action, &candidate.at));
    all
}

/// A reading taken before a group was released tells of another state and may be taken anew.
fn read_already(setting: &Setting, again: &[usize], scopes: &[Scope]) -> bool {
    setting.observations.iter().any(|observation| {
        let same_state = || observation.interrupted.released == setting.interrupted.released;
        scopes.contains(&observation.scope) && !again.contains(&observation.entry) && same_state()
    })
}

fn is_cut_off(feed: FeedId, setting: &Setting) -> bool {
    setting.panel.tree.path_to_battery(feed).iter().any(|above| setting.interrupted.feeds.contains(above))
}

/// Returns true if a drop may be read there, with test points within reach.
pub fn can_be_read(feed: FeedId, setting: &Setting) -> bool {
    setting.panel.map.feeds.get(feed).is_some_and(|found| {
        found.access == Access::Points && !matches!(found.hazard, Some(Hazard::Restraint | Hazard::Hv))
    })
}

/// A drop: never on restraint or high-voltage circuits, never without test points or a known resistance.
fn drop_at(feed: FeedId, setting: &Setting, again: &[usize]) -> Option<Candidate> {
    let found = setting.panel.map.feeds.get(feed)?;
    if !can_be_read(feed, setting)
        || is_cut_off(feed, setting)
        || read_already(setting, again, &[Scope::Through(feed)])
    {
        return None;
    }
    let fuse = fuse_of(feed, &setting.panel.map, setting.table).ok()?;
    let (errors, floor) = drop_errors(&fuse, setting);
    Some(Candidate {
        action: MeasurementKind::Drop,
        at: found.id.clone(),
        place: found.place,
        minutes: MINUTES_DROP,
        outlook: setting.outlook(
            Scope::Through(feed),
            errors,
            own_spread(&fuse.resistance).hypot(fuse.resistance.make),
        ),
        floor,
    })
}

/// A known load step on a fuse that was read: its own resistance then replaces the table's. Only where nothing is
/// guarded, for something is switched on there.
fn step_on(feed: FeedId, setting: &Setting) -> Option<Candidate> {
    let found = setting.panel.map.feeds.get(feed)?;
    let read = setting.observations.iter().rev().find(|observation| {
        observation.scope == Scope::Through(feed)
            && observation.interrupted.released == setting.interrupted.released
    })?;
    if found.hazard.is_some()
        || found.access != Access::Points
        || is_cut_off(feed, setting)
        || setting.calibrated.contains(&feed)
        || read.current.value() < read.floor
    {
        return None;
    }
    let fuse = fuse_of(feed, &setting.panel.map, setting.table).ok()?;
    let before = Typed::measured(Volt::ZERO, setting.meter.resolution, "");
    let risen = drop_of_current(KNOWN_LOAD, &fuse, setting.temperature.value(), setting.table);
    let after = Typed::measured(risen, setting.meter.resolution, "");
    let load = current(&Typed::measured(KNOWN_LOAD, setting.clamp.resolution, ""), setting.clamp);
    let temperature = setting.temperature.value();
    let own = resistance_of_step(&before, &after, &load, setting.meter, temperature, setting.table)?;
    let (errors, floor) = drop_errors(&fuse, setting);
    Some(Candidate {
        action: MeasurementKind::Step,
        at: found.id.clone(),
        place: found.place,
        minutes: MINUTES_STEP,
        outlook: setting.outlook(Scope::Through(feed), errors, own_spread(&own)),
        floor,
    })
}

/// The total once more, where it is the reading in doubt, or something was read since: a module that slept late may
/// have been awake when it was read. Two that agree are enough.
fn total_again(setting: &Setting, again: &[usize]) -> Option<Candidate> {
    let mut totals = setting.observations.iter().filter(|observation| {
        observation.scope == Scope::Total && observation.interrupted == setting.interrupted
    });
    let (Some(total), None) = (totals.next(), totals.next()) else { return None };
    let read_since = setting.observations.iter().any(|observation| observation.entry > total.entry);
    if !read_since && !again.contains(&total.entry) {
        return None;
    }
    let read = through(setting, setting.ammeter, Scope::Total, "");
    Some(Candidate { action: MeasurementKind::Total, minutes: MINUTES_TOTAL, ..read })
}

pub(super) fn drop_errors(fuse: &Fuse, setting: &Setting) -> (Uncertain<Ampere>, Uncertain<Ampere>) {
    let offset = setting.zero.map_or(Volt::ZERO, |zero| zero.offset);
    let nothing = Typed::measured(offset, setting.meter.resolution, "");
    let at_zero =
        current_of_drop(&nothing, setting.meter, setting.zero, fuse, &setting.temperature, setting.table);
    (at_zero.current, at_zero.floor)
}

/// A clamp: anywhere within reach except on high-voltage circuits, and on a motorcycle only round a main cable: its fuses
/// sit too close, and it is milliamperes that are looked for.
fn clamp_at(feed: FeedId, setting: &Setting, again: &[usize]) -> Option<Candidate> {
    let found = setting.panel.map.feeds.get(feed)?;
    let forbidden =
        found.access == Access::None || found.hazard == Some(Hazard::Hv) || is_cut_off(feed, setting);
    let no_room = setting.panel.map.class == VehicleClass::Motorcycle && found.access != Access::Clamp;
    if forbidden || no_room || read_already(setting, again, &[Scope::Through(feed)]) {
        return None;
    }
    Some(clamp(setting, Scope::Through(feed), &found.id, found.place, found.parent.is_none()))
}

fn clamp_on_unfused(item: UnfusedId, setting: &Setting, again: &[usize]) -> Option<Candidate> {
    let found = setting.panel.map.unfused.get(item)?;
    if found.parent.is_some_and(|feed| is_cut_off(feed, setting))
        || read_already(setting, again, &[Scope::Unfused(item)])
    {
        return None;
    }
    Some(clamp(setting, Scope::Unfused(item), &found.name, None, found.parent.is_none()))
}

/// What cuts an unfused item off altogether reads it as a clamp would, where no clamp is fine enough.
fn unplug_of_unfused(item: UnfusedId, setting: &Setting) -> Option<Candidate> {
    let map = &setting.panel.map;
    let part = Whole::Item(item).parts(map).into_iter().find(|part| part.reads_whole())?;
    if setting.interrupted.items.contains(&item) || read_already(setting, &[], &[Scope::Unfused(item)]) {
        return None;
    }
    let (errors, floor) = fall_errors(setting);
    Some(Candidate {
        action: MeasurementKind::Unplug,
        at: format!("{}/{}", map.unfused_name(item), part.part),
        place: None,
        minutes: Minute::new(part.minutes),
        outlook: setting.outlook(Scope::Unfused(item), errors, 0.005),
        floor,
    })
}

fn clamp(setting: &Setting, scope: Scope, at: &str, place: Option<BoxId>, on_battery: bool) -> Candidate {
    let minutes = if on_battery { MINUTES_CLAMP_ON_BATTERY } else { MINUTES_CLAMP };
    Candidate { place, minutes, ..through(setting, setting.clamp, scope, at) }
}

/// A current as a clamp or an ammeter put on for it shows it.
fn through(setting: &Setting, profile: &Profile, scope: Scope, at: &str) -> Candidate {
    let at_zero = placed_current(&Typed::measured(Ampere::ZERO, profile.resolution, ""), profile);
    let floor = Uncertain::exact(at_zero.u() * DETECTION);
    Candidate {
        action: MeasurementKind::Clamp,
        at: at.to_owned(),
        place: None,
        minutes: MINUTES_CLAMP,
        outlook: setting.outlook(scope, at_zero, profile.percent / 100.0 / 3.0_f64.sqrt()),
        floor,
    }
}

/// Errors of a difference of two totals: the offset cancels, both digits and the vehicle's own wander stay.
fn fall_errors(setting: &Setting) -> (Uncertain<Ampere>, Uncertain<Ampere>) {
    let one = current(&Typed::measured(Ampere::ZERO, setting.ammeter.resolution, ""), setting.ammeter);
    let u = one.own() * std::f64::consts::SQRT_2;
    let errors = Uncertain::new(Ampere::ZERO, u).with_own(setting.panel.map.scaled(FALL_WANDERS));
    let floor = Uncertain::exact(errors.u() * DETECTION);
    (errors, floor)
}

/// A pull: only where nothing is guarded; a drop that can be read is always quicker and safer.
fn pull_of(feed: FeedId, setting: &Setting) -> Option<Candidate> {
    let found = setting.panel.map.feeds.get(feed)?;
    let guarded_below = setting.panel.map.feeds.iter_ids().any(|(below, found)| {
        found.hazard.is_some() && setting.panel.tree.path_to_battery(below).contains(&feed)
    });
    let allowed =
        matches!(found.access, Access::Points | Access::Pull) && found.hazard.is_none() && !guarded_below;
    if !allowed || is_cut_off(feed, setting) || read_already(setting, &[], &[Scope::FallOfFeed(feed)]) {
        return None;
    }
    let (errors, floor) = fall_errors(setting);
    Some(Candidate {
        action: MeasurementKind::Pull,
        at: found.id.clone(),
        place: found.place,
        minutes: pull_minutes(setting),
        outlook: setting.outlook(Scope::FallOfFeed(feed), errors, 0.005),
        floor,
    })
}

/// A motorcycle's fuses sit side by side and wake little: with the ammeter in series the total is read at once.
fn pull_minutes(setting: &Setting) -> Minute {
    if setting.panel.map.class == VehicleClass::Motorcycle {
        return MINUTES_PULL_AT_ONCE;
    }
    MINUTES_PULL + setting.sleep * WAKE_RISK
}

/// Unplugging each load of a feed: narrows from the circuit to the component.
pub fn unplugs(feed: FeedId, setting: &Setting) -> Vec<Candidate> {
    let Some(found) = setting.panel.map.feeds.get(feed) else { return Vec::new() };
    if found.hazard.is_some() || is_cut_off(feed, setting) {
        return Vec::new();
    }
    let (errors, floor) = fall_errors(setting);
    let one = |(id, load): (LoadId, &Load)| Candidate {
        action: MeasurementKind::Unplug,
        at: format!("{}/{}", found.id, load.name),
        place: None,
        minutes: MINUTES_UNPLUG,
        outlook: setting.outlook(Scope::FallOfLoad(id), errors.clone(), 0.005),
        floor: floor.clone(),
    };
    let open = |(id, _): &(LoadId, &Load)| {
        !setting.interrupted.loads.contains(id) && !read_already(setting, &[], &[Scope::FallOfLoad(*id)])
    };
    let left = |candidate: &Candidate| !setting.is_passed_over(candidate.action, &candidate.at);
    let loads = found.loads.iter().enumerate().map(|(at, load)| (LoadId { feed, at }, load));
    loads.filter(open).map(one).filter(left).collect()
}

fn inputs(setting: &Setting) -> Vec<Candidate> {
    let (errors, floor) = fall_errors(setting);
    let open = |(input, _): &(InputId, &str)| {
        // One that several groups name is worked once.
        let is_first = setting.panel.same_input(*input).first() == Some(input);
        let tried = setting.tried.iter().any(|tried| tried.input == *input);
        is_first && !tried && !read_already(setting, &[], &[Scope::FallOfInput(*input)])
    };
    let one = |(input, name): (InputId, &str)| Candidate {
        action: MeasurementKind::Input,
        at: name.to_owned(),
        place: None,
        minutes: MINUTES_INPUT,
        outlook: setting.outlook(Scope::FallOfInput(input), errors.clone(), 0.005),
        floor: floor.clone(),
    };
    setting.panel.map.inputs().filter(open).map(one).collect()
}

/// Returns by how much a zero would lower the floor of millivolt readings: 1 is not at all.
pub fn zero_gain(setting: &Setting) -> f64 {
    if setting.zero.is_some() {
        return 1.0;
    }
    let offset = Zero { entry: 0, offset: Volt::ZERO };
    drop_floor(setting.meter, Some(offset)) / drop_floor(setting.meter, None)
}
