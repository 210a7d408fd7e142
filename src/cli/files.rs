//! Reads files for the lower floors, which work on text, and writes new ones whole or not at all.
//! Leaves to others: the session log, which is appended to (`log/store`).
#![allow(clippy::disallowed_methods, reason = "reads and writes files for the lower floors")]

use std::fs::{self, File, OpenOptions};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use super::error::CliError;
use super::signal;
use crate::base::caps::FILE_BYTES;
use crate::base::diagnostic::Diagnostic;
use crate::log::store::{draft_beside, folder_of, sync_folder};
use crate::text::fault::file as fault;

/// Reads a text file: a map, a panel list, answers.
///
/// # Errors
/// The file cannot be read, is larger than [`FILE_BYTES`], or is not UTF-8 text.
pub fn read(path: &Path) -> Result<String, Diagnostic> {
    let name = path.to_string_lossy();
    let fail = |error: std::io::Error| CliError::file(path, "read", &error);
    let file = File::open(path).map_err(fail)?;
    let length = file.metadata().map_err(fail)?.len();
    let mut bytes = Vec::new();
    file.take(FILE_BYTES as u64 + 1).read_to_end(&mut bytes).map_err(fail)?;
    if bytes.len() > FILE_BYTES {
        let found = if length > FILE_BYTES as u64 { length } else { bytes.len() as u64 };
        return Err(fault::too_large(&name, found, FILE_BYTES));
    }
    String::from_utf8(bytes).map_err(|_| fault::not_utf8(&name))
}

/// Makes a folder, with those above it, where there is none.
///
/// # Errors
/// A file is in the way, or nothing may be made there.
pub fn make_folder(path: &Path) -> Result<(), Diagnostic> {
    fs::create_dir_all(path).map_err(|error| CliError::file(path, "made", &error))
}

/// Writes a file whole or not at all: beside its place first, then renamed, both made durable. The mode of a file
/// that stood there is kept, and a symbolic link stays one. A device is written straight.
///
/// # Errors
/// The folder is missing or may not be written to, or the disk is full.
pub fn write(path: &Path, text: &str) -> Result<(), Diagnostic> {
    let fail = |error: std::io::Error| CliError::file(path, "written", &error);
    let path: PathBuf = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let standing = fs::metadata(&path).ok();
    if standing.as_ref().is_some_and(|there| !there.is_file()) {
        let mut device = OpenOptions::new().write(true).open(&path).map_err(fail)?;
        return device.write_all(text.as_bytes()).map_err(fail);
    }
    // A draft that was begun is finished, or it would be left behind.
    let _whole = signal::heeded();
    let mut draft = draft_beside(&path).map_err(fail)?;
    draft.write_all(text.as_bytes()).map_err(fail)?;
    if let Some(there) = standing {
        draft.as_file().set_permissions(there.permissions()).map_err(fail)?;
    }
    draft.as_file().sync_all().map_err(fail)?;
    draft.persist(&path).map_err(|error| fail(error.error))?;
    // The file is there, whatever comes of the folder's own list.
    sync_folder(folder_of(&path)).or(Ok(()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[cfg(unix)]
    fn a_file_is_written_whole_and_its_link_and_mode_are_kept() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().expect("a folder");
        let (file, link) = (folder.path().join("a.yaml"), folder.path().join("b.yaml"));
        write(&file, "one\n").expect("written");
        fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).expect("mode");
        std::os::unix::fs::symlink(&file, &link).expect("a link");
        write(&link, "two\n").expect("written through the link");
        assert_eq!(read(&file).expect("read"), "two\n");
        assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
        assert_eq!(fs::metadata(&file).expect("there").permissions().mode() & 0o777, 0o640);
        assert_eq!(fs::read_dir(folder.path()).expect("listed").count(), 2, "no draft is left");
    }

    #[test]
    fn what_cannot_be_read_or_written_says_so_with_its_name() {
        let folder = tempfile::tempdir().expect("a folder");
        let missing = folder.path().join("no/such.yaml");
        assert!(read(&missing).expect_err("missing").to_string().contains("such.yaml"));
        assert!(write(&missing, "x").expect_err("no folder").to_string().contains("cannot be written"));
        assert!(read(folder.path()).expect_err("a folder").to_string().contains("cannot be read"));
        let binary = folder.path().join("binary");
        fs::write(&binary, [0xff, 0xfe, 0x00]).expect("written");
        assert!(read(&binary).expect_err("binary").to_string().contains("UTF-8"));
        if Path::new("/dev/full").exists() {
            assert!(write(Path::new("/dev/full"), "x").expect_err("full").to_string().contains("make room"));
        }
    }
}
