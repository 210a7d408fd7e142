//! Fuses to leave out for a while where a series of wake-ups is known: whether those that are due still come.
//! Leaves to others: what it says when they do or don't (`infer/wake_clock`), readings of currents (`next`).

use super::looks::{entropy, probability};
use super::proposal::{Proposal, StepReason};
use super::view::PlanView;
use crate::circuit::id::FeedId;
use crate::circuit::map::Access;
use crate::infer::assumptions::{MINUTES_PULL_AT_ONCE, NARROWS_NOTHING};
use crate::infer::sign::is_behind;
use crate::infer::wake_clock::{Series, WANTED};
use crate::measure::kind::MeasurementKind;
use crate::measure::sighting::SightingPlace;

/// Most that are proposed.
const MOST: usize = 3;

/// Returns the fuses that tell most when they are left out, best first; none where no series is known.
pub(super) fn vigils(view: &PlanView) -> Vec<Proposal> {
    let Some(series) = &view.seen.series else { return Vec::new() };
    let map = &view.setting.panel.map;
    let mut all: Vec<Proposal> = map.feeds.ids().filter_map(|feed| vigil(feed, series, view)).collect();
    all.sort_by(|a, b| b.bits.total_cmp(&a.bits));
    all.truncate(MOST);
    all
}

/// Nothing guarded is left out, and nothing twice.
fn vigil(feed: FeedId, series: &Series, view: &PlanView) -> Option<Proposal> {
    let panel = view.setting.panel;
    let found = panel.map.feeds.get(feed)?;
    let at = SightingPlace::Feed(feed);
    let is_guarded = |below: FeedId| {
        panel.map.feeds.get(below).is_some_and(|found| found.hazard.is_some())
            && panel.tree.path_to_battery(below).contains(&feed)
    };
    let barred =
        matches!(found.access, Access::None | Access::Clamp) || panel.map.feeds.ids().any(is_guarded);
    let known = view.seen.times_out.iter().any(|out| out.at == at);
    if barred || known || view.setting.is_passed_over(MeasurementKind::Out, &found.id) {
        return None;
    }
    let time = series.time_for(WANTED);
    let (elsewhere, here) = series.likelihoods(0, time);
    let is_it = |cause| is_behind(cause, at, panel);
    let away =
        view.inference.away.iter().enumerate().filter(|(index, _)| is_it(view.inference.cause(*index)));
    let behind = (probability(is_it, view) + away.map(|(_, share)| share).sum::<f64>()).min(1.0);
    let none = behind * here + (1.0 - behind) * elsewhere;
    let left = behind * entropy(here) + (1.0 - behind) * entropy(elsewhere);
    let bits = (entropy(none) - left).max(0.0);
    (bits > NARROWS_NOTHING).then(|| Proposal {
        action: MeasurementKind::Out,
        at: Some(found.id.clone()),
        minutes: MINUTES_PULL_AT_ONCE + time,
        bits,
        floor: None,
        reason: StepReason::Due { wakes: WANTED, time },
    })
}
