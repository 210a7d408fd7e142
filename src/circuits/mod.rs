//! Circuit maps and tables; works on text, opens no file.

pub mod fuse;
pub mod fuse_table;
mod fuse_written;
pub mod map;
pub mod meters;
