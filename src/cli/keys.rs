//! Keys one by one in raw mode, which is left on every path, and the line that is typed on.
//! Leaves to others: what a key does (`typing`, `wait`), reading while the clock goes on (`source`).
#![allow(clippy::disallowed_methods, reason = "reads the terminal; hides and shows the cursor on stderr")]

use std::io::{self, Read};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use crossterm::cursor::{Hide, MoveToColumn, Show};
use crossterm::execute;
use crossterm::style::Print;
use crossterm::terminal::{Clear, ClearType, disable_raw_mode, enable_raw_mode};

use super::source::{InputSource, SourceEnd};
use crate::base::diagnostic::Diagnostic;

/// A key as far as anybody here cares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// A character.
    Char(char),
    /// Enter.
    Enter,
    /// Backspace: what stands before the cursor goes.
    Backspace,
    /// Delete: what stands under the cursor goes.
    Delete,
    /// Escape, or Ctrl-U: all that was typed goes.
    Escape,
    /// One to the left.
    Left,
    /// One to the right.
    Right,
    /// To the start.
    Home,
    /// To the end.
    End,
    /// Ctrl-W: the word before the cursor goes.
    Word,
    /// Ctrl-K: what stands behind the cursor goes.
    Rest,
    /// Up: what was typed before.
    Up,
    /// Down: what was typed after that.
    Down,
    /// Ctrl-D: what stands under the cursor goes; on an empty line the end.
    Close,
    /// Ctrl-C.
    Stop,
}

/// Bytes of one key follow each other within this time; an Escape alone is followed by nothing.
const ONE_KEY: Duration = Duration::from_millis(50);

/// Longest sequence that a key sends, in bytes.
const LONGEST: usize = 16;

/// True while the terminal is in raw mode, for whoever has to leave it from outside.
static RAW: AtomicBool = AtomicBool::new(false);

/// Raw mode, as long as this lives.
#[derive(Debug)]
pub struct Raw(());

impl Raw {
    /// Enters raw mode.
    ///
    /// # Errors
    /// There is no terminal.
    pub fn enter() -> io::Result<Self> {
        RAW.store(true, Ordering::SeqCst);
        let raw = Self(());
        enable_raw_mode()?;
        Ok(raw)
    }

    /// Hides the cursor until raw mode is left.
    pub fn hide_cursor(&self) {
        let _ = execute!(io::stderr(), Hide);
    }

    /// Writes the line anew, with the cursor in this column from 0.
    pub fn rewrite(&self, line: &str, column: usize) {
        // A terminal is not as wide as this.
        let column = u16::try_from(column).unwrap_or(u16::MAX);
        let all = (MoveToColumn(0), Print(line), Clear(ClearType::UntilNewLine), MoveToColumn(column));
        // That nobody sees it any more shows when the next key is read.
        let _ = execute!(io::stderr(), all.0, all.1, all.2, all.3);
    }
}

impl Drop for Raw {
    fn drop(&mut self) {
        leave();
    }
}

/// Leaves raw mode if it was entered, and shows the cursor. Nothing better can be done about a terminal that has gone.
pub fn leave() {
    if RAW.swap(false, Ordering::SeqCst) {
        let _ = disable_raw_mode();
        let _ = execute!(io::stderr(), Show);
    }
}

/// The keys of the terminal, for the whole run.
#[derive(Debug)]
pub struct Keyboard {
    bytes: InputSource<u8>,
}

impl Keyboard {
    /// Sits down at the terminal on standard input.
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn start() -> Result<Self, Diagnostic> {
        let mut from = plain_stdin();
        let mut byte = [0];
        let read = move || loop {
            match from.read(&mut byte) {
                Ok(0) => return None,
                Ok(_) => return Some(byte[0]),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                // Nothing else is heard of a terminal that has gone.
                Err(_) => return None,
            }
        };
        Ok(Self { bytes: InputSource::start("keys", read)? })
    }

    /// Throws away what was typed ahead: it must not turn up as an answer to a later question.
    pub fn drain(&mut self) {
        while let Ok(Some(_)) = self.bytes.take(ONE_KEY) {}
    }

