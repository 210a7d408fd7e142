//! Base policies of the search: each names the next reading by a simple rule.
//! Leaves to others: looking ahead (`mod`).

use super::problem::{Act, OUTCOMES, SearchProblem, SearchState};

/// A simple rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BasePolicy {
    /// The reading that tells most per minute.
    Telling,
    /// The place whose readings find most per minute, its way included; in it, the likeliest per minute.
    Places,
    /// What is left in this place, in order; then the next place.
    Sweep,
}

/// A reading that tells less than this share of what there is to tell is not worth naming.
const TELLS_NOTHING: f64 = 1e-6;

impl BasePolicy {
    /// All of them.
    pub const ALL: [BasePolicy; 3] = [BasePolicy::Telling, BasePolicy::Places, BasePolicy::Sweep];

    /// Returns how many first readings of this rule are worth looking ahead from.
    pub fn firsts(self) -> usize {
        match self {
            Self::Telling => 6,
            Self::Places => 3,
            Self::Sweep => 1,
        }
    }

    /// Returns the next reading; `None` if nothing tells the explanations apart.
    pub fn choose(self, problem: &SearchProblem, state: &SearchState) -> Option<usize> {
        self.best(problem, state, 1).first().copied()
    }

    /// Returns the best readings by the rule, the best first.
    pub fn best(self, problem: &SearchProblem, state: &SearchState, most: usize) -> Vec<usize> {
        let told = ClassMass::new(problem, state);
        let open = |at: &usize| !state.taken.get(*at).copied().unwrap_or(true);
        let telling: Vec<(usize, f64, &Act)> = (0..problem.acts.len())
            .filter(open)
            .filter_map(|at| {
                let act = problem.acts.get(at)?;
                Some((at, told.by(act, problem, state), act))
            })
            .filter(|(_, tells, _)| *tells > TELLS_NOTHING * told.mass * told.mass)
            .collect();
        let mut rated: Vec<(f64, usize)> = match self {
            Self::Telling => telling
                .iter()
                .map(|(at, tells, act)| (tells / problem.minutes(act, state).max(f64::MIN_POSITIVE), *at))
                .collect(),
            Self::Places => by_place(problem, state, &telling),
            Self::Sweep => {
                // The place that one stands in, then the others as they are listed.
                let order = |act: &Act| if act.place == state.here { 0 } else { 1 + act.place.unwrap_or(0) };
                telling
                    .iter()
                    .map(|(at, _, act)| (-((order(act) * problem.acts.len() + at) as f64), *at))
                    .collect()
            }
        };
        rated.sort_by(|a, b| b.0.total_cmp(&a.0));
        rated.into_iter().take(most).map(|(_, at)| at).collect()
    }
}

/// Rates each reading by the best stretch of readings in its place: the likeliest per minute first, as many as make
/// the stretch find most per minute with the way to the place counted once.
fn by_place(
    problem: &SearchProblem,
    state: &SearchState,
    telling: &[(usize, f64, &Act)],
) -> Vec<(f64, usize)> {
    let mut places: Vec<Option<usize>> = telling.iter().map(|(_, _, act)| act.place).collect();
    places.sort_unstable();
    places.dedup();
    let mut rated = Vec::new();
    for place in places {
        let here = telling.iter().filter(|(_, _, act)| act.place == place);
        let mut here: Vec<(f64, f64, usize)> = here
            .map(|(at, _, act)| {
                let found: f64 = act.shows.iter().map(|(item, chances)| finds(*item, chances, state)).sum();
                (found, act.minutes.max(f64::MIN_POSITIVE), *at)
            })
            .collect();
        here.sort_by(|a, b| (b.0 / b.1).total_cmp(&(a.0 / a.1)));
        let way = match place {
            Some(place) if state.here != Some(place) => problem.reach.get(place).copied().unwrap_or(0.0),
            _ => 0.0,
        };
        let (mut found, mut minutes, mut stretch) = (0.0, way, 0.0_f64);
        for (chance, took, _) in &here {
            found += chance;
            minutes += took;
            stretch = stretch.max(found / minutes);
        }
        // Within a place the order is by chance per minute, so that only the first carries the whole rating.
        rated.extend(
            here.iter().enumerate().map(|(rank, (_, _, at))| (stretch * 0.5_f64.powi(rank as i32), *at)),
        );
    }
    rated
}

