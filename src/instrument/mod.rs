//! What a meter adds to a reading.

pub mod profile;
