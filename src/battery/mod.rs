//! The supply: state of charge, capacity, what a battery is fit for, the charging side, and how long it stands.
//! Promise: pure; every figure stands in `circuits/battery.yaml` with its basis and source.
//! Leaves to others: asking (`hunt`), the words (`text/battery`, `text/stand`).

pub mod capacity;
pub mod charge;
pub mod charging;
pub mod chemistry;
pub mod cause;
pub mod cold;
pub mod energy;
pub mod converter;
pub mod pair;
pub mod judge;
pub(crate) mod limit;
pub mod rating;
pub mod reason;
pub mod stand;
pub mod table;
mod schema;
