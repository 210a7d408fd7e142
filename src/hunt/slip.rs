//! What an answer looks like a slip of the hand for, asked before it is entered.
//! Leaves to others: what a slip is (`measure/slip`), its words (`text/slip`), asking (`cli/drive`).

use super::question::Question;
use crate::base::quantity::Volt;
use crate::base::quantity::parse::Readable;
use crate::circuit::limits::Limits;
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::measure::slip::{Slip, in_lid_line, in_limit, in_reading, in_volts, known_total};
use crate::measure::{Measurement, Reading};
use crate::text::ask::always::SURE_HELP;
use crate::text::slip::sure;

/// How the id of the question ends that asks about a slip.
pub const SURE: &str = ".sure";

/// Answers in volts that are no reading of their own.
const VOLTS: [QuestionId; 4] =
    [QuestionId::ChargingVolts, QuestionId::ChargingFirst, QuestionId::BatteryFirst, QuestionId::UseVolts];

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
            let known = known_total(&case.readings, number, &measured.what, measured.after_repair);
            let clamped = matches!(measured.what, Measurement::Clamp { .. });
            let ammeter = if clamped { case.clamp() } else { case.ammeter() };
            let slip = in_reading(&measured.what, known, case.meter(), ammeter)?;
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
