//! Asks for piped lines, and at screens that take no control codes. Prompts are plain lines on stderr.
//! One thread reads stdin for the whole run, so that a wait can look at the clock and at Ctrl-C meanwhile.
//! Leaves to others: proper terminals (`terminal`).
#![allow(clippy::disallowed_methods, reason = "reads piped answers from stdin")]

use std::io::{self, BufRead};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use super::{Front, Pace, Stop, Tick, label, put, ways_out};
use crate::cli::desk::Desk;
use crate::cli::signal;
use crate::fault::Fault;
use crate::hunt::question::{Question, Wait};
use crate::piece::{Line, Role, clean};

/// How often the clock and the signals are looked at.
const LOOK: Duration = Duration::from_millis(100);

/// Asks a person outside a hunt; anything but yes is no.
pub fn agrees(desk: &Desk, question: &str) -> bool {
    desk.talk_raw(&format!("{} [y/N] ", clean(question)));
    let mut line = String::new();
    io::stdin().read_line(&mut line).is_ok() && matches!(line.trim().to_lowercase().as_str(), "y" | "yes")
}

/// Piped lines.
#[derive(Debug)]
pub struct Lines {
    desk: Desk,
    lines: Receiver<io::Result<String>>,
    told: bool,
    /// True if what is typed shows on the screen by itself.
    echoes: bool,
    /// What stood above the last wait: said once, not at each reading.
    head: Vec<Line>,
}

impl Lines {
    /// Takes the lines of stdin.
    pub fn from_stdin(desk: Desk) -> Self {
        let echoes = desk.has_person();
        Self::new(desk, io::BufReader::new(io::stdin()), echoes)
    }

    /// Takes the lines of a reader.
    pub fn new(desk: Desk, mut from: impl BufRead + Send + 'static, echoes: bool) -> Self {
        let (sender, lines) = channel();
        thread::spawn(move || {
            loop {
                let mut line = String::new();
                let sent = match from.read_line(&mut line) {
                    Ok(0) => return,
                    Ok(_) => sender.send(Ok(line)),
                    Err(error) => {
                        let _ = sender.send(Err(error));
                        return;
                    }
                };
                if sent.is_err() {
                    return;
                }
            }
        });
        Self { desk, lines, told: false, echoes, head: Vec::new() }
    }

    fn put(&mut self, question: &Question) {
        let mut lines = put(question);
        if !self.told {
            lines.insert(1, ways_out());
            self.told = true;
        }
        self.desk.talk(&lines);
        self.put_label(question);
    }

    fn put_label(&self, question: &Question) {
        self.desk.talk_raw(&format!("{} ", label(question)));
    }

    /// Returns a line, `None` after a moment without one. Whatever ends the line of the prompt is said here.
    fn next(&self) -> Result<Option<String>, Stop> {
        let next = self.receive();
        match &next {
            Ok(Some(line)) if !self.echoes => self.desk.talk_raw(&format!("{}\n", clean(line))),
            Err(_) => self.desk.talk_raw("\n"),
            Ok(_) => {}
        }
        next
    }

    fn receive(&self) -> Result<Option<String>, Stop> {
        if signal::stopped() {
            return Err(Stop::Interrupted);
        }
        match self.lines.recv_timeout(LOOK) {
            Ok(Ok(line)) => Ok(Some(line.trim().to_owned())),
            Ok(Err(error)) => Err(Stop::Refused(
                Fault::new(format!("the input cannot be read: {error}")).expected("lines of UTF-8 text"),
            )),
            Err(RecvTimeoutError::Timeout) => Ok(None),
            Err(RecvTimeoutError::Disconnected) if signal::stopped_within(LOOK) => Err(Stop::Interrupted),
            Err(RecvTimeoutError::Disconnected) => Err(Stop::InputEnded),
        }
    }
}

impl Front for Lines {
    fn show(&mut self, lines: &[Line]) {
        self.desk.show(lines);
    }

    fn ask(&mut self, question: &Question) -> Result<String, Stop> {
        self.put(question);
        loop {
            if let Some(line) = self.next()? {
                return Ok(line);
            }
        }
    }

    fn wait(&mut self, question: &Question, wait: &Wait, pace: &mut dyn Pace) -> Result<String, Stop> {
        if self.head != wait.head {
            self.head.clone_from(&wait.head);
            self.desk.talk(&[Line::new()]);
            self.desk.talk(&wait.head);
        }
        self.desk.talk(&[crate::cli::wait::status(wait, pace.now())]);
        self.put(question);
        let mut told = pace.now();
        loop {
            match self.next()? {
                Some(line) if line.is_empty() => return Ok(pace.on_enter().unwrap_or_default()),
                Some(line) => return Ok(line),
                None => {}
            }
            // Off a terminal time is not compressed by itself: an empty line lets it pass.
            match pace.tick(Duration::ZERO) {
                Tick::Answer(text) => {
                    self.desk.talk_raw(&format!("{}\n", clean(&text)));
                    return Ok(text);
                }
                Tick::Said(what) => {
                    self.desk.talk_raw("\n");
                    self.desk.talk(&[Line::of(Role::Doubt, what)]);
                    self.put_label(question);
                }
                Tick::Seen(_) | Tick::Nothing => {}
            }
            if (pace.now() - told).num_seconds() >= 60 {
                told = pace.now();
                self.desk.talk_raw("\n");
                self.desk.talk(&[crate::cli::wait::status(wait, told)]);
                self.put_label(question);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::ask::tests::question;
    use crate::cli::clock::Clock;
    use crate::cli::desk::Format;
    use crate::cli::paint::Color;
    use crate::hunt::question::Kind;

    #[test]
    fn lines_answer_in_turn_and_their_end_is_told_apart() {
        let desk = Desk::new(Format::Text, Color::Never, Clock::Wall);
        let mut lines = Lines::new(desk, io::Cursor::new("12.6 V\r\n\nskip no meter"), false);
        let question = question("battery.volts", Kind::Line);
        assert_eq!(lines.ask(&question), Ok("12.6 V".into()));
        assert_eq!(lines.ask(&question), Ok(String::new()));
        assert_eq!(lines.ask(&question), Ok("skip no meter".into()));
        assert_eq!(lines.ask(&question), Err(Stop::InputEnded));
    }
}
