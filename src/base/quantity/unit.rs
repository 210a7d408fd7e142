//! Units as types: volt, ampere, ohm, minute, degree Celsius, ampere-hour, day, share, with only the arithmetic that physics has.
//! Leaves to others: uncertainty (`uncertain`), reading text (`parse`), writing text (`show`).

use std::ops::{Add, Div, Mul, Neg, Sub};

/// A physical quantity stored as a plain number of its base unit.
pub trait Unit: Copy + PartialOrd + std::fmt::Debug {
    /// Symbol of the base unit, such as `V`.
    const SYMBOL: &'static str;
    /// Wraps a number of base units.
    fn from_base(value: f64) -> Self;
    /// Returns the number of base units.
    fn base(self) -> f64;
}

macro_rules! unit {
    ($(#[$doc:meta])* $name:ident, $symbol:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl Unit for $name {
            const SYMBOL: &'static str = $symbol;
            fn from_base(value: f64) -> Self {
                Self(value)
            }
            fn base(self) -> f64 {
                self.0
            }
        }

        impl $name {
            /// Zero.
            pub const ZERO: Self = Self(0.0);

            /// Wraps a number of base units.
            pub const fn new(value: f64) -> Self {
                Self(value)
            }

            /// Wraps a number of thousandths of the base unit.
            pub const fn from_milli(value: f64) -> Self {
                Self(value / 1000.0)
            }

            /// Returns the number of thousandths of the base unit.
            pub fn milli(self) -> f64 {
                self.0 * 1000.0
            }

            /// Returns the size without the sign.
            #[must_use]
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }

            /// Returns the larger of two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// Returns the smaller of two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self::ZERO, Add::add)
            }
        }
    };
}

unit!(
    /// Electric potential difference, in volt.
    Volt,
    "V"
);
unit!(
    /// Electric current, in ampere.
    Ampere,
    "A"
);
unit!(
    /// Electric resistance, in ohm.
    Ohm,
    "Ω"
);
unit!(
    /// Time, in minute.
    Minute,
    "min"
);
unit!(
    /// Temperature, in degree Celsius. Sums and differences are meant for temperature differences.
    Celsius,
    "°C"
);
unit!(
    /// Electric charge, in ampere-hour.
    AmpereHour,
    "Ah"
);

unit!(
    /// Time, in day.
    Day,
    "d"
);
unit!(
    /// A share of a whole: 1 is all of it.
    Share,
    ""
);

impl Div<Ampere> for AmpereHour {
    type Output = Day;
    fn div(self, current: Ampere) -> Day {
        Day(self.0 / current.0 / 24.0)
    }
}

impl Div<Day> for AmpereHour {
    type Output = Ampere;
    fn div(self, time: Day) -> Ampere {
        Ampere(self.0 / time.0 / 24.0)
    }
}

impl From<Minute> for Day {
    fn from(time: Minute) -> Self {
        Self(time.0 / 1440.0)
    }
}

impl Div<Ohm> for Volt {
    type Output = Ampere;
    fn div(self, resistance: Ohm) -> Ampere {
        Ampere(self.0 / resistance.0)
    }
}

impl Mul<Ohm> for Ampere {
    type Output = Volt;
    fn mul(self, resistance: Ohm) -> Volt {
        Volt(self.0 * resistance.0)
    }
}

impl Div<Ampere> for Volt {
    type Output = Ohm;
    fn div(self, current: Ampere) -> Ohm {
        Ohm(self.0 / current.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ohms_law_keeps_its_units() {
        let current = Volt::from_milli(3.0) / Ohm::from_milli(7.5);
        assert!((current.milli() - 400.0).abs() < 1e-9);
        assert!(((current * Ohm::from_milli(7.5)).milli() - 3.0).abs() < 1e-12);
    }

    /// By hand: 60 Ah at 0.25 A are 240 h, ten days.
    #[test]
    fn charge_over_current_is_time() {
        let time = AmpereHour::new(60.0) / Ampere::new(0.25);
        assert!((time.base() - 10.0).abs() < 1e-12);
        assert!(((AmpereHour::new(60.0) / Day::from(Minute::new(14_400.0))).base() - 0.25).abs() < 1e-12);
    }
}
