//! How long a battery stands, in words, and what a time to flat says about the draw.
//! Leaves to others: the arithmetic (`battery/stand`).

use crate::base::quantity::show::{bare, with_interval};
use crate::base::quantity::{Ampere, AmpereHour, Celsius, Day, Share, Uncertain, Unit, Volt};
use crate::base::styled::{Role, StyledText};
use crate::battery::capacity::{Capacity, Method};
use crate::battery::charge::Charge;

/// Returns days with their interval, kept above zero: `23 d (18 to 28)`.
pub fn days(days: &Uncertain<Day>) -> String {
    if !days.value().base().is_finite() {
        return "without end".to_owned();
    }
    if days.value() <= Day::ZERO {
        return "no time: it is below the lowest charge that still does".to_owned();
    }
    let low = days.low().max(Day::ZERO);
    let (factor, unit) = if days.value().base() < 2.0 { (24.0, "h") } else { (1.0, "d") };
    let [value, low, high] = [days.value(), low, days.high()].map(|part| part.base() * factor);
    let places = usize::from(value < 10.0);
    format!("{value:.places$} {unit} ({low:.places$} to {high:.places$})")
}

/// Returns a capacity with the method that it is from.
pub fn capacity(found: &Capacity) -> String {
    let method = match found.method {
        Method::Measured => "as measured",
        Method::Rated => "20-hour capacity as printed",
        Method::Reserve => "from reserve minutes",
        Method::Cranking => "from the cranking rating, rough",
        Method::Assumed => "assumed",
    };
    let together = match found.side_by_side {
        1 => String::new(),
        count => format!(" of {count} side by side"),
    };
    format!("{}{together}, {method}", with_interval(&found.capacity))
}

/// Returns a capacity and where it is from in as few words as can be.
pub fn capacity_in_short(found: &Capacity) -> String {
    let method = match found.method {
        Method::Measured => "as measured",
        Method::Rated => "as printed",
        Method::Reserve => "from reserve minutes",
        Method::Cranking => "from the cranking rating",
        Method::Assumed => "assumed",
    };
    format!("{} {method}", bare(found.capacity.value(), 2))
}

/// Returns what it stands for at a draw.
pub fn stands(draw: &Uncertain<Ampere>, stand: &Uncertain<Day>, when: &str) -> StyledText {
    StyledText::plain(format!("At {}{when} it stands ", bare(draw.value(), 2)))
        .and(Role::Value, days(stand))
        .and(Role::Plain, ".")
}

/// Returns what it stands for at the least, where the draw is not told from zero.
pub fn at_least(most: Ampere, stand: &Uncertain<Day>, when: &str) -> StyledText {
    StyledText::plain(format!("At no more than {}{when} it stands ", bare(most, 2)))
        .and(Role::Value, format!("{} or more", bare(stand.low().max(Day::ZERO), 2)))
        .and(Role::Plain, ".")
}

/// Returns the draw that a full battery bears for so long, as orientation where no limit is published.
pub fn bears(allowed: &Uncertain<Ampere>, time: Day, found: &Capacity) -> StyledText {
    let text = format!(
        "No published limit for this class. For orientation: full, it stands {} at {} ({}).",
        bare(time, 2),
        bare(allowed.value(), 2),
        capacity(found)
    );
    StyledText::of(Role::Hint, text)
}

/// Says that no rating is known.
pub fn assumed(capacity: AmpereHour) -> String {
    format!("no rating is known: {} assumed; give --capacity or --reserve", bare(capacity, 2))
}

/// No volts were read.
pub const NO_VOLTS: &str = "no volts are known: taken as full; give --ocv";
/// Surface charge hides what is below.
pub const AS_IF_FULL: &str = "days as if full: the most that it can be";
/// Volts of a pair.
pub const TWO_BATTERIES: &str =
    "volts of two batteries in series: each is taken for half of them; read each by itself";
/// What a rating is worth.
pub const AS_RATED: &str = "capacity as rated: a worn battery has less, and stands shorter";
/// Charge under surface charge.
pub const UNREADABLE: &str = "Charge not readable, taken as full";
/// Charge without volts.
pub const TAKEN_AS_FULL: &str = "Charge taken as full";

