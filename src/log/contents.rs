//! What the bytes of a log hold: its entries, which of them were edited, and how much of its end is torn.
//! Leaves to others: reading the file and moving a torn tail away (`store`), what the entries add up to (`replay`).

use super::entry::{Entry, FORMAT, LogEvent};
use super::schema;
use super::seal::{self, Chain};
use super::torn::{self, TornEntry};
use crate::base::caps::YAML_BYTES;
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::clean;

/// What every format name of a log begins with.
const FORMAT_STEM: &str = "fusetrail-hunt/";

/// Lines of the head within which the format has to stand.
const HEAD_LINES: usize = 40;

/// What a log holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// The entries, in order; the first is entry 1.
    pub entries: Vec<Entry>,
    /// Numbers of the entries that were changed after they were written, or that no longer follow the one before.
    pub edited: Vec<usize>,
    /// Seal of the last entry.
    pub seal: String,
    /// Bytes that hold the entries; what follows is torn.
    pub whole: usize,
}

/// Why bytes are no log that can be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unfit {
    /// They are something else.
    NotALog(NoLog),
    /// A log of a newer format: its name.
    Newer(String),
    /// A log with an entry that can no longer be read: its number, and the diagnostic with the line in the file.
    Damaged(usize, Diagnostic),
}

/// How it shows that something is no log.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoLog {
    /// A device or a pipe.
    #[error("it is no plain file")]
    Device,
    /// No bytes.
    #[error("it is empty")]
    Empty,
    /// A head, and nothing more.
    #[error("it holds no whole entry")]
    HeadOnly,
    /// Another format: its name.
    #[error("its format is \"{0}\"")]
    Format(String),
    /// No format.
    #[error("no line of its head says format: {FORMAT}")]
    NoFormat,
}

/// One entry as a look through the log finds it.
#[derive(Debug, Clone, PartialEq)]
pub struct EntryFound {
    /// Its seal as it stands there; `None` where an edit took it away.
    pub seal: Option<String>,
    /// True if it is as it was written and follows the one before.
    pub fits: bool,
    /// The entry, or why it cannot be read any more, with the line in the file.
    pub entry: Result<Entry, Diagnostic>,
}

/// What a look through a log finds.
#[derive(Debug, Clone, PartialEq)]
pub struct Inspected {
    /// The entries, in order; the first is entry 1.
    pub entries: Vec<EntryFound>,
    /// Bytes that hold the entries.
    pub whole: usize,
    /// Bytes behind them, which an interrupted write left.
    pub torn: usize,
}

/// Looks through the bytes of a log, entry by entry, whatever is wrong with them.
///
/// # Errors
/// They are no log of this format at all.
pub fn inspect(bytes: &[u8]) -> Result<Inspected, Unfit> {
    check_head(bytes)?;
    let split = torn::split(bytes);
    let mut chain = Chain::default();
    let mut entries = Vec::with_capacity(split.items.len());
    for (index, item) in split.items.iter().enumerate() {
        let body = bytes.get(item.bytes.start..item.body_end).unwrap_or_default();
        let end = bytes.get(item.body_end..item.bytes.end).unwrap_or_default();
        let seal = item.seal.as_deref();
        // The seal line is in no hash: it must stand there to the byte.
        let fits = chain.fits(body, seal) && seal.is_some_and(|seal| end == seal::line(seal).as_bytes());
        entries.push(EntryFound { seal: item.seal.clone(), fits, entry: entry(bytes, item, index + 1) });
    }
    if entries.is_empty() {
        return Err(Unfit::NotALog(NoLog::HeadOnly));
    }
    Ok(Inspected { entries, whole: split.whole, torn: bytes.len().saturating_sub(split.whole) })
}

/// Reads the bytes of a log.
///
/// Entries that were edited but can still be read are read and named. One that cannot be read any more is an error,
/// since leaving it out would shift the numbers that later entries refer to.
///
/// # Errors
/// See [`Unfit`].
pub fn read(bytes: &[u8]) -> Result<Held, Unfit> {
    let Inspected { entries, whole, .. } = inspect(bytes)?;
    let mut held = Held { entries: Vec::new(), edited: Vec::new(), seal: seal::START.to_owned(), whole };
    for (index, found) in entries.into_iter().enumerate() {
        let number = index + 1;
        held.entries.push(found.entry.map_err(|fault| Unfit::Damaged(number, fault))?);
        if !found.fits {
            held.edited.push(number);
        }
        if let Some(seal) = found.seal {
            held.seal = seal;
        }
    }
    Ok(held)
}

/// Looks at the format before anything else: a newer one may be laid out otherwise.
fn check_head(bytes: &[u8]) -> Result<(), Unfit> {
    if bytes.is_empty() {
        return Err(Unfit::NotALog(NoLog::Empty));
    }
    let format = bytes
        .split(|byte| *byte == b'\n')
        .take(HEAD_LINES)
        .filter_map(|line| std::str::from_utf8(line).ok())
        .find_map(|line| line.trim_start_matches(['-', ' ', '\u{feff}']).strip_prefix("format:"))
        .map(|format| format.trim().trim_matches(['"', '\'']));
    match format {
        Some(FORMAT) => Ok(()),
        Some(format) => match format.strip_prefix(FORMAT_STEM).map(str::parse::<u32>) {
            Some(Ok(version)) if version > 1 => Err(Unfit::Newer(format.to_owned())),
            _ => Err(Unfit::NotALog(NoLog::Format(short(format)))),
        },
        None => Err(Unfit::NotALog(NoLog::NoFormat)),
    }
}

fn short(text: &str) -> String {
    clean(&text.chars().take(60).collect::<String>())
}

/// Reads one entry; a diagnostic's line is that of the file.
fn entry(bytes: &[u8], item: &TornEntry, number: usize) -> Result<Entry, Diagnostic> {
    let part = bytes.get(item.bytes.clone()).unwrap_or_default();
    let text = std::str::from_utf8(part).map_err(|error| {
        let before = part.get(..error.valid_up_to()).unwrap_or_default();
        let line = item.line + before.iter().filter(|byte| **byte == b'\n').count();
        Diagnostic::new("holds bytes that are not UTF-8").on_line(line)
    })?;
    let entry = schema::read(text).map_err(|fault| {
        let line = item.line + fault.place.line.map_or(0, |line| line.saturating_sub(1));
        fault.on_line(line)
    })?;
    if matches!(entry.body, LogEvent::Open(_)) != (number == 1) {
        return Err(Diagnostic::new("only the first entry can be of the kind open").on_line(item.line));
    }
    Ok(entry)
}

/// Largest log that is read or written, in bytes.
pub const LARGEST: u64 = YAML_BYTES as u64;
