//! A reading as a sum over branches.
