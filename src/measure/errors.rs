//! The errors of observations as a factor model: what each has of its own, and what several share by name (zero, gain, box
//! temperature, make of fuse). Leaves to others: the currents that observations add up (`infer`, `balance`).

use std::collections::HashMap;

use super::observation::Observation;
use super::place::Places;
use crate::base::numeric::loads::Component;
use crate::base::quantity::{ErrorSource, Unit};

/// The errors of a list of observations.
#[derive(Debug, Clone, PartialEq)]
pub struct Errors {
    /// Own variance, place and shared errors of each observation, in ampere and its square.
    pub components: Vec<Component>,
    /// Number of each shared error, by name.
    pub sources: HashMap<ErrorSource, usize>,
}

impl Errors {
    /// Lists them.
    pub fn new<'a>(observations: impl IntoIterator<Item = &'a Observation>, places: &Places) -> Self {
        let mut sources: HashMap<ErrorSource, usize> = HashMap::new();
        let mut components = Vec::with_capacity(places.of.len());
        for (observation, place) in observations.into_iter().zip(&places.of) {
            let mut common = Vec::new();
            for (source, effect) in observation.current.shared() {
                let next = sources.len();
                let number = *sources.entry(source.clone()).or_insert(next);
                common.push((number, effect.base()));
            }
            let own = observation.current.own().base().powi(2);
            components.push(Component { own, place: *place, common });
        }
        Self { components, sources }
    }
}
