//! The ledger's average against numpy's trapezoidal rule.

use fusetrail::base::quantity::{Ampere, Minute};
use fusetrail::trace::samples::Trace;
use fusetrail::trace::settle::{Rules, settle};

use crate::vectors::{Vectors, agree, number, numbers};

/// Nights of the script.
const CASES: usize = 12;

#[test]
fn the_average_of_a_night_is_that_of_the_trapezoidal_rule() {
    for case in Vectors::read("trapezoid").cases("cases", CASES) {
        let samples = numbers(&case["seconds"]).into_iter().zip(numbers(&case["ma"]));
        let samples = samples.map(|(time, ma)| (Minute::new(time / 60.0), Ampere::from_milli(ma)));
        let found =
            settle(Trace::new(samples.collect::<Vec<_>>(), Ampere::from_milli(0.1)), &Rules::default());
        assert!(
            found.is_settled() && found.after == Some(Minute::ZERO),
            "{:?} {:?}",
            found.verdict,
            found.after
        );
        let average = found.average.as_ref().expect("an average").value();
        // Sums of 600 products in another order.
        agree(average.milli(), number(case, "average"), 1e-9, 0.0, "the average");
        agree(found.ledger.day(), number(case, "average") * 24e-3, 1e-9, 0.0, "the ledger's sum");
        assert!(found.ledger.lines.len() > 1, "{:?}", found.ledger);
    }
}
