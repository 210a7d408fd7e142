//! Keys one by one in raw mode, which is left on every path. Leaves to others: what a key does (`wait`).
#![allow(clippy::disallowed_methods, reason = "hides and shows the cursor on stderr")]

use std::io;
use std::time::Duration;

use crossterm::cursor::{Hide, Show};
use crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers, poll, read};
use crossterm::execute;
use crossterm::terminal::{disable_raw_mode, enable_raw_mode};

/// A key as far as the wait cares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// A character.
    Char(char),
    /// Enter.
    Enter,
    /// Backspace.
    Backspace,
    /// Escape.
    Escape,
    /// Ctrl-C or Ctrl-D.
    Stop,
}

/// Raw mode with a hidden cursor, as long as this lives.
#[derive(Debug)]
pub struct Raw(());

impl Raw {
    /// Enters raw mode.
    ///
    /// # Errors
    /// There is no terminal.
    pub fn enter() -> io::Result<Self> {
        enable_raw_mode()?;
        let raw = Self(());
        execute!(io::stderr(), Hide)?;
        Ok(raw)
    }

    /// Throws away what was typed ahead: it must not turn up as an answer to a later question.
    pub fn drain(&self) {
        while let Ok(true) = poll(Duration::ZERO) {
            if read().is_err() {
                return;
            }
        }
    }

    /// Waits at most this long for a key.
    ///
    /// # Errors
    /// The terminal cannot be read.
    pub fn key(&self, patience: Duration) -> io::Result<Option<Key>> {
        match poll(patience) {
            Ok(true) => {}
            Ok(false) => return Ok(None),
            // A signal came; whoever asks looks at its flag.
            Err(error) if error.kind() == io::ErrorKind::Interrupted => return Ok(None),
            Err(error) => return Err(error),
        }
        Ok(match read()? {
            Event::Key(key) if key.kind != KeyEventKind::Release => meaning(key),
            _ => None,
        })
    }
}

impl Drop for Raw {
    fn drop(&mut self) {
        // Nothing better can be done about a terminal that has gone.
        let _ = execute!(io::stderr(), Show);
        let _ = disable_raw_mode();
    }
}

fn meaning(key: KeyEvent) -> Option<Key> {
    let control = key.modifiers.contains(KeyModifiers::CONTROL);
    match key.code {
        KeyCode::Char('c' | 'd') if control => Some(Key::Stop),
        KeyCode::Char('h') if control => Some(Key::Backspace),
        KeyCode::Char('j' | 'm') if control => Some(Key::Enter),
        KeyCode::Char('u') if control => Some(Key::Escape),
        KeyCode::Char(c) if !control && !c.is_control() => Some(Key::Char(c)),
        KeyCode::Enter => Some(Key::Enter),
        KeyCode::Backspace => Some(Key::Backspace),
        KeyCode::Esc => Some(Key::Escape),
        _ => None,
    }
}
