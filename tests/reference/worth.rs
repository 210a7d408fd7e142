//! What a reading is worth in bits, against Monte Carlo and against integration over a grid.

use fusetrail::plan::forecast::Forecast;
use fusetrail::plan::worth::bits;
use serde_json::Value;

use super::vectors::{Vectors, number, numbers};

fn of_case(case: &Value) -> f64 {
    let parts = case["parts"].as_array().expect("a list").iter().map(|part| {
        let [cause, weight, mean, sd] = numbers(part)[..] else { panic!("four numbers: {part}") };
        Forecast { hypothesis: cause as usize, weight, mean, variance: sd * sd }
    });
    let classes: Vec<usize> = numbers(&case["class_of"]).iter().map(|class| *class as usize).collect();
    bits(&parts.collect::<Vec<_>>(), &classes)
}

/// Nodes for each normal part and parts that are taken as one cost some accuracy; a plan ranks readings by bits per
/// minute and leaves out what is worth less than 0.03 bits, so an error of 0.01 bits decides nothing.
#[test]
fn expected_information_agrees_with_monte_carlo() {
    let vectors = Vectors::read("worth");
    let mut farthest = 0.0_f64;
    for case in vectors.cases("cases", 30) {
        let found = of_case(case);
        let drawn = number(case, "drawn");
        let error = number(case, "drawn_error");
        assert!((number(case, "grid") - drawn).abs() < 4.5 * error, "the two references disagree: {case}");
        let apart = (found - drawn).abs();
        farthest = farthest.max(apart);
        assert!(apart < 0.01 + 4.0 * error, "{found} instead of {drawn}: {case}");
    }
    assert!(farthest > 0.0, "nothing was compared");
}
