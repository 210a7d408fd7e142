//! The only file that speaks YAML. Caps the input, strips a byte order mark, refuses numbers that are not finite,
//! cleans the library's messages, and quotes texts that YAML 1.1 readers would take for something else.
//! Finds the line of a place in a document, so that a diagnostic found later can still be shown where it is.
//! Leaves to others: what the documents mean, and the layout of what is written (`base/yaml/layout`).

mod bounds;
mod layout;
mod scan;

use std::fmt;

use serde::Serialize;
use serde::de::{
    Deserialize, DeserializeOwned, DeserializeSeed, Deserializer, EnumAccess, Error, IgnoredAny, MapAccess,
    SeqAccess, VariantAccess, Visitor,
};

pub use serde_yaml::{Mapping, Value};

use crate::base::caps::YAML_BYTES;
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::clean;

/// Largest document that is read, in bytes.
pub const LARGEST: usize = YAML_BYTES;

/// Reads a document.
///
/// # Errors
/// Text over [`LARGEST`], nested too deep, with aliases, not YAML, not of the expected form, or a number that is not finite; with the line where
/// the library tells it.
pub fn read<T: DeserializeOwned>(text: &str) -> Result<T, Diagnostic> {
    if text.len() > LARGEST {
        return Err(Diagnostic::new(format!("the document has {} bytes", text.len()))
            .expected(format!("at most {LARGEST}"))
            .remedy("is this the right file?"));
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    bounds::check(text)?;
    serde_yaml::from_str(text).map_err(|error| {
        let mut message = clean(&error.to_string());
        if message.chars().count() > 240 {
            message = message.chars().take(240).chain(['…']).collect();
        }
        let fault = Diagnostic::new(message);
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
pub fn write<T: Serialize>(value: &T) -> Result<String, Diagnostic> {
    let value = serde_yaml::to_value(value).map_err(|error| Diagnostic::new(clean(&error.to_string())))?;
    layout::document(&value)
}

/// A document, or a part of one, with doubled keys kept and keys in the order of the text.
#[derive(Debug, Clone, PartialEq)]
pub enum Node {
    /// Nothing: `~`, `null`, or no value at all.
    Null,
    /// A truth value.
    Truth(bool),
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
    /// A list.
    List(Vec<Node>),
    /// Keys and values.
    Map(Vec<(String, Node)>),
    /// A value with a tag, which nothing here makes use of.
    Tagged,
}

impl<'de> Deserialize<'de> for Node {
    fn deserialize<D: Deserializer<'de>>(source: D) -> Result<Self, D::Error> {
        source.deserialize_any(AnyNode)
    }
}

struct AnyNode;

impl<'de> Visitor<'de> for AnyNode {
    type Value = Node;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }
    fn visit_unit<E>(self) -> Result<Node, E> {
        Ok(Node::Null)
    }
    fn visit_none<E>(self) -> Result<Node, E> {
        Ok(Node::Null)
    }
    fn visit_bool<E>(self, value: bool) -> Result<Node, E> {
        Ok(Node::Truth(value))
    }
    fn visit_i64<E>(self, value: i64) -> Result<Node, E> {
        Ok(Node::Number(value as f64))
    }
    fn visit_u64<E>(self, value: u64) -> Result<Node, E> {
        Ok(Node::Number(value as f64))
    }
    fn visit_i128<E>(self, value: i128) -> Result<Node, E> {
        Ok(Node::Number(value as f64))
    }
    fn visit_u128<E>(self, value: u128) -> Result<Node, E> {
        Ok(Node::Number(value as f64))
    }
    fn visit_f64<E>(self, value: f64) -> Result<Node, E> {
        Ok(Node::Number(value))
    }
    fn visit_str<E>(self, value: &str) -> Result<Node, E> {
        Ok(Node::Text(value.to_owned()))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Node, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Node::List(list))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Node, A::Error> {
        let mut map = Vec::new();
        while let Some(key) = entries.next_key::<Node>()? {
            map.push((key_text(&key), entries.next_value()?));
        }
        Ok(Node::Map(map))
    }
    fn visit_enum<A: EnumAccess<'de>>(self, tagged: A) -> Result<Node, A::Error> {
        // The content must be read, or the library stands still before it for ever.
        let (_, content) = tagged.variant::<String>()?;
        content.newtype_variant::<IgnoredAny>()?;
        Ok(Node::Tagged)
    }
}

/// A key as text; a list or map as a key has no name.
fn key_text(key: &Node) -> String {
    match key {
        Node::Text(text) => text.clone(),
        Node::Number(number) => number.to_string(),
        Node::Truth(truth) => truth.to_string(),
        Node::Null => "null".to_owned(),
        Node::List(_) | Node::Map(_) | Node::Tagged => String::new(),
    }
}

/// One step on the way to a place in a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PathStep {
    /// The value of a key.
    Key(String),
    /// The value of a key that stands several times: which of them, from 0.
    Again(String, usize),
    /// An item of a list, from 0.
    Item(usize),
}

/// Finds the line, from 1, of a place in a document: of the key where the way ends at a key, of the item where it
/// ends in a list. Where the way leads nowhere, the line of the last part that exists.
///
/// The library tells lines in its errors only, so the way is walked and an error raised at its end.
pub fn line_of(text: &str, way: &[PathStep]) -> Option<usize> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let error = Seek { way }.deserialize(serde_yaml::Deserializer::from_str(text)).err()?;
    error.location().map(|place| place.line())
}

