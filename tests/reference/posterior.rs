//! How likely each cause is, against brute force, against the integral that the slices of a size stand for, and
//! against a Bayesian network (pgmpy).

use fusetrail::reading::claim::Panel;
use fusetrail::reading::parts::PartKind;
use fusetrail::suspects::hypothesis::Cause;
use fusetrail::suspects::{Inference, infer};
use serde_json::Value;

use super::vectors::{Vectors, agree, number, numbers};
use super::vehicles::vehicle;

/// Name of a cause as the script writes it.
fn name(cause: Cause, panel: &Panel) -> String {
    let branch = |at: usize| panel.tree.branches()[at].id.trim_end_matches(":unlisted").to_owned();
    match cause {
        Cause::Nothing => "nothing".into(),
        Cause::Part(at, PartKind::Load(feed, load)) => {
            format!("{}/{}", branch(at), panel.map.feeds[feed].loads[load].name)
        }
        Cause::Part(at, PartKind::Unfused(item)) => {
            format!("{}/{}", branch(at), panel.map.unfused[item].name)
        }
        Cause::Part(at, PartKind::Unlisted) => format!("{}/?", branch(at)),
        Cause::Held(group, input) => {
            let found = &panel.map.wake_groups[group];
            let input = input.map_or("?", |input| found.inputs[input].as_str());
            format!("{}/{input}", found.id)
        }
    }
}

/// The engine's answer to a case, with the names of its single causes, held to be those of the script.
fn inferred(case: &Value) -> (Inference, Vec<String>) {
    let vehicle = vehicle(case);
    let inference = infer(&vehicle.observed.claims, &vehicle.panel, &[]).expect("a covariance");
    let found: Vec<String> =
        inference.weighed.iter().map(|one| name(one.hypothesis.cause, &vehicle.panel)).collect();
    let expected: Vec<&str> =
        case["causes"].as_array().expect("a list").iter().filter_map(Value::as_str).collect();
    assert_eq!(found, expected, "{case}");
    (inference, found)
}

#[test]
fn weights_before_any_reading_are_those_of_the_catalogue() {
    let vectors = Vectors::read("posterior");
    for case in vectors.cases("cases", 36) {
        for (one, prior) in inferred(case).0.weighed.iter().zip(numbers(&case["prior"])) {
            agree(one.hypothesis.prior, prior, 1e-10, 0.0, &case.to_string());
        }
    }
}

/// The same model enumerated, single causes and pairs: 1e-6 in probability. The engine's rounded noise constant is
/// 5e-7 of an uncertainty; a reading ten standard deviations off multiplies that by a hundred in the exponent. Pairs
/// that the engine passes over are below exp(−18) of the likeliest explanation each, which is added.
#[test]
fn probabilities_agree_with_brute_force_enumeration() {
    let vectors = Vectors::read("posterior");
    let mut pairs = 0;
    for case in vectors.cases("cases", 36) {
        let (inference, names) = inferred(case);
        let tolerance = tolerance(case);
        for (one, expected) in inference.weighed.iter().zip(numbers(&case["brute"])) {
            agree(one.probability, expected, 0.0, tolerance, &case.to_string());
        }
        let listed = case["pairs"].as_array().expect("a list");
        let mut found = 0.0;
        for pair in listed {
            let [first, second] = [0, 1].map(|at: usize| pair[at].as_str().expect("a name"));
            let is_it = |pair: &&fusetrail::suspects::pair::Pair| {
                let both = [names[pair.first].as_str(), names[pair.second].as_str()];
                both == [first, second] || both == [second, first]
            };
            let probability = inference.pairs.iter().find(is_it).map_or(0.0, |pair| pair.probability);
            let expected = pair[2].as_f64().expect("a number");
            agree(probability, expected, 0.0, tolerance, &format!("{pair} of {case}"));
            found += probability;
            pairs += 1;
        }
        // Nothing beside what the script lists: all of it is one.
        let singles: f64 = inference.weighed.iter().map(|one| one.probability).sum();
        let unlisted = number(case, "pairs_weighed") * 1e-7;
        assert!((singles + found - 1.0).abs() < tolerance + unlisted, "{} of {case}", singles + found);
    }
    assert!(pairs > 200, "{pairs} pairs");
}

fn tolerance(case: &Value) -> f64 {
    1e-6 + number(case, "pairs_weighed") * (-18.0_f64).exp()
}

/// Single causes among themselves, with the log-normal sizes integrated: what the sixteen slices cost. Sixteen slices over six standard
/// deviations follow the distribution function within 2 % (tested beside them); a probability between two causes
/// of one likelihood each can move by up to twice that.
#[test]
fn slices_stand_for_the_log_normal_within_their_width() {
    let vectors = Vectors::read("posterior");
    let mut compared = 0;
    for case in vectors.cases("cases", 36).iter().filter(|case| case["smooth"].is_array()) {
        let (inference, _) = inferred(case);
        let singles: f64 = inference.weighed.iter().map(|one| one.probability).sum();
        for (one, expected) in inference.weighed.iter().zip(numbers(&case["smooth"])) {
            agree(one.probability / singles, expected, 0.0, 0.06, &case.to_string());
            compared += 1;
        }
    }
    assert!(compared > 200, "{compared}");
}

/// Sums done by variable elimination in pgmpy, to nine digits of the densities given to it.
#[test]
fn probabilities_agree_with_a_bayesian_network() {
    let vectors = Vectors::read("posterior");
    let mut compared = 0;
    for case in vectors.cases("cases", 36).iter().filter(|case| case["network"].is_array()) {
        for (one, expected) in inferred(case).0.weighed.iter().zip(numbers(&case["network"])) {
            agree(one.probability, expected, 0.0, tolerance(case), &case.to_string());
        }
        compared += 1;
    }
    assert!(compared >= 3, "{compared} cases");
}
