//! The cut against PyPI `ruptures`, frozen by `tests/reference/scripts/segment.py`.

use std::path::PathBuf;

use fusetrail::trace::segment::partition;
use serde::Deserialize;

#[derive(Deserialize)]
struct File {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    scale: f64,
    penalty: f64,
    starts: Vec<usize>,
    objective: f64,
    values: Vec<i32>,
}

/// Sum of squares about the levels plus the penalty for each change, in the plainest way.
fn cost(values: &[f64], starts: &[usize], penalty: f64) -> f64 {
    let mut sum = penalty * (starts.len() as f64 - 1.0);
    for (at, start) in starts.iter().enumerate() {
        let part = &values[*start..starts.get(at + 1).copied().unwrap_or(values.len())];
        let mean = part.iter().sum::<f64>() / part.len() as f64;
        sum += part.iter().map(|value| (value - mean).powi(2)).sum::<f64>();
    }
    sum
}

#[test]
fn the_cut_costs_what_another_programs_cut_costs_and_is_the_same_unless_tied() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference/vectors/segment.json");
    let text = std::fs::read_to_string(path).expect("the vectors");
    let file: File = serde_json::from_str(&text).expect("vectors");
    assert_eq!(file.cases.len(), 201, "200 traces and the Nile series");
    let mut tied = 0;
    for (number, case) in file.cases.iter().enumerate() {
        let values: Vec<f64> = case.values.iter().map(|value| f64::from(*value) * case.scale).collect();
        let ours = partition(values.iter().map(|value| (*value, 1.0)), case.penalty);
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * b.max(1.0);
        assert!(near(ours.objective, case.objective), "case {number}: {} {}", ours.objective, case.objective);
        assert!(
            near(cost(&values, &ours.starts, case.penalty), case.objective),
            "case {number}: says one, is another"
        );
        // Different points at the same cost are a tie, which the two lines above have shown it to be.
        tied += usize::from(ours.starts != case.starts);
    }
    assert!(tied <= 20, "{tied} ties among traces in steps of 0.01: too many to be ties");
}

/// Flow of the Nile 1871 to 1970: one change, after 1898 (index 28), and what squares are left about the two means.
#[test]
fn the_nile_changed_once_after_1898() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference/vectors/segment.json");
    let file: File =
        serde_json::from_str(&std::fs::read_to_string(path).expect("the vectors")).expect("vectors");
    let nile: Vec<f64> =
        file.cases.last().expect("cases").values.iter().map(|value| f64::from(*value)).collect();
    assert!((cost(&nile, &[0], 0.0) - 2_835_156.75).abs() < 0.005);
    let found = partition(nile.iter().map(|value| (*value, 1.0)), 400_000.0);
    assert_eq!(found.starts, [0, 28]);
    assert!((cost(&nile, &found.starts, 0.0) - 1_597_457.19).abs() < 0.005);
    let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
    assert!((mean(&nile[..28]) - 1097.75).abs() < 0.005 && (mean(&nile[28..]) - 849.97).abs() < 0.005);
}
