//! What a meter adds to a reading: its accuracy, its zero, its last digit, its noise.
//! Leaves to others: which meters there are (`circuit/meters`), and what a reading means (`measure`).

pub mod live;
pub mod profile;
pub mod steady;
pub mod uncertainty;
