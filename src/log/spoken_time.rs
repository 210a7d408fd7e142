//! A time as people tell it: `2-3 days`, `overnight`, a time somewhere in a sentence.
//! Leaves to others: what it is the time of (`interview`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Minute, Unit};

/// Reads a time to flat as people tell it: `13 days`, `2-3 weeks`, `a week`, `overnight`; a bare number is days.
///
/// # Errors
/// No time.
pub fn read_time(text: &str) -> Result<Minute, Diagnostic> {
    match Minute::read(text, "d") {
        Ok(typed) => Ok(typed.value),
        Err(fault) => time_in(text).ok_or(fault),
    }
}

/// A night: from the evening to the morning. Editorial.
const NIGHT: Minute = Minute::new(720.0);

/// Finds a time in a sentence; of two such as `2-3 days` the middle.
pub(super) fn time_in(text: &str) -> Option<Minute> {
    let lower = text.to_lowercase().replace(['-', '–'], " to ");
    let all: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric() && c != '.').collect();
    let all: Vec<&str> =
        all.into_iter().map(|word| word.trim_matches('.')).filter(|word| !word.is_empty()).collect();
    if all.iter().any(|word| ["overnight", "morning"].contains(word)) {
        return Some(NIGHT);
    }
    let count = |word: &&str| {
        let named = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];
        let named = named.iter().position(|name| name == word).map(|at| at as f64 + 1.0);
        let few = ["a", "an"].contains(word).then_some(1.0).or((*word == "couple").then_some(2.0));
        named.or(few).or_else(|| word.parse::<f64>().ok().filter(|number| number.is_finite()))
    };
    all.iter().enumerate().find_map(|(at, word)| {
        let minutes = match word.trim_end_matches('s') {
            "h" | "hour" => 60.0,
            "d" | "day" => 1440.0,
            "week" => 10_080.0,
            "month" => 43_200.0,
            "night" => 1440.0,
            _ => return None,
        };
        // The first night has no day before it.
        let less = if word.starts_with("night") { 1440.0 - NIGHT.base() } else { 0.0 };
        let before = all.get(..at)?;
        let of = |back: usize| before.len().checked_sub(back).and_then(|at| before.get(at));
        let last = of(1).filter(|word| **word != "of").or(of(2)).and_then(count)?;
        let first = of(2).filter(|word| ["to", "or"].contains(*word)).and(of(3)).and_then(count);
        Some(Minute::new(minutes * (last + first.unwrap_or(last)) / 2.0 - less))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_understood_as_people_tell_it() {
        let days = |text: &str| read_time(text).map(|time| time.base() / 1440.0).ok();
        let told = [
            "13 days",
            "2-3 days",
            "a week",
            "1 week",
            "overnight",
            "14",
            "two weeks",
            "10 h",
            "3 or 4 weeks",
            "2 nights",
            "a night",
        ];
        let meant = [13.0, 2.5, 7.0, 7.0, 0.5, 14.0, 14.0, 10.0 / 24.0, 24.5, 1.5, 0.5];
        for (text, meant) in told.iter().zip(meant) {
            assert!(days(text).is_some_and(|days| (days - meant).abs() < 1e-9), "{text}: {:?}", days(text));
        }
        assert!(days("soon").is_none() && days("days").is_none() && days("").is_none());
        assert_eq!(time_in("It is flat after a couple of days."), Some(Minute::new(2880.0)));
        assert_eq!(time_in("flat after standing"), None);
    }
}
