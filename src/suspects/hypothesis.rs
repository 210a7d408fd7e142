//! What may be wrong, one cause at a time: nothing, one part (a load, an unfused item, something unlisted at a node),
//! or a wake group held awake by one of its inputs. Each says which parts draw too much and by how much.
//! Leaves to others: how likely each is beforehand (`weight`), how the readings change that (`posterior`).

use super::weight::Weights;
use crate::numeric::mixture::{Part as Size, log_normal};
use crate::quantity::{Ampere, Unit};
use crate::reading::claim::{Claim, Interrupted, Panel, Scope, coefficient};
use crate::reading::parts::PartKind;

/// A cause.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Cause {
    /// Nothing is wrong: every current is about what the map expects asleep.
    Nothing,
    /// One part draws too much: branch and part.
    Part(usize, PartKind),
    /// A wake group is held awake: group, and the input that holds it (`None`: something that the map doesn't list).
    Held(usize, Option<usize>),
}

/// Which parts draw too much together, per ampere of amplitude (or per unit of activity for a group).
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// Share of this pattern within its hypothesis.
    pub share: f64,
    /// Part index and its excess per unit of amplitude.
    pub excess: Vec<(usize, f64)>,
    /// Relative standard deviation of each part's excess about the pattern, independent of the others.
    pub spread: f64,
    /// Parts that may draw along although the map doesn't count them in: part index and standard deviation, in
    /// ampere per unit of amplitude.
    pub stray: Vec<(usize, f64)>,
    /// What the amplitude may be.
    pub sizes: Vec<Size>,
}

/// A hypothesis: a cause with its weight beforehand and the patterns it may show.
#[derive(Debug, Clone, PartialEq)]
pub struct Hypothesis {
    /// The cause.
    pub cause: Cause,
    /// Probability beforehand.
    pub prior: f64,
    /// Patterns; empty for `Nothing`.
    pub patterns: Vec<Pattern>,
}

/// How the excess of a load on two feeds may be split between them: share on the first, weight. Editorial.
const SPLITS: [(f64, f64); 5] = [(0.0, 0.15), (0.25, 0.2), (0.5, 0.3), (0.75, 0.2), (1.0, 0.15)];
/// Spread of a held group's activity about the awake currents of the map: median and standard deviation of the
/// logarithm. Below one: part of a group is often held, not all of it. Editorial.
const ACTIVITY: (f64, f64) = (0.6, 0.7);
/// How far single modules of a held group depart from the common activity, relative. Editorial.
const MODULE_SPREAD: f64 = 0.5;
/// Modules of a held group that the map puts elsewhere or leaves out: standard deviation at each branch of the
/// battery, as a share of what the listed ones draw together. Editorial.
const ELSEWHERE: f64 = 0.12;
/// Share of held groups in which one module alone stays awake. Editorial.
const ALONE: f64 = 0.25;
/// Least spread of the size of an excess: standard deviation of its logarithm. Editorial.
const BROAD: f64 = 0.9;

/// Lists all hypotheses about a panel; their priors sum to one.
pub fn hypotheses(panel: &Panel, weights: &Weights) -> Vec<Hypothesis> {
    let mut all = vec![Hypothesis { cause: Cause::Nothing, prior: weights.nothing, patterns: Vec::new() }];
    all.extend(part_hypotheses(panel, weights));
    all.extend(held_hypotheses(panel, weights));
    let sum: f64 = all.iter().map(|hypothesis| hypothesis.prior).sum();
    for hypothesis in &mut all {
        hypothesis.prior /= sum;
    }
    all.retain(|hypothesis| hypothesis.prior > 0.0);
    all
}

fn part_hypotheses(panel: &Panel, weights: &Weights) -> Vec<Hypothesis> {
    let parts = panel.parts.all();
    let mut all = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        // A load on two feeds is one cause; it stands at its first part.
        let twin = |(other, found): &(usize, &crate::reading::parts::Part)| {
            *other != index && matches!(part.kind, PartKind::Load(..)) && found.kind == part.kind
        };
        let twins: Vec<usize> = parts.iter().enumerate().filter(twin).map(|(other, _)| other).collect();
        let (branch, first) = home_of(part.kind, part.branch, panel);
        if !twins.is_empty() && first.is_some_and(|feed| part.path.first() != Some(&feed)) {
            continue;
        }
        let size = weights.size(part.kind, panel);
        let sizes = log_normal(size.median.base(), size.ln_sd.max(BROAD));
        let one = |excess: Vec<(usize, f64)>, share: f64| Pattern {
            share,
            excess,
            spread: 0.0,
            stray: Vec::new(),
            sizes: sizes.clone(),
        };
        let patterns = match twins.first() {
            None => vec![one(vec![(index, 1.0)], 1.0)],
            Some(twin) => SPLITS
                .iter()
                .map(|(on_first, share)| one(vec![(index, *on_first), (*twin, 1.0 - on_first)], *share))
                .collect(),
        };
        all.push(Hypothesis {
            cause: Cause::Part(branch, part.kind),
            prior: weights.part(part, panel),
            patterns,
        });
    }
    all
}

