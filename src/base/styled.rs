//! Text as pieces with roles, so that wording exists once and terminal, plain text and page render the same.
//! Leaves to others: what a role looks like (`cli/paint.rs`), and the words themselves (`text`, `hunt`).

/// What a piece of text is, never how it looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// Running text.
    Plain,
    /// A heading.
    Heading,
    /// A number with its unit.
    Value,
    /// A feed, load, box or command.
    Name,
    /// Something said aside.
    Hint,
    /// A good outcome.
    Good,
    /// Something to be looked at again.
    Doubt,
    /// A caution: somebody or something can be hurt.
    Caution,
}

/// A piece of text with its role.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    /// What it is.
    pub role: Role,
    /// The text, free of control characters.
    pub text: String,
}

/// One line of pieces. The edge wraps it to the width at hand; continuation lines are indented by `indent`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StyledText {
    /// The pieces, in order, without separators between them.
    pub pieces: Vec<Span>,
    /// Columns by which the whole line is indented.
    pub indent: usize,
}

impl StyledText {
    /// Makes an empty line.
    pub fn new() -> Self {
        Self::default()
    }

    /// Makes a line of running text.
    pub fn plain(text: impl AsRef<str>) -> Self {
        Self::new().and(Role::Plain, text)
    }

    /// Makes a line of one role.
    pub fn of(role: Role, text: impl AsRef<str>) -> Self {
        Self::new().and(role, text)
    }

    /// Adds a piece; control and invisible characters in foreign text are spelled out.
    #[must_use]
    pub fn and(mut self, role: Role, text: impl AsRef<str>) -> Self {
        self.pieces.push(Span { role, text: clean(text.as_ref()) });
        self
    }

    /// Indents the line.
    #[must_use]
    pub fn indented(mut self, columns: usize) -> Self {
        self.indent = columns;
        self
    }

    /// Returns the bare text.
    pub fn text(&self) -> String {
        let body: String = self.pieces.iter().map(|piece| piece.text.as_str()).collect();
        format!("{}{body}", " ".repeat(self.indent))
    }
}

/// Longest foreign text that is shown in one piece, in characters.
const LONGEST: usize = 2000;

/// Makes foreign text safe to show: blanks for tabs and line ends, other control, bidirectional, zero-width
/// and tag characters spelled out as `\u{…}`, cut at a length.
pub fn clean(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for (count, c) in text.chars().enumerate() {
        if count >= LONGEST {
            out.push('…');
            break;
        }
        match c {
            '\t' | '\n' | '\r' => out.push(' '),
            c if is_hidden(c) => out.extend(c.escape_unicode()),
            c => out.push(c),
        }
    }
    out
}

/// Tells whether a character is a control, a line separator, invisible, or changes the direction: none of these
/// reaches a terminal raw.
pub fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(u32::from(c),
        0x00AD | 0x061C | 0x180E | 0x200B..=0x200F | 0x2028..=0x202E | 0x2060..=0x206F | 0xFEFF | 0xFFF9..=0xFFFB
        | 0xE0000..=0xE007F)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn foreign_text_cannot_move_the_cursor_or_hide() {
        assert_eq!(clean("a\u{1b}[2Jb\tc\u{202e}d"), "a\\u{1b}[2Jb c\\u{202e}d");
        assert!(clean(&"x".repeat(5000)).chars().count() <= LONGEST + 1);
    }
}
