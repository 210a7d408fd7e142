//! Asks for piped lines, and at screens that take no control codes. Prompts are plain lines on stderr.
//! Leaves to others: proper terminals (`terminal`), reading while the clock goes on (`source`).
#![allow(clippy::disallowed_methods, reason = "reads piped answers from stdin")]

use std::io::{self, BufRead, Read};
use std::time::Duration;

use super::patience::Patience;
use super::{OnEnter, Pace, PromptStop, Prompter, Put, Tick, menu, put, ways_out};
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::{Role, StyledText, clean};
use crate::cli::context::Context;
use crate::cli::signal;
use crate::cli::source::{InputSource, SourceEnd};
use crate::hunt::question::{Question, QuestionKind, Wait};
use crate::text::fault::answer as fault;

/// How often the clock and the signals are looked at.
const LOOK: Duration = Duration::from_millis(100);

/// Longest line, in bytes.
const LONGEST: u64 = 64 * 1024;

/// How often a question is answered from a pipe before it is clear that nothing acceptable will come. A person may try
/// as often as they like.
const PATIENCE: usize = 1000;

/// Reads a line; `None` at the end.
fn read(from: &mut impl BufRead) -> Option<Result<String, Diagnostic>> {
    let mut line = Vec::new();
    let length = match from.take(LONGEST + 1).read_until(b'\n', &mut line) {
        Ok(0) => return None,
        Ok(length) => length as u64,
        Err(error) => return Some(Err(fault::unread(&error))),
    };
    if length > LONGEST {
        return Some(Err(fault::long_line(LONGEST)));
    }
    Some(String::from_utf8(line).map_err(|_| fault::not_utf8()))
}

/// Piped lines.
#[derive(Debug)]
pub struct LinePrompter {
    context: Context,
    lines: InputSource<Result<String, Diagnostic>>,
    patience: Option<Patience>,
    told: bool,
    /// True if what is typed shows on the screen by itself.
    echoes: bool,
    /// What stood above the last wait: said once, not at each reading.
    head: Vec<StyledText>,
    /// What stands before the cursor.
    label: String,
    /// True if a choice is a numbered list, for screen readers and bad terminals.
    numbered: bool,
}

impl LinePrompter {
    /// Takes the lines of stdin.
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn from_stdin(context: Context) -> Result<Self, Diagnostic> {
        let echoes = context.has_person();
        Self::new(context, io::BufReader::new(io::stdin()), echoes)
    }

    /// Takes the lines of a reader.
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn new(
        context: Context,
        mut from: impl BufRead + Send + 'static,
        echoes: bool,
    ) -> Result<Self, Diagnostic> {
        let lines = InputSource::start("lines", move || read(&mut from))?;
        let patience = (!echoes).then(|| Patience::with_any_answers(PATIENCE));
        Ok(Self {
            context,
            lines,
            patience,
            told: false,
            echoes,
            head: Vec::new(),
            label: String::new(),
            numbered: false,
        })
    }

    /// Puts each choice on a line of its own with a number, which may be typed.
    #[must_use]
    pub fn numbered(self) -> Self {
        Self { numbered: true, ..self }
    }

    /// Returns the word that a number of the list stands for.
    fn meant(&self, question: &Question, typed: String) -> String {
        let QuestionKind::Choice(choices) = &question.kind else { return typed };
        let number = typed.parse::<usize>().ok().filter(|_| self.numbered);
        let chosen = number.and_then(|number| choices.get(number.checked_sub(1)?));
        chosen.map_or(typed, |(key, _)| key.clone())
    }

    fn put(&mut self, question: &Question) {
        if !self.told {
            self.context.talk(&[ways_out()]);
            self.told = true;
        }
        let Put { lines, label } = match &question.kind {
            QuestionKind::Choice(choices) if self.numbered => menu(question, choices),
            _ => put(question, self.context.width()),
        };
        self.context.talk(&lines);
        self.label = label;
        self.put_label();
    }

    fn put_label(&self) {
        self.context.talk_raw(&format!("{} ", self.label));
    }

    /// Ends the line of the prompt with what was taken, unless the screen did so.
    fn end_line(&self, taken: &str) {
        if !self.echoes {
            self.context.talk_raw(&format!("{}\n", clean(taken)));
        } else if !taken.is_empty() {
            self.context.talk(&[StyledText::of(Role::Value, taken).indented(2)]);
        }
    }