/// The branch that a part is counted under: that of the feed which lists the load.
fn home_of(kind: PartKind, branch: usize, panel: &Panel) -> (usize, Option<usize>) {
    match kind {
        PartKind::Load(feed, _) => (panel.tree.branch_of_feed(feed), Some(feed)),
        _ => (branch, None),
    }
}

fn held_hypotheses(panel: &Panel, weights: &Weights) -> Vec<Hypothesis> {
    let mut all = Vec::new();
    for (group, found) in panel.map.wake_groups.iter().enumerate() {
        let excess: Vec<(usize, f64)> = panel
            .parts
            .all()
            .iter()
            .enumerate()
            .filter(|(_, part)| group_of(part.kind, panel) == Some(group))
            .map(|(index, part)| (index, (part.awake - part.asleep).max(Ampere::ZERO).base()))
            .filter(|(_, excess)| *excess > 0.0)
            .collect();
        if excess.is_empty() {
            continue;
        }
        let patterns = held_patterns(&excess, panel);
        for (input, prior) in weights.held(group, found.inputs.len(), panel) {
            // One module awake alone, by no input that can be tried, is a fault of that module's own circuit.
            let whole = patterns.iter().take(1).map(|pattern| Pattern { share: 1.0, ..pattern.clone() });
            let patterns = if input.is_some() { patterns.clone() } else { whole.collect() };
            all.push(Hypothesis { cause: Cause::Held(group, input), prior, patterns });
        }
    }
    all
}

/// A held group draws as a whole, or one of its modules stays awake alone (its parts on several feeds together).
fn held_patterns(excess: &[(usize, f64)], panel: &Panel) -> Vec<Pattern> {
    let sizes = || log_normal(ACTIVITY.0, ACTIVITY.1);
    let together: f64 = excess.iter().map(|(_, excess)| excess).sum();
    let whole = Pattern {
        share: 1.0 - ALONE,
        excess: excess.to_vec(),
        spread: MODULE_SPREAD,
        stray: elsewhere(panel).map(|part| (part, together * ELSEWHERE)).collect(),
        sizes: sizes(),
    };
    let kind = |index: usize| panel.parts.all().get(index).map(|part| part.kind);
    let mut modules: Vec<Vec<(usize, f64)>> = Vec::new();
    for (index, size) in excess {
        let same = |module: &&mut Vec<(usize, f64)>| {
            module.first().is_some_and(|(first, _)| kind(*first) == kind(*index))
        };
        match modules.iter_mut().find(same) {
            Some(module) => module.push((*index, *size)),
            None => modules.push(vec![(*index, *size)]),
        }
    }
    let share = ALONE / modules.len() as f64;
    let alone = modules.into_iter().map(|excess| Pattern {
        share,
        excess,
        spread: 0.0,
        stray: Vec::new(),
        sizes: sizes(),
    });
    std::iter::once(whole).chain(alone).collect()
}

/// What is unlisted on the branches of the battery: one place for each, whatever hangs below it.
fn elsewhere(panel: &Panel) -> impl Iterator<Item = usize> {
    let parts = panel.parts.all().iter().enumerate();
    parts.filter(|(_, part)| part.kind == PartKind::Unlisted && part.path.len() <= 1).map(|(index, _)| index)
}

/// Returns the wake group of a listed load.
pub fn group_of(kind: PartKind, panel: &Panel) -> Option<usize> {
    match kind {
        PartKind::Load(feed, load) => panel.map.feeds.get(feed)?.loads.get(load)?.wake_group,
        _ => None,
    }
}

/// Returns what a unit of a pattern adds to a claim about `scope`. An input releases its group as a whole, and
/// only if it is the one that holds it.
pub fn signal(
    cause: Cause,
    excess: &[(usize, f64)],
    scope: Scope,
    interrupted: &Interrupted,
    panel: &Panel,
) -> f64 {
    let parts = panel.parts.all();
    if let Cause::Held(group, _) = cause
        && interrupted.released.contains(&group)
    {
        return 0.0;
    }
    let scope = match (scope, cause) {
        (Scope::FallOfInput(group, input), Cause::Held(held, Some(by))) if group == held && input == by => {
            Scope::Total
        }
        (Scope::FallOfInput(..), _) => return 0.0,
        (scope, _) => scope,
    };
    excess
        .iter()
        .filter_map(|(index, size)| Some(size * coefficient(scope, interrupted, parts.get(*index)?)))
        .sum()
}

/// Returns what a unit of a pattern adds to each claim.
pub fn signals(cause: Cause, excess: &[(usize, f64)], claims: &[Claim], panel: &Panel) -> Vec<f64> {
    claims.iter().map(|claim| signal(cause, excess, claim.scope, &claim.interrupted, panel)).collect()
}
