//! Meter logs over time: reading them, cutting them into levels, and what the levels say about sleep.
//! Leaves to others: files and streams (the edge hands in bytes), the map (`circuit`), words for people (`text`).

pub mod average;
pub mod rest;
pub mod cell;
pub mod choose;
pub mod cycle;
mod guess;
mod heading;
pub mod known;
pub mod layout;
pub mod level;
pub mod line;
pub mod noise;
pub mod number;
pub mod options;
pub mod repairs;
pub mod row;
pub mod segment;
pub mod settle;
pub mod stamp;
pub mod step;
pub mod table;
pub mod samples;
pub mod dialect;
pub mod wake;
