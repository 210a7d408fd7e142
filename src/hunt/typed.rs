//! What is typed where a reading is due, as entries.
//! Leaves to others: how a line reads (`log/typed`), whether the reading makes sense (`measure/doubt`).

use super::Taken;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Volt};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::typed;
use crate::measure::Measurement;

/// Makes the entry of a reading, with its context.
pub fn measured(case: &Case, what: Measurement, after_repair: bool) -> LogEvent {
    LogEvent::Reading(Box::new(typed::measured(case, what, after_repair)))
}

/// Takes a total.
pub fn measured_total(case: &Case, text: &str, as_found: bool, after_repair: bool) -> Taken {
    Taken::read(Ampere::read(text, "mA"), |current| {
        Taken::entry(measured(case, Measurement::Total { current, as_found }, after_repair))
    })
}

/// Takes battery volts.
pub fn volts_entry(text: &str) -> Taken {
    Taken::read(Volt::read(text, "V"), |volts| Taken::entry(LogEvent::Volts { volts }))
}
