//! The session log: its entries, their text, and what they add up to.
//! Leaves to others: conclusions (`account`, `suspects`) and talk (`hunt`).

pub mod case;
pub mod contents;
pub mod entry;
pub mod failure;
pub mod fold;
mod in_force;
mod map_text;
pub mod seal;
pub mod store;
pub mod told;
pub mod torn;
pub mod typed;
pub mod watched;
pub mod written;
