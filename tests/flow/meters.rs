//! Each reading is judged with the error of the meter that it was read with: a clamp, an ammeter in series and a
//! millivolt meter are told apart, each by its last digit, where it first matters.

use crate::bench::Bench;
use fusetrail::circuit::builtin;
use fusetrail::measure::observation::Scope;

fn bench(map: &str) -> Bench {
    Bench::on(builtin::MAPS.iter().find(|known| known.name == map).expect("built in").text)
}

/// Standard uncertainty of the settled total, in mA.
fn spread(bench: &Bench) -> f64 {
    bench.analysis().total.as_ref().expect("a total").u().milli()
}

#[test]
fn a_total_in_series_has_the_ammeters_error_and_not_the_clamps() {
    let by = |method: &str| {
        let mut bench = bench("motorcycle");
        bench.until("total.reading", &[("hook-up.method", method)]);
        bench.answer("total.reading", "12.4 mA");
        spread(&bench)
    };
    assert!(by("clamp") > 2.0, "five counts of 1 mA: {}", by("clamp"));
    assert!(by("series") < 1.1, "what the vehicle wanders by itself is left: {}", by("series"));
    assert!(by("series") < by("series-10a") && by("series-10a") < by("clamp"));
    assert!(by("clamp") < by("clamp-10ma"));
}

#[test]
fn a_clamp_on_a_cable_keeps_its_own_error_where_the_total_is_in_series() {
    let mut bench = bench("hatch");
    bench.until("trail.reading", &[("hook-up.method", "series"), ("total.reading", "482")]);
    bench.enter("clamp L2 300mA");
    let analysis = bench.analysis();
    let of = |wanted: fn(&Scope) -> bool| {
        analysis.observed.observations.iter().find(|one| wanted(&one.scope)).expect("read").floor.milli()
    };
    assert!(of(|scope| matches!(scope, Scope::Through(_))) > 5.0);
    assert!(bench.record().contains("series-ma"), "the record names it");
}

#[test]
fn the_clamp_is_asked_for_before_the_first_cable_where_the_total_is_in_series() {
    let mut bench = bench("hatch");
    bench.until("hook-up.clamp", &[("hook-up.method", "series"), ("total.reading", "482")]);
    bench.answer("hook-up.clamp", "10ma");
    assert_eq!(bench.case().clamp().name, "clamp-10ma");
    assert_eq!(bench.case().ammeter().name, "series-ma", "the total stays in series");
    assert!(bench.open().expect("goes on").id.to_string() == "trail.reading");
}

#[test]
fn the_digits_of_the_zero_name_the_millivolt_meter() {
    let named = |zero: &str| {
        let mut bench = bench("hatch");
        bench.until("hook-up.zero", &[]);
        bench.answer("hook-up.zero", zero);
        bench.case().meter().name.clone()
    };
    assert_eq!(named("0.02"), "hundredth-mv");
    assert_eq!(named("0.00"), "hundredth-mv");
    assert_eq!(named("0.1"), "tenth-mv");
    assert_eq!(named("0"), "tenth-mv", "a bare nought has no digits");
}

#[test]
fn a_meter_taken_back_is_gone_with_its_answer() {
    let mut bench = bench("motorcycle");
    bench.until("hook-up.method", &[]);
    bench.answer("hook-up.method", "series");
    assert_eq!(bench.case().ammeter().name, "series-ma");
    let id = bench.open().expect("goes on").id.to_string();
    bench.answer(&id, "back");
    assert_eq!(bench.case().ammeter().name, "clamp-1ma");
}
