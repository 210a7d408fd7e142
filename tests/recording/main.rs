//! Meter logs from outside: the cut against another program's, a corpus of malformed files, seeded traces whose
//! truth is known, real days where they are at hand.
#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "tests read files and may fail"
)]

mod channels;
mod days;
mod malformed;
mod nights;
mod outside;
mod seeded;
mod whole_night;
