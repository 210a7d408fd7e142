//! A motorcycle at milliamperes: what is little there is looked for to the end, with an ammeter in series and no clamp on a
//! small fuse.

use crate::bench::Bench;
use fusetrail::balance::verdict::DrawVerdict;
use fusetrail::circuit::builtin;
use fusetrail::measure::kind::MeasurementKind;
use fusetrail::plan::proposal::Stop;

fn in_series(total: &str) -> Bench {
    let map = builtin::MAPS.iter().find(|known| known.name == "motorcycle").expect("built in");
    let mut bench = Bench::on(map.text);
    let answers = [("hook-up.method", "series"), ("total.reading", total), ("total.within", "on")];
    bench.until("trail.reading", &answers);
    bench
}

#[test]
fn a_draw_within_a_millivolt_of_nothing_is_judged_on_its_own_scale() {
    let verdict = |total: &str| {
        let map = builtin::MAPS.iter().find(|known| known.name == "motorcycle").expect("built in");
        let mut bench = Bench::on(map.text);
        bench.until("total.reading", &[("hook-up.method", "series")]).answer("total.reading", total);
        bench.analysis().verdict
    };
    assert_eq!(verdict("0.92 mA"), Some(DrawVerdict::Within));
    assert_eq!(verdict("2.40 mA"), Some(DrawVerdict::Over));
    assert_eq!(verdict("12.4 mA"), Some(DrawVerdict::Over));
}

#[test]
fn milliamperes_that_add_up_are_searched_to_the_end() {
    // The alarm draws 2.6 mA too much, a charger left in the socket 2.4; the rest is as the map has it.
    let mut bench = in_series("6.40 mA");
    bench.enter("pull F7 6.40mA 3.31mA");
    let after_first = bench.analysis();
    assert_eq!(after_first.plan().stop, Stop::Open, "3.3 mA are left of 1.5 allowed");
    bench.enter("pull F8 3.31mA 0.90mA");
    let both = bench.analysis();
    let named: Vec<&str> = both
        .ranking()
        .suspects
        .iter()
        .filter(|suspect| suspect.probability > 0.9)
        .map(|suspect| suspect.id.as_str())
        .collect();
    assert!(named.contains(&"F7") && named.contains(&"F8"), "{named:?}");
    assert!(both.ranking().nothing_wrong < 0.01);
}

#[test]
fn no_clamp_is_proposed_on_a_small_fuse_and_the_regulator_is_read_by_its_plug() {
    let bench = in_series("9.20 mA");
    let analysis = bench.analysis();
    let of = |action: MeasurementKind| -> Vec<String> {
        let all = analysis.plan().readings.iter().filter(|one| one.action == action);
        all.filter_map(|one| one.at.clone()).collect()
    };
    assert!(of(MeasurementKind::Clamp).iter().all(|at| at == "MAIN"), "{:?}", of(MeasurementKind::Clamp));
    assert!(!of(MeasurementKind::Pull).is_empty());
    let plugs = of(MeasurementKind::Unplug);
    assert!(plugs.contains(&"regulator rectifier/output plug".to_owned()), "{plugs:?}");
}

#[test]
fn a_regulator_whose_plug_takes_nothing_off_is_acquitted() {
    let probability = |bench: &Bench| {
        let analysis = bench.analysis();
        let suspects = &analysis.ranking().suspects;
        let found = suspects.iter().find(|suspect| suspect.id == "regulator rectifier");
        found.map_or(0.0, |suspect| suspect.probability)
    };
    let mut bench = in_series("9.20 mA");
    let before = probability(&bench);
    bench.enter("unplug regulator rectifier/output plug 9.20mA 9.15mA");
    assert!(before > 0.03 && probability(&bench) < before / 5.0, "{before} then {}", probability(&bench));
}
