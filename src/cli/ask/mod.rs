//! Who answers the questions: a person at a terminal, piped lines, an answers file, or a practice vehicle.
//! Leaves to others: which question is next and what an answer means (`hunt`), and the loop (`drive`).

pub mod answers;
mod choose;
pub(crate) mod confirm;
pub mod lines;
pub(crate) mod live;
pub(crate) mod live_wait;
pub(crate) mod patience;
pub(crate) mod practice;
pub(crate) mod terminal;

pub use choose::choose;

use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::Ampere;
use crate::base::styled::{Role, StyledText, clean};
use crate::cli::paint::columns;
use crate::hunt::question::{Question, QuestionKind, Wait};
use crate::log::entry::LogEvent;
use crate::text::ask::always::WAYS_OUT;
use crate::text::ask::always::{in_unit, or_skip};
use crate::text::ask::bench::TYPE_YES;

/// Why no answer came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PromptStop {
    /// Ctrl-C, a closed terminal, or a request to end.
    Interrupted,
    /// The piped input has ended while a question was open.
    InputEnded,
    /// The answer cannot be had, and why.
    Refused(Diagnostic),
}

/// What Enter alone stands for; asked only once Enter was pressed.
pub type OnEnter<'a> = &'a mut dyn FnMut() -> Option<String>;

/// Whoever answers.
pub trait Prompter {
    /// Shows lines.
    fn show(&mut self, lines: &[StyledText]);

    /// Asks a question and returns what was typed, as it was typed; empty where the default is taken.
    ///
    /// # Errors
    /// No answer came.
    fn ask(&mut self, question: &Question) -> Result<String, PromptStop> {
        self.ask_or(question, &mut || None)
    }

    /// Asks a question to which Enter alone may stand for something else than the default, which is then shown as if it
    /// had been typed.
    ///
    /// # Errors
    /// No answer came.
    fn ask_or(&mut self, question: &Question, on_enter: OnEnter) -> Result<String, PromptStop>;

    /// Shows the wait and returns what was typed during it. Time goes by as the pace has it.
    ///
    /// # Errors
    /// No answer came.
    fn wait(&mut self, question: &Question, wait: &Wait, pace: &mut dyn Pace) -> Result<String, PromptStop>;

    /// Hears of an entry that is now in the log.
    fn entered(&mut self, _entry: &LogEvent) {}

    /// Returns what is still to be said when the hunt is left, `done` if it has reached its end.
    fn farewell(&self, _done: bool) -> Vec<StyledText> {
        Vec::new()
    }
}

/// What the passing of time brings during a wait.
#[derive(Debug, Clone, PartialEq)]
pub enum Tick {
    /// Nothing.
    Nothing,
    /// A total was seen; it only shows.
    Seen(Ampere),
    /// Something to be said beside, such as a meter that fell silent.
    Said(String),
    /// The draw rose again, and what is said of it.
    Woke(String),
    /// An answer, as if it had been typed.
    Answer(String),
}

/// How time goes by during a wait: as on the wall, or compressed.
pub trait Pace {
    /// Returns the time now.
    fn now(&self) -> DateTime<FixedOffset>;

    /// Tells that this much real time went by, and returns what it brought.
    fn tick(&mut self, real: Duration) -> Tick;

    /// Returns the totals that a meter has shown since the wait began, for the curve; none where nobody watches.
    fn seen(&self) -> Vec<Ampere> {
        Vec::new()
    }

    /// Returns the answer that Enter alone stands for, if there is one.
    fn on_enter(&mut self) -> Option<String>;
}

/// A question as it stands on the screen: what is above the line that is typed on, and what stands before the cursor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Put {
    /// Lines above; none where the question fits before the cursor.
    pub lines: Vec<StyledText>,
    /// The question itself where it fits, unit and default.
    pub label: String,
}

/// Columns that are left for what is typed, at the least.
const ROOM: usize = 20;

