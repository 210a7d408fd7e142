//! Faults of answers: piped, from a file, or none at all.

use std::fmt::Display;
use std::io::Error;

use crate::base::diagnostic::Diagnostic;

/// What an answers file is made of.
pub const LINES: &str = "write one line for each question: its id, a colon, the answer";

/// What is counted where the id of a question is too long.
pub const OF_AN_ID: &str = "characters of a question id";

/// More is wrong than is told.
pub fn further(count: usize) -> Diagnostic {
    Diagnostic::new(format!("{count} further faults are not listed"))
}

/// The file has no answer left for a question.
pub fn none_left(id: &impl Display, prompt: &str) -> Diagnostic {
    Diagnostic::new(format!("no answer is left for the question {id}: {prompt}"))
        .remedy(format!("add a line to the file: {id}: …; everything so far is kept"))
}

/// An id that is no text.
pub fn odd_id() -> Diagnostic {
    Diagnostic::new("a question id is not a text").remedy("put quotes around it")
}

/// A number whose last zeros would be lost.
pub fn bare_number(number: &impl Display) -> Diagnostic {
    Diagnostic::new(format!("{number} is a bare number with decimals"))
        .expected("a text, such as \"3.0\" in quotes, or 3.0 mV with its unit")
}

/// An answer that is neither a text nor several.
pub fn no_text() -> Diagnostic {
    Diagnostic::new("an answer is neither a text nor a list of texts")
        .expected("a text, or a list of texts that are used in turn")
}

/// The same question was answered again and again.
pub fn never_accepted(answer: &str, id: &impl Display, times: usize) -> Diagnostic {
    Diagnostic::new(format!("\"{answer}\" is not accepted as the answer to {id}, after {times} tries"))
}

/// The system gives no further line.
pub fn unread(error: &Error) -> Diagnostic {
    Diagnostic::new(format!("the input cannot be read: {error}"))
}

/// A line longer than is taken.
pub fn long_line(most: u64) -> Diagnostic {
    Diagnostic::new(format!("a line of the input has more than {most} bytes"))
        .remedy("pipe in one answer a line")
}

/// A line that is no text.
pub fn not_utf8() -> Diagnostic {
    Diagnostic::new("the input cannot be read: it is not UTF-8").expected("lines of UTF-8 text")
}

/// The input ended before the hunt did.
pub fn ended(id: &impl Display, prompt: &str) -> Diagnostic {
    Diagnostic::new(format!("the input has ended at the question {id}: {prompt}"))
        .remedy("everything accepted is kept; give the missing line, or --answers FILE")
}

/// There is no terminal to type at.
pub fn no_terminal(error: &Error) -> Diagnostic {
    Diagnostic::new(format!("the terminal cannot be read: {error}")).remedy("pipe the answers in")
}

/// The meter's lines come where answers are typed.
pub fn stdin_taken() -> Diagnostic {
    Diagnostic::new("lines:- takes the input that answers are typed on")
        .remedy("name a pipe or a device instead, or give --answers FILE")
}
