//! Observations that count the same parts in the same state, as one place each: all that depends on scope and state alone is
//! then reckoned once. Leaves to others: what a place counts (`observation`), the errors of its observations (`errors`).

use std::collections::HashMap;

use super::observation::{Interrupted, Observation, Scope};

/// The places of a list of observations.
#[derive(Debug, Clone, PartialEq)]
pub struct Places {
    /// The place of each observation.
    pub of: Vec<usize>,
    /// Index of the first observation of each place.
    pub first: Vec<usize>,
}

impl Places {
    /// Sorts observations into places, in the order in which they first come.
    pub fn new<'a>(observations: impl IntoIterator<Item = &'a Observation>) -> Self {
        let mut known: HashMap<(Scope, &Interrupted), usize> = HashMap::new();
        let mut found = Self { of: Vec::new(), first: Vec::new() };
        for (index, observation) in observations.into_iter().enumerate() {
            let place =
                *known.entry((observation.scope, &observation.interrupted)).or_insert(found.first.len());
            if place == found.first.len() {
                found.first.push(index);
            }
            found.of.push(place);
        }
        found
    }

    /// Returns the first observation of each place.
    pub fn firsts<'a>(&self, observations: &'a [Observation]) -> impl Iterator<Item = &'a Observation> {
        self.first.iter().filter_map(|index| observations.get(*index))
    }

    /// Returns the observations of each place, by index.
    pub fn members(&self) -> Vec<Vec<usize>> {
        let mut members = vec![Vec::new(); self.first.len()];
        for (index, place) in self.of.iter().enumerate() {
            if let Some(list) = members.get_mut(*place) {
                list.push(index);
            }
        }
        members
    }

    /// Returns for each observation what its place has.
    pub fn spread<T: Copy + Default>(&self, by_place: &[T]) -> Vec<T> {
        self.of.iter().map(|place| by_place.get(*place).copied().unwrap_or_default()).collect()
    }
}
