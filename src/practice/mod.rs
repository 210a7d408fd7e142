//! The practice vehicle: a simulated vehicle on a given map, with one hidden fault, for learning and for scoring.
//! It knows nothing of the estimator, so that it is able to show the estimator wrong.
//! Leaves to others: asking and answering (`cli/ask/practice`), what the readings mean (`reading`, `account`).

pub mod constants;
