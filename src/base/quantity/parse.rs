//! Reads values as people type them: `0.41mV`, `482 mA`, `0,482 A`, `68F`, `-3 °C`.
//! A refusal shows what would have been right. Leaves to others: whether a value makes sense (`measure/doubt`).

use super::unit::{Ampere, AmpereHour, Celsius, Minute, Ohm, Unit, Volt};
use crate::base::diagnostic::Diagnostic;

/// A value as it was typed, with what its digits say about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed<U> {
    /// The value.
    pub value: U,
    /// One step of the last digit typed, in base units: 0.0001 V for `0.4 mV`.
    pub step: f64,
    /// The text, trimmed.
    pub text: String,
}

impl<U: Unit> Typed<U> {
    /// Wraps a value that was not typed by anybody, such as one from a meter with this resolution.
    pub fn measured(value: U, step: f64, text: impl Into<String>) -> Self {
        Self { value, step, text: text.into() }
    }
}

/// A spelling of a unit and how it becomes base units: `value · factor + offset`.
struct Spelling {
    names: &'static [&'static str],
    factor: f64,
    offset: f64,
}

const fn spelling(names: &'static [&'static str], factor: f64) -> Spelling {
    Spelling { names, factor, offset: 0.0 }
}

/// A unit that people type values of.
pub trait Readable: Unit {
    /// What the value is, for messages, such as `a voltage drop`.
    const WHAT: &'static str;
    /// A text that would be right, for messages.
    const EXAMPLE: &'static str;
    /// What a vehicle can have at the least and at the most, generously, in base units. Editorial.
    const RANGE: (f64, f64);
    /// The smallest size but zero, in base units: nothing in a workshop shows less.
    const FINEST: f64;
    /// These bounds in words, for messages.
    const BOUNDS: &'static str;
    /// Reads a text; a bare number takes `bare` as its unit, which must be one of the spellings.
    ///
    /// # Errors
    /// Nothing typed, no number, two numbers, a thousands separator, not finite, out of [`Readable::RANGE`], a unit
    /// of another quantity or one out of all proportion: each with a text that would be right.
    fn read(text: &str, bare: &str) -> Result<Typed<Self>, Diagnostic>;
}

macro_rules! readable {
    ($unit:ident, $what:literal, $example:literal, $range:expr, $finest:literal, $bounds:literal, [$($spelling:expr),+ $(,)?]) => {
        impl Readable for $unit {
            const WHAT: &'static str = $what;
            const EXAMPLE: &'static str = $example;
            const RANGE: (f64, f64) = $range;
            const FINEST: f64 = $finest;
            const BOUNDS: &'static str = $bounds;
            fn read(text: &str, bare: &str) -> Result<Typed<Self>, Diagnostic> {
                const SPELLINGS: &[Spelling] = &[$($spelling),+];
                read_with(text, bare, SPELLINGS)
            }
        }
    };
}

