//! Cured by a pull: how far the fall at the pull is believed goes by what was read before it.

use crate::bench::Bench;
use fusetrail::circuit::builtin;
use fusetrail::plan::proposal::Stop;

fn hatch() -> Bench {
    let map = builtin::MAPS.iter().find(|map| map.name == "hatch").expect("built in");
    let mut bench = Bench::on(map.text);
    bench.enter("zero 0.0").enter("total 380mA");
    bench
}

/// Probability that the pull cured it, and that of the feed being the cause.
fn cured(bench: &Bench) -> Option<(f64, f64)> {
    let analysis = bench.analysis();
    let cured = analysis.ranking().cured.as_ref()?;
    assert!(matches!(analysis.plan().stop, Stop::Ended), "{:?}", analysis.plan().stop);
    let suspect = analysis.ranking().suspects.iter().find(|suspect| suspect.id == cured.feed);
    Some((cured.probability, suspect.expect("a suspect").probability))
}

#[test]
fn a_pull_where_the_drop_was_high_cured_it() {
    let mut bench = hatch();
    bench.enter("C5 2.6").enter("pull C5 380 30");
    assert_eq!(cured(&bench), None, "it may draw again once the fuse is back");
    bench.enter("refit C5 32");
    let (cured, suspect) = cured(&bench).expect("the draw stayed away");
    assert!(cured > 0.9 && suspect > 0.9, "{cured} {suspect}");
}

#[test]
fn a_pull_where_the_drop_was_nothing_did_not() {
    let mut bench = hatch();
    bench.enter("C5 0.0").enter("pull C5 380 30").enter("refit C5 32");
    let (cured, suspect) = cured(&bench).expect("the draw stayed away");
    assert!(cured < 0.2 && suspect < 0.2, "{cured} {suspect}");
}

#[test]
fn a_pull_out_of_the_blue_leaves_it_open() {
    let mut bench = hatch();
    bench.enter("pull C5 380 30").enter("refit C5 32");
    let (cured, suspect) = cured(&bench).expect("the draw stayed away");
    assert!((0.4..0.9).contains(&cured) && suspect < 0.95, "{cured} {suspect}");
}

#[test]
fn a_draw_that_comes_back_with_the_fuse_was_not_cured() {
    let mut bench = hatch();
    bench.enter("C5 2.6").enter("pull C5 380 30").enter("refit C5 378");
    assert_eq!(cured(&bench), None);
    assert!(bench.analysis().leader().probability > 0.95);
}
