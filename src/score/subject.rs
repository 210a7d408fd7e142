//! The vehicles that are scored: maps, meters and clamps by turns of the seed, so that a seed is the same vehicle
//! whatever the number scored. Leaves to others: drawing the vehicle (`vehicle`, `fault`), hunting it (`scored`).

use std::num::NonZeroUsize;
use std::sync::Arc;

use super::policy::Policy;
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::quantity::Minute;
use crate::circuit::learnt::LearntShares;
use crate::circuit::limits::Limits;
use crate::circuit::map::{Limit, Map};
use crate::circuit::meters;
use crate::circuit::resolve::UNLISTED;
use crate::circuit::schema::BATTERY;
use crate::instrument::profile::Profile;
use crate::instrument::uncertainty::current_floor;
use crate::measure::observation::Panel;
use crate::sim::constants as k;
use crate::sim::{FaultPlan, Hands, Truth, Vehicle};

/// Meters across fuses, by turns.
const METERS: [&str; 2] = ["tenth-mv", "hundredth-mv"];
/// Clamps, by turns.
const CLAMPS: [&str; 2] = ["clamp-1ma", "clamp-10ma"];
/// What the total is read with where no clamp shows the limit.
const SERIES: &str = "series-ma";
/// At most so many seeds are looked through for each vehicle of a wanted kind.
const SEEDS_FOR_ONE: u64 = 2000;

/// What to score.
#[derive(Debug)]
pub struct Task<'a> {
    /// The maps, taken by turns.
    pub worlds: &'a [ScoreWorld],
    /// Seed of the first vehicle; the others follow it.
    pub first: u64,
    /// How many vehicles.
    pub vehicles: usize,
    /// How they are hunted; each vehicle in every one of these ways.
    pub policies: &'a [Policy],
    /// Only vehicles with this kind of truth; the seeds of others are passed over.
    pub wanted: TruthFilter,
    /// The hands that take the readings.
    pub hands: Hands,
    /// Whose vehicles they are, and what was learnt of them.
    pub shop: &'a Shop,
    /// How many threads. The result does not depend on it.
    pub threads: NonZeroUsize,
}

/// A shop: how its vehicles fail, and what the engine has learnt of that.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shop {
    /// Shares of causes in truth; none leaves those of the practice world.
    pub habits: LearntShares,
    /// Shares of causes as learnt; none leaves the editorial ones.
    pub learnt: LearntShares,
}

/// Which map the engine is given of a vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum MapKind {
    /// The one that the vehicle is built from.
    #[default]
    Diagram,
    /// What the lids of its fuse boxes tell of it.
    Lid,
}

impl MapKind {
    /// Returns its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Diagram => "diagram",
            Self::Lid => "lid",
        }
    }

    /// Returns the kind of this name: `diagram`, `lid`.
    pub fn from_name(name: &str) -> Option<Self> {
        match name {
            "diagram" => Some(Self::Diagram),
            "lid" => Some(Self::Lid),
            _ => None,
        }
    }
}

/// A map made ready once for all vehicles on it.
#[derive(Debug, Clone)]
pub struct ScoreWorld {
    /// Name of the map.
    pub name: String,
    /// The map that the vehicle is built from.
    pub wiring: Map,
    /// The map as the engine sees it.
    pub panel: Arc<Panel>,
    /// Limit in force.
    pub limit: Option<Limit>,
    /// Time that the vehicle needs to sleep.
    pub sleep: Minute,
    /// What the total is read with, where no clamp shows the limit.
    pub ammeter: Option<Profile>,
}

impl ScoreWorld {
    /// Makes a map ready.
    ///
    /// # Errors
    /// None that a checked map can cause.
    pub fn new(name: &str, wiring: Map, kind: MapKind) -> Result<Self, Faults> {
        let map = match kind {
            MapKind::Diagram => wiring.clone(),
            MapKind::Lid => wiring.as_lid()?,
        };
        let class = || Limits::builtin().default_limit(map.class);
        // Where none is published a hunt asks: whoever is there answers with what such a vehicle is held to.
        let told = || Some(Limit { current: k::LIMIT_TRUCK, source: "as told".to_owned() });
        let limit = map.limit.clone().or_else(class).or_else(told);
        let sleep = map.sleep_after.unwrap_or_else(|| Limits::builtin().sleep_after(None).0);
        let [fine, _] = CLAMPS;
        let fine = meters::find(fine, false)?;
        let too_coarse = limit.as_ref().is_some_and(|limit| limit.current < current_floor(&fine));
        let ammeter = too_coarse.then(|| meters::find(SERIES, false)).transpose()?;
        Ok(Self { name: name.to_owned(), wiring, panel: Arc::new(Panel::new(map)), limit, sleep, ammeter })
    }
}

impl ScoreWorld {
    /// Returns the truth with the names that the engine's map has: one network for all, the battery post for what it does
    /// not list there.
    pub(super) fn in_its_words(&self, mut truth: Truth) -> Truth {
        let map = &self.panel.map;
        let named = |id: &str| {
            self.panel.tree.branches().iter().any(|branch| branch.id == id)
                || map.wake_groups.iter().any(|group| group.id == id)
        };
        for cause in truth.causes.iter_mut().filter(|cause| !named(&cause.branch)) {
            let unfused = self.wiring.unfused.iter().find(|item| item.name == cause.branch);
            let above = unfused.and_then(|item| item.parent).and_then(|feed| self.wiring.feeds.get(feed));
            let feed = above.map_or(cause.branch.as_str(), |feed| feed.id.as_str());
            let feed = feed.strip_suffix(UNLISTED).unwrap_or(feed);
            let of_feed = || [feed.to_owned(), format!("{feed}{UNLISTED}")].into_iter().find(|id| named(id));
            let whole = map.wake_groups.first().map(|group| group.id.clone()).filter(|_| cause.held);
            cause.branch = whole.or_else(of_feed).unwrap_or_else(|| format!("{BATTERY}{UNLISTED}"));
        }
        truth
    }

