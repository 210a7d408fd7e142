//! The tokens of a YAML text, as far as they say how deep it nests. Follows the library's own scanner, so that nothing
//! can be hidden from it in a quote, a comment or a block of text.
//! Leaves to others: what is too much (`bounds`), and whether the text is sound YAML (the library tells).

use crate::base::caps::YAML_DEPTH;

/// Where the scan stands.
pub(super) struct Scan<'t> {
    rest: &'t str,
    line: usize,
    /// Characters before this one on the line.
    column: isize,
    /// Column of the innermost block list or mapping; -1 outside of all.
    indent: isize,
    /// The columns of those around it.
    indents: Vec<isize>,
    /// Braces and brackets that are open.
    flow: usize,
    /// True where a key may begin.
    key_allowed: bool,
    /// Column and line of what may turn out to be a key, outside of braces.
    key: Option<(isize, usize)>,
    /// The deepest nesting, and the line on which it first passes the cap.
    pub deepest: (usize, usize),
    /// Lines that begin with `%`.
    pub directives: usize,
    /// Line of the first alias.
    pub alias: Option<usize>,
}

impl<'t> Scan<'t> {
    /// Begins at the beginning of a text.
    pub fn new(text: &'t str) -> Self {
        Self {
            rest: text,
            line: 1,
            column: 0,
            indent: -1,
            indents: Vec::new(),
            flow: 0,
            key_allowed: true,
            key: None,
            deepest: (0, 0),
            directives: 0,
            alias: None,
        }
    }

    fn peek(&self) -> Option<char> {
        self.rest.chars().next().filter(|c| *c != '\0')
    }

    /// Returns true if a blank, a line end or the end follows the next character.
    fn blank_behind(&self) -> bool {
        self.rest.chars().nth(1).is_none_or(|c| c == '\0' || is_blank(c) || is_break(c))
    }

    fn skip(&mut self) {
        let mut chars = self.rest.chars();
        let Some(c) = chars.next() else { return };
        if c == '\r' && chars.as_str().starts_with('\n') {
            chars.next();
        }
        self.rest = chars.as_str();
        if is_break(c) {
            self.line += 1;
            self.column = 0;
        } else {
            self.column += 1;
        }
    }

    fn skip_while(&mut self, goes_on: impl Fn(char) -> bool) {
        while self.peek().is_some_and(&goes_on) {
            self.skip();
        }
    }

    fn at_document_mark(&self) -> bool {
        let behind = self.rest.strip_prefix("---").or_else(|| self.rest.strip_prefix("..."));
        self.column == 0
            && behind.is_some_and(|rest| {
                rest.chars().next().is_none_or(|c| c == '\0' || is_blank(c) || is_break(c))
            })
    }

    /// Goes over blanks, comments and line ends.
    fn skip_to_token(&mut self) {
        loop {
            if self.column == 0 && self.peek() == Some('\u{feff}') {
                self.skip();
            }
            let tabs = self.flow > 0 || !self.key_allowed;
            self.skip_while(|c| c == ' ' || (tabs && c == '\t'));
            if self.peek() == Some('#') {
                self.skip_while(|c| !is_break(c));
            }
            if !self.peek().is_some_and(is_break) {
                return;
            }
            self.skip();
            self.key_allowed |= self.flow == 0;
        }
    }

    /// Goes over one token; returns false at the end.
    pub fn token(&mut self) -> bool {
        self.skip_to_token();
        let Some(c) = self.peek() else { return false };
        self.unroll(self.column);
        let before = self.rest.len();
        match c {
            '%' if self.column == 0 => self.directive(),
            '-' | '.' if self.at_document_mark() => self.document_mark(),
            '[' | '{' => self.open(),
            ']' | '}' => self.close(),
            ',' => self.indicator(true),
            '-' if self.blank_behind() => self.entry(),
            '?' if self.flow > 0 || self.blank_behind() => self.entry(),
            ':' if self.flow > 0 || self.blank_behind() => self.value(),
            '*' => {
                self.alias.get_or_insert(self.line);
                self.anchor();
            }
            '&' => self.anchor(),
            '!' => self.tag(),
            '|' | '>' if self.flow == 0 => self.block_text(),
            '\'' => self.quoted('\''),
            '"' => self.quoted('"'),
            _ => self.plain(),
        }
        if self.rest.len() == before {
            self.skip();
        }
        true
    }

    /// Leaves the block lists and mappings that a token at this column no longer belongs to.
    fn unroll(&mut self, column: isize) {
        while self.flow == 0 && self.indent > column {
            self.indent = self.indents.pop().unwrap_or(-1);
        }
    }

    /// Begins a block list or mapping, unless one of this column is open.
    fn roll(&mut self, column: isize) {
        if self.flow == 0 && self.indent < column {
            self.indents.push(self.indent);
            self.indent = column;
            self.note_depth();
        }
    }

    fn note_depth(&mut self) {
        let depth = self.indents.len() + self.flow;
        if depth > self.deepest.0 {
            let line = if self.deepest.0 <= YAML_DEPTH { self.line } else { self.deepest.1 };
            self.deepest = (depth, line);
        }
    }

