//! The energy balance of a day: what driving puts back against what starts, standing and the battery itself take.
//!
//! net = n (min(S, A C) t/60 − q) − I (24 − n t/60) − C k: n starts a day of t minutes each, S the current to spare, A what
//! the battery takes for each ampere-hour of its capacity C at its charge and temperature, q the charge of a start, I the
//! draw, k its self-discharge. S and q grow with the battery. Reckoned at the lowest charge that still does, where it
//! takes charge best: what loses there goes flat. First-order propagation (JCGM 100:2008, 5.1.2), the error of C shared
//! by all that grows with it; of surplus and acceptance the smaller one counts, with its own error.
//!
//! # Source
//! `circuits/battery.yaml`, energy. Leaves to others: asking (`hunt`), the words (`text/supply`).

use super::stand::Stock;
use super::table::{BatteryTable, celsius};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, AmpereHour, Celsius, Minute, Share, Uncertain, Unit};

/// Where a vehicle is driven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Road {
    /// In town, with stops.
    Town,
    /// Of both.
    Mixed,
    /// On fast roads.
    Fast,
}

/// How a vehicle is used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trips {
    /// Starts a day; below one where it is less than daily.
    pub a_day: f64,
    /// How long each takes.
    pub each: Minute,
}

/// Days of a week.
const WEEK: f64 = 7.0;
/// Most starts a day that are believed. Editorial: a delivery van has some 150.
const MOST: f64 = 400.0;
/// Minutes of a day.
const DAY: Minute = Minute::new(1440.0);

impl Trips {
    /// Reads `4 x 3 min`, `2 x 20`, `1 x 10 min a week`.
    ///
    /// # Errors
    /// No such form, none or too many trips, no time, or more than a day of them.
    pub fn read(text: &str) -> Result<Self, Diagnostic> {
        let refuse = || {
            Diagnostic::new(format!("\"{}\" tells no trips", text.trim()))
                .expected("starts and minutes each, such as 2 x 10 min, or 1 x 30 min a week")
        };
        let lower = text.trim().to_lowercase().replace(['×', '*'], "x");
        let weekly = lower.ends_with("week") || lower.ends_with("weekly");
        let plain = ["a week", "per week", "weekly", "week", "a day", "per day", "daily", "day"]
            .iter()
            .fold(lower, |text, tail| text.trim_end_matches(tail).trim().to_owned());
        let (count, each) = plain.split_once('x').ok_or_else(refuse)?;
        let count: f64 = count.trim().replace(',', ".").parse().map_err(|_| refuse())?;
        let each = Minute::read(each.trim(), "min")?.value;
        let a_day = if weekly { count / WEEK } else { count };
        let fits = a_day > 0.0 && a_day <= MOST && each > Minute::ZERO && each * a_day <= DAY;
        if fits { Ok(Self { a_day, each }) } else { Err(refuse()) }
    }
}

/// What a day puts in and takes out, each in Ah a day.
#[derive(Debug, Clone, PartialEq)]
pub struct EnergyBalance {
    /// How it is used.
    pub trips: Trips,
    /// Draw while it stands.
    pub draw: Uncertain<Ampere>,
    /// What driving puts back.
    pub driving: Uncertain<AmpereHour>,
    /// What starts take.
    pub starts: Uncertain<AmpereHour>,
    /// What standing takes.
    pub standing: Uncertain<AmpereHour>,
    /// What the battery loses by itself.
    pub own: Uncertain<AmpereHour>,
    /// All of it; below zero where it loses.
    pub net: Uncertain<AmpereHour>,
    /// Current that the battery takes while it is driven.
    pub taken: Uncertain<Ampere>,
    /// True if the battery takes less than there is to spare.
    pub is_held_back: bool,
}

impl EnergyBalance {
    /// Returns the probability that it loses.
    pub fn loses(&self) -> f64 {
        crate::base::numeric::density::normal_below(-self.net.value().base() / self.net.u().base())
    }

    /// Returns how much more driving a day would hold it.
    pub fn missing(&self) -> Minute {
        Minute::new((-self.net.value().base() / self.taken.value().base() * 60.0).max(0.0))
    }
}

