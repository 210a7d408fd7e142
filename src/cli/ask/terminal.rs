//! Asks at a terminal. The question is wrapped above; only a short label stands on the line that is typed.
//! Leaves to others: the settling screen (`wait`), screens without control codes (`lines`).

use std::fmt;
use std::io;
use std::time::Duration;

use dialoguer::Input;
use dialoguer::theme::Theme;

use super::{Front, Pace, Stop, label, put, ways_out};
use crate::cli::desk::Desk;
use crate::cli::signal;
use crate::cli::wait;
use crate::fault::Fault;
use crate::hunt::question::{Question, Wait};
use crate::piece::{Line, Role};

/// A person at a terminal.
#[derive(Debug)]
pub struct Terminal {
    desk: Desk,
    told: bool,
    /// What stood above the last wait: said once, not at each reading.
    head: Vec<Line>,
}

impl Terminal {
    /// Sits a person down at the terminal.
    pub fn new(desk: Desk) -> Self {
        Self { desk, told: false, head: Vec::new() }
    }

    fn put(&mut self, question: &Question) {
        let mut lines = put(question);
        if !self.told {
            lines.insert(1, ways_out());
            self.told = true;
        }
        self.desk.talk(&lines);
    }
}

impl Front for Terminal {
    fn show(&mut self, lines: &[Line]) {
        self.desk.show(lines);
    }

    fn ask(&mut self, question: &Question) -> Result<String, Stop> {
        self.put(question);
        read_line(&label(question), question.default.as_deref().unwrap_or(""))
    }

    fn wait(&mut self, question: &Question, wait: &Wait, pace: &mut dyn Pace) -> Result<String, Stop> {
        if self.head != wait.head {
            self.head.clone_from(&wait.head);
            self.desk.talk(&[Line::new()]);
            self.desk.talk(&wait.head);
            self.put(question);
            self.desk.talk(&[how_to_wait()]);
        }
        wait::watch(wait, question.unit, pace, &self.desk)
    }
}

fn how_to_wait() -> Line {
    Line::of(Role::Hint, "Type a reading and press Enter at any time; q leaves, and the clock goes on.")
}

/// Label and default on the prompt line, and nothing else.
struct Bare<'a> {
    default: &'a str,
}

impl Theme for Bare<'_> {
    fn format_input_prompt(&self, f: &mut dyn fmt::Write, prompt: &str, _: Option<&str>) -> fmt::Result {
        write!(f, "{prompt} ")
    }

    fn format_input_prompt_selection(
        &self,
        f: &mut dyn fmt::Write,
        prompt: &str,
        typed: &str,
    ) -> fmt::Result {
        let typed = if typed.is_empty() { self.default } else { typed };
        write!(f, "{prompt} {}", crate::piece::clean(typed))
    }
}

fn read_line(label: &str, default: &str) -> Result<String, Stop> {
    loop {
        if signal::stopped() {
            return Err(Stop::Interrupted);
        }
        let theme = Bare { default };
        let prompt = Input::<String>::with_theme(&theme).with_prompt(label).allow_empty(true);
        let dialoguer::Error::IO(error) = match prompt.interact_text() {
            Ok(typed) => return Ok(typed),
            Err(error) => error,
        };
        match error.kind() {
            // A resized window interrupts reading just as Ctrl-C does; only the latter raises the flag, a moment later.
            io::ErrorKind::Interrupted if !signal::stopped_within(Duration::from_millis(100)) => {}
            io::ErrorKind::Interrupted | io::ErrorKind::UnexpectedEof => return Err(Stop::Interrupted),
            _ => return Err(Stop::Refused(Fault::new(format!("the terminal cannot be read: {error}")))),
        }
    }
}