    fn save_key(&mut self) {
        if self.flow == 0 && self.key_allowed {
            self.key = Some((self.column, self.line));
        }
        self.key_allowed = false;
    }

    fn directive(&mut self) {
        self.directives += 1;
        self.unroll(-1);
        self.key = None;
        self.key_allowed = false;
        self.skip_while(|c| !is_break(c));
    }

    fn document_mark(&mut self) {
        self.unroll(-1);
        self.key = None;
        self.key_allowed = false;
        for _ in 0..3 {
            self.skip();
        }
    }

    fn open(&mut self) {
        self.save_key();
        self.flow += 1;
        self.note_depth();
        self.key_allowed = true;
        self.skip();
    }

    fn close(&mut self) {
        self.flow = self.flow.saturating_sub(1);
        self.key_allowed = false;
        self.skip();
    }

    /// Goes over one character behind which a key may or may not begin.
    fn indicator(&mut self, key_allowed: bool) {
        if self.flow == 0 {
            self.key = None;
        }
        self.key_allowed = key_allowed;
        self.skip();
    }

    /// `- ` or `? `.
    fn entry(&mut self) {
        self.roll(self.column);
        self.indicator(self.flow == 0 || self.peek() == Some('-'));
    }

    fn value(&mut self) {
        let key = self.key.take_if(|(_, line)| self.flow == 0 && *line == self.line);
        self.roll(key.map_or(self.column, |(column, _)| column));
        self.indicator(self.flow == 0 && key.is_none());
    }

    fn anchor(&mut self) {
        self.save_key();
        self.skip();
        self.skip_while(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-'));
    }

    fn tag(&mut self) {
        self.save_key();
        self.skip();
        let verbatim = self.peek() == Some('<');
        self.skip_while(|c| {
            c.is_ascii_alphanumeric()
                || "-_;/?:@&=+$.%!~*'()".contains(c)
                || (verbatim && matches!(c, '<' | ',' | '[' | ']'))
        });
        if verbatim && self.peek() == Some('>') {
            self.skip();
        }
    }

    fn quoted(&mut self, mark: char) {
        self.save_key();
        self.skip();
        while let Some(c) = self.peek() {
            let doubled = mark == '\'' && self.rest.chars().nth(1) == Some('\'');
            self.skip();
            if c == mark && !doubled {
                return;
            }
            if c == mark || (c == '\\' && mark == '"') {
                self.skip();
            }
        }
    }

    /// A text without quotes, which may go on over several lines.
    fn plain(&mut self) {
        self.save_key();
        let indent = self.indent + 1;
        let mut line = self.line;
        loop {
            if self.at_document_mark() || self.peek() == Some('#') {
                break;
            }
            while let Some(c) = self.peek().filter(|c| !is_blank(*c) && !is_break(*c)) {
                let ends = (c == ':' && (self.flow > 0 && self.flow_mark_behind() || self.blank_behind()))
                    || (self.flow > 0 && matches!(c, ',' | '[' | ']' | '{' | '}'));
                if ends {
                    break;
                }
                self.skip();
                line = self.line;
            }
            if !self.peek().is_some_and(|c| is_blank(c) || is_break(c)) {
                break;
            }
            self.skip_while(|c| is_blank(c) || is_break(c));
            if self.flow == 0 && self.column < indent {
                break;
            }
        }
        self.key_allowed = self.line > line;
    }

    fn flow_mark_behind(&self) -> bool {
        self.rest.chars().nth(1).is_some_and(|c| matches!(c, ',' | '?' | '[' | ']' | '{' | '}'))
    }

    /// A text behind `|` or `>`, told by its indentation.
    fn block_text(&mut self) {
        self.key = None;
        self.skip();
        let mut indent = 0;
        while let Some(c) = self.peek().filter(|c| matches!(c, '+' | '-' | '1'..='9')) {
            if let Some(digit) = c.to_digit(10) {
                indent = self.indent.max(0) + digit as isize;
            }
            self.skip();
        }
        self.skip_while(|c| !is_break(c));
        self.skip();
        self.breaks(&mut indent);
        while self.column == indent && self.peek().is_some() {
            self.skip_while(|c| !is_break(c));
            self.skip();
            self.breaks(&mut indent);
        }
        self.key_allowed = true;
    }

    /// Goes over empty lines and the indentation behind them; finds the indentation where none is told.
    fn breaks(&mut self, indent: &mut isize) {
        let mut widest = 0;
        loop {
            while (*indent == 0 || self.column < *indent) && self.peek() == Some(' ') {
                self.skip();
            }
            widest = widest.max(self.column);
            if !self.peek().is_some_and(is_break) {
                break;
            }
            self.skip();
        }
        if *indent == 0 {
            *indent = widest.max(self.indent + 1).max(1);
        }
    }
}

fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\t')
}

fn is_break(c: char) -> bool {
    matches!(c, '\n' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}')
}
