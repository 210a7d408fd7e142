//! What matters against the limit: a draw that the map doesn't know, and that leaves the vehicle within its limit, accuses
//! nobody. All vehicles are invented.

use crate::bench::Bench;
use fusetrail::hunt::analysis::Analysis;
use fusetrail::infer::leader::LeaderKind;
use std::rc::Rc;

/// A lid that tells little: what hangs on it draws by the catalogue.
const LID: &str = "
format: fusetrail-map/1
title: invented tipper, as its lid tells
class: truck
system_v: 24
limit_ma: 80
boxes: {cab: {where: behind the footwell cover}}
feeds:
  - {id: K1, from: battery, box: cab, fuse: {family: blade, rating_a: 5}, loads: [{name: instrument cluster}]}
  - {id: K2, from: battery, box: cab, fuse: {family: blade, rating_a: 5}, loads: [{name: tachograph}]}
  - {id: K3, from: battery, box: cab, fuse: {family: blade, rating_a: 5}, loads: [{name: telematics unit}]}
  - {id: K4, from: battery, box: cab, fuse: {family: blade, rating_a: 10}, loads: [{name: beacon}]}
  - {id: K5, from: battery, box: cab, fuse: {family: blade, rating_a: 10}, loads: [{name: cab control module}]}
";

fn read(lines: &[&str]) -> Rc<Analysis> {
    let mut bench = Bench::on(LID);
    for line in lines {
        bench.enter(line);
    }
    bench.analysis()
}

fn probability(analysis: &Analysis, branch: &str) -> f64 {
    let found = analysis.ranking().suspects.iter().find(|one| one.id == branch);
    found.map_or(0.0, |found| found.probability)
}

#[test]
fn within_its_limit_a_draw_that_the_map_misses_accuses_nobody() {
    let analysis = read(&["zero 0.0", "total 52", "clamp K1 26", "K2 0.3", "K3 0.2", "K4 0.0"]);
    assert!(probability(&analysis, "K1") > 0.6, "it does draw more than the map says");
    let leaders = analysis.ranking().leaders(&analysis.panel);
    assert_eq!(leaders[0].kind, LeaderKind::Nothing, "{leaders:?}");
    assert!(leaders[0].probability > 0.9, "{leaders:?}");
    assert!(analysis.ranking().also(&analysis.panel).is_empty(), "{leaders:?}");
}

#[test]
fn over_its_limit_the_same_draw_leads() {
    let analysis = read(&["limit 40mA service information", "total 52", "clamp K1 26", "K2 0.3", "K3 0.2"]);
    let leaders = analysis.ranking().leaders(&analysis.panel);
    assert_eq!((leaders[0].kind, leaders[0].name.as_str()), (LeaderKind::Branch, "K1"), "{leaders:?}");
}

#[test]
fn beside_a_cause_a_few_milliamperes_are_none_although_the_clamp_is_coarse() {
    // What is left of this total alone, read to 10 mA, could be over the limit.
    let mut bench = Bench::with_clamp(LID, "clamp-10ma");
    for line in
        ["zero 0.0", "total 290", "pull K4 290 60", "refit K4 290", "K1 0.4", "K2 0.2", "K3 0.1", "K5 0.0"]
    {
        bench.enter(line);
    }
    let analysis = bench.analysis();
    let leaders = analysis.ranking().leaders(&analysis.panel);
    assert_eq!(leaders[0].name, "K4", "{leaders:?}");
    let also = analysis.ranking().also(&analysis.panel);
    assert!(also.is_empty(), "{also:?}");
}
