//! Circuit maps and tables; works on text, opens no file.

pub mod fuse;
pub mod map;
