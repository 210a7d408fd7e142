//! A line that is being typed: keys in, the text and where the cursor stands out. Leaves to others: the keys (`keys`).

use super::keys::Key;
use super::paint::columns;
use crate::base::styled::clean;

/// Longest text that can be typed, in characters.
const LONGEST: usize = 1000;

/// What was typed so far.
#[derive(Debug, Default)]
pub struct Typing {
    typed: Vec<char>,
    /// Characters before the cursor.
    at: usize,
}

impl Typing {
    /// Takes a key; returns the text once it is submitted, and begins anew.
    pub fn take(&mut self, key: Key) -> Option<String> {
        match key {
            Key::Char(c) if self.typed.len() < LONGEST => {
                self.typed.insert(self.at, c);
                self.at += 1;
            }
            Key::Backspace if self.at > 0 => {
                self.at -= 1;
                self.typed.remove(self.at);
            }
            Key::Delete | Key::Close if self.at < self.typed.len() => drop(self.typed.remove(self.at)),
            Key::Word => {
                let before = self.typed.get(..self.at).unwrap_or_default();
                let word = before.iter().rev().skip_while(|c| **c == ' ').skip_while(|c| **c != ' ').count();
                self.typed.drain(word..self.at);
                self.at = word;
            }
            Key::Rest => self.typed.truncate(self.at),
            Key::Up | Key::Down => {}
            Key::Left => self.at = self.at.saturating_sub(1),
            Key::Right => self.at = (self.at + 1).min(self.typed.len()),
            Key::Home => self.at = 0,
            Key::End => self.at = self.typed.len(),
            Key::Escape => *self = Self::default(),
            Key::Enter => return Some(std::mem::take(self).typed.into_iter().collect()),
            Key::Char(_) | Key::Backspace | Key::Delete | Key::Close | Key::Stop => {}
        }
        None
    }

    /// Puts a line in place of what is typed, the cursor behind it.
    pub fn put(&mut self, line: &str) {
        self.typed = line.chars().take(LONGEST).collect();
        self.at = self.typed.len();
    }

    /// Returns true if nothing is typed.
    pub fn is_empty(&self) -> bool {
        self.typed.is_empty()
    }

    /// Returns the part about the cursor that fits so many columns, and the columns before the cursor.
    pub fn shown(&self, room: usize) -> (String, usize) {
        let seen = |c: &char| clean(c.encode_utf8(&mut [0; 4]));
        let (mut before, mut column) = (Vec::new(), 0);
        for piece in self.typed.iter().take(self.at).rev().map(seen) {
            if column + columns(&piece) >= room {
                break;
            }
            column += columns(&piece);
            before.push(piece);
        }
        let mut text: String = before.into_iter().rev().collect();
        let mut used = column;
        for piece in self.typed.iter().skip(self.at).map(seen) {
            used += columns(&piece);
            if used > room {
                break;
            }
            text.push_str(&piece);
        }
        (text, column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn press(typing: &mut Typing, keys: &str) -> Vec<String> {
        let meaning = |c| match c {
            '\r' => Key::Enter,
            '<' => Key::Backspace,
            '!' => Key::Escape,
            '{' => Key::Left,
            '}' => Key::Right,
            '^' => Key::Home,
            '$' => Key::End,
            '#' => Key::Delete,
            c => Key::Char(c),
        };
        keys.chars().filter_map(|c| typing.take(meaning(c))).collect()
    }

    #[test]
    fn what_is_typed_can_be_bettered_before_it_counts() {
        let mut typing = Typing::default();
        assert_eq!(press(&mut typing, "99!485<2 mA\r"), ["482 mA"]);
        assert_eq!(press(&mut typing, "<{}\r"), [""]);
        assert_eq!(press(&mut typing, "2m{{^48${<.#}A\r"), ["48.A"]);
        assert_eq!(press(&mut typing, &"x".repeat(LONGEST + 9)), [""; 0]);
        assert_eq!(press(&mut typing, "\r")[0].len(), LONGEST);
    }

    #[test]
    fn a_word_the_rest_and_what_is_under_the_cursor_go_alone() {
        let mut typing = Typing::default();
        press(&mut typing, "F12 3.0  mV");
        typing.take(Key::Word);
        typing.take(Key::Word);
        assert_eq!(typing.shown(20), ("F12 ".into(), 4));
        press(&mut typing, "0.4^}");
        typing.take(Key::Close);
        assert_eq!(typing.shown(20), ("F2 0.4".into(), 1));
        typing.take(Key::Rest);
        assert_eq!(typing.shown(20), ("F".into(), 1));
        typing.put("total 482");
        assert_eq!(typing.take(Key::Enter).as_deref(), Some("total 482"));
    }

    #[test]
    fn what_is_longer_than_the_line_is_shown_about_the_cursor() {
        let mut typing = Typing::default();
        press(&mut typing, "0123456789");
        assert_eq!(typing.shown(20), ("0123456789".into(), 10));
        assert_eq!(typing.shown(4), ("789".into(), 3));
        press(&mut typing, "^}}");
        assert_eq!(typing.shown(4), ("0123".into(), 2));
        press(&mut typing, "!a\u{1b}");
        assert_eq!(typing.shown(20), ("a\\u{1b}".into(), 7));
    }
}
