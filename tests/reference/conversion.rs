//! Conversion intervals against Monte Carlo (JCGM 101:2008) and against the package `uncertainties`.

use fusetrail::base::quantity::{Ampere, Celsius, Typed, Uncertain, Unit, Volt};
use fusetrail::circuit::fuse::Family;
use fusetrail::circuit::fuse_table::FuseTable;
use fusetrail::circuit::map::FuseSpec;
use fusetrail::circuit::meters;
use fusetrail::instrument::uncertainty::Zero;
use fusetrail::measure::convert::{Converted, Fuse, current_of_drop};
use serde_json::Value;

use super::vectors::{Vectors, agree, number, numbers, text};

/// The same formula in the same arithmetic; the engine writes half a count over √3 with six digits (0.288 675), which
/// is 5e-7 of itself.
const ROUNDING: f64 = 1e-6;

/// Converts one reading; `place` names the box.
pub fn convert(
    (family, rating): (&str, f64),
    drop_mv: f64,
    meter: &str,
    zero_mv: Option<f64>,
    (celsius, u): (f64, f64),
    place: &str,
) -> Converted {
    let table = FuseTable::builtin();
    let family = Family::from_name(family).expect("a family");
    let rating = Ampere::new(rating);
    let resistance =
        table.resistance(&FuseSpec { family, rating, own_resistance: None }).expect("has a figure");
    let fuse = Fuse { family, rating, resistance, place: place.to_owned() };
    let meter = meters::find(meter, true).expect("a meter");
    let shown = Typed::measured(Volt::from_milli(drop_mv), meter.resolution, "");
    let zero = zero_mv.map(|offset| Zero { entry: 2, offset: Volt::from_milli(offset) });
    let at = Uncertain::new(Celsius::new(celsius), Celsius::new(u));
    current_of_drop(&shown, &meter, zero, &fuse, &at, table)
}

fn of_case(case: &Value) -> Converted {
    convert(
        (text(case, "family"), number(case, "rating_a")),
        number(case, "drop_mv"),
        text(case, "meter"),
        case["zero_mv"].as_f64(),
        (number(case, "celsius"), number(case, "u_celsius")),
        "cabin",
    )
}

#[test]
fn value_and_uncertainty_are_those_of_the_uncertainties_package() {
    let vectors = Vectors::read("conversion");
    for case in vectors.cases("cases", 600) {
        let found = of_case(case);
        let what = case.to_string();
        agree(found.resistance.milli(), resistance_at(case), ROUNDING, 0.0, &what);
        agree(found.current.value().milli(), number(case, "value_ma"), ROUNDING, 1e-9, &what);
        agree(found.current.u().milli(), number(case, "u_ma"), ROUNDING, 0.0, &what);
    }
}

fn resistance_at(case: &Value) -> f64 {
    number(case, "r25_mohm") * (1.0 + 0.0038 * (number(case, "celsius") - 25.0))
}

/// Zero, gain, box temperature and make are shared where they should be, and nowhere else.
#[test]
fn two_readings_correlate_as_in_the_uncertainties_package() {
    let vectors = Vectors::read("conversion");
    for case in vectors.cases("pairs", 24) {
        let at = (number(case, "celsius"), number(case, "u_celsius"));
        let second_box = if case["same_box"] == true { "cabin" } else { "bay" };
        let one = |key: &str, place: &str| {
            let fuse = (case[key][0].as_str().expect("a family"), case[key][1].as_f64().expect("a rating"));
            let drop = case[key][2].as_f64().expect("a drop");
            convert(fuse, drop, text(case, "meter"), case["zero_mv"].as_f64(), at, place).current
        };
        let (a, b) = (one("first", "cabin"), one("second", second_box));
        let what = case.to_string();
        for (found, expected) in [&a, &b].iter().zip(numbers(&case["u_ma"])) {
            agree(found.u().milli(), expected, ROUNDING, 0.0, &what);
        }
        let correlation = a.covariance(&b) / (a.u().base() * b.u().base());
        agree(correlation, number(case, "correlation"), ROUNDING, 0.0, &what);
        agree(a.plus(&b).u().milli(), number(case, "u_sum_ma"), ROUNDING, 0.0, &what);
        agree(a.minus(&b).u().milli(), number(case, "u_difference_ma"), ROUNDING, 0.0, &what);
    }
}

/// The standard uncertainty is that of the full model: first order leaves out products of errors, which add half the
/// square of the relative uncertainty of the resistance: 0.19²/2 = 1.8 % for the widest (blade 40 A, whose legs
/// alone are a quarter of it) here; the Monte Carlo figure itself is good to 0.1 %.
#[test]
fn the_standard_uncertainty_is_that_of_monte_carlo() {
    let vectors = Vectors::read("conversion");
    for case in vectors.cases("cases", 600) {
        let found = of_case(case).current.u().milli();
        agree(found, number(case, "mc_u_ma"), 0.019, 0.0, &case.to_string());
    }
}

/// What the interval promises: it holds 95 % of the values that the errors allow. Tolerance: at most 0.5 % of the
/// values fewer (Monte Carlo error with 10⁶ draws: 0.02 %). More than 95 % is due to flat errors, which end sooner
/// than normal ones of the same standard uncertainty: a single flat one is held whole from 1.73 u on.
#[test]
fn the_interval_holds_its_share_of_the_monte_carlo_values() {
    let vectors = Vectors::read("conversion");
    for case in vectors.cases("cases", 600) {
        let inside = number(case, "mc_inside");
        assert!(inside >= 0.945, "{inside}: {case}");
        let flat = number(case, "flat_share");
        assert!(inside <= if flat < 0.3 { 0.956 } else { 0.985 }, "{inside}: {case}");
    }
}

/// The ends one by one, by the clause's own tolerance: δ is half of the last of one significant digit of u
/// (JCGM 101:2008, 7.9.2 and 8.1). The symmetric first-order interval is not validated by it everywhere, and is not
/// expected to be: these cases are listed by reason, and their number is fixed so that none creeps in or out.
#[test]
fn the_ends_agree_within_the_numerical_tolerance_or_for_a_known_reason() {
    let vectors = Vectors::read("conversion");
    let (mut wider, mut shifted) = (0, 0);
    let mut farthest = 0.0_f64;
    for case in vectors.cases("cases", 600) {
        let found = of_case(case).current;
        let u = found.u().milli();
        let below = number(case, "mc_low_ma") - found.low().milli();
        let above = found.high().milli() - number(case, "mc_high_ma");
        let apart = below.abs().max(above.abs());
        farthest = farthest.max(apart / u);
        if apart <= numerical_tolerance(u) {
            continue;
        }
        if below > 0.0 && above > 0.0 {
            // A flat error has most of the variance: the true interval is shorter, ours is the wider one.
            wider += 1;
        } else if below * above < 0.0 {
            // Errors of drop and resistance multiply: the true interval is shifted away from zero.
            shifted += 1;
        } else {
            panic!("shorter than the true interval at both ends: {case}");
        }
    }
    assert_eq!([wider, shifted], EXPECTED_OUTSIDE, "wider, shifted");
    // 0.4 u is 20 % of the half-width; the farthest is a blade 40 A, of whose resistance the legs are a quarter.
    assert!(farthest < 0.4, "{farthest} u");
}

/// Cases outside δ, of 660: ours wider because of a flat error, ours not shifted away from zero.
const EXPECTED_OUTSIDE: [i32; 2] = [101, 204];

fn numerical_tolerance(u: f64) -> f64 {
    let one_digit: f64 = format!("{u:.0e}").parse().expect("a number");
    0.5 * 10.0_f64.powf(one_digit.log10().floor())
}
