//! What to read while a draw that had gone is there again: the circuits that the readings so far point at, those first
//! that explain most, each by what shows it without waking anything.
//! Leaves to others: who is suspect (`infer/rank`), that the draw is back (`trace/guard`), words (`text/guard`).

use super::analysis::Analysis;
use super::proposal::{Proposal, StepReason};
use crate::base::quantity::{Ampere, Typed, Volt};
use crate::circuit::id::{BranchId, FeedId};
use crate::circuit::map::{Access, Hazard};
use crate::circuit::tree::BranchKind;
use crate::infer::assumptions::{MINUTES_CLAMP, MINUTES_DROP};
use crate::infer::rank::Suspect;
use crate::measure::convert::{current_of_drop, drop_of_current};
use crate::measure::kind::MeasurementKind;
use crate::measure::observation::{Interrupted, Scope};
use crate::measure::observe::fuse_of;

/// A reading to take at once.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadNow {
    /// What, and where: a drop or a clamp.
    pub reading: Proposal,
    /// The branch that it is taken for.
    pub branch: String,
    /// The likeliest load on it, if one is named.
    pub load: Option<String>,
    /// Probability of the branch by the readings so far.
    pub probability: f64,
    /// What a drop shows at rest, and if this branch carries all of what came back.
    pub shows: Option<(Volt, Volt)>,
}

/// Returns what to read now that the total is so much above its rest, in the order of the ranking.
pub fn read_now(analysis: &Analysis, rise: Ampere) -> Vec<ReadNow> {
    analysis.ranking().suspects.iter().filter_map(|suspect| of_suspect(suspect, analysis, rise)).collect()
}

fn of_suspect(suspect: &Suspect, analysis: &Analysis, rise: Ampere) -> Option<ReadNow> {
    let (action, at, shows) = way(suspect.branch, analysis, rise)?;
    let minutes = if action == MeasurementKind::Drop { MINUTES_DROP } else { MINUTES_CLAMP };
    let reason = StepReason::Covers(suspect.probability);
    let load = suspect.loads.iter().find_map(|(name, _)| name.clone()).filter(|name| *name != suspect.id);
    Some(ReadNow {
        reading: Proposal { action, at: Some(at), minutes, bits: 0.0, floor: None, reason },
        branch: suspect.id.clone(),
        load,
        probability: suspect.probability,
        shows,
    })
}

type Way = (MeasurementKind, String, Option<(Volt, Volt)>);

/// Returns how a branch is read, if it can be without pulling anything.
fn way(branch: BranchId, analysis: &Analysis, rise: Ampere) -> Option<Way> {
    let map = &analysis.panel.map;
    match analysis.panel.tree.branches().get(branch)?.kind {
        BranchKind::Unfused(item) => {
            Some((MeasurementKind::Clamp, map.unfused.get(item)?.name.clone(), None))
        }
        BranchKind::Battery => None,
        BranchKind::Feed(feed) => {
            let found = map.feeds.get(feed)?;
            if let Some(shows) = drop(feed, analysis, rise) {
                return Some((MeasurementKind::Drop, found.id.clone(), Some(shows)));
            }
            let has_room = found.access != Access::None && found.hazard != Some(Hazard::Hv);
            has_room.then(|| (MeasurementKind::Clamp, found.id.clone(), None))
        }
    }
}

/// Returns what the drop across a fuse shows at rest and now, if it may be read and could show the difference.
fn drop(feed: FeedId, analysis: &Analysis, rise: Ampere) -> Option<(Volt, Volt)> {
    let (panel, facts) = (&analysis.panel, &analysis.facts);
    let found = panel.map.feeds.get(feed)?;
    if found.access != Access::Points || matches!(found.hazard, Some(Hazard::Restraint | Hazard::Hv)) {
        return None;
    }
    let fuse = fuse_of(feed, &panel.map, facts.table).ok()?;
    let nothing = Typed::measured(Volt::ZERO, facts.meter.resolution, "");
    let zero = current_of_drop(&nothing, &facts.meter, facts.zero, &fuse, &facts.temperature, facts.table);
    if zero.floor.value() > rise {
        return None;
    }
    let asleep = Ampere::new(panel.normal(Scope::Through(feed), &Interrupted::default()));
    let show = |current| drop_of_current(current, &fuse, facts.temperature.value(), facts.table);
    Some((show(asleep), show(asleep + rise)))
}