// Spellings are compared without blanks and case folded, except that `M` (mega) is never taken for `m` (milli).
readable!(
    Volt,
    "a voltage",
    "3.0 mV",
    (-1000.0, 1000.0),
    1e-9,
    "±1 nV to ±1000 V",
    [
        spelling(&["v", "volt", "volts"], 1.0),
        spelling(&["mv", "millivolt", "millivolts"], 1e-3),
        spelling(&["uv", "µv", "μv", "microvolt", "microvolts"], 1e-6),
    ]
);
readable!(
    Ampere,
    "a current",
    "482 mA",
    (-10_000.0, 10_000.0),
    1e-9,
    "±1 nA to ±10 000 A",
    [
        spelling(&["a", "amp", "amps", "ampere", "amperes"], 1.0),
        spelling(&["ma", "milliamp", "milliamps", "milliampere"], 1e-3),
        spelling(&["ua", "µa", "μa", "microamp", "microamps"], 1e-6),
    ]
);
readable!(
    Ohm,
    "a resistance",
    "7.4 mohm",
    (-1e6, 1e6),
    1e-6,
    "1 µΩ to 1 MΩ",
    [
        spelling(&["ohm", "ohms", "ω", "Ω", "r"], 1.0),
        spelling(&["mohm", "mohms", "mω", "mΩ", "milliohm", "milliohms"], 1e-3),
        spelling(&["uohm", "µohm", "μohm", "uω", "µω", "µΩ", "μω", "microohm"], 1e-6),
    ]
);
readable!(
    Minute,
    "a time",
    "45 min",
    (-5_270_400.0, 5_270_400.0),
    1e-6,
    "60 µs to ten years",
    [
        spelling(&["min", "mins", "minute", "minutes"], 1.0),
        spelling(&["s", "sec", "second", "seconds"], 1.0 / 60.0),
        spelling(&["h", "hr", "hour", "hours"], 60.0),
        spelling(&["d", "day", "days"], 1440.0),
    ]
);
readable!(
    Celsius,
    "a temperature",
    "-3 °C",
    (-60.0, 200.0),
    0.0,
    "-60 to 200 °C",
    [
        spelling(&["°c", "c", "degc", "celsius", "deg"], 1.0),
        Spelling { names: &["°f", "f", "degf", "fahrenheit"], factor: 5.0 / 9.0, offset: -160.0 / 9.0 },
    ]
);
readable!(
    AmpereHour,
    "a capacity",
    "60 Ah",
    (-100_000.0, 100_000.0),
    1e-6,
    "1 µAh to 100 000 Ah",
    [spelling(&["ah", "amperehour", "amperehours", "amphours"], 1.0), spelling(&["mah"], 1e-3),]
);

/// Longest text of a value, in characters.
const LONGEST: usize = 60;

/// Returns a text that would be right where a bare number has this unit: a battery's volts are no drop's millivolts.
fn example<U: Readable>(bare: &str) -> &'static str {
    match bare {
        "V" => "12.6 V",
        "A" => "1.02 A",
        _ => U::EXAMPLE,
    }
}

fn read_with<U: Readable>(text: &str, bare: &str, spellings: &[Spelling]) -> Result<Typed<U>, Diagnostic> {
    let shown: String = text.trim().chars().take(LONGEST).collect();
    let example = example::<U>(bare);
    let refuse = |fault: Diagnostic| fault.expected(format!("{} such as {example}", U::WHAT));
    if shown.is_empty() {
        return Err(refuse(Diagnostic::new("nothing was typed")));
    }
    let count = text.trim().chars().count();
    if count > LONGEST {
        let fault =
            Diagnostic::new(format!("\"{shown}…\" has {count} characters, at most {LONGEST} are taken"));
        return Err(refuse(fault));
    }
    let (number, unit) = split(&shown);
    if number.is_empty() {
        return Err(refuse(Diagnostic::new(format!("\"{shown}\" does not begin with a number"))));
    }
    let (value, step) = read_number(&shown, &number).map_err(refuse)?;
    if unit.chars().any(|c| c.is_ascii_digit()) {
        return Err(refuse(Diagnostic::new(format!("\"{shown}\" holds more than one number"))));
    }
    let wanted = if unit.is_empty() { bare.to_owned() } else { unit.clone() };
    let found = find(&wanted, spellings).ok_or_else(|| refuse(wrong_unit::<U>(&shown, &unit)))?;
    let (least, most) = U::RANGE;
    let value = value.mul_add(found.factor, found.offset);
    let step = step * found.factor;
    let too_fine = value != 0.0 && value.abs() < U::FINEST;
    if !(least..=most).contains(&value) || too_fine || step > most {
        let fault = Diagnostic::new(format!("\"{shown}\" is out of all bounds"));
        return Err(fault.expected(format!("{}, {}, such as {example}", U::WHAT, U::BOUNDS)));
    }
    // Digits beyond what anything shows say nothing more.
    Ok(Typed { value: U::from_base(value), step: step.max(U::FINEST), text: text.trim().to_owned() })
}

