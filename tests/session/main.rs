//! The session log held to what it promises: torn, edited, locked, full, and what its entries add up to.
#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout,
    clippy::unwrap_used,
    missing_docs,
    reason = "tests touch files, start processes that report back, and may fail"
)]

mod crash;
mod edit;
mod grammar;
mod links;
mod refuse;
mod sum;
mod tear;
mod text;
mod world;
