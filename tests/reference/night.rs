//! What a meter log says of a draw that comes and goes, against brute force.

use fusetrail::base::quantity::Ampere;
use fusetrail::infer::infer;
use fusetrail::infer::night::NightEvidence;
use fusetrail::infer::weight::Background;
use fusetrail::measure::observation::Panel;
use fusetrail::measure::sighting::{Sighting, SightingPlace};
use serde_json::Value;

use super::posterior::{name, tolerance};
use super::vectors::{Vectors, agree, numbers};
use super::vehicles::vehicle;

/// Vehicles of the script.
const CASES: usize = 16;

fn log(case: &Value, panel: &Panel) -> NightEvidence {
    let found = case["log"].as_array().expect("findings").iter().map(|one| {
        let [of, word] = [0, 1].map(|at: usize| one[at].as_str().expect("a text"));
        let group = || panel.map.wake_groups.iter_ids().find(|(_, group)| group.id == of);
        let at = SightingPlace::find(of, panel).or_else(|| group().map(|(id, _)| SightingPlace::Group(id)));
        Sighting { entry: 1, at: at.expect("a place"), found: word.to_owned() }
    });
    NightEvidence { is_woken: true, found: found.collect(), ..NightEvidence::default() }
}

#[test]
fn what_comes_and_goes_agrees_with_brute_force_enumeration() {
    let vectors = Vectors::read("night");
    let (mut spread, mut told) = (0.0, 0);
    for case in vectors.cases("cases", CASES) {
        let vehicle = vehicle(case);
        let background = Background {
            limit: case["limit_ma"].as_f64().map(Ampere::from_milli),
            night: log(case, &vehicle.panel),
            ..Background::default()
        };
        told += background.night.found.len();
        let found = infer(&vehicle.observed.observations, &vehicle.panel, &background).expect("a covariance");
        let names: Vec<String> =
            found.weighed.iter().map(|one| name(one.hypothesis.cause, &vehicle.panel)).collect();
        let expected: Vec<&str> =
            case["causes"].as_array().expect("a list").iter().filter_map(Value::as_str).collect();
        assert_eq!(names, expected, "{case}");
        // What is away outweighs the rest up to five hundred times: so does an error of it.
        let most = 500.0 * tolerance(case);
        for (one, now) in found.weighed.iter().zip(numbers(&case["now"])) {
            agree(one.probability, now, 0.0, most, &case.to_string());
        }
        for (one, away) in found.away.iter().zip(numbers(&case["away"])) {
            agree(*one, away, 0.0, most, &case.to_string());
            spread += away;
        }
    }
    assert!(told > 60 && spread > 5.0, "{told} findings, {spread} away");
}
