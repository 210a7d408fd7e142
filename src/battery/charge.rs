//! Open-circuit volts to state of charge, by type of battery and temperature, with its interval; and where volts say
//! nothing: lithium on its flat stretch, under load, just charged.
//!
//! # Source
//! Tables in `circuits/battery.yaml`. The cold lowers the volts of a battery, so the same volts mean more charge in
//! the cold; a widely copied page has this sign wrong.
//! Leaves to others: what is asked (`hunt`), the verdict (`judge`).

use super::chemistry::Chemistry;
use super::table::{BatteryTable, Figures, celsius};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Celsius, Minute, Share, Uncertain, Unit, Volt};

/// Standard uncertainty of a voltmeter at the posts. Editorial: about 0.1 % and two counts of 0.01 V.
const METER: Volt = Volt::new(0.02);
/// Temperature taken where none was told, with its standard uncertainty. Editorial.
const MILD: (Celsius, Celsius) = (Celsius::new(20.0), Celsius::new(10.0));
/// Standard uncertainty of a temperature that was told for the battery: it may be colder than the air. Editorial.
const TOLD: Celsius = Celsius::new(5.0);
/// Volts this far above the full row are surface charge or a charger. Editorial.
const SURFACE: Volt = Volt::new(0.12);
/// Rest in minutes, and the standard uncertainty that a shorter one leaves. Editorial.
const RESTS: [(Minute, Volt); 2] =
    [(Minute::new(60.0), Volt::new(0.05)), (Minute::new(240.0), Volt::new(0.02))];
/// The same for an unknown rest. Editorial.
const UNKNOWN_REST: Volt = Volt::new(0.03);
/// Volts below this on a 12 V battery are read under load, or of a dead cell. Editorial: a dead cell takes 2 V away.
const UNDER_LOAD: Volt = Volt::new(10.6);

/// Volts at the posts, and how they were taken.
#[derive(Debug, Clone, PartialEq)]
pub struct AtRest {
    /// Volts of one 12 V battery.
    pub volts: Volt,
    /// Temperature of the battery, if known.
    pub temperature: Option<Celsius>,
    /// Time since the last charge or drive, if known.
    pub rested: Option<Minute>,
}

/// What volts say about the state of charge.
#[derive(Debug, Clone, PartialEq)]
pub struct Charge {
    /// Best value with its uncertainty; where nothing can be read, the middle of what is possible.
    pub share: Uncertain<Share>,
    /// Why it cannot be read, if so.
    pub unreadable: Option<Unreadable>,
    /// True if it was read within an hour of charging or driving, or nobody knows.
    pub maybe_surface: bool,
}

/// Why volts say nothing about the state of charge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unreadable {
    /// Lithium iron phosphate on its flat stretch.
    Flat,
    /// Just charged, or a charger is on.
    Surface,
    /// Under load, or a cell is dead.
    Loaded,
}

impl Charge {
    /// Returns the lower end of the 95 % interval, at least none.
    pub fn low(&self) -> Share {
        self.share.low().max(Share::ZERO)
    }

    /// Returns the upper end of the 95 % interval, at most all.
    pub fn high(&self) -> Share {
        self.share.high().min(Share::new(1.0))
    }

    fn unreadable(low: f64, high: f64, why: Unreadable) -> Self {
        Self { unreadable: Some(why), ..Self::between(low, high) }
    }

    /// Anything between two shares alike: rectangular, JCGM 100:2008, 4.3.7.
    fn between(low: f64, high: f64) -> Self {
        let share =
            Uncertain::new(Share::new(f64::midpoint(low, high)), Share::new((high - low) / 12.0_f64.sqrt()));
        Self { share, unreadable: None, maybe_surface: false }
    }
}

/// Returns the state of charge that volts at rest stand for. An unknown type is taken for flooded or absorbent glass
/// mat alike, which widens the interval by what lies between them.
///
/// # Errors
/// The table has no such type.
pub fn charge(
    table: &BatteryTable,
    at_rest: &AtRest,
    chemistry: Option<Chemistry>,
) -> Result<Charge, Diagnostic> {
    if let Some(known) = chemistry {
        return Ok(of_type(table, at_rest, table.of(known)?));
    }
    let [flooded, agm] =
        [Chemistry::Flooded, Chemistry::Agm].map(|one| table.of(one).map(|row| of_type(table, at_rest, row)));
    let (flooded, agm) = (flooded?, agm?);
    if flooded.unreadable.is_some() || agm.unreadable.is_some() {
        return Ok(if agm.unreadable.is_some() { agm } else { flooded });
    }
    let (a, b) = (flooded.share.value(), agm.share.value());
    let apart = Share::new((a - b).base() / 12.0_f64.sqrt());
    let u = flooded.share.u().max(agm.share.u());
    Ok(Charge { share: Uncertain::new((a + b) / 2.0, u).with_own(apart), ..flooded })
}

