//! Any answers in any order: the hunt always goes on or ends, and its log always gives the same case.

use proptest::prelude::*;

use crate::player::play;

#[test]
fn whoever_takes_what_is_nearest_reaches_the_end() {
    for map in 0..4 {
        for supplies in [0, 1] {
            let played = play(&[map, 11, supplies]);
            assert!(played.answers > 10 && played.entries > 10, "{played:?}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, max_shrink_iters: 200, ..ProptestConfig::default() })]

    /// The long form of this is a fuzz target, `tests/fuzz/targets/hunt.rs`.
    #[test]
    fn any_answers_are_taken_or_refused_and_lead_to_an_end(bytes in prop::collection::vec(any::<u8>(), 3..70)) {
        play(&bytes);
    }
}
