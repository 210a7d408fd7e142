//! Streams of bytes for what is too large to be read whole: files, packed files, standard input.
//! Leaves to others: what the bytes say (`trace`).
#![allow(clippy::disallowed_methods, reason = "opens meter logs for the lower floors")]

use std::fs::File;
use std::io::{self, BufRead, BufReader, Read};
use std::path::Path;

use flate2::bufread::MultiGzDecoder;

use super::error::CliError;
use crate::base::diagnostic::Diagnostic;

/// Bytes read at a time.
const BUFFER: usize = 256 * 1024;

/// First bytes of what gzip packed.
const GZIP: [u8; 2] = [0x1F, 0x8B];

/// Opens a file, or standard input for `-`; what gzip packed is unpacked on the way.
///
/// # Errors
/// The file cannot be opened or read.
pub fn open(path: &Path) -> Result<Box<dyn BufRead>, Diagnostic> {
    let fail = |error: io::Error| CliError::file(path, "read", &error);
    let plain: Box<dyn Read> = if path == Path::new("-") {
        Box::new(io::stdin().lock())
    } else {
        let file = File::open(path).map_err(fail)?;
        if file.metadata().map_err(fail)?.is_dir() {
            return Err(fail(io::Error::from(io::ErrorKind::IsADirectory)));
        }
        Box::new(file)
    };
    let mut buffered = BufReader::with_capacity(BUFFER, plain);
    if buffered.fill_buf().map_err(fail)?.starts_with(&GZIP) {
        return Ok(Box::new(BufReader::with_capacity(BUFFER, MultiGzDecoder::new(buffered))));
    }
    Ok(Box::new(buffered))
}
