//! The log as a file: the only place below the edge that touches files, and the clock (for who holds the lock).
//! Promise: an entry is on disk before `append` returns; nothing that was acknowledged is ever changed; one writer.
//! Leaves to others: what the bytes hold (`contents`), how an entry reads (`schema`, `seal`), the files beside it
//! (`store/beside`), new files (`store/new`), failures in words (`failure`).
#![allow(clippy::disallowed_methods, reason = "the one module below the edge that reads and writes files")]

mod beside;
mod new;

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use super::contents::{self, Held, Inspected, LARGEST, NoLog, Unfit};
use super::entry::{Entry, LogEvent};
use super::failure::{during, unfit};
use super::{schema, seal};

pub use self::beside::Torn;
pub(crate) use self::new::{draft_beside, folder_of, sync_folder};
pub use super::failure::StoreError;

/// Tries to get the lock, and the pause between them: a run that is just ending gets time to end.
const TRIES: u32 = 10;
const PAUSE: Duration = Duration::from_millis(10);

/// What a log holds, as it was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Contents {
    /// The entries, in order; the first is entry 1.
    pub entries: Vec<Entry>,
    /// What an interrupted write left behind the last whole entry.
    pub torn: Option<Torn>,
    /// Numbers of the entries that were changed after they were written, or that no longer follow the one before.
    pub edited: Vec<usize>,
    /// Seal of the last entry, to be noted elsewhere: it shows later whether entries were changed or taken off.
    pub seal: String,
}

/// A log opened for writing. The lock is held until this is dropped.
#[derive(Debug)]
pub struct Store {
    path: PathBuf,
    file: File,
    /// Length up to the last whole entry, in bytes.
    length: u64,
    /// Seal of the last entry.
    seal: String,
    /// Number of entries.
    entries: usize,
    /// True when a failed write could not be taken back.
    broken: bool,
    /// Why a log just created might not outlive a power cut, in the system's words.
    not_durable: Option<String>,
}

impl Store {
    /// Creates a log with its first entry. The file appears whole or not at all.
    ///
    /// # Errors
    /// The file exists, the folder is missing or can't be written, the disk is full, or the entry is not of the kind
    /// `open`, or can't be written as YAML.
    pub fn create(path: &Path, first: &Entry) -> Result<Self, StoreError> {
        if !matches!(first.body, LogEvent::Open(_)) {
            return Err(StoreError::Entry(crate::base::diagnostic::Diagnostic::new(
                "a log begins with an entry of the kind open",
            )));
        }
        let mut text = schema::write(first).map_err(StoreError::Entry)?;
        let seal = seal::close(seal::START, &mut text);
        check_size(path, 0, &text)?;
        let placed = new::place(path, text.as_bytes()).map_err(|error| during(path, error))?;
        beside::note_holder(path);
        Ok(Self {
            path: path.to_owned(),
            file: placed.file,
            length: text.len() as u64,
            seal,
            entries: 1,
            broken: false,
            not_durable: placed.not_durable.map(|error| error.to_string()),
        })
    }

    /// Opens a log to write on. A torn tail is moved to a file beside it, `NAME.torn`, before the log goes on.
    ///
    /// # Errors
    /// No such file, a folder, not a log, a newer format, an entry that can't be read any more, over [`LARGEST`],
    /// not writable, or held by another run.
    pub fn open(path: &Path) -> Result<(Self, Contents), StoreError> {
        // Locked and noted under its real name, so that a second way to the same file meets the same lock.
        let path = &fs::canonicalize(path).map_err(|error| during(path, error))?;
        check_kind(path)?;
        let opened = OpenOptions::new().read(true).write(true).open(path);
        let mut file = opened.map_err(|error| during(path, error))?;
        lock(path, &file)?;
        let bytes = read_all(path, &mut file)?;
        let Held { entries, edited, seal, whole } = contents::read(&bytes).map_err(|why| unfit(path, why))?;
        let tail = bytes.get(whole..).unwrap_or_default();
        let torn =
            if tail.is_empty() { None } else { Some(beside::set_aside(path, &file, tail, whole as u64)?) };
        beside::note_holder(path);
        let count = entries.len();
        let store = Self {
            path: path.clone(),
            file,
            length: whole as u64,
            seal: seal.clone(),
            entries: count,
            broken: false,
            not_durable: None,
        };
        Ok((store, Contents { entries, torn, edited, seal }))
    }

    /// Adds entries in one piece and returns the number of the last. When this returns, all of them are on disk; when
    /// it fails, none of them is in the log, but for [`StoreError::Unsure`].
    ///
    /// # Errors
    /// An entry can't be written as YAML; the log was changed by another program since it was opened; the disk is
    /// full or failed: then the log is as it was before, or, where even that could not be had, the error says so.
    pub fn append(&mut self, entries: &[Entry]) -> Result<usize, StoreError> {
        self.check_unchanged()?;
        let mut text = String::new();
        let mut last = self.seal.clone();
        for entry in entries {
            if matches!(entry.body, LogEvent::Open(_)) {
                return Err(StoreError::Entry(crate::base::diagnostic::Diagnostic::new(
                    "only the first entry can be of the kind open",
                )));
            }
            let mut one = schema::write(entry).map_err(StoreError::Entry)?;
            last = seal::close(&last, &mut one);
            check_size(&self.path, self.length + text.len() as u64, &one)?;
            text.push_str(&one);
        }
        if let Err(source) = self.write(text.as_bytes()) {
            return Err(self.take_back(source));
        }
        self.length += text.len() as u64;
        self.seal = last;
        self.entries += entries.len();
        Ok(self.entries)
    }

