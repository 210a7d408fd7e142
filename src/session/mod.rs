//! The session log: its entries, their text, and what they add up to.

pub mod case;
pub mod entry;
