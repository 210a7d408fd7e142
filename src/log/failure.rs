//! What can go wrong with a log's file, each with what to do about it.
//! Leaves to others: noticing it (`store`), exit codes (`cli`).

use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use super::contents::{LARGEST, NoLog, Unfit};
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::clean;

/// Why a log could not be opened or written.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Another run is writing on it.
    #[error(
        "{}: another run is writing on this log ({holder}); wait until it ends, or end it with quit",
        shown(path)
    )]
    Held {
        /// The log.
        path: PathBuf,
        /// Who holds it and since when, in words.
        holder: String,
    },
    /// There is a file of that name already.
    #[error("{}: there is such a file already; go on with it, or choose another name", shown(path))]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// There is no such file, or no folder for it.
    #[error("{}: no such file or folder; check the name, or begin a log with `fusetrail open`", shown(path))]
    Missing {
        /// The file.
        path: PathBuf,
    },
    /// It is a folder.
    #[error("{}: this is a folder; name a file in it, such as van.hunt.yaml", shown(path))]
    Folder {
        /// The folder.
        path: PathBuf,
    },
    /// It is something else.
    #[error("{}: this is no session log: {why}; check the name", shown(path))]
    NotALog {
        /// The file.
        path: PathBuf,
        /// How that shows.
        why: NoLog,
    },
    /// A newer version wrote it.
    #[error(
        "{}: this log has the newer format {format}; open it with the version of fusetrail that wrote it or a newer one",
        shown(path)
    )]
    Newer {
        /// The log.
        path: PathBuf,
        /// Its format.
        format: String,
    },
    /// An entry can't be read any more.
    #[error(
        "{}: entry {entry} was changed and can't be read any more ({fault}); put the line back as it was, or take a copy of the log",
        shown(path)
    )]
    Damaged {
        /// The log.
        path: PathBuf,
        /// Number of the entry, from 1.
        entry: usize,
        /// What is wrong, with the line.
        fault: Diagnostic,
    },
    /// It is, or would become, too large.
    #[error(
        "{}: it has, or would have, {size} bytes; a session log has at most {LARGEST}; is this the right file?",
        shown(path)
    )]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// Its bytes, or more than that many.
        size: u64,
    },
    /// It can't be written.
    #[error(
        "{}: can't be written here ({source}); choose a folder of your own, or change its permissions",
        shown(path)
    )]
    Unwritable {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// No room is left.
    #[error(
        "{}: no room is left ({source}); nothing was added, what was there is as before: make room, then do it again",
        shown(path)
    )]
    Full {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// The system failed in another way.
    #[error("{}: {source}; nothing was added to the log", shown(path))]
    System {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// A write failed and could not be taken back, so that nobody can say from here what the log now holds.
    #[error(
        "{}: a write failed ({source}) and could not be taken back; what was just entered may be in the log or not: look with `fusetrail check` before you enter it again",
        shown(path)
    )]
    Unsure {
        /// The log.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// A torn end could not be set aside.
    #[error(
        "{}: its end was never finished, and it can't be set aside in {} ({source}); nothing was changed: make room in that folder, or make it one that you may write to, then try again",
        shown(path),
        shown(aside)
    )]
    Aside {
        /// The log.
        path: PathBuf,
        /// Where its end was to go.
        aside: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// Another program changed it while it was open here.
    #[error(
        "{}: another program changed or moved this log while it was open; the entry was not kept: open the log again",
        shown(path)
    )]
    Changed {
        /// The log.
        path: PathBuf,
    },
    /// A failed write could not be taken back.
    #[error(
        "{}: an earlier write failed and could not be taken back; open the log again, which sets the torn end aside",
        shown(path)
    )]
    Broken {
        /// The log.
        path: PathBuf,
    },
    /// The entry itself can't be written.
    #[error("the entry can't be written: {0}")]
    Entry(Diagnostic),
}

/// Turns a failure of the system into what it means for the log.
pub(super) fn during(path: &Path, source: io::Error) -> StoreError {
    let path = path.to_owned();
    match source.kind() {
        ErrorKind::AlreadyExists => StoreError::Exists { path },
        ErrorKind::NotFound | ErrorKind::NotADirectory => StoreError::Missing { path },
        ErrorKind::IsADirectory => StoreError::Folder { path },
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            StoreError::Unwritable { path, source }
        }
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            StoreError::Full { path, source }
        }
        _ => StoreError::System { path, source },
    }
}

/// Turns what is wrong with the bytes into what it means for the log.
pub(super) fn unfit(path: &Path, why: Unfit) -> StoreError {
    let path = path.to_owned();
    match why {
        Unfit::NotALog(why) => StoreError::NotALog { path, why },
        Unfit::Newer(format) => StoreError::Newer { path, format },
        Unfit::Damaged(entry, fault) => StoreError::Damaged { path, entry, fault },
    }
}

fn shown(path: &Path) -> String {
    clean(&path.to_string_lossy())
}
