//! Which reading to take next: expected information about the cause per minute of work, never a reading that can't
//! show the excess, and a stop with its reason.
//! Leaves to others: the readings there are (`candidate`), what they are worth (`worth`), the words (`text`).

use std::collections::HashMap;
use std::hash::Hash;

use super::candidate::{Candidate, candidates, unplugs, zero_gain};
use super::forecast::forecast;
use super::inside::inside;
use super::looks::{found, looks};
use super::proposal::{Plan, Proposal, StepReason, Stop};
use super::reports::{reports_of_inputs, reports_of_loads};
use super::search::table::{start, table};
use super::view::PlanView;
use super::vigil::vigils;
use super::worth::bits;
use crate::base::quantity::{Ampere, Minute, Uncertain, Unit};
use crate::circuit::id::{BoxId, FeedId, GroupId, UnfusedId};
use crate::circuit::inside::Whole;
use crate::circuit::tree::BranchKind;
use crate::infer::assumptions::{
    BEYOND_DOUBT, DECIDED, LIKELY_HELD, MINUTES_TOTAL, MINUTES_ZERO, NARROWS_NOTHING, NOTHING_TO_GAIN,
    WRONG_NAME,
};
use crate::infer::cause::{Cause, CauseClass, class};
use crate::infer::hypothesis::PatternRow;
use crate::infer::posterior::ScoredHypothesis;
use crate::infer::{Explanation, Inference};
use crate::measure::kind::MeasurementKind;
use crate::measure::observation::Scope;
use crate::measure::sources::PartKind;
use crate::measure::together::group_of;

/// From this probability on that what draws is away now, nothing is read in search of it. Editorial: likelier than not.
const MOSTLY_AWAY: f64 = 0.5;

/// Makes the plan. Where a series of wake-ups is known, fuses that may be left out for a while stand behind the readings; if
/// nothing else can tell, they are what is left.
pub fn plan(view: &PlanView) -> Plan {
    let Plan { stop, mut readings } = by_currents(view);
    let is_open = !matches!(stop, Stop::Decided(_) | Stop::AsMapped(_) | Stop::Ended);
    let vigils = if is_open && !readings.iter().any(is_first) { vigils(view) } else { Vec::new() };
    let is_left = matches!(stop, Stop::NothingLeft | Stop::AtTimes(_)) && !vigils.is_empty();
    readings.extend(vigils);
    Plan { stop: if is_left { Stop::Open } else { stop }, readings }
}

/// Returns true if nothing else counts before this is done.
fn is_first(proposal: &Proposal) -> bool {
    matches!(proposal.reason, StepReason::NoTotal | StepReason::Repeats)
}

/// Makes the plan of readings that are done at once.
fn by_currents(view: &PlanView) -> Plan {
    if !view.setting.observations.iter().any(|observation| observation.scope == Scope::Total) {
        if view.setting.is_passed_over(MeasurementKind::Total, "") {
            return Plan { stop: Stop::NothingLeft, readings: Vec::new() };
        }
        let total = proposal(MeasurementKind::Total, None, MINUTES_TOTAL, 0.0, None, StepReason::NoTotal);
        return Plan { stop: Stop::Open, readings: vec![total] };
    }
    if view.ended {
        return Plan { stop: Stop::Ended, readings: Vec::new() };
    }
    let at_times = view.inference.at_times();
    if at_times > MOSTLY_AWAY {
        return Plan { stop: Stop::AtTimes(at_times), readings: Vec::new() };
    }
    let repeats = repeats(view);
    if !repeats.is_empty() {
        let others = search(view).1.into_iter().filter(|one| one.reason != StepReason::Repeats);
        let readings = repeats.iter().cloned().chain(others).collect();
        return Plan { stop: Stop::Open, readings };
    }
    if let Some((probability, readings)) = inputs_of_held(view, DECIDED) {
        return Plan { stop: Stop::Decided(probability), readings };
    }
    let (leader, probability, stays_over) = leader(view.inference);
    let (worth, readings) =
        if probability < BEYOND_DOUBT || stays_over { search(view) } else { (false, Vec::new()) };
    if worth && !readings.is_empty() {
        return Plan { stop: Stop::Open, readings };
    }
    // What was found leaves the vehicle over its limit: something else draws as well.
    if stays_over && leader.first() != Some(&CauseClass::Nothing) {
        let stop = if readings.is_empty() { Stop::NothingLeft } else { Stop::Open };
        return Plan { stop, readings };
    }
    if probability < DECIDED {
        if let Some((_, readings)) = inputs_of_held(view, LIKELY_HELD) {
            return Plan { stop: Stop::Open, readings };
        }
        if readings.is_empty() {
            return Plan { stop: Stop::NothingLeft, readings };
        }
        let narrowing = leader.iter().flat_map(|class| narrowing(view, *class));
        return Plan { stop: Stop::NotWorth(probability), readings: narrowing.chain(readings).collect() };
    }
    let stop = match leader.first() {
        Some(CauseClass::Nothing) | None if view.inference.is_over() => Stop::AsMapped(probability),
        Some(CauseClass::Nothing) | None => Stop::NothingWrong(probability),
        _ => Stop::Decided(probability),
    };
    let narrowing = leader.iter().flat_map(|class| narrowing(view, *class)).collect();
    Plan { stop, readings: narrowing }
}