    /// Returns why a log just created might not outlive a power cut, in the system's words.
    pub fn not_durable(&self) -> Option<&str> {
        self.not_durable.as_deref()
    }

    /// Returns the number of entries.
    pub fn entries(&self) -> usize {
        self.entries
    }

    fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.file.seek(SeekFrom::Start(self.length))?;
        self.file.write_all(bytes)?;
        self.file.sync_data()
    }

    /// Takes a failed write back and returns what the failure means. Where even that fails, nothing more is written:
    /// the entries may be there or not, and the next run finds a torn tail if they are there in part.
    fn take_back(&mut self, source: io::Error) -> StoreError {
        self.broken = self.file.set_len(self.length).is_err();
        if self.broken {
            return StoreError::Unsure { path: self.path.clone(), source };
        }
        // What is on disk is known only once this goes through; what readers see is the old log either way.
        let _ = self.file.sync_data();
        during(&self.path, source)
    }

    /// Finds out whether the file at the path is still the one that was opened, at the length it was left at: an
    /// entry must never go to a deleted file, nor over what an editor saved meanwhile.
    fn check_unchanged(&self) -> Result<(), StoreError> {
        let path = self.path.clone();
        if self.broken {
            return Err(StoreError::Broken { path });
        }
        let ours = self.file.metadata().map_err(|error| during(&self.path, error))?;
        let there = fs::metadata(&self.path);
        if ours.len() != self.length || !there.is_ok_and(|there| is_same(&ours, &there)) {
            return Err(StoreError::Changed { path });
        }
        Ok(())
    }
}

impl Drop for Store {
    fn drop(&mut self) {
        // The note goes before the lock does.
        beside::forget_holder(&self.path);
    }
}

/// Reads a log without touching it. What another run is writing this very moment is not there yet.
///
/// # Errors
/// As for [`Store::open`], except that it may be held or not writable.
pub fn read_only(path: &Path) -> Result<Contents, StoreError> {
    let (bytes, is_written) = look(path)?;
    let Held { entries, edited, seal, whole } = contents::read(&bytes).map_err(|why| unfit(path, why))?;
    let tail = bytes.len() - whole.min(bytes.len());
    // While somebody holds the lock, an unfinished end is being written, not torn.
    let torn = (tail > 0 && !is_written).then_some(Torn { bytes: tail, aside: None });
    Ok(Contents { entries, torn, edited, seal })
}

/// Looks through a log without touching it, entry by entry, whatever is wrong with it.
///
/// # Errors
/// It can't be read, or is no log at all.
pub fn inspect(path: &Path) -> Result<Inspected, StoreError> {
    let (bytes, is_written) = look(path)?;
    let mut inspected = contents::inspect(&bytes).map_err(|why| unfit(path, why))?;
    if is_written {
        inspected.torn = 0;
    }
    Ok(inspected)
}

/// Reads the bytes of a log, and tells whether somebody is writing on it right now.
fn look(path: &Path) -> Result<(Vec<u8>, bool), StoreError> {
    check_kind(path)?;
    let mut file = File::open(path).map_err(|error| during(path, error))?;
    // With the lock shared nobody writes while the bytes are read; it goes when the file is closed.
    let is_written = matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock));
    Ok((read_all(path, &mut file)?, is_written))
}

fn check_kind(path: &Path) -> Result<(), StoreError> {
    let kind = fs::metadata(path).map_err(|error| during(path, error))?;
    if kind.is_dir() {
        return Err(StoreError::Folder { path: path.to_owned() });
    }
    if !kind.is_file() {
        return Err(unfit(path, Unfit::NotALog(NoLog::Device)));
    }
    if kind.len() > LARGEST {
        return Err(StoreError::TooLarge { path: path.to_owned(), size: kind.len() });
    }
    Ok(())
}

fn check_size(path: &Path, length: u64, text: &str) -> Result<(), StoreError> {
    let size = length + text.len() as u64;
    if size > LARGEST {
        return Err(StoreError::TooLarge { path: path.to_owned(), size });
    }
    Ok(())
}

fn read_all(path: &Path, file: &mut File) -> Result<Vec<u8>, StoreError> {
    let mut bytes = Vec::new();
    let mut limited = file.take(LARGEST + 1);
    limited.read_to_end(&mut bytes).map_err(|error| during(path, error))?;
    if bytes.len() as u64 > LARGEST {
        return Err(StoreError::TooLarge { path: path.to_owned(), size: bytes.len() as u64 });
    }
    Ok(bytes)
}

fn lock(path: &Path, file: &File) -> Result<(), StoreError> {
    for _ in 0..TRIES {
        match file.try_lock() {
            Ok(()) => return Ok(()),
            Err(TryLockError::WouldBlock) => std::thread::sleep(PAUSE),
            Err(TryLockError::Error(error)) => return Err(during(path, error)),
        }
    }
    Err(StoreError::Held { path: path.to_owned(), holder: beside::holder(path) })
}

#[cfg(unix)]
fn is_same(ours: &fs::Metadata, there: &fs::Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (ours.dev(), ours.ino()) == (there.dev(), there.ino())
}

#[cfg(not(unix))]
fn is_same(ours: &fs::Metadata, there: &fs::Metadata) -> bool {
    ours.len() == there.len()
}
