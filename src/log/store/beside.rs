//! Files beside a log: who writes on it (`NAME.lock`), and torn ends set aside (`NAME.torn`, `NAME.torn-2` …).
//! Promise: only what this program made is read, replaced or removed; a new file takes a name that was free, and no
//! link is followed, since a log may lie in a folder that somebody else packed.
//! Leaves to others: the lock itself, which is on the log (`store`).
#![allow(clippy::disallowed_methods, reason = "reads and writes the files beside a log")]

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, Local};

use super::StoreError;
use super::new::{draft_beside, folder_of, sync_folder};
use crate::base::yaml::{self, Mapping};
use crate::log::failure::during;

/// Largest note that is read, in bytes: those written here have some 50.
const LARGEST_NOTE: u64 = 200;

/// Most torn ends that are kept beside one log; a person has looked at them long before.
const MOST_TORN: usize = 1000;

/// A torn tail.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Torn {
    /// Its bytes.
    pub bytes: usize,
    /// Where it was set aside; `None` if the log was opened for reading only and nothing was changed.
    pub aside: Option<PathBuf>,
}

/// Who holds a lock, as noted.
struct LockHolder {
    pid: u64,
    since: DateTime<chrono::FixedOffset>,
}

/// Notes who holds the lock. The lock is on the log; the note only helps people, so failing to write it is no
/// failure. Whatever else has the name stays as it is.
pub(super) fn note_holder(log: &Path) {
    let place = beside(log, ".lock");
    let since = Local::now().to_rfc3339_opts(chrono::SecondsFormat::Secs, false);
    let write = || -> io::Result<()> {
        let mut draft = draft_beside(log)?;
        draft.write_all(format!("pid: {}\nsince: \"{since}\"\n", std::process::id()).as_bytes())?;
        // A note that a killed run left is replaced by renaming, which follows no link.
        if read_note(&place).is_some() {
            draft.persist(&place).map(drop).map_err(|failed| failed.error)
        } else {
            fs::hard_link(draft.path(), &place)
        }
    };
    let _ = write();
}

/// Removes the note of this process, if it is that.
pub(super) fn forget_holder(log: &Path) {
    let place = beside(log, ".lock");
    if read_note(&place).is_some_and(|holder| holder.pid == u64::from(std::process::id())) {
        // Without a note a later run merely cannot tell who held the lock.
        let _ = fs::remove_file(place);
    }
}

/// Returns who holds the lock, in words, as far as the note tells it.
pub(super) fn holder(log: &Path) -> String {
    read_note(&beside(log, ".lock")).map_or_else(
        || "another run".to_owned(),
        |holder| format!("process {}, since {}", holder.pid, holder.since.format("%Y-%m-%d %H:%M:%S")),
    )
}

/// Reads a note; `None` if the name is free, or is no file, or holds anything but such a note.
fn read_note(place: &Path) -> Option<LockHolder> {
    let there = fs::symlink_metadata(place).ok()?;
    if !there.is_file() || there.len() > LARGEST_NOTE {
        return None;
    }
    let mut text = String::new();
    File::open(place).ok()?.take(LARGEST_NOTE).read_to_string(&mut text).ok()?;
    let note: Mapping = yaml::read(&text).ok()?;
    let since = DateTime::parse_from_rfc3339(note.get("since")?.as_str()?).ok()?;
    (note.len() == 2).then_some(LockHolder { pid: note.get("pid")?.as_u64()?, since })
}

/// Moves a torn tail to a file beside the log: first it is on disk there, then the log is cut.
pub(super) fn set_aside(path: &Path, log: &File, tail: &[u8], whole: u64) -> Result<Torn, StoreError> {
    let (mut file, aside) = free_place(path)?;
    let kept =
        file.write_all(tail).and_then(|()| file.sync_all()).and_then(|()| sync_folder(folder_of(path)));
    if let Err(source) = kept {
        // Made a moment ago, and of no use.
        let _ = fs::remove_file(&aside);
        return Err(StoreError::Aside { path: path.to_owned(), aside, source });
    }
    log.set_len(whole).and_then(|()| log.sync_all()).map_err(|error| during(path, error))?;
    Ok(Torn { bytes: tail.len(), aside: Some(aside) })
}

/// Makes a file for a torn tail, of a name that was free.
fn free_place(log: &Path) -> Result<(File, PathBuf), StoreError> {
    let mut aside = beside(log, ".torn");
    for number in 2..=MOST_TORN {
        match OpenOptions::new().write(true).create_new(true).open(&aside) {
            Ok(file) => return Ok((file, aside)),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
            Err(source) => return Err(StoreError::Aside { path: log.to_owned(), aside, source }),
        }
        aside = beside(log, &format!(".torn-{number}"));
    }
    let source = io::Error::from(ErrorKind::AlreadyExists);
    Err(StoreError::Aside { path: log.to_owned(), aside, source })
}

/// Returns the path of a file beside the log: its name with an ending added.
fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}
