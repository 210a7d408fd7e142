//! Puts a new file in its place: whole, durable, and never over another one.
//! Leaves to others: what it holds (`store`).
#![allow(clippy::disallowed_methods, reason = "makes new files")]

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

use tempfile::NamedTempFile;

/// A new file in its place.
#[derive(Debug)]
pub(super) struct NewFile {
    /// The file, locked.
    pub file: File,
    /// Why the folder's list of files may not be on disk yet: the file is there, but a power cut could still take it.
    pub not_durable: Option<io::Error>,
}

/// Puts a new file in its place, locked, with its first bytes on disk.
///
/// # Errors
/// The name is taken, or the system refuses: then nothing is there.
pub(super) fn place(path: &Path, bytes: &[u8]) -> io::Result<NewFile> {
    if let Ok(there) = fs::symlink_metadata(path) {
        let kind = if there.is_dir() { io::ErrorKind::IsADirectory } else { io::ErrorKind::AlreadyExists };
        return Err(kind.into());
    }
    let mut draft = draft_beside(path)?;
    draft.as_file().try_lock().map_err(io::Error::from)?;
    draft.write_all(bytes)?;
    draft.as_file().sync_all()?;
    let file = match fs::hard_link(draft.path(), path) {
        Ok(()) => draft.into_parts().0,
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(error),
        // Some file systems know no second name for a file: there the draft is renamed.
        Err(_) if fs::symlink_metadata(path).is_err() => draft.persist(path)?,
        Err(error) => return Err(error),
    };
    Ok(NewFile { file, not_durable: sync_folder(folder_of(path)).err() })
}

/// Begins a file of a name of its own in the folder of another; it goes away again unless it is given its name.
pub(crate) fn draft_beside(path: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".fusetrail-").suffix(".part");
    // A log is as readable as any other new file, not private as temporary files are.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    // The crate tells the draft's name in its message, which would only puzzle.
    builder.tempfile_in(folder_of(path)).map_err(|error| error.kind().into())
}

/// Returns the folder that a file is in.
pub(crate) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Puts a folder's list of files on disk, where the system has that.
pub(crate) fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}
