//! What is printed on a battery, read as people type it: `70 Ah 640 A EN`, `RC 120`, `CCA 540 SAE`.
//! Leaves to others: what it means in ampere-hours (`capacity`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, AmpereHour, Minute};

/// What is printed on a battery.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ratings {
    /// 20-hour capacity.
    pub capacity: Option<AmpereHour>,
    /// Capacity as a tester or a discharge measured it; not printed.
    pub measured: Option<AmpereHour>,
    /// Reserve capacity: time at 25 A down to 10.5 V, at 27 °C.
    pub reserve: Option<Minute>,
    /// Cold cranking rating.
    pub cranking: Option<Ampere>,
    /// Standard of the cranking rating, as typed, such as `EN`.
    pub standard: Option<String>,
}

/// Standards of cranking ratings that are told apart by name.
const STANDARDS: [&str; 5] = ["EN", "SAE", "DIN", "IEC", "JIS"];
/// Words without a meaning of their own here.
const FILLERS: [&str; 6] = ["c20", "20h", "20hr", "c/20", "and", ","];

/// Reads what is printed on a battery.
///
/// # Errors
/// Nothing that is a rating, a word that is not understood, or a number that is not above zero.
pub fn read(text: &str) -> Result<Ratings, Diagnostic> {
    let refuse =
        |what: String| Diagnostic::new(what).expected("ratings such as 70 Ah 640 A EN, RC 120, CCA 540 SAE");
    let mut ratings = Ratings::default();
    let spaced = text.replace([';', '/'], " ").replace(", ", " ");
    let mut words = spaced.split_whitespace().peekable();
    while let Some(word) = words.next() {
        if FILLERS.contains(&word.to_lowercase().as_str()) {
            continue;
        }
        if let Some(standard) = STANDARDS.iter().find(|known| known.eq_ignore_ascii_case(word)) {
            ratings.standard = Some((*standard).to_owned());
            continue;
        }
        let (number, unit) = match word.to_lowercase().as_str() {
            "rc" | "reserve" => (words.next().unwrap_or_default().to_owned(), "min".to_owned()),
            "cca" | "cranking" => (words.next().unwrap_or_default().to_owned(), "a".to_owned()),
            _ => split(word, &mut words),
        };
        match unit.to_lowercase().trim_end_matches('.') {
            "ah" => ratings.capacity = Some(positive::<AmpereHour>(&number, "Ah")?),
            "min" | "mins" | "minutes" | "rc" => ratings.reserve = Some(positive::<Minute>(&number, "min")?),
            "a" | "cca" | "amps" => ratings.cranking = Some(positive::<Ampere>(&number, "A")?),
            _ => return Err(refuse(format!("\"{word}\" is not understood"))),
        }
    }
    if ratings == Ratings::default() {
        return Err(refuse("no rating was typed".to_owned()));
    }
    Ok(ratings)
}

fn positive<U: Readable>(number: &str, unit: &str) -> Result<U, Diagnostic> {
    let value = U::read(number, unit)?.value;
    if value.base() > 0.0 {
        return Ok(value);
    }
    Err(Diagnostic::new(format!("\"{number}\" is not above zero")).expected(U::EXAMPLE))
}

/// Splits `70Ah` into number and unit; a number alone takes the next word as its unit.
fn split<'a>(word: &'a str, words: &mut impl Iterator<Item = &'a str>) -> (String, String) {
    let end = word.find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ',')).unwrap_or(word.len());
    let (number, unit) = word.split_at(end);
    let unit = if unit.is_empty() { words.next().unwrap_or_default() } else { unit };
    (number.to_owned(), unit.to_owned())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::base::quantity::Unit;

    #[test]
    fn ratings_are_read_as_labels_print_them() {
        let found = read("70Ah 640 A EN").expect("ratings");
        assert_eq!(found.capacity.map(Unit::base), Some(70.0));
        assert_eq!(found.cranking.map(Unit::base), Some(640.0));
        assert_eq!(found.standard.as_deref(), Some("EN"));
        assert_eq!(read("RC 120").expect("a rating").reserve.map(Unit::base), Some(120.0));
        assert_eq!(read("120 min").expect("a rating").reserve.map(Unit::base), Some(120.0));
        assert_eq!(read("cca 540 sae").expect("a rating").cranking.map(Unit::base), Some(540.0));
        assert_eq!(read("12,5 Ah").expect("a rating").capacity.map(Unit::base), Some(12.5));
    }

    proptest! {
        #[test]
        fn whatever_is_typed_is_read_or_refused(text in ".{0,40}") {
            if let Ok(found) = read(&text) {
                prop_assert!(found.capacity.is_none_or(|capacity| capacity > AmpereHour::ZERO));
            }
        }
    }

    #[test]
    fn what_is_no_rating_is_refused() {
        for text in ["", "big", "70", "70 kg", "0 Ah", "RC", "-5 Ah", "EN x"] {
            assert!(read(text).is_err(), "{text}");
        }
    }
}
