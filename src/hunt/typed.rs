//! What is typed where a reading is due, as entries.
//! Leaves to others: how a line reads (`log/typed`), whether the reading makes sense (`measure/doubt`).

use super::Taken;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Typed, Volt};
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

/// Reads a value, and behind it another that may be typed with it: `95 mA 12.61 V`.
///
/// # Errors
/// The first can't be read, or what stands behind it is neither part of it nor the other.
pub fn with_beside<A: Readable, B: Readable>(
    text: &str,
    bare: &str,
    beside: &str,
) -> Result<(Typed<A>, Option<Typed<B>>), Diagnostic> {
    let tokens: Vec<&str> = text.split_whitespace().collect();
    let whole = A::read(text, bare).map(|typed| (typed, None));
    let both = (1..tokens.len()).find_map(|count| {
        let (first, second) = tokens.split_at_checked(count)?;
        Some((A::read(&first.join(" "), bare).ok()?, B::read(&second.join(" "), beside).ok()?))
    });
    match (whole, both) {
        (Err(_), Some((first, second))) => Ok((first, Some(second))),
        (whole, _) => whole,
    }
}

/// Takes battery volts.
pub fn volts_entry(text: &str) -> Taken {
    Taken::read(Volt::read(text, "V"), |volts| Taken::entry(LogEvent::Volts { volts }))
}
