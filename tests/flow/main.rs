//! Whole hunts and worked cases through the library: no files, no terminal, a frozen clock.
#![allow(clippy::expect_used, clippy::panic, clippy::indexing_slicing, reason = "a test may fail")]

mod any_answers;
mod battery_first;
mod bench;
mod calibrate;
mod causes;
mod conflicts;
mod cured;
mod evidence;
mod follow;
mod gates;
mod growth;
mod inside;
mod late;
mod matter;
mod meters;
mod motorcycle;
mod narrowing;
mod order;
mod phone_module;
mod player;
mod plays;
mod shared_cause;
mod slips;
mod stale_total;
mod trail_rules;
mod twelve;
mod unlisted_load;
mod without_a_map;
