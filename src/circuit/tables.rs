//! The tables that are built in, as text. Leaves to others: reading them (`loads`, `hints`, `limits`, `classes`, `battery`).

/// The load catalogue.
pub const LOADS: &str = include_str!("../../circuits/loads.yaml");

/// What the interview changes in the weights of causes.
pub const HINTS: &str = include_str!("../../circuits/hints.yaml");

/// Default limits and sleep times.
pub const LIMITS: &str = include_str!("../../circuits/limits.yaml");

/// What every vehicle of a class has.
pub const CLASSES: &str = include_str!("../../circuits/classes.yaml");

/// Batteries and the charging side.
pub const BATTERY: &str = include_str!("../../circuits/battery.yaml");