/// A reading that contradicts the others is taken again before anything is concluded, the quickest way first.
fn repeats(view: &PlanView) -> Vec<Proposal> {
    let doubted = |scope: Scope| {
        view.setting
            .observations
            .iter()
            .any(|observation| observation.scope == scope && view.doubtful.contains(&observation.entry))
    };
    let classes = class_numbers(view.inference, class);
    let again = candidates(&view.setting, view.doubtful).into_iter();
    let mut found: Vec<Proposal> = again
        .filter(|candidate| candidate.action != MeasurementKind::Step && doubted(candidate.outlook.scope))
        .map(|candidate| {
            let worth = worth_of(&candidate, view, &classes);
            let minutes = candidate.minutes + reach(candidate.place, view);
            let floor = Some(candidate.floor);
            proposal(candidate.action, Some(candidate.at), minutes, worth, floor, StepReason::Repeats)
        })
        .collect();
    found.sort_by(|a, b| a.minutes.base().total_cmp(&b.minutes.base()));
    found
}

/// Returns the inputs that may hold a group awake, if it is held with this probability at least, with that
/// probability. A held group hides what else draws: its inputs are tried before anything else is looked for.
fn inputs_of_held(view: &PlanView, least: f64) -> Option<(f64, Vec<Proposal>)> {
    view.setting.panel.map.wake_groups.ids().find_map(|group| {
        let holds = |explanation: &Explanation| {
            let mut causes = explanation.members().map(|member| view.inference.cause(member));
            causes.any(|cause| matches!(cause, Cause::Held(found, _) if found == group))
        };
        let explanations = view.inference.explanations().filter(holds);
        let probability: f64 = explanations.map(|explanation| explanation.probability).sum();
        let open = probability >= least && !view.setting.interrupted.released.contains(&group);
        let readings = if open { narrowing(view, CauseClass::Group(group)) } else { Vec::new() };
        let tells = readings.first().is_some_and(|first| first.bits > NARROWS_NOTHING);
        tells.then_some((probability, readings))
    })
}

/// Returns the likeliest set of branches and groups that matter with its probability, and whether the vehicle would stay
/// over its limit with all of them mended.
fn leader(inference: &Inference) -> (Vec<CauseClass>, f64, bool) {
    let numbers = class_numbers(inference, class);
    let mut sums = vec![0.0; numbers.len()];
    for (explanation, number) in inference.explanations().zip(&numbers) {
        if let Some(sum) = sums.get_mut(*number) {
            *sum += explanation.probability;
        }
    }
    let likeliest = sums.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
    let found = likeliest.and_then(|(number, probability)| {
        let alike = inference.explanations().zip(&numbers).filter(|(_, known)| **known == number);
        let one = alike.map(|(one, _)| one).max_by(|a, b| a.probability.total_cmp(&b.probability))?;
        let (first, second) = classes_of(&one, inference, class);
        let classes = std::iter::once(first).chain(second).collect();
        Some((classes, *probability, inference.stays_over(&one)))
    });
    found.unwrap_or_default()
}

/// Returns the classes of an explanation's causes that matter, each once, in a fixed order.
fn classes_of<T: Ord>(
    explanation: &Explanation,
    inference: &Inference,
    class: impl Fn(Cause) -> T,
) -> (T, Option<T>) {
    let mut classes = inference.mattering(explanation).map(|index| class(inference.cause(index)));
    let first = classes.next().unwrap_or_else(|| class(inference.cause(explanation.first)));
    match classes.next() {
        Some(second) if second < first => (second, Some(first)),
        Some(second) if second > first => (first, Some(second)),
        _ => (first, None),
    }
}

