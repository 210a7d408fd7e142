//! Meter logs over time: reading them, cutting them into levels, and what the levels say about sleep.
//! Leaves to others: files and streams (the edge hands in bytes), the map (`circuit`), words for people (`text`).

pub(crate) mod average;
pub(crate) mod rest;
pub mod cell;
pub(crate) mod choose;
pub mod channel;
pub mod clocks;
mod departure;
mod flat;
pub mod guard;
mod guess;
mod heading;
pub(crate) mod known;
pub(crate) mod layout;
mod hidden;
pub mod ledger;
pub mod level;
pub(crate) mod line;
pub(crate) mod noise;
pub(crate) mod number;
pub mod options;
pub(crate) mod repairs;
pub(crate) mod row;
pub mod segment;
pub(crate) mod series;
pub mod settle;
pub mod stamp;
pub(crate) mod step;
pub mod table;
pub mod samples;
pub(crate) mod dialect;
pub(crate) mod wake;
