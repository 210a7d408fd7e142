//! Units, and values that carry their uncertainty.
//! Promise: nothing above this floor holds a bare number for a physical thing in its public signatures.
//! Leaves to others: where an uncertainty comes from (instrument, reading) and what it means (account, suspects).

pub mod parse;
pub mod show;
pub(crate) mod uncertain;
pub(crate) mod unit;

pub use parse::Typed;
pub use uncertain::{ErrorSource, Uncertain};
pub use unit::{Ampere, AmpereHour, Celsius, Day, Minute, Ohm, Share, Unit, Volt};
