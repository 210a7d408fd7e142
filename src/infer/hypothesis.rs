//! What may be wrong, one cause at a time: nothing, one part (a load, an unfused item, something unlisted at a node),
//! or a wake group held awake by one of its inputs. Each says which parts draw too much and by how much.
//! Leaves to others: how likely each is beforehand (`weight`), how the readings change that (`posterior`).

use std::collections::{BTreeSet, HashSet};

use super::assumptions::{
    FEED_SPLITS, HELD_ACTIVITY, HELD_ALONE, HELD_IN_PART, LEAST_SIZE_SPREAD, MODULE_QUIET, MODULE_SLEEPS,
    MODULE_SPREAD, MODULES_ELSEWHERE, PART_SPREAD,
};
use super::cause::{Cause, HeldBy};
use super::sign::Weighed;
use super::weight::Weights;
use crate::base::numeric::mixture::{MixturePart as Size, log_normal, reweighted};
use crate::base::quantity::{Ampere, Unit};
use crate::circuit::id::{BranchId, FeedId, GroupId, IdVec, InputId, PartId};
use crate::measure::observation::{Interrupted, Observation, Panel, Scope};
use crate::measure::place::Places;
use crate::measure::sources::{CurrentSource, PartKind};
use crate::measure::together::group_of;

/// Which parts draw too much together, per ampere of amplitude (or per unit of activity for a group).
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// Share of this pattern within its hypothesis.
    pub share: f64,
    /// Each part and its excess per unit of amplitude.
    pub excess: Vec<(PartId, f64)>,
    /// Relative standard deviation of each part's excess about the pattern, independent of the others.
    pub spread: f64,
    /// Parts that may draw along although the map doesn't count them in: part and standard deviation, in
    /// ampere per unit of amplitude.
    pub stray: Vec<(PartId, f64)>,
    /// What the amplitude may be.
    pub sizes: Vec<Size>,
    /// The same in fewer parts, for two causes at once.
    pub rough: Vec<Size>,
}

/// A hypothesis: a cause with its weight beforehand and the patterns it may show.
#[derive(Debug, Clone, PartialEq)]
pub struct Hypothesis {
    /// The cause.
    pub cause: Cause,
    /// Probability beforehand.
    pub prior: f64,
    /// What was found without a figure says of it.
    pub signs: Vec<Weighed>,
    /// Patterns; empty for `Nothing`.
    pub patterns: Vec<Pattern>,
}

impl Weights {
    fn hypothesis(&self, cause: Cause, prior: f64, patterns: Vec<Pattern>, panel: &Panel) -> Hypothesis {
        Hypothesis { cause, prior, signs: self.seen().about(cause, panel), patterns }
    }
}

impl Hypothesis {
    /// Returns the logarithm of what it weighs before any reading of a current: its probability, and what was found without
    /// a figure.
    pub fn ln_weight(&self) -> f64 {
        self.prior.ln() + self.signs.iter().map(|(_, ln)| ln).sum::<f64>()
    }
}

/// Number of normal parts that stand for a size: of one cause alone, and where a second blurs it (another cause, or
/// the spread of a group's modules). How near they come is tested in `base/numeric/mixture` and `tests/reference`.
const PARTS: (usize, usize) = (16, 8);

/// Lists all hypotheses about a panel; their priors sum to one. The observations only tell which modules of a group held in
/// part are asleep: of all the parts that may be awake, the one is listed that goes with them.
pub fn hypotheses(panel: &Panel, weights: &Weights, observations: &[Observation]) -> Vec<Hypothesis> {
    let mut all = vec![weights.hypothesis(Cause::Nothing, weights.nothing, Vec::new(), panel)];
    all.extend(part_hypotheses(panel, weights));
    all.extend(held_hypotheses(panel, weights, observations));
    let sum: f64 = all.iter().map(|hypothesis| hypothesis.prior).sum();
    for hypothesis in &mut all {
        hypothesis.prior /= sum;
    }
    all.retain(|hypothesis| hypothesis.prior > 0.0);
    all
}

