//! What a hunt has said: nothing of it is said twice.

use std::collections::HashSet;

use crate::base::styled::StyledText;

/// What was said of the hunt so far: nothing of it is said twice.
#[derive(Debug, Default)]
pub(super) struct Said(HashSet<String>);

impl Said {
    /// Returns those lines that were not said yet.
    pub(super) fn only_new(&mut self, lines: Vec<StyledText>) -> Vec<StyledText> {
        lines.into_iter().filter(|line| self.0.insert(line.text())).collect()
    }
}
