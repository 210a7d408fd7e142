//! Roles become looks, and lines are wrapped to the width. One decision about colour for the whole run.
//! Leaves to others: the words (`text`, `hunt`), and where they go (`context`).
#![allow(
    clippy::disallowed_methods,
    reason = "the one place that reads the environment for colour and width"
)]

use anstyle::{AnsiColor, Style};
use unicode_width::UnicodeWidthChar;

use crate::base::styled::{Role, StyledText};

/// When colours are used, as given by `--color`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum Color {
    /// On a terminal that has them.
    #[default]
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// What the environment says about colours and the screen.
#[derive(Debug, Clone, Default)]
pub struct Environment {
    /// NO_COLOR is set and not empty.
    pub no_color: bool,
    /// CLICOLOR_FORCE is set and not `0`.
    pub force: bool,
    /// CLICOLOR is `0`.
    pub clicolor_off: bool,
    /// TERM is `dumb`: the screen takes no control codes.
    pub dumb: bool,
    /// The locale writes UTF-8.
    pub utf8: bool,
    /// COLUMNS, where it is a number.
    pub columns: Option<usize>,
}

impl Environment {
    /// Reads the environment.
    pub fn read() -> Self {
        let get = |name: &str| std::env::var(name).ok().filter(|text| !text.is_empty());
        Self {
            no_color: get("NO_COLOR").is_some(),
            force: get("CLICOLOR_FORCE").is_some_and(|text| text != "0"),
            clicolor_off: get("CLICOLOR").is_some_and(|text| text == "0"),
            dumb: get("TERM").is_some_and(|text| text == "dumb"),
            utf8: ["LC_ALL", "LC_CTYPE", "LANG"]
                .into_iter()
                .find_map(get)
                .is_some_and(|text| text.to_lowercase().replace('-', "").contains("utf8")),
            columns: get("COLUMNS").and_then(|text| text.parse().ok()).filter(|columns| *columns > 0),
        }
    }

    /// Decides about colours on a stream: `--color`, then NO_COLOR, CLICOLOR_FORCE, CLICOLOR=0, TERM=dumb, then
    /// whether it is a terminal.
    pub fn colour(&self, wanted: Color, is_terminal: bool) -> bool {
        match wanted {
            Color::Always => true,
            Color::Never => false,
            Color::Auto if self.no_color => false,
            Color::Auto if self.force => true,
            Color::Auto if self.clicolor_off || self.dumb => false,
            Color::Auto => is_terminal,
        }
    }

    /// Returns the width in columns: of the terminal, else COLUMNS, else 80.
    pub fn width(&self) -> usize {
        let seen = terminal_size::terminal_size().map(|(width, _)| usize::from(width.0)).filter(|w| *w > 0);
        seen.or(self.columns).unwrap_or(80)
    }
}

fn look(role: Role) -> Style {
    let colour = |colour: AnsiColor| Style::new().fg_color(Some(colour.into()));
    match role {
        Role::Plain => Style::new(),
        Role::Heading => Style::new().bold(),
        Role::Value => colour(AnsiColor::Cyan),
        Role::Name => Style::new().underline(),
        Role::Hint => Style::new().dimmed(),
        Role::Good => colour(AnsiColor::Green),
        Role::Doubt => colour(AnsiColor::Yellow),
        Role::Caution => colour(AnsiColor::Red).bold(),
    }
}

/// Narrowest width that lines are wrapped to; below it words are broken where they must be.
const NARROWEST: usize = 20;

/// Columns by which a continued line stands further in than its first line.
const HANGING: usize = 2;

/// Renders lines, each ended by a line end, wrapped to `width` columns.
pub fn paint(lines: &[StyledText], width: usize, colour: bool) -> String {
    let mut out = String::new();
    for line in lines {
        for row in wrap(line, width.max(NARROWEST)) {
            paint_row(&mut out, &row, colour);
            out.push('\n');
        }
    }
    out
}

type Cell = (char, Role);

fn paint_row(out: &mut String, row: &[Cell], colour: bool) {
    let mut now: Option<Style> = None;
    for (c, role) in row {
        let style = look(*role);
        if colour && now != Some(style) {
            if let Some(old) = now.replace(style) {
                out.push_str(&old.render_reset().to_string());
            }
            out.push_str(&style.render().to_string());
        }
        out.push(*c);
    }
    if let Some(old) = now {
        out.push_str(&old.render_reset().to_string());
    }
}

/// Returns the columns that a text takes.
pub fn columns(text: &str) -> usize {
    text.chars().map(|c| c.width().unwrap_or(0)).sum()
}

