//! Wake-ups of a series that come in a time, against numerical integration (SciPy), a Monte Carlo (NumPy), and what they
//! do to the causes against brute force.

use fusetrail::base::numeric::renewal::Renewal;

use super::posterior::agrees_with_brute_force;
use super::vectors::{Vectors, agree, number, numbers};

/// A normal interval is below zero once in 1,200,000 at the largest jitter here; engine and integral put that little aside
/// differently: 1e-7. What was played lies within five standard deviations of its rounds, and two rounds.
#[test]
fn wake_ups_in_a_time_are_those_of_the_integral_and_of_the_play() {
    let vectors = Vectors::read("renewal");
    for case in vectors.cases("cases", 30) {
        let [period, jitter, missed] = ["period", "jitter", "missed"].map(|key| number(case, key));
        let series = Renewal { period, jitter, missed };
        let rounds = number(case, "rounds");
        let pairs = numbers(&case["seen"]).into_iter().zip(numbers(&case["played"]));
        for (came, (expected, played)) in (0..).zip(pairs) {
            let found = series.seen(came, number(case, "time"));
            agree(found, expected, 0.0, 1e-7, &format!("{came} of {case}"));
            let room = 5.0 * (expected * (1.0 - expected) / rounds).sqrt() + 2.0 / rounds;
            agree(found, played, 0.0, room, &format!("{came} played of {case}"));
        }
    }
}

#[test]
fn causes_after_a_time_out_agree_with_brute_force_enumeration() {
    let vectors = Vectors::read("renewal");
    for case in vectors.cases("times_out", 5) {
        agrees_with_brute_force(case);
    }
}
