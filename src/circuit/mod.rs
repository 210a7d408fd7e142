//! Circuit maps and tables; works on text, opens no file.

pub mod builtin;
pub mod check;
mod classes;
mod complete;
mod defaults;
pub mod fuse;
pub mod fuse_table;
mod fuse_schema;
pub(crate) mod hints;
pub mod id;
mod keys;
pub(crate) mod lid;
mod lid_line;
pub(crate) mod lid_text;
pub(crate) mod limits;
pub mod loads;
pub mod map;
pub mod meters;
pub(crate) mod resolve;
mod lint;
mod parse;
mod spotted;
pub(crate) mod tables;
pub mod sketch;
pub mod tree;
mod wording;
pub(crate) mod schema;
