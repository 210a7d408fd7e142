//! Words of the command line to values: `482 mA 77mA` is two values whether or not the shell split the unit off.
//! Leaves to others: what the values are (`add`).

use crate::cli::as_typed;
use crate::fault::Fault;
use crate::quantity::Typed;
use crate::quantity::parse::Readable;

/// Joins words to values: a word that begins as a number does begins a value, any other belongs to the one before.
pub fn join(words: &[String]) -> Vec<String> {
    let mut values: Vec<String> = Vec::new();
    for word in words.iter().map(|word| as_typed(word.trim())).filter(|word| !word.is_empty()) {
        match values.last_mut() {
            Some(last) if !begins_a_value(&word) => {
                last.push(' ');
                last.push_str(&word);
            }
            _ => values.push(word),
        }
    }
    values
}

fn begins_a_value(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | ','))
}

/// Reads exactly one value.
///
/// # Errors
/// None or several, or not a value of this quantity.
pub fn one<U: Readable>(words: &[String], bare: &str) -> Result<Typed<U>, Fault> {
    let [value] = exactly::<U, 1>(words, "one value")?;
    U::read(&value, bare)
}

/// Reads exactly two values, before and after.
///
/// # Errors
/// More or fewer, or not values of this quantity.
pub fn two<U: Readable>(words: &[String], bare: &str) -> Result<(Typed<U>, Typed<U>), Fault> {
    let [before, after] = exactly::<U, 2>(words, "two values, before and after")?;
    Ok((U::read(&before, bare)?, U::read(&after, bare)?))
}

/// Returns exactly so many values as texts.
///
/// # Errors
/// More or fewer.
pub fn exactly<U: Readable, const N: usize>(words: &[String], wanted: &str) -> Result<[String; N], Fault> {
    let values = join(words);
    let found = values.len();
    values.try_into().map_err(|_| {
        Fault::new(format!("{found} values were given")).expected(format!("{wanted}, such as {}", U::EXAMPLE))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Ampere, Unit, Volt};

    fn words(text: &str) -> Vec<String> {
        text.split(' ').map(str::to_owned).collect()
    }

    #[test]
    fn a_unit_split_off_by_the_shell_finds_its_number() {
        assert_eq!(join(&words("482 mA 77mA")), ["482 mA", "77mA"]);
        assert_eq!(join(&words("-0.1 mV")), ["-0.1 mV"]);
        let (before, after) = two::<Ampere>(&words("482 mA 0,077 A"), "mA").expect("two");
        assert!((before.value.milli() - 482.0).abs() < 1e-9 && (after.value.milli() - 77.0).abs() < 1e-9);
    }

    #[test]
    fn too_many_too_few_and_wrong_units_are_refused() {
        for text in ["", "3mV 4mV", "3mA", "x"] {
            assert!(one::<Volt>(&words(text), "mV").is_err(), "{text}");
        }
        assert!(
            two::<Ampere>(&words("482mA"), "mA").expect_err("one only").to_string().contains("two values")
        );
        assert!(one::<Volt>(&words("-3"), "mV").expect("bare").value.base() < 0.0);
    }
}
