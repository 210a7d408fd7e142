//! Looks that narrow a circuit to its load before anything is unplugged: what eye, ear, hand or a thermal camera would
//! tell of each load. Leaves to others: what a finding says (`infer/sign`), readings of currents (`next`).

use super::proposal::{Proposal, StepReason};
use super::view::PlanView;
use crate::circuit::id::{FeedId, LoadId};
use crate::circuit::signs::Sign;
use crate::infer::assumptions::{DECIDED, MINUTES_LOOK, NARROWS_NOTHING};
use crate::infer::cause::Cause;
use crate::infer::sign::first_sign;
use crate::measure::kind::MeasurementKind;
use crate::measure::sighting::SightingPlace;

/// Returns the looks at loads of a fuse that tell something, those first that tell most.
pub(super) fn looks(feed: FeedId, view: &PlanView) -> Vec<Proposal> {
    let panel = view.setting.panel;
    let Some(found) = panel.map.feeds.get(feed).filter(|found| found.hazard.is_none()) else {
        return Vec::new();
    };
    let one = |(at, load): (usize, &crate::circuit::map::Load)| {
        let name = format!("{}/{}", found.id, load.name);
        let id = LoadId { feed, at };
        let sign = first_sign(SightingPlace::Load(id), panel).filter(|sign| view.seen.tells(sign))?;
        let bits = bits(probability(|cause| cause.is_load(id), view), sign);
        let is_open = !is_seen(id, sign, view) && !view.setting.is_passed_over(MeasurementKind::Look, &name);
        (is_open && bits > NARROWS_NOTHING).then_some(Proposal {
            action: MeasurementKind::Look,
            at: Some(name),
            minutes: MINUTES_LOOK,
            bits,
            floor: None,
            reason: StepReason::Looks,
        })
    };
    let mut all: Vec<Proposal> = found.loads.iter().enumerate().filter_map(one).collect();
    all.sort_by(|a, b| b.bits.total_cmp(&a.bits));
    all
}

fn is_seen(load: LoadId, sign: &Sign, view: &PlanView) -> bool {
    let place = SightingPlace::Load(load);
    view.seen.sightings.iter().any(|seen| seen.at == place && seen.sense() == sign.sense)
}

/// Returns the load of a fuse that is as good as found: what else may draw beside it, the proof of the repair tells.
pub(super) fn found(feed: FeedId, view: &PlanView) -> Option<LoadId> {
    let loads = view.setting.panel.map.feeds.get(feed).map_or(0, |found| found.loads.len());
    let is_found = |load: &LoadId| probability(|cause| cause.is_load(*load), view) >= DECIDED;
    (0..loads).map(|at| LoadId { feed, at }).find(is_found)
}

/// The probability that a cause of this sort is among the causes.
pub(super) fn probability(is_it: impl Fn(Cause) -> bool, view: &PlanView) -> f64 {
    let with = view.inference.explanations();
    let with = with.filter(|one| one.members().any(|member| is_it(view.inference.cause(member))));
    with.map(|one| one.probability).sum()
}

/// Returns the expected information, in bits, of a finding that is there or not about whether a load is to blame (mutual
/// information of two binary variables).
pub(super) fn bits(probability: f64, sign: &Sign) -> f64 {
    let found = probability * sign.draws + (1.0 - probability) * sign.sound;
    let left = probability * entropy(sign.draws) + (1.0 - probability) * entropy(sign.sound);
    (entropy(found) - left).max(0.0)
}

/// Returns the entropy of something that is so or not, in bits.
pub(super) fn entropy(p: f64) -> f64 {
    [p, 1.0 - p].into_iter().filter(|p| *p > 0.0).map(|p| -p * p.log2()).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::signs::Signs;

    #[test]
    fn a_look_is_worth_most_where_two_loads_are_as_likely_and_nothing_where_all_is_known() {
        let lamp = Signs::builtin().of("lit", "lamp").expect("a sign");
        assert!(bits(0.5, lamp) > 0.7 && bits(0.5, lamp) < 1.0);
        assert!(bits(0.99, lamp) < 0.1 && bits(0.0, lamp) < 1e-12);
        // By hand: p = 0.5, 0.9 against 0.002: H(0.451) = 0.993061, less (H(0.9) + H(0.002)) / 2 = 0.244905.
        assert!((bits(0.5, lamp) - 0.748_156).abs() < 1e-5, "{}", bits(0.5, lamp));
    }
}
