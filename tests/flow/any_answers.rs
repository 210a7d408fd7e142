//! Any answers in any order: the hunt always goes on or ends, and its log always gives the same case.

use fusetrail::infer::times_weighed;
use fusetrail::measure::event::Event;
use proptest::prelude::*;

use crate::player::{Player, play};

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

/// Each answer counts with the question after it. Where a pull may have cured the fault, the causes are weighed once more,
/// as if it had ended by itself.
#[test]
fn an_answer_weighs_the_causes_at_most_once_over_whole_practice_hunts() {
    let mut weighed = 0;
    for (map, seed) in [("hatch", 1), ("hatch", 2), ("van", 3), ("motorcycle", 4)] {
        let mut player = Player::on(map, seed, true);
        let mut open = player.step();
        while let Ok(question) = open {
            let before = times_weighed();
            player.answer_sensibly(&question);
            open = player.step();
            let times = times_weighed() - before;
            let is_cure = |(_, event): &(usize, Event)| matches!(event, Event::Cured { .. });
            let most = if player.analysis().observed.events.iter().any(is_cure) { 2 } else { 1 };
            assert!(
                times <= most,
                "{map} {seed}: the answer to {} weighs the causes {times} times",
                question.id
            );
            weighed += times;
        }
    }
    assert!(weighed > 20, "hardly anything was weighed: {weighed}");
}