/// Splits into the leading number (sign and digits, typographic minus made plain) and the rest.
fn split(text: &str) -> (String, String) {
    let text = text.replace(['\u{2212}', '\u{2013}'], "-");
    let is_exponent = |rest: &str| {
        let rest = rest.strip_prefix(['+', '-']).unwrap_or(rest);
        rest.starts_with(|c: char| c.is_ascii_digit())
    };
    let mut end = 0;
    for (at, c) in text.char_indices() {
        let after = text.get(at + c.len_utf8()..).unwrap_or("");
        let before = text.get(..at).unwrap_or("");
        let after_exponent = before.ends_with(['e', 'E']);
        let part_of_number = c.is_ascii_digit()
            || matches!(c, '.' | ',' | '\'')
            || (matches!(c, '+' | '-') && (at == 0 || after_exponent))
            || (at == 1 && c == ' ' && before.starts_with(['+', '-']))
            || (matches!(c, 'e' | 'E')
                && before.ends_with(|b: char| b.is_ascii_digit())
                && is_exponent(after));
        if !part_of_number {
            break;
        }
        end = at + c.len_utf8();
    }
    let number = text.get(..end).unwrap_or("").replace(' ', "");
    let unit = text.get(end..).unwrap_or("").trim().to_owned();
    let has_digit = number.chars().any(|c| c.is_ascii_digit());
    (if has_digit { number } else { String::new() }, unit)
}

/// Returns the number and one step of its last digit.
fn read_number(shown: &str, number: &str) -> Result<(f64, f64), Diagnostic> {
    let marks = number.chars().filter(|c| matches!(c, '.' | ',' | '\'')).count();
    if number.contains('\'') || marks > 1 {
        return Err(Diagnostic::new(format!(
            "\"{shown}\" has a thousands separator or two decimal marks: type 1234.5 or 1234,5"
        )));
    }
    let plain = number.replace(',', ".");
    let value: f64 = plain.parse().map_err(|_| Diagnostic::new(format!("\"{shown}\" is not a number")))?;
    if !value.is_finite() {
        return Err(Diagnostic::new(format!("\"{shown}\" is not a finite number")));
    }
    let (mantissa, exponent) = match plain.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, exponent.parse::<i32>().unwrap_or(0)),
        None => (plain.as_str(), 0),
    };
    let decimals = mantissa.split_once('.').map_or(0, |(_, tail)| tail.len());
    let decimals = i32::try_from(decimals).unwrap_or(0);
    Ok((value, 10_f64.powi(exponent.saturating_sub(decimals))))
}

fn find<'a>(unit: &str, spellings: &'a [Spelling]) -> Option<&'a Spelling> {
    let squeezed: String = unit.chars().filter(|c| !c.is_whitespace()).collect();
    // Lower-casing would turn mega into milli.
    if squeezed.starts_with('M') && squeezed.chars().count() > 1 && !squeezed.to_lowercase().starts_with("mi")
    {
        return None;
    }
    let folded = squeezed.to_lowercase();
    spellings.iter().find(|s| s.names.iter().any(|name| *name == folded || *name == squeezed))
}

