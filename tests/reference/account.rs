//! Least squares with bounds, and the whole account of small vehicles, against SciPy's lsq_linear.

use std::sync::Arc;

use fusetrail::balance::summed::account;
use fusetrail::base::numeric::bounded::{BoundedProblem, Solution};
use fusetrail::base::numeric::loads::{Alike, Component, Loads};
use fusetrail::base::numeric::sparse::Sparse;
use fusetrail::base::quantity::{Ampere, Uncertain};
use nalgebra::{DMatrix, DVector};
use serde_json::Value;

use super::vectors::{Vectors, agree, numbers};
use super::vehicles::vehicle;

fn matrix(value: &Value) -> DMatrix<f64> {
    let rows: Vec<Vec<f64>> = value.as_array().expect("rows").iter().map(numbers).collect();
    DMatrix::from_fn(rows.len(), rows[0].len(), |row, column| rows[row][column])
}

fn vector(value: &Value) -> DVector<f64> {
    DVector::from_vec(numbers(value))
}

/// Entries of a row that are not zero.
fn sparse(matrix: &DMatrix<f64>, row: usize) -> Sparse {
    matrix.row(row).iter().copied().enumerate().filter(|(_, load)| *load != 0.0).collect()
}

/// Solves readings with errors of their own and shared ones, and expectations with these standard deviations.
fn minimise(
    (a, read): (&DMatrix<f64>, &DVector<f64>),
    (own, shared): (&DVector<f64>, &DMatrix<f64>),
    (expected, spread): (&DVector<f64>, &DVector<f64>),
    free: &[bool],
) -> Solution {
    let component = |at: usize| Component { own: own[at].powi(2), place: at, common: sparse(shared, at) };
    let rows: Vec<Sparse> = (0..a.nrows()).map(|at| sparse(a, at)).collect();
    let alike = Alike::new(&rows, a.ncols());
    let components: Vec<Component> = (0..a.nrows()).map(component).collect();
    let loads = Loads::new(components, &alike.rows, alike.count, shared.ncols()).expect("errors");
    let (loads, places) = (Arc::new(loads), (0..a.nrows()).collect::<Vec<usize>>());
    let variances = spread.map(|sd| sd * sd);
    let problem = BoundedProblem {
        loads: &loads,
        places: &places,
        alike: &alike,
        read,
        expected: expected.as_slice(),
        variances: variances.as_slice(),
        free,
    };
    problem.minimise(&vec![true; a.ncols()]).expect("solved")
}

/// The engine solves the dual, SciPy the whitened rows by a QR factorisation: the square of the condition number (up to
/// 300/1 in spread) costs about 1e5 · 1e-16 of a value near one ampere; 1e-9 A is far below any meter.
#[test]
fn bounded_least_squares_agrees_with_scipy() {
    let vectors = Vectors::read("bounded");
    let mut at_bound = 0;
    for case in vectors.cases("cases", 60) {
        let free: Vec<bool> =
            case["free"].as_array().expect("a list").iter().map(|one| one == true).collect();
        let solution = minimise(
            (&matrix(&case["a"]), &vector(&case["y"])),
            (&vector(&case["own"]), &matrix(&case["shared"])),
            (&vector(&case["expected"]), &vector(&case["spread"])),
            &free,
        );
        for (found, expected) in solution.x.iter().zip(numbers(&case["x"])) {
            agree(*found, expected, 1e-8, 1e-9, &case.to_string());
        }
        at_bound += solution.passive.iter().filter(|passive| !**passive).count();
    }
    assert!(at_bound > 50, "the bounds were hardly tried: {at_bound}");
}

/// Bypass heat exchanger of Narasimhan and Jordache (2000), table 1.1 (figures from memory): six flows, streams 1 = 2 +
/// 3, 2 = 4, 3 = 5, 4 + 5 = 6, standard deviation 1 each. Two flows are left free by the balances; that nothing is
/// expected of them is written as a deviation of 100,000. Printed to two decimals: half of the last one, 0.01 for
/// chi-square, which is made of rounded flows.
#[test]
fn balanced_flows_of_the_bypass_heat_exchanger() {
    let read = DVector::from_vec(vec![101.91, 64.45, 34.65, 64.20, 36.44, 98.88]);
    let balance = DMatrix::from_row_slice(6, 2, &[1., 1., 1., 0., 0., 1., 1., 0., 0., 1., 1., 1.]);
    let errors = (&DVector::from_element(6, 1.0), &DMatrix::zeros(6, 0));
    let nothing = (&DVector::zeros(2), &DVector::from_element(2, 1e5));
    let solution = minimise((&balance, &read), errors, nothing, &[false, false]);
    let flows = &balance * DVector::from_vec(solution.x);
    for (found, printed) in flows.iter().zip([100.22, 64.50, 35.72, 64.50, 35.72, 100.22]) {
        assert!((found - printed).abs() <= 0.005, "{found} instead of {printed}");
    }
    let statistic = (&read - &flows).norm_squared();
    assert!((statistic - 6.41).abs() <= 0.01, "{statistic}");
}

/// Ends to be compared in milliampere. 1e-5 of a value and 1e-5 mA: the engine's rounded noise constant is 5e-7 of an
/// uncertainty, and a tightly held branch multiplies that.
fn same(found: &Uncertain<Ampere>, expected: &Value, what: &str) {
    let [value, u] = numbers(expected)[..] else { panic!("two numbers: {expected}") };
    agree(found.value().milli(), value, 1e-5, 1e-5, what);
    agree(found.u().milli(), u, 1e-5, 1e-5, what);
}

#[test]
fn the_account_of_small_vehicles_agrees_with_scipy() {
    let vectors = Vectors::read("account");
    for case in vectors.cases("cases", 40) {
        let what = case.to_string();
        let vehicle = vehicle(case);
        for (observation, expected) in
            vehicle.observed.observations.iter().zip(case["claims_ma"].as_array().expect("a list"))
        {
            same(&observation.current, expected, &what);
        }
        let found = account(&vehicle.observed.observations, &vehicle.panel).expect("solved");
        same(&found.total.expect("a total"), &case["total_ma"], &what);
        same(&found.placed, &case["placed_ma"], &what);
        same(&found.unplaced.expect("a total"), &case["unplaced_ma"], &what);
        for (index, line) in found.feeds.iter().enumerate() {
            same(&line.current, &case["feeds_ma"][index], &format!("{} of {what}", line.id));
            same(&line.own, &case["own_ma"][index], &format!("{} itself of {what}", line.id));
        }
        for (index, line) in found.unfused.iter().enumerate() {
            same(&line.own, &case["unfused_ma"][index], &format!("{} of {what}", line.id));
        }
    }
}
