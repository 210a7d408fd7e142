//! What can be said at any question: how it is passed over, taken back, explained, and doubted.

use crate::base::styled::{Role, StyledText};

/// Help of a question that takes a stage up again.
pub const AGAIN: &str = "Yes asks this stage again. What was read before stays in the record.";

/// The words that are an answer to every question.
pub const WAYS_OUT: &str = "Any time: ? helps; back, skip, list, why, all, account, quit.";

/// Nothing is left to be asked.
pub const EVERY_STAGE: &str = "every stage is done";
/// A skip without a reason.
pub const SAY_WHY: &str = "Say why, so that the record can: skip REASON (such as: skip no meter for it).";
/// There is nothing to go back to.
pub const NOTHING_BEFORE: &str = "There is nothing before this.";
/// What is kept of a skip.
pub const PASSED_OVER: &str = "Passed over; the record keeps the reason.";
/// Ways out, behind an explanation.
pub const ALSO: &str = "Also: back, skip REASON, list, why, all, account, quit.";
/// Help of the question about a slip.
pub const SURE_HELP: &str = "Nothing is entered yet. Yes enters it as it stands. Or type the answer again; back asks the question again.";

/// Asks for the reason of a skip.
pub const REASON: &str = "Why skip it? The record keeps the reason.";
/// Help of that.
pub const REASON_HELP: &str =
    "A few words, such as: no meter for it. Type back to answer the question after all.";

/// Names the keys of a choice, each with what it stands for.
pub fn choices(choices: &[(String, String)]) -> StyledText {
    let mut line = StyledText::new();
    for (index, (key, text)) in choices.iter().enumerate() {
        line = line.and(Role::Plain, if index > 0 { " · " } else { "" }).and(Role::Name, key);
        line = line.and(Role::Plain, if text.is_empty() { String::new() } else { format!(": {text}") });
    }
    line.indented(2)
}

/// Says in which unit an answer is due.
pub fn in_unit(unit: &str) -> String {
    format!(" in {unit} or with its unit")
}

/// Says that a reason does instead of an answer.
pub fn or_skip(wanted: &str) -> String {
    format!("{wanted}; or skip with a reason")
}

/// Says that an answer is none of the choices.
pub fn none_of(text: &str, keys: &[&str]) -> String {
    format!("\"{text}\" is none of: {}.", keys.join(", "))
}
