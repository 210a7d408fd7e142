//! Ranks the causes: marginal probability by branch and by wake group, with the numbers that their why is made of.
//! Leaves to others: the words (`text/suspects`).

use super::Inference;
use super::assumptions::{CLEAR_ENOUGH, MATTERS_LITTLE, PROBABLY};
use super::cause::{Cause, CauseClass, HeldBy, class};
use super::cured::Cured;
use super::marginals::Marginals;
pub use super::marginals::Standing;
use super::pairs_ranked::{SuspectPair, pairs_of};
use super::posterior::ScoredHypothesis;
use crate::base::numeric::mixture::{MixturePart, positive_spread};
use crate::base::quantity::{Ampere, Uncertain, Unit};
use crate::circuit::id::{BranchId, GroupId};
use crate::measure::observation::{Observation, Panel, Scope};
use crate::measure::sources::PartKind;

/// A branch under suspicion.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// The branch.
    pub branch: BranchId,
    /// Branch id as in the contract.
    pub id: String,
    /// Probability that the cause is on this branch.
    pub probability: f64,
    /// Standing in the ranking.
    pub standing: Standing,
    /// How much it then draws too much.
    pub excess: Excess,
    /// Its loads, likeliest first, with their share of the probability; `None` stands for an unlisted load.
    pub loads: Vec<(Option<String>, f64)>,
    /// How much of the probability is a draw that comes and goes and is away now.
    pub at_times: f64,
    /// The reading that says most about it: entry and scope, what was read, what is normal there.
    pub evidence: Option<SuspectEvidence>,
}

impl Suspect {
    /// Returns true if it probably draws more than the map says and that matters little: mending what leads leaves the
    /// vehicle within its limit without it.
    pub fn is_minor(&self) -> bool {
        self.probability >= PROBABLY && self.standing.matters < self.probability * MATTERS_LITTLE
    }
}

/// How much a cause draws too much; never below zero, and lopsided until it was read.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Excess {
    /// Mean.
    pub value: Ampere,
    /// Standard deviation.
    pub u: Ampere,
    /// Where the middle 95 % begin.
    pub low: Ampere,
    /// Where they end.
    pub high: Ampere,
}

/// A reading that speaks about a suspect.
#[derive(Debug, Clone, PartialEq)]
pub struct SuspectEvidence {
    /// Its entry.
    pub entry: usize,
    /// What it was about.
    pub scope: Scope,
    /// What it read.
    pub read: Uncertain<Ampere>,
    /// What would be normal there, asleep.
    pub normal: Ampere,
}

/// A wake group under suspicion.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldGroup {
    /// The group.
    pub group: GroupId,
    /// Group id.
    pub id: String,
    /// Probability that the group is held awake.
    pub probability: f64,
    /// Standing in the ranking.
    pub standing: Standing,
    /// The likeliest input with its probability, if one stands out.
    pub input: Option<(String, f64)>,
    /// The likeliest of its own modules, as `FEED/load`, if it is that which stands out.
    pub module: Option<(String, f64)>,
    /// How much it draws too much.
    pub excess: Excess,
    /// How much of the probability is a draw that comes and goes and is away now.
    pub at_times: f64,
    /// Feeds of the group that were read, with what they read and what is normal there.
    pub evidence: Vec<SuspectEvidence>,
}

/// All suspects, those first that explain most of the excess.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ranking {
    /// Branches.
    pub suspects: Vec<Suspect>,
    /// Groups.
    pub groups: Vec<HeldGroup>,
    /// Two causes together.
    pub pairs: Vec<SuspectPair>,
    /// Probability that nothing is wrong.
    pub nothing_wrong: f64,
    /// Probability that something draws more than the map says although the total is within its limit.
    pub harmless: f64,
    /// Probability that a fault is away at the moment.
    pub not_present_now: f64,
    /// A pull that may have cured the fault.
    pub cured: Option<Cured>,
}