    /// Waits at most this long for a key.
    ///
    /// # Errors
    /// The terminal has gone.
    pub fn key(&mut self, patience: Duration) -> Result<Option<Key>, SourceEnd> {
        let Some(first) = self.bytes.take(patience)? else { return Ok(None) };
        Ok(match first {
            0x03 => Some(Key::Stop),
            0x04 => Some(Key::Close),
            0x02 => Some(Key::Left),
            0x06 => Some(Key::Right),
            0x0B => Some(Key::Rest),
            0x0E => Some(Key::Down),
            0x10 => Some(Key::Up),
            0x17 => Some(Key::Word),
            0x01 => Some(Key::Home),
            0x05 => Some(Key::End),
            0x08 | 0x7F => Some(Key::Backspace),
            b'\r' | b'\n' => Some(Key::Enter),
            0x15 => Some(Key::Escape),
            0x1B => self.escaped()?,
            0x20..=0x7E => Some(Key::Char(char::from(first))),
            0xC0.. => self.character(first)?,
            _ => None,
        })
    }

    /// Reads what follows an Escape; keys that mean nothing here are passed over whole.
    fn escaped(&mut self) -> Result<Option<Key>, SourceEnd> {
        match self.bytes.take(ONE_KEY)? {
            None => return Ok(Some(Key::Escape)),
            Some(b'[' | b'O') => {}
            Some(_) => return Ok(None),
        }
        let mut sequence = Vec::new();
        while let Some(byte) = self.bytes.take(ONE_KEY)? {
            sequence.push(byte);
            if matches!(byte, 0x40..=0x7E) || sequence.len() >= LONGEST {
                break;
            }
        }
        Ok(match sequence.as_slice() {
            b"A" => Some(Key::Up),
            b"B" => Some(Key::Down),
            b"D" => Some(Key::Left),
            b"C" => Some(Key::Right),
            b"H" | b"1~" | b"7~" => Some(Key::Home),
            b"F" | b"4~" | b"8~" => Some(Key::End),
            b"3~" => Some(Key::Delete),
            _ => None,
        })
    }

    /// Reads the rest of a character of several bytes; half a character is none.
    fn character(&mut self, first: u8) -> Result<Option<Key>, SourceEnd> {
        let mut bytes = vec![first];
        let length = first.leading_ones() as usize;
        while bytes.len() < length.min(4) {
            match self.bytes.take(ONE_KEY)? {
                Some(byte) => bytes.push(byte),
                None => return Ok(None),
            }
        }
        let text = String::from_utf8(bytes).unwrap_or_default();
        Ok(text.chars().next().filter(|c| !c.is_control()).map(Key::Char))
    }
}

/// Returns standard input without a buffer, where the system has that: what was typed beyond the last answer stays for
/// the shell.
#[cfg(unix)]
fn plain_stdin() -> Box<dyn Read + Send> {
    use std::os::fd::AsFd;
    match io::stdin().as_fd().try_clone_to_owned() {
        Ok(handle) => Box::new(std::fs::File::from(handle)),
        Err(_) => Box::new(io::stdin()),
    }
}

#[cfg(not(unix))]
fn plain_stdin() -> Box<dyn Read + Send> {
    Box::new(io::stdin())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn keys(typed: &'static [u8]) -> Vec<Key> {
        let mut left = typed.iter().copied();
        let mut keyboard =
            Keyboard { bytes: InputSource::start("typed", move || left.next()).expect("a thread") };
        let mut found = Vec::new();
        while let Ok(key) = keyboard.key(Duration::from_secs(20)) {
            found.extend(key);
        }
        found
    }

    #[test]
    fn keys_are_told_apart_and_what_means_nothing_is_passed_over() {
        use Key::{
            Backspace, Char, Close, Delete, Down, End, Enter, Escape, Home, Left, Rest, Right, Stop, Up, Word,
        };
        assert_eq!(
            keys(b"a \r\n\x7f\x08\x15\x03\x04"),
            [Char('a'), Char(' '), Enter, Enter, Backspace, Backspace, Escape, Stop, Close]
        );
        assert_eq!(
            keys(b"\x1b[D\x1b[C\x1bOH\x1b[4~\x1b[3~\x1b[1;5Dx"),
            [Left, Right, Home, End, Delete, Char('x')]
        );
        assert_eq!(keys(b"\x17\x0b\x1b[A\x1b[B\x10\x0e"), [Word, Rest, Up, Down, Up, Down]);
        assert_eq!(keys("é€\u{9b}µ".as_bytes()), [Char('é'), Char('€'), Char('µ')]);
        assert_eq!(keys(b"\xff\x80q\xc3"), [], "the four bytes that 0xff begins are no character");
    }
}
