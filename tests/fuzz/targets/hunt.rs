//! Whole hunts: the bytes say what is answered, when it is left and taken up again, what is struck out. What is checked
//! stands at the player, which `tests/flow` plays too.
#![no_main]

use libfuzzer_sys::fuzz_target;

#[path = "../../flow/player.rs"]
mod player;

fuzz_target!(|bytes: &[u8]| {
    let played = player::play(bytes);
    assert!(played.answers > 0 && played.entries > 1, "{played:?}");
});
