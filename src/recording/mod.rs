//! Meter logs over time: reading them, cutting them into levels, and what the levels say about sleep.
//! Leaves to others: files and streams (the edge hands in bytes), the map (`circuits`), words for people (`words`).

pub mod segment;
