//! The commands as a user runs them: help, exit codes, streams, logs.
#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "tests run the program, tell what they saw and may fail"
)]

mod again;
mod bench;
mod check;
mod failing;
mod circuits;
mod ends;
mod guard;
mod help;
mod hunt;
mod json;
mod kill;
mod lessons;
mod live;
mod log;
mod long_logs;
mod moments;
mod old_logs;
mod page;
mod practice;
mod pty;
mod readings;
mod record;
mod round;
mod schema;
mod screens;
mod settle;
mod settle_into;
mod shell;
mod shapes;
mod short;
mod slips;
mod stand;
mod streams;
mod torture;
mod tour;
mod vehicle;
mod wake_clock;
mod world;
