//! A live meter: what it shows now, or why it shows nothing. No I/O: whoever holds the line implements the trait.
//! Leaves to others: lines, sockets and ports (`cli/live`), when a reading is steady (`steady`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Ohm, Typed, Unit, Volt};

/// What is to be measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// A current.
    Current,
    /// A voltage.
    Volts,
}

/// What a meter shows.
#[derive(Debug, Clone, PartialEq)]
pub enum LiveReading {
    /// A current.
    Current(Typed<Ampere>),
    /// A voltage.
    Volts(Typed<Volt>),
    /// It is out of range.
    Overload,
}

/// A quantity that a live meter can show.
pub trait Sensed: Unit {
    /// What is to be measured for it.
    const SENSE: Sense;
    /// Its thousandth, as people type it.
    const MILLI: &'static str;
    /// Returns the value of what is shown, if it is of this quantity.
    fn of(shown: &LiveReading) -> Option<Self>;
}

impl Sensed for Ampere {
    const SENSE: Sense = Sense::Current;
    const MILLI: &'static str = "mA";
    fn of(shown: &LiveReading) -> Option<Self> {
        match shown {
            LiveReading::Current(current) => Some(current.value),
            LiveReading::Volts(_) | LiveReading::Overload => None,
        }
    }
}

impl Sensed for Volt {
    const SENSE: Sense = Sense::Volts;
    const MILLI: &'static str = "mV";
    fn of(shown: &LiveReading) -> Option<Self> {
        match shown {
            LiveReading::Volts(volts) => Some(volts.value),
            LiveReading::Current(_) | LiveReading::Overload => None,
        }
    }
}

/// Why nothing is shown.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LiveTrouble {
    /// Nothing came within the time limit.
    #[error("the meter says nothing")]
    Silent,
    /// What came is no value of the kind that is wanted; and why.
    #[error("the meter's line is no reading: {0}")]
    Garbage(String),
    /// The line to the meter is broken, or has ended; and what the system says.
    #[error("the meter is gone: {0}")]
    Gone(String),
}

/// A meter that can be asked what it shows.
pub trait Meter {
    /// Returns what it shows now, or the next thing that it shows where it speaks by itself. A time limit holds where
    /// the line allows one.
    ///
    /// # Errors
    /// Nothing came, nothing that can be used, or the line is broken.
    fn read(&mut self, sense: Sense) -> Result<LiveReading, LiveTrouble>;
}

/// How what a meter says is taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Dialect {
    /// Unit of a bare number where a current is wanted.
    pub current: String,
    /// Unit of a bare number where a voltage is wanted.
    pub volts: String,
    /// Shunt that a current is measured over as a voltage.
    pub shunt: Option<Ohm>,
}

/// From this size on a number is an overload mark: SCPI-99 (volume 1, 7.2.1.4) has 9.9E37 for infinity and 9.91E37
/// for what is no number.
const OVERLOAD: f64 = 9.0e36;

/// Words, in capitals, by which meters say that they are out of range.
const OVERLOAD_WORDS: [&str; 8] = ["OL", "O.L", "0L", "OVLD", "OVERLOAD", "OVER", "INF", "+INF"];

/// Longest text of a meter that is shown in a message, in characters.
const LONGEST: usize = 60;

impl Dialect {
    /// Reads what a meter said.
    ///
    /// # Errors
    /// It is no value of the kind that is wanted.
    pub fn read(&self, text: &str, sense: Sense) -> Result<LiveReading, LiveTrouble> {
        let text = first_value(text.trim().trim_matches('"'));
        let capitals = text.trim_start_matches('-').to_uppercase();
        let word = capitals.split_whitespace().next().unwrap_or("");
        let number = leading_number(text);
        if OVERLOAD_WORDS.contains(&word) || number.is_some_and(|number| number.abs() >= OVERLOAD) {
            return Ok(LiveReading::Overload);
        }
        let garbage =
            |fault: Diagnostic| LiveTrouble::Garbage(fault.what.chars().take(2 * LONGEST).collect());
        match (sense, self.shunt) {
            (Sense::Volts, _) => Volt::read(text, &self.volts).map(LiveReading::Volts).map_err(garbage),
            (Sense::Current, None) => {
                Ampere::read(text, &self.current).map(LiveReading::Current).map_err(garbage)
            }
            (Sense::Current, Some(shunt)) => {
                let volts = Volt::read(text, &self.volts).map_err(garbage)?;
                let current = Ampere::new(volts.value.base() / shunt.base());
                Ok(LiveReading::Current(Typed::measured(current, volts.step / shunt.base(), volts.text)))
            }
        }
    }
}

