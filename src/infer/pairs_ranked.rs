//! Which two branches, or a group and a branch, are to blame together. Leaves to others: weighing pairs of causes (`pair`).

use std::collections::HashMap;

use super::Inference;
use super::assumptions::WORTH_LISTING;
use super::cause::{CauseClass, class};
use crate::measure::observation::Panel;

/// Two branches (or a group and a branch) under suspicion together.
#[derive(Debug, Clone, PartialEq)]
pub struct SuspectPair {
    /// Their ids, sorted; a group is written `group NAME`.
    pub branches: [String; 2],
    /// Probability that both are causes.
    pub probability: f64,
}

/// Returns the likeliest pairs of different branches, with what each draws.
pub(super) fn pairs_of(inference: &Inference, panel: &Panel) -> Vec<SuspectPair> {
    let mut sums: HashMap<[CauseClass; 2], f64> = HashMap::new();
    for pair in &inference.pairs {
        let [first, second] = [pair.first, pair.second].map(|index| class(inference.cause(index)));
        if first != second {
            *sums.entry([first.min(second), first.max(second)]).or_insert(0.0) += pair.probability;
        }
    }
    let likely = sums.into_iter().filter(|(_, probability)| *probability > WORTH_LISTING);
    let mut found: Vec<SuspectPair> = likely
        .filter_map(|([first, second], probability)| {
            let mut branches = [name_of(first, panel)?, name_of(second, panel)?];
            branches.sort();
            Some(SuspectPair { branches, probability })
        })
        .collect();
    found.sort_by(|a, b| b.probability.total_cmp(&a.probability).then_with(|| a.branches.cmp(&b.branches)));
    found
}

/// Returns the name of a branch or group.
fn name_of(class: CauseClass, panel: &Panel) -> Option<String> {
    match class {
        CauseClass::Nothing => None,
        CauseClass::Branch(branch) => panel.tree.branches().get(branch).map(|found| found.id.clone()),
        CauseClass::Group(group) => {
            panel.map.wake_groups.get(group).map(|found| format!("group {}", found.id))
        }
    }
}