    /// Returns the inputs of the vehicle that are meant by one of the engine's map.
    pub(super) fn inputs_meant(&self, name: &str) -> Vec<&str> {
        let own = self.wiring.wake_groups.iter().flat_map(|group| &group.inputs);
        let mut meant: Vec<&str> =
            own.filter(|own| self.wiring.class.is_same_input(name, own)).map(String::as_str).collect();
        meant.sort_unstable();
        meant.dedup();
        meant
    }
}

/// One vehicle to score.
#[derive(Debug, Clone)]
pub struct Subject<'a> {
    /// Its seed.
    pub seed: u64,
    /// Its map.
    pub world: &'a ScoreWorld,
    /// Its shop.
    pub shop: &'a Shop,
    /// Meter across fuses.
    pub meter: Profile,
    /// Clamp.
    pub clamp: Profile,
    /// The vehicle, parked and asleep.
    pub vehicle: Vehicle,
}

impl Subject<'_> {
    /// Returns what the total is read with.
    pub(super) fn ammeter(&self) -> &Profile {
        self.world.ammeter.as_ref().unwrap_or(&self.clamp)
    }
}

/// Kind of truth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TruthKind {
    /// A listed load draws too much.
    Load,
    /// An unlisted load on a fuse.
    Unlisted,
    /// Something unlisted behind a cable or link.
    Link,
    /// Something unlisted at the battery post.
    Post,
    /// An unfused item.
    Unfused,
    /// A wake group held awake.
    Held,
    /// Two causes.
    Two,
    /// Nothing wrong.
    Nothing,
}

impl TruthKind {
    /// Every kind with its name.
    pub const NAMES: [(TruthKind, &'static str); 8] = [
        (TruthKind::Load, "load"),
        (TruthKind::Unlisted, "unlisted"),
        (TruthKind::Link, "link"),
        (TruthKind::Post, "post"),
        (TruthKind::Unfused, "unfused"),
        (TruthKind::Held, "held"),
        (TruthKind::Two, "two"),
        (TruthKind::Nothing, "nothing"),
    ];

    /// Returns the kind of a truth.
    pub fn of(truth: &Truth) -> Self {
        let [cause] = truth.causes.as_slice() else {
            return if truth.causes.is_empty() { Self::Nothing } else { Self::Two };
        };
        match cause.branch.strip_suffix(":unlisted") {
            _ if cause.held => Self::Held,
            Some("battery") => Self::Post,
            Some(_) => Self::Link,
            None if cause.unlisted => Self::Unlisted,
            None if cause.load == cause.branch => Self::Unfused,
            None => Self::Load,
        }
    }

    /// Returns its name.
    pub fn name(self) -> &'static str {
        Self::NAMES.iter().find(|(kind, _)| *kind == self).map_or("", |(_, name)| name)
    }
}

/// Which vehicles are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TruthFilter {
    /// All.
    #[default]
    Any,
    /// Those with one cause of whatever kind.
    One,
    /// Those with this kind of truth.
    Only(TruthKind),
}

impl TruthFilter {
    /// Returns what is wanted by its name: `any`, `one`, or a kind.
    pub fn from_name(name: &str) -> Option<Self> {
        match name {
            "any" => Some(Self::Any),
            "one" => Some(Self::One),
            _ => TruthKind::NAMES.iter().find(|(_, own)| *own == name).map(|(kind, _)| Self::Only(*kind)),
        }
    }

    fn fits(self, kind: TruthKind) -> bool {
        match self {
            Self::Any => true,
            Self::One => !matches!(kind, TruthKind::Two | TruthKind::Nothing),
            Self::Only(wanted) => kind == wanted,
        }
    }
}

/// Draws the vehicles of a task.
pub(super) fn subjects<'a>(task: &Task<'a>) -> Result<Vec<Subject<'a>>, Diagnostic> {
    let find = |names: [&str; 2], volts| -> Result<Vec<Profile>, Diagnostic> {
        names.iter().map(|name| meters::find(name, volts)).collect()
    };
    let (meters, clamps) = (find(METERS, true)?, find(CLAMPS, false)?);
    let most = SEEDS_FOR_ONE.saturating_mul(task.vehicles as u64);
    let drawn = (0..most).filter_map(|at| subject(task, task.first.wrapping_add(at), &meters, &clamps));
    Ok(drawn
        .filter(|one| task.wanted.fits(TruthKind::of(&one.vehicle.truth())))
        .take(task.vehicles)
        .collect())
}

fn subject<'a>(task: &Task<'a>, seed: u64, meters: &[Profile], clamps: &[Profile]) -> Option<Subject<'a>> {
    let mut turns = seed;
    let mut turn = |of: usize| {
        let of = (of as u64).max(1);
        let at = turns % of;
        turns /= of;
        // Below the length of a list.
        at as usize
    };
    let world = task.worlds.get(turn(task.worlds.len()))?;
    let meter = meters.get(turn(meters.len()))?.clone();
    let clamp = clamps.get(turn(clamps.len()))?.clone();
    let vehicle = Vehicle::in_shop(&world.wiring, seed, FaultPlan::Mixed, &task.shop.habits);
    let mut vehicle = vehicle.with_meters(&meter, &clamp).with_hands(task.hands).as_found();
    if let Some(ammeter) = &world.ammeter {
        vehicle.take_meter(ammeter);
    }
    Some(Subject { seed, world, shop: task.shop, meter, clamp, vehicle })
}
