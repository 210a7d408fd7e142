//! How likely each cause and each branch or group is over all explanations that hold it, and what it counts for.
//! Leaves to others: the ranking (`rank`), the explanations (`posterior`, `pair`, `night`).

use std::collections::HashMap;

use super::Inference;
use super::cause::{CauseClass, class};
use crate::base::numeric::mixture::MixturePart;

/// How much a cause counts.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Standing {
    /// Part of the excess that it is expected to explain, 0 to 1.
    pub share: f64,
    /// Probability that it is a cause that matters against the limit.
    pub matters: f64,
}

/// How likely each cause is over all explanations that hold it, gathered once.
pub(super) struct Marginals {
    /// By hypothesis.
    pub members: Vec<f64>,
    /// By branch and group; an explanation with two causes on one branch counts once.
    classes: HashMap<CauseClass, f64>,
    pub standings: HashMap<CauseClass, Standing>,
    /// What a hypothesis of the class draws beside another cause. One part for all sizes is near enough: there are many
    /// pairs.
    pub beside: HashMap<CauseClass, Vec<(usize, MixturePart)>>,
    /// What comes and goes and is away now.
    away: HashMap<CauseClass, f64>,
}

impl Marginals {
    pub fn new(inference: &Inference) -> Self {
        let mut found = Self {
            members: vec![0.0; inference.weighed.len()],
            classes: HashMap::new(),
            standings: HashMap::new(),
            beside: HashMap::new(),
            away: HashMap::new(),
        };
        let class = |index: usize| class(inference.cause(index));
        for explanation in inference.explanations() {
            for index in explanation.members() {
                if let Some(member) = found.members.get_mut(index) {
                    *member += explanation.probability;
                }
            }
            let first = class(explanation.first);
            let second = explanation.second.map(class).filter(|second| *second != first);
            for class in std::iter::once(first).chain(second) {
                *found.classes.entry(class).or_insert(0.0) += explanation.probability;
            }
            for (index, share) in explanation.members().zip(explanation.shares()) {
                found.standings.entry(class(index)).or_default().share += share * explanation.probability;
            }
            let mut counted = None;
            if inference.is_within() {
                continue;
            }
            for class in inference.mattering(&explanation).map(class) {
                if counted.replace(class) != Some(class) {
                    found.standings.entry(class).or_default().matters += explanation.probability;
                }
            }
        }
        for pair in &inference.pairs {
            let amplitudes = pair.amplitudes().into_iter().flatten();
            for (index, (mean, sd)) in [pair.first, pair.second].into_iter().zip(amplitudes) {
                let beside = found.beside.entry(class(index)).or_default();
                match beside.last_mut() {
                    // Many second causes that no reading tells apart stand in a row.
                    Some((same, part)) if *same == index && part.mean == mean && part.sd == sd => {
                        part.weight += pair.probability;
                    }
                    _ => beside.push((index, MixturePart { weight: pair.probability, mean, sd })),
                }
            }
        }
        found.add_away(inference);
        found
    }

    /// Adds what comes and goes and is away now: all of its excess, for nothing else is over the limit.
    fn add_away(&mut self, inference: &Inference) {
        for (index, share) in inference.away.iter().enumerate() {
            let class = class(inference.cause(index));
            self.members.get_mut(index).into_iter().for_each(|member| *member += share);
            for sum in [&mut self.classes, &mut self.away] {
                *sum.entry(class).or_insert(0.0) += share;
            }
            let standing = self.standings.entry(class).or_default();
            standing.share += share;
            standing.matters += share;
        }
    }

    pub fn at_times(&self, class: CauseClass) -> f64 {
        self.away.get(&class).copied().unwrap_or(0.0)
    }

    pub fn of(&self, class: CauseClass) -> f64 {
        self.classes.get(&class).copied().unwrap_or(0.0)
    }
}
