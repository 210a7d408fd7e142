//! What is said of settings, completions and manual pages, and of how a run went where that is asked for.

/// Says where settings were read.
pub fn settings(path: &str) -> String {
    format!("Settings read from {path}.")
}

/// Says where settings would be read.
pub fn no_settings(path: &str) -> String {
    format!("No settings: {path} is not there.")
}

/// Says what this build is.
pub fn build(program: &str, tables: &str) -> String {
    format!("fusetrail {program}, fuse tables of {tables}.")
}

/// Says how many manual pages were written.
pub fn pages(count: usize, folder: &str) -> String {
    format!("{count} manual pages written to {folder}.")
}
