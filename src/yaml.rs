//! The only file that speaks YAML. Caps the input, strips a byte order mark, refuses numbers that are not finite,
//! cleans the library's messages, and quotes texts that YAML 1.1 readers would take for something else.
//! Leaves to others: what the documents mean, and the layout of what is written (`yaml/layout`).

mod layout;

use serde::Serialize;
use serde::de::DeserializeOwned;

pub use serde_yaml::{Mapping, Value};

use crate::fault::Fault;
use crate::piece::clean;

/// Largest document that is read, in bytes.
pub const LARGEST: usize = 8 * 1024 * 1024;

/// Reads a document.
///
/// # Errors
/// Text over [`LARGEST`], not YAML, not of the expected form, or a number that is not finite; with the line where
/// the library tells it.
pub fn read<T: DeserializeOwned>(text: &str) -> Result<T, Fault> {
    if text.len() > LARGEST {
        return Err(Fault::new(format!("the document has {} bytes", text.len()))
            .expected(format!("at most {LARGEST}"))
            .remedy("is this the right file?"));
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    serde_yaml::from_str(text).map_err(|error| {
        let mut message = clean(&error.to_string());
        if message.chars().count() > 240 {
            message = message.chars().take(240).chain(['…']).collect();
        }
        let fault = Fault::new(message);
        match error.location() {
            Some(place) => fault.on_line(place.line()),
            None => fault,
        }
    })
}

/// Writes a document that readers of YAML 1.1 and of YAML 1.2 take alike: a text stays a text, whatever it looks
/// like, and every text stands on one line, foreign control and invisible characters escaped.
///
/// # Errors
/// The value has no plain YAML form: a number that is not finite, a tag, a map with keys that are not scalars.
pub fn write<T: Serialize>(value: &T) -> Result<String, Fault> {
    let value = serde_yaml::to_value(value).map_err(|error| Fault::new(clean(&error.to_string())))?;
    layout::document(&value)
}