/// Returns the balance of a day.
pub fn balance(
    table: &BatteryTable,
    stock: &Stock,
    draw: &Uncertain<Ampere>,
    trips: Trips,
    road: Road,
) -> EnergyBalance {
    let figures = &table.written.energy;
    let capacity = stock.capacity.value().base();
    let size = capacity / figures.reference_ah;
    let spare = match road {
        Road::Town => figures.surplus.town_a,
        Road::Mixed => figures.surplus.mixed_a,
        Road::Fast => figures.surplus.fast_a,
    } * size;
    let takes = accepts(table, stock.lowest.value(), stock.temperature) * capacity;
    let held = takes < spare;
    let (current, relative) = if held {
        (takes, figures.acceptance.u_percent / 100.0)
    } else {
        (spare, figures.surplus.u_percent / 100.0)
    };
    let hours = trips.a_day * trips.each.base() / 60.0;
    let of = |value: f64, u: f64| Uncertain::new(AmpereHour::new(value), AmpereHour::new(u));
    // What grows with the battery shares the error of its capacity.
    let sized = stock.capacity.u().base() / capacity;
    let part = |value: f64, own: f64| of(value, (value * own).hypot(value * sized));
    let driving = part(current * hours, relative);
    let start = figures.start.u_ah / figures.start.ah;
    let starts = part(figures.start.ah * size * trips.a_day, start);
    let stands = (24.0 - hours).max(0.0);
    let standing = of(draw.value().base() * stands, draw.u().base() * stands);
    let own = part(stock.self_discharge().value().base() * 24.0, stock.share_u());
    let [gains, takes, stays, fades] = [&driving, &starts, &standing, &own].map(|part| part.value().base());
    let shared = sized * (gains - takes - fades);
    let parts = [gains * relative, takes * start, standing.u().base(), fades * stock.share_u(), shared];
    let net = of(gains - takes - stays - fades, parts.iter().fold(0.0, |sum: f64, part| sum.hypot(*part)));
    EnergyBalance {
        trips,
        draw: draw.clone(),
        net,
        taken: Uncertain::new(Ampere::new(current), Ampere::new(current * relative.hypot(sized))),
        driving,
        starts,
        standing,
        own,
        is_held_back: held,
    }
}

/// Returns the ampere that a battery takes for each ampere-hour of its capacity.
fn accepts(table: &BatteryTable, charge: Share, temperature: Celsius) -> f64 {
    let warm = table.acceptance.at(charge.base()).unwrap_or_default().0;
    warm * table.warmth.at(celsius(temperature)).unwrap_or_default().0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stock(degrees: f64) -> Stock {
        Stock {
            capacity: Uncertain::exact(AmpereHour::new(60.0)),
            charge: Uncertain::exact(Share::new(0.9)),
            lowest: Uncertain::exact(Share::new(0.5)),
            self_discharge: Uncertain::exact(Share::new(0.03)),
            temperature: Celsius::new(degrees),
        }
    }

    fn of(trips: &str, degrees: f64) -> EnergyBalance {
        let draw = Uncertain::new(Ampere::from_milli(22.0), Ampere::from_milli(1.0));
        let trips = Trips::read(trips).expect("trips");
        balance(BatteryTable::builtin().expect("built in"), &stock(degrees), &draw, trips, Road::Town)
    }

    /// By hand: 2 (5 · 10/60 − 0.13) − 0.022 (24 − 1/3) − 60 · 0.03/30.44 = 0.8269.
    #[test]
    fn a_day_is_what_driving_puts_back_less_what_is_taken() {
        assert!((of("2 x 10 min", 20.0).net.value().base() - 0.826_9).abs() < 1e-3);
        assert!(of("2 x 2 min", 20.0).loses() > 0.95);
        assert!(of("2 x 30 min", 20.0).loses() < 0.05);
    }

    #[test]
    fn in_hard_frost_the_battery_takes_less_than_there_is_to_spare() {
        assert!(!of("2 x 10", 20.0).is_held_back);
        let cold = of("2 x 10", -18.0);
        assert!(cold.is_held_back && cold.taken.value() < Ampere::new(3.0));
    }

    #[test]
    fn trips_are_read_as_people_type_them() {
        let read = |text: &str| Trips::read(text).map(|trips| (trips.a_day, trips.each.base()));
        assert_eq!(read("4 x 3 min"), Ok((4.0, 3.0)));
        assert_eq!(read("2×20"), Ok((2.0, 20.0)));
        assert_eq!(read("14 x 10 min a week"), Ok((2.0, 10.0)));
        for text in ["", "often", "0 x 5", "3 x", "x 5", "30 x 1 h"] {
            assert!(read(text).is_err(), "{text}");
        }
    }
}