impl Ranking {
    /// Returns this ranking with probability `share`, else the other.
    #[must_use]
    pub fn or_else(mut self, share: f64, other: &Ranking) -> Self {
        let mixed = |here: f64, there: Option<f64>| share * here + (1.0 - share) * there.unwrap_or(0.0);
        let standing = |here: Standing, there: Option<Standing>| Standing {
            share: mixed(here.share, there.map(|there| there.share)),
            matters: mixed(here.matters, there.map(|there| there.matters)),
        };
        for one in &mut self.suspects {
            let there = other.suspects.iter().find(|there| there.branch == one.branch);
            one.standing = standing(one.standing, there.map(|there| there.standing));
            one.probability = mixed(one.probability, there.map(|there| there.probability));
        }
        self.suspects.sort_by(|a, b| b.standing.share.total_cmp(&a.standing.share));
        for one in &mut self.groups {
            let there = other.groups.iter().find(|there| there.group == one.group);
            one.standing = standing(one.standing, there.map(|there| there.standing));
            one.probability = mixed(one.probability, there.map(|there| there.probability));
        }
        self.groups.sort_by(|a, b| b.standing.share.total_cmp(&a.standing.share));
        for one in &mut self.pairs {
            let there = other.pairs.iter().find(|there| there.branches == one.branches);
            one.probability = mixed(one.probability, there.map(|there| there.probability));
        }
        self.nothing_wrong = mixed(self.nothing_wrong, Some(other.nothing_wrong));
        self.harmless = mixed(self.harmless, Some(other.harmless));
        self.not_present_now = mixed(self.not_present_now, Some(other.not_present_now));
        self
    }
}

/// Ranks the causes.
pub fn rank(inference: &Inference, observations: &[Observation], panel: &Panel) -> Ranking {
    let marginals = Marginals::new(inference);
    let branches = panel.tree.branches().ids();
    let suspect = |branch| suspect(branch, inference, &marginals, observations, panel);
    let mut suspects: Vec<Suspect> = branches.filter_map(suspect).collect();
    suspects.sort_by(|a, b| b.standing.share.total_cmp(&a.standing.share));
    let held = |group| held(group, inference, &marginals, observations, panel);
    let mut groups: Vec<HeldGroup> = panel.map.wake_groups.ids().filter_map(held).collect();
    groups.sort_by(|a, b| b.standing.share.total_cmp(&a.standing.share));
    let nothing = inference.weighed.iter().filter(|one| one.hypothesis.cause == Cause::Nothing);
    let pairs = pairs_of(inference, panel);
    let sound: f64 = nothing.map(|one| one.probability).sum();
    Ranking {
        suspects,
        groups,
        pairs,
        nothing_wrong: sound * (1.0 - inference.not_now),
        harmless: if inference.is_within() { 1.0 - sound } else { 0.0 },
        // What a log shows of it is told by cause.
        not_present_now: if inference.away.is_empty() { sound * inference.not_now } else { 0.0 },
        cured: None,
    }
}

fn suspect(
    branch: BranchId,
    inference: &Inference,
    marginals: &Marginals,
    observations: &[Observation],
    panel: &Panel,
) -> Option<Suspect> {
    let of = CauseClass::Branch(branch);
    let is_here = |cause: Cause| class(cause) == of;
    let probability = marginals.of(of);
    let id = panel.tree.branches().get(branch)?.id.clone();
    let mut loads: Vec<(Option<String>, f64)> = Vec::new();
    let here = inference.weighed.iter().zip(&marginals.members);
    for (one, member) in here.filter(|(one, _)| is_here(one.hypothesis.cause)) {
        let name = load_name(one.hypothesis.cause, panel);
        let share = member / probability.max(f64::MIN_POSITIVE);
        match loads.iter_mut().find(|(known, _)| *known == name) {
            Some((_, sum)) => *sum += share,
            None => loads.push((name, share)),
        }
    }
    loads.sort_by(|a, b| b.1.total_cmp(&a.1));
    let of_branch = inference.weighed.iter().filter(|one| is_here(one.hypothesis.cause));
    let leading = of_branch.max_by(|a, b| a.probability.total_cmp(&b.probability))?;
    Some(Suspect {
        branch,
        id,
        probability,
        standing: marginals.standings.get(&of).copied().unwrap_or_default(),
        excess: excess_of(inference, marginals, of, |_| 1.0),
        loads,
        at_times: marginals.at_times(of),
        evidence: evidence_for(leading, observations, panel, inference).into_iter().next(),
    })
}

fn load_name(cause: Cause, panel: &Panel) -> Option<String> {
    match cause {
        Cause::Part(_, PartKind::Load(load)) => Some(panel.map.load(load)?.name.clone()),
        Cause::Part(_, PartKind::Unfused(item)) => Some(panel.map.unfused.get(item)?.name.clone()),
        _ => None,
    }
}

