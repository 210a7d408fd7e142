//! The order of readings against the cheapest possible one: exact dynamic programming on panels of twelve fuses with
//! uneven chances, in boxes that take time to reach, with clamps that read a whole box and are cheap, usual or dear.

use fusetrail::plan::search::baseline::BasePolicy;
use fusetrail::plan::search::{Act, SearchProblem, SearchState};
use serde_json::Value;

use super::vectors::{Vectors, number, numbers};

/// One fuse a class: found means that no other is left.
const DECIDED: f64 = 1.0 - 1e-12;

fn problem(case: &Value) -> (SearchProblem, SearchState) {
    let boxes: Vec<usize> = numbers(&case["boxes"]).iter().map(|place| *place as usize).collect();
    let reach = numbers(&case["reach"]);
    let battery = reach.len() - 1;
    let shows = |holds: &dyn Fn(usize) -> bool| -> Vec<(usize, [f64; 3])> {
        (0..boxes.len()).filter(|fuse| holds(*fuse)).map(|fuse| (fuse, [0.0, 0.0, 1.0])).collect()
    };
    let drops = boxes.iter().enumerate().map(|(fuse, place)| Act {
        minutes: number(case, "drop"),
        place: Some(*place),
        shows: shows(&|other| other == fuse),
    });
    let clamps = (0..battery).map(|place| Act {
        minutes: number(case, "clamp"),
        place: Some(battery),
        shows: shows(&|fuse| boxes[fuse] == place),
    });
    let acts: Vec<Act> = drops.chain(clamps).collect();
    let state =
        SearchState { weights: numbers(&case["chances"]), here: None, taken: vec![false; acts.len()] };
    (SearchProblem::new((0..boxes.len()).collect(), acts, reach, DECIDED, number(case, "wrong")), state)
}

/// Expected minutes of a search that asks anew after each reading.
fn cost(problem: &SearchProblem, state: &SearchState, choose: &dyn Fn(&SearchState) -> Option<usize>) -> f64 {
    let stop = problem.stop_cost(state);
    if stop <= 1e-9 {
        return 0.0;
    }
    match choose(state) {
        None => stop,
        Some(at) => {
            let mass: f64 = state.weights.iter().sum();
            let after = problem.after(state, at);
            let then: f64 = after.iter().map(|next| cost(problem, next, choose)).sum();
            mass * problem.minutes(&problem.acts[at], state) + then
        }
    }
}

fn by_rollout(problem: &SearchProblem, state: &SearchState) -> f64 {
    cost(problem, state, &|state| {
        let mass: f64 = state.weights.iter().sum();
        let best = problem.rate(state).into_iter().next()?;
        (best.cost * mass < problem.stop_cost(state)).then_some(best.act)
    })
}

/// Goal: 2 % over the optimum in the mean. And in each of the nine settings of costs the rollout must not be worse
/// than the best of its base policies (1e-9 for the order of sums).
#[test]
fn the_search_is_near_the_cheapest_and_never_behind_its_base_policies() {
    let vectors = Vectors::read("search");
    let (mut over, mut worst, mut count) = (0.0, 0.0_f64, 0.0);
    let mut settings = vec![[0.0; 4]; 9];
    for (index, case) in vectors.cases("cases", 200).iter().enumerate() {
        let (problem, state) = problem(case);
        let optimum = number(case, "optimum");
        let found = by_rollout(&problem, &state);
        assert!(found > optimum - 1e-6, "cheaper than the cheapest: {found} {optimum}");
        over += found / optimum - 1.0;
        worst = worst.max(found / optimum - 1.0);
        count += 1.0;
        let sums = &mut settings[index % 9];
        sums[0] += found;
        for (sum, base) in sums.iter_mut().skip(1).zip(BasePolicy::ALL) {
            *sum += cost(&problem, &state, &|state| base.choose(&problem, state));
        }
    }
    for [rollout, bases @ ..] in &settings {
        let best = bases.iter().copied().fold(f64::INFINITY, f64::min);
        assert!(*rollout <= best + 1e-9, "{rollout} {bases:?}");
    }
    assert!(over / count <= 0.02, "{} in the mean, {worst} at worst", over / count);
}
