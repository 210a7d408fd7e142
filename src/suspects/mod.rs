//! Who is to blame, and what to measure next: a posterior over causes from the claims of the readings, ranked
//! suspects with the numbers of their why, and a plan.
//! Leaves to others: the claims (`reading`), where the current goes (`account`), words (`words`).

pub mod analysis;
pub mod candidate;
pub mod crossing;
pub mod cured;
pub mod forecast;
pub mod ground;
pub mod hypothesis;
pub mod joint;
pub mod pair;
pub mod plan;
pub mod posterior;
pub mod rank;
pub mod search;
pub mod weight;
pub mod worth;

use crate::circuits::loads::Catalogue;
use crate::reading::claim::{Claim, Panel};

use crate::numeric::density::ln_sum_exp;
use ground::Ground;
use hypothesis::{Cause, hypotheses};
use pair::{Pair, pairs};
use posterior::{Weighed, weigh};
use weight::{Background, Weights};

/// The causes as the readings weigh them, one or two at a time, with the ground they were weighed on.
#[derive(Debug, Clone)]
pub struct Inference {
    /// The readings without any excess.
    pub ground: Ground,
    /// Single causes, "nothing wrong" among them.
    pub weighed: Vec<Weighed>,
    /// Two causes at once.
    pub pairs: Vec<Pair>,
    /// How much of "nothing wrong" is a fault that is away at the moment: nothing that is read now tells the two apart.
    pub not_now: f64,
}

/// One explanation of the readings: its causes, none or one or two.
#[derive(Debug, Clone, Copy)]
pub struct Explanation {
    /// Index into [`Inference::weighed`].
    pub first: usize,
    /// The same of a second cause.
    pub second: Option<usize>,
    /// Probability given the readings.
    pub probability: f64,
}

impl Explanation {
    /// Returns the indices of its hypotheses.
    pub fn members(&self) -> impl Iterator<Item = usize> {
        std::iter::once(self.first).chain(self.second)
    }
}

impl Inference {
    /// Returns every explanation: single ones first, then pairs.
    pub fn explanations(&self) -> impl Iterator<Item = Explanation> {
        let single = |(first, one): (usize, &Weighed)| Explanation {
            first,
            second: None,
            probability: one.probability,
        };
        let double = |pair: &Pair| Explanation {
            first: pair.first,
            second: Some(pair.second),
            probability: pair.probability,
        };
        self.weighed.iter().enumerate().map(single).chain(self.pairs.iter().map(double))
    }

    /// Returns the cause of a single hypothesis.
    pub fn cause(&self, index: usize) -> Cause {
        self.weighed.get(index).map_or(Cause::Nothing, |one| one.hypothesis.cause)
    }
}

/// Weighs every cause in the light of the claims and of what is known before them. Returns `None` only if their
/// covariance is singular, which the last digit in every reading prevents.
pub fn infer(claims: &[Claim], panel: &Panel, background: &Background) -> Option<Inference> {
    let weights = Weights::new(&panel.map, Catalogue::builtin(), background);
    let ground = Ground::new(claims, panel);
    let mut weighed = weigh(hypotheses(panel, &weights, claims), claims, &ground)?;
    let mut pairs = pairs(&weighed, &ground, panel);
    let singles = weighed.iter().map(|one| one.ln);
    let total = ln_sum_exp(singles.chain(pairs.iter().map(|pair| pair.ln)).collect::<Vec<_>>());
    for one in &mut weighed {
        one.probability = (one.ln - total).exp();
    }
    for pair in &mut pairs {
        pair.probability = (pair.ln - total).exp();
    }
    Some(Inference { ground, weighed, pairs, not_now: weights.not_now })
}
