//! How likely each cause is, against brute force, against the integrals that the parts of a size stand for, and
//! against a Bayesian network (pgmpy).

use fusetrail::base::quantity::{Ampere, Minute, Unit};
use fusetrail::circuit::id::{BranchId, LoadId};
use fusetrail::infer::cause::{Cause, HeldBy};
use fusetrail::infer::pair::Pair;
use fusetrail::infer::sign::Seen;
use fusetrail::infer::wake_clock::Series;
use fusetrail::infer::weight::Background;
use fusetrail::infer::{Inference, infer};
use fusetrail::measure::observation::{Panel, Scope};
use fusetrail::measure::sources::PartKind;
use serde_json::Value;

use super::vectors::{Vectors, agree, number, numbers};
use super::vehicles::{Vehicle, vehicle};

/// Vehicles of the script: drawn ones, those of a module that holds its group, and those of looks, reports and a draw as found
/// that is gone.
const CASES: usize = 59;

/// Name of a cause as the script writes it.
pub fn name(cause: Cause, panel: &Panel) -> String {
    let branch = |at: BranchId| {
        let found = panel.tree.branches().get(at).expect("a branch");
        found.id.trim_end_matches(":unlisted").to_owned()
    };
    let load = |load: LoadId| panel.map.load(load).expect("a load").name.clone();
    match cause {
        Cause::Nothing => "nothing".into(),
        Cause::Part(at, PartKind::Load(id)) => format!("{}/{}", branch(at), load(id)),
        Cause::Part(at, PartKind::Unfused(item)) => {
            format!("{}/{}", branch(at), panel.map.unfused_name(item))
        }
        Cause::Part(at, PartKind::Unlisted) => format!("{}/?", branch(at)),
        Cause::Held(group, holder) => {
            let found = panel.map.wake_groups.get(group).expect("a group");
            let holder = match holder {
                HeldBy::Input(input) => panel.map.input(input).expect("an input").to_owned(),
                HeldBy::Module(id) => load(id),
                HeldBy::Unlisted => "?".to_owned(),
            };
            format!("{}/{holder}", found.id)
        }
    }
}

/// What was found without a figure, and the power that is sought: that of the newest total beyond what is expected asleep.
fn seen(vehicle: &Vehicle, case: &Value) -> Seen {
    let (panel, observed) = (&vehicle.panel, &vehicle.observed);
    let total = observed.observations.iter().rev().find(|one| one.scope == Scope::Total);
    let excess = total.map_or(Ampere::ZERO, |total| total.current.value() - panel.asleep());
    let watts = excess.base() * panel.map.system.base();
    let series = case["series"].as_array().map(|_| {
        let told = numbers(&case["series"]);
        Series::new(Minute::new(told[0]), Minute::new(told[1]), told[2])
    });
    let (sightings, tried) = (observed.sightings.clone(), observed.tried.clone());
    Seen { sightings, tried, times_out: observed.times_out.clone(), series, watts }
}

/// What was told, as the hints have the words.
fn told(case: &Value) -> Vec<&'static str> {
    let words = case["told"].as_array().map_or(&[][..], Vec::as_slice);
    let known = |word: &Value| match word.as_str() {
        Some("gone") => "gone",
        _ => panic!("no case is told {word}"),
    };
    words.iter().map(known).collect()
}

