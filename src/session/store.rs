//! The log as a file: the only place below the edge that touches files, and the clock (for who holds the lock).
//! Promise: an entry is on disk before `append` returns; nothing that was acknowledged is ever changed; one writer.
//! Leaves to others: what the bytes hold (`contents`), how an entry reads (`written`, `seal`), failures in words
//! (`failure`).
#![allow(clippy::disallowed_methods, reason = "the one module below the edge that reads and writes files")]

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{DateTime, Local};

use super::contents::{self, Held, Unfit};
use super::entry::{Body, Entry};
use super::failure::{during, unfit};
use super::{seal, written};
use crate::yaml::{self, Mapping};

pub use super::failure::StoreError;

/// Largest log that is read or written, in bytes.
pub const LARGEST: u64 = 64 * 1024 * 1024;

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

/// A torn tail.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Torn {
    /// Its bytes.
    pub bytes: usize,
    /// Where it was set aside; `None` if the log was opened for reading only and nothing was changed.
    pub aside: Option<PathBuf>,
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
}

impl Store {
    /// Creates a log with its first entry. The file appears whole or not at all.
    ///
    /// # Errors
    /// The file exists, the folder is missing or can't be written, the disk is full, or the entry is not of the kind
    /// `open`, or can't be written as YAML.
    pub fn create(path: &Path, first: &Entry) -> Result<Self, StoreError> {
        if !matches!(first.body, Body::Open(_)) {
            return Err(StoreError::Entry(crate::fault::Fault::new(
                "a log begins with an entry of the kind open",
            )));
        }
        let mut text = written::write(first).map_err(StoreError::Entry)?;
        let seal = seal::close(seal::START, &mut text);
        check_size(path, 0, &text)?;
        let file = place(path, text.as_bytes()).map_err(|error| during(path, error))?;
        note_holder(path);
        Ok(Self { path: path.to_owned(), file, length: text.len() as u64, seal, entries: 1, broken: false })
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
        let torn = if tail.is_empty() { None } else { Some(set_aside(path, &file, tail, whole as u64)?) };
        note_holder(path);
        let count = entries.len();
        let store = Self {
            path: path.clone(),
            file,
            length: whole as u64,
            seal: seal.clone(),
            entries: count,
            broken: false,
        };
        Ok((store, Contents { entries, torn, edited, seal }))
    }

    /// Adds an entry and returns its number. When this returns, the entry is on disk.
    ///
    /// # Errors
    /// The entry can't be written as YAML; the log was changed by another program since it was opened; the disk is
    /// full or failed: then the log is as it was before.
    pub fn append(&mut self, entry: &Entry) -> Result<usize, StoreError> {
        if matches!(entry.body, Body::Open(_)) {
            return Err(StoreError::Entry(crate::fault::Fault::new(
                "only the first entry can be of the kind open",
            )));
        }
        self.check_unchanged()?;
        let mut text = written::write(entry).map_err(StoreError::Entry)?;
        let seal = seal::close(&self.seal, &mut text);
        check_size(&self.path, self.length, &text)?;
        if let Err(error) = self.write(text.as_bytes()) {
            self.take_back();
            return Err(during(&self.path, error));
        }
        self.length += text.len() as u64;
        self.seal = seal;
        self.entries += 1;
        Ok(self.entries)
    }

    /// Returns the path of the log.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Returns the seal of the last entry.
    pub fn seal(&self) -> &str {
        &self.seal
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

    /// Takes a failed write back. Where even that fails, nothing more is written: the next run finds a torn tail.
    fn take_back(&mut self) {
        let taken = self.file.set_len(self.length).and_then(|()| self.file.sync_data());
        self.broken = taken.is_err();
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
        // The note goes before the lock does; without a note a later run merely cannot tell who held it.
        let _ = fs::remove_file(beside(&self.path, ".lock"));
    }
}

/// Reads a log without touching it. What another run is writing this very moment is not there yet.
///
/// # Errors
/// As for [`Store::open`], except that it may be held or not writable.
pub fn read_only(path: &Path) -> Result<Contents, StoreError> {
    check_kind(path)?;
    let mut file = File::open(path).map_err(|error| during(path, error))?;
    let bytes = read_all(path, &mut file)?;
    let Held { entries, edited, seal, whole } = contents::read(&bytes).map_err(|why| unfit(path, why))?;
    let tail = bytes.len() - whole.min(bytes.len());
    // While somebody holds the lock, an unfinished end is being written, not torn.
    let is_torn = tail > 0 && !matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock));
    let torn = is_torn.then_some(Torn { bytes: tail, aside: None });
    Ok(Contents { entries, torn, edited, seal })
}

