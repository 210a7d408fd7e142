//! Figures as the user's settings want them on the screen: a decimal comma, °F. What is stored, and what programs read, stays
//! as it is.
//! Leaves to others: the settings (`config`).

use crate::base::styled::{Role, Span, StyledText};

/// How figures are shown.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Display {
    /// Temperatures in °F.
    pub fahrenheit: bool,
    /// A comma before decimals.
    pub comma: bool,
}

impl Display {
    /// Returns lines as they are shown. Names stay: a file may be called 1.5.
    pub fn lines(self, lines: &[StyledText]) -> Vec<StyledText> {
        let span = |span: &Span| match span.role {
            Role::Name => span.clone(),
            role => Span { role, text: self.text(&span.text) },
        };
        let line =
            |line: &StyledText| StyledText { pieces: line.pieces.iter().map(span).collect(), ..line.clone() };
        lines.iter().map(line).collect()
    }

    /// Returns a text as it is shown.
    pub fn text(self, text: &str) -> String {
        if self == Self::default() {
            return text.to_owned();
        }
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        let mut before = ' ';
        while let Some(c) = rest.chars().next() {
            let length = if starts_figure(before) { figure(rest) } else { 0 };
            if length == 0 {
                out.push(c);
                before = c;
                rest = rest.get(c.len_utf8()..).unwrap_or_default();
                continue;
            }
            let (number, after) = rest.split_at(length);
            let (shown, after) = self.shown(number, after);
            out.push_str(&shown);
            before = '0';
            rest = after;
        }
        out
    }

    /// Returns a figure as it is shown, and what is left behind it.
    fn shown<'a>(self, number: &str, after: &'a str) -> (String, &'a str) {
        let places = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        let celsius = after.strip_prefix(" °C").filter(|_| self.fahrenheit);
        let (number, after, unit) = match (celsius, number.parse::<f64>()) {
            (Some(after), Ok(value)) => (format!("{:.places$}", value * 1.8 + 32.0), after, " °F"),
            _ => (number.to_owned(), after, ""),
        };
        let number = if self.comma { number.replace('.', ",") } else { number };
        (number + unit, after)
    }
}

/// Returns true if a figure may begin behind this character.
fn starts_figure(before: char) -> bool {
    !(before.is_alphanumeric() || matches!(before, '.' | '_' | '/' | ':' | '\\' | '-'))
}

/// Returns how long the figure is that a text begins with; 0 if it is none, such as a version or a date.
fn figure(text: &str) -> usize {
    let digits = |from: &str| from.chars().take_while(char::is_ascii_digit).count();
    let sign = usize::from(text.starts_with('-'));
    let whole = digits(text.get(sign..).unwrap_or_default());
    if whole == 0 {
        return 0;
    }
    let mut length = sign + whole;
    let rest = text.get(length..).unwrap_or_default();
    if let Some(decimals) = rest.strip_prefix('.').map(digits).filter(|count| *count > 0) {
        length += 1 + decimals;
    }
    let after = text.get(length..).unwrap_or_default();
    let goes_on = after.starts_with(['-', '/', ':', '_'])
        || after.strip_prefix('.').is_some_and(|more| more.starts_with(|c: char| c.is_alphanumeric()));
    if goes_on { 0 } else { length }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_shown_as_wanted_and_nothing_else_changes() {
        let display = Display { fahrenheit: true, comma: true };
        for (from, to) in [
            ("429.5 mA (349 to 509)", "429,5 mA (349 to 509)"),
            ("it freezes at -5.4 °C.", "it freezes at 22,3 °F."),
            ("20 °C", "68 °F"),
            ("fusetrail 0.1.0", "fusetrail 0.1.0"),
            ("2026-11-02 07:40", "2026-11-02 07:40"),
            ("x1.5.yaml and 1.5.yaml", "x1.5.yaml and 1.5.yaml"),
            ("F12 0.3mV", "F12 0,3mV"),
            ("end 1.5.", "end 1,5."),
        ] {
            assert_eq!(display.text(from), to);
        }
        assert_eq!(Display::default().text("1.5 °C"), "1.5 °C");
    }
}
