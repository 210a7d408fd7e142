//! The hunt, step by step: which question is next, and which entries an answer makes. No I/O, no clock, no colours.

pub mod question;
