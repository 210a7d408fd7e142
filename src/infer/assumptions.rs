//! HEAD.

/// Probability beforehand of a second cause beside the first. Editorial.
pub const SECOND: f64 = 0.15;