/// Returns the number that a text begins with; a unit may follow it without a blank.
fn leading_number(text: &str) -> Option<f64> {
    let of_number = |c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | 'e' | 'E');
    let end = text.find(|c: char| !of_number(c)).unwrap_or(text.len());
    text.get(..end)?.parse().ok()
}

/// Returns the first of several values parted by commas or semicolons. A comma is a decimal mark where the digits
/// before it have no point.
fn first_value(text: &str) -> &str {
    let head = text.split(';').next().unwrap_or("");
    match head.split_once(',') {
        Some((first, _)) if first.contains(['.', 'E', 'e']) => first.trim(),
        _ => head.trim(),
    }
}

/// Returns a value as a person would type it off a display with this count, in thousandths of the unit.
pub fn typed<U: Sensed>(value: U, count: U) -> String {
    let count = if count > U::from_base(0.0) { count.base() } else { 1e-6 };
    // Adding zero turns -0 into 0; counts of a display are far below ten decimals.
    let shown = (value.base() / count).round() * count * 1000.0 + 0.0;
    let decimals = (-(count * 1000.0).log10() - 1e-9).ceil().clamp(0.0, 9.0) as usize;
    format!("{shown:.decimals$} {}", U::MILLI)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dialect(shunt: Option<f64>) -> Dialect {
        Dialect { current: "A".into(), volts: "V".into(), shunt: shunt.map(Ohm::new) }
    }

    fn milliampere(text: &str) -> f64 {
        match dialect(None).read(text, Sense::Current) {
            Ok(LiveReading::Current(current)) => current.value.milli(),
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn numbers_are_read_as_meters_print_them() {
        for text in ["+4.82000000E-01", " 0.482\r\n", "482 mA", "\"0.482 A\"", "0,482", "4.82E-01,+1.0E+00"] {
            assert!((milliampere(text) - 482.0).abs() < 1e-9, "{text}");
        }
        let Ok(LiveReading::Volts(drop)) = dialect(None).read("3.02 mV", Sense::Volts) else {
            panic!("no drop")
        };
        assert!((drop.value.milli() - 3.02).abs() < 1e-12 && (drop.step - 1e-5).abs() < 1e-15);
    }

    #[test]
    fn a_shunt_makes_a_current_of_a_voltage() {
        let Ok(LiveReading::Current(current)) = dialect(Some(0.001)).read("0.41 mV", Sense::Current) else {
            panic!("no current")
        };
        assert!((current.value.milli() - 410.0).abs() < 1e-9 && (current.step - 0.01).abs() < 1e-12);
    }

    #[test]
    fn overload_is_no_value_and_garbage_says_what_it_was() {
        for text in
            ["9.9E37", "+9.90000000E+37", "-9.91E37", "9.9E37A", "OL", "-OL mA", "O.L", "OVLD", "9.9E+37,0"]
        {
            assert_eq!(dialect(None).read(text, Sense::Current), Ok(LiveReading::Overload), "{text}");
        }
        for text in ["", "READY", "-113,\"Undefined header\"", "1.2.3", "\u{1b}[2J"] {
            assert!(
                matches!(dialect(None).read(text, Sense::Current), Err(LiveTrouble::Garbage(_))),
                "{text:?}"
            );
        }
        let Err(trouble) = dialect(None).read("12.6 V", Sense::Current) else {
            panic!("volts are no current")
        };
        assert!(trouble.to_string().contains("a voltage"), "{trouble}");
    }
}
