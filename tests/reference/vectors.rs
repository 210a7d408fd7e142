//! Reads a vector file and refuses one that is empty or doesn't say where it comes from.
//! Leaves to others: what its cases mean.

use std::fs;
use std::path::PathBuf;

use serde_json::Value;

/// A vector file: its head and its cases.
pub struct Vectors(Value);

impl Vectors {
    /// Reads `vectors/NAME.json`.
    pub fn read(name: &str) -> Self {
        let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
            .join("tests/reference/vectors")
            .join(format!("{name}.json"));
        let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let value: Value = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        for key in ["made_by", "packages", "seed", "source", "same_within"] {
            assert!(value.get(key).is_some(), "{name}.json doesn't say {key}");
        }
        Self(value)
    }

    /// Returns the cases under a key; there must be at least this many.
    pub fn cases(&self, key: &str, at_least: usize) -> &[Value] {
        let cases = self.0[key].as_array().unwrap_or_else(|| panic!("no {key}"));
        assert!(cases.len() >= at_least, "{key}: {} cases, at least {at_least} expected", cases.len());
        cases
    }
}

/// Returns a number of a case.
pub fn number(case: &Value, key: &str) -> f64 {
    case[key].as_f64().unwrap_or_else(|| panic!("{key} is no number in {case}"))
}

/// Returns a text of a case.
pub fn text<'a>(case: &'a Value, key: &str) -> &'a str {
    case[key].as_str().unwrap_or_else(|| panic!("{key} is no text in {case}"))
}

/// Returns a list of numbers.
pub fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().unwrap_or_else(|| panic!("no list: {value}"));
    list.iter().map(|one| one.as_f64().expect("a number")).collect()
}

/// Asserts that two numbers agree within a share of the second, or absolutely near zero.
pub fn agree(found: f64, expected: f64, relative: f64, absolute: f64, what: &str) {
    let apart = (found - expected).abs();
    assert!(apart <= absolute.max(relative * expected.abs()), "{what}: {found} instead of {expected}");
}
