//! The shortest search in expectation, on a table of what each reading would show under each explanation: a one-step
//! rollout over several base policies. Greedy information per minute alone falls behind a plain sweep when a reading
//! that covers many circuits is dear; the best of several policies, looked at one step ahead, does not.
//! Leaves to others: the table (`table`), the base policies (`baseline`), what is known so far (`posterior`).
//!
//! # Source
//! Rollout: Bertsekas and Castañon 1999; search in boxes that cost time to reach: Ottosen and Jensen 2010;
//! diagnosis by expected information: de Kleer and Williams 1987.

pub mod baseline;
pub mod table;

use baseline::BasePolicy;

/// What a reading may show: nothing beyond normal, some of the excess, all of it.
pub const OUTCOMES: usize = 3;

/// One reading that can be taken once.
#[derive(Debug, Clone, PartialEq)]
pub struct Act {
    /// Minutes of work, without reaching its place.
    pub minutes: f64,
    /// Place that must be reached for it.
    pub place: Option<usize>,
    /// Explanations under which it may show something: explanation and the probability of each outcome, those of one
    /// class together. Under all others it shows nothing.
    pub shows: Vec<(usize, [f64; OUTCOMES])>,
}

/// A search: explanations, of which one holds, and readings that tell them apart.
#[derive(Debug, Clone, PartialEq)]
pub struct SearchProblem {
    /// Which explanations count as the same finding: a class for each.
    pub classes: Vec<usize>,
    /// The readings.
    pub acts: Vec<Act>,
    /// Minutes to reach each place.
    pub reach: Vec<f64>,
    /// Share of the probability at which one class counts as found.
    pub decided: f64,
    /// What it costs to end with a finding that is wrong, in minutes.
    pub wrong: f64,
}

/// Where a search stands.
#[derive(Debug, Clone, PartialEq)]
pub struct SearchState {
    /// Weight of each explanation; not normalised, so that costs of outcomes add up.
    pub weights: Vec<f64>,
    /// Place of the last reading.
    pub here: Option<usize>,
    /// Readings already taken.
    pub taken: Vec<bool>,
}

/// Below this share of the root's weight an outcome isn't followed further.
const TOO_RARE: f64 = 3e-3;
/// What such an outcome is taken to cost, in minutes.
const RARELY: f64 = 4.0;

/// A first reading with the expected cost of the search that begins with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rated {
    /// Which reading.
    pub act: usize,
    /// Expected minutes from here to the finding, the price of a wrong one included.
    pub cost: f64,
}

impl SearchProblem {
    /// Makes a search ready. `acts` may list what they show in any order.
    pub fn new(classes: Vec<usize>, mut acts: Vec<Act>, reach: Vec<f64>, decided: f64, wrong: f64) -> Self {
        for act in &mut acts {
            act.shows.sort_by_key(|(item, _)| classes.get(*item).copied());
        }
        Self { classes, acts, reach, decided, wrong }
    }

    /// Returns the price of stopping here: the weight of all but the leading class.
    pub fn stop_cost(&self, state: &SearchState) -> f64 {
        let (mass, best) = self.leading(state);
        self.wrong * (mass - best)
    }

    /// Returns the whole weight, and that of the leading class.
    fn leading(&self, state: &SearchState) -> (f64, f64) {
        let masses = self.masses(state);
        (masses.iter().sum(), masses.iter().copied().fold(0.0, f64::max))
    }

    /// Returns the weight of each class.
    pub(self) fn masses(&self, state: &SearchState) -> Vec<f64> {
        let mut masses = vec![0.0; self.classes.iter().max().map_or(0, |most| most + 1)];
        for (class, weight) in self.classes.iter().zip(&state.weights) {
            if let Some(mass) = masses.get_mut(*class) {
                *mass += weight;
            }
        }
        masses
    }

    /// Returns the minutes of a reading from where the search stands.
    pub fn minutes(&self, act: &Act, state: &SearchState) -> f64 {
        let way = match act.place {
            Some(place) if state.here != Some(place) => self.reach.get(place).copied().unwrap_or(0.0),
            _ => 0.0,
        };
        act.minutes + way
    }

    /// Returns where the search stands after a reading, for each outcome that has any weight.
    pub fn after(&self, state: &SearchState, at: usize) -> Vec<SearchState> {
        let Some(act) = self.acts.get(at) else { return Vec::new() };
        let mut taken = state.taken.clone();
        if let Some(slot) = taken.get_mut(at) {
            *slot = true;
        }
        let here = act.place.or(state.here);
        let mut shown = vec![vec![0.0; state.weights.len()]; OUTCOMES];
        for (item, chances) in &act.shows {
            let weight = state.weights.get(*item).copied().unwrap_or(0.0);
            for (outcome, chance) in shown.iter_mut().zip(chances) {
                if let Some(slot) = outcome.get_mut(*item) {
                    *slot = weight * chance;
                }
            }
        }
        if let Some(nothing) = shown.first_mut() {
            let touched: Vec<(usize, f64)> = act
                .shows
                .iter()
                .map(|(item, _)| (*item, nothing.get(*item).copied().unwrap_or(0.0)))
                .collect();
            nothing.clone_from(&state.weights);
            for (item, weight) in touched {
                if let Some(slot) = nothing.get_mut(item) {
                    *slot = weight;
                }
            }
        }
        shown
            .into_iter()
            .filter(|weights| weights.iter().any(|weight| *weight > 0.0))
            .map(|weights| SearchState { weights, here, taken: taken.clone() })
            .collect()
    }

    /// Returns the expected cost, times the state's weight, of a search by a base policy that stops as soon as going
    /// on costs more than it saves.
    pub fn cost_of(&self, base: BasePolicy, state: &SearchState, least: f64) -> f64 {
        let (mass, best) = self.leading(state);
        if best >= self.decided * mass {
            return 0.0;
        }
        let stop = self.wrong * (mass - best);
        if mass < least {
            return stop.min(mass * RARELY);
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
