//! Clauses made into sentences.

/// Returns a text with its first letter as a capital. What is a name stays: `alternator` in quotes, ids.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect()
}