/// Puts a question to so many columns. A short one stands on the line that is typed on.
pub fn put(question: &Question, width: usize) -> Put {
    let label = label(question);
    let mut line = StyledText::of(Role::Heading, &question.prompt);
    if let QuestionKind::Choice(choices) = &question.kind {
        // What each word means is told where somebody asks.
        let keys: Vec<&str> = choices.iter().map(|(key, _)| key.as_str()).collect();
        line = line.and(Role::Plain, format!(" {}", keys.join(" · ")));
    }
    let room = match &question.kind {
        QuestionKind::Choice(choices) => {
            choices.iter().map(|(key, _)| columns(key) + 1).max().unwrap_or(ROOM)
        }
        _ => ROOM,
    };
    let whole = format!("{} {label}", line.text());
    if columns(&whole) + room <= width {
        return Put { lines: Vec::new(), label: whole };
    }
    Put { lines: vec![line], label }
}

/// Puts a choice as a numbered list, a line each.
pub fn menu(question: &Question, choices: &[(String, String)]) -> Put {
    let mut lines = vec![StyledText::of(Role::Heading, &question.prompt)];
    lines.extend(choices.iter().enumerate().map(|(index, (key, text))| {
        let text = if text.is_empty() { String::new() } else { format!(": {text}") };
        StyledText::plain(format!("{} ", index + 1)).and(Role::Name, key).and(Role::Plain, text).indented(2)
    }));
    Put { lines, label: label(question) }
}

/// Returns the label that stands before what is typed: unit and default, so short that it fits any width.
pub fn label(question: &Question) -> String {
    let default = question.default.as_deref().unwrap_or("");
    let shown: String = clean(default).chars().take(24).collect();
    let more = if default.chars().count() > 24 { "…" } else { "" };
    match (question.unit, default.is_empty()) {
        ("", true) if question.kind == QuestionKind::Acknowledge => format!("{TYPE_YES} >"),
        ("", true) => ">".to_owned(),
        ("", false) => format!("[{shown}{more}] >"),
        (unit, true) => format!("{unit} >"),
        (unit, false) => format!("{unit} [{shown}{more}] >"),
    }
}

/// The words that are an answer to every question; shown once.
pub fn ways_out() -> StyledText {
    StyledText::of(Role::Hint, WAYS_OUT)
}

/// Says which answer a question wants.
pub fn lacking(question: &Question) -> String {
    let unit = if question.unit.is_empty() { String::new() } else { in_unit(question.unit) };
    let what = match &question.kind {
        QuestionKind::Choice(choices) => {
            let keys: Vec<&str> = choices.iter().map(|(key, _)| key.as_str()).collect();
            format!("one of {}", keys.join(", "))
        }
        QuestionKind::Acknowledge => "yes".to_owned(),
        QuestionKind::Reading(wanted) => {
            let slots: Vec<&str> = wanted.kind.row().numbers().map(|slot| slot.told).collect();
            match slots.as_slice() {
                [_] => format!("a reading{unit}"),
                several => format!("{}{unit}", several.join(", ")),
            }
        }
        QuestionKind::Wait(_) => format!("a total{unit}, or skip"),
        QuestionKind::Line if unit.is_empty() => "a line of text".to_owned(),
        QuestionKind::Line => format!("a value{unit}"),
    };
    or_skip(&what)
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::log::question_id::QuestionKey;

    pub(crate) fn question(id: &str, kind: QuestionKind) -> Question {
        Question {
            id: QuestionKey::read(id),
            prompt: "What does the meter show?".into(),
            help: "help".into(),
            unit: "mV",
            default: None,
            kind,
        }
    }

    #[test]
    fn a_choice_shows_its_keys_and_its_default() {
        let choices = vec![("yes".into(), "it does".into()), ("n".into(), "it does not".into())];
        let question =
            Question { default: Some("n".into()), unit: "", ..question("a", QuestionKind::Choice(choices)) };
        let put = put(&question, 80);
        assert_eq!(put.label, "What does the meter show? yes · n [n] >");
    }

    #[test]
    fn a_short_question_stands_on_the_line_that_is_typed_on() {
        let short = question("a", QuestionKind::Line);
        assert_eq!(put(&short, 80), Put { lines: vec![], label: "What does the meter show? mV >".into() });
        assert_eq!(put(&short, 40).label, "mV >");
    }

    #[test]
    fn the_label_stays_short_whatever_the_default() {
        let question = Question { default: Some("x".repeat(500)), ..question("a", QuestionKind::Line) };
        assert!(label(&question).chars().count() < 40);
    }
}
