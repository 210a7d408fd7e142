//! Domain values to documents: the JSON shapes of the contract, the sheet, the record. Writes to values and strings,
//! never to a stream. Leaves to others: conclusions (`infer`, `balance`), their words (`text`), streams (`cli`).

#[macro_use]
mod shape;

pub(crate) mod convert;
pub(crate) mod hide;
pub mod json;
pub mod record;
pub mod redact;
pub(crate) mod schema;
pub(crate) mod sheet;
pub(crate) mod stand;
