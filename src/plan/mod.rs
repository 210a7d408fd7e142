//! What to read next and when to stop: the readings that can still be taken, what each would show under every
//! explanation, and the cheapest way to an end.
//! Leaves to others: how likely each explanation is (`infer`), how a step is worded (`text`).

pub mod analysis;
mod below;
pub mod awake;
pub mod candidate;
pub mod forecast;
mod inside;
mod looks;
pub mod reports;
pub mod next;
pub mod proposal;
pub mod refit;
pub mod round;
pub mod search;
mod view;
mod vigil;
pub mod worth;
