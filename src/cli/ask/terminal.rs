//! Asks at a terminal. The question is wrapped above; only a short label stands on the line that is typed.
//! Leaves to others: the settling screen (`wait`), screens without control codes (`lines`).

use std::time::Duration;

use super::{OnEnter, Pace, PromptStop, Prompter, Put, put, ways_out};
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::{Role, StyledText, clean};
use crate::cli::context::Context;
use crate::cli::keys::{Key, Keyboard, Raw};
use crate::cli::paint::columns;
use crate::cli::signal;
use crate::cli::source::SourceEnd;
use crate::cli::typing::Typing;
use crate::cli::wait::{self, no_terminal};
use crate::hunt::question::{Question, Wait};
use crate::text::ask::bench::HOW_TO_WAIT;

/// How often the signals are looked at.
const LOOK: Duration = Duration::from_millis(100);

/// A person at a terminal.
#[derive(Debug)]
pub struct Terminal {
    context: Context,
    keyboard: Keyboard,
    told: bool,
    /// What stood above the last wait: said once, not at each reading.
    head: Vec<StyledText>,
    /// What was typed in this hunt, the newest last.
    history: Vec<String>,
}

impl Terminal {
    /// Sits a person down at the terminal.
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn new(context: Context) -> Result<Self, Diagnostic> {
        Ok(Self { context, keyboard: Keyboard::start()?, told: false, head: Vec::new(), history: Vec::new() })
    }

    fn put(&mut self, question: &Question) -> String {
        if !self.told {
            self.context.talk(&[ways_out()]);
            self.told = true;
        }
        let Put { lines, label } = put(question, self.context.width());
        self.context.talk(&lines);
        label
    }
}

impl Prompter for Terminal {
    fn show(&mut self, lines: &[StyledText]) {
        self.context.show(lines);
    }

    fn ask_or(&mut self, question: &Question, on_enter: OnEnter) -> Result<String, PromptStop> {
        let label = self.put(question);
        let typed = read_line(&mut self.keyboard, &self.history, question, &label, on_enter, &self.context)?;
        if !typed.is_empty() && self.history.last() != Some(&typed) {
            self.history.push(typed.clone());
        }
        Ok(typed)
    }

    fn wait(&mut self, question: &Question, wait: &Wait, pace: &mut dyn Pace) -> Result<String, PromptStop> {
        if self.head != wait.head {
            self.head.clone_from(&wait.head);
            self.context.talk(&wait.head);
            self.context.talk(&[how_to_wait()]);
        }
        wait::watch(wait, question.unit, pace, &mut self.keyboard, &self.context)
    }
}

fn how_to_wait() -> StyledText {
    StyledText::of(Role::Hint, HOW_TO_WAIT)
}

/// Reads one line behind a label. Whatever is taken stands there in the end.
fn read_line(
    keyboard: &mut Keyboard,
    history: &[String],
    question: &Question,
    label: &str,
    on_enter: OnEnter,
    context: &Context,
) -> Result<String, PromptStop> {
    let raw = Raw::enter().map_err(|error| no_terminal(&error))?;
    let mut typing = Typing::default();
    // How far back in what was typed before.
    let mut back = 0;
    let outcome = loop {
        if signal::stopped() {
            break Err(PromptStop::Interrupted);
        }
        // The last column stays free: a full line would make the cursor wrap.
        let room = context.width().saturating_sub(columns(label) + 2);
        let (text, column) = typing.shown(room);
        raw.rewrite(&format!("{label} {text}"), columns(label) + 1 + column);
        match key(keyboard) {
            Ok(Key::Stop) | Err(_) => break Err(PromptStop::Interrupted),
            Ok(Key::Close) if typing.is_empty() => break Err(PromptStop::Interrupted),
            Ok(key @ (Key::Up | Key::Down)) => {
                back = if key == Key::Up { (back + 1).min(history.len()) } else { back.saturating_sub(1) };
                typing.put(history.iter().rev().nth(back.wrapping_sub(1)).map_or("", String::as_str));
            }
            Ok(key) => {
                if let Some(text) = typing.take(key) {
                    break Ok(if text.is_empty() { on_enter().unwrap_or_default() } else { text });
                }
            }
        }
    };
    if let Ok(text) = &outcome {
        let taken = if text.is_empty() { question.default.as_deref().unwrap_or("") } else { text };
        raw.rewrite(&format!("{label} "), columns(label) + 1);
        drop(raw);
        context.talk_raw(&format!("{}\n", clean(taken)));
    } else {
        drop(raw);
        context.talk_raw("\n");
    }
    outcome
}

/// Waits for a key that means something, looking at the signals meanwhile.
fn key(keyboard: &mut Keyboard) -> Result<Key, SourceEnd> {
    loop {
        match keyboard.key(LOOK)? {
            Some(key) => return Ok(key),
            None if signal::stopped() => return Ok(Key::Stop),
            None => {}
        }
    }
}
