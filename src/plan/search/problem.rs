//! A search: explanations of which one holds, readings that tell them apart, and where it stands after each.
//! Leaves to others: which reading comes next (`baseline`, and the rollout above it).

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
    pub(super) fn leading(&self, state: &SearchState) -> (f64, f64) {
        let masses = self.masses(state);
        (masses.iter().sum(), masses.iter().copied().fold(0.0, f64::max))
    }

    /// Returns the weight of each class.
    pub(super) fn masses(&self, state: &SearchState) -> Vec<f64> {
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
}
