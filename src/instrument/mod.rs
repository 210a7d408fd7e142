//! What a meter adds to a reading: its accuracy, its zero, its last digit, its noise.
//! Leaves to others: which meters there are (`circuits/meters`), and what a reading means (`reading`).

pub mod live;
pub mod profile;
pub mod steady;
pub mod uncertainty;