fn part_hypotheses(panel: &Panel, weights: &Weights) -> Vec<Hypothesis> {
    let parts = &panel.parts;
    let mut all = Vec::new();
    for (index, part) in parts.iter_ids() {
        // A load on two feeds is one cause; it stands at its first part.
        let twin = |(other, found): &(PartId, &CurrentSource)| {
            *other != index && matches!(part.kind, PartKind::Load(..)) && found.kind == part.kind
        };
        let twins: Vec<PartId> = parts.iter_ids().filter(twin).map(|(other, _)| other).collect();
        let (branch, first) = home_of(part.kind, part.branch, panel);
        if !twins.is_empty() && first.is_some_and(|feed| part.path.first() != Some(&feed)) {
            continue;
        }
        let size = weights.size(part.kind, panel);
        let amplitude = (size.median.base(), size.ln_sd.max(LEAST_SIZE_SPREAD));
        let one = |excess, share| alone(share, excess, amplitude, (weights, panel));
        let patterns = match twins.first() {
            None => vec![one(vec![(index, 1.0)], 1.0)],
            Some(twin) => FEED_SPLITS
                .iter()
                .map(|(on_first, share)| one(vec![(index, *on_first), (*twin, 1.0 - on_first)], *share))
                .collect(),
        };
        let cause = Cause::Part(branch, part.kind);
        all.push(weights.hypothesis(cause, weights.part(part, panel), patterns, panel));
    }
    all
}

/// One part, or one module with its parts on several feeds, that draws too much by itself.
fn alone(
    share: f64,
    excess: Vec<(PartId, f64)>,
    amplitude: (f64, f64),
    given: (&Weights, &Panel),
) -> Pattern {
    let [sizes, rough] = [PARTS.0, PARTS.1].map(|parts| sizes(amplitude, parts, &excess, given));
    Pattern { share, excess, spread: 0.0, stray: Vec::new(), sizes, rough }
}

/// What the amplitude of a pattern may be, given that a vehicle goes flat by it.
fn sizes(
    (median, ln_sd): (f64, f64),
    parts: usize,
    excess: &[(PartId, f64)],
    (weights, panel): (&Weights, &Panel),
) -> Vec<Size> {
    let per_unit: f64 = excess.iter().map(|(_, size)| size).sum();
    let asleep = panel.asleep();
    let total = |mean: f64| asleep + Ampere::new(mean * per_unit);
    reweighted(log_normal(median, ln_sd, parts), |mean| weights.flattens(total(mean)))
}

/// The branch that a part is counted under: that of the feed which lists the load.
fn home_of(kind: PartKind, branch: BranchId, panel: &Panel) -> (BranchId, Option<FeedId>) {
    match kind {
        PartKind::Load(load) => (panel.tree.branch_of_feed(load.feed), Some(load.feed)),
        _ => (branch, None),
    }
}

fn held_hypotheses(panel: &Panel, weights: &Weights, observations: &[Observation]) -> Vec<Hypothesis> {
    let (gone, room) = (gone_out(observations, panel), room(observations, panel));
    let mut all = Vec::new();
    for (group, found) in panel.map.wake_groups.iter_ids() {
        let excess: Vec<(PartId, f64)> = panel
            .parts
            .iter_ids()
            .filter(|(_, part)| group_of(part.kind, panel) == Some(group))
            .map(|(index, part)| (index, (part.awake - part.asleep).max(Ampere::ZERO).base()))
            .filter(|(_, excess)| *excess > 0.0)
            .collect();
        if excess.is_empty() {
            continue;
        }
        let patterns = held_patterns(&excess, panel, weights, &room);
        let modules = modules(&excess, panel);
        // Once every input was tried, each module is worth a try.
        let tried = |input: &InputId| {
            let named = panel.same_input(*input);
            let is_it = |scope: Scope| named.iter().any(|input| scope == Scope::FallOfInput(*input));
            weights.seen().is_tried(*input, panel) || observations.iter().any(|one| is_it(one.scope))
        };
        let inputs: Vec<InputId> = (0..found.inputs.len()).map(|at| InputId { group, at }).collect();
        let all_tried = inputs.iter().all(tried);
        let apart = |kind: PartKind| gone.contains(&kind) || weights.seen().has_wakings(kind);
        let was_out = |kind: &&PartKind| all_tried || apart(**kind);
        let told: Vec<PartKind> = modules.iter().filter(was_out).copied().collect();
        for (holder, prior) in weights.held(&inputs, modules.len(), &told) {
            // One module awake alone, by no input that can be tried, is a fault of that module's own circuit.
            let whole = patterns.iter().filter(|pattern| pattern.spread > 0.0);
            let whole =
                whole.map(|pattern| Pattern { share: pattern.share / (1.0 - HELD_ALONE), ..pattern.clone() });
            let patterns = match holder {
                HeldBy::Input(_) => patterns.clone(),
                HeldBy::Module(..) | HeldBy::Unlisted => whole.collect(),
            };
            all.push(weights.hypothesis(Cause::Held(group, holder), prior, patterns, panel));
        }
    }
    all
}

