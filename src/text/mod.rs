//! Conclusions in words: what a reading meant, where the total goes, who is suspect and why, what to read next.
//! Each conclusion is worded once, here, and shown by terminal, record and JSON alike.
//! Leaves to others: the conclusions themselves, colours and layout.

pub mod account;
pub mod ask;
pub mod battery;
pub(crate) mod care;
pub(crate) mod channel;
pub(crate) mod convert;
pub(crate) mod converter;
pub(crate) mod pair;
pub(crate) mod decide;
pub(crate) mod entry;
pub(crate) mod lessons;
pub(crate) mod network;
pub(crate) mod next;
mod night;
pub(crate) mod explain;
pub(crate) mod fault;
pub(crate) mod guard;
pub(crate) mod help;
pub mod reading;
pub(crate) mod record;
pub mod round;
pub(crate) mod score;
pub(crate) mod sentence;
pub mod settle;
pub(crate) mod shell;
pub mod slip;
pub mod stand;
pub(crate) mod supply;
pub(crate) mod page;
pub mod suspects;
pub(crate) mod watch;
pub(crate) mod whole;