/// Readings by the expected minutes of the search that begins with each, best first, and whether any search is worth
/// its minutes. What each reading is worth by itself is reckoned exactly.
fn search(view: &PlanView) -> (bool, Vec<Proposal>) {
    let classes: Vec<usize> = class_numbers(view.inference, class);
    let excess = view.excess.as_ref().map_or(Ampere::ZERO, Uncertain::value);
    let mut open = candidates(&view.setting, view.doubtful);
    open.retain(|candidate| candidate.floor.value() < excess);
    let (problem, weights) =
        table(&open, view.inference, &classes, excess, view.setting.panel, (BEYOND_DOUBT, WRONG_NAME));
    let state = start(&problem, weights, view.here);
    let stop = problem.stop_cost(&state) / state.weights.iter().sum::<f64>();
    let rated = problem.rate(&state);
    let worth = rated.first().is_some_and(|best| best.cost < stop);
    let mut readings: Vec<Proposal> = rated
        .iter()
        .filter_map(|rated| open.get(rated.act))
        .filter_map(|candidate| worthwhile(candidate, view, &classes))
        .collect();
    zero_first(view, &mut readings);
    (worth, readings)
}

/// Returns a reading as a proposal, unless it tells next to nothing.
fn worthwhile(candidate: &Candidate, view: &PlanView, classes: &[usize]) -> Option<Proposal> {
    let worth = worth_of(candidate, view, classes);
    if worth < NOTHING_TO_GAIN {
        return None;
    }
    let repeats =
        view.setting.observations.iter().any(|observation| observation.scope == candidate.outlook.scope);
    let reason = match (candidate.action, repeats) {
        (MeasurementKind::Step, _) => StepReason::Calibrates(candidate.outlook.relative),
        (MeasurementKind::Total, _) => StepReason::MayHaveFallen,
        (_, true) => StepReason::Repeats,
        (MeasurementKind::Input, _) => StepReason::FindsInput,
        _ => StepReason::Covers(covered(candidate, view)),
    };
    let minutes = candidate.minutes + reach(candidate.place, view);
    let floor = Some(candidate.floor.clone());
    Some(proposal(candidate.action, Some(candidate.at.clone()), minutes, worth, floor, reason))
}

/// Before the first millivolt reading the offset is taken off if that lowers the floor.
fn zero_first(view: &PlanView, readings: &mut Vec<Proposal>) {
    let gain = zero_gain(&view.setting);
    let drops = readings.first().is_some_and(|first| first.action == MeasurementKind::Drop);
    if drops && gain < 0.9 && !view.setting.is_passed_over(MeasurementKind::Zero, "") {
        let bits = readings.first().map_or(0.0, |first| first.bits);
        readings.insert(
            0,
            proposal(
                MeasurementKind::Zero,
                None,
                MINUTES_ZERO,
                bits * (1.0 - gain),
                None,
                StepReason::LowersFloor(gain),
            ),
        );
    }
}

fn proposal(
    action: MeasurementKind,
    at: Option<String>,
    minutes: Minute,
    bits: f64,
    floor: Option<Uncertain<Ampere>>,
    reason: StepReason,
) -> Proposal {
    // The total is read nowhere in particular.
    let at = at.filter(|at| !at.is_empty());
    Proposal { action, at, minutes, bits, floor, reason }
}

fn reach(place: Option<BoxId>, view: &PlanView) -> Minute {
    match place {
        Some(place) if Some(place) != view.here => {
            view.setting.panel.map.boxes.get(place).map_or(Minute::ZERO, |found| found.reach)
        }
        _ => Minute::ZERO,
    }
}

fn worth_of(candidate: &Candidate, view: &PlanView, classes: &[usize]) -> f64 {
    let forecasts = forecast(&candidate.outlook, view.inference, view.setting.panel);
    bits(&forecasts, classes)
}

/// Numbers the classes of the explanations, so that those of one class count as one.
fn class_numbers<T: Ord + Hash>(inference: &Inference, class: impl Fn(Cause) -> T + Copy) -> Vec<usize> {
    let mut seen: HashMap<(T, Option<T>), usize> = HashMap::new();
    let number = |explanation: Explanation| {
        let next = seen.len();
        *seen.entry(classes_of(&explanation, inference, class)).or_insert(next)
    };
    inference.explanations().map(number).collect()
}

/// Returns the probability of the explanations that a reading would show.
fn covered(candidate: &Candidate, view: &PlanView) -> f64 {
    shown_by(candidate, view).filter(|(_, shown)| *shown).map(|(probability, _)| probability).sum()
}