/// The loads of a group, each once.
fn modules(excess: &[(PartId, f64)], panel: &Panel) -> Vec<PartKind> {
    let kinds = excess.iter().filter_map(|(index, _)| panel.parts.get(*index)).map(|part| part.kind);
    kinds.collect::<BTreeSet<PartKind>>().into_iter().collect()
}

/// The loads that are without current while some observation is read, or because of it.
fn gone_out(observations: &[Observation], panel: &Panel) -> BTreeSet<PartKind> {
    let states: HashSet<Interrupted> =
        observations.iter().map(|observation| observation.interrupted.after(observation.scope)).collect();
    let cut = states.iter().filter(|after| !(after.feeds.is_empty() && after.loads.is_empty()));
    cut.flat_map(|after| without_current(&panel.row(Scope::Total, after), panel)).collect()
}

/// Of each part, how much more than normal the lowest reading at a feed of it leaves; infinite if none was read.
fn room(observations: &[Observation], panel: &Panel) -> IdVec<PartId, f64> {
    let parts = &panel.parts;
    let places = Places::new(observations);
    let mut room = parts.map_ids(|_| f64::INFINITY);
    for (first, members) in places.firsts(observations).zip(places.members()) {
        if !matches!(first.scope, Scope::Through(_)) {
            continue;
        }
        let row = panel.row(first.scope, &first.interrupted);
        let normal: f64 = parts.iter().zip(&row).map(|(part, count)| count * part.asleep.base()).sum();
        let highs =
            members.iter().filter_map(|index| observations.get(*index)).map(|one| one.current.high().base());
        let left = highs.fold(f64::INFINITY, f64::min) - normal;
        for (slot, count) in room.iter_mut().zip(&row) {
            if *count > 0.0 {
                *slot = slot.min(left);
            }
        }
    }
    room
}

/// A held group draws as a whole, or in part, or one of its modules stays awake alone (its parts on several feeds
/// together).
fn held_patterns(
    excess: &[(PartId, f64)],
    panel: &Panel,
    weights: &Weights,
    room: &IdVec<PartId, f64>,
) -> Vec<Pattern> {
    // A feed of a quiet part was read and carries far less than the part would draw awake.
    let is_quiet =
        |part: PartId, excess: f64| room.get(part).is_some_and(|room| *room < MODULE_QUIET * excess);
    let (awake, asleep): (Vec<_>, Vec<_>) =
        excess.iter().copied().partition(|(part, excess)| !is_quiet(*part, *excess));
    let group = |share: f64, spread: f64, excess: Vec<(PartId, f64)>| {
        // What the map misses draws along with those that are awake.
        let together: f64 = excess.iter().map(|(_, excess)| excess).sum();
        let rough = sizes(HELD_ACTIVITY, PARTS.1, &excess, (weights, panel));
        let stray = elsewhere(panel).map(|part| (part, together * MODULES_ELSEWHERE)).collect();
        Pattern { share, excess, spread, stray, sizes: rough.clone(), rough }
    };
    let whole = group(1.0 - HELD_ALONE - HELD_IN_PART, MODULE_SPREAD, excess.to_vec());
    let chance = MODULE_SLEEPS.powi(i32::try_from(asleep.len()).unwrap_or(i32::MAX));
    // One module awake alone is listed apart.
    let in_part = (awake.len() > 1).then(|| group(HELD_IN_PART * chance, PART_SPREAD, awake));
    let kind = |index: PartId| panel.parts.get(index).map(|part| part.kind);
    let mut modules: Vec<Vec<(PartId, f64)>> = Vec::new();
    for (index, size) in excess {
        let same = |module: &&mut Vec<(PartId, f64)>| {
            module.first().is_some_and(|(first, _)| kind(*first) == kind(*index))
        };
        match modules.iter_mut().find(same) {
            Some(module) => module.push((*index, *size)),
            None => modules.push(vec![(*index, *size)]),
        }
    }
    let share = HELD_ALONE / modules.len() as f64;
    let alone = modules.into_iter().map(|excess| alone(share, excess, HELD_ACTIVITY, (weights, panel)));
    std::iter::once(whole).chain(in_part).chain(alone).collect()
}

