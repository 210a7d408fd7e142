//! The session log: its entries, their text, and what they add up to.
//! Leaves to others: conclusions (`balance`, `infer`) and talk (`hunt`).

pub mod case;
pub mod contents;
pub mod entry;
pub(crate) mod failure;
pub mod identity;
pub mod replay;
pub(crate) mod in_force;
mod map_text;
mod reports;
pub mod round;
pub mod seal;
pub mod store;
pub mod interview;
pub(crate) mod onset;
pub mod spoken_time;
pub mod question_id;
pub(crate) mod torn;
pub mod typed;
pub mod trace_summary;
pub mod schema;
pub(crate) mod vehicle;