/// How much the causes of a class draw too much, over all explanations that hold one; `per_unit` is the excess for each
/// unit of a hypothesis's amplitude.
fn excess_of(
    inference: &Inference,
    marginals: &Marginals,
    of: CauseClass,
    per_unit: impl Fn(usize) -> f64,
) -> Excess {
    let mut parts: Vec<MixturePart> = Vec::new();
    let mut add = |index: usize, weight: f64, mean: f64, sd: f64| {
        let unit = per_unit(index);
        parts.push(MixturePart { weight, mean: mean * unit, sd: sd * unit });
    };
    let here = |(_, one): &(usize, &ScoredHypothesis)| class(one.hypothesis.cause) == of;
    for (index, one) in inference.weighed.iter().enumerate().filter(here) {
        for (weight, size) in one.sizes.iter() {
            add(index, one.probability * weight, size.mean, size.variance.sqrt());
        }
    }
    for (index, part) in marginals.beside.get(&of).into_iter().flatten() {
        add(*index, part.weight, part.mean, part.sd);
    }
    let Some((mean, sd, [low, high])) = positive_spread(&parts) else { return Excess::default() };
    let [value, u, low, high] = [mean, sd, low, high].map(Ampere::new);
    Excess { value, u, low, high }
}

fn held(
    group: GroupId,
    inference: &Inference,
    marginals: &Marginals,
    observations: &[Observation],
    panel: &Panel,
) -> Option<HeldGroup> {
    let found = panel.map.wake_groups.get(group)?;
    let is_here = |cause: Cause| matches!(cause, Cause::Held(found, _) if found == group);
    let of_group: Vec<&ScoredHypothesis> =
        inference.weighed.iter().filter(|one| is_here(one.hypothesis.cause)).collect();
    let leading = of_group.iter().max_by(|a, b| a.probability.total_cmp(&b.probability))?;
    let probability = marginals.of(CauseClass::Group(group));
    let stands_out = leading.probability > 0.5 * probability && of_group.len() > 1;
    let (mut input, mut module) = (None, None);
    match leading.hypothesis.cause {
        Cause::Held(_, HeldBy::Input(at)) if stands_out => input = panel.map.input(at).map(str::to_owned),
        Cause::Held(_, HeldBy::Module(at)) if stands_out => {
            let load = panel.map.load(at);
            module = load.map(|load| format!("{}/{}", panel.map.feed_name(at.feed), load.name));
        }
        _ => {}
    }
    let with_odds = |name: String| (name, leading.probability);
    let per_unit = |index: usize| {
        let pattern = inference.weighed.get(index).and_then(|one| one.hypothesis.patterns.first());
        pattern.map_or(0.0, |pattern| pattern.excess.iter().map(|(_, excess)| excess).sum())
    };
    Some(HeldGroup {
        group,
        id: found.id.clone(),
        probability,
        standing: marginals.standings.get(&CauseClass::Group(group)).copied().unwrap_or_default(),
        input: input.map(with_odds),
        module: module.map(with_odds),
        excess: excess_of(inference, marginals, CauseClass::Group(group), per_unit),
        at_times: marginals.at_times(CauseClass::Group(group)),
        evidence: evidence_for(leading, observations, panel, inference),
    })
}

/// Readings, other than the total, in which the cause would show, the most telling first: those that it explains.
fn evidence_for(
    one: &ScoredHypothesis,
    observations: &[Observation],
    panel: &Panel,
    inference: &Inference,
) -> Vec<SuspectEvidence> {
    let Some(pattern) = one.hypothesis.patterns.first() else { return Vec::new() };
    let null = &inference.null;
    let shows: Vec<bool> =
        null.rows.iter().map(|row| row.signal(one.hypothesis.cause, &pattern.excess) > 0.0).collect();
    let normal = null.places.spread(&null.normal);
    let mut found: Vec<(f64, f64, SuspectEvidence)> = observations
        .iter()
        .zip(&normal)
        .zip(null.places.spread(&shows))
        .filter(|((observation, _), shows)| *shows && observation.scope != Scope::Total)
        .map(|((observation, normal), _)| {
            let evidence = SuspectEvidence {
                entry: observation.entry,
                scope: observation.scope,
                read: observation.current.clone(),
                normal: Ampere::new(*normal),
            };
            // The narrower the node and the clearer the reading, the more it says.
            let below = match observation.scope {
                Scope::Through(feed) | Scope::FallOfFeed(feed) => panel.tree.below_feed(feed).len(),
                _ => 1,
            };
            let clear = (observation.current.value().base() - normal) / observation.current.u().base();
            (clear.min(CLEAR_ENOUGH) / below as f64, clear, evidence)
        })
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(b.1.total_cmp(&a.1)));
    found.into_iter().map(|(_, _, evidence)| evidence).collect()
}