/// Says why a unit does not fit.
fn wrong_unit<U: Readable>(shown: &str, unit: &str) -> Diagnostic {
    let squeezed: String = unit.chars().filter(|c| !c.is_whitespace()).collect();
    if squeezed.starts_with(['k', 'M', 'G']) {
        return Diagnostic::new(format!("\"{shown}\": {} in {unit} is out of all proportion here", U::WHAT));
    }
    let others: [(&str, &str); 8] = [
        ("v", "a voltage"),
        ("mv", "a voltage"),
        ("a", "a current"),
        ("ma", "a current"),
        ("ohm", "a resistance"),
        ("min", "a time"),
        ("c", "a temperature"),
        ("ah", "a capacity"),
    ];
    let folded = squeezed.to_lowercase();
    match others.iter().find(|(name, what)| *name == folded && *what != U::WHAT) {
        Some((_, what)) => Diagnostic::new(format!("\"{shown}\" is {what}, but {} is due here", U::WHAT)),
        None => Diagnostic::new(format!("\"{shown}\": the unit \"{unit}\" is not known for {}", U::WHAT)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_types_no_volts_is_shown_volts_of_what_is_asked_for() {
        let shown = |bare: &str| Volt::read("maybe", bare).expect_err("no number").to_string();
        assert!(shown("V").contains("12.6 V") && shown("mV").contains("3.0 mV"), "{}", shown("V"));
    }

    fn base<U: Readable>(text: &str, bare: &str) -> f64 {
        U::read(text, bare).unwrap_or_else(|fault| panic!("{fault}")).value.base()
    }

    fn refused<U: Readable>(text: &str, bare: &str) -> String {
        U::read(text, bare).expect_err("must be refused").to_string()
    }

    #[test]
    fn what_people_type_is_read() {
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12 * b.abs().max(1.0), "{a} is not {b}");
        near(base::<Volt>("0.41mV", "mV"), 0.41e-3);
        near(base::<Volt>("-0.1mV", "mV"), -0.1e-3);
        near(base::<Volt>("0,41 mV", "mV"), 0.41e-3);
        near(base::<Volt>("3", "mV"), 3e-3);
        near(base::<Volt>("12.6 V", "V"), 12.6);
        near(base::<Ampere>("482 mA", "mA"), 0.482);
        near(base::<Ampere>("0,482 A", "mA"), 0.482);
        near(base::<Ampere>("0.482A", "mA"), 0.482);
        near(base::<Ampere>("\u{2212}20 µA", "mA"), -20e-6);
        near(base::<Ampere>("1e3 uA", "mA"), 1e-3);
        near(base::<Celsius>("68F", "C"), 20.0);
        near(base::<Celsius>("-3 °C", "C"), -3.0);
        near(base::<Celsius>("- 3 C", "C"), -3.0);
        near(base::<Minute>("1.5 h", "min"), 90.0);
        near(base::<Ohm>("7.4 mΩ", "mohm"), 7.4e-3);
        near(base::<AmpereHour>("60 Ah", "Ah"), 60.0);
    }

    #[test]
    fn the_last_digit_is_remembered() {
        let step = |text: &str| Volt::read(text, "mV").expect("is right").step;
        assert!((step("0.41mV") - 1e-5).abs() < 1e-18);
        assert!((step("3 mV") - 1e-3).abs() < 1e-18);
        assert!((step("0.0030 V") - 1e-4).abs() < 1e-18);
    }

    #[test]
    fn what_no_vehicle_has_is_refused_with_the_bounds() {
        let bounds = [
            refused::<Volt>("1e300V", "mV"),
            refused::<Volt>("1e-30 V", "mV"),
            refused::<Volt>("0e300 V", "mV"),
        ];
        assert!(
            bounds.iter().all(|said| said.contains("±1 nV to ±1000 V") && said.contains("3.0 mV")),
            "{bounds:?}"
        );
        assert!(refused::<Ampere>("1e308 mA", "mA").contains("10 000 A"));
        assert!(refused::<Ohm>("1e-12 ohm", "mohm").contains("1 µΩ to 1 MΩ"));
        assert!(refused::<Minute>("1e308", "s").contains("ten years"));
        assert!(refused::<Celsius>("1e9C", "C").contains("-60 to 200 °C"));
        assert!(refused::<Celsius>("-100F", "C").contains("-60 to 200 °C"));
        assert!(refused::<AmpereHour>("1e6 Ah", "Ah").contains("100 000 Ah"));
        let long = format!("3{} A", " ".repeat(80));
        assert!(refused::<Ampere>(&long, "mA").contains("83 characters"), "the unit at its end counts");
        assert_eq!(Volt::read("0e-300 V", "mV").expect("nothing").step, 1e-9);
    }

    #[test]
    fn what_cannot_be_meant_is_refused_with_a_right_form() {
        for text in [
            "",
            "  ",
            "NaN",
            "inf",
            "-inf mV",
            "abc",
            "mV",
            "1 2 mV",
            "3mV 4mV",
            "1,234.5 mV",
            "1'000 mV",
            "1.2.3",
            "1e999 mV",
            "0e318",
            "-",
            ".",
        ] {
            let said = refused::<Volt>(text, "mV");
            assert!(said.contains("3.0 mV"), "{text:?}: {said}");
        }
        assert!(refused::<Ohm>("7 kΩ", "mohm").contains("out of all proportion"));
        assert!(refused::<Volt>("3 MV", "mV").contains("out of all proportion"));
        assert!(refused::<Volt>("3 mA", "mV").contains("is a current, but a voltage is due"));
        assert!(refused::<Ampere>("3 mV", "mA").contains("is a voltage, but a current is due"));
        assert!(refused::<Ampere>("3 parsec", "mA").contains("is not known"));
    }
}
