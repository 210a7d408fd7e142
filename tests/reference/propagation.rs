//! Errors that several values share: worked figures, and the examples of JCGM 100:2008, annex H.

use fusetrail::base::quantity::{Ampere, ErrorSource, Uncertain, Unit};

use super::conversion::convert;

/// Ten branches of 20 mA with limits of 5 % on the resistance: standard uncertainty 10 · 20 · 0.05/√3 = 5.8 mA if the
/// error is one, √10 · … = 1.8 mA if each has its own. The figures are printed with one and two digits.
#[test]
fn an_error_of_the_resistance_that_ten_branches_share_adds_up() {
    let relative = 0.05 / 3.0_f64.sqrt();
    let ma = Ampere::from_milli;
    let sum = |one: Uncertain<Ampere>| (1..10).fold(one.clone(), |sum, _| sum.plus(&one)).u().milli();
    let shared = sum(Uncertain::exact(ma(20.0)).with_shared(ErrorSource::new("make"), ma(20.0 * relative)));
    let own = sum(Uncertain::new(ma(20.0), ma(20.0 * relative)));
    assert!((shared - 6.0).abs() < 0.5, "{shared}");
    assert!((own - 1.8).abs() < 0.05, "{own}");
}

/// Thirty 10 A fuses read with one meter: an offset of one 0.1 mV count is in all of them, 405 mA, not √30 of it, 74.
/// 405 is rounded to 5 mA, 74 to 1 mA.
#[test]
fn one_count_of_offset_on_thirty_fuses_is_thirty_counts() {
    let one = convert(("mini", 10.0), 0.0, "tenth-mv", None, (25.0, 2.0), "cabin").current;
    let sum = (1..30).fold(one.clone(), |sum, _| sum.plus(&one));
    let offset = |of: &Uncertain<Ampere>| {
        let found = of.shared().find(|(source, _)| source.name().starts_with("zero "));
        // The meter allows two counts either way, flat: its standard uncertainty is 2/√3 counts.
        found.expect("an offset").1.milli() / (2.0 / 3.0_f64.sqrt())
    };
    assert!((offset(&sum) - 405.0).abs() < 2.5, "{}", offset(&sum));
    assert!((30.0_f64.sqrt() * offset(&one) - 74.0).abs() < 0.5);
    assert!(sum.u().milli() > offset(&sum), "{}", sum.u().milli());
}

/// Makes values whose correlations are given: the shared errors are the columns of the Cholesky factor.
fn correlated(values: [f64; 3], u: [f64; 3], [r01, r02, r12]: [f64; 3]) -> [Uncertain<Ampere>; 3] {
    let second = (1.0 - r01 * r01).sqrt();
    let cross = (r12 - r01 * r02) / second;
    let rows = [[1.0, 0.0, 0.0], [r01, second, 0.0], [r02, cross, (1.0 - r02 * r02 - cross * cross).sqrt()]];
    std::array::from_fn(|row| {
        (0..3).fold(Uncertain::exact(Ampere::new(values[row])), |value, column| {
            value.with_shared(ErrorSource::new(format!("e{column}")), Ampere::new(u[row] * rows[row][column]))
        })
    })
}

/// JCGM 100:2008, H.2: resistance, reactance and impedance from five simultaneous readings of voltage, current and
/// phase. Printed: R 127.732(71), X 219.847(295), Z 254.260(236) Ω; correlations −0.588, −0.485, 0.993.
#[test]
fn resistance_and_reactance_of_jcgm_100_h2() {
    let series = [
        [5.007, 4.994, 5.005, 4.990, 4.999],
        [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
        [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
    ];
    let means = series.map(|readings| readings.iter().sum::<f64>() / 5.0);
    let moment = |a: usize, b: usize| {
        let terms = series[a].iter().zip(&series[b]).map(|(x, y)| (x - means[a]) * (y - means[b]));
        terms.sum::<f64>() / 20.0
    };
    let u: [f64; 3] = std::array::from_fn(|i| moment(i, i).sqrt());
    let r = |a: usize, b: usize| moment(a, b) / (u[a] * u[b]);
    let inputs = correlated(means, u, [r(0, 1), r(0, 2), r(1, 2)]);
    let [v, i, phase] = means;
    let (z, cos, sin) = (v / i, phase.cos(), phase.sin());
    let outputs = [
        (z * cos, [cos / i, -z * cos / i, -z * sin]),
        (z * sin, [sin / i, -z * sin / i, z * cos]),
        (z, [1.0 / i, -z / i, 0.0]),
    ];
    let [resistance, reactance, impedance] = outputs.map(|(value, slopes)| {
        let zero = Uncertain::exact(Ampere::ZERO);
        let errors = inputs
            .iter()
            .zip(slopes)
            .fold(zero, |sum, (input, slope)| sum.plus(&input.mapped(Ampere::ZERO, slope)));
        errors.mapped(Ampere::new(value), 1.0)
    });
    let printed = [(&resistance, 127.732, 0.071), (&reactance, 219.847, 0.295), (&impedance, 254.260, 0.236)];
    for (found, value, u) in printed {
        // Half of the last digit printed; one whole for u, for 0.2956 of the reactance is printed as 0.295.
        assert!((found.value().base() - value).abs() <= 0.0005, "{}", found.value().base());
        assert!((found.u().base() - u).abs() <= 0.001, "{}", found.u().base());
    }
    let correlation =
        |a: &Uncertain<Ampere>, b: &Uncertain<Ampere>| a.covariance(b) / (a.u().base() * b.u().base());
    let correlations = [(&resistance, &reactance), (&resistance, &impedance), (&reactance, &impedance)];
    for ((a, b), printed) in correlations.iter().zip([-0.588, -0.485, 0.993]) {
        assert!((correlation(a, b) - printed).abs() <= 0.0005, "{}", correlation(a, b));
    }
}

/// JCGM 100:2008, H.3: correction of a thermometer, intercept −0.1712(29), slope 0.002 18(67), correlation −0.930;
/// at 30 °C, ten degrees from the reference, −0.1494(41).
#[test]
fn calibration_line_of_jcgm_100_h3() {
    let [intercept, slope, _] =
        correlated([-0.1712, 0.002_18, 0.0], [0.0029, 0.000_67, 0.0], [-0.930, 0.0, 0.0]);
    let at_thirty = intercept.plus(&slope.scaled(10.0));
    assert!((at_thirty.value().base() - -0.1494).abs() <= 0.000_05);
    assert!((at_thirty.u().base() - 0.0041).abs() <= 0.000_05, "{}", at_thirty.u().base());
}