fn of_type(table: &BatteryTable, at_rest: &AtRest, figures: &Figures) -> Charge {
    if let Some(flat) = &figures.flat {
        let volts = at_rest.volts.base();
        let share = |percent: f64| percent / 100.0;
        return if volts < flat.from_v {
            Charge::between(0.0, share(flat.below_percent))
        } else if volts > flat.to_v {
            Charge::between(share(flat.above_percent), 1.0)
        } else {
            Charge::unreadable(share(flat.percent_from), share(flat.percent_to), Unreadable::Flat)
        };
    }
    let full = figures.charge.ends().map_or(Volt::ZERO, |(_, full)| Volt::new(full));
    let (told, u_told) = at_rest.temperature.map_or(MILD, |told| (told, TOLD));
    let (shift, by_degree) = table.cold.at(celsius(told)).unwrap_or_default();
    let warm = at_rest.volts + Volt::new(shift);
    if at_rest.volts < UNDER_LOAD {
        return Charge::unreadable(0.0, 1.0, Unreadable::Loaded);
    }
    if warm > full + SURFACE {
        return Charge::unreadable(0.0, 1.0, Unreadable::Surface);
    }
    let rest = at_rest.rested.map_or(UNKNOWN_REST, |rested| {
        RESTS.iter().find(|(below, _)| rested < *below).map_or(Volt::ZERO, |(_, left)| *left)
    });
    let u_cold = Volt::new(shift / 2.0);
    let u_degree = Volt::new(by_degree * u_told.base());
    let volts = Uncertain::new(warm, METER)
        .with_own(figures.spread)
        .with_own(rest)
        .with_own(u_cold)
        .with_own(u_degree);
    let (share, slope) = figures.charge.at(warm.base()).unwrap_or_default();
    Charge {
        share: volts.mapped(Share::new(share), slope),
        unreadable: None,
        maybe_surface: at_rest.rested.is_none_or(|rested| rested < Minute::new(60.0)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(volts: f64, degrees: f64, chemistry: Option<Chemistry>) -> Charge {
        let table = BatteryTable::builtin().expect("built in");
        let at_rest = AtRest {
            volts: Volt::new(volts),
            temperature: Some(Celsius::new(degrees)),
            rested: Some(Minute::new(600.0)),
        };
        charge(table, &at_rest, chemistry).expect("a type")
    }

    #[test]
    fn the_cold_makes_the_same_volts_mean_more() {
        let share = |degrees| read(12.45, degrees, Some(Chemistry::Flooded)).share.value().base();
        assert!((share(27.0) - 0.75).abs() < 1e-9);
        assert!(share(0.0) > share(27.0) + 0.05, "{} {}", share(0.0), share(27.0));
        assert!(share(-18.0) > share(0.0));
    }

    #[test]
    fn an_unknown_type_has_the_wider_interval_and_lies_between() {
        let known = read(12.6, 27.0, Some(Chemistry::Agm));
        let unknown = read(12.6, 27.0, None);
        assert!(unknown.share.u() > known.share.u());
        let flooded = read(12.6, 27.0, Some(Chemistry::Flooded));
        assert!(unknown.share.value() > known.share.value() && unknown.share.value() < flooded.share.value());
    }

    #[test]
    fn where_volts_say_nothing_it_says_so() {
        assert_eq!(read(13.2, 20.0, Some(Chemistry::Lithium)).unreadable, Some(Unreadable::Flat));
        assert_eq!(read(13.1, 20.0, Some(Chemistry::Flooded)).unreadable, Some(Unreadable::Surface));
        assert_eq!(read(10.4, 20.0, Some(Chemistry::Flooded)).unreadable, Some(Unreadable::Loaded));
        let empty = read(12.4, 20.0, Some(Chemistry::Lithium));
        assert!(empty.unreadable.is_none() && empty.high() < Share::new(0.25));
    }

    #[test]
    fn a_short_rest_widens_the_interval() {
        let table = BatteryTable::builtin().expect("built in");
        let u = |rested: Option<f64>| {
            let rested = rested.map(Minute::new);
            let at_rest = AtRest { volts: Volt::new(12.4), temperature: None, rested };
            charge(table, &at_rest, Some(Chemistry::Flooded)).expect("a type").share.u()
        };
        assert!(u(Some(10.0)) > u(None) && u(None) > u(Some(120.0)) && u(Some(120.0)) > u(Some(900.0)));
    }
}
