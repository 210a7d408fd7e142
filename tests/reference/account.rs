//! Least squares with bounds, and the whole account of small vehicles, against SciPy's lsq_linear.

use fusetrail::account::solve::account;
use fusetrail::numeric::bounded::minimise;
use fusetrail::quantity::{Ampere, Uncertain};
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

/// The engine solves the normal equations, SciPy the whitened rows by a QR factorisation: the square of the condition
/// number (up to 300/1 in spread) costs about 1e5 · 1e-16 of a value near one ampere; 1e-9 A is far below any meter.
#[test]
fn bounded_least_squares_agrees_with_scipy() {
    let vectors = Vectors::read("bounded");
    let mut at_bound = 0;
    for case in vectors.cases("cases", 60) {
        let (a, shared) = (matrix(&case["a"]), matrix(&case["shared"]));
        let own = DMatrix::from_diagonal(&vector(&case["own"]).map(|u| u * u));
        let covariance = own + &shared * shared.transpose();
        let weight = covariance.cholesky().expect("positive definite").inverse();
        let prior = DMatrix::from_diagonal(&vector(&case["spread"]).map(|sd| 1.0 / (sd * sd)));
        let h = a.transpose() * &weight * &a + &prior;
        let g = a.transpose() * &weight * vector(&case["y"]) + &prior * vector(&case["expected"]);
        let free: Vec<bool> =
            case["free"].as_array().expect("a list").iter().map(|one| one == true).collect();
        let solution = minimise(&h, &g, &free).expect("solved");
        for (found, expected) in solution.x.iter().zip(numbers(&case["x"])) {
            agree(*found, expected, 1e-8, 1e-9, &case.to_string());
        }
        at_bound += solution.at_bound.iter().filter(|bound| **bound).count();
    }
    assert!(at_bound > 50, "the bounds were hardly tried: {at_bound}");
}

/// Bypass heat exchanger of Narasimhan and Jordache (2000), table 1.1 (figures from memory): six flows, streams 1 = 2 +
/// 3, 2 = 4, 3 = 5, 4 + 5 = 6, standard deviation 1 each. Two flows are left free by the balances. Printed to two
/// decimals: half of the last one, 0.01 for chi-square, which is made of rounded flows.
#[test]
fn balanced_flows_of_the_bypass_heat_exchanger() {
    let read = DVector::from_vec(vec![101.91, 64.45, 34.65, 64.20, 36.44, 98.88]);
    let balance = DMatrix::from_row_slice(6, 2, &[1., 1., 1., 0., 0., 1., 1., 0., 0., 1., 1., 1.]);
    let h = balance.transpose() * &balance;
    let g = balance.transpose() * &read;
    let solution = minimise(&h, &g, &[false, false]).expect("solved");
    let flows = &balance * &solution.x;
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
        for (claim, expected) in
            vehicle.observed.claims.iter().zip(case["claims_ma"].as_array().expect("a list"))
        {
            same(&claim.current, expected, &what);
        }
        let found = account(&vehicle.observed.claims, &vehicle.panel).expect("solved");
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
