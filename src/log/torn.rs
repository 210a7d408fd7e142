//! Splits the bytes of a log into entries and finds what an interrupted write left at the end.
//! Promise: never guesses; what is not whole is left outside, byte for byte.
//! Leaves to others: whether the seals fit (`seal`), what entries say (`schema`), moving the tail away (`store`).

use std::ops::Range;

use super::seal;

/// How every entry begins.
const BEGIN: &[u8] = b"- at: ";

/// One entry as bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TornEntry {
    /// Where it stands in the bytes, seal line included.
    pub bytes: Range<usize>,
    /// Where its seal line begins; where an edit took that away, where its last line begins.
    pub body_end: usize,
    /// Line on which it begins, from 1.
    pub line: usize,
    /// Its seal as it stands there; `None` only where an edit took it away.
    pub seal: Option<String>,
}

/// A log split into entries.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Split {
    /// The entries that are whole.
    pub items: Vec<TornEntry>,
    /// Bytes from the beginning that hold them; what follows is a torn tail.
    pub whole: usize,
}

/// Splits a log.
///
/// An entry ends with its seal line. Where an edit took a seal line away, the next line that begins an entry ends it
/// too, so that the numbers of later entries stay. Whatever follows the last complete seal line is torn. So is the
/// last entry if it is not UTF-8 or holds a NUL byte: a power cut leaves blocks behind that were never filled.
pub fn split(bytes: &[u8]) -> Split {
    let mut items: Vec<TornEntry> = Vec::new();
    let mut start = Mark { at: 0, line: 1 };
    let mut here = start;
    let mut has_content = false;
    let mut last_line = 0;
    for line in bytes.split_inclusive(|byte| *byte == b'\n') {
        if line.starts_with(BEGIN) && has_content {
            items.push(start.item(last_line, here.at, None));
            start = here;
        }
        let next = Mark { at: here.at + line.len(), line: here.line + 1 };
        has_content |= !is_empty(line);
        if let Some(seal) = seal::on_line(line) {
            items.push(start.item(here.at, next.at, Some(seal.to_owned())));
            start = next;
            has_content = false;
        }
        last_line = here.at;
        here = next;
    }
    drop_unfinished(&mut items);
    if items.last().is_some_and(|last| is_damaged(bytes, last)) {
        items.pop();
        // Left at the end, they would count as torn the next time, and the log would shrink again.
        drop_unfinished(&mut items);
    }
    let whole = items.last().map_or(0, |last| last.bytes.end);
    Split { items, whole }
}

/// A place in the bytes.
#[derive(Debug, Clone, Copy)]
struct Mark {
    at: usize,
    line: usize,
}

impl Mark {
    fn item(self, body_end: usize, end: usize, seal: Option<String>) -> TornEntry {
        TornEntry { bytes: self.at..end, body_end, line: self.line, seal }
    }
}

/// Without a seal line behind them, entries at the end were never finished.
fn drop_unfinished(items: &mut Vec<TornEntry>) {
    while items.last().is_some_and(|last| last.seal.is_none()) {
        items.pop();
    }
}

/// Tells whether a line is blank or a comment, which an editor may have added between entries.
fn is_empty(line: &[u8]) -> bool {
    let text = line.trim_ascii();
    text.is_empty() || text.starts_with(b"#")
}

fn is_damaged(bytes: &[u8], item: &TornEntry) -> bool {
    let part = bytes.get(item.bytes.clone()).unwrap_or_default();
    part.contains(&0) || std::str::from_utf8(part).is_err()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn log(bodies: &[&str]) -> String {
        let mut text = String::new();
        let mut last = seal::START.to_owned();
        for body in bodies {
            let mut item = format!("- at: \"{body}\"\n  entry: note\n");
            last = seal::close(&last, &mut item);
            text.push_str(&item);
        }
        text
    }

    #[test]
    fn a_sound_log_is_whole() {
        let text = log(&["a", "b", "c"]);
        let split = split(text.as_bytes());
        assert_eq!(split.whole, text.len());
        assert_eq!(split.items.iter().map(|item| item.line).collect::<Vec<_>>(), [1, 4, 7]);
        assert_eq!(super::split(b""), Split::default());
    }

    #[test]
    fn a_log_cut_at_any_byte_keeps_every_entry_that_was_finished() {
        let text = log(&["a", "b", "c"]);
        let ends: Vec<usize> = split(text.as_bytes()).items.iter().map(|item| item.bytes.end).collect();
        for cut in 0..=text.len() {
            let split = split(&text.as_bytes()[..cut]);
            let finished = ends.iter().filter(|end| **end <= cut).count();
            assert_eq!(split.items.len(), finished, "cut at {cut}");
            assert_eq!(split.whole, ends[..finished].last().copied().unwrap_or(0));
        }
    }

    #[test]
    fn what_a_power_cut_leaves_is_torn() {
        let text = log(&["a", "b"]);
        let first = split(text.as_bytes()).items[0].bytes.end;
        let with_tail = |tail: &[u8]| split(&[text.as_bytes(), tail].concat()).whole;
        for tail in [&b"\0\0\0\0"[..], b"-", b"- at", b"\n", b"\xff\xfe", b"- at: \"c\"\n  entry: no"] {
            assert_eq!(with_tail(tail), text.len(), "{tail:?}");
        }
        for byte in [0, 0xFF] {
            let mut bytes = text.clone().into_bytes();
            bytes[first + 8] = byte;
            assert_eq!(split(&bytes).whole, first);
        }
    }

    #[test]
    fn what_is_whole_stays_whole_once_the_torn_tail_is_gone() {
        let text = log(&["a", "b", "c"]);
        let ends: Vec<usize> = split(text.as_bytes()).items.iter().map(|item| item.bytes.end).collect();
        // The seal of the second was edited, the third is damaged: neither has a complete seal line behind it.
        let mut bytes = text.into_bytes();
        bytes[ends[1] - 4] = b'x';
        bytes[ends[1] + 8] = 0xFF;
        let whole = split(&bytes).whole;
        assert_eq!((whole, split(&bytes[..whole]).whole), (ends[0], ends[0]));
    }

    #[test]
    fn an_edit_in_the_middle_leaves_the_numbers_of_later_entries() {
        let text = log(&["a", "b", "c"]);
        for edited in [
            text.replacen("  seal", "  soul", 1),
            text.replacen("- at: \"b\"", "+ at: \"b\"", 1),
            text.replacen("- at: \"b\"", "# a comment\n\n- at: \"b\"", 1),
            text.replace('\n', "\r\n"),
        ] {
            let split = split(edited.as_bytes());
            assert_eq!((split.items.len(), split.whole), (3, edited.len()), "{edited}");
        }
    }
}
