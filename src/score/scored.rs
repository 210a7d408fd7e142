//! One vehicle hunted in every way, each time from the same start, and each finding judged.
//! Leaves to others: each way (`planned`, `panel`, `halving`), judging (`judge`).

use super::bench::ScoreBench;
use super::bounds::Bounds;
use super::judge::{Judged, judge};
use super::policy::{Hunted, Policy};
use super::subject::{Subject, TruthKind};
use super::{halving, panel, planned};
use crate::base::styled::StyledText;
use crate::circuit::fuse_table::FuseTable;

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
            truth: truth.tell().iter().skip(1).map(StyledText::text).collect::<Vec<_>>().join("; "),
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
