//! What everything above stands on: quantities, statistics, text with roles, diagnostics, YAML, and what is taken at most.

pub mod caps;
pub mod diagnostic;
pub mod numeric;
pub mod quantity;
pub mod styled;
pub(crate) mod yaml;