/// Returns the charge, and what it was read from.
pub fn charged(found: &Charge, volts: Volt) -> String {
    format!("Charge {} by {}", super::battery::charge(found), bare(volts, 4))
}

/// Returns what can be used, with its interval kept above zero, and what the battery loses by itself.
pub fn usable(charge: &Uncertain<AmpereHour>, self_discharge: &Uncertain<Ampere>) -> StyledText {
    let [value, low, high] =
        [charge.value(), charge.low().max(AmpereHour::ZERO), charge.high()].map(Unit::base);
    let places = usize::from(value < 10.0);
    let usable = format!("{value:.places$} Ah ({low:.places$} to {high:.places$})");
    let text = format!("Usable {usable}; it discharges itself by {}", with_interval(self_discharge));
    StyledText::plain(text).indented(2)
}

/// Returns the draw at which it stands for so long.
pub fn allowed(wanted: Day, allowed: &Uncertain<Ampere>) -> StyledText {
    let line = StyledText::plain(format!("To stand {} it may draw ", bare(wanted, 2)));
    if allowed.value() > Ampere::ZERO {
        return line.and(Role::Value, with_interval(allowed));
    }
    line.and(Role::Doubt, "nothing: its self-discharge alone is too much for that")
}

/// Returns what the lowest charge is for.
pub fn lowest(share: &Uncertain<Share>, temperature: Celsius) -> String {
    format!("lowest that still does at {}: {}", bare(temperature, 2), with_interval(share))
}

/// Says that a time to flat tells little where the battery was not full when it was parked.
pub fn not_full(stood: Day) -> StyledText {
    StyledText::of(
        Role::Hint,
        format!(
            "Flat in {} says little about the draw: the battery was not full when it was parked.",
            bare(stood, 2)
        ),
    )
}

/// A measured draw outside what the time to flat tells by more than this factor is far from it. Editorial: battery
/// size and age, short trips and cold lie between.
const FAR: f64 = 2.0;

/// Returns what the time to flat says beside the measured draw: from the draw after which it just no longer cranks to
/// the one that takes the whole capacity, and whether the measured one fits.
pub fn beside(
    (least, most): (Ampere, Ampere),
    capacity: AmpereHour,
    stood: Day,
    measured: &Uncertain<Ampere>,
) -> StyledText {
    let line = StyledText::plain(format!("Flat in {} means ", bare(stood, 2)))
        .and(Role::Value, format!("{} to {}", bare(least, 2), bare(most, 2)))
        .and(Role::Plain, format!(" on average from a {} battery", bare(capacity, 2)));
    if measured.value() > most * FAR {
        line.and(Role::Doubt, ". This is far more: was it really asleep?")
    } else if measured.value() < least / FAR {
        line.and(Role::Doubt, ". This is far less: the fault may be away, or battery or charging are weak.")
    } else {
        line.and(Role::Good, ": it fits.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(value: f64, u: f64) -> String {
        days(&Uncertain::new(Day::new(value), Day::new(u)))
    }

    #[test]
    fn days_are_shown_with_an_interval_above_zero_and_in_hours_where_short() {
        assert_eq!(shown(23.33, 2.5), "23 d (18 to 28)");
        assert_eq!(shown(3.3, 2.0), "3.3 d (0.0 to 7.2)");
        assert_eq!(shown(0.8, 0.1), "19 h (14 to 24)");
        assert!(shown(0.0, 0.1).contains("no time"));
        assert_eq!(shown(f64::INFINITY, 0.0), "without end");
    }

    #[test]
    fn a_time_to_flat_far_from_the_measured_draw_is_said() {
        let ma = |value: f64| Uncertain::exact(Ampere::from_milli(value));
        let said = |measured: f64| {
            let range = (Ampere::from_milli(125.0), Ampere::from_milli(250.0));
            beside(range, AmpereHour::new(60.0), Day::new(10.0), &ma(measured)).text()
        };
        assert!(said(270.0).contains("fits"));
        assert!(said(30.0).contains("far less"));
        assert!(said(1200.0).contains("far more"));
    }
}
