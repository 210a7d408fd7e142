//! What is wrong with arguments, answers and files, and what to do about it.
//! Leaves to others: finding it out (`cli`), faults within a map, a meter log or a session log (who reads them).

pub(crate) mod answer;
pub(crate) mod argument;
pub(crate) mod file;
