//! What the bytes of a log hold: its entries, which of them were edited, and how much of its end is torn.
//! Leaves to others: reading the file and moving a torn tail away (`store`), what the entries add up to (`fold`).

use super::entry::{Body, Entry, FORMAT};
use super::seal::{self, Chain};
use super::torn::{self, Item};
use super::written;
use crate::fault::Fault;
use crate::piece::clean;

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
    /// They are something else: why that is so.
    NotALog(String),
    /// A log of a newer format: its name.
    Newer(String),
    /// A log with an entry that can no longer be read: its number, and the fault with the line in the file.
    Damaged(usize, Fault),
}

/// Reads the bytes of a log.
///
/// Entries that were edited but can still be read are read and named. One that cannot be read any more is an error,
/// since leaving it out would shift the numbers that later entries refer to.
///
/// # Errors
/// See [`Unfit`].
pub fn read(bytes: &[u8]) -> Result<Held, Unfit> {
    check_head(bytes)?;
    let split = torn::split(bytes);
    let mut chain = Chain::default();
    let mut held =
        Held { entries: Vec::new(), edited: Vec::new(), seal: seal::START.to_owned(), whole: split.whole };
    for (index, item) in split.items.iter().enumerate() {
        let number = index + 1;
        let body = bytes.get(item.bytes.start..item.body_end).unwrap_or_default();
        if !chain.fits(body, item.seal.as_deref()) {
            held.edited.push(number);
        }
        if let Some(seal) = &item.seal {
            held.seal.clone_from(seal);
        }
        let entry = entry(bytes, item).map_err(|fault| Unfit::Damaged(number, fault))?;
        if matches!(entry.body, Body::Open(_)) != (number == 1) {
            let fault = Fault::new("only the first entry can be of the kind open").on_line(item.line);
            return Err(Unfit::Damaged(number, fault));
        }
        held.entries.push(entry);
    }
    if held.entries.is_empty() {
        return Err(Unfit::NotALog("it holds no whole entry".to_owned()));
    }
    Ok(held)
}

/// Looks at the format before anything else: a newer one may be laid out otherwise.
fn check_head(bytes: &[u8]) -> Result<(), Unfit> {
    if bytes.is_empty() {
        return Err(Unfit::NotALog("it is empty".to_owned()));
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
            _ => Err(Unfit::NotALog(format!("its format is \"{}\"", short(format)))),
        },
        None => Err(Unfit::NotALog(format!("no line of its head says format: {FORMAT}"))),
    }
}

fn short(text: &str) -> String {
    clean(&text.chars().take(60).collect::<String>())
}

/// Reads one entry; a fault's line is that of the file.
fn entry(bytes: &[u8], item: &Item) -> Result<Entry, Fault> {
    let part = bytes.get(item.bytes.clone()).unwrap_or_default();
    let text = std::str::from_utf8(part).map_err(|error| {
        let before = part.get(..error.valid_up_to()).unwrap_or_default();
        let line = item.line + before.iter().filter(|byte| **byte == b'\n').count();
        Fault::new("holds bytes that are not UTF-8").on_line(line)
    })?;
    written::read(text).map_err(|fault| {
        let line = item.line + fault.place.line.map_or(0, |line| line.saturating_sub(1));
        fault.on_line(line)
    })
}
