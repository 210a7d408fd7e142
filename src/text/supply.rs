//! Causes beside a circuit in words: battery, charging side, use; what was read, what it means, what to do.
//! Leaves to others: which of them were found (`hunt/causes`), what a reading of the battery means (`battery`).

use crate::base::quantity::show::bare;
use crate::base::quantity::{AmpereHour, Uncertain, Unit, Volt};
use crate::base::styled::{Role, StyledText};
use crate::battery::cause::{ChargingPlace, SupplyCause, SupplyGround};
use crate::battery::charging::Finding;
use crate::battery::energy::EnergyBalance;
use crate::infer::leader::Leader;

use super::suspects::{SuspectRow, called, odds};

/// Returns a cause as a row of suspects: what it is, whether it was seen to, how likely.
pub fn row(cause: &SupplyCause) -> SuspectRow {
    let what = match cause.ground {
        SupplyGround::Battery(_) => "battery",
        SupplyGround::Charging(..) => "charging side",
        SupplyGround::Use(_) => "how it is used",
    };
    let mended = if cause.mended { "seen to since" } else { "" };
    [what.to_owned(), cause.name().to_owned(), mended.to_owned(), odds(cause.probability).to_owned()]
}

/// Returns why no circuit is searched for.
pub fn stop(cause: &SupplyCause) -> StyledText {
    let leads = called(&Leader::from(cause), None);
    let done = if cause.mended { "; seen to since" } else { "" };
    let stop = format!("Stop: it's {leads}, {}{done}. {}", odds(cause.probability), why(cause));
    StyledText::of(Role::Doubt, stop)
}

/// Returns why, with what was read and what to do.
pub fn why(cause: &SupplyCause) -> String {
    match &cause.ground {
        SupplyGround::Battery(reason) => super::battery::reason(reason),
        SupplyGround::Charging(finding, place, seen) => charging(finding, *place, *seen),
        SupplyGround::Use(found) => loses(found),
    }
}

fn volt(volts: Volt) -> String {
    format!("{:.2} V", volts.base())
}

fn charging(finding: &Finding, place: ChargingPlace, seen: Option<Volt>) -> String {
    let shown = match finding {
        Finding::Low { shown, least } => format!("{} running, below {}", volt(*shown), volt(*least)),
        Finding::High { shown, most } => format!("{} running, above {}", volt(*shown), volt(*most)),
        Finding::DoesNotRise(shown) => format!("{} when made ready, no rise", volt(*shown)),
        Finding::WithinPlain(_)
        | Finding::WithinSmart(_)
        | Finding::Rises(_)
        | Finding::Ripple(..)
        | Finding::Cable(..)
        | Finding::Leak(..) => "its volts were off".to_owned(),
    };
    let lost = seen.map(|volts| format!(" {} is lost there.", volt(volts))).unwrap_or_default();
    let stud = seen.map(|volts| format!(" {} at its post.", volt(volts))).unwrap_or_default();
    let rest = match place {
        ChargingPlace::PlusCable => format!(
            "it's the plus cable.{lost} Clean and tighten its ends, or replace it; then measure again."
        ),
        ChargingPlace::EarthStrap => format!(
            "it's the earth strap.{lost} Clean and tighten it to bare metal at both ends, or replace it; then measure again."
        ),
        ChargingPlace::Belt => {
            format!("the belt slips.{stud} Belt and tensioner, engine off and cold; then measure again.")
        }
        ChargingPlace::Regulator if matches!(finding, Finding::High { .. }) => {
            "it overcharges. Regulator and its sense lead; feel the battery for heat first.".to_owned()
        }
        ChargingPlace::Regulator => {
            format!("belt and cables are right.{stud} Alternator or its regulator, and the wires to it.")
        }
        ChargingPlace::OutputCable => format!(
            "its stud is good, the posts are low: cable, link or earth between converter and battery.{lost} 12 V side only, vehicle off and made safe first."
        ),
        ChargingPlace::Converter => {
            "the converter. Its high-voltage side is for trained people: stop, and go by the maker's procedure."
                .to_owned()
        }
        ChargingPlace::Unknown => {
            format!("it is not charged as it should be.{lost} Read both cables and look at the belt.")
        }
    };
    format!("{shown}: {rest}")
}

/// Ampere-hours with one digit behind the point, two where there are few.
fn ah(value: AmpereHour) -> String {
    let value = value.base();
    if value.abs() < 0.95 { format!("{value:.2} Ah") } else { format!("{value:.1} Ah") }
}

fn lost(net: &Uncertain<AmpereHour>) -> String {
    let [value, low, high] = [net.value(), net.high(), net.low()].map(|part| -part.base());
    format!("It loses {value:.2} Ah a day ({low:.2} to {high:.2})")
}

fn loses(found: &EnergyBalance) -> String {
    let more = (found.missing().base() / 5.0).ceil() * 5.0;
    format!(
        "{} with {} asleep: no drain to find. {more:.0} min more driving a day would hold it, or a charger once a week.",
        lost(&found.net),
        bare(found.draw.value(), 2)
    )
}

/// Returns where the balance of a day is from, a line each, with the source of each figure.
pub fn balance(found: &EnergyBalance, spare: &str, start: &str, takes: &str) -> Vec<StyledText> {
    let a_day = (found.trips.a_day * 100.0).round() / 100.0;
    let (taken, source) =
        if found.is_held_back { ("as much as it takes", takes) } else { ("what is to spare", spare) };
    let driving = format!(
        "{a_day} x {} put back {} at {}, {taken} ({source}).",
        bare(found.trips.each, 2),
        ah(found.driving.value()),
        bare(found.taken.value(), 2)
    );
    let starts = format!("{a_day} starts take {} ({start}).", ah(found.starts.value()));
    let rest = format!(
        "Standing takes {}, the battery itself {}.",
        ah(found.standing.value()),
        ah(found.own.value())
    );
    [driving, starts, rest].map(|line| StyledText::plain(line).indented(2)).into()
}

/// Says that the balance holds.
pub fn holds(found: &EnergyBalance) -> StyledText {
    let net = &found.net;
    let text = format!(
        "By how it is used it gains {:.2} Ah a day ({:.2} to {:.2}): short trips don't explain it.",
        net.value().base(),
        net.low().base(),
        net.high().base()
    );
    StyledText::plain(text)
}

/// Days are not told of a battery that failed.
pub const NO_DAYS: &str =
    "How long it stands is not reckoned: the battery failed, and what it holds was not measured.";
