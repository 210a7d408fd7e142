//! Runs a command of the user's for each event, one after the other, on a thread of its own: whoever watches never waits
//! for it. It is split into words and started as it stands, by no shell; the event comes on its standard input.
//! Leaves to others: what the event is (`render/json/guard`), saying what became of it (`text/guard`).
#![allow(clippy::disallowed_methods, reason = "waits for a process, and lends it our stderr")]

use std::io::{self, Write};
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, TryRecvError, sync_channel};
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::{signal, thread};
use crate::base::diagnostic::Diagnostic;
use crate::text::guard::ErrandEnd;

/// Longest time that a command may take.
const LONGEST: Duration = Duration::from_secs(60);

/// How often it is looked whether it has ended.
const LOOK: Duration = Duration::from_millis(20);

/// Events that may wait for the command.
const WAITING: usize = 8;

/// Time that a command which still runs has once the watch is over.
const FAREWELL: Duration = Duration::from_secs(3);

/// A command at the ready.
#[derive(Debug)]
pub struct Errand {
    /// The command as it was given.
    pub command: String,
    events: SyncSender<String>,
    ends: Receiver<ErrandEnd>,
    over: Arc<AtomicBool>,
}

/// Splits a command into words; quotes hold blanks together. On Windows a backslash parts folders and is itself.
fn words(command: &str) -> Result<(String, Vec<String>), Diagnostic> {
    let text = if cfg!(windows) { command.replace('\\', "\\\\") } else { command.to_owned() };
    let wrong = |what: &str| Diagnostic::new(format!("\"{command}\": {what}"));
    let mut words = shell_words::split(&text).map_err(|_| wrong("no closing quote"))?.into_iter();
    let program = words.next().filter(|word| !word.is_empty());
    Ok((program.ok_or_else(|| wrong("names no command"))?, words.collect()))
}

impl Errand {
    /// Makes a command ready.
    ///
    /// # Errors
    /// It has no words, or a quote that is not closed; the system gives no thread.
    pub fn new(command: &str) -> Result<Self, Diagnostic> {
        let (program, arguments) = words(command)?;
        let (events, waiting) = sync_channel::<String>(WAITING);
        let (said, ends) = sync_channel(2 * WAITING);
        let over = Arc::new(AtomicBool::new(false));
        let ending = Arc::clone(&over);
        thread::start("on-wake", move || {
            for event in waiting {
                let mut command = Command::new(&program);
                command.args(&arguments);
                if let Some(end) = once(command, event, LONGEST, &ending) {
                    // Nobody hears of more than fits; the watch has been told of the first.
                    let _ = said.try_send(end);
                }
            }
        })?;
        Ok(Self { command: command.to_owned(), events, ends, over })
    }

    /// Has it run with this event, once it is through with those before.
    pub fn run(&self, event: String) -> Option<ErrandEnd> {
        self.events.try_send(event).err().map(|_| ErrandEnd::Busy)
    }

    /// Returns what became of those that are through, where there is something to say.
    pub fn ended(&self) -> Vec<ErrandEnd> {
        self.ends.try_iter().collect()
    }

    /// Gives what still runs a little time, and ends it then; returns what is left to say.
    pub fn finish(self) -> Vec<ErrandEnd> {
        drop(self.events);
        let mut left = Vec::new();
        let begun = Instant::now();
        loop {
            match self.ends.recv_timeout(LOOK) {
                Ok(end) => left.push(end),
                Err(RecvTimeoutError::Disconnected) => return left,
                Err(RecvTimeoutError::Timeout) => {}
            }
            if begun.elapsed() > FAREWELL || signal::stopped() {
                self.over.store(true, Ordering::SeqCst);
            }
            if begun.elapsed() > 2 * FAREWELL
                || signal::stopped() && self.ends.try_recv() == Err(TryRecvError::Empty)
            {
                return left;
            }
        }
    }
}

/// Runs a command with an event on its standard input; returns what there is to say of it.
fn once(mut command: Command, event: String, longest: Duration, over: &AtomicBool) -> Option<ErrandEnd> {
    if over.load(Ordering::SeqCst) {
        return Some(ErrandEnd::Busy);
    }
    // What it says goes aside: our own output is data.
    command.stdin(Stdio::piped()).stdout(Stdio::from(io::stderr()));
    let mut child = match command.spawn() {
        Ok(child) => child,
        Err(error) => return Some(ErrandEnd::NotBegun(error.to_string())),
    };
    if let Some(mut input) = child.stdin.take() {
        // Whoever doesn't read it holds up nothing but this thread, which ends with the command.
        let _ = thread::start("event", move || drop(input.write_all(event.as_bytes())));
    }
    let begun = Instant::now();
    loop {
        match child.try_wait() {
            Ok(Some(status)) if status.success() => return None,
            Ok(Some(status)) => return Some(ErrandEnd::Failed(status.code())),
            Err(error) => return Some(ErrandEnd::NotBegun(error.to_string())),
            Ok(None) if begun.elapsed() > longest || over.load(Ordering::SeqCst) => {
                let _ = child.kill().and_then(|()| child.wait());
                return Some(ErrandEnd::TooLong(begun.elapsed().as_secs()));
            }
            Ok(None) => sleep(LOOK),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_command_is_words_and_no_shell_line() {
        let said = |text: &str| words(text).map(|(program, rest)| [vec![program], rest].concat());
        assert_eq!(
            said("notify 'a b' \"c d\" $HOME;ls").expect("words"),
            ["notify", "a b", "c d", "$HOME;ls"]
        );
        for text in ["", "  ", "''", "say 'no"] {
            assert!(said(text).is_err(), "{text}");
        }
    }

    #[test]
    fn what_hangs_is_ended_and_said() {
        let mut hangs = Command::new("sleep");
        hangs.arg("600");
        let end = once(hangs, String::new(), Duration::from_millis(50), &AtomicBool::new(false));
        assert_eq!(end, Some(ErrandEnd::TooLong(0)));
    }

    #[test]
    fn what_is_not_there_is_said_and_what_reads_nothing_is_not_waited_for() {
        let run =
            |name: &str| once(Command::new(name), "x".repeat(1 << 20), LONGEST, &AtomicBool::new(false));
        assert!(matches!(run("no-such-command-here"), Some(ErrandEnd::NotBegun(_))));
        assert_eq!((run("true"), run("false")), (None, Some(ErrandEnd::Failed(Some(1)))));
    }
}
