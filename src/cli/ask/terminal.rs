//! Asks at a terminal. The question is wrapped above; only a short label stands on the line that is typed.
//! Leaves to others: the settling screen (`wait`), screens without control codes (`lines`).

use std::time::Duration;

use super::{Front, Pace, Stop, label, put, ways_out};
use crate::cli::desk::Desk;
use crate::cli::keys::{Key, Keyboard, Raw};
use crate::cli::paint::columns;
use crate::cli::signal;
use crate::cli::source::Ended;
use crate::cli::typing::Typing;
use crate::cli::wait::{self, no_terminal};
use crate::fault::Fault;
use crate::hunt::question::{Question, Wait};
use crate::piece::{Line, Role, clean};

/// How often the signals are looked at.
const LOOK: Duration = Duration::from_millis(100);

/// A person at a terminal.
#[derive(Debug)]
pub struct Terminal {
    desk: Desk,
    keyboard: Keyboard,
    told: bool,
    /// What stood above the last wait: said once, not at each reading.
    head: Vec<Line>,
}

impl Terminal {
    /// Sits a person down at the terminal.
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn new(desk: Desk) -> Result<Self, Fault> {
        Ok(Self { desk, keyboard: Keyboard::start()?, told: false, head: Vec::new() })
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
        read_line(&mut self.keyboard, question, &self.desk)
    }

    fn wait(&mut self, question: &Question, wait: &Wait, pace: &mut dyn Pace) -> Result<String, Stop> {
        if self.head != wait.head {
            self.head.clone_from(&wait.head);
            self.desk.talk(&[Line::new()]);
            self.desk.talk(&wait.head);
            self.put(question);
            self.desk.talk(&[how_to_wait()]);
        }
        wait::watch(wait, question.unit, pace, &mut self.keyboard, &self.desk)
    }
}

fn how_to_wait() -> Line {
    Line::of(Role::Hint, "Type a reading and press Enter at any time; q leaves, and the clock goes on.")
}

/// Reads one line behind a label. Whatever is taken stands there in the end.
fn read_line(keyboard: &mut Keyboard, question: &Question, desk: &Desk) -> Result<String, Stop> {
    let label = label(question);
    let raw = Raw::enter().map_err(|error| no_terminal(&error))?;
    let mut typing = Typing::default();
    let outcome = loop {
        if signal::stopped() {
            break Err(Stop::Interrupted);
        }
        // The last column stays free: a full line would make the cursor wrap.
        let room = desk.width().saturating_sub(columns(&label) + 2);
        let (text, column) = typing.shown(room);
        raw.rewrite(&format!("{label} {text}"), columns(&label) + 1 + column);
        match key(keyboard) {
            Ok(Key::Stop) | Err(_) => break Err(Stop::Interrupted),
            Ok(key) => {
                if let Some(text) = typing.take(key) {
                    break Ok(text);
                }
            }
        }
    };
    if let Ok(text) = &outcome {
        let taken = if text.is_empty() { question.default.as_deref().unwrap_or("") } else { text };
        raw.rewrite(&format!("{label} "), columns(&label) + 1);
        drop(raw);
        desk.talk_raw(&format!("{}\n", clean(taken)));
    } else {
        drop(raw);
        desk.talk_raw("\n");
    }
    outcome
}

/// Waits for a key that means something, looking at the signals meanwhile.
fn key(keyboard: &mut Keyboard) -> Result<Key, Ended> {
    loop {
        match keyboard.key(LOOK)? {
            Some(key) => return Ok(key),
            None if signal::stopped() => return Ok(Key::Stop),
            None => {}
        }
    }
}
