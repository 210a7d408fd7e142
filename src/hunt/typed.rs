//! What is typed where a reading is due, as entries.
//! Leaves to others: how a line reads (`log/typed`), whether the reading makes sense (`measure/doubt`).

use super::Taken;
use super::question::Wanted;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Volt};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::typed::{self, Proposed};
use crate::measure::Measurement;
use crate::measure::kind::MeasurementKind;

/// Makes the entry of a reading, with its context.
pub fn measured(case: &Case, what: Measurement, after_repair: bool) -> LogEvent {
    LogEvent::Reading(Box::new(typed::measured(case, what, after_repair)))
}

/// Takes a total.
pub fn measured_total(case: &Case, text: &str, as_found: bool, after_repair: bool) -> Taken {
    match Ampere::read(text, "mA") {
        Ok(current) => Taken::entry(measured(case, Measurement::Total { current, as_found }, after_repair)),
        Err(fault) => Taken::refuse(fault.to_string()),
    }
}

/// Takes battery volts.
pub fn volts_entry(text: &str) -> Taken {
    match Volt::read(text, "V") {
        Ok(volts) => Taken::entry(LogEvent::Volts { volts }),
        Err(fault) => Taken::refuse(fault.to_string()),
    }
}

/// Reads a line where `wanted` is proposed.
///
/// # Errors
/// The line is none of the known forms, names nothing on the map, or its values cannot be read.
pub fn read(case: &Case, text: &str, wanted: Option<&Wanted>) -> Result<Vec<LogEvent>, Diagnostic> {
    typed::read_line(case, text, wanted.and_then(proposed).as_ref())
}

/// Returns the reading that a bare value stands for; `None` where the stage of the question takes it itself.
fn proposed(wanted: &Wanted) -> Option<Proposed> {
    let plain = |kind, names: &[&str]| Proposed {
        kind,
        names: names.iter().map(|name| (*name).to_owned()).collect(),
        as_found: false,
        after_repair: false,
    };
    Some(match wanted {
        Wanted::Zero => plain(MeasurementKind::Zero, &[]),
        Wanted::Total { as_found, after_repair } => Proposed {
            as_found: *as_found,
            after_repair: *after_repair,
            ..plain(MeasurementKind::Total, &[])
        },
        Wanted::Drop(at) => plain(MeasurementKind::Drop, &[at]),
        Wanted::Step(at) => plain(MeasurementKind::Step, &[at]),
        Wanted::Clamp(at) => plain(MeasurementKind::Clamp, &[at]),
        Wanted::Pull(at) => plain(MeasurementKind::Pull, &[at]),
        Wanted::Refit(at) => plain(MeasurementKind::Refit, &[at]),
        Wanted::Unplug(at) => {
            let (feed, load) = at.split_once('/').unwrap_or((at, ""));
            plain(MeasurementKind::Unplug, &[feed, load])
        }
        Wanted::Input(at) => plain(MeasurementKind::Input, &[at]),
        Wanted::Temperature | Wanted::Volts | Wanted::VoltsRunning => return None,
    })
}
