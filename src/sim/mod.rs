//! The practice vehicle: a simulated vehicle on a given map, with one hidden fault, for learning and for scoring.
//! It knows nothing of the estimator, so that it is able to show the estimator wrong; only scoring (`score`) knows both.
//! Leaves to others: asking and answering (`cli/ask/practice`), what the readings mean (`measure`, `balance`).

pub(crate) mod clock;
mod complaint;
pub(crate) mod constants;
mod rng;
mod fault;
mod flow;
mod found;
mod fuses;
mod hands;
mod slips;
mod inside;
mod look;
mod meters;
mod night;
mod out;
mod wiring;
mod readings;
mod rounds;
mod replay;
mod report;
#[cfg(test)]
pub(crate) mod sample;
mod series;
mod state;
mod truth;
mod vehicle;

pub use clock::SimClock;
pub use fault::FaultPlan;
pub use hands::Hands;
pub use night::{Night, Story, night};
pub use truth::{Oddity, TrueCause, Truth, UNLISTED};
pub use vehicle::Vehicle;
