//! What the interview told of the vehicle itself, put into the case's map: class, volts, batteries, year.
//! Leaves to others: asking (`hunt/stage/interview`), what follows from it (`circuit/vehicle`).

use super::question_id::{QuestionId, QuestionKey};
use crate::base::quantity::Unit;
use crate::base::quantity::Volt;
use crate::base::quantity::parse::Readable;
use crate::circuit::map::{Map, VehicleClass};
use crate::circuit::vehicle::VehicleTold;

/// Reads what an answer tells of the vehicle; `None` if it tells nothing that could be meant.
pub fn told(question: QuestionId, answer: &str) -> Option<VehicleTold> {
    let answer = answer.trim();
    let nothing = VehicleTold::default();
    match question {
        QuestionId::InterviewClass => {
            Some(VehicleTold { class: Some(VehicleClass::from_name(answer)?), ..nothing })
        }
        QuestionId::InterviewVolts => {
            let volts = Volt::read(answer, "V").ok()?.value;
            let system = VehicleClass::SYSTEMS.into_iter().find(|known| known.base() == volts.base())?;
            Some(VehicleTold { system: Some(system), ..nothing })
        }
        QuestionId::InterviewBatteries => {
            let count = answer.parse().ok().filter(|count| (1..=12).contains(count))?;
            Some(VehicleTold { batteries: Some(count), ..nothing })
        }
        QuestionId::InterviewYear => {
            let year = answer.parse().ok().filter(|year| (1900..=2100).contains(year))?;
            Some(VehicleTold { year: Some(year), ..nothing })
        }
        _ => None,
    }
}

/// Puts what an answer tells of the vehicle into a map. What tells nothing, or can't be of this vehicle, changes nothing.
pub(super) fn tell(map: &mut Map, question: &QuestionKey, answer: &str) {
    let told = question.plain().and_then(|question| told(question, answer));
    if let Some(Ok(changed)) = told.map(|told| map.of_vehicle(&told)) {
        *map = changed;
    }
}
