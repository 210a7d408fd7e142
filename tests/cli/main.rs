//! The commands as a user runs them: help, exit codes, streams, logs.
#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::unwrap_used,
    reason = "tests run the program and may fail"
)]

mod bench;
mod circuits;
mod help;
mod hunt;
mod json;
mod kill;
mod live;
mod log;
mod old_logs;
mod practice;
mod pty;
mod readings;
mod record;
mod settle;
mod shapes;
mod stand;
mod streams;
mod tour;
mod world;
