//! Who is to blame, and what to measure next: a posterior over causes from the claims of the readings, ranked
//! suspects with the numbers of their why, and a plan.
//! Leaves to others: the claims (`reading`), where the current goes (`account`), words (`words`).

pub mod analysis;
pub mod candidate;
pub mod forecast;
pub mod hypothesis;
pub mod plan;
pub mod posterior;
pub mod rank;
pub mod weight;
pub mod worth;

use crate::circuits::loads::Catalogue;
use crate::reading::claim::{Claim, Panel};

use hypothesis::hypotheses;
use posterior::{Ground, Weighed, weigh};
use weight::Weights;

/// The hypotheses as the readings weigh them, with the ground they were weighed on.
#[derive(Debug, Clone)]
pub struct Inference {
    /// The readings without any excess.
    pub ground: Ground,
    /// The hypotheses.
    pub weighed: Vec<Weighed>,
}

/// Weighs every cause in the light of the claims. Returns `None` only if their covariance is singular, which the
/// last digit in every reading prevents.
pub fn infer(claims: &[Claim], panel: &Panel, catalogue: &Catalogue) -> Option<Inference> {
    let weights = Weights::new(&panel.map, catalogue);
    let ground = Ground::new(claims, panel);
    let weighed = weigh(hypotheses(panel, &weights), claims, panel, &ground)?;
    Some(Inference { ground, weighed })
}
