//! Lays out a YAML value as text: block style, short things on one line, texts quoted whenever in doubt.
//! Leaves to others: reading, and turning data into values (`base/yaml`).

use std::fmt::Write;

use super::{Mapping, Value};
use crate::base::diagnostic::Diagnostic;

/// Longest mapping or list that is written on one line, in characters.
const ONE_LINE: usize = 100;

/// Longest key, in bytes as written: readers look no further than 1024 for the colon (YAML 1.2.2, 7.4.2).
const LONGEST_KEY: usize = 1000;

/// Words that some reader takes for a truth value or for nothing (YAML 1.1 types `bool` and `null`).
const TAKEN_WORDS: [&str; 12] =
    ["y", "n", "yes", "no", "on", "off", "true", "false", "null", "nan", "inf", "infinity"];

/// Writes a value as a document that ends with a line end.
pub(super) fn document(value: &Value) -> Result<String, Diagnostic> {
    let mut out = String::new();
    match value {
        Value::Mapping(entries) if !entries.is_empty() => mapping(&mut out, entries, 0)?,
        Value::Sequence(items) if !items.is_empty() => sequence(&mut out, items, 0)?,
        other => {
            out.push_str(&scalar(other)?);
            out.push('\n');
        }
    }
    Ok(out)
}

fn mapping(out: &mut String, entries: &Mapping, indent: usize) -> Result<(), Diagnostic> {
    for (name, value) in entries {
        let name = key(name)?;
        indented(out, indent);
        out.push_str(&name);
        out.push(':');
        if let Some(text) = one_line(value)? {
            out.push(' ');
            out.push_str(&text);
            out.push('\n');
            continue;
        }
        out.push('\n');
        match value {
            Value::Mapping(inner) => mapping(out, inner, indent + 2)?,
            Value::Sequence(inner) => sequence(out, inner, indent + 2)?,
            _ => {}
        }
    }
    Ok(())
}

fn sequence(out: &mut String, items: &[Value], indent: usize) -> Result<(), Diagnostic> {
    for item in items {
        indented(out, indent);
        out.push_str("- ");
        if let Some(text) = one_line(item)? {
            out.push_str(&text);
            out.push('\n');
            continue;
        }
        // The dash stands where the first line of what is nested has its last two blanks of indentation.
        let mut inner = String::new();
        match item {
            Value::Mapping(entries) => mapping(&mut inner, entries, indent + 2)?,
            Value::Sequence(items) => sequence(&mut inner, items, indent + 2)?,
            _ => {}
        }
        out.push_str(inner.trim_start_matches(' '));
    }
    Ok(())
}

fn indented(out: &mut String, columns: usize) {
    out.extend(std::iter::repeat_n(' ', columns));
}

/// Returns a value as it stands on one line; `None` if it is a mapping or list too long for that.
fn one_line(value: &Value) -> Result<Option<String>, Diagnostic> {
    let (open, parts, close) = match value {
        Value::Mapping(entries) => {
            let mut parts = Vec::with_capacity(entries.len());
            for (name, value) in entries {
                let Some(text) = one_line(value)? else { return Ok(None) };
                parts.push(format!("{}: {text}", key(name)?));
            }
            ('{', parts, '}')
        }
        Value::Sequence(items) => {
            let mut parts = Vec::with_capacity(items.len());
            for item in items {
                let Some(text) = one_line(item)? else { return Ok(None) };
                parts.push(text);
            }
            ('[', parts, ']')
        }
        other => return scalar(other).map(Some),
    };
    let text = format!("{open}{}{close}", parts.join(", "));
    Ok((text.chars().count() <= ONE_LINE).then_some(text))
}

fn key(value: &Value) -> Result<String, Diagnostic> {
    let text = match value {
        Value::Mapping(_) | Value::Sequence(_) => {
            return Err(Diagnostic::new("a key is a list or a mapping").expected("a text as key"));
        }
        other => scalar(other)?,
    };
    if text.len() > LONGEST_KEY {
        return Err(Diagnostic::new(format!("a key takes {} bytes", text.len()))
            .expected(format!("at most {LONGEST_KEY}")));
    }
    Ok(text)
}

fn scalar(value: &Value) -> Result<String, Diagnostic> {
    match value {
        Value::Null => Ok("null".to_owned()),
        Value::Bool(truth) => Ok(truth.to_string()),
        Value::String(text) => Ok(quoted_if_in_doubt(text)),
        Value::Mapping(entries) if entries.is_empty() => Ok("{}".to_owned()),
        Value::Sequence(items) if items.is_empty() => Ok("[]".to_owned()),
        Value::Number(number) => match (number.as_i64(), number.as_u64(), number.as_f64()) {
            (Some(whole), _, _) => Ok(whole.to_string()),
            (_, Some(whole), _) => Ok(whole.to_string()),
            (_, _, Some(real)) => real_number(real),
            _ => Err(Diagnostic::new("a number has no plain form")),
        },
        Value::Tagged(tagged) => Err(Diagnostic::new(format!("the tag {} is not taken here", tagged.tag))
            .expected("plain values without tags")),
        Value::Mapping(_) | Value::Sequence(_) => {
            Err(Diagnostic::new("a list or mapping where a value is due"))
        }
    }
}

/// Writes digits, a point and digits, never an exponent: readers of YAML 1.1 take `1e-5` for a text.
fn real_number(real: f64) -> Result<String, Diagnostic> {
    if !real.is_finite() {
        return Err(Diagnostic::new("a number is not finite").expected("a finite number"));
    }
    let text = real.to_string();
    Ok(if text.contains('.') { text } else { text + ".0" })
}

