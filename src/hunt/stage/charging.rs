//! The charging side: a vehicle that isn't charged goes flat without any draw.
//! Asks and records; leaves the judgement to a fuller battery stage.

use chrono::{DateTime, FixedOffset};

use super::found::choice;
use super::{settled, stage_skipped};
use crate::circuits::map::VehicleClass;
use crate::hunt::question::{Question, Wanted};
use crate::hunt::{Step, Taken};
use crate::quantity::Volt;
use crate::quantity::parse::Readable;
use crate::session::case::Case;
use crate::session::entry::Body;

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<Step> {
    if stage_skipped(case, "charging") {
        return None;
    }
    if !settled(case, "charging.known") {
        return Some(Step::ask(
            Question::line(
                "charging.known",
                "Is the charging side known to be good?",
                "A plain regulator gives 13.7 to 14.6 V at 20 °C; smart charging may show 12.2 to 15.5 V and be right. Rested battery volts are read before the engine runs.",
            )
            .one_of(&[("good", "checked, charging"), ("measure", "measure it now"), ("later", "not now; the record says so")])
            .or("later"),
        ));
    }
    if case.answer("charging.known") == Some("measure") && !settled(case, "charging.volts") {
        let prompt = match case.map.class {
            VehicleClass::Electrified => "Battery volts with the vehicle made ready",
            _ => "Battery volts with the engine running at a fast idle",
        };
        return Some(Step::ask(
            Question::line(
                "charging.volts",
                prompt,
                "Exhaust gas outside, hands off belts and fans, parked safe. An electrified vehicle can start by itself: its 12 V side must rise when it is made ready.",
            )
            .in_unit("V")
            .reading(Wanted::VoltsRunning),
        ));
    }
    None
}

/// Takes an answer. A running engine wakes everything, which restarts the sleep clock.
pub fn take(_: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    if question.id != "charging.volts" {
        return choice(question, text);
    }
    match Volt::read(text, "V") {
        Ok(_) => Taken {
            entries: vec![
                Body::Disturb { what: "engine run, or vehicle made ready".to_owned() },
                Body::Answer { question: question.id.clone(), answer: text.to_owned() },
            ],
            ..Taken::default()
        },
        Err(fault) => Taken::refuse(fault.to_string()),
    }
}
