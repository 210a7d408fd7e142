//! How likely each cause is, against brute force, against the integral that the slices of a size stand for, and
//! against a Bayesian network (pgmpy).

use fusetrail::circuits::loads::Catalogue;
use fusetrail::reading::claim::Panel;
use fusetrail::reading::parts::PartKind;
use fusetrail::suspects::hypothesis::Cause;
use fusetrail::suspects::infer;
use fusetrail::suspects::posterior::Weighed;
use serde_json::Value;

use super::vectors::{Vectors, agree, numbers};
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

/// The engine's causes of a case, held to be those of the script.
fn weighed(case: &Value) -> Vec<Weighed> {
    let vehicle = vehicle(case);
    let inference =
        infer(&vehicle.observed.claims, &vehicle.panel, Catalogue::builtin()).expect("a covariance");
    let found: Vec<String> =
        inference.weighed.iter().map(|one| name(one.hypothesis.cause, &vehicle.panel)).collect();
    let expected: Vec<&str> =
        case["causes"].as_array().expect("a list").iter().filter_map(Value::as_str).collect();
    assert_eq!(found, expected, "{case}");
    inference.weighed
}

#[test]
fn weights_before_any_reading_are_those_of_the_catalogue() {
    let vectors = Vectors::read("posterior");
    for case in vectors.cases("cases", 36) {
        for (one, prior) in weighed(case).iter().zip(numbers(&case["prior"])) {
            agree(one.hypothesis.prior, prior, 1e-10, 0.0, &case.to_string());
        }
    }
}

/// The same model enumerated: 1e-6 in probability. The engine's rounded noise constant is 5e-7 of an uncertainty; a
/// reading ten standard deviations off multiplies that by a hundred in the exponent.
#[test]
fn probabilities_agree_with_brute_force_enumeration() {
    let vectors = Vectors::read("posterior");
    let mut farthest = 0.0_f64;
    for case in vectors.cases("cases", 36) {
        for (one, expected) in weighed(case).iter().zip(numbers(&case["brute"])) {
            farthest = farthest.max((one.probability - expected).abs());
            agree(one.probability, expected, 0.0, TOLERANCE, &case.to_string());
        }
    }
    assert!(farthest > 0.0, "nothing was compared");
}

const TOLERANCE: f64 = 1e-6;

/// Against the log-normal sizes themselves, integrated: what the sixteen slices cost. Sixteen slices over six standard
/// deviations follow the distribution function within 2 % (tested beside them); a probability between two causes
/// of one likelihood each can move by up to twice that.
#[test]
fn slices_stand_for_the_log_normal_within_their_width() {
    let vectors = Vectors::read("posterior");
    let mut compared = 0;
    for case in vectors.cases("cases", 36).iter().filter(|case| case["smooth"].is_array()) {
        let (weighed, smooth) = (weighed(case), numbers(&case["smooth"]));
        for (one, expected) in weighed.iter().zip(&smooth) {
            agree(one.probability, *expected, 0.0, 0.06, &case.to_string());
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
        for (one, expected) in weighed(case).iter().zip(numbers(&case["network"])) {
            agree(one.probability, expected, 0.0, TOLERANCE, &case.to_string());
        }
        compared += 1;
    }
    assert!(compared >= 3, "{compared} cases");
}
