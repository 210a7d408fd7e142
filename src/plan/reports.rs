//! Reports that narrow a held network to its input, or a circuit to its load, before anything is worked or unplugged: what the
//! vehicle would say of itself on a scan tool.
//! Leaves to others: what a report says (`infer/sign`), looks by eye and hand (`looks`), readings of currents (`next`).

use super::looks::{bits, probability};
use super::proposal::{Plan, Proposal, StepReason};
use super::view::PlanView;
use crate::circuit::id::{FeedId, GroupId, InputId, LoadId};
use crate::infer::assumptions::{MINUTES_REPORT, NARROWS_NOTHING};
use crate::infer::cause::{Cause, HeldBy};
use crate::infer::sign::reported_sign;
use crate::measure::kind::MeasurementKind;
use crate::measure::sighting::SightingPlace;

/// Returns the reports of inputs of a held network that tell something, those first that tell most: of those that would be
/// worked, and none once one was reported open, for then that one is worked.
pub(super) fn reports_of_inputs(group: GroupId, worked: &[Proposal], view: &PlanView) -> Vec<Proposal> {
    let map = &view.setting.panel.map;
    let count = map.wake_groups.get(group).map_or(0, |found| found.inputs.len());
    let inputs = || (0..count).map(|at| InputId { group, at });
    let is_open =
        |input: InputId| reported(SightingPlace::Input(first_named(input, view)), view) == Some("open");
    if inputs().any(is_open) {
        return Vec::new();
    }
    let one = |input: InputId| {
        let is_it = |one: &Proposal, name: &str| {
            one.action == MeasurementKind::Input && one.at.as_deref() == Some(name)
        };
        let name = map.input(input).filter(|name| worked.iter().any(|one| is_it(one, name)))?;
        let holds = |cause: Cause| matches!(cause, Cause::Held(_, HeldBy::Input(held)) if held == input);
        report(name, SightingPlace::Input(first_named(input, view)), probability(holds, view), view)
    };
    best_first(inputs().filter_map(one))
}

/// Returns the inputs that a scan tool is asked about in one go where a plan goes on with one of them: this one, and those whose
/// reports follow it at once.
pub fn asked_together(first: &Proposal, plan: &Plan) -> Vec<String> {
    let is_of_input = |one: &&Proposal| {
        one.action == MeasurementKind::Report && one.at.as_deref().is_some_and(|at| !at.contains('/'))
    };
    let from = plan.readings.iter().skip_while(|one| *one != first);
    from.take_while(is_of_input).filter_map(|one| one.at.clone()).collect()
}

/// Returns the reports of modules on a fuse that tell something, those first that tell most.
pub(super) fn reports_of_loads(feed: FeedId, view: &PlanView) -> Vec<Proposal> {
    let Some(found) = view.setting.panel.map.feeds.get(feed) else { return Vec::new() };
    let modules = found.loads.iter().enumerate().filter(|(_, load)| load.wake_group.is_some());
    let one = |(at, load): (usize, &crate::circuit::map::Load)| {
        let id = LoadId { feed, at };
        let name = format!("{}/{}", found.id, load.name);
        report(&name, SightingPlace::Load(id), probability(|cause| cause.is_load(id), view), view)
    };
    best_first(modules.filter_map(one))
}

fn best_first(reports: impl Iterator<Item = Proposal>) -> Vec<Proposal> {
    let mut all: Vec<Proposal> = reports.collect();
    all.sort_by(|a, b| b.bits.total_cmp(&a.bits));
    all
}

/// Whoever passed one report over has no scan tool at hand: none is proposed again.
fn report(name: &str, at: SightingPlace, probability: f64, view: &PlanView) -> Option<Proposal> {
    let without_tool = view.setting.passed_over.iter().any(|(action, _)| *action == MeasurementKind::Report);
    let bits = bits(probability, reported_sign(at, view.setting.panel)?);
    let tells = !without_tool && reported(at, view).is_none() && bits > NARROWS_NOTHING;
    tells.then(|| Proposal {
        action: MeasurementKind::Report,
        at: Some(name.to_owned()),
        minutes: MINUTES_REPORT,
        bits,
        floor: None,
        reason: StepReason::Reports,
    })
}

/// Returns what a place was reported to be, wakings aside.
fn reported<'a>(at: SightingPlace, view: &'a PlanView) -> Option<&'a str> {
    let sense = &reported_sign(at, view.setting.panel)?.sense;
    let same = view.seen.sightings.iter().find(|seen| seen.at == at && seen.sense() == sense.as_str());
    same.map(|seen| seen.found.as_str())
}

/// Where the map first names an input: that is where its reports stand.
fn first_named(input: InputId, view: &PlanView) -> InputId {
    view.setting.panel.same_input(input).into_iter().min().unwrap_or(input)
}
