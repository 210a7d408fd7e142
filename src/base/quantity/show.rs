//! Writes values for people (digits by uncertainty, unit by size) and for programs (the JSON shape).
//! Leaves to others: reading text (`parse`) and colours.

use schemars::JsonSchema;
use serde::Serialize;

use super::uncertain::Uncertain;
use super::unit::{Ampere, AmpereHour, Celsius, Day, Minute, Ohm, Share, Unit, Volt};

/// The JSON shape of a quantity: value, standard uncertainty and 95 % interval in `unit`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Q {
    /// Best value.
    pub value: f64,
    /// Standard uncertainty.
    pub u: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end of the 95 % interval.
    pub high: f64,
    /// Unit of all four.
    pub unit: &'static str,
}

impl Q {
    /// Returns it with an interval that ends where the quantity does: no share is above all.
    #[must_use]
    pub fn within(self, least: f64, most: f64) -> Self {
        Self { low: self.low.clamp(least, most), high: self.high.clamp(least, most), ..self }
    }
}

/// How a unit is scaled when shown.
pub trait Shown: Unit {
    /// Unit that JSON uses.
    const JSON_UNIT: &'static str;
    /// Base units times this are JSON units.
    const JSON_FACTOR: f64;
    /// Returns the factor and the symbol that suit a size for people.
    fn scale(base: f64) -> (f64, &'static str);
}

impl Shown for Ampere {
    const JSON_UNIT: &'static str = "mA";
    const JSON_FACTOR: f64 = 1000.0;
    fn scale(base: f64) -> (f64, &'static str) {
        if base.abs() >= 1.0 { (1.0, "A") } else { (1000.0, "mA") }
    }
}

impl Shown for Volt {
    const JSON_UNIT: &'static str = "mV";
    const JSON_FACTOR: f64 = 1000.0;
    fn scale(base: f64) -> (f64, &'static str) {
        if base.abs() >= 1.0 { (1.0, "V") } else { (1000.0, "mV") }
    }
}

impl Shown for Ohm {
    const JSON_UNIT: &'static str = "mohm";
    const JSON_FACTOR: f64 = 1000.0;
    fn scale(_: f64) -> (f64, &'static str) {
        (1000.0, "mΩ")
    }
}

impl Shown for Minute {
    const JSON_UNIT: &'static str = "min";
    const JSON_FACTOR: f64 = 1.0;
    fn scale(base: f64) -> (f64, &'static str) {
        if base.abs() >= 2880.0 { (1.0 / 1440.0, "d") } else { (1.0, "min") }
    }
}

impl Shown for AmpereHour {
    const JSON_UNIT: &'static str = "Ah";
    const JSON_FACTOR: f64 = 1.0;
    fn scale(_: f64) -> (f64, &'static str) {
        (1.0, "Ah")
    }
}

impl Shown for Day {
    const JSON_UNIT: &'static str = "d";
    const JSON_FACTOR: f64 = 1.0;
    fn scale(base: f64) -> (f64, &'static str) {
        // Half a day and less is told in hours.
        if base.abs() < 0.5 { (24.0, "h") } else { (1.0, "d") }
    }
}

impl Shown for Share {
    const JSON_UNIT: &'static str = "%";
    const JSON_FACTOR: f64 = 100.0;
    fn scale(_: f64) -> (f64, &'static str) {
        (100.0, "%")
    }
}

impl Shown for Celsius {
    const JSON_UNIT: &'static str = "°C";
    const JSON_FACTOR: f64 = 1.0;
    fn scale(_: f64) -> (f64, &'static str) {
        (1.0, "°C")
    }
}

/// Returns the JSON shape of a quantity.
pub fn q<U: Shown>(quantity: &Uncertain<U>) -> Q {
    let scaled = |value: U| round_to_nine(value.base() * U::JSON_FACTOR);
    Q {
        value: scaled(quantity.value()),
        u: scaled(quantity.u()),
        low: scaled(quantity.low()),
        high: scaled(quantity.high()),
        unit: U::JSON_UNIT,
    }
}

/// Rounds away what binary arithmetic leaves behind, so that 3 mV does not show as 3.0000000000000004.
fn round_to_nine(value: f64) -> f64 {
    // Adding zero turns -0 into 0.
    (value * 1e9).round() / 1e9 + 0.0
}

/// Returns a bare value in a unit that suits its size, with `digits` significant digits.
pub fn bare<U: Shown>(value: U, digits: i32) -> String {
    let (factor, symbol) = U::scale(value.base());
    let scaled = value.base() * factor;
    format!("{} {symbol}", fixed(scaled, decimals(scaled, digits)))
}

/// Returns a value with its 95 % interval for people: `411 mA (356 to 466)`.
/// The uncertainty is given two significant digits, the value as many decimals as that (JCGM 100:2008, 7.2.6).
pub fn with_interval<U: Shown>(quantity: &Uncertain<U>) -> String {
    let size = quantity.value().base().abs().max(quantity.u().base());
    let (factor, symbol) = U::scale(size);
    let [value, low, high, u] =
        [quantity.value(), quantity.low(), quantity.high(), quantity.u()].map(|part| part.base() * factor);
    if u == 0.0 {
        return format!("{} {symbol}", fixed(value, decimals(value, 3)));
    }
    let places = decimals(u, 2);
    format!("{} {symbol} ({} to {})", fixed(value, places), fixed(low, places), fixed(high, places))
}

/// Returns a value with its 95 % interval as it is said aloud, with one digit of uncertainty: `81 mA (75 to 87)`.
pub fn spoken<U: Shown>(quantity: &Uncertain<U>) -> String {
    let size = quantity.value().base().abs().max(quantity.u().base());
    let (factor, symbol) = U::scale(size);
    let [value, low, high, u] =
        [quantity.value(), quantity.low(), quantity.high(), quantity.u()].map(|part| part.base() * factor);
    if u == 0.0 {
        return format!("{} {symbol}", fixed(value, decimals(value, 2)));
    }
    let places = decimals(u, 1);
    format!("{} {symbol} ({} to {})", fixed(value, places), fixed(low, places), fixed(high, places))
}

/// Returns how many decimals show `digits` significant digits of a number; never negative, at most 6.
fn decimals(number: f64, digits: i32) -> usize {
    if number == 0.0 || !number.is_finite() {
        return 0;
    }
    // The exponent of a finite number other than zero lies within ±324.
    #[allow(clippy::cast_possible_truncation)]
    let exponent = number.abs().log10().floor() as i32;
    usize::try_from(digits - 1 - exponent).unwrap_or(0).min(6)
}

/// Writes a number with fixed decimals and without a negative zero.
fn fixed(number: f64, places: usize) -> String {
    let text = format!("{number:.places$}");
    let is_zero = !text.contains(|c: char| ('1'..='9').contains(&c));
    if is_zero { text.trim_start_matches('-').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_follow_the_uncertainty() {
        let ma = Ampere::from_milli;
        assert_eq!(with_interval(&Uncertain::new(ma(411.23), ma(28.1))), "411 mA (356 to 466)");
        assert_eq!(with_interval(&Uncertain::new(ma(1.234), ma(0.12))), "1.23 mA (1.00 to 1.47)");
        assert_eq!(with_interval(&Uncertain::new(ma(1700.0), ma(30.0))), "1.700 A (1.641 to 1.759)");
        assert_eq!(with_interval(&Uncertain::exact(ma(50.0))), "50.0 mA");
        assert_eq!(bare(ma(-0.0), 3), "0 mA");
        assert_eq!(spoken(&Uncertain::new(ma(81.0), ma(3.2))), "81 mA (75 to 87)");
    }

    #[test]
    fn json_shape_is_the_contract() {
        let q = q(&Uncertain::new(Ampere::from_milli(411.2), Ampere::from_milli(28.1)));
        let text = serde_json::to_string(&q).expect("a plain struct");
        assert!(text.starts_with(r#"{"value":411.2,"u":28.1,"low":356.1"#), "{text}");
        assert!(text.ends_with(r#""unit":"mA"}"#), "{text}");
    }
}