fn quoted_if_in_doubt(text: &str) -> String {
    if is_plain(text) { text.to_owned() } else { quoted(text) }
}

/// Tells whether every reader takes the bare text for this very text: it begins with a letter, holds nothing that
/// has a meaning in YAML, and is none of the taken words. Numbers, times and dates begin with no letter.
fn is_plain(text: &str) -> bool {
    let may_stand =
        |c: char| c.is_alphanumeric() || matches!(c, ' ' | '_' | '-' | '.' | '/' | '(' | ')' | '+' | '\'');
    text.starts_with(char::is_alphabetic)
        && !text.ends_with(' ')
        && text.chars().all(may_stand)
        && !TAKEN_WORDS.contains(&text.to_lowercase().as_str())
}

fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            c if is_hidden(c) => escape(&mut out, u32::from(c)),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

fn escape(out: &mut String, code: u32) {
    // Writing to a String cannot fail.
    let _ = match code {
        0..=0xFF => write!(out, "\\x{code:02X}"),
        0x100..=0xFFFF => write!(out, "\\u{code:04X}"),
        _ => write!(out, "\\U{code:08X}"),
    };
}

/// Tells whether a character is a control, a line separator, invisible, changes the direction, or is no character
/// at all: none of these stands raw in a file that people read.
fn is_hidden(c: char) -> bool {
    let code = u32::from(c);
    c.is_control()
        || code & 0xFFFE == 0xFFFE
        || matches!(code,
            0x00AD | 0x061C | 0x180E | 0x200B..=0x200F | 0x2028..=0x202E | 0x2060..=0x206F | 0xFDD0..=0xFDEF
            | 0xFEFF | 0xFFF9..=0xFFFB | 0xE0000..=0xE007F)
}

#[cfg(test)]
mod tests {
    use super::super::{read, write};
    use super::*;

    /// Texts that some reader of YAML would take for something else, or could not read unquoted.
    #[rustfmt::skip]
    const LOOKALIKES: [&str; 59] = [
        "no", "No", "y", "on", "off", "true", "null", "~", "", " ", "12:30", "1:30:00", "1e3", "0x1F",
        "0o17", "017", "1_000", "1.5", "-3", "+3", ".5", ".inf", ".nan", "2026-11-25",
        "2026-11-25T07:10:00+01:00", "- a", "? a", "a: b", "a #b", "#a", "&a", "*a", "!a", "|", ">",
        "%a", "@a", "`a", "'a'", "\"a\"", "{a}", "[a]", "a, b", "a\nb", "a\tb", "a\\b", " a", "a ", "=",
        "<<", "---", "...", "\u{feff}a", "\u{85}", "\u{2028}", "\u{0}\u{1b}[2J", "\u{202e}abc",
        "\u{fffe}", "\u{e0041}",
    ];

    #[test]
    fn texts_that_look_like_something_else_are_quoted_and_come_back() {
        for text in LOOKALIKES {
            let shown = write(&text).expect("a text");
            assert!(shown.starts_with('"') && shown.ends_with("\"\n"), "{text:?} is written as {shown}");
            assert_eq!(shown.lines().count(), 1, "{shown}");
            assert!(!shown.trim_end().contains(char::is_control), "{shown:?}");
            assert_eq!(read::<String>(&shown).expect("what was written"), text);
        }
    }

    #[test]
    fn plain_words_stay_plain() {
        for text in
            ["F12", "audio unit", "driver's end of the dash", "Führerhaus", "tenth-mv", "F12/audio unit"]
        {
            assert_eq!(write(&text).expect("a text"), format!("{text}\n"));
        }
    }

    #[test]
    fn numbers_have_no_exponent_and_come_back_exactly() {
        for number in [0.0, 0.003, 1e-7, 1e22, 5e-324, f64::MAX, 0.1 + 0.2, -2.0] {
            let shown = write(&number).expect("a number");
            assert!(!shown.contains(['e', 'E']) && shown.contains('.'), "{shown}");
            assert_eq!(read::<f64>(&shown).expect("what was written").to_bits(), f64::to_bits(number));
        }
        assert!(write(&f64::NAN).is_err() && write(&f64::INFINITY).is_err());
        assert_eq!(write(&u64::MAX).expect("a number"), "18446744073709551615\n");
    }

    #[test]
    fn short_things_stand_on_one_line_and_long_ones_are_nested() {
        let text = "a: {b: 1, c: [x, \"2:30\"]}\nlong:\n  - {name: the first one, of: several}\n  -\n    \
                    name: something so long that it cannot stand on one line with the others\n    \
                    more: [1, 2.5, true, null]\n    none: {}\n  - - another one that is far too long to stand \
                    on one line with its neighbour\n    - second\n";
        let value: Value = read(text).expect("sound");
        let shown = write(&value).expect("plain values");
        assert!(shown.contains("a: {b: 1, c: [x, \"2:30\"]}\n"), "{shown}");
        assert!(shown.contains("  - name: something so long"), "{shown}");
        assert_eq!(read::<Value>(&shown).expect("what was written"), value);
        assert_eq!(write(&read::<Value>(&shown).expect("the same")).expect("plain"), shown);
    }

    #[test]
    fn what_has_no_plain_form_is_refused() {
        let refused =
            |text: &str| write(&read::<Value>(text).expect("sound YAML")).expect_err("refused").to_string();
        assert!(refused("a: !colour red").contains("tag"));
        assert!(refused("a: .inf").contains("not finite"));
        assert!(refused("? [a, b]\n: c").contains("a key is a list"));
    }
}