fn finds(item: usize, chances: &[f64], state: &SearchState) -> f64 {
    let shows: f64 = chances.iter().skip(1).sum();
    state.weights.get(item).copied().unwrap_or(0.0) * shows
}

/// What there is to tell: the weights of the classes.
struct ClassMass {
    masses: Vec<f64>,
    /// Whole weight.
    mass: f64,
    /// Sum of squares of the classes' weights.
    squares: f64,
}

impl ClassMass {
    fn new(problem: &SearchProblem, state: &SearchState) -> Self {
        let masses = problem.masses(state);
        Self { mass: masses.iter().sum(), squares: masses.iter().map(|mass| mass * mass).sum(), masses }
    }

    /// Returns by how much a reading lowers the chance that two explanations drawn at random are of different classes
    /// yet not told apart, times the squared weight (Gini's measure; unlike entropy it needs no logarithm).
    fn by(&self, act: &Act, problem: &SearchProblem, state: &SearchState) -> f64 {
        let class = |item: usize| problem.classes.get(item).copied().unwrap_or(0);
        let mut shown = [(0.0, 0.0); OUTCOMES];
        let mut nothing = self.squares;
        let mut left = self.mass;
        // Explanations of one class stand together.
        for alike in act.shows.chunk_by(|a, b| class(a.0) == class(b.0)) {
            // The weight of the class under every outcome but "nothing".
            let mut sums = [0.0; OUTCOMES];
            for (item, chances) in alike {
                let weight = state.weights.get(*item).copied().unwrap_or(0.0);
                for (sum, chance) in sums.iter_mut().zip(chances).skip(1) {
                    *sum += weight * chance;
                }
            }
            let first = alike.first().map_or(0, |(item, _)| class(*item));
            let whole = self.masses.get(first).copied().unwrap_or(0.0);
            let gone: f64 = sums.iter().skip(1).sum();
            nothing += (whole - gone).powi(2) - whole * whole;
            left -= gone;
            for (outcome, sum) in shown.iter_mut().zip(sums).skip(1) {
                outcome.0 += sum;
                outcome.1 += sum * sum;
            }
        }
        // Σ over outcomes of (mass² − Σ class²)/mass is what stays untold, never more than the mass: where nothing is
        // left of an outcome, rounding is.
        let untold = |mass: f64, squares: f64| {
            if mass > 0.0 { ((mass * mass - squares) / mass).clamp(0.0, mass) } else { 0.0 }
        };
        let after: f64 = untold(left, nothing)
            + shown.iter().skip(1).map(|(mass, squares)| untold(*mass, *squares)).sum::<f64>();
        (untold(self.mass, self.squares) - after).max(0.0) * self.mass
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A reading that shows something under every explanation leaves nothing for the outcome "nothing" but rounding.
    #[test]
    fn a_reading_that_is_never_nothing_tells_what_it_tells() {
        let weights = vec![0.840_967_173_755_986, 0.146_213_264_674_169, 0.012_819_561_566_271];
        let part_or_all = vec![(0, [0.0, 1.0, 0.0]), (1, [0.0, 0.0, 1.0]), (2, [0.0, 0.0, 1.0])];
        let act = Act { minutes: 0.5, place: None, shows: part_or_all };
        let problem = SearchProblem::new(vec![0, 1, 2], vec![act], Vec::new(), 0.99, 60.0);
        let state = SearchState { weights, here: None, taken: vec![false] };
        for base in BasePolicy::ALL {
            assert_eq!(base.choose(&problem, &state), Some(0), "{base:?}");
        }
    }
}
