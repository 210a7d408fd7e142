//! One error type for the edge: the diagnostics, and the exit code that goes with them.
//! Leaves to others: finding the diagnostics (every module) and colours (`paint`).

use std::io;
use std::path::Path;

use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::styled::{Role, StyledText};
use crate::text::fault::file as fault;

/// How a run ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Done.
    Done,
    /// Bad data, or an honest "no".
    No,
    /// Wrong usage.
    Usage,
    /// The log is held by another run.
    Held,
    /// Interrupted by the user, a closed terminal, or a request to end.
    Interrupted,
}

impl Exit {
    /// Returns the exit code.
    pub fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::No => 1,
            Self::Usage => 2,
            Self::Held => 75,
            Self::Interrupted => 130,
        }
    }
}

/// Why a command could not be carried out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CliError {
    /// How the run ends.
    pub exit: Exit,
    /// What is wrong; empty when nothing needs to be said, as after a closed pipe.
    pub faults: Vec<Diagnostic>,
}

impl CliError {
    /// Wrong usage: exit code 2.
    pub fn usage(fault: Diagnostic) -> Self {
        Self { exit: Exit::Usage, faults: vec![fault] }
    }

    /// The log is held by another run: exit code 75.
    pub fn held(fault: Diagnostic) -> Self {
        Self { exit: Exit::Held, faults: vec![fault] }
    }

    /// Wraps an error of the system that came up while writing to a stream. A closed pipe is a quiet success:
    /// whoever reads has seen enough.
    pub fn stream(error: &io::Error) -> Self {
        if error.kind() == io::ErrorKind::BrokenPipe {
            return Self { exit: Exit::Done, faults: Vec::new() };
        }
        fault::unwritten(error).into()
    }

    /// Wraps an error of the system about a file, with what to do about it.
    pub fn file(path: &Path, doing: &str, error: &io::Error) -> Diagnostic {
        fault::of(&path.to_string_lossy(), doing, error)
    }
}

/// Returns a diagnostic as lines for people: where and what, then what was expected, then what to do.
pub fn fault_lines(fault: &Diagnostic) -> Vec<StyledText> {
    let mut first = StyledText::of(Role::Caution, "error: ");
    let place = fault.place.to_string();
    if !place.is_empty() {
        first = first.and(Role::Name, short(&place, LONGEST)).and(Role::Plain, ": ");
    }
    let mut lines = vec![first.and(Role::Plain, short(&fault.what, LONGEST))];
    for (label, text) in [("expected ", &fault.expected), ("what to do: ", &fault.remedy)] {
        if !text.is_empty() {
            lines.push(
                StyledText::of(Role::Hint, label).and(Role::Plain, short(text, LONGEST_OWN)).indented(2),
            );
        }
    }
    lines
}

/// Longest place and longest telling of what is wrong, in characters: both hold foreign text of any length.
const LONGEST: usize = 240;

/// Longest expectation and remedy, in characters: they hold a file's name at the most, and they say what to do.
const LONGEST_OWN: usize = 1600;

/// Characters at the end of a text that is cut which stay: there it says what is wrong with what stands before.
const END: usize = 100;

/// Cuts a text in its middle.
fn short(text: &str, longest: usize) -> String {
    let count = text.chars().count();
    if count <= longest {
        return text.to_owned();
    }
    let head = text.chars().take(longest - END);
    head.chain(['…']).chain(text.chars().skip(count - END)).collect()
}

impl From<Diagnostic> for CliError {
    fn from(fault: Diagnostic) -> Self {
        Self { exit: Exit::No, faults: vec![fault] }
    }
}

impl From<Faults> for CliError {
    fn from(faults: Faults) -> Self {
        Self { exit: Exit::No, faults: faults.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_closed_pipe_is_a_quiet_success() {
        let fail = CliError::stream(&io::Error::from(io::ErrorKind::BrokenPipe));
        assert_eq!((fail.exit.code(), fail.faults.len()), (0, 0));
        let fail = CliError::stream(&io::Error::from(io::ErrorKind::StorageFull));
        assert_eq!((fail.exit.code(), fail.faults.len()), (1, 1));
    }

    #[test]
    fn a_long_path_or_value_never_eats_the_end_nor_the_remedy() {
        let path = format!("/home/{}/x.hunt.yaml", "folder/".repeat(60));
        let fault = Diagnostic::new(format!("\"{}\" is above zero", "9".repeat(900)))
            .remedy(format!("see it with: fusetrail circuits check {path}, then try again"))
            .in_file(&path);
        let text: Vec<String> = fault_lines(&fault).iter().map(StyledText::text).collect();
        assert!(text[0].contains("x.hunt.yaml: ") && text[0].ends_with("\" is above zero"), "{text:?}");
        assert!(
            text[0].chars().count() < 500 && text[1].ends_with("x.hunt.yaml, then try again"),
            "{text:?}"
        );
    }

    #[test]
    fn a_fault_is_shown_with_place_expectation_and_remedy_and_never_at_any_length() {
        let fault = Diagnostic::new("x".repeat(5000))
            .expected("less\u{1b}[2J")
            .remedy("shorten it")
            .in_file("a.yaml");
        let text: Vec<String> = fault_lines(&fault).iter().map(StyledText::text).collect();
        assert!(text[0].starts_with("error: a.yaml: xxx") && text[0].chars().count() < 300);
        assert_eq!(text[1], "  expected less\\u{1b}[2J");
        assert_eq!(text[2], "  what to do: shorten it");
    }
}