/// Walks to a place and fails there.
struct Seek<'w> {
    way: &'w [PathStep],
}

impl<'de> DeserializeSeed<'de> for Seek<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, source: D) -> Result<(), D::Error> {
        source.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Seek<'_> {
    type Value = ();

    // Every visit that is not written here fails with the place at hand, which is what is wanted.
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the place")
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<(), A::Error> {
        let Some((PathStep::Item(wanted), rest)) = self.way.split_first() else {
            return Err(A::Error::custom("here"));
        };
        for _ in 0..*wanted {
            if items.next_element::<IgnoredAny>()?.is_none() {
                return Err(A::Error::custom("here"));
            }
        }
        items.next_element_seed(Seek { way: rest })?;
        Err(A::Error::custom("here"))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<(), A::Error> {
        let (wanted, mut before, rest) = match self.way.split_first() {
            Some((PathStep::Key(key), rest)) => (key, 0, rest),
            Some((PathStep::Again(key, count), rest)) => (key, *count, rest),
            _ => return Err(A::Error::custom("here")),
        };
        while let Some(found) =
            entries.next_key_seed(SeekKey { wanted, fail: rest.is_empty() && before == 0 })?
        {
            if !found {
                entries.next_value::<IgnoredAny>()?;
            } else if before > 0 {
                before -= 1;
                entries.next_value::<IgnoredAny>()?;
            } else {
                entries.next_value_seed(Seek { way: rest })?;
            }
        }
        Err(A::Error::custom("here"))
    }
}

/// Compares a key with the wanted one; fails on it if it is the end of the way.
struct SeekKey<'w> {
    wanted: &'w str,
    fail: bool,
}

impl<'de> DeserializeSeed<'de> for SeekKey<'_> {
    type Value = bool;

    fn deserialize<D: Deserializer<'de>>(self, source: D) -> Result<bool, D::Error> {
        source.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for SeekKey<'_> {
    type Value = bool;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a key")
    }
    fn visit_str<E: Error>(self, key: &str) -> Result<bool, E> {
        if key == self.wanted && self.fail { Err(E::custom("here")) } else { Ok(key == self.wanted) }
    }
    fn visit_unit<E: Error>(self) -> Result<bool, E> {
        self.visit_str(&key_text(&Node::Null))
    }
    fn visit_bool<E: Error>(self, key: bool) -> Result<bool, E> {
        self.visit_str(&key_text(&Node::Truth(key)))
    }
    fn visit_i64<E: Error>(self, key: i64) -> Result<bool, E> {
        self.visit_str(&key_text(&Node::Number(key as f64)))
    }
    fn visit_u64<E: Error>(self, key: u64) -> Result<bool, E> {
        self.visit_str(&key_text(&Node::Number(key as f64)))
    }
    fn visit_f64<E: Error>(self, key: f64) -> Result<bool, E> {
        self.visit_str(&key_text(&Node::Number(key)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(name: &str) -> PathStep {
        PathStep::Key(name.to_owned())
    }

    #[test]
    fn the_line_of_a_place_is_found_in_block_and_flow_style() {
        let text = "# head\na: 1\nb:\n  - {c: 1,\n     d: [1, 2,\n       3]}\n  - c:\n    d: x\n'e': |\n  text\n  more\n7:\nc: 1\nc: 2\n";
        let line = |way: &[PathStep]| line_of(text, way).unwrap_or_else(|| panic!("{way:?}"));
        assert_eq!(line(&[key("a")]), 2);
        assert_eq!(line(&[key("b"), PathStep::Item(0), key("c")]), 4);
        assert_eq!(line(&[key("b"), PathStep::Item(0), key("d"), PathStep::Item(2)]), 6);
        assert_eq!(line(&[key("b"), PathStep::Item(1), key("c")]), 7);
        assert_eq!(line(&[key("b"), PathStep::Item(1)]), 7);
        assert_eq!(line(&[key("e")]), 9);
        assert_eq!(line(&[key("7")]), 12);
        assert_eq!(line(&[PathStep::Again("c".into(), 1)]), 14);
        // A way that leads nowhere ends at the last part that exists.
        assert_eq!(line(&[key("b"), PathStep::Item(0), key("missing")]), 4);
        assert_eq!(line(&[key("b"), PathStep::Item(9)]), 4);
    }

    #[test]
    fn doubled_keys_are_kept_for_the_checker() {
        let node: Node = read("a: 1\na: x\nb: {c: ~, d: [true]}").expect("is YAML");
        let Node::Map(entries) = node else { panic!("a map") };
        assert_eq!(entries[0], ("a".into(), Node::Number(1.0)));
        assert_eq!(entries[1], ("a".into(), Node::Text("x".into())));
        assert_eq!(
            entries[2].1,
            Node::Map(vec![("c".into(), Node::Null), ("d".into(), Node::List(vec![Node::Truth(true)]))])
        );
    }

    #[test]
    fn a_tag_does_not_stop_the_reader() {
        let text = "a: !x 1\nb: !y {c: [!z d]}\ne: !w\nf: 2";
        let Node::Map(entries) = read(text).expect("is YAML") else { panic!("a map") };
        let tagged = entries.iter().filter(|(_, node)| *node == Node::Tagged).count();
        assert_eq!((entries.len(), tagged), (4, 3));
        assert_eq!(line_of(text, &[key("f")]), Some(4));
        assert_eq!(line_of(text, &[key("b"), key("c")]), Some(2));
    }
}
