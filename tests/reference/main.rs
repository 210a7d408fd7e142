//! The engine held against somebody else's numbers. Vectors stand in `vectors/`, made by `scripts/`; each subject's
//! file says where its tolerance comes from. A subject that ran no case fails.
#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::unwrap_used,
    reason = "tests read vector files and may fail"
)]

mod account;
mod battery;
mod conversion;
mod coverage;
mod decision;
mod energy;
mod pairs;
mod night;
mod posterior;
mod propagation;
mod renewal;
mod search;
mod vectors;
mod vehicles;
mod worth;
