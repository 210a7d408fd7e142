//! What `explain` prints for programs.

use crate::text::explain::{Explanation, all};

shape! {
    /// What `explain` prints without a word.
    ExplainListShape() {
        words: Vec<ExplainShape> = all().iter().map(ExplainShape::of).collect(),
    }

    /// One word or step.
    ExplainShape(explained: &Explanation) {
        /// Its own name first.
        names: Vec<&'static str> = explained.names.to_vec(),
        text: &'static str = explained.text,
    }
}
