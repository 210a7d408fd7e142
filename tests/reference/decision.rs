//! Decisions under uncertainty, JCGM 106:2012.

use fusetrail::balance::verdict::{DrawVerdict, conformance, judge};
use fusetrail::base::numeric::density::{ln_normal, normal_below};
use fusetrail::base::quantity::{Ampere, Uncertain};

use super::vectors::{Vectors, agree, number};

fn draw(value: f64, u: f64) -> Uncertain<Ampere> {
    Uncertain::new(Ampere::new(value), Ampere::new(u))
}

/// 7.4: 13.6 with u 1.8 against 12.5 to 16.3 conforms with probability 0.6626; half of the last digit.
#[test]
fn a_value_within_two_limits_conforms_as_printed() {
    let y = draw(13.6, 1.8);
    let p = conformance(&y, Ampere::new(16.3)) - conformance(&y, Ampere::new(12.5));
    assert!((p - 0.6626).abs() <= 0.000_05, "{p}");
}

/// One-sided guard band of 1.645 u about a limit of 50 with u 3: by hand 45.065 and 54.935.
#[test]
fn draws_about_a_limit_are_judged_as_by_hand() {
    let cases = [
        (57.0, DrawVerdict::Over),
        (55.5, DrawVerdict::Over),
        (54.936, DrawVerdict::Over),
        (54.934, DrawVerdict::Undecided),
        (54.0, DrawVerdict::Undecided),
        (46.0, DrawVerdict::Undecided),
        (45.066, DrawVerdict::Undecided),
        (45.064, DrawVerdict::Within),
        (44.5, DrawVerdict::Within),
        (44.0, DrawVerdict::Within),
    ];
    for (value, verdict) in cases {
        assert_eq!(judge(&draw(value, 3.0), Ampere::new(50.0)), verdict, "{value}");
    }
}

/// The probability and its verdict against SciPy's normal distribution. 1e-12: both claim full precision, and the
/// far tail is compared relative to itself.
#[test]
fn conformance_is_that_of_scipy() {
    let vectors = Vectors::read("decision");
    for case in vectors.cases("cases", 100) {
        let y = draw(number(case, "draw"), number(case, "u"));
        let limit = Ampere::new(number(case, "limit"));
        let p = number(case, "within");
        agree(conformance(&y, limit), p, 1e-9, 1e-15, &case.to_string());
        let verdict = if p >= 0.95 {
            DrawVerdict::Within
        } else if p <= 0.05 {
            DrawVerdict::Over
        } else {
            DrawVerdict::Undecided
        };
        // 1.645 is rounded up from 1.64485: the script keeps its cases away from that sliver.
        assert_eq!(judge(&y, limit), verdict, "{case}");
    }
}

/// Risks of a guard band: limits 1499.8 to 1500.2 Ω, process N(1500, 0.12), u 0.04, acceptance 1499.82 to 1500.18.
/// Consumer's risk 0.00988, producer's 0.0690 (SciPy, double integral); half of the last digit.
#[test]
fn risks_of_consumer_and_producer_are_those_of_scipy() {
    let (mut consumer, mut producer) = (0.0, 0.0);
    let step = 1e-4;
    for k in -12_000_i32..=12_000 {
        let off = f64::from(k) * step;
        let density = ln_normal(off, 0.0, 0.12 * 0.12).exp() * step;
        let accepted = normal_below((0.18 - off) / 0.04) - normal_below((-0.18 - off) / 0.04);
        // The limits fall on steps; half of such a step lies on either side.
        let good = match k.abs() {
            0..2000 => 1.0,
            2000 => 0.5,
            _ => 0.0,
        };
        consumer += density * accepted * (1.0 - good);
        producer += density * (1.0 - accepted) * good;
    }
    assert!((consumer - 0.009_88).abs() <= 0.000_005, "{consumer}");
    assert!((producer - 0.0690).abs() <= 0.000_05, "{producer}");
}
