//! Thin layer over the linear algebra and statistics crates.
