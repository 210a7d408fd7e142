//! The account of the total: which branch carries how much.
