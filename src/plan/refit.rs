//! A pull that took much of the draw away is half a test: the fuse goes back before anything else is read, for a module
//! that had hung stays quiet then, and the pull has cured it.
//! Leaves to others: whether the draw stayed away (`measure/build_observations`), asking for it (`hunt/stage/search`).

use super::analysis::Analysis;
use super::proposal::{Plan, Proposal, StepReason, Stop};
use crate::base::quantity::{Ampere, Uncertain};
use crate::infer::assumptions::{MINUTES_REFIT, MUCH_OF_EXCESS};
use crate::instrument::uncertainty::DETECTION;
use crate::measure::kind::MeasurementKind;
use crate::measure::observation::Scope;

/// Returns the plan with the fuse that goes back before anything else, if one does.
pub fn with_refit(analysis: &Analysis) -> Plan {
    let mut plan = analysis.plan().clone();
    if let Some(back) = refit(analysis) {
        plan.stop = Stop::Open;
        plan.readings.insert(0, back);
    }
    plan
}

/// Returns the fuse that goes back now, the one pulled last first; `None` if none is out, or none took much with it.
fn refit(analysis: &Analysis) -> Option<Proposal> {
    let observed = &analysis.observed;
    let excess = analysis.excess.as_ref().map(Uncertain::value)?;
    let passed_over = |name: &str| {
        let is_it = |(action, at): &(MeasurementKind, Option<String>)| {
            *action == MeasurementKind::Refit && at.as_deref() == Some(name)
        };
        analysis.facts.passed_over.iter().any(is_it)
    };
    observed.interrupted.feeds.iter().rev().find_map(|feed| {
        let name = analysis.panel.map.feed_name(*feed);
        let pulled = observed.observations.iter().rev();
        let fall = pulled.into_iter().find(|one| one.scope == Scope::FallOfFeed(*feed))?;
        let above = fall.current.value() - Ampere::new(analysis.panel.normal(fall.scope, &fall.interrupted));
        let took_much = above > fall.current.u() * DETECTION && above > excess * MUCH_OF_EXCESS;
        (took_much && !passed_over(name)).then(|| Proposal {
            action: MeasurementKind::Refit,
            at: Some(name.to_owned()),
            minutes: MINUTES_REFIT,
            bits: 0.0,
            floor: None,
            reason: StepReason::MayHaveHung,
        })
    })
}
