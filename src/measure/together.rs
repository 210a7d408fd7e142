//! Whether a whole wake group fell asleep with one thing that was taken out: the total then fell by more than that draws,
//! while others of its group were high. Leaves to others: what it says about the cause (`infer`).

use std::collections::BTreeMap;

use super::event::Observed;
use super::observation::{Interrupted, Observation, Panel, Scope, coefficient};
use super::sources::{CurrentSource, PartKind};
use crate::base::quantity::{Ampere, Uncertain};
use crate::circuit::id::{FeedId, GroupId};
use crate::instrument::uncertainty::DETECTION;

/// So many other feeds of the group must have been high before: one alone may be a second fault. Editorial.
const OTHERS_HIGH: usize = 2;
/// A module may draw so much more than the map's awake current before its fall is no longer its own. Editorial.
const OWN_AT_MOST: f64 = 1.5;

/// Returns the group that fell asleep with what was taken out for an observation about `scope`, if one did.
pub fn falls_together(
    scope: Scope,
    fall: &Uncertain<Ampere>,
    before: &Observed,
    panel: &Panel,
) -> Option<GroupId> {
    let after = before.interrupted.after(scope);
    let lost: Vec<&CurrentSource> =
        panel.parts.iter().filter(|part| goes_out(part, &before.interrupted, &after)).collect();
    let own: Ampere = lost.iter().map(|part| part.awake.max(part.asleep)).sum();
    if fall.value() - fall.u() * DETECTION < own * OWN_AT_MOST {
        return None;
    }
    panel.map.wake_groups.ids().find(|group| {
        let is_module = |part: &CurrentSource| group_of(part.kind, panel) == Some(*group);
        lost.iter().any(|part| is_module(part)) && others_high(*group, &after, before, panel) >= OTHERS_HIGH
    })
}

fn goes_out(part: &CurrentSource, before: &Interrupted, after: &Interrupted) -> bool {
    coefficient(Scope::Total, before, part) != 0.0 && coefficient(Scope::Total, after, part) == 0.0
}

/// Counts the feeds with modules of the group still on them that were read clearly above what is normal asleep.
fn others_high(group: GroupId, after: &Interrupted, before: &Observed, panel: &Panel) -> usize {
    let parts = &panel.parts;
    let is_left = |feed: FeedId| {
        parts.iter().any(|part| {
            group_of(part.kind, panel) == Some(group) && coefficient(Scope::Through(feed), after, part) != 0.0
        })
    };
    let is_high = |observation: &Observation| {
        let normal = Ampere::new(panel.normal(observation.scope, &observation.interrupted));
        observation.current.value() - normal > (observation.current.u() * DETECTION).max(observation.floor)
    };
    let mut feeds: BTreeMap<FeedId, Vec<&Observation>> = BTreeMap::new();
    for observation in &before.observations {
        if let Scope::Through(feed) = observation.scope
            && panel.tree.below_feed(feed).len() == 1
        {
            feeds.entry(feed).or_default().push(observation);
        }
    }
    let high = |(feed, observations): &(&FeedId, &Vec<&Observation>)| {
        is_left(**feed) && observations.iter().any(|observation| is_high(observation))
    };
    feeds.iter().filter(high).count()
}

/// Returns the wake group of a listed load.
pub fn group_of(kind: PartKind, panel: &Panel) -> Option<GroupId> {
    match kind {
        PartKind::Load(load) => panel.map.load(load)?.wake_group,
        _ => None,
    }
}
