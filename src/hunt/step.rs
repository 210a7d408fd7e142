//! One step of the hunt: what is shown and asked, and what an answer makes.

use super::question::Question;
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::{Role, StyledText};
use crate::log::entry::LogEvent;

/// What to show and to ask now.
#[derive(Debug, Clone, PartialEq)]
pub struct HuntStep {
    /// Shown before the question.
    pub say: Vec<StyledText>,
    /// The question, or the end.
    pub next: NextStep,
}

/// A question, or the end.
#[derive(Debug, Clone, PartialEq)]
pub enum NextStep {
    /// Ask this.
    Ask(Question),
    /// The hunt has reached its end.
    Done {
        /// Why, in one sentence.
        why: String,
    },
}

impl HuntStep {
    /// Makes a step that asks, with nothing to show before.
    pub fn ask(question: Question) -> Self {
        Self { say: Vec::new(), next: NextStep::Ask(question) }
    }

    /// Shows these lines first.
    #[must_use]
    pub fn after(mut self, say: Vec<StyledText>) -> Self {
        self.say = say;
        self
    }
}

/// What an answer makes.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Taken {
    /// Entries to append, in order.
    pub entries: Vec<LogEvent>,
    /// Shown once they are on disk.
    pub say: Vec<StyledText>,
    /// True if the hunt is to be left.
    pub leave: bool,
    /// Asked before anything is entered: the answer looks like a slip of the hand.
    pub sure: Option<Question>,
}

impl Taken {
    /// Takes an answer as it stands.
    pub fn answer(question: &Question, text: impl Into<String>) -> Self {
        Self::entry(LogEvent::Answer { question: question.id.clone(), answer: text.into() })
    }

    /// Makes one entry.
    pub fn entry(body: LogEvent) -> Self {
        Self { entries: vec![body], ..Self::default() }
    }

    /// Adds an entry.
    #[must_use]
    pub fn and(mut self, body: LogEvent) -> Self {
        self.entries.push(body);
        self
    }

    /// Refuses an answer: nothing is entered, the question stays.
    pub fn refuse(why: impl AsRef<str>) -> Self {
        Self { say: vec![StyledText::of(Role::Doubt, why)], ..Self::default() }
    }

    /// Takes what was read; what can't be read is refused with its fault.
    pub fn read<T>(read: Result<T, Diagnostic>, take: impl FnOnce(T) -> Self) -> Self {
        read.map_or_else(|fault| Self::refuse(fault.to_string()), take)
    }

    /// Adds lines to show.
    #[must_use]
    pub fn saying(mut self, lines: impl IntoIterator<Item = StyledText>) -> Self {
        self.say.extend(lines);
        self
    }
}