/// Returns for each explanation its probability, and whether a reading would show it.
pub(super) fn shown_by(candidate: &Candidate, view: &PlanView) -> impl Iterator<Item = (f64, bool)> {
    let panel = view.setting.panel;
    let row = PatternRow::new(candidate.outlook.scope, &candidate.outlook.interrupted, panel);
    let shows = |one: &ScoredHypothesis| {
        let pattern = one.hypothesis.patterns.first();
        pattern.is_some_and(|pattern| row.signal(one.hypothesis.cause, &pattern.excess) > 0.0)
    };
    let shows: Vec<bool> = view.inference.weighed.iter().map(shows).collect();
    let shown = move |index: usize| shows.get(index).copied().unwrap_or(false);
    view.inference.explanations().map(move |one| (one.probability, one.members().any(&shown)))
}

/// What may show who holds a group awake: its inputs, and once they were tried, its modules one by one.
fn ways_into(group: GroupId, view: &PlanView) -> Vec<Candidate> {
    let panel = view.setting.panel;
    let is_input = |c: &Candidate| c.works_input_of(group, panel);
    let is_module = |c: &Candidate| match c.outlook.scope {
        Scope::FallOfLoad(load) => group_of(PartKind::Load(load), panel) == Some(group),
        _ => false,
    };
    let inputs: Vec<Candidate> = candidates(&view.setting, &[]).into_iter().filter(is_input).collect();
    if !inputs.is_empty() {
        return inputs;
    }
    panel.map.feeds.ids().flat_map(|feed| unplugs(feed, &view.setting)).filter(is_module).collect()
}

/// Once the circuit is decided: the readings that find the component on it, or the input behind a group.
fn narrowing(view: &PlanView, leader: CauseClass) -> Vec<Proposal> {
    let candidates: Vec<Candidate> = match leader {
        CauseClass::Nothing => Vec::new(),
        CauseClass::Group(group) => ways_into(group, view),
        CauseClass::Branch(_) => match feed_of(leader, view) {
            Some(feed) => match found(feed, view) {
                Some(load) => return inside(Whole::Load(load), view),
                None if Whole::is_cable(feed, &view.setting.panel.map) => {
                    return inside(Whole::Cable(feed), view);
                }
                None => unplugs(feed, &view.setting),
            },
            None => {
                let item = item_of(leader, view).map(Whole::Item);
                return item.map(|item| inside(item, view)).unwrap_or_default();
            }
        },
    };
    let component = |cause: Cause| match cause {
        Cause::Part(_, PartKind::Unlisted) => (0, None),
        Cause::Part(_, kind) => (1, Some(kind)),
        _ => (2, None),
    };
    let input = |cause: Cause| match cause {
        Cause::Held(group, holder) => Some((group, holder)),
        _ => None,
    };
    let classes = match leader {
        CauseClass::Group(_) => class_numbers(view.inference, input),
        _ => class_numbers(view.inference, component),
    };
    let mut rated: Vec<Proposal> = candidates
        .into_iter()
        .map(|candidate| {
            let worth = worth_of(&candidate, view, &classes);
            let minutes = candidate.minutes + reach(candidate.place, view);
            let reason = if candidate.action == MeasurementKind::Input {
                StepReason::FindsInput
            } else {
                StepReason::Narrows
            };
            proposal(candidate.action, Some(candidate.at), minutes, worth, Some(candidate.floor), reason)
        })
        .collect();
    rated.sort_by(|a, b| (b.bits / b.minutes.base()).total_cmp(&(a.bits / a.minutes.base())));
    // Nothing is unplugged or worked before whoever is there has looked, and asked the vehicle.
    let mut first = match leader {
        CauseClass::Group(group) => reports_of_inputs(group, &rated, view),
        _ => feed_of(leader, view).map(|feed| reports_of_loads(feed, view)).unwrap_or_default(),
    };
    first.splice(0..0, feed_of(leader, view).map(|feed| looks(feed, view)).unwrap_or_default());
    first.into_iter().chain(rated).collect()
}

/// Returns the fuse of a branch that is one's.
fn feed_of(class: CauseClass, view: &PlanView) -> Option<FeedId> {
    let CauseClass::Branch(branch) = class else { return None };
    match view.setting.panel.tree.branches().get(branch)?.kind {
        BranchKind::Feed(feed) => Some(feed),
        _ => None,
    }
}

/// Returns the unfused item of a branch that is one's.
fn item_of(class: CauseClass, view: &PlanView) -> Option<UnfusedId> {
    let CauseClass::Branch(branch) = class else { return None };
    match view.setting.panel.tree.branches().get(branch)?.kind {
        BranchKind::Unfused(item) => Some(item),
        _ => None,
    }
}
