//! The errors of claims as a factor model: what each has of its own, and what several share by name (zero, gain, box
//! temperature, make of fuse). Leaves to others: the currents that claims add up (`suspects`, `account`).

use std::collections::HashMap;

use super::claim::Claim;
use super::place::Places;
use crate::numeric::loads::Component;
use crate::quantity::{Source, Unit};

/// The errors of a list of claims.
#[derive(Debug, Clone, PartialEq)]
pub struct Errors {
    /// Own variance, place and shared errors of each claim, in ampere and its square.
    pub components: Vec<Component>,
    /// Number of each shared error, by name.
    pub sources: HashMap<Source, usize>,
}

impl Errors {
    /// Lists them.
    pub fn new<'a>(claims: impl IntoIterator<Item = &'a Claim>, places: &Places) -> Self {
        let mut sources: HashMap<Source, usize> = HashMap::new();
        let mut components = Vec::with_capacity(places.of.len());
        for (claim, place) in claims.into_iter().zip(&places.of) {
            let mut common = Vec::new();
            for (source, effect) in claim.current.shared() {
                let next = sources.len();
                let number = *sources.entry(source.clone()).or_insert(next);
                common.push((number, effect.base()));
            }
            let own = claim.current.own().base().powi(2);
            components.push(Component { own, place: *place, common });
        }
        Self { components, sources }
    }
}