/// The engine's answer to a case, with the names of its single causes, held to be those of the script.
fn inferred(case: &Value) -> (Inference, Vec<String>) {
    let vehicle = vehicle(case);
    let background = Background {
        limit: case["limit_ma"].as_f64().map(Ampere::from_milli),
        seen: seen(&vehicle, case),
        told: told(case),
        ..Background::default()
    };
    let inference = infer(&vehicle.observed.observations, &vehicle.panel, &background).expect("a covariance");
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
    for case in vectors.cases("cases", CASES) {
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
    let pairs: usize = vectors.cases("cases", CASES).iter().map(agrees_with_brute_force).sum();
    assert!(pairs > 200, "{pairs} pairs");
}

/// Holds one case against its enumeration; returns how many pairs were compared.
pub fn agrees_with_brute_force(case: &Value) -> usize {
    let mut pairs = 0;
    let (inference, names) = inferred(case);
    let tolerance = tolerance(case);
    for (one, expected) in inference.weighed.iter().zip(numbers(&case["brute"])) {
        agree(one.probability, expected, 0.0, tolerance, &case.to_string());
    }
    let listed = case["pairs"].as_array().expect("a list");
    let mut found = 0.0;
    for pair in listed {
        let (probability, expected) = of_pair(pair, &inference, &names);
        agree(probability, expected, 0.0, tolerance, &format!("{pair} of {case}"));
        found += probability;
        pairs += 1;
    }
    // Nothing beside what the script lists: all of it is one.
    let singles: f64 = inference.weighed.iter().map(|one| one.probability).sum();
    let unlisted = number(case, "pairs_weighed") * 1e-7;
    assert!((singles + found - 1.0).abs() < tolerance + unlisted, "{} of {case}", singles + found);
    pairs
}

pub fn tolerance(case: &Value) -> f64 {
    1e-6 + number(case, "pairs_weighed") * (-18.0_f64).exp()
}

/// The probability of a pair, and the one listed for it.
fn of_pair(listed: &Value, inference: &Inference, names: &[String]) -> (f64, f64) {
    let [first, second] = [0, 1].map(|at: usize| listed[at].as_str().expect("a name"));
    let is_it = |pair: &&Pair| {
        let both = [names[pair.first].as_str(), names[pair.second].as_str()];
        both == [first, second] || both == [second, first]
    };
    let probability = inference.pairs.iter().find(is_it).map_or(0.0, |pair| pair.probability);
    (probability, listed[2].as_f64().expect("a number"))
}

/// Cases in which the parts cost more than wanted, how much at most, and why; one that gets inside must leave the list.
const OUTSIDE: [(usize, f64, &str); 3] = [
    (7, 1.0, NO_CAUSE),
    (
        16,
        0.03,
        "two causes on one fuse, both read closely by a clamp and an unplug: eight parts a size are coarse there",
    ),
    (31, 0.3, NO_CAUSE),
];
const NO_CAUSE: &str = "an input ends most of the draw, but no module of its group is listed: no cause explains the \
    readings, and what is left to compare are tails of the parts, some of them below zero";

/// The log-normal sizes themselves, integrated, of single causes and pairs: what it costs that normal parts stand for
/// them. Wanted: 0.02.
#[test]
fn normal_parts_stand_for_the_log_normal() {
    let vectors = Vectors::read("posterior");
    let mut compared = 0;
    let cases = vectors.cases("cases", CASES).iter().enumerate();
    for (number, case) in cases.filter(|(_, case)| case["smooth"].is_array()) {
        let mut off = Vec::new();
        let (inference, names) = inferred(case);
        for (one, expected) in inference.weighed.iter().zip(numbers(&case["smooth"])) {
            off.push((one.probability - expected).abs());
        }
        for pair in case["smooth_pairs"].as_array().expect("a list") {
            let (probability, expected) = of_pair(pair, &inference, &names);
            off.push((probability - expected).abs());
        }
        let most = off.iter().copied().fold(0.0, f64::max);
        let ceiling = OUTSIDE.iter().find(|(outside, ..)| *outside == number).map(|(_, ceiling, _)| *ceiling);
        assert_eq!(most >= 0.02, ceiling.is_some(), "{number}: {most}");
        assert!(most < ceiling.unwrap_or(0.02), "{number}: {most}");
        compared += off.len();
    }
    assert!(compared > 500, "{compared}");
}

/// The world that the model stands for, drawn without anything linearised or taken as normal (`world.py`): readings
/// typical of that world, 24 vehicles with one to six of them. Wanted: 0.02. Three go beyond it, 0.02, 0.04 and 0.05.
/// Two have a total that is high by little more than sleeping currents spread: there it counts that the model lets
/// those be below zero. In the third a large drop speaks, and its errors are taken at the reading instead of at the
/// true current.
#[test]
fn the_world_that_the_model_stands_for_gives_nearly_the_same() {
    let vectors = Vectors::read("world");
    let mut beyond = Vec::new();
    let mut compared = 0;
    for case in vectors.cases("cases", 24) {
        let (inference, names) = inferred(case);
        let singles = inference.weighed.iter().map(|one| one.probability).zip(numbers(&case["drawn"]));
        let pairs = case["pairs"].as_array().expect("a list");
        let pairs = pairs.iter().map(|pair| of_pair(pair, &inference, &names));
        let off: Vec<f64> = singles.chain(pairs).map(|(model, drawn)| (model - drawn).abs()).collect();
        let most = off.iter().copied().fold(0.0, f64::max);
        compared += off.len();
        if most > 0.02 {
            beyond.push((case["readings"].to_string(), most));
        }
    }
    assert!(compared > 500, "{compared}");
    assert!(beyond.len() <= 3 && beyond.iter().all(|(_, most)| *most < 0.06), "{beyond:?}");
}

/// Sums done by variable elimination in pgmpy, to nine digits of the densities given to it.
#[test]
fn probabilities_agree_with_a_bayesian_network() {
    let vectors = Vectors::read("posterior");
    let mut compared = 0;
    for case in vectors.cases("cases", CASES).iter().filter(|case| case["network"].is_array()) {
        for (one, expected) in inferred(case).0.weighed.iter().zip(numbers(&case["network"])) {
            agree(one.probability, expected, 0.0, tolerance(case), &case.to_string());
        }
        compared += 1;
    }
    assert!(compared >= 3, "{compared} cases");
}
