//! One vehicle hunted in every way, each time from the same start, and each finding judged.
//! Leaves to others: each way (`planned`, `panel`, `halving`), judging (`judge`).

use super::bench::ScoreBench;
use super::bounds::Bounds;
use super::judge::{Judged, judge};
use super::policy::{Hunted, Policy};
use super::subject::{Subject, TruthKind};
use super::{halving, panel, planned};
use crate::base::quantity::Unit;
use crate::base::styled::StyledText;
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::loads::NETWORK;
use crate::circuit::map::Map;
use crate::lessons::{class_of, kind_of_item};
use crate::sim::Truth;
use crate::text::truth::tell;

/// One vehicle scored.
#[derive(Debug, Clone, PartialEq)]
pub struct Scored {
    /// Its seed.
    pub seed: u64,
    /// Name of its map.
    pub map: String,
    /// Name of the meter across fuses.
    pub meter: String,
    /// Name of the clamp.
    pub clamp: String,
    /// Kind of truth.
    pub kind: TruthKind,
    /// Class of causes of the largest cause, as in the catalogue; `None` if there is none, or no list names it.
    pub class: Option<String>,
    /// The truth in words.
    pub truth: String,
    /// The ends that any search lies between.
    pub bounds: Bounds,
    /// One hunt a policy, in the order of the task, each with its judgement.
    pub hunts: Vec<(Hunted, Judged)>,
}

impl Scored {
    /// Hunts one vehicle in every way, each time from the same start.
    pub(super) fn of(subject: &Subject, policies: &[Policy], table: &'static FuseTable) -> Self {
        let truth = subject.world.in_its_words(subject.vehicle.truth());
        let hunt = |policy: &Policy| {
            let hunted = hunt_in(*policy, ScoreBench::new(subject, table));
            let judged = judge(&hunted.said, &truth);
            (hunted, judged)
        };
        Self {
            seed: subject.seed,
            map: subject.world.name.clone(),
            meter: subject.meter.name.clone(),
            clamp: subject.clamp.name.clone(),
            kind: TruthKind::of(&truth),
            class: class_of_truth(&subject.vehicle.truth(), &subject.world.wiring),
            truth: tell(&truth).iter().skip(1).map(StyledText::text).collect::<Vec<_>>().join("; "),
            bounds: Bounds::of(subject),
            hunts: policies.iter().map(hunt).collect(),
        }
    }
}

/// Hunts in one way.
fn hunt_in(policy: Policy, bench: ScoreBench) -> Hunted {
    match policy {
        Policy::Plan => planned::hunt(bench),
        Policy::Panel => panel::hunt(bench),
        Policy::Halving => halving::hunt(bench),
    }
}

/// Returns the class of causes that the largest cause of a vehicle belongs to.
fn class_of_truth(truth: &Truth, map: &Map) -> Option<String> {
    let cause = truth.causes.iter().max_by(|a, b| a.excess.base().total_cmp(&b.excess.base()))?;
    if cause.held {
        return Some(NETWORK.to_owned());
    }
    let feed = map.feeds.iter().find(|feed| feed.id == cause.branch);
    let load = feed.and_then(|feed| feed.loads.iter().find(|load| load.name == cause.load));
    class_of(load.map(|load| &load.kind).or_else(|| kind_of_item(map, &cause.branch))?)
}
