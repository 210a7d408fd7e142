//! One diagnostic in something given from outside: where it is, what is wrong, what was expected, what to do.
//! Leaves to others: which diagnostics there are (each module finds its own) and how they are shown.

use std::fmt;

/// Where a fault is, as far as it is known.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Location {
    /// Name of the file, or of the option or prompt that the text came from.
    pub file: Option<String>,
    /// Line, counted from 1.
    pub line: Option<usize>,
    /// Field, written as a path such as `feeds[3].fuse.rating_a` or `F12 fuse.rating_a`.
    pub field: Option<String>,
}

/// One diagnostic.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// Where it is.
    pub place: Location,
    /// What is wrong, one clause without a full stop.
    pub what: String,
    /// What was expected instead; empty if that goes without saying.
    pub expected: String,
    /// What to do about it; empty if the expectation says it.
    pub remedy: String,
}

impl Diagnostic {
    /// Makes a diagnostic that so far says only what is wrong.
    pub fn new(what: impl Into<String>) -> Self {
        Self { place: Location::default(), what: what.into(), expected: String::new(), remedy: String::new() }
    }

    /// Begins the fault of a system that gives no thread.
    pub fn no_thread(error: &std::io::Error) -> Self {
        Diagnostic::new(format!("the system gives no further thread: {error}"))
            .remedy("end other programs or raise the limit (ulimit -u), then try again")
    }

    /// Adds what was expected.
    #[must_use]
    pub fn expected(mut self, text: impl Into<String>) -> Self {
        self.expected = text.into();
        self
    }

    /// Adds what to do.
    #[must_use]
    pub fn remedy(mut self, text: impl Into<String>) -> Self {
        self.remedy = text.into();
        self
    }

    /// Adds the file it is in, unless one is known already.
    #[must_use]
    pub fn in_file(mut self, file: &str) -> Self {
        self.place.file.get_or_insert_with(|| file.to_owned());
        self
    }

    /// Adds the line it is on, counted from 1.
    #[must_use]
    pub fn on_line(mut self, line: usize) -> Self {
        self.place.line = Some(line);
        self
    }

    /// Adds the field it is in.
    #[must_use]
    pub fn in_field(mut self, field: impl Into<String>) -> Self {
        self.place.field = Some(field.into());
        self
    }
}

impl fmt::Display for Location {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let line = self.line.map(|line| format!("line {line}"));
        let parts: Vec<&str> =
            [self.file.as_deref(), line.as_deref(), self.field.as_deref()].into_iter().flatten().collect();
        f.write_str(&parts.join(", "))
    }
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.place != Location::default() {
            write!(f, "{}: ", self.place)?;
        }
        f.write_str(&self.what)?;
        if !self.expected.is_empty() {
            write!(f, "; expected {}", self.expected)?;
        }
        if !self.remedy.is_empty() {
            write!(f, " ({})", self.remedy)?;
        }
        Ok(())
    }
}

impl std::error::Error for Diagnostic {}

/// All diagnostics found in one thing; empty means that it is sound.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Faults(pub Vec<Diagnostic>);

impl From<Diagnostic> for Faults {
    fn from(fault: Diagnostic) -> Self {
        Self(vec![fault])
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.0.iter().enumerate() {
            if index > 0 {
                f.write_str("\n")?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_says_where_what_expected_and_remedy() {
        let fault = Diagnostic::new("rating_a is -5")
            .expected("a number above zero")
            .remedy("read it off the fuse")
            .in_file("hatch.yaml")
            .on_line(12)
            .in_field("feeds[3].fuse.rating_a");
        assert_eq!(
            fault.to_string(),
            "hatch.yaml, line 12, feeds[3].fuse.rating_a: rating_a is -5; expected a number above zero (read it off the fuse)"
        );
    }
}
