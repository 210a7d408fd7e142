//! The seal of an entry: a hash over the seal of the entry before and the entry's bytes as they stand in the file.
//! Leaves to others: where an entry begins and ends (`torn`), and what to do about an edited one (`contents`).

use std::fmt::Write;

use sha2::{Digest, Sha256};

use super::entry::FORMAT;

/// What stands before the hash on the seal line, and behind it. The quotes are needed: some hashes are all digits,
/// or digits with one `e`.
const BEFORE: &str = "  seal: \"";
const BEHIND: &str = "\"";

/// Hexadecimal digits of a seal: the first 128 bits of SHA-256.
pub const DIGITS: usize = 32;

/// What the first entry is chained to.
pub const START: &str = FORMAT;

/// Returns the seal of an entry: 32 hexadecimal digits in lower case.
///
/// `previous` is the seal of the entry before ([`START`] for the first one), `body` the bytes of the entry from its
/// dash up to its seal line.
///
/// # Source
/// SHA-256 of FIPS 180-4. Cut to 128 bits, since it has to show edits, not to withstand a forger: whoever can write
/// the file can seal it anew from the edit on, and then only a seal noted elsewhere tells.
pub fn of(previous: &str, body: &[u8]) -> String {
    let mut hash = Sha256::new();
    hash.update(previous.as_bytes());
    hash.update(b"\n");
    hash.update(body);
    let mut digits = String::with_capacity(DIGITS);
    for byte in hash.finalize().iter().take(DIGITS / 2) {
        // Writing to a String cannot fail.
        let _ = write!(digits, "{byte:02x}");
    }
    digits
}

/// Adds the seal line to an entry's text and returns the seal.
pub fn close(previous: &str, text: &mut String) -> String {
    let seal = of(previous, text.as_bytes());
    text.push_str(&line(&seal));
    seal
}

/// Returns the seal line of an entry, line end included.
pub fn line(seal: &str) -> String {
    format!("{BEFORE}{seal}{BEHIND}\n")
}

/// Returns the seal if a line, its line end included, is a complete seal line. A carriage return before the line end
/// ends an entry too: some program converted the file, and [`line()`] shows that.
pub fn on_line(line: &[u8]) -> Option<&str> {
    let line = line.strip_suffix(b"\n")?;
    let line = line.strip_suffix(b"\r").unwrap_or(line);
    let digits = line.strip_prefix(BEFORE.as_bytes())?.strip_suffix(BEHIND.as_bytes())?;
    let is_digit = |byte: &u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f');
    if digits.len() != DIGITS || !digits.iter().all(is_digit) {
        return None;
    }
    std::str::from_utf8(digits).ok()
}

/// Follows the chain and finds the entries that do not fit it.
#[derive(Debug)]
pub struct Chain {
    /// Seal of the entry before, as it stands there.
    stated: String,
    /// Seal that the entry before should have.
    due: String,
}

impl Default for Chain {
    fn default() -> Self {
        Self { stated: START.to_owned(), due: START.to_owned() }
    }
}

impl Chain {
    /// Takes the next entry and tells whether its seal fits. When only the seal line of the entry before was edited,
    /// this entry still fits: it is chained to the seal that was due there.
    pub fn fits(&mut self, body: &[u8], seal: Option<&str>) -> bool {
        let by_stated = of(&self.stated, body);
        let by_due = of(&self.due, body);
        let fits = seal.is_some_and(|seal| seal == by_stated || seal == by_due);
        let stated = seal.unwrap_or(&by_due).to_owned();
        self.due = if fits { stated.clone() } else { by_due };
        self.stated = stated;
        fits
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked outside: `printf 'fusetrail-hunt/1\n- at: x\n' | sha256sum | cut -c1-32`.
    #[test]
    fn a_seal_is_the_head_of_a_sha_256() {
        assert_eq!(of(START, b"- at: x\n"), "be0efc06469605240a39ea3e48158a5a");
    }

    #[test]
    fn only_a_complete_line_is_a_seal() {
        let digits = "0123456789abcdef0123456789abcdef";
        assert_eq!(on_line(format!("  seal: \"{digits}\"\n").as_bytes()), Some(digits));
        assert_eq!(on_line(format!("  seal: \"{digits}\"\r\n").as_bytes()), Some(digits));
        for torn in [
            format!("  seal: \"{digits}\""),
            format!("  seal: \"{digits}\"\r"),
            format!("  seal: {digits}\n"),
            format!("  seal: \"{}\"\n", digits.to_uppercase()),
            format!("  seal: \"{digits}0\"\n"),
            format!(" seal: \"{digits}\"\n"),
            format!("  seal: \"{}\"\n", &digits[1..]),
        ] {
            assert_eq!(on_line(torn.as_bytes()), None, "{torn:?}");
        }
    }

    #[test]
    fn an_edit_is_blamed_on_the_entry_that_was_edited() {
        let bodies = ["one", "two", "three", "four"];
        let mut seals = Vec::new();
        let mut last = START.to_owned();
        for body in bodies {
            last = of(&last, body.as_bytes());
            seals.push(last.clone());
        }
        let edited = |bodies: [&str; 4], seals: &[Option<&str>]| {
            let mut chain = Chain::default();
            let fits: Vec<bool> =
                bodies.iter().zip(seals).map(|(body, seal)| chain.fits(body.as_bytes(), *seal)).collect();
            fits.iter().enumerate().filter(|(_, fits)| !**fits).map(|(at, _)| at + 1).collect::<Vec<_>>()
        };
        let sound: Vec<Option<&str>> = seals.iter().map(|seal| Some(seal.as_str())).collect();
        assert_eq!(edited(bodies, &sound), Vec::<usize>::new());
        assert_eq!(edited(["one", "2", "three", "four"], &sound), [2]);
        let other = of("x", b"y");
        let mut wrong_seal = sound.clone();
        wrong_seal[1] = Some(&other);
        assert_eq!(edited(bodies, &wrong_seal), [2]);
        let mut no_seal = sound.clone();
        no_seal[1] = None;
        assert_eq!(edited(bodies, &no_seal), [2]);
        // Edited and sealed anew: the entry after it no longer follows.
        let anew = of(sound[0].expect("a seal"), b"2");
        let mut sealed_anew = sound.clone();
        sealed_anew[1] = Some(&anew);
        assert_eq!(edited(["one", "2", "three", "four"], &sealed_anew), [3]);
    }
}