    /// Returns a line, `None` after a moment without one. What ends the line of the prompt is said here, but for an empty
    /// one: whoever asked knows what that stands for.
    fn next(&mut self, question: &Question) -> Result<Option<String>, PromptStop> {
        let next = self.receive();
        match &next {
            Ok(Some(line)) if !self.echoes && !line.is_empty() => self.end_line(line),
            Err(_) => self.context.talk_raw("\n"),
            Ok(_) => {}
        }
        if let (Ok(Some(line)), Some(patience)) = (&next, &mut self.patience) {
            patience.hear(question, line).map_err(PromptStop::Refused)?;
        }
        next
    }

    fn receive(&mut self) -> Result<Option<String>, PromptStop> {
        if signal::stopped() {
            return Err(PromptStop::Interrupted);
        }
        match self.lines.take(LOOK) {
            Ok(Some(line)) => line.map(|line| Some(line.trim().to_owned())).map_err(PromptStop::Refused),
            Ok(None) => Ok(None),
            Err(SourceEnd) if signal::stopped_within(LOOK) => Err(PromptStop::Interrupted),
            Err(SourceEnd) => Err(PromptStop::InputEnded),
        }
    }
}

impl Prompter for LinePrompter {
    fn show(&mut self, lines: &[StyledText]) {
        self.context.show(lines);
    }

    fn ask_or(&mut self, question: &Question, on_enter: OnEnter) -> Result<String, PromptStop> {
        self.put(question);
        loop {
            match self.next(question)? {
                Some(line) if line.is_empty() => {
                    let taken = on_enter().unwrap_or_default();
                    self.end_line(&taken);
                    return Ok(taken);
                }
                Some(line) => return Ok(self.meant(question, line)),
                None => {}
            }
        }
    }

    fn wait(&mut self, question: &Question, wait: &Wait, pace: &mut dyn Pace) -> Result<String, PromptStop> {
        if self.head != wait.head {
            self.head.clone_from(&wait.head);
            self.context.talk(&wait.head);
        }
        if !wait.readings.is_empty() {
            self.context.talk(&[crate::cli::wait::status(wait, pace.now())]);
        }
        self.put(question);
        let mut told = pace.now();
        loop {
            match self.next(question)? {
                Some(line) if line.is_empty() => {
                    let taken = pace.on_enter().unwrap_or_default();
                    self.end_line(&taken);
                    return Ok(taken);
                }
                Some(line) => return Ok(line),
                None => {}
            }
            // Off a terminal time is not compressed by itself: an empty line lets it pass.
            match pace.tick(Duration::ZERO) {
                Tick::Answer(text) => {
                    self.context.talk_raw(&format!("{}\n", clean(&text)));
                    return Ok(text);
                }
                Tick::Said(what) | Tick::Woke(what) => {
                    self.context.talk_raw("\n");
                    self.context.talk(&[StyledText::of(Role::Doubt, what)]);
                    self.put_label();
                }
                Tick::Seen(_) | Tick::Nothing => {}
            }
            if (pace.now() - told).num_seconds() >= 60 {
                told = pace.now();
                self.context.talk_raw("\n");
                self.context.talk(&[crate::cli::wait::status(wait, told)]);
                self.put_label();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::ask::tests::question;
    use crate::cli::clock::Clock;
    use crate::cli::context::OutputFormat;
    use crate::cli::paint::Color;
    use crate::hunt::question::QuestionKind;

    #[test]
    fn lines_answer_in_turn_and_their_end_is_told_apart() {
        let context = Context::new(OutputFormat::Text, Color::Never, Clock::Wall);
        let mut lines = LinePrompter::new(context, io::Cursor::new("12.6 V\r\n\nskip no meter"), false)
            .expect("a thread");
        let question = question("battery.volts", QuestionKind::Line);
        assert_eq!(lines.ask(&question), Ok("12.6 V".into()));
        assert_eq!(lines.ask(&question), Ok(String::new()));
        assert_eq!(lines.ask(&question), Ok("skip no meter".into()));
        assert_eq!(lines.ask(&question), Err(PromptStop::InputEnded));
    }
}