fn check_kind(path: &Path) -> Result<(), StoreError> {
    let kind = fs::metadata(path).map_err(|error| during(path, error))?;
    if kind.is_dir() {
        return Err(StoreError::Folder { path: path.to_owned() });
    }
    if !kind.is_file() {
        return Err(unfit(path, Unfit::NotALog("it is no plain file".to_owned())));
    }
    if kind.len() > LARGEST {
        return Err(StoreError::TooLarge { path: path.to_owned() });
    }
    Ok(())
}

fn check_size(path: &Path, length: u64, text: &str) -> Result<(), StoreError> {
    if text.len() > yaml::LARGEST || length + text.len() as u64 > LARGEST {
        return Err(StoreError::TooLarge { path: path.to_owned() });
    }
    Ok(())
}

fn read_all(path: &Path, file: &mut File) -> Result<Vec<u8>, StoreError> {
    let mut bytes = Vec::new();
    let mut limited = file.take(LARGEST + 1);
    limited.read_to_end(&mut bytes).map_err(|error| during(path, error))?;
    if bytes.len() as u64 > LARGEST {
        return Err(StoreError::TooLarge { path: path.to_owned() });
    }
    Ok(bytes)
}

/// Puts a new file in its place, locked, with its first bytes on disk.
fn place(path: &Path, bytes: &[u8]) -> io::Result<File> {
    if let Ok(there) = fs::symlink_metadata(path) {
        let kind = if there.is_dir() { io::ErrorKind::IsADirectory } else { io::ErrorKind::AlreadyExists };
        return Err(kind.into());
    }
    let folder = folder_of(path);
    // The crate tells the draft's name in its message, which would only puzzle.
    let mut draft = draft().tempfile_in(folder).map_err(|error| io::Error::from(error.kind()))?;
    draft.as_file().try_lock().map_err(io::Error::from)?;
    draft.write_all(bytes)?;
    draft.as_file().sync_all()?;
    let file = match draft.persist_noclobber(path) {
        Ok(file) => file,
        Err(failed) if failed.error.kind() == io::ErrorKind::AlreadyExists => return Err(failed.error),
        // Some file systems can rename, but cannot rename without overwriting.
        Err(failed) if fs::symlink_metadata(path).is_err() => failed.file.persist(path)?,
        Err(failed) => return Err(failed.error),
    };
    sync_folder(folder)?;
    Ok(file)
}

fn draft() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".fusetrail-").suffix(".part");
    // A log is as readable as any other new file, not private as temporary files are.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder
}

fn lock(path: &Path, file: &File) -> Result<(), StoreError> {
    for _ in 0..TRIES {
        match file.try_lock() {
            Ok(()) => return Ok(()),
            Err(TryLockError::WouldBlock) => std::thread::sleep(PAUSE),
            Err(TryLockError::Error(error)) => return Err(during(path, error)),
        }
    }
    Err(StoreError::Held { path: path.to_owned(), holder: holder(path) })
}

/// Notes who holds the lock, in a file beside the log. The lock itself is on the log; the note only helps people, so
/// failing to write it is no failure.
fn note_holder(path: &Path) {
    let since = Local::now().to_rfc3339_opts(chrono::SecondsFormat::Secs, false);
    let _ = fs::write(beside(path, ".lock"), format!("pid: {}\nsince: \"{since}\"\n", std::process::id()));
}

/// Returns who holds the lock, in words, as far as the note can be read.
fn holder(path: &Path) -> String {
    let told = || {
        let text = fs::read_to_string(beside(path, ".lock")).ok()?;
        let note: Mapping = yaml::read(&text).ok()?;
        let pid = note.get("pid")?.as_u64()?;
        let since = DateTime::parse_from_rfc3339(note.get("since")?.as_str()?).ok()?;
        Some(format!("process {pid}, since {}", since.format("%Y-%m-%d %H:%M:%S")))
    };
    told().unwrap_or_else(|| "another run".to_owned())
}

/// Moves a torn tail to a file beside the log: first it is on disk there, then the log is cut.
fn set_aside(path: &Path, log: &File, tail: &[u8], whole: u64) -> Result<Torn, StoreError> {
    let aside = beside(path, ".torn");
    let kept = || {
        let mut file = OpenOptions::new().append(true).create(true).open(&aside)?;
        file.write_all(tail)?;
        file.sync_all()?;
        sync_folder(folder_of(path))
    };
    kept().map_err(|error| during(&aside, error))?;
    log.set_len(whole).and_then(|()| log.sync_all()).map_err(|error| during(path, error))?;
    Ok(Torn { bytes: tail.len(), aside: Some(aside) })
}

/// Returns the path of a file beside the log: its name with an ending added.
fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Puts a folder's list of files on disk, where the system has that.
fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
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
