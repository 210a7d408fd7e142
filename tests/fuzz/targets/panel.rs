//! A panel list. Checks: faults are said cleanly; the map that is made is sound and reads back as it was.
#![no_main]

use fusetrail::circuit::sketch::sketch;
use fusetrail_fuzz::{assert_all_said, assert_comes_back, assert_said};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    match sketch("panel.csv", text, "A panel") {
        Ok((map, doubts)) => {
            assert!(!map.feeds.is_empty());
            doubts.iter().for_each(assert_said);
            assert_comes_back(&map);
        }
        Err(faults) => assert_all_said(&faults),
    }
});
