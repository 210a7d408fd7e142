//! Diagnostics of a map on their way to the reader: each with the way to its place, and no more of them than anybody reads.
//! Leaves to others: finding them (`keys`, `resolve`, `defaults`, `lint`), and the line of a place (`check`).

use crate::base::caps::TOLD;
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::clean;
use crate::base::yaml::PathStep;

/// Way to a place in the document.
pub(super) type KeyPath = Vec<PathStep>;

/// A diagnostic with the way to its place; the line is looked up at the end.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spotted {
    pub way: KeyPath,
    pub fault: Diagnostic,
}

/// Diagnostics found so far: the first [`TOLD`], the others counted.
#[derive(Debug, Default)]
pub(super) struct SpottedKey {
    pub told: Vec<Spotted>,
    /// How many were found beyond those that are told.
    pub more: usize,
    /// True where something is more than is taken: what refers to it is then not looked into.
    pub too_large: bool,
}

impl SpottedKey {
    /// Returns true if nothing was found.
    pub fn is_empty(&self) -> bool {
        self.told.is_empty()
    }

    /// Returns true if a further diagnostic will only be counted: then it needs no words.
    pub fn is_full(&self) -> bool {
        self.told.len() >= TOLD
    }
}

/// Adds a diagnostic at a place.
pub(super) fn spot(found: &mut SpottedKey, way: &KeyPath, fault: Diagnostic) {
    if found.is_full() {
        found.more += 1;
    } else {
        found.told.push(Spotted { way: way.clone(), fault });
    }
}

/// Tells of more things at a place than are taken; returns true if they are.
pub(super) fn too_many(found: &mut SpottedKey, way: &KeyPath, what: &str, count: usize, cap: usize) -> bool {
    if count > cap {
        found.too_large = true;
        spot(found, way, Diagnostic::new(format!("{what}: {count}")).expected(format!("at most {cap}")));
    }
    count > cap
}

/// Returns the way one key further.
pub(super) fn key(way: &KeyPath, name: &str) -> KeyPath {
    let mut further = way.clone();
    further.push(PathStep::Key(name.to_owned()));
    further
}

/// Returns the way one item further.
pub(super) fn item(way: &KeyPath, index: usize) -> KeyPath {
    let mut further = way.clone();
    further.push(PathStep::Item(index));
    further
}

/// Writes a way as people read it: `feeds[3].fuse.rating_a`, items counted from 0.
pub(super) fn field(way: &[PathStep]) -> String {
    let mut text = String::new();
    for step in way {
        match step {
            PathStep::Key(name) | PathStep::Again(name, _) => {
                if !text.is_empty() {
                    text.push('.');
                }
                text.push_str(&clean(name));
            }
            PathStep::Item(index) => text.push_str(&format!("[{index}]")),
        }
    }
    text
}
