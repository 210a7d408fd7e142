//! Thin layer over the linear algebra and statistics crates; code of our own only where no maintained crate has it.
//! Numbers here are bare: units stop at the doors of this floor.

pub mod bounded;
pub mod density;
pub(crate) mod factors;
pub(crate) mod gaussian;
pub mod loads;
pub mod mixture;
pub(crate) mod rate;
pub mod renewal;
pub mod sparse;
