//! The text of a circuit map. Checks: a map or faults, each said cleanly; a sound map reads back as it was, has finite
//! figures, can be opened as a log, analysed and practised on.
#![no_main]

use fusetrail::base::quantity::Unit;
use fusetrail::circuit::check::examine;
use fusetrail::circuit::loads::Catalogue;
use fusetrail::circuit::map::Map;
use fusetrail::circuit::tree::Tree;
use fusetrail::hunt::analysis::Analysis;
use fusetrail::render::json::suspects::{NextShape, SuspectsShape};
use fusetrail::sim::Vehicle;
use fusetrail_fuzz::{assert_all_said, assert_comes_back, assert_no_lost_number, assert_said, case_on};
use libfuzzer_sys::fuzz_target;
use serde_json::json;

/// Most branches with which a map is analysed: the time of that is watched by the benches.
const BRANCHES: usize = 40;

fn assert_figures(map: &Map) {
    for feed in &map.feeds {
        assert!(feed.fuse.rating.base() > 0.0 && feed.fuse.rating.base().is_finite(), "{feed:?}");
        for load in &feed.loads {
            let figures = [load.asleep.base(), load.awake.base(), load.sleeps_after.base()];
            assert!(figures.iter().all(|figure| figure.is_finite() && *figure >= 0.0), "{load:?}");
        }
    }
}

fuzz_target!(|text: &str| {
    let checked = examine("map.yaml", text, Catalogue::builtin());
    assert_ne!(checked.map.is_some(), !checked.problems.is_empty(), "neither a map nor a problem, or both");
    checked.warnings.iter().for_each(assert_said);
    let Some(map) = checked.map else {
        return assert_all_said(&fusetrail::base::diagnostic::Faults(checked.problems));
    };
    assert_figures(&map);
    assert_comes_back(&map);
    if Tree::new(&map).branches().len() > BRANCHES {
        return;
    }
    let analysis = Analysis::of(&case_on(&map));
    assert_no_lost_number(&json!(SuspectsShape::of(&analysis)));
    assert_no_lost_number(&json!(NextShape::of(&analysis)));
    let mut vehicle = Vehicle::new(&map, 7);
    assert!(vehicle.total().value.base().is_finite());
});
