//! The JSON shapes that commands print, a file a subject. Field names are a contract; every key is always there, and
//! holds `null` where there is nothing to say yet: no total, no limit, no floor, no verdict.
//! Leaves to others: the shape of one quantity (`base/quantity/show`), the words in `why` (`text`), their schema
//! (`render/schema`).

pub(crate) mod circuits;
pub(crate) mod convert;
pub(crate) mod explain;
pub(crate) mod guard;
pub(crate) mod lessons;
pub(crate) mod log;
pub(crate) mod practice;
pub(crate) mod score;
pub(crate) mod settle;
pub(crate) mod sheet;
pub(crate) mod stand;
pub mod suspects;

/// Rounds to so many decimals, as further ones carry nothing.
pub fn round(value: f64, places: i32) -> f64 {
    let scale = 10_f64.powi(places);
    // Adding zero turns -0 into 0.
    (value * scale).round() / scale + 0.0
}

/// Rounds a probability.
pub fn probability(p: f64) -> f64 {
    (p * 1e4).round() / 1e4
}
