//! The account of the total: which branch carries how much, what is placed and what is not.
//! Weighted least squares over the feed tree with currents that cannot be negative (sources may), the asleep values
//! of the map as weak expectations, and the full covariance of the readings.
//! Leaves to others: who is to blame (`infer`), wording (`text`).

pub mod assumptions;
pub(crate) mod conflict;
pub mod repeat;
pub(crate) mod rows;
pub(crate) mod solve;
pub mod summed;
pub mod verdict;

pub use summed::{Balance, FeedLine};
