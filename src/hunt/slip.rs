//! What an answer looks like a slip of the hand for, asked before it is entered.
//! Leaves to others: what a slip is (`measure/slip`), its words (`text/slip`), asking (`cli/drive`).

use super::question::Question;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Volt};
use crate::circuit::limits::Limits;
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::measure::slip::{Slip, in_lid_line, in_limit, in_reading, in_volts};
use crate::measure::{Measurement, Reading};
use crate::text::ask::always::SURE_HELP;
use crate::text::slip::sure;

/// How the id of the question ends that asks about a slip.
pub const SURE: &str = ".sure";

/// Answers in volts that are no reading of their own.
const VOLTS: [QuestionId; 3] =
    [QuestionId::ChargingVolts, QuestionId::ChargingFirst, QuestionId::BatteryFirst];

/// Returns the question about the first slip that these entries look like.
pub fn question(case: &Case, asked: &Question, entries: &[LogEvent]) -> Option<Question> {
    let slip = entries.iter().find_map(|entry| slip(case, entry, case.entries + 1))?;
    Some(Question::line(asked.id.and(SURE), sure(&slip), SURE_HELP))
}

/// Returns what an entry with this number looks like a slip for, as it was when nothing after it was known.
pub fn slip(case: &Case, entry: &LogEvent, number: usize) -> Option<Slip> {
    match entry {
        LogEvent::Volts { volts } => in_volts(volts, case.map.system),
        LogEvent::Answer { question, answer } if question.plain().is_some_and(|id| VOLTS.contains(&id)) => {
            in_volts(&Volt::read(answer, "V").ok()?, case.map.system)
        }
        LogEvent::Feed { line, .. } => in_lid_line(line),
        LogEvent::Limit { limit, .. } => {
            let usual = Limits::builtin().default_limit(case.map.class)?;
            in_limit(limit, usual.current)
        }
        LogEvent::Reading(measured) => {
            let known = known_total(case, number, &measured.what, measured.after_repair);
            let slip = in_reading(&measured.what, known, &case.opened.meter, &case.opened.clamp)?;
            // Said to be right once, more digits are the meter's own.
            let accepted = |reading: &Reading| {
                reading.entry < number
                    && matches!(
                        in_reading(&reading.what, None, &reading.meter, &reading.clamp),
                        Some(Slip::Digits { .. })
                    )
            };
            let again = matches!(slip, Slip::Digits { .. }) && case.readings.iter().any(accepted);
            (!again).then_some(slip)
        }
        _ => None,
    }
}

/// Returns the total as it was read last in the same state: the newest of the totals and of what stood before and after
/// pulls and the like. After the repair a total has every right to be a tenth.
fn known_total(case: &Case, number: usize, what: &Measurement, after_repair: bool) -> Option<Ampere> {
    let as_found = matches!(what, Measurement::Total { as_found: true, .. });
    let same_state = |reading: &&Reading| reading.entry < number && reading.after_repair == after_repair;
    case.readings.iter().rev().filter(same_state).find_map(|reading| total_after(&reading.what, as_found))
}

fn total_after(what: &Measurement, as_found: bool) -> Option<Ampere> {
    match what {
        // As found it may have been awake: that says nothing of asleep.
        Measurement::Total { current, as_found: found } => (*found == as_found).then_some(current.value),
        Measurement::Watch { current } => Some(current.value),
        Measurement::Pull { after, .. }
        | Measurement::Unplug { after, .. }
        | Measurement::Input { after, .. }
        | Measurement::Refit { total: after, .. } => Some(after.value),
        _ => None,
    }
}
