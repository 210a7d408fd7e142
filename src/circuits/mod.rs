//! Circuit maps and tables; works on text, opens no file.

pub mod builtin;
pub mod check;
mod fill;
pub mod fuse;
pub mod fuse_table;
mod fuse_written;
pub mod hints;
mod keys;
pub mod lid;
pub mod limits;
pub mod loads;
pub mod map;
pub mod meters;
mod resolve;
mod sense;
mod shape;
mod spotted;
pub mod sketch;
pub mod tree;
mod wording;
pub mod written;
