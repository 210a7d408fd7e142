//! The shortest search in expectation, on a table of what each reading would show under each explanation: a one-step
//! rollout over several base policies. Greedy information per minute alone falls behind a plain sweep when a reading
//! that covers many circuits is dear; the best of several policies, looked at one step ahead, does not.
//! Leaves to others: the table (`table`), the base policies (`baseline`), what is searched (`problem`), what is known so far (`posterior`).
//!
//! # Source
//! Rollout: Bertsekas and Castañon 1999; search in boxes that cost time to reach: Ottosen and Jensen 2010;
//! diagnosis by expected information: de Kleer and Williams 1987.

pub mod baseline;
mod problem;
pub(crate) mod table;

pub use problem::{Act, OUTCOMES, SearchProblem, SearchState};

use crate::infer::assumptions::RARE_OUTCOME;
use baseline::BasePolicy;

/// Below this share of the root's weight an outcome isn't followed further.
const TOO_RARE: f64 = 3e-3;

/// A first reading with the expected cost of the search that begins with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rated {
    /// Which reading.
    pub act: usize,
    /// Expected minutes from here to the finding, the price of a wrong one included.
    pub cost: f64,
}

impl SearchProblem {
    /// Returns the expected cost, times the state's weight, of a search by a base policy that stops as soon as going
    /// on costs more than it saves.
    pub fn cost_of(&self, base: BasePolicy, state: &SearchState, least: f64) -> f64 {
        let (mass, best) = self.leading(state);
        if best >= self.decided * mass {
            return 0.0;
        }
        let stop = self.wrong * (mass - best);
        if mass < least {
            return stop.min(mass * RARE_OUTCOME);
        }
        let Some(at) = base.choose(self, state) else { return stop };
        let go_on = self.cost_from(at, state, |next| self.cost_of(base, next, least));
        go_on.min(stop)
    }

    /// Cost of one reading and of what follows each of its outcomes.
    fn cost_from(&self, at: usize, state: &SearchState, then: impl Fn(&SearchState) -> f64) -> f64 {
        let mass: f64 = state.weights.iter().sum();
        let minutes = self.acts.get(at).map_or(0.0, |act| self.minutes(act, state));
        mass * minutes + self.after(state, at).iter().map(then).sum::<f64>()
    }

    /// Rates first readings by rollout, the cheapest search first. Empty if nothing tells the explanations apart.
    pub fn rate(&self, state: &SearchState) -> Vec<Rated> {
        let mass: f64 = state.weights.iter().sum();
        let least = mass * TOO_RARE;
        let mut firsts: Vec<usize> = Vec::new();
        for base in BasePolicy::ALL {
            for at in base.best(self, state, base.firsts()) {
                if !firsts.contains(&at) {
                    firsts.push(at);
                }
            }
        }
        let cheapest = |next: &SearchState| {
            let costs = BasePolicy::ALL.iter().map(|base| self.cost_of(*base, next, least));
            costs.fold(f64::INFINITY, f64::min)
        };
        let mut rated: Vec<Rated> = firsts
            .into_iter()
            .map(|act| Rated { act, cost: self.cost_from(act, state, cheapest) / mass })
            .collect();
        rated.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        rated
    }
}
