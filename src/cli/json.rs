//! A result as one line of JSON in which nothing foreign reaches a terminal: what is hidden or moves the cursor stands
//! as `\\uXXXX`, which every reader takes for the character itself.
//! Leaves to others: what is written (each command, `render`).

use std::io::{self, Write};

use serde::Serialize;
use serde_json::ser::Formatter;

use crate::base::diagnostic::Diagnostic;
use crate::base::styled::is_hidden;

/// Returns a value as a document that ends with a line end.
///
/// # Errors
/// The value has no JSON form.
pub fn document(value: &impl Serialize) -> Result<String, Diagnostic> {
    let mut out = Vec::new();
    let mut writer = serde_json::Serializer::with_formatter(&mut out, Escaping);
    value.serialize(&mut writer).map_err(|error| Diagnostic::new(error.to_string()))?;
    out.push(b'\n');
    String::from_utf8(out).map_err(|error| Diagnostic::new(error.to_string()))
}

/// The compact form, with hidden characters escaped.
struct Escaping;

impl Formatter for Escaping {
    fn write_string_fragment<W: ?Sized + Write>(&mut self, writer: &mut W, fragment: &str) -> io::Result<()> {
        let mut rest = fragment;
        while let Some((at, c)) = rest.char_indices().find(|(_, c)| is_hidden(*c)) {
            writer.write_all(rest.get(..at).unwrap_or_default().as_bytes())?;
            for unit in c.encode_utf16(&mut [0; 2]) {
                write!(writer, "\\u{unit:04x}")?;
            }
            rest = rest.get(at + c.len_utf8()..).unwrap_or_default();
        }
        writer.write_all(rest.as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn what_is_hidden_is_escaped_in_keys_and_values() {
        let text = "a\u{7f}\u{9b}\u{202e}\u{200b}\u{e0041}\u{1b}\"é";
        let json = document(&serde_json::json!({ text: text })).expect("JSON");
        let due = r#""a\u007f\u009b\u202e\u200b\udb40\udc41\u001b\"é""#;
        assert_eq!(json, format!("{{{due}:{due}}}\n"));
    }

    proptest! {
        #[test]
        fn any_text_comes_back_and_nothing_hidden_is_written(text in any::<String>()) {
            let json = document(&text).expect("JSON");
            prop_assert!(json.trim_end_matches('\n').chars().all(|c| !is_hidden(c)));
            prop_assert_eq!(serde_json::from_str::<String>(&json).expect("JSON"), text);
        }
    }
}
