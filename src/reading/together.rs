//! Whether a whole wake group fell asleep with one thing that was taken out: the total then fell by more than that draws,
//! while others of its group were high. Leaves to others: what it says about the cause (`suspects`).

use std::collections::BTreeMap;

use super::claim::{Claim, Interrupted, Panel, Scope, coefficient};
use super::event::Observed;
use super::parts::{Part, PartKind};
use crate::instrument::uncertainty::DETECTION;
use crate::quantity::{Ampere, Uncertain};

/// So many other feeds of the group must have been high before: one alone may be a second fault. Editorial.
const OTHERS_HIGH: usize = 2;
/// A module may draw so much more than the map's awake current before its fall is no longer its own. Editorial.
const OWN_AT_MOST: f64 = 1.5;

/// Returns the group that fell asleep with what was taken out for a claim about `scope`, if one did.
pub fn falls_together(
    scope: Scope,
    fall: &Uncertain<Ampere>,
    before: &Observed,
    panel: &Panel,
) -> Option<usize> {
    let after = before.interrupted.after(scope);
    let lost: Vec<&Part> =
        panel.parts.all().iter().filter(|part| goes_out(part, &before.interrupted, &after)).collect();
    let own: Ampere = lost.iter().map(|part| part.awake.max(part.asleep)).sum();
    if fall.value() - fall.u() * DETECTION < own * OWN_AT_MOST {
        return None;
    }
    (0..panel.map.wake_groups.len()).find(|group| {
        let is_module = |part: &Part| group_of(part.kind, panel) == Some(*group);
        lost.iter().any(|part| is_module(part)) && others_high(*group, &after, before, panel) >= OTHERS_HIGH
    })
}

fn goes_out(part: &Part, before: &Interrupted, after: &Interrupted) -> bool {
    coefficient(Scope::Total, before, part) != 0.0 && coefficient(Scope::Total, after, part) == 0.0
}

/// Counts the feeds with modules of the group still on them that were read clearly above what is normal asleep.
fn others_high(group: usize, after: &Interrupted, before: &Observed, panel: &Panel) -> usize {
    let parts = panel.parts.all();
    let is_left = |feed: usize| {
        parts.iter().any(|part| {
            group_of(part.kind, panel) == Some(group) && coefficient(Scope::Through(feed), after, part) != 0.0
        })
    };
    let is_high = |claim: &Claim| {
        let normal = Ampere::new(panel.normal(claim.scope, &claim.interrupted));
        claim.current.value() - normal > (claim.current.u() * DETECTION).max(claim.floor)
    };
    let mut feeds: BTreeMap<usize, Vec<&Claim>> = BTreeMap::new();
    for claim in &before.claims {
        if let Scope::Through(feed) = claim.scope
            && panel.tree.below_feed(feed).len() == 1
        {
            feeds.entry(feed).or_default().push(claim);
        }
    }
    let high = |(feed, claims): &(&usize, &Vec<&Claim>)| {
        is_left(**feed) && claims.iter().any(|claim| is_high(claim))
    };
    feeds.iter().filter(high).count()
}

/// Returns the wake group of a listed load.
pub fn group_of(kind: PartKind, panel: &Panel) -> Option<usize> {
    match kind {
        PartKind::Load(feed, load) => panel.map.feeds.get(feed)?.loads.get(load)?.wake_group,
        _ => None,
    }
}
