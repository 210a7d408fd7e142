//! How long a battery stands at a draw, with its interval.
//!
//! days = C (s − s_min) / (24 I + C k), C in ampere-hours, I in ampere, k the share lost in a day:
//! k = k20 · 2^((T − 20)/10) / 30.44, k20 by the month at 20 °C. First-order propagation (JCGM 100:2008, 5.1.2).
//! No Peukert exponent: at a thousandth of the 20-hour current it would promise charge that is not there.
//!
//! # Source
//! Self-discharge that doubles every 10 K: published (`circuits/battery.yaml`).
//! Leaves to others: capacity (`capacity`), state of charge (`charge`), the lowest that still does (`cold`).

use crate::base::quantity::{Ampere, AmpereHour, Celsius, Day, Share, Uncertain, Unit};

/// Days in a month, on average.
const DAYS_IN_MONTH: f64 = 30.44;
/// Kelvin by which the self-discharge doubles.
const DOUBLES_EVERY: f64 = 10.0;
/// Temperature at which self-discharge is stated.
const STATED_AT: f64 = 20.0;

/// What a battery has to give.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Capacity at the 20-hour rate.
    pub capacity: Uncertain<AmpereHour>,
    /// State of charge now.
    pub charge: Uncertain<Share>,
    /// Lowest state of charge that still does.
    pub lowest: Uncertain<Share>,
    /// Share of the capacity lost in a month at 20 °C.
    pub self_discharge: Uncertain<Share>,
    /// Temperature while it stands.
    pub temperature: Celsius,
}

impl Stock {
    /// Returns the charge that can be used: none if the state of charge is below the lowest that does.
    pub fn usable(&self) -> Uncertain<AmpereHour> {
        let (capacity, left) = (self.capacity.value(), self.left());
        let u_left = self.charge.u().base().hypot(self.lowest.u().base());
        let u = (capacity.base() * u_left).hypot(self.capacity.u().base() * left);
        Uncertain::new(capacity * left, AmpereHour::new(u))
    }

    /// Returns the current by which it discharges itself.
    pub fn self_discharge(&self) -> Uncertain<Ampere> {
        let by_hour = self.lost_in_a_day() / 24.0;
        let capacity = self.capacity.value().base();
        let relative = (self.capacity.u().base() / capacity).hypot(self.share_u());
        Uncertain::new(Ampere::new(capacity * by_hour), Ampere::new(capacity * by_hour * relative))
    }

    /// Returns the days that it stands at a draw; zero if there is nothing left to give. A draw below zero counts as
    /// none.
    pub fn days(&self, draw: &Uncertain<Ampere>) -> Uncertain<Day> {
        let capacity = self.capacity.value().base();
        let (left, lost) = (self.left(), self.lost_in_a_day());
        let current = draw.value().base().max(0.0);
        let by_day = 24.0 * current + capacity * lost;
        if by_day <= 0.0 {
            return Uncertain::exact(Day::new(f64::INFINITY));
        }
        let days = capacity * left / by_day;
        let u_left = self.charge.u().base().hypot(self.lowest.u().base());
        let parts = [
            (left - days * lost) / by_day * self.capacity.u().base(),
            capacity / by_day * u_left,
            days * 24.0 / by_day * draw.u().base(),
            days * capacity / by_day * lost * self.share_u(),
        ];
        let u = parts.iter().fold(0.0, |sum: f64, part| sum.hypot(*part));
        Uncertain::new(Day::new(days), Day::new(u))
    }

    /// Returns the draw at which it stands so many days; below zero if its self-discharge alone is too much for them.
    pub fn allowed(&self, days: Day) -> Uncertain<Ampere> {
        let usable = self.usable();
        let by_day = usable.mapped(usable.value() / days, 1.0 / 24.0 / days.base());
        by_day.minus(&self.self_discharge())
    }

    fn left(&self) -> f64 {
        (self.charge.value() - self.lowest.value()).base().max(0.0)
    }

    /// Share of the capacity lost in a day.
    fn lost_in_a_day(&self) -> f64 {
        let warmer = (self.temperature.base() - STATED_AT) / DOUBLES_EVERY;
        self.self_discharge.value().base() * warmer.exp2() / DAYS_IN_MONTH
    }

    /// Relative standard uncertainty of the self-discharge.
    pub(super) fn share_u(&self) -> f64 {
        let share = self.self_discharge.value().base();
        if share > 0.0 { self.self_discharge.u().base() / share } else { 0.0 }
    }
}

/// Returns the draw that would flatten it in so long a time.
pub fn draw_behind(usable: &Uncertain<AmpereHour>, time: Day) -> Uncertain<Ampere> {
    usable.mapped(usable.value() / time, 1.0 / 24.0 / time.base())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stock(capacity: f64, charge: f64, lowest: f64, percent: f64) -> Stock {
        Stock {
            capacity: Uncertain::exact(AmpereHour::new(capacity)),
            charge: Uncertain::exact(Share::new(charge)),
            lowest: Uncertain::exact(Share::new(lowest)),
            self_discharge: Uncertain::exact(Share::new(percent / 100.0)),
            temperature: Celsius::new(20.0),
        }
    }

    fn ma(value: f64) -> Uncertain<Ampere> {
        Uncertain::exact(Ampere::from_milli(value))
    }

    #[test]
    fn what_is_allowed_for_some_days_stands_for_those_days() {
        let stock = stock(70.0, 0.9, 0.5, 4.0);
        let allowed = stock.allowed(Day::new(21.0));
        assert!((stock.days(&allowed).value().base() - 21.0).abs() < 1e-9);
        assert!(stock.allowed(Day::new(4000.0)).value() < Ampere::ZERO);
    }

    #[test]
    fn an_empty_battery_stands_no_day_and_nothing_drawn_is_no_fault() {
        assert_eq!(stock(70.0, 0.4, 0.5, 3.0).days(&ma(50.0)).value(), Day::ZERO);
        assert!(stock(70.0, 1.0, 0.5, 0.0).days(&ma(0.0)).value().base().is_infinite());
        assert_eq!(stock(70.0, 1.0, 0.5, 3.0).days(&ma(-5.0)), stock(70.0, 1.0, 0.5, 3.0).days(&ma(0.0)));
    }

    #[test]
    fn self_discharge_doubles_every_ten_kelvin() {
        let warm = Stock { temperature: Celsius::new(30.0), ..stock(60.0, 1.0, 0.5, 3.0) };
        let ratio = warm.self_discharge().value() / stock(60.0, 1.0, 0.5, 3.0).self_discharge().value();
        assert!((ratio - 2.0).abs() < 1e-12);
    }

    /// The trap: a Peukert exponent of 1.2 from the 20-hour current (5 A of 100 Ah) down to 50 mA promises
    /// (5/0.05)^0.2 = 2.5 times the charge.
    #[test]
    fn small_currents_promise_no_more_than_the_capacity() {
        let days = stock(100.0, 1.0, 0.0, 0.0).days(&ma(50.0)).value().base();
        assert!((days - 100.0 / 0.05 / 24.0).abs() < 1e-9);
    }
}