fn cells_wide(cells: &[Cell]) -> usize {
    cells.iter().map(|(c, _)| c.width().unwrap_or(0)).sum()
}

/// Breaks a line at blanks. A value is not torn from its unit; a word wider than the width is broken.
fn wrap(line: &StyledText, width: usize) -> Vec<Vec<Cell>> {
    let indent = line.indent.min(width / 2);
    let blank = |count: usize| vec![(' ', Role::Plain); count];
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    let mut row = blank(indent);
    let mut empty = true;
    for (gap, word) in words(line, width / 2) {
        let room = width.saturating_sub(cells_wide(&row));
        if !empty && cells_wide(&gap) + cells_wide(&word) > room {
            rows.push(std::mem::replace(&mut row, blank(indent + HANGING)));
        } else if !empty || rows.is_empty() {
            row.extend(gap);
        }
        for cell in word {
            if cells_wide(&row) + cell.0.width().unwrap_or(0) > width {
                rows.push(std::mem::replace(&mut row, blank(indent + HANGING)));
            }
            row.push(cell);
        }
        empty = false;
    }
    rows.push(row);
    rows
}

/// Splits a line into words, each with the blanks before it. Blanks inside a short value bind.
fn words(line: &StyledText, longest_bound: usize) -> Vec<(Vec<Cell>, Vec<Cell>)> {
    let mut found: Vec<(Vec<Cell>, Vec<Cell>)> = Vec::new();
    let mut gap: Vec<Cell> = Vec::new();
    let mut word: Vec<Cell> = Vec::new();
    for piece in &line.pieces {
        let binds = piece.role == Role::Value && columns(&piece.text) <= longest_bound;
        for c in piece.text.chars() {
            if c == ' ' && !binds {
                if !word.is_empty() {
                    found.push((std::mem::take(&mut gap), std::mem::take(&mut word)));
                }
                gap.push((c, piece.role));
            } else {
                word.push((c, piece.role));
            }
        }
    }
    if !word.is_empty() {
        found.push((gap, word));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_decision_about_colour_in_the_order_of_the_rules() {
        let none = Environment::default();
        assert!(none.colour(Color::Auto, true) && !none.colour(Color::Auto, false));
        let all = Environment { no_color: true, force: true, clicolor_off: true, dumb: true, ..none };
        assert!(all.colour(Color::Always, false) && !all.colour(Color::Auto, true));
        let forced = Environment { no_color: false, ..all.clone() };
        assert!(forced.colour(Color::Auto, false) && !forced.colour(Color::Never, true));
        let off = Environment { force: false, ..forced };
        assert!(!off.colour(Color::Auto, true));
        assert!(!Environment { dumb: true, ..Environment::default() }.colour(Color::Auto, true));
    }

    #[test]
    fn no_row_is_wider_than_the_width_and_no_word_is_lost() {
        let line = StyledText::plain("The clamp reads the whole draw: ")
            .and(Role::Value, "482 mA (470 to 494)")
            .and(Role::Plain, ", of which the fuse ")
            .and(Role::Name, "F12/audio unit")
            .and(Role::Plain, format!(" has most; {} 中文字 µΩ", "x".repeat(70)))
            .indented(4);
        for width in 20..100 {
            let text = paint(std::slice::from_ref(&line), width, false);
            assert!(text.lines().all(|row| columns(row) <= width), "{width}:\n{text}");
            let kept: String = text.split_whitespace().collect();
            assert_eq!(kept, line.text().split_whitespace().collect::<String>());
        }
    }

    #[test]
    fn a_value_keeps_its_unit_and_a_continued_line_hangs() {
        let line =
            StyledText::plain("leaves ").and(Role::Value, "411 mA (356 to 466)").and(Role::Plain, " on F12");
        assert_eq!(paint(&[line], 24, false), "leaves 411 mA (356 to\n  466) on F12\n");
        let line =
            StyledText::plain("some words, then ").and(Role::Value, "411 mA").and(Role::Plain, " on F12");
        assert_eq!(paint(&[line], 20, false), "some words, then\n  411 mA on F12\n");
    }

    #[test]
    fn without_colour_there_is_no_control_character_but_the_line_end() {
        let roles =
            [Role::Caution, Role::Good, Role::Value, Role::Hint, Role::Heading, Role::Name, Role::Doubt];
        let lines: Vec<StyledText> = roles.iter().map(|role| StyledText::of(*role, "a\u{1b}[31mb")).collect();
        assert!(paint(&lines, 80, false).chars().all(|c| c == '\n' || !c.is_control()));
        let painted = paint(&lines, 80, true);
        assert!(painted.contains("\u{1b}[") && painted.ends_with("\u{1b}[0m\n"));
    }
}