/// What is unlisted on the branches of the battery: one place for each, whatever hangs below it.
fn elsewhere(panel: &Panel) -> impl Iterator<Item = PartId> {
    let parts = panel.parts.iter_ids();
    parts.filter(|(_, part)| part.kind == PartKind::Unlisted && part.path.len() <= 1).map(|(index, _)| index)
}

/// An observation as causes see it: how often each part counts in it.
#[derive(Debug, Clone, PartialEq)]
pub struct PatternRow {
    scope: Scope,
    released: Vec<GroupId>,
    /// Coefficient of each part; for the fall at an input, that of each part in the total.
    counts: IdVec<PartId, f64>,
    /// Coefficient of each part in the total at the time.
    flows: IdVec<PartId, f64>,
    /// Loads without current while it is read, and those that lose it by what is taken out for it.
    out: Vec<PartKind>,
    lost: Vec<PartKind>,
    /// Where the input is named that was worked.
    inputs: Vec<InputId>,
}

impl PatternRow {
    /// Looks up what an observation about `scope` counts.
    pub fn new(scope: Scope, interrupted: &Interrupted, panel: &Panel) -> Self {
        let counted = if matches!(scope, Scope::FallOfInput(..)) { Scope::Total } else { scope };
        let flows = panel.row(Scope::Total, interrupted);
        let out = without_current(&flows, panel);
        let is_fall = matches!(scope, Scope::FallOfFeed(_) | Scope::FallOfLoad(..));
        let after = is_fall.then(|| panel.row(Scope::Total, &interrupted.after(scope)));
        Self {
            scope,
            released: interrupted.released.clone(),
            counts: panel.row(counted, interrupted),
            lost: after.map(|after| without_current(&after, panel)).unwrap_or_default(),
            flows,
            out,
            inputs: match scope {
                Scope::FallOfInput(input) => panel.same_input(input),
                _ => Vec::new(),
            },
        }
    }

    /// Returns what a unit of a pattern adds to the observation. An input releases its group as a whole, and only if it is
    /// the one that holds it; so does a module that loses its current.
    pub fn signal(&self, cause: Cause, excess: &[(PartId, f64)]) -> f64 {
        if let Cause::Held(group, _) = cause
            && self.released.contains(&group)
        {
            return 0.0;
        }
        let holds = |input: &InputId| cause == Cause::Held(input.group, HeldBy::Input(*input));
        if matches!(self.scope, Scope::FallOfInput(..)) && !self.inputs.iter().any(holds) {
            return 0.0;
        }
        let mut counts = &self.counts;
        if let Cause::Held(_, HeldBy::Module(load)) = cause {
            let module = PartKind::Load(load);
            if self.out.contains(&module) {
                return 0.0;
            }
            if self.lost.contains(&module) {
                counts = &self.flows;
            }
        }
        excess.iter().map(|(part, size)| size * counts.get(*part).copied().unwrap_or(0.0)).sum()
    }

    /// Returns the variance that the parts' asleep currents, each with its own, give the observation.
    pub fn normal_variance(&self, asleep: &[f64]) -> f64 {
        if matches!(self.scope, Scope::FallOfInput(..)) {
            return 0.0;
        }
        self.counts.iter().zip(asleep).map(|(count, variance)| count * count * variance).sum()
    }
}

/// Returns the loads none of whose parts flows.
fn without_current(flows: &[f64], panel: &Panel) -> Vec<PartKind> {
    let of = |flowing: bool| {
        let parts = panel.parts.iter().zip(flows);
        parts.filter(move |(_, flow)| (**flow != 0.0) == flowing).map(|(part, _)| part.kind)
    };
    let flowing: HashSet<PartKind> = of(true).collect();
    let cut: BTreeSet<PartKind> = of(false).filter(|kind| matches!(kind, PartKind::Load(..))).collect();
    cut.into_iter().filter(|kind| !flowing.contains(kind)).collect()
}

/// Returns what a unit of a pattern adds to each observation.
pub fn signals(cause: Cause, excess: &[(PartId, f64)], rows: &[PatternRow]) -> Vec<f64> {
    rows.iter().map(|row| row.signal(cause, excess)).collect()
}
