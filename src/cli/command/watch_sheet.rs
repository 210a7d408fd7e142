//! The file of `watch`: one line a sample, on disk within a second, gone on with by a later run, one writer at a time.
//! Leaves to others: what is written (`watch`), reading it again (`settle`).
#![allow(clippy::disallowed_methods, reason = "appends to a meter log while it grows")]

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::Ampere;
use crate::cli::error::CliError;
use crate::text::fault::file as fault;

/// The file that is written, locked for as long as this lives.
#[derive(Debug)]
pub struct WatchSheet {
    file: File,
    path: PathBuf,
    synced: Option<DateTime<FixedOffset>>,
}

impl WatchSheet {
    /// Opens the file, or goes on with one that was written before: then a line that a power cut left unfinished is
    /// ended, so that it stands alone as a bad row.
    ///
    /// # Errors
    /// The file is no log of `watch`, cannot be written, or is written by another run.
    pub fn open(path: &Path, header: &str) -> Result<Self, CliError> {
        let fail = |error: std::io::Error| CliError::file(path, "written", &error);
        let mut options = OpenOptions::new();
        let mut file = options.read(true).append(true).create(true).open(path).map_err(fail)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(CliError::held(fault::held_sheet(&path.to_string_lossy())));
            }
            Err(TryLockError::Error(error)) => return Err(fail(error).into()),
        }
        let length = file.metadata().map_err(fail)?.len();
        if length == 0 {
            file.write_all(header.as_bytes()).map_err(fail)?;
        } else {
            let mut head = Vec::new();
            (&file).take(header.len() as u64).read_to_end(&mut head).map_err(fail)?;
            if head != header.as_bytes() {
                return Err(fault::foreign_sheet(&path.to_string_lossy()).into());
            }
            let mut last = [0];
            file.seek(SeekFrom::End(-1)).and_then(|_| file.read_exact(&mut last)).map_err(fail)?;
            if last != *b"\n" {
                file.write_all(b"\n").map_err(fail)?;
            }
        }
        file.sync_all().map_err(fail)?;
        Ok(Self { file, path: path.to_path_buf(), synced: None })
    }

    /// Writes a line; it is on disk within a second of the next.
    ///
    /// # Errors
    /// The disk is full, or the file cannot be written any more.
    pub fn write(&mut self, at: DateTime<FixedOffset>, cell: &str) -> Result<(), Diagnostic> {
        let fail = |error: std::io::Error| CliError::file(&self.path, "written", &error);
        let line = format!("{},{cell}\n", at.format("%Y-%m-%dT%H:%M:%S%.3f%:z"));
        self.file.write_all(line.as_bytes()).map_err(fail)?;
        if self.synced.is_none_or(|then| (at - then).num_milliseconds().abs() >= 1000) {
            self.file.sync_data().map_err(fail)?;
            self.synced = Some(at);
        }
        Ok(())
    }

    /// Ends; everything is on disk when this returns.
    ///
    /// # Errors
    /// It cannot be put on disk.
    pub fn close(self) -> Result<(), Diagnostic> {
        self.file.sync_all().map_err(|error| CliError::file(&self.path, "written", &error))
    }
}

/// Writes a current in milliampere with the digits that the meter gave, at most to a nanoampere.
pub fn milliampere(value: Ampere, step: f64) -> String {
    let decimals = (-(step * 1000.0).log10() - 1e-9).ceil().clamp(0.0, 6.0) as usize;
    let tens = 10_f64.powi(decimals as i32);
    // Adding zero turns -0 into 0.
    format!("{:.decimals$}", (value.milli() * tens).round() / tens + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEADER: &str = "time,current (mA)\n";

    #[test]
    fn a_file_is_gone_on_with_and_a_torn_line_stands_alone() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("night.csv");
        let at = crate::cli::clock::read_time("2026-11-02T18:00:00.5+01:00").expect("a time");
        let mut first = WatchSheet::open(&path, HEADER).expect("new");
        assert_eq!(WatchSheet::open(&path, HEADER).expect_err("held").exit.code(), 75);
        first.write(at, "25.1").expect("written");
        first.close().expect("on disk");
        let whole = std::fs::read_to_string(&path).expect("read");
        assert_eq!(whole, "time,current (mA)\n2026-11-02T18:00:00.500+01:00,25.1\n");
        std::fs::write(&path, whole.trim_end_matches("1\n")).expect("torn");
        WatchSheet::open(&path, HEADER).expect("again").write(at, "OL").expect("written");
        let again = std::fs::read_to_string(&path).expect("read");
        assert!(again.ends_with(",25.\n2026-11-02T18:00:00.500+01:00,OL\n"), "{again}");
        std::fs::write(&path, "something else\n").expect("written");
        assert!(WatchSheet::open(&path, HEADER).is_err());
    }
}
