//! Lines of a stream, whatever ends them; refuses what is plainly no text.
//! Leaves to others: what the lines say (`layout`, `row`).

use std::io::{self, BufRead};
use std::mem;

use memchr::memchr;

use crate::base::caps::LOG_ROW_BYTES;
use crate::base::diagnostic::Diagnostic;

/// Lines at the beginning that are searched for zero bytes.
const LOOKED_AT: usize = 400;

/// Lines of a stream. A line that lies whole in the stream's own buffer is not copied.
#[derive(Debug)]
pub struct MeterLines<R> {
    source: R,
    /// Length of the line in the stream's buffer; none if it lies in `copy`.
    here: Option<usize>,
    copy: Vec<u8>,
    /// Bytes of the stream's buffer that are done with.
    used: usize,
    number: usize,
    /// Bytes of all lines so far, without their ends.
    bytes: u64,
    /// Files of old computers end their lines with a carriage return alone.
    end: Option<u8>,
}

impl<R: BufRead> MeterLines<R> {
    /// Begins at the first line of a stream.
    pub fn new(source: R) -> Self {
        Self { source, here: None, copy: Vec::new(), used: 0, number: 0, bytes: 0, end: None }
    }

    /// Returns the number of the line, counted from 1.
    pub fn number(&self) -> usize {
        self.number
    }

    /// Returns the bytes read so far.
    pub fn bytes(&self) -> u64 {
        self.bytes + self.number as u64
    }

    /// Returns the line without its end.
    pub fn line(&mut self) -> &[u8] {
        let line = match self.here {
            // Nothing was consumed since the line was found, so that this reads nothing anew.
            Some(length) => {
                self.source.fill_buf().ok().and_then(|ready| ready.get(..length)).unwrap_or_default()
            }
            None => &self.copy,
        };
        line.strip_suffix(b"\r").unwrap_or(line)
    }

    /// Goes to the next line; returns false at the end.
    ///
    /// # Errors
    /// The stream fails, is no text, or has a line beyond all length.
    pub fn advance(&mut self) -> Result<bool, Diagnostic> {
        self.source.consume(mem::take(&mut self.used));
        self.copy.clear();
        self.number += 1;
        let end = match self.end {
            Some(end) => end,
            None => self.begin()?,
        };
        let ready = self.source.fill_buf().map_err(failed)?;
        self.here = memchr(end, ready);
        let goes_on = match self.here {
            Some(length) => {
                self.used = length + 1;
                true
            }
            None => self.gather(end)?,
        };
        let number = self.number;
        let line = self.line();
        let length = line.len() as u64;
        if line.len() >= LOG_ROW_BYTES {
            return Err(Diagnostic::new("a row has more than 64 KiB")
                .on_line(number)
                .remedy("is this a CSV file?"));
        }
        if number <= LOOKED_AT && line.contains(&0) {
            return Err(Diagnostic::new("it is no text: it holds zero bytes")
                .on_line(number)
                .expected("a CSV file"));
        }
        self.bytes += length;
        Ok(goes_on)
    }

    /// Copies a line that goes beyond the stream's buffer; returns false if there is none.
    fn gather(&mut self, end: u8) -> Result<bool, Diagnostic> {
        let mut limited = io::Read::take(&mut self.source, LOG_ROW_BYTES as u64);
        let read = limited.read_until(end, &mut self.copy).map_err(failed)?;
        if self.copy.last() == Some(&end) {
            self.copy.pop();
        }
        Ok(read > 0)
    }

    /// Looks at the first bytes.
    fn begin(&mut self) -> Result<u8, Diagnostic> {
        let first = self.source.fill_buf().map_err(failed)?;
        refuse_foreign(first)?;
        let end = if first.contains(&b'\r') && !first.contains(&b'\n') { b'\r' } else { b'\n' };
        if first.starts_with(&[0xEF, 0xBB, 0xBF]) {
            self.source.consume(3);
        }
        Ok(*self.end.insert(end))
    }
}

fn failed(error: io::Error) -> Diagnostic {
    Diagnostic::new(format!("it cannot be read to its end: {error}"))
}

/// Refuses what is plainly something else than text.
fn refuse_foreign(first: &[u8]) -> Result<(), Diagnostic> {
    let fault = match first {
        [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => {
            Diagnostic::new("it is UTF-16 text").remedy("save it as UTF-8")
        }
        [b'P', b'K', 3, 4, ..] => Diagnostic::new("it is a spreadsheet or a zip archive")
            .remedy("export the sheet as CSV, or unpack it"),
        [0xD0, 0xCF, 0x11, 0xE0, ..] => {
            Diagnostic::new("it is an old spreadsheet").remedy("export the sheet as CSV")
        }
        [0x1F, 0x8B, ..] => Diagnostic::new("it is packed once more").remedy("unpack it first"),
        [b'B', b'Z', b'h', ..] => Diagnostic::new("it is packed with bzip2").remedy("unpack it first"),
        [0xFD, b'7', b'z', b'X', b'Z', ..] => {
            Diagnostic::new("it is packed with xz").remedy("unpack it first")
        }
        _ => return Ok(()),
    };
    Err(fault.expected("a CSV file"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str, buffer: usize) -> Vec<String> {
        let mut lines = MeterLines::new(io::BufReader::with_capacity(buffer, text.as_bytes()));
        let mut found = Vec::new();
        while lines.advance().expect("sound") {
            assert_eq!(lines.number(), found.len() + 1);
            found.push(String::from_utf8(lines.line().to_vec()).expect("text"));
        }
        found
    }

    #[test]
    fn lines_are_the_same_however_the_stream_is_cut() {
        for buffer in [4, 5, 7, 64] {
            assert_eq!(
                lines("a,b\n\nlonger line\r\nlast", buffer),
                ["a,b", "", "longer line", "last"],
                "{buffer}"
            );
        }
        assert_eq!(lines("a\rb\rc", 64), ["a", "b", "c"]);
        assert!(lines("", 64).is_empty());
    }

    #[test]
    fn a_line_beyond_all_length_is_refused() {
        for buffer in [64, 1 << 20] {
            let text = "7".repeat(2 * LOG_ROW_BYTES) + "\n1";
            let mut lines = MeterLines::new(io::BufReader::with_capacity(buffer, text.as_bytes()));
            assert!(lines.advance().expect_err("too long").to_string().contains("64 KiB"));
        }
    }
}
